//! From the text of a file to a client or a trainer.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::path::Path;
use std::str::FromStr;

use toml::de::DeValue;

use crate::body::{Degrees, Level, Seconds, Side};
use crate::catalogue::{Equipment, FormId, Method, StretchId};
use crate::caution::{ConditionId, RecordedCondition};
use crate::client::{Client, ClientId, Ended, Guardian, Profile, Report, Screening, Session, Trainer};

use super::error::{Flaw, StoreError};
use super::fields::{
    Fields, Walk, Wrong, bounded, count, date, flag, integer, moment, parse, text, units, word,
};
use super::merge::Clash;
use super::quick;
use super::text::Source;

/// The version of the format that this program writes, and the highest that it reads.
pub(crate) const VERSION: i64 = 1;

/// Keys at the top of a client's file.
pub(crate) const PROFILE_KEYS: &[&str] = &[
    "version",
    "name",
    "born",
    "sex",
    "aims",
    "tight",
    "likes",
    "dislikes",
    "massage",
    "screening",
    "guardian",
    "note",
    "condition",
    "session",
    "clash",
];
pub(crate) const CONDITION_KEYS: &[&str] =
    &["id", "side", "muscle", "joint", "since", "due", "week", "cleared_by", "note"];
pub(crate) const SESSION_KEYS: &[&str] =
    &["at", "minutes", "trained", "consent", "narrowed", "report", "note", "closed"];
pub(crate) const REPORT_KEYS: &[&str] =
    &["stretch", "form", "side", "method", "cycles", "held_s", "level", "angle_deg", "ended", "note"];
const SCREENING_KEYS: &[&str] = &["on", "clear", "note"];
const GUARDIAN_KEYS: &[&str] = &["name", "on"];
/// Tables at the top of a client's file that stand once, with their keys.
pub(crate) const TABLE_KEYS: &[(&str, &[&str])] =
    &[("screening", SCREENING_KEYS), ("guardian", GUARDIAN_KEYS)];
const TRAINER_KEYS: &[&str] = &["version", "name", "studio", "equipment", "minutes", "may_massage"];

/// Reads a client's file. Gives what was not understood beside the client.
pub(crate) fn client(id: &ClientId, source: &Source) -> Result<(Client, Vec<Flaw>), StoreError> {
    quick::client(id, source).map_or_else(|| client_by_parser(id, source), Ok)
}

/// Reads a client's file with the parser alone.
pub(crate) fn client_by_parser(id: &ClientId, source: &Source) -> Result<(Client, Vec<Flaw>), StoreError> {
    let parsed = parse(source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "client file");
    let mut walk = Walk::new(source);
    check_version(&mut walk, top, source.path())?;
    let profile = profile(&mut walk, top, id);
    let mut sessions: Vec<Session> = walk
        .tables(top, "session", "session")
        .into_iter()
        .filter_map(|fields| session(&mut walk, fields))
        .collect();
    sessions.sort_by_key(|session| session.at);
    walk.ignore_rest(top, PROFILE_KEYS);
    walk.finish(profile.map(|profile| Client { profile, sessions }))
}

/// Reads the part of a client's file before the sessions, if it can be read alone and says nothing about sessions.
pub(crate) fn head(id: &ClientId, source: &Source, head: &str) -> Option<(Client, Vec<Flaw>)> {
    let head = Source::made(source.path(), head.to_owned());
    let parsed = parse(&head).ok()?;
    if parsed.get_ref().contains_key("session") {
        return None;
    }
    client_by_parser(id, &head).ok()
}

/// Reads one session's block, which begins at a byte of `source`, if it can be read alone and holds nothing else.
pub(crate) fn lone_session(source: &Source, start: usize, block: &str) -> Option<(Session, Vec<Flaw>)> {
    let alone = Source::made(source.path(), block.to_owned());
    let (mut sessions, mut unknown) = blocks_alone(&alone).ok()?;
    let session = sessions.pop().filter(|_| sessions.is_empty())?;
    if !unknown.is_empty() {
        let lines_before = source.position(start).0 - 1;
        for flaw in &mut unknown {
            flaw.line += lines_before;
        }
    }
    Some((session, unknown))
}

/// Reads the sessions of a text that holds `[[session]]` blocks and nothing else.
pub(crate) fn session_blocks(source: &Source) -> Result<Vec<Session>, StoreError> {
    blocks_alone(source).map(|(sessions, _)| sessions)
}

fn blocks_alone(source: &Source) -> Result<(Vec<Session>, Vec<Flaw>), StoreError> {
    let parsed = parse(source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "file");
    let mut walk = Walk::new(source);
    let sessions: Vec<Session> = walk
        .tables(top, "session", "session")
        .into_iter()
        .filter_map(|fields| session(&mut walk, fields))
        .collect();
    let alone = top.entries().all(|(key, _)| key.get_ref() == "session");
    walk.finish(alone.then_some(sessions))
}

