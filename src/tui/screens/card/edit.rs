//! What is typed and ticked on a card, row by row.

use chrono::NaiveDate;

use crate::body::Side;
use crate::tui::keys::Action;
use crate::tui::shared::Context;
use crate::tui::widgets::field::Field;

use super::typed::{born_of, mass_of};
use super::{Card, Row, State};

impl State {
    fn field(card: &mut Card, row: Row) -> Option<&mut Field> {
        match row {
            Row::Name => Some(&mut card.name),
            Row::Born => Some(&mut card.born),
            Row::Mass => Some(&mut card.mass),
            Row::Guardian => Some(&mut card.guardian),
            Row::Note => Some(&mut card.note),
            Row::Words(line) => card.words.get_mut(&line),
            _ => None,
        }
    }

    /// Why what is typed in a row cannot be taken, if it cannot.
    pub(super) fn readable(&self, row: Row, context: &Context<'_>) -> Result<(), String> {
        match row {
            Row::Born => born_of(self.card.born.text()).map(drop),
            Row::Mass => mass_of(self.card.mass.text()).map(drop),
            Row::Words(line) => {
                let (typed, catalogue) = (self.card.words[&line].text(), &context.shared.catalogue);
                line.put(typed, &mut self.profile_of(""), catalogue, context.today())
            }
            _ => Ok(()),
        }
    }

    pub(super) fn edit_row(&mut self, row: Row, action: Action, today: NaiveDate) {
        if row == Row::AddCondition {
            self.search.edit(action);
            self.match_chosen = 0;
            return;
        }
        if row == Row::Remove {
            self.removing.edit(action);
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
            (Row::Archived, Action::Toggle) => self.change(|card| {
                card.archived = if card.archived.is_some() { None } else { Some(today) };
            }),
            (Row::NoHands, Action::Toggle) => self.change(|card| card.no_hands = !card.no_hands),
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
