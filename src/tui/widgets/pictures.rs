//! Pictures of stretches and the layouts of the body map, worked out once for each size and kept.

use std::cell::RefCell;
use std::sync::Arc;

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

/// Pictures that were drawn; which are kept makes no difference to what is shown.
#[derive(Debug, Clone, Default)]
pub struct Pictures {
    halves: bool,
    figures: RefCell<Memo<PictureKey, Cells<Ink>>>,
    maps: RefCell<Memo<(Facing, Drawn), BodyMap>>,
}

impl PartialEq for Pictures {
    fn eq(&self, other: &Self) -> bool {
        self.halves == other.halves
    }
}

/// Columns and rows, and what pixels are made of.
type Drawn = ((u16, u16), Blocks);
/// A form, worked on a side or on both at once.
type PictureKey = (Form, Option<Side>, Drawn);

/// What was made last.
#[derive(Debug, Clone)]
struct Memo<K, V>(Vec<(K, Arc<V>)>);

impl<K, V> Default for Memo<K, V> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<K, V> Memo<K, V> {
    fn get(&mut self, is_it: impl Fn(&K) -> bool, draw: impl FnOnce() -> (K, V)) -> Arc<V> {
        if let Some((_, found)) = self.0.iter().find(|(key, _)| is_it(key)) {
            return Arc::clone(found);
        }
        let (key, cells) = draw();
        let cells = Arc::new(cells);
        if self.0.len() == KEPT {
            self.0.remove(0);
        }
        self.0.push((key, Arc::clone(&cells)));
        cells
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

    /// Draws a form, worked on a side or on both at once, as large as the area allows, its foot on the last row.
    pub fn draw(&self, form: &Form, side: Option<Side>, area: Rect, theme: Theme, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        let Some(blocks) = self.blocks(theme) else { return };
        if area.width < LEAST.0 || area.height < LEAST.1 {
            return;
        }
        let drawn = ((area.width, area.height), blocks);
        let cells = self.figures.borrow_mut().get(
            |(kept, kept_side, kept_drawn)| *kept_drawn == drawn && *kept_side == side && kept == form,
            || ((form.clone(), side, drawn), figure::draw(form, side, drawn.0, blocks)),
        );
        paint(&cells, area, |ink| theme.ink(ink, side), buf);
    }

    /// The layout of one view of the body.
    pub fn map(&self, facing: Facing, extent: (u16, u16), blocks: Blocks) -> Arc<BodyMap> {
        let drawn = (extent, blocks);
        self.maps.borrow_mut().get(
            |(kept, kept_drawn)| *kept == facing && *kept_drawn == drawn,
            || ((facing, drawn), BodyMap::of(facing, extent, blocks)),
        )
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
