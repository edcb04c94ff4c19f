//! Merges two copies of a client's file as texts. What is the same in both stays as it stands; what differs is written
//! anew from the union of what both say. Both directions give the same text.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};
use toml::de::DeTable;

use crate::client::{ClientId, Disagreement};

use super::cells::{self, Cells};
use super::error::StoreError;
use super::locate::{self, Parts};
use super::shape::SESSION_HEADER;
use super::{merge, patch, read, render};
use crate::document::{Source, values};

/// What a merge came to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Merged {
    /// Sessions that were not there before.
    pub added_sessions: usize,
    /// Reports that were not there before, those of added sessions included.
    pub added_reports: usize,
    /// What the copies disagree about, with the beginning of the session it is about. All values are kept; the
    /// trainer picks.
    pub disagreements: Vec<(Option<DateTime<FixedOffset>>, Disagreement)>,
}

/// A part of one copy and what it says.
struct TextPart<'t> {
    text: &'t str,
    cells: Cells,
}

/// Merges two sound copies.
pub(crate) fn into_text(
    id: &ClientId,
    ours: &Source,
    theirs: &Source,
) -> Result<(Source, Merged), StoreError> {
    if ours == theirs {
        return Ok((ours.clone(), Merged::default()));
    }
    let normal = [ours, theirs].map(|copy| locate::parts(copy).is_none().then(|| in_parts(copy)));
    let copies =
        [ours, theirs].into_iter().zip(&normal).map(|(copy, normal)| normal.as_ref().unwrap_or(copy));
    let [our, their] =
        copies.map(parts).collect::<Result<Vec<_>, _>>()?.try_into().map_err(|_two| unfit())?;
    let mut merged = Merged::default();
    let mut text = head(our.head, their.head, &mut merged)?;
    text.reserve(our.text.len().max(their.text.len()));
    let mut sessions: BTreeMap<DateTime<FixedOffset>, [Option<&str>; 2]> = BTreeMap::new();
    for (side, copy) in [&our, &their].into_iter().enumerate() {
        for block in &copy.blocks {
            sessions.entry(block.at).or_default()[side] = Some(&copy.text[block.from..block.to]);
        }
    }
    for (at, blocks) in sessions {
        let block = session(at, blocks, &mut merged)?;
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&block);
    }
    let line_end = if ours.line_end() == theirs.line_end() { ours.line_end() } else { "\n" };
    let text = locate::with_line_ends(text, line_end);
    let mut text = text;
    if ours.mark_len() > 0 && theirs.mark_len() > 0 {
        text.insert(0, '\u{feff}');
    }
    let source = patch::raised(Source::made(ours.path(), text));
    // Nothing is ever written that could not be read.
    read::is_sound(id, &source)?;
    Ok((source, merged))
}

/// The text with one part changed: that before the sessions, or the session of a moment.
pub(crate) fn with_part(
    id: &ClientId,
    source: &Source,
    at: Option<DateTime<FixedOffset>>,
    change: impl FnOnce(&mut Cells) -> Result<(), StoreError>,
) -> Result<Source, StoreError> {
    let normal = locate::parts(source).is_none().then(|| in_parts(source));
    let source = normal.as_ref().unwrap_or(source);
    let found = parts(source)?;
    let (range, mut cells) = match at {
        None => (0..found.head.len(), of_head(found.head)?),
        Some(at) => {
            let block = found.blocks.iter().find(|block| block.at == at).ok_or_else(unfit)?;
            (block.from..block.to, of_session(&source.text()[block.from..block.to])?)
        }
    };
    change(&mut cells)?;
    let mut text = if at.is_none() { render::head(&cells) } else { render::session(&cells) };
    if range.end < source.text().len() {
        text.push('\n');
    }
    let text = locate::with_line_ends(text, source.line_end());
    let changed = patch::raised(source.splice(range, &text));
    read::is_sound(id, &changed)?;
    Ok(changed)
}

fn unfit() -> StoreError {
    StoreError::Unfit {
        what: "the merged copies".to_owned(),
        why: "one of them is not written as this program writes it; write its sessions as [[session]] blocks first"
            .to_owned(),
    }
}

/// A copy that cannot be cut into parts, such as one whose profile goes on after the sessions, written anew.
fn in_parts(copy: &Source) -> Source {
    let text = copy.text();
    let Ok(parsed) = DeTable::parse(text) else { return copy.clone() };
    let mut rest = text.to_owned();
    let mut sessions: Vec<(Option<DateTime<FixedOffset>>, String)> = Vec::new();
    let found = parsed.get_ref().get("session").and_then(|sessions| sessions.get_ref().as_array());
    for value in found.into_iter().flat_map(|array| array.iter()) {
        let Some(table) = value.get_ref().as_table() else { continue };
        // A session that is no block of its own has its comments with the profile.
        let region = locate::region_of(text, value);
        let within = region.clone().map_or_else(String::new, |region| text[region].to_owned());
        if let Some(region) = region {
            let blank: String =
                text[region.clone()].chars().map(|c| if c == '\n' { '\n' } else { ' ' }).collect();
            rest.replace_range(region, &blank);
        }
        let at = table.get("at").and_then(|at| values::moment(at.get_ref()).ok());
        sessions.push((at, render::session(&cells::of_session(table, &within, 0..0))));
    }
    sessions.sort();
    let mut whole = render::head(&cells::of_head(parsed.get_ref(), &rest));
    for (_, session) in sessions {
        whole.push('\n');
        whole.push_str(&session);
    }
    Source::made(copy.path(), whole)
}

