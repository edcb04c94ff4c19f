//! Merges two copies of a client's file as texts: the words of both stay, and what only a person understands.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, Disagreement, Report};

use super::error::StoreError;
use super::locate;
use super::merge::{Merged, refines, unite};
use super::text::Source;
use super::unknown::{self, InSession, Keys};
use super::{patch, read, write};

/// One copy of a client: its text and what that says.
pub(crate) struct Copy<'c> {
    pub(crate) source: &'c Source,
    pub(crate) client: &'c Client,
}

/// What both copies hold that this program does not understand, united.
#[derive(Debug, Default)]
struct Strange {
    /// Keys of ours that are new or get another value.
    beside: patch::Beside,
    sessions: BTreeMap<DateTime<FixedOffset>, InSession>,
    /// Comments about values that gave way, by the session they belong to.
    remarks: BTreeMap<Option<DateTime<FixedOffset>>, BTreeSet<String>>,
}

/// Only what differs from ours has to be written.
fn news(ours: &Keys, united: Keys) -> Keys {
    united.into_iter().filter(|(key, value)| ours.get(key) != Some(value)).collect()
}

fn unite_foreign(ours: &Copy<'_>, theirs: &Copy<'_>, merged: &Client) -> Strange {
    let (our, their) = (unknown::of(ours.source), unknown::of(theirs.source));
    let mut strange = Strange::default();
    let nothing = Keys::new();
    for (key, value) in &their.top {
        if our.top.get(key).is_none_or(|there| there < value) {
            strange.beside.keys.insert(key.clone(), value.clone());
        }
    }
    // The merged profile has our rows first, then those that only they have.
    let their_rows = write::profile_rows(&theirs.client.profile);
    for (kind, their_kind) in write::profile_rows(&merged.profile).into_iter().zip(their_rows) {
        let Some(others) = their.rows.get(kind.name) else { continue };
        let our_keys = our.rows.get(kind.name).map_or(&[][..], Vec::as_slice);
        let mut added = Vec::with_capacity(kind.all.len());
        for (index, row) in kind.all.iter().enumerate() {
            let own = our_keys.get(index).unwrap_or(&nothing);
            let place = their_kind.all.iter().position(|other| other == row);
            let Some(other) = place.and_then(|place| others.get(place)) else {
                added.push(Keys::new());
                continue;
            };
            let remarks = strange.remarks.entry(None).or_default();
            let united = unknown::unite(own, other, &format!("{}: ", kind.name), remarks);
            added.push(news(own, united));
        }
        strange.beside.rows.insert(kind.name, added);
    }
    for (at, other) in &their.sessions {
        let find = |client: &Client| client.sessions.iter().find(|session| session.at == *at).cloned();
        // A session that only they have is taken over as it stands.
        let (Some(_), Some(their_session), Some(session)) =
            (find(ours.client), find(theirs.client), find(merged))
        else {
            continue;
        };
        let empty = InSession::default();
        let own = our.sessions.get(at).unwrap_or(&empty);
        let remarks = strange.remarks.entry(Some(*at)).or_default();
        let mut added = InSession {
            keys: news(&own.keys, unknown::unite(&own.keys, &other.keys, "", remarks)),
            reports: BTreeMap::new(),
        };
        for (number, keys) in &other.reports {
            let Some(report) = their_session.reports.get(number) else { continue };
            let is_it = |found: &Report| found == report || refines(found, report);
            let there = session.reports.get(number).is_some_and(is_it).then_some(*number).or_else(|| {
                session.reports.iter().find(|(_, found)| is_it(found)).map(|(number, _)| *number)
            });
            let Some(there) = there else { continue };
            let before = own.reports.get(&there).unwrap_or(&nothing);
            let so_far = added.reports.remove(&there).unwrap_or_default();
            let mut base = before.clone();
            base.extend(so_far);
            let of = format!("{} for {} s: ", report.stretch, report.held.get());
            added.reports.insert(there, news(before, unknown::unite(&base, keys, &of, remarks)));
        }
        added.reports.retain(|_, keys| !keys.is_empty());
        if added != empty {
            strange.sessions.insert(*at, added);
        }
    }
    strange
}

/// Unknown keys at the top about which the copies disagree.
fn foreign_clashes(ours: &Source, theirs: &Source) -> Vec<Disagreement> {
    let (our, mut their) = (unknown::of(ours).top, unknown::of(theirs).top);
    our.into_iter()
        .filter_map(|(field, value)| {
            let other = their.remove(&field).filter(|other| *other != value)?;
            Some(Disagreement { of: field, values: vec![value, other] })
        })
        .collect()
}

