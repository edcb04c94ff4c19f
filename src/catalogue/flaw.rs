//! What is wrong with a file of stretches, and where.

use std::fmt;
use std::ops::Range;

/// Something wrong in a file of stretches, with its place and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Flaw {
    /// The file, as it was named by whoever read it.
    pub file: String,
    /// The line, counted from 1.
    pub line: usize,
    /// The column in characters, counted from 1.
    pub column: usize,
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub remedy: String,
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}; {}", self.file, self.line, self.column, self.message, self.remedy)
    }
}

impl std::error::Error for Flaw {}

/// Collects the flaws of one file and turns byte offsets into lines and columns.
pub(super) struct Flaws<'t> {
    file: &'t str,
    text: &'t str,
    found: Vec<Flaw>,
}

impl<'t> Flaws<'t> {
    pub(super) fn new(file: &'t str, text: &'t str) -> Self {
        Self { file, text, found: Vec::new() }
    }

    /// Adds one flaw that begins where `span` does.
    pub(super) fn add(&mut self, span: &Range<usize>, message: impl Into<String>, remedy: impl Into<String>) {
        // A span past the end or within a character cannot be cut; the nearest place before it can.
        let mut start = span.start.min(self.text.len());
        while !self.text.is_char_boundary(start) {
            start -= 1;
        }
        let before = &self.text[..start];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        self.found.push(Flaw {
            file: self.file.to_owned(),
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
            message: message.into(),
            remedy: remedy.into(),
        });
    }

    pub(super) fn count(&self) -> usize {
        self.found.len()
    }

    /// All of them in the order of the file.
    pub(super) fn into_sorted(mut self) -> Vec<Flaw> {
        self.found.sort_by_key(|flaw| (flaw.line, flaw.column));
        self.found
    }
}
