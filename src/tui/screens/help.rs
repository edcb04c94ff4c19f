//! Which keys are there? Made from the table that drives them.

use ratatui::layout::Rect;

use crate::tui::canvas::{self, Canvas};
use crate::tui::event::{Now, ScreenEvent};
use crate::tui::go::Go;
use crate::tui::keys::{self, Action, Detour, Mode};
use crate::tui::lines::words::help_parts;
use crate::tui::list_choice::ListChoice;
use crate::tui::page::Page;
use crate::tui::shared::{Context, Shared};
use crate::tui::text;
use crate::tui::theme::{Glyphs, Tone};

/// The keys of one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    about: Mode,
    first: usize,
}

impl State {
    /// The keys of `about`.
    pub const fn new(about: Mode) -> Self {
        Self { about, first: 0 }
    }

    /// The keys of the help itself.
    pub const fn mode(&self) -> Mode {
        Mode::On(Detour::Help)
    }

    /// The keys as rows, names and what they do: those of the place alone, then those of everywhere.
    fn rows(&self) -> [Vec<(String, &'static str)>; 2] {
        let mut rows: Vec<(Mode, String, &'static str)> = Vec::new();
        for (mode, row) in keys::rows(self.about) {
            match rows.iter_mut().find(|(_, _, help)| *help == row.help) {
                Some((_, names, _)) => {
                    names.push(' ');
                    names.push_str(&row.key.name());
                }
                None => rows.push((mode, row.key.name(), row.help)),
            }
        }
        let (shared, own): (Vec<_>, Vec<_>) =
            rows.into_iter().partition(|(place, ..)| *place == Mode::Everywhere);
        [own, shared].map(|rows| rows.into_iter().map(|(_, names, help)| (names, help)).collect())
    }

    /// Takes in a key.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let ScreenEvent::Action(action) = event else { return Go::Stay };
        let signs = signs(self.about, context.shared.theme.glyphs());
        let count = self.rows().iter().map(Vec::len).sum::<usize>() + signs.len() + 2;
        ListChoice(&mut self.first).act(*action, count);
        if *action == Action::Back { Go::Back } else { Go::Stay }
    }

    /// Draws the keys over the screen below.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, _: &Shared, _: Now) {
        /// Columns that hold the keys of a place beside those of everywhere.
        const BOTH: u16 = 110;
        canvas.clear(area);
        let [own, shared] = self.rows();
        let signs = signs(self.about, canvas.glyphs());
        let list = canvas::below(area, 2);
        if area.width >= BOTH {
            canvas.heading(area, 0, "Keys", "Esc goes back");
            let (left, right) = canvas::split(list, list.width / 2, 4);
            canvas.row(left, 0, Tone::Strong, "here");
            canvas.row(right, 0, Tone::Strong, "everywhere");
            self.draw_rows(canvas::below(right, 1), &shared, canvas);
            let signs_at = text::cells(own.len()) + 2;
            self.draw_rows(canvas::below(left, 1), &own, canvas);
            if !signs.is_empty() && left.height > signs_at {
                canvas.row(left, signs_at, Tone::Strong, "signs");
                self.draw_rows(canvas::below(left, signs_at + 1), &signs, canvas);
            }
        } else {
            let gap = if signs.is_empty() { Vec::new() } else { vec![(String::new(), "")] };
            let rows = [own, gap.clone(), signs, gap, shared].concat();
            let more = if rows.len() > usize::from(list.height) { ", the arrows show more" } else { "" };
            canvas.heading(area, 0, "Keys", &format!("Esc goes back{more}"));
            self.draw_rows(list, &rows, canvas);
        }
    }

    fn draw_rows(&self, area: Rect, rows: &[(String, &'static str)], canvas: &mut Canvas<'_>) {
        let names = rows.iter().map(|(names, _)| text::width(names)).max().unwrap_or(0).min(18);
        let first = self.first.min(rows.len().saturating_sub(usize::from(area.height)));
        for (y, (name, help)) in rows.iter().skip(first).take(usize::from(area.height)).enumerate() {
            let y = text::cells(y);
            canvas.row(area, y, Tone::Focus, &text::fit(name, names, canvas.glyphs().ellipsis));
            canvas.at(area, text::cells(names + 2), y, Tone::Text, help);
        }
    }

    /// The keys as lines.
    pub fn lines(&self, _: &Shared, _: Now) -> Page {
        let mut lines = Page::new("the keys", "Keys of this place.");
        lines.push(format!("Say keys, or help and a part: {}. Esc goes back.", help_parts()));
        lines.aside("keys");
        lines.extend(self.said());
        lines
    }

    /// The keys as they are heard.
    pub fn said(&self) -> Vec<String> {
        let rows = self.rows().concat().into_iter();
        rows.map(|(names, help)| {
            let names: Vec<&str> = names.split(' ').map(said).collect();
            format!("{}: {help}.", names.join(" or "))
        })
        .collect()
    }
}

/// The name of a key as it is heard.
fn said(name: &str) -> &str {
    match name {
        "?" => "question mark",
        ":" => "colon",
        "+" => "plus",
        "-" => "minus",
        "=" => "equals",
        "<" => "less than",
        ">" => "more than",
        "," => "comma",
        "." => "dot",
        "/" => "slash",
        name => name,
    }
}

/// What the signs of a place stand for.
fn signs(about: Mode, glyphs: &Glyphs) -> Vec<(String, &'static str)> {
    let sides = glyphs.sides.join(" ");
    let five = glyphs.levels.join("");
    let light_to_heavy = [glyphs.levels[0], glyphs.levels[2], glyphs.levels[4]].join(" ");
    let band = "left above, right below, both in both rows; to scale";
    let relax = "contract-relax: twice push 5 s, relax, stretch 15 s";
    match about {
        Mode::Day | Mode::DayList => vec![
            (glyphs.bands.join(" "), "the last block to scale: left above, right below, both"),
            (glyphs.dot.repeat(3), "minutes of it that were left"),
            (glyphs.caution.to_owned(), "what limits the work"),
        ],
        Mode::Trained | Mode::Steps => vec![
            (sides, band),
            ("2x 5+15 s".to_owned(), relax),
            (light_to_heavy, "behind a step: the load on your own back, from light to heavy"),
            (glyphs.half.to_owned(), "on the band: the client does it alone, no hands"),
            (glyphs.dot.repeat(3), "minutes that are free"),
            (glyphs.full.to_owned(), "on the body: trained and reached"),
            (glyphs.half.to_owned(), "on the body: trained, not reached"),
            (glyphs.pinned.to_owned(), "kept in the plan by you"),
        ],
        Mode::Live | Mode::Paused => vec![
            (sides, band),
            ("2x 5+15 s".to_owned(), relax),
            (glyphs.now.to_owned(), "now; at the end of the band the client has to be up"),
        ],
        Mode::Review | Mode::ReviewHabit | Mode::History => {
            vec![(sides, band), (five, "what the client answered, 1 to 5")]
        }
        _ => Vec::new(),
    }
}
