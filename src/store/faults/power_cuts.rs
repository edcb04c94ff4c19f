//! Cuts the power at any call to the disk: what was not synced is lost, or there in part, and nothing that was
//! acknowledged is missing.
//!
//! `MATSIDE_CUTS` raises the number of cuts.

use std::collections::BTreeMap;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use tempfile::{NamedTempFile, TempDir};

use crate::platform;

use super::super::disk::{Disk, Machine};
use super::super::locked_file::guard;
use super::super::{Store, passphrase};
use super::{PASSPHRASE, evening, held_in, id, open, report, session, studio};

/// What is certain to be on the disk, and what may be.
#[derive(Debug, Default)]
struct Platter {
    calls: usize,
    /// What was synced of each file, by its number.
    synced: BTreeMap<u64, Vec<u8>>,
    /// Which file stands under a name, as of the last sync of its folder.
    names: BTreeMap<PathBuf, u64>,
    /// Names that were given or taken since, in their order.
    renamed: Vec<(PathBuf, Option<u64>)>,
}

/// A machine that loses its power at some call; from then on nothing works.
#[derive(Debug)]
struct Cut {
    at: usize,
    folder: PathBuf,
    machine: Machine,
    platter: Mutex<Platter>,
}

fn number(file: &File) -> u64 {
    platform::place(&file.metadata().expect("is open")).1
}

fn number_at(path: &Path) -> u64 {
    platform::place(&path.metadata().expect("is there")).1
}

impl Cut {
    fn new(folder: &Path, at: usize) -> Arc<Self> {
        Arc::new(Self {
            at,
            folder: folder.to_owned(),
            machine: Machine::default(),
            platter: Mutex::default(),
        })
    }

    /// Counts a call, and refuses it once the power is gone.
    fn step(&self) -> io::Result<()> {
        let mut platter = guard(&self.platter);
        platter.calls += 1;
        if platter.calls > self.at { Err(io::ErrorKind::BrokenPipe.into()) } else { Ok(()) }
    }

    /// A file is on the disk as it is now.
    fn keep(&self, file: &File) {
        let number = number(file);
        let path = walk(&self.folder).into_iter().find(|path| number_at(path) == number);
        let there = path.map_or_else(Vec::new, |path| std::fs::read(path).expect("can be read"));
        guard(&self.platter).synced.insert(number, there);
    }

    fn name(&self, path: &Path, file: Option<u64>) {
        guard(&self.platter).renamed.push((path.to_owned(), file));
    }
}

impl Disk for Cut {
    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        self.step()?;
        self.machine.write(file, bytes)
    }

    fn sync_data(&self, file: &File) -> io::Result<()> {
        self.step()?;
        self.keep(file);
        Ok(())
    }

    fn sync_all(&self, file: &File) -> io::Result<()> {
        self.sync_data(file)
    }

    fn cut_off(&self, file: &File, path: &Path, len: u64) -> io::Result<()> {
        self.step()?;
        self.machine.cut_off(file, path, len)
    }

    fn put_in_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        self.step()?;
        let file = self.machine.put_in_place(made, path)?;
        self.name(path, Some(number(&file)));
        Ok(file)
    }

    fn put_in_free_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        self.step()?;
        let file = self.machine.put_in_free_place(made, path)?;
        self.name(path, Some(number(&file)));
        Ok(file)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step()?;
        self.machine.rename(from, to)?;
        self.name(to, Some(number_at(to)));
        self.name(from, None);
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.step()?;
        self.machine.remove(path)?;
        self.name(path, None);
        Ok(())
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.step()?;
        let mut platter = guard(&self.platter);
        let (here, elsewhere) = std::mem::take(&mut platter.renamed)
            .into_iter()
            .partition(|(path, _)| path.parent() == Some(folder));
        platter.renamed = elsewhere;
        let here: Vec<(PathBuf, Option<u64>)> = here;
        for (path, file) in here {
            match file {
                Some(file) => drop(platter.names.insert(path, file)),
                None => drop(platter.names.remove(&path)),
            }
        }
        Ok(())
    }
}

/// A small generator with a fixed start, so that a failure can be seen again.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or_default() % end.max(1)
    }
}

impl Cut {
    /// What is found in a folder after the power came back, in a folder of its own.
    fn found(&self, folder: &Path, dice: &mut Dice) -> TempDir {
        let platter = guard(&self.platter);
        let mut names = platter.names.clone();
        // Some of the names that were not synced, as far as the disk got, are there.
        for (path, file) in &platter.renamed[..dice.below(platter.renamed.len() + 1)] {
            match file {
                Some(file) => drop(names.insert(path.clone(), *file)),
                None => drop(names.remove(path)),
            }
        }
        let now: BTreeMap<u64, Vec<u8>> = walk(folder)
            .into_iter()
            .map(|path| (number_at(&path), std::fs::read(&path).expect("can be read")))
            .collect();
        let after = tempfile::tempdir().expect("a scratch folder");
        for (path, file) in names {
            let synced = platter.synced.get(&file).cloned().unwrap_or_default();
            let there = now.get(&file).map_or(synced.as_slice(), Vec::as_slice);
            let bytes = partly(&synced, there, dice);
            let to = after.path().join(path.strip_prefix(folder).expect("is within"));
            std::fs::create_dir_all(to.parent().expect("has a folder")).expect("makes");
            std::fs::write(to, bytes).expect("writes");
        }
        after
    }
}

