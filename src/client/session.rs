//! One closing block that took place, and what came out of each step.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, TimeDelta, Timelike as _};

use crate::body::{Degrees, Level, Minutes, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::names::{named, word_id};

use super::change::{Disagreement, Revision, TakenBack};
use super::trained::Trained;

named! {
    /// What the client agreed to today.
    pub enum Consent("consent") {
        /// Hands-on work.
        HandsOn = "hands-on",
        /// The client stretches alone, the trainer coaches.
        SelfStretch = "self-stretch",
        /// No closing block.
        Declined = "declined",
    }
}

named! {
    /// What a client takes out of the consent, when it is asked for or later.
    pub enum ConsentLimit("limit of consent") {
        /// No massage finish.
        NoMassage = "no-massage",
        /// A mat or towel stays between hand and client.
        MatBetween = "mat-between",
        /// No hands any more: the client stretches alone.
        SelfStretch = "self-stretch",
        /// Nothing more: the block ends.
        Stopped = "stopped",
    }
}

named! {
    /// Why a step ended before its time.
    pub enum Ended("reason") {
        /// It did not: the step was done.
        Done = "done",
        /// Left out by the trainer or the client.
        Skipped = "skipped",
        /// Stopped for pain.
        Pain = "pain",
        /// The client withdrew consent.
        Withdrawn = "withdrawn",
        /// The program was left in the middle of it.
        CutOff = "cut-off",
    }
}

word_id! {
    /// Names the position in which an angle was measured, such as that of a published test.
    TestPosition, "test position"
}
word_id! {
    /// Names what an angle was measured with.
    Instrument, "instrument"
}

named! {
    /// Whether an angle was measured before or after the stretch: 5 to 7 degrees lie between.
    pub enum Taken("time of measuring") {
        /// Before it.
        Before = "before",
        /// After it.
        After = "after",
    }
}

/// An angle that was measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Angle {
    /// How far the joint went.
    pub degrees: Degrees,
    /// Before or after the stretch, if that was said.
    pub taken: Option<Taken>,
    /// In which test position, if that was said.
    pub position: Option<TestPosition>,
    /// With what, if that was said.
    pub with: Option<Instrument>,
}

impl Angle {
    /// An angle of which nothing else was said.
    pub const fn new(degrees: Degrees) -> Self {
        Self { degrees, taken: None, position: None, with: None }
    }
}

/// What the plan had asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Planned {
    /// Seconds under stretch, without pushes and pauses.
    pub held: Seconds,
    /// Cycles of push and stretch; 0 for a static hold.
    pub cycles: u8,
    /// The answer that was aimed at.
    pub aim: Option<Level>,
}

/// What came out of one step on one side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// The stretch.
    pub stretch: StretchId,
    /// The form of it.
    pub form: FormId,
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// How it was worked.
    pub method: Method,
    /// Cycles of push and stretch; 0 for a static hold.
    pub cycles: u8,
    /// Seconds under stretch, without pushes and pauses.
    pub held: Seconds,
    /// What the plan had asked for; none where there was no plan.
    pub planned: Option<Planned>,
    /// What the client answered, if asked.
    pub level: Option<Level>,
    /// The angles that were measured, in their order.
    pub angles: Vec<Angle>,
    /// How it ended.
    pub ended: Ended,
    /// The sign that it was stopped for, by its name, if one was named.
    pub sign: Option<String>,
    /// A remark.
    pub note: String,
}

impl Report {
    /// A static hold that was done, of which nothing else was said.
    pub const fn new(stretch: StretchId, form: FormId, side: Option<Side>, held: Seconds) -> Self {
        Self {
            stretch,
            form,
            side,
            method: Method::Static,
            cycles: 0,
            held,
            planned: None,
            level: None,
            angles: Vec::new(),
            ended: Ended::Done,
            sign: None,
            note: String::new(),
        }
    }

    /// Names what its angles were measured with, where that was not said.
    pub fn measured_with(&mut self, instrument: Option<&Instrument>) {
        for angle in self.angles.iter_mut().filter(|angle| angle.with.is_none()) {
            angle.with = instrument.cloned();
        }
    }

    /// The angle to speak of where one is enough: the last that was not measured after the stretch, else the last.
    pub fn angle(&self) -> Option<Degrees> {
        let before = self.angles.iter().rev().find(|angle| angle.taken != Some(Taken::After));
        before.or_else(|| self.angles.last()).map(|angle| angle.degrees)
    }
}

/// Something that the client took out of the consent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Narrowing {
    /// What.
    pub what: ConsentLimit,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// When it was given back: by the client, who was asked again, or because noting it was a slip.
    pub lifted: Option<DateTime<FixedOffset>>,
}

named! {
    /// What a trainer did to a plan before it began.
    pub enum CorrectionKind("correction") {
        /// Put a stretch in.
        Pinned = "pinned",
        /// Took a stretch out.
        LeftOut = "left-out",
        /// Took one stretch in place of another.
        Swapped = "swapped",
    }
}

/// A correction of the plan with which a session began, of the trainer's own will.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Correction {
    /// What was done.
    pub kind: CorrectionKind,
    /// The stretch that was put in or left out.
    pub stretch: StretchId,
    /// Its form; all of them without one.
    pub form: Option<FormId>,
    /// What it took the place of, in a swap.
    pub instead_of: Option<(StretchId, FormId)>,
}

