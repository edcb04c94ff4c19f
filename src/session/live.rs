//! The state of a live closing block and how time moves it on. What the trainer presses is in `controls`.

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use crate::body::Seconds;
use crate::catalogue::Catalogue;
use crate::client::{Consent, Ended, Report, Session, Trained};
use crate::planner::{Plan, Step};

use super::countdown::{Moment, duration, rounded_up};
use super::cue::{Saying, Spoken, is_too_late};
use super::current::Current;
use super::deadline::Deadline;
use super::history::History;
use super::intervals::{self, Interval};
use super::message::{Bell, Outcome, Pause, unsay};
use super::runs::Runs;
use super::stage::{BlockCursor, Stage};
use super::standstill::{Agreed, Hurt, Reached, Standstill};

/// Time that may pass unseen before it is no longer taken for granted that the work went on: our judgement.
const UNSEEN: Duration = Duration::from_secs(10);

/// A closing block that is going on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Live {
    pub(super) runs: Runs,
    pub(super) current: Current,
    pub(super) deadline: Deadline,
    pub(super) consent: Agreed,
    pub(super) reached: Reached,
    pub(super) pause: Option<Standstill>,
    pub(super) hurt: Option<Hurt>,
    pub(super) history: History,
    pub(super) voice: Spoken,
}

impl Live {
    /// Starts the block: its opening runs from `now`.
    pub fn start(plan: &Plan, consent: Consent, now: Moment) -> Self {
        let mut live = Self {
            runs: Runs::of_plan(plan),
            current: Current::nothing(BlockCursor::Ending, now),
            deadline: Deadline::new(plan.minutes, plan.budget, now),
            consent: Agreed { at_start: consent, now: consent },
            reached: Reached::default(),
            pause: None,
            hurt: None,
            history: History::default(),
            voice: Spoken::default(),
        };
        if consent != Consent::Declined {
            let opening = Interval { stage: Stage::Opening, length: plan.opening };
            live.arrive_after(Some(opening), 0, now, &mut Vec::new());
        }
        live.deadline.plan(live.work_left(now), now);
        live
    }

    /// Goes on with a session that was cut off: its reports stand, new ones are numbered after them.
    #[must_use]
    pub fn with_reports(mut self, reports: BTreeMap<u32, Report>) -> Self {
        self.runs.follow(reports);
        self
    }

    /// Learns from the catalogue how much of a hold counts for each muscle, and which forms need no hands.
    ///
    /// Without it each muscle of a step counts in full and every step is taken to be hands-on.
    #[must_use]
    pub fn with_catalogue(mut self, catalogue: &Catalogue) -> Self {
        self.runs.learn(catalogue);
        self
    }

    /// What the client agrees to now.
    pub const fn consent(&self) -> Consent {
        self.consent.now
    }

    /// Whether the block is over.
    pub const fn is_finished(&self) -> bool {
        self.current.cursor().is_over()
    }

    /// The steps in order, those over included, each with its report once it has one.
    pub fn steps(&self) -> impl Iterator<Item = (&Step, Option<&Report>)> {
        self.runs.iter().map(|run| (&run.step, run.reported.as_ref().map(|(_, report)| report)))
    }

    /// The steps that are still to come after this one, in order.
    pub fn to_come(&self) -> impl Iterator<Item = &Step> {
        let here = self.current.step();
        let later = self.runs.iter().enumerate().filter(move |(index, _)| Some(*index) > here);
        later.map(|(_, run)| run).filter(|run| run.is_to_come()).map(|run| &run.step)
    }

    /// Every report so far by its number.
    pub fn reports(&self) -> BTreeMap<u32, Report> {
        self.runs.reports()
    }

    /// The block as it goes into the client's file, not yet closed.
    pub fn session(&self, at: DateTime<FixedOffset>, trained: Trained) -> Session {
        let session = Session::new(at, self.deadline.minutes(), self.consent.at_start);
        Session { trained, reports: self.reports(), ..session }
    }

