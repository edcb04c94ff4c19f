//! Who is likely to be on the mat on a day: by usual times, where they are kept, else by the days of late.

use chrono::{DateTime, Datelike as _, Days, FixedOffset, NaiveDate, NaiveTime};

use super::usual::UsualTime;
use crate::names::named;

/// Weeks without a session after which somebody without usual times is overdue; who has stayed away for longer does not
/// come any more (practice).
const WEEKS_AWAY: std::ops::RangeInclusive<i64> = 2..=13;
/// Days for which a session says that its client may come on that day of the week again (practice).
const FOUR_WEEKS: i64 = 28;

named! {
    /// Why somebody is, or is not, expected on a day; in the order of a list.
    pub enum Due("reason") {
        /// A session was cut off: it is to be taken up or closed.
        CutOff = "cut-off",
        /// Usually comes on this day of the week.
        UsualTime = "usual-time",
        /// Was here on this day of the week within four weeks.
        SameWeekday = "same-weekday",
        /// Did not come on the last usual day, or has been away for two weeks and more.
        Overdue = "overdue",
        /// Nothing says so.
        NotExpected = "not-expected",
        /// Was here on this day already.
        Done = "done",
    }
}

/// Whether somebody is expected on a day, and at what time of day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Expected {
    /// Why.
    pub due: Due,
    /// When, as far as it is known.
    pub time: Option<NaiveTime>,
}

impl Expected {
    /// Judges by the youngest session, whether that was cut off, and the usual times. Whoever has usual times is
    /// expected at those alone.
    pub fn of(
        last: Option<DateTime<FixedOffset>>,
        was_cut_off: bool,
        times: &[UsualTime],
        today: NaiveDate,
    ) -> Self {
        let last_day = last.map(|at| at.date_naive());
        let usual = times.iter().filter(|usual| usual.day == today.weekday());
        let usual = usual.min_by_key(|usual| usual.time.unwrap_or(NaiveTime::MIN));
        let is_recent = |day: &NaiveDate| {
            day.weekday() == today.weekday() && (1..=FOUR_WEEKS).contains(&(today - *day).num_days())
        };
        if was_cut_off {
            Self { due: Due::CutOff, time: None }
        } else if last_day == Some(today) {
            Self { due: Due::Done, time: None }
        } else if let Some(usual) = usual {
            Self { due: Due::UsualTime, time: usual.time }
        } else if times.is_empty() && last_day.as_ref().is_some_and(is_recent) {
            Self { due: Due::SameWeekday, time: last.map(|at| at.time()) }
        } else if last_day.is_some_and(|last| is_overdue(last, times, today)) {
            Self { due: Due::Overdue, time: None }
        } else {
            Self { due: Due::NotExpected, time: None }
        }
    }

    /// Whether somebody is to be thought of on that day.
    pub const fn is_due(self) -> bool {
        matches!(self.due, Due::CutOff | Due::UsualTime | Due::SameWeekday | Due::Overdue)
    }
}

/// The last day before this one on which a client with such times usually comes.
pub fn last_usual_day(times: &[UsualTime], today: NaiveDate) -> Option<NaiveDate> {
    let on_this = |day: NaiveDate| times.iter().any(|usual| usual.day == day.weekday());
    (1..=7).filter_map(|days| today.checked_sub_days(Days::new(days))).find(|day| on_this(*day))
}

fn is_overdue(last: NaiveDate, times: &[UsualTime], today: NaiveDate) -> bool {
    let weeks = (today - last).num_days() / 7;
    match last_usual_day(times, today) {
        Some(usual) => last < usual && weeks <= *WEEKS_AWAY.end(),
        None => WEEKS_AWAY.contains(&weeks),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_times_go_before_the_days_of_late() {
        // A Wednesday.
        let today: NaiveDate = "2026-11-25".parse().unwrap();
        let at = |text: &str| Some(DateTime::parse_from_rfc3339(text).unwrap());
        let usual =
            |words: &[&str]| words.iter().map(|word| word.parse().unwrap()).collect::<Vec<UsualTime>>();
        let last_week = at("2026-11-18T18:40:00+01:00");
        let due = |last, cut_off, times: &[&str]| Expected::of(last, cut_off, &usual(times), today).due;
        assert_eq!(due(last_week, true, &[]), Due::CutOff);
        assert_eq!(due(last_week, false, &[]), Due::SameWeekday);
        assert_eq!(due(at("2026-10-28T18:40:00+01:00"), false, &[]), Due::SameWeekday);
        assert_eq!(due(at("2026-10-21T18:40:00+02:00"), false, &[]), Due::Overdue, "five weeks ago");
        assert_eq!(due(at("2026-11-19T18:40:00+01:00"), false, &[]), Due::NotExpected, "a Thursday");
        assert_eq!(due(last_week, false, &["thu 18:00"]), Due::Overdue, "comes on Thursdays now");
        assert_eq!(due(at("2026-06-03T18:40:00+02:00"), false, &[]), Due::NotExpected, "comes no more");
        assert_eq!(due(None, false, &["wed"]), Due::UsualTime);
        assert_eq!(due(at("2026-11-25T08:00:00+01:00"), false, &["wed"]), Due::Done);
        assert_eq!(due(None, false, &[]), Due::NotExpected);
        let twice = Expected::of(None, false, &usual(&["wed 18:00", "wed 07:30", "tue 06:00"]), today);
        assert_eq!(twice.time, NaiveTime::from_hms_opt(7, 30, 0));
    }
}
