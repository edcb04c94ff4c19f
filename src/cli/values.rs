//! Words on the command line, read into values that cannot be wrong.

use std::str::FromStr;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::{Kilograms, Minutes, Muscle, muscles_named};
use crate::catalogue::Equipment;
use crate::client::{BadUsualTime, SoreRegion, UsualTime};
use crate::names::UnknownName;

/// Reads a muscle or a group.
pub(super) fn muscles(text: &str) -> Result<Muscles, String> {
    muscles_named(text).map(Muscles).map_err(|error| error.to_string())
}

/// One or more muscles; a type of its own, so that it counts as one argument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Muscles(pub(super) Vec<Muscle>);

/// Reads whole minutes within their bounds.
pub(super) fn minutes(text: &str) -> Result<Minutes, String> {
    let whole = text.trim().parse();
    let whole = whole.map_err(|_wrong| format!("minutes `{text}` is not a whole number, such as 10"))?;
    Minutes::new(whole).map_err(|error| error.to_string())
}

/// Reads what somebody weighs, in whole kilograms within their bounds.
pub(super) fn kilograms(text: &str) -> Result<Kilograms, String> {
    let whole = text.trim().trim_end_matches("kg").trim_end().parse();
    let whole = whole.map_err(|_wrong| format!("`{text}` is not whole kilograms, such as 82"))?;
    Kilograms::new(whole).map_err(|error| error.to_string())
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

/// Where the trainer is sore; a type of its own, so that it counts as one argument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct SorePlaces(pub(super) Vec<SoreRegion>);

/// Reads `knee,back`; nothing for an empty word.
pub(super) fn sore(text: &str) -> Result<SorePlaces, String> {
    let words = text.split(',').map(str::trim).filter(|word| !word.is_empty());
    let places = words.map(|word| word.parse().map_err(|error: UnknownName| error.to_string()));
    places.collect::<Result<_, _>>().map(SorePlaces)
}

/// One of the words of a list, which help shows and shells complete.
macro_rules! choice {
    ($list:ty) => {
        clap::builder::TypedValueParser::try_map(
            clap::builder::PossibleValuesParser::new(<$list>::ALL.iter().map(|one| one.id())),
            |word: String| word.parse::<$list>(),
        )
    };
}
pub(super) use choice;

/// A value, or with an empty word that there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct OrNothing<T>(pub(super) Option<T>);

/// Reads a value, or an empty word.
pub(super) fn told<T: FromStr<Err: ToString>>(text: &str) -> Result<OrNothing<T>, String> {
    if text.trim().is_empty() {
        return Ok(OrNothing(None));
    }
    text.trim().parse().map(|value| OrNothing(Some(value))).map_err(|error: T::Err| error.to_string())
}

/// Reads what somebody weighs, or an empty word.
pub(super) fn told_kilograms(text: &str) -> Result<OrNothing<Kilograms>, String> {
    if text.trim().is_empty() {
        Ok(OrNothing(None))
    } else {
        kilograms(text).map(|kilograms| OrNothing(Some(kilograms)))
    }
}

/// When a client usually comes; a type of its own, so that it counts as one argument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct UsualTimes(pub(super) Vec<UsualTime>);

/// Reads `tue 18:30, fri`; nothing for an empty word.
pub(super) fn usual_times(text: &str) -> Result<UsualTimes, String> {
    let words = text.split(',').map(str::trim).filter(|word| !word.is_empty());
    let times = words.map(|word| word.parse().map_err(|error: BadUsualTime| error.to_string()));
    times.collect::<Result<_, _>>().map(UsualTimes)
}

/// Reads who it was that cleared something: nobody clears nothing.
pub(super) fn somebody(text: &str) -> Result<String, String> {
    let who = text.trim();
    if who.is_empty() {
        return Err("say who cleared it, such as \"her doctor, by phone\"".to_owned());
    }
    Ok(who.to_owned())
}

/// Reads `yes` or `no`.
pub(super) fn yes_or_no(text: &str) -> Result<bool, String> {
    match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err("say yes or no".to_owned()),
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_wrong_word_is_named_with_what_would_be_right() {
        assert_eq!(minutes("ten"), Err("minutes `ten` is not a whole number, such as 10".to_owned()));
        for wrong in ["0", "-1", "9999", "99999999999999999999"] {
            assert!(minutes(wrong).is_err(), "{wrong}");
        }
        assert!(date("0000-01-01").is_err());
    }
}
