//! A part of a client's file as single values, each by the keys that lead to it: what merging compares.
//!
//! The part before the sessions and each session are such parts. Values that this program does not know are cells like
//! any other. What the first version of the format said in another shape is a cell of the second.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use chrono::{DateTime, FixedOffset};
use toml::de::{DeTable, DeValue};

use crate::client::{NOT_SAID_WHAT, Revision, whole_second};
use crate::document::values;

use super::comments::{Anchor, Comments};
use super::shape::{LISTS, Path, ROWS, RowShape, SESSION_HEADER};
use super::value_text::{on_one_line, quoted, table_text};

/// The value of a cell that says only that something is there.
pub(crate) const THERE: &str = "true";

/// The cells of one part.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Cells {
    /// Values, as they are written on one line.
    pub(crate) values: BTreeMap<Path, String>,
    /// The order in which elements of a list, rows or numbered rows stand, by the path of the list.
    pub(crate) order: BTreeMap<Path, Vec<String>>,
    /// What was written over.
    pub(crate) changes: BTreeSet<Revision>,
    /// Values about which copies disagreed when they were merged before.
    pub(crate) clashes: BTreeMap<String, BTreeSet<String>>,
    /// What a person wrote beside them.
    pub(crate) comments: Comments,
}

impl Cells {
    /// The path that is written like this, of something that stands here.
    pub(crate) fn path_of(&self, of: &str) -> Option<Path> {
        self.values.keys().find(|path| path_text(path) == of).cloned()
    }

    /// What stands at a path: a value, or a report's whole row.
    pub(crate) fn text_at(&self, path: &[String]) -> Option<String> {
        let text = self.values.get(path)?;
        if text == THERE { row_text(self, path) } else { Some(text.clone()) }
    }

    /// Adds reports behind the last one; nothing if the path is not that of a report.
    pub(crate) fn add_reports<'r>(
        &mut self,
        path: &[String],
        rows: impl Iterator<Item = &'r String>,
    ) -> Option<()> {
        let [kind, _] = path else { return None };
        let numbers = self.values.keys().filter(|path| path.len() == 2 && path[0] == *kind);
        let mut last =
            numbers.filter_map(|path| path[1].parse::<u32>().ok()).max().filter(|_| kind == "report")?;
        for row in rows {
            last += 1;
            self.values.extend(of_report(&[kind.clone(), format!("{last:02}")], row));
        }
        Some(())
    }

    /// Puts a value, or a report's whole row, to a path.
    pub(crate) fn set_text_at(&mut self, path: &[String], text: &str) {
        if self.values.get(path).is_some_and(|text| text == THERE) {
            self.values.retain(|found, _| !found.starts_with(path));
            self.values.extend(of_report(path, text));
        } else {
            self.values.insert(path.to_vec(), text.to_owned());
        }
    }
}

/// How a path is written where it is a value itself, as in a change.
pub(crate) fn path_text(path: &[String]) -> String {
    path.join(".")
}

/// Whether two values mean the same: moments do if they are the same instant.
pub(crate) fn is_same(one: &str, other: &str) -> bool {
    one == other || moment(one).is_some_and(|one| moment(other).is_some_and(|other| one == other))
}

/// The moment that a value is.
pub(crate) fn moment(text: &str) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(text).ok()
}

/// A value's text. Moments are in whole seconds.
fn text_of(value: &DeValue<'_>) -> String {
    match values::moment(value) {
        Ok(at) => whole_second(at).to_rfc3339(),
        Err(_) => on_one_line(value),
    }
}

/// Collects cells on the way through a part.
struct Collector {
    cells: Cells,
    anchors: Vec<Anchor>,
}

impl Collector {
    fn new() -> Self {
        Self { cells: Cells::default(), anchors: Vec::new() }
    }

    fn set(&mut self, path: &[&str], text: String) {
        self.cells.values.insert(path.iter().map(|&key| key.to_owned()).collect(), text);
    }

