//! What is typed and ticked on a card, row by row.

use chrono::NaiveDate;

use crate::body::{Kilograms, Side};
use crate::client::{BadBirth, Birth};
use crate::tui::keys::Action;
use crate::tui::widgets::field::Field;

use super::{Card, Row, State};

impl State {
    fn field(card: &mut Card, row: Row) -> Option<&mut Field> {
        match row {
            Row::Name => Some(&mut card.name),
            Row::Born => Some(&mut card.born),
            Row::Mass => Some(&mut card.mass),
            Row::Guardian => Some(&mut card.guardian),
            Row::Note => Some(&mut card.note),
            _ => None,
        }
    }

    /// Why what is typed in a row cannot be taken, if it cannot.
    pub(super) fn readable(&self, row: Row) -> Result<(), String> {
        match row {
            Row::Born => born_of(self.card.born.text()).map(drop),
            Row::Mass => mass_of(self.card.mass.text()).map(drop),
            _ => Ok(()),
        }
    }

    pub(super) fn edit_row(&mut self, row: Row, action: Action, today: NaiveDate) {
        if row == Row::AddCondition {
            self.search.edit(action);
            self.match_chosen = 0;
            return;
        }
        if Self::field(&mut self.card, row).is_some() {
            self.change(|card| {
                if let Some(field) = Self::field(card, row) {
                    field.edit(action);
                }
            });
            return;
        }
        match (row, action) {
            (Row::Aim(aim), Action::Toggle) => self.change(|card| {
                if card.aims.contains(&aim) {
                    card.aims.retain(|other| *other != aim);
                } else {
                    card.aims.push(aim);
                }
            }),
            (Row::Massage, Action::Toggle) => self.change(|card| card.massage = !card.massage),
            (Row::Recorded(index), Action::Left | Action::Right | Action::Toggle) if self.has_side(index) => {
                self.change(|card| {
                    let side = &mut card.conditions[index].side;
                    *side = match (action, *side) {
                        (Action::Left, _) | (_, None) if action != Action::Right => Some(Side::Left),
                        (Action::Right, _) | (_, Some(Side::Left)) => Some(Side::Right),
                        _ => None,
                    };
                });
            }
            (Row::Habit(index), Action::TakeOff | Action::Erase) => self.change(|card| {
                if let Some(habit) = card.habits.iter_mut().filter(|habit| habit.holds()).nth(index) {
                    habit.off = Some(today);
                }
            }),
            (Row::Recorded(index), Action::TakeOff | Action::Erase) => {
                self.change(|card| {
                    if index < card.conditions.len() {
                        card.conditions.remove(index);
                    }
                });
            }
            _ => {}
        }
    }
}

/// A birth as it was typed: a day, a month, a year alone, or nothing.
pub(super) fn born_of(typed: &str) -> Result<Option<Birth>, String> {
    let typed = typed.trim();
    if typed.is_empty() {
        Ok(None)
    } else {
        typed.parse().map(Some).map_err(|error: BadBirth| error.to_string())
    }
}

/// A mass as it was typed: whole kilograms, with or without the unit, or nothing.
pub(super) fn mass_of(typed: &str) -> Result<Option<Kilograms>, String> {
    let typed = typed.trim().trim_end_matches("kg").trim_end();
    if typed.is_empty() {
        return Ok(None);
    }
    let kilograms = typed.parse::<i64>().ok().and_then(|kilograms| Kilograms::new(kilograms).ok());
    kilograms.map(Some).ok_or_else(|| "whole kilograms from 20 to 400, or nothing".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_of_birth_is_a_date_or_a_year() {
        for told in ["1984-05-31", "1984-05", "1984"] {
            assert_eq!(born_of(told), Ok(told.parse().ok()), "{told}");
        }
        assert_eq!(born_of(" "), Ok(None));
        assert!(born_of("31.5.84").is_err() && born_of("84").is_err());
    }

    #[test]
    fn a_mass_is_in_whole_kilograms_or_not_known() {
        let read = |typed: &str| mass_of(typed).map(|mass| mass.map(Kilograms::get));
        assert_eq!((read(""), read("82"), read(" 82 kg")), (Ok(None), Ok(Some(82)), Ok(Some(82))));
        for no in ["19", "401", "82.5", "heavy", "-80"] {
            assert!(read(no).is_err(), "{no}");
        }
    }
}
