//! From the text of a file to a client or a trainer.

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeValue;

use crate::body::{Degrees, Kilograms, Level, Seconds, Side};
use crate::catalogue::{FormId, Method, StretchId};
use crate::client::{
    Angle, Client, ClientId, Consent, Correction, Disagreement, Ended, Narrowing, Planned, Profile, Report,
    Session, TakenBack, Trained, Trainer, whole_second,
};

use super::error::{Flaw, StoreError};
use super::fast_path;
use super::fields::{
    Fields, Value, Walk, Wrong, bounded, count, date, flag, integer, moment, parse, text, word,
};
use super::read_rows;
use super::text::Source;

/// The version of a client's file that this program writes, and the highest that it reads.
pub(crate) const VERSION: i64 = 2;

/// The same of the trainer's settings.
pub(crate) const TRAINER_VERSION: i64 = 1;

/// Keys at the top of a client's file.
pub(crate) const PROFILE_KEYS: &[&str] = &[
    "version",
    "name",
    "born",
    "sex",
    "mass_kg",
    "contact",
    "archived",
    "aims",
    "likes",
    "dislikes",
    "home",
    "times",
    "note",
    "tight",
    "massage",
    "screening",
    "guardian",
    "agreement",
    "habit",
    "pain",
    "condition",
    "change",
    "clash",
    "session",
];
pub(crate) const SESSION_KEYS: &[&str] = &[
    "at",
    "minutes",
    "by",
    "trained",
    "consent",
    "narrowed",
    "correction",
    "report",
    "note",
    "closed",
    "change",
    "clash",
    "taken_back",
];
pub(crate) const REPORT_KEYS: &[&str] = &[
    "stretch",
    "form",
    "side",
    "method",
    "cycles",
    "held_s",
    "planned_s",
    "planned_cycles",
    "aim",
    "level",
    "angle_deg",
    "angles",
    "ended",
    "sign",
    "note",
    "taken_back",
];
const ANGLE_KEYS: &[&str] = &["deg", "taken", "position", "with"];
const NARROWED_KEYS: &[&str] = &["what", "at", "lifted"];
const CORRECTION_KEYS: &[&str] = &["did", "stretch", "form", "instead_of"];
const TRAINER_KEYS: &[&str] = &[
    "version",
    "name",
    "studio",
    "contact",
    "equipment",
    "minutes",
    "may_massage",
    "instrument",
    "brief",
    "habit",
    "block",
    "sore",
];

/// Reads a client's file. Gives what was not understood beside the client.
pub(crate) fn client(id: &ClientId, source: &Source) -> Result<(Client, Vec<Flaw>), StoreError> {
    fast_path::client(id, source).map_or_else(|| client_by_parser(id, source), Ok)
}

/// Reads a client's file with the parser alone.
pub(crate) fn client_by_parser(id: &ClientId, source: &Source) -> Result<(Client, Vec<Flaw>), StoreError> {
    let parsed = parse(source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "client file");
    let mut walk = Walk::new(source);
    check_version(&mut walk, top, source.path(), VERSION)?;
    let profile = profile(&mut walk, top, id);
    let changes = read_rows::changes(&mut walk, top);
    let disagreements = disagreements(top.get("clash"), source);
    let sessions: Vec<Read> = walk
        .tables(top, "session", "session")
        .into_iter()
        .filter_map(|fields| session(&mut walk, fields))
        .collect();
    walk.ignore_rest(top, PROFILE_KEYS);
    let client = profile.map(|profile| {
        let mut client = Client { changes, disagreements, ..Client::new(profile, Vec::new()) };
        take_in(&mut client, sessions);
        client
    });
    walk.finish(client)
}

/// A session as it stands in a file, and whether it was taken back.
pub(crate) type Read = (Session, Option<TakenBack>);

