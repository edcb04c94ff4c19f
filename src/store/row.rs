//! From a client, a session or a report to the text that stands in a file.

mod dated;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{DateTime, FixedOffset};

use crate::client::{
    Angle, Client, Correction, Disagreement, Ended, Narrowing, Profile, Report, Revision, Session, TakenBack,
    Trainer,
};

use super::entry::{Entry, inline, moment, non_empty, push_entries};
use super::shape::{TRAINER_VERSION, VERSION};
use super::value_text::{key_text, push_quoted, quoted};

pub(crate) use dated::{RowsOfKind, profile_entries, profile_rows, trainer_entries, trainer_rows};

/// What was written over.
pub(crate) fn change_entries(change: &Revision) -> Vec<Entry> {
    let Revision { at, of, from, to, by } = change;
    vec![
        ("at", Some(moment(*at))),
        ("of", Some(quoted(of))),
        ("from", from.clone()),
        ("to", to.clone()),
        ("by", non_empty(by)),
    ]
}

pub(crate) fn taken_back_entries(taken_back: &TakenBack) -> Vec<Entry> {
    let TakenBack { at, by, note } = taken_back;
    vec![("at", Some(moment(*at))), ("by", non_empty(by)), ("note", non_empty(note))]
}

pub(crate) fn clash(disagreements: &[Disagreement]) -> Option<String> {
    let rows: Vec<String> = disagreements
        .iter()
        .map(|about| format!("{} = [{}]", key_text(&about.of), about.values.join(", ")))
        .collect();
    (!rows.is_empty()).then(|| format!("{{ {} }}", rows.join(", ")))
}

/// A whole new `trainer.toml`.
pub(crate) fn trainer(trainer: &Trainer) -> String {
    let mut out = format!("version = {TRAINER_VERSION}\n");
    push_entries(&mut out, trainer_entries(trainer));
    push_rows(&mut out, trainer_rows(trainer));
    out
}

fn push_rows(out: &mut String, kinds: Vec<RowsOfKind>) {
    for kind in kinds {
        for row in kind.all {
            writeln!(out, "\n[[{}]]", kind.name).expect("writing to a string cannot fail");
            push_entries(out, row);
        }
    }
}

/// A profile as it stands in a new file, dated rows included.
pub(crate) fn profile(profile: &Profile) -> String {
    let mut out = String::new();
    push_entries(&mut out, profile_entries(profile));
    push_rows(&mut out, profile_rows(profile));
    out
}

/// A whole new client's file.
pub(crate) fn client(client: &Client) -> String {
    let mut out = format!("version = {VERSION}\n");
    push_entries(&mut out, profile_entries(&client.profile));
    for (number, change) in (1..).zip(&client.changes) {
        change_row(&mut out, number, change);
    }
    push_entries(&mut out, vec![("clash", clash(&client.disagreements))]);
    push_rows(&mut out, profile_rows(&client.profile));
    let gone = client.taken_back.iter().map(|(session, taken_back)| (session, Some(taken_back)));
    let mut sessions: Vec<_> = client.sessions.iter().map(|session| (session, None)).chain(gone).collect();
    sessions.sort_by_key(|(session, _)| session.at);
    for (session, taken_back) in sessions {
        session_block(&mut out, session, taken_back);
    }
    out
}

/// The plain keys of a session; the first five stand before its rows, the others after them.
pub(crate) fn session_entries(session: &Session) -> Vec<Entry> {
    vec![
        ("at", Some(moment(session.at))),
        ("minutes", Some(session.minutes.get().to_string())),
        ("by", non_empty(&session.by)),
        ("trained", trained(session)),
        ("consent", Some(quoted(session.consent.id()))),
        ("note", non_empty(&session.note)),
        ("closed", session.closed.map(moment)),
        ("clash", clash(&session.disagreements)),
    ]
}

fn trained(session: &Session) -> Option<String> {
    let muscles: Vec<String> =
        session.trained.iter().map(|(muscle, effort)| format!("{muscle} = {}", effort.get())).collect();
    (!muscles.is_empty()).then(|| format!("{{ {} }}", muscles.join(", ")))
}

/// Appends a session: an empty line, `[[session]]`, its keys, its rows.
pub(crate) fn session_block(out: &mut String, session: &Session, taken_back: Option<&TakenBack>) {
    out.push_str("\n[[session]]\n");
    let mut entries = session_entries(session);
    // What comes to light only at the end follows the reports.
    let last = entries.split_off(5);
    push_entries(out, entries);
    for (number, narrowing) in (1..).zip(&session.narrowed) {
        narrowed_row(out, number, narrowing);
    }
    for (number, correction) in (1..).zip(&session.corrections) {
        push_row(out, "correction", number, &correction_entries(correction));
    }
    let gone = session.taken_back.iter().map(|(number, (report, gone))| (*number, (report, Some(gone))));
    let reports = session.reports.iter().map(|(number, report)| (*number, (report, None)));
    for (number, (report, gone)) in reports.chain(gone).collect::<BTreeMap<_, _>>() {
        push_report(out, number, report, gone);
    }
    push_entries(out, last);
    for (number, change) in (1..).zip(&session.changes) {
        change_row(out, number, change);
    }
    let taken_back = taken_back.and_then(|taken_back| inline(&taken_back_entries(taken_back)));
    push_entries(out, vec![("taken_back", taken_back)]);
}

