//! What is done with whole files of a data folder: merging copies, forgetting a client, checking, mending.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use crate::catalogue::Catalogue;
use crate::client::{Client, ClientId, Session};
use crate::platform;

use super::check::{self, Diagnostic};
use super::cipher::{self, Cipher};
use super::doubts::Plausibility;
use super::error::StoreError;
use super::layout::Layout;
use super::locked_file::guard;
use super::{Store, files, forget, read, row, torn_write};
use crate::document::Source;

impl Store {
    /// The built-in stretches and the trainer's own, in file order. A file of them that cannot be read or understood,
    /// or uses an id that is taken, is left out: [`Store::take_notices`] says so.
    ///
    /// # Errors
    /// If the folder cannot be listed.
    pub fn catalogue(&self) -> Result<Catalogue, StoreError> {
        let (catalogue, problems) = self.catalogue_and_problems()?;
        for error in problems {
            self.shared
                .notices
                .add(format!("{error}; that file's stretches are left out until it is mended"));
        }
        Ok(catalogue)
    }

    /// The stretches that can be used, and what is wrong with files of the trainer's own.
    fn catalogue_and_problems(&self) -> Result<(Catalogue, Vec<StoreError>), StoreError> {
        let folder = self.layout.stretches();
        self.layout.check_folder(&folder)?;
        let mut catalogue = Catalogue::built_in().clone();
        let mut paths = forget::names(&folder)?;
        paths.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
        paths.sort();
        let mut problems = Vec::new();
        for path in paths {
            let read = self
                .layout
                .plain_file(&path)
                .and_then(|path| path.as_deref().map(cipher::read_text).transpose());
            let added =
                read.and_then(|read| read.map(|(source, _)| with_own(&catalogue, &source)).transpose());
            match added {
                Ok(added) => catalogue = added.unwrap_or(catalogue),
                Err(error) => problems.push(error),
            }
        }
        Ok((catalogue, problems))
    }

    /// Files beside the clients' own that look like copies of them, each with the client.
    ///
    /// # Errors
    /// If the folder cannot be listed.
    pub fn copies(&self) -> Result<Vec<(ClientId, PathBuf)>, StoreError> {
        forget::copies(&self.layout)
    }

    /// The ids of the clients, which no passphrase hides.
    ///
    /// # Errors
    /// If the folder cannot be listed.
    pub fn client_ids(&self) -> Result<Vec<ClientId>, StoreError> {
        self.layout.client_ids()
    }

    /// Removes the whole folder, if it is a scratch folder.
    ///
    /// # Errors
    /// If it cannot be removed.
    pub fn discard_scratch(&self) -> Result<(), StoreError> {
        let root = self.root();
        let is_scratch = root.parent() == Some(platform::temporary_folder().as_path())
            && root
                .file_name()
                .and_then(|name| name.to_str())
                .is_some_and(|name| name.starts_with("matside-"));
        if is_scratch {
            std::fs::remove_dir_all(root).map_err(StoreError::io("remove", root))
        } else {
            Ok(())
        }
    }

    /// Removes everything in the data folder that is about a client, and says what was removed.
    ///
    /// Backups, synchronised folders and exports are out of reach.
    ///
    /// # Errors
    /// If there is no such client, another program writes it, or a file cannot be removed.
    pub fn forget(&self, id: &ClientId) -> Result<Vec<PathBuf>, StoreError> {
        let found = forget::belongings(&self.layout, id)?;
        if found.is_empty() {
            return Err(self.unknown(id.as_str()));
        }
        let held = self.hold(id)?;
        for path in &found {
            // A link is removed, not what it leads to.
            self.disk.remove(path).map_err(StoreError::io("remove", path))?;
        }
        files::sync_folder_of(self.disk.as_ref(), &self.layout.client(id))?;
        // The lock's name is the client's: it goes last, while it is still held.
        let lock = self.layout.lock(id.as_str());
        self.disk.remove(&lock).map_err(StoreError::io("remove", &lock))?;
        guard(&self.shared.held).remove(id);
        guard(&self.shared.seen).remove(id);
        drop(held);
        Ok(found)
    }

    /// Examines the whole data folder as it stands at a moment.
    ///
    /// # Errors
    /// If the folder itself cannot be listed; everything else is a diagnostic.
    pub fn check(&self, now: DateTime<FixedOffset>) -> Result<Vec<Diagnostic>, StoreError> {
        let (catalogue, problems) = self.catalogue_and_problems()?;
        let plausible = Plausibility::of(&catalogue, now);
        let mut diagnostics = check::examine(&self.layout, &self.cipher, &plausible)?;
        for error in problems {
            diagnostics.extend(Diagnostic::of_error(&error, &self.layout.stretches()));
        }
        Ok(diagnostics)
    }

