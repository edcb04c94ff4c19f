//! Invented clients, sessions and reports.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use matside::body::{Effort, Level, Minutes, Muscle, Seconds, Side};
use matside::catalogue::{FormId, StretchId};
use matside::client::{Attribution, ClientId, Consent, Profile, Report, Session};
use matside::store::Store;
use tempfile::TempDir;

/// A data folder of its own that is gone after the test.
pub(crate) struct Studio {
    #[expect(dead_code, reason = "held so that the folder lives as long as the studio")]
    pub(crate) folder: TempDir,
    pub(crate) store: Store,
}

impl Studio {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let store = Store::open(folder.path().join("data")).expect("opens");
        Self { folder, store }
    }

    /// One whose folder is encrypted; the key in the kept file takes little work.
    pub(crate) fn encrypted() -> Self {
        let mut studio = Self::new();
        std::fs::create_dir_all(studio.store.root()).expect("creates");
        std::fs::write(studio.store.root().join("passphrase.toml"), KEY).expect("writes");
        studio.store = studio.other();
        studio
    }

    /// A studio in which `rosa` stands as written.
    pub(crate) fn with(text: &str) -> Self {
        let studio = Self::new();
        let path = studio.file("rosa");
        std::fs::create_dir_all(path.parent().expect("has a folder")).expect("creates");
        std::fs::write(path, text).expect("writes");
        studio
    }

    pub(crate) fn file(&self, id: &str) -> PathBuf {
        self.store.root().join("clients").join(format!("{id}.toml"))
    }

    pub(crate) fn text(&self, id: &str) -> String {
        std::fs::read_to_string(self.file(id)).expect("is text")
    }

    /// The same folder, opened by somebody else.
    pub(crate) fn other(&self) -> Store {
        open(self.store.root())
    }
}

pub(crate) const PASSPHRASE: &str = "a cat on the roof";
const KEY: &str = include_str!("../../data/passphrase.toml");

/// Opens a folder, with its passphrase if it wants one.
pub(crate) fn open(folder: &Path) -> Store {
    let store = Store::open(folder).expect("opens");
    if store.is_locked() { store.unlock(PASSPHRASE).expect("is the passphrase") } else { store }
}

pub(crate) fn id(word: &str) -> ClientId {
    ClientId::new(word).expect("a plain word")
}

pub(crate) fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).expect("a time")
}

/// Who writes, at some moment.
pub(crate) fn who() -> Attribution {
    Attribution { at: at("2026-11-25T10:00:00+01:00"), by: String::new() }
}

pub(crate) fn session(start: &str) -> Session {
    Session {
        trained: BTreeMap::from([(Muscle::Hamstrings, Effort::new(3).expect("in range"))]),
        ..Session::new(at(start), Minutes::new(10).expect("in range"), Consent::HandsOn)
    }
}

pub(crate) fn report(side: Side, level: i64) -> Report {
    let stretch = StretchId::new("straight-leg-raise").expect("a plain word");
    let form = FormId::new("hand-on-heel").expect("a plain word");
    Report { level: Level::new(level).ok(), ..Report::new(stretch, form, Some(side), Seconds::new(30)) }
}

pub(crate) fn profile(name: &str) -> Profile {
    Profile::new(id("rosa"), name)
}
