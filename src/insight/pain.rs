//! The way back to a stretch that was stopped for pain: by stretch and side, a step at a time.
//!
//! | step | offered | goes on after |
//! | --- | --- | --- |
//! | rest | not that stretch; for the muscles it is about nothing beyond the gentlest forms | three days |
//! | try | the gentlest form, half the hold, aim 3; ask first | two painless sessions |
//! | gentle | the gentlest form, the usual hold, aim 3 | two painless sessions, and day 7 |
//! | form | the form that hurt, half the hold, aim 3 | two painless sessions: then as before |
//!
//! Rest at first and then gentle lengthening without pain follows what is said of muscle strains (DELOS2013,
//! JARVINEN2013; rest of 48 to 72 hours: from memory); stretching more often went with an earlier return there
//! (Malliaropoulos et al. 2004, Med Sci Sports Exerc 36:756: 13.3 against 15.1 days, 80 athletes). The numbers of
//! sessions are practice, tried by simulation. No step is skipped by waiting, and nothing is shut for good.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::catalogue::{FormId, StretchId};
use crate::caution::signs::{Ends, signs};
use crate::client::{Ended, PainFollowUp};

use super::record::{KnownReport, Sitting};

/// Days of rest after pain.
const REST_DAYS: i64 = 3;
/// Painless sessions that a step takes.
pub const PAINLESS: u32 = 2;
/// Days after the pain before which a gentle form stays gentle.
const GENTLE_DAYS: i64 = 7;
/// Answers above this are not painless.
const PAINLESS_UP_TO: u8 = 4;
/// So many pains within so many days, one of them in the gentlest form, close the stretch until somebody clears it.
const CLOSES_AFTER: usize = 3;
const CLOSES_WITHIN: i64 = 42;

/// Where the way back has come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PainStage {
    /// Not done on that side.
    Rest,
    /// The gentlest form, half the hold.
    Try,
    /// The gentlest form, the usual hold.
    Gentle,
    /// The form that hurt, half the hold.
    Form,
    /// Closed until somebody writes who cleared it.
    Closed,
}

/// The way back of one stretch on one side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WayBack {
    /// The stretch.
    pub stretch: StretchId,
    /// The side.
    pub side: Side,
    /// The form that hurt.
    pub form: FormId,
    /// Whether there is no other form: then two thirds of the angle take the place of a gentler one.
    pub is_only_form: bool,
    /// The muscles that it is about.
    pub muscles: Vec<Muscle>,
    /// The day of the last pain.
    pub on: NaiveDate,
    /// On how many days of the six weeks before that it was stopped for pain.
    pub pains: u32,
    /// Where it has come to.
    pub stage: PainStage,
    /// Painless sessions on that step so far, of two.
    pub painless: u32,
}

/// Something that happened to a stretch on one side, for the table of events.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PainEvent {
    /// The day.
    pub on: NaiveDate,
    /// The stretch.
    pub stretch: StretchId,
    /// The side.
    pub side: Side,
    /// What happened.
    pub what: PainChange,
}

/// What happened after pain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PainChange {
    /// It was stopped for pain.
    Hurt,
    /// It was stopped for pain and is closed with it.
    Closed,
    /// Somebody cleared it.
    Cleared,
    /// It was done as before again.
    AsBefore,
}

/// What was written down after pain: an answer to 'still sore the day after?', or who cleared the stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PainNote<'a> {
    pub(super) stretch: &'a StretchId,
    /// None where both sides were done at once.
    pub(super) side: Option<Side>,
    pub(super) on: NaiveDate,
    pub(super) is_sore: bool,
    pub(super) is_cleared: bool,
}

impl<'a> PainNote<'a> {
    /// What a row of the file says; nothing if it was taken back.
    pub(super) fn of(row: &'a PainFollowUp) -> Option<Self> {
        row.off.is_none().then(|| Self {
            stretch: &row.stretch,
            side: row.side,
            on: row.on,
            is_sore: row.still_sore == Some(true),
            is_cleared: row.cleared_by.is_some(),
        })
    }
}

