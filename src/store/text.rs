//! The text of a file as a person wrote it: byte-order mark, line ends, places; and text made harmless.

use std::borrow::Cow;
use std::ops::Range;
use std::path::{Path, PathBuf};

use super::error::{Flaw, StoreError};

/// The byte-order mark that some editors put in front.
const BOM: &str = "\u{feff}";

/// The decoded text of one file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Source {
    path: PathBuf,
    // Invariant: the whole file, a byte-order mark included.
    whole: String,
}

impl Source {
    /// Decodes the bytes of a file.
    pub(crate) fn decode(path: &Path, bytes: Vec<u8>) -> Result<Self, StoreError> {
        match String::from_utf8(bytes) {
            Ok(whole) => Ok(Self { path: path.to_owned(), whole }),
            Err(error) => {
                let good = error.utf8_error().valid_up_to();
                let whole = String::from_utf8_lossy(error.as_bytes()).into_owned();
                let source = Self { path: path.to_owned(), whole };
                let remedy = "save the file as UTF-8 text, or put back a copy from before";
                Err(StoreError::broken(vec![source.flaw(
                    source.unshift(good..good),
                    "not UTF-8 text",
                    remedy,
                )]))
            }
        }
    }

    /// Wraps a text that is not in a file yet.
    pub(crate) fn made(path: &Path, whole: String) -> Self {
        Self { path: path.to_owned(), whole }
    }

    /// Where the text is from.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// The text without a byte-order mark: what is parsed, and what spans refer to.
    pub(crate) fn text(&self) -> &str {
        self.whole.strip_prefix(BOM).unwrap_or(&self.whole)
    }

    /// The text with its byte-order mark, as it stands in the file.
    pub(crate) fn whole(&self) -> &str {
        &self.whole
    }

    /// Bytes before the text proper.
    pub(crate) fn mark_len(&self) -> usize {
        self.whole.len() - self.text().len()
    }

    /// The line end in use: that of the first line.
    pub(crate) fn line_end(&self) -> &'static str {
        match self.whole.find('\n') {
            Some(at) if self.whole[..at].ends_with('\r') => "\r\n",
            _ => "\n",
        }
    }

    /// The same file with `range` of [`Source::text`] replaced.
    pub(crate) fn splice(&self, range: Range<usize>, new: &str) -> Self {
        let shift = self.mark_len();
        let mut whole = self.whole.clone();
        whole.replace_range(range.start + shift..range.end + shift, new);
        Self { path: self.path.clone(), whole }
    }

    /// Line and column, both from 1, of a byte offset in [`Source::text`]; the column counts characters.
    pub(crate) fn position(&self, offset: usize) -> (usize, usize) {
        let text = self.text();
        let offset = floor(text, offset);
        let before = &text[..offset];
        let start = before.rfind('\n').map_or(0, |at| at + 1);
        (before.matches('\n').count() + 1, text[start..offset].chars().count() + 1)
    }

    /// Describes what is wrong at a place of [`Source::text`].
    pub(crate) fn flaw(
        &self,
        span: Range<usize>,
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Flaw {
        let text = self.text();
        let start = floor(text, span.start);
        let (line, column) = self.position(start);
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find('\n').map_or(text.len(), |at| start + at);
        // A long line is shown around the place only.
        let from = floor(text, start.saturating_sub(120).max(line_start));
        let to = floor(text, (start + 160).min(line_end)).max(start);
        let excerpt = text[from..to].trim_end_matches('\r');
        let start = start.min(from + excerpt.len());
        let end = floor(text, span.end).clamp(start, from + excerpt.len());
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

/// The greatest character boundary at or before `offset`.
fn floor(text: &str, offset: usize) -> usize {
    text.floor_char_boundary(offset)
}

/// Whether a character could move the cursor, hide or reorder the text around it.
pub(crate) fn is_harmful(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
            | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// The text with everything that could harm a terminal or mislead a reader written out as `\u{..}`.
pub fn plain(text: &str) -> Cow<'_, str> {
    // Zero-width joiners hold emoji together and mislead nobody.
    if !text.chars().any(|c| is_harmful(c) && c != '\u{200d}') {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_harmful(c) && c != '\u{200d}' { out.extend(c.escape_default()) } else { out.push(c) }
    }
    Cow::Owned(out)
}

/// A name as it is compared: small letters, common accents taken off.
pub(crate) fn folded(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for c in name.chars().flat_map(char::to_lowercase) {
        match c {
            'à'..='å' | 'ā' | 'ă' | 'ą' => out.push('a'),
            'æ' => out.push_str("ae"),
            'ç' | 'ć' | 'č' | 'ċ' | 'ĉ' => out.push('c'),
            'ď' | 'đ' | 'ð' => out.push('d'),
            'è'..='ë' | 'ē' | 'ĕ' | 'ė' | 'ę' | 'ě' => out.push('e'),
            'ğ' | 'ģ' | 'ĝ' | 'ġ' => out.push('g'),
            'ì'..='ï' | 'ī' | 'ĭ' | 'į' | 'ı' => out.push('i'),
            'ł' | 'ľ' | 'ļ' | 'ĺ' => out.push('l'),
            'ñ' | 'ń' | 'ň' | 'ņ' => out.push('n'),
            'ò'..='ö' | 'ø' | 'ō' | 'ŏ' | 'ő' => out.push('o'),
            'œ' => out.push_str("oe"),
            'ŕ' | 'ř' => out.push('r'),
            'ś' | 'š' | 'ş' | 'ș' => out.push('s'),
            'ß' => out.push_str("ss"),
            'ť' | 'ţ' | 'ț' => out.push('t'),
            'þ' => out.push_str("th"),
            'ù'..='ü' | 'ū' | 'ŭ' | 'ů' | 'ű' | 'ų' => out.push('u'),
            'ý' | 'ÿ' => out.push('y'),
            'ź' | 'ž' | 'ż' => out.push('z'),
            '\u{300}'..='\u{36f}' => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_could_move_the_cursor_or_turn_the_text_is_written_out() {
        assert_eq!(plain("Rosa Achterberg 葵"), "Rosa Achterberg 葵");
        assert_eq!(plain("a\u{1b}[31mb\u{202e}c"), "a\\u{1b}[31mb\\u{202e}c");
    }

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
            assert!(flaw.render(false).contains("mend it"));
        }
    }

    #[test]
    fn names_compare_without_case_and_accents() {
        assert_eq!(folded("Zoë Łągiewska"), "zoe lagiewska");
    }
}
