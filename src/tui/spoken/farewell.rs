//! What is said once a block is over, whatever screen stands there then.

use std::time::Duration;

use crate::session::{Moment, Urgency};
use crate::tui::text;

use super::cues::{Utterance, estimate};
use super::number;

/// The first line comes so long after the end: by then "up" and the question are out.
const AFTER_END: Duration = Duration::from_secs(4);

/// From the end of one line to the next.
const GAP: Duration = Duration::from_millis(300);

/// There is nothing after a block that a line would have to make room for; what waits longer is not said.
const ROOM: Duration = Duration::from_secs(10);

const SIT: &str = "Done. Sit, then stand.";

/// What is still to be said of a block that is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Farewell {
    due: Moment,
    says_sit: bool,
    /// Steps that are on the disk, once that is known.
    saved: Option<usize>,
}

impl Farewell {
    /// After a block that ended then; how to get up is part of it, unless that was said already.
    pub fn after(end: Moment, says_sit: bool) -> Self {
        Self { due: end.after(AFTER_END), says_sit, saved: None }
    }

    /// So many steps are on the disk.
    pub const fn note_saved(&mut self, steps: usize) {
        self.saved = Some(steps);
    }

    /// How long nothing is to be said; none if nothing is known to say.
    pub fn next_wake(&self, now: Moment) -> Option<Duration> {
        (self.says_sit || self.saved.is_some()).then(|| self.due.since(now))
    }

    /// What is due, and what remains after it.
    pub fn said(mut self, now: Moment) -> (Option<Utterance>, Option<Self>) {
        if self.due > now {
            return (None, Some(self));
        }
        let utterance = |words: String| Utterance {
            urgency: Urgency::Change,
            room: Some(ROOM),
            ..Utterance::answer(words)
        };
        if std::mem::take(&mut self.says_sit) {
            self.due = now.after(estimate(SIT)).after(GAP);
            return (Some(utterance(SIT.to_owned())), Some(self));
        }
        match self.saved {
            Some(0) => (None, None),
            Some(steps) => {
                let words = number(u32::try_from(steps).unwrap_or(u32::MAX));
                (Some(utterance(text::capitalised(&format!("{words} saved.")))), None)
            }
            None => (None, Some(self)),
        }
    }
}
