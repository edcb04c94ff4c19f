//! When somebody was born, as far as it was told: a day, a month, or a year alone.
//!
//! A year alone stays a year. Whatever protects the young takes the youngest age that it can mean.

use std::fmt;
use std::str::FromStr;

use chrono::{Datelike as _, NaiveDate};

/// A birth as it was told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Birth {
    // Invariant: the earliest and the latest day that it can mean; one and the same day, the first and the last of
    // one month, or of one year.
    first: NaiveDate,
    last: NaiveDate,
}

/// The years in which a living client can have been born.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=9999;

/// A word that is no birth.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{}` is no day of birth: write it like 1984-05-31, or 1984-05 or 1984 if no more is known", .found.escape_debug())]
pub struct BadBirth {
    found: String,
}

impl Birth {
    /// A day of birth.
    pub const fn on(day: NaiveDate) -> Self {
        Self { first: day, last: day }
    }

    /// Nothing but the month of birth; nothing if there is no such month.
    pub fn in_month(year: i32, month: u32) -> Option<Self> {
        let first = NaiveDate::from_ymd_opt(year, month, 1).filter(|day| YEARS.contains(&day.year()))?;
        let last = first.checked_add_months(chrono::Months::new(1))?.pred_opt()?;
        Some(Self { first, last })
    }

    /// Nothing but the year of birth; nothing if it cannot be one.
    pub fn in_year(year: i32) -> Option<Self> {
        let first = NaiveDate::from_ymd_opt(year, 1, 1).filter(|day| YEARS.contains(&day.year()))?;
        Some(Self { first, last: NaiveDate::from_ymd_opt(year, 12, 31)? })
    }

    /// The day of birth, if it is known.
    pub fn day(self) -> Option<NaiveDate> {
        (self.first == self.last).then_some(self.first)
    }

    /// The year of birth.
    pub fn year(self) -> i32 {
        self.first.year()
    }

    /// The month of birth, if it is known.
    pub fn month(self) -> Option<u32> {
        (self.first.month() == self.last.month()).then(|| self.first.month())
    }

    /// The earliest day that it can mean.
    pub const fn earliest(self) -> NaiveDate {
        self.first
    }

    /// The latest day that it can mean.
    pub const fn latest(self) -> NaiveDate {
        self.last
    }

    /// The youngest age in whole years that it can mean on a day; none before the latest day that it can mean.
    pub fn youngest(self, on: NaiveDate) -> Option<u32> {
        // Born in the year that is running: as young as can be.
        on.years_since(self.last).or_else(|| (on >= self.first).then_some(0))
    }

    /// The oldest age in whole years that it can mean on a day.
    pub fn oldest(self, on: NaiveDate) -> Option<u32> {
        on.years_since(self.first)
    }
}

/// As it stands in a file: `1984-05-31`, `1984-05`, `1984`.
impl fmt::Display for Birth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match (self.day(), self.month()) {
            (Some(day), _) => day.to_string(),
            (None, Some(month)) => format!("{:04}-{month:02}", self.year()),
            (None, None) => format!("{:04}", self.year()),
        };
        f.pad(&text)
    }
}

impl FromStr for Birth {
    type Err = BadBirth;

    fn from_str(text: &str) -> Result<Self, BadBirth> {
        let text = text.trim();
        let digits = |part: &str, count: usize| -> Option<u32> {
            let plain = part.len() == count && part.bytes().all(|byte| byte.is_ascii_digit());
            plain.then(|| part.parse().ok()).flatten()
        };
        let parts: Vec<&str> = text.split('-').collect();
        let found = match *parts.as_slice() {
            [year] => digits(year, 4).and_then(|year| Self::in_year(i32::try_from(year).ok()?)),
            [year, month] => digits(year, 4)
                .zip(digits(month, 2))
                .and_then(|(year, month)| Self::in_month(i32::try_from(year).ok()?, month)),
            [year, month, day] => digits(year, 4)
                .zip(digits(month, 2))
                .zip(digits(day, 2))
                .and_then(|((year, month), day)| {
                    NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)
                })
                .filter(|day| YEARS.contains(&day.year()))
                .map(Self::on),
            _ => None,
        };
        found.ok_or_else(|| BadBirth { found: text.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    #[test]
    fn a_year_alone_is_taken_for_the_youngest_that_it_can_mean() {
        let born: Birth = "2008".parse().unwrap();
        assert_eq!(born.youngest(day("2026-11-20")), Some(17), "born on the last of December, perhaps");
        assert_eq!(born.oldest(day("2026-11-20")), Some(18));
        assert_eq!(born.youngest(day("2026-12-31")), Some(18));
        assert_eq!(born.day(), None);
        assert_eq!(born.youngest(day("2008-03-01")), Some(0));
        assert_eq!(born.youngest(day("2007-03-01")), None);
        let month: Birth = "2008-11".parse().unwrap();
        assert_eq!(month.youngest(day("2026-11-29")), Some(17));
        assert_eq!(month.youngest(day("2026-11-30")), Some(18));
        let exact: Birth = "2008-11-20".parse().unwrap();
        assert_eq!(exact.youngest(day("2026-11-20")), Some(18));
        assert_eq!(exact.oldest(day("2026-11-20")), Some(18));
    }

    #[test]
    fn what_was_told_is_written_and_no_more() {
        for text in ["1984-05-31", "1984-05", "1984", "2000-02", "2000-02-29", "1984-12"] {
            assert_eq!(text.parse::<Birth>().expect(text).to_string(), text);
        }
        for text in ["84", "1984-5", "31.5.1984", "1984-13", "1984-02-30", "1899", "", "1984-05-31-1", "+984"]
        {
            text.parse::<Birth>().expect_err(text);
        }
    }
}