    /// Mends what loses nothing: sets half-written tails aside and takes away the rights of others. Says what it did,
    /// and what stays open to others all the same.
    ///
    /// # Errors
    /// If something else could not be mended.
    pub fn repair(&self, now: DateTime<FixedOffset>) -> Result<(Vec<String>, Vec<PathBuf>), StoreError> {
        let (mut done, mut open) = (Vec::new(), Vec::new());
        for diagnostic in self.check(now)?.into_iter().filter(|diagnostic| diagnostic.mendable) {
            if diagnostic.line.is_some() {
                let stem = diagnostic.path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
                if let Ok(id) = ClientId::new(stem) {
                    let held = self.hold_existing(&id)?;
                    guard(&held).read()?;
                    done.append(&mut self.take_notices());
                }
            } else {
                let is_closed = platform::close_to_others(&diagnostic.path)
                    .map_err(StoreError::io("close to others", &diagnostic.path))?;
                if is_closed {
                    done.push(format!("{} is now closed to others", diagnostic.path.display()));
                } else {
                    open.push(diagnostic.path);
                }
            }
        }
        Ok((done, open))
    }

    /// Saves a session that could not be written into its client's file somewhere else, as a file that
    /// [`Store::merge_copy`] takes. Gives the path.
    ///
    /// # Errors
    /// If it cannot be written there either.
    pub fn rescue(&self, client: &Client, session: &Session, folder: &Path) -> Result<PathBuf, StoreError> {
        let name = format!("{}-{}.toml", client.profile.id, session.at.format("%Y%m%d-%H%M%S"));
        let path = folder.join(name);
        let rescued = Client::new(client.profile.clone(), vec![session.clone()]);
        Layout { root: folder.to_owned() }.make_folder(folder)?;
        let text = row::client(&rescued);
        files::create(&self.disk, &path, &self.cipher.whole(&client.profile.id, &path, text.as_bytes())?.0)?;
        Ok(path)
    }
}

/// Reads a client from bytes that are in no file, under the id `client`. A half-written end is left out.
///
/// # Errors
/// As [`Store::load`].
pub fn client_from_bytes(bytes: &[u8]) -> Result<Client, StoreError> {
    let id = ClientId::new("client").expect("`client` is a plain word");
    let path = Path::new("client.toml");
    let opened = Cipher::of_no_folder().open(path, bytes.to_vec())?;
    torn_write::read_sound_part(path, opened, read::as_client(&id)).map(|(_, client, _)| client)
}

/// Writes a client as it would stand in a new file.
pub fn client_text(client: &Client) -> String {
    row::client(client)
}

/// The catalogue with the stretches of one file.
pub(crate) fn with_own(catalogue: &Catalogue, source: &Source) -> Result<Catalogue, StoreError> {
    let (own, flaws) = Catalogue::parse(source);
    if !flaws.is_empty() {
        return Err(StoreError::broken(flaws));
    }
    catalogue.with_own(own).map_err(|taken| {
        let flaws = taken.iter().map(|id| {
            let quoted = format!("\"{id}\"");
            let at = source.text().rfind(&quoted).unwrap_or(0);
            let message = format!("there is a stretch `{id}` already");
            source.flaw(at..at + quoted.len(), message, "give your own another id")
        });
        StoreError::broken(flaws.collect())
    })
}

/// Examines one file, wherever it is: a trainer's own stretches, or else a client.
pub fn check_file(path: &Path) -> Vec<Diagnostic> {
    let examined = files::plain(path).and_then(|path| cipher::read_text(&path)).and_then(|(source, _)| {
        if source.text().lines().any(|line| line.trim_start().starts_with("[[stretch")) {
            return with_own(Catalogue::built_in(), &source).map(|_| Vec::new());
        }
        let stem = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
        let id =
            ClientId::new(stem).or_else(|_error| ClientId::new("client")).expect("`client` is a plain word");
        let (_, doubts) = read::client(&id, &source)?;
        Ok(doubts.iter().map(|flaw| Diagnostic::of_flaw(check::Severity::Warning, flaw)).collect())
    });
    examined.unwrap_or_else(|error| Diagnostic::of_error(&error, path))
}
