//! Pictures of stretches and the layouts of the body map, worked out before a screen is drawn and kept for each size.

use std::cell::RefCell;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Style};

use crate::body::Side;
use crate::catalogue::Form;
use crate::figure::{self, Blocks, BodyMap, Cells, Facing, Ink};
use crate::tui::theme::Theme;

/// How many pictures are kept: those of a long plan.
const KEPT: usize = 48;
/// Below these columns and rows a picture says nothing.
pub const LEAST: (u16, u16) = (20, 6);

/// Pictures that are ready; which are makes no difference to what a screen is.
///
/// Drawing only looks them up, and notes those that it did not find: whoever draws holds no more than a shared
/// reference, and [`Pictures::work_out`], the only way to a new one, asks for more.
#[derive(Debug, Clone, Default)]
pub struct Pictures {
    halves: bool,
    figures: Prepared<FigureKey, Cells<Ink>>,
    maps: Prepared<MapKey, BodyMap>,
}

impl PartialEq for Pictures {
    fn eq(&self, other: &Self) -> bool {
        self.halves == other.halves
    }
}

/// Columns and rows, and what pixels are made of.
type Drawn = ((u16, u16), Blocks);
/// A form, worked on a side or on both at once.
type FigureKey = (Form, Option<Side>, Drawn);
/// A view of the body.
type MapKey = (Facing, Drawn);

/// What was made last, and what was looked for and is not there.
#[derive(Debug, Clone)]
struct Prepared<K, V> {
    made: Vec<(K, V)>,
    missed: RefCell<Vec<K>>,
}

impl<K, V> Default for Prepared<K, V> {
    fn default() -> Self {
        Self { made: Vec::new(), missed: RefCell::default() }
    }
}

impl<K, V> Prepared<K, V> {
    /// What is ready; else notes that it is wanted.
    fn get(&self, is_it: impl Fn(&K) -> bool, key: impl FnOnce() -> K) -> Option<&V> {
        let found = self.made.iter().find(|(key, _)| is_it(key)).map(|(_, made)| made);
        if found.is_none() {
            let mut missed = self.missed.borrow_mut();
            if missed.len() < KEPT && !missed.iter().any(is_it) {
                missed.push(key());
            }
        }
        found
    }

    /// Makes what was missed; whether that was anything.
    fn make(&mut self, work: impl Fn(&K) -> V) -> bool {
        let missed = self.missed.take();
        let is_any = !missed.is_empty();
        for key in missed {
            if self.made.len() == KEPT {
                self.made.remove(0);
            }
            let worked_out = work(&key);
            self.made.push((key, worked_out));
        }
        is_any
    }
}

impl Pictures {
    /// None yet; with half blocks for fonts without quadrants.
    pub fn new(halves: bool) -> Self {
        Self { halves, ..Self::default() }
    }

    /// What the pixels of a picture are made of in a theme; none where there are no pictures.
    pub const fn blocks(&self, theme: Theme) -> Option<Blocks> {
        theme.blocks(self.halves)
    }

    /// Works out what was looked for since the last time and not found; whether that was anything.
    pub fn work_out(&mut self) -> bool {
        let figures =
            self.figures.make(|(form, side, (extent, blocks))| figure::draw(form, *side, *extent, *blocks));
        let maps = self.maps.make(|(facing, (extent, blocks))| BodyMap::of(*facing, *extent, *blocks));
        figures || maps
    }

    /// Draws a form that is ready, worked on a side or on both at once, as large as the area allows, its foot on the
    /// last row.
    pub fn draw(&self, form: &Form, side: Option<Side>, area: Rect, theme: Theme, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let Some(blocks) = self.blocks(theme) else { return };
        if area.width < LEAST.0 || area.height < LEAST.1 {
            return;
        }
        let drawn = ((area.width, area.height), blocks);
        let found = self.figures.get(
            |(kept, kept_side, kept_drawn)| *kept_drawn == drawn && *kept_side == side && kept == form,
            || (form.clone(), side, drawn),
        );
        if let Some(cells) = found {
            paint(cells, area, |ink| theme.ink(ink, side), buf);
        }
    }

    /// The layout of one view of the body, if it is ready.
    pub fn map(&self, facing: Facing, extent: (u16, u16), blocks: Blocks) -> Option<&BodyMap> {
        let key = (facing, (extent, blocks));
        self.maps.get(|kept| *kept == key, || key)
    }
}

/// Puts cells into an area from its upper left corner; what is ground stays as it is.
pub fn paint<I: Copy + PartialEq>(
    cells: &Cells<I>,
    area: Rect,
    colour: impl Fn(I) -> Option<Color>,
    buf: &mut Buffer,
) {
    let area = area.intersection(buf.area);
    for (row, y) in cells.rows().zip(area.top()..area.bottom()) {
        for (cell, x) in row.iter().zip(area.left()..area.right()) {
            if cell.glyph == ' ' {
                continue;
            }
            let style =
                Style { fg: cell.ink.and_then(&colour), bg: cell.behind.and_then(&colour), ..Style::new() };
            buf[(x, y)].set_char(cell.glyph).set_style(style);
        }
    }
}
