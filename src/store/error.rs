//! What can go wrong with files, each said with the place and the next step.

use std::path::{Path, PathBuf};

use crate::text::Safe;

pub use crate::document::Flaw;

/// Why files could not be read or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The platform does not say where the user's data goes.
    #[error("no home folder is known; name a data folder with --data")]
    NoHome,
    /// The system refused.
    #[error("cannot {doing} {}: {source}{}", shown(.path), io_remedy(.source))]
    Io {
        /// What was tried, such as "write".
        doing: &'static str,
        /// On which file or folder.
        path: PathBuf,
        /// Why not.
        source: std::io::Error,
    },
    /// What stands in a file cannot be right.
    #[error("{}", broken_text(.flaws))]
    Broken {
        /// The file.
        path: PathBuf,
        /// Everything that was found, in the order of the file; never empty.
        flaws: Vec<Flaw>,
    },
    /// The file was written by a later version.
    #[error("{} has version {found}, this program knows up to {known}; use a newer matside for it", shown(.path))]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        found: i64,
        /// The highest that can be read.
        known: i64,
    },
    /// A backup from which nothing can be made.
    #[error("{} is no whole backup: {what}; take another one, nothing was changed", shown(.path))]
    NoBackup {
        /// The backup.
        path: PathBuf,
        /// What is wrong with it.
        what: String,
    },
    /// The file is larger than any client's file can be.
    #[error("{} has {bytes} bytes, more than the {cap} that are read; split it or put back a copy from before", shown(.path))]
    TooBig {
        /// The file.
        path: PathBuf,
        /// Its size in bytes.
        bytes: u64,
        /// The most that is read.
        cap: u64,
    },
    /// It is a folder, a device or a link to somewhere else.
    #[error("{} is {what}; put a plain file there, inside the data folder", shown(.path))]
    NotAFile {
        /// The path.
        path: PathBuf,
        /// What it is instead.
        what: &'static str,
    },
    /// The file is encrypted and cannot be opened, or would have to be and cannot be written.
    #[error("{} belongs to an encrypted data folder; {remedy}", shown(.path))]
    Sealed {
        /// The file.
        path: PathBuf,
        /// What to do about it.
        remedy: &'static str,
    },
    /// The passphrase is not the folder's.
    #[error("this passphrase does not open {}; give it again", shown(.path))]
    Passphrase {
        /// The file that keeps the key.
        path: PathBuf,
    },
    /// A line of an encrypted file is not what was written there.
    #[error("{}:{line}: this line of the encrypted file was changed, or another key sealed it; put back a copy from before", shown(.path))]
    Damaged {
        /// The file.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
    },
    /// A client's encrypted file was sealed as another client's.
    #[error(
        "{} was sealed as the file of `{owner}`: files have changed their names; give each its own again, or put back a \
         copy from before", shown(.path)
    )]
    Misnamed {
        /// The file.
        path: PathBuf,
        /// Whose it is.
        owner: String,
    },
    /// There is no such client.
    #[error("no client `{}`{}", Safe::from_foreign(.needle), unknown_hint(.nearest))]
    Unknown {
        /// What was looked for.
        needle: String,
        /// The clients whose id or name come nearest.
        nearest: Vec<String>,
    },
    /// Several clients fit.
    #[error("`{}` could be {}; write more of the name", Safe::from_foreign(.needle), listed(.candidates))]
    Ambiguous {
        /// What was looked for.
        needle: String,
        /// The clients that fit, as "id (name)".
        candidates: Vec<String>,
    },
    /// Something of that name is there already.
    #[error("{what} is there already, and nothing is overwritten; {remedy}")]
    Exists {
        /// What is there.
        what: String,
        /// What to do instead.
        remedy: &'static str,
    },
    /// Another program is writing the same client.
    #[error("{} is being written by {by}; end that first, reading goes on", shown(.path))]
    Locked {
        /// Who holds the lock, as far as known.
        by: String,
        /// The client's file.
        path: PathBuf,
    },
    /// The file on the disk is not what it was when it was read.
    #[error("{} was changed meanwhile ({what}); nothing was written: look at it, then do it again", shown(.path))]
    Changed {
        /// The file.
        path: PathBuf,
        /// What differs.
        what: String,
    },
    /// A session or report that is not in the file.
    #[error("{} holds no {what}", shown(.path))]
    Missing {
        /// The file.
        path: PathBuf,
        /// What was looked for.
        what: String,
    },
    /// Two copies that are not of the same person, as far as they say it.
    #[error(
        "{} is not of the same person: {} here, {} there; nothing was merged: look at both, and say so if they are one \
         all the same", shown(.path), Safe::from_foreign(.ours), Safe::from_foreign(.theirs)
    )]
    OtherPerson {
        /// The copy that was to be merged.
        path: PathBuf,
        /// Who is here.
        ours: String,
        /// Who is there.
        theirs: String,
    },
    /// A value that the format cannot hold.
    #[error("cannot keep {what}: {why}")]
    Unfit {
        /// What was to be written.
        what: String,
        /// Why not.
        why: String,
    },
}

