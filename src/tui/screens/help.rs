//! Which keys are there? Made from the table that drives them.

use ratatui::layout::Rect;

use crate::tui::app::{Context, Shared};
use crate::tui::keys::{self, Action, Place};
use crate::tui::msg::Now;
use crate::tui::paint::{self, Paint};
use crate::tui::text;
use crate::tui::theme::Tone;

use super::{Input, Next};

/// The keys of one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    about: Place,
    first: usize,
}

impl State {
    /// The keys of `about`.
    pub const fn new(about: Place) -> Self {
        Self { about, first: 0 }
    }

    /// The keys of the help itself.
    pub const fn place(&self) -> Place {
        Place::Overlay
    }

    /// The keys as rows: names, then what they do.
    fn rows(&self) -> Vec<(String, &'static str)> {
        let mut rows: Vec<(String, &'static str)> = Vec::new();
        for row in keys::rows(self.about) {
            match rows.iter_mut().find(|(_, help)| *help == row.help) {
                Some((names, _)) => {
                    names.push(' ');
                    names.push_str(&row.key_name());
                }
                None => rows.push((row.key_name(), row.help)),
            }
        }
        rows
    }

    /// Takes in a key.
    pub fn update(&mut self, input: &Input<'_>, _: &mut Context<'_>) -> Next {
        let Input::Action(action) = input else { return Next::Stay };
        let by = match action {
            Action::Up => -1,
            Action::Down => 1,
            Action::PageUp => -10,
            Action::PageDown => 10,
            _ => return Next::Back,
        };
        self.first = paint::moved(self.first, self.rows().len(), by);
        Next::Stay
    }

    /// Draws the keys over the screen below.
    pub fn draw(&self, area: Rect, paint: &mut Paint<'_>, _: &Shared, _: Now) {
        let rows = self.rows();
        let names = rows.iter().map(|(names, _)| text::width(names)).max().unwrap_or(0).min(18);
        paint.clear(area);
        paint.heading(area, 0, "Keys", "of this screen; any key goes back");
        let list = paint::below(area, 2);
        let first = self.first.min(rows.len().saturating_sub(usize::from(list.height)));
        for (y, (name, help)) in rows.iter().skip(first).take(usize::from(list.height)).enumerate() {
            let y = text::cells(y);
            paint.row(list, y, Tone::Focus, &text::fit(name, names, paint.glyphs().ellipsis));
            paint.at(list, text::cells(names + 2), y, Tone::Text, help);
        }
    }

    /// The keys as lines.
    pub fn lines(&self, _: &Shared, _: Now) -> Vec<String> {
        let mut lines = vec!["Keys of this screen".to_owned()];
        lines.extend(self.rows().into_iter().map(|(name, help)| format!("{name}: {help}")));
        lines
    }
}
