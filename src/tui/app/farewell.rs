//! What is said once a block is over.

use crate::tui::effect::Effect;
use crate::tui::event::Now;

use super::App;

impl App {
    /// Says what is left to be said of a block that is over.
    pub(super) fn say_farewell(&mut self, now: Now, effects: &mut Vec<Effect>) {
        if let Some(farewell) = self.shared.farewell.take() {
            let (utterance, rest) = farewell.said(now.moment);
            self.shared.farewell = rest;
            effects.extend(utterance.map(Effect::Speak));
        }
    }
}
