//! Long lines folded into the rows of a terminal, at blanks: a terminal would break them in the middle of a word.

use std::io::{self, Write};

use crate::text;

/// Folds what is written line by line.
pub(super) struct Folding<'a> {
    out: &'a mut dyn Write,
    columns: usize,
    /// What has no end of line yet.
    line: Vec<u8>,
}

impl<'a> Folding<'a> {
    /// Into rows of so many columns.
    pub(super) fn new(out: &'a mut dyn Write, columns: usize) -> Self {
        Self { out, columns, line: Vec::new() }
    }

    /// Writes the line that has begun.
    fn write_line(&mut self) -> io::Result<()> {
        let line = std::mem::take(&mut self.line);
        let Ok(words) = std::str::from_utf8(&line) else { return self.out.write_all(&line) };
        let (words, end) = words.strip_suffix('\n').map_or((words, ""), |words| (words, "\n"));
        self.out.write_all(folded(words, self.columns).join("\n").as_bytes())?;
        self.out.write_all(end.as_bytes())
    }
}

impl Write for Folding<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        for part in bytes.split_inclusive(|byte| *byte == b'\n') {
            self.line.extend_from_slice(part);
            if part.ends_with(b"\n") {
                self.write_line()?;
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.write_line()?;
        self.out.flush()
    }
}

/// A line in rows of at most so many columns, those after the first set in, below the last of its cells if it is a row of a
/// table; a word that is longer than a row stays whole.
fn folded(line: &str, columns: usize) -> Vec<String> {
    let indent = line.len() - line.trim_start_matches(' ').len();
    let cells = line.match_indices("  ").map(|(at, gap)| at + gap.len());
    let cells = cells.filter(|at| *at > indent && !line[*at..].starts_with(' '));
    let cells = cells.map(|at| text::columns(&line[..at])).take_while(|at| *at <= columns / 2);
    let inset = " ".repeat(cells.last().unwrap_or_else(|| (indent + 2).min(columns / 3)));
    let (mut rows, mut lead, mut rest) = (Vec::new(), "", line);
    while text::columns(rest) > columns - lead.len() {
        let blanks = rest.match_indices(' ').map(|(at, _)| at);
        let from = if lead.is_empty() { indent } else { 0 };
        let mut ends = blanks.filter(|at| *at > from && !rest[..*at].ends_with(' ')).peekable();
        let first = ends.peek().copied();
        let fits = |at: &usize| text::columns(&rest[..*at]) <= columns - lead.len();
        let Some(end) = ends.take_while(fits).last().or(first) else { break };
        rows.push(format!("{lead}{}", &rest[..end]));
        (lead, rest) = (&inset, rest[end..].trim_start());
    }
    if !rest.is_empty() || rows.is_empty() {
        rows.push(format!("{lead}{rest}"));
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_folded_at_blanks_and_set_in() {
        assert_eq!(folded("", 10), [""]);
        assert_eq!(folded("  short", 10), ["  short"]);
        assert_eq!(folded("one two three four", 9), ["one two", "  three", "  four"]);
        assert_eq!(folded("  one two three", 11), ["  one two", "   three"]);
        assert_eq!(folded("  --at  a time of day", 14), ["  --at  a time", "    of day"]);
        assert_eq!(folded("  --at  a time of day", 18), ["  --at  a time of", "        day"]);
        assert_eq!(folded("a/path/that/is/long and more", 10), ["a/path/that/is/long", "  and more"]);
        // Wide characters take two columns each.
        assert_eq!(folded("林 美咲 山田 花子", 9), ["林 美咲", "  山田", "  花子"]);
    }

    #[test]
    fn what_has_no_end_of_line_comes_with_the_flush() {
        let mut out = Vec::new();
        let mut folding = Folding::new(&mut out, 8);
        for part in ["one t", "wo three\n", "four"] {
            folding.write_all(part.as_bytes()).unwrap();
        }
        folding.flush().unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "one two\n  three\nfour");
    }
}
