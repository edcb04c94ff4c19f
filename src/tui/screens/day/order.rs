//! Who stands where in the list of the day, and why.

use chrono::{Datelike, NaiveDate, NaiveTime};

use crate::client::{Due, last_usual_day};
use crate::store::RosterEntry;
use crate::tui::words::ago;

/// A part of the list, in its order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum DayPart {
    /// A session was cut off.
    CutOff,
    /// Usually here on this day of the week, or was of late.
    Today,
    /// Did not come when they usually do, or for long.
    Due,
    /// Anybody else.
    Others,
    /// Was here today already.
    Done,
}

/// A client in the list.
#[derive(Debug, Clone, Copy)]
pub(super) struct Listed<'a> {
    pub(super) part: DayPart,
    /// The time of day at which the client is expected.
    pub(super) time: Option<NaiveTime>,
    pub(super) entry: &'a RosterEntry,
}

impl DayPart {
    pub(super) const fn title(self) -> &'static str {
        match self {
            Self::CutOff => "cut off, to be taken up or closed",
            Self::Today => "Today",
            Self::Due => "Due",
            Self::Others => "Everybody else",
            Self::Done => "Done today",
        }
    }
}

impl<'a> Listed<'a> {
    pub(super) fn of(entry: &'a RosterEntry, today: NaiveDate) -> Self {
        let expected = entry.expected(today);
        let part = match expected.due {
            Due::CutOff => DayPart::CutOff,
            Due::UsualTime | Due::SameWeekday => DayPart::Today,
            Due::Overdue => DayPart::Due,
            Due::NotExpected => DayPart::Others,
            Due::Done => DayPart::Done,
        };
        let time = if part == DayPart::Done { entry.last.map(|at| at.time()) } else { expected.time };
        Self { part, time, entry }
    }

    /// The parts in their order; today by the time of day, the others by who was here last.
    pub(super) fn key(&self) -> (DayPart, Option<NaiveTime>, std::cmp::Reverse<Option<i64>>, String) {
        let recent = std::cmp::Reverse(self.entry.last.map(|at| at.timestamp()));
        (self.part, self.time, recent, self.entry.name.to_lowercase())
    }

    /// Why the client stands there.
    pub(super) fn why(&self, today: NaiveDate) -> String {
        let entry = self.entry;
        if entry.is_archived(today) {
            return "comes no more".to_owned();
        }
        let last = entry.last.map(|at| at.date_naive());
        let when = last.map_or("new".to_owned(), |day| ago(day, today));
        match (self.part, last_usual_day(&entry.times, today), last) {
            (DayPart::Due, Some(usual), _) => format!("usually {}, {when}", usual.weekday()),
            (DayPart::Due, None, Some(last)) => {
                format!("{} weeks away", today.signed_duration_since(last).num_days() / 7)
            }
            _ => when,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::client::ClientId;

    fn entry(last: Option<&str>, times: &[&str]) -> RosterEntry {
        RosterEntry {
            id: ClientId::new("nora").unwrap(),
            name: "Nora".to_owned(),
            last: last.map(|day| format!("{day}T18:00:00+01:00").parse().unwrap()),
            unfinished: false,
            conditions: 0,
            times: times.iter().map(|time| time.parse().unwrap()).collect(),
            archived: None,
        }
    }

    #[test]
    fn who_did_not_come_as_usual_is_due_with_the_reason() {
        // A Friday.
        let today: NaiveDate = "2026-11-27".parse().unwrap();
        for (last, times, part, why) in [
            (Some("2026-11-16"), &["mon 18:00"][..], DayPart::Due, "usually Mon, 11 days ago"),
            (Some("2026-11-23"), &["mon 18:00"], DayPart::Others, "4 days ago"),
            (Some("2026-11-20"), &["fri 17:30"], DayPart::Today, "7 days ago"),
            (Some("2026-11-20"), &[], DayPart::Today, "7 days ago"),
            (Some("2026-11-04"), &[], DayPart::Due, "3 weeks away"),
            (Some("2026-11-19"), &[], DayPart::Others, "8 days ago"),
            (Some("2026-06-01"), &[], DayPart::Others, "5 months ago"),
            (Some("2026-11-27"), &["fri"], DayPart::Done, "today"),
            (None, &[], DayPart::Others, "new"),
        ] {
            let entry = entry(last, times);
            let listed = Listed::of(&entry, today);
            assert_eq!((listed.part, listed.why(today).as_str()), (part, why), "{last:?} {times:?}");
        }
    }
}
