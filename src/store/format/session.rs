//! A session and its rows, from text to values.

use std::collections::BTreeMap;

use crate::body::{Degrees, Level, Muscle, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::client::{
    Angle, Consent, Correction, Ended, Narrowing, Planned, Report, Session, TakenBack, Trained, whole_second,
};

use crate::document::values::{bounded, count, moment, text, word};
use crate::document::{Table, Unknown, Value, Walker, Wrong};

use super::dated;

/// A session as it stands in a file, and whether it was taken back.
pub(crate) type Read = (Session, Option<TakenBack>);

/// One session, and whether it was taken back.
pub(super) fn session(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Option<Read> {
    let at = walk.want(fields, "at", moment);
    let minutes = walk.want(fields, "minutes", bounded);
    let consent = consent(walk, fields);
    let trained = walk.table(fields, "trained", "list of trained muscles").map(|rows| trained(walk, &rows));
    let (reports, taken_back) =
        walk.table(fields, "report", "list of reports").map(|rows| reports(walk, &rows)).unwrap_or_default();
    let narrowed = walk
        .table(fields, "narrowed", "list of what was narrowed")
        .map(|rows| narrowed(walk, &rows))
        .unwrap_or_default();
    let read = Session {
        at: whole_second(at?),
        minutes: minutes?,
        by: walk.may(fields, "by", text).unwrap_or_default(),
        trained: trained.unwrap_or_default(),
        consent: consent?,
        narrowed,
        corrections: corrections(walk, fields),
        reports,
        taken_back,
        closed: walk.may(fields, "closed", moment).map(whole_second),
        note: walk.may(fields, "note", text).unwrap_or_default(),
        changes: dated::changes(walk, fields),
        disagreements: dated::disagreements(fields.get("clash")),
    };
    let session_taken_back = dated::taken_back(walk, fields);
    walk.finish(fields, Unknown::Kept);
    Some((read, session_taken_back))
}

/// What was agreed to. A word of a later version is taken for the narrowest under which anything was done.
fn consent(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Option<Consent> {
    if !fields.has("consent") {
        return walk.want(fields, "consent", word);
    }
    let known = walk.may_word(fields, "consent");
    Some(known.unwrap_or(Consent::SelfStretch))
}

fn trained(walk: &mut Walker<'_>, rows: &Table<'_, '_>) -> Trained {
    let mut found = Trained::new();
    for (word, place, value) in rows.entries() {
        match word.parse::<Muscle>() {
            Ok(muscle) => found.extend(walk.take(word, value, bounded).map(|effort| (muscle, effort))),
            Err(error) => walk.doubt(place, format!("trained: {error}")),
        }
    }
    found
}

/// What was taken out of the consent: `narrowed.01 = { .. }`, or `narrowed.no-massage = <moment>` as in version 1.
fn narrowed(walk: &mut Walker<'_>, rows: &Table<'_, '_>) -> Vec<Narrowing> {
    let mut found = Vec::new();
    for (word, place, value) in rows.entries() {
        if value.get_ref().is_table() {
            let Some(mut fields) = walk.as_table(word, value, "narrowing") else { continue };
            let what = walk.may_word(&mut fields, "what");
            let at = walk.want(&mut fields, "at", moment);
            let lifted = walk.may(&mut fields, "lifted", moment).map(whole_second);
            walk.finish(&fields, Unknown::Kept);
            found.extend(what.zip(at).map(|(what, at)| Narrowing { what, at: whole_second(at), lifted }));
            continue;
        }
        match word.parse() {
            Ok(what) => {
                let at = walk.take(word, value, moment);
                found.extend(at.map(|at| Narrowing { what, at: whole_second(at), lifted: None }));
            }
            Err(error) => walk.doubt(place, format!("narrowed: {error}")),
        }
    }
    found.sort_by_key(|narrowing| (narrowing.at, narrowing.what, narrowing.lifted));
    found
}

fn corrections(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Vec<Correction> {
    let Some(rows) = walk.table(fields, "correction", "list of corrections") else { return Vec::new() };
    let mut found = BTreeMap::new();
    for (number, _, value) in rows.entries() {
        let Some(mut fields) = walk.as_table("correction", value, "correction") else { continue };
        let kind = walk.may_word(&mut fields, "did");
        let stretch = walk.want(&mut fields, "stretch", word::<StretchId>);
        let form = walk.may(&mut fields, "form", word::<FormId>);
        let instead_of = walk.may(&mut fields, "instead_of", stretch_and_form);
        walk.finish(&fields, Unknown::Kept);
        if let Some((kind, stretch)) = kind.zip(stretch) {
            let correction = Correction { kind, stretch, form, instead_of };
            found.insert((number.parse().unwrap_or(u32::MAX), number), correction);
        }
    }
    found.into_values().collect()
}

/// `stretch/form`.
fn stretch_and_form(value: &Value<'_>) -> Result<(StretchId, FormId), Wrong> {
    const EXAMPLE: &str = "\"straight-leg-raise/hand-on-heel\"";
    let word = value.as_str().ok_or_else(|| Wrong::kind("a stretch and its form", value, EXAMPLE))?;
    let parts = word.split_once('/').and_then(|(stretch, form)| stretch.parse().ok().zip(form.parse().ok()));
    parts.ok_or_else(|| {
        Wrong::new(format!("`{word}` is no stretch and form"), format!("write it like {EXAMPLE}"))
    })
}

/// The reports of a session, and those that were taken back.
type Reports = (BTreeMap<u32, Report>, BTreeMap<u32, (Report, TakenBack)>);

pub(super) fn reports(walk: &mut Walker<'_>, rows: &Table<'_, '_>) -> Reports {
    let (mut reports, mut gone) = Reports::default();
    for (number, place, value) in rows.entries() {
        let digits = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
        let Some(number) = number.parse::<u32>().ok().filter(|_| digits) else {
            walk.flaw(
                place,
                format!("a report cannot be called `{number}`"),
                "number the reports, like `report.01 = { .. }`",
            );
            continue;
        };
        let Some(mut fields) = walk.as_table("report", value, "report") else { continue };
        let Some(report) = report(walk, &mut fields) else { continue };
        let twice = reports.contains_key(&number) || gone.contains_key(&number);
        match dated::taken_back(walk, &mut fields) {
            None => drop(reports.insert(number, report)),
            Some(taken_back) => drop(gone.insert(number, (report, taken_back))),
        }
        walk.finish(&fields, Unknown::Kept);
        if twice {
            let message = format!("report {number} stands twice in this session");
            walk.flaw(place, message, "give one of them a number of its own");
        }
    }
    (reports, gone)
}

fn report(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Option<Report> {
    let stretch = walk.want(fields, "stretch", word::<StretchId>);
    let form = walk.want(fields, "form", word::<FormId>);
    let held = walk.want(fields, "held_s", count);
    let planned = walk.may(fields, "planned_s", count);
    fields.knows(&["planned_cycles", "aim"]);
    Some(Report {
        stretch: stretch?,
        form: form?,
        side: walk.may(fields, "side", word::<Side>),
        method: walk.may_word(fields, "method").unwrap_or(Method::Static),
        cycles: walk.may(fields, "cycles", count).unwrap_or(0),
        held: Seconds::new(held?),
        planned: planned.map(|planned| Planned {
            held: Seconds::new(planned),
            cycles: walk.may(fields, "planned_cycles", count).unwrap_or(0),
            aim: walk.may(fields, "aim", bounded::<Level>),
        }),
        level: walk.may(fields, "level", bounded::<Level>),
        angles: angles(walk, fields),
        ended: ended(walk, fields),
        sign: walk.may(fields, "sign", text),
        note: walk.may(fields, "note", text).unwrap_or_default(),
    })
}

/// How it ended. A word of a later version says at least that it was not done to the end.
fn ended(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Ended {
    if !fields.has("ended") {
        return Ended::Done;
    }
    walk.may_word(fields, "ended").unwrap_or(Ended::CutOff)
}

fn angles(walk: &mut Walker<'_>, fields: &mut Table<'_, '_>) -> Vec<Angle> {
    let plain = walk.may(fields, "angle_deg", bounded::<Degrees>).map(Angle::new);
    let tables = walk.tables(fields, "angles", "angle");
    let more = tables.into_iter().filter_map(|mut fields| {
        let degrees = walk.want(&mut fields, "deg", bounded::<Degrees>);
        let angle = Angle {
            degrees: degrees?,
            taken: walk.may_word(&mut fields, "taken"),
            position: walk.may(&mut fields, "position", word),
            with: walk.may(&mut fields, "with", word),
        };
        walk.finish(&fields, Unknown::Kept);
        Some(angle)
    });
    plain.into_iter().chain(more.collect::<Vec<_>>()).collect()
}
