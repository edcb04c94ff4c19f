//! `work.toml`: what each block asked of the trainer's own body, apart from the clients' files.
//!
//! One row for a block, told from others by when it began; the later word about a block counts. It names no client,
//! so it stays when a client is forgotten, and is no part of any export.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{DateTime, FixedOffset, SecondsFormat};

use crate::body::Seconds;
use crate::client::{ClientId, Meters, WorkedBlock};
use crate::document::values::{count, moment};
use crate::document::{Parsed, Source, Unknown, Walker};

use super::Store;
use super::cipher::Cipher;
use super::error::StoreError;
use super::layout::Layout;
use super::{files, lock};

const OPENING: &str =
    "# What your blocks asked of your own body, in seconds. No client is named here.\nversion = 1\n";

/// Whose file it is, where it is sealed: nobody's of the clients.
const OWNER: &str = "trainers-own-work";

/// The meters in their order in the file.
const KEYS: [&str; 5] = ["hands_on_s", "bent_s", "stooped_s", "kneeling_s", "heavy_s"];

fn text(blocks: &[WorkedBlock]) -> String {
    let mut text = OPENING.to_owned();
    for WorkedBlock { at, meters } in blocks {
        let seconds = [meters.hands_on, meters.bent, meters.stooped, meters.kneeling, meters.heavy];
        write!(text, "\n[[block]]\nat = {}\n", at.to_rfc3339_opts(SecondsFormat::Secs, false))
            .expect("a text takes all");
        for (key, seconds) in KEYS.iter().zip(seconds) {
            writeln!(text, "{key} = {}", seconds.get()).expect("a text takes all");
        }
        writeln!(text, "highest = {}", meters.highest).expect("a text takes all");
    }
    text
}

fn blocks(source: &Source) -> Result<Vec<WorkedBlock>, StoreError> {
    let parsed = Parsed::of(source)?;
    let (mut walk, mut top) = (Walker::new(source), parsed.top("record of your work"));
    let _version: Option<u32> = walk.want(&mut top, "version = 1", count);
    let mut all = Vec::new();
    for mut table in walk.tables(&mut top, "block", "block") {
        let at: Option<DateTime<FixedOffset>> =
            walk.want(&mut table, "at = 2026-11-27T17:05:00+01:00", moment);
        let mut seconds = |walk: &mut Walker<'_>, example: &'static str| {
            Seconds::new(walk.may(&mut table, example, count).unwrap_or(0))
        };
        let meters = Meters {
            hands_on: seconds(&mut walk, "hands_on_s = 480"),
            bent: seconds(&mut walk, "bent_s = 120"),
            stooped: seconds(&mut walk, "stooped_s = 0"),
            kneeling: seconds(&mut walk, "kneeling_s = 400"),
            heavy: seconds(&mut walk, "heavy_s = 30"),
            highest: 0,
        };
        let highest = walk.may(&mut table, "highest = 7", count).unwrap_or(0);
        walk.finish(&table, Unknown::Kept);
        all.extend(at.map(|at| WorkedBlock { at, meters: Meters { highest, ..meters } }));
    }
    walk.finish(&top, Unknown::Kept);
    Ok(walk.end(Some(all)).map(|(all, _)| all)?)
}

/// What the file of a folder says.
pub(super) fn examine(layout: &Layout, cipher: &Cipher) -> Result<Vec<WorkedBlock>, StoreError> {
    let Some(path) = layout.plain_file(&layout.work())? else { return Ok(Vec::new()) };
    let (opened, _) = cipher.read(&path)?;
    blocks(&Source::decode(&path, opened.text)?)
}

/// Both, each block once and in the order of time; of two words about one block the one of `newer` counts.
fn united(older: Vec<WorkedBlock>, newer: Vec<WorkedBlock>) -> Vec<WorkedBlock> {
    let rows = older.into_iter().chain(newer).map(|block| (block.at, block));
    rows.collect::<BTreeMap<_, _>>().into_values().collect()
}

impl Store {
    /// What the trainer's blocks asked of them, in the order of time.
    ///
    /// # Errors
    /// If the file is there and cannot be read.
    pub fn work(&self) -> Result<Vec<WorkedBlock>, StoreError> {
        examine(&self.layout, &self.cipher)
    }

