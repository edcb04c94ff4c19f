//! The state of a live closing block and how time moves it on. What the trainer presses is in `steer`.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use crate::body::{Minutes, Muscle, Seconds, Side};
use crate::catalogue::{Catalogue, FormId, Helper, Position, StretchId, Target};
use crate::client::{Consent, Ended, Report, Session, Trained};
use crate::planner::{Plan, Step};

use super::countdown::{Countdown, Moment, rounded_up};
use super::message::{Bell, Outcome, Pause};
use super::script::{self, Part};
use super::view::Stage;
use super::work::Work;

/// Seconds before the end of a hold at which the bell warns; common practice, no source.
const WARNING: Seconds = Seconds::new(5);

/// Holds shorter than this get no warning: it would come in their first half.
const WARNED_FROM: Seconds = Seconds::new(12);

/// Time that may pass unseen before it is no longer taken for granted that the work went on: our judgement.
const UNSEEN: Duration = Duration::from_secs(10);

/// Where the block is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    Step(usize),
    Massage,
    Waiting,
    Finished,
}

/// A closing block that is going on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Live {
    pub(super) minutes: Minutes,
    pub(super) works: Vec<Work>,
    pub(super) massage: Seconds,
    pub(super) place: Place,
    /// The phases of this place; `part` is the running one.
    pub(super) parts: Vec<Part>,
    pub(super) part: usize,
    /// Length of the running phase, extensions included.
    pub(super) length: Seconds,
    pub(super) countdown: Countdown,
    /// Since when the countdown runs, as far as it is not yet counted into `held`.
    pub(super) since: Moment,
    pub(super) warned: bool,
    pub(super) pause: Option<Pause>,
    pub(super) started: Moment,
    /// The latest moment that was handed in.
    pub(super) seen: Moment,
    pub(super) planned_end: Moment,
    pub(super) due: Moment,
    /// Where the client is, and the side that was worked last.
    pub(super) position: Option<Position>,
    pub(super) side: Option<Side>,
    /// The step whose report came last.
    pub(super) last: Option<usize>,
    /// The step that was last stopped for pain, and what was left out for it.
    pub(super) hurt: Option<(Step, Vec<Step>)>,
    /// What was agreed to at the start.
    pub(super) agreed: Consent,
    /// What is agreed to now.
    pub(super) consent: Consent,
    forms: BTreeMap<(StretchId, FormId), (Vec<Target>, Helper)>,
    /// What was done before the block was cut off.
    pub(super) earlier: BTreeMap<u32, Report>,
    announced: bool,
}

impl Live {
    /// Starts the block: its opening runs from `now`.
    pub fn start(plan: &Plan, consent: Consent, now: Moment) -> Self {
        let works = Work::of_plan(plan, plan.opening);
        let mut live = Self {
            minutes: plan.minutes,
            works,
            massage: plan.massage,
            place: Place::Waiting,
            parts: Vec::new(),
            part: 0,
            length: Seconds::ZERO,
            countdown: Countdown::Done,
            since: now,
            warned: false,
            pause: None,
            started: now,
            seen: now,
            planned_end: now,
            due: now.after(Duration::from_secs(plan.budget.get().into())),
            position: None,
            side: None,
            last: None,
            hurt: None,
            agreed: consent,
            consent,
            forms: BTreeMap::new(),
            earlier: BTreeMap::new(),
            announced: false,
        };
        let mut unheard = Vec::new();
        if consent == Consent::Declined {
            live.place = Place::Finished;
        } else {
            live.arrive(0, now, &mut unheard);
        }
        if plan.opening > Seconds::ZERO && matches!(live.place, Place::Step(_)) {
            live.parts.insert(0, Part { stage: Stage::Opening, length: plan.opening });
            live.start_part(now);
        }
        live.planned_end = now.after(live.remaining_now(now));
        live
    }

    /// Goes on with a session that was cut off: its reports stand, new ones are numbered after them.
    #[must_use]
    pub fn continuing(mut self, reports: BTreeMap<u32, Report>) -> Self {
        self.earlier = reports;
        self
    }

    /// Learns from the catalogue how much of a hold counts for each muscle, and which forms need no hands.
    ///
    /// Without it each muscle of a step counts in full and every step is taken to be hands-on.
    #[must_use]
    pub fn weighing(mut self, catalogue: &Catalogue) -> Self {
        for stretch in catalogue.stretches() {
            for form in &stretch.forms {
                let key = (stretch.id.clone(), form.id.clone());
                self.forms.insert(key, (form.targets.clone(), form.helper));
            }
        }
        self
    }

    /// What the client agrees to now.
    pub const fn consent(&self) -> Consent {
        self.consent
    }

    /// Whether the block is over.
    pub fn is_finished(&self) -> bool {
        self.place == Place::Finished
    }

    /// The steps in order, those over included, each with its report once it has one.
    pub fn steps(&self) -> impl Iterator<Item = (&Step, Option<&Report>)> {
        self.works.iter().map(|work| (&work.step, work.told.as_ref().map(|(_, report)| report)))
    }

