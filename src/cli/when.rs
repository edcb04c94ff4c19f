//! A moment as a person writes it: with its offset, or as the clock on the wall showed it that day.

use chrono::{DateTime, Days, FixedOffset, MappedLocalTime, NaiveDateTime, NaiveTime};

/// The offsets that the machine's time zone has at a reading of the wall's clock: none where the clock was put
/// forward over it, two where it was put back over it.
pub type Zone = fn(&NaiveDateTime) -> MappedLocalTime<FixedOffset>;

/// A moment, or a reading of the clock on this machine's wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum When {
    /// With its offset.
    Exact(DateTime<FixedOffset>),
    /// Without.
    Local(NaiveDateTime),
    /// So many days before today, at that time or at the present one.
    DaysAgo(u64, Option<NaiveTime>),
}

/// Reads a moment with or without its offset: `2026-11-25T18:40`, `2026-11-25 18:40:00+01:00`, `18:40`, `yesterday`,
/// `yesterday 18:40`.
pub(super) fn when(text: &str) -> Result<When, String> {
    let text = text.trim();
    let (day, clock) = match text.split_once([' ', 'T']).unwrap_or((text, "")) {
        ("today", clock) => (Some(0), clock),
        ("yesterday", clock) => (Some(1), clock),
        _ => (None, text),
    };
    let time = ["%H:%M:%S", "%H:%M"].iter().find_map(|form| NaiveTime::parse_from_str(clock, form).ok());
    match (day, time) {
        (Some(days), None) if clock.is_empty() => return Ok(When::DaysAgo(days, None)),
        (Some(_), None) => {}
        (day, Some(time)) => return Ok(When::DaysAgo(day.unwrap_or(0), Some(time))),
        (None, None) => {
            let text = text.replacen(' ', "T", 1);
            if let Ok(moment) = DateTime::parse_from_rfc3339(&text) {
                return Ok(When::Exact(moment));
            }
            let forms = ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M"];
            if let Some(wall) = forms.iter().find_map(|form| NaiveDateTime::parse_from_str(&text, form).ok())
            {
                return Ok(When::Local(wall));
            }
        }
    }
    Err("not a date and time; write it like 2026-11-25T18:40, 18:40 or `yesterday 18:40`".to_owned())
}

impl When {
    /// What the clock on the wall showed.
    pub(super) fn wall(self, now: DateTime<FixedOffset>) -> NaiveDateTime {
        match self {
            Self::Exact(moment) => moment.naive_local(),
            Self::Local(wall) => wall,
            Self::DaysAgo(days, time) => {
                let day = now.date_naive().checked_sub_days(Days::new(days)).unwrap_or(now.date_naive());
                day.and_time(time.unwrap_or(now.time()))
            }
        }
    }

