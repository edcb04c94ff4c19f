//! Unites what two copies of a client say, value by value: nothing of either is dropped.
//!
//! A value that one copy lacks is taken from the other. Of two that differ, the one that was written over in either
//! copy gives way: an older copy that comes again changes nothing. Where neither was, the copies disagree: the one
//! that protects the client is shown, both are kept, and the trainer picks. The union is the same in whichever
//! direction it is made.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Datelike as _, FixedOffset};

use crate::client::{Birth, Consent, Ended, Revision};

use super::cells::{self, Cells, THERE, is_same, path_text};
use super::comments::Comments;
use super::shape::{Path, REPORT_IDENTITY};

/// What two copies say of one value together.
#[derive(Debug, Default)]
struct United {
    shown: Option<String>,
    /// The values about which they disagree.
    open: BTreeSet<String>,
}

/// What both copies wrote over, by the value it is about.
struct Past<'c> {
    all: BTreeMap<&'c str, Vec<&'c Revision>>,
    known: [&'c BTreeSet<Revision>; 2],
}

/// What one copy says of a value.
struct Statement<'v> {
    value: Option<&'v str>,
    /// What the copy knows to have been written over.
    known: Option<&'v BTreeSet<Revision>>,
}

impl<'c> Past<'c> {
    fn of(ours: &'c Cells, theirs: &'c Cells) -> Self {
        let mut all: BTreeMap<&str, Vec<&Revision>> = BTreeMap::new();
        for change in ours.changes.union(&theirs.changes) {
            all.entry(&change.of).or_default().push(change);
        }
        Self { all, known: [&ours.changes, &theirs.changes] }
    }

    fn about(&self, of: &str) -> &[&'c Revision] {
        self.all.get(of).map_or(&[], Vec::as_slice)
    }

    /// When a value was set last, as far as anybody wrote it down.
    fn since(&self, of: &str, value: Option<&str>) -> Option<DateTime<FixedOffset>> {
        let set = self.about(of).iter().filter(|change| is_value(change.to.as_deref(), value));
        set.map(|change| change.at).max()
    }

    /// Whether what a copy says gave way to another value after it was set, of which the copy does not know. If it
    /// knows, somebody has set the value again by hand.
    fn is_over(&self, of: &str, said: &Statement<'_>) -> bool {
        let since = self.since(of, said.value);
        let mut gave_way = self.about(of).iter().filter(|change| {
            is_value(change.from.as_deref(), said.value) && !is_value(change.to.as_deref(), said.value)
        });
        gave_way.any(|change| {
            since.is_none_or(|since| change.at > since)
                && said.known.is_none_or(|known| !known.contains(*change))
        })
    }

    /// Decides about one value. `clash` are values about which copies disagreed before.
    fn decide(&self, path: &[String], values: [Option<&str>; 2], clash: &BTreeSet<String>) -> United {
        let of = path_text(path);
        if clash.is_empty() && self.about(&of).is_empty() {
            match values {
                [Some(one), Some(other)] if !is_same(one, other) => {}
                [one, other] => {
                    let shown = one.max(other).map(str::to_owned);
                    return United { shown, open: BTreeSet::new() };
                }
            }
        }
        let said = values.into_iter().zip(self.known).filter_map(|(value, known)| {
            // Nothing is said where nothing stands, unless it was taken away.
            let taken =
                || self.about(&of).iter().any(|change| change.to.is_none() && known.contains(*change));
            (value.is_some() || taken()).then_some(Statement { value, known: Some(known) })
        });
        let open = clash.iter().map(|value| Statement { value: Some(value), known: None });
        let mut said: Vec<Statement<'_>> = said.chain(open).collect();
        let is_live: Vec<bool> = said.iter().map(|said| !self.is_over(&of, said)).collect();
        if is_live.contains(&true) {
            let mut is_live = is_live.into_iter();
            said.retain(|_| is_live.next() == Some(true));
        } else {
            // Each gave way to another: what was set last counts.
            let latest = said.iter().map(|said| self.since(&of, said.value)).max();
            said.retain(|said| Some(self.since(&of, said.value)) == latest);
        }
        let mut live: Vec<Option<&str>> = said.iter().map(|said| said.value).collect();
        live.sort_by(|one, other| protecting(path, *other, *one));
        live.dedup_by(|one, other| is_value(*one, *other));
        if live.contains(&None) && live.len() > 1 {
            // Taken away in one copy and set in the other: what was done last counts.
            let away = self.since(&of, None);
            let is_set_later = live.iter().flatten().any(|value| self.since(&of, Some(value)) >= away);
            live.retain(|value| value.is_some() == is_set_later);
        }
        let shown = live.first().copied().flatten().map(str::to_owned);
        let open = if live.len() > 1 { live } else { Vec::new() };
        United { shown, open: open.into_iter().flatten().map(str::to_owned).collect() }
    }
}

