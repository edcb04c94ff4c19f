//! How well a figure of the embedded data is known, and the small reader of those files.

use crate::names::named;

named! {
    /// Whether a figure was read in a text or recalled.
    pub enum Evidence("evidence") {
        /// It was in a text that was read.
        Seen = "seen",
        /// It is from memory and wants checking.
        Memory = "memory",
    }
}

/// The rows of comma-separated text below its heading, each with its line number; no field is quoted.
pub(super) fn rows(text: &'static str) -> impl Iterator<Item = (usize, Vec<&'static str>)> {
    text.lines()
        .enumerate()
        .skip(1)
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(index, line)| (index + 1, line.split(',').map(str::trim).collect()))
}
