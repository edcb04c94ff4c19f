//! What was trained today, and how it is typed.

use std::collections::BTreeMap;

use crate::body::{Effort, Muscle, muscles_named};

/// How hard each muscle was trained today.
pub type Trained = BTreeMap<Muscle, Effort>;

/// How hard a muscle was trained where nothing is said: properly.
const USUAL_EFFORT: i64 = 2;

/// Reads `hamstrings:3,glutes:2,chest`: muscles or groups, each with 1 to 3; the harder one counts.
///
/// # Errors
/// Says which word is wrong and what would be right.
pub fn trained_from(text: &str) -> Result<Trained, String> {
    let mut trained = Trained::new();
    for part in text.split(',').map(str::trim).filter(|part| !part.is_empty()) {
        let (word, effort) = match part.split_once(':') {
            Some((word, number)) => (word, whole(number)?),
            None => (part, USUAL_EFFORT),
        };
        let effort = Effort::new(effort).map_err(|error| format!("`{part}`: {error}"))?;
        for muscle in muscles_named(word).map_err(|error| error.to_string())? {
            let kept = trained.entry(muscle).or_insert(effort);
            *kept = effort.max(*kept);
        }
    }
    if trained.is_empty() {
        return Err("no muscle named; write it like `hamstrings:3,glutes:2` or `lower-body`".to_owned());
    }
    Ok(trained)
}

fn whole(text: &str) -> Result<i64, String> {
    text.trim().parse().map_err(|_wrong| format!("training effort `{text}` is not a whole number, 1, 2 or 3"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_and_muscles_join_and_the_harder_effort_counts() {
        let today = trained_from("legs:1, hamstrings:3,biceps").unwrap();
        assert_eq!(today[&Muscle::Hamstrings].get(), 3);
        assert_eq!(today[&Muscle::Soleus].get(), 1);
        assert_eq!(today[&Muscle::Biceps].get(), 2);
        assert_eq!(trained_from("hamstrings:3,legs:1").unwrap()[&Muscle::Hamstrings].get(), 3);
    }

    #[test]
    fn each_wrong_word_is_named_with_what_would_be_right() {
        for (text, said) in [
            ("hamstrngs:3", "unknown muscle `hamstrngs`; did you mean `hamstrings`?"),
            ("glutes:x", "training effort `x` is not a whole number, 1, 2 or 3"),
            (" , ", "no muscle named; write it like `hamstrings:3,glutes:2` or `lower-body`"),
        ] {
            assert_eq!(trained_from(text), Err(said.to_owned()));
        }
        assert!(trained_from("glutes:9").unwrap_err().contains("training effort is 9, but must be 1 to 3"));
    }
}
