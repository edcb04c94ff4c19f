//! What `edit` is asked to change, and the profile with it changed.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::body::{Kilograms, Unit};
use crate::caution::{RecordedCondition, parse_meant, recorded_words};
use crate::client::{Aim, Birth, Profile, Sex, Touch};
use crate::failure::Failure;
use crate::store::Store;

use super::super::values::{self, AtHand, OrNothing};
use super::super::{lookup, new};

/// What follows every refusal.
const UNCHANGED: &str = "nothing was changed";

// Who it is.
#[derive(Debug, Default, PartialEq, clap::Args)]
#[command(next_help_heading = "Who it is")]
pub(super) struct PersonChanges {
    /// Rename the client; the id stays
    #[arg(long)]
    name: Option<String>,

    /// Say that it is another person than the client of the same name
    #[arg(long, requires = "name")]
    another: bool,

    /// Set the birth as far as it is known: 1984-05-31, 1984-05 or 1984
    #[arg(long, value_name = "DATE", value_parser = values::told::<Birth>)]
    born: Option<OrNothing<Birth>>,

    /// Set the sex: female or male
    #[arg(long, value_parser = values::told::<Sex>)]
    sex: Option<OrNothing<Sex>>,

    /// Set the mass in whole kilograms
    #[arg(long, value_name = "KG", value_parser = values::told_kilograms, allow_negative_numbers = true)]
    mass: Option<OrNothing<Kilograms>>,

    /// Set how to reach the client, in words
    #[arg(long, value_name = "TEXT")]
    contact: Option<String>,

    /// Set the remark
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,

    /// Set when the client usually comes, such as "tue 18:30, fri"
    #[arg(long, value_name = "TIMES", value_parser = values::usual_times)]
    usual: Option<values::UsualTimes>,

    /// Name the guardian who agreed in writing, for a minor
    #[arg(long, value_name = "NAME")]
    guardian: Option<String>,

    /// Say that the client comes no more; the file stays
    #[arg(long, conflicts_with = "unarchive")]
    archive: bool,

    /// Say that the client comes again
    #[arg(long)]
    unarchive: bool,
}

// What limits the work.
#[derive(Debug, Default, PartialEq, clap::Args)]
#[command(next_help_heading = "What limits the work")]
pub(super) struct HealthChanges {
    /// Note a condition, or more about one that is noted: shoulder-impingement:left:since=2026-03-02; may be repeated
    #[arg(long = "condition", value_name = "CONDITION")]
    conditions: Vec<String>,

    /// Note that a condition is over; may be repeated
    #[arg(long = "end", value_name = "CONDITION")]
    ended: Vec<String>,

    /// Note that a condition was cleared for hands-on work, by whom --cleared-by says; may be repeated
    #[arg(long = "clear", value_name = "CONDITION", requires = "cleared_by")]
    cleared: Vec<String>,

    /// Say who cleared it, such as "her surgeon, by phone"
    #[arg(long, value_name = "WHO", requires = "cleared", value_parser = values::somebody)]
    cleared_by: Option<String>,

    /// Take off a condition that was noted by mistake; may be repeated
    #[arg(long = "mistaken", value_name = "CONDITION")]
    mistaken: Vec<String>,

    /// Note that the client agrees to hands-on work in general, or refuses it: yes or no
    #[arg(long, value_name = "YES|NO", value_parser = values::yes_or_no)]
    hands_on: Option<bool>,

    /// Note that the client wants the massage finish, or does not: yes or no
    #[arg(long, value_name = "YES|NO", value_parser = values::yes_or_no)]
    massage: Option<bool>,
}

// What the client wants and has.
#[derive(Debug, Default, PartialEq, clap::Args)]
#[command(next_help_heading = "What the client wants and has")]
pub(super) struct WishChanges {
    /// Add what the client wants; may be repeated
    #[arg(long = "aim", value_name = "AIM", value_parser = values::choice!(Aim))]
    aims: Vec<Aim>,

