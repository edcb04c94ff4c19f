//! Changes to a text that a person wrote: only what differs is touched, comments and unknown keys stay.

mod set;

use chrono::{DateTime, FixedOffset};
use toml::de::DeTable;
use toml_edit::{DocumentMut, Table};

use crate::client::{Client, ClientId, Disagreement, Profile, Revision, Session, TakenBack, Trainer};

use super::error::StoreError;
use super::shape::VERSION;
use super::verify::{self, unfit};
use super::{entry, format, locate, read, row, text_cut};
use crate::document::Source;
use set::{comments_kept, document, dotted, set, set_all, set_rows, written};

/// What becomes of the part before the sessions.
#[derive(Debug)]
pub(crate) struct NewHead<'h> {
    /// The profile as it is to be.
    pub(crate) profile: &'h Profile,
    /// What is written over; it is added to what was before.
    pub(crate) changes: &'h [Revision],
    /// All that copies disagree about.
    pub(crate) disagreements: &'h [Disagreement],
}

/// Changes the part before the sessions, which says what `old` does.
pub(crate) fn head(source: &Source, old: &Client, new: &NewHead<'_>) -> Result<Source, StoreError> {
    let is_same = old.profile == *new.profile && old.disagreements == new.disagreements;
    if is_same && new.changes.is_empty() {
        return Ok(source.clone());
    }
    let end = head_end(&old.profile.id, source, &old.profile);
    let mut doc = document(source, &source.text()[..end])?;
    let mut lost = String::new();
    let root = doc.as_table_mut();
    let (before, after) = (&old.profile, new.profile);
    set_all(root, &row::profile_entries(before), &row::profile_entries(after), &mut lost);
    for (before, after) in row::profile_rows(before).into_iter().zip(row::profile_rows(after)) {
        set_rows(root, &before, &after, &mut lost);
    }
    if before.agreements != after.agreements {
        // The plain word of the first version: the rows say it now.
        set(root, "massage", None, &mut lost);
    }
    set(root, "version", Some(&VERSION.to_string()), &mut lost);
    add_changes(root, new.changes, &mut lost).ok_or_else(|| unfit("what was changed"))?;
    if old.disagreements != new.disagreements {
        set(root, "clash", row::clash(new.disagreements).as_deref(), &mut lost);
    }
    comments_kept(&mut doc, &lost);
    let result = source.splice(0..end, &written(source, &doc));
    let mut past = [&old.changes, new.changes].concat();
    past.sort();
    let expected = |client: &Client| {
        client.profile == *new.profile
            && client.changes == past
            && client.disagreements == new.disagreements
            && client.sessions == old.sessions
    };
    verify::client(&old.profile.id, result, "the profile", expected)
}

/// Adds rows `change.NN`.
fn add_changes(table: &mut Table, changes: &[Revision], lost: &mut String) -> Option<()> {
    if changes.is_empty() {
        return Some(());
    }
    let rows = table.entry("change").or_insert_with(dotted).as_table_like_mut()?;
    let mut number = rows.iter().filter_map(|(key, _)| key.parse::<u32>().ok()).max().unwrap_or(0);
    for change in changes {
        number += 1;
        set(rows, &format!("{number:02}"), entry::inline(&row::change_entries(change)).as_deref(), lost);
    }
    Some(())
}

/// The text with the version that this program writes, so that an older one does not take it for its own.
pub(crate) fn raised(source: Source) -> Source {
    let text = source.text();
    let parsed = DeTable::parse(text_cut::before_sessions(text)).or_else(|_error| DeTable::parse(text));
    let version = parsed.ok().and_then(|table| {
        let version = table.get_ref().get("version")?;
        (version.get_ref().as_integer()?.as_str() != VERSION.to_string()).then(|| version.span())
    });
    match version {
        Some(span) => source.splice(span, &VERSION.to_string()),
        None => source,
    }
}

/// Whether what stands before the sessions is of this program's version and says nothing about sessions.
pub(crate) fn is_current(head: &str) -> bool {
    DeTable::parse(head).is_ok_and(|table| {
        let table = table.get_ref();
        let version = table.get("version").and_then(|version| version.get_ref().as_integer());
        version.is_some_and(|version| version.as_str() == VERSION.to_string())
            && !table.contains_key("session")
    })
}

/// Puts a session into a client's text that does not have it.
///
/// `client` is what the text says.
pub(crate) fn with_session(
    id: &ClientId,
    source: &Source,
    client: &Client,
    session: &Session,
) -> Result<Source, StoreError> {
    let line_end = source.line_end();
    let unfit = || StoreError::Unfit {
        what: "the session".to_owned(),
        why: "the sessions of this file are not written as [[session]] blocks; write them so first"
            .to_owned(),
    };
    let blocks = locate::blocks(source).ok_or_else(unfit)?;
    let text = source.text();
    let mut added = String::new();
    row::session_block(&mut added, session, None);
    let place = locate::place_for(text, &blocks, session.at);
    let mut added = locate::with_line_ends(added, line_end);
    added.insert_str(0, locate::joint(&text[..place], line_end));
    let expected = |found: &Client| {
        let others = found.sessions.iter().filter(|other| other.at != session.at);
        found.profile == client.profile
            && found.taken_back == client.taken_back
            && others.eq(client.sessions.iter())
            && found.sessions.contains(session)
    };
    verify::client(id, raised(source.splice(place..place, &added)), "the session", expected)
}

