//! Dated rows of a client's file that accumulate: nothing overwrites what was noted before.
//!
//! A row that no longer holds gets an end. `by` is who wrote it, empty where nobody said.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::Side;
use crate::body::Unit;
use crate::catalogue::{FormId, StretchId};
use crate::caution::screening::{Answer, questions};
use crate::names::named;

/// That somebody named cleared something, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cleared {
    /// Who cleared it: a clinician, or whoever it was.
    pub by: String,
    /// The day.
    pub on: NaiveDate,
    /// A remark.
    pub note: String,
}

/// What a health check left open that does not say what.
pub const NOT_SAID_WHAT: &str = "something was left open";

/// Something that a health check left open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenPoint {
    /// The question's name, or what was said in words.
    pub what: String,
    /// Who cleared it; it stays open until somebody did.
    pub cleared: Option<Cleared>,
}

/// A health check before hands-on work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screening {
    /// The day it was done.
    pub on: NaiveDate,
    /// What was answered, by the question's name.
    pub answers: BTreeMap<String, Answer>,
    /// What it left open.
    pub open: Vec<OpenPoint>,
    /// Who asked.
    pub by: String,
    /// A remark.
    pub note: String,
    /// The day on which it was taken back, as a slip.
    pub off: Option<NaiveDate>,
}

impl Screening {
    /// A health check whose answers were all clear.
    pub fn clear(on: NaiveDate) -> Self {
        Self {
            on,
            answers: BTreeMap::new(),
            open: Vec::new(),
            by: String::new(),
            note: String::new(),
            off: None,
        }
    }

    /// A health check that left one thing open, in words; without them, it is open what.
    pub fn left_open(on: NaiveDate, what: &str) -> Self {
        let what = if what.trim().is_empty() { NOT_SAID_WHAT } else { what.trim() };
        Self { open: vec![OpenPoint { what: what.to_owned(), cleared: None }], ..Self::clear(on) }
    }

    /// Whether every question was asked; one that says no answers at all was noted as a whole. What was broken off
    /// keeps what it found and does not count as asked.
    pub fn is_whole(&self) -> bool {
        self.answers.is_empty() || questions().iter().all(|question| self.answers.contains_key(&question.id))
    }

    /// What is still open on a day.
    pub fn still_open(&self, today: NaiveDate) -> impl Iterator<Item = &OpenPoint> {
        self.open.iter().filter(move |open| open.cleared.as_ref().is_none_or(|cleared| cleared.on > today))
    }
}

/// Who agreed for a minor, from when to when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guardian {
    /// The guardian's name.
    pub name: String,
    /// The day of the written consent.
    pub on: NaiveDate,
    /// The day from which it no longer holds.
    pub off: Option<NaiveDate>,
    /// Who wrote it down.
    pub by: String,
}

impl Guardian {
    /// A guardian's written consent of a day.
    pub fn new(name: impl Into<String>, on: NaiveDate) -> Self {
        Self { name: name.into(), on, off: None, by: String::new() }
    }

    /// Whether it holds on a day.
    pub fn holds(&self, today: NaiveDate) -> bool {
        self.on <= today && self.off.is_none_or(|off| today < off)
    }
}

named! {
    /// What a client agrees to or refuses beyond one session.
    pub enum Touch("kind of touch") {
        /// Any hands-on work.
        HandsOn = "hands-on",
        /// The massage finish.
        Massage = "massage",
    }
}

/// What a client agreed to or refused, from when to when; the newest row of a kind that holds is in force.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandingConsent {
    /// What about.
    pub to: Touch,
    /// Whether it was agreed to; else it was refused.
    pub given: bool,
    /// The day; none if nobody wrote it down.
    pub on: Option<NaiveDate>,
    /// The day from which it no longer holds.
    pub off: Option<NaiveDate>,
    /// Who wrote it down.
    pub by: String,
    /// A remark, such as where not.
    pub note: String,
}

impl StandingConsent {
    /// An answer of a day.
    pub const fn new(to: Touch, given: bool, on: Option<NaiveDate>) -> Self {
        Self { to, given, on, off: None, by: String::new(), note: String::new() }
    }
}

/// A muscle on a side that the client feels or the trainer found tight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotedTight {
    /// Which.
    pub unit: Unit,
    /// The day it was noted; none if nobody wrote it down.
    pub on: Option<NaiveDate>,
    /// The days on which it was looked at again and kept, oldest first.
    pub kept: Vec<NaiveDate>,
    /// The day it was taken off.
    pub off: Option<NaiveDate>,
    /// Who wrote it down.
    pub by: String,
}

impl NotedTight {
    /// A unit noted on a day.
    pub const fn new(unit: Unit, on: Option<NaiveDate>) -> Self {
        Self { unit, on, kept: Vec::new(), off: None, by: String::new() }
    }

    /// The day on which somebody last said that it is so.
    pub fn said_last(&self) -> Option<NaiveDate> {
        self.kept.iter().copied().max().max(self.on)
    }
}

named! {
    /// What a trainer's repeated correction of plans says.
    pub enum HabitKind("habit") {
        /// Plan it, where it fits.
        Usual = "usual",
        /// Plan it seldom.
        Seldom = "seldom",
    }
}

/// A trainer's answer to 'plan it so from now on?'.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Habit {
    /// Usual or seldom.
    pub kind: HabitKind,
    /// The stretch.
    pub stretch: StretchId,
    /// One form of it; all of them without one.
    pub form: Option<FormId>,
    /// Whether it was agreed to; a refusal is kept so that nobody is asked again too soon.
    pub agreed: bool,
    /// The day of the answer.
    pub on: NaiveDate,
    /// The day it was taken off.
    pub off: Option<NaiveDate>,
    /// Who answered.
    pub by: String,
}

impl Habit {
    /// Whether plans mind it: it was agreed to and not taken off.
    pub const fn holds(&self) -> bool {
        self.agreed && self.off.is_none()
    }
}

/// What was asked or cleared after a stretch had to be stopped for pain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PainFollowUp {
    /// The stretch that hurt.
    pub stretch: StretchId,
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// The day it was asked or cleared.
    pub on: NaiveDate,
    /// Whether it was still sore the day after, if that was asked.
    pub still_sore: Option<bool>,
    /// Who cleared the stretch after it had been closed.
    pub cleared_by: Option<String>,
    /// Who wrote it down.
    pub by: String,
    /// A remark.
    pub note: String,
    /// The day on which the row was taken back, as a slip.
    pub off: Option<NaiveDate>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::client::{ClientId, Profile};

    #[test]
    fn a_check_that_was_broken_off_keeps_what_it_found_and_does_not_count_as_asked() {
        let today: NaiveDate = "2026-11-20".parse().expect("a day");
        let mut profile = Profile::new(ClientId::new("a").expect("an id"), "A");
        let mut broken_off = Screening::left_open(today, "heart-and-vessels");
        broken_off.answers.insert("heart-and-vessels".to_owned(), Answer::Unsure);
        profile.add_screening(broken_off);
        profile.clear_open_points("Dr Amari", today);
        assert_eq!(profile.screening_record(today).screened, None, "fifteen questions were never asked");
        let mut whole = Screening::clear(today);
        whole.answers = questions().iter().map(|asked| (asked.id.clone(), Answer::No)).collect();
        profile.add_screening(whole);
        assert_eq!(profile.screening_record(today).screened, Some(today));
        assert!(!profile.screening_record(today).open);
    }
}
