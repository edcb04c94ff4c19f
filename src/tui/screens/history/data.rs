//! All that is known of a client as the history opens: worked out once, and drawn from then on.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use chrono::NaiveDate;

use crate::body::{Level, Muscle};
use crate::catalogue::{Catalogue, StretchId};
use crate::caution::Restrictions;
use crate::client::{Client, Ended, Session};
use crate::insight::claims::MOST;
use crate::insight::leads::answer_leads;
use crate::insight::quarters::Quarters;
use crate::insight::{self, Claim, ClaimMark, HeldAgainst, Learned};
use crate::tui::text;
use crate::words::{ClaimWords, date};

use super::course::StretchCourse;

/// One thing that the sessions tell.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ToldClaim {
    /// What stands before it.
    pub(super) mark: ClaimMark,
    /// The sentence.
    pub(super) sentence: String,
    /// How sure it is, where it was judged.
    pub(super) sure: Option<&'static str>,
    /// Whether it is too little to be more than a lean.
    is_open: bool,
    stretch: Option<StretchId>,
    muscles: Vec<Muscle>,
}

/// All that is known of a client on a day.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct HistoryData {
    /// Whose history it is.
    pub(super) client: Arc<Client>,
    /// The day.
    pub(super) today: NaiveDate,
    /// What is to be asked before anything else.
    pub(super) due: Option<String>,
    /// What was remarked the last time.
    pub(super) remark: Option<String>,
    /// At most five things, the weightiest first.
    pub(super) claims: Vec<ToldClaim>,
    /// What was said often enough, and what is too little to be said yet.
    pub(super) details: Vec<ToldClaim>,
    /// What differs from the time before.
    pub(super) changes: Vec<String>,
    /// Every stretch that was done.
    pub(super) courses: Vec<StretchCourse>,
    /// The answer that is aimed at.
    pub(super) aim: Level,
    /// All of it as it was judged.
    pub(super) learned: Learned,
    quarters: OnceLock<Quarters>,
}

impl HistoryData {
    /// Reads all of a client.
    pub(super) fn of(client: Arc<Client>, catalogue: &Catalogue, today: NaiveDate) -> Self {
        let due = client.profile.screening_record(today).screen_due(today);
        let due = due.map(|due| format!("First: {}.", due.reason()));
        let remark = client.sessions.last().filter(|session| !session.note.is_empty());
        let remark = remark
            .map(|session| format!("Remark of {}: {}", date::day(session.at.date_naive()), session.note));
        let learned = Learned::of(&client, catalogue, today);
        let words = ClaimWords { catalogue, today };
        let told = |claim: &Claim| ToldClaim {
            mark: claim.mark(),
            sentence: words.sentence(claim),
            sure: ClaimWords::how_sure(claim),
            is_open: matches!(claim, Claim::Leans(_)),
            stretch: claim.stretch().cloned(),
            muscles: claim.muscles(),
        };
        let changes = insight::since_last(&client).into_iter().map(|since| words.since_last(&since));
        let restrictions = Restrictions::of(&client.profile.conditions, client.profile.age(today), today);
        Self {
            today,
            due,
            remark,
            claims: learned.claims().iter().map(told).collect(),
            details: learned.details().iter().map(told).collect(),
            changes: changes.collect(),
            courses: courses(&client, catalogue, today),
            aim: restrictions.level_aim(),
            quarters: OnceLock::new(),
            learned,
            client,
        }
    }

    /// The client by calendar quarter; worked out when it is looked at first.
    pub(super) fn quarters(&self, catalogue: &Catalogue) -> &Quarters {
        self.quarters.get_or_init(|| Quarters::of(&self.client, catalogue, self.today))
    }

    /// What the year tells: what is new, then what was said before or is seen for the first time.
    pub(super) fn of_the_year(&self) -> impl Iterator<Item = &ToldClaim> {
        let settled = self.details.iter().filter(|told| !told.is_open);
        self.claims.iter().chain(settled).take(MOST)
    }

    /// What is told of a stretch, the weightiest first.
    pub(super) fn told_of<'a>(&'a self, course: &'a StretchCourse) -> impl Iterator<Item = &'a ToldClaim> {
        let is_of_it = |told: &&ToldClaim| match &told.stretch {
            Some(stretch) => *stretch == course.id,
            None => told.muscles.iter().any(|muscle| course.muscles.contains(muscle)),
        };
        self.claims.iter().chain(&self.details).filter(is_of_it)
    }

    /// What the angles of a stretch are held against: that of the form that was measured last.
    pub(super) fn norm_of(&self, course: &StretchCourse, catalogue: &Catalogue) -> Option<HeldAgainst> {
        let (_, last) = course.reports(&self.client).rev().find(|(_, report)| report.angle().is_some())?;
        let (_, form) = catalogue.form(&last.stretch, &last.form)?;
        insight::held_against(form, &self.client, self.today)
    }

    /// A session by its place in the file.
    pub(super) fn session(&self, place: usize) -> Option<&Session> {
        self.client.sessions.get(place)
    }
}

/// Every stretch that was done to its end.
fn courses(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Vec<StretchCourse> {
    let mut times: BTreeMap<&StretchId, Vec<(usize, u32)>> = BTreeMap::new();
    for (place, session) in client.sessions.iter().enumerate() {
        for (number, report) in session.reports.iter().filter(|(_, report)| report.ended == Ended::Done) {
            times.entry(&report.stretch).or_default().push((place, *number));
        }
    }
    let mut leads = answer_leads(client, catalogue, today);
    let course = |(id, times): (&StretchId, Vec<(usize, u32)>)| {
        let stretch = catalogue.stretch(id);
        let name = stretch.map_or_else(|| id.to_string(), |stretch| stretch.name.clone());
        let last = times.last().and_then(|(place, number)| client.sessions[*place].reports.get(number));
        let form =
            last.and_then(|report| catalogue.form(&report.stretch, &report.form)).map(|(_, form)| form);
        let targets = form.map_or(&[][..], |form| &form.targets);
        let muscles: Vec<&str> = targets.iter().map(|target| target.muscle.plain_name()).collect();
        StretchCourse {
            words: format!("{name} {id} {}", text::list(&muscles)),
            muscles: targets.iter().take(1).map(|target| target.muscle).collect(),
            leads: leads.remove(id).unwrap_or_default(),
            id: id.clone(),
            name,
            times,
        }
    };
    times.into_iter().map(course).collect()
}
