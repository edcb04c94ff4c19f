//! What the fields of a card hold.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::caution::RecordedCondition;
use crate::client::{Aim, Habit, Profile};
use crate::tui::widgets::field::Field;

use super::told::WordLine;

/// What the fields hold beside the profile; undo goes back through these.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Card {
    pub(super) name: Field,
    pub(super) born: Field,
    pub(super) mass: Field,
    pub(super) guardian: Field,
    pub(super) note: Field,
    pub(super) conditions: Vec<RecordedCondition>,
    pub(super) aims: Vec<Aim>,
    /// Whether hands-on work is refused altogether.
    pub(super) no_hands: bool,
    pub(super) massage: bool,
    pub(super) habits: Vec<Habit>,
    pub(super) words: BTreeMap<WordLine, Field>,
    pub(super) archived: Option<NaiveDate>,
}

impl Card {
    /// An empty card with a name on it.
    pub(super) fn named(name: &str) -> Self {
        Self {
            name: Field::holding(name),
            born: Field::default(),
            mass: Field::default(),
            guardian: Field::default(),
            note: Field::default(),
            conditions: Vec::new(),
            aims: Vec::new(),
            no_hands: false,
            massage: false,
            habits: Vec::new(),
            words: WordLine::ALL.iter().map(|line| (*line, Field::default())).collect(),
            archived: None,
        }
    }

    /// What a profile says.
    pub(super) fn of(profile: &Profile, catalogue: &Catalogue) -> Self {
        let guardian = profile.guardian_on_file().map_or("", |guardian| guardian.name.as_str());
        let words = WordLine::ALL.iter().map(|line| (*line, Field::holding(&line.of(profile, catalogue))));
        Self {
            name: Field::holding(&profile.name),
            born: Field::holding(&profile.born.map(|born| born.to_string()).unwrap_or_default()),
            mass: Field::holding(&profile.mass.map(|mass| mass.get().to_string()).unwrap_or_default()),
            guardian: Field::holding(guardian),
            note: Field::holding(&profile.note),
            conditions: profile.conditions.clone(),
            aims: profile.aims.clone(),
            no_hands: profile.refuses_hands(),
            massage: profile.wants_massage(),
            habits: profile.habits.clone(),
            words: words.collect(),
            archived: profile.archived,
        }
    }

    /// What the trainer said about plans and did not take off.
    pub(super) fn habits_that_hold(&self) -> impl Iterator<Item = &Habit> {
        self.habits.iter().filter(|habit| habit.holds())
    }

    /// Takes in what was typed on another card of the same person; what stands here stays.
    pub(super) fn take_in(&mut self, typed: Self) {
        for (field, other) in [(&mut self.born, typed.born), (&mut self.guardian, typed.guardian)] {
            if field.is_empty() {
                *field = other;
            }
        }
        let (note, more) = (self.note.text().trim().to_owned(), typed.note.text().trim().to_owned());
        if !more.is_empty() && !note.contains(&more) {
            self.note = Field::holding(&if note.is_empty() { more } else { format!("{note}; {more}") });
        }
        for recorded in typed.conditions {
            if !self.conditions.iter().any(|known| known.is_about_the_same(&recorded)) {
                self.conditions.push(recorded);
            }
        }
        for aim in typed.aims {
            if !self.aims.contains(&aim) {
                self.aims.push(aim);
            }
        }
        self.massage |= typed.massage;
        for (line, other) in typed.words {
            self.words.entry(line).and_modify(|field| {
                if field.is_empty() {
                    *field = other;
                }
            });
        }
    }
}
