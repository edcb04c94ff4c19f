//! What is typed into a line of a card: `left hip replacement posterior`, `pregnant 24`, `pulled hamstring right`.
//!
//! One reader for screens, commands and completion. A side, a place, a week and dates are taken out of the words; the
//! rest names the condition. A part of a name only offers conditions, and somebody chooses.

use chrono::NaiveDate;

use crate::body::{Joint, Muscle, Side, muscle_named};
use crate::names::Found;

use super::condition::{Condition, RecordedCondition, Site};
use super::conditions::Conditions;

/// A condition that the typed words may mean, with what they say about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// The condition.
    pub condition: &'static Condition,
    /// What a card would hold.
    pub record: RecordedCondition,
    /// Whether the words are the whole of one of its names.
    pub is_whole_name: bool,
}

impl Offer {
    /// What the record still needs before it can be kept, in words; nothing if it is complete.
    pub fn missing(&self) -> Option<&'static str> {
        let (muscle, joint) = (self.record.muscle.is_some(), self.record.joint.is_some());
        match self.condition.site {
            Site::Muscle if !muscle => Some("which muscle?"),
            Site::Joint if !joint => Some("which joint?"),
            Site::Either if !muscle && !joint => Some("which muscle or joint?"),
            _ => None,
        }
    }
}

/// Words of a line that say something about a condition besides its name.
#[derive(Debug, Clone, Default)]
struct Told {
    side: Option<Side>,
    week: Option<u8>,
    since: Option<NaiveDate>,
    due: Option<NaiveDate>,
    cleared_by: Option<String>,
    names: Vec<String>,
}

/// The conditions that a typed line may mean, best first; a week is told on `today`.
pub fn offers(line: &str, today: NaiveDate) -> Vec<Offer> {
    let told = read(line);
    if told.names.is_empty() {
        return Vec::new();
    }
    let conditions = Conditions::built_in();
    let whole = told.names.join(" ");
    let without_site = match site_in(&told.names) {
        Some((_, words)) if words.len() < told.names.len() => {
            let rest: Vec<&str> = told
                .names
                .iter()
                .enumerate()
                .filter(|(index, _)| !words.contains(index))
                .map(|(_, word)| word.as_str())
                .collect();
            Some(rest.join(" "))
        }
        _ => None,
    };
    let offer = |found: Found<&'static Condition>| {
        let is_whole_name = matches!(found, Found::Named(_));
        let all = found.into_all().into_iter().filter(|condition| !condition.everyone);
        all.map(|condition| Offer { condition, record: record(condition, &told, today), is_whole_name })
            .collect::<Vec<_>>()
    };
    let mut offers = offer(conditions.find(&whole));
    // `strain hamstrings` is the strain of a muscle; the whole line names nothing, or nothing that is meant.
    if !offers.iter().any(|offer| offer.is_whole_name)
        && let Some(rest) = without_site
    {
        let further = offer(conditions.find(&rest));
        let sited = further.into_iter().filter(|offer| offer.condition.site != Site::Nowhere);
        let mut sited: Vec<Offer> = sited.collect();
        offers.retain(|offer| sited.iter().all(|other| other.condition.id != offer.condition.id));
        sited.append(&mut offers);
        return sited;
    }
    offers
}

/// What to say where a line names no condition.
pub fn not_found(line: &str) -> String {
    /// The fewest letters of a part of a name that is offered.
    const SHORTEST_PART: usize = 4;
    let typed = read(line).names.join(" ");
    match Conditions::built_in().find(&typed) {
        Found::Nothing(Some(near)) => {
            format!("No condition of that name; did you mean {near}? If not: find out before you touch.")
        }
        _ if typed.chars().count() < SHORTEST_PART => {
            "No condition of that name: go on typing, or find out what it means for the work before you touch."
                .to_owned()
        }
        _ => "No condition of that name: find out what it means for the work before you touch.".to_owned(),
    }
}

fn record(condition: &Condition, told: &Told, today: NaiveDate) -> RecordedCondition {
    let site = site_in(&told.names).map(|(site, _)| site);
    let (muscle, joint) = match (condition.site, site) {
        (Site::Muscle | Site::Either, Some(Place::Muscle(muscle))) => (Some(muscle), None),
        (Site::Joint | Site::Either, Some(Place::Joint(joint))) => (None, Some(joint)),
        _ => (None, None),
    };
    RecordedCondition {
        side: told.side.filter(|_| condition.side_bound),
        muscle,
        joint,
        since: told.since,
        due: told.due,
        week: told.week,
        cleared_by: told.cleared_by.clone(),
        ..RecordedCondition::new(condition.id.clone())
    }
    .told_on(today)
}