/// One closing block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// When it began, in whole seconds: by this moment it is known in every copy.
    pub at: DateTime<FixedOffset>,
    /// The minutes it was planned for.
    pub minutes: Minutes,
    /// Who worked with the client; empty if nobody said.
    pub by: String,
    /// What was trained before it.
    pub trained: Trained,
    /// What the client agreed to.
    pub consent: Consent,
    /// What the client took out of that consent, in the order of time.
    pub narrowed: Vec<Narrowing>,
    /// What the trainer did to the plan before it began.
    pub corrections: Vec<Correction>,
    /// Reports by their number in the file, in the order they were given; so the side that went first has the
    /// lower number.
    pub reports: BTreeMap<u32, Report>,
    /// Reports that were taken back: they stay in the file and count for nothing.
    pub taken_back: BTreeMap<u32, (Report, TakenBack)>,
    /// When it was closed; none if it was cut off.
    pub closed: Option<DateTime<FixedOffset>>,
    /// A remark.
    pub note: String,
    /// What was changed in it afterwards, oldest first.
    pub changes: Vec<Revision>,
    /// What copies disagree about.
    pub disagreements: Vec<Disagreement>,
}

impl Session {
    /// A session that has just begun.
    pub fn new(at: DateTime<FixedOffset>, minutes: Minutes, consent: Consent) -> Self {
        Self {
            at: whole_second(at),
            minutes,
            by: String::new(),
            trained: Trained::new(),
            consent,
            narrowed: Vec::new(),
            corrections: Vec::new(),
            reports: BTreeMap::new(),
            taken_back: BTreeMap::new(),
            closed: None,
            note: String::new(),
            changes: Vec::new(),
            disagreements: Vec::new(),
        }
    }

    /// Whether it was cut off and never closed. Where the client declined there is nothing to go on with.
    pub fn is_cut_off(&self) -> bool {
        self.closed.is_none() && self.consent != Consent::Declined
    }

    /// Whether it ended so long after it began that one of the two is a slip.
    pub fn lasts_too_long(&self) -> bool {
        self.closed.is_some_and(|closed| closed - self.at > TimeDelta::days(1))
    }

    /// Whether it says that the client declined, and yet that something was held.
    pub fn contradicts_itself(&self) -> bool {
        self.consent == Consent::Declined && self.reports.values().any(|report| report.held > Seconds::ZERO)
    }

    /// When the client took something out of the consent that is still out; the first time.
    pub fn narrowed_at(&self, what: ConsentLimit) -> Option<DateTime<FixedOffset>> {
        let in_force = |narrowing: &&Narrowing| narrowing.what == what && narrowing.lifted.is_none();
        self.narrowed.iter().filter(in_force).map(|narrowing| narrowing.at).min()
    }

    /// Whether something is out of the consent.
    pub fn is_narrowed(&self, what: ConsentLimit) -> bool {
        self.narrowed_at(what).is_some()
    }

    /// What is out of the consent, each kind once.
    pub fn limits(&self) -> impl Iterator<Item = ConsentLimit> {
        ConsentLimit::ALL.iter().copied().filter(|&what| self.is_narrowed(what))
    }

    /// Takes something out of the consent; nothing if it is out already.
    pub fn narrow(&mut self, what: ConsentLimit, at: DateTime<FixedOffset>) {
        if !self.is_narrowed(what) {
            self.narrowed.push(Narrowing { what, at: whole_second(at), lifted: None });
        }
    }

    /// Gives back what was taken out of the consent.
    pub fn lift(&mut self, what: ConsentLimit, at: DateTime<FixedOffset>) {
        for narrowing in self.narrowed.iter_mut().filter(|narrowing| narrowing.what == what) {
            narrowing.lifted.get_or_insert(whole_second(at));
        }
    }
}

/// A moment without the parts of a second, which some tools cut off and others keep.
pub fn whole_second(at: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    at.with_nanosecond(0).unwrap_or(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_taken_out_and_given_back_can_be_taken_out_again() {
        let at: DateTime<FixedOffset> = "2026-11-20T18:45:00.123456+01:00".parse().unwrap();
        let mut session = Session::new(at, Minutes::new(10).unwrap(), Consent::HandsOn);
        assert_eq!(session.at.to_rfc3339(), "2026-11-20T18:45:00+01:00");
        let later = at + chrono::TimeDelta::seconds(30);
        session.narrow(ConsentLimit::MatBetween, at);
        session.narrow(ConsentLimit::MatBetween, later);
        assert_eq!(session.narrowed_at(ConsentLimit::MatBetween), Some(session.at), "the first time");
        session.lift(ConsentLimit::MatBetween, later);
        assert_eq!(session.limits().count(), 0);
        session.narrow(ConsentLimit::MatBetween, later);
        assert!(session.is_narrowed(ConsentLimit::MatBetween));
        assert_eq!(session.narrowed.len(), 2, "both stay on record");
    }

    #[test]
    fn an_angle_from_before_the_stretch_goes_first() {
        let degrees = |number| Degrees::new(number).unwrap();
        let stretch = StretchId::new("a").unwrap();
        let mut report = Report::new(stretch, FormId::new("b").unwrap(), None, Seconds::new(30));
        assert_eq!(report.angle(), None);
        report.angles.push(Angle { taken: Some(Taken::After), ..Angle::new(degrees(78)) });
        assert_eq!(report.angle(), Some(degrees(78)));
        report.angles.insert(0, Angle { taken: Some(Taken::Before), ..Angle::new(degrees(71)) });
        assert_eq!(report.angle(), Some(degrees(71)));
    }
}
