//! Finds sessions and reports in a file's text, and puts new ones in the right place.

use std::ops::Range;

use chrono::{DateTime, FixedOffset};
use toml::de::{DeTable, DeValue};

use crate::client::whole_second;

use super::comments;
use super::fast_path;
use super::shape::SESSION_HEADER;
use super::text_cut;
use crate::document::{Placed, Source, values};

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
    let headers = text_cut::header_lines(text);
    let (head, parts) = text_cut::parts(text, &headers);
    if DeTable::parse(head).ok()?.get_ref().contains_key("session") {
        return None;
    }
    let mut blocks = Vec::with_capacity(headers.len());
    for (part, &start) in parts.zip(&headers) {
        let block = lone_block(part)?;
        blocks.push(Block { start: start + block.start, end: start + block.end, at: block.at });
    }
    Some(blocks)
}

/// The block of a part that is one session's, from its header on.
pub(crate) fn lone_block(part: &str) -> Option<Block> {
    if let Some(session) = fast_path::session(part) {
        let last = part.trim_ascii_end().len();
        let end = part[last..].find('\n').map_or(part.len(), |line| last + line + 1);
        return Some(Block { start: 0, end, at: session.at });
    }
    let mut found = parsed_blocks(part, true)?;
    found.pop().filter(|_| found.is_empty())
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
        let region = region_of(text, value)?;
        let at = values::moment(value.get_ref().as_table()?.get("at")?.get_ref()).ok()?;
        blocks.push(Block { start: region.start, end: region.end, at: whole_second(at) });
    }
    Some(blocks)
}

/// Where the last value within a value ends.
fn last_end(value: &Placed<'_>) -> usize {
    match value.get_ref() {
        DeValue::Table(table) => {
            table.iter().map(|(_, inner)| last_end(inner)).max().unwrap_or(0).max(value.span().end)
        }
        _ => value.span().end,
    }
}

/// Where a session stands that is a block: from its header to the end of the line of its last value.
pub(crate) fn region_of(text: &str, value: &Placed<'_>) -> Option<Range<usize>> {
    let span = value.span();
    if !text[span.start..].starts_with("[[") {
        return None;
    }
    let last = last_end(value).max(span.end);
    let end = text[last..].find('\n').map_or(text.len(), |line| last + line + 1);
    let start = text[..span.start].rfind('\n').map_or(0, |line| line + 1);
    Some(start..end)
}

/// A text cut into the part before the sessions and one part a session, each of which can be read alone.
#[derive(Debug)]
pub(crate) struct Parts<'t> {
    pub(crate) text: &'t str,
    pub(crate) head: &'t str,
    pub(crate) blocks: Vec<SessionPart>,
}

/// One session's part, with the comments right above its header and all that follows up to the next one.
#[derive(Debug)]
pub(crate) struct SessionPart {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) at: DateTime<FixedOffset>,
}

/// Cuts a text into parts; nothing if that cannot be done.
pub(crate) fn parts(source: &Source) -> Option<Parts<'_>> {
    let text = source.text();
    let found = quick_blocks(text)?;
    let mut blocks: Vec<SessionPart> = Vec::with_capacity(found.len());
    let mut least = 0;
    for block in &found {
        let mut from = block.start;
        while let Some(line) =
            line_before(text, from).filter(|line| *line >= least && text[*line..].starts_with('#'))
        {
            from = line;
        }
        blocks.push(SessionPart { from, to: text.len(), at: block.at });
        least = block.end;
    }
    for index in 1..blocks.len() {
        blocks[index - 1].to = blocks[index].from;
    }
    let head = &text[..blocks.first().map_or(text.len(), |block| block.from)];
    Some(Parts { text, head, blocks })
}

/// Where the line before a line begins.
fn line_before(text: &str, line: usize) -> Option<usize> {
    let end = line.checked_sub(1)?;
    Some(text[..end].rfind('\n').map_or(0, |at| at + 1))
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
    for long in comments::long_texts(&text) {
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
