//! What a change to a part of a file writes over: it is kept, with who did it and when.
//!
//! A blank that is filled in writes nothing over. So a report that gets its answer after the step costs no row.

use std::collections::BTreeSet;

use chrono::TimeDelta;
use toml::de::DeTable;

use crate::client::{Attribution, Disagreement, Profile, Revision, Session, whole_second};

use super::cells::{self, Cells, THERE, is_same, path_text};
use super::row;
use super::shape::Path;
use super::value_text::table_text;

/// What a new profile writes over, and about what copies disagree no longer.
pub(crate) fn in_profile(
    old: &Profile,
    new: &Profile,
    past: &[Revision],
    open: &[Disagreement],
    who: &Attribution,
) -> Vec<Revision> {
    let cells = |profile: &Profile| {
        let text = row::profile(profile);
        let parsed = DeTable::parse(&text).ok();
        parsed.map(|parsed| cells::of_head(parsed.get_ref(), &text)).unwrap_or_default()
    };
    between(&cells(old), &cells(new), past, open, who)
}

/// The same of a session.
pub(crate) fn in_session(old: &Session, new: &Session, who: &Attribution) -> Vec<Revision> {
    let cells = |session: &Session| {
        let mut text = String::new();
        row::session_block(&mut text, session, None);
        let parsed = DeTable::parse(&text).ok();
        let sessions =
            parsed.as_ref().and_then(|parsed| parsed.get_ref().get("session")?.get_ref().as_array());
        let table = sessions.and_then(|sessions| sessions.first()?.get_ref().as_table());
        table.map(|table| cells::of_session(table, "", 0..0)).unwrap_or_default()
    };
    between(&cells(old), &cells(new), &old.changes, &old.disagreements, who)
}

fn between(
    old: &Cells,
    new: &Cells,
    past: &[Revision],
    open: &[Disagreement],
    who: &Attribution,
) -> Vec<Revision> {
    let mut changes = Vec::new();
    let mut whole: BTreeSet<&Path> = BTreeSet::new();
    for path in old.values.keys().chain(new.values.keys()).collect::<BTreeSet<_>>() {
        if (1..path.len()).any(|end| whole.contains(&path[..end].to_vec())) {
            continue;
        }
        let (from, to) = (old.values.get(path), new.values.get(path));
        if from == to {
            continue;
        }
        let of = path_text(path);
        let was_open = open.iter().find(|open| open.of == of);
        let known = past.iter().filter(|change| change.of == of).map(|change| change.at).max();
        if from.is_some_and(|from| from == THERE) != to.is_some_and(|to| to == THERE) {
            whole.insert(path);
        }
        let mut add = |from: Option<String>| {
            // Later than all that is known of it, whatever the clock says.
            let at = whole_second(who.at);
            let at = known.map_or(at, |known| at.max(known + TimeDelta::seconds(1)));
            changes.push(Revision { at, of: of.clone(), from, to: to.cloned(), by: who.by.clone() });
        };
        match from {
            Some(from) if from == THERE => add(Some(row_of(old, path))),
            Some(from) => add(Some(from.clone())),
            None if known.is_some() => add(None),
            None => {}
        }
        for value in was_open.into_iter().flat_map(|open| &open.values) {
            let is_new = to.is_none_or(|to| !is_same(value, to));
            if is_new && from.is_none_or(|from| !is_same(value, from)) {
                add(Some(value.clone()));
            }
        }
    }
    changes
}

/// A row that is taken away, as a whole.
fn row_of(cells: &Cells, path: &[String]) -> String {
    let below = cells.values.range(path.to_vec()..).take_while(|(found, _)| found.starts_with(path));
    let pairs: Vec<(&str, &str)> = below
        .filter(|(found, _)| found.len() == path.len() + 1)
        .map(|(found, text)| (found[path.len()].as_str(), text.as_str()))
        .collect();
    if pairs.is_empty() { THERE.to_owned() } else { table_text(pairs) }
}
