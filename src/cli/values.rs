//! Words on the command line, read into values that cannot be wrong.

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::{Effort, Minutes, Muscle, Side, Unit, muscles_named};
use crate::catalogue::Equipment;
use crate::client::Trained;
use crate::names::UnknownName;

/// How hard a muscle was trained where nothing is said: properly.
const USUAL_EFFORT: i64 = 2;

/// Reads `hamstrings:3,glutes:2,chest`: muscles or groups, each with 1 to 3; the harder one counts.
pub(super) fn trained(text: &str) -> Result<Trained, String> {
    let mut trained = Trained::new();
    for part in text.split(',').map(str::trim).filter(|part| !part.is_empty()) {
        let (word, effort) = match part.split_once(':') {
            Some((word, number)) => (word, whole(number, "training effort", "1, 2 or 3")?),
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

/// Reads a muscle or a group.
pub(super) fn muscles(text: &str) -> Result<Muscles, String> {
    muscles_named(text).map(Muscles).map_err(|error| error.to_string())
}

/// One or more muscles; a type of its own, so that it counts as one argument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Muscles(pub(super) Vec<Muscle>);

/// Reads whole minutes within their bounds.
pub(super) fn minutes(text: &str) -> Result<Minutes, String> {
    Minutes::new(whole(text, "minutes", "such as 10")?).map_err(|error| error.to_string())
}

/// What is at hand; a type of its own, so that it counts as one argument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct AtHand(pub(super) Vec<Equipment>);

/// Reads `chair,strap`; nothing for an empty word.
pub(super) fn equipment(text: &str) -> Result<AtHand, String> {
    let words = text.split(',').map(str::trim).filter(|word| !word.is_empty());
    let things = words.map(|word| word.parse().map_err(|error: UnknownName| error.to_string()));
    things.collect::<Result<_, _>>().map(AtHand)
}

/// Reads `yes` or `no`.
pub(super) fn yes_or_no(text: &str) -> Result<bool, String> {
    match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("say yes or no".to_owned()),
    }
}

/// Reads a muscle on a side: `hamstrings:right`.
pub(super) fn unit(text: &str) -> Result<Unit, String> {
    let (muscle, side) = text
        .split_once(':')
        .ok_or_else(|| format!("`{text}` names no side; write it like `hamstrings:right`"))?;
    let muscle: Muscle = muscle.parse().map_err(|error: UnknownName| error.to_string())?;
    let side: Side = side.parse().map_err(|error: UnknownName| error.to_string())?;
    Ok(Unit { muscle, side })
}

/// Reads a date as `2026-11-25`.
pub(super) fn date(text: &str) -> Result<NaiveDate, String> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .ok()
        .filter(|date| (1900..=2200).contains(&chrono::Datelike::year(date)))
        .ok_or_else(|| "not a date; write it like 1984-05-31, from 1900 to 2200".to_owned())
}

/// Reads a moment with its offset, as `2026-11-25T18:40:00+01:00`.
pub(super) fn moment(text: &str) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(text)
        .map_err(|error| format!("{error}; write it like 2026-11-25T18:40:00+01:00"))
}

fn whole(text: &str, what: &str, such_as: &str) -> Result<i64, String> {
    text.trim().parse().map_err(|_wrong| format!("{what} `{text}` is not a whole number, {such_as}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_and_muscles_join_and_the_harder_effort_counts() {
        let today = trained("legs:1, hamstrings:3,biceps").unwrap();
        assert_eq!(today[&Muscle::Hamstrings].get(), 3);
        assert_eq!(today[&Muscle::Soleus].get(), 1);
        assert_eq!(today[&Muscle::Biceps].get(), 2);
        assert_eq!(trained("hamstrings:3,legs:1").unwrap()[&Muscle::Hamstrings].get(), 3);
    }

    #[test]
    fn each_wrong_word_is_named_with_what_would_be_right() {
        for (text, said) in [
            ("hamstrngs:3", "unknown muscle `hamstrngs`; did you mean `hamstrings`?"),
            ("glutes:x", "training effort `x` is not a whole number, 1, 2 or 3"),
            (" , ", "no muscle named; write it like `hamstrings:3,glutes:2` or `lower-body`"),
        ] {
            assert_eq!(trained(text), Err(said.to_owned()));
        }
        assert!(trained("glutes:9").unwrap_err().contains("training effort is 9, but must be 1 to 3"));
        assert_eq!(minutes("ten"), Err("minutes `ten` is not a whole number, such as 10".to_owned()));
        for wrong in ["0", "-1", "9999", "99999999999999999999"] {
            assert!(minutes(wrong).is_err(), "{wrong}");
        }
        assert!(unit("hamstrings").unwrap_err().contains("names no side"));
        assert!(date("0000-01-01").is_err());
    }
}
