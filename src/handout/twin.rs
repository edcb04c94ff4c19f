//! A page without pictures: the same facts in Markdown or as plain text of 78 columns, for a mail or a screen reader.

use std::fmt::Write;

use crate::text::{self, Safe};

use super::paper::Markup;

/// Columns of the plain text.
const WIDTH: usize = 78;
/// Between two columns of a table.
const GAP: usize = 2;
/// The narrowest that a column of words becomes.
const LEAST: usize = 12;

/// What stands in a table: words to the left, numbers to the right.
#[derive(Debug, Clone, Default)]
pub(super) struct TwinTable {
    columns: Vec<(String, bool)>,
    rows: Vec<Vec<String>>,
}

impl TwinTable {
    /// A table with such heads; one that begins with `>` has numbers below it.
    pub(super) fn new<'a>(heads: impl IntoIterator<Item = &'a str>) -> Self {
        let column = |head: &str| match head.strip_prefix('>') {
            Some(head) => (head.to_owned(), true),
            None => (head.to_owned(), false),
        };
        Self { columns: heads.into_iter().map(column).collect(), rows: Vec::new() }
    }

    /// Adds a row.
    pub(super) fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    fn all(&self) -> impl Iterator<Item = Vec<&str>> {
        let heads = self.columns.iter().map(|(head, _)| head.as_str()).collect();
        std::iter::once(heads).chain(self.rows.iter().map(|row| row.iter().map(String::as_str).collect()))
    }

    /// Columns that each column takes, words as narrow as the text wants them.
    fn widths(&self) -> Vec<usize> {
        let mut widths = vec![0; self.columns.len()];
        for row in self.all() {
            for (width, cell) in widths.iter_mut().zip(row) {
                *width = (*width).max(text::columns(&Safe::from_foreign(cell)));
            }
        }
        let taken = |widths: &[usize]| widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1);
        while taken(&widths) > WIDTH {
            let words = widths.iter_mut().zip(&self.columns).filter(|(_, (_, numbers))| !numbers);
            match words.map(|(width, _)| width).max() {
                Some(widest) if *widest > LEAST => *widest -= 1,
                _ => break,
            }
        }
        widths
    }
}

/// The text as it grows.
#[derive(Debug)]
pub(super) struct Twin {
    out: String,
    is_marked: bool,
}

impl Twin {
    /// A page's beginning.
    pub(super) fn new(markup: Markup, title: &str) -> Self {
        let mut twin = Self { out: String::new(), is_marked: markup == Markup::Markdown };
        if twin.is_marked {
            let _ = writeln!(twin.out, "# {}", marked(title));
        } else {
            twin.wrapped("", "", title);
        }
        twin
    }

    /// A part of the page.
    pub(super) fn heading(&mut self, words: &str) {
        self.out.push('\n');
        if self.is_marked {
            let _ = writeln!(self.out, "## {}", marked(words));
        } else {
            let upper = words.to_uppercase();
            self.wrapped("", "", &upper);
        }
    }

    /// A paragraph.
    pub(super) fn say(&mut self, words: &str) {
        if words.is_empty() {
            return;
        }
        self.out.push('\n');
        if self.is_marked {
            let _ = writeln!(self.out, "{}", marked(words));
        } else {
            self.wrapped("", "", words);
        }
    }

    /// Items of a list.
    pub(super) fn list(&mut self, items: impl IntoIterator<Item = String>) {
        self.out.push('\n');
        for item in items {
            if self.is_marked {
                let _ = writeln!(self.out, "- {}", marked(&item));
            } else {
                self.wrapped("- ", "  ", &item);
            }
        }
    }

    /// A table; nothing if it has no row.
    pub(super) fn table(&mut self, table: &TwinTable) {
        if table.rows.is_empty() {
            return;
        }
        self.out.push('\n');
        if self.is_marked {
            for (index, row) in table.all().enumerate() {
                let cells: Vec<String> = row.into_iter().map(marked).collect();
                let _ = writeln!(self.out, "| {} |", cells.join(" | "));
                if index == 0 {
                    let rule = |(_, numbers): &(String, bool)| if *numbers { "---:" } else { "---" };
                    let rules: Vec<&str> = table.columns.iter().map(rule).collect();
                    let _ = writeln!(self.out, "| {} |", rules.join(" | "));
                }
            }
        } else {
            let widths = table.widths();
            for row in table.all() {
                self.text_row(table, &widths, &row);
            }
        }
    }

    /// A row over as many lines as its longest cell takes.
    fn text_row(&mut self, table: &TwinTable, widths: &[usize], row: &[&str]) {
        let broken = |(cell, width): (&&str, &usize)| text::wrap(&Safe::from_foreign(cell), *width);
        let cells: Vec<Vec<String>> = row.iter().zip(widths).map(broken).collect();
        for number in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
            let mut line = String::new();
            for ((cell, width), (_, numbers)) in cells.iter().zip(widths).zip(&table.columns) {
                let words = cell.get(number).map_or("", String::as_str);
                let missing = " ".repeat(width.saturating_sub(text::columns(words)));
                let gap = if line.is_empty() { "" } else { "  " };
                if *numbers {
                    line.extend([gap, &missing, words]);
                } else {
                    line.extend([gap, words, &missing]);
                }
            }
            let _ = writeln!(self.out, "{}", line.trim_end());
        }
    }

    /// The whole.
    pub(super) fn finish(self) -> String {
        self.out
    }

    fn wrapped(&mut self, first: &str, next: &str, words: &str) {
        for (index, line) in text::wrap(&Safe::from_foreign(words), WIDTH - next.len()).iter().enumerate() {
            let _ = writeln!(self.out, "{}{line}", if index == 0 { first } else { next });
        }
    }
}

/// Foreign words inside Markdown.
pub(super) fn marked(words: &str) -> String {
    let mut out = String::new();
    for (index, letter) in Safe::from_foreign(words).chars().enumerate() {
        match letter {
            '<' => out.push_str("&lt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '>' | '#' | '|' | '~' | '!' => {
                out.extend(['\\', letter]);
            }
            // At the beginning of a line they make lists and headings.
            '-' | '+' | '=' if index == 0 => out.extend(['\\', letter]),
            letter => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(markup: Markup) -> String {
        let mut twin = Twin::new(markup, "One <two>");
        twin.heading("What was done");
        let mut table = TwinTable::new(["stretch", ">held"]);
        table.row(vec!["a | b".to_owned(), "21".to_owned()]);
        table.row(vec!["word ".repeat(30), "9".to_owned()]);
        twin.table(&table);
        twin.list(["- sly".to_owned()]);
        twin.finish()
    }

    #[test]
    fn a_table_fits_into_the_width_and_loses_no_word() {
        let text = page(Markup::Plain);
        assert!(text.lines().all(|line| text::columns(line) <= WIDTH), "{text}");
        assert_eq!(text.matches("word").count(), 30);
        assert!(text.contains("WHAT WAS DONE\n"), "{text}");
    }

    #[test]
    fn foreign_words_stay_words_in_markdown() {
        let text = page(Markup::Markdown);
        assert!(text.starts_with("# One &lt;two\\>\n"), "{text}");
        assert!(text.contains("| a \\| b | 21 |") && text.contains("- \\- sly"), "{text}");
    }
}
