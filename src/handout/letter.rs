//! What a letter to a clinician tells: what was recorded, counted and nothing more. No side is called tighter, no change
//! is named, nothing is held against a norm.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::NaiveDate;

use crate::body::Side;
use crate::catalogue::{Catalogue, FormId, Method, StretchId};
use crate::caution::{Conditions, RecordedCondition};
use crate::client::{Client, Ended, Report, Session, Taken};
use crate::insight::MeasurementError;
use crate::words::date::day;

use super::attended::{between, consents, span};
use super::paper::Letterhead;
use super::words;

/// Most dates of angles, and most tests.
const DATES: usize = 24;
const TESTS: usize = 3;

/// What is told beside what was done; nothing unless it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LetterExtras {
    /// The conditions on the card.
    pub conditions: bool,
    /// The remarks of sessions and reports.
    pub remarks: bool,
}

/// What a letter tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Letter {
    pub(super) client: String,
    pub(super) born: String,
    pub(super) from: Letterhead,
    pub(super) on: NaiveDate,
    /// What it is about, in two sentences, and what is left out.
    pub(super) summary: String,
    pub(super) forms: Vec<FormDone>,
    pub(super) tests: Vec<AngleTest>,
    /// The days on which an angle was measured, newest first, with the cells of all tests.
    pub(super) days: Vec<(NaiveDate, Vec<String>)>,
    /// How many earlier days there are.
    pub(super) earlier: usize,
    /// How the angles were taken, as far as that is known.
    pub(super) taken: String,
    pub(super) stops: Vec<Stops>,
    pub(super) conditions: Option<Vec<String>>,
    pub(super) remarks: Option<Vec<(NaiveDate, String)>>,
}

/// One form, by side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FormDone {
    pub(super) name: String,
    pub(super) form: String,
    pub(super) sides: BTreeMap<Option<Side>, SideDone>,
}

/// What was done of a form on one side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct SideDone {
    pub(super) times: u32,
    held: u32,
    pub(super) answers: [u32; 5],
    pub(super) not_asked: u32,
    pub(super) pain: u32,
}

/// A form with which angles were measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AngleTest {
    pub(super) name: String,
    pub(super) about: String,
    pub(super) sides: Vec<Option<Side>>,
}

/// Every day on which a stretch was stopped for pain on a side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stops {
    pub(super) name: String,
    pub(super) side: Option<Side>,
    pub(super) days: Vec<NaiveDate>,
}

/// A report with its day.
type Dated<'a> = (NaiveDate, &'a Report);

impl Letter {
    /// What there is to tell of a time; nothing without a session.
    pub fn of(
        client: &Client,
        catalogue: &Catalogue,
        (since, until): (Option<NaiveDate>, NaiveDate),
        from: Letterhead,
        extras: LetterExtras,
    ) -> Option<Self> {
        let sessions = between(client, since, until);
        let worked: Vec<Dated<'_>> = sessions
            .iter()
            .flat_map(|session| session.reports.values().map(|report| (session.at.date_naive(), report)))
            .collect();
        let (tests, keys) = tests(&worked, catalogue);
        let (days, earlier) = days(&worked, &tests, &keys);
        (!sessions.is_empty()).then(|| Self {
            client: client.profile.name.clone(),
            born: client.profile.born.map_or_else(String::new, |born| match born.day() {
                Some(on) => format!(", born {}", day(on)),
                None => format!(", born {born}"),
            }),
            from,
            on: until,
            summary: summary(&sessions, extras),
            forms: forms(&worked, catalogue),
            tests,
            days,
            earlier,
            taken: taken(&worked, &keys),
            stops: stops(&worked, catalogue),
            conditions: extras.conditions.then(|| {
                let in_force = client.profile.conditions.iter().filter(|row| row.is_in_force(until));
                in_force.map(condition).collect()
            }),
            remarks: extras.remarks.then(|| remarks(&sessions)),
        })
    }
}

impl SideDone {
    fn add(&mut self, report: &Report) {
        self.times += 1;
        self.held += report.held.get();
        match report.level {
            Some(level) => self.answers[usize::from(level.get() - 1)] += 1,
            None => self.not_asked += 1,
        }
        self.pain += u32::from(report.ended == Ended::Pain);
    }

    /// The mean, in whole seconds.
    pub(super) const fn mean(&self) -> u32 {
        (2 * self.held + self.times) / (2 * self.times)
    }
}

