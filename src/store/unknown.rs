//! What stands in a client's file without meaning anything to this program: unknown keys, and comments.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use chrono::{DateTime, FixedOffset};
use toml::de::{DeTable, DeValue};

use super::fields;
use super::read::{PROFILE_KEYS, REPORT_KEYS, SESSION_KEYS};
use super::read_rows::ROW_KEYS;
use super::text::{Source, quoted};

/// Unknown keys of one table, each with its value on one line.
pub(crate) type Keys = BTreeMap<String, String>;

/// Unknown keys of one session and of its reports.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct InSession {
    pub(crate) keys: Keys,
    pub(crate) reports: BTreeMap<u32, Keys>,
}

/// Unknown keys of a whole file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Foreign {
    /// At the top.
    pub(crate) top: Keys,
    /// In the dated rows that have any, by their key, in their order.
    pub(crate) rows: BTreeMap<&'static str, Vec<Keys>>,
    /// In the sessions that have any.
    pub(crate) sessions: BTreeMap<DateTime<FixedOffset>, InSession>,
}

/// Collects the unknown keys of a file that can be read.
pub(crate) fn of(source: &Source) -> Foreign {
    let Ok(parsed) = DeTable::parse(source.text()) else { return Foreign::default() };
    let top = parsed.get_ref();
    let tables = |key: &str| {
        let array = top.get(key).and_then(|value| value.get_ref().as_array());
        array.into_iter().flat_map(|array| array.iter()).filter_map(|value| value.get_ref().as_table())
    };
    let mut sessions = BTreeMap::new();
    for session in tables("session") {
        let Some(at) = session.get("at").and_then(|at| fields::moment(at.get_ref()).ok()) else { continue };
        let mut found = InSession { keys: unknown(session, SESSION_KEYS), reports: BTreeMap::new() };
        let rows = session.get("report").and_then(|rows| rows.get_ref().as_table());
        for (number, row) in rows.into_iter().flat_map(|rows| rows.iter()) {
            let keys = row.get_ref().as_table().map(|row| unknown(row, REPORT_KEYS)).unwrap_or_default();
            if let Ok(number) = number.get_ref().parse()
                && !keys.is_empty()
            {
                found.reports.insert(number, keys);
            }
        }
        if found != InSession::default() {
            sessions.insert(at, found);
        }
    }
    let rows = |name: &str, known: &[&str]| -> Vec<Keys> {
        match top.get(name).map(toml::Spanned::get_ref) {
            Some(DeValue::Table(table)) => vec![unknown(table, known)],
            _ => tables(name).map(|table| unknown(table, known)).collect(),
        }
    };
    Foreign {
        top: unknown(top, PROFILE_KEYS),
        rows: ROW_KEYS
            .iter()
            .map(|(name, known)| (*name, rows(name, known)))
            .filter(|(_, rows)| !rows.iter().all(Keys::is_empty))
            .collect(),
        sessions,
    }
}

fn unknown(table: &DeTable<'_>, known: &[&str]) -> Keys {
    table
        .iter()
        .filter(|(key, _)| !known.contains(&&**key.get_ref()))
        .map(|(key, value)| (key.get_ref().to_string(), on_one_line(value.get_ref())))
        .collect()
}

/// A key as it stands in a file.
pub(crate) fn key_text(key: &str) -> String {
    let bare =
        !key.is_empty() && key.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-_".contains(&byte));
    if bare { key.to_owned() } else { quoted(key) }
}

/// A value on one line, written the same way however it stands in the file.
pub(crate) fn on_one_line(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => quoted(text),
        DeValue::Integer(number) => {
            let digits = number.as_str();
            i64::from_str_radix(digits, number.radix())
                .map_or_else(|_error| digits.to_owned(), |n| n.to_string())
        }
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(time) => time.to_string(),
        DeValue::Array(array) => {
            let values: Vec<String> = array.iter().map(|value| on_one_line(value.get_ref())).collect();
            format!("[{}]", values.join(", "))
        }
        DeValue::Table(table) => {
            let pairs: Vec<String> = table
                .iter()
                .map(|(key, value)| format!("{} = {}", key_text(key.get_ref()), on_one_line(value.get_ref())))
                .collect();
            if pairs.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", pairs.join(", ")) }
        }
    }
}

/// Adds the keys of another copy. Of two values the greater is kept; the other becomes a comment.
pub(crate) fn unite(ours: &Keys, theirs: &Keys, of: &str, comments: &mut BTreeSet<String>) -> Keys {
    let mut united = ours.clone();
    for (key, their) in theirs {
        let our = united.entry(key.clone()).or_insert_with(|| their.clone());
        if our == their {
            continue;
        }
        let less = if *their > *our { std::mem::replace(our, their.clone()) } else { their.clone() };
        comments.insert(format!("# {of}{} = {less} (in another copy)", key_text(key)));
    }
    united
}

/// The comments of a text, from the `#` to the end of the line, without blanks at the end.
pub(crate) fn comments(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['#', '"', '\'']) {
        rest = &rest[at..];
        let Some(quotes) = quotes_of(rest) else {
            let end = rest.find('\n').unwrap_or(rest.len());
            found.push(rest[..end].trim_end());
            rest = &rest[end..];
            continue;
        };
        rest = after_string(&rest[quotes.len()..], quotes);
    }
    found
}

/// The texts of several lines in a text, with their quotes.
pub(crate) fn long_texts(text: &str) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['#', '"', '\'']) {
        rest = &rest[at..];
        let start = text.len() - rest.len();
        let Some(quotes) = quotes_of(rest) else {
            rest = &rest[rest.find('\n').unwrap_or(rest.len())..];
            continue;
        };
        rest = after_string(&rest[quotes.len()..], quotes);
        if quotes.len() == 3 {
            found.push(start..text.len() - rest.len());
        }
    }
    found
}

/// The quotes that a text begins with.
fn quotes_of(text: &str) -> Option<&'static str> {
    ["\"\"\"", "'''", "\"", "'"].into_iter().find(|quotes| text.starts_with(quotes))
}

/// What follows a text that began with these quotes.
fn after_string<'t>(mut rest: &'t str, quotes: &str) -> &'t str {
    loop {
        let Some(at) = rest.find(['\\', '"', '\'']) else { return "" };
        rest = &rest[at..];
        if rest.starts_with('\\') && quotes.starts_with('"') {
            let mut characters = rest.chars();
            characters.nth(1);
            rest = characters.as_str();
        } else if let Some(after) = rest.strip_prefix(quotes) {
            // Up to two more quotes at the end of a text of several lines belong to it.
            return if quotes.len() == 3 { after.trim_start_matches(&quotes[..1]) } else { after };
        } else {
            rest = &rest[1..];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_told_from_text() {
        let text = "a = \"# no \\\" # no\" # one\nb = '# no \\' # two\r\nc = \"\"\"\n# no \"\" # no\\\"\"\"\"\"# three\n\
            d = '''# no ' '''# four\n# five";
        assert_eq!(comments(text), ["# one", "# two", "# three", "# four", "# five"]);
    }

    #[test]
    fn a_value_is_written_the_same_way_however_it_stands_in_the_file() {
        let source = Source::made(
            "x".as_ref(),
            "a = 0x1F\n[\"b c\"]\nd = [ 1_000,\n 'x' ] # why\ne = { f = 1.5, g = {} }\n".to_owned(),
        );
        let found = of(&source).top;
        assert_eq!(found["a"], "31");
        assert_eq!(found["b c"], "{ d = [1000, \"x\"], e = { f = 1.5, g = {} } }");
    }
}