/// Writes the union into the text of our copy. Sessions of theirs are taken over as they stand there.
pub(crate) fn into_text(ours: &Copy<'_>, theirs: &Copy<'_>) -> Result<(Source, Merged), StoreError> {
    let mut known = read::clashes(ours.source);
    known.extend(read::clashes(theirs.source));
    known.extend(foreign_clashes(ours.source, theirs.source));
    let merged = unite(ours.client, theirs.client, &known);
    let mut strange = unite_foreign(ours, theirs, &merged.client);
    strange.beside.clashes.clone_from(&merged.clashes);
    let with_head = patch::head(ours.source, &ours.client.profile, &merged.client.profile, &strange.beside)?;
    let with_sessions = add_sessions(&with_head, ours.client, theirs, &merged.client, &strange)?;
    let source = patch::raised(&add_comments(&with_sessions, [ours.source, theirs.source], &strange)?);
    let id = &ours.client.profile.id;
    let source = patch::verified(id, source, "the merged client", |found| *found == merged.client)?;
    Ok((source, merged))
}

fn unfit() -> StoreError {
    StoreError::Unfit {
        what: "the merged sessions".to_owned(),
        why: "the sessions of one copy are not written as [[session]] blocks; write them so first".to_owned(),
    }
}

fn add_sessions(
    with_head: &Source,
    ours: &Client,
    theirs: &Copy<'_>,
    merged: &Client,
    strange: &Strange,
) -> Result<Source, StoreError> {
    let line_end = with_head.line_end();
    let blocks = locate::blocks(with_head).ok_or_else(unfit)?;
    let their_blocks = locate::blocks(theirs.source).ok_or_else(unfit)?;
    let text = with_head.text();
    let nothing = InSession::default();
    // By place, so that what goes to the same place stays in the order of time.
    let mut edits: BTreeMap<(usize, usize), String> = BTreeMap::new();
    for session in &merged.sessions {
        let ours = ours.sessions.iter().find(|ours| ours.at == session.at);
        let foreign = strange.sessions.get(&session.at).unwrap_or(&nothing);
        let added = match ours {
            Some(ours) if ours == session && *foreign == nothing => continue,
            Some(ours) => {
                let block = blocks.iter().find(|block| block.at == session.at).ok_or_else(unfit)?;
                let old = &text[block.start..block.end];
                let new = patch::session(old, ours, session, foreign).ok_or_else(unfit)?;
                edits.insert((block.start, block.end), locate::with_line_ends(new, line_end));
                continue;
            }
            None => match locate::block_text(theirs.source, &their_blocks, session.at) {
                Some(block) => format!("\n{block}"),
                None => return Err(unfit()),
            },
        };
        let place = locate::place_for(text, &blocks, session.at);
        edits
            .entry((place, place))
            .or_insert_with(|| locate::joint(&text[..place], line_end).to_owned())
            .push_str(&locate::with_line_ends(added, line_end));
    }
    let mut source = with_head.clone();
    for ((start, end), new) in edits.into_iter().rev() {
        source = source.splice(start..end, &new);
    }
    Ok(source)
}

/// Adds the comments of both copies that are not in the merged text, each where it belongs: in its session or before
/// the sessions. Ours can be missing where a table of ours gave way.
fn add_comments(merged: &Source, copies: [&Source; 2], strange: &Strange) -> Result<Source, StoreError> {
    let there: BTreeSet<&str> = unknown::comments(merged.text()).into_iter().collect();
    let mut missing: BTreeMap<Option<DateTime<FixedOffset>>, Vec<String>> = BTreeMap::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut add = |at: Option<DateTime<FixedOffset>>, comment: &str| {
        if !there.contains(comment) && seen.insert(comment.to_owned()) {
            missing.entry(at).or_default().push(comment.to_owned());
        }
    };
    for copy in copies {
        let blocks = locate::blocks(copy).ok_or_else(unfit)?;
        let head = blocks.first().map_or(copy.text().len(), |block| block.start);
        for comment in unknown::comments(&copy.text()[..head]) {
            add(None, comment);
        }
        for (index, block) in blocks.iter().enumerate() {
            let end = blocks.get(index + 1).map_or(copy.text().len(), |next| next.start);
            for comment in unknown::comments(&copy.text()[block.start..end]) {
                add(Some(block.at), comment);
            }
        }
    }
    for (at, remarks) in &strange.remarks {
        for remark in remarks {
            add(*at, remark);
        }
    }
    let blocks = locate::blocks(merged).ok_or_else(unfit)?;
    let line_end = merged.line_end();
    let mut places: Vec<(usize, Vec<String>)> = Vec::new();
    for (at, comments) in missing {
        let place = match at.and_then(|at| blocks.iter().find(|block| block.at == at)) {
            Some(block) => block.end,
            None => head_end(merged.text()),
        };
        places.push((place, comments));
    }
    places.sort_by_key(|(place, _)| *place);
    let mut source = merged.clone();
    for (place, comments) in places.into_iter().rev() {
        let text = format!(
            "{}{}{line_end}",
            locate::joint(&source.text()[..place], line_end),
            comments.join(line_end)
        );
        source = source.splice(place..place, &text);
    }
    Ok(source)
}

/// Where the part before the sessions ends, without the empty lines before the first header.
fn head_end(text: &str) -> usize {
    let header = locate::first_header(text).unwrap_or(text.len());
    let last = text[..header].trim_ascii_end().len();
    text[last..header].find('\n').map_or(header, |line| last + line + 1)
}
