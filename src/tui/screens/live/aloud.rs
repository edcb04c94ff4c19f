//! What the running block has spoken aloud.

use std::time::Duration;

use crate::body::Level;
use crate::planner::Step;
use crate::session::{Cue, Live, Moment, Saying, Snapshot, Urgency};
use crate::tui::effect::Effect;
use crate::tui::shared::Context;
use crate::tui::spoken::cues::{Utterance, estimate, saved_words};
use crate::tui::spoken::farewell::Farewell;

/// An answer that could not be said so long is not said any more: it stands on the screen.
const PATIENCE: Duration = Duration::from_secs(12);

/// What was spoken of a block, and what waits for the disk.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Aloud {
    has_spoken: bool,
    /// Until when what was said last speaks, as far as that is known beforehand.
    busy: Moment,
    /// An answer that is not on the disk yet, or that there was no room to say.
    to_confirm: Option<Answered>,
}

/// An answer to a hold that is over.
#[derive(Debug, Clone, PartialEq)]
struct Answered {
    level: Level,
    rated: Step,
    at: Moment,
    /// What it is called once it is.
    saved: &'static str,
    is_saved: bool,
}

impl Aloud {
    /// Has something spoken that fell due; behind the question of the last stretch the end follows a little later.
    pub(super) fn cue(&mut self, cue: Cue, phase: &Snapshot<'_>, context: &mut Context<'_>) {
        if cue.what == Saying::Done {
            let now = context.now.moment;
            let is_asked = self.busy > now;
            context.shared.farewell = context.shared.speaks.then(|| Farewell::after(now, is_asked));
            if is_asked {
                return;
            }
        }
        self.speak(Utterance::of(cue, phase), context);
    }

    /// Has something spoken aloud.
    pub(super) fn speak(&mut self, mut utterance: Utterance, context: &mut Context<'_>) {
        if !context.shared.speaks {
            return;
        }
        let (now, length) =
            (context.now.moment, utterance.choices.first().map_or(Duration::ZERO, |line| estimate(line)));
        let is_free = self.busy <= now;
        if utterance.urgency >= Urgency::Work || is_free {
            self.busy = now.after(length);
        } else if utterance.urgency == Urgency::Change {
            self.busy = self.busy.after(length);
        }
        utterance.is_first = !std::mem::replace(&mut self.has_spoken, true);
        context.ask(Effect::Speak(utterance));
    }

    /// Keeps an answer to a hold that is over, which is about to be written, with when it came and what it is called then.
    pub(super) fn keep_to_confirm(
        &mut self,
        level: Level,
        phase: &Snapshot<'_>,
        (at, saved): (Moment, &'static str),
    ) {
        let rated = phase.rated.filter(|_| phase.rates_last);
        self.to_confirm =
            rated.map(|rated| Answered { level, rated: rated.clone(), at, saved, is_saved: false });
    }

    /// The answer was taken back.
    pub(super) fn forget(&mut self) {
        self.to_confirm = None;
    }

    /// Says an answer once everything is on the disk, nothing speaks, and nothing more urgent is due before its end.
    pub(super) fn confirm(&mut self, is_saved: bool, live: &Live, context: &mut Context<'_>) {
        let now = context.now.moment;
        self.to_confirm.take_if(|answered| now.since(answered.at) > PATIENCE);
        let Some(answered) = &mut self.to_confirm else { return };
        answered.is_saved |= is_saved;
        if !answered.is_saved || self.busy > now {
            return;
        }
        let phase = live.snapshot(now);
        let words = saved_words(answered.level, phase.stage.is_work(), &answered.rated, answered.saved);
        let room = live.room(Urgency::Answer, now);
        let choices: Vec<String> =
            words.into_iter().filter(|line| room.is_none_or(|room| estimate(line) <= room)).collect();
        if !choices.is_empty() {
            self.to_confirm = None;
            self.speak(Utterance { choices, room, ..Utterance::answer("") }, context);
        }
    }

    /// How long it is until an answer that waits can be said.
    pub(super) fn next_wake(&self, now: Moment) -> Option<Duration> {
        let waits = self.to_confirm.as_ref().is_some_and(|answered| answered.is_saved);
        (waits && self.busy > now).then(|| self.busy.since(now))
    }
}
