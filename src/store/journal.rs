//! The session that is running: each report is a line appended to the client's file.

use std::path::Path;
use std::sync::{Arc, Mutex};

use chrono::{DateTime, FixedOffset};

use crate::client::{Attribution, Client, ClientId, ConsentLimit, Narrowing, Report, Session, whole_second};

use super::error::StoreError;
use super::locked_file::{LockedFile, guard};
use super::one_session::{self, LonePart};
use super::{changes, entry, fast_path, format, locate, patch, row};
use crate::document::Source;

/// Writes one running session into its client's file. Holds the client's lock until it is dropped.
#[derive(Debug)]
pub struct Journal {
    held: Arc<Mutex<LockedFile>>,
    id: ClientId,
    // Invariant: every report in it was acknowledged, so it is in the file unless somebody took it out.
    session: Session,
    line_end: &'static str,
    /// Whether the session's block is the last thing in the file, so that rows can be appended.
    at_end: bool,
    /// Whether no other session of the file began in the same second.
    is_alone: bool,
}

impl Journal {
    /// Writes the header of a session, and the reports that it has already.
    pub(crate) fn begin(
        held: &Arc<Mutex<LockedFile>>,
        id: &ClientId,
        session: &Session,
    ) -> Result<Self, StoreError> {
        let session = &in_whole_seconds(session);
        check(session)?;
        let mut writer = guard(held);
        let (source, client) = writer.read()?;
        if client.sessions.iter().any(|there| there.at == session.at) {
            return Err(StoreError::Exists {
                what: format!("a session of {} at {}", id, entry::moment(session.at)),
                remedy: "change that one, or give another time",
            });
        }
        let changed = patch::with_session(id, &source, &client, session)?;
        writer.put(&source, &changed)?;
        let is_alone = client.taken_back.iter().all(|(gone, _)| gone.at != session.at);
        let journal = Self::of(held, id, session.clone(), (&changed, is_alone));
        drop(writer);
        Ok(journal)
    }

    /// Goes on with a session that stands in the file.
    pub(crate) fn go_on(
        held: &Arc<Mutex<LockedFile>>,
        id: &ClientId,
        session: Session,
        (source, client): (&Source, &Client),
    ) -> Self {
        let is_alone = one_session::is_alone(client, session.at);
        Self::of(held, id, session, (source, is_alone))
    }

    fn of(
        held: &Arc<Mutex<LockedFile>>,
        id: &ClientId,
        session: Session,
        (source, is_alone): (&Source, bool),
    ) -> Self {
        let at_end = is_at_end(source, &session);
        let line_end = source.line_end();
        Self { held: Arc::clone(held), id: id.clone(), session, line_end, at_end, is_alone }
    }

    /// The session with every report that is on the disk.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The client.
    pub fn id(&self) -> &ClientId {
        &self.id
    }

    /// Saves a report and gives its number. When it returns, the report is on the disk.
    ///
    /// # Errors
    /// If it could not be saved. Nothing that was saved before is touched, the report is not in the file, and it
    /// can be given again.
    pub fn report(&mut self, report: &Report) -> Result<u32, StoreError> {
        let number = self.next_number();
        let line = line(number, report)?;
        let held = Arc::clone(&self.held);
        let mut writer = guard(&held);
        if self.append(&mut writer, &line)? {
            self.session.reports.insert(number, report.clone());
            return Ok(number);
        }
        self.report_anew(&mut writer, number, report)
    }

    /// Saves a report into a file that is not what it was when it was written last.
    fn report_anew(
        &mut self,
        writer: &mut LockedFile,
        number: u32,
        report: &Report,
    ) -> Result<u32, StoreError> {
        let (source, client) = writer.read()?;
        let mut session = self.beside(client.session(self.session.at));
        let mut number = number;
        let appended =
            session.reports.get(&number) == Some(report) && !self.session.reports.contains_key(&number);
        if !appended && (session.reports.contains_key(&number) || session.taken_back.contains_key(&number)) {
            number = next_number(&session);
        }
        session.reports.insert(number, report.clone());
        self.put(writer, &source, &client, session)?;
        Ok(number)
    }

    /// The session with what a person changed in the file: that counts, and what is missing there is put back.
    fn beside(&self, there: Option<&Session>) -> Session {
        let Some(there) = there else { return self.session.clone() };
        let mut session = there.clone();
        for (number, report) in &self.session.reports {
            if !session.taken_back.contains_key(number) {
                session.reports.entry(*number).or_insert_with(|| report.clone());
            }
        }
        let missing =
            self.session.narrowed.iter().filter(|one| !there.narrowed.iter().any(|other| is_it(one, other)));
        session.narrowed.extend(missing.cloned());
        session.narrowed.sort_by_key(|narrowing| (narrowing.at, narrowing.what, narrowing.lifted));
        session
    }