    /// Take off what the client wanted; may be repeated
    #[arg(long = "drop-aim", value_name = "AIM", value_parser = values::choice!(Aim))]
    dropped_aims: Vec<Aim>,

    /// Note a muscle as tight, such as hamstrings:right; may be repeated
    #[arg(long, value_name = "MUSCLE:SIDE")]
    tight: Vec<Unit>,

    /// Note that a muscle was looked at again and is still tight; may be repeated
    #[arg(long, value_name = "MUSCLE:SIDE")]
    still_tight: Vec<Unit>,

    /// Note that a muscle is tight no more; may be repeated
    #[arg(long, value_name = "MUSCLE:SIDE")]
    not_tight: Vec<Unit>,

    /// Note that the client likes a stretch; may be repeated
    #[arg(long = "like", value_name = "STRETCH")]
    likes: Vec<String>,

    /// Note that the client does not like a stretch; may be repeated
    #[arg(long = "dislike", value_name = "STRETCH")]
    dislikes: Vec<String>,

    /// Take off what is said about liking a stretch; may be repeated
    #[arg(long = "drop-like", value_name = "STRETCH")]
    dropped_likes: Vec<String>,

    /// Set what the client has at home beside a floor, such as chair,strap,wall
    #[arg(long, value_name = "THINGS", value_parser = values::equipment)]
    at_home: Option<AtHand>,
}

/// The day of a change, and who writes it down.
pub(super) struct WrittenDown<'a> {
    pub(super) on: NaiveDate,
    pub(super) by: &'a str,
}

impl PersonChanges {
    pub(super) fn apply(
        &self,
        profile: &mut Profile,
        store: &Store,
        writing: &WrittenDown<'_>,
        today: NaiveDate,
    ) -> Result<(), Failure> {
        if let Some(name) = &self.name {
            new::checked_name(name)?.clone_into(&mut profile.name);
            let namesakes = store.namesakes(&profile.name)?;
            if let Some(other) =
                namesakes.iter().find(|other| **other != profile.id).filter(|_| !self.another)
            {
                return Err(Failure::usage(format_args!("there is a client of that name: {other}"))
                    .hint("if it is another person: the same with --another; nothing was changed"));
            }
        }
        if let Some(OrNothing(born)) = self.born {
            if born.is_some_and(|born| born.earliest() > today) {
                return Err(Failure::usage("the day of birth lies after today").hint("nothing was changed"));
            }
            profile.born = born;
        }
        profile.sex = self.sex.map_or(profile.sex, |OrNothing(sex)| sex);
        profile.mass = self.mass.map_or(profile.mass, |OrNothing(mass)| mass);
        for (told, kept) in [(&self.contact, &mut profile.contact), (&self.note, &mut profile.note)] {
            if let Some(told) = told {
                told.trim().clone_into(kept);
            }
        }
        if let Some(values::UsualTimes(times)) = &self.usual {
            profile.usual_times.clone_from(times);
        }
        if let Some(guardian) = &self.guardian {
            profile.name_guardian(guardian, writing.on, writing.by);
        }
        if self.archive {
            profile.archived.get_or_insert(writing.on);
        } else if self.unarchive {
            profile.archived = None;
        }
        Ok(())
    }
}

impl HealthChanges {
    /// Whether it only says what is over: that may lie ahead.
    pub(super) fn only_ends(&self) -> bool {
        !self.ended.is_empty() && self.cleared.is_empty() && self.conditions.is_empty()
    }

