//! What both systems are asked for in the same words.

use std::io;

/// What a signal asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Signal {
    /// The window was closed, or the program is told to end.
    End,
    /// Another program is to have the terminal.
    Suspend,
    /// The terminal is ours again, and may have been changed meanwhile.
    Continue,
}

/// Who may look into a file or folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Openness {
    /// Its owner alone.
    Closed,
    /// Others too, with the mode that it has.
    Open(u32),
    /// Nothing that this program could tell.
    Unknown,
}

/// Whether a file system refused to wait for the disk because it has no means to, and not because something failed.
pub(super) fn is_not_offered(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::Unsupported | io::ErrorKind::InvalidInput)
}
