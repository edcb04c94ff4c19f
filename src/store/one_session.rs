//! Changes one session of a long file and leaves the others unread: it is looked for from the end, where the sessions
//! are that are worked at.
//!
//! A file is changed so only if it was read as a whole under the same lock, is unchanged since, and it is certain that
//! the line that looks like the session's header is one. Anything else is left to [`patch`], which reads the whole text;
//! both come to the same bytes.

use std::ops::Range;

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, Session, whole_second};
use crate::document::Source;

use super::error::StoreError;
use super::key::Key;
use super::sealed::{HEADS, StreamPosition, lines, place_of};
use super::shape::SESSION_HEADER;
use super::{fast_path, format, locate, patch};

/// How a session's header begins that is not the first line of a file.
const HEADER_LINE: &str = "\n[[session]]";

/// One session's part of a file, and the file around it.
#[derive(Debug)]
pub(crate) struct LonePart {
    /// The file as it stands on the disk.
    bytes: Vec<u8>,
    /// Which bytes of it are the part.
    range: Range<usize>,
    /// In a sealed file, the places of its pieces.
    places: Vec<u64>,
    /// The part from its header to the next one, and what stands before the header in its first piece.
    text: String,
    lead: usize,
    /// The session's lines, counted from the header.
    block: Range<usize>,
    line_end: &'static str,
    /// What it says.
    pub(crate) session: Session,
    /// Whether nothing follows it.
    pub(crate) is_last: bool,
}

/// Whether a client has one session of that moment and no more, so that the first one found is the one.
pub(crate) fn is_alone(client: &Client, at: DateTime<FixedOffset>) -> bool {
    let gone = client.taken_back.iter().map(|(session, _)| session);
    client.sessions.iter().chain(gone).filter(|session| session.at == at).count() == 1
}

impl LonePart {
    /// The part of the session of a moment in a file as it stands on the disk; nothing if that is not certain.
    pub(crate) fn find(
        bytes: Vec<u8>,
        sealed: Option<(&Key, &StreamPosition)>,
        at: DateTime<FixedOffset>,
    ) -> Option<Self> {
        match sealed {
            None => Self::in_plain(bytes, at),
            Some((key, seal)) => Self::in_sealed(bytes, key, seal, at),
        }
    }

    fn in_plain(bytes: Vec<u8>, at: DateTime<FixedOffset>) -> Option<Self> {
        let whole = str::from_utf8(&bytes).ok()?;
        let mark = if whole.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        let text = &whole[mark..];
        let head = &text[..=text.find(HEADER_LINE)?];
        let line_end = line_end_of(head, patch::is_current(head))?;
        let mut end = text.len();
        loop {
            let start = text[..end].rfind(HEADER_LINE)? + 1;
            let part = &text[start..end];
            if may_be_within_a_text(part) {
                return None;
            }
            if moment_of(part)? == at {
                let (range, is_last) = (mark + start..mark + end, end == text.len());
                let ((session, block), text) = (session_of(part)?, part.to_owned());
                let places = Vec::new();
                return Some(Self { bytes, range, places, text, lead: 0, block, line_end, session, is_last });
            }
            end = start;
        }
    }

    fn in_sealed(
        bytes: Vec<u8>,
        key: &Key,
        seal: &StreamPosition,
        at: DateTime<FixedOffset>,
    ) -> Option<Self> {
        let head = String::from_utf8(head_of(seal, key, &bytes)?).ok()?;
        let line_end = line_end_of(&head, patch::is_current(&head))?;
        let mut pieces: Vec<Vec<u8>> = Vec::new();
        let (mut from, mut until, mut is_last) = (bytes.len(), bytes.len(), true);
        for place in (0..seal.next).rev() {
            let (start, piece) = piece_before(seal, key, &bytes[..from], place)?;
            from = start;
            let begins = piece.trim_ascii_start().starts_with(SESSION_HEADER.as_bytes());
            pieces.push(piece);
            if !begins {
                continue;
            }
            pieces.reverse();
            let count = u64::try_from(pieces.len()).ok()?;
            let text = String::from_utf8(std::mem::take(&mut pieces).concat()).ok()?;
            let lead = text.len() - text.trim_ascii_start().len();
            // Several sessions may have been added in one piece.
            if may_be_within_a_text(&text) || text[lead..].contains(HEADER_LINE) {
                return None;
            }
            if moment_of(&text[lead..])? == at {
                let (session, block) = session_of(&text[lead..])?;
                let (range, places) = (from..until, (place..place + count).collect());
                return Some(Self { bytes, range, places, text, lead, block, line_end, session, is_last });
            }
            (until, is_last) = (from, false);
        }
        None
    }

