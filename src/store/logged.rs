//! A session that is over, written in one go, and completed by writing it again.

use crate::client::{Attribution, Client, ClientId, Report, Session};
use crate::document::Source;

use super::Store;
use super::error::StoreError;
use super::journal::{check, edited, in_whole_seconds};
use super::locked_file::guard;
use super::{entry, patch};

/// What became of a session that was logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Logged {
    /// It is in the file now.
    New,
    /// It was there already; so many reports were added.
    Completed(usize),
}

impl Store {
    /// Writes a session that is over, in one go: it is in the file as a whole or not at all. The same session again
    /// completes what is there.
    ///
    /// # Errors
    /// If the file has a session of that moment that says something else, another program writes this client, or it
    /// cannot be written.
    pub fn log(&self, id: &ClientId, session: &Session, who: &Attribution) -> Result<Logged, StoreError> {
        let held = self.hold_existing(id)?;
        let mut writer = guard(&held);
        let (source, client) = writer.read()?;
        let (logged, changed) = with(&source, &client, session, who)?;
        if let Some(changed) = changed {
            writer.put_as_a_whole(&source, &changed)?;
        }
        Ok(logged)
    }

    /// What [`Store::log`] would do with a session; nothing is written.
    ///
    /// # Errors
    /// As [`Store::log`], but for what only writing meets.
    pub fn would_log(
        &self,
        id: &ClientId,
        session: &Session,
        who: &Attribution,
    ) -> Result<Logged, StoreError> {
        let (source, client, _) = self.read(id)?;
        with(&source, &client, session, who).map(|(logged, _)| logged)
    }
}

/// What becomes of a session that is logged, and the file as it is then; none where nothing changes.
fn with(
    source: &Source,
    client: &Client,
    session: &Session,
    who: &Attribution,
) -> Result<(Logged, Option<Source>), StoreError> {
    let session = in_whole_seconds(session);
    check(&session)?;
    let Some(there) = client.session(session.at) else {
        let gone = client.taken_back.iter().any(|(gone, _)| gone.at == session.at);
        if gone {
            let what = format!("a session of {} that was taken back", entry::moment(session.at));
            return Err(StoreError::Exists { what, remedy: "restore that one, or give another time" });
        }
        let changed = patch::with_session(&client.profile.id, source, client, &session)?;
        return Ok((Logged::New, Some(changed)));
    };
    let fits = |value: bool, what: String| {
        let what = format!("a session at {} with {what}", entry::moment(session.at));
        if value { Ok(()) } else { Err(StoreError::Exists { what, remedy: "look at both" }) }
    };
    fits(there.consent == session.consent, format!("the consent {}", there.consent))?;
    fits(there.minutes == session.minutes, format!("{} minutes", there.minutes.get()))?;
    for (number, report) in &session.reports {
        let known = there.reports.get(number).or(there.taken_back.get(number).map(|(report, _)| report));
        let is_it = known.is_none_or(|known| completes(report, known));
        fits(is_it, format!("another report {number}"))?;
    }
    let mut added = 0;
    let whole = edited(there, who, |whole| {
        for (number, report) in &session.reports {
            if !whole.taken_back.contains_key(number) {
                added += usize::from(whole.reports.insert(*number, report.clone()).is_none());
            }
        }
        whole.trained.extend(session.trained.iter().map(|(muscle, effort)| (*muscle, *effort)));
        whole.closed = whole.closed.or(session.closed);
        if whole.note.is_empty() {
            whole.note.clone_from(&session.note);
        }
    })?;
    let is_more = whole != *there;
    let changed = is_more.then(|| patch::session(source, (there, None), (&whole, None))).transpose()?;
    Ok((Logged::Completed(added), changed))
}

/// Whether a report says all that another one of the same hold does, and perhaps more.
fn completes(more: &Report, less: &Report) -> bool {
    let bare = |report: &Report| Report {
        planned: None,
        level: None,
        angles: Vec::new(),
        note: String::new(),
        ..report.clone()
    };
    bare(more) == bare(less)
        && (less.level.is_none() || less.level == more.level)
        && (less.angles.is_empty() || less.angles == more.angles)
        && (less.note.is_empty() || less.note == more.note)
}
