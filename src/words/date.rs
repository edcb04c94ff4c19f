//! Days and times as they are read on paper.

use chrono::{DateTime, Datelike as _, FixedOffset, NaiveDate, NaiveTime};

/// A day: `27 November 2026`.
pub fn day(on: NaiveDate) -> String {
    on.format("%-d %B %Y").to_string()
}

/// A day in a table: `27 Nov 2026`.
pub fn short_day(on: NaiveDate) -> String {
    on.format("%-d %b %Y").to_string()
}

/// A day of which the year is known: `27 Nov`.
pub fn day_of_year(on: NaiveDate) -> String {
    on.format("%-d %b").to_string()
}

/// A month: `Nov`.
pub fn short_month(on: NaiveDate) -> String {
    on.format("%b").to_string()
}

/// Days in few words: the year stands where it changes and behind the last.
pub fn days(all: &[NaiveDate]) -> String {
    let named = all.iter().enumerate().map(|(index, on)| {
        let next = all.get(index + 1);
        if next.is_some_and(|next| next.year() == on.year()) { day_of_year(*on) } else { short_day(*on) }
    });
    named.collect::<Vec<_>>().join(", ")
}

/// A time of day: `07:50`.
pub fn time_of_day(at: DateTime<FixedOffset>) -> String {
    at.format("%H:%M").to_string()
}

/// A time that is the same on many days: `18:30`.
pub fn clock(time: NaiveTime) -> String {
    time.format("%H:%M").to_string()
}

/// A moment: `Tuesday 17 November 2026, 07:50`.
pub fn moment(at: DateTime<FixedOffset>) -> String {
    at.format("%A %-d %B %Y, %H:%M").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_say_their_year_where_it_changes() {
        let on = |text: &str| text.parse().unwrap();
        let all = [on("2025-12-02"), on("2026-01-16"), on("2026-02-17")];
        assert_eq!(days(&all), "2 Dec 2025, 16 Jan, 17 Feb 2026");
        assert_eq!(days(&[]), "");
        assert_eq!(moment("2026-11-17T07:50:00+01:00".parse().unwrap()), "Tuesday 17 November 2026, 07:50");
    }
}