    /// Writes the session as it is to be into a file that was just read.
    fn put(
        &mut self,
        writer: &mut LockedFile,
        source: &Source,
        client: &Client,
        session: Session,
    ) -> Result<(), StoreError> {
        let there = client.sessions.iter().find(|there| there.at == session.at);
        let changed = match there {
            Some(there) => patch::session(source, (there, None), (&session, None))?,
            None => patch::with_session(&self.id, source, client, &session)?,
        };
        writer.put(source, &changed)?;
        writer.tell_of_change();
        self.is_alone = there.is_none() || one_session::is_alone(client, session.at);
        self.at_end = is_at_end(&changed, &session);
        self.line_end = changed.line_end();
        self.session = session;
        Ok(())
    }

    fn next_number(&self) -> u32 {
        next_number(&self.session)
    }

    /// Appends rows to the session, if its block is the last thing in the file. Gives whether that was done.
    fn append(&mut self, writer: &mut LockedFile, rows: &str) -> Result<bool, StoreError> {
        let rows = locate::with_line_ends(rows.to_owned(), self.line_end);
        Ok(self.at_end && writer.is_unchanged() && writer.append(&rows)?)
    }

    /// Changes the session as `edit` says, and keeps what is written over. When it returns, that is on the disk.
    ///
    /// # Errors
    /// If it could not be saved; the session is then as it was.
    pub fn edit(&mut self, who: &Attribution, edit: impl FnOnce(&mut Session)) -> Result<(), StoreError> {
        let held = Arc::clone(&self.held);
        let mut writer = guard(&held);
        if let Some(part) = self.is_alone.then(|| writer.part_of(self.session.at)).flatten() {
            return self.edit_part(&mut writer, &part, who, edit);
        }
        let (source, client) = writer.read()?;
        let session = self.beside(client.session(self.session.at));
        let edited = edited(&session, who, edit)?;
        if edited == session && client.sessions.contains(&session) {
            return Ok(());
        }
        self.put(&mut writer, &source, &client, edited)
    }

    /// The same in a file of which nothing else has to be looked at.
    fn edit_part(
        &mut self,
        writer: &mut LockedFile,
        part: &LonePart,
        who: &Attribution,
        edit: impl FnOnce(&mut Session),
    ) -> Result<(), StoreError> {
        let edited = edited(&self.beside(Some(&part.session)), who, edit)?;
        if edited == part.session {
            return Ok(());
        }
        let text = part.changed(&edited)?;
        writer.put_part(part, &text)?;
        let tail = Source::made(writer.path(), format!("\n{}", part.tail_of(&text)));
        self.at_end = part.is_last && is_at_end(&tail, &edited);
        self.session = edited;
        Ok(())
    }

    /// Notes what the client takes out of the consent. When it returns, that is on the disk.
    ///
    /// # Errors
    /// If it could not be saved; it can be given again.
    pub fn narrow(&mut self, what: ConsentLimit, at: DateTime<FixedOffset>) -> Result<(), StoreError> {
        if self.session.is_narrowed(what) {
            return Ok(());
        }
        let mut session = self.session.clone();
        session.narrow(what, at);
        check(&session)?;
        let held = Arc::clone(&self.held);
        let mut writer = guard(&held);
        let mut line = String::new();
        let number = u32::try_from(session.narrowed.len()).unwrap_or(u32::MAX);
        session.narrowed.last().into_iter().for_each(|last| row::narrowed_row(&mut line, number, last));
        if self.append(&mut writer, &line)? {
            self.session = session;
            return Ok(());
        }
        let (source, client) = writer.read()?;
        let mut session = self.beside(client.session(self.session.at));
        session.narrow(what, at);
        self.put(&mut writer, &source, &client, session)
    }

    /// Changes a report that was saved before, as when the client answers after the step.
    ///
    /// # Errors
    /// If there is no such report, or it could not be saved; the report is then as it was.
    pub fn amend(&mut self, number: u32, report: &Report, who: &Attribution) -> Result<(), StoreError> {
        if !self.session.reports.contains_key(&number) {
            let what = format!("report {number}");
            return Err(StoreError::Missing { path: guard(&self.held).path().to_owned(), what });
        }
        line(number, report)?;
        self.edit(who, |session| drop(session.reports.insert(number, report.clone())))
    }