/// Adds sessions to a client, oldest first.
pub(crate) fn take_in(client: &mut Client, sessions: Vec<Read>) {
    for (session, taken_back) in sessions {
        match taken_back {
            None => client.sessions.push(session),
            Some(taken_back) => client.taken_back.push((session, taken_back)),
        }
    }
    client.sessions.sort_by_key(|session| session.at);
    client.taken_back.sort_by_key(|(session, _)| session.at);
}

/// What a table of clashes says.
fn disagreements(table: Option<&Value<'_>>, source: &Source) -> Vec<Disagreement> {
    let table = table.and_then(|value| value.get_ref().as_table());
    let mut found: Vec<Disagreement> = table
        .into_iter()
        .flat_map(|table| table.iter())
        .map(|(key, value)| {
            let mut values: Vec<String> = value.get_ref().as_array().map_or_else(Vec::new, |array| {
                array.iter().map(|value| source.text()[value.span()].to_owned()).collect()
            });
            values.sort();
            Disagreement { of: key.get_ref().to_string(), values }
        })
        .collect();
    found.sort();
    found
}

/// Reads the part of a client's file before the sessions, if it can be read alone and says nothing about sessions.
pub(crate) fn head(id: &ClientId, source: &Source, head: &str) -> Option<(Client, Vec<Flaw>)> {
    let head = Source::made(source.path(), head.to_owned());
    let parsed = parse(&head).ok()?;
    if parsed.get_ref().contains_key("session") {
        return None;
    }
    client_by_parser(id, &head).ok()
}

/// Reads one session's block, which begins at a byte of `source`, if it can be read alone and holds nothing else.
pub(crate) fn lone_session(source: &Source, start: usize, block: &str) -> Option<(Read, Vec<Flaw>)> {
    let alone = Source::made(source.path(), block.to_owned());
    let (mut sessions, mut unknown) = blocks_alone(&alone).ok()?;
    let session = sessions.pop().filter(|_| sessions.is_empty())?;
    if !unknown.is_empty() {
        let lines_before = source.position(start).0 - 1;
        for flaw in &mut unknown {
            flaw.line += lines_before;
        }
    }
    Some((session, unknown))
}

/// Reads the sessions of a text that holds `[[session]]` blocks and nothing else.
pub(crate) fn session_blocks(source: &Source) -> Result<Vec<Read>, StoreError> {
    blocks_alone(source).map(|(sessions, _)| sessions)
}

fn blocks_alone(source: &Source) -> Result<(Vec<Read>, Vec<Flaw>), StoreError> {
    let parsed = parse(source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "file");
    let mut walk = Walk::new(source);
    let sessions: Vec<Read> = walk
        .tables(top, "session", "session")
        .into_iter()
        .filter_map(|fields| session(&mut walk, fields))
        .collect();
    let alone = top.entries().all(|(key, _)| key.get_ref() == "session");
    walk.finish(alone.then_some(sessions))
}

/// What merged copies disagreed about, as it is kept in a client's file.
pub(crate) fn clashes(source: &Source) -> Vec<Disagreement> {
    let head = Source::made(source.path(), fast_path::before_sessions(source.text()).to_owned());
    let source = if parse(&head).is_ok() { &head } else { source };
    let Ok(parsed) = parse(source) else { return Vec::new() };
    disagreements(parsed.get_ref().get("clash"), source)
}

/// Reads one line `report.NN = { .. }`.
pub(crate) fn report_row(line: &str) -> Result<(u32, Report), StoreError> {
    let source = Source::made(Path::new("report"), line.to_owned());
    let parsed = parse(&source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "report");
    let mut walk = Walk::new(&source);
    let (mut reports, _) =
        walk.table(top, "report", "report").map(|rows| reports(&mut walk, rows)).unwrap_or_default();
    let one = reports.pop_first();
    walk.finish(one).map(|(report, _)| report)
}

