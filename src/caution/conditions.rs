//! The built-in conditions, read from the data beside this file.

use std::sync::LazyLock;

use crate::names::{Finder, Found, UnknownName, other_names};

use super::condition::{Chapter, Condition, ConditionId};
use super::flaw::ConditionFlaw;
use super::raw;

/// The conditions that the program knows, sorted by id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conditions {
    // Invariant: sorted by id, no id twice.
    all: Vec<Condition>,
    // Invariant: the indices of `all` by their names.
    finder: Finder<usize>,
}

const FILES: [(&str, Chapter, &str); 13] = [
    ("tissue.toml", Chapter::Tissue, include_str!("tissue.toml")),
    ("hip.toml", Chapter::HipAndKnee, include_str!("hip.toml")),
    ("knee.toml", Chapter::HipAndKnee, include_str!("knee.toml")),
    ("foot.toml", Chapter::Foot, include_str!("foot.toml")),
    ("shoulder.toml", Chapter::Shoulder, include_str!("shoulder.toml")),
    ("arm.toml", Chapter::Arm, include_str!("arm.toml")),
    ("back.toml", Chapter::Back, include_str!("back.toml")),
    ("neck.toml", Chapter::Neck, include_str!("neck.toml")),
    ("heart_and_lungs.toml", Chapter::HeartAndLungs, include_str!("heart_and_lungs.toml")),
    ("pregnancy.toml", Chapter::Pregnancy, include_str!("pregnancy.toml")),
    ("nerves.toml", Chapter::WholeBody, include_str!("nerves.toml")),
    ("whole_body.toml", Chapter::WholeBody, include_str!("whole_body.toml")),
    ("everyone.toml", Chapter::Everyone, include_str!("everyone.toml")),
];

impl Conditions {
    /// The conditions that come with the program.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: LazyLock<Conditions> = LazyLock::new(|| {
            Conditions::parse(&FILES).expect("the test `the_built_in_data_has_no_flaw` holds it")
        });
        &BUILT_IN
    }

    /// Reads files of conditions: name, chapter and text of each.
    ///
    /// # Errors
    /// Lists every flaw of every file.
    pub fn parse(files: &[(&str, Chapter, &str)]) -> Result<Self, Vec<ConditionFlaw>> {
        let mut all = Vec::new();
        let mut flaws = Vec::new();
        for (file, chapter, text) in files {
            let (conditions, found) = raw::read(file, *chapter, text);
            all.extend(conditions);
            flaws.extend(found);
        }
        all.sort_by(|a, b| a.id.cmp(&b.id));
        for pair in all.windows(2) {
            if pair[0].id == pair[1].id {
                flaws.push(ConditionFlaw {
                    file: files.iter().map(|file| file.0).collect::<Vec<_>>().join(", "),
                    place: pair[0].id.to_string(),
                    message: "this id is used twice".to_owned(),
                });
            }
        }
        if flaws.is_empty() { Ok(Self { finder: finder_of(&all), all }) } else { Err(flaws) }
    }

    /// All conditions, sorted by id.
    pub fn all(&self) -> &[Condition] {
        &self.all
    }

    /// The condition of that id.
    pub fn get(&self, id: &ConditionId) -> Option<&Condition> {
        self.all.binary_search_by(|condition| condition.id.cmp(id)).ok().map(|index| &self.all[index])
    }

    /// What a typed word means: by id, name, or another name. An id means itself, whatever else is called so.
    pub fn find(&self, word: &str) -> Found<&Condition> {
        if let Some(condition) = ConditionId::new(word).ok().and_then(|id| self.get(&id)) {
            return Found::Named(vec![condition]);
        }
        match self.finder.find(word) {
            Found::Named(all) => Found::Named(all.into_iter().map(|index| &self.all[index]).collect()),
            Found::Offered(all) => Found::Offered(all.into_iter().map(|index| &self.all[index]).collect()),
            Found::Nothing(near) => Found::Nothing(near),
        }
    }

    /// The condition that a word names as a whole. A part of a name is never taken for it: what it might mean decides
    /// what is safe, so somebody chooses.
    ///
    /// # Errors
    /// Says what the word may mean, or what is spelled most like it.
    pub fn named(&self, word: &str) -> Result<&Condition, NotOneCondition> {
        let ids = |all: Vec<&Condition>| all.into_iter().map(|condition| condition.id.clone()).collect();
        match self.find(word) {
            Found::Named(all) => match all[..] {
                [only] => Ok(only),
                _ => Err(NotOneCondition::Several { word: word.to_owned(), may_be: ids(all) }),
            },
            Found::Offered(all) => Err(NotOneCondition::Several { word: word.to_owned(), may_be: ids(all) }),
            Found::Nothing(near) => Err(NotOneCondition::Unknown(UnknownName {
                what: "condition",
                found: word.to_owned(),
                nearest: near,
            })),
        }
    }
}

/// Why a word does not name one condition.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotOneCondition {
    /// It may mean several, or is a part of one name only.
    #[error("`{word}` may be {}: say which", listed_ids(.may_be))]
    Several {
        /// The word.
        word: String,
        /// What it may mean.
        may_be: Vec<ConditionId>,
    },
    /// There is none of that name.
    #[error("{0}: find out what it means for the work before you touch")]
    Unknown(UnknownName),
}

