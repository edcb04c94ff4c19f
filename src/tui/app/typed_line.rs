//! What a typed line does, where the screens are lines.

use crate::tui::effect::Effect;
use crate::tui::event::Now;
use crate::tui::lines::words::{self, Meant};

use super::App;

impl App {
    /// Does what a line stands for, or says what was asked for.
    pub(super) fn words(&mut self, line: &str, now: Now, effects: &mut Vec<Effect>) {
        let told = match words::meant(line, self.top().mode(), self.clock(now).is_some()) {
            Meant::Keys(keys) => return keys.into_iter().for_each(|key| self.key(key, now, effects)),
            Meant::Action(action) => return self.pressed(Some(action), now, effects),
            Meant::Read => self.lines(now),
            Meant::Keyboard => vec![self.page(now).keys],
            Meant::About(label) => {
                let found = self.page(now).labelled(label);
                if found.is_empty() { vec![format!("{label}: nothing.")] } else { found }
            }
            Meant::Time => self.clock(now).map(|clock| clock.told()).into_iter().collect(),
            Meant::Brief(is_brief) => {
                self.shared.brief = is_brief;
                vec![if is_brief { "Brief." } else { "The usual words." }.to_owned()]
            }
            Meant::Help(words) => words,
            Meant::Nothing(words) => vec![words],
        };
        effects.push(Effect::Tell(told));
    }
}
