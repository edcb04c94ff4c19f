//! Sets keys, lists and rows in a parsed text so that everything else stays as it is.

use toml_edit::{Array, DocumentMut, Item, RawString, Table, TableLike, Value};

use super::super::entry::Entry;
use super::super::error::StoreError;
use super::super::locate;
use super::super::row::RowsOfKind;
use crate::document::Source;

/// An empty table whose keys are written in front of its parent's, like `report.01`.
pub(super) fn dotted() -> Item {
    let mut table = Table::new();
    table.set_dotted(true);
    Item::Table(table)
}

pub(super) fn document(source: &Source, text: &str) -> Result<DocumentMut, StoreError> {
    text.parse::<DocumentMut>().map_err(|error| {
        let span = error.span().unwrap_or(0..0);
        StoreError::broken(vec![source.flaw(span, error.message(), "mend this line, then do it again")])
    })
}

/// The document with the line ends of the file that it is from.
pub(super) fn written(source: &Source, doc: &DocumentMut) -> String {
    let text = doc.to_string();
    if source.line_end() == "\n" { text } else { locate::with_line_ends(text, "\r\n") }
}

/// Puts comments whose key was taken away at the end of the document: nobody's words vanish.
pub(super) fn comments_kept(doc: &mut DocumentMut, lost: &str) {
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

pub(super) fn set_all(table: &mut dyn TableLike, old: &[Entry], new: &[Entry], lost: &mut String) {
    for ((key, before), (_, after)) in old.iter().zip(new) {
        if before != after {
            set(table, key, after.as_deref(), lost);
        }
    }
}

/// Sets or removes one key.
pub(super) fn set(table: &mut dyn TableLike, key: &str, text: Option<&str>, lost: &mut String) {
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
pub(super) fn set_rows(root: &mut Table, old: &RowsOfKind, new: &RowsOfKind, lost: &mut String) {
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
