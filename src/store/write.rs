//! From a client, a session or a report to the text that stands in a file.

use std::fmt::Write as _;

use chrono::{DateTime, FixedOffset};

use crate::caution::RecordedCondition;
use crate::client::{Client, Ended, Narrowed, Profile, Report, Session, Trainer};

use super::read::VERSION;
use super::text::{push_quoted, quoted};

/// A key and its value as TOML text; no value where the key is left out.
pub(crate) type Entry = (&'static str, Option<String>);

fn list(words: impl IntoIterator<Item = String>) -> Option<String> {
    let words: Vec<String> = words.into_iter().map(|word| quoted(&word)).collect();
    (!words.is_empty()).then(|| format!("[{}]", words.join(", ")))
}

fn non_empty(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| quoted(text))
}

/// The plain keys at the top of a client's file, in their order.
pub(crate) fn profile_entries(profile: &Profile) -> Vec<Entry> {
    vec![
        ("name", Some(quoted(&profile.name))),
        ("born", profile.born.map(|day| day.to_string())),
        ("sex", profile.sex.map(|sex| quoted(sex.id()))),
        ("aims", list(profile.aims.iter().map(ToString::to_string))),
        ("tight", list(profile.tight.iter().map(|unit| format!("{}:{}", unit.muscle, unit.side)))),
        ("likes", list(profile.likes.iter().map(ToString::to_string))),
        ("dislikes", list(profile.dislikes.iter().map(ToString::to_string))),
        ("massage", profile.massage.then(|| "true".to_owned())),
        ("note", non_empty(&profile.note)),
    ]
}

/// The tables within a client's file that stand once, each with its keys.
pub(crate) fn profile_tables(profile: &Profile) -> Vec<(&'static str, Vec<Entry>)> {
    let screening = profile.screening.as_ref().map(|screening| {
        vec![
            ("on", Some(screening.on.to_string())),
            ("clear", Some(screening.clear.to_string())),
            ("note", non_empty(&screening.note)),
        ]
    });
    let guardian = profile
        .guardian
        .as_ref()
        .map(|guardian| vec![("name", Some(quoted(&guardian.name))), ("on", Some(guardian.on.to_string()))]);
    vec![("screening", screening.unwrap_or_default()), ("guardian", guardian.unwrap_or_default())]
}

/// The keys of a `[[condition]]`.
///
/// The first four say which condition it is, the others what is known about it.
pub(crate) fn condition_entries(recorded: &RecordedCondition) -> Vec<Entry> {
    // Every field by name: one that is added must be written too.
    let RecordedCondition { id, side, muscle, joint, since, due, week, cleared_by, note } = recorded;
    vec![
        ("id", Some(quoted(id.as_str()))),
        ("side", side.map(|side| quoted(side.id()))),
        ("muscle", muscle.map(|muscle| quoted(muscle.id()))),
        ("joint", joint.map(|joint| quoted(joint.id()))),
        ("since", since.map(|day| day.to_string())),
        ("due", due.map(|day| day.to_string())),
        ("week", week.map(|week| week.to_string())),
        ("cleared_by", cleared_by.as_deref().map(quoted)),
        ("note", non_empty(note)),
    ]
}

/// The keys of `trainer.toml`.
pub(crate) fn trainer_entries(trainer: &Trainer) -> Vec<Entry> {
    vec![
        ("name", non_empty(&trainer.name)),
        ("studio", non_empty(&trainer.studio)),
        (
            "equipment",
            list(trainer.equipment.iter().map(ToString::to_string)).or_else(|| Some("[]".to_owned())),
        ),
        ("minutes", Some(trainer.minutes.get().to_string())),
        ("may_massage", Some(trainer.may_massage.to_string())),
    ]
}

