//! What writers said of each report, and whether a client's file still says it.

use std::collections::{BTreeMap, BTreeSet};

use crate::client::{Client, Report};

use super::report;

/// What a writer says: before it tries something, and once that is acknowledged.
#[derive(Debug, Clone, Copy)]
pub(super) enum Word {
    Tries,
    Saved,
    TriesLevel(i64),
    Answered(i64),
    TriesAway(bool),
    Away(bool),
}

impl Word {
    /// One line, and back from it.
    pub(super) fn line(self, note: &str) -> String {
        match self {
            Self::Tries => format!("word tries 0 {note}"),
            Self::Saved => format!("word saved 0 {note}"),
            Self::TriesLevel(level) => format!("word tries-level {level} {note}"),
            Self::Answered(level) => format!("word answered {level} {note}"),
            Self::TriesAway(away) => format!("word tries-away {} {note}", i64::from(away)),
            Self::Away(away) => format!("word away {} {note}", i64::from(away)),
        }
    }

    pub(super) fn of_line(line: &str) -> Option<(Self, String)> {
        // The first line may follow the name of the test.
        let (_, said) = line.split_once("word ")?;
        let mut parts = said.split(' ');
        let (word, value) = (parts.next()?, parts.next()?.parse::<i64>().ok()?);
        let word = match word {
            "tries" => Self::Tries,
            "saved" => Self::Saved,
            "tries-level" => Self::TriesLevel(value),
            "answered" => Self::Answered(value),
            "tries-away" => Self::TriesAway(value == 1),
            "away" => Self::Away(value == 1),
            _ => return None,
        };
        Some((word, parts.next()?.to_owned()))
    }
}

/// What a report may be, by what was said of it.
#[derive(Debug, Clone, Default)]
struct Fact {
    is_sure: bool,
    levels: BTreeSet<Option<i64>>,
    /// Whether its session was taken back.
    away: BTreeSet<bool>,
}

/// What was acknowledged, report by report.
#[derive(Debug, Default)]
pub(super) struct Ledger(BTreeMap<String, Fact>);

impl Ledger {
    pub(super) fn hear(&mut self, word: Word, note: &str) {
        let fact = self.0.entry(note.to_owned()).or_insert_with(|| Fact {
            is_sure: false,
            levels: BTreeSet::from([None]),
            away: BTreeSet::from([false]),
        });
        match word {
            Word::Tries => {}
            Word::Saved => fact.is_sure = true,
            Word::TriesLevel(level) => drop(fact.levels.insert(Some(level))),
            Word::Answered(level) => fact.levels = BTreeSet::from([Some(level)]),
            Word::TriesAway(away) => drop(fact.away.insert(away)),
            Word::Away(away) => fact.away = BTreeSet::from([away]),
        }
    }

    /// Holds a client against what was said; from then on what was found is what there has to be.
    pub(super) fn check(&mut self, client: &Client, what: &str) {
        let gone = client.taken_back.iter().map(|(session, _)| (session, true));
        let sessions = client.sessions.iter().map(|session| (session, false)).chain(gone);
        let mut found: BTreeMap<&str, (Option<i64>, bool)> = BTreeMap::new();
        for (session, away) in sessions {
            for there in session.reports.values() {
                let level = there.level.map(|level| i64::from(level.get()));
                assert!(
                    found.insert(&there.note, (level, away)).is_none(),
                    "{what}: {} is there twice",
                    there.note
                );
                let given = given(&there.note);
                assert_eq!(Report { level: None, ..there.clone() }, given, "{what}: something else is there");
            }
        }
        self.0.retain(|note, fact| {
            let Some((level, away)) = found.remove(&**note) else {
                assert!(!fact.is_sure, "{what}: {note} is missing");
                return false;
            };
            assert!(fact.levels.contains(&level), "{what}: {note} has {level:?}, said was {fact:?}");
            assert!(fact.away.contains(&away), "{what}: {note} was taken back {away}, said was {fact:?}");
            *fact = Fact { is_sure: true, levels: BTreeSet::from([level]), away: BTreeSet::from([away]) };
            true
        });
        assert!(found.is_empty(), "{what}: nobody has written {found:?}");
    }
}

/// The report of a note.
pub(super) fn given(note: &str) -> Report {
    let number = note.bytes().fold(0_u32, |sum, byte| (sum * 31 + u32::from(byte)) % 600);
    Report { note: note.to_owned(), ..report(number + 1) }
}

/// How often what was done.
#[derive(Debug, Default)]
pub(super) struct ScheduleCounts {
    pub(super) kills: usize,
    pub(super) power_cuts: usize,
    pub(super) full: usize,
    pub(super) read_only: usize,
    pub(super) two_writers: usize,
    pub(super) converted: usize,
    pub(super) merged: usize,
    pub(super) acknowledged: usize,
}
