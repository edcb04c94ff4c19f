//! Files that leave the data folder, such as pages: readable by this user alone, whole or not at all, and nothing that is
//! there already is written over.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::platform;
use crate::store::disk::{Disk, Machine};
use crate::store::{Store, StoreError};

/// Names that are tried for one file.
const TRIES: u32 = 1000;

impl Store {
    /// The usual folder for what leaves the data folder; it is made if it is not there.
    ///
    /// # Errors
    /// If the system does not say where the user's home is, or the folder cannot be made.
    pub fn out_folder() -> Result<PathBuf, StoreError> {
        let folder = platform::home_folder().ok_or(StoreError::NoHome)?.join("matside-pages");
        let mut made = std::fs::DirBuilder::new();
        platform::private_folder(made.recursive(true));
        made.create(&folder).map_err(StoreError::io("make the folder", &folder))?;
        Ok(folder)
    }

    /// Writes a file and says where it is: in the folder `to` under `name`, or as the file `to`. Where a file is already,
    /// `-2` and so on is added to the name.
    ///
    /// # Errors
    /// If it cannot be written there.
    pub fn hand_out(to: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf, StoreError> {
        let disk: Arc<dyn Disk> = Arc::new(Machine::default());
        let wanted = match to.parent() {
            _ if to.is_dir() => to.join(name),
            // A bare name lies in the folder that one is in.
            Some(parent) if parent.as_os_str().is_empty() => Path::new(".").join(to),
            _ => to.to_owned(),
        };
        for number in 1..TRIES {
            let path = numbered(&wanted, number);
            match super::create(&disk, &path, bytes) {
                Err(StoreError::Exists { .. }) => {}
                done => return done.map(|()| path),
            }
        }
        Err(StoreError::Exists { what: wanted.display().to_string(), remedy: "choose another name" })
    }
}

/// The first name, or that with a number before the ending.
fn numbered(wanted: &Path, number: u32) -> PathBuf {
    if number == 1 {
        return wanted.to_owned();
    }
    let mut name: OsString = wanted.file_stem().unwrap_or_default().to_owned();
    name.push(format!("-{number}"));
    if let Some(ending) = wanted.extension() {
        name.push(".");
        name.push(ending);
    }
    wanted.with_file_name(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_there_stays_and_the_new_file_gets_a_number() {
        let folder = tempfile::tempdir().unwrap();
        let written: Vec<PathBuf> = ["one", "two", "three"]
            .map(|text| Store::hand_out(folder.path(), "page.html", text.as_bytes()).unwrap())
            .into();
        let names: Vec<_> = written.iter().filter_map(|path| path.file_name()?.to_str()).collect();
        assert_eq!(names, ["page.html", "page-2.html", "page-3.html"]);
        assert_eq!(std::fs::read_to_string(&written[0]).unwrap(), "one");
        let file = folder.path().join("mine");
        assert_eq!(Store::hand_out(&file, "page.html", b"four").unwrap(), file);
        assert!(Store::hand_out(&folder.path().join("no/where"), "page.html", b"").is_err());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 4, "nothing half written is left");
    }
}
