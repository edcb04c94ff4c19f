//! The whole data folder as one file, and a data folder made of it again.
//!
//! A backup is a tar archive (IEEE Std 1003.1, pax) that any archiver opens. Its last entry lists the SHA-256 (FIPS
//! 180-4) of each file as `sha256sum --check` reads it: an archive without that entry was cut off. Files are taken as
//! they are, so what is encrypted stays so. What was written is read back before it gets its name.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs::{self, File};
use std::io::{self, BufReader, Read, Write};
use std::path::{Component, Path, PathBuf};

use sha2::{Digest as _, Sha256};

use crate::client::ClientId;

use super::Store;
use super::disk::Disk;
use super::error::StoreError;
use super::layout::Layout;
use super::{files, forget, lock};

/// The folder in the archive under which everything stands.
const TOP: &str = "matside";
/// The list of checksums, the last entry.
const SUMS: &str = "SHA256SUMS";
/// The longest list that is read, in bytes: of a hundred thousand files.
const LONGEST_SUMS: u64 = 16 * 1024 * 1024;

/// What a backup holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackedUp {
    /// Files, by their names below the data folder, with their SHA-256 in hexadecimal.
    pub files: BTreeMap<String, String>,
}

impl BackedUp {
    /// How many clients it holds.
    pub fn clients(&self) -> usize {
        let id = |name: &str| name.strip_prefix("clients/")?.strip_suffix(".toml").map(ClientId::new);
        self.files.keys().filter(|name| matches!(id(name), Some(Ok(_)))).count()
    }

    /// Whether a passphrase is needed for what it holds.
    pub fn is_encrypted(&self) -> bool {
        self.files.contains_key("passphrase.toml")
    }
}

/// What became of a backup that was made a data folder again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// What it holds.
    pub holds: BackedUp,
    /// Where the folder is that stood there before.
    pub aside: Option<PathBuf>,
}

impl Store {
    /// Writes everything of the data folder into one new file, and reads it back before it gets its name.
    ///
    /// # Errors
    /// If there is a file of that name, it would lie in the data folder, or something cannot be read or written.
    pub fn back_up(&self, to: &Path) -> Result<BackedUp, StoreError> {
        let folder = folder_of(to);
        // A bare name has no folder to wait for.
        let to = &folder.join(to.file_name().unwrap_or_default());
        let inside = fs::canonicalize(&folder).map_err(StoreError::io("write into", &folder))?;
        let root = fs::canonicalize(self.root()).map_err(StoreError::io("read", self.root()))?;
        if inside.starts_with(root) {
            return Err(StoreError::Unfit {
                what: format!("a backup at {}", to.display()),
                why: "it would lie in the data folder and be lost with it; name a place elsewhere".to_owned(),
            });
        }
        if to.symlink_metadata().is_ok() {
            return Err(exists(to, "name another file"));
        }
        let names = names_in(&self.layout)?;
        let mut made = tempfile::Builder::new()
            .prefix(".matside-")
            .suffix(".tmp")
            .tempfile_in(&folder)
            .map_err(StoreError::io("create a file beside", to))?;
        let written = write_archive(
            &names,
            &mut ArchiveFile { disk: self.disk.as_ref(), file: made.as_file_mut() },
            to,
        )?;
        self.disk.sync_all(made.as_file()).map_err(StoreError::io("write", to))?;
        if look_into(made.path())? != written {
            return Err(no_backup(to, "what was read back is not what was written"));
        }
        self.disk.put_in_free_place(made, to).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => exists(to, "name another file"),
            _ => StoreError::io("create", to)(error),
        })?;
        files::sync_folder_of(self.disk.as_ref(), to)?;
        Ok(written)
    }

    /// Makes this data folder of a backup. A folder that holds anything is refused, or with `replace` moved aside as a
    /// whole; whatever goes wrong before the end, it stands as it was.
    ///
    /// # Errors
    /// If the backup is not whole, the folder holds something, another program writes in it, or it cannot be written.
    pub fn restore(&self, from: &Path, replace: bool) -> Result<Restored, StoreError> {
        let holds = look_into(from)?;
        let root = self.root().to_owned();
        let is_there = fs::read_dir(&root).is_ok_and(|mut entries| entries.next().is_some());
        if is_there && !replace {
            return Err(exists(
                &root,
                "name an empty folder with --data, or move this one aside with --replace",
            ));
        }
        let above = folder_of(&root);
        self.layout_above(&above)?;
        let made = tempfile::Builder::new().prefix(".matside-").tempdir_in(&above);
        let made = made.map_err(StoreError::io("make a folder in", &above))?;
        let new = made.path().join("data");
        extract(from, &new, self.disk.as_ref())?;
        for (name, sum) in &holds.files {
            let path = new.join(name);
            if sum_of(&fs::read(&path).map_err(StoreError::io("read back", &path))?) != *sum {
                return Err(no_backup(from, &format!("{name} is not on the disk as it was written")));
            }
        }
        let aside = if is_there { Some(self.set_aside()?) } else { None };
        // An empty folder stands in the way on some systems.
        let _ = fs::remove_dir(&root);
        if let Err(error) = self.disk.rename(&new, &root) {
            if let Some(aside) = &aside {
                let _ = self.disk.rename(aside, &root);
            }
            return Err(StoreError::io("put in place", &root)(error));
        }
        self.disk.sync_folder(&above).map_err(StoreError::io("sync the folder of", &root))?;
        Ok(Restored { holds, aside })
    }

    fn layout_above(&self, above: &Path) -> Result<(), StoreError> {
        if above.is_dir() { Ok(()) } else { self.layout.make_folder(above) }
    }

    /// Moves the folder aside, unless another program is writing one of its clients.
    fn set_aside(&self) -> Result<PathBuf, StoreError> {
        let root = self.root();
        let ids = self.layout.client_ids()?;
        let locks = ids.iter().map(|id| lock::Lock::take(&self.layout, id.as_str(), &self.layout.client(id)));
        // On some systems a folder with an open file in it cannot be moved: they are let go first.
        drop(locks.collect::<Result<Vec<_>, _>>()?);
        let name = root.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let mut number = 1_u32;
        let mut aside = root.with_file_name(format!("{name}.before-{number}"));
        while aside.symlink_metadata().is_ok() {
            number += 1;
            aside.set_file_name(format!("{name}.before-{number}"));
        }
        self.disk.rename(root, &aside).map_err(StoreError::io("move aside", root))?;
        Ok(aside)
    }
}