/// What merged copies disagreed about, as it is kept in a client's file.
pub(crate) fn clashes(source: &Source) -> Vec<Clash> {
    let head = Source::made(source.path(), quick::before_sessions(source.text()).to_owned());
    let source = if parse(&head).is_ok() { &head } else { source };
    let Ok(parsed) = parse(source) else { return Vec::new() };
    let Some(table) = parsed.get_ref().get("clash").and_then(|value| value.get_ref().as_table()) else {
        return Vec::new();
    };
    let mut clashes: Vec<Clash> = table
        .iter()
        .map(|(key, value)| {
            let mut values: Vec<String> = value.get_ref().as_array().map_or_else(Vec::new, |array| {
                array.iter().map(|value| source.text()[value.span()].to_owned()).collect()
            });
            values.sort();
            Clash { field: key.get_ref().to_string(), values }
        })
        .collect();
    clashes.sort();
    clashes
}

/// Reads one line `report.NN = { .. }`.
pub(crate) fn report_row(line: &str) -> Result<(u32, Report), StoreError> {
    let source = Source::made(Path::new("report"), line.to_owned());
    let parsed = parse(&source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "report");
    let mut walk = Walk::new(&source);
    let mut reports =
        walk.table(top, "report", "report").map(|rows| reports(&mut walk, rows)).unwrap_or_default();
    let one = reports.pop_first();
    walk.finish(one).map(|(report, _)| report)
}

/// Reads `trainer.toml`.
pub(crate) fn trainer(source: &Source) -> Result<(Trainer, Vec<Flaw>), StoreError> {
    let parsed = parse(source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "trainer file");
    let mut walk = Walk::new(source);
    check_version(&mut walk, top, source.path())?;
    let usual = Trainer::default();
    let trainer = Trainer {
        name: walk.may(top, "name", text).unwrap_or_default(),
        studio: walk.may(top, "studio", text).unwrap_or_default(),
        equipment: if top.get("equipment").is_some() {
            walk.list(top, "equipment", word::<Equipment>)
        } else {
            usual.equipment
        },
        minutes: walk.may(top, "minutes", bounded).unwrap_or(usual.minutes),
        may_massage: walk.may(top, "may_massage", flag).unwrap_or(false),
    };
    walk.ignore_rest(top, TRAINER_KEYS);
    walk.finish(Some(trainer))
}

fn check_version(walk: &mut Walk<'_>, top: Fields<'_, '_>, path: &Path) -> Result<(), StoreError> {
    if top.get("version").is_none() {
        let remedy = "if it is one of matside's, write `version = 1` on the first line";
        walk.flaw(0..0, "the file does not say its version", remedy);
        return Ok(());
    }
    match walk.may(top, "version", integer) {
        Some(found) if found > VERSION => {
            Err(StoreError::Newer { path: path.to_owned(), found, known: VERSION })
        }
        Some(found) if found < 1 => {
            let span = top.get("version").map_or(0..0, toml::Spanned::span);
            walk.flaw(span, format!("there is no version {found}"), "write `version = 1`");
            Ok(())
        }
        _ => Ok(()),
    }
}

fn profile(walk: &mut Walk<'_>, top: Fields<'_, '_>, id: &ClientId) -> Option<Profile> {
    let name = walk.want(top, "name", text);
    let mut profile = Profile::new(id.clone(), name.clone().unwrap_or_default());
    profile.born = walk.may(top, "born", date);
    profile.sex = walk.may(top, "sex", word);
    profile.aims = walk.list(top, "aims", word);
    profile.tight = walk.list(top, "tight", units).into_iter().flatten().collect();
    profile.likes = walk.list(top, "likes", word::<StretchId>);
    profile.dislikes = walk.list(top, "dislikes", word::<StretchId>);
    profile.massage = walk.may(top, "massage", flag).unwrap_or(false);
    profile.note = walk.may(top, "note", text).unwrap_or_default();
    if let Some(fields) = walk.table(top, "screening", "screening") {
        let on = walk.want(fields, "on", date);
        let clear = walk.want(fields, "clear", flag);
        let note = walk.may(fields, "note", text).unwrap_or_default();
        walk.ignore_rest(fields, SCREENING_KEYS);
        profile.screening = on.zip(clear).map(|(on, clear)| Screening { on, clear, note });
    }
    if let Some(fields) = walk.table(top, "guardian", "guardian") {
        let name = walk.want(fields, "name", text);
        let on = walk.want(fields, "on", date);
        walk.ignore_rest(fields, GUARDIAN_KEYS);
        profile.guardian = name.zip(on).map(|(name, on)| Guardian { name, on });
    }
    for fields in walk.tables(top, "condition", "condition") {
        let id = walk.want(fields, "id", word::<ConditionId>);
        let mut recorded = id.map(|id| RecordedCondition {
            side: walk.may(fields, "side", word),
            muscle: walk.may(fields, "muscle", word),
            joint: walk.may(fields, "joint", word),
            since: walk.may(fields, "since", date),
            due: walk.may(fields, "due", date),
            week: walk.may(fields, "week", count),
            cleared_by: walk.may(fields, "cleared_by", text),
            note: walk.may(fields, "note", text).unwrap_or_default(),
            id,
        });
        // A week without its day stands still; an unknown week counts as late, which is the safe side.
        if let Some(recorded) = recorded.as_mut().filter(|recorded| recorded.since.is_none()) {
            recorded.week = None;
        }
        walk.ignore_rest(fields, CONDITION_KEYS);
        profile.conditions.extend(recorded);
    }
    name.map(|_| profile)
}