/// Reads `trainer.toml`.
pub(crate) fn trainer(source: &Source) -> Result<(Trainer, Vec<Flaw>), StoreError> {
    let parsed = parse(source)?;
    let top = Fields::new(parsed.get_ref(), &(0..0), "trainer file");
    let mut walk = Walk::new(source);
    check_version(&mut walk, top, source.path(), TRAINER_VERSION)?;
    let usual = Trainer::default();
    let trainer = Trainer {
        name: walk.may(top, "name", text).unwrap_or_default(),
        studio: walk.may(top, "studio", text).unwrap_or_default(),
        contact: walk.may(top, "contact", text).unwrap_or_default(),
        equipment: if top.has("equipment") { walk.words(top, "equipment") } else { usual.equipment },
        minutes: walk.may(top, "minutes", bounded).unwrap_or(usual.minutes),
        may_massage: walk.may(top, "may_massage", flag).unwrap_or(false),
        instrument: walk.may(top, "instrument", word),
        brief: walk.may(top, "brief", flag).unwrap_or(false),
        habits: read_rows::habits(&mut walk, top),
        blocks: read_rows::blocks(&mut walk, top),
        sore: read_rows::sore(&mut walk, top),
    };
    walk.ignore_rest(top, TRAINER_KEYS);
    walk.finish(Some(trainer))
}

fn check_version(
    walk: &mut Walk<'_>,
    top: Fields<'_, '_>,
    path: &Path,
    known: i64,
) -> Result<(), StoreError> {
    if !top.has("version") {
        let remedy = format!("if it is one of matside's, write `version = {known}` on the first line");
        walk.flaw(0..0, "the file does not say its version", remedy);
        return Ok(());
    }
    match walk.may(top, "version", integer) {
        Some(found) if found > known => Err(StoreError::Newer { path: path.to_owned(), found, known }),
        Some(found) if found < 1 => {
            let span = top.get("version").map_or(0..0, toml::Spanned::span);
            walk.flaw(span, format!("there is no version {found}"), format!("write `version = {known}`"));
            Ok(())
        }
        _ => Ok(()),
    }
}

fn profile(walk: &mut Walk<'_>, top: Fields<'_, '_>, id: &ClientId) -> Option<Profile> {
    let name = walk.want(top, "name", text);
    let mut profile = Profile::new(id.clone(), name.clone().unwrap_or_default());
    profile.born = walk.may(top, "born", read_rows::birth);
    profile.sex = walk.may_word(top, "sex");
    profile.mass = walk.may(top, "mass_kg", bounded::<Kilograms>);
    profile.contact = walk.may(top, "contact", text).unwrap_or_default();
    profile.archived = walk.may(top, "archived", date);
    profile.aims = walk.words(top, "aims");
    profile.likes = walk.list(top, "likes", word::<StretchId>);
    profile.dislikes = walk.list(top, "dislikes", word::<StretchId>);
    profile.at_home = walk.words(top, "home");
    profile.usual_times = walk.list(top, "times", read_rows::usual_time);
    profile.note = walk.may(top, "note", text).unwrap_or_default();
    profile.tight = read_rows::tight(walk, top);
    profile.screenings = read_rows::screenings(walk, top);
    profile.guardians = read_rows::guardians(walk, top);
    profile.agreements = read_rows::agreements(walk, top);
    profile.habits = read_rows::habits(walk, top);
    profile.pain = read_rows::pain(walk, top);
    profile.conditions = read_rows::conditions(walk, top);
    name.map(|_| profile)
}

fn session(walk: &mut Walk<'_>, fields: Fields<'_, '_>) -> Option<Read> {
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
        changes: read_rows::changes(walk, fields),
        disagreements: disagreements(fields.get("clash"), walk.source()),
    };
    let session_taken_back = read_rows::taken_back(walk, fields);
    walk.ignore_rest(fields, SESSION_KEYS);
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

fn reports(walk: &mut Walk<'_>, rows: Fields<'_, '_>) -> Reports {
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
        match read_rows::taken_back(walk, fields) {
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
    walk.ignore_rest(fields, REPORT_KEYS);
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
