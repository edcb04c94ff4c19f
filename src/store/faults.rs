//! Makes every single call to the disk fail, and counts what is missing afterwards.

mod backups;
mod ledger;
mod power_cuts;
mod schedule;

use std::fs::File;
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use tempfile::NamedTempFile;

use super::disk::{Disk, Machine};
use super::{Store, StoreError, passphrase};
use crate::body::{Level, Minutes, Seconds};
use crate::client::{Client, ClientId, Consent, Profile, Report, Session};

/// A disk of which some calls fail.
#[derive(Debug)]
struct Faulty {
    calls: AtomicUsize,
    first: usize,
    last: usize,
    /// Why they fail.
    kind: io::ErrorKind,
}

impl Faulty {
    fn step(&self) -> io::Result<()> {
        let call = self.calls.fetch_add(1, Ordering::SeqCst);
        if (self.first..=self.last).contains(&call) { Err(self.kind.into()) } else { Ok(()) }
    }
}

impl Disk for Faulty {
    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        let step = self.step();
        if step.is_err() && self.kind == io::ErrorKind::StorageFull {
            // A full disk takes the beginning of what is written.
            file.write_all(&bytes[..bytes.len() / 2])?;
        }
        step?;
        file.write_all(bytes)
    }

    fn sync_data(&self, file: &File) -> io::Result<()> {
        self.step().and_then(|()| Machine::default().sync_data(file))
    }

    fn sync_all(&self, file: &File) -> io::Result<()> {
        self.step().and_then(|()| Machine::default().sync_all(file))
    }

    fn cut_off(&self, file: &File, path: &Path, len: u64) -> io::Result<()> {
        self.step().and_then(|()| Machine::default().cut_off(file, path, len))
    }

    fn put_in_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        self.step().and_then(|()| Machine::default().put_in_place(made, path))
    }

    fn put_in_free_place(&self, made: NamedTempFile, path: &Path) -> io::Result<File> {
        self.step().and_then(|()| Machine::default().put_in_free_place(made, path))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step().and_then(|()| Machine::default().rename(from, to))
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.step().and_then(|()| Machine::default().remove(path))
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.step().and_then(|()| Machine::default().sync_folder(folder))
    }
}

fn id() -> ClientId {
    ClientId::new("rosa").expect("plain word")
}

fn who() -> crate::client::Attribution {
    crate::client::Attribution { at: session().at, by: String::new() }
}

fn session() -> Session {
    let at = chrono::DateTime::parse_from_rfc3339("2026-11-20T18:45:00+01:00").expect("a time");
    Session::new(at, Minutes::new(10).expect("in range"), Consent::HandsOn)
}

fn report(number: u32) -> Report {
    let stretch = "straight-leg-raise".parse().expect("plain word");
    let form = "hand-on-heel".parse().expect("plain word");
    Report { note: "n".repeat(200), ..Report::new(stretch, form, None, Seconds::new(number)) }
}

/// Does a whole evening's writing; each step may be tried `tries` times. Gives what was acknowledged.
fn evening(store: &Store, tries: usize) -> (Vec<u32>, bool) {
    let mut saved = Vec::new();
    let profile = Profile::new(id(), "Rosa");
    let created =
        (0..tries).any(|_| matches!(store.create(&profile), Ok(()) | Err(StoreError::Exists { .. })));
    if !created {
        return (saved, false);
    }
    let Some(mut journal) = (0..tries).find_map(|_| store.begin(&id(), &session()).ok()) else {
        return (saved, false);
    };
    for number in 1..=4 {
        // The same report may be given again after a failure.
        if (0..tries).any(|_| journal.report(&report(number)).is_ok()) {
            saved.push(number);
        }
        if number == 2 && saved.contains(&2) {
            let answered = Report { level: Level::new(4).ok(), ..report(2) };
            let number = journal.session().reports.iter().find(|(_, report)| report.held == Seconds::new(2));
            let number = *number.expect("was saved").0;
            let _ = (0..tries).any(|_| journal.amend(number, &answered, &who()).is_ok());
        }
    }
    let at = session().at + chrono::TimeDelta::minutes(10);
    let mut closed = journal.close(at, "calm").is_ok();
    for _ in 1..tries {
        if !closed && let Ok(Some((_, mut journal))) = store.resume(&id(), session().at) {
            closed = journal.close(at, "calm").is_ok();
        }
    }
    let renamed = Profile::new(id(), "Rosa Achterberg");
    closed &= (0..tries).any(|_| store.save_profile(&renamed, &who()).is_ok());
    (saved, closed)
}

fn held_in(client: &Client) -> Vec<u32> {
    let mut held: Vec<u32> =
        client.sessions.iter().flat_map(|session| session.reports.values().map(|r| r.held.get())).collect();
    held.sort_unstable();
    held
}

const PASSPHRASE: &str = "a cat on the roof";

/// A scratch folder, encrypted or not.
fn studio(encrypted: bool) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a scratch folder");
    if encrypted {
        let (_, text) = passphrase::new_key(PASSPHRASE, passphrase::LITTLE).expect("long enough");
        std::fs::write(folder.path().join("passphrase.toml"), text).expect("writes");
    }
    folder
}

/// Opens a folder on a disk, with its passphrase if it wants one.
fn open(folder: &Path, disk: Arc<dyn Disk>) -> Store {
    let store = Store::open_on(folder, disk).expect("opens");
    if store.is_locked() { store.unlock(PASSPHRASE).expect("is the passphrase") } else { store }
}