    /// The part's text with another session in it.
    pub(crate) fn changed(&self, new: &Session) -> Result<String, StoreError> {
        let part = &self.text[self.lead..];
        let old = (&self.session, None);
        let changed = patch::in_block(&part[self.block.clone()], self.line_end, old, (new, None))?;
        Ok(format!(
            "{}{}{changed}{}",
            &self.text[..self.lead],
            &part[..self.block.start],
            &part[self.block.end..]
        ))
    }

    /// The file as it is to stand on the disk with another text of the part.
    pub(crate) fn file_with(&self, text: &str, sealed: Option<(&Key, &StreamPosition)>) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(self.bytes.len() + text.len());
        bytes.extend_from_slice(&self.bytes[..self.range.start]);
        match sealed {
            None => bytes.extend_from_slice(text.as_bytes()),
            Some((key, seal)) => {
                // As many pieces as there were, so that no place is missing: the first one has all of it.
                for (index, &place) in self.places.iter().enumerate() {
                    let text = if index == 0 { text } else { "" };
                    bytes.extend(
                        key.piece(&mut StreamPosition { next: place, ..seal.clone() }, text.as_bytes()),
                    );
                }
            }
        }
        bytes.extend_from_slice(&self.bytes[self.range.end..]);
        bytes
    }

    /// The part from its header on, as it is with that text.
    pub(crate) fn tail_of<'t>(&self, text: &'t str) -> &'t str {
        &text[self.lead..]
    }
}

/// What stands before the sessions of a sealed file.
fn head_of(seal: &StreamPosition, key: &Key, bytes: &[u8]) -> Option<Vec<u8>> {
    let (_, line) = lines(bytes).nth(2)?;
    let (place, line) = place_of(line).filter(|(place, _)| *place == 0)?;
    key.open(line, &seal.binding(place))
}

/// The piece of a place whose line is the last one, and where that line begins.
fn piece_before(seal: &StreamPosition, key: &Key, bytes: &[u8], place: u64) -> Option<(usize, Vec<u8>)> {
    let last = bytes.iter().rposition(|&byte| byte != b'\n')? + 1;
    let start = bytes[..last].iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1);
    let (_, line) = place_of(&bytes[start..last]).filter(|(found, _)| *found == place && place >= HEADS)?;
    Some((start, key.open(line, &seal.binding(place))?))
}

/// Whether a header could stand within a text of several lines that is still open there: what closes it would follow.
fn may_be_within_a_text(part: &str) -> bool {
    part.contains("\"\"\"") || part.contains("'''")
}

/// The line end in use: that of the first line.
fn line_end_of(head: &str, is_current: bool) -> Option<&'static str> {
    is_current.then(|| Source::made("head".as_ref(), head.to_owned()).line_end())
}

/// When a session's part says that it began.
fn moment_of(part: &str) -> Option<DateTime<FixedOffset>> {
    let mut lines = part.lines();
    let at = lines.by_ref().nth(1)?.strip_prefix("at = ")?;
    part.lines().next().filter(|line| *line == SESSION_HEADER)?;
    fast_path::moment(at).map(whole_second)
}