    /// Whether the block is in order, as it must be after every input.
    ///
    /// There are no intervals exactly where nothing runs, nothing left is longer than its interval, the countdown
    /// stands exactly where the block does, no more counts as held than has passed, and whatever is over has told its
    /// report once.
    pub fn is_sound(&self) -> bool {
        let seen = self.deadline.seen();
        self.current.is_sound(seen, self.pause.is_some()) && self.runs.is_sound(self.deadline.elapsed(seen))
    }

    /// Lets time pass up to `now`; to be called whenever [`Live::next_wake`] says so, and sooner at will.
    pub fn wake(&mut self, now: Moment) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        self.pass(now, &mut outcomes);
        outcomes
    }

    /// How long nothing will change and nothing is to be said; `None` until something is pressed.
    pub fn next_wake(&self, now: Moment) -> Option<Duration> {
        let now = self.deadline.clamp(now);
        match self.current.cursor() {
            BlockCursor::Ending => Some(Duration::ZERO),
            BlockCursor::Finished => None,
            _ => self.current.countdown().next_change(now).into_iter().chain(self.next_line(now)).min(),
        }
    }

    /// Everything that is due by `now`.
    pub(super) fn pass(&mut self, now: Moment, outcomes: &mut Vec<Outcome>) {
        let seen = self.deadline.seen();
        let now = self.deadline.clamp(now);
        let unseen = now.since(seen);
        if unseen > UNSEEN && self.current.is_running() {
            self.wake_up(unseen, outcomes);
        }
        let mut is_late = false;
        while let Some(ends) = self.current.ends().filter(|ends| *ends <= now) {
            let from = outcomes.len();
            self.say_due(ends, now, outcomes);
            self.end_interval(ends, outcomes);
            is_late = is_too_late(ends, now);
            if is_late {
                unsay(outcomes, from);
            }
        }
        if is_late && !self.is_finished() {
            self.say(Saying::Now, now, outcomes);
        }
        self.say_due(now, now, outcomes);
        if self.current.warns(now) {
            outcomes.push(Outcome::Bell(Bell::Soon));
        }
        self.announce_end(now, outcomes);
        self.deadline.see(now);
    }

    /// After a sleep: what was all but due is finished, nothing else is taken to have happened.
    fn wake_up(&mut self, unseen: Duration, outcomes: &mut Vec<Outcome>) {
        let mut at = self.deadline.seen();
        if let Some(ends) = self.current.ends().filter(|ends| *ends <= at.after(UNSEEN)) {
            let from = outcomes.len();
            self.end_interval(ends, outcomes);
            unsay(outcomes, from);
            at = ends;
        }
        if self.current.is_running() {
            let unseen = rounded_up(unseen);
            self.stand_still(Pause::Unseen(unseen), at);
            outcomes.push(Outcome::Unseen(unseen));
        }
    }

    /// Ends the running interval at a moment that has come.
    pub(super) fn end_interval(&mut self, at: Moment, outcomes: &mut Vec<Outcome>) {
        self.count_held(at);
        let step = self.current.step();
        if let (Stage::Relax { .. }, Some(index)) = (self.current.stage(), step) {
            self.runs.finish_cycle(index);
        }
        if self.current.next(at, self.pause.is_some()) {
            self.interval_begun(at, outcomes);
            outcomes.push(Outcome::Bell(Bell::Change));
            return;
        }
        match step {
            Some(index) => {
                self.history.ended(self.runs[index].id);
                outcomes.extend(self.runs.close(index, Ended::Done, at));
                self.say(Saying::Up, at, outcomes);
                self.arrive(index + 1, at, outcomes);
                self.voice.is_led = true;
            }
            None => self.end(at, outcomes),
        }
        self.announce_end(at, outcomes);
    }

    /// Goes to the first step from `from` on that is still to come, to the massage, or to the end.
    pub(super) fn arrive(&mut self, from: usize, at: Moment, outcomes: &mut Vec<Outcome>) {
        self.arrive_after(None, from, at, outcomes);
    }

    /// The same, with something before the way to the step.
    fn arrive_after(
        &mut self,
        before: Option<Interval>,
        from: usize,
        at: Moment,
        outcomes: &mut Vec<Outcome>,
    ) {
        let mut intervals: Vec<Interval> = before.into_iter().collect();
        let cursor = if let Some(index) = self.runs.next_from(from) {
            let run = &self.runs[index];
            let way = if self.reached.stays_for(&run.step) { run.gap } else { run.way() };
            let to = run.step.position;
            intervals
                .push(Interval { stage: Stage::Change { from: self.reached.position, to }, length: way });
            intervals.extend(intervals::of_step(&run.step));
            BlockCursor::Step(index)
        } else if self.runs.massage() > Seconds::ZERO {
            intervals = vec![Interval { stage: Stage::Massage, length: self.runs.massage() }];
            BlockCursor::Massage
        } else {
            return self.end(at, outcomes);
        };
        intervals.retain(|interval| interval.length > Seconds::ZERO);
        self.current = Current::begin(cursor, intervals, at, self.pause.is_some());
        self.voice.said = None;
        self.voice.is_led = false;
        self.interval_begun(at, outcomes);
        outcomes.push(Outcome::Bell(Bell::Change));
    }

    /// Where the client is once an interval has begun; with the stretch itself, what was left before it is noted.
    fn interval_begun(&mut self, at: Moment, outcomes: &mut Vec<Outcome>) {
        let stage = self.current.stage();
        let Some(index) = self.current.step() else {
            self.settle(outcomes);
            return self.say(Saying::Massage, at, outcomes);
        };
        if matches!(stage, Stage::SetUp | Stage::Hold | Stage::Push { .. }) {
            self.reached = Reached::by(&self.runs[index].step);
        }
        if self.current.begins_work() {
            self.runs.begin(index, at);
            if self.pause.is_none() {
                self.settle(outcomes);
            }
        }
        if stage.is_work() {
            self.say(self.saying(stage, index), at, outcomes);
        }
    }

    /// Another stretch is worked now: what was left out before it is noted.
    pub(super) fn settle(&mut self, outcomes: &mut Vec<Outcome>) {
        outcomes.extend(self.runs.note_left());
        self.history.settle();
    }

    /// The block is over, and whatever was left out is noted; that it is over is still to be said.
    pub(super) fn end(&mut self, at: Moment, outcomes: &mut Vec<Outcome>) {
        outcomes.extend(self.runs.note_left());
        self.current = Current::nothing(BlockCursor::Ending, at);
        self.pause = None;
        self.history = History::default();
    }

    /// Says once that the block is over.
    pub(super) fn announce_end(&mut self, at: Moment, outcomes: &mut Vec<Outcome>) {
        if self.current.cursor() == BlockCursor::Ending {
            self.current = Current::nothing(BlockCursor::Finished, at);
            outcomes.push(Outcome::Bell(Bell::End));
            self.say(Saying::Done, at, outcomes);
            outcomes.push(Outcome::Finished);
        }
    }

    /// Counts the time under stretch of the running interval up to a moment.
    pub(super) fn count_held(&mut self, at: Moment) {
        let span = self.current.count(at);
        if let Some(index) = self.current.step() {
            self.runs.hold(index, span);
        }
    }

    /// Stands still from a moment on.
    pub(super) fn stand_still(&mut self, why: Pause, at: Moment) {
        self.count_held(at);
        self.current.stand_still(at);
        self.pause = Some(Standstill { why, since: at });
    }

    /// Work that is left, exactly.
    pub(super) fn work_left(&self, now: Moment) -> Duration {
        let to_come = self.current.step().map_or(Seconds::ZERO, |index| self.runs.length_after(index));
        self.current.exactly_left(now) + duration(to_come)
    }
}
