//! What stands between the disk and everything that understands a client's file: whether the data folder is encrypted,
//! and with which key.

use std::borrow::Cow;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::client::ClientId;
use crate::document::Source;

use super::disk::Disk;
use super::error::StoreError;
use super::files::{self, Stamp};
use super::key::Key;
use super::sealed::{Plaintext, StreamPosition, is_sealed};

/// What is done to a client's file between the disk and everything that understands it.
#[derive(Debug, Clone)]
pub(crate) struct Cipher {
    /// The file that makes a folder an encrypted one.
    key_file: PathBuf,
    mode: CipherMode,
}

#[derive(Debug, Clone)]
enum CipherMode {
    /// Nothing; the folder is not encrypted.
    Plain,
    /// Nothing can be opened or written before the passphrase is given.
    Locked,
    /// All is sealed.
    Sealed(Arc<Key>),
    /// What is sealed can be read, and is written plainly.
    Unsealing(Arc<Key>),
}

impl Cipher {
    /// For a folder as it is found.
    pub(crate) fn of_folder(key_file: PathBuf) -> Self {
        let mode = if key_file.symlink_metadata().is_ok() { CipherMode::Locked } else { CipherMode::Plain };
        Self { key_file, mode }
    }

    /// For a file that is in no data folder.
    pub(crate) fn of_no_folder() -> Self {
        Self { key_file: PathBuf::new(), mode: CipherMode::Plain }
    }

    pub(crate) fn with(&self, key: Key) -> Self {
        Self { key_file: self.key_file.clone(), mode: CipherMode::Sealed(Arc::new(key)) }
    }

    /// The same, but everything is written plainly from now on; nothing if it has no key.
    pub(crate) fn unsealing(&self) -> Option<Self> {
        let key = Arc::clone(self.key()?);
        Some(Self { key_file: self.key_file.clone(), mode: CipherMode::Unsealing(key) })
    }

    /// Whether the folder is not encrypted.
    pub(crate) fn is_plain(&self) -> bool {
        matches!(self.mode, CipherMode::Plain)
    }

    pub(crate) fn is_locked(&self) -> bool {
        matches!(self.mode, CipherMode::Locked)
    }

    /// Whether the folder is still what it was when it was opened here, so that its files may be written.
    pub(crate) fn may_write(&self) -> bool {
        let is_encrypted = self.key_file.symlink_metadata().is_ok();
        match self.mode {
            CipherMode::Sealed(_) => is_encrypted,
            CipherMode::Plain => !is_encrypted,
            CipherMode::Unsealing(_) => true,
            CipherMode::Locked => false,
        }
    }

    pub(crate) fn key(&self) -> Option<&Arc<Key>> {
        match &self.mode {
            CipherMode::Sealed(key) | CipherMode::Unsealing(key) => Some(key),
            CipherMode::Plain | CipherMode::Locked => None,
        }
    }

    /// Whether a file stands on the disk as this folder wants it.
    pub(crate) fn fits(&self, opened: &Plaintext) -> bool {
        match self.mode {
            CipherMode::Plain | CipherMode::Unsealing(_) => opened.seal.is_none(),
            CipherMode::Sealed(_) => {
                opened.lost.is_empty() && opened.seal.as_ref().is_some_and(|seal| seal.owner().is_some())
            }
            // Nothing may be written, so nothing is right.
            CipherMode::Locked => false,
        }
    }

    /// The text of a file that was read.
    pub(crate) fn open(&self, path: &Path, bytes: Vec<u8>) -> Result<Plaintext, StoreError> {
        let opened = if is_sealed(&bytes) {
            let key = self.key().ok_or_else(|| self.closed(path))?;
            key.open_file(path, &bytes)?
        } else {
            Plaintext::plain(bytes)
        };
        let size = opened.text.len() as u64;
        if size > files::CAP {
            return Err(StoreError::TooBig { path: path.to_owned(), bytes: size, cap: files::CAP });
        }
        Ok(opened)
    }

    /// Reads a file.
    pub(crate) fn read(&self, path: &Path) -> Result<(Plaintext, Stamp), StoreError> {
        let (bytes, stamp) = files::read(path)?;
        Ok((self.open(path, bytes)?, stamp))
    }

    /// Reads a client's own file; refuses what was sealed as another client's.
    pub(crate) fn read_own(&self, id: &ClientId, path: &Path) -> Result<(Plaintext, Stamp), StoreError> {
        let (opened, stamp) = self.read(path)?;
        match opened.seal.as_ref().and_then(StreamPosition::owner).filter(|owner| *owner != id) {
            Some(owner) => Err(StoreError::Misnamed { path: path.to_owned(), owner: owner.to_string() }),
            None => Ok((opened, stamp)),
        }
    }

    /// A whole text of a client as it is to stand on the disk, and what goes on with it there.
    pub(crate) fn whole<'t>(
        &self,
        id: &ClientId,
        path: &Path,
        text: &'t [u8],
    ) -> Result<(Cow<'t, [u8]>, Option<StreamPosition>), StoreError> {
        // Another program may have encrypted or decrypted the folder since it was opened here.
        if !self.may_write() {
            return Err(self.closed(path));
        }
        Ok(match &self.mode {
            CipherMode::Sealed(key) => {
                let (bytes, seal) = key.file(id, text);
                (bytes.into(), Some(seal))
            }
            CipherMode::Plain | CipherMode::Unsealing(_) | CipherMode::Locked => (text.into(), None),
        })
    }

    /// A text that is appended, as it is to stand on the disk, and what goes on with it there.
    pub(crate) fn piece<'t>(
        &self,
        seal: Option<&StreamPosition>,
        text: &'t [u8],
    ) -> (Cow<'t, [u8]>, Option<StreamPosition>) {
        match (self.key(), seal) {
            (Some(key), Some(seal)) => {
                let mut seal = seal.clone();
                let line = key.piece(&mut seal, text);
                (line.into(), Some(seal))
            }
            _ => (text.into(), None),
        }
    }

    /// Puts a file that can be read into the form that this folder wants. The old one gives way only when the new
    /// one is on the disk and was read back.
    pub(crate) fn convert(
        &self,
        disk: &Arc<dyn Disk>,
        id: &ClientId,
        path: &Path,
        text: &[u8],
    ) -> Result<File, StoreError> {
        let (bytes, _) = self.whole(id, path, text)?;
        files::replace_if(disk, path, &bytes, |made| {
            self.open(made, files::read(made)?.0).map(|opened| opened.text == text)
        })
    }

    fn closed(&self, path: &Path) -> StoreError {
        let is_encrypted = self.key_file.symlink_metadata().is_ok();
        StoreError::Sealed {
            path: path.to_owned(),
            remedy: match self.mode {
                CipherMode::Locked => "give the passphrase",
                _ if self.key_file.as_os_str().is_empty() => "name that folder with --data",
                _ if is_encrypted => "start matside again and give the passphrase",
                _ => "put passphrase.toml back into the data folder, or start matside again",
            },
        }
    }
}

/// Reads and decodes a whole file that is never sealed.
pub(crate) fn read_text(path: &Path) -> Result<(Source, Stamp), StoreError> {
    let (opened, stamp) = Cipher::of_no_folder().read(path)?;
    Ok((Source::decode(path, opened.text)?, stamp))
}
