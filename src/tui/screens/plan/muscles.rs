//! Which muscles were trained: found by a few letters, or browsed by the parts of the body.

use std::sync::LazyLock;

use crate::body::{Effort, Muscle, MuscleGroup, muscles_offered, other_muscle_names};
use crate::client::Trained;
use crate::tui::text;
use crate::tui::widgets::field::Field;

/// Something that can be marked as trained.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Item {
    /// Several muscles at once.
    Group(MuscleGroup),
    /// One muscle.
    Muscle(Muscle),
}

impl Item {
    /// The muscles it stands for.
    pub fn muscles(self) -> Vec<Muscle> {
        match self {
            Self::Group(group) => group.muscles().to_vec(),
            Self::Muscle(muscle) => vec![muscle],
        }
    }

    /// What it is called.
    pub fn name(self) -> String {
        match self {
            Self::Group(group) => group.id().replace('-', " "),
            Self::Muscle(muscle) => muscle.plain_name().to_owned(),
        }
    }

    /// The word for it in files and commands.
    pub fn id(self) -> &'static str {
        match self {
            Self::Group(group) => group.id(),
            Self::Muscle(muscle) => muscle.id(),
        }
    }

    /// The muscle's own name; nothing of a group.
    fn muscle_id(self) -> String {
        match self {
            Self::Group(_) => String::new(),
            Self::Muscle(muscle) => muscle.id().replace('-', " "),
        }
    }

    /// What stands behind the name: the muscle's own name, or what the group is made of.
    pub fn beside(self) -> String {
        match self {
            Self::Group(group) => {
                let names: Vec<String> =
                    group.muscles().iter().map(|muscle| muscle.plain_name().to_owned()).collect();
                text::list(&names)
            }
            Self::Muscle(muscle) => format!("{} ({})", muscle.id().replace('-', " "), muscle.region()),
        }
    }

    /// How hard it was trained: none where its muscles differ.
    pub fn effort(self, trained: &Trained) -> Option<Effort> {
        let muscles = self.muscles();
        let first = trained.get(muscles.first()?)?;
        muscles.iter().all(|muscle| trained.get(muscle) == Some(first)).then_some(*first)
    }
}

/// What was typed, and where the choice is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Picker {
    /// What was typed.
    pub filter: Field,
    /// Which of the items is chosen.
    pub chosen: usize,
    /// Whether the list is open.
    pub browsing: bool,
    /// What was marked last: a digit says how hard.
    pub last: Vec<Muscle>,
}

/// Other names of the trade and of everyday speech, in small letters, each with what it stands for.
fn by_other_names() -> &'static [(String, Vec<Item>)] {
    static NAMES: LazyLock<Vec<(String, Vec<Item>)>> = LazyLock::new(|| {
        let item = |id: &str| id.parse().map(Item::Muscle).or_else(|_| id.parse().map(Item::Group)).ok();
        other_muscle_names()
            .map(|(name, ids)| (name.to_lowercase(), ids.filter_map(item).collect()))
            .collect()
    });
    &NAMES
}

impl Picker {
    /// What matches: names that begin with what was typed come first, then what is also called so, and in the end what a
    /// command would take the words for.
    pub fn items(&self) -> Vec<Item> {
        let typed = self.filter.text().trim().to_lowercase();
        let offered = muscles_offered(&typed);
        let groups = MuscleGroup::ALL.iter().map(|group| Item::Group(*group));
        let muscles = Muscle::ALL.iter().map(|muscle| Item::Muscle(*muscle));
        let called_so = |item: &Item| {
            !typed.is_empty()
                && by_other_names()
                    .iter()
                    .any(|(name, items)| name.starts_with(&typed) && items.contains(item))
        };
        let mut items: Vec<(u8, Item)> = groups
            .chain(muscles)
            .filter_map(|item| {
                let name = item.name();
                let own = item.muscle_id();
                let rank = if name.starts_with(&typed) {
                    0
                } else if own.starts_with(&typed) || name.split(' ').any(|word| word.starts_with(&typed)) {
                    1
                } else if own.split(' ').any(|word| word.starts_with(&typed)) {
                    2
                } else if text::matches(&format!("{name} {own}"), &typed) {
                    3
                } else if called_so(&item) {
                    4
                } else if offered.contains(&item.id()) {
                    5
                } else {
                    return None;
                };
                Some((rank, item))
            })
            .collect();
        items.sort_by_key(|(rank, _)| *rank);
        items.into_iter().map(|(_, item)| item).collect()
    }

    /// The chosen item, while the list is open.
    pub fn item(&self) -> Option<Item> {
        if self.browsing { self.items().get(self.chosen).copied() } else { None }
    }