/// The parts of a copy. Two sessions of one moment cannot be told apart: such a copy is not merged.
fn parts(source: &Source) -> Result<Parts<'_>, StoreError> {
    let parts = locate::parts(source).ok_or_else(unfit)?;
    let mut ats: Vec<&locate::SessionPart> = parts.blocks.iter().collect();
    ats.sort_by_key(|block| block.at);
    if let Some(pair) = ats.windows(2).find(|pair| pair[0].at == pair[1].at) {
        let line = source.position(pair[0].from).0;
        return Err(StoreError::broken(vec![source.flaw(
            pair[1].from..pair[1].from,
            format!("this session began in the same second as the one in line {line}"),
            "make one of them, or give one another time",
        )]));
    }
    Ok(parts)
}

fn head(ours: &str, theirs: &str, merged: &mut Merged) -> Result<String, StoreError> {
    let parts = [ours, theirs].map(|text| of_head(text).map(|cells| TextPart { text, cells }));
    let [ours, theirs] = parts;
    let (united, text) = unite([&ours?, &theirs?], render::head);
    told(None, &united, merged);
    Ok(text)
}

fn session(
    at: DateTime<FixedOffset>,
    blocks: [Option<&str>; 2],
    merged: &mut Merged,
) -> Result<String, StoreError> {
    let (ours, theirs) = match blocks {
        [Some(ours), Some(theirs)] if ours.trim_end() != theirs.trim_end() => (ours, theirs),
        [ours, theirs] => {
            let text = ours.or(theirs).unwrap_or_default();
            if ours.is_none() {
                merged.added_sessions += 1;
                merged.added_reports += text.lines().filter(|line| line.starts_with("report.")).count();
            }
            if text.contains("\nclash") {
                told(Some(at), &of_session(text)?, merged);
            }
            return Ok(locate::with_line_ends(format!("{}\n", text.trim_end()), "\n"));
        }
    };
    let [ours, theirs] = [ours, theirs].map(|text| of_session(text).map(|cells| TextPart { text, cells }));
    let (ours, theirs) = (ours?, theirs?);
    let (united, text) = unite([&ours, &theirs], render::session);
    let reports =
        |cells: &Cells| cells.values.keys().filter(|path| path.len() == 2 && path[0] == "report").count();
    merged.added_reports += reports(&united).saturating_sub(reports(&ours.cells));
    told(Some(at), &united, merged);
    Ok(text)
}

fn of_head(text: &str) -> Result<Cells, StoreError> {
    let parsed = DeTable::parse(text).map_err(|_error| unfit())?;
    Ok(cells::of_head(parsed.get_ref(), text))
}

fn of_session(text: &str) -> Result<Cells, StoreError> {
    let parsed = DeTable::parse(text).map_err(|_error| unfit())?;
    let sessions = parsed.get_ref().get("session").and_then(|sessions| sessions.get_ref().as_array());
    let table = sessions.and_then(|array| array.first()).and_then(|value| value.get_ref().as_table());
    let header = text.find(SESSION_HEADER).unwrap_or(0);
    Ok(cells::of_session(table.ok_or_else(unfit)?, text, header..header + SESSION_HEADER.len()))
}

/// Unites a part. A copy that says all of it already gives its text, so that it stays as a person wrote it: of two, not
/// the one that is written as it would be written anew.
fn unite(parts: [&TextPart<'_>; 2], render: fn(&Cells) -> String) -> (Cells, String) {
    let united = merge::unite(&parts[0].cells, &parts[1].cells);
    let whole = |part: &&&TextPart<'_>| is_the_same(&part.cells, &united);
    let text =
        |part: &&TextPart<'_>| format!("{}\n", locate::with_line_ends(part.text.trim_end().to_owned(), "\n"));
    let texts: BTreeSet<String> = parts.iter().filter(whole).map(text).collect();
    if texts.len() == 1 {
        return (united, texts.into_iter().next().unwrap_or_default());
    }
    let anew = render(&united);
    let text = texts.into_iter().find(|text| *text != anew).unwrap_or(anew);
    (united, text)
}

/// Whether a copy says no less: comments may stand elsewhere, but all are there.
fn is_the_same(copy: &Cells, united: &Cells) -> bool {
    copy.values == united.values
        && copy.order == united.order
        && copy.changes == united.changes
        && copy.clashes == united.clashes
        && copy.comments == united.comments
}

fn told(at: Option<DateTime<FixedOffset>>, cells: &Cells, merged: &mut Merged) {
    for (of, values) in &cells.clashes {
        let values = values.iter().cloned().collect();
        merged.disagreements.push((at, Disagreement { of: of.clone(), values }));
    }
}
