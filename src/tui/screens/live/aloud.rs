//! What the running block has spoken aloud.

use crate::body::Level;
use crate::session::{Cue, Snapshot};
use crate::tui::effect::Effect;
use crate::tui::shared::Context;
use crate::tui::spoken::cues::{Utterance, saved_words};

/// What was spoken of a block, and what waits for the disk.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Aloud {
    has_spoken: bool,
    /// The words of an answer that is not on the disk yet.
    to_confirm: Option<Vec<String>>,
}

impl Aloud {
    /// Has something spoken that fell due.
    pub(super) fn cue(&mut self, cue: Cue, phase: &Snapshot<'_>, context: &mut Context<'_>) {
        self.speak(Utterance::of(cue, phase), context);
    }

    /// Has something spoken aloud.
    pub(super) fn speak(&mut self, mut utterance: Utterance, context: &mut Context<'_>) {
        utterance.is_first = !std::mem::replace(&mut self.has_spoken, true);
        context.ask(Effect::Speak(utterance));
    }

    /// Keeps the words of an answer to a hold that is over, which is about to be written.
    pub(super) fn keep_to_confirm(&mut self, level: Level, phase: &Snapshot<'_>, saved: &str) {
        let rated = phase.rated.filter(|_| phase.rates_last);
        self.to_confirm = rated.map(|rated| saved_words(level, phase.stage.is_work(), rated, saved));
    }

    /// Says an answer, where everything is on the disk.
    pub(super) fn confirm(&mut self, is_saved: bool, context: &mut Context<'_>) {
        if let Some(choices) = self.to_confirm.take_if(|_| is_saved) {
            self.speak(Utterance { choices, ..Utterance::answer("") }, context);
        }
    }
}