    /// Whether what was typed is the beginning of a name that goes on with another word.
    pub fn goes_on_with_a_space(&self) -> bool {
        let typed = self.filter.text().trim_start().to_lowercase();
        let names = |item: Item| [item.name(), item.muscle_id()];
        let any = |beginning: &str| {
            self.items().into_iter().flat_map(names).any(|name| name.starts_with(beginning))
        };
        let longer = format!("{typed} ");
        // What begins a name of its own is marked, though something else is called so, too.
        let is_called_so = || by_other_names().iter().any(|(name, _)| name.starts_with(&longer));
        longer.len() > 1 && (any(&longer) || !any(&typed) && is_called_so())
    }

    /// After a letter was typed or erased.
    pub fn typed(&mut self) {
        self.chosen = 0;
        self.browsing = !self.filter.is_empty();
    }

    /// Closes the list.
    pub fn close(&mut self) {
        self.filter.clear();
        self.chosen = 0;
        self.browsing = false;
    }

    /// Marks muscles with an effort, or takes the mark off.
    pub fn mark(&mut self, trained: &mut Trained, muscles: Vec<Muscle>, effort: Option<Effort>) {
        for muscle in &muscles {
            match effort {
                Some(effort) => trained.insert(*muscle, effort),
                None => trained.remove(muscle),
            };
        }
        self.last = muscles;
    }
}

/// The effort after this one, when it is marked again and again: properly, hard, a little, not at all.
pub fn next_effort(effort: Option<Effort>) -> Option<Effort> {
    let number = match effort.map(Effort::get) {
        None => 2,
        Some(2) => 3,
        Some(3) => 1,
        Some(_) => return None,
    };
    Effort::new(number).ok()
}

/// What was trained in as few names as say it: a group stands for its muscles where all were trained as hard.
pub fn folded(trained: &Trained) -> Vec<(String, Effort)> {
    let mut rest = trained.clone();
    let mut groups: Vec<MuscleGroup> =
        MuscleGroup::ALL.iter().copied().filter(|group| group.muscles().len() > 1).collect();
    groups.sort_by_key(|group| std::cmp::Reverse(group.muscles().len()));
    let mut named = Vec::new();
    for group in groups {
        if let Some(effort) = Item::Group(group).effort(&rest) {
            named.push((Item::Group(group).name(), effort));
            rest.retain(|muscle, _| !group.muscles().contains(muscle));
        }
    }
    named.extend(rest.iter().map(|(muscle, effort)| (muscle.plain_name().to_owned(), *effort)));
    named
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first(typed: &str) -> Option<Item> {
        let mut picker = Picker::default();
        picker.filter.paste(typed);
        picker.typed();
        picker.item()
    }

    #[test]
    fn a_few_letters_find_the_muscle() {
        assert_eq!(first("ham"), Some(Item::Muscle(Muscle::Hamstrings)));
        assert_eq!(first("glu"), Some(Item::Group(MuscleGroup::Glutes)));
        assert_eq!(first("gluteus max"), Some(Item::Muscle(Muscle::GluteusMaximus)));
        assert_eq!(first("lat"), Some(Item::Muscle(Muscle::LatissimusDorsi)));
        assert_eq!(first("side of the n"), Some(Item::Muscle(Muscle::Scalenes)));
        assert_eq!(first("hammi"), Some(Item::Muscle(Muscle::Hamstrings)));
        assert_eq!(first("zzz"), None);
    }

    #[test]
    fn a_space_goes_on_with_a_name_of_two_words_only() {
        let goes_on = |typed| {
            let mut picker = Picker::default();
            picker.filter.paste(typed);
            picker.goes_on_with_a_space()
        };
        assert!(goes_on("lower") && goes_on("full") && goes_on("gluteus") && goes_on("side of"));
        assert!(!goes_on("") && !goes_on("ham") && !goes_on("lower ") && !goes_on("low"));
    }

    #[test]
    fn a_group_stands_for_its_muscles_where_all_were_trained_as_hard() {
        let effort = |number| Effort::new(number).expect("an effort");
        let mut trained: Trained =
            MuscleGroup::Legs.muscles().iter().map(|muscle| (*muscle, effort(2))).collect();
        trained.insert(Muscle::PectoralisMajor, effort(1));
        let named = folded(&trained);
        assert_eq!(named.first(), Some(&("legs".to_owned(), effort(2))));
        assert_eq!(named.len(), 2, "{named:?}");
        trained.insert(MuscleGroup::Legs.muscles()[0], effort(3));
        assert!(folded(&trained).iter().all(|(name, _)| name != "legs"));
    }

    #[test]
    fn marking_again_goes_through_every_effort_and_off() {
        let mut seen = vec![None];
        while seen.len() < 5 {
            seen.push(next_effort(seen[seen.len() - 1]));
        }
        assert_eq!(
            seen.iter().map(|effort| effort.map(Effort::get)).collect::<Vec<_>>(),
            [None, Some(2), Some(3), Some(1), None]
        );
    }
}
