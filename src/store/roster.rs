//! Who is there: one line a client, for the first screen.
//!
//! Most of a client's file is sessions of the past, which the list does not show. So of a long file only the
//! beginning, up to the first session, and the last sessions are read, if they can be understood alone; any other
//! file is read in full.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::num::NonZero;

use chrono::{DateTime, FixedOffset, NaiveDate};
use memchr::memmem;

use crate::client::{Client, ClientId, Expected, OF_LATE, UsualTime};
use crate::text::folded;

use super::cipher::Cipher;
use super::error::StoreError;
use super::fast_path;
use super::files;
use super::layout::Layout;
use super::shape::SESSION_HEADER;
use super::text_cut;
use super::torn_write;
use super::{format, read};
use crate::document::Source;

/// One client in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RosterEntry {
    /// The client's id.
    pub id: ClientId,
    /// The client's name as it is shown.
    pub name: String,
    /// When the youngest session began: the last one in a file that is in the order of time.
    pub last: Option<DateTime<FixedOffset>>,
    /// Whether one of the youngest sessions was cut off, as [`Client::is_cut_off_of_late`] says.
    pub unfinished: bool,
    /// How many conditions are recorded.
    pub conditions: usize,
    /// When the client usually comes.
    pub times: Vec<UsualTime>,
    /// The day from which the client comes no more.
    pub archived: Option<NaiveDate>,
}

impl RosterEntry {
    /// Whether the client is expected on a day, and when.
    pub fn expected(&self, today: NaiveDate) -> Expected {
        Expected::of(self.last, self.unfinished, &self.times, today)
    }