    /// Ends the session. A remark that is empty leaves the one that was kept before.
    ///
    /// # Errors
    /// If it could not be saved; the session then goes on, and can be closed again.
    pub fn close(&mut self, at: DateTime<FixedOffset>, note: &str) -> Result<(), StoreError> {
        let at = whole_second(at);
        let note = if note.is_empty() { self.session.note.clone() } else { note.to_owned() };
        let mut session = self.session.clone();
        session.closed = Some(at);
        session.note.clone_from(&note);
        check(&session)?;
        let held = Arc::clone(&self.held);
        let mut writer = guard(&held);
        if self.session.closed.is_none() && (self.session.note.is_empty() || self.session.note == note) {
            let mut rows = String::new();
            let new = if self.session.note.is_empty() { note.as_str() } else { "" };
            row::closing(&mut rows, at, new);
            if self.append(&mut writer, &rows)? {
                self.session = session;
                return Ok(());
            }
        }
        drop(writer);
        let who = Attribution { at, by: self.session.by.clone() };
        self.edit(&who, |session| {
            session.closed = Some(at);
            session.note = note;
        })
    }
}

/// Refuses to change a report about which copies disagree as a whole: which one would be changed?
fn whole_reports_are_settled(old: &Session, new: &Session) -> Result<(), StoreError> {
    let open = |number: u32| old.disagreements.iter().any(|open| open.of == format!("report.{number:02}"));
    let mut changed = old.reports.iter().filter(|(number, report)| new.reports.get(number) != Some(*report));
    changed.find(|(number, _)| open(**number)).map_or(Ok(()), |(number, _)| {
        Err(StoreError::Unfit {
            what: format!("a change of report {number}"),
            why: "two copies disagree about it: settle that first".to_owned(),
        })
    })
}

/// Whether it is the same narrowing, given back or not.
fn is_it(one: &Narrowing, other: &Narrowing) -> bool {
    (one.what, one.at) == (other.what, other.at)
}

/// The session as `edit` says, with what that writes over.
pub(crate) fn edited(
    session: &Session,
    who: &Attribution,
    edit: impl FnOnce(&mut Session),
) -> Result<Session, StoreError> {
    let mut edited = session.clone();
    edit(&mut edited);
    let mut edited = in_whole_seconds(&edited);
    edited.narrowed.sort_by_key(|narrowing| (narrowing.at, narrowing.what, narrowing.lifted));
    edited.changes.clone_from(&session.changes);
    whole_reports_are_settled(session, &edited)?;
    let mut changes = changes::in_session(session, &edited, who);
    edited.disagreements.retain(|open| !changes.iter().any(|change| change.of == open.of));
    edited.changes.append(&mut changes);
    edited.changes.sort();
    check(&edited)?;
    Ok(edited)
}

fn next_number(session: &Session) -> u32 {
    let last = [session.reports.keys().next_back(), session.taken_back.keys().next_back()];
    last.into_iter().flatten().max().map_or(1, |last| last.saturating_add(1))
}

/// The session with its moments as they are written.
pub(crate) fn in_whole_seconds(session: &Session) -> Session {
    let mut session = session.clone();
    session.at = whole_second(session.at);
    session.closed = session.closed.map(whole_second);
    for narrowing in &mut session.narrowed {
        narrowing.at = whole_second(narrowing.at);
        narrowing.lifted = narrowing.lifted.map(whole_second);
    }
    for (_, taken_back) in session.taken_back.values_mut() {
        taken_back.at = whole_second(taken_back.at);
    }
    session
}

/// A report's line, which certainly reads back as the same report.
fn line(number: u32, report: &Report) -> Result<String, StoreError> {
    let mut line = String::new();
    row::report_row(&mut line, number, report);
    let quick = fast_path::report_row(&line);
    match quick.map_or_else(|| format::report_row(&line), Ok) {
        Ok((found, read)) if found == number && read == *report => Ok(line),
        _ => Err(StoreError::Unfit {
            what: format!("report {number}"),
            why: "it would not read back the same".to_owned(),
        }),
    }
}

/// Refuses a session that would not read back the same.
pub(crate) fn check(session: &Session) -> Result<(), StoreError> {
    let mut text = String::new();
    row::session_block(&mut text, session, None);
    let why = match format::session_blocks(&Source::made(Path::new("session"), text)) {
        Ok(found) if found.len() == 1 && found[0].0 == *session => return Ok(()),
        Ok(_) => "it would not read back the same".to_owned(),
        Err(error) => error.flaws().first().map(|flaw| flaw.message.clone()).unwrap_or_default(),
    };
    Err(StoreError::Unfit { what: format!("the session at {}", entry::moment(session.at)), why })
}

/// Whether nothing but this session follows its header, and the file ends with a line end.
fn is_at_end(source: &Source, session: &Session) -> bool {
    let text = source.text();
    if !text.ends_with('\n') {
        return false;
    }
    let Some(start) = text.rfind("\n[[session]]").map(|at| at + 1) else { return false };
    // A header in there, such as [session.x], would take the rows that follow.
    if text[start..].lines().skip(1).any(|line| line.trim_start().starts_with('[')) {
        return false;
    }
    let tail = Source::made(source.path(), text[start..].to_owned());
    format::session_blocks(&tail).is_ok_and(|found| found.len() == 1 && found[0].0.at == session.at)
}
