//! Time that passes, and what is said once a block is over.

use crate::tui::effect::Effect;
use crate::tui::event::{Now, ScreenEvent};

use super::App;

impl App {
    /// Time passed, and nothing else waits.
    pub(super) fn time_passed(&mut self, now: Now, effects: &mut Vec<Effect>) {
        self.everywhere(&ScreenEvent::Woke, now, effects);
        self.say_farewell(now, effects);
    }

    /// Says what is left to be said of a block that is over.
    fn say_farewell(&mut self, now: Now, effects: &mut Vec<Effect>) {
        if let Some(farewell) = self.shared.farewell.take() {
            let (utterance, rest) = farewell.said(now.moment);
            self.shared.farewell = rest;
            effects.extend(utterance.map(Effect::Speak));
        }
    }
}
