//! What a command is handed: where it reads and writes, what time it is, and the data folder with its passphrase.

use std::io::{Read, Write};
use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};
use zeroize::Zeroizing;

use crate::client::Attribution;
use crate::document::rendered;
use crate::failure::Failure;
use crate::store::{Store, StoreError, passphrase_from};
use crate::text::{Safe, USUAL_COLUMNS};

use super::password_prompt;
use super::when::Zone;

/// What a command is handed: where it reads and writes, and what time it is.
pub struct Console<'a> {
    /// Standard output, or what stands in for it.
    pub out: &'a mut dyn Write,
    /// Standard error, for remarks beside the answer.
    pub err: &'a mut dyn Write,
    /// Standard input, or what stands in for it.
    pub input: &'a mut dyn Read,
    /// The current moment, with the local offset.
    pub now: DateTime<FixedOffset>,
    /// The machine's time zone.
    pub zone: Zone,
    /// Whether a person sits at both ends.
    pub terminal: bool,
    /// The data folder that was asked for; none for the usual one.
    pub data: Option<PathBuf>,
    /// The file with the passphrase of an encrypted data folder; none to be asked for it.
    pub passphrase_file: Option<PathBuf>,
    /// Whether only ASCII may be drawn.
    pub ascii: bool,
    /// Columns of text; see [`text_columns`].
    pub columns: usize,
    /// Whether standard output is a terminal, whose rows long lines are folded into.
    pub folds: bool,
}

/// Columns of text on a terminal of so many, two of which stay free: no fewer than can be laid out, no more than can be
/// read. Without a terminal as many as usual.
pub fn text_columns(terminal: Option<usize>) -> usize {
    terminal.map_or(USUAL_COLUMNS, |columns| columns.saturating_sub(2).clamp(38, 118))
}

impl Console<'_> {
    /// The data folder; if it is encrypted, with its passphrase given.
    pub(super) fn store(&self) -> Result<Store, Failure> {
        self.unlocked(self.closed_store()?)
    }

    /// The data folder as it is found.
    pub(super) fn closed_store(&self) -> Result<Store, StoreError> {
        Store::open(self.data.clone().map_or_else(Store::default_root, Ok)?)
    }

    /// Refuses a data folder that was named and is not there: nothing in it would look like everything lost.
    pub(super) fn refuse_missing_folder(&self) -> Result<(), Failure> {
        match &self.data {
            Some(folder) if !folder.is_dir() => {
                let folder = Safe::from_foreign(folder.display().to_string());
                Err(Failure::new(format_args!("there is no data folder {folder}")).hint(
                    "look at --data and at the variable MATSIDE_DATA; `matside new NAME` makes the folder",
                ))
            }
            _ => Ok(()),
        }
    }

    /// Gives a data folder its passphrase, if it wants one.
    pub(super) fn unlocked(&self, store: Store) -> Result<Store, Failure> {
        if !store.is_locked() {
            return Ok(store);
        }
        let question = format!("Passphrase of {}: ", Safe::from_foreign(store.root().display().to_string()));
        Ok(store.unlock(&self.passphrase(&question)?)?)
    }

    /// Reads a passphrase from its file, or has it typed unseen.
    pub(super) fn passphrase(&self, question: &str) -> Result<Zeroizing<String>, Failure> {
        if let Some(path) = &self.passphrase_file {
            return Ok(passphrase_from(path)?);
        }
        if !self.terminal {
            return Err(Failure::new(
                "the data folder is encrypted, and there is no terminal to ask for its passphrase",
            )
            .hint("name a file that holds it: --passphrase-file FILE, or MATSIDE_PASSPHRASE_FILE"));
        }
        let typed = password_prompt::read(question)
            .map_err(|error| Failure::new(format_args!("cannot read the passphrase: {error}")))?;
        typed.ok_or_else(|| Failure::new("no passphrase was given; nothing was done"))
    }

    /// Who writes something down now: the trainer of this data folder, as far as a name is set.
    pub(super) fn attribution(&self, store: &Store) -> Attribution {
        let by = store.trainer().map(|trainer| trainer.name).unwrap_or_default();
        Attribution { at: self.now, by }
    }

    /// Passes on what the store wants the trainer to know, beside the answer.
    pub(super) fn tell(&mut self, notices: &[String]) -> Result<(), Failure> {
        for notice in notices {
            writeln!(self.err, "note: {}", Safe::from_foreign(notice))?;
        }
        Ok(())
    }
}

/// What the store says is passed on as it is: it names the place and the remedy.
impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        if error.flaws().is_empty() { Self::new(error) } else { Self::new(rendered(error.flaws())) }
    }
}
