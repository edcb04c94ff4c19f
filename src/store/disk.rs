//! The calls that change the disk, one by one, so that each of them can be made to fail in a test.

use std::fs::File;
use std::io::{self, Write as _};
use std::path::Path;

use tempfile::NamedTempFile;

/// What is asked of the machine. The default methods are the real thing.
pub(crate) trait Disk: std::fmt::Debug + Send + Sync {
    /// Writes all of it in one go.
    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        file.write_all(bytes)
    }

    /// Waits until what was written, and the length, are on the disk.
    fn sync_data(&self, file: &File) -> io::Result<()> {
        file.sync_data()
    }

    /// Waits until the file is on the disk with all that belongs to it.
    fn sync_all(&self, file: &File) -> io::Result<()> {
        file.sync_all()
    }

    /// Cuts a file off.
    fn set_len(&self, file: &File, len: u64) -> io::Result<()> {
        file.set_len(len)
    }

    /// Puts a finished temporary file in the place of another.
    fn put_in_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        made.persist(path).map_err(|error| error.error)
    }

    /// Puts a finished temporary file in a place that is still free.
    fn put_in_free_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        made.persist_noclobber(path).map_err(|error| error.error)
    }

    /// Gives a file another name.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        std::fs::rename(from, to)
    }

    /// Takes a file away.
    fn remove(&self, path: &Path) -> io::Result<()> {
        std::fs::remove_file(path)
    }

    /// Waits until new, renamed and removed names of a folder are on the disk.
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        // Elsewhere a folder cannot be opened, and the file system keeps names in order by itself.
        if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
    }
}

/// The real machine.
#[derive(Debug)]
pub(crate) struct Machine;

impl Disk for Machine {}