fn failing(first: usize, last: usize) -> (Arc<Faulty>, Arc<dyn Disk>) {
    let faulty =
        Arc::new(Faulty { calls: AtomicUsize::new(0), first, last, kind: io::ErrorKind::StorageFull });
    let disk: Arc<dyn Disk> = Arc::<Faulty>::clone(&faulty);
    (faulty, disk)
}

/// Runs an evening in which the calls from `first` to `last` fail. Gives how many calls there were.
fn check(first: usize, last: usize, tries: usize, encrypted: bool) -> usize {
    let folder = studio(encrypted);
    let (faulty, disk) = failing(first, last);
    let store = open(folder.path(), disk);
    let (saved, finished) = evening(&store, tries);
    drop(store);
    let what = format!("encrypted {encrypted}, calls {first} to {last} failed, saved {saved:?}");
    let store = open(folder.path(), Arc::new(Machine::default()));
    let Ok(client) = store.load(&id()) else {
        assert!(saved.is_empty(), "{what}: the file is gone");
        return faulty.calls.load(Ordering::SeqCst);
    };
    let found = held_in(&client);
    for number in &saved {
        assert_eq!(found.iter().filter(|held| *held == number).count(), 1, "{what}, found {found:?}");
    }
    let mut once = found.clone();
    once.dedup();
    assert_eq!(once, found, "{what}: something is there twice");
    if first == last && tries > 1 {
        assert!(finished, "{what}: one fault was not got over");
        assert_eq!(saved, [1, 2, 3, 4], "{what}");
        assert_eq!(client.profile.name, "Rosa Achterberg", "{what}");
        assert!(client.sessions[0].closed.is_some(), "{what}");
        assert_eq!(client.sessions[0].note, "calm", "{what}");
    }
    // And the next day the file can be written as ever.
    let mut next = session();
    next.at += chrono::TimeDelta::days(1);
    let mut journal = store.begin(&id(), &next).unwrap_or_else(|error| panic!("{what}: {error}"));
    journal.report(&report(9)).unwrap_or_else(|error| panic!("{what}: {error}"));
    let leftovers = std::fs::read_dir(folder.path().join("clients")).expect("a folder").count();
    assert!(leftovers <= 2, "{what}: {leftovers} files");
    faulty.calls.load(Ordering::SeqCst)
}

#[test]
fn one_failing_call_at_any_point_is_got_over_by_trying_again() {
    for encrypted in [false, true] {
        let calls = check(usize::MAX, usize::MAX, 2, encrypted);
        assert!(calls > 20, "{calls}");
        for failing in 0..calls {
            check(failing, failing, 2, encrypted);
        }
    }
}

#[test]
fn a_disk_that_fails_from_some_call_on_loses_nothing_that_was_acknowledged() {
    for encrypted in [false, true] {
        let calls = check(usize::MAX, usize::MAX, 1, encrypted);
        for first in 0..calls {
            check(first, usize::MAX, 1, encrypted);
            check(first, first + 2, 1, encrypted);
        }
    }
}

#[test]
fn encrypting_and_decrypting_lose_nothing_wherever_they_are_cut_off() {
    let texts = |folder: &Path| -> Vec<(std::path::PathBuf, Vec<u8>)> {
        let mut found: Vec<_> = std::fs::read_dir(folder.join("clients"))
            .expect("a folder")
            .map(|entry| entry.expect("an entry").path())
            .map(|path| (path.clone(), std::fs::read(path).expect("is there")))
            .collect();
        found.sort();
        found
    };
    let convert = |store: &Store, back: bool| {
        if back { store.decrypt() } else { store.encrypt(PASSPHRASE).map(|(_, converted)| converted) }
    };
    // Gives how many calls there were at most.
    let check = |first: usize, last: usize| -> usize {
        let folder = studio(false);
        let (saved, _) = evening(&open(folder.path(), Arc::new(Machine::default())), 1);
        let client = folder.path().join("clients/rosa.toml");
        std::fs::copy(&client, client.with_file_name("rosa (1).toml")).expect("copies");
        let before = texts(folder.path());
        let (_, text) = passphrase::new_key(PASSPHRASE, passphrase::LITTLE).expect("long enough");
        std::fs::write(folder.path().join("passphrase.toml"), text).expect("writes");
        let mut calls = 0;
        for back in [false, true] {
            let (faulty, disk) = failing(first, last);
            let whole = convert(&open(folder.path(), disk), back).is_ok_and(|done| done.problems.is_empty());
            calls = calls.max(faulty.calls.load(Ordering::SeqCst));
            let what = format!("decrypting {back}, calls {first} to {last} failed, finished {whole}");
            let store = open(folder.path(), Arc::new(Machine::default()));
            assert_eq!(held_in(&store.load(&id()).expect(&what)), saved, "{what}");
            if store.is_encrypted() {
                let done = convert(&store, back).expect(&what);
                assert!(done.problems.is_empty(), "{what}: {:?}", done.problems);
            }
            let is_sealed = |text: &[u8]| text.starts_with(b"matside-encrypted");
            let sealed = texts(folder.path()).iter().filter(|(_, text)| is_sealed(text)).count();
            assert_eq!(sealed, if back { 0 } else { 2 }, "{what}");
        }
        assert_eq!(texts(folder.path()), before, "calls {first} to {last} failed");
        calls
    };
    let calls = check(usize::MAX, usize::MAX);
    assert!(calls >= 8, "{calls}");
    for first in 0..calls {
        check(first, first);
        check(first, usize::MAX);
    }
}
