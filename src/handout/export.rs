//! Data that leaves whole: what is told of a client, and the reports as a table for a spreadsheet.

use chrono::{DateTime, FixedOffset};

use crate::catalogue::{Catalogue, Method};
use crate::client::{Angle, Client, ConsentLimit, Report, Session};
use crate::text::Safe;

use super::words;

/// The columns of the table, in their order; `docs/export.md` says what each is.
pub const COLUMNS: [&str; 32] = [
    "client",
    "session_at",
    "session_closed_at",
    "session_minutes",
    "consent",
    "no_massage_at",
    "mat_between_at",
    "self_stretch_at",
    "stopped_at",
    "trained",
    "worked_by",
    "report",
    "stretch",
    "form",
    "stretch_name",
    "form_name",
    "position",
    "side",
    "method",
    "cycles",
    "held_s",
    "answer",
    "angle_deg",
    "angles",
    "ended",
    "sign",
    "planned_method",
    "planned_cycles",
    "planned_held_s",
    "planned_answer",
    "session_remark",
    "report_remark",
];

/// What leaves with the data beside what was done; nothing unless it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each is told or not on its own")]
pub struct Disclosed {
    /// Names and ids: the client's and the trainer's.
    pub name: bool,
    /// Day of birth.
    pub born: bool,
    /// Conditions, health checks, guardians, clearances.
    pub conditions: bool,
    /// Everything that somebody wrote in words.
    pub remarks: bool,
}

impl Disclosed {
    /// All of it, as a client may ask for.
    pub const ALL: Self = Self { name: true, born: true, conditions: true, remarks: true };

    /// What is left out.
    pub fn left_out(self) -> impl Iterator<Item = &'static str> {
        [(self.name, "name"), (self.born, "born"), (self.conditions, "conditions"), (self.remarks, "remarks")]
            .into_iter()
            .filter(|(is_told, _)| !is_told)
            .map(|(_, what)| what)
    }

    /// How the client is called in the data.
    pub(super) fn id(self, client: &Client) -> &str {
        if self.name { client.profile.id.as_str() } else { "client" }
    }
}

/// Sessions as a table, a row a report, and a row for a session without one: RFC 4180 with a byte order mark, which
/// spreadsheets want to be told by that it is UTF-8.
///
/// # Errors
/// Fails where the table cannot be written.
pub fn reports_csv(
    client: &Client,
    sessions: &[&Session],
    catalogue: &Catalogue,
    told: Disclosed,
    separator: u8,
) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::WriterBuilder::new()
        .delimiter(separator)
        .quote_style(csv::QuoteStyle::NonNumeric)
        .terminator(csv::Terminator::CRLF)
        .from_writer("\u{feff}".as_bytes().to_vec());
    table.write_record(COLUMNS)?;
    for session in sessions {
        let head = session_cells(client, session, told);
        let remark = if told.remarks { guarded(&session.note) } else { String::new() };
        if session.reports.is_empty() {
            let empty = vec![String::new(); COLUMNS.len() - head.len() - 2];
            table.write_record(head.iter().chain(&empty).chain([&remark, &String::new()]))?;
        }
        for (number, report) in &session.reports {
            let mut row = head.clone();
            row.extend(report_cells(*number, report, catalogue));
            row.push(remark.clone());
            row.push(if told.remarks { guarded(&report.note) } else { String::new() });
            table.write_record(&row)?;
        }
    }
    table.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

fn session_cells(client: &Client, session: &Session, told: Disclosed) -> Vec<String> {
    let moment = |at: Option<DateTime<FixedOffset>>| at.map(|at| at.to_rfc3339()).unwrap_or_default();
    let trained: Vec<String> =
        session.trained.iter().map(|(muscle, effort)| format!("{muscle}:{}", effort.get())).collect();
    let mut cells = vec![
        guarded(told.id(client)),
        session.at.to_rfc3339(),
        moment(session.closed),
        session.minutes.get().to_string(),
        session.consent.to_string(),
    ];
    cells.extend(ConsentLimit::ALL.iter().map(|&what| moment(session.narrowed_at(what))));
    cells.push(trained.join(";"));
    cells.push(if told.name { guarded(&session.by) } else { String::new() });
    cells
}

fn report_cells(number: u32, report: &Report, catalogue: &Catalogue) -> Vec<String> {
    let known = catalogue.form(&report.stretch, &report.form);
    let number_or_nothing = |number: Option<String>| number.unwrap_or_default();
    let planned = report.planned;
    let planned_method =
        |cycles: u8| if cycles == 0 { Method::Static } else { Method::ContractRelax }.to_string();
    vec![
        number.to_string(),
        guarded(report.stretch.as_str()),
        guarded(report.form.as_str()),
        known.map(|(stretch, _)| guarded(&stretch.name)).unwrap_or_default(),
        known.map(|(_, form)| guarded(&form.name)).unwrap_or_default(),
        known.map(|(_, form)| form.position.to_string()).unwrap_or_default(),
        words::side(report.side).to_owned(),
        report.method.to_string(),
        number_or_nothing((report.cycles > 0).then(|| report.cycles.to_string())),
        report.held.get().to_string(),
        number_or_nothing(report.level.map(|level| level.get().to_string())),
        number_or_nothing(report.angle().map(|angle| angle.get().to_string())),
        report.angles.iter().map(angle_words).collect::<Vec<_>>().join(";"),
        report.ended.to_string(),
        report.sign.as_deref().map(guarded).unwrap_or_default(),
        number_or_nothing(planned.map(|planned| planned_method(planned.cycles))),
        number_or_nothing(planned.filter(|it| it.cycles > 0).map(|planned| planned.cycles.to_string())),
        number_or_nothing(planned.map(|planned| planned.held.get().to_string())),
        number_or_nothing(planned.and_then(|planned| planned.aim).map(|aim| aim.get().to_string())),
    ]
}

/// An angle with all that is known of it: `71 deg before supine goniometer`.
fn angle_words(angle: &Angle) -> String {
    let mut words = format!("{} deg", angle.degrees.get());
    for more in [
        angle.taken.map(|taken| taken.to_string()),
        angle.position.as_ref().map(ToString::to_string),
        angle.with.as_ref().map(ToString::to_string),
    ]
    .into_iter()
    .flatten()
    {
        words.push(' ');
        words.push_str(&more);
    }
    // One below nothing is no formula.
    if words.starts_with('-') { format!("'{words}") } else { words }
}

/// Anybody's words as a cell that no spreadsheet takes for a formula: an apostrophe goes before what would begin one.
/// Control characters become their pictures, tabs and line ends blanks.
fn guarded(words: &str) -> String {
    let words = Safe::from_foreign(words);
    let begins = words.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠', '−', '|', '%']);
    if begins { format!("'{words}") } else { words.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_begins_a_formula() {
        for words in ["=1+1", "+x", "-x", "@x", " =cmd()", "\t=1", "\n@x", "＝1", "\u{a0}=1"] {
            assert!(guarded(words).starts_with('\''), "{words:?}: {:?}", guarded(words));
        }
        assert_eq!(guarded("a=1"), "a=1");
        assert_eq!(guarded("a\nb\u{1b}[1m"), "a b␛[1m");
    }
}