fn read(line: &str) -> Told {
    let mut told = Told::default();
    for word in line.split([' ', ':', ',']).filter(|word| !word.is_empty()) {
        let lower = word.to_lowercase();
        if let Some((key, value)) = word.split_once('=') {
            match key {
                "since" => told.since = value.parse().ok(),
                "due" => told.due = value.parse().ok(),
                "week" => told.week = week(value),
                "cleared" if !value.is_empty() => told.cleared_by = Some(value.to_owned()),
                _ => {}
            }
        } else if let Ok(side) = lower.parse::<Side>() {
            told.side = Some(side);
        } else if matches!(lower.as_str(), "both" | "sides" | "week" | "weeks" | "wk") {
            // Both sides are what no side means.
        } else {
            told.names.push(lower);
        }
    }
    // A number is a week, unless it belongs to the name, as in `type 1` and `trisomy 21`.
    let is_whole = matches!(Conditions::built_in().find(&told.names.join(" ")), Found::Named(_));
    if !is_whole && let Some(at) = told.names.iter().position(|word| week(word).is_some()) {
        told.week = week(&told.names.remove(at));
    }
    told
}

fn week(word: &str) -> Option<u8> {
    word.parse::<u8>().ok().filter(|week| (1..=42).contains(week))
}

/// A muscle or joint in the words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    Muscle(Muscle),
    Joint(Joint),
}

/// The muscle or joint that some of the words name, the longest name first, and which words those are.
fn site_in(words: &[String]) -> Option<(Place, std::ops::Range<usize>)> {
    let spans =
        (1..=words.len()).rev().flat_map(|long| (0..=words.len() - long).map(move |at| at..at + long));
    spans.into_iter().find_map(|span| {
        let name = words.get(span.clone())?.join(" ");
        let joint = name.parse::<Joint>().ok();
        let place = joint
            .map(Place::Joint)
            .or_else(|| muscle_named(&name).map(Place::Muscle))
            .or_else(|| Joint::named(&name).map(Place::Joint))?;
        Some((place, span))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 20).unwrap()
    }

    fn first(line: &str) -> (String, Option<Side>, bool) {
        let offers = offers(line, today());
        let offer = offers.first().unwrap_or_else(|| panic!("nothing for `{line}`"));
        (offer.condition.id.to_string(), offer.record.side, offer.is_whole_name)
    }

    #[test]
    fn side_place_week_and_name_come_in_any_order() {
        let hip = ("hip-replacement-posterior".to_owned(), Some(Side::Left), true);
        assert_eq!(first("left new hip posterior"), hip);
        assert_eq!(first("new hip posterior left"), hip);
        let pregnant = &offers("pregnant 24", today())[0];
        assert_eq!((pregnant.record.week, pregnant.record.since), (Some(24), Some(today())));
        let strain = &offers("strain right hamstrings", today())[0];
        assert_eq!(strain.condition.id.as_str(), "muscle-strain");
        assert_eq!((strain.record.muscle, strain.record.side), (Some(Muscle::Hamstrings), Some(Side::Right)));
        let ankle = &offers("sprained ankle left", today())[0];
        assert_eq!((ankle.condition.id.as_str(), ankle.record.joint), ("joint-sprain", Some(Joint::Ankle)));
        assert_eq!(offers("fracture", today())[0].missing(), Some("which joint?"));
        assert_eq!(first("type 1 diabetes").0, "diabetes-insulin");
    }

    #[test]
    fn what_is_called_so_comes_before_what_is_called_so_as_well() {
        for line in ["imping left", "impingement left"] {
            assert_eq!(first(line).0, "shoulder-impingement", "{line}");
            assert!(offers(line, today()).iter().any(|offer| offer.condition.id.as_str() == "hip-pinch"));
        }
        assert_eq!(first("hip imping left").0, "hip-pinch");
    }

    #[test]
    fn a_part_of_a_name_only_offers() {
        assert!(!first("numb").2);
        assert!(offers("back", today()).iter().all(|offer| !offer.is_whole_name));
        assert_eq!(offers("zzz", today()), []);
        assert!(not_found("zzz").ends_with("find out what it means for the work before you touch."));
        assert!(not_found("pregnency").contains("did you mean pregnan"), "{}", not_found("pregnency"));
    }
}