    /// Notes what blocks asked; what was noted of the same blocks before gives way.
    ///
    /// # Errors
    /// If another program is writing it, or it cannot be read or written.
    pub fn note_work(&self, newer: &[WorkedBlock]) -> Result<(), StoreError> {
        let path = self.layout.work();
        self.layout.make_folder(&self.layout.root)?;
        let _lock = lock::Lock::take(&self.layout, "trainer.work", &path)?;
        let older = self.work()?;
        let all = united(older.clone(), newer.to_vec());
        if all == older {
            return Ok(());
        }
        self.write_work(&all)
    }

    /// Writes the file anew, sealed if the folder is.
    fn write_work(&self, all: &[WorkedBlock]) -> Result<(), StoreError> {
        let path = self.layout.work();
        let text = text(all);
        let owner = ClientId::new(OWNER).expect("a word of letters");
        let (bytes, _) = self.cipher.whole(&owner, &path, text.as_bytes())?;
        match self.layout.plain_file(&path)? {
            Some(path) => files::replace(&self.disk, &path, &bytes).map(drop),
            None => files::create(&self.disk, &path, &bytes),
        }
    }

    /// Takes over what another folder knows.
    pub(super) fn merge_work(&self, other: &Self) -> Result<(), StoreError> {
        let theirs = other.work()?;
        let ours = self.work()?;
        // Of two words about one block the one that asked more, so that both directions give the same.
        let asked = |block: &WorkedBlock| {
            let Meters { hands_on, bent, stooped, kneeling, heavy, highest } = block.meters;
            (block.at, hands_on, bent, stooped, kneeling, heavy, highest)
        };
        let mut both: Vec<WorkedBlock> = theirs.into_iter().chain(ours).collect();
        both.sort_by_key(asked);
        self.note_work(&united(Vec::new(), both))
    }

    /// Puts the file into the form that the folder is to have.
    pub(super) fn convert_work(&self) -> Result<(), StoreError> {
        let all = self.work()?;
        if all.is_empty() { Ok(()) } else { self.write_work(&all) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::SamePerson;

    fn block(minute: u32, kneeling: u32) -> WorkedBlock {
        let at = format!("2026-11-27T17:{minute:02}:00+01:00").parse().expect("a moment");
        let meters = Meters { kneeling: Seconds::new(kneeling), highest: 7, ..Meters::default() };
        WorkedBlock { at, meters }
    }

    #[test]
    fn a_block_is_noted_once_and_the_later_word_counts() {
        let store = Store::scratch().unwrap();
        assert_eq!(store.work().unwrap(), []);
        store.note_work(&[block(5, 300)]).unwrap();
        store.note_work(&[block(40, 200), block(5, 310)]).unwrap();
        assert_eq!(store.work().unwrap(), [block(5, 310), block(40, 200)]);
    }

    #[test]
    fn check_names_the_line_that_cannot_be_read() {
        let store = Store::scratch().unwrap();
        store.note_work(&[block(5, 300)]).unwrap();
        let now = "2026-11-28T09:00:00+01:00".parse().unwrap();
        let told = || store.check(now).unwrap().iter().map(ToString::to_string).collect::<Vec<_>>().concat();
        assert!(!told().contains("work.toml"), "{}", told());
        std::fs::write(store.layout.work(), "version = 1\n\n[[block]]\nat = 7\n").unwrap();
        assert!(told().contains("work.toml:4"), "{}", told());
    }

    #[test]
    fn it_is_sealed_with_the_folder_and_opened_with_it() {
        let store = Store::scratch().unwrap();
        store.note_work(&[block(5, 300)]).unwrap();
        let shown =
            || String::from_utf8_lossy(&std::fs::read(store.layout.work()).unwrap()).contains("kneeling");
        assert!(shown());
        let (sealed, _) = store.encrypt("a cat on the roof").unwrap();
        assert!(!shown(), "nothing of it can be read");
        sealed.note_work(&[block(40, 200)]).unwrap();
        assert!(!shown());
        assert_eq!(sealed.work().unwrap(), [block(5, 300), block(40, 200)]);
        sealed.decrypt().unwrap();
        assert!(shown());
    }

    #[test]
    fn two_folders_know_the_same_after_a_merge_in_either_direction() {
        let fill = |blocks: &[WorkedBlock]| {
            let store = Store::scratch().unwrap();
            store.note_work(blocks).unwrap();
            store
        };
        let (one, other) = (fill(&[block(5, 300)]), fill(&[block(40, 200)]));
        one.merge_folder(&other, SamePerson::AsFarAsSeen).unwrap();
        other.merge_folder(&one, SamePerson::AsFarAsSeen).unwrap();
        assert_eq!(one.work().unwrap(), [block(5, 300), block(40, 200)]);
        assert_eq!(one.work().unwrap(), other.work().unwrap());
    }
}
