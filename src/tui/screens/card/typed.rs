//! A card's fields read as they were typed.

use chrono::NaiveDate;

use crate::body::Kilograms;
use crate::client::Birth;

/// A birth as it was typed: a day, a month, a year alone, or nothing.
pub(super) fn born_of(typed: &str) -> Result<Option<Birth>, String> {
    let typed = typed.trim();
    if typed.is_empty() {
        Ok(None)
    } else {
        // A day in words is taken as it is said: `2 May 1991`.
        let in_words = NaiveDate::parse_from_str(typed, "%d %B %Y").map(|day| day.to_string());
        let born = in_words.as_deref().unwrap_or(typed).parse::<Birth>().ok();
        born.map(Some).ok_or_else(|| format!("`{typed}` is no day of birth: such as 1984-05-31, or the year"))
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
        for told in ["31 May 1984", "31 may 1984"] {
            assert_eq!(born_of(told), Ok("1984-05-31".parse().ok()), "{told}");
        }
        assert_eq!(born_of(" "), Ok(None));
        assert!(born_of("31 02 1990").is_err() && born_of("31 May 84").is_err());
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
