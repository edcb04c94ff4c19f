//! Unites two copies of a client that went apart: every session and report once, nothing dropped.
//!
//! The union is commutative, associative and idempotent, so copies may be merged in any order and any number of
//! times. Where the copies disagree about the profile, one value is shown and all of them are kept in the file
//! under `clash`, until the trainer chooses.

use std::collections::{BTreeMap, BTreeSet};

use crate::client::{Client, Profile, Report, Session};

use super::write;

/// Values that copies disagree about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Clash {
    /// The key in the client's file.
    pub field: String,
    /// The values as they would stand in the file, sorted; two at least.
    pub values: Vec<String>,
}

/// What a merge came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    /// The united client.
    pub client: Client,
    /// What the copies disagree about. Both values are kept; the trainer chooses.
    pub clashes: Vec<Clash>,
    /// Sessions that were not there before.
    pub added_sessions: usize,
    /// Reports that were not there before, those of added sessions included.
    pub added_reports: usize,
}

/// Unites two copies of a client. `known` are clashes that stand in either of them.
pub fn unite(ours: &Client, theirs: &Client, known: &[Clash]) -> Merged {
    let mut clashes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for clash in known {
        clashes.entry(clash.field.clone()).or_default().extend(clash.values.iter().cloned());
    }
    let profile = unite_profiles(&ours.profile, &theirs.profile, &mut clashes);
    let mut sessions: BTreeMap<_, Session> = BTreeMap::new();
    for session in ours.sessions.iter().chain(&theirs.sessions) {
        sessions
            .entry(session.at)
            .and_modify(|there| *there = unite_sessions(there, session))
            .or_insert_with(|| session.clone());
    }
    let reports = |sessions: &[Session]| sessions.iter().map(|session| session.reports.len()).sum::<usize>();
    let sessions: Vec<Session> = sessions.into_values().collect();
    Merged {
        added_sessions: sessions.len().saturating_sub(ours.sessions.len()),
        added_reports: reports(&sessions).saturating_sub(reports(&ours.sessions)),
        client: Client { profile, sessions },
        clashes: clashes
            .into_iter()
            .map(|(field, values)| Clash { field, values: values.into_iter().collect() })
            .filter(|clash| clash.values.len() > 1)
            .collect(),
    }
}

fn unite_profiles(
    ours: &Profile,
    theirs: &Profile,
    clashes: &mut BTreeMap<String, BTreeSet<String>>,
) -> Profile {
    let texts = |profile: &Profile| -> BTreeMap<&'static str, String> {
        let tables =
            write::profile_tables(profile).into_iter().map(|(name, entries)| (name, write::inline(&entries)));
        write::profile_entries(profile)
            .into_iter()
            .chain(tables)
            .filter_map(|(key, value)| value.map(|value| (key, value)))
            .collect()
    };
    let (our_texts, their_texts) = (texts(ours), texts(theirs));
    let mut united = ours.clone();
    // Of two values the greater counts until the trainer chooses: the same one in whichever order copies meet.
    for key in ["name", "born", "sex", "note", "guardian", "screening"] {
        let (our, their) = (our_texts.get(key), their_texts.get(key));
        if our == their || their.is_none() {
            continue;
        }
        if their > our {
            match key {
                "name" => united.name.clone_from(&theirs.name),
                "born" => united.born = theirs.born,
                "sex" => united.sex = theirs.sex,
                "note" => united.note.clone_from(&theirs.note),
                "guardian" => united.guardian.clone_from(&theirs.guardian),
                _ => united.screening.clone_from(&theirs.screening),
            }
        }
        if let (Some(our), Some(their)) = (our, their) {
            clashes.entry(key.to_owned()).or_default().extend([our.clone(), their.clone()]);
        }
    }
    // A later screening takes the place of an earlier one; only those of the same day can disagree.
    if let (Some(latest), Some(values)) = (&united.screening, clashes.get_mut("screening")) {
        let same_day = format!("{{ on = {},", latest.on);
        values.retain(|value| value.starts_with(&same_day));
    }
    united.massage |= theirs.massage;
    // A caution more does no harm, one less might.
    add_missing(&mut united.conditions, &theirs.conditions);
    add_missing(&mut united.aims, &theirs.aims);
    add_missing(&mut united.tight, &theirs.tight);
    add_missing(&mut united.likes, &theirs.likes);
    add_missing(&mut united.dislikes, &theirs.dislikes);
    united
}

