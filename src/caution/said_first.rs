//! What is said of the cautions before the first touch: of each what matters most, and what two forbid once.

use std::collections::BTreeSet;

use super::before_touch::BeforeTouch;
use super::card::capital;
use super::condition::Clearance;
use super::restrictions::{InForce, Restrictions};

/// What is forbidden in the same words for several reasons, whatever part of the body it is said of.
const EVERYWHERE: [&str; 9] = [
    "not on the belly",
    "head never low",
    "free breathing",
    "not folded forward",
    "not face down",
    "no standing on one leg",
    "legs never wide",
    "nobody's hand and no weight on the head",
    "nobody pulls a limb",
];

/// What is forbidden in the same words of one part of the body: it is the same only where the part is.
const AT_A_PLACE: [&str; 16] = [
    "no push",
    "light",
    "not lain on",
    "never across",
    "below a right angle",
    "below shoulder height",
    "no twist",
    "no kneeling",
    "not past straight",
    "no deep bend standing",
    "no weight on the hand",
    "no hands behind the head",
    "not tipped back",
    "hardly turned",
    "hardly moved",
    "knee not to the chest",
];

/// What is said before the first touch, and what there is beside it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SaidFirst {
    /// What is said in any case: of every caution its first sentence, whether it waits for a clinician's word, and where
    /// nobody is pressed or gripped.
    pub always: Vec<String>,
    /// The rest, the weightier first: what to ask, the other sentences of the cards, and whose place no hand presses.
    pub more: Vec<String>,
}

impl SaidFirst {
    /// Of the cautions in force, and of what is to be asked or minded.
    pub fn of(restrictions: &Restrictions, before_touch: &[BeforeTouch]) -> Self {
        let (mut said, mut clauses) = (Self::default(), Clauses::default());
        for caution in restrictions.in_force() {
            let first = caution.card.first().unwrap_or(&caution.limited);
            let first = clauses.without(first).unwrap_or_else(|| format!("{}: the same.", caution.title));
            said.always.push(if waits(caution) { format!("{first} Not cleared.") } else { first });
        }
        let everyone = Restrictions::none();
        let is_refused = before_touch.contains(&BeforeTouch::Refused);
        let mut beside = Vec::new();
        for item in before_touch.iter().filter(|item| item.is_on_the_card()) {
            let line = format!(
                "{}{}",
                capital(&item.line()),
                if item.line().ends_with(['.', '?']) { "" } else { "." }
            );
            match item {
                BeforeTouch::HandsOff(place)
                    if is_refused || everyone.hands_off().all(|other| other != place) =>
                {
                    beside.push(line);
                }
                BeforeTouch::HandsOff(_) | BeforeTouch::Refused => said.always.push(line),
                // The card's first sentence says so.
                BeforeTouch::Barrier => beside.push(line),
                _ => said.more.push(line),
            }
        }
        let in_force = restrictions.in_force().iter();
        let own = in_force.clone().flat_map(|caution| caution.card.iter().take(caution.own).skip(1));
        // A step says its dose and the plan keeps to it: that comes last.
        let doses = in_force.flat_map(|caution| caution.card.iter().skip(caution.own));
        said.more.extend(own.chain(doses).filter_map(|sentence| clauses.without(sentence)));
        said.more.extend(beside);
        said
    }
}

/// Whether hands wait for a clinician's word.
fn waits(caution: &InForce) -> bool {
    matches!(caution.clearance, Clearance::Yes | Clearance::Urgent) && !caution.cleared
}

/// What was said already, each with the part of the body that it was said of.
#[derive(Debug, Default)]
struct Clauses(BTreeSet<(String, String)>);

