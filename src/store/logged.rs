//! A session that is over, written in one go, and completed by writing it again.

use crate::client::{Attribution, Client, Report, Session};
use crate::document::Source;

use super::error::StoreError;
use super::journal::{check, edited, in_whole_seconds};
use super::locked_file::LockedFile;
use super::{entry, patch};

/// What became of a session that was logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Logged {
    /// It is in the file now.
    New,
    /// It was there already; so many reports were added.
    Completed(usize),
}

/// Writes a session that is over into a file that was just read, as a whole.
pub(crate) fn log(
    writer: &mut LockedFile,
    source: &Source,
    client: &Client,
    session: &Session,
    who: &Attribution,
) -> Result<Logged, StoreError> {
    let session = in_whole_seconds(session);
    check(&session)?;
    let Some(there) = client.session(session.at) else {
        let gone = client.taken_back.iter().any(|(gone, _)| gone.at == session.at);
        if gone {
            let what = format!("a session of {} that was taken back", entry::moment(session.at));
            return Err(StoreError::Exists { what, remedy: "restore that one, or give another time" });
        }
        let changed = patch::with_session(&client.profile.id, source, client, &session)?;
        writer.put_as_a_whole(source, &changed)?;
        return Ok(Logged::New);
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
    if whole != *there {
        let changed = patch::session(source, (there, None), (&whole, None))?;
        writer.put_as_a_whole(source, &changed)?;
    }
    Ok(Logged::Completed(added))
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
