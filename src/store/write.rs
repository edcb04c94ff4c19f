//! From a client, a session or a report to the text that stands in a file.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::caution::RecordedCondition;
use crate::client::{
    Agreement, Angle, Birth, Change, Client, Correction, Disagreement, Ended, Guardian, Habit, KeptBlock,
    KeptStep, Narrowing, NotedTight, OpenPoint, PainFollowUp, Profile, Report, Screening, Session, Sore,
    TakenBack, Trainer, UsualTime,
};

use super::read::{TRAINER_VERSION, VERSION};
use super::text::{push_quoted, quoted};
use super::unknown::key_text;

/// A key and its value as TOML text; no value where the key is left out.
pub(crate) type Entry = (&'static str, Option<String>);

fn list(words: impl IntoIterator<Item = String>) -> Option<String> {
    let words: Vec<String> = words.into_iter().map(|word| quoted(&word)).collect();
    (!words.is_empty()).then(|| format!("[{}]", words.join(", ")))
}

fn non_empty(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| quoted(text))
}

fn day(day: Option<NaiveDate>) -> Option<String> {
    day.map(|day| day.to_string())
}

/// The plain keys at the top of a client's file, in their order.
pub(crate) fn profile_entries(profile: &Profile) -> Vec<Entry> {
    vec![
        ("name", Some(quoted(&profile.name))),
        ("born", profile.born.map(born)),
        ("sex", profile.sex.map(|sex| quoted(sex.id()))),
        ("mass_kg", profile.mass.map(|mass| mass.get().to_string())),
        ("contact", non_empty(&profile.contact)),
        ("archived", day(profile.archived)),
        ("aims", list(profile.aims.iter().map(ToString::to_string))),
        ("likes", list(profile.likes.iter().map(ToString::to_string))),
        ("dislikes", list(profile.dislikes.iter().map(ToString::to_string))),
        ("home", list(profile.at_home.iter().map(ToString::to_string))),
        ("times", list(profile.usual_times.iter().map(usual_time))),
        ("note", non_empty(&profile.note)),
    ]
}

/// A day as a date, a year as a number, a month in quotes: TOML has no word for it.
fn born(born: Birth) -> String {
    let is_month = born.day().is_none() && born.month().is_some();
    if is_month { quoted(&born.to_string()) } else { born.to_string() }
}

fn usual_time(usual: &UsualTime) -> String {
    let day = usual.day.to_string().to_lowercase();
    usual.time.map_or_else(|| day.clone(), |time| format!("{day} {}", time.format("%H:%M")))
}

/// Rows of one kind, each with its keys.
pub(crate) struct Rows {
    /// The key under which they stand.
    pub(crate) name: &'static str,
    /// How many of the first keys say which row it is; the others say what is known about it.
    pub(crate) identity: usize,
    /// The rows, in their order.
    pub(crate) all: Vec<Vec<Entry>>,
}

impl Rows {
    fn of<T>(name: &'static str, identity: usize, rows: &[T], entries: fn(&T) -> Vec<Entry>) -> Self {
        Self { name, identity, all: rows.iter().map(entries).collect() }
    }
}

/// The dated rows of a client's file, in the order in which a new file has them.
pub(crate) fn profile_rows(profile: &Profile) -> Vec<Rows> {
    vec![
        Rows::of("tight", 2, &profile.tight, tight_entries),
        Rows::of("screening", 1, &profile.screenings, screening_entries),
        Rows::of("guardian", 2, &profile.guardians, guardian_entries),
        Rows::of("agreement", 3, &profile.agreements, agreement_entries),
        Rows::of("habit", 4, &profile.habits, habit_entries),
        Rows::of("pain", 3, &profile.pain, pain_entries),
        Rows::of("condition", 4, &profile.conditions, condition_entries),
    ]
}

// Every field by name in what follows: one that is added must be written too.

fn tight_entries(noted: &NotedTight) -> Vec<Entry> {
    let NotedTight { unit, on, kept, off, by } = noted;
    let kept: Vec<String> = kept.iter().map(NaiveDate::to_string).collect();
    vec![
        ("unit", Some(quoted(&format!("{}:{}", unit.muscle, unit.side)))),
        ("on", day(*on)),
        ("kept", (!kept.is_empty()).then(|| format!("[{}]", kept.join(", ")))),
        ("off", day(*off)),
        ("by", non_empty(by)),
    ]
}

