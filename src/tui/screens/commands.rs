//! Which commands are there? Found by a few letters of their name.

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::tui::canvas::{self, Canvas};
use crate::tui::event::{Now, ScreenEvent};
use crate::tui::go::Go;
use crate::tui::keys::{self, Action, Binding, Detour, Key, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::{Context, Shared};
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::field::{Field, FieldView};

/// The commands of one place.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    about: Mode,
    field: Field,
    chosen: usize,
}

impl State {
    /// The commands of `about`.
    pub fn new(about: Mode) -> Self {
        Self { about, field: Field::default(), chosen: 0 }
    }

    /// The keys of the list itself.
    pub const fn mode(&self) -> Mode {
        Mode::On(Detour::Commands)
    }

    fn rows(&self) -> Vec<&'static Binding> {
        /// Moving and erasing are no commands that somebody looks for by name.
        const PLAIN: [Mode; 3] = [Mode::List, Mode::Caret, Mode::Text];
        let mut rows: Vec<&Binding> = Vec::new();
        for (mode, row) in keys::rows(self.about) {
            let is_plain = PLAIN.contains(&mode)
                || matches!(row.key, Key::Digits(..))
                || matches!(row.action, Action::Choose | Action::Open(Detour::Commands | Detour::Help))
                    && mode == Mode::Everywhere
                || matches!(row.action, Action::NextPart | Action::PreviousPart);
            let is_known = rows.iter().any(|other| other.help == row.help);
            if !is_plain && !is_known && text::matches(row.help, self.field.text()) {
                rows.push(row);
            }
        }
        rows
    }

    /// Takes in a key.
    pub fn update(&mut self, event: &ScreenEvent<'_>, _: &mut Context<'_>) -> Go {
        let ScreenEvent::Action(action) = event else { return Go::Stay };
        let count = self.rows().len();
        if ListChoice(&mut self.chosen).act(*action, count) {
            return Go::Stay;
        }
        match action {
            Action::Type(letter) => self.field.push(*letter),
            Action::Erase if self.field.is_empty() => return Go::Back,
            Action::Erase => self.field.erase(),
            Action::EraseWord | Action::EraseLine => self.field.edit(*action),
            Action::Choose => {
                return self.rows().get(self.chosen).map_or(Go::Back, |row| Go::Act(row.action));
            }
            Action::Back => return Go::Back,
            _ => {}
        }
        if matches!(action, Action::Type(_) | Action::Erase | Action::EraseWord | Action::EraseLine) {
            self.chosen = 0;
        }
        Go::Stay
    }

    /// Draws the list over the screen below.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, _: &Shared, _: Now) {
        let rows = self.rows();
        canvas.clear(area);
        canvas.heading(area, 0, "Commands", "type a few letters");
        let view = FieldView {
            field: &self.field,
            hint: "what do you want to do?",
            active: true,
            theme: canvas.theme,
        };
        (&view).render(canvas::top(canvas::below(area, 1), 1), canvas.buf);
        let list = canvas::below(area, 3);
        let first = canvas::first_shown(self.chosen, rows.len(), list.height);
        for (y, row) in rows.iter().skip(first).take(usize::from(list.height)).enumerate() {
            canvas.choice(list, cells(y), first + y, first + y == self.chosen);
            let key = row.key.name();
            let room = usize::from(list.width).saturating_sub(text::width(&key) + 4);
            canvas.at(list, 2, cells(y), Tone::Text, &text::fit(row.help, room, canvas.glyphs().ellipsis));
            canvas.right(list, cells(y), Tone::Focus, &key);
        }
        if rows.is_empty() {
            canvas.row(list, 0, Tone::Dim, "no command of that name here");
        }
    }

    /// The commands as lines.
    pub fn lines(&self, _: &Shared, _: Now) -> Page {
        let mut page = Page::new("the commands", "Commands");
        if !self.field.is_empty() {
            page.quiet(format!("Typed: {}", self.field.text()));
        }
        let rows: Vec<String> = self.rows().iter().map(|row| row.help.to_owned()).collect();
        if rows.is_empty() {
            page.push("no command of that name here");
        }
        page.list("commands", rows, Some(self.chosen), ListSpeech::Nothing);
        page
    }
}
