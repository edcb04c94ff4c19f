//! Unites two copies of a client that went apart: every session and report once, nothing dropped.
//!
//! The union is commutative, associative and idempotent, so copies may be merged in any order and any number of
//! times. Where the copies disagree about the profile, one value is shown and all of them are kept in the file
//! under `clash`, until the trainer chooses.

use std::collections::{BTreeMap, BTreeSet};

use crate::client::{Client, Disagreement, Profile, Report, Session};

use super::write;

/// What a merge came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Merged {
    /// The united client.
    pub client: Client,
    /// What the copies disagree about. Both values are kept; the trainer chooses.
    pub clashes: Vec<Disagreement>,
    /// Sessions that were not there before.
    pub added_sessions: usize,
    /// Reports that were not there before, those of added sessions included.
    pub added_reports: usize,
}

/// Unites two copies of a client. `known` are clashes that stand in either of them.
pub fn unite(ours: &Client, theirs: &Client, known: &[Disagreement]) -> Merged {
    let mut clashes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for clash in known {
        clashes.entry(clash.of.clone()).or_default().extend(clash.values.iter().cloned());
    }
    let profile = unite_profiles(&ours.profile, &theirs.profile, &mut clashes);
    let mut sessions: BTreeMap<_, Session> = BTreeMap::new();
    for session in ours.sessions.iter().chain(&theirs.sessions) {
        sessions
            .entry(session.at)
            .and_modify(|there| *there = unite_sessions(there, session))
            .or_insert_with(|| session.clone());
    }
    let mut taken_back = ours.taken_back.clone();
    add_missing(&mut taken_back, &theirs.taken_back);
    taken_back.sort_by_key(|(session, _)| session.at);
    sessions.retain(|at, _| taken_back.iter().all(|(gone, _)| gone.at != *at));
    let reports = |sessions: &[Session]| sessions.iter().map(|session| session.reports.len()).sum::<usize>();
    let sessions: Vec<Session> = sessions.into_values().collect();
    let clashes: Vec<Disagreement> = clashes
        .into_iter()
        .map(|(of, values)| Disagreement { of, values: values.into_iter().collect() })
        .filter(|clash| clash.values.len() > 1)
        .collect();
    Merged {
        added_sessions: sessions.len().saturating_sub(ours.sessions.len()),
        added_reports: reports(&sessions).saturating_sub(reports(&ours.sessions)),
        client: Client {
            taken_back,
            changes: both(&ours.changes, &theirs.changes),
            disagreements: clashes.clone(),
            ..Client::new(profile, sessions)
        },
        clashes,
    }
}

fn unite_profiles(
    ours: &Profile,
    theirs: &Profile,
    clashes: &mut BTreeMap<String, BTreeSet<String>>,
) -> Profile {
    let texts = |profile: &Profile| -> BTreeMap<&'static str, String> {
        write::profile_entries(profile)
            .into_iter()
            .filter_map(|(key, value)| value.map(|value| (key, value)))
            .collect()
    };
    let (our_texts, their_texts) = (texts(ours), texts(theirs));
    let mut united = ours.clone();
    // Of two values the greater counts until the trainer chooses: the same one in whichever order copies meet.
    for key in ["name", "born", "sex", "mass_kg", "contact", "archived", "note"] {
        let (our, their) = (our_texts.get(key), their_texts.get(key));
        if our == their || their.is_none() {
            continue;
        }
        if their > our {
            match key {
                "name" => united.name.clone_from(&theirs.name),
                "born" => united.born = theirs.born,
                "sex" => united.sex = theirs.sex,
                "mass_kg" => united.mass = theirs.mass,
                "contact" => united.contact.clone_from(&theirs.contact),
                "archived" => united.archived = theirs.archived,
                _ => united.note.clone_from(&theirs.note),
            }
        }
        if let (Some(our), Some(their)) = (our, their) {
            clashes.entry(key.to_owned()).or_default().extend([our.clone(), their.clone()]);
        }
    }
    // A caution more does no harm, one less might.
    add_missing(&mut united.conditions, &theirs.conditions);
    add_missing(&mut united.aims, &theirs.aims);
    add_missing(&mut united.tight, &theirs.tight);
    add_missing(&mut united.likes, &theirs.likes);
    add_missing(&mut united.dislikes, &theirs.dislikes);
    add_missing(&mut united.habits, &theirs.habits);
    add_missing(&mut united.at_home, &theirs.at_home);
    add_missing(&mut united.usual_times, &theirs.usual_times);
    add_missing(&mut united.screenings, &theirs.screenings);
    add_missing(&mut united.guardians, &theirs.guardians);
    add_missing(&mut united.agreements, &theirs.agreements);
    add_missing(&mut united.pain, &theirs.pain);
    united
}

/// What is in either, in order.
fn both<T: Ord + Clone>(ours: &[T], theirs: &[T]) -> Vec<T> {
    ours.iter().chain(theirs).cloned().collect::<BTreeSet<_>>().into_iter().collect()
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
    add_missing(&mut narrowed, &theirs.narrowed);
    narrowed.sort_by_key(|narrowing| (narrowing.at, narrowing.what, narrowing.lifted));
    let mut corrections = ours.corrections.clone();
    add_missing(&mut corrections, &theirs.corrections);
    let mut taken_back = ours.taken_back.clone();
    taken_back.extend(theirs.taken_back.clone());
    Session {
        at: ours.at,
        minutes: ours.minutes.max(theirs.minutes),
        trained,
        // The narrower of two consents.
        consent: ours.consent.max(theirs.consent),
        by: (&ours.by).max(&theirs.by).clone(),
        narrowed,
        corrections,
        reports: unite_reports(&ours.reports, &theirs.reports),
        taken_back,
        closed: ours.closed.max(theirs.closed),
        note,
        changes: both(&ours.changes, &theirs.changes),
        disagreements: both(&ours.disagreements, &theirs.disagreements),
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
    let bare =
        |report: &Report| Report { level: None, angles: Vec::new(), note: String::new(), ..report.clone() };
    more != less
        && bare(more) == bare(less)
        && (less.level.is_none() || less.level == more.level)
        && (less.angles.is_empty() || less.angles == more.angles)
        && (less.note.is_empty() || less.note == more.note)
}