fn summary(sessions: &[&Session], extras: LetterExtras) -> String {
    let left_out = match (extras.conditions, extras.remarks) {
        (true, true) => "",
        (true, false) => " Remarks on the card are not included.",
        (false, true) => " Conditions on the card are not included.",
        (false, false) => " Conditions and remarks on the card are not included.",
    };
    format!(
        "{}, each ending with stretching by a personal trainer: {}. This is what was recorded; nothing is \
         interpreted.{left_out}",
        span(sessions),
        consents(sessions)
    )
}

/// Every form that was done, the most done first.
fn forms(worked: &[Dated<'_>], catalogue: &Catalogue) -> Vec<FormDone> {
    let mut all: BTreeMap<(&StretchId, &FormId), (FormDone, u32)> = BTreeMap::new();
    for (_, report) in worked.iter().filter(|(_, report)| report.ended != Ended::Skipped) {
        let new = || {
            let (name, form) = named(catalogue, &report.stretch, &report.form);
            (FormDone { name, form, sides: BTreeMap::new() }, 0)
        };
        let (done, pushed) = all.entry((&report.stretch, &report.form)).or_insert_with(new);
        done.sides.entry(report.side).or_default().add(report);
        *pushed += u32::from(report.method == Method::ContractRelax);
    }
    let mut all: Vec<FormDone> = all
        .into_values()
        .map(|(mut done, pushed)| {
            let times: u32 = done.sides.values().map(|side| side.times).sum();
            if pushed == times {
                done.form.push_str("; contract-relax");
            } else if pushed > 0 {
                let _ = write!(done.form, "; contract-relax {pushed} of {times} times");
            }
            done
        })
        .collect();
    all.sort_by_key(|done| std::cmp::Reverse(done.sides.values().map(|side| side.times).sum::<u32>()));
    all
}

/// The name of a stretch, and position and name of its form.
fn named(catalogue: &Catalogue, stretch: &StretchId, form: &FormId) -> (String, String) {
    match catalogue.form(stretch, form) {
        Some((stretch, form)) => {
            let (position, lowered) = (form.position.plain_name(), words::lowered(&form.name));
            // What the stretch's name says already is not said again.
            let is_said =
                [", on the back", ", face down", " on the side", ", standing", ", kneeling", ", seated"]
                    .iter()
                    .any(|ending| stretch.name.ends_with(ending));
            let form = if is_said { lowered } else { format!("{position}; {lowered}") };
            (stretch.name.clone(), form)
        }
        None => (stretch.to_string(), form.to_string()),
    }
}

/// Which form a test is.
type Key<'a> = (&'a StretchId, &'a FormId);

/// A test, how often it was done and on which sides.
type Measured<'a> = (Key<'a>, (usize, Vec<Option<Side>>));

/// The forms with which most angles were measured.
fn tests<'a>(worked: &[Dated<'a>], catalogue: &Catalogue) -> (Vec<AngleTest>, Vec<Key<'a>>) {
    let mut counts: BTreeMap<Key<'a>, (usize, Vec<Option<Side>>)> = BTreeMap::new();
    for (_, report) in worked.iter().filter(|(_, report)| report.angle().is_some()) {
        let (count, sides) = counts.entry((&report.stretch, &report.form)).or_default();
        *count += 1;
        if !sides.contains(&report.side) {
            sides.push(report.side);
        }
    }
    let mut most: Vec<Measured<'a>> = counts.into_iter().collect();
    most.sort_by_key(|(_, (count, _))| std::cmp::Reverse(*count));
    most.truncate(TESTS);
    let test = |((stretch, form), (_, sides)): &Measured<'a>| {
        let (name, about) = named(catalogue, stretch, form);
        let error = catalogue.form(stretch, form).map(|(_, form)| MeasurementError::of_form(form));
        let error = error.map_or_else(String::new, |error| {
            let source = error.source.split(':').next().unwrap_or(error.source);
            format!(". Error {} ({source})", error.beyond)
        });
        let mut sides = sides.clone();
        // Left, right, then both at once.
        sides.sort_by_key(|side| (side.is_none(), *side));
        AngleTest { name, about: format!("{about}{error}."), sides }
    };
    (most.iter().map(test).collect(), most.iter().map(|(key, _)| *key).collect())
}

