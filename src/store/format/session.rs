//! A session and its rows, from text to values.

use std::collections::BTreeMap;

use toml::de::DeValue;

use crate::body::{Degrees, Level, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::client::{
    Angle, Consent, Correction, Ended, Narrowing, Planned, Report, Session, TakenBack, Trained, whole_second,
};

use super::super::fields::{Fields, Walk, Wrong, bounded, count, moment, text, word};
use super::super::shape::{REPORT_ORDER, SESSION_ORDER};
use super::dated;

const ANGLE_KEYS: &[&str] = &["deg", "taken", "position", "with"];
const NARROWED_KEYS: &[&str] = &["what", "at", "lifted"];
const CORRECTION_KEYS: &[&str] = &["did", "stretch", "form", "instead_of"];
/// A session as it stands in a file, and whether it was taken back.
pub(crate) type Read = (Session, Option<TakenBack>);

/// One session, and whether it was taken back.
pub(super) fn session(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Option<Read> {
    let at = walk.want(fields, "at", moment);
    let minutes = walk.want(fields, "minutes", bounded);
    let consent = consent(walk, fields);
    let trained = walk.table(fields, "trained", "list of trained muscles").map(|rows| trained(walk, rows));
    let (reports, taken_back) =
        walk.table(fields, "report", "list of reports").map(|rows| reports(walk, rows)).unwrap_or_default();
    let narrowed = walk
        .table(fields, "narrowed", "list of what was narrowed")
        .map(|rows| narrowed(walk, rows))
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
    walk.ignore_rest(fields, SESSION_ORDER);
    Some((read, session_taken_back))
}

/// What was agreed to. A word of a later version is taken for the narrowest under which anything was done.
fn consent(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Option<Consent> {
    if !fields.has("consent") {
        return walk.want(fields, "consent", word);
    }
    let known = walk.may_word(fields, "consent");
    Some(known.unwrap_or(Consent::SelfStretch))
}

fn trained(walk: &mut Walk<'_>, rows: Fields<'_, '_>) -> Trained {
    let mut found = Trained::new();
    for (key, _) in rows.entries() {
        match key.get_ref().parse() {
            Ok(muscle) => {
                if let Some(effort) = walk.want(rows, key.get_ref(), bounded) {
                    found.insert(muscle, effort);
                }
            }
            Err(error) => walk.doubt(key.span(), format!("trained: {error}")),
        }
    }
    found
}

/// What was taken out of the consent: `narrowed.01 = { .. }`, or `narrowed.no-massage = <moment>` as in version 1.
fn narrowed(walk: &mut Walk<'_>, rows: Fields<'_, '_>) -> Vec<Narrowing> {
    let mut found = Vec::new();
    for (key, value) in rows.entries() {
        if let DeValue::Table(_) = value.get_ref() {
            let Some(fields) = walk.as_table(value, "narrowing") else { continue };
            let what = walk.may_word(fields, "what");
            let at = walk.want(fields, "at", moment);
            let lifted = walk.may(fields, "lifted", moment).map(whole_second);
            walk.ignore_rest(fields, NARROWED_KEYS);
            found.extend(what.zip(at).map(|(what, at)| Narrowing { what, at: whole_second(at), lifted }));
            continue;
        }
        match key.get_ref().parse() {
            Ok(what) => {
                let at = walk.want(rows, key.get_ref(), moment);
                found.extend(at.map(|at| Narrowing { what, at: whole_second(at), lifted: None }));
            }
            Err(error) => walk.doubt(key.span(), format!("narrowed: {error}")),
        }
    }
    found.sort_by_key(|narrowing| (narrowing.at, narrowing.what, narrowing.lifted));
    found
}

fn corrections(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Vec<Correction> {
    let Some(rows) = walk.table(fields, "correction", "list of corrections") else { return Vec::new() };
    let mut found = BTreeMap::new();
    for (key, value) in rows.entries() {
        let Some(fields) = walk.as_table(value, "correction") else { continue };
        let kind = walk.may_word(fields, "did");
        let stretch = walk.want(fields, "stretch", word::<StretchId>);
        let form = walk.may(fields, "form", word::<FormId>);
        let instead_of = walk.may(fields, "instead_of", stretch_and_form);
        walk.ignore_rest(fields, CORRECTION_KEYS);
        if let Some((kind, stretch)) = kind.zip(stretch) {
            let number: u32 = key.get_ref().parse().unwrap_or(u32::MAX);
            let correction = Correction { kind, stretch, form, instead_of };
            found.insert((number, key.get_ref().to_string()), correction);
        }
    }
    found.into_values().collect()
}

/// `stretch/form`.
fn stretch_and_form(value: &DeValue<'_>) -> Result<(StretchId, FormId), Wrong> {
    const EXAMPLE: &str = "\"straight-leg-raise/hand-on-heel\"";
    let word = value.as_str().ok_or_else(|| Wrong::kind("a stretch and its form", value, EXAMPLE))?;
    let parts = word.split_once('/').and_then(|(stretch, form)| stretch.parse().ok().zip(form.parse().ok()));
    parts.ok_or_else(|| {
        Wrong::new(format!("`{word}` is no stretch and form"), format!("write it like {EXAMPLE}"))
    })
}

/// The reports of a session, and those that were taken back.
type Reports = (BTreeMap<u32, Report>, BTreeMap<u32, (Report, TakenBack)>);

pub(super) fn reports(walk: &mut Walk<'_>, rows: Fields<'_, '_>) -> Reports {
    let (mut reports, mut gone) = Reports::default();
    for (key, value) in rows.entries() {
        let number: &str = key.get_ref();
        let digits = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
        let Some(number) = number.parse::<u32>().ok().filter(|_| digits) else {
            walk.flaw(
                key.span(),
                format!("a report cannot be called `{number}`"),
                "number the reports, like `report.01 = { .. }`",
            );
            continue;
        };
        let Some(fields) = walk.as_table(value, "report") else { continue };
        let Some(report) = report(walk, fields) else { continue };
        let twice = reports.contains_key(&number) || gone.contains_key(&number);
        match dated::taken_back(walk, fields) {
            None => drop(reports.insert(number, report)),
            Some(taken_back) => drop(gone.insert(number, (report, taken_back))),
        }
        if twice {
            let message = format!("report {number} stands twice in this session");
            walk.flaw(key.span(), message, "give one of them a number of its own");
        }
    }
    (reports, gone)
}

fn report(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Option<Report> {
    let stretch = walk.want(fields, "stretch", word::<StretchId>);
    let form = walk.want(fields, "form", word::<FormId>);
    let held = walk.want(fields, "held_s", count);
    let planned = walk.may(fields, "planned_s", count);
    let report = Report {
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
    };
    walk.ignore_rest(fields, REPORT_ORDER);
    Some(report)
}

/// How it ended. A word of a later version says at least that it was not done to the end.
fn ended(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Ended {
    if !fields.has("ended") {
        return Ended::Done;
    }
    walk.may_word(fields, "ended").unwrap_or(Ended::CutOff)
}

fn angles(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Vec<Angle> {
    let plain = walk.may(fields, "angle_deg", bounded::<Degrees>).map(Angle::new);
    let tables = walk.tables(fields, "angles", "angle");
    let more = tables.into_iter().filter_map(|fields| {
        let degrees = walk.want(fields, "deg", bounded::<Degrees>);
        let angle = Angle {
            degrees: degrees?,
            taken: walk.may_word(fields, "taken"),
            position: walk.may(fields, "position", word),
            with: walk.may(fields, "with", word),
        };
        walk.ignore_rest(fields, ANGLE_KEYS);
        Some(angle)
    });
    plain.into_iter().chain(more.collect::<Vec<_>>()).collect()
}