/// What happened up to a day, stretch by stretch.
pub(super) fn events(
    sittings: &[Sitting<'_>],
    pain_notes: &[PainNote<'_>],
    today: NaiveDate,
) -> Vec<PainEvent> {
    let event = |way: &PainCourse<'_>, &(on, what): &(NaiveDate, PainChange)| PainEvent {
        on,
        stretch: way.worked.stretch.id.clone(),
        side: way.side,
        what,
    };
    let mut courses = PainCourses::default();
    for sitting in sittings {
        courses.take(sitting, pain_notes);
    }
    let ways = courses.on(pain_notes, today);
    ways.iter().flat_map(|way| way.events.iter().map(move |told| event(way, told))).collect()
}

/// Every stretch and side that ever hurt, up to a session.
#[derive(Default)]
pub(super) struct PainCourses<'a> {
    ways: BTreeMap<(&'a StretchId, Side), PainCourse<'a>>,
}

impl<'a> PainCourses<'a> {
    /// Takes in the next session.
    pub(super) fn take(&mut self, sitting: &Sitting<'a>, pain_notes: &[PainNote<'_>]) {
        for worked in &sitting.reports {
            for &side in worked.sides() {
                let key = (&worked.stretch.id, side);
                if worked.report.ended == Ended::Pain {
                    let way = self.ways.entry(key).or_insert_with(|| PainCourse::new(worked, side));
                    way.go_on(pain_notes, sitting.on);
                    way.hurt(worked, sitting.on);
                } else if let Some(way) = self.ways.get_mut(&key) {
                    way.go_on(pain_notes, sitting.on);
                    way.tried(worked, sitting.on);
                }
            }
        }
    }

    /// The stretches and sides that are on the way back on a day.
    pub(super) fn ways_back(&self, pain_notes: &[PainNote<'_>], today: NaiveDate) -> Vec<WayBack> {
        self.on(pain_notes, today).iter().filter(|way| !way.is_over).map(PainCourse::told).collect()
    }

    fn on(&self, pain_notes: &[PainNote<'_>], today: NaiveDate) -> Vec<PainCourse<'a>> {
        let mut ways: Vec<_> = self.ways.values().cloned().collect();
        for way in &mut ways {
            way.go_on(pain_notes, today);
        }
        ways
    }
}

/// What is remembered of one stretch and side from session to session.
#[derive(Clone)]
struct PainCourse<'a> {
    /// What hurt last.
    worked: KnownReport<'a>,
    side: Side,
    /// Days of pain within six weeks of the last, and whether it was the gentlest form.
    pains: Vec<(NaiveDate, bool)>,
    stage: PainStage,
    /// Days of the painless tries on this step.
    painless: Vec<NaiveDate>,
    /// Up to when follow-ups were taken in.
    heard: NaiveDate,
    /// Since when it is closed.
    closed: Option<NaiveDate>,
    is_over: bool,
    events: Vec<(NaiveDate, PainChange)>,
}

impl<'a> PainCourse<'a> {
    fn new(worked: &KnownReport<'a>, side: Side) -> Self {
        Self {
            worked: *worked,
            side,
            pains: Vec::new(),
            stage: PainStage::Rest,
            painless: Vec::new(),
            heard: NaiveDate::MIN,
            closed: None,
            is_over: false,
            events: Vec::new(),
        }
    }

    fn last_pain(&self) -> NaiveDate {
        self.pains.last().map_or(NaiveDate::MIN, |(on, _)| *on)
    }

    /// What the days and what was written down up to `on` change.
    fn go_on(&mut self, pain_notes: &[PainNote<'_>], on: NaiveDate) {
        let heard = std::mem::replace(&mut self.heard, on);
        let mine = pain_notes.iter().filter(|pain_note| {
            pain_note.stretch == &self.worked.stretch.id
                && pain_note.side.is_none_or(|side| side == self.side)
                && pain_note.on <= on
        });
        for pain_note in mine {
            // The answer is about the last try before that day, which then was not painless.
            let is_new = heard < pain_note.on && pain_note.is_sore;
            if is_new && self.painless.last().is_some_and(|tried| *tried < pain_note.on) {
                self.painless.pop();
            }
            if pain_note.is_cleared && self.closed.is_some_and(|closed| closed <= pain_note.on) {
                (self.stage, self.closed) = (PainStage::Try, None);
                self.events.push((pain_note.on, PainChange::Cleared));
                self.painless.clear();
                // What led to it is settled: only new pain closes it again.
                self.pains.drain(..self.pains.len() - 1);
            }
        }
        let days = (on - self.last_pain()).num_days();
        let done =
            self.painless.len() >= PAINLESS as usize && self.painless.last().is_some_and(|last| *last < on);
        let next = match self.stage {
            PainStage::Rest if days >= REST_DAYS => Some(PainStage::Try),
            PainStage::Try if done => Some(PainStage::Gentle),
            PainStage::Gentle if done && days >= GENTLE_DAYS => Some(PainStage::Form),
            PainStage::Form if done && !self.is_over => {
                self.is_over = true;
                self.events.extend(self.painless.last().map(|last| (*last, PainChange::AsBefore)));
                None
            }
            _ => None,
        };
        if let Some(next) = next {
            self.stage = next;
            self.painless.clear();
        }
    }

    fn hurt(&mut self, worked: &KnownReport<'a>, on: NaiveDate) {
        self.worked = *worked;
        self.is_over = false;
        let is_gentlest = worked.stretch.forms.first().is_some_and(|first| first.id == worked.form.id);
        match self.pains.last_mut() {
            Some((day, gentlest)) if *day == on => *gentlest |= is_gentlest,
            _ => self.pains.push((on, is_gentlest)),
        }
        self.pains.retain(|(day, _)| (on - *day).num_days() <= CLOSES_WITHIN);
        self.painless.clear();
        let too_often = self.pains.len() >= CLOSES_AFTER && self.pains.iter().any(|(_, gentlest)| *gentlest);
        if too_often || self.closed.is_some() || is_red_flag(worked.report.sign.as_deref()) {
            self.stage = PainStage::Closed;
            self.closed = Some(on);
            self.events.push((on, PainChange::Closed));
        } else {
            self.stage = PainStage::Rest;
            self.events.push((on, PainChange::Hurt));
        }
    }

    fn tried(&mut self, worked: &KnownReport<'_>, on: NaiveDate) {
        let place = |id: &FormId| worked.stretch.forms.iter().position(|form| form.id == *id);
        let as_far = place(&worked.form.id) >= place(&self.worked.form.id);
        let counts = match self.stage {
            PainStage::Try | PainStage::Gentle => true,
            PainStage::Form => as_far,
            PainStage::Rest | PainStage::Closed => false,
        };
        let is_painless = worked.report.level.is_some_and(|level| level.get() <= PAINLESS_UP_TO);
        if counts && is_painless && worked.is_done() && !self.is_over && self.painless.last() != Some(&on) {
            self.painless.push(on);
        }
    }

    fn told(&self) -> WayBack {
        let count = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
        WayBack {
            stretch: self.worked.stretch.id.clone(),
            side: self.side,
            form: self.worked.form.id.clone(),
            is_only_form: self.worked.stretch.forms.len() == 1,
            muscles: self.worked.muscles().collect(),
            on: self.last_pain(),
            pains: count(self.pains.len()),
            stage: self.stage,
            painless: count(self.painless.len()),
        }
    }
}

/// Whether a sign needs medical attention whatever else is felt.
fn is_red_flag(sign: Option<&str>) -> bool {
    let known = sign.and_then(|sign| signs().iter().find(|known| known.id == sign));
    known.is_some_and(|known| known.ends == Ends::Emergency || known.red_flag == "always")
}
