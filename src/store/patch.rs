//! Changes to a text that a person wrote: only what differs is touched, comments and unknown keys stay.

use std::collections::BTreeMap;

use toml::de::DeTable;
use toml_edit::{Array, DocumentMut, Item, RawString, Table, TableLike, Value};

use crate::client::{Client, ClientId, Disagreement, Profile, Report, Session, Trainer};

use super::error::StoreError;
use super::fast_path;
use super::locate;
use super::read;
use super::text::Source;
use super::unknown::{InSession, Keys, key_text};
use super::write::{self, Entry, Rows};

/// The header of a session, as it stands on a line of its own.
pub(crate) const SESSION_HEADER: &str = "[[session]]";

/// Changes the profile in a client's file from `old`, which is what the file says, to `new`.
pub(crate) fn profile(source: &Source, old: &Profile, new: &Profile) -> Result<Source, StoreError> {
    head(source, old, new, &Beside { clashes: read::clashes(source), ..Beside::default() })
}

/// What is written beside a changed profile.
#[derive(Debug, Default)]
pub(crate) struct Beside {
    /// All that copies disagree about.
    pub(crate) clashes: Vec<Disagreement>,
    /// Unknown keys to be set at the top.
    pub(crate) keys: Keys,
    /// Unknown keys to be set in the rows of the new profile, in their order.
    pub(crate) rows: BTreeMap<&'static str, Vec<Keys>>,
}

/// Changes the profile and what stands beside it.
pub(crate) fn head(
    source: &Source,
    old: &Profile,
    new: &Profile,
    beside: &Beside,
) -> Result<Source, StoreError> {
    let clashes = &*beside.clashes;
    let is_same = beside.keys.is_empty() && beside.rows.values().flatten().all(Keys::is_empty);
    if old == new && is_same && read::clashes(source) == clashes {
        return Ok(source.clone());
    }
    let end = head_end(&old.id, source, old);
    let mut doc = document(source, &source.text()[..end])?;
    let mut lost = String::new();
    let root = doc.as_table_mut();
    set_all(root, &write::profile_entries(old), &write::profile_entries(new), &mut lost);
    for (before, after) in write::profile_rows(old).into_iter().zip(write::profile_rows(new)) {
        set_rows(root, &before, &after, &mut lost);
    }
    if old.agreements != new.agreements {
        // The plain word of the first version: the rows say it now.
        set(root, "massage", None, &mut lost);
    }
    set(root, "version", Some(&read::VERSION.to_string()), &mut lost);
    for (key, value) in &beside.keys {
        set(root, key, Some(value), &mut lost);
    }
    for (name, rows) in beside.rows.iter().filter(|(_, rows)| !rows.iter().all(Keys::is_empty)) {
        let mut tables = root.remove(name).map(tables_of).unwrap_or_default();
        for (index, keys) in rows.iter().enumerate().filter(|(_, keys)| !keys.is_empty()) {
            let table = tables.get_mut(index).ok_or_else(|| unfit("what else a row says"))?;
            for (key, value) in keys {
                set(table, key, Some(value), &mut lost);
            }
        }
        root.insert(name, Item::ArrayOfTables(tables.into_iter().collect()));
    }
    if read::clashes(source) != clashes {
        let rows: Vec<String> = clashes
            .iter()
            .map(|clash| format!("{} = [{}]", key_text(&clash.of), clash.values.join(", ")))
            .collect();
        let table = (!rows.is_empty()).then(|| format!("{{ {} }}", rows.join(", ")));
        set(root, "clash", table.as_deref(), &mut lost);
    }
    keep_comments(&mut doc, &lost);
    let changed = source.splice(0..end, &written(source, &doc));
    let kept = read::clashes(&changed) == clashes;
    let expected = |client: &Client| client.profile == *new && kept;
    verified(&new.id, changed, "the profile", expected)
}

