//! The things beside a body, as blocks and rods.

use crate::figure::vector::Vec3;

/// A thing beside the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prop {
    /// Whether it is the mat, which is the ground of a picture.
    pub is_mat: bool,
    /// Whether it is drawn before the body.
    pub is_held: bool,
    /// Its form.
    pub solid: Solid,
}

/// The form of a thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Solid {
    /// A block between two corners.
    Block(Vec3, Vec3),
    /// A rod of a thickness.
    Rod(Vec3, Vec3, f64),
}
