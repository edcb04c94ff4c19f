//! Where the stretch goes, as an arrow beside the end of what moves.

use super::camera::Camera;
use super::moving::Moving;
use super::plane::{Vec2, vec2};
use super::shapes::{Ink, Shape};

/// How long an arrow is, in statures.
pub const LENGTH: f64 = 0.13;
/// How far from the end of the limb it begins.
const GAP: f64 = 0.055;

/// An arrow in the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrow {
    /// Where it begins.
    pub from: Vec2,
    /// Its point.
    pub to: Vec2,
}

impl Arrow {
    /// The arrow of what moves; none where it would point at the eye or lie on light parts.
    pub fn of(moving: &Moving, camera: &Camera, shapes: &[Shape]) -> Option<Self> {
        let way = camera.project(moving.way);
        let length = way.length();
        if length < 0.4 {
            return None;
        }
        let way = way * (1.0 / length);
        let end = camera.project(moving.end);
        // Straight on from the end, or moved to one side of it where that lies clear.
        let across = vec2(-way.y, way.x);
        [0.0, 0.05, -0.05, 0.09, -0.09]
            .into_iter()
            .map(|aside| {
                let from = end + way * GAP + across * aside;
                Self { from, to: from + way * LENGTH }
            })
            .find(|arrow| arrow.covered(shapes) <= 1.0 / 3.0)
            .map(|arrow| Self { from: arrow.from.rounded(), to: arrow.to.rounded() })
    }

    /// The share of it that lies on light parts.
    fn covered(&self, shapes: &[Shape]) -> f64 {
        let light = |at: Vec2| {
            shapes
                .iter()
                .rev()
                .filter(|shape| !matches!(shape.ink, Ink::Mat | Ink::Thing))
                .any(|shape| shape.pieces.iter().any(|piece| piece.holds(at)))
        };
        let mut hits = 0.0;
        for step in 0..8_u8 {
            let at = self.from + (self.to - self.from) * (f64::from(step) / 7.0);
            if light(at) {
                hits += 1.0;
            }
        }
        hits / 8.0
    }
}
