//! The body: muscles, joints and what they do, sides, and bounded quantities. Knows nothing else.

pub mod action;
pub mod body_part;
pub mod evidence;
pub mod lengthening;
pub mod motion;
pub mod muscle;
pub mod muscle_words;
pub mod norm;
pub mod quantity;
pub mod side;

pub use body_part::BodyPart;
pub use evidence::Evidence;
pub use motion::{Joint, Motion};
pub use muscle::{Muscle, MuscleGroup, Region, Unit};
pub use muscle_words::{muscle_named, muscles_named, muscles_offered, other_muscle_names};
pub use quantity::{Degrees, Effort, Kilograms, Level, Minutes, Seconds};
pub use side::Side;
