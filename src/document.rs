//! A file as a person wrote it: its text with places, a walk through its tables that finds every flaw, and values
//! that cannot be wrong. Nothing here knows what the files are about.

mod flaw;
mod source;
mod table;
pub mod values;
mod walker;

pub use flaw::{Flaw, MOST_FLAWS, rendered};
pub use source::Source;
pub use table::{Parsed, Placed, Table};
pub use values::{Explained, Value, Wrong};
pub use walker::{Unknown, Walker};
