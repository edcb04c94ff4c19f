//! When a client usually comes, as it is written and read: `tue 18:30`, or a day alone.

use std::fmt;
use std::str::FromStr;

use chrono::{NaiveTime, Timelike as _, Weekday};

/// When a client usually comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UsualTime {
    /// The day of the week.
    pub day: Weekday,
    /// The time of day, if it is always the same.
    pub time: Option<NaiveTime>,
}

/// A word that is no usual time.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{}` is no day and time: write it like `tue 18:30`, or `tue`", .found.escape_debug())]
pub struct BadUsualTime {
    found: String,
}

/// As it stands in a file.
impl fmt::Display for UsualTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.day.to_string().to_lowercase())?;
        self.time.map_or(Ok(()), |time| write!(f, " {:02}:{:02}", time.hour(), time.minute()))
    }
}

impl FromStr for UsualTime {
    type Err = BadUsualTime;

    fn from_str(text: &str) -> Result<Self, BadUsualTime> {
        let bad = || BadUsualTime { found: text.to_owned() };
        let text = text.trim();
        let (day, time) = text.split_once(' ').map_or((text, None), |(day, time)| (day, Some(time.trim())));
        let day = day.parse::<Weekday>().map_err(|_no_day| bad())?;
        let time = time.map(|time| NaiveTime::parse_from_str(time, "%H:%M")).transpose();
        Ok(Self { day, time: time.map_err(|_no_time| bad())? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_usual_time_reads_as_it_is_written() {
        for text in ["tue 18:30", "fri", "sun 07:05"] {
            assert_eq!(text.parse::<UsualTime>().unwrap().to_string(), text);
        }
        assert_eq!("Tuesday  7:05".parse::<UsualTime>().unwrap().to_string(), "tue 07:05");
        for wrong in ["", "someday", "tue 25:00", "18:30", "tue evening"] {
            assert!(wrong.parse::<UsualTime>().is_err(), "{wrong}");
        }
    }
}
