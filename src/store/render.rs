//! Writes a part of a file anew from its cells, comments among them: the same cells give the same text.

use std::collections::BTreeMap;

use crate::client::Revision;

use super::cells::{Cells, THERE};
use super::row;
use super::shape::{
    CORRECTION_ORDER, LISTS, NARROWED_ORDER, OPEN_ORDER, PROFILE_ORDER, Path, REPORT_ORDER, ROWS,
    SESSION_HEADER, SESSION_ORDER, VERSION,
};
use super::value_text::{in_order, inline, key_text, quoted};

/// Writes lines with the comments that stand at them.
struct PartWriter<'c> {
    out: String,
    cells: &'c Cells,
    /// Places whose comments were written.
    done: Vec<Path>,
}

impl<'c> PartWriter<'c> {
    fn new(cells: &'c Cells) -> Self {
        Self { out: String::new(), cells, done: Vec::new() }
    }

    /// Writes a line and what stands at it.
    fn line(&mut self, path: &[&str], line: &str) {
        let path: Path = path.iter().map(|&key| key.to_owned()).collect();
        let at = self.cells.comments.at(&path);
        for comment in at.into_iter().flat_map(|at| &at.above) {
            self.out.push_str(comment);
            self.out.push('\n');
        }
        self.out.push_str(line);
        for comment in at.into_iter().flat_map(|at| &at.beside) {
            self.out.push(' ');
            self.out.push_str(comment);
        }
        self.out.push('\n');
        self.done.push(path);
    }

    fn pair(&mut self, path: &[&str], key: &str, value: &str) {
        self.line(path, &format!("{} = {value}", key_text(key)));
    }

    /// The comments that stand at nothing that is written, so that nobody's words vanish.
    fn finish(mut self) -> String {
        for (path, at) in self.cells.comments.places() {
            if self.done.contains(path) {
                continue;
            }
            for comment in at.above.iter().chain(&at.beside) {
                self.out.push_str(comment);
                self.out.push('\n');
            }
        }
        self.out
    }

    /// The names in a list, in their order.
    fn names(&self, list: &[&str]) -> Vec<String> {
        let list: Path = list.iter().map(|&key| key.to_owned()).collect();
        self.cells.order.get(&list).cloned().unwrap_or_default()
    }

    /// The values right below a path, by their key.
    fn below(&self, path: &[&str]) -> BTreeMap<String, String> {
        let path: Path = path.iter().map(|&key| key.to_owned()).collect();
        let values =
            self.cells.values.range(path.clone()..).take_while(|(found, _)| found.starts_with(&path));
        values
            .filter(|(found, _)| found.len() == path.len() + 1)
            .map(|(found, text)| (found[path.len()].clone(), text.clone()))
            .collect()
    }

    fn changes(&mut self) {
        let rows: Vec<(u32, &Revision)> = (1..).zip(&self.cells.changes).collect();
        for (number, change) in rows {
            let mut row = String::new();
            row::change_row(&mut row, number, change);
            self.line(if number == 1 { &["change"] } else { &["change", ""] }, row.trim_end());
        }
    }

    fn clash(&mut self) {
        if self.cells.clashes.is_empty() {
            return;
        }
        let rows: Vec<(&str, String)> = self
            .cells
            .clashes
            .iter()
            .map(|(of, values)| {
                let values: Vec<&str> = values.iter().map(String::as_str).collect();
                (of.as_str(), format!("[{}]", values.join(", ")))
            })
            .collect();
        let table = inline(rows.iter().map(|(of, values)| (*of, values.as_str())));
        self.pair(&["clash"], "clash", &table);
    }
}

/// Keys of a level in the fixed order, those that are not known behind them.
fn keys(order: &[&str], found: &BTreeMap<String, String>) -> Vec<String> {
    let pairs = found.keys().map(|key| (key.as_str(), "")).collect();
    in_order(order, pairs).into_iter().map(|(key, _)| key.to_owned()).collect()
}