    fn anchor(&mut self, span: Range<usize>, path: &[&str]) {
        self.anchors.push(Anchor { span, path: path.iter().map(|&key| key.to_owned()).collect() });
    }

    /// Notes one more element of a list, in its order. Gives the name under which it stands: one that is there
    /// already gets a number.
    fn element(&mut self, list: &[&str], name: &str) -> String {
        let list: Path = list.iter().map(|&key| key.to_owned()).collect();
        let names = self.cells.order.entry(list).or_default();
        let mut free = name.to_owned();
        let mut number = 1;
        while names.contains(&free) {
            number += 1;
            free = format!("{name}#{number}");
        }
        names.push(free.clone());
        free
    }

    /// The changes and clashes of a part.
    fn past(&mut self, key: &str, value: &DeValue<'_>) {
        let table = value.as_table();
        for (name, value) in table.into_iter().flat_map(|table| table.iter()) {
            if key == "change" {
                self.cells.changes.extend(value.get_ref().as_table().and_then(change));
                continue;
            }
            let values = value.get_ref().as_array();
            let values =
                values.into_iter().flat_map(|array| array.iter()).map(|value| text_of(value.get_ref()));
            self.cells.clashes.entry(name.get_ref().to_string()).or_default().extend(values);
        }
    }

    /// A list of words; anything else is one value.
    fn list(&mut self, key: &str, value: &DeValue<'_>) {
        let words = value.as_array().map(|array| array.iter().map(|word| word.get_ref().as_str()));
        let Some(words) = words.and_then(Iterator::collect::<Option<Vec<&str>>>) else {
            return self.set(&[key], text_of(value));
        };
        for word in words {
            let list = vec![key.to_owned()];
            let names = self.cells.order.entry(list).or_default();
            if !names.iter().any(|name| name == word) {
                names.push(word.to_owned());
            }
            self.set(&[key, word], THERE.to_owned());
        }
    }

    /// One dated row.
    fn row(&mut self, shape: &RowShape, table: &DeTable<'_>, span: Option<Range<usize>>) {
        let row = lifted(shape, table);
        let identity: Vec<String> =
            shape.identity.iter().filter_map(|key| row.get(*key)).map(|text| unquoted(text)).collect();
        let name = self.element(&[shape.name], &identity.join(":"));
        if let Some(span) = span {
            self.anchor(span, &[shape.name, &name]);
            for (key, value) in table {
                self.anchor(key.span().start..value.span().end, &[shape.name, &name, key.get_ref()]);
            }
        }
        self.set(&[shape.name, &name], THERE.to_owned());
        for (key, text) in row {
            if key != "kept" && key != "open" {
                self.set(&[shape.name, &name, &key], text);
            }
        }
        let kept = table.get("kept").and_then(|value| value.get_ref().as_array());
        for day in kept.into_iter().flat_map(|days| days.iter()) {
            let day = self.element(&[shape.name, &name, "kept"], &text_of(day.get_ref()));
            self.set(&[shape.name, &name, "kept", &day], THERE.to_owned());
        }
        for point in open_points(shape, table) {
            let what = point.get("what").map(|what| unquoted(what)).unwrap_or_default();
            let what = self.element(&[shape.name, &name, "open"], &what);
            self.set(&[shape.name, &name, "open", &what], THERE.to_owned());
            for (key, text) in point {
                self.set(&[shape.name, &name, "open", &what, &key], text);
            }
        }
    }

    fn finish(mut self, text: &str) -> Cells {
        self.cells.comments = Comments::of(text, self.anchors);
        self.cells
    }
}

fn change(table: &DeTable<'_>) -> Option<Revision> {
    let text = |key: &str| table.get(key).map(|value| text_of(value.get_ref()));
    Some(Revision {
        at: whole_second(values::moment(table.get("at")?.get_ref()).ok()?),
        of: table.get("of")?.get_ref().as_str()?.to_owned(),
        from: text("from"),
        to: text("to"),
        by: table.get("by").and_then(|by| by.get_ref().as_str()).unwrap_or_default().to_owned(),
    })
}

