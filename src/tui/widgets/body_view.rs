//! The body, front and back: what was trained, what the plan reaches, what must be left alone.

use std::collections::{BTreeMap, BTreeSet};

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::body::{Effort, Muscle, Side, Unit};
use crate::figure::{Blocks, Facing, Mark};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};

use super::pictures::{Pictures, paint};

/// Columns between the two views.
const GAP: u16 = 2;
/// The largest view, and the least that is still a body.
const MOST_ROWS: u16 = 30;
const LEAST_ROWS: u16 = 8;

/// Both views of the body.
#[derive(Debug)]
pub struct BodyView<'a> {
    /// What was trained today.
    pub trained: &'a BTreeMap<Muscle, Effort>,
    /// What the plan reaches.
    pub reached: &'a BTreeSet<Unit>,
    /// What must be left alone.
    pub avoided: &'a BTreeSet<Unit>,
    /// Whether what is reached is all there is to say, whatever was trained.
    pub plain: bool,
}

impl BodyView<'_> {
    /// Columns and rows of both views with their titles, the largest first; every size between them can be drawn.
    pub const SIZES: [(u16, u16); 3] = [(56, 31), (32, 17), (24, 12)];

    /// Columns and rows of one view in an area: a body is as wide as .44 of its height, a column as half a row.
    fn extent(area: Rect) -> Option<(u16, u16)> {
        let widest = area.width.checked_sub(GAP)? / 2;
        let rows = area.height.checked_sub(1)?.min(MOST_ROWS).min(widest.saturating_mul(25) / 22);
        (rows >= LEAST_ROWS).then(|| (widest.min(rows * 22 / 25 + 2), rows))
    }

    /// The rows that are drawn on in an area.
    pub fn rows(area: Rect) -> u16 {
        Self::extent(area).map_or(0, |(_, rows)| rows + 1)
    }

    fn mark(&self, unit: Unit) -> Mark {
        let (trained, reached) = (self.trained.contains_key(&unit.muscle), self.reached.contains(&unit));
        match (trained, reached) {
            _ if self.avoided.contains(&unit) => Mark::Avoided,
            (_, true) if self.plain => Mark::Done,
            (true, true) => Mark::Done,
            (true, false) => Mark::Missed,
            (false, true) => Mark::Besides,
            (false, false) => Mark::Idle,
        }
    }

    /// Draws both views with their names and sides; nothing where only ASCII can be drawn, where the words serve.
    pub fn draw(&self, area: Rect, theme: Theme, pictures: &Pictures, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let (Some(extent), Some(blocks)) = (Self::extent(area), pictures.blocks(theme)) else {
            return;
        };
        let views = [("front", Facing::Front, Side::Right), ("back", Facing::Back, Side::Left)];
        for ((name, facing, at_left), offset) in views.into_iter().zip([0, extent.0 + GAP]) {
            let place = Rect { x: area.x + offset, width: extent.0, height: extent.1 + 1, ..area };
            title(place, name, at_left, theme, buf);
            let below = Rect { y: place.y + 1, height: extent.1, ..place };
            if let Some(map) = pictures.map(facing, extent, blocks) {
                paint(&map.cells(|unit| self.mark(unit)), below, |mark| theme.mark(mark), buf);
            }
        }
    }

    /// The same in words.
    pub fn words(&self) -> Vec<String> {
        let is_reached = |muscle: Muscle| self.reached.iter().any(|unit| unit.muscle == muscle);
        let named = |muscles: Vec<Muscle>| {
            text::list(&muscles.iter().map(|muscle| muscle.plain_name().to_owned()).collect::<Vec<_>>())
        };
        let (reached, missed): (Vec<Muscle>, Vec<Muscle>) =
            self.trained.keys().partition(|muscle| is_reached(**muscle));
        let mut besides: Vec<Muscle> = self.reached.iter().map(|unit| unit.muscle).collect();
        besides.dedup();
        besides.retain(|muscle| !self.trained.contains_key(muscle));
        let mut avoided: Vec<Muscle> = self.avoided.iter().map(|unit| unit.muscle).collect();
        avoided.dedup();
        [
            ("trained and reached", reached),
            ("trained, not reached", missed),
            ("reached besides", besides),
            ("leave alone", avoided),
        ]
        .into_iter()
        .filter(|(_, muscles)| !muscles.is_empty())
        .map(|(what, muscles)| format!("{what}: {}", named(muscles)))
        .collect()
    }
}

