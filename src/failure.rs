//! What a user sees when a command could not do its work, and the exit codes.

use std::fmt;
use std::io::{self, Write as _};
use std::process::ExitCode;
use std::{panic, thread};

use crate::text::Safe;

/// How the program ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// What was asked for was done.
    Done,
    /// It was asked for properly but could not be done.
    Failed,
    /// It was not asked for properly.
    Usage,
    /// It was looked into, and the answer is: no stretching, or no hands, today.
    NotToday,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        Self::from(match status {
            Status::Done => 0,
            Status::Failed => 1,
            Status::Usage => 2,
            Status::NotToday => 3,
        })
    }
}

/// A reason why a command ended early, with what to do next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// The exit code.
    pub status: Status,
    /// What went wrong: lower case, no full stop, the user's words in backticks. Empty: end quietly.
    pub message: Safe,
    /// Next steps, one line each.
    pub hints: Vec<Safe>,
}

impl Failure {
    /// Something that was asked for properly and could not be done.
    pub fn new(message: impl fmt::Display) -> Self {
        Self {
            status: Status::Failed,
            message: Safe::from_foreign_lines(message.to_string()),
            hints: Vec::new(),
        }
    }

    /// Something that was not asked for properly.
    pub fn usage(message: impl fmt::Display) -> Self {
        Self { status: Status::Usage, ..Self::new(message) }
    }

    /// The answer to what was asked for: not today.
    pub fn not_today(message: impl fmt::Display) -> Self {
        Self { status: Status::NotToday, ..Self::new(message) }
    }

    /// Everything was done, and what is to be said about it cannot be shown.
    pub fn unshown(error: io::Error) -> Self {
        let failure = Self::from(error);
        if failure.message.is_empty() { failure } else { failure.hint("the command itself did its work") }
    }

    /// Adds a next step.
    #[must_use]
    pub fn hint(mut self, hint: impl fmt::Display) -> Self {
        self.hints.push(Safe::from_foreign(hint.to_string()));
        self
    }

    /// The same in one line, for a screen: what went wrong, then what to do next.
    pub fn in_a_line(&self) -> String {
        std::iter::once(&self.message).chain(&self.hints).map(Safe::as_str).collect::<Vec<_>>().join("; ")
    }

    /// An end without a word: the reader of our output has gone, or everything was said.
    pub const fn quiet(status: Status) -> Self {
        Self { status, message: Safe::ours(""), hints: Vec::new() }
    }
}

/// As it is printed: `error: ...`, then the hints.
impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.message.is_empty() {
            return Ok(());
        }
        writeln!(f, "error: {}", self.message)?;
        for hint in &self.hints {
            writeln!(f, "  hint: {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Failure {}

/// Writing to standard output failed: quiet if nobody reads it any more.
impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        if error.kind() == io::ErrorKind::BrokenPipe {
            Self::quiet(Status::Done)
        } else {
            Self::new(format_args!("cannot write the output: {error}"))
        }
    }
}

/// From now on a fault of the program says where it is, after `first`, but not what was being worked on: that may be
/// a client's. The fault of a helper ends the helper alone and says nothing.
pub fn set_panic_hook(first: fn()) {
    let own = thread::current().id();
    panic::set_hook(Box::new(move |fault| {
        if thread::current().id() == own {
            first();
            let place = fault.location().map(|place| format!(" at {place}")).unwrap_or_default();
            // Nothing more can be done if that fails too.
            let _ = writeln!(
                io::stderr(),
                "matside {} has a fault{place} and stopped.\nWhat was called saved is in the client's file; start again \
                 to go on with it.",
                env!("CARGO_PKG_VERSION")
            );
        }
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_shows_foreign_text_harmlessly_and_its_hints() {
        let failure = Failure::usage("unknown client `\x1b[2J`").hint("list them with `matside clients`");
        assert_eq!(
            failure.to_string(),
            "error: unknown client `␛[2J`\n  hint: list them with `matside clients`\n"
        );
    }

    #[test]
    fn a_reader_that_has_gone_is_no_error() {
        let failure = Failure::from(io::Error::from(io::ErrorKind::BrokenPipe));
        assert_eq!(failure, Failure::quiet(Status::Done));
        assert_eq!(failure.to_string(), "");
    }
}
