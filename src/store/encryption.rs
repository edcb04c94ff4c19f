//! Encrypts and decrypts what a data folder holds about clients, file by file.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::client::ClientId;

use super::cipher;
use super::error::StoreError;
use super::files;
use super::forget;
use super::locked_file::guard;
use super::passphrase;
use super::{Shared, Store};

/// What encrypting or decrypting a folder came to.
#[derive(Debug, Default)]
pub struct Converted {
    /// Clients whose files are now as they should be.
    pub clients: Vec<ClientId>,
    /// Files that are as they were, each with the reason. Doing it again goes on with them.
    pub problems: Vec<StoreError>,
    /// Files beside the clients' own that mean nothing to this program and were not touched.
    pub untouched: Vec<PathBuf>,
}

impl Store {
    /// Whether the folder is encrypted and its passphrase was not given yet.
    pub fn is_locked(&self) -> bool {
        self.cipher.is_locked()
    }

    /// Whether the folder is encrypted.
    pub fn is_encrypted(&self) -> bool {
        self.layout.key().symlink_metadata().is_ok()
    }

    /// The same folder with its passphrase given.
    ///
    /// # Errors
    /// If it is not that one, or the file that keeps the key cannot be read.
    pub fn unlock(&self, passphrase: &str) -> Result<Self, StoreError> {
        let path = self.layout.key();
        let path = self.layout.plain_file(&path)?.unwrap_or(path);
        let (source, _) = cipher::read_text(&path)?;
        let key = passphrase::open(&source, passphrase)?;
        Ok(Self { cipher: self.cipher.with(key), shared: Arc::<Shared>::default(), ..self.clone() })
    }

    /// Encrypts everything about clients, or goes on with that, and gives the folder as it is then.
    ///
    /// Each file is replaced at once, when its encrypted form is on the disk and was read back; if this is cut off,
    /// every file can be read and it can be done again. A client that somebody writes is a problem of its own.
    ///
    /// # Errors
    /// If the passphrase is too short or, of an encrypted folder, not the right one; or the key cannot be kept.
    pub fn encrypt(&self, passphrase: &str) -> Result<(Self, Converted), StoreError> {
        if !self.is_encrypted() {
            let (_, text) = passphrase::new_key(passphrase, passphrase::USUAL)?;
            self.layout.make_folder(&self.layout.root)?;
            files::create(&self.disk, &self.layout.key(), text.as_bytes())?;
        }
        let store = self.unlock(passphrase)?;
        let converted = store.convert()?;
        Ok((store, converted))
    }

    /// Decrypts everything about clients, or goes on with that. The passphrase has been given.
    ///
    /// When all is done, the file that keeps the key is put aside and not removed: copies of the encrypted files may
    /// be somewhere.
    ///
    /// # Errors
    /// If the folder is not encrypted, its passphrase was not given, or it cannot be listed.
    pub fn decrypt(&self) -> Result<Converted, StoreError> {
        let path = self.layout.key();
        let cipher = self.cipher.unsealing().ok_or_else(|| StoreError::Missing {
            path: self.layout.root.clone(),
            what: "encrypted folder's passphrase".to_owned(),
        })?;
        let store = Self { cipher, shared: Arc::<Shared>::default(), ..self.clone() };
        let converted = store.convert()?;
        if converted.problems.is_empty() {
            let mut names = (1..).map(|number| self.layout.old_key(number));
            let aside = names.find(|name| name.symlink_metadata().is_err());
            let aside = aside.expect("some number is free");
            self.disk.rename(&path, &aside).map_err(StoreError::io("put aside", &path))?;
            files::sync_folder_of(self.disk.as_ref(), &path)?;
        }
        Ok(converted)
    }

    fn convert(&self) -> Result<Converted, StoreError> {
        let mut converted = Converted::default();
        self.layout.check_folder(&self.layout.clients())?;
        if let Err(error) = self.convert_work() {
            converted.problems.push(error);
        }
        for id in self.layout.client_ids()? {
            // Whoever may write a file puts it into the right form first.
            match self.hold_existing(&id).and_then(|held| guard(&held).read().map(drop)) {
                Ok(()) => converted.clients.push(id),
                Err(error) => converted.problems.push(error),
            }
        }
        let ids = self.layout.client_ids()?;
        let beside = forget::names(&self.layout.clients())?.into_iter();
        for path in beside.chain(forget::names(&self.layout.earlier())?) {
            match forget::owner(&path, &ids) {
                _ if forget::is_temporary(&path) => {
                    converted.problems.extend(self.remove_temporary(&path).err());
                }
                Some(id) => converted.problems.extend(self.convert_beside(id, &path).err()),
                None if ids.iter().any(|id| self.layout.client(id) == path) => {}
                _ => converted.untouched.push(path),
            }
        }
        converted.untouched.sort();
        Ok(converted)
    }

    /// Removes what was being written when a program ended: nothing in it was reported as saved, and it may be in the
    /// clear. What a program is writing at the moment stays.
    fn remove_temporary(&self, path: &Path) -> Result<(), StoreError> {
        let _held = forget::writer(path).map(|id| self.hold(&id)).transpose()?;
        match self.disk.remove(path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(StoreError::io("remove", path)(error));
            }
            _ => {}
        }
        files::sync_folder_of(self.disk.as_ref(), path)
    }

    /// Converts a file that lies beside a client's own, such as a copy or an end that was set aside.
    fn convert_beside(&self, id: &ClientId, path: &Path) -> Result<(), StoreError> {
        let _held = self.hold(id)?;
        let path = self.layout.plain_file(path)?.unwrap_or_else(|| path.to_owned());
        let (opened, _) = self.cipher.read(&path)?;
        // What is damaged was kept as it was, and stays so.
        if self.cipher.fits(&opened) || !opened.lost.is_empty() {
            return Ok(());
        }
        self.cipher.convert(&self.disk, id, &path, &opened.text).map(drop)
    }
}
