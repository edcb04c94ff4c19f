//! The body: muscles, joints and what they do, sides, and bounded quantities. Knows nothing else.

pub mod action;
pub mod evidence;
pub mod lengthening;
pub mod motion;
pub mod muscle;
pub mod norm;
pub mod quantity;
pub mod side;

pub use evidence::Evidence;
pub use motion::{Joint, Motion};
pub use muscle::{Muscle, MuscleGroup, Region, Unit, muscles_named};
pub use quantity::{Degrees, Effort, Kilograms, Level, Minutes, Seconds};
pub use side::Side;
