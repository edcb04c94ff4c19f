//! One writer at a time: a lock on a file of its own, which is never replaced.
//!
//! The system drops the lock when its holder ends, however that happens, so a stale one never blocks.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read as _, Write as _};
use std::path::Path;
use std::time::Duration;

use crate::platform;

use super::error::StoreError;
use super::layout::Layout;

/// A lock that is held until it is dropped.
#[derive(Debug)]
pub(crate) struct Lock {
    _file: File,
}

/// Another program's short write is waited for; a running session is not.
const TRIES: u32 = 10;
const BETWEEN: Duration = Duration::from_millis(15);

impl Lock {
    /// Takes the lock called `name`, which guards `path`.
    pub(crate) fn take(layout: &Layout, name: &str, path: &Path) -> Result<Self, StoreError> {
        layout.make_folder(&layout.locks())?;
        let lock_path = layout.lock(name);
        for attempt in 1..=TRIES {
            layout.plain_file(&lock_path)?;
            let mut file = open(&lock_path)?;
            match file.try_lock() {
                Ok(()) => {
                    // Removed and made anew between opening and locking: that is another lock.
                    if !platform::is_same_file(&file, &lock_path).unwrap_or(false) {
                        continue;
                    }
                    // The name helps whoever is refused; the lock holds without it, even on a full disk.
                    let _ = file.set_len(0);
                    let _ = write!(file, "matside, process {}", std::process::id());
                    return Ok(Self { _file: file });
                }
                Err(TryLockError::WouldBlock) if attempt < TRIES => std::thread::sleep(BETWEEN),
                Err(TryLockError::WouldBlock) => {
                    return Err(StoreError::Locked { by: holder(&lock_path), path: path.to_owned() });
                }
                Err(TryLockError::Error(error)) => return Err(StoreError::io("lock", &lock_path)(error)),
            }
        }
        Err(StoreError::Locked { by: holder(&lock_path), path: path.to_owned() })
    }
}

fn open(path: &Path) -> Result<File, StoreError> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    platform::private_file(&mut options);
    options.open(path).map_err(StoreError::io("open the lock", path))
}

/// Who wrote itself into the lock file.
fn holder(path: &Path) -> String {
    let mut text = String::new();
    let read = File::open(path).and_then(|file| file.take(200).read_to_string(&mut text));
    let text = crate::text::Safe::from_foreign(text.trim());
    if read.is_err() || text.is_empty() { "another program".to_owned() } else { text.into() }
}