/// What a part says and where its lines stand in it, if it is one session's and that was not taken back.
fn session_of(part: &str) -> Option<(Session, Range<usize>)> {
    let block = locate::lone_block(part)?;
    let session = fast_path::session(part).or_else(|| {
        let source = Source::made("part".as_ref(), String::new());
        let ((session, gone), _) = format::lone_session(&source, 0, part)?;
        gone.is_none().then_some(session)
    });
    Some((session?, block.start..block.end))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::body::Level;
    use crate::client::{Attribution, ClientId};
    use crate::store::{journal, key};

    const TEXT: &str = "version = 2\nname = \"Rosa\" # said so\n\n[[condition]]\nid = \"knee-pain\"\n\n[[session]]\n\
        at = 2026-11-20T18:45:00+01:00\nminutes = 10\ntrained = { soleus = 2 }\nconsent = \"hands-on\"\n\
        report.01 = { stretch = \"calf\", form = \"wall\", held_s = 30 } # by hand\n\
        note = \"calm\"\nclosed = 2026-11-20T18:54:40+01:00\n\n# the evening of the storm\n[[session]]\n\
        at = 2026-11-21T18:45:00-03:30\nminutes = 5\nby = \"Ada\"\nconsent = \"self-stretch\"\nmood = 'fine'\n\
        report.01 = { stretch = \"calf\", form = \"wall\", held_s = 30 }\n\n[[session]]\n\
        at = 2026-11-22T18:45:00+00:00\nminutes = 10\nconsent = \"hands-on\"\n\
        report.01 = { stretch = \"calf\", form = \"wall\", side = \"left\", held_s = 21, note = \"é\" }\n\
        report.02 = { stretch = \"calf\", form = \"wall\", side = \"right\", held_s = 21 }\n";

    /// An answer that comes later, and a remark.
    fn edited(session: &Session) -> Option<Session> {
        let at = DateTime::parse_from_rfc3339("2026-11-25T10:00:00+01:00").expect("a time");
        let who = Attribution { at, by: "Ada".to_owned() };
        let edit = |session: &mut Session| {
            for report in session.reports.values_mut() {
                report.level = Level::new(4).ok();
            }
            "better".clone_into(&mut session.note);
        };
        journal::edited(session, &who, edit).ok()
    }

    /// Every session of a text that the quick way changes, it changes as the whole text would be; how many those are.
    fn agrees(text: &str) -> usize {
        let id = ClientId::new("rosa").expect("plain word");
        let source = Source::made("rosa".as_ref(), text.to_owned());
        let Ok((client, _)) = crate::store::read::client(&id, &source) else { return 0 };
        let key = key::Key::of(key::draw());
        let (mut sealed, mut seal) = key.file(&id, text.as_bytes());
        let last =
            text.rfind("report.02").filter(|at| source.text().ends_with('\n') && text[..*at].ends_with('\n'));
        // The last row was appended, as while a session runs.
        if let Some(at) = last {
            (sealed, seal) = key.file(&id, &text.as_bytes()[..at]);
            sealed.extend(key.piece(&mut seal, &text.as_bytes()[at..]));
        }
        let mut quick = 0;
        for session in client.sessions.iter().filter(|session| is_alone(&client, session.at)) {
            let Some(edited) = edited(session) else { continue };
            let slow = patch::session(&source, (session, None), (&edited, None));
            let slow = slow.as_ref().map(Source::whole).ok();
            if let Some(part) = LonePart::find(text.as_bytes().to_vec(), None, session.at) {
                assert_eq!(part.session, *session, "{text}");
                let there = part.changed(&edited).ok().map(|changed| part.file_with(&changed, None));
                assert_eq!(there.as_deref(), slow.map(str::as_bytes), "{text}");
                quick += 1;
            }
            if let Some(part) = LonePart::find(sealed.clone(), Some((&key, &seal)), session.at) {
                let there =
                    part.changed(&edited).ok().map(|changed| part.file_with(&changed, Some((&key, &seal))));
                let opened = there.map(|bytes| key.open_file("rosa".as_ref(), &bytes).expect("opens"));
                assert!(
                    opened
                        .as_ref()
                        .is_none_or(|opened| opened.lost.is_empty() && opened.seal.as_ref() == Some(&seal))
                );
                assert_eq!(opened.map(|opened| opened.text).as_deref(), slow.map(str::as_bytes), "{text}");
                quick += 1;
            }
        }
        quick
    }

    #[test]
    fn each_session_is_changed_alone_plain_and_sealed() {
        assert_eq!(agrees(TEXT), 6);
        assert_eq!(agrees(&TEXT.replace('\n', "\r\n")), 6);
        assert_eq!(agrees(&format!("\u{feff}{TEXT}")), 6);
        assert_eq!(agrees(TEXT.trim_end()), 6);
    }

    #[test]
    fn what_is_not_certain_is_left_to_the_whole_text() {
        assert_eq!(agrees(&TEXT.replace("version = 2", "version = 1")), 0);
        assert_eq!(agrees(&TEXT.replace("note = \"calm\"", "note = \"\"\"\n[[session]]\nat\"\"\"")), 4);
        assert_eq!(agrees(&TEXT.replace("'fine'", "'''fine'''")), 2);
        // The last session and what follows it are not told apart; those before are.
        assert_eq!(agrees(&format!("{TEXT}\n[[condition]]\nid = \"pregnancy\"\n")), 4);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
            std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(1_000)) })]

        #[test]
        fn one_session_is_changed_as_the_whole_text_would_be(
            at in 0..TEXT.len(),
            gone in 0_usize..30,
            put in prop_oneof![
                3 => "[\\[\\]{}=\"',.#\n\r\t 0-9a-z+:T_-]{0,6}", 1 => "\\PC{0,3}", 1 => "[0-9]{1,12}",
                1 => prop::sample::select(vec![
                    "[[session]]\n", "\"\"\"", "'''", "\n[[session]]\n'''\n", " }\n", ", level = 5", "\nnote = \"\"\n",
                    "\n\n", "[x]\n", "[session.x]\n", " [[session]]\n", "[[ session ]]\n", "# [[session]]\n", "\u{feff}",
                    "22", "60", "00", "-00:00", "Z", "x.y = 1\n", "clash = {}\n", "[[condition]]\nid = \"knee-pain\"\n",
                ]).prop_map(str::to_owned),
            ],
        ) {
            let start = TEXT.floor_char_boundary(at);
            let end = TEXT.floor_char_boundary((at + gone).min(TEXT.len()));
            let mut text = TEXT.to_owned();
            text.replace_range(start..end, &put);
            agrees(&text);
        }
    }
}