fn listed_ids(ids: &[ConditionId]) -> String {
    const MOST: usize = 6;
    let named: Vec<String> = ids.iter().take(MOST).map(|id| format!("`{id}`")).collect();
    let more = if ids.len() > MOST { format!(" or {} more", ids.len() - MOST) } else { String::new() };
    match &named[..] {
        [init @ .., last] if more.is_empty() && !init.is_empty() => format!("{} or {last}", init.join(", ")),
        _ => named.join(", ") + &more,
    }
}

/// The names by which the conditions are found: id, name, and the list of other names.
fn finder_of(all: &[Condition]) -> Finder<usize> {
    let own = all.iter().enumerate().flat_map(|(index, condition)| {
        [condition.id.as_str().to_owned(), condition.name.clone()].map(|name| (index, name))
    });
    let others = other_names("condition").flat_map(|other| {
        let ids = other.ids().filter_map(|id| all.iter().position(|condition| condition.id.as_str() == id));
        ids.map(|index| (index, other.name.to_owned())).collect::<Vec<_>>()
    });
    Finder::new(own.chain(others))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_data_has_no_flaw() {
        let flaws: Vec<String> =
            Conditions::parse(&FILES).err().unwrap_or_default().iter().map(ToString::to_string).collect();
        assert_eq!(flaws, Vec::<String>::new());
        assert!(Conditions::built_in().all().len() >= 48);
    }

    #[test]
    fn a_condition_is_named_by_the_whole_of_a_name_only() {
        let conditions = Conditions::built_in();
        let id = |word: &str| {
            conditions
                .named(word)
                .map(|condition| condition.id.to_string())
                .map_err(|error| error.to_string())
        };
        assert_eq!(id("hip-replacement-posterior"), Ok("hip-replacement-posterior".to_owned()));
        assert_eq!(id("New hip (posterior)"), Ok("hip-replacement-posterior".to_owned()));
        assert_eq!(
            id("Hip replacement (posterior)"),
            Ok("hip-replacement-posterior".to_owned()),
            "its old name"
        );
        assert_eq!(id("warfarin"), Ok("blood-thinners".to_owned()));
        let refused = |word: &str| id(word).expect_err(word);
        assert_eq!(
            refused("pregnacy"),
            "unknown condition `pregnacy`; did you mean `pregnancy`?: find out what it means for the work before \
             you touch"
        );
        assert_eq!(
            refused("frozen"),
            "`frozen` may be `frozen-shoulder-painful` or `frozen-shoulder-stiff`: say which"
        );
        assert!(refused("THR").starts_with("`THR` may be `hip-replacement-anterior`, "));
        assert_eq!(refused("impinge"), "`impinge` may be `shoulder-impingement` or `hip-pinch`: say which");
        assert!(refused("numb").contains("`diabetes-numb-feet`"), "offered, not taken");
    }

    #[test]
    fn every_flaw_of_every_file_is_told() {
        let whole = r#"avoid = "a"
            fine = "b"
            say = "c"
            source = "d"
            verified = "seen"
            card = ["e"]
        "#;
        let text = format!(
            r#"[[condition]]
            id = "one"
            name = ""
            clearance = "urgent"
            limits = [
                {{ level = 3, no_massage = true, basis = "seen" }}, {{ basis = "practice" }},
                {{ over = {{ hip_flexion = -5 }}, basis = "memory" }}, {{ level = 3, basis = "sene X" }},
            ]
            {whole}
            [[condition]]
            id = "two"
            name = "two"
            clearance = "no"
            site = "joint"
            limits = [
                {{ positions = ["prone"], until_cleared = true, basis = "seen" }},
                {{ longest_push_s = 3, basis = "seen" }},
                {{ joints = ["hip"], no_massage = true, basis = "seen" }}, {{ stop = true, basis = "seen" }},
            ]
            {whole}
            [[condition]]
            id = "two"
            name = "again"
            clearance = "yes"
            ages = [9, 3]
            {whole}"#
        );
        let flaws = Conditions::parse(&[("own.toml", Chapter::Back, &text)]).expect_err("flaws");
        let told: Vec<String> = flaws.iter().map(ToString::to_string).collect();
        let wanted = [
            "one: `name` says nothing",
            "one: limit 1: one limit does one thing",
            "one: limit 2: a limit without motion",
            "one: limit 3: an angle that is free is at least 0",
            "one: limit 4: unknown basis `sene`; did you mean `seen`?",
            "one: an urgent condition stops the session",
            "two: `site` and a limit on what is `recorded` go together",
            "two: limit 2: `longest_push_s` and `most_cycles` go together",
            "two: limit 3: this holds for the whole session",
            "two: a condition that stops the session says what the red flag is",
            "two: nothing waits for a clearance that is not asked for",
            "two: `ages` is [first year, last year]",
            "two: a clearance that is needed leaves something waiting for it",
            "two: this id is used twice",
        ];
        for want in wanted {
            assert!(
                told.iter().any(|flaw| flaw.starts_with(&format!("own.toml: {want}"))),
                "{want} in {told:#?}"
            );
        }
    }

    #[test]
    fn a_misspelt_key_is_told_with_its_line() {
        let text = "[[condition]]\nid = \"one\"\nnmae = \"x\"\n";
        let flaws = Conditions::parse(&[("own.toml", Chapter::Back, text)]).expect_err("flaw");
        assert!(flaws[0].to_string().starts_with("own.toml: line 3: unknown field `nmae`"), "{}", flaws[0]);
    }
}
