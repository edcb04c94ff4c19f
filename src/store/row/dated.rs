//! The keys of a profile, of the trainer's settings and of their dated rows.

use chrono::NaiveDate;

use crate::caution::RecordedCondition;
use crate::client::{
    Birth, Guardian, Habit, KeptBlock, KeptStep, NotedTight, OpenPoint, PainFollowUp, Profile, Screening,
    Sore, StandingConsent, Trainer,
};

use super::super::entry::{Entry, day, inline, list, non_empty};
use super::super::value_text::{key_text, quoted};

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
        ("times", list(profile.usual_times.iter().map(ToString::to_string))),
        ("note", non_empty(&profile.note)),
    ]
}

/// A day as a date, a year as a number, a month in quotes: TOML has no word for it.
fn born(born: Birth) -> String {
    let is_month = born.day().is_none() && born.month().is_some();
    if is_month { quoted(&born.to_string()) } else { born.to_string() }
}

/// Rows of one kind, each with its keys.
pub(crate) struct RowsOfKind {
    /// The key under which they stand.
    pub(crate) name: &'static str,
    /// How many of the first keys say which row it is; the others say what is known about it.
    pub(crate) identity: usize,
    /// The rows, in their order.
    pub(crate) all: Vec<Vec<Entry>>,
}

impl RowsOfKind {
    fn of<T>(name: &'static str, identity: usize, rows: &[T], entries: fn(&T) -> Vec<Entry>) -> Self {
        Self { name, identity, all: rows.iter().map(entries).collect() }
    }
}

/// The dated rows of a client's file, in the order in which a new file has them.
pub(crate) fn profile_rows(profile: &Profile) -> Vec<RowsOfKind> {
    vec![
        RowsOfKind::of("tight", 2, &profile.tight, tight_entries),
        RowsOfKind::of("screening", 1, &profile.screenings, screening_entries),
        RowsOfKind::of("guardian", 2, &profile.guardians, guardian_entries),
        RowsOfKind::of("agreement", 3, &profile.agreements, agreement_entries),
        RowsOfKind::of("habit", 4, &profile.habits, habit_entries),
        RowsOfKind::of("pain", 3, &profile.pain, pain_entries),
        RowsOfKind::of("condition", 4, &profile.conditions, condition_entries),
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

fn agreement_entries(agreement: &StandingConsent) -> Vec<Entry> {
    let StandingConsent { to, given, on, off, by, note } = agreement;
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
        ("remote", non_empty(&trainer.remote)),
    ]
}

/// The dated rows of `trainer.toml`.
pub(crate) fn trainer_rows(trainer: &Trainer) -> Vec<RowsOfKind> {
    vec![
        RowsOfKind::of("habit", 4, &trainer.habits, habit_entries),
        RowsOfKind::of("block", 2, &trainer.blocks, block_entries),
        RowsOfKind::of("sore", 2, &trainer.sore, sore_entries),
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