    /// Whether the client comes no more.
    pub fn is_archived(&self, today: NaiveDate) -> bool {
        self.archived.is_some_and(|from| from <= today)
    }
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
pub(crate) fn read_all(layout: &Layout, cipher: &Cipher) -> Result<Roster, StoreError> {
    layout.check_folder(&layout.clients())?;
    let ids = layout.client_ids()?;
    let threads = std::thread::available_parallelism().map_or(1, NonZero::get).min(8);
    let share = ids.len().div_ceil(threads).max(1);
    let results: Vec<Result<RosterEntry, StoreError>> = std::thread::scope(|scope| {
        let workers: Vec<_> = ids
            .chunks(share)
            .map(|ids| {
                scope.spawn(move || ids.iter().map(|id| read_one(layout, cipher, id)).collect::<Vec<_>>())
            })
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

/// Bytes that are read from the beginning and from the end of a file at first.
const PIECE: u64 = if cfg!(fuzzing) { 256 } else { 8 * 1024 };

fn read_one(layout: &Layout, cipher: &Cipher, id: &ClientId) -> Result<RosterEntry, StoreError> {
    let path = layout.client(id);
    let path = layout.plain_file(&path)?.ok_or_else(|| StoreError::Io {
        doing: "read",
        path: path.clone(),
        source: std::io::ErrorKind::NotFound.into(),
    })?;
    if cipher.is_plain()
        && let Some(entry) = File::open(&path).ok().and_then(|mut file| glance(id, &mut file))
    {
        return Ok(entry);
    }
    let (opened, _) = cipher.read_own(id, &path)?;
    let (_, client, _) = torn_write::read_sound_part(&path, opened, read::as_client(id))?;
    Ok(of(&client))
}

pub(crate) fn of(client: &Client) -> RosterEntry {
    let last = client.sessions.last();
    RosterEntry {
        id: client.profile.id.clone(),
        name: client.profile.name.clone(),
        last: last.map(|session| session.at),
        unfinished: client.is_cut_off_of_late(),
        conditions: client.profile.conditions.len(),
        times: client.profile.usual_times.clone(),
        archived: client.profile.archived,
    }
}

/// The entry of a file by its beginning and its end; nothing if the file has to be read as a whole.
pub(crate) fn glance(id: &ClientId, file: &mut (impl Read + Seek)) -> Option<RosterEntry> {
    let len = file.seek(SeekFrom::End(0)).ok()?;
    // A short file is as quickly read.
    if len <= 2 * PIECE || len > files::CAP {
        return None;
    }
    let (mut entry, head_len) = head(id, file, len)?;
    let (last, unfinished) = last_sessions(file, head_len, len)?;
    entry.last = Some(last);
    entry.unfinished = unfinished;
    Some(entry)
}

/// Reads what is before the first session's header line, and says how long that is.
fn head(id: &ClientId, file: &mut (impl Read + Seek), len: u64) -> Option<(RosterEntry, u64)> {
    let mut size = PIECE;
    while size < len {
        let bytes = piece(file, 0, size)?;
        let text = sound(&bytes).strip_prefix('\u{feff}').unwrap_or(sound(&bytes));
        // The line end is part of it: the line could go on.
        let header =
            text_cut::header_lines(text).into_iter().find(|at| at + SESSION_HEADER.len() < text.len());
        if let Some(end) = header {
            let source = Source::made("head".as_ref(), String::new());
            let (client, _) = format::head(id, &source, &text[..end])?;
            return Some((of(&client), end as u64));
        }
        size *= 2;
    }
    None
}

/// Reads the last sessions of a file, which are the youngest ones: they stand in the order of time. Gives when the last
/// began, and whether one of them was cut off.
fn last_sessions(
    file: &mut (impl Read + Seek),
    head_len: u64,
    len: u64,
) -> Option<(DateTime<FixedOffset>, bool)> {
    let mut size = PIECE;
    loop {
        let start = len.saturating_sub(size).max(head_len.saturating_sub(1));
        let bytes = piece(file, start, len - start)?;
        let begins = bytes.iter().position(|&byte| byte == b'\n')? + 1;
        let text = str::from_utf8(&bytes[begins..]).ok()?;
        let headers = text_cut::header_lines(text);
        if headers.len() >= OF_LATE || (len - start < size && !headers.is_empty()) {
            return of_late(text, &headers);
        }
        if len - start < size {
            return None;
        }
        size *= 2;
    }
}

/// The same of the sessions in a text; nothing if one of them cannot be understood alone, or was taken back.
fn of_late(text: &str, headers: &[usize]) -> Option<(DateTime<FixedOffset>, bool)> {
    let from = headers.len().saturating_sub(OF_LATE);
    let blocks = &text[*headers.get(from)?..];
    // Such a text could have begun before this piece and hold what looks like a header; its end would stand here.
    let has = |word: &str| memmem::find(blocks.as_bytes(), word.as_bytes()).is_some();
    if has("\"\"\"") || has("'''") || has("\ntaken_back") {
        return None;
    }
    let ends = headers[from + 1..].iter().copied().chain([text.len()]);
    let mut unfinished = false;
    let mut last = None;
    for (start, end) in headers[from..].iter().copied().zip(ends) {
        let block = &text[start..end];
        // What was closed says nothing more, but for the last one.
        if end < text.len() && memmem::find(block.as_bytes(), b"\nclosed = ").is_some() {
            continue;
        }
        let session = fast_path::session(block).or_else(|| {
            let source = Source::made("block".as_ref(), String::new());
            format::lone_session(&source, 0, block)
                .and_then(|((session, gone), _)| gone.is_none().then_some(session))
        })?;
        unfinished |= session.is_cut_off();
        last = Some(session.at);
    }
    Some((last?, unfinished))
}

fn piece(file: &mut (impl Read + Seek), start: u64, len: u64) -> Option<Vec<u8>> {
    file.seek(SeekFrom::Start(start)).ok()?;
    let mut bytes = vec![0; usize::try_from(len).ok()?];
    file.read_exact(&mut bytes).ok()?;
    Some(bytes)
}

/// The text up to a character that is cut off or broken.
fn sound(bytes: &[u8]) -> &str {
    match str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default(),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    const HEAD: &str = "version = 1\nname = \"Rosa\"\n\n[[condition]]\nid = \"knee-pain\"\n";

    fn block(day: u32, rest: &str) -> String {
        let start = format!("\n[[session]]\nat = 2026-11-{day:02}T18:45:00+00:00\nminutes = 10\n");
        format!("{start}consent = \"hands-on\"\n{rest}")
    }

    /// Sessions enough that not all of them are read.
    fn past() -> String {
        let row = "report.01 = { stretch = \"calf\", form = \"wall\", held_s = 30, note = \"é\" }\n";
        (1..28).map(|day| block(day, &row.replace('é', &"é".repeat(400)))).collect()
    }

    /// A glance agrees with a full reading or leaves it to that.
    fn check(text: &str, glanced: bool) {
        let id = ClientId::new("rosa").expect("plain word");
        let quick = glance(&id, &mut Cursor::new(text.as_bytes()));
        assert_eq!(quick.is_some(), glanced, "{}", &text[text.floor_char_boundary(text.len() - 200)..]);
        if let Some(quick) = quick {
            let source = Source::made("rosa".as_ref(), text.to_owned());
            assert_eq!(quick, of(&read::client(&id, &source).expect("can be read").0), "{text}");
        }
    }

    #[test]
    fn a_glance_sees_what_a_full_reading_sees() {
        let past = past();
        check(&format!("{HEAD}{past}"), true);
        check(&format!("{HEAD}{past}{}", block(28, "")), true);
        check(&format!("{HEAD}{past}{}", block(28, "closed = 2026-11-28T18:54:40+00:00\n")), true);
        check(&format!("{HEAD}{past}{}", block(28, "mood = 1 # by hand\n")), true);
        check(&format!("{HEAD}{past}{}", block(28, &"# a remark\n".repeat(2_000))), true);
        check(&format!("note = \"{}\"\n{HEAD}{past}", "x".repeat(9_000)), true);
    }

    #[test]
    fn a_glance_sees_what_was_cut_off_of_late() {
        let end = "closed = 2026-12-28T18:54:40+00:00\n";
        let past = past().replace("}\n", &format!("}}\n{end}"));
        let december = |day, rest: &str| block(day, rest).replace("2026-11", "2026-12");
        let declined = december(1, "").replace("hands-on", "declined");
        for (cut_off, is_open) in [(december(1, ""), true), (declined, false)] {
            for since in [0, 1, OF_LATE - 2, OF_LATE - 1, OF_LATE, 2 * OF_LATE] {
                let later: String = (2..).take(since).map(|day| december(day, end)).collect();
                let text = format!("{HEAD}{past}{cut_off}{later}");
                check(&text, true);
                let id = ClientId::new("rosa").expect("plain word");
                let entry = glance(&id, &mut Cursor::new(text.as_bytes())).expect("glanced");
                assert_eq!(entry.unfinished, is_open && since < OF_LATE, "{since}");
            }
        }
        check(&format!("\u{feff}{HEAD}{past}").replace('\n', "\r\n"), true);
    }

    #[test]
    fn a_glance_leaves_unusual_files_to_a_full_reading() {
        let past = past();
        check(HEAD, false);
        check(&format!("{HEAD}{past}\n[[condition]]\nid = \"pregnancy\"\n"), false);
        check(&format!("{HEAD}{past}rep"), false);
        check(
            &format!("{HEAD}{}{past}", block(1, "taken_back = { at = 2026-11-01T19:00:00+00:00 }\n")),
            true,
        );
        check(
            &format!("{HEAD}{past}{}", block(28, "taken_back = { at = 2026-11-28T19:00:00+00:00 }\n")),
            false,
        );
        check(&format!("{HEAD}{past}{}", block(28, "note = '''\n[[session]]\n'''\n")), false);
        check(&format!("{HEAD}{past}").replace("[[session]]", "[[ session ]]"), false);
        check(&format!("{HEAD}note = '''{past}'''\n"), false);
    }
}
