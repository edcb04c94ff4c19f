//! When each line is due: every moment but those of keys is known beforehand, so this is arithmetic and no queue.
//!
//! All moments and the order of what gives way are common practice, no source.

use std::time::Duration;

use crate::body::Seconds;

use super::countdown::{Moment, duration};
use super::cue::{Cue, LAST_THREE, Saying, Urgency, is_too_late};
use super::live::Live;
use super::message::{Outcome, Pause};
use super::stage::Stage;
use super::standstill::Standstill;

/// A side or a position is said so long after a hold has ended: by then "up" is out.
const AFTER_UP: Duration = Duration::from_millis(2_500);

/// How the first step is set up is said so long after its side.
const AFTER_FIRST: Duration = Duration::from_secs(4);

/// So long after a hold, a new way of working is said.
const NEW_METHOD: Duration = Duration::from_secs(6);

/// So long after a hold without an answer, it is asked for once more, if there is this much room.
const ASKED_AGAIN: (Duration, Duration) = (Duration::from_secs(7), Duration::from_secs(4));

/// What comes last, and gives way to everything: being late, the last step.
const AFTER_SIDE: Duration = Duration::from_secs(5);

/// Marks of what is left of a hold, each with the length from which it is said.
const MARKS: [(Seconds, Seconds); 5] = [
    (Seconds::new(30), Seconds::new(60)),
    (Seconds::new(10), Seconds::new(20)),
    (LAST_THREE, Seconds::new(5)),
    (Seconds::new(2), Seconds::new(5)),
    (Seconds::new(1), Seconds::new(5)),
];

/// Seconds late from which it is said, once each.
const LATE: [Seconds; 3] = [Seconds::new(30), Seconds::new(60), Seconds::new(120)];

impl Live {
    /// What is still to be said up to the stretch that comes next or to the end of the one that runs, unless a key is
    /// pressed.
    fn schedule(&self) -> Vec<(Moment, Saying)> {
        let mut lines = Vec::new();
        if let Some(Standstill { why: Pause::Pain, since }) = self.pause {
            lines.push((since.after(AFTER_FIRST), Saying::AskAboutPain));
        }
        let Some(ends) = self.current.ends() else { return lines };
        lines.push((self.deadline.minute_left(), Saying::MinuteLeft));
        match self.current.step() {
            Some(index) if self.current.stage().is_work() => self.work_lines(index, ends, &mut lines),
            Some(index) => self.ready_lines(index, ends, &mut lines),
            None => lines.push((ends, Saying::Done)),
        }
        lines
    }

    /// The lines between two stretches.
    fn ready_lines(&self, index: usize, ends: Moment, lines: &mut Vec<(Moment, Saying)>) {
        let begun = self.current.begun();
        let work = ends.after(self.current.until_work(ends));
        if let Some(stage) = self.current.work_stage() {
            lines.push((work, self.saying(stage, index)));
        }
        let lead = if self.voice.is_led { AFTER_UP } else { Duration::ZERO };
        lines.push((begun.after(lead), Saying::Ready));
        match self.runs.last() {
            None => lines.push((begun.after(AFTER_FIRST), Saying::Hands)),
            Some(last) if self.runs[last].step.dose.method() != self.runs[index].step.dose.method() => {
                lines.push((begun.after(NEW_METHOD), Saying::Method));
            }
            Some(_) => {}
        }
        let (asked, room) = ASKED_AGAIN;
        if self.voice.is_led && self.is_asked() && begun.after(asked).after(room) <= work {
            lines.push((begun.after(asked), Saying::Ask));
        }
        let remark = begun.after(lead).after(AFTER_SIDE);
        match self.newly_late(begun) {
            Some(late) => lines.push((remark, Saying::Late(late))),
            None if self.runs.next_after(index).is_none() => lines.push((remark, Saying::LastStep)),
            None => {}
        }
    }

    /// The lines of a stretch that is being worked, from its running interval on.
    fn work_lines(&self, index: usize, ends: Moment, lines: &mut Vec<(Moment, Saying)>) {
        let is_hold = self.current.stage() == Stage::Hold;
        let is_last = matches!(self.current.stage(), Stage::Relax { cycle, of } if cycle == of);
        for (left, from) in MARKS {
            let is_said = is_hold || (is_last && left <= LAST_THREE);
            if is_said && self.current.length() >= from {
                lines.push((before(ends, duration(left)), Saying::Left(left)));
            }
        }
        lines.push((ends, self.current.next_stage().map_or(Saying::Up, |stage| self.saying(stage, index))));
    }

    /// What is said when a phase of a stretch begins.
    pub(super) fn saying(&self, stage: Stage, index: usize) -> Saying {
        match stage {
            Stage::Push { cycle, of } => Saying::Push { cycle, of },
            Stage::Relax { cycle, of } => Saying::Relax { cycle, of },
            _ => Saying::Hold(self.runs[index].step.dose.held()),
        }
    }

    /// The mark of lateness that was passed and not yet said.
    fn newly_late(&self, at: Moment) -> Option<Seconds> {
        let late = Seconds::new(u32::try_from(self.deadline.lateness(self.work_left(at), at)).unwrap_or(0));
        LATE.into_iter().rev().find(|mark| *mark <= late).filter(|mark| *mark > self.voice.late)
    }

    /// Says what fell due up to a moment and was not said yet, as far as it is not too late for it now.
    pub(super) fn say_due(&mut self, until: Moment, now: Moment, outcomes: &mut Vec<Outcome>) {
        let mut due = self.schedule();
        due.retain(|(at, what)| {
            self.voice.said.is_none_or(|said| *at > said) && *at <= until && !what.is_phase()
        });
        due.sort_by_key(|(at, _)| *at);
        self.voice.said = Some(until);
        for (at, what) in due.into_iter().filter(|(at, _)| !is_too_late(*at, now)) {
            if let Saying::Late(late) = what {
                self.voice.late = late;
            }
            self.say(what, at, outcomes);
        }
    }

    /// Says something.
    pub(super) fn say(&self, what: Saying, at: Moment, outcomes: &mut Vec<Outcome>) {
        outcomes.push(Outcome::Cue(Cue { what, room: self.room(what.urgency(), at) }));
    }

    /// How long there is for a line before something more urgent is due; none if that is not known.
    pub fn room(&self, urgency: Urgency, at: Moment) -> Option<Duration> {
        let others = self.schedule().into_iter();
        let urgent = others.filter(|(due, other)| *due > at && other.urgency() > urgency);
        urgent.map(|(due, _)| due.since(at)).min()
    }

    /// How long nothing is to be said.
    pub(super) fn next_line(&self, now: Moment) -> Option<Duration> {
        let lines = self.schedule().into_iter().filter(|(_, what)| !what.is_phase());
        let to_say = lines.filter(|(due, _)| self.voice.said.is_none_or(|said| *due > said));
        to_say.map(|(due, _)| due.since(now)).min()
    }
}

/// That long before a moment.
fn before(moment: Moment, by: Duration) -> Moment {
    Moment::new(moment.since_start().saturating_sub(by))
}
