//! Days in what is typed: `2026`, `2026-10`, `2026-10-03`, `since 2026-03`, `since march`, `in october`, `oct`, `last month`.

use chrono::{Datelike, Days, Months, NaiveDate};

/// A stretch of days and the words that are left.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct When {
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    /// What was typed besides.
    pub words: String,
}

impl When {
    /// Reads what was typed; what is no day stays a word, and so does a month that `is_name` knows as something else.
    pub(super) fn read(typed: &str, today: NaiveDate, is_name: impl Fn(&str) -> bool) -> Self {
        let mut when = Self::default();
        let mut words = Vec::new();
        let mut typed = typed.split_whitespace().peekable();
        while let Some(word) = typed.next() {
            let lead = ["since", "in", "last"].into_iter().find(|lead| word.eq_ignore_ascii_case(lead));
            let span = match (lead, typed.peek()) {
                (Some("last"), Some(next)) => last_span(next, today),
                (Some(_), Some(next)) => number_span(next).or_else(|| month_span(next, today)),
                _ => number_span(word).or_else(|| month_span(word, today).filter(|_| !is_name(word))),
            };
            match (lead, span) {
                (Some("since"), Some((from, _))) => when.from = Some(from),
                (_, Some((from, to))) => (when.from, when.to) = (Some(from), Some(to)),
                // A day that is still being typed is no name of a stretch.
                (Some(_), None) if typed.peek().is_none() => {}
                (_, None) => words.push(word),
            }
            if lead.is_some() && span.is_some() {
                typed.next();
            }
        }
        when.words = words.join(" ");
        when
    }

    /// Whether a day is meant.
    pub(super) fn covers(&self, day: NaiveDate) -> bool {
        self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to)
    }

    /// The last day that is meant, at most `latest`.
    pub(super) fn last_day(&self, latest: NaiveDate) -> NaiveDate {
        self.to.map_or(latest, |to| to.min(latest))
    }
}

/// The days of `2026`, `2026-10` or `2026-10-03`.
fn number_span(word: &str) -> Option<(NaiveDate, NaiveDate)> {
    let mut parts = word.split('-');
    let year = parts.next().filter(|year| year.len() == 4)?.parse().ok()?;
    let month: Option<u32> = parts.next().map(str::parse).transpose().ok()?;
    let day: Option<u32> = parts.next().map(str::parse).transpose().ok()?;
    if parts.next().is_some() {
        return None;
    }
    let from = NaiveDate::from_ymd_opt(year, month.unwrap_or(1), day.unwrap_or(1))?;
    let months = if month.is_some() { 1 } else { 12 };
    let to = if day.is_some() { from } else { last_of(from, months)? };
    Some((from, to))
}

/// The days of the month or the year before this one.
fn last_span(word: &str, today: NaiveDate) -> Option<(NaiveDate, NaiveDate)> {
    let (month, months) = match word.to_lowercase().as_str() {
        "month" => (today.month(), 1),
        "year" => (1, 12),
        _ => return None,
    };
    let from = NaiveDate::from_ymd_opt(today.year(), month, 1)?.checked_sub_months(Months::new(months))?;
    Some((from, last_of(from, months)?))
}

/// The days of the latest month of that name; three letters are enough.
fn month_span(word: &str, today: NaiveDate) -> Option<(NaiveDate, NaiveDate)> {
    const NAMES: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let word = word.to_lowercase();
    let index = NAMES.iter().position(|name| word.len() >= 3 && name.starts_with(&word))?;
    let month = u32::try_from(index).ok()? + 1;
    let year = if month > today.month() { today.year() - 1 } else { today.year() };
    let from = NaiveDate::from_ymd_opt(year, month, 1)?;
    Some((from, last_of(from, 1)?))
}

fn last_of(from: NaiveDate, months: u32) -> Option<NaiveDate> {
    from.checked_add_months(Months::new(months))?.checked_sub_days(Days::new(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a date")
    }

    fn read(typed: &str) -> When {
        When::read(typed, day("2026-11-25"), |word| word == "march")
    }

    #[test]
    fn days_months_and_years_are_understood() {
        for (typed, first, last) in [
            ("2026", "2026-01-01", "2026-12-31"),
            ("2026-02", "2026-02-01", "2026-02-28"),
            ("2026-10-03", "2026-10-03", "2026-10-03"),
            ("in oct", "2026-10-01", "2026-10-31"),
            ("in december", "2025-12-01", "2025-12-31"),
            ("October", "2026-10-01", "2026-10-31"),
            ("oct", "2026-10-01", "2026-10-31"),
            ("in march", "2026-03-01", "2026-03-31"),
            ("last month", "2026-10-01", "2026-10-31"),
            ("last year", "2025-01-01", "2025-12-31"),
        ] {
            let when = read(typed);
            assert_eq!((when.from, when.to), (Some(day(first)), Some(day(last))), "{typed}");
            assert!(when.words.is_empty());
        }
        let since = read("ham since march left");
        assert_eq!((since.from, since.to), (Some(day("2026-03-01")), None));
        assert_eq!(since.words, "ham left");
        assert!(since.covers(day("2026-03-01")) && !since.covers(day("2026-02-28")));
    }

    #[test]
    fn what_is_no_day_is_a_word() {
        // A stretch of the test is called so.
        assert_eq!(read("march oct").words, "march");
        for typed in ["neck", "2026-13", "march", "in front", "20261"] {
            assert_eq!(read(typed).words, typed);
        }
        assert_eq!(read("neck since").words, "neck");
    }
}
