//! Which pages are to be written? A short list to mark, over the screen of a client.

use ratatui::layout::Rect;

use crate::client::ClientId;
use crate::handout::leaflets::{LeafletKind, LeafletWish};
use crate::tui::canvas::{self, Canvas};
use crate::tui::effect::Effect;
use crate::tui::event::{Now, ScreenEvent};
use crate::tui::go::Go;
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::{Context, Shared};
use crate::tui::text::cells;
use crate::tui::theme::Tone;

/// One row of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Row {
    Page(LeafletKind),
    /// The conditions on the card, which the letter leaves out otherwise.
    Conditions,
    /// The remarks, which letter and record leave out otherwise.
    Remarks,
}

const ROWS: [Row; 6] = [
    Row::Page(LeafletKind::Home),
    Row::Page(LeafletKind::Record),
    Row::Page(LeafletKind::Year),
    Row::Page(LeafletKind::Letter),
    Row::Conditions,
    Row::Remarks,
];

/// The pages of one client, as they are marked.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    wish: LeafletWish,
    chosen: usize,
}

impl State {
    /// The list, with nothing marked: what was put in once is not put in again unasked.
    pub fn new(id: ClientId) -> Self {
        Self { id, wish: LeafletWish::default(), chosen: 0 }
    }

    /// The keys of the list.
    pub const fn mode(&self) -> Mode {
        Mode::Pages
    }

    fn is_marked(&self, row: Row) -> bool {
        match row {
            Row::Page(kind) => self.wish.kinds.contains(&kind),
            Row::Conditions => self.wish.extras.conditions,
            Row::Remarks => self.wish.extras.remarks,
        }
    }

    fn toggle(&mut self, row: Row) {
        match row {
            Row::Page(kind) if self.wish.kinds.contains(&kind) => {
                self.wish.kinds.retain(|other| *other != kind);
            }
            Row::Page(kind) => self.wish.kinds.push(kind),
            Row::Conditions => self.wish.extras.conditions ^= true,
            Row::Remarks => self.wish.extras.remarks ^= true,
        }
    }

    /// What is written: what is marked in the order of the list, or the page of this row alone.
    fn asked(&self) -> LeafletWish {
        let mut wish = self.wish.clone();
        if let (true, Row::Page(kind)) = (wish.kinds.is_empty(), ROWS[self.chosen]) {
            wish.kinds.push(kind);
        }
        wish.kinds.sort_by_key(|kind| LeafletKind::ALL.iter().position(|other| other == kind));
        wish
    }

    /// Takes in a key.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let ScreenEvent::Action(action) = event else { return Go::Stay };
        if ListChoice(&mut self.chosen).act(*action, ROWS.len()) {
            return Go::Stay;
        }
        match action {
            Action::Toggle => self.toggle(ROWS[self.chosen]),
            Action::Choose => {
                let wish = self.asked();
                if wish.kinds.is_empty() {
                    context.shared.say(Tone::Caution, "mark a page that this goes into, with Space");
                    return Go::Stay;
                }
                context.shared.say(Tone::Dim, "writing");
                context.ask(Effect::WritePages(self.id.clone(), wish, None));
                return Go::Back;
            }
            Action::Back => return Go::Back,
            _ => {}
        }
        Go::Stay
    }

    /// Draws the list over the screen below.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, _: &Shared, _: Now) {
        canvas.clear(area);
        canvas.heading(area, 0, "Pages to print", "one sheet each");
        let list = canvas::below(area, 2);
        let glyphs = canvas.glyphs();
        for (index, row) in ROWS.iter().enumerate() {
            let (y, is_on) = (cells(index), self.is_marked(*row));
            canvas.choice(list, y, index, index == self.chosen);
            let (tone, tick) = if is_on { (Tone::Good, glyphs.done) } else { (Tone::Dim, glyphs.dot) };
            let (name, what) = words(*row);
            let name = format!("{name:<14}");
            canvas.spans(
                list,
                2,
                y,
                &[(tone, tick), (Tone::Text, " "), (Tone::Text, &name), (Tone::Dim, what)],
            );
        }
        canvas.wrapped(
            canvas::below(list, cells(ROWS.len()) + 1),
            0,
            Tone::Dim,
            "A page is not locked: whoever has the file can read it.",
        );
    }

    /// The list as lines.
    pub fn lines(&self, _: &Shared, _: Now) -> Page {
        let mut page = Page::new("the pages", "Pages to print, one sheet each");
        let rows = ROWS.iter().map(|row| {
            let (name, what) = words(*row);
            format!("{name}, {what}: {}", if self.is_marked(*row) { "marked" } else { "not marked" })
        });
        page.list("pages", rows.collect(), Some(self.chosen), ListSpeech::Once);
        page
    }
}

/// What a row is called, and what is on it.
const fn words(row: Row) -> (&'static str, &'static str) {
    match row {
        Row::Page(kind) => (
            kind.words(),
            match kind {
                LeafletKind::Home => "stretches to do alone at home",
                LeafletKind::Record => "what was agreed, done and answered",
                LeafletKind::Year => "for the quarterly talk",
                LeafletKind::Letter => "to a doctor or physiotherapist",
            },
        ),
        Row::Conditions => ("conditions", "into the letter, which leaves them out"),
        Row::Remarks => ("remarks", "into letter and session, which leave them out"),
    }
}
