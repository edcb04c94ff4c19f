//! Who is there: one line a client, for the first screen.
//!
//! Most of a client's file is sessions of the past, which the list only counts. Their lines are looked at, not
//! parsed, as long as they look the way this program writes them; any other file is read in full.

use std::num::NonZero;

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, ClientId};

use super::edit::SESSION_HEADER;
use super::error::StoreError;
use super::files;
use super::layout::Layout;
use super::read;
use super::text::{Source, folded};
use super::torn;

/// One client in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RosterEntry {
    /// The client's id.
    pub id: ClientId,
    /// The client's name as it is shown.
    pub name: String,
    /// When the youngest session began.
    pub last: Option<DateTime<FixedOffset>>,
    /// How many sessions there are.
    pub sessions: usize,
    /// Whether the youngest session was cut off.
    pub unfinished: bool,
    /// How many conditions are recorded.
    pub conditions: usize,
}

/// Every client that can be read, by name, and what is wrong with the others.
#[derive(Debug, Default)]
pub struct Roster {
    /// The clients, sorted by name.
    pub entries: Vec<RosterEntry>,
    /// Files that cannot be read; they are left as they are.
    pub problems: Vec<StoreError>,
}

/// Reads the list, on as many processors as there are.
pub(crate) fn read_all(layout: &Layout) -> Result<Roster, StoreError> {
    layout.check_folder(&layout.clients())?;
    let ids = layout.client_ids()?;
    let threads = std::thread::available_parallelism().map_or(1, NonZero::get).min(8);
    let share = ids.len().div_ceil(threads).max(1);
    let results: Vec<Result<RosterEntry, StoreError>> = std::thread::scope(|scope| {
        let workers: Vec<_> = ids
            .chunks(share)
            .map(|ids| scope.spawn(move || ids.iter().map(|id| read_one(layout, id)).collect::<Vec<_>>()))
            .collect();
        workers.into_iter().flat_map(|worker| worker.join().unwrap_or_default()).collect()
    });
    let mut roster = Roster::default();
    for result in results {
        match result {
            Ok(entry) => roster.entries.push(entry),
            Err(error) => roster.problems.push(error),
        }
    }
    roster.entries.sort_by_cached_key(|entry| (folded(&entry.name), entry.id.clone()));
    Ok(roster)
}

fn read_one(layout: &Layout, id: &ClientId) -> Result<RosterEntry, StoreError> {
    let path = layout.client(id);
    let path = layout.plain_file(&path)?.ok_or_else(|| StoreError::Io {
        doing: "read",
        path: path.clone(),
        source: std::io::ErrorKind::NotFound.into(),
    })?;
    let (bytes, _) = files::read(&path)?;
    if let Some(entry) = str::from_utf8(&bytes).ok().and_then(|text| glance(id, text)) {
        return Ok(entry);
    }
    let (_, client, _) = torn::read_sound_part(id, &path, &bytes)?;
    Ok(of(&client))
}

fn of(client: &Client) -> RosterEntry {
    let last = client.sessions.last();
    RosterEntry {
        id: client.profile.id.clone(),
        name: client.profile.name.clone(),
        last: last.map(|session| session.at),
        sessions: client.sessions.len(),
        unfinished: last.is_some_and(|session| session.closed.is_none()),
        conditions: client.profile.conditions.len(),
    }
}

/// The entry of a file whose sessions are all written plainly; nothing if that is not certain.
fn glance(id: &ClientId, text: &str) -> Option<RosterEntry> {
    // A text over several lines could hold what looks like a header.
    if !text.ends_with('\n') || text.contains("\"\"\"") || text.contains("'''") {
        return None;
    }
    let mut head_end = text.len();
    let mut sessions = 0;
    let mut youngest: Option<(&str, usize)> = None;
    let mut offset = 0;
    let mut lines = text.split_inclusive('\n').peekable();
    while let Some(line) = lines.next() {
        let start = offset;
        offset += line.len();
        if !line.trim_ascii_start().starts_with('[') {
            continue;
        }
        if line.trim_ascii_end() != SESSION_HEADER {
            // Before the sessions the profile may hold what it likes; it is parsed.
            if sessions == 0 {
                continue;
            }
            return None;
        }
        if sessions == 0 {
            head_end = start;
        }
        sessions += 1;
        let at = lines.peek()?.strip_prefix("at = ")?.trim_ascii_end();
        let is_younger = match youngest {
            None => true,
            Some((before, _)) => is_at_or_after(at, before)?,
        };
        if is_younger {
            youngest = Some((at, start));
        }
    }
    let head = Source::made("head".as_ref(), text[..head_end].to_owned());
    let (client, _) = read::client(id, &head).ok()?;
    if !client.sessions.is_empty() {
        return None;
    }
    let (mut last, mut unfinished) = (None, false);
    if let Some((at, start)) = youngest {
        last = Some(DateTime::parse_from_rfc3339(at).ok()?);
        unfinished = !is_closed(&text[start..])?;
    }
    Some(RosterEntry {
        id: id.clone(),
        name: client.profile.name,
        last,
        sessions,
        unfinished,
        conditions: client.profile.conditions.len(),
    })
}