/// The text with the version that this program writes, so that an older one does not take it for its own.
pub(crate) fn raised(source: &Source) -> Source {
    let text = source.text();
    let parsed = DeTable::parse(fast_path::before_sessions(text)).or_else(|_error| DeTable::parse(text));
    let version = parsed.ok().and_then(|table| {
        let version = table.get_ref().get("version")?;
        (version.get_ref().as_integer()?.as_str() != read::VERSION.to_string()).then(|| version.span())
    });
    version.map_or_else(|| source.clone(), |span| source.splice(span, &read::VERSION.to_string()))
}

/// Changes the text of one session's block from `old` to `new` and sets unknown keys; nothing if it is not written as
/// a block.
pub(crate) fn session(block: &str, old: &Session, new: &Session, foreign: &InSession) -> Option<String> {
    let mut doc: DocumentMut = block.parse().ok()?;
    let tables = doc.get_mut("session")?.as_array_of_tables_mut()?;
    let table = tables.get_mut(0)?;
    let mut lost = String::new();
    set_all(table, &write::session_entries(old), &write::session_entries(new), &mut lost);
    if old.narrowed != new.narrowed {
        let rows = table.entry("narrowed").or_insert_with(dotted).as_table_like_mut()?;
        // Short and few: written anew, in the order of time.
        let keys: Vec<String> = rows.iter().map(|(key, _)| key.to_owned()).collect();
        for key in keys {
            set(rows, &key, None, &mut lost);
        }
        for (number, narrowing) in (1..).zip(&new.narrowed) {
            let row = write::inline(&write::narrowed_entries(narrowing));
            set(rows, &format!("{number:02}"), row.as_deref(), &mut lost);
        }
    }
    if old.reports != new.reports {
        let rows = table.entry("report").or_insert_with(dotted).as_table_like_mut()?;
        for (number, report) in &new.reports {
            let known = old.reports.get(number).map(write::report_entries);
            let wanted = write::report_entries(report);
            let key = rows.iter().map(|(key, _)| key.to_owned()).find(|key| key.parse() == Ok(*number));
            match (known, key) {
                (Some(known), Some(key)) if known == wanted => drop(key),
                (Some(known), Some(key)) => {
                    set_all(rows.get_mut(&key)?.as_table_like_mut()?, &known, &wanted, &mut lost);
                }
                _ => set(rows, &format!("{number:02}"), write::inline(&wanted).as_deref(), &mut lost),
            }
        }
    }
    for (key, value) in &foreign.keys {
        set(table, key, Some(value), &mut lost);
    }
    for (number, keys) in &foreign.reports {
        let rows = table.get_mut("report")?.as_table_like_mut()?;
        let found = rows.iter().map(|(key, _)| key.to_owned()).find(|key| key.parse() == Ok(*number))?;
        let row = rows.get_mut(&found)?.as_table_like_mut()?;
        for (key, value) in keys {
            set(row, key, Some(value), &mut lost);
        }
    }
    Some(doc.to_string())
}

/// An empty table whose keys are written in front of its parent's, like `report.01`.
fn dotted() -> Item {
    let mut table = Table::new();
    table.set_dotted(true);
    Item::Table(table)
}

/// Changes `trainer.toml` from `old` to `new`.
pub(crate) fn trainer(source: &Source, old: &Trainer, new: &Trainer) -> Result<Source, StoreError> {
    let mut doc = document(source, source.text())?;
    let mut lost = String::new();
    let root = doc.as_table_mut();
    set_all(root, &write::trainer_entries(old), &write::trainer_entries(new), &mut lost);
    for (before, after) in write::trainer_rows(old).into_iter().zip(write::trainer_rows(new)) {
        set_rows(root, &before, &after, &mut lost);
    }
    keep_comments(&mut doc, &lost);
    let changed = source.splice(0..source.text().len(), &written(source, &doc));
    match read::trainer(&changed) {
        Ok((found, _)) if found == *new => Ok(changed),
        _ => Err(unfit("the trainer's settings")),
    }
}

