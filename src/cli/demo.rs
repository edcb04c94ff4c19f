//! An invented studio to try everything on.

mod cast;
mod random;
mod studio;

pub use studio::{Studio, studio};