fn session(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Option<Session> {
    let at = walk.want(fields, "at", moment);
    let minutes = walk.want(fields, "minutes", bounded);
    let consent = walk.want(fields, "consent", word);
    let trained = walk
        .table(fields, "trained", "list of trained muscles")
        .map(|rows| by_word(walk, rows, "trained", bounded));
    let reports = walk.table(fields, "report", "list of reports").map(|rows| reports(walk, rows));
    let narrowed = walk
        .table(fields, "narrowed", "list of what was narrowed")
        .map(|rows| by_word(walk, rows, "narrowed", moment));
    let closed = walk.may(fields, "closed", moment);
    let note = walk.may(fields, "note", text).unwrap_or_default();
    walk.ignore_rest(fields, SESSION_KEYS);
    Some(Session {
        at: at?,
        minutes: minutes?,
        trained: trained.unwrap_or_default(),
        consent: consent?,
        narrowed: narrowed.unwrap_or_default(),
        reports: reports.unwrap_or_default(),
        closed,
        note,
    })
}

/// A table whose keys are words of a closed list, such as `trained`.
fn by_word<K: FromStr<Err: Display> + Ord, V>(
    walk: &mut Walk<'_>,
    rows: Fields<'_, '_>,
    table: &str,
    read: impl Fn(&DeValue<'_>) -> Result<V, Wrong>,
) -> BTreeMap<K, V> {
    let mut found = BTreeMap::new();
    for (key, _) in rows.entries() {
        match key.get_ref().parse() {
            Ok(word) => {
                if let Some(value) = walk.want(rows, key.get_ref(), &read) {
                    found.insert(word, value);
                }
            }
            Err(error) => walk.flaw(key.span(), format!("{table}: {error}"), "correct the spelling"),
        }
    }
    found
}

fn reports(walk: &mut Walk<'_>, rows: Fields<'_, '_>) -> BTreeMap<u32, Report> {
    let mut reports = BTreeMap::new();
    for (key, value) in rows.entries() {
        let number: &str = key.get_ref();
        let digits = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
        let Some(number) = number.parse::<u32>().ok().filter(|_| digits) else {
            walk.flaw(
                key.span(),
                format!("a report cannot be called `{number}`"),
                "number the reports, like `report.01 = { .. }`",
            );
            continue;
        };
        let Some(fields) = walk.as_table(value, "report") else { continue };
        let Some(report) = report(walk, fields) else { continue };
        if reports.insert(number, report).is_some() {
            let message = format!("report {number} stands twice in this session");
            walk.flaw(key.span(), message, "give one of them a number of its own");
        }
    }
    reports
}

fn report(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Option<Report> {
    let stretch = walk.want(fields, "stretch", word::<StretchId>);
    let form = walk.want(fields, "form", word::<FormId>);
    let held = walk.want(fields, "held_s", count);
    let report = Report {
        stretch: stretch?,
        form: form?,
        side: walk.may(fields, "side", word::<Side>),
        method: walk.may(fields, "method", word).unwrap_or(Method::Static),
        cycles: walk.may(fields, "cycles", count).unwrap_or(0),
        held: Seconds::new(held?),
        level: walk.may(fields, "level", bounded::<Level>),
        angle: walk.may(fields, "angle_deg", bounded::<Degrees>),
        ended: walk.may(fields, "ended", word).unwrap_or(Ended::Done),
        note: walk.may(fields, "note", text).unwrap_or_default(),
    };
    walk.ignore_rest(fields, REPORT_KEYS);
    Some(report)
}
