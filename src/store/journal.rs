//! The session that is running: each report is a line appended to the client's file.

use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::client::{ClientId, ConsentLimit, Report, Session, whole_second};

use super::error::StoreError;
use super::locate;
use super::locked_file::{LockedFile, Writer};
use super::patch;
use super::read;
use super::text::Source;
use super::write;

/// Writes one running session into its client's file. Holds the client's lock until it is dropped.
#[derive(Debug)]
pub struct Journal {
    held: Arc<LockedFile>,
    id: ClientId,
    // Invariant: every report in it was acknowledged, so it is in the file unless somebody took it out.
    session: Session,
    line_end: &'static str,
    /// Whether the session's block is the last thing in the file, so that rows can be appended.
    at_end: bool,
}

impl Journal {
    /// Writes the header of a session, and the reports that it has already.
    pub(crate) fn begin(
        held: &Arc<LockedFile>,
        id: &ClientId,
        session: &Session,
    ) -> Result<Self, StoreError> {
        let session = &in_whole_seconds(session);
        check(session)?;
        let mut writer = held.writer();
        let (source, client) = writer.read()?;
        if client.sessions.iter().any(|there| there.at == session.at) {
            return Err(StoreError::Exists {
                what: format!("a session of {} at {}", id, write::moment(session.at)),
                remedy: "change that one, or give another time",
            });
        }
        let changed = locate::with_session(id, &source, &client, session)?;
        writer.put(&source, &changed)?;
        let journal = Self::of(held, id, session.clone(), &changed);
        drop(writer);
        Ok(journal)
    }

    /// Goes on with a session that stands in the file.
    pub(crate) fn go_on(held: &Arc<LockedFile>, id: &ClientId, session: Session, source: &Source) -> Self {
        Self::of(held, id, session, source)
    }

    fn of(held: &Arc<LockedFile>, id: &ClientId, session: Session, source: &Source) -> Self {
        let at_end = is_at_end(source, &session);
        Self { held: Arc::clone(held), id: id.clone(), session, line_end: source.line_end(), at_end }
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
        let row = row(number, report)?;
        let held = Arc::clone(&self.held);
        let mut writer = held.writer();
        if self.at_end
            && writer.is_unchanged()
            && writer.append(&locate::with_line_ends(row, self.line_end))?
        {
            self.session.reports.insert(number, report.clone());
            return Ok(number);
        }
        self.report_anew(&mut writer, number, report)
    }

    /// Saves a report into a file that is not what it was when it was written last.
    fn report_anew(&mut self, writer: &mut Writer, number: u32, report: &Report) -> Result<u32, StoreError> {
        let (source, client) = writer.read()?;
        let mut session = self.session.clone();
        let mut number = number;
        if let Some(there) = client.sessions.iter().find(|there| there.at == session.at) {
            // What a person changed counts; what is missing is put back.
            session.reports.extend(there.reports.clone());
            let missing = there.narrowed.iter().filter(|narrowing| !session.narrowed.contains(narrowing));
            let missing: Vec<_> = missing.cloned().collect();
            session.narrowed.extend(missing);
            let appended = there.reports.get(&number) == Some(report);
            if !appended && session.reports.contains_key(&number) {
                number = next_number(&session);
            }
            session.closed = there.closed;
            session.note.clone_from(&there.note);
        }
        session.reports.insert(number, report.clone());
        let changed = locate::with_session(&self.id, &source, &client, &session)?;
        writer.put(&source, &changed)?;
        writer.tell_of_change();
        self.at_end = is_at_end(&changed, &session);
        self.line_end = changed.line_end();
        self.session = session;
        Ok(number)
    }

    fn next_number(&self) -> u32 {
        next_number(&self.session)
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
        let number = u32::try_from(session.narrowed.len()).unwrap_or(u32::MAX);
        check(&session)?;
        let held = Arc::clone(&self.held);
        let mut writer = held.writer();
        if self.at_end && writer.is_unchanged() {
            let mut row = String::new();
            let last = session.narrowed.last().expect("one was just put in");
            write::narrowed_row(&mut row, number, last);
            if writer.append(&locate::with_line_ends(row, self.line_end))? {
                self.session = session;
                return Ok(());
            }
        }
        let (source, client) = writer.read()?;
        let changed = locate::with_session(&self.id, &source, &client, &session)?;
        writer.put(&source, &changed)?;
        writer.tell_of_change();
        self.at_end = is_at_end(&changed, &session);
        self.line_end = changed.line_end();
        self.session = session;
        Ok(())
    }

