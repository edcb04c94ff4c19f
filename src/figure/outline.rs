//! Outlines in braille dots, where a terminal has no colours.

use super::cells::{Cells, InkedCell, braille};
use super::fit::{Fit, index, middle};
use super::plane::Polygon;
use super::shapes::{Ink, Limb, Shape};

/// What a dot belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Dot {
    limb: Limb,
    ink: Ink,
    nearness: f64,
}

pub(super) fn draw(cells: &mut Cells<Ink>, shapes: &[Shape], fit: &Fit) {
    let mut dots = DotGrid::blank(usize::from(cells.width()) * 2, usize::from(cells.height()) * 4);
    for shape in shapes.iter().filter(|shape| !matches!(shape.ink, Ink::Hair | Ink::Mat)) {
        let dot = Dot { limb: shape.limb, ink: shape.ink, nearness: shape.nearness };
        for piece in &shape.pieces {
            dots.fill(&fit.polygon(piece, 2.0, 2.0), dot);
        }
    }
    for y in 0..cells.height() {
        for x in 0..cells.width() {
            let (left, top) = (usize::from(x) * 2, usize::from(y) * 4);
            if let Some(glyph) = braille(|dx, dy| dots.is_inked(left + dx, top + dy)) {
                cells.set(x, y, InkedCell { glyph, ink: Some(Ink::Near), behind: None });
            }
        }
    }
}

struct DotGrid {
    width: usize,
    height: usize,
    all: Vec<Option<Dot>>,
}

impl DotGrid {
    fn blank(width: usize, height: usize) -> Self {
        Self { width, height, all: vec![None; width * height] }
    }

    fn fill(&mut self, polygon: &Polygon, dot: Dot) {
        let (low, high) = polygon.heights();
        for row in index(low, self.height)..index(high + 1.0, self.height) {
            let Some((from, to)) = polygon.span(middle(row)) else { continue };
            for column in index(from + 0.5, self.width)..index(to + 0.5, self.width) {
                self.all[row * self.width + column] = Some(dot);
            }
        }
    }

    fn at(&self, x: usize, y: usize) -> Option<Dot> {
        if x < self.width && y < self.height { self.all[y * self.width + x] } else { None }
    }

    /// Whether a dot is drawn: muscles solid, near limbs by their edge, far ones and things by some dots of it.
    fn is_inked(&self, x: usize, y: usize) -> bool {
        let Some(dot) = self.at(x, y) else { return false };
        if dot.ink == Ink::Muscle {
            return true;
        }
        let neighbours = [
            self.at(x + 1, y),
            self.at(x, y + 1),
            x.checked_sub(1).and_then(|x| self.at(x, y)),
            y.checked_sub(1).and_then(|y| self.at(x, y)),
        ];
        let edge = neighbours.into_iter().any(|other| {
            other.is_none_or(|other| {
                other.limb != dot.limb && other.limb != Limb::Muscle && other.nearness < dot.nearness
            })
        });
        edge && match dot.ink {
            Ink::Far => (x + y).is_multiple_of(2),
            Ink::Thing => (x + y).is_multiple_of(3),
            _ => true,
        }
    }
}
