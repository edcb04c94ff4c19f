//! Pieces that several screens draw.

pub mod beside;
pub mod body_view;
pub mod digits;
pub mod field;
pub mod letters;
pub mod pictures;
pub mod reached;
pub mod report_row;
pub mod ribbon;