/// A session, and whether it was taken back.
pub(crate) type Kept<'s> = (&'s Session, Option<&'s TakenBack>);

/// Changes one session, which says what `old` does, wherever it stands in the text.
///
/// The part of it that is not touched is not read again: its block begins and ends where the parser says so.
pub(crate) fn session(source: &Source, old: Kept<'_>, new: Kept<'_>) -> Result<Source, StoreError> {
    let at = old.0.at;
    let what = what_of(at);
    let blocks = locate::blocks(source).ok_or_else(|| unfit(&what))?;
    let mut found = blocks.iter().filter(|block| block.at == at);
    let block = match (found.next(), found.next()) {
        (Some(block), None) => block,
        (None, _) => return Err(StoreError::Missing { path: source.path().to_owned(), what }),
        (Some(one), Some(other)) => return Err(twins(source, one, other)),
    };
    let text = &source.text()[block.start..block.end];
    let changed = in_block(text, source.line_end(), old, new)?;
    Ok(raised(source.splice(block.start..block.end, &changed)))
}

fn what_of(at: DateTime<FixedOffset>) -> String {
    format!("the session at {}", entry::moment(at))
}

/// Changes one session's block alone.
pub(crate) fn in_block(
    block: &str,
    line_end: &'static str,
    old: Kept<'_>,
    new: Kept<'_>,
) -> Result<String, StoreError> {
    let changed = session_block(block, old, new);
    let changed = changed.map(|changed| locate::with_line_ends(changed, line_end));
    changed.filter(|changed| verify::is_session(changed, new)).ok_or_else(|| unfit(&what_of(old.0.at)))
}

/// Two sessions of one moment cannot be told apart.
pub(crate) fn twins(source: &Source, one: &locate::Block, other: &locate::Block) -> StoreError {
    let line = source.position(one.start).0;
    StoreError::broken(vec![source.flaw(
        other.start..other.start,
        format!("this session began in the same second as the one in line {line}"),
        "make one of them, or give one another time; nothing was written",
    )])
}

/// Changes the text of one session's block; nothing if it is not written as a block.
fn session_block(block: &str, old: Kept<'_>, new: Kept<'_>) -> Option<String> {
    let mut doc: DocumentMut = block.parse().ok()?;
    let tables = doc.get_mut("session")?.as_array_of_tables_mut()?;
    let table = tables.get_mut(0)?;
    let mut lost = String::new();
    let ((old, was), (new, is)) = (old, new);
    if was != is {
        let taken_back = is.and_then(|is| entry::inline(&row::taken_back_entries(is)));
        set(table, "taken_back", taken_back.as_deref(), &mut lost);
    }
    set_all(table, &row::session_entries(old), &row::session_entries(new), &mut lost);
    for ((kind, before), (_, after)) in row::session_rows(old).into_iter().zip(row::session_rows(new)) {
        if before == after {
            continue;
        }
        let rows = table.entry(kind).or_insert_with(dotted).as_table_like_mut()?;
        // The first version has words for keys where the second has numbers: those rows are written anew.
        let keys: Vec<String> = rows.iter().map(|(key, _)| key.to_owned()).collect();
        for key in keys.iter().filter(|key| !before.contains_key(&key.parse().unwrap_or(0))) {
            set(rows, key, None, &mut lost);
        }
        let key_of = |number: u32| keys.iter().find(|key| key.parse() == Ok(number));
        for (number, row) in &before {
            if let Some(key) = key_of(*number).filter(|_| !after.contains_key(number)) {
                set(rows, key, None, &mut lost);
            } else if let (Some(key), Some(wanted)) = (key_of(*number), after.get(number)) {
                set_all(rows.get_mut(key)?.as_table_like_mut()?, row, wanted, &mut lost);
            }
        }
        for (number, wanted) in after.iter().filter(|(number, _)| key_of(**number).is_none()) {
            set(rows, &format!("{number:02}"), entry::inline(wanted).as_deref(), &mut lost);
        }
    }
    let changes: Vec<Revision> =
        new.changes.iter().filter(|change| !old.changes.contains(change)).cloned().collect();
    add_changes(table, &changes, &mut lost)?;
    let text = doc.to_string();
    Some(if lost.is_empty() { text } else { format!("{}\n{lost}", text.trim_end()) })
}

/// Changes `trainer.toml` from `old` to `new`.
pub(crate) fn trainer(source: &Source, old: &Trainer, new: &Trainer) -> Result<Source, StoreError> {
    let mut doc = document(source, source.text())?;
    let mut lost = String::new();
    let root = doc.as_table_mut();
    set_all(root, &row::trainer_entries(old), &row::trainer_entries(new), &mut lost);
    for (before, after) in row::trainer_rows(old).into_iter().zip(row::trainer_rows(new)) {
        set_rows(root, &before, &after, &mut lost);
    }
    comments_kept(&mut doc, &lost);
    let changed = source.splice(0..source.text().len(), &written(source, &doc));
    match format::trainer(&changed) {
        Ok((found, _)) if found == *new => Ok(changed),
        _ => Err(unfit("the trainer's settings")),
    }
}

/// Where the part before the sessions ends; the whole text, if the profile goes on after them.
fn head_end(id: &ClientId, source: &Source, old: &Profile) -> usize {
    let text = source.text();
    let Some(end) = locate::first_header(text) else { return text.len() };
    let head = Source::made(source.path(), text[..end].to_owned());
    match read::client(id, &head) {
        Ok((client, _)) if client.profile == *old => end,
        _ => text.len(),
    }
}