    pub(super) fn apply(
        &self,
        profile: &mut Profile,
        writing: &WrittenDown<'_>,
        today: NaiveDate,
    ) -> Result<(), Failure> {
        for mut told in lookup::conditions(&self.conditions)? {
            writing.by.clone_into(&mut told.by);
            if told.cleared_by.is_some() {
                told.cleared_on = Some(writing.on);
            }
            profile.record_condition(told, writing.on);
        }
        for word in &self.ended {
            let ended = the_one(profile, word, today)?;
            let since = profile.conditions[ended].since;
            if since.is_some_and(|since| writing.on < since) {
                return Err(Failure::usage(format_args!(
                    "`{word}` cannot be over on {} and begin later",
                    writing.on
                ))
                .hint("--mistaken takes off what never was; nothing was changed"));
            }
            profile.conditions[ended].until = Some(writing.on);
        }
        for word in &self.cleared {
            let cleared = the_one(profile, word, today)?;
            let cleared = &mut profile.conditions[cleared];
            cleared.cleared_by.clone_from(&self.cleared_by);
            cleared.cleared_on = Some(writing.on);
        }
        for word in &self.mistaken {
            let mistaken = the_one(profile, word, today)?;
            profile.conditions.remove(mistaken);
        }
        for (touch, given) in [(Touch::HandsOn, self.hands_on), (Touch::Massage, self.massage)] {
            if let Some(given) = given {
                profile.agree(touch, given, writing.on, writing.by);
            }
        }
        Ok(())
    }
}

/// The place of the one condition in force that is meant.
fn the_one(profile: &Profile, word: &str, today: NaiveDate) -> Result<usize, Failure> {
    let meant = parse_meant(word).map_err(Failure::usage)?;
    let shown = |recorded: &RecordedCondition| recorded_words(recorded, today);
    match profile.conditions_meant(&meant, today).as_slice() {
        [one] => Ok(*one),
        [] => {
            let in_force = profile.conditions.iter().filter(|known| known.is_in_force(today));
            let there: Vec<String> =
                in_force.map(|known| format!("{}: {}", known.id, shown(known))).collect();
            let there = if there.is_empty() { "nothing is in force".to_owned() } else { there.join("; ") };
            Err(Failure::usage(format_args!("`{word}` is not in force for this client"))
                .hint(format_args!("{there}; nothing was changed")))
        }
        several => {
            let fitting: Vec<String> =
                several.iter().map(|place| shown(&profile.conditions[*place])).collect();
            Err(Failure::usage(format_args!("`{word}` fits more than one: {}", fitting.join("; ")))
                .hint("add the side or the place, such as `:left`; nothing was changed"))
        }
    }
}

impl WishChanges {
    pub(super) fn apply(
        &self,
        profile: &mut Profile,
        store: &Store,
        writing: &WrittenDown<'_>,
    ) -> Result<(), Failure> {
        for aim in &self.aims {
            if !profile.aims.contains(aim) {
                profile.aims.push(*aim);
            }
        }
        if let Some(aim) = self.aims.iter().find(|aim| self.dropped_aims.contains(aim)) {
            return Err(said_both_ways(aim.id()));
        }
        profile.aims.retain(|aim| !self.dropped_aims.contains(aim));
        for unit in &self.tight {
            profile.note_tight(*unit, writing.on, writing.by);
        }
        for unit in &self.still_tight {
            if !profile.keep_tight(*unit, writing.on) {
                return Err(not_noted(*unit));
            }
        }
        for unit in &self.not_tight {
            if !profile.is_tight(*unit) {
                return Err(not_noted(*unit));
            }
            profile.take_off_tight(*unit, writing.on);
        }
        let catalogue = store.catalogue()?;
        let mut said = BTreeSet::new();
        for (words, likes) in
            [(&self.likes, Some(true)), (&self.dislikes, Some(false)), (&self.dropped_likes, None)]
        {
            for stretch in lookup::stretches(words, &catalogue)? {
                profile.set_liking(&stretch, likes);
                if !said.insert(stretch.clone()) {
                    return Err(said_both_ways(stretch.as_str()));
                }
            }
        }
        if let Some(AtHand(things)) = &self.at_home {
            profile.at_home.clone_from(things);
        }
        Ok(())
    }
}

/// What was said of one thing is said of it in another way as well.
fn said_both_ways(what: &str) -> Failure {
    Failure::usage(format_args!("two things are said of {what}: say one")).hint(UNCHANGED)
}

fn not_noted(unit: Unit) -> Failure {
    Failure::usage(format_args!("{} {} is not noted as tight", unit.muscle.plain_name(), unit.side))
        .hint("--tight notes it; nothing was changed")
}