/// What was synced, with some of what was appended since: cut off anywhere, and what is missing of it perhaps as zeros.
fn partly(synced: &[u8], now: &[u8], dice: &mut Dice) -> Vec<u8> {
    let Some(more) = now.strip_prefix(synced) else {
        // It was cut off and that is not synced: either is found.
        return if dice.below(2) == 0 { synced } else { now }.to_vec();
    };
    let (kept, long) = (dice.below(more.len() + 1), dice.below(more.len() + 1));
    let mut bytes = [synced, &more[..kept]].concat();
    bytes.resize(bytes.len().max(synced.len() + long), 0);
    bytes
}

/// The power goes at a call of what is done to a folder, all of which was on the disk before. Gives what is found.
pub(super) fn cut_during(folder: &Path, calls: usize, dice: &mut Dice, work: impl FnOnce(&Store)) -> TempDir {
    let disk = Cut::new(folder, usize::MAX);
    for path in walk(folder) {
        disk.keep(&File::open(&path).expect("is there"));
        disk.name(&path, Some(number_at(&path)));
        disk.sync_folder(path.parent().expect("has a folder")).expect("works");
    }
    let before = guard(&disk.platter).calls;
    let disk = Arc::new(Cut { at: before + calls, ..Arc::into_inner(disk).expect("is ours alone") });
    let store = open(folder, Arc::<Cut>::clone(&disk));
    work(&store);
    drop(store);
    disk.found(folder, dice)
}

/// Every file below a folder.
pub(super) fn walk(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    entries.flat_map(|path| if path.is_dir() { walk(&path) } else { vec![path] }).collect()
}

fn cuts() -> usize {
    platform::variable("MATSIDE_CUTS").parse().unwrap_or(20)
}

/// The next day the file can be written as ever.
fn goes_on(store: &Store, what: &str) {
    let mut next = session();
    next.at += chrono::TimeDelta::days(1);
    let mut journal = store.begin(&id(), &next).unwrap_or_else(|error| panic!("{what}: {error}"));
    journal.report(&report(9)).unwrap_or_else(|error| panic!("{what}: {error}"));
}

#[test]
#[cfg_attr(not(unix), ignore = "a file is told by its number")]
fn what_was_acknowledged_is_there_after_the_power_was_cut_at_any_moment() {
    let mut dice = Dice(20_261_128);
    let mut kept = 0;
    for cut in 0..cuts() {
        let encrypted = cut % 2 == 1;
        let folder = studio(encrypted);
        let disk = Cut::new(folder.path(), if cut < 4 { usize::MAX } else { dice.below(45) });
        let key = folder.path().join("passphrase.toml");
        if encrypted {
            disk.keep(&File::open(&key).expect("is there"));
            disk.name(&key, Some(number_at(&key)));
            disk.sync_folder(folder.path()).unwrap_or_default();
        }
        let store = open(folder.path(), Arc::<Cut>::clone(&disk));
        let (saved, _) = evening(&store, 1);
        drop(store);
        let after = disk.found(folder.path(), &mut dice);
        let what = format!("cut {cut} at call {}, encrypted {encrypted}, saved {saved:?}", disk.at);
        if saved.is_empty() && !after.path().join("clients/rosa.toml").exists() {
            continue;
        }
        let store = open(after.path(), Arc::new(Machine::default()));
        let client = store.load(&id()).unwrap_or_else(|error| panic!("{what}: {error}"));
        let found = held_in(&client);
        for number in &saved {
            assert_eq!(found.iter().filter(|held| *held == number).count(), 1, "{what}, found {found:?}");
        }
        kept += saved.len();
        goes_on(&store, &what);
        let again = open(after.path(), Arc::new(Machine::default())).load(&id()).expect(&what);
        assert_eq!(held_in(&again).len(), found.len() + 1, "{what}");
    }
    assert!(kept >= cuts(), "{kept} reports are too few to mean anything");
}

#[test]
#[cfg_attr(not(unix), ignore = "a file is told by its number")]
fn encrypting_and_decrypting_go_on_after_the_power_was_cut_at_any_moment() {
    let mut dice = Dice(20_261_129);
    for cut in 0..cuts() {
        let folder = studio(false);
        let (saved, _) = evening(&open(folder.path(), Arc::new(Machine::default())), 1);
        let (_, text) = passphrase::new_key(PASSPHRASE, passphrase::LITTLE).expect("long enough");
        std::fs::write(folder.path().join("passphrase.toml"), text).expect("writes");
        let back = cut % 2 == 1;
        if back {
            open(folder.path(), Arc::new(Machine::default())).encrypt(PASSPHRASE).expect("encrypts");
        }
        let disk = Cut::new(folder.path(), usize::MAX);
        for path in walk(folder.path()) {
            disk.keep(&File::open(&path).expect("is there"));
            disk.name(&path, Some(number_at(&path)));
            disk.sync_folder(path.parent().expect("has a folder")).expect("works");
        }
        let before = guard(&disk.platter).calls;
        let disk =
            Arc::new(Cut { at: before + dice.below(9), ..Arc::into_inner(disk).expect("is ours alone") });
        let what = format!("cut {cut} at call {}, decrypting {back}", disk.at - before);
        let store = open(folder.path(), Arc::<Cut>::clone(&disk));
        let convert = |store: &Store| {
            if back { store.decrypt() } else { store.encrypt(PASSPHRASE).map(|(_, done)| done) }
        };
        let _ = convert(&store);
        drop(store);
        let after = disk.found(folder.path(), &mut dice);
        let store = open(after.path(), Arc::new(Machine::default()));
        assert_eq!(held_in(&store.load(&id()).expect(&what)), saved, "{what}");
        if store.is_encrypted() {
            let done = convert(&store).expect(&what);
            assert!(done.problems.is_empty(), "{what}: {:?}", done.problems);
        }
        let store = open(after.path(), Arc::new(Machine::default()));
        assert_eq!(held_in(&store.load(&id()).expect(&what)), saved, "{what}");
        goes_on(&store, &what);
    }
}