/// The part before the sessions.
pub(crate) fn head(cells: &Cells) -> String {
    let mut out = PartWriter::new(cells);
    let mut plain = out.below(&[]);
    plain.insert("version".to_owned(), VERSION.to_string());
    for list in LISTS.iter().filter(|list| !out.names(&[list]).is_empty()) {
        let words: Vec<String> = out.names(&[list]).iter().map(|word| quoted(word)).collect();
        plain.insert((*list).to_owned(), format!("[{}]", words.join(", ")));
    }
    for key in ["change", "clash"] {
        plain.insert(key.to_owned(), String::new());
    }
    for key in keys(PROFILE_ORDER, &plain) {
        match key.as_str() {
            "change" => out.changes(),
            "clash" => out.clash(),
            key => out.pair(&[key], key, &plain[key]),
        }
    }
    for shape in ROWS {
        for name in out.names(&[shape.name]) {
            out.out.push('\n');
            out.line(&[shape.name, &name], &format!("[[{}]]", shape.name));
            let mut row = out.below(&[shape.name, &name]);
            let kept = out.names(&[shape.name, &name, "kept"]);
            if !kept.is_empty() {
                row.insert("kept".to_owned(), format!("[{}]", kept.join(", ")));
            }
            if shape.name == "screening" {
                let points: Vec<String> = out
                    .names(&[shape.name, &name, "open"])
                    .iter()
                    .map(|what| {
                        let point = out.below(&[shape.name, &name, "open", what]);
                        let pairs = point.iter().map(|(key, text)| (key.as_str(), text.as_str())).collect();
                        inline(in_order(OPEN_ORDER, pairs))
                    })
                    .collect();
                row.insert("open".to_owned(), format!("[{}]", points.join(", ")));
            }
            for key in keys(shape.keys, &row) {
                out.pair(&[shape.name, &name, &key], &key, &row[&key]);
            }
        }
    }
    out.finish()
}

/// A session.
pub(crate) fn session(cells: &Cells) -> String {
    let mut out = PartWriter::new(cells);
    out.line(&[SESSION_HEADER], SESSION_HEADER);
    let mut plain = out.below(&[]);
    let trained = out.below(&["trained"]);
    if !trained.is_empty() {
        let pairs = trained.iter().map(|(muscle, effort)| (muscle.as_str(), effort.as_str()));
        plain.insert("trained".to_owned(), inline(pairs));
    }
    for key in ["narrowed", "correction", "report", "change", "clash"] {
        plain.insert(key.to_owned(), String::new());
    }
    for key in keys(SESSION_ORDER, &plain) {
        match key.as_str() {
            "change" => out.changes(),
            "clash" => out.clash(),
            "narrowed" => numbered(&mut out, "narrowed", NARROWED_ORDER),
            "correction" => numbered(&mut out, "correction", CORRECTION_ORDER),
            "report" => reports(&mut out),
            key => out.pair(&[key], key, &plain[key]),
        }
    }
    out.finish()
}

/// Rows that are known by what they say: they are numbered anew.
fn numbered(out: &mut PartWriter<'_>, kind: &str, order: &[&str]) {
    for (number, name) in (1..).zip(out.names(&[kind])) {
        let row = out.below(&[kind, &name]);
        let pairs = row.iter().map(|(key, text)| (key.as_str(), text.as_str())).collect();
        let line = format!("{kind}.{number:02} = {}", inline(in_order(order, pairs)));
        out.line(&[kind, &name], &line);
    }
}

fn reports(out: &mut PartWriter<'_>) {
    let mut numbers: Vec<String> = out
        .below(&["report"])
        .into_iter()
        .filter(|(_, text)| text == THERE)
        .map(|(number, _)| number)
        .collect();
    numbers.sort_by_key(|number| number.parse::<u32>().ok());
    for number in numbers {
        let mut row = out.below(&["report", &number]);
        let lone = row.get("angles").and_then(|angles| angles.strip_prefix("[{ deg = ")?.strip_suffix(" }]"));
        if let Some(angle) = lone.filter(|angle| !angle.contains([',', '}'])).map(str::to_owned) {
            row.remove("angles");
            row.insert("angle_deg".to_owned(), angle);
        }
        let pairs = row.iter().map(|(key, text)| (key.as_str(), text.as_str())).collect();
        let text = format!("report.{number} = {}", inline(in_order(REPORT_ORDER, pairs)));
        out.line(&["report", &number], &text);
    }
}
