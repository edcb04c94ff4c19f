//! How a form stands with the trainer: by the catalogue's mark, or by the trainer's own word.

use crate::catalogue::{FormId, StretchId, Usual};
use crate::client::{Habit, HabitKind};

/// How a form stands with the trainer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FormStanding {
    /// As the catalogue marks it.
    Catalogue(Option<Usual>),
    /// The trainer's usual one.
    YourUsual,
    /// One that the trainer seldom takes.
    Seldom,
}

/// How a form stands: what holds for this client goes before what holds for everybody, and that before the catalogue.
pub fn standing(
    clients: &[Habit],
    trainers: &[Habit],
    stretch: &StretchId,
    form: &FormId,
    marked: Option<Usual>,
) -> FormStanding {
    let of = |habits: &[Habit]| {
        let holds = |habit: &&Habit| {
            habit.holds() && habit.stretch == *stretch && habit.form.as_ref().is_none_or(|only| only == form)
        };
        habits.iter().rev().find(holds).map(|habit| habit.kind)
    };
    match of(clients).or_else(|| of(trainers)) {
        Some(HabitKind::Usual) => FormStanding::YourUsual,
        Some(HabitKind::Seldom) => FormStanding::Seldom,
        None => FormStanding::Catalogue(marked),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(id: &str) -> StretchId {
        StretchId::new(id).unwrap()
    }

    #[test]
    fn the_word_for_a_client_goes_before_that_for_everybody_and_both_before_the_mark() {
        let habit = |kind, form: Option<&str>| Habit {
            kind,
            stretch: stretch("wall-calf"),
            form: form.map(|form| FormId::new(form).unwrap()),
            agreed: true,
            on: "2026-10-03".parse().unwrap(),
            off: None,
            by: String::new(),
        };
        let (usual, seldom) = (habit(HabitKind::Usual, None), habit(HabitKind::Seldom, Some("low")));
        let stands = |client: &[Habit], trainer: &[Habit], form: &str| {
            standing(client, trainer, &stretch("wall-calf"), &FormId::new(form).unwrap(), Some(Usual::Often))
        };
        assert_eq!(stands(&[], &[], "low"), FormStanding::Catalogue(Some(Usual::Often)));
        assert_eq!(stands(&[], std::slice::from_ref(&usual), "low"), FormStanding::YourUsual);
        assert_eq!(
            stands(std::slice::from_ref(&seldom), std::slice::from_ref(&usual), "low"),
            FormStanding::Seldom
        );
        assert_eq!(stands(&[seldom], &[usual], "high"), FormStanding::YourUsual);
    }
}
