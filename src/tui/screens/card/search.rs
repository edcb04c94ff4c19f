//! A condition as it is typed: found by a few letters, with its side, and taken out of the name where it was typed there.

use chrono::NaiveDate;

use crate::caution::typed::{self, Offer};
use crate::caution::{Condition, Conditions, parse_recorded};
use crate::tui::shared::Context;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;

use super::{Row, State};

impl State {
    /// The conditions that match what was typed, best first.
    pub(super) fn matches(&self, today: NaiveDate) -> Vec<Offer> {
        typed::offers(self.search.text(), today)
    }

    /// The last word of the name, if a condition has a word that begins so: it may be in the wrong line.
    pub(super) fn stray(&self) -> Option<&str> {
        /// Letters from which on a word is no part of somebody's name by chance.
        const LEAST: usize = 4;
        let (_, last) = self.card.name.text().trim().rsplit_once(' ')?;
        let typed = last.to_lowercase();
        let is_so = |condition: &Condition| {
            let words = format!("{} {}", condition.name, condition.id);
            words
                .to_lowercase()
                .split(|letter: char| !letter.is_alphanumeric())
                .any(|word| word.starts_with(&typed))
        };
        let known = || Conditions::built_in().all().iter().any(is_so);
        (typed.chars().count() >= LEAST && known()).then_some(last)
    }

    /// Takes that word, and a side before it, from the name to the line for a condition.
    pub(super) fn move_stray(&mut self) {
        let words: Vec<String> = self.card.name.text().split_whitespace().map(str::to_owned).collect();
        let side = words.len() > 2 && is_side(&words[words.len() - 2].to_lowercase());
        let (name, stray) = words.split_at(words.len() - 1 - usize::from(side));
        let name = Field::holding(&name.join(" "));
        self.change(|card| card.name = name);
        self.search = Field::holding(&stray.join(" "));
        self.match_chosen = 0;
        self.at = self.rows().iter().position(|row| *row == Row::AddCondition).unwrap_or(self.at);
    }

    /// What to say where no condition has that name.
    pub(super) fn not_found(&self) -> String {
        typed::not_found(self.search.text())
    }

    /// Adds the condition that is chosen among those found, with the side, place and dates that were typed.
    pub(super) fn add_condition(&mut self, context: &mut Context<'_>) {
        let today = context.today();
        let found = self.matches(today);
        let Some(offer) = found.get(self.match_chosen.min(found.len().saturating_sub(1))) else {
            context.shared.say(Tone::Caution, self.not_found());
            return;
        };
        if let Some(missing) = offer.missing() {
            // The same refusal as on the command line, with an example; the words stay, so that the place is added.
            let why = parse_recorded(offer.condition.id.as_str()).err().map(|why| why.to_string());
            context.shared.say(Tone::Caution, why.unwrap_or_else(|| missing.to_owned()));
            return;
        }
        let both = self.search.text().split_whitespace().any(|word| word.eq_ignore_ascii_case("both"));
        let recorded = offer.record.clone();
        if self.card.conditions.iter().any(|other| other.is_about_the_same(&recorded)) {
            context.shared.say(Tone::Dim, "that is on the card already");
        } else {
            self.asks_side = offer.condition.side_bound && recorded.side.is_none() && !both;
            self.change(|card| card.conditions.push(recorded));
            // The line for the next condition has moved down by one; the side is asked for on the new one.
            self.at += usize::from(!self.asks_side);
        }
        self.search.clear();
        self.match_chosen = 0;
    }
}

fn is_side(word: &str) -> bool {
    matches!(word, "left" | "right" | "both")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 20).expect("a day of the calendar")
    }

    #[test]
    fn what_is_not_found_says_to_find_out() {
        let mut state = State::new_client("Nora");
        state.search.paste("pregnency");
        assert!(state.matches(today()).is_empty());
        assert!(state.not_found().contains("did you mean pregnancy?"), "{}", state.not_found());
        state.search.clear();
        state.search.paste("zzz");
        assert!(state.not_found().ends_with("find out what it means for the work before you touch."));
    }

    #[test]
    fn a_few_letters_find_a_condition_and_a_side_is_no_part_of_its_name() {
        let mut state = State::new_client("Nora");
        state.search.paste("imping left");
        let found = state.matches(today());
        assert!(found.iter().any(|offer| offer.condition.id.as_str().contains("impingement")));
        state.search.clear();
        assert!(state.matches(today()).is_empty());
        state.search.paste("THR left");
        assert!(state.matches(today())[0].condition.id.as_str().starts_with("hip-replacement"));
    }

    #[test]
    fn a_condition_behind_the_name_is_told_from_a_surname() {
        for (name, stray) in [
            ("Nora Quint imping", Some("imping")),
            ("Nora Quint left shoulder", Some("shoulder")),
            ("Nora Quint", None),
            ("Imping", None),
            ("Nora Lee", None),
        ] {
            assert_eq!(State::new_client(name).stray(), stray, "{name}");
        }
        let mut state = State::new_client("Nora Quint left shoulder");
        state.move_stray();
        assert_eq!((state.card.name.text(), state.search.text()), ("Nora Quint", "left shoulder"));
    }
}