/// Changes one report that stands in the file as `old`.
pub(crate) fn report(
    id: &ClientId,
    source: &Source,
    session: &Session,
    number: u32,
    new: &Report,
) -> Result<Source, StoreError> {
    let what = format!("report {number}");
    let (Some(old), Some(span)) =
        (session.reports.get(&number), locate::report_span(source, session.at, number))
    else {
        return Err(StoreError::Missing { path: source.path().to_owned(), what });
    };
    let text = &source.text()[span.clone()];
    let mut table = match text.parse::<Value>() {
        Ok(Value::InlineTable(table)) if text.starts_with('{') => table,
        _ => return Err(unfit(&what)),
    };
    let (before, after) = (write::report_entries(old), write::report_entries(new));
    set_all(&mut table, &before, &after, &mut String::new());
    let changed = source.splice(span, table.to_string().trim());
    let at = session.at;
    let expected = |client: &Client| {
        client.sessions.iter().any(|found| found.at == at && found.reports.get(&number) == Some(new))
    };
    verified(id, changed, &what, expected)
}

/// Reads a changed text again, so that nothing is ever written that could not be read.
pub(crate) fn verified(
    id: &ClientId,
    changed: Source,
    what: &str,
    expected: impl Fn(&Client) -> bool,
) -> Result<Source, StoreError> {
    match read::client(id, &changed) {
        Ok((client, _)) if expected(&client) => Ok(changed),
        _ => Err(unfit(what)),
    }
}

