//! How a figure lies in the cells of a terminal.

use super::plane::{Bounds, Polygon, Vec2, vec2};

/// How a figure lies in its cells, which are twice as high as wide.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    /// Columns a stature.
    pub(super) scale: f64,
    left: f64,
    bottom: f64,
    half_rows: f64,
}

/// The least height of a picture in statures, so that a head is not blown up.
const CLOSEST: f64 = 0.36;
/// Columns left free on each side.
const SPARE: f64 = 0.3;

impl Fit {
    pub(super) fn of(frame: Bounds, width: u16, height: u16) -> Option<Self> {
        let (columns, half_rows) = (f64::from(width), f64::from(height) * 2.0);
        if columns < 1.0 || half_rows < 2.0 || frame.width() <= 0.0 || frame.height() <= 0.0 {
            return None;
        }
        let across = (columns - 2.0 * SPARE) / frame.width();
        let down = (half_rows - 2.0 * SPARE) / frame.height();
        let scale = across.min(down).min(half_rows / CLOSEST);
        let left = (columns - frame.width() * scale) / 2.0 - frame.low.x * scale;
        Some(Self { scale, left, bottom: SPARE - frame.low.y * scale, half_rows })
    }

    /// Columns from the left and half rows from the top.
    fn place(&self, at: Vec2) -> Vec2 {
        vec2(self.left + at.x * self.scale, self.half_rows - (self.bottom + at.y * self.scale))
    }

    /// The cell of a point: column and row.
    pub(super) fn cell(&self, at: Vec2) -> (f64, f64) {
        let place = self.place(at);
        (place.x, place.y / 2.0)
    }

    /// A polygon in pixels, so many to a column and to a half row.
    pub(super) fn polygon(&self, piece: &Polygon, across: f64, down: f64) -> Polygon {
        piece.mapped(|corner| {
            let place = self.place(corner);
            vec2(place.x * across, place.y * down)
        })
    }
}

/// The middle of a row or column.
#[expect(clippy::cast_precision_loss, reason = "far fewer pixels than a float can count")]
pub(super) fn middle(index: usize) -> f64 {
    index as f64 + 0.5
}

/// The whole number below, cut to a range of so many.
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "far fewer pixels than a float can count, and cut to the range first"
)]
pub(super) fn index(value: f64, count: usize) -> usize {
    value.clamp(0.0, count as f64) as usize
}
