//! What every page that leaves the program shares: one file that fetches nothing and names no address, one style, and
//! foreign words that stay words.

use std::fmt::Write;

use chrono::NaiveDate;

use crate::body::Side;
use crate::client::Trainer;
use crate::text::Safe;
use crate::words::date::day;

use super::paper_size::{BOLD, SHEET, width};

const STYLE: &str = include_str!("paper.css");

/// How a page is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Markup {
    /// A page to print.
    Html,
    /// Markdown.
    Markdown,
    /// Plain text.
    Plain,
}

impl Markup {
    /// What the name of its file ends in.
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Html => "html",
            Self::Markdown => "md",
            Self::Plain => "txt",
        }
    }
}

/// Who a page is from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Letterhead {
    /// The studio's name; may be empty.
    pub studio: String,
    /// The trainer's name; may be empty.
    pub trainer: String,
    /// How to reach them; may be empty.
    pub contact: String,
}

impl Letterhead {
    /// As the trainer's settings say.
    pub fn of(trainer: &Trainer) -> Self {
        Self {
            studio: trainer.studio.clone(),
            trainer: trainer.name.clone(),
            contact: trainer.contact.clone(),
        }
    }

    /// Its lines, without those of which nothing is known.
    fn lines(&self) -> impl Iterator<Item = &str> {
        [&self.studio, &self.trainer, &self.contact]
            .into_iter()
            .map(String::as_str)
            .filter(|it| !it.is_empty())
    }

    /// In one line.
    pub(super) fn in_a_line(&self) -> String {
        self.lines().collect::<Vec<_>>().join(", ")
    }

    /// How many lines it takes in the head of a page.
    pub(super) fn height(&self) -> usize {
        self.lines().count()
    }

    /// Millimetres that a title beside it has.
    pub(super) fn beside(&self) -> f64 {
        let widest = self.lines().map(|line| width(line, 10.0 * BOLD)).fold(0.0, f64::max);
        SHEET.0 - 6.0 - widest.min(76.0)
    }

    /// For the head of a page; `more` is the program's own last line.
    pub(super) fn html(&self, more: &str) -> String {
        let line = |(index, words): (usize, &str)| match index {
            0 => format!("<strong>{}</strong>", foreign(words)),
            _ => foreign(words),
        };
        let mut lines: Vec<String> = self.lines().enumerate().map(line).collect();
        if !more.is_empty() {
            lines.push(more.to_owned());
        }
        if lines.is_empty() { String::new() } else { format!("<p class=\"of\">{}</p>", lines.join("<br>")) }
    }
}

/// The beginning of a page up to its body. `title` may hold foreign words; `style` is the page's own.
pub(super) fn opened(title: &str, style: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"referrer\" content=\"no-referrer\">\n<meta name=\"robots\" content=\"noindex\">\n\
         <title>{}</title>\n<style>\n{STYLE}{style}</style>\n</head>\n<body>\n",
        escaped(title)
    )
}

/// The end of a page, with what it is and what it is not.
pub(super) fn closed(out: &mut String, limits: &str) {
    let _ = write!(out, "</main>\n<footer>{limits}</footer>\n</body>\n</html>\n");
}

/// Foreign words inside a page.
pub(super) fn escaped(words: &str) -> String {
    let mut out = String::new();
    for letter in Safe::from_foreign(words).chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            letter => out.push(letter),
        }
    }
    out
}

/// A name inside a page: not to be translated, in whatever direction it is written.
pub(super) fn foreign(words: &str) -> String {
    format!("<bdi translate=\"no\" lang=\"\">{}</bdi>", escaped(words))
}

/// A day inside a page.
pub(super) fn time(on: NaiveDate) -> String {
    format!("<time datetime=\"{on}\">{}</time>", day(on))
}

/// Seconds as minutes and seconds: `9:32`.
pub(super) fn clock(seconds: u32) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// The mark of a side, drawn, since fonts lack it; the word stands beside it.
pub(super) fn mark(side: Option<Side>) -> String {
    let (class, path) = match side {
        Some(Side::Left) => ("l", "M9 1L1 5L9 9Z"),
        Some(Side::Right) => ("r", "M1 1L9 5L1 9Z"),
        None => ("o", "M5 0L10 5L5 10L0 5Z"),
    };
    format!("<svg class=\"mk {class}\" aria-hidden=\"true\" viewBox=\"0 0 10 10\"><path d=\"{path}\"/></svg>")
}

/// The class of a side's colour.
pub(super) const fn side_class(side: Option<Side>) -> &'static str {
    match side {
        Some(Side::Left) => "l",
        Some(Side::Right) => "r",
        None => "o",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn foreign_words_bring_no_tag_and_no_direction_along() {
        assert_eq!(escaped("<b>\"O'N\" & x\u{202e}\u{7}"), "&lt;b&gt;&quot;O&#39;N&quot; &amp; x\u{fffd}␇");
        let page = opened("</title><script>", "");
        assert!(!page.contains("<script") && page.matches("</title>").count() == 1, "{page}");
    }

    #[test]
    fn seconds_read_as_a_clock() {
        assert_eq!((clock(0), clock(572)), ("0:00".to_owned(), "9:32".to_owned()));
    }

    #[test]
    fn a_head_leaves_no_gap_where_nothing_is_known() {
        assert_eq!(Letterhead::default().html(""), "");
        let from = Letterhead { trainer: "A & B".to_owned(), ..Letterhead::default() };
        assert_eq!(
            from.html(""),
            "<p class=\"of\"><strong><bdi translate=\"no\" lang=\"\">A &amp; B</bdi></strong></p>"
        );
    }
}