/// Whether one time, as it stands in a file, is not before another.
fn is_at_or_after(one: &str, other: &str) -> Option<bool> {
    // Up to the seconds the texts sort like the times, if what follows is the same: most files have one offset.
    const SECONDS: usize = "2026-11-20T18:45:00".len();
    match (one.get(SECONDS..), other.get(SECONDS..)) {
        (Some(rest), Some(other_rest)) if rest == other_rest => Some(one >= other),
        _ => {
            let moment = |text| DateTime::parse_from_rfc3339(text).ok();
            Some(moment(one)? >= moment(other)?)
        }
    }
}

/// Whether the session whose block a text begins with was closed; nothing if its lines are not plain.
fn is_closed(text: &str) -> Option<bool> {
    let block = text.lines().enumerate().take_while(|(index, line)| *index == 0 || *line != SESSION_HEADER);
    let mut closed = false;
    for (_, line) in block.skip(1) {
        // A value over several lines could hold what looks like a key.
        if line.trim_ascii_end().ends_with(['{', '[', ',', '=']) {
            return None;
        }
        closed |= line.starts_with("closed = ");
    }
    Some(closed)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "version = 1\nname = \"Rosa\"\n\n[[condition]]\nid = \"knee-pain\"\n";
    const BLOCK: &str =
        "\n[[session]]\nat = 2026-11-20T18:45:00+00:00\nminutes = 10\nconsent = \"hands-on\"\n";

    /// A glance agrees with a full reading or leaves it to that.
    fn check(text: &str, glanced: bool) {
        let id = ClientId::new("rosa").expect("plain word");
        let quick = glance(&id, text);
        assert_eq!(quick.is_some(), glanced, "{text}");
        if let Some(quick) = quick {
            let source = Source::made("rosa".as_ref(), text.to_owned());
            assert_eq!(quick, of(&read::client(&id, &source).expect("can be read").0), "{text}");
        }
    }

    #[test]
    fn a_glance_sees_what_a_full_reading_sees() {
        let closed = format!("{BLOCK}closed = 2026-11-20T18:54:40+00:00\n");
        let later = BLOCK.replace("11-20", "11-27");
        check(HEAD, true);
        check(&format!("{HEAD}{BLOCK}"), true);
        check(&format!("{HEAD}{closed}"), true);
        check(&format!("{HEAD}{closed}{later}"), true);
        check(&format!("{HEAD}{later}{closed}"), true);
        let elsewhere = BLOCK.replace("20T18:45:00+00:00", "21T01:45:00+08:00");
        check(&format!("{HEAD}{closed}{elsewhere}"), true);
        check(&format!("\u{feff}{HEAD}{closed}").replace('\n', "\r\n"), true);
    }

    #[test]
    fn a_glance_leaves_unusual_files_to_a_full_reading() {
        check(&format!("{HEAD}{BLOCK}").replace("[[session]]", "[[ session ]]"), false);
        check(&format!("{HEAD}{BLOCK}note = '''\n[[session]]\n'''\n"), false);
        check(&format!("{HEAD}{BLOCK}\n[[condition]]\nid = \"pregnancy\"\n"), false);
        check(&format!("{HEAD}{BLOCK}rep"), false);
        check(&format!("{HEAD}{BLOCK}").replace("at = ", "at  = "), false);
        check(&format!("{HEAD}{BLOCK}more = {{\nclosed = 1\n}}\n"), false);
    }
}