/// The texts of a row, in the shape of the second version.
fn lifted(shape: &RowShape, table: &DeTable<'_>) -> BTreeMap<String, String> {
    let mut row: BTreeMap<String, String> =
        table.iter().map(|(key, value)| (key.get_ref().to_string(), text_of(value.get_ref()))).collect();
    if shape.name == "screening"
        && row.remove("clear").as_deref() == Some("false")
        && !row.contains_key("open")
    {
        // Its remark is what it left open.
        row.remove("note");
    }
    row
}

/// What a health check left open, each with its texts.
fn open_points(shape: &RowShape, table: &DeTable<'_>) -> Vec<BTreeMap<String, String>> {
    if shape.name != "screening" {
        return Vec::new();
    }
    let texts = |table: &DeTable<'_>| {
        table.iter().map(|(key, value)| (key.get_ref().to_string(), text_of(value.get_ref()))).collect()
    };
    if let Some(points) = table.get("open").and_then(|open| open.get_ref().as_array()) {
        return points.iter().filter_map(|point| point.get_ref().as_table().map(texts)).collect();
    }
    let is_clear = table.get("clear").and_then(|clear| clear.get_ref().as_bool());
    if is_clear != Some(false) {
        return Vec::new();
    }
    let note = table.get("note").map(|note| text_of(note.get_ref())).filter(|note| note != "\"\"");
    let what = note.unwrap_or_else(|| quoted(NOT_SAID_WHAT));
    vec![BTreeMap::from([("what".to_owned(), what)])]
}

/// A canonical text without the quotes around it.
fn unquoted(text: &str) -> String {
    text.strip_prefix('"').and_then(|text| text.strip_suffix('"')).unwrap_or(text).to_owned()
}

/// The cells of the part before the sessions.
pub(crate) fn of_head(table: &DeTable<'_>, text: &str) -> Cells {
    let mut all = Collector::new();
    for (key, value) in table {
        let span = key.span().start..value.span().end;
        let name: &str = key.get_ref();
        let value = value.get_ref();
        if name == "session" {
            continue;
        }
        if let Some(shape) = ROWS.iter().find(|shape| shape.name == name) {
            rows(&mut all, shape, value, span);
        } else if name == "change" || name == "clash" {
            all.past(name, value);
            all.anchor(span, &[name]);
        } else if name == "massage" {
            // The plain yes of the first version.
            all.anchor(span, &["agreement"]);
            if value.as_bool() == Some(true) {
                let name = all.element(&["agreement"], "massage:true");
                all.set(&["agreement", &name], THERE.to_owned());
                all.set(&["agreement", &name, "to"], "\"massage\"".to_owned());
                all.set(&["agreement", &name, "given"], "true".to_owned());
            }
        } else if name == "version" {
            // Whatever is written anew is of this program's version.
            all.anchor(span, &[name]);
        } else {
            all.anchor(span, &[name]);
            if LISTS.contains(&name) { all.list(name, value) } else { all.set(&[name], text_of(value)) }
        }
    }
    all.finish(text)
}

fn rows(all: &mut Collector, shape: &RowShape, value: &DeValue<'_>, span: Range<usize>) {
    match value {
        DeValue::Table(table) => all.row(shape, table, Some(span)),
        DeValue::Array(array) => {
            for value in array {
                match value.get_ref() {
                    DeValue::Table(table) => all.row(shape, table, Some(value.span())),
                    // The plain words of the first version.
                    word if shape.name == "tight" => {
                        for unit in super::format::units(word).unwrap_or_default() {
                            let unit = format!("{}:{}", unit.muscle, unit.side);
                            let name = all.element(&["tight"], &unit);
                            all.anchor(value.span(), &["tight", &name]);
                            all.set(&["tight", &name], THERE.to_owned());
                            all.set(&["tight", &name, "unit"], quoted(&unit));
                        }
                    }
                    _ => {}
                }
            }
        }
        _ => all.set(&[shape.name], text_of(value)),
    }
}

