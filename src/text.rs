//! Text as people read it: foreign text made harmless, columns, sentences, words that are looked for.

mod measure;
mod safe;
mod search;
mod sentence;

pub use measure::{USUAL_COLUMNS, columns, cut, pad, wrap};
pub use safe::Safe;
pub(crate) use safe::is_harmless;
pub use search::{folded, holds_words};
pub use sentence::{count, list};
