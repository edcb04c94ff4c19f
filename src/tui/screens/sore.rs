//! What is sore on the trainer today? Plans leave out what goes against it.

use crate::client::SoreRegion;
use crate::strain::words;
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::effect::Effect;
use crate::tui::event::{Now, ScreenEvent};
use crate::tui::go::Go;
use crate::tui::keys::{Action, Detour, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::{Context, Shared};
use crate::tui::text::cells;
use crate::tui::theme::Tone;

/// What is said below the places.
const SAYS: &str = "For today alone: it is gone tomorrow. Plans leave out what goes against it; a client's caution always comes first.";

/// The places, of which one is chosen.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct State {
    chosen: usize,
}

impl State {
    /// The keys that hold here.
    pub const fn mode(&self) -> Mode {
        Mode::On(Detour::Sore)
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let ScreenEvent::Action(action) = event else { return Go::Stay };
        match *action {
            action if ListChoice(&mut self.chosen).act(action, SoreRegion::ALL.len()) => {}
            Action::Digit(digit) => {
                if let Some(index) = usize::from(digit).checked_sub(1) {
                    self.chosen = index.min(SoreRegion::ALL.len() - 1);
                    self.turn(context);
                }
            }
            Action::Toggle => self.turn(context),
            Action::Back | Action::Choose => return Go::Back,
            _ => {}
        }
        Go::Stay
    }

    /// The chosen place is sore from now on, or is no more.
    fn turn(&self, context: &mut Context<'_>) {
        let region = SoreRegion::ALL[self.chosen];
        let is_sore = !context.shared.trainer.sore_on(context.today()).any(|sore| sore == region);
        context.ask(Effect::Sore(region, is_sore));
    }

    /// Each place with what it leaves out, or whether it is sore.
    fn rows(shared: &Shared, now: Now) -> Vec<(bool, &'static str, String)> {
        let today = now.wall.date_naive();
        let sore: Vec<SoreRegion> = shared.trainer.sore_on(today).collect();
        let row = |&region: &SoreRegion| {
            let is_sore = sore.contains(&region);
            let is_kept = shared.trainer.is_kept_sore(region, today);
            let until = if is_kept { "sore, until you take it off: " } else { "sore today: " };
            (
                is_sore,
                region.id(),
                format!("{}{}", if is_sore { until } else { "" }, words::sore_leaves_out(region)),
            )
        };
        SoreRegion::ALL.iter().map(row).collect()
    }

    /// Draws the places.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        canvas.heading(area, 0, "What is sore on you?", "1 to 5, or Space");
        let list = canvas::below(area, 2);
        for (index, (is_sore, place, words)) in Self::rows(shared, now).into_iter().enumerate() {
            let y = cells(index);
            canvas.choice(list, y, index, index == self.chosen);
            let glyphs = canvas.glyphs();
            let tick = if is_sore { glyphs.done } else { glyphs.dot };
            let tone = if is_sore { Tone::Strong } else { Tone::Dim };
            canvas.at(list, 1, y, Tone::Focus, &(index + 1).to_string());
            canvas.at(list, 4, y, tone, tick);
            canvas.at(list, 6, y, if is_sore { Tone::Strong } else { Tone::Text }, place);
            let column = Rect { x: list.x + 16, width: list.width.saturating_sub(16), ..list };
            canvas.row(column, y, tone, &words);
        }
        canvas.wrapped(canvas::below(list, cells(SoreRegion::ALL.len()) + 1), 0, Tone::Text, SAYS);
    }

    /// The places as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let mut page = Page::new("what is sore", "What is sore on you?");
        let rows = Self::rows(shared, now).into_iter().enumerate();
        let row = |(index, (is_sore, place, words)): (usize, (bool, &str, String))| {
            let words = if is_sore { words } else { "not sore".to_owned() };
            format!("{}, {place}: {words}", index + 1)
        };
        page.list("places", rows.map(row).collect(), Some(self.chosen), ListSpeech::News);
        page.about("sore");
        page.push(SAYS);
        page
    }
}
