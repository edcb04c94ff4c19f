//! Which file is where in the data folder, and that nothing outside of it is touched.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::client::ClientId;
use crate::platform;

use super::error::StoreError;

/// Whether no client may have an id: it would be a device's name somewhere, so that a shared folder could not hold the
/// file, or is what a walk-in without a card is called.
pub(crate) fn is_reserved(id: &ClientId) -> bool {
    platform::is_device(id.as_str()) || id.is_of_walk_in()
}

/// The data folder.
#[derive(Debug, Clone)]
pub(crate) struct Layout {
    pub(crate) root: PathBuf,
}

impl Layout {
    pub(crate) fn clients(&self) -> PathBuf {
        self.root.join("clients")
    }

    pub(crate) fn client(&self, id: &ClientId) -> PathBuf {
        self.clients().join(format!("{id}.toml"))
    }

    pub(crate) fn torn(&self, id: &ClientId, number: u32) -> PathBuf {
        self.clients().join(format!("{id}.torn-{number}.toml"))
    }

    /// What files were before something was merged into them.
    pub(crate) fn earlier(&self) -> PathBuf {
        self.root.join("earlier")
    }

    pub(crate) fn earlier_copy(&self, id: &ClientId, number: u32) -> PathBuf {
        self.earlier().join(format!("{id}.{number}.toml"))
    }

    pub(crate) fn locks(&self) -> PathBuf {
        self.root.join("locks")
    }

    pub(crate) fn lock(&self, id: &str) -> PathBuf {
        self.locks().join(format!("{id}.lock"))
    }

    pub(crate) fn stretches(&self) -> PathBuf {
        self.root.join("stretches")
    }

    pub(crate) fn trainer(&self) -> PathBuf {
        self.root.join("trainer.toml")
    }

    /// What the blocks asked of the trainer's own body.
    pub(crate) fn work(&self) -> PathBuf {
        self.root.join("work.toml")
    }

    /// What keeps the key of an encrypted folder.
    pub(crate) fn key(&self) -> PathBuf {
        self.root.join("passphrase.toml")
    }

    /// The same, put aside when the folder was decrypted.
    pub(crate) fn old_key(&self, number: u32) -> PathBuf {
        self.root.join(format!("passphrase.old-{number}.toml"))
    }

    /// The clients that have a file, in the order of their ids.
    pub(crate) fn client_ids(&self) -> Result<Vec<ClientId>, StoreError> {
        let folder = self.clients();
        let entries = match fs::read_dir(&folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound && !self.root.is_file() => {
                return Ok(Vec::new());
            }
            Err(error) => return Err(StoreError::io("list", &folder)(error)),
        };
        let mut ids = Vec::new();
        for entry in entries {
            let name = entry.map_err(StoreError::io("list", &folder))?.file_name();
            let id = name.to_str().and_then(|name| name.strip_suffix(".toml")).map(ClientId::new);
            if let Some(Ok(id)) = id {
                ids.push(id);
            }
        }
        ids.sort();
        Ok(ids)
    }

    /// Follows a link that stays within the data folder; refuses what is not a plain file inside of it.
    ///
    /// Gives nothing if there is nothing of that name.
    pub(crate) fn plain_file(&self, path: &Path) -> Result<Option<PathBuf>, StoreError> {
        let refused = |what| Err(StoreError::NotAFile { path: path.to_owned(), what });
        let found = match fs::symlink_metadata(path) {
            Ok(found) => found,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(StoreError::io("look at", path)(error)),
        };
        if found.is_file() {
            return Ok(Some(path.to_owned()));
        }
        if found.is_dir() {
            return refused("a folder");
        }
        if !found.is_symlink() {
            return refused("not a plain file");
        }
        let real = fs::canonicalize(path).map_err(StoreError::io("follow the link", path))?;
        let root = fs::canonicalize(&self.root).map_err(StoreError::io("look at", &self.root))?;
        if !real.starts_with(root) {
            return refused("a link out of the data folder");
        }
        if real.is_file() { Ok(Some(real)) } else { refused("a link to something that is not a plain file") }
    }

    /// Refuses a folder of the data folder that is a link to somewhere else.
    pub(crate) fn check_folder(&self, folder: &Path) -> Result<(), StoreError> {
        match fs::symlink_metadata(folder) {
            Ok(found) if found.is_symlink() => {
                let real = fs::canonicalize(folder).map_err(StoreError::io("follow the link", folder))?;
                let root = fs::canonicalize(&self.root).map_err(StoreError::io("look at", &self.root))?;
                if real.starts_with(root) {
                    return Ok(());
                }
                Err(StoreError::NotAFile { path: folder.to_owned(), what: "a link out of the data folder" })
            }
            _ => Ok(()),
        }
    }

    /// Creates a folder that only its owner can look into, if it is not there.
    pub(crate) fn make_folder(&self, folder: &Path) -> Result<(), StoreError> {
        self.check_folder(folder)?;
        if folder.is_dir() {
            return Ok(());
        }
        let mut builder = fs::DirBuilder::new();
        builder.recursive(true);
        platform::private_folder(&mut builder);
        builder.create(folder).map_err(StoreError::io("create the folder", folder))?;
        // What is kept in it is on the disk only if its own name is.
        let above = folder.parent().filter(|above| above.is_dir());
        let synced = above.map_or(Ok(true), platform::sync_folder);
        synced.map(drop).map_err(StoreError::io("sync the folder of", folder))
    }
}

/// The data folder and the client whose own file this is by its place.
pub fn place_of(file: &Path) -> Option<(PathBuf, ClientId)> {
    let folder = file.parent().filter(|folder| folder.file_name().is_some_and(|name| name == "clients"))?;
    let id = file.file_name()?.to_str()?.strip_suffix(".toml")?;
    Some((folder.parent().unwrap_or(Path::new(".")).to_owned(), ClientId::new(id).ok()?))
}
