//! Buttons of a remote where no block has the screen to itself.

use crate::tui::effect::Effect;
use crate::tui::event::{KeyEvent, Now, ScreenEvent};
use crate::tui::keys::{self, Action, Detour, Mode};
use crate::tui::screens::Screen;
use crate::tui::theme::Tone;

use super::App;

/// What a button says outside of a block.
pub(super) const OFF: &str = "Remote is off.";

impl App {
    /// Whether a key is a button that is taught; the keys that close that screen and leave the program are none.
    pub(super) fn is_taught(&mut self, event: KeyEvent, now: Now, effects: &mut Vec<Effect>) -> bool {
        let is_key = keys::resolve(self.top().mode(), event).is_some_and(|action| action != Action::NextPart);
        if !matches!(self.top(), Screen::TeachRemote(_)) || is_key {
            return false;
        }
        self.send(self.depth() - 1, &ScreenEvent::Pressing(event), now, effects);
        true
    }

    /// Whether a key is a button of the remote that the place itself does not know: over a block it is the block's,
    /// elsewhere it does nothing and says so. Where letters are typed, a letter is typed.
    pub(super) fn is_of_remote(&mut self, event: KeyEvent, now: Now, effects: &mut Vec<Effect>) -> bool {
        let mode = self.top().mode();
        let Some(button) = self.shared.remote.button(event).filter(|_| !mode.is_block()) else {
            return false;
        };
        if matches!(keys::resolve(mode, event), Some(Action::Type(_))) {
            return false;
        }
        let block = self.screens.iter().rposition(|screen| matches!(screen, Screen::Live(_)));
        let is_covered = mode.is_overlay() && mode != Mode::On(Detour::TeachRemote);
        if let Some(below) = block.filter(|_| is_covered) {
            self.screens.truncate(below + 1);
            self.act(Action::Remote(button), now, effects);
        } else {
            self.shared.say(Tone::Caution, OFF);
        }
        true
    }
}