fn unfit(what: &str) -> StoreError {
    StoreError::Unfit {
        what: what.to_owned(),
        why: "it does not fit the way the file is written; make the change in the file by hand".to_owned(),
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

fn document(source: &Source, text: &str) -> Result<DocumentMut, StoreError> {
    text.parse::<DocumentMut>().map_err(|error| {
        let span = error.span().unwrap_or(0..0);
        StoreError::broken(vec![source.flaw(span, error.message(), "mend this line, then do it again")])
    })
}

/// The document with the line ends of the file that it is from.
fn written(source: &Source, doc: &DocumentMut) -> String {
    let text = doc.to_string();
    if source.line_end() == "\n" { text } else { locate::with_line_ends(text, "\r\n") }
}

/// Puts comments whose key was taken away at the end of the document: nobody's words vanish.
fn keep_comments(doc: &mut DocumentMut, lost: &str) {
    if !lost.is_empty() {
        let trailing = doc.trailing().as_str().unwrap_or_default();
        doc.set_trailing(format!("{lost}{trailing}"));
    }
}

fn comments_of(raw: Option<&RawString>, lost: &mut String) {
    let text = raw.and_then(RawString::as_str).unwrap_or_default();
    for line in text.lines().map(str::trim).filter(|line| line.starts_with('#')) {
        lost.push_str(line);
        lost.push('\n');
    }
}

fn set_all(table: &mut dyn TableLike, old: &[Entry], new: &[Entry], lost: &mut String) {
    for ((key, before), (_, after)) in old.iter().zip(new) {
        if before != after {
            set(table, key, after.as_deref(), lost);
        }
    }
}

/// Sets or removes one key.
fn set(table: &mut dyn TableLike, key: &str, text: Option<&str>, lost: &mut String) {
    let Some(text) = text else {
        if let Some(decor) = table.key(key).map(toml_edit::Key::leaf_decor) {
            comments_of(decor.prefix(), lost);
        }
        if let Some(Item::Value(gone)) = table.remove(key) {
            comments_of(gone.decor().suffix(), lost);
        }
        return;
    };
    let Ok(mut value) = text.parse::<Value>() else { return };
    match table.get_mut(key) {
        Some(Item::Value(Value::Array(old))) if is_list_of_words(old) && is_words(&value) => {
            if let Value::Array(new) = &value {
                set_array(old, new);
            }
        }
        Some(Item::Value(old)) => {
            *value.decor_mut() = old.decor().clone();
            *old = value;
        }
        _ => {
            // In an inline table the blank before the brace belongs to the last value: hand it on.
            let suffix = last_suffix(table);
            value.decor_mut().set_prefix(" ");
            if let Some(suffix) = suffix {
                value.decor_mut().set_suffix(suffix);
            }
            table.insert(key, Item::Value(value));
        }
    }
}

fn last_suffix(table: &mut dyn TableLike) -> Option<String> {
    let is_inline = table.iter().all(|(_, item)| item.is_value()) && table.get("version").is_none();
    let (_, item) = table.iter_mut().last().filter(|_| is_inline)?;
    let decor = item.as_value_mut()?.decor_mut();
    let suffix = decor.suffix().and_then(RawString::as_str).unwrap_or_default().to_owned();
    if suffix.contains('#') || suffix.is_empty() {
        return None;
    }
    decor.set_suffix("");
    Some(suffix)
}

fn is_words(value: &Value) -> bool {
    value.as_array().is_some_and(is_list_of_words)
}

fn is_list_of_words(array: &Array) -> bool {
    array.iter().all(Value::is_str)
}

/// Makes a list of words hold what `new` holds; what stays keeps its comments.
fn set_array(old: &mut Array, new: &Array) {
    let words = |array: &Array| -> Vec<String> {
        array.iter().map(|value| value.as_str().unwrap_or_default().to_owned()).collect()
    };
    let wanted = words(new);
    old.retain(|value| value.as_str().is_some_and(|word| wanted.iter().any(|other| other == word)));
    let kept = words(old);
    for word in wanted.iter().filter(|word| !kept.contains(word)) {
        old.push(word.as_str());
    }
    if words(old) != wanted {
        let decor = old.decor().clone();
        *old = new.clone();
        *old.decor_mut() = decor;
    }
}

/// Makes the rows under a key be what `new` says. What is the same row stays where it is; the order is that of `new`.
fn set_rows(root: &mut Table, old: &Rows, new: &Rows, lost: &mut String) {
    if old.all == new.all {
        return;
    }
    let mut was: Vec<Option<Table>> =
        root.remove(old.name).map(tables_of).unwrap_or_default().into_iter().map(Some).collect();
    if was.len() != old.all.len() {
        // Not every row stands as a table of its own, as plain words of the first version do: all are written anew.
        was = vec![None; old.all.len()];
    }
    let mut tables = toml_edit::ArrayOfTables::new();
    for row in &new.all {
        let is_it = |other: &[Entry]| other[..old.identity] == row[..old.identity];
        let candidates =
            || (0..old.all.len()).filter(|&index| was[index].is_some() && is_it(&old.all[index]));
        let found = candidates().find(|&index| old.all[index] == *row).or_else(|| candidates().next());
        let (mut table, known) = match found.and_then(|index| was[index].take().zip(old.all.get(index))) {
            Some((table, known)) => (table, known.clone()),
            None => (new_row(), row.iter().map(|(key, _)| (*key, None)).collect()),
        };
        set_all(&mut table, &known, row, lost);
        tables.push(table);
    }
    for gone in was.into_iter().flatten() {
        comments_of(gone.decor().prefix(), lost);
        for (key, item) in &gone {
            comments_of(gone.key(key).and_then(|key| key.leaf_decor().prefix()), lost);
            comments_of(item.as_value().and_then(|value| value.decor().suffix()), lost);
        }
    }
    if !tables.is_empty() {
        root.insert(old.name, Item::ArrayOfTables(tables));
    }
}

/// The tables of an item, however it is written.
fn tables_of(item: Item) -> Vec<Table> {
    let of_inline = |table: toml_edit::InlineTable| {
        let mut table = table.into_table();
        table.decor_mut().set_prefix("\n");
        for (mut key, item) in table.iter_mut() {
            key.fmt();
            if let Some(value) = item.as_value_mut() {
                value.decor_mut().clear();
            }
        }
        table
    };
    match item {
        Item::ArrayOfTables(tables) => tables.into_iter().collect(),
        Item::Table(table) => vec![table],
        Item::Value(Value::InlineTable(table)) => vec![of_inline(table)],
        Item::Value(Value::Array(array)) => array
            .into_iter()
            .filter_map(|value| match value {
                Value::InlineTable(table) => Some(of_inline(table)),
                _ => None,
            })
            .collect(),
        _ => Vec::new(),
    }
}

fn new_row() -> Table {
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table
}