    /// Every report so far by its number.
    pub fn reports(&self) -> BTreeMap<u32, Report> {
        let new = self.works.iter().filter_map(|work| work.told.clone());
        self.earlier.clone().into_iter().chain(new).collect()
    }

    /// The block as it goes into the client's file, not yet closed.
    pub fn session(&self, at: DateTime<FixedOffset>, trained: Trained) -> Session {
        Session {
            at,
            minutes: self.minutes,
            trained,
            consent: self.agreed,
            narrowed: BTreeMap::new(),
            reports: self.reports(),
            closed: None,
            note: String::new(),
        }
    }

    /// Lets time pass up to `now`; to be called whenever [`Live::next_wake`] says so, and sooner at will.
    pub fn wake(&mut self, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        outcomes
    }

    /// How long nothing will change; `None` until something is pressed.
    pub fn next_wake(&self, now: Moment) -> Option<Duration> {
        if self.is_finished() {
            return (!self.announced).then_some(Duration::ZERO);
        }
        self.countdown.next_change(self.clamp(now))
    }

    /// Everything that is due by `now`.
    pub(super) fn pass(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        let now = self.clamp(now);
        let unseen = now.since(self.seen);
        if unseen > UNSEEN && self.is_running() {
            self.wake_up(unseen, outcomes);
        }
        while let Countdown::Running { ends } = self.countdown {
            if ends > now {
                break;
            }
            self.end_part(ends, outcomes);
        }
        let is_hold = self.stage().is_stretch() || self.place == Place::Massage;
        if self.is_running() && is_hold && !self.warned && self.countdown.left(now) <= WARNING {
            self.warned = true;
            if self.length >= WARNED_FROM {
                outcomes.push(Outcome::Bell(Bell::Soon));
            }
        }
        self.announce_end(outcomes);
        self.seen = now;
    }

    /// After a sleep: what was all but due is finished, nothing else is taken to have happened.
    fn wake_up(&mut self, unseen: Duration, outcomes: &mut Vec<Outcome>) {
        let mut at = self.seen;
        if let Countdown::Running { ends } = self.countdown
            && ends <= at.after(UNSEEN)
        {
            self.end_part(ends, outcomes);
            at = ends;
        }
        if self.is_running() {
            let unseen = rounded_up(unseen);
            self.stand_still(Pause::Unseen(unseen), at);
            outcomes.push(Outcome::Unseen(unseen));
        }
    }

    /// Ends the running phase at a moment that has come.
    pub(super) fn end_part(&mut self, at: Moment, outcomes: &mut Vec<Outcome>) {
        let further = matches!(self.stage(), Stage::Further { .. });
        self.count_held(at);
        if let (true, Place::Step(index)) = (further, self.place) {
            self.works[index].cycles = self.works[index].cycles.saturating_add(1);
        }
        self.part += 1;
        if self.part < self.parts.len() {
            self.start_part(at);
            outcomes.push(Outcome::Bell(Bell::Change));
            return;
        }
        match self.place {
            Place::Step(index) => {
                self.close(index, Ended::Done, at, outcomes);
                self.arrive(index + 1, at, outcomes);
            }
            Place::Massage | Place::Waiting => self.place = Place::Finished,
            Place::Finished => {}
        }
        self.announce_end(outcomes);
    }

    /// Goes to the first step from `from` on that is still to come, to the massage, or to the end.
    pub(super) fn arrive(&mut self, from: usize, at: Moment, outcomes: &mut Vec<Outcome>) {
        self.parts.clear();
        self.part = 0;
        self.countdown = Countdown::Done;
        if let Some(index) = (from..self.works.len()).find(|&index| self.works[index].is_to_come()) {
            self.place = Place::Step(index);
            let work = &self.works[index];
            let stays = self.position == Some(work.step.position)
                && (self.side == work.step.side || work.step.side.is_none());
            let way = if stays { work.gap } else { work.gap + work.owed };
            if way > Seconds::ZERO {
                let stage = Stage::Change { from: self.position, to: work.step.position };
                self.parts.push(Part { stage, length: way });
            }
            self.parts.extend(script::parts(&work.step));
        } else if self.massage > Seconds::ZERO {
            self.place = Place::Massage;
            self.parts.push(Part { stage: Stage::Massage, length: self.massage });
        } else {
            self.place = Place::Finished;
        }
        if !self.parts.is_empty() {
            self.start_part(at);
            outcomes.push(Outcome::Bell(Bell::Change));
        }
    }

