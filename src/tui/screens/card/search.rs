//! A condition as it is typed: found by a few letters, with its side, and taken out of the name where it was typed there.

use crate::body::{Joint, Muscle};
use crate::caution::{Condition, Conditions, parse_recorded};
use crate::names::UnknownName;
use crate::tui::shared::Context;
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;

use super::{Row, State};

impl State {
    /// The conditions that match what was typed, best first.
    pub(super) fn matches(&self) -> Vec<&'static Condition> {
        let words = words_of(self.search.text());
        if words.is_empty() {
            return Vec::new();
        }
        let found = |words: &[String]| -> Vec<&'static Condition> {
            let needle = words.join(" ");
            let mut found: Vec<&Condition> = Conditions::built_in()
                .all()
                .iter()
                .filter(|condition| !condition.everyone)
                .filter(|condition| text::matches(&format!("{} {}", condition.name, condition.id), &needle))
                .collect();
            found.sort_by_key(|condition| {
                (!condition.name.to_lowercase().starts_with(&needle), condition.name.len())
            });
            found
        };
        let all = found(&words);
        if !all.is_empty() {
            return all;
        }
        let without_places: Vec<String> = words.into_iter().filter(|word| !is_place(word)).collect();
        if without_places.is_empty() { Vec::new() } else { found(&without_places) }
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

    /// What to say where no condition has that name: the nearest one, if there is one.
    pub(super) fn not_found(&self) -> String {
        let known = Conditions::built_in().all().iter().map(|condition| condition.id.as_str());
        let words = words_of(self.search.text()).join("-");
        match UnknownName::new("condition", &words, known).nearest {
            Some(nearest) => format!("no condition of that name; did you mean {nearest}?"),
            None => "no condition of that name; a remark can hold it".to_owned(),
        }
    }

    /// Adds the condition that is chosen among those found, with the side or place that was typed.
    pub(super) fn add_condition(&mut self, context: &mut Context<'_>) {
        let found = self.matches();
        let Some(condition) = found.get(self.match_chosen.min(found.len().saturating_sub(1))) else {
            context.shared.say(Tone::Caution, self.not_found());
            return;
        };
        let own: Vec<String> =
            words_of(&format!("{} {}", condition.name, condition.id.as_str().replace('-', " ")));
        let parts = self.search.text().split_whitespace().filter(|word| {
            let word = word.to_lowercase();
            is_side(&word) || word.contains('=') || (is_place(&word) && !own.contains(&word))
        });
        let both = self.search.text().split_whitespace().any(|word| word.eq_ignore_ascii_case("both"));
        let word = std::iter::once(condition.id.as_str()).chain(parts).collect::<Vec<_>>().join(":");
        match parse_recorded(&word) {
            Ok(recorded) => {
                // A week of pregnancy is told today and goes on counting from today.
                let recorded = recorded.told_on(context.today());
                let clash = self.card.conditions.iter().any(|other| other.is_about_the_same(&recorded));
                if clash {
                    context.shared.say(Tone::Dim, "that is on the card already");
                } else {
                    self.asks_side = condition.side_bound && recorded.side.is_none() && !both;
                    self.change(|card| card.conditions.push(recorded));
                    // The line for the next condition has moved down by one; the side is asked for on the new one.
                    self.at += usize::from(!self.asks_side);
                }
                self.search.clear();
                self.match_chosen = 0;
            }
            Err(why) => context.shared.say(Tone::Caution, why.to_string()),
        }
    }
}

/// The words of a search that name the condition, not its side or dates.
fn words_of(search: &str) -> Vec<String> {
    search
        .to_lowercase()
        .split_whitespace()
        .filter(|word| !is_side(word) && !word.contains('='))
        .map(str::to_owned)
        .collect()
}

fn is_side(word: &str) -> bool {
    matches!(word, "left" | "right" | "both")
}

fn is_place(word: &str) -> bool {
    word.parse::<Muscle>().is_ok() || word.parse::<Joint>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_misspelt_condition_finds_the_nearest() {
        let mut state = State::new_client("Nora");
        state.search.paste("hip replacment posterior left");
        assert!(state.matches().is_empty());
        assert_eq!(state.not_found(), "no condition of that name; did you mean hip-replacement-posterior?");
        state.search.clear();
        state.search.paste("zzz");
        assert_eq!(state.not_found(), "no condition of that name; a remark can hold it");
    }

    #[test]
    fn a_few_letters_find_a_condition_and_a_side_is_no_part_of_its_name() {
        let mut state = State::new_client("Nora");
        state.search.paste("imping left");
        assert!(state.matches().iter().any(|condition| condition.id.as_str().contains("impingement")));
        state.search.clear();
        assert!(state.matches().is_empty());
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