/// The name of a view, and which side of the client is where: seen from the front, right is left.
fn title(place: Rect, name: &str, at_left: Side, theme: Theme, buf: &mut Buffer) {
    // Whole words leave a column on either side of the name.
    let words = |side: Side| match (place.width >= 17, side) {
        (true, Side::Left) => "left",
        (true, Side::Right) => "right",
        (false, Side::Left) => "L",
        (false, Side::Right) => "R",
    };
    let mut put = |x: u16, words: &str, tone: Tone| {
        buf.set_stringn(place.x + x, place.y, words, usize::from(place.width - x), theme.style(tone));
    };
    let at_right = at_left.other();
    put(0, words(at_left), Theme::side(Some(at_left)));
    put(place.width.saturating_sub(cells(name.len())) / 2, name, Tone::Dim);
    put(place.width - cells(words(at_right).len()), words(at_right), Theme::side(Some(at_right)));
}

/// What the tones and patterns of the map mean, a row each.
pub fn legend(area: Rect, theme: Theme, pictures: &Pictures, buf: &mut Buffer) {
    let area = area.intersection(buf.area);
    let Some(blocks) = pictures.blocks(theme) else { return };
    let samples = match blocks {
        Blocks::Quadrants => ["█", "▚", "█", "▀"],
        Blocks::Halves => ["█", "▀", "█", "▀"],
        Blocks::Outlines => ["⣿", "⠅", "⠕", "⡡"],
    };
    let rows = [
        (Mark::Done, "trained, reached"),
        (Mark::Missed, "trained, not reached"),
        (Mark::Besides, "reached besides"),
        (Mark::Avoided, "leave alone"),
    ];
    for (((mark, words), sample), y) in rows.into_iter().zip(samples).zip(area.top()..area.bottom()) {
        let mut style = ratatui::style::Style { fg: theme.mark(mark), ..Default::default() };
        if sample != "█" {
            style.bg = theme.mark(Mark::Idle);
        }
        buf.set_stringn(area.x, y, sample, usize::from(area.width), style);
        let words_of = theme.style(Tone::Dim);
        buf.set_stringn(
            area.x.saturating_add(2),
            y,
            words,
            usize::from(area.width.saturating_sub(2)),
            words_of,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::{Background, ColourDepth};

    fn drawn(view: &BodyView<'_>, size: (u16, u16), ascii: bool) -> Vec<String> {
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii };
        let area = Rect::new(0, 0, size.0, size.1);
        let mut buf = Buffer::empty(area);
        let mut pictures = Pictures::default();
        view.draw(area, theme, &pictures, &mut buf);
        if pictures.work_out() {
            view.draw(area, theme, &pictures, &mut buf);
        }
        (0..size.1).map(|y| (0..size.0).map(|x| buf[(x, y)].symbol()).collect()).collect()
    }

    #[test]
    fn left_is_on_the_viewers_right_in_front_and_on_the_left_behind() {
        let avoided = BTreeSet::from([Unit { muscle: Muscle::Hamstrings, side: Side::Left }]);
        let (trained, none) = (BTreeMap::new(), BTreeSet::new());
        let without = BodyView { trained: &trained, reached: &none, avoided: &none, plain: false };
        let view = BodyView { avoided: &avoided, ..without };
        let size = BodyView::SIZES[2];
        let (with, blank) = (drawn(&view, size, false), drawn(&without, size, false));
        assert_eq!(with[0].trim_end(), "R  front  L  L  back   R");
        let changed: Vec<usize> = (1..usize::from(size.1))
            .flat_map(|y| {
                let pairs = with[y].chars().zip(blank[y].chars()).enumerate();
                pairs.filter(|(_, (one, other))| one != other).map(|(x, _)| x).collect::<Vec<_>>()
            })
            .collect();
        assert!(!changed.is_empty() && changed.iter().all(|x| (13..19).contains(x)), "{changed:?}");
        assert_eq!(view.words(), ["leave alone: hamstrings"]);
        assert!(drawn(&view, size, true).concat().trim().is_empty(), "in ASCII the words serve");
    }

    #[test]
    fn every_named_size_is_used_whole() {
        for (columns, rows) in BodyView::SIZES {
            assert_eq!(BodyView::rows(Rect::new(0, 0, columns, rows)), rows);
        }
        assert_eq!(BodyView::rows(Rect::new(0, 0, 10, 40)), 0);
    }
}
