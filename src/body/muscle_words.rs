//! The muscles that a typed word names: by id, plain name, or one of the names on the list of other names.

use std::sync::LazyLock;

use crate::names::{Finder, Found, UnknownName, other_names};

use super::muscle::{Muscle, MuscleGroup};

/// What a typed word means: a muscle, a group, or several of them.
fn finder() -> &'static Finder<MuscleWord> {
    static FINDER: LazyLock<Finder<MuscleWord>> = LazyLock::new(|| {
        let muscles = Muscle::ALL.iter().flat_map(|&muscle| {
            [muscle.id(), muscle.plain_name()].map(|name| (MuscleWord::One(muscle), name.to_owned()))
        });
        let groups = MuscleGroup::ALL.iter().map(|&group| (MuscleWord::Many(group), group.id().to_owned()));
        let others = other_names("muscle").flat_map(|other| {
            other.ids().filter_map(MuscleWord::of).map(|what| (what, other.name.to_owned()))
        });
        Finder::new(muscles.chain(groups).chain(others))
    });
    &FINDER
}

/// The names on the list of other names, each with the ids of the muscles and groups that it stands for.
pub fn other_muscle_names() -> impl Iterator<Item = (&'static str, impl Iterator<Item = &'static str>)> {
    other_names("muscle").map(|other| (other.name, other.ids()))
}

/// A muscle or a group of them, as a word names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum MuscleWord {
    One(Muscle),
    Many(MuscleGroup),
}

impl MuscleWord {
    fn of(id: &str) -> Option<Self> {
        id.parse().map(Self::One).or_else(|_| id.parse().map(Self::Many)).ok()
    }

    fn muscles(self) -> Vec<Muscle> {
        match self {
            Self::One(muscle) => vec![muscle],
            Self::Many(group) => group.muscles().to_vec(),
        }
    }

    const fn id(self) -> &'static str {
        match self {
            Self::One(muscle) => muscle.id(),
            Self::Many(group) => group.id(),
        }
    }
}

/// The muscles that a trainer means by a word: a muscle, a group, or one of their other names.
///
/// A part of a name is not taken for it.
///
/// # Errors
/// Names what the word may mean, or what is spelled most like it.
pub fn muscles_named(word: &str) -> Result<Vec<Muscle>, UnknownName> {
    match finder().find(word) {
        Found::Named(all) => {
            let mut muscles: Vec<Muscle> = Vec::new();
            for muscle in all.into_iter().flat_map(MuscleWord::muscles) {
                if !muscles.contains(&muscle) {
                    muscles.push(muscle);
                }
            }
            Ok(muscles)
        }
        Found::Offered(offered) => {
            let near = offered.first().map(|first| first.id().to_owned());
            Err(UnknownName { what: "muscle", found: word.to_owned(), nearest: near })
        }
        Found::Nothing(near) => Err(UnknownName { what: "muscle", found: word.to_owned(), nearest: near }),
    }
}

/// The one muscle that a word names, where exactly one is meant.
pub fn muscle_named(word: &str) -> Option<Muscle> {
    let Found::Named(all) = finder().find(word) else { return None };
    let mut ones = all.into_iter().filter_map(|what| match what {
        MuscleWord::One(muscle) => Some(muscle),
        MuscleWord::Many(_) => None,
    });
    ones.next().filter(|_| ones.next().is_none())
}

/// The muscles and groups that begin or contain what has been typed so far, for somebody to choose from: their ids.
pub fn muscles_offered(typed: &str) -> Vec<&'static str> {
    finder().find(typed).into_all().into_iter().map(MuscleWord::id).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_read_as_muscle_or_group() {
        assert_eq!(muscles_named("Lower back").map(|m| m.len()), Ok(2));
        assert_eq!(muscles_named("soleus"), Ok(vec![Muscle::Soleus]));
        assert_eq!(
            muscles_named("hamstrngs").expect_err("misspelt").to_string(),
            "unknown muscle `hamstrngs`; did you mean `hamstrings`?"
        );
    }

    #[test]
    fn what_trainers_say_is_understood() {
        let named = |word: &str| muscles_named(word).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(named("lats"), [Muscle::LatissimusDorsi]);
        assert_eq!(named("QL"), [Muscle::QuadratusLumborum]);
        assert_eq!(named("Delts"), [Muscle::AnteriorDeltoid, Muscle::PosteriorDeltoid]);
        assert_eq!(named("leg day"), MuscleGroup::Legs.muscles());
        assert_eq!(muscle_named("hammies"), Some(Muscle::Hamstrings));
        assert_eq!(muscle_named("legs"), None, "several");
        assert!(muscles_named("ham").is_ok() && muscles_named("st").is_err());
        assert!(muscles_offered("pect").contains(&"pectoralis-major"));
    }

    #[test]
    fn what_is_printed_can_be_typed_and_every_other_name_leads_somewhere() {
        for &muscle in Muscle::ALL {
            for name in [muscle.id(), muscle.plain_name()] {
                assert!(muscles_named(name).is_ok_and(|named| named.contains(&muscle)), "{name}");
            }
        }
        for other in other_names("muscle") {
            assert!(other.ids().all(|id| MuscleWord::of(id).is_some()), "{}", other.name);
            assert!(muscles_named(other.name).is_ok_and(|named| !named.is_empty()), "{}", other.name);
        }
    }
}
