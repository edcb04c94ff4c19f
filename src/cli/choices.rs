//! The words that options take, as help lists them at its end.

use crate::body::{Muscle, MuscleGroup};
use crate::catalogue::{Equipment, Position};
use crate::caution::Conditions;
use crate::text;

/// A list of words, and what it is called.
pub(super) struct WordList {
    title: &'static str,
    words: fn() -> Vec<String>,
}

/// Muscles, and names for several at once.
pub(super) const MUSCLES: WordList = WordList { title: "Muscles", words: muscles };

/// Conditions that can be recorded.
pub(super) const CONDITIONS: WordList = WordList { title: "Conditions", words: conditions };

/// What may be at hand.
pub(super) const EQUIPMENT: WordList = WordList { title: "Equipment", words: equipment };

/// Positions of the body.
pub(super) const POSITIONS: WordList = WordList { title: "Positions", words: positions };

/// The lists one under the other.
pub(super) fn listed(choices: &[WordList]) -> String {
    let one = |choice: &WordList| {
        let lines = text::wrap(&(choice.words)().join(", "), text::USUAL_COLUMNS - 2);
        let lines: Vec<String> = lines.iter().map(|line| format!("  {line}")).collect();
        format!("{}:\n{}", choice.title, lines.join("\n"))
    };
    choices.iter().map(one).collect::<Vec<_>>().join("\n\n")
}

/// The same below what else help says at its end.
pub(super) fn below(text: &str, choices: &[WordList]) -> String {
    format!("{text}\n\n{}", listed(choices))
}

pub(super) fn single_muscles() -> Vec<String> {
    Muscle::ALL.iter().map(|muscle| muscle.id().to_owned()).collect()
}

pub(super) fn muscles() -> Vec<String> {
    let groups = MuscleGroup::ALL.iter().map(|group| group.id().to_owned());
    single_muscles().into_iter().chain(groups).collect()
}

pub(super) fn conditions() -> Vec<String> {
    let all = Conditions::built_in().all().iter();
    all.filter(|condition| !condition.everyone && condition.ages.is_none())
        .map(|condition| condition.id.to_string())
        .collect()
}

fn equipment() -> Vec<String> {
    Equipment::ALL.iter().map(|thing| thing.id().to_owned()).collect()
}

fn positions() -> Vec<String> {
    Position::ALL.iter().map(|position| position.id().to_owned()).collect()
}
