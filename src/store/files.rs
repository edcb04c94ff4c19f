//! Reading, creating and replacing whole files, and the state of a file on the disk.

mod handed_out;

use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use crate::platform;

use super::disk::Disk;
use super::error::StoreError;

/// The most that is read of one file, in bytes: over fifty years of a busy client.
pub(crate) const CAP: u64 = 16 * 1024 * 1024;
/// The same of a file that is sealed: that takes a third more.
const SEALED_CAP: u64 = CAP / 2 * 3;

/// What tells one state of a file from another without reading it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stamp {
    /// Bytes.
    pub(crate) len: u64,
    modified: Option<SystemTime>,
    /// What tells a file from another of the same name.
    place: (u64, u64),
}

impl Stamp {
    fn of(found: &fs::Metadata) -> Self {
        Self { len: found.len(), modified: found.modified().ok(), place: platform::place(found) }
    }

    /// The state of what stands at a path now.
    pub(crate) fn at(path: &Path) -> io::Result<Self> {
        fs::metadata(path).map(|found| Self::of(&found))
    }

    /// The state of an open file.
    pub(crate) fn of_open(file: &File) -> io::Result<Self> {
        file.metadata().map(|found| Self::of(&found))
    }
}

/// Reads a whole file as it stands on the disk and says in which state it was.
pub(crate) fn read(path: &Path) -> Result<(Vec<u8>, Stamp), StoreError> {
    let file = File::open(path).map_err(StoreError::io("read", path))?;
    let stamp = Stamp::of_open(&file).map_err(StoreError::io("read", path))?;
    let too_big = |bytes| StoreError::TooBig { path: path.to_owned(), bytes, cap: CAP };
    if stamp.len > SEALED_CAP {
        return Err(too_big(stamp.len));
    }
    let mut bytes = Vec::with_capacity(usize::try_from(stamp.len).unwrap_or(0) + 1);
    file.take(SEALED_CAP + 1).read_to_end(&mut bytes).map_err(StoreError::io("read", path))?;
    if bytes.len() as u64 > SEALED_CAP { Err(too_big(bytes.len() as u64)) } else { Ok((bytes, stamp)) }
}

/// Refuses what is not a plain file, such as a folder or a pipe that would never end.
pub(crate) fn plain(path: &Path) -> Result<PathBuf, StoreError> {
    let found = fs::metadata(path).map_err(StoreError::io("read", path))?;
    if found.is_file() {
        Ok(path.to_owned())
    } else {
        Err(StoreError::NotAFile { path: path.to_owned(), what: "not a plain file" })
    }
}

/// Writes a temporary file beside `path` and hands it on when it is on the disk.
fn make(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> Result<tempfile::NamedTempFile, StoreError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let stem = path.file_stem().and_then(|stem| stem.to_str()).unwrap_or("file");
    // Named after its client, so that it can be found and removed with the client. The mode is 0600.
    let mut made = tempfile::Builder::new()
        .prefix(&format!(".{stem}."))
        .suffix(".tmp")
        .tempfile_in(folder)
        .map_err(StoreError::io("create a file beside", path))?;
    disk.write(made.as_file_mut(), bytes).map_err(StoreError::io("write", path))?;
    disk.sync_all(made.as_file()).map_err(StoreError::io("write", path))?;
    Ok(made)
}

/// Waits until the names in the folder of a file are on the disk.
pub(crate) fn sync_folder_of(disk: &dyn Disk, path: &Path) -> Result<(), StoreError> {
    let folder = path.parent().unwrap_or(Path::new("."));
    disk.sync_folder(folder).map_err(StoreError::io("sync the folder of", path))
}

/// Replaces a whole file: the old content or the new one is there at any moment, never a mixture.
pub(crate) fn replace(disk: &Arc<dyn Disk>, path: &Path, bytes: &[u8]) -> Result<File, StoreError> {
    replace_if(disk, path, bytes, |_| Ok(true))
}

/// The same, if the file that takes the place is right when it is read back from the disk.
pub(crate) fn replace_if(
    disk: &Arc<dyn Disk>,
    path: &Path,
    bytes: &[u8],
    is_right: impl FnOnce(&Path) -> Result<bool, StoreError>,
) -> Result<File, StoreError> {
    let made = make(disk.as_ref(), path, bytes)?;
    if !is_right(made.path())? {
        return Err(StoreError::io("read back what was written for", path)(
            io::ErrorKind::InvalidData.into(),
        ));
    }
    let file = disk.put_in_place(made, path).map_err(StoreError::io("replace", path))?;
    sync_folder_of(disk.as_ref(), path)?;
    look_again(path, bytes)?;
    Ok(file)
}

/// Creates a whole file where none is.
pub(crate) fn create(disk: &Arc<dyn Disk>, path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let made = make(disk.as_ref(), path, bytes)?;
    disk.put_in_free_place(made, path).map_err(|error| {
        if error.kind() == io::ErrorKind::AlreadyExists {
            StoreError::Exists { what: path.display().to_string(), remedy: "choose another name" }
        } else {
            StoreError::io("create", path)(error)
        }
    })?;
    sync_folder_of(disk.as_ref(), path)?;
    look_again(path, bytes)
}

/// Looks whether a file that took its place is as long there as what was written: a network folder that writes in a stream
/// of its own agrees to everything, and has an empty file afterwards.
fn look_again(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let failed = || StoreError::io("read back what was written for", path);
    let len = fs::metadata(path).map_err(failed())?.len();
    if len == bytes.len() as u64 { Ok(()) } else { Err(failed()(io::ErrorKind::InvalidData.into())) }
}

#[cfg(test)]
mod tests {
    use tempfile::NamedTempFile;

    use super::*;

    /// A folder that keeps names and no content.
    #[derive(Debug)]
    struct Forgetful;

    impl Disk for Forgetful {
        fn put_in_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
            made.as_file().set_len(0)?;
            Ok(made.persist(path)?)
        }

        fn put_in_free_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
            self.put_in_place(made, path)
        }
    }

    #[test]
    fn a_folder_that_keeps_no_content_is_told_of() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("rosa.toml");
        let disk: Arc<dyn Disk> = Arc::new(Forgetful);
        for done in [create(&disk, &path, b"name"), replace(&disk, &path, b"name").map(drop)] {
            let said = done.expect_err("it is empty").to_string();
            assert!(said.contains("read back") && said.ends_with("choose another one with --data"), "{said}");
        }
    }
}