fn screening_entries(screening: &Screening) -> Vec<Entry> {
    let Screening { on, answers, open, by, note, off } = screening;
    let answers: Vec<String> = answers
        .iter()
        .map(|(question, answer)| format!("{} = {}", key_text(question), quoted(answer.id())))
        .collect();
    let open: Vec<String> = open.iter().filter_map(|open| inline(&open_entries(open))).collect();
    vec![
        ("on", Some(on.to_string())),
        ("by", non_empty(by)),
        ("answers", (!answers.is_empty()).then(|| format!("{{ {} }}", answers.join(", ")))),
        ("open", Some(format!("[{}]", open.join(", ")))),
        ("note", non_empty(note)),
        ("off", day(*off)),
    ]
}

fn open_entries(open: &OpenPoint) -> Vec<Entry> {
    let OpenPoint { what, cleared } = open;
    let cleared = cleared.as_ref();
    vec![
        ("what", Some(quoted(what))),
        ("cleared_by", cleared.map(|cleared| quoted(&cleared.by))),
        ("cleared_on", cleared.map(|cleared| cleared.on.to_string())),
        ("cleared_note", cleared.and_then(|cleared| non_empty(&cleared.note))),
    ]
}

fn guardian_entries(guardian: &Guardian) -> Vec<Entry> {
    let Guardian { name, on, off, by } = guardian;
    vec![
        ("name", Some(quoted(name))),
        ("on", Some(on.to_string())),
        ("off", day(*off)),
        ("by", non_empty(by)),
    ]
}

fn agreement_entries(agreement: &Agreement) -> Vec<Entry> {
    let Agreement { to, given, on, off, by, note } = agreement;
    vec![
        ("to", Some(quoted(to.id()))),
        ("given", Some(given.to_string())),
        ("on", day(*on)),
        ("off", day(*off)),
        ("by", non_empty(by)),
        ("note", non_empty(note)),
    ]
}

fn habit_entries(habit: &Habit) -> Vec<Entry> {
    let Habit { kind, stretch, form, agreed, on, off, by } = habit;
    vec![
        ("kind", Some(quoted(kind.id()))),
        ("stretch", Some(quoted(stretch.as_str()))),
        ("form", form.as_ref().map(|form| quoted(form.as_str()))),
        ("on", Some(on.to_string())),
        ("agreed", Some(agreed.to_string())),
        ("off", day(*off)),
        ("by", non_empty(by)),
    ]
}

fn pain_entries(row: &PainFollowUp) -> Vec<Entry> {
    let PainFollowUp { stretch, side, on, still_sore, cleared_by, by, note, off } = row;
    vec![
        ("stretch", Some(quoted(stretch.as_str()))),
        ("side", side.map(|side| quoted(side.id()))),
        ("on", Some(on.to_string())),
        ("still_sore", still_sore.map(|sore| sore.to_string())),
        ("cleared_by", cleared_by.as_deref().map(quoted)),
        ("by", non_empty(by)),
        ("note", non_empty(note)),
        ("off", day(*off)),
    ]
}

/// The keys of a `[[condition]]`.
pub(crate) fn condition_entries(recorded: &RecordedCondition) -> Vec<Entry> {
    let RecordedCondition {
        id,
        side,
        muscle,
        joint,
        since,
        due,
        week,
        cleared_by,
        cleared_on,
        until,
        by,
        note,
    } = recorded;
    vec![
        ("id", Some(quoted(id.as_str()))),
        ("side", side.map(|side| quoted(side.id()))),
        ("muscle", muscle.map(|muscle| quoted(muscle.id()))),
        ("joint", joint.map(|joint| quoted(joint.id()))),
        ("since", day(*since)),
        ("due", day(*due)),
        ("week", week.map(|week| week.to_string())),
        ("cleared_by", cleared_by.as_deref().map(quoted)),
        ("cleared_on", day(*cleared_on)),
        ("until", day(*until)),
        ("by", non_empty(by)),
        ("note", non_empty(note)),
    ]
}