/// Reads a backup from its beginning to its end and holds everything against its checksums; writes nothing.
///
/// # Errors
/// If it is not whole.
pub fn look_into(from: &Path) -> Result<BackedUp, StoreError> {
    let mut found = BTreeMap::new();
    let mut sums = None;
    each_entry(from, |name, bytes| {
        if sums.is_some() {
            return Err(no_backup(from, "something stands behind its checksums"));
        }
        if name == SUMS {
            sums = Some(bytes.to_vec());
        } else if found.insert(name.to_owned(), sum_of(bytes)).is_some() {
            return Err(no_backup(from, &format!("it holds {name} twice")));
        }
        Ok(())
    })?;
    let Some(sums) = sums else { return Err(no_backup(from, "its end is missing")) };
    let holds = BackedUp { files: found };
    if list_of_sums(&holds).as_bytes() != sums.as_slice() {
        return Err(no_backup(from, "a file in it is not what its checksum says, or is missing"));
    }
    Ok(holds)
}

/// Everything of a data folder that a backup holds: names below it, and where each is read. Locks and files that were
/// being written when a program ended are left out.
fn names_in(layout: &Layout) -> Result<BTreeMap<String, PathBuf>, StoreError> {
    let mut names = BTreeMap::new();
    let mut folders = vec![layout.root.clone()];
    while let Some(folder) = folders.pop() {
        layout.check_folder(&folder)?;
        for path in forget::names(&folder)? {
            if path == layout.locks() || forget::is_temporary(&path) {
                continue;
            }
            if fs::metadata(&path).is_ok_and(|found| found.is_dir()) {
                folders.push(path);
                continue;
            }
            let Some(real) = layout.plain_file(&path)? else { continue };
            let below = path.strip_prefix(&layout.root).unwrap_or(&path);
            let parts: Option<Vec<&str>> = below.iter().map(|part| part.to_str()).collect();
            let name = parts.map(|parts| parts.join("/")).filter(|name| !name.contains('\n'));
            let name = name.ok_or_else(|| StoreError::Unfit {
                what: path.display().to_string(),
                why: "its name cannot be written down; rename it".to_owned(),
            })?;
            names.insert(name, real);
        }
    }
    Ok(names)
}

/// A file that is written through the calls which can be made to fail.
struct ArchiveFile<'a> {
    disk: &'a dyn Disk,
    file: &'a mut File,
}