impl Clauses {
    /// A sentence without what was said before; nothing where all of it was.
    fn without(&mut self, sentence: &str) -> Option<String> {
        let (place, rest) = sentence.split_once(": ").unwrap_or(("", sentence));
        let mut kept = String::new();
        for part in rest.split_inclusive([',', ';']) {
            let clause = part.trim().trim_end_matches([',', ';', '.']).to_lowercase();
            let place = if EVERYWHERE.contains(&clause.as_str()) {
                Some("")
            } else {
                AT_A_PLACE.contains(&clause.as_str()).then_some(place)
            };
            if place.is_none_or(|place| self.0.insert((place.to_owned(), clause))) {
                kept.push_str(part);
            }
        }
        let kept = kept.trim().trim_end_matches([',', ';', '.']);
        let before = if place.is_empty() { String::new() } else { format!("{place}: ") };
        (!kept.is_empty()).then(|| capital(&format!("{before}{kept}.")))
    }
}

#[cfg(test)]
mod tests {
    use chrono::{Days, NaiveDate};

    use super::super::before_touch::before_touch;
    use super::super::condition::{Condition, RecordedCondition, Site};
    use super::super::conditions::Conditions;
    use super::super::limit::{Limit, Precaution};
    use super::super::recorded::parse_recorded;
    use super::super::screening::ScreeningRecord;
    use super::*;
    use crate::body::{Joint, Muscle};

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 20).unwrap()
    }

    fn said(words: &[&str], age: u32) -> SaidFirst {
        let recorded: Vec<_> = words.iter().map(|word| parse_recorded(word).unwrap()).collect();
        let restrictions = Restrictions::of(&recorded, Some(age), today());
        let record = ScreeningRecord { screened: Some(today()), ..ScreeningRecord::default() };
        SaidFirst::of(&restrictions, &before_touch(&record, &restrictions, today()))
    }

    #[test]
    fn of_each_caution_the_first_sentence_is_said_and_what_waits_for_a_word() {
        let said = said(&["hip-replacement-posterior:left"], 70);
        assert_eq!(
            said.always,
            [
                "Slow changes of position; sit before standing; on one leg briefly.",
                "Left hip: below a right angle, never across, never turned in. Not cleared.",
                "Nobody presses or grips the throat or its sides.",
            ]
        );
        assert!(said.more[0].starts_with("Ask (65 or older): "), "{:?}", said.more);
        assert!(said.more[1].starts_with("Not cleared (new hip (posterior), left): "), "{:?}", said.more);
        assert!(said.more.contains(&"Left hip: lying or standing, well below a right angle.".to_owned()));
        assert!(said.more.iter().any(|line| line.starts_with("Until a clinician has cleared it: ")));
    }

    #[test]
    fn what_two_cautions_forbid_is_said_once_where_it_is_the_same() {
        let both = |words: &[&str]| said(words, 40).always[..2].to_vec();
        assert_eq!(
            both(&["glaucoma", "reflux"]),
            [
                "Eyes: head never low, not folded forward, not face down, free breathing.",
                "Stomach: not on the belly, nothing presses it.",
            ]
        );
        assert_eq!(
            both(&["hip-replacement-pose-only:left", "outer-hip-pain:left"])[1],
            "Left hip: never across, never lain on, no standing on it alone."
        );
        let hips = ["hip-replacement-posterior:left:cleared=surgeon", "outer-hip-pain:left"];
        assert_eq!(both(&hips)[1], "Left hip: never lain on, no standing on it alone.");
        let sides = ["hip-replacement-posterior:left:cleared=surgeon", "outer-hip-pain:right"];
        assert!(both(&sides)[1].starts_with("Right hip: never across"));
        let necks = ["neck-ligament-disease", "down-syndrome"];
        assert_eq!(both(&necks)[1], "Down syndrome: the same. Not cleared.");
    }

    #[test]
    fn everything_that_is_said_once_stands_in_the_cards_of_several_conditions() {
        for clause in EVERYWHERE.iter().chain(&AT_A_PLACE) {
            let has = |text: &str| {
                let (_, rest) = text.split_once(": ").unwrap_or(("", text));
                rest.split([',', ';'])
                    .any(|part| part.trim().trim_end_matches('.').to_lowercase() == **clause)
            };
            let conditions = Conditions::built_in().all().iter();
            let count = conditions.filter(|one| one.card.iter().any(|sentence| has(&sentence.text))).count();
            assert!(count > 1, "{clause}: {count}");
        }
    }

    #[test]
    fn a_sentence_of_a_card_is_short_enough_to_be_heard_to_its_end() {
        /// Words of a sentence: our judgement, five seconds of speech.
        const MOST: usize = 14;
        for condition in Conditions::built_in().all() {
            for sentence in &condition.card {
                // A side and a part of the body take two words more often than one.
                let blanks = sentence.text.matches('{').count();
                let words = sentence.text.split_whitespace().count() + blanks;
                assert!(words <= MOST, "{}: {words}: {}", condition.id, sentence.text);
            }
        }
    }

    /// Every way that a condition is recorded: of each place where it may be, and at several times, cleared or not.
    fn records(condition: &Condition) -> Vec<RecordedCondition> {
        let places =
            Muscle::ALL.iter().map(|muscle| muscle.id()).chain(Joint::ALL.iter().map(|joint| joint.id()));
        let words = places.flat_map(|place| [format!(":{place}"), format!(":left:{place}")]);
        let words = ["", ":left"].into_iter().map(str::to_owned).chain(words);
        let read = |word: &str| parse_recorded(&format!("{}{word}", condition.id)).ok();
        let words: Vec<String> = words.filter(|word| read(word).is_some()).collect();
        let days = [3, 20, 50, 100, 400].map(|days| today().checked_sub_days(Days::new(days)).unwrap());
        let due = [10, 30].map(|weeks| today().checked_add_days(Days::new(280 - 7 * weeks)).unwrap());
        let times = days.iter().map(|day| format!(":since={day}"));
        let times = times.chain(due.iter().map(|day| format!(":due={day}")));
        let times = times.flat_map(|time| [format!("{time}:cleared=Dr Moreau"), time]);
        let at = &words[0];
        let all = words.iter().cloned().chain(times.map(|time| format!("{at}{time}")));
        all.filter_map(|word| read(&word)).collect()
    }

    /// What is said first of each condition, however it is recorded.
    fn each_first_sentence(check: impl Fn(&Condition, &str)) {
        for condition in Conditions::built_in().all().iter().filter(|one| !one.everyone) {
            for record in records(condition) {
                let restrictions = Restrictions::of(&[record], Some(40), today());
                let said = SaidFirst::of(&restrictions, &[]);
                let mut both = restrictions.in_force().iter().zip(&said.always);
                let (_, first) = both.find(|(caution, _)| caution.id == condition.id).expect("in force");
                check(condition, first);
            }
        }
    }

    #[test]
    fn where_nobody_presses_and_that_a_towel_lies_between_is_said_in_the_first_sentence_of_a_card() {
        const HANDS: [&str; 7] =
            ["nobody", "nothing", "hand", "left alone", "gripped", "pressed", "no thumbs"];
        let is_hands = |limit: &Limit| matches!(limit.precaution, Precaution::Hands(_));
        each_first_sentence(|condition, first| {
            let is_said = HANDS.iter().any(|hands| first.to_lowercase().contains(hands));
            assert!(is_said || !condition.limits.iter().any(is_hands), "{}: {first}", condition.id);
            let keeps_apart = condition.limits.iter().any(|limit| limit.precaution == Precaution::Barrier);
            assert!(first.contains("towel") || !keeps_apart, "{}: {first}", condition.id);
        });
    }

    #[test]
    fn what_is_said_first_of_a_caution_takes_no_more_than_its_words() {
        /// Words of a caution before the first touch, and those of a name such as "Left hip flexors".
        const MOST: usize = 14;
        const PLACE: usize = 3;
        each_first_sentence(|condition, first| {
            let place = first.split_once(':').filter(|_| condition.site != Site::Nowhere);
            let longer = place.map_or(0, |(place, _)| place.split(' ').count().saturating_sub(PLACE));
            let words = first.split_whitespace().count();
            assert!(condition.stops() || words <= MOST + longer, "{}: {words}: {first}", condition.id);
        });
    }
}
