//! Folders of invented studios, where the system keeps what need not be kept: held while they are in use, and removed in the
//! end, also those that a kill left behind.

use std::fs;

use crate::platform;

use super::Store;
use super::error::StoreError;
use super::lock::Lock;

/// The lock that tells a studio in use from one that was left behind.
const IN_USE: &str = "in-use";

/// A scratch folder that is in use.
#[derive(Debug)]
pub struct Scratch {
    store: Store,
    hold: Lock,
}

impl Scratch {
    /// Makes a folder and holds it.
    ///
    /// # Errors
    /// If it cannot be made.
    pub fn make() -> Result<Self, StoreError> {
        let store = Store::scratch()?;
        let hold = Lock::take(&store.layout, IN_USE, store.root())?;
        Ok(Self { store, hold })
    }

    /// The studio in it.
    pub const fn store(&self) -> &Store {
        &self.store
    }

    /// Removes it.
    ///
    /// # Errors
    /// If it cannot be removed.
    pub fn discard(self) -> Result<(), StoreError> {
        drop(self.hold);
        self.store.discard_scratch()
    }

    /// Removes the folders that were in use when their program was killed; what cannot be removed is the system's to clear.
    pub fn discard_left_behind() {
        let entries = fs::read_dir(platform::temporary_folder()).into_iter().flatten().flatten();
        // A link leads elsewhere, and is left alone.
        let folders = entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir()));
        for folder in folders.filter(|entry| entry.file_name().to_string_lossy().starts_with("matside-")) {
            let Ok(store) = Store::open(folder.path()) else { continue };
            if !store.layout.lock(IN_USE).is_file() {
                continue;
            }
            if let Ok(hold) = Lock::take(&store.layout, IN_USE, store.root()) {
                let _ = Self { store, hold }.discard();
            }
        }
    }
}
