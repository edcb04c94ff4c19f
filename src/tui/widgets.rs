//! Pieces that several screens draw.

pub mod digits;
pub mod field;
pub mod figure;
pub mod plot;
pub mod reached;
pub mod ribbon;