fn push_entries(out: &mut String, entries: Vec<Entry>) {
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

/// A whole new `trainer.toml`.
pub(crate) fn trainer(trainer: &Trainer) -> String {
    let mut out = format!("version = {VERSION}\n");
    push_entries(&mut out, trainer_entries(trainer));
    out
}

/// A whole new client's file.
pub(crate) fn client(client: &Client) -> String {
    let mut out = profile(&client.profile);
    for session in &client.sessions {
        session_block(&mut out, session);
    }
    out
}

/// The part of a client's file before the sessions.
pub(crate) fn profile(profile: &Profile) -> String {
    let mut out = format!("version = {VERSION}\n");
    push_entries(&mut out, profile_entries(profile));
    for (name, entries) in profile_tables(profile) {
        if let Some(table) = inline(&entries) {
            writeln!(out, "{name} = {table}").expect("writing to a string cannot fail");
        }
    }
    for recorded in &profile.conditions {
        out.push_str("\n[[condition]]\n");
        push_entries(&mut out, condition_entries(recorded));
    }
    out
}

/// A date and time as it stands in a file.
pub(crate) fn moment(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339()
}

/// The plain keys of a session.
pub(crate) fn session_entries(session: &Session) -> Vec<Entry> {
    vec![
        ("at", Some(moment(session.at))),
        ("minutes", Some(session.minutes.get().to_string())),
        ("trained", trained(session)),
        ("consent", Some(quoted(session.consent.id()))),
        ("note", non_empty(&session.note)),
        ("closed", session.closed.map(moment)),
    ]
}

fn trained(session: &Session) -> Option<String> {
    let muscles: Vec<String> =
        session.trained.iter().map(|(muscle, effort)| format!("{muscle} = {}", effort.get())).collect();
    (!muscles.is_empty()).then(|| format!("{{ {} }}", muscles.join(", ")))
}

/// Appends a session: an empty line, `[[session]]`, its keys, its reports.
pub(crate) fn session_block(out: &mut String, session: &Session) {
    out.push_str("\n[[session]]\n");
    let mut entries = session_entries(session);
    // What comes to light only at the end follows the reports.
    entries.truncate(4);
    push_entries(out, entries);
    for (&what, &at) in &session.narrowed {
        narrowed_row(out, what, at);
    }
    for (&number, report) in &session.reports {
        report_row(out, number, report);
    }
    if let Some(closed) = session.closed {
        closing(out, closed, &session.note);
    } else if !session.note.is_empty() {
        push_entries(out, vec![("note", non_empty(&session.note))]);
    }
}

/// Appends what the client took out of the consent.
pub(crate) fn narrowed_row(out: &mut String, what: Narrowed, at: DateTime<FixedOffset>) {
    for piece in ["narrowed.", what.id(), " = ", &moment(at), "\n"] {
        out.push_str(piece);
    }
}

/// Appends what ends a session. The remark comes first: if the writing is cut off, the session is still open.
pub(crate) fn closing(out: &mut String, at: DateTime<FixedOffset>, note: &str) {
    push_entries(out, vec![("note", non_empty(note)), ("closed", Some(moment(at)))]);
}

/// The keys of a report.
pub(crate) fn report_entries(report: &Report) -> Vec<Entry> {
    vec![
        ("stretch", Some(quoted(report.stretch.as_str()))),
        ("form", Some(quoted(report.form.as_str()))),
        ("side", report.side.map(|side| quoted(side.id()))),
        ("method", Some(quoted(report.method.id()))),
        ("cycles", (report.cycles > 0).then(|| report.cycles.to_string())),
        ("held_s", Some(report.held.get().to_string())),
        ("level", report.level.map(|level| level.get().to_string())),
        ("angle_deg", report.angle.map(|angle| angle.get().to_string())),
        ("ended", (report.ended != Ended::Done).then(|| quoted(report.ended.id()))),
        ("note", non_empty(&report.note)),
    ]
}

/// Appends one line `report.NN = { .. }`.
pub(crate) fn report_row(out: &mut String, number: u32, report: &Report) {
    write!(out, "report.{number:02} = {{ stretch = ").expect("writing to a string cannot fail");
    push_quoted(out, report.stretch.as_str());
    for (key, value) in report_entries(report).into_iter().skip(1) {
        if let Some(value) = value {
            write!(out, ", {key} = {value}").expect("writing to a string cannot fail");
        }
    }
    out.push_str(" }\n");
}
