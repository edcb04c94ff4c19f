//! The dated rows of a client's or the trainer's file, from text to values.
//!
//! What the first version of the format said once in a table, or as a plain word, is read as the row that it means.

use std::collections::BTreeMap;

use crate::body::{Muscle, Seconds, Side, Unit};
use crate::catalogue::{FormId, Method, StretchId};
use crate::caution::screening::Answer;
use crate::caution::{ConditionId, RecordedCondition};
use crate::client::{
    Birth, Cleared, Disagreement, Guardian, Habit, KeptBlock, KeptStep, NOT_SAID_WHAT, NotedTight, OpenPoint,
    PainFollowUp, Revision, Screening, Sore, StandingConsent, TakenBack, Touch, UsualTime,
};

use crate::document::values::{count, date, flag, moment, parsed, text, word};
use crate::document::{Placed, Table, Unknown, Value, Walker, Wrong};

use super::super::value_text::on_one_line;

/// The rows under a key: blocks, a list of tables, or the one table of the first version.
fn rows<T>(
    walk: &mut Walker<'_>,
    top: &mut Table<'_, '_>,
    key: &'static str,
    read: impl Fn(&mut Walker<'_>, &mut Table<'_, '_>) -> Option<T>,
) -> Vec<T> {
    let tables = match top.get(key) {
        Some(value) if value.get_ref().is_table() => walk.table(top, key, key).into_iter().collect(),
        _ => walk.tables(top, key, key),
    };
    let mut one = |mut table: Table<'_, '_>| {
        let row = read(walk, &mut table);
        walk.finish(&table, Unknown::Kept);
        row
    };
    tables.into_iter().filter_map(&mut one).collect()
}

pub(crate) fn conditions(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<RecordedCondition> {
    rows(walk, top, "condition", |walk, fields| {
        let id = walk.want(fields, "id", word::<ConditionId>);
        let mut recorded = id.map(|id| RecordedCondition {
            side: walk.may_word(fields, "side"),
            muscle: walk.may_word(fields, "muscle"),
            joint: walk.may_word(fields, "joint"),
            since: walk.may(fields, "since", date),
            due: walk.may(fields, "due", date),
            week: walk.may(fields, "week", count),
            cleared_by: walk.may(fields, "cleared_by", text),
            cleared_on: walk.may(fields, "cleared_on", date),
            until: walk.may(fields, "until", date),
            by: walk.may(fields, "by", text).unwrap_or_default(),
            note: walk.may(fields, "note", text).unwrap_or_default(),
            id,
        });
        // A week without its day stands still; an unknown week counts as late, which is the safe side.
        if let Some(recorded) = recorded.as_mut().filter(|recorded| recorded.since.is_none()) {
            recorded.week = None;
        }
        recorded
    })
}

pub(crate) fn screenings(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<Screening> {
    rows(walk, top, "screening", |walk, fields| {
        let on = walk.want(fields, "on", date);
        let clear = walk.may(fields, "clear", flag);
        let mut open = rows(walk, fields, "open", open_point);
        let mut note = walk.may(fields, "note", text).unwrap_or_default();
        if clear == Some(false) && open.is_empty() {
            let what = if note.is_empty() { NOT_SAID_WHAT.to_owned() } else { std::mem::take(&mut note) };
            open.push(OpenPoint { what, cleared: None });
        }
        if clear.is_none() && !fields.has("open") && !fields.has("answers") {
            walk.flaw(
                fields.place(),
                "this screening does not say how it came out",
                "add `clear = true`, or `open = [{ what = \"...\" }]`",
            );
        }
        Some(Screening {
            on: on?,
            answers: answers(walk, fields),
            open,
            by: walk.may(fields, "by", text).unwrap_or_default(),
            note,
            off: walk.may(fields, "off", date),
        })
    })
}

fn answers(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> BTreeMap<String, Answer> {
    let Some(answers) = walk.table(fields, "answers", "list of answers") else { return BTreeMap::new() };
    let mut answer = |(question, _, value): (&str, _, &Placed<'_>)| {
        Some((question.to_owned(), walk.take(question, value, word)?))
    };
    answers.entries().into_iter().filter_map(&mut answer).collect()
}

fn open_point(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Option<OpenPoint> {
    let what = walk.want(fields, "what", text);
    fields.knows(&["cleared_on"]);
    let by = walk.may(fields, "cleared_by", text);
    let on = if by.is_some() { walk.want(fields, "cleared_on", date) } else { None };
    let note = walk.may(fields, "cleared_note", text).unwrap_or_default();
    let cleared = by.zip(on).map(|(by, on)| Cleared { by, on, note });
    Some(OpenPoint { what: what?, cleared })
}

pub(crate) fn guardians(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<Guardian> {
    rows(walk, top, "guardian", |walk, fields| {
        let (name, on) = (walk.want(fields, "name", text), walk.want(fields, "on", date));
        let off = walk.may(fields, "off", date);
        let by = walk.may(fields, "by", text).unwrap_or_default();
        Some(Guardian { name: name?, on: on?, off, by })
    })
}

pub(crate) fn agreements(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<StandingConsent> {
    let mut found = rows(walk, top, "agreement", |walk, fields| {
        let (to, given) = (walk.want(fields, "to", word), walk.want(fields, "given", flag));
        Some(StandingConsent {
            to: to?,
            given: given?,
            on: walk.may(fields, "on", date),
            off: walk.may(fields, "off", date),
            by: walk.may(fields, "by", text).unwrap_or_default(),
            note: walk.may(fields, "note", text).unwrap_or_default(),
        })
    });
    // The first version had a plain yes.
    if walk.may(top, "massage", flag) == Some(true) {
        found.insert(0, StandingConsent::new(Touch::Massage, true, None));
    }
    found
}

pub(crate) fn tight(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<NotedTight> {
    let mut found = Vec::new();
    for value in walk.items(top, "tight") {
        if !value.get_ref().is_table() {
            let plain = walk.take("tight", value, units).unwrap_or_default();
            found.extend(plain.into_iter().map(|unit| NotedTight::new(unit, None)));
            continue;
        }
        let Some(mut fields) = walk.as_table("tight", value, "tight") else { continue };
        let named = walk.want(&mut fields, "unit", units).unwrap_or_default();
        let (on, off) = (walk.may(&mut fields, "on", date), walk.may(&mut fields, "off", date));
        let kept = walk.list(&mut fields, "kept", date);
        let by = walk.may(&mut fields, "by", text).unwrap_or_default();
        walk.finish(&fields, Unknown::Kept);
        let row = |unit| NotedTight { unit, on, kept: kept.clone(), off, by: by.clone() };
        found.extend(named.into_iter().map(row));
    }
    found
}

pub(crate) fn habits(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<Habit> {
    rows(walk, top, "habit", |walk, fields| {
        let kind = walk.want(fields, "kind", word);
        let stretch = walk.want(fields, "stretch", word::<StretchId>);
        let on = walk.want(fields, "on", date);
        Some(Habit {
            kind: kind?,
            stretch: stretch?,
            form: walk.may(fields, "form", word::<FormId>),
            agreed: walk.may(fields, "agreed", flag).unwrap_or(true),
            on: on?,
            off: walk.may(fields, "off", date),
            by: walk.may(fields, "by", text).unwrap_or_default(),
        })
    })
}

pub(crate) fn pain(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<PainFollowUp> {
    rows(walk, top, "pain", |walk, fields| {
        let (stretch, on) = (walk.want(fields, "stretch", word::<StretchId>), walk.want(fields, "on", date));
        Some(PainFollowUp {
            stretch: stretch?,
            side: walk.may_word(fields, "side"),
            on: on?,
            still_sore: walk.may(fields, "still_sore", flag),
            cleared_by: walk.may(fields, "cleared_by", text),
            by: walk.may(fields, "by", text).unwrap_or_default(),
            note: walk.may(fields, "note", text).unwrap_or_default(),
            off: walk.may(fields, "off", date),
        })
    })
}

pub(crate) fn blocks(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<KeptBlock> {
    rows(walk, top, "block", |walk, fields| {
        let (name, on) = (walk.want(fields, "name", text), walk.want(fields, "on", date));
        let steps = rows(walk, fields, "steps", kept_step);
        let off = walk.may(fields, "off", date);
        let by = walk.may(fields, "by", text).unwrap_or_default();
        Some(KeptBlock { name: name?, steps, on: on?, off, by })
    })
}

fn kept_step(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Option<KeptStep> {
    let (stretch, form) = (walk.want(fields, "stretch", word), walk.want(fields, "form", word));
    let held = walk.want(fields, "held_s", count);
    Some(KeptStep {
        stretch: stretch?,
        form: form?,
        side: walk.may_word(fields, "side"),
        method: walk.may_word(fields, "method").unwrap_or(Method::Static),
        cycles: walk.may(fields, "cycles", count).unwrap_or(0),
        held: Seconds::new(held?),
    })
}

pub(crate) fn sore(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<Sore> {
    rows(walk, top, "sore", |walk, fields| {
        let (region, on) = (walk.may_word(fields, "region"), walk.want(fields, "on", date));
        let kept = walk.may(fields, "kept", flag).unwrap_or(false);
        let off = walk.may(fields, "off", date);
        Some(Sore { region: region?, on: on?, kept, off })
    })
}

/// What was changed: `change.01 = { .. }` and so on, oldest first.
pub(crate) fn changes(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Vec<Revision> {
    let Some(rows) = walk.table(fields, "change", "list of changes") else { return Vec::new() };
    let mut found = Vec::new();
    for (_, _, value) in rows.entries() {
        let Some(mut fields) = walk.as_table("change", value, "change") else { continue };
        let (at, of) = (walk.want(&mut fields, "at", moment), walk.want(&mut fields, "of", text));
        let mut value = |key| fields.get(key).map(|value| on_one_line(value.get_ref()));
        let (from, to) = (value("from"), value("to"));
        let by = walk.may(&mut fields, "by", text).unwrap_or_default();
        walk.finish(&fields, Unknown::Kept);
        found.extend(at.zip(of).map(|(at, of)| Revision { at, of, from, to, by }));
    }
    found.sort();
    found
}

/// What a table of clashes says.
pub(crate) fn disagreements(table: Option<&Placed<'_>>) -> Vec<Disagreement> {
    let table = table.and_then(|value| value.get_ref().as_table());
    let mut found: Vec<Disagreement> = table
        .into_iter()
        .flat_map(|table| table.iter())
        .map(|(key, value)| {
            let mut values: Vec<String> = value.get_ref().as_array().map_or_else(Vec::new, |array| {
                array.iter().map(|value| on_one_line(value.get_ref())).collect()
            });
            values.sort();
            Disagreement { of: key.get_ref().to_string(), values }
        })
        .collect();
    found.sort();
    found
}

pub(crate) fn taken_back(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Option<TakenBack> {
    let mut row = walk.table(fields, "taken_back", "taking back")?;
    let at = walk.want(&mut row, "at", moment);
    let by = walk.may(&mut row, "by", text).unwrap_or_default();
    let note = walk.may(&mut row, "note", text).unwrap_or_default();
    walk.finish(&row, Unknown::Kept);
    Some(TakenBack { at: at?, by, note })
}

/// A day of the week, with a time of day where it is always the same: `tue 18:30`.
pub(crate) fn usual_time(value: &Value<'_>) -> Result<UsualTime, Wrong> {
    const EXAMPLE: &str = "\"tue 18:30\"";
    let word = value.as_str().ok_or_else(|| Wrong::kind("a day and a time in quotes", value, EXAMPLE))?;
    word.parse().map_err(|error| Wrong::new(error, format!("write it like {EXAMPLE}")))
}

/// A day, a month or a year of birth.
pub(crate) fn birth(value: &Value<'_>) -> Result<Birth, Wrong> {
    match value {
        Value::Datetime(_) => date(value).map(Birth::on),
        Value::Integer(year) => word_of(year.as_str()),
        Value::String(text) => word_of(text),
        _ => Err(Wrong::kind("a date or a year", value, "1984-05-31, or 1984")),
    }
}

fn word_of(text: &str) -> Result<Birth, Wrong> {
    text.parse().map_err(|error| Wrong::new(error, "write as much as is known"))
}

/// A muscle on a side, written `hamstrings:left`; without a side both are meant.
pub(crate) fn units(value: &Value<'_>) -> Result<Vec<Unit>, Wrong> {
    let word =
        value.as_str().ok_or_else(|| Wrong::kind("a muscle in quotes", value, "\"hamstrings:left\""))?;
    let (muscle, side) = word.split_once(':').map_or((word, None), |(muscle, side)| (muscle, Some(side)));
    let muscle: Muscle = parsed(muscle.trim())?;
    match side {
        None => Ok(Side::ALL.iter().map(|&side| Unit { muscle, side }).collect()),
        Some(side) => Ok(vec![Unit { muscle, side: parsed(side.trim())? }]),
    }
}
