//! A key and its value as text, and how several of them are written.

use std::fmt::Write as _;

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::value_text::quoted;

/// A key and its value as TOML text; no value where the key is left out.
pub(crate) type Entry = (&'static str, Option<String>);

pub(crate) fn list(words: impl IntoIterator<Item = String>) -> Option<String> {
    let words: Vec<String> = words.into_iter().map(|word| quoted(&word)).collect();
    (!words.is_empty()).then(|| format!("[{}]", words.join(", ")))
}

pub(crate) fn non_empty(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| quoted(text))
}

pub(crate) fn day(day: Option<NaiveDate>) -> Option<String> {
    day.map(|day| day.to_string())
}

/// Appends keys with their values, a line each.
pub(crate) fn push_entries(out: &mut String, entries: Vec<Entry>) {
    for (key, value) in entries {
        if let Some(value) = value {
            writeln!(out, "{key} = {value}").expect("writing to a string cannot fail");
        }
    }
}

/// An inline table of the entries that have a value.
pub(crate) fn inline(entries: &[Entry]) -> Option<String> {
    let pairs: Vec<String> = entries
        .iter()
        .filter_map(|(key, value)| value.as_ref().map(|value| format!("{key} = {value}")))
        .collect();
    (!pairs.is_empty()).then(|| format!("{{ {} }}", pairs.join(", ")))
}

/// A date and time as it stands in a file.
pub(crate) fn moment(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339()
}
