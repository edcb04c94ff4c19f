//! The calls that change the disk, one by one, so that each of them can be made to fail in a test.

use std::fs::File;
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use tempfile::{NamedTempFile, PersistError};

use crate::platform;

/// What is asked of the machine. The default methods are the real thing.
pub(crate) trait Disk: std::fmt::Debug + Send + Sync {
    /// Writes all of it in one go.
    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        file.write_all(bytes)
    }

    /// Waits until what was written, and the length, are on the disk.
    fn sync_data(&self, file: &File) -> io::Result<()> {
        platform::sync_data(file).map(|is_sure| self.note(is_sure))
    }

    /// Waits until the file is on the disk with all that belongs to it.
    fn sync_all(&self, file: &File) -> io::Result<()> {
        platform::sync_file(file).map(|is_sure| self.note(is_sure))
    }

    /// Cuts an open file off that stands at a path.
    fn cut_off(&self, file: &File, path: &Path, len: u64) -> io::Result<()> {
        platform::cut_off(file, path, len)
    }

    /// Puts a finished temporary file in the place of another.
    fn put_in_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        put(made, |made| made.persist(path))
    }

    /// Puts a finished temporary file in a place that is still free.
    fn put_in_free_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        put(made, |made| {
            made.persist_noclobber(path).or_else(|refused| {
                let is_taken = refused.error.kind() == io::ErrorKind::AlreadyExists;
                // Sticks and some network folders know neither a link nor a move that spares what is there: the place
                // is taken first, and what took it replaced.
                match File::create_new(path) {
                    Ok(_) if !is_taken => {
                        refused.file.persist(path).inspect_err(|_| drop(std::fs::remove_file(path)))
                    }
                    _ => Err(refused),
                }
            })
        })
    }

    /// Gives a file another name.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        platform::patiently(|| std::fs::rename(from, to))
    }

    /// Takes a file away.
    fn remove(&self, path: &Path) -> io::Result<()> {
        platform::patiently(|| std::fs::remove_file(path))
    }

    /// Waits until new, renamed and removed names of a folder are on the disk.
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        platform::sync_folder(folder).map(|is_sure| self.note(is_sure))
    }

    /// Takes note of whether the file system could wait for the disk.
    fn note(&self, _is_sure: bool) {}

    /// Whether the file system said that it cannot wait for the disk.
    fn is_unsure(&self) -> bool {
        false
    }
}

/// Tries it as long as another program may only be in the way.
fn put(made: NamedTempFile, put: impl Fn(NamedTempFile) -> Result<File, PersistError>) -> io::Result<File> {
    let mut made = Some(made);
    platform::patiently(|| {
        put(made.take().expect("it comes back from each attempt that failed")).map_err(|refused| {
            made = Some(refused.file);
            refused.error
        })
    })
}

/// The real machine.
#[derive(Debug, Default)]
pub(crate) struct Machine {
    is_unsure: AtomicBool,
}

impl Disk for Machine {
    fn note(&self, is_sure: bool) {
        self.is_unsure.fetch_or(!is_sure, Ordering::Relaxed);
    }

    fn is_unsure(&self) -> bool {
        self.is_unsure.load(Ordering::Relaxed)
    }
}
