//! From a form to a body in space: base pose, contact with what carries it, hands, and the things it needs.
//!
//! The left side is worked. The motion that stretches stays as the form says; what only holds the base pose yields
//! where a body could not lie, kneel, sit or stand otherwise.

mod draft;
mod hands;
mod kneeling;
mod lying;
mod places;
mod props;
mod reach;
mod seated;
mod standing;
mod thing;

use crate::catalogue::{Form, Position};

use super::joints::{Joints, MovingPart};
use super::skeleton::Body;

use draft::Draft;

pub use thing::{Prop, Solid};

/// A body in the pose of a form, worked on the left, with what it lies on, leans on and holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Posed {
    /// The body.
    pub body: Body,
    /// Mat, table, chair, wall, bolster, strap.
    pub props: Vec<Prop>,
    /// The angles that were asked for.
    pub joints: Joints,
    /// What moves.
    pub worked: MovingPart,
}

/// Poses the body of a form, worked on the left.
pub fn pose(form: &Form) -> Posed {
    let mut draft = Draft::new(form);
    match form.position {
        Position::Supine => lying::supine(&mut draft),
        Position::Prone => lying::prone(&mut draft),
        Position::SideLying => lying::side_lying(&mut draft),
        Position::Kneeling => kneeling::kneeling(&mut draft),
        Position::Seated => seated::seated(&mut draft),
        Position::Standing => standing::standing(&mut draft),
    }
    hands::place(&mut draft);
    props::add(&mut draft);
    Posed {
        body: Body { axis: draft.axis, legs: draft.legs, arms: draft.arms },
        props: draft.props,
        joints: draft.joints,
        worked: draft.worked,
    }
}