    /// The moment. Where no offset was given, it is the one that the zone has on that day, not today's; where `now` was
    /// taken from elsewhere than this machine, its own offset.
    ///
    /// # Errors
    /// The clock showed that time twice or never, since it was put back or forward.
    pub(super) fn beside(
        self,
        now: DateTime<FixedOffset>,
        zone: Zone,
    ) -> Result<DateTime<FixedOffset>, String> {
        let wall = match self {
            Self::Exact(moment) => return Ok(moment),
            _ => self.wall(now),
        };
        let own = *now.offset();
        let zone_of_now = zone(&now.naive_local());
        let is_here = [zone_of_now.earliest(), zone_of_now.latest()].contains(&Some(own));
        match if is_here { zone(&wall) } else { MappedLocalTime::Single(own) } {
            MappedLocalTime::Single(offset) => {
                wall.and_local_timezone(offset).single().ok_or_else(String::new)
            }
            MappedLocalTime::Ambiguous(one, other) => {
                // Systems give them in either order.
                let mut both = [one, other];
                both.sort_by_key(FixedOffset::utc_minus_local);
                let [first, second] = both;
                Err(format!(
                    "the clock showed {} twice that day; write which: {}{first} or {}{second}",
                    wall.format("%H:%M"),
                    wall.format("%Y-%m-%dT%H:%M"),
                    wall.format("%Y-%m-%dT%H:%M"),
                ))
            }
            MappedLocalTime::None => Err(format!(
                "the clock never showed {} that day, it was put forward; write another time",
                wall.format("%H:%M")
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Datelike as _, NaiveDate, Timelike as _, Weekday};

    fn moment(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    fn hours(hours: i32) -> FixedOffset {
        FixedOffset::east_opt(hours * 3600).unwrap()
    }

    /// The change-over days of the European Union (Directive 2000/84/EC, articles 2 and 3): 01:00 UTC on the last
    /// Sundays of March and October. Here in the zone one hour east.
    fn berlin(wall: &NaiveDateTime) -> MappedLocalTime<FixedOffset> {
        let change = |month, hour| last_sunday(wall.year(), month).and_hms_opt(hour, 0, 0).unwrap();
        between(wall, change(3, 2), change(10, 3), hours(1), hours(2))
    }

    /// The same as some systems tell it.
    fn berlin_the_other_way_round(wall: &NaiveDateTime) -> MappedLocalTime<FixedOffset> {
        match berlin(wall) {
            MappedLocalTime::Ambiguous(one, other) => MappedLocalTime::Ambiguous(other, one),
            told => told,
        }
    }

    /// Those of the United States (Energy Policy Act of 2005, section 110): 02:00 on the second Sunday of March and
    /// the first of November. Here in the zone five hours west.
    fn new_york(wall: &NaiveDateTime) -> MappedLocalTime<FixedOffset> {
        let sunday = |month, number| {
            NaiveDate::from_weekday_of_month_opt(wall.year(), month, Weekday::Sun, number)
                .and_then(|day| day.and_hms_opt(2, 0, 0))
                .unwrap()
        };
        between(wall, sunday(3, 2), sunday(11, 1), hours(-5), hours(-4))
    }

    fn kolkata(_wall: &NaiveDateTime) -> MappedLocalTime<FixedOffset> {
        MappedLocalTime::Single(FixedOffset::east_opt(5 * 3600 + 1800).unwrap())
    }

    fn last_sunday(year: i32, month: u32) -> NaiveDate {
        let last = NaiveDate::from_ymd_opt(year, month, 31).unwrap();
        last - Days::new(u64::from(last.weekday().num_days_from_sunday()))
    }

    /// Summer time from `on` to `off`, both as the wall's clock showed them before it was changed.
    fn between(
        wall: &NaiveDateTime,
        on: NaiveDateTime,
        off: NaiveDateTime,
        winter: FixedOffset,
        summer: FixedOffset,
    ) -> MappedLocalTime<FixedOffset> {
        let hour = chrono::TimeDelta::hours(1);
        match *wall {
            wall if wall >= on && wall < on + hour => MappedLocalTime::None,
            wall if wall >= off - hour && wall < off => MappedLocalTime::Ambiguous(summer, winter),
            wall if wall >= on && wall < off => MappedLocalTime::Single(summer),
            _ => MappedLocalTime::Single(winter),
        }
    }

    #[test]
    fn a_time_without_offset_has_the_offset_of_its_day() {
        let winter = moment("2026-12-01T12:00:00+01:00");
        for (written, zone, now, meant) in [
            ("2026-07-01T10:00", berlin as Zone, winter, "2026-07-01T10:00:00+02:00"),
            ("2026-11-25 18:40", berlin, winter, "2026-11-25T18:40:00+01:00"),
            ("2026-03-29T01:59", berlin, winter, "2026-03-29T01:59:00+01:00"),
            ("2026-03-29T03:00", berlin, winter, "2026-03-29T03:00:00+02:00"),
            ("2026-10-25T01:59", berlin, winter, "2026-10-25T01:59:00+02:00"),
            ("2026-10-25T03:00", berlin, winter, "2026-10-25T03:00:00+01:00"),
            ("2026-11-01T00:30", new_york, moment("2026-12-01T12:00:00-05:00"), "2026-11-01T00:30:00-04:00"),
            ("2026-11-01T02:00", new_york, moment("2026-12-01T12:00:00-05:00"), "2026-11-01T02:00:00-05:00"),
            ("2026-03-08T03:00", new_york, moment("2026-12-01T12:00:00-05:00"), "2026-03-08T03:00:00-04:00"),
            ("2026-07-01T10:00", kolkata, moment("2026-12-01T12:00:00+05:30"), "2026-07-01T10:00:00+05:30"),
            // With its offset a time is what it says, and a day that is pretended elsewhere keeps its own.
            ("2026-11-24T17:40:00Z", berlin, winter, "2026-11-24T18:40:00+01:00"),
            ("2026-07-01T10:00", berlin, moment("2026-12-01T12:00:00-03:00"), "2026-07-01T10:00:00-03:00"),
            ("11:15", berlin, winter, "2026-12-01T11:15:00+01:00"),
            ("yesterday 18:40", berlin, winter, "2026-11-30T18:40:00+01:00"),
            ("yesterday", berlin, winter, "2026-11-30T12:00:00+01:00"),
        ] {
            assert_eq!(when(written).unwrap().beside(now, zone), Ok(moment(meant)), "{written}");
        }
    }

    #[test]
    fn a_time_that_was_there_twice_or_never_is_refused_with_what_to_write() {
        let now = moment("2026-12-01T12:00:00+01:00");
        for zone in [berlin as Zone, berlin_the_other_way_round] {
            let twice = when("2026-10-25T02:30").unwrap().beside(now, zone).unwrap_err();
            assert!(twice.contains("2026-10-25T02:30+02:00 or 2026-10-25T02:30+01:00"), "{twice}");
        }
        let never = when("2026-03-29T02:30").unwrap().beside(now, berlin).unwrap_err();
        assert!(never.contains("never showed 02:30"), "{never}");
    }

    #[test]
    fn what_is_no_moment_is_refused() {
        for wrong in ["", "tomorrow", "25:00", "yesterday evening", "2026-13-01T10:00", "today T"] {
            assert!(when(wrong).is_err(), "{wrong}");
        }
        assert_eq!(when("7:05").unwrap(), When::DaysAgo(0, NaiveTime::from_hms_opt(7, 5, 0)));
        assert_eq!(NaiveTime::from_hms_opt(7, 5, 0).unwrap().minute(), 5);
    }
}
