//! A line of text that is typed.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;
use tui_input::{Input, InputRequest};

use crate::tui::keys::Action;
use crate::tui::text;
use crate::tui::theme::{Theme, Tone};

/// What has been typed, and where the cursor is.
#[derive(Debug, Clone, Default)]
pub struct Field(Input);

impl PartialEq for Field {
    fn eq(&self, other: &Self) -> bool {
        self.0.value() == other.0.value() && self.0.cursor() == other.0.cursor()
    }
}

impl Field {
    /// The longest text that is taken, in characters.
    const MOST: usize = 200;

    /// A field that holds `text` already.
    pub fn holding(text: &str) -> Self {
        Self(Input::new(text::clean(text)))
    }

    /// What was typed.
    pub fn text(&self) -> &str {
        self.0.value()
    }

    /// Whether nothing was typed.
    pub fn is_empty(&self) -> bool {
        self.0.value().is_empty()
    }

    /// Empties it.
    pub fn clear(&mut self) {
        self.0.reset();
    }

    /// Types a character.
    pub fn push(&mut self, letter: char) {
        if !text::clean(&letter.to_string()).is_empty() && self.0.value().chars().count() < Self::MOST {
            self.0.handle(InputRequest::InsertChar(letter));
        }
    }

    /// Types a pasted text.
    pub fn paste(&mut self, pasted: &str) {
        text::clean(pasted).chars().for_each(|letter| self.push(letter));
    }

    /// Does what a key means to a line that is typed.
    pub fn edit(&mut self, action: Action) {
        match action {
            Action::Type(letter) => self.push(letter),
            Action::Erase => self.erase(),
            Action::EraseWord => self.erase_word(),
            Action::EraseLine => self.clear(),
            Action::Left => self.go(false),
            Action::Right => self.go(true),
            _ => {}
        }
    }

    /// Deletes the character before the cursor.
    pub fn erase(&mut self) {
        self.0.handle(InputRequest::DeletePrevChar);
    }

    /// Deletes the word before the cursor.
    pub fn erase_word(&mut self) {
        self.0.handle(InputRequest::DeletePrevWord);
    }

    /// Moves the cursor by a character.
    pub fn go(&mut self, forward: bool) {
        self.0.handle(if forward { InputRequest::GoToNextChar } else { InputRequest::GoToPrevChar });
    }
}

/// Draws a field: what was typed, around its cursor or from its beginning, or a hint while it is empty.
#[derive(Debug)]
pub struct FieldView<'a> {
    /// What was typed.
    pub field: &'a Field,
    /// Shown while nothing is.
    pub hint: &'a str,
    /// Whether keys go here.
    pub active: bool,
    /// The looks.
    pub theme: Theme,
}

impl FieldView<'_> {
    /// Draws it into an area.
    pub fn draw(&self, area: Rect, buf: &mut Buffer) {
        self.render(area, buf);
    }
}

impl Widget for &FieldView<'_> {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let width = usize::from(area.width);
        let glyphs = self.theme.glyphs();
        let prompt = self.theme.style(if self.active { Tone::Focus } else { Tone::Faint });
        buf.set_stringn(area.x, area.y, glyphs.prompt, width, prompt);
        let room = width.saturating_sub(2);
        if room == 0 {
            return;
        }
        let scroll = self.field.0.visual_scroll(room.saturating_sub(1));
        let (mut skipped, mut shown) = (0, String::new());
        for letter in self.field.text().chars() {
            let columns = text::width(letter.encode_utf8(&mut [0; 4]));
            if skipped < scroll {
                skipped += columns;
            } else {
                shown.push(letter);
            }
        }
        if self.field.is_empty() {
            let hint = text::fit(self.hint, room, glyphs.ellipsis);
            buf.set_stringn(area.x + 2, area.y, hint, room, self.theme.style(Tone::Dim));
        } else if self.active {
            buf.set_stringn(area.x + 2, area.y, shown, room, self.theme.style(Tone::Strong));
        } else {
            let text = text::fit(self.field.text(), room, glyphs.ellipsis);
            buf.set_stringn(area.x + 2, area.y, text, room, self.theme.style(Tone::Strong));
        }
        let cursor = self.field.0.visual_cursor().saturating_sub(scroll).min(room - 1);
        if self.active {
            let at = (area.x + 2 + text::cells(cursor), area.y);
            let style = self.theme.fill(Tone::Focus);
            buf[at].set_style(style);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::{Background, ColourDepth};

    #[test]
    fn typing_erasing_and_pasting() {
        let mut field = Field::default();
        field.paste("Zoë\n\u{202e}A");
        assert_eq!(field.text(), "Zoë A");
        field.erase_word();
        field.erase();
        field.push('!');
        assert_eq!(field.text(), "Zoë!");
        field.clear();
        assert!(field.is_empty());
    }

    #[test]
    fn a_long_text_is_read_from_its_beginning_and_typed_at_its_end() {
        let field = Field::holding("Trains on the chair");
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true };
        let drawn = |active| {
            let area = Rect::new(0, 0, 12, 1);
            let mut buf = Buffer::empty(area);
            FieldView { field: &field, hint: "", active, theme }.render(area, &mut buf);
            buf.content().iter().map(ratatui::buffer::Cell::symbol).collect::<String>()
        };
        assert!(drawn(false).contains("Trains"), "{}", drawn(false));
        assert!(drawn(true).contains("chair"), "{}", drawn(true));
    }
}