    /// Starts the phase that `part` points at; it stands still if the block does.
    pub(super) fn start_part(&mut self, at: Moment) {
        self.length = self.parts[self.part].length;
        self.since = at;
        self.warned = false;
        self.countdown = if self.pause.is_some() {
            Countdown::waiting(self.length)
        } else {
            Countdown::start(self.length, at)
        };
        if let (Place::Step(index), Stage::SetUp | Stage::Hold | Stage::Push { .. }) =
            (self.place, self.stage())
        {
            self.position = Some(self.works[index].step.position);
            self.side = self.works[index].step.side;
        }
        if let (Place::Step(index), true) = (self.place, self.stage().is_work())
            && !self.part.checked_sub(1).is_some_and(|before| self.parts[before].stage.is_work())
        {
            self.works[index].begun = Some(at);
        }
    }

    /// Ends a step and reports it, or amends its report if it has one.
    pub(super) fn close(&mut self, index: usize, ended: Ended, at: Moment, outcomes: &mut Vec<Outcome>) {
        let work = &mut self.works[index];
        work.over = Some(at);
        // Breaking off what was done once already does not undo it.
        if !(work.reopened && matches!(ended, Ended::Skipped | Ended::CutOff)) {
            work.ended = Some(ended);
        }
        work.reopened = false;
        self.tell(index, outcomes);
        self.last = Some(index);
    }

    /// Reports a step that has ended, or amends its report if that is there already.
    pub(super) fn tell(&mut self, index: usize, outcomes: &mut Vec<Outcome>) {
        let Some(report) = self.works[index].report() else { return };
        let old = self.works[index].told.as_ref().map(|(number, _)| *number);
        let number = old.unwrap_or_else(|| self.last_number() + 1);
        self.works[index].told = Some((number, report.clone()));
        outcomes.push(match old {
            Some(_) => Outcome::Amend(number, report),
            None => Outcome::Report(number, report),
        });
    }

    /// Says once that the block is over.
    pub(super) fn announce_end(&mut self, outcomes: &mut Vec<Outcome>) {
        if self.is_finished() && !self.announced {
            self.announced = true;
            self.countdown = Countdown::Done;
            self.parts.clear();
            self.part = 0;
            self.pause = None;
            outcomes.push(Outcome::Bell(Bell::End));
            outcomes.push(Outcome::Finished);
        }
    }

    /// Counts the running phase's time up to `at` as held, if it is time under stretch.
    pub(super) fn count_held(&mut self, at: Moment) {
        if let (Place::Step(index), true, true) = (self.place, self.is_running(), self.stage().is_stretch()) {
            self.works[index].held += at.since(self.since);
        }
        self.since = at;
    }

    /// Stands still from `at` on.
    pub(super) fn stand_still(&mut self, why: Pause, at: Moment) {
        self.count_held(at);
        self.countdown.pause(at);
        self.pause = Some(why);
    }

    pub(super) fn is_running(&self) -> bool {
        matches!(self.countdown, Countdown::Running { .. })
    }

    pub(super) fn stage(&self) -> Stage {
        match (self.place, self.parts.get(self.part)) {
            (Place::Finished, _) => Stage::Finished,
            (_, Some(part)) => part.stage,
            (_, None) => Stage::Waiting,
        }
    }

    pub(super) fn current(&self) -> Option<&Work> {
        match self.place {
            Place::Step(index) => self.works.get(index),
            _ => None,
        }
    }

    /// The next step after `index` that is still to come.
    pub(super) fn next_after(&self, index: usize) -> Option<usize> {
        (index + 1..self.works.len()).find(|&next| self.works[next].is_to_come())
    }

    /// Time never runs backwards here, whatever the clock does.
    pub(super) fn clamp(&self, now: Moment) -> Moment {
        now.max(self.seen)
    }

    /// What counts of a hold for each muscle of a step, in hundredths.
    pub(super) fn shares(&self, step: &Step) -> Vec<Target> {
        self.targets(&step.stretch, &step.form)
            .unwrap_or_else(|| step.muscles.iter().map(|&muscle| Target { muscle, share: 100 }).collect())
    }

    /// What counts of a hold for each muscle of a form that is known.
    pub(super) fn targets(&self, stretch: &StretchId, form: &FormId) -> Option<Vec<Target>> {
        self.forms.get(&(stretch.clone(), form.clone())).map(|(targets, _)| targets.clone())
    }

    /// Stretches any form of which reaches one of these muscles, as far as the catalogue is known.
    pub(super) fn reaching(&self, muscles: &BTreeSet<Muscle>) -> BTreeSet<StretchId> {
        let reaches = |targets: &[Target]| targets.iter().any(|target| muscles.contains(&target.muscle));
        self.forms.iter().filter(|(_, form)| reaches(&form.0)).map(|((id, _), _)| id.clone()).collect()
    }

    /// Whether the trainer's hands are on the client in a step.
    pub(super) fn is_hands_on(&self, step: &Step) -> bool {
        let form = self.forms.get(&(step.stretch.clone(), step.form.clone()));
        form.is_none_or(|(_, helper)| *helper == Helper::Assisted)
    }

    fn last_number(&self) -> u32 {
        let new = self.works.iter().filter_map(|work| work.told.as_ref()).map(|(number, _)| *number).max();
        new.max(self.earlier.keys().next_back().copied()).unwrap_or(0)
    }
}