    /// Changes a report that was saved before, as when the client answers after the step.
    ///
    /// # Errors
    /// If there is no such report, or it could not be saved; the report is then as it was.
    pub fn amend(&mut self, number: u32, report: &Report) -> Result<(), StoreError> {
        row(number, report)?;
        let held = Arc::clone(&self.held);
        let mut writer = held.writer();
        let (source, client) = writer.read()?;
        let changed = amended(&self.id, &source, &client.sessions, self.session.at, number, report)?;
        writer.put(&source, &changed)?;
        self.at_end = is_at_end(&changed, &self.session);
        self.session.reports.insert(number, report.clone());
        Ok(())
    }

    /// Ends the session.
    ///
    /// # Errors
    /// If it could not be saved; the session then stands in the file as one that was cut off.
    pub fn close(self, at: DateTime<FixedOffset>, note: &str) -> Result<(), StoreError> {
        let mut session = self.session.clone();
        session.closed = Some(whole_second(at));
        note.clone_into(&mut session.note);
        check(&session)?;
        let mut writer = self.held.writer();
        if self.at_end && writer.is_unchanged() && self.session.note.is_empty() {
            let mut text = String::new();
            write::closing(&mut text, whole_second(at), note);
            if writer.append(&locate::with_line_ends(text, self.line_end))? {
                return Ok(());
            }
        }
        let (source, client) = writer.read()?;
        let changed = locate::with_session(&self.id, &source, &client, &session)?;
        writer.put(&source, &changed)?;
        writer.tell_of_change();
        Ok(())
    }
}

fn next_number(session: &Session) -> u32 {
    let numbers = session.reports.keys().chain(session.taken_back.keys());
    numbers.max().map_or(1, |last| last.saturating_add(1))
}

/// The session with its moments as they are written.
fn in_whole_seconds(session: &Session) -> Session {
    let mut session = session.clone();
    session.at = whole_second(session.at);
    session.closed = session.closed.map(whole_second);
    for narrowing in &mut session.narrowed {
        narrowing.at = whole_second(narrowing.at);
        narrowing.lifted = narrowing.lifted.map(whole_second);
    }
    session
}

/// Changes a report within a client's text.
pub(crate) fn amended(
    id: &ClientId,
    source: &Source,
    sessions: &[Session],
    at: DateTime<FixedOffset>,
    number: u32,
    report: &Report,
) -> Result<Source, StoreError> {
    let Some(session) = sessions.iter().find(|session| session.at == at) else {
        let what = format!("session at {}", write::moment(at));
        return Err(StoreError::Missing { path: source.path().to_owned(), what });
    };
    patch::report(id, source, session, number, report)
}

/// A report's line, which certainly reads back as the same report.
fn row(number: u32, report: &Report) -> Result<String, StoreError> {
    let mut row = String::new();
    write::report_row(&mut row, number, report);
    match read::report_row(&row) {
        Ok((found, read)) if found == number && read == *report => Ok(row),
        _ => Err(StoreError::Unfit {
            what: format!("report {number}"),
            why: "it would not read back the same".to_owned(),
        }),
    }
}

/// Refuses a session that would not read back the same.
fn check(session: &Session) -> Result<(), StoreError> {
    let mut text = String::new();
    write::session_block(&mut text, session, None);
    let why = match read::session_blocks(&Source::made(Path::new("session"), text)) {
        Ok(found) if found.len() == 1 && found[0].0 == *session => return Ok(()),
        Ok(_) => "it would not read back the same".to_owned(),
        Err(error) => error.flaws().first().map(|flaw| flaw.message.clone()).unwrap_or_default(),
    };
    Err(StoreError::Unfit { what: format!("the session at {}", write::moment(session.at)), why })
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
    read::session_blocks(&tail).is_ok_and(|found| found.len() == 1 && found[0].0.at == session.at)
}