fn push_row(out: &mut String, name: &str, number: u32, entries: &[Entry]) {
    let row = inline(entries).unwrap_or_else(|| "{}".to_owned());
    writeln!(out, "{name}.{number:02} = {row}").expect("writing to a string cannot fail");
}

/// Appends what was written over.
pub(crate) fn change_row(out: &mut String, number: u32, change: &Revision) {
    push_row(out, "change", number, &change_entries(change));
}

fn correction_entries(correction: &Correction) -> Vec<Entry> {
    let Correction { kind, stretch, form, instead_of } = correction;
    let instead_of = instead_of.as_ref().map(|(stretch, form)| quoted(&format!("{stretch}/{form}")));
    vec![
        ("did", Some(quoted(kind.id()))),
        ("stretch", Some(quoted(stretch.as_str()))),
        ("form", form.as_ref().map(|form| quoted(form.as_str()))),
        ("instead_of", instead_of),
    ]
}

/// The keys of what was taken out of the consent.
pub(crate) fn narrowed_entries(narrowing: &Narrowing) -> Vec<Entry> {
    let Narrowing { what, at, lifted } = narrowing;
    vec![("what", Some(quoted(what.id()))), ("at", Some(moment(*at))), ("lifted", lifted.map(moment))]
}

/// Appends what the client took out of the consent.
pub(crate) fn narrowed_row(out: &mut String, number: u32, narrowing: &Narrowing) {
    push_row(out, "narrowed", number, &narrowed_entries(narrowing));
}

/// The numbered rows of a session, by their key and their number.
pub(crate) fn session_rows(session: &Session) -> Vec<(&'static str, BTreeMap<u32, Vec<Entry>>)> {
    let narrowed = session.narrowed.iter().map(narrowed_entries);
    let corrections = session.corrections.iter().map(correction_entries);
    let gone = session.taken_back.iter().map(|(number, (report, gone))| (*number, (report, Some(gone))));
    let reports = session.reports.iter().map(|(number, report)| (*number, (report, None))).chain(gone);
    let reports = reports.map(|(number, (report, gone))| {
        let mut entries = report_entries(report);
        entries.push(("taken_back", gone.and_then(|gone| inline(&taken_back_entries(gone)))));
        (number, entries)
    });
    vec![
        ("narrowed", (1..).zip(narrowed).collect()),
        ("correction", (1..).zip(corrections).collect()),
        ("report", reports.collect()),
    ]
}

/// Appends what ends a session. The remark comes first: if the writing is cut off, the session is still open.
pub(crate) fn closing(out: &mut String, at: DateTime<FixedOffset>, note: &str) {
    push_entries(out, vec![("note", non_empty(note)), ("closed", Some(moment(at)))]);
}

/// The keys of a report.
pub(crate) fn report_entries(report: &Report) -> Vec<Entry> {
    let Report { stretch, form, side, method, cycles, held, planned, level, angles, ended, sign, note } =
        report;
    let number = |number: u32| number.to_string();
    let planned = planned.as_ref();
    let planned_cycles = planned.map(|planned| planned.cycles).filter(|cycles| *cycles > 0);
    let aim = planned.and_then(|planned| planned.aim);
    let (plain, more) = match angles.as_slice() {
        [one] if *one == Angle::new(one.degrees) => (Some(one.degrees.get().to_string()), None),
        [] => (None, None),
        several => {
            let several: Vec<String> =
                several.iter().filter_map(|angle| inline(&angle_entries(angle))).collect();
            (None, Some(format!("[{}]", several.join(", "))))
        }
    };
    vec![
        ("stretch", Some(quoted(stretch.as_str()))),
        ("form", Some(quoted(form.as_str()))),
        ("side", side.map(|side| quoted(side.id()))),
        ("method", Some(quoted(method.id()))),
        ("cycles", (*cycles > 0).then(|| cycles.to_string())),
        ("held_s", Some(number(held.get()))),
        ("planned_s", planned.map(|planned| number(planned.held.get()))),
        ("planned_cycles", planned_cycles.map(|cycles| cycles.to_string())),
        ("aim", aim.map(|aim| aim.get().to_string())),
        ("level", level.map(|level| level.get().to_string())),
        ("angle_deg", plain),
        ("angles", more),
        ("ended", (*ended != Ended::Done).then(|| quoted(ended.id()))),
        ("sign", sign.as_deref().map(quoted)),
        ("note", non_empty(note)),
    ]
}

fn angle_entries(angle: &Angle) -> Vec<Entry> {
    let Angle { degrees, taken, position, with } = angle;
    vec![
        ("deg", Some(degrees.get().to_string())),
        ("taken", taken.map(|taken| quoted(taken.id()))),
        ("position", position.as_ref().map(|position| quoted(position.as_str()))),
        ("with", with.as_ref().map(|with| quoted(with.as_str()))),
    ]
}

/// Appends one line `report.NN = { .. }`.
pub(crate) fn report_row(out: &mut String, number: u32, report: &Report) {
    push_report(out, number, report, None);
}

fn push_report(out: &mut String, number: u32, report: &Report, taken_back: Option<&TakenBack>) {
    write!(out, "report.{number:02} = {{ stretch = ").expect("writing to a string cannot fail");
    push_quoted(out, report.stretch.as_str());
    let gone = taken_back.and_then(|taken_back| inline(&taken_back_entries(taken_back)));
    for (key, value) in report_entries(report).into_iter().skip(1).chain([("taken_back", gone)]) {
        if let Some(value) = value {
            write!(out, ", {key} = {value}").expect("writing to a string cannot fail");
        }
    }
    out.push_str(" }\n");
}
