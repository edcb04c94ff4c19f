//! What a typed line does, where the screens are lines.

use crate::tui::effect::Effect;
use crate::tui::event::{KeyCode, KeyEvent, KeyModifiers, Now};
use crate::tui::keys::Action;
use crate::tui::lines::words::{self, Meant};
use crate::tui::page::Page;
use crate::tui::screens::Screen;
use crate::tui::text;

use super::App;

impl App {
    /// Does what a line stands for, or says what was asked for.
    pub(super) fn words(&mut self, line: &str, now: Now, effects: &mut Vec<Effect>) {
        let told = match words::meant(line, self.top().mode(), self.clock(now).is_some()) {
            Meant::Keys(keys) => return keys.into_iter().for_each(|key| self.key(key, now, effects)),
            Meant::Typed(text) => match self.name_that_stands(now) {
                Some(name) => vec![format!("The name is {name}. Down goes on; ctrl-u takes it off first.")],
                None => return self.typed_text(&text, now, effects),
            },
            Meant::Action(action) => return self.pressed(Some(action), now, effects),
            Meant::Read => self.lines(now),
            Meant::Keyboard => self.keyboard(now),
            Meant::Again => {
                effects.push(Effect::TellAgain);
                return;
            }
            Meant::About(label) => self.labelled(label, now),
            Meant::Steps(step) => self.steps(step, now),
            Meant::Row(row) => match self.rows_to_choose(now) {
                0 => vec![format!("{row} is no row here. keys lists what there is.")],
                rows if row > rows => vec![format!("There are {rows}.")],
                _ => return self.pressed(Some(Action::Pick(row - 1)), now, effects),
            },
            Meant::Mend(step, level) => match self.rows_to_choose(now) {
                rows if step > rows => vec![format!("There are {rows} steps.")],
                _ => {
                    self.pressed(Some(Action::Pick(step - 1)), now, effects);
                    return self.act(Action::Digit(level), now, effects);
                }
            },
            Meant::Time => self.clock(now).map(|clock| clock.told()).into_iter().collect(),
            Meant::Brief(is_brief) => {
                self.shared.brief = is_brief;
                effects.push(Effect::KeepBrief(is_brief));
                vec![if is_brief { "Brief." } else { "The usual words." }.to_owned()]
            }
            Meant::Help(words) => words,
            // In brief what is wrong, and not what helps.
            Meant::Nothing(words) if self.shared.brief => {
                words.split_inclusive(". ").take(1).map(|words| words.trim().to_owned()).collect()
            }
            Meant::Nothing(words) => vec![words],
        };
        effects.push(Effect::Tell(told));
    }

    /// The row of a card whose line of text would be written into.
    fn row_that_stands(&self, now: Now) -> Option<(String, String)> {
        let page = self.page(now);
        let mut lists = page.parts.iter().filter_map(|part| part.list.as_ref());
        let (label, text) = lists.find_map(|list| list.rows.get(list.chosen?))?.split_once(": ")?;
        // What only might stand there is asked.
        let stands = !text.is_empty() && !label.contains('?');
        stands.then(|| (label.to_owned(), text.to_owned()))
    }

    /// The name on a card where one stands already: a line that follows is another line of the card.
    fn name_that_stands(&self, now: Now) -> Option<String> {
        let (label, name) = self.row_that_stands(now)?;
        (matches!(self.top(), Screen::Card(_)) && label == "name").then_some(name)
    }

    /// Types a line of free text: on a card in place of what stands there, but for a remark, which goes on.
    fn typed_text(&mut self, text: &str, now: Now, effects: &mut Vec<Effect>) {
        let is_typed = |page: Page| {
            page.parts.iter().flat_map(|part| &part.lines).any(|line| line.words.starts_with("Typed: "))
        };
        let stands = match (self.top(), self.row_that_stands(now)) {
            (Screen::Card(_), Some((label, _))) if label != "remark" && text.chars().count() > 1 => {
                self.key(KeyEvent::new(KeyCode::Char('u'), KeyModifiers::CONTROL), now, effects);
                false
            }
            (Screen::Card(_), row) => row.is_some(),
            _ => is_typed(self.page(now)),
        };
        let blank = stands.then_some(' ').filter(|_| !text.starts_with(' ') && text.chars().count() > 1);
        for letter in blank.into_iter().chain(text.chars()) {
            self.key(KeyEvent::from(KeyCode::Char(letter)), now, effects);
        }
    }

    /// The keys of the place, not those of its help.
    fn keyboard(&self, now: Now) -> Vec<String> {
        match self.top() {
            Screen::Help(help) => help.said(),
            _ => vec![self.page(now).keys],
        }
    }

    /// What stands behind a label, on top or on the screens below.
    fn labelled(&self, label: &str, now: Now) -> Vec<String> {
        let pages = self.screens.iter().rev().map(|screen| screen.lines(&self.shared, now));
        let said = |words: String| text::capitalised(&words);
        let found = pages
            .map(|page| page.labelled(label).into_iter().map(said).collect::<Vec<_>>())
            .find(|found| !found.is_empty());
        found.unwrap_or_else(|| {
            let nothing = if matches!(label, "Mind" | "In full") {
                "No caution.".to_owned()
            } else {
                format!("{label}: nothing.")
            };
            vec![nothing]
        })
    }

    /// The steps of the plan or those to come, or one of them with why it is there.
    fn steps(&self, step: Option<usize>, now: Now) -> Vec<String> {
        let pages: Vec<Page> =
            self.screens.iter().rev().map(|screen| screen.lines(&self.shared, now)).collect();
        let rows = pages.iter().find_map(|page| page.rows("steps")).unwrap_or_default();
        match step {
            None if rows.is_empty() => vec!["No steps here.".to_owned()],
            None => rows.iter().zip(1..).map(|(row, number)| format!("{number}, {row}.")).collect(),
            Some(step) => rows.get(step - 1).map_or_else(
                || vec![format!("There are {} steps.", rows.len())],
                |row| vec![format!("{row}.")],
            ),
        }
    }

    /// How many rows there are to choose from.
    fn rows_to_choose(&self, now: Now) -> usize {
        let page = self.page(now);
        let mut lists = page.parts.iter().filter_map(|part| part.list.as_ref());
        lists.rfind(|list| list.chosen.is_some()).map_or(0, |list| list.rows.len())
    }
}
