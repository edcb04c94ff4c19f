//! The state of a live closing block and how time moves it on. What the trainer presses is in `controls`.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use crate::body::{Minutes, Muscle, Seconds, Side};
use crate::catalogue::{Catalogue, FormId, Helper, Position, StretchId, Target};
use crate::client::{Consent, Ended, Report, Session, Trained};
use crate::planner::{Plan, Step};

use super::countdown::{Countdown, Moment, duration, rounded_up};
use super::intervals::{self, Interval};
use super::message::{Bell, Outcome, Pause};
use super::stage::Stage;
use super::step_run::StepRun;

/// Seconds before the end of a hold at which the bell warns; common practice, no source.
const WARNING: Seconds = Seconds::new(5);

/// Holds shorter than this get no warning: it would come in their first half.
const WARNED_FROM: Seconds = Seconds::new(12);

/// Time that may pass unseen before it is no longer taken for granted that the work went on: our judgement.
const UNSEEN: Duration = Duration::from_secs(10);

/// Where the block is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BlockCursor {
    Step(usize),
    Massage,
    Waiting,
    Finished,
}

/// A closing block that is going on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Live {
    pub(super) minutes: Minutes,
    pub(super) runs: Vec<StepRun>,
    pub(super) massage: Seconds,
    pub(super) cursor: BlockCursor,
    /// The phases of this step; `interval` is the number of the running one.
    pub(super) intervals: Vec<Interval>,
    pub(super) interval: usize,
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
        let runs = StepRun::of_plan(plan, plan.opening);
        let mut live = Self {
            minutes: plan.minutes,
            runs,
            massage: plan.massage,
            cursor: BlockCursor::Waiting,
            intervals: Vec::new(),
            interval: 0,
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
            live.cursor = BlockCursor::Finished;
        } else {
            live.arrive(0, now, &mut unheard);
        }
        if plan.opening > Seconds::ZERO && matches!(live.cursor, BlockCursor::Step(_)) {
            live.intervals.insert(0, Interval { stage: Stage::Opening, length: plan.opening });
            live.start_part(now);
        }
        live.planned_end = now.after(live.remaining_now(now));
        live
    }

    /// Goes on with a session that was cut off: its reports stand, new ones are numbered after them.
    #[must_use]
    pub fn with_reports(mut self, reports: BTreeMap<u32, Report>) -> Self {
        self.earlier = reports;
        self
    }

    /// Learns from the catalogue how much of a hold counts for each muscle, and which forms need no hands.
    ///
    /// Without it each muscle of a step counts in full and every step is taken to be hands-on.
    #[must_use]
    pub fn with_catalogue(mut self, catalogue: &Catalogue) -> Self {
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
        self.cursor == BlockCursor::Finished
    }

    /// The steps in order, those over included, each with its report once it has one.
    pub fn steps(&self) -> impl Iterator<Item = (&Step, Option<&Report>)> {
        self.runs.iter().map(|run| (&run.step, run.reported.as_ref().map(|(_, report)| report)))
    }

    /// Every report so far by its number.
    pub fn reports(&self) -> BTreeMap<u32, Report> {
        let new = self.runs.iter().filter_map(|run| run.reported.clone());
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

    /// Whether the block is in order, as it must be after every input.
    ///
    /// There are no intervals exactly where nothing runs, nothing left is longer than its interval, the countdown
    /// stands exactly where the block does, no more counts as held than has passed, and whatever is over has told its
    /// report once.
    pub fn is_sound(&self) -> bool {
        let rests = matches!(self.cursor, BlockCursor::Waiting | BlockCursor::Finished);
        let places = self.intervals.is_empty() == rests && (rests || self.interval < self.intervals.len());
        let countdown = match self.countdown {
            Countdown::Done => rests,
            Countdown::Paused { .. } => !rests && self.pause.is_some(),
            Countdown::Running { .. } => !rests && self.pause.is_none(),
        };
        let held: Duration = self.runs.iter().map(|run| run.held).sum();
        let numbers: BTreeSet<u32> =
            self.runs.iter().filter_map(|run| run.reported.as_ref()).map(|(number, _)| *number).collect();
        let reported = self.runs.iter().filter(|run| run.reported.is_some()).count();
        places
            && countdown
            && self.countdown.exact(self.seen) <= duration(self.length)
            && held <= self.seen.since(self.started)
            && self.runs.iter().all(|run| run.ended.is_none() || run.reported.is_some())
            && numbers.len() == reported
            && numbers.iter().all(|number| !self.earlier.contains_key(number))
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
        let is_hold = self.stage().is_stretch() || self.cursor == BlockCursor::Massage;
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
        let relaxed = matches!(self.stage(), Stage::Relax { .. });
        self.count_held(at);
        if let (true, BlockCursor::Step(index)) = (relaxed, self.cursor) {
            self.runs[index].cycles = self.runs[index].cycles.saturating_add(1);
        }
        self.interval += 1;
        if self.interval < self.intervals.len() {
            self.start_part(at);
            outcomes.push(Outcome::Bell(Bell::Change));
            return;
        }
        match self.cursor {
            BlockCursor::Step(index) => {
                self.close(index, Ended::Done, at, outcomes);
                self.arrive(index + 1, at, outcomes);
            }
            BlockCursor::Massage | BlockCursor::Waiting => self.cursor = BlockCursor::Finished,
            BlockCursor::Finished => {}
        }
        self.announce_end(outcomes);
    }

    /// Goes to the first step from `from` on that is still to come, to the massage, or to the end.
    pub(super) fn arrive(&mut self, from: usize, at: Moment, outcomes: &mut Vec<Outcome>) {
        self.intervals.clear();
        self.interval = 0;
        self.countdown = Countdown::Done;
        if let Some(index) = (from..self.runs.len()).find(|&index| self.runs[index].is_to_come()) {
            self.cursor = BlockCursor::Step(index);
            let run = &self.runs[index];
            let stays = self.position == Some(run.step.position)
                && (self.side == run.step.side || run.step.side.is_none());
            let way = if stays { run.gap } else { run.gap + run.owed };
            if way > Seconds::ZERO {
                let stage = Stage::Change { from: self.position, to: run.step.position };
                self.intervals.push(Interval { stage, length: way });
            }
            self.intervals.extend(intervals::of_step(&run.step));
        } else if self.massage > Seconds::ZERO {
            self.cursor = BlockCursor::Massage;
            self.intervals.push(Interval { stage: Stage::Massage, length: self.massage });
        } else {
            self.cursor = BlockCursor::Finished;
        }
        if !self.intervals.is_empty() {
            self.start_part(at);
            outcomes.push(Outcome::Bell(Bell::Change));
        }
    }

    /// Starts the phase that `interval` points at; it stands still if the block does.
    pub(super) fn start_part(&mut self, at: Moment) {
        self.length = self.intervals[self.interval].length;
        self.since = at;
        self.warned = false;
        self.countdown = if self.pause.is_some() {
            Countdown::waiting(self.length)
        } else {
            Countdown::start(self.length, at)
        };
        if let (BlockCursor::Step(index), Stage::SetUp | Stage::Hold | Stage::Push { .. }) =
            (self.cursor, self.stage())
        {
            self.position = Some(self.runs[index].step.position);
            self.side = self.runs[index].step.side;
        }
        if let (BlockCursor::Step(index), true) = (self.cursor, self.stage().is_work())
            && !self.interval.checked_sub(1).is_some_and(|before| self.intervals[before].stage.is_work())
        {
            self.runs[index].begun = Some(at);
        }
    }

    /// Ends a step and reports it, or amends its report if it has one.
    pub(super) fn close(&mut self, index: usize, ended: Ended, at: Moment, outcomes: &mut Vec<Outcome>) {
        let run = &mut self.runs[index];
        run.over = Some(at);
        // Breaking off what was done once already does not undo it.
        if !(run.reopened && matches!(ended, Ended::Skipped | Ended::CutOff)) {
            run.ended = Some(ended);
        }
        run.reopened = false;
        self.tell(index, outcomes);
        self.last = Some(index);
    }

    /// Reports a step that has ended, or amends its report if that is there already.
    pub(super) fn tell(&mut self, index: usize, outcomes: &mut Vec<Outcome>) {
        let Some(report) = self.runs[index].report() else { return };
        let old = self.runs[index].reported.as_ref().map(|(number, _)| *number);
        let number = old.unwrap_or_else(|| self.last_number() + 1);
        self.runs[index].reported = Some((number, report.clone()));
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
            self.intervals.clear();
            self.interval = 0;
            self.pause = None;
            outcomes.push(Outcome::Bell(Bell::End));
            outcomes.push(Outcome::Finished);
        }
    }

    /// Counts the running phase's time up to `at` as held, if it is time under stretch.
    pub(super) fn count_held(&mut self, at: Moment) {
        if let (BlockCursor::Step(index), true, true) =
            (self.cursor, self.is_running(), self.stage().is_stretch())
        {
            self.runs[index].held += at.since(self.since);
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
        match (self.cursor, self.intervals.get(self.interval)) {
            (BlockCursor::Finished, _) => Stage::Finished,
            (_, Some(interval)) => interval.stage,
            (_, None) => Stage::Waiting,
        }
    }

    pub(super) fn current(&self) -> Option<&StepRun> {
        match self.cursor {
            BlockCursor::Step(index) => self.runs.get(index),
            _ => None,
        }
    }

    /// The next step after `index` that is still to come.
    pub(super) fn next_after(&self, index: usize) -> Option<usize> {
        (index + 1..self.runs.len()).find(|&next| self.runs[next].is_to_come())
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
        let new = self.runs.iter().filter_map(|run| run.reported.as_ref()).map(|(number, _)| *number).max();
        new.max(self.earlier.keys().next_back().copied()).unwrap_or(0)
    }
}
