//! The built-in conditions, read from the data beside this file.

use std::sync::LazyLock;

use crate::names::UnknownName;

use super::condition::{Chapter, Condition, ConditionId};
use super::raw;

/// What is wrong with a condition's data.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file}: {place}: {message}")]
pub struct ConditionFlaw {
    /// The file.
    pub file: String,
    /// The condition, or what the reader says about the place.
    pub place: String,
    /// What is wrong.
    pub message: String,
}

/// The conditions that the program knows, sorted by id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conditions {
    // Invariant: sorted by id, no id twice.
    all: Vec<Condition>,
}

const FILES: [(&str, Chapter, &str); 7] = [
    ("tissue.toml", Chapter::Tissue, include_str!("tissue.toml")),
    ("hip_and_knee.toml", Chapter::HipAndKnee, include_str!("hip_and_knee.toml")),
    ("shoulder.toml", Chapter::Shoulder, include_str!("shoulder.toml")),
    ("back.toml", Chapter::Back, include_str!("back.toml")),
    ("neck.toml", Chapter::Neck, include_str!("neck.toml")),
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
        if flaws.is_empty() { Ok(Self { all }) } else { Err(flaws) }
    }

    /// All conditions, sorted by id.
    pub fn all(&self) -> &[Condition] {
        &self.all
    }

    /// The condition of that id.
    pub fn get(&self, id: &ConditionId) -> Option<&Condition> {
        self.all.binary_search_by(|condition| condition.id.cmp(id)).ok().map(|index| &self.all[index])
    }

    /// Finds a condition by its id, its name, or a part that no other id shares.
    ///
    /// # Errors
    /// Names the nearest if there is no such condition or more than one.
    pub fn named(&self, word: &str) -> Result<&Condition, UnknownName> {
        let lower = word.trim().to_lowercase();
        let dashed = lower.replace([' ', '_'], "-");
        if let Some(found) =
            self.all.iter().find(|c| c.id.as_str() == dashed || c.name.to_lowercase() == lower)
        {
            return Ok(found);
        }
        let mut partly = self.all.iter().filter(|c| dashed.len() >= 3 && c.id.as_str().contains(&dashed));
        match (partly.next(), partly.next()) {
            (Some(only), None) => Ok(only),
            _ => Err(UnknownName::new("condition", word, self.all.iter().map(|c| c.id.as_str()))),
        }
    }
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
    fn a_condition_is_found_by_id_name_or_part() {
        let conditions = Conditions::built_in();
        let id = |word: &str| conditions.named(word).map(|condition| condition.id.to_string());
        assert_eq!(id("hip-replacement-posterior"), Ok("hip-replacement-posterior".to_owned()));
        assert_eq!(id("Hip replacement (posterior)"), Ok("hip-replacement-posterior".to_owned()));
        assert_eq!(id("impinge"), Ok("shoulder-impingement".to_owned()));
        assert_eq!(
            id("pregnacy").expect_err("misspelt").to_string(),
            "unknown condition `pregnacy`; did you mean `pregnancy`?"
        );
        assert!(id("hip-replacement").is_err(), "five begin so");
    }

    #[test]
    fn every_flaw_of_every_file_is_told() {
        let whole = r#"avoid = "a"
            fine = "b"
            say = "c"
            source = "d"
            verified = "seen"
        "#;
        let text = format!(
            r#"[[condition]]
            id = "one"
            name = ""
            clearance = "urgent"
            limits = [{{ level = 3, no_massage = true }}, {{ }}, {{ over = {{ hip_flexion = -5 }} }}]
            {whole}
            [[condition]]
            id = "two"
            name = "two"
            clearance = "no"
            site = "joint"
            limits = [
                {{ positions = ["prone"], until_cleared = true }}, {{ longest_push_s = 3 }},
                {{ joints = ["hip"], no_massage = true }}, {{ stop = true }},
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
