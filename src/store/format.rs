//! From the text of a file to a client or a trainer, by the parser.

mod dated;
mod session;

use std::path::Path;

use crate::body::Kilograms;
use crate::catalogue::StretchId;
use crate::client::{Client, ClientId, Profile, Report, Trainer};

use super::error::{Flaw, StoreError};
use super::shape::{TRAINER_VERSION, VERSION};
use crate::document::values::{bounded, date, flag, integer, text, word};
use crate::document::{Parsed, Placed, Source, Table, Unknown, Walker};

pub(crate) use dated::{disagreements, units};
pub(crate) use session::Read;
use session::{reports, session};

/// Reads a client's file. Gives what was not understood beside the client.
pub(crate) fn client(id: &ClientId, source: &Source) -> Result<(Client, Vec<Flaw>), StoreError> {
    let parsed = Parsed::of(source)?;
    let (mut walk, mut top) = (Walker::new(source), parsed.top("client file"));
    check_version(&mut walk, &mut top, source.path(), VERSION)?;
    let profile = profile(&mut walk, &mut top, id);
    let changes = dated::changes(&mut walk, &mut top);
    let disagreements = disagreements(top.get("clash"));
    let sessions = sessions(&mut walk, &mut top);
    walk.finish(&top, Unknown::Kept);
    let client = profile.map(|profile| {
        let mut client = Client { changes, disagreements, ..Client::new(profile, Vec::new()) };
        take_in(&mut client, sessions);
        client
    });
    Ok(walk.end(client)?)
}

fn sessions(walk: &mut Walker<'_>, top: &mut Table<'_, '_>) -> Vec<Read> {
    let tables = walk.tables(top, "session", "session");
    tables.into_iter().filter_map(|mut table| session(walk, &mut table)).collect()
}

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

/// Reads the part of a client's file before the sessions, if it can be read alone and says nothing about sessions.
pub(crate) fn head(id: &ClientId, source: &Source, head: &str) -> Option<(Client, Vec<Flaw>)> {
    let head = Source::made(source.path(), head.to_owned());
    if Parsed::of(&head).ok()?.top("client file").has("session") {
        return None;
    }
    client(id, &head).ok()
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
    let parsed = Parsed::of(source)?;
    let (mut walk, mut top) = (Walker::new(source), parsed.top("file"));
    let sessions = sessions(&mut walk, &mut top);
    let alone = top.entries().iter().all(|(key, ..)| *key == "session");
    Ok(walk.end(alone.then_some(sessions))?)
}

/// Reads one line `report.NN = { .. }`.
pub(crate) fn report_row(line: &str) -> Result<(u32, Report), StoreError> {
    let source = Source::made(Path::new("report"), line.to_owned());
    let parsed = Parsed::of(&source)?;
    let (mut walk, mut top) = (Walker::new(&source), parsed.top("report"));
    let rows = walk.table(&mut top, "report", "report");
    let (mut reports, _) = rows.map(|rows| reports(&mut walk, &rows)).unwrap_or_default();
    let one = reports.pop_first();
    Ok(walk.end(one).map(|(report, _)| report)?)
}

/// Reads `trainer.toml`.
pub(crate) fn trainer(source: &Source) -> Result<(Trainer, Vec<Flaw>), StoreError> {
    let parsed = Parsed::of(source)?;
    let (mut walk, mut top) = (Walker::new(source), parsed.top("trainer file"));
    let top = &mut top;
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
        remote: walk.may(top, "remote", text).unwrap_or_default(),
        habits: dated::habits(&mut walk, top),
        blocks: dated::blocks(&mut walk, top),
        sore: dated::sore(&mut walk, top),
    };
    walk.finish(top, Unknown::Kept);
    Ok(walk.end(Some(trainer))?)
}

fn check_version(
    walk: &mut Walker<'_>,
    top: &mut Table<'_, '_>,
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
            let span = top.get("version").map_or(0..0, Placed::span);
            walk.flaw(span, format!("there is no version {found}"), format!("write `version = {known}`"));
            Ok(())
        }
        _ => Ok(()),
    }
}

fn profile(walk: &mut Walker<'_>, top: &mut Table<'_, '_>, id: &ClientId) -> Option<Profile> {
    let name = walk.want(top, "name", text);
    let mut profile = Profile::new(id.clone(), name.clone().unwrap_or_default());
    profile.born = walk.may(top, "born", dated::birth);
    profile.sex = walk.may_word(top, "sex");
    profile.mass = walk.may(top, "mass_kg", bounded::<Kilograms>);
    profile.contact = walk.may(top, "contact", text).unwrap_or_default();
    profile.archived = walk.may(top, "archived", date);
    profile.aims = walk.words(top, "aims");
    profile.likes = walk.list(top, "likes", word::<StretchId>);
    profile.dislikes = walk.list(top, "dislikes", word::<StretchId>);
    profile.at_home = walk.words(top, "home");
    profile.usual_times = walk.list(top, "times", dated::usual_time);
    profile.note = walk.may(top, "note", text).unwrap_or_default();
    profile.tight = dated::tight(walk, top);
    profile.screenings = dated::screenings(walk, top);
    profile.guardians = dated::guardians(walk, top);
    profile.agreements = dated::agreements(walk, top);
    profile.habits = dated::habits(walk, top);
    profile.pain = dated::pain(walk, top);
    profile.conditions = dated::conditions(walk, top);
    name.map(|_| profile)
}