impl StoreError {
    /// A function that adds the path and what was tried to a system's error.
    pub(crate) fn io(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Io { doing, path, source }
    }

    /// Flaws of one file; there must be one at least.
    pub(crate) fn broken(flaws: Vec<Flaw>) -> Self {
        let path = flaws.first().map(|flaw| flaw.path.clone()).unwrap_or_default();
        Self::Broken { path, flaws }
    }

    /// The file or folder that it is about.
    pub fn path(&self) -> Option<&Path> {
        match self {
            Self::Io { path, .. }
            | Self::Broken { path, .. }
            | Self::Newer { path, .. }
            | Self::NoBackup { path, .. }
            | Self::TooBig { path, .. }
            | Self::NotAFile { path, .. }
            | Self::Locked { path, .. }
            | Self::Sealed { path, .. }
            | Self::Passphrase { path }
            | Self::Damaged { path, .. }
            | Self::Misnamed { path, .. }
            | Self::Changed { path, .. }
            | Self::OtherPerson { path, .. }
            | Self::Missing { path, .. } => Some(path),
            Self::NoHome
            | Self::Unknown { .. }
            | Self::Ambiguous { .. }
            | Self::Exists { .. }
            | Self::Unfit { .. } => None,
        }
    }

    /// Every place that is wrong, where the error is about places.
    pub fn flaws(&self) -> &[Flaw] {
        if let Self::Broken { flaws, .. } = self { flaws } else { &[] }
    }
}

impl From<Vec<Flaw>> for StoreError {
    fn from(flaws: Vec<Flaw>) -> Self {
        Self::broken(flaws)
    }
}

fn shown(path: &Path) -> Safe {
    Safe::from_foreign(path.display().to_string())
}

fn broken_text(flaws: &[Flaw]) -> String {
    match flaws {
        [] => "the file is broken".to_owned(),
        [one] => one.to_string(),
        [first, rest @ ..] => format!("{first} (and {} more)", rest.len()),
    }
}

fn listed(names: &[String]) -> String {
    const SHOWN: usize = 8;
    let text = names.iter().take(SHOWN).map(Safe::from_foreign).collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN { format!("{text} and {} more", names.len() - SHOWN) } else { text }
}

fn unknown_hint(nearest: &[String]) -> String {
    if nearest.is_empty() {
        "; list the clients to see who is there, or add a new one".to_owned()
    } else {
        format!("; did you mean {}?", listed(nearest))
    }
}

fn io_remedy(error: &std::io::Error) -> &'static str {
    use std::io::ErrorKind as K;
    match error.kind() {
        K::StorageFull | K::QuotaExceeded => "; free some space, then do it again",
        K::FileTooLarge => "; the file may not grow here: choose another data folder with --data",
        K::PermissionDenied | K::ReadOnlyFilesystem => {
            "; allow it, or choose another data folder with --data"
        }
        K::InvalidData => "; this folder does not keep what is written: choose another one with --data",
        K::NotFound => "; check the path",
        K::IsADirectory | K::NotADirectory => "; a folder and a file have changed places: put them right",
        _ => "",
    }
}
