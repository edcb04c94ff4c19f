//! Finds sessions and reports in a file's text, and puts new ones in the right place.

use std::ops::Range;

use chrono::{DateTime, FixedOffset};
use toml::de::{DeTable, DeValue};

use crate::client::{Client, ClientId, Session};

use super::error::StoreError;
use super::fast_path;
use super::fields::{self, Value};
use super::patch::{self, SESSION_HEADER, verified};
use super::text::Source;
use super::unknown;
use super::write;

/// The start of the first line that is a session's header.
pub(crate) fn first_header(text: &str) -> Option<usize> {
    let mut from = 0;
    while let Some(found) = text[from..].find(SESSION_HEADER) {
        let at = from + found;
        let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
        // A header inside of a text of several lines does not count: what is before it would not parse.
        if text[start..at].trim().is_empty() && DeTable::parse(&text[..start]).is_ok() {
            return Some(start);
        }
        from = at + SESSION_HEADER.len();
    }
    None
}

/// One session's block in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Block {
    /// Where its header begins.
    pub(crate) start: usize,
    /// Where the line after its last value begins.
    pub(crate) end: usize,
    /// When the session began.
    pub(crate) at: DateTime<FixedOffset>,
}

/// Every session's block, in the order of the text; nothing if they are not written as `[[session]]` blocks.
pub(crate) fn blocks(source: &Source) -> Option<Vec<Block>> {
    quick_blocks(source.text()).or_else(|| parsed_blocks(source.text(), false))
}

/// The blocks of a text that can be cut into parts, each of which can be read alone.
pub(crate) fn quick_blocks(text: &str) -> Option<Vec<Block>> {
    let headers = fast_path::header_lines(text);
    let (head, parts) = fast_path::parts(text, &headers);
    if DeTable::parse(head).ok()?.get_ref().contains_key("session") {
        return None;
    }
    let mut blocks = Vec::with_capacity(headers.len());
    for (part, &start) in parts.zip(&headers) {
        let block = if let Some(session) = fast_path::session(part) {
            let last = part.trim_ascii_end().len();
            let end = part[last..].find('\n').map_or(part.len(), |line| last + line + 1);
            Block { start, end: start + end, at: session.at }
        } else {
            let mut found = parsed_blocks(part, true)?;
            let block = found.pop().filter(|_| found.is_empty())?;
            Block { start: start + block.start, end: start + block.end, at: block.at }
        };
        blocks.push(block);
    }
    Some(blocks)
}

/// The blocks of a text as the parser sees them; `alone` if there must be nothing else.
pub(crate) fn parsed_blocks(text: &str, alone: bool) -> Option<Vec<Block>> {
    let parsed = DeTable::parse(text).ok()?;
    if alone && parsed.get_ref().len() > 1 {
        return None;
    }
    let Some(sessions) = parsed.get_ref().get("session") else { return Some(Vec::new()) };
    let mut blocks = Vec::new();
    for value in sessions.get_ref().as_array()? {
        let span = value.span();
        if !text[span.start..].starts_with("[[") {
            return None;
        }
        let at = fields::moment(value.get_ref().as_table()?.get("at")?.get_ref()).ok()?;
        let last = last_end(value).max(span.end);
        let end = text[last..].find('\n').map_or(text.len(), |line| last + line + 1);
        let start = text[..span.start].rfind('\n').map_or(0, |line| line + 1);
        blocks.push(Block { start, end, at });
    }
    Some(blocks)
}

/// Where the last value within a value ends.
fn last_end(value: &Value<'_>) -> usize {
    match value.get_ref() {
        DeValue::Table(table) => {
            table.iter().map(|(_, inner)| last_end(inner)).max().unwrap_or(0).max(value.span().end)
        }
        _ => value.span().end,
    }
}

/// Where the value of one report stands.
pub(crate) fn report_span(source: &Source, at: DateTime<FixedOffset>, number: u32) -> Option<Range<usize>> {
    let found = blocks(source)?;
    found.iter().filter(|block| block.at == at).find_map(|block| {
        let parsed = DeTable::parse(&source.text()[block.start..block.end]).ok()?;
        let session = parsed.get_ref().get("session")?.get_ref().as_array()?.first()?.get_ref();
        let rows = session.as_table()?.get("report")?.get_ref().as_table()?;
        let (_, value) = rows.iter().find(|(key, _)| key.get_ref().parse() == Ok(number))?;
        Some(value.span().start + block.start..value.span().end + block.start)
    })
}

