//! Something wrong at one place of a file, and what to do about it.

use std::fmt;
use std::ops::Range;
use std::path::PathBuf;

use crate::text::Safe;

/// More flaws of one file than these help nobody.
pub const MOST_FLAWS: usize = 50;

/// Something wrong at one place of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flaw {
    /// The file.
    pub path: PathBuf,
    /// The line, from 1.
    pub line: usize,
    /// The character in the line, from 1.
    pub column: usize,
    /// What is wrong.
    pub message: String,
    /// What to do about it; empty where the message says so itself.
    pub remedy: String,
    /// The line, or what is near the place if the line is long. May hold control characters.
    pub excerpt: String,
    /// The bytes of the excerpt that are meant.
    pub marked: Range<usize>,
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = Safe::from_foreign(self.path.display().to_string());
        write!(f, "{path}:{}:{}: {}", self.line, self.column, Safe::from_foreign(&self.message))?;
        if self.remedy.is_empty() { Ok(()) } else { write!(f, "; {}", Safe::from_foreign(&self.remedy)) }
    }
}

impl std::error::Error for Flaw {}

impl Flaw {
    /// The flaw with the line it is in, marked, over several lines.
    fn render(&self) -> String {
        use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
        let path = Safe::from_foreign(self.path.display().to_string());
        let (message, remedy) = (Safe::from_foreign(&self.message), Safe::from_foreign(&self.remedy));
        let snippet = Snippet::source(self.excerpt.as_str())
            .line_start(self.line)
            .path(path.as_str())
            .annotation(AnnotationKind::Primary.span(self.marked.clone()));
        let mut group = Level::ERROR.primary_title(message.as_str()).element(snippet);
        if !remedy.is_empty() {
            group = group.element(Level::HELP.message(remedy.as_str()));
        }
        Renderer::plain().render(&[group])
    }
}

/// Flaws one below the other, each with the line that it is in.
pub fn rendered(flaws: &[Flaw]) -> String {
    let shown = flaws.iter().map(Flaw::render).collect::<Vec<_>>().join("\n");
    shown.strip_prefix("error: ").unwrap_or(&shown).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flaw_names_place_and_remedy_and_cannot_reach_the_terminal() {
        let flaw = Flaw {
            path: "clients/a\u{1b}.toml".into(),
            line: 3,
            column: 9,
            message: "level is 6, but must be 1 to 5".into(),
            remedy: "write a number from 1 to 5".into(),
            excerpt: "level = 6 # \u{1b}[2J".into(),
            marked: 8..9,
        };
        assert_eq!(
            flaw.to_string(),
            "clients/a␛.toml:3:9: level is 6, but must be 1 to 5; write a number from 1 to 5"
        );
        let shown = rendered(&[flaw]);
        assert!(shown.contains("3 | level = 6"), "{shown}");
        assert!(!shown.contains('\u{1b}'), "{shown}");
    }
}
