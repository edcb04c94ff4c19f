//! The text of a file: byte-order mark, line ends, places.

use std::ops::Range;
use std::path::{Path, PathBuf};

use super::flaw::Flaw;

/// The byte-order mark that some editors put in front.
const BOM: &str = "\u{feff}";

/// The decoded text of one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    path: PathBuf,
    // Invariant: the whole file, a byte-order mark included.
    whole: String,
}

impl Source {
    /// Decodes the bytes of a file.
    ///
    /// # Errors
    /// Says where they are no UTF-8.
    pub fn decode(path: &Path, bytes: Vec<u8>) -> Result<Self, Vec<Flaw>> {
        String::from_utf8(bytes).map(|whole| Self::made(path, whole)).map_err(|error| {
            let good = error.utf8_error().valid_up_to();
            let source = Self::made(path, String::from_utf8_lossy(error.as_bytes()).into_owned());
            let remedy = "save the file as UTF-8 text, or put back a copy from before";
            vec![source.flaw(source.unshift(good..good), "not UTF-8 text", remedy)]
        })
    }

    /// Wraps a text that is not in a file yet.
    pub fn made(path: &Path, whole: String) -> Self {
        Self { path: path.to_owned(), whole }
    }

    /// Where the text is from.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The text without a byte-order mark: what is parsed, and what spans refer to.
    pub fn text(&self) -> &str {
        self.whole.strip_prefix(BOM).unwrap_or(&self.whole)
    }

    /// The text with its byte-order mark, as it stands in the file.
    pub fn whole(&self) -> &str {
        &self.whole
    }

    /// Bytes before the text proper.
    pub fn mark_len(&self) -> usize {
        self.whole.len() - self.text().len()
    }

    /// The line end in use: that of the first line.
    pub fn line_end(&self) -> &'static str {
        match self.whole.find('\n') {
            Some(at) if self.whole[..at].ends_with('\r') => "\r\n",
            _ => "\n",
        }
    }

    /// The same file with `range` of [`Source::text`] replaced.
    #[must_use]
    pub fn splice(&self, range: Range<usize>, new: &str) -> Self {
        let shift = self.mark_len();
        let mut whole = self.whole.clone();
        whole.replace_range(range.start + shift..range.end + shift, new);
        Self { path: self.path.clone(), whole }
    }

    /// Line and column, both from 1, of a byte offset in [`Source::text`]; the column counts characters.
    pub fn position(&self, offset: usize) -> (usize, usize) {
        let text = self.text();
        let offset = text.floor_char_boundary(offset);
        let before = &text[..offset];
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        (before.matches('\n').count() + 1, text[start..offset].chars().count() + 1)
    }

    /// Describes what is wrong at a place of [`Source::text`].
    pub fn flaw(&self, span: Range<usize>, message: impl Into<String>, remedy: impl Into<String>) -> Flaw {
        let text = self.text();
        let floor = |offset| text.floor_char_boundary(offset);
        let start = floor(span.start);
        let (line, column) = self.position(start);
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        // A long line is shown around the place only.
        let from = floor(start.saturating_sub(120).max(line_start));
        let to = floor((start + 160).min(line_end)).max(start);
        let excerpt = text[from..to].trim_end_matches('\r');
        let start = start.min(from + excerpt.len());
        let end = floor(span.end).clamp(start, from + excerpt.len());
        Flaw {
            path: self.path.clone(),
            line,
            column,
            message: message.into(),
            remedy: remedy.into(),
            excerpt: excerpt.to_owned(),
            marked: start - from..end - from,
        }
    }

    fn unshift(&self, range: Range<usize>) -> Range<usize> {
        let shift = self.mark_len();
        range.start.saturating_sub(shift)..range.end.saturating_sub(shift)
    }
}

#[cfg(test)]
mod tests {
    use super::super::flaw::rendered;
    use super::*;

    #[test]
    fn a_place_counts_lines_and_characters_from_one() {
        let source = Source::made(Path::new("x"), "\u{feff}é = 1\r\nb = é".to_owned());
        assert_eq!(source.position(0), (1, 1));
        assert_eq!(source.position(source.text().len()), (2, 6));
        assert_eq!(source.line_end(), "\r\n");
    }

    #[test]
    fn a_mark_stays_within_the_line_that_is_shown() {
        let source = Source::made(Path::new("x"), "a = 1\r\r\nb".to_owned());
        for (start, end) in [(0, 30), (5, 7), (6, 8), (7, 8), (8, 8), (20, 20)] {
            let flaw = source.flaw(start..end, "wrong", "mend it");
            assert!(
                flaw.marked.start <= flaw.marked.end && flaw.marked.end <= flaw.excerpt.len(),
                "{flaw:?}"
            );
            assert!(rendered(&[flaw]).contains("mend it"));
        }
    }

    #[test]
    fn bytes_that_are_no_text_are_placed() {
        let flaws = Source::decode(Path::new("x"), b"a = 1\nb = \xff".to_vec()).expect_err("no text");
        assert_eq!((flaws[0].line, flaws[0].column, flaws[0].message.as_str()), (2, 5, "not UTF-8 text"));
    }
}