/// What has to stand before a text that is appended to `before`.
pub(crate) fn joint(before: &str, line_end: &'static str) -> &'static str {
    if before.is_empty() || before.ends_with('\n') { "" } else { line_end }
}

/// A text with the line ends of the file it goes to. Those within texts of several lines are part of a value and stay.
pub(crate) fn with_line_ends(text: String, line_end: &str) -> String {
    if line_end == "\n" && !text.contains('\r') {
        return text;
    }
    let mut out = String::with_capacity(text.len() + text.len() / 16);
    let mut done = 0;
    for long in unknown::long_texts(&text) {
        out.push_str(&text[done..long.start].replace("\r\n", "\n").replace('\n', line_end));
        out.push_str(&text[long.clone()]);
        done = long.end;
    }
    out.push_str(&text[done..].replace("\r\n", "\n").replace('\n', line_end));
    out
}

/// Where a new session goes, so that the oldest comes first: before the first block that is younger.
pub(crate) fn place_for(text: &str, blocks: &[Block], at: DateTime<FixedOffset>) -> usize {
    match blocks.iter().position(|block| block.at > at) {
        Some(0) => {
            let start = blocks[0].start;
            let before = text[..start].trim_end_matches([' ', '\t', '\r', '\n']).len();
            text[before..start].find('\n').map_or(start, |line| before + line + 1)
        }
        Some(younger) => blocks[younger - 1].end,
        None => text.len(),
    }
}

/// A session as it stands in a text, comments included.
pub(crate) fn block_text(source: &Source, blocks: &[Block], at: DateTime<FixedOffset>) -> Option<String> {
    let index = blocks.iter().position(|block| block.at == at)?;
    let end = blocks.get(index + 1).map_or(source.text().len(), |next| next.start);
    Some(format!("{}\n", source.text()[blocks[index].start..end].trim_end()))
}

/// Makes sure that a session and all its reports stand in a client's text; adds what is missing, changes nothing.
///
/// `client` is what the text says. A report of the text wins over one of the same number in `session`.
pub(crate) fn with_session(
    id: &ClientId,
    source: &Source,
    client: &Client,
    session: &Session,
) -> Result<Source, StoreError> {
    let line_end = source.line_end();
    let unfit = || StoreError::Unfit {
        what: "the session".to_owned(),
        why: "the sessions of this file are not written as [[session]] blocks; write them so first"
            .to_owned(),
    };
    let blocks = blocks(source).ok_or_else(unfit)?;
    let text = source.text();
    let mut added = String::new();
    let place = if let Some(there) = client.sessions.iter().find(|there| there.at == session.at) {
        let known = there.narrowed.len();
        let missing = session.narrowed.iter().filter(|narrowing| !there.narrowed.contains(narrowing));
        for (number, narrowing) in (1..).skip(known).zip(missing) {
            write::narrowed_row(&mut added, number, narrowing);
        }
        for (number, report) in
            session.reports.iter().filter(|(number, _)| !there.reports.contains_key(number))
        {
            write::report_row(&mut added, *number, report);
        }
        if let (None, Some(closed)) = (there.closed, session.closed) {
            let note = if there.note.is_empty() { session.note.as_str() } else { "" };
            write::closing(&mut added, closed, note);
        }
        blocks.iter().find(|block| block.at == session.at).ok_or_else(unfit)?.end
    } else {
        write::session_block(&mut added, session, None);
        place_for(text, &blocks, session.at)
    };
    if added.is_empty() {
        return Ok(source.clone());
    }
    let mut added = with_line_ends(added, line_end);
    added.insert_str(0, joint(&text[..place], line_end));
    let others = |client: &Client| -> Vec<Session> {
        client.sessions.iter().filter(|other| other.at != session.at).cloned().collect()
    };
    let before = others(client);
    let expected = |found: &Client| {
        found.profile == client.profile
            && others(found) == before
            && found.sessions.iter().any(|found| {
                found.at == session.at
                    && session.reports.keys().all(|number| found.reports.contains_key(number))
                    && session.narrowed.iter().all(|narrowing| found.narrowed.contains(narrowing))
                    && (session.closed.is_none() || found.closed.is_some())
            })
    };
    verified(id, patch::raised(&source.splice(place..place, &added)), "the session", expected)
}