impl Write for ArchiveFile<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.disk.write(self.file, bytes).map(|()| bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn write_archive(
    names: &BTreeMap<String, PathBuf>,
    out: &mut ArchiveFile<'_>,
    to: &Path,
) -> Result<BackedUp, StoreError> {
    let mut archive = tar::Builder::new(out);
    let mut holds = BackedUp { files: BTreeMap::new() };
    let mut append = |name: &str, bytes: &[u8]| {
        let mut header = tar::Header::new_gnu();
        header.set_size(bytes.len() as u64);
        header.set_mode(0o600);
        header.set_entry_type(tar::EntryType::Regular);
        archive.append_data(&mut header, format!("{TOP}/{name}"), bytes).map_err(StoreError::io("write", to))
    };
    for (name, path) in names {
        let (bytes, _) = files::read(path)?;
        append(name, &bytes)?;
        holds.files.insert(name.clone(), sum_of(&bytes));
    }
    append(SUMS, list_of_sums(&holds).as_bytes())?;
    archive.finish().map_err(StoreError::io("write", to))?;
    Ok(holds)
}

/// The list as `sha256sum` writes and checks it.
fn list_of_sums(holds: &BackedUp) -> String {
    holds.files.iter().fold(String::new(), |mut list, (name, sum)| {
        writeln!(list, "{sum}  {name}").expect("a text takes all");
        list
    })
}

fn sum_of(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut sum, byte| {
        write!(sum, "{byte:02x}").expect("a text takes all");
        sum
    })
}

/// Hands on each file of an archive with its name; refuses what no backup holds.
fn each_entry(
    from: &Path,
    mut hand: impl FnMut(&str, &[u8]) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let file = File::open(files::plain(from)?).map_err(StoreError::io("read", from))?;
    let mut archive = tar::Archive::new(BufReader::new(file));
    let broken = |error: io::Error| no_backup(from, &format!("it cannot be read to its end ({error})"));
    for entry in archive.entries().map_err(broken)? {
        let mut entry = entry.map_err(broken)?;
        let path = entry.path().map_err(broken)?.into_owned();
        let name = name_in_archive(&path).filter(|_| entry.header().entry_type().is_file());
        let name = name.ok_or_else(|| no_backup(from, &format!("it holds {}", path.display())))?;
        let cap = if name == SUMS { LONGEST_SUMS } else { files::CAP * 2 };
        if entry.size() > cap {
            return Err(no_backup(from, &format!("{name} in it is too long")));
        }
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).map_err(broken)?;
        if bytes.len() as u64 != entry.size() {
            return Err(no_backup(from, "its end is missing"));
        }
        hand(&name, &bytes)?;
    }
    Ok(())
}

/// The name below the data folder, if a file may be made there.
fn name_in_archive(path: &Path) -> Option<String> {
    // What parts a name on one system is a letter of it on another.
    if path.to_str()?.contains(['\n', '\\', ':']) {
        return None;
    }
    let mut parts = path.components();
    if parts.next()? != Component::Normal(TOP.as_ref()) {
        return None;
    }
    let parts: Option<Vec<&str>> = parts
        .map(|part| match part {
            Component::Normal(part) => part.to_str(),
            _ => None,
        })
        .collect();
    parts.filter(|parts| !parts.is_empty()).map(|parts| parts.join("/"))
}

/// Makes a data folder of an archive.
fn extract(from: &Path, to: &Path, disk: &dyn Disk) -> Result<(), StoreError> {
    let layout = Layout { root: to.to_owned() };
    layout.make_folder(to)?;
    each_entry(from, |name, bytes| {
        if name == SUMS {
            return Ok(());
        }
        let path = to.join(name);
        layout.make_folder(&folder_of(&path))?;
        let mut options = fs::OpenOptions::new();
        options.write(true).create_new(true);
        crate::platform::private_file(&mut options);
        let mut file = options.open(&path).map_err(StoreError::io("create", &path))?;
        disk.write(&mut file, bytes).map_err(StoreError::io("write", &path))?;
        disk.sync_all(&file).map_err(StoreError::io("write", &path))?;
        files::sync_folder_of(disk, &path)
    })
}

/// The folder in which a path lies; the present one for a bare name.
fn folder_of(path: &Path) -> PathBuf {
    let above = path.parent().filter(|above| !above.as_os_str().is_empty());
    above.unwrap_or(Path::new(".")).to_owned()
}

fn exists(path: &Path, remedy: &'static str) -> StoreError {
    StoreError::Exists { what: path.display().to_string(), remedy }
}

fn no_backup(path: &Path, what: &str) -> StoreError {
    StoreError::NoBackup { path: path.to_owned(), what: what.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of FIPS 180-4 (in NIST's `SHA256.pdf` of examples): a message of one block.
    #[test]
    fn a_checksum_is_the_published_one() {
        assert_eq!(sum_of(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn names_that_lead_out_of_the_folder_are_none() {
        for bad in
            ["matside", "matside/../x", "/matside/x", "x/y", "matside/a\nb", "matside/c:d", "matside/a\\b"]
        {
            assert_eq!(name_in_archive(Path::new(bad)), None, "{bad:?}");
        }
        assert_eq!(
            name_in_archive(Path::new("matside/clients/rosa.toml")),
            Some("clients/rosa.toml".to_owned())
        );
    }
}
