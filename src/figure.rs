//! Draws a stretch from what its joints do, and the body with its muscles: pose, view, shapes, then SVG or cells.
//!
//! No picture is stored. A form says where the client lies and what each joint does in degrees, so every form can be
//! drawn, a trainer's own as well; and a form that no body can hold shows as one. Everything here is worked on the
//! left; the right side is the mirror image, to the last pixel. The same form gives the same picture on every machine:
//! sines come from `libm`, and points are rounded before they are drawn.

pub mod arrow;
pub mod body_map;
pub mod camera;
pub mod cells;
mod fit;
pub mod flesh;
pub mod joints;
pub mod mass;
pub mod moving;
pub mod muscles;
mod outline;
pub mod plane;
pub mod pose;
mod raster;
pub mod recovered;
mod said;
pub mod shapes;
pub mod skeleton;
pub mod sketch;
mod stance;
pub mod svg;
pub mod vector;
pub mod view;

use crate::body::Side;
use crate::catalogue::Form;

pub use body_map::{BodyMap, Facing, Mark};
pub use cells::{Blocks, Cells, InkedCell};
pub use recovered::{Misfit, misfits};
pub use said::in_words;
pub use shapes::Ink;
pub use sketch::Sketch;
pub use stance::stance;
pub use svg::{svg, svg_shapes};

/// A form in so many columns and rows, worked on `side` or on both at once.
///
/// Takes about a millisecond (`cargo bench --bench figure`): work it out when the form or the size changes, and keep
/// it; the screens never do so while they draw.
pub fn draw(form: &Form, side: Option<Side>, extent: (u16, u16), blocks: Blocks) -> Cells<Ink> {
    let cells = raster::draw(&Sketch::of(form), extent, blocks);
    if side == Some(Side::Right) { cells.mirrored() } else { cells }
}