/// What was written over.
pub(crate) fn change_entries(change: &Change) -> Vec<Entry> {
    let Change { at, of, from, to, by } = change;
    vec![
        ("at", Some(moment(*at))),
        ("of", Some(quoted(of))),
        ("from", from.clone()),
        ("to", to.clone()),
        ("by", non_empty(by)),
    ]
}

fn taken_back_entries(taken_back: &TakenBack) -> Vec<Entry> {
    let TakenBack { at, by, note } = taken_back;
    vec![("at", Some(moment(*at))), ("by", non_empty(by)), ("note", non_empty(note))]
}

fn clash(disagreements: &[Disagreement]) -> Option<String> {
    let rows: Vec<String> = disagreements
        .iter()
        .map(|about| format!("{} = [{}]", key_text(&about.of), about.values.join(", ")))
        .collect();
    (!rows.is_empty()).then(|| format!("{{ {} }}", rows.join(", ")))
}

/// The keys of `trainer.toml`.
pub(crate) fn trainer_entries(trainer: &Trainer) -> Vec<Entry> {
    vec![
        ("name", non_empty(&trainer.name)),
        ("studio", non_empty(&trainer.studio)),
        ("contact", non_empty(&trainer.contact)),
        (
            "equipment",
            list(trainer.equipment.iter().map(ToString::to_string)).or_else(|| Some("[]".to_owned())),
        ),
        ("minutes", Some(trainer.minutes.get().to_string())),
        ("may_massage", Some(trainer.may_massage.to_string())),
        ("instrument", trainer.instrument.as_ref().map(|instrument| quoted(instrument.as_str()))),
        ("brief", trainer.brief.then(|| "true".to_owned())),
    ]
}

/// The dated rows of `trainer.toml`.
pub(crate) fn trainer_rows(trainer: &Trainer) -> Vec<Rows> {
    vec![
        Rows::of("habit", 4, &trainer.habits, habit_entries),
        Rows::of("block", 2, &trainer.blocks, block_entries),
        Rows::of("sore", 2, &trainer.sore, sore_entries),
    ]
}

fn block_entries(block: &KeptBlock) -> Vec<Entry> {
    let KeptBlock { name, steps, on, off, by } = block;
    let steps: Vec<String> = steps.iter().filter_map(|step| inline(&step_entries(step))).collect();
    vec![
        ("name", Some(quoted(name))),
        ("on", Some(on.to_string())),
        ("off", day(*off)),
        ("by", non_empty(by)),
        ("steps", Some(format!("[{}]", steps.join(", ")))),
    ]
}

fn step_entries(step: &KeptStep) -> Vec<Entry> {
    let KeptStep { stretch, form, side, method, cycles, held } = step;
    vec![
        ("stretch", Some(quoted(stretch.as_str()))),
        ("form", Some(quoted(form.as_str()))),
        ("side", side.map(|side| quoted(side.id()))),
        ("method", Some(quoted(method.id()))),
        ("cycles", (*cycles > 0).then(|| cycles.to_string())),
        ("held_s", Some(held.get().to_string())),
    ]
}

fn sore_entries(sore: &Sore) -> Vec<Entry> {
    let Sore { region, on, kept, off } = sore;
    vec![
        ("region", Some(quoted(region.id()))),
        ("on", Some(on.to_string())),
        ("kept", kept.then(|| "true".to_owned())),
        ("off", day(*off)),
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
    let mut out = format!("version = {TRAINER_VERSION}\n");
    push_entries(&mut out, trainer_entries(trainer));
    push_rows(&mut out, trainer_rows(trainer));
    out
}

fn push_rows(out: &mut String, kinds: Vec<Rows>) {
    for kind in kinds {
        for row in kind.all {
            writeln!(out, "\n[[{}]]", kind.name).expect("writing to a string cannot fail");
            push_entries(out, row);
        }
    }
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

/// A date and time as it stands in a file.
pub(crate) fn moment(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339()
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
pub(crate) fn change_row(out: &mut String, number: u32, change: &Change) {
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