/// The newest days with an angle, and how many more there are.
fn days(
    worked: &[Dated<'_>],
    tests: &[AngleTest],
    keys: &[Key<'_>],
) -> (Vec<(NaiveDate, Vec<String>)>, usize) {
    let mut days: BTreeMap<NaiveDate, BTreeMap<(usize, Option<Side>), String>> = BTreeMap::new();
    for (on, report) in worked {
        let key = keys.iter().position(|key| *key == (&report.stretch, &report.form));
        let (Some(key), Some(cell)) = (key, angle_cell(report)) else { continue };
        // Of several rounds of a day the first counts: those after it are after a stretch.
        days.entry(*on).or_default().entry((key, report.side)).or_insert(cell);
    }
    let earlier = days.len().saturating_sub(DATES);
    let row = |(on, cells): (NaiveDate, BTreeMap<(usize, Option<Side>), String>)| {
        let columns =
            tests.iter().enumerate().flat_map(|(key, test)| test.sides.iter().map(move |side| (key, *side)));
        (on, columns.map(|column| cells.get(&column).cloned().unwrap_or_default()).collect())
    };
    (days.into_iter().skip(earlier).map(row).collect(), earlier)
}

/// `61 · 4`: degrees and the answer at that hold; `a` behind degrees that were measured after it.
fn angle_cell(report: &Report) -> Option<String> {
    let degrees = report.angle()?.get();
    let is_after = report.angles.iter().all(|angle| angle.taken == Some(Taken::After));
    let after = if is_after { "a" } else { "" };
    let answer = match (report.ended, report.level) {
        (Ended::Pain, _) => "p".to_owned(),
        (_, Some(level)) => level.get().to_string(),
        (_, None) => "–".to_owned(),
    };
    Some(format!("{degrees}{after} · {answer}"))
}

/// With what angles were measured, and when: said of all, of none, or how many of how many.
fn taken(worked: &[Dated<'_>], keys: &[Key<'_>]) -> String {
    let measured = worked
        .iter()
        .map(|(_, report)| report)
        .filter(|report| report.angle().is_some() && keys.contains(&(&report.stretch, &report.form)));
    let (mut all, mut when, mut with) = (0_u32, 0_u32, BTreeMap::new());
    for report in measured {
        let Some(angle) = report.angles.iter().rfind(|angle| Some(angle.degrees) == report.angle()) else {
            continue;
        };
        all += 1;
        when += u32::from(angle.taken.is_some());
        if let Some(instrument) = &angle.with {
            *with.entry(instrument.to_string()).or_insert(0_u32) += 1;
        }
    }
    let when = match when {
        0 => "Whether before or after the hold: not recorded.".to_owned(),
        when if when == all => "Before the hold; with a behind it: after.".to_owned(),
        when => format!("Before the hold, with a behind it after; recorded of {when} of {all}."),
    };
    let with: Vec<String> =
        with.into_iter().map(|(name, count)| format!("{name} ({count} of {all})")).collect();
    let with = if with.is_empty() { "not recorded".to_owned() } else { with.join(", ") };
    format!("{when} Instrument: {with}.")
}

/// Every stop, the most stopped first.
fn stops(worked: &[Dated<'_>], catalogue: &Catalogue) -> Vec<Stops> {
    let mut all: BTreeMap<(&StretchId, Option<Side>), Vec<NaiveDate>> = BTreeMap::new();
    for (on, report) in worked.iter().filter(|(_, report)| report.ended == Ended::Pain) {
        all.entry((&report.stretch, report.side)).or_default().push(*on);
    }
    let name = |stretch: &StretchId| {
        catalogue.stretch(stretch).map_or_else(|| stretch.to_string(), |stretch| stretch.name.clone())
    };
    let mut all: Vec<Stops> =
        all.into_iter().map(|((stretch, side), days)| Stops { name: name(stretch), side, days }).collect();
    all.sort_by_key(|stops| std::cmp::Reverse(stops.days.len()));
    all
}

/// A condition as the card has it.
fn condition(row: &RecordedCondition) -> String {
    let mut words = Conditions::built_in()
        .get(&row.id)
        .map_or_else(|| row.id.to_string(), |condition| condition.name.clone());
    words.extend(row.side.map(|side| format!(", {side}")));
    words.extend(row.joint.map(|joint| format!(", {}", joint.plain_name())));
    words.extend(row.muscle.map(|muscle| format!(", {}", muscle.plain_name())));
    words.extend(row.since.map(|since| format!(", since {}", day(since))));
    words.extend(row.due.map(|due| format!(", due {}", day(due))));
    words.extend(row.week.map(|week| format!(", week {week}")));
    words.extend(row.cleared_by.as_ref().map(|by| format!(", cleared by {by}")));
    words
}

/// Every remark, the newest first.
fn remarks(sessions: &[&Session]) -> Vec<(NaiveDate, String)> {
    let mut all = Vec::new();
    for session in sessions.iter().rev() {
        let of_reports = session.reports.values().map(|report| report.note.as_str());
        let notes = std::iter::once(session.note.as_str()).chain(of_reports).filter(|note| !note.is_empty());
        all.extend(notes.map(|note| (session.at.date_naive(), note.to_owned())));
    }
    all
}