fn is_value(found: Option<&str>, value: Option<&str>) -> bool {
    match (found, value) {
        // A row that was taken away is kept as a whole; what counts is that it was there.
        (Some(found), Some(value)) => value == THERE || is_same(found, value),
        (found, value) => found == value,
    }
}

/// Which of two values protects the client more; of equal ones, the greater.
fn protecting(path: &[String], one: Option<&str>, other: Option<&str>) -> Ordering {
    let (Some(one), Some(other)) = (one, other) else { return one.is_some().cmp(&other.is_some()) };
    let word = |text: &str| text.trim_matches('"').to_owned();
    let rank = |text: &str| -> Option<i64> {
        match path.last()?.as_str() {
            "consent" => word(text).parse::<Consent>().ok().map(|consent| match consent {
                Consent::HandsOn => 0,
                Consent::SelfStretch => 1,
                Consent::Declined => 2,
            }),
            "ended" => word(text).parse::<Ended>().ok().map(|ended| match ended {
                Ended::Done => 0,
                Ended::Skipped => 1,
                Ended::CutOff => 2,
                Ended::Withdrawn => 3,
                Ended::Pain => 4,
            }),
            // The youngest that it can mean.
            "born" => {
                word(text).parse::<Birth>().ok().map(|born| i64::from(born.latest().num_days_from_ce()))
            }
            _ => text.parse().ok(),
        }
    };
    (rank(one), one).cmp(&(rank(other), other))
}

/// Unites the cells of one part of two copies.
pub(crate) fn unite(ours: &Cells, theirs: &Cells) -> Cells {
    if ours == theirs {
        return ours.clone();
    }
    let mut united =
        Cells { comments: Comments::united(&ours.comments, &theirs.comments), ..Cells::default() };
    united.changes = ours.changes.union(&theirs.changes).cloned().collect();
    let mut clashes = ours.clashes.clone();
    for (of, values) in &theirs.clashes {
        clashes.entry(of.clone()).or_default().extend(values.iter().cloned());
    }
    let past = Past::of(ours, theirs);
    // What belongs to a row that was taken away, or that counts as a whole, is decided with it.
    let mut decided: BTreeSet<Path> = BTreeSet::new();
    let paths: BTreeSet<&Path> = ours.values.keys().chain(theirs.values.keys()).collect();
    for path in paths {
        if (1..path.len()).any(|end| decided.contains(&path[..end])) {
            continue;
        }
        let of = path_text(path);
        let mut known = clashes.remove(&of).unwrap_or_default();
        let is_report = path.len() == 2 && path[0] == "report";
        let open = if is_report && (!known.is_empty() || is_unlike(ours, theirs, path)) {
            // What copies disagreed about within the row is part of the rows about which they disagree now.
            known.extend([ours, theirs].into_iter().flat_map(|cells| variants(cells, path)));
            clashes.retain(|about, _| !about.starts_with(&format!("{of}.")));
            let rows = [ours, theirs].map(|cells| cells::row_text(cells, path));
            let decision = past.decide(path, [rows[0].as_deref(), rows[1].as_deref()], &known);
            if let Some(row) = &decision.shown {
                united.values.extend(cells::of_report(path, row));
            }
            decided.insert(path.clone());
            decision.open
        } else {
            let said = [ours, theirs].map(|cells| cells.values.get(path).map(String::as_str));
            let decision = past.decide(path, said, &known);
            match decision.shown {
                Some(text) => drop(united.values.insert(path.clone(), text)),
                None => drop(decided.insert(path.clone())),
            }
            decision.open
        };
        if !open.is_empty() {
            united.clashes.insert(of, open);
        }
    }
    united.order = orders(ours, theirs, &united);
    united
}