/// The cells of a session; `header` is where its header stands in the text.
pub(crate) fn of_session(table: &DeTable<'_>, text: &str, header: Range<usize>) -> Cells {
    let mut all = Collector::new();
    all.anchor(header, &[SESSION_HEADER]);
    for (key, value) in table {
        let span = key.span().start..value.span().end;
        let name: &str = key.get_ref();
        match (name, value.get_ref()) {
            ("change" | "clash", value) => {
                all.past(name, value);
                all.anchor(span, &[name]);
            }
            ("trained", DeValue::Table(muscles)) => {
                all.anchor(span, &[name]);
                for (muscle, effort) in muscles {
                    all.set(&[name, muscle.get_ref()], text_of(effort.get_ref()));
                }
            }
            ("report" | "narrowed" | "correction", DeValue::Table(rows)) => {
                for (number, row) in rows {
                    let span = number.span().start..row.span().end;
                    numbered(&mut all, name, number.get_ref(), row.get_ref(), span);
                }
            }
            (_, value) => {
                all.anchor(span, &[name]);
                all.set(&[name], text_of(value));
            }
        }
    }
    all.finish(text)
}

/// A row such as `report.01`. Reports are known by their number, the others by what they say.
fn numbered(all: &mut Collector, kind: &str, key: &str, value: &DeValue<'_>, span: Range<usize>) {
    let mut texts: BTreeMap<String, String> = match value {
        DeValue::Table(row) => {
            row.iter().map(|(key, value)| (key.get_ref().to_string(), text_of(value.get_ref()))).collect()
        }
        // `narrowed.no-massage = <moment>`, as in the first version.
        at => BTreeMap::from([("what".to_owned(), quoted(key)), ("at".to_owned(), text_of(at))]),
    };
    let name = match kind {
        "report" => {
            // One angle of which nothing else is said may stand by itself.
            if let Some(angle) = texts.remove("angle_deg") {
                let others = texts.get("angles").and_then(|angles| angles.strip_prefix('[')).unwrap_or("]");
                let angles = format!("[{{ deg = {angle} }}, {others}").replace(", ]", "]");
                texts.insert("angles".to_owned(), angles);
            }
            key.parse::<u32>().map_or_else(|_error| key.to_owned(), |number| format!("{number:02}"))
        }
        "narrowed" => {
            let said = |key: &str| texts.get(key).map(|text| unquoted(text)).unwrap_or_default();
            let at = moment(&said("at")).map_or_else(|| said("at"), |at| at.to_utc().to_rfc3339());
            format!("{}:{at}", said("what"))
        }
        _ => texts.values().map(|text| unquoted(text)).collect::<Vec<_>>().join(":"),
    };
    let name = all.element(&[kind], &name);
    all.anchor(span, &[kind, &name]);
    all.set(&[kind, &name], THERE.to_owned());
    for (key, text) in texts {
        all.set(&[kind, &name, &key], text);
    }
}

/// A report's row as it is written.
pub(crate) fn row_text(cells: &Cells, row: &[String]) -> Option<String> {
    let within = cells.values.range(row.to_vec()..).take_while(|(path, _)| path.starts_with(row));
    let pairs: Vec<(&str, &str)> =
        within.filter_map(|(path, text)| Some((path.get(2)?.as_str(), text.as_str()))).collect();
    (!pairs.is_empty()).then(|| table_text(pairs))
}

/// The cells of a report from its row as it is written.
pub(crate) fn of_report(path: &[String], row: &str) -> BTreeMap<Path, String> {
    let [kind, number] = path else { return BTreeMap::new() };
    let text = format!("row = {row}");
    let mut all = Collector::new();
    if let Ok(parsed) = DeTable::parse(&text)
        && let Some(row) = parsed.get_ref().get("row")
    {
        numbered(&mut all, kind, number, row.get_ref(), row.span());
    }
    all.cells.values
}