fn add_missing<T: PartialEq + Clone>(ours: &mut Vec<T>, theirs: &[T]) {
    for one in theirs {
        if !ours.contains(one) {
            ours.push(one.clone());
        }
    }
}

/// Stands between remarks that were made in different copies.
const BETWEEN_NOTES: &str = " | ";

fn unite_sessions(ours: &Session, theirs: &Session) -> Session {
    let mut trained = ours.trained.clone();
    for (&muscle, &effort) in &theirs.trained {
        trained.entry(muscle).and_modify(|there| *there = effort.max(*there)).or_insert(effort);
    }
    let notes: BTreeSet<&str> = [&ours.note, &theirs.note]
        .into_iter()
        .flat_map(|note| note.split(BETWEEN_NOTES))
        .filter(|piece| !piece.is_empty())
        .collect();
    let note = if ours.note == theirs.note {
        ours.note.clone()
    } else {
        notes.into_iter().collect::<Vec<_>>().join(BETWEEN_NOTES)
    };
    let mut narrowed = ours.narrowed.clone();
    for (&what, &at) in &theirs.narrowed {
        narrowed.entry(what).and_modify(|there| *there = at.min(*there)).or_insert(at);
    }
    Session {
        at: ours.at,
        minutes: ours.minutes.max(theirs.minutes),
        trained,
        // The narrower of two consents.
        consent: ours.consent.max(theirs.consent),
        narrowed,
        reports: unite_reports(&ours.reports, &theirs.reports),
        closed: ours.closed.max(theirs.closed),
        note,
    }
}

/// Every report once: the same report in both copies is one, an answered one takes the place of the same unanswered.
fn unite_reports(ours: &BTreeMap<u32, Report>, theirs: &BTreeMap<u32, Report>) -> BTreeMap<u32, Report> {
    let mut united = ours.clone();
    let mut unmatched: BTreeSet<u32> = ours.keys().copied().collect();
    let mut rest: BTreeMap<u32, &Report> = theirs.iter().map(|(number, report)| (*number, report)).collect();
    let is_same = |our: &Report, their: &Report| our == their;
    let is_refined = |our: &Report, their: &Report| refines(their, our) || refines(our, their);
    for fits in [&is_same as &dyn Fn(&Report, &Report) -> bool, &is_refined] {
        for any_number in [false, true] {
            rest.retain(|number, their| {
                let found = unmatched
                    .iter()
                    .copied()
                    .find(|our| (any_number || our == number) && fits(&united[our], their));
                let Some(our) = found else { return true };
                unmatched.remove(&our);
                if refines(their, &united[&our]) {
                    united.insert(our, (*their).clone());
                }
                false
            });
        }
    }
    for (number, their) in rest {
        let free = if united.contains_key(&number) {
            united.last_key_value().map_or(1, |(last, _)| last.saturating_add(1))
        } else {
            number
        };
        united.insert(free, their.clone());
    }
    united
}

/// Whether `more` is `less` with an answer, an angle or a remark that was given afterwards.
pub(crate) fn refines(more: &Report, less: &Report) -> bool {
    let bare = |report: &Report| Report { level: None, angle: None, note: String::new(), ..report.clone() };
    more != less
        && bare(more) == bare(less)
        && (less.level.is_none() || less.level == more.level)
        && (less.angle.is_none() || less.angle == more.angle)
        && (less.note.is_empty() || less.note == more.note)
}