/// The rows that a copy's row may be, too, by what copies disagreed about within it.
fn variants(cells: &Cells, row: &[String]) -> Vec<String> {
    let within = format!("{}.", path_text(row));
    let about = cells.clashes.iter().filter_map(|(of, values)| Some((of.strip_prefix(&within)?, values)));
    let each = about.flat_map(|(key, values)| values.iter().map(move |value| (key, value)));
    let varied = each.filter_map(|(key, value)| {
        let mut varied = Cells::default();
        varied.values.extend(
            cells
                .values
                .iter()
                .filter(|(path, _)| path.starts_with(row))
                .map(|(path, text)| (path.clone(), text.clone())),
        );
        varied.values.insert([row, &[key.to_owned()]].concat(), value.clone());
        cells::row_text(&varied, row)
    });
    varied.collect()
}

/// Whether a report is not the same hold in both copies.
fn is_unlike(ours: &Cells, theirs: &Cells, row: &[String]) -> bool {
    let said = |cells: &Cells, key: &str| cells.values.get(&[row, &[key.to_owned()]].concat()).cloned();
    let is_there = |cells: &Cells| cells.values.contains_key(row);
    is_there(ours)
        && is_there(theirs)
        && REPORT_IDENTITY.iter().any(|key| said(ours, key) != said(theirs, key))
}

/// The order of every list: by time, then name; but another one that a copy with all of it has is kept. Two such give
/// the lesser. What a merge has put in order says nothing about what a person wants, so it makes no difference in which
/// order several copies are merged.
fn orders(ours: &Cells, theirs: &Cells, united: &Cells) -> BTreeMap<Path, Vec<String>> {
    let lists: BTreeSet<&Path> = ours.order.keys().chain(theirs.order.keys()).collect();
    let mut orders = BTreeMap::new();
    for list in lists {
        let is_left = |name: &&String| {
            united.values.contains_key(&[list.as_slice(), std::slice::from_ref(*name)].concat())
        };
        let [our, their] = [ours, theirs].map(|cells| -> Vec<&String> {
            cells.order.get(list).into_iter().flatten().filter(is_left).collect()
        });
        let all: BTreeSet<&String> = our.iter().chain(&their).copied().collect();
        let mut names: Vec<&String> = all.into_iter().collect();
        names.sort_by_cached_key(|name| (time_of(united, list, name), (*name).clone()));
        let is_own = |order: &Vec<&String>| order.len() == names.len() && *order != names;
        if let Some(own) = [our, their].into_iter().filter(is_own).min() {
            names = own;
        }
        if !names.is_empty() {
            orders.insert(list.clone(), names.into_iter().cloned().collect());
        }
    }
    orders
}

/// When a row is of, if it says so: a moment as one that can be compared.
fn time_of(cells: &Cells, list: &[String], name: &str) -> Option<String> {
    let said = |key: &str| cells.values.get(&[list, &[name.to_owned(), key.to_owned()]].concat());
    let time = ["on", "since", "at"].into_iter().find_map(said)?;
    Some(cells::moment(time).map_or_else(|| time.clone(), |at| at.to_utc().to_rfc3339()))
}
