//! Values as a file has them, read into what cannot be wrong: text, numbers, dates, words of a list.

#![expect(clippy::missing_errors_doc, reason = "each reader says what it wants and how it is written")]

use std::fmt::Display;
use std::ops::RangeInclusive;
use std::str::FromStr;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};
use toml::de::DeValue;
use toml::value::{Datetime, Offset};

use crate::names::{BadId, OutOfRange, UnknownName};

/// A value as it is written.
pub type Value<'s> = DeValue<'s>;

/// Why a value is not what was wanted, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    pub(super) message: String,
    pub(super) remedy: String,
    /// Whether an example helps more than the remedy.
    pub(super) by_example: bool,
}

impl Wrong {
    /// What is wrong, and what to write instead.
    pub fn new(message: impl Display, remedy: impl Into<String>) -> Self {
        Self { message: message.to_string(), remedy: remedy.into(), by_example: false }
    }

    /// A value of another kind than `wanted`.
    pub fn kind(wanted: &str, found: &Value<'_>, example: &str) -> Self {
        Self {
            message: format!("expected {wanted}, found {}", described(found)),
            remedy: format!("write it like {example}"),
            by_example: true,
        }
    }
}

/// What a value is, in plain words.
pub(crate) const fn described(value: &Value<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text in quotes",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number with a point",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list in [ ]",
        DeValue::Table(_) => "a table in { }",
    }
}

/// An error that knows what is wrong and what to do about it, the second empty where it does not.
pub trait Explained {
    /// The message and the remedy.
    fn explained(&self) -> (String, String);

    /// Both in one line.
    fn in_one(&self) -> String {
        let (message, remedy) = self.explained();
        if remedy.is_empty() { message } else { format!("{message}; {remedy}") }
    }
}

impl Explained for UnknownName {
    fn explained(&self) -> (String, String) {
        let remedy = self.nearest.as_ref().map(|name| format!("did you mean `{name}`?")).unwrap_or_default();
        (format!("unknown {} `{}`", self.what, self.found), remedy)
    }
}

impl Explained for BadId {
    fn explained(&self) -> (String, String) {
        let message = format!("`{}` cannot be a {}", self.found, self.what);
        (message, "use 1 to 64 of a-z, 0-9 and - (not at the ends)".to_owned())
    }
}

impl Explained for OutOfRange {
    fn explained(&self) -> (String, String) {
        (self.to_string(), format!("write a number from {} to {}", self.min, self.max))
    }
}

fn explained(error: &impl Explained) -> Wrong {
    let (message, remedy) = error.explained();
    let by_example = remedy.is_empty();
    let remedy = if by_example { "correct the spelling".to_owned() } else { remedy };
    Wrong { message, remedy, by_example }
}

/// Text in quotes.
pub fn text(value: &Value<'_>) -> Result<String, Wrong> {
    value.as_str().map(str::to_owned).ok_or_else(|| Wrong::kind("text in quotes", value, "\"text\""))
}

/// One line of text with something in it, of at most `longest` characters.
pub fn line(longest: usize) -> impl Fn(&Value<'_>) -> Result<String, Wrong> {
    move |value| {
        let text = text(value)?;
        let text = text.trim();
        let length = text.chars().count();
        if text.is_empty() {
            Err(Wrong::new("there is nothing in the quotes", "write one line"))
        } else if text.chars().any(char::is_control) {
            Err(Wrong::new("a line break or control character stands in it", "keep it to one plain line"))
        } else if length > longest {
            let message = format!("{length} characters are more than {longest}");
            Err(Wrong::new(message, "shorten it so that it fits one line of the screen"))
        } else {
            Ok(text.to_owned())
        }
    }
}

/// True or false.
pub fn flag(value: &Value<'_>) -> Result<bool, Wrong> {
    value.as_bool().ok_or_else(|| Wrong::kind("true or false", value, "true"))
}

/// A whole number.
pub fn integer(value: &Value<'_>) -> Result<i64, Wrong> {
    let number = value.as_integer().ok_or_else(|| Wrong::kind("a whole number", value, "30"))?;
    i64::from_str_radix(number.as_str(), number.radix()).map_err(|_error| {
        Wrong::new(format!("{} is far too large", number.as_str()), "write a smaller number")
    })
}

/// A whole number that is not negative.
pub fn count<N: TryFrom<i64>>(value: &Value<'_>) -> Result<N, Wrong> {
    let number = integer(value)?;
    N::try_from(number)
        .map_err(|_error| Wrong::new(format!("{number} is out of range"), "write a number from 0 up"))
}

/// A whole number between two bounds, a multiple of `step`.
pub fn number<N: TryFrom<i64>>(
    bounds: RangeInclusive<i64>,
    step: i64,
) -> impl Fn(&Value<'_>) -> Result<N, Wrong> {
    move |value| {
        let number = integer(value)?;
        if bounds.contains(&number) && number % step != 0 {
            let below = number - number.rem_euclid(step);
            let message = format!("{number} is not a multiple of {step}");
            return Err(Wrong::new(message, format!("use {below} or {}", below + step)));
        }
        N::try_from(number).ok().filter(|_| bounds.contains(&number)).ok_or_else(|| {
            let remedy = format!("use a whole number from {} to {}", bounds.start(), bounds.end());
            Wrong::new(format!("{number} is out of range"), remedy)
        })
    }
}

/// A bounded quantity.
pub fn bounded<Q: TryFrom<i64, Error: Explained>>(value: &Value<'_>) -> Result<Q, Wrong> {
    Q::try_from(integer(value)?).map_err(|error| explained(&error))
}

/// A word of a closed list, or an id.
pub fn word<W: FromStr<Err: Explained>>(value: &Value<'_>) -> Result<W, Wrong> {
    parsed(value.as_str().ok_or_else(|| Wrong::kind("a word in quotes", value, "\"word\""))?)
}

/// A word that stands in another value.
pub fn parsed<W: FromStr<Err: Explained>>(word: &str) -> Result<W, Wrong> {
    word.parse().map_err(|error: W::Err| explained(&error))
}

/// A plain date.
pub fn date(value: &Value<'_>) -> Result<NaiveDate, Wrong> {
    match value.as_datetime() {
        Some(Datetime { date: Some(date), time: None, offset: None }) => {
            civil(date.year, date.month, date.day)
        }
        _ => Err(Wrong::kind("a date", value, "2026-11-20, without quotes")),
    }
}

/// Years before this are slips of the finger.
pub const FIRST_YEAR: u16 = 1900;

fn civil(year: u16, month: u8, day: u8) -> Result<NaiveDate, Wrong> {
    if year < FIRST_YEAR {
        return Err(Wrong::new(format!("the year {year:04} cannot be right"), "write a year from 1900 on"));
    }
    NaiveDate::from_ymd_opt(i32::from(year), u32::from(month), u32::from(day))
        .ok_or_else(|| Wrong::new("there is no such day", "write it as year-month-day"))
}

/// A date and time with its offset from UTC.
pub fn moment(value: &Value<'_>) -> Result<DateTime<FixedOffset>, Wrong> {
    const EXAMPLE: &str = "2026-11-20T18:45:00+01:00";
    let (wall, offset) = wall(value, EXAMPLE)?;
    let missing = || Wrong::new("the offset from UTC is missing", format!("write it like {EXAMPLE}"));
    at(wall, offset.ok_or_else(missing)?, EXAMPLE)
}

/// A date and time; where its offset from UTC is not given, `on_that_day` finds the moment, or says why there is none.
pub fn moment_beside(
    on_that_day: impl Fn(NaiveDateTime) -> Result<DateTime<FixedOffset>, String>,
) -> impl Fn(&Value<'_>) -> Result<DateTime<FixedOffset>, Wrong> {
    const EXAMPLE: &str = "2026-11-20T18:45";
    move |value| match wall(value, EXAMPLE)? {
        (wall, Some(offset)) => at(wall, offset, EXAMPLE),
        (wall, None) => on_that_day(wall).map_err(|wrong| Wrong::new(wrong, "")),
    }
}

/// The reading of the clock, and its offset where there is one.
fn wall(value: &Value<'_>, example: &str) -> Result<(NaiveDateTime, Option<FixedOffset>), Wrong> {
    let Some(Datetime { date: Some(date), time: Some(time), offset }) = value.as_datetime() else {
        return Err(Wrong::kind("a date with a time", value, example));
    };
    let wrong = || Wrong::new("there is no such time", format!("write it like {example}"));
    let minutes = offset.map(|offset| match offset {
        Offset::Z => 0,
        Offset::Custom { minutes } => i32::from(minutes),
    });
    let offset = minutes.map(|minutes| FixedOffset::east_opt(minutes * 60).ok_or_else(wrong)).transpose()?;
    let day = civil(date.year, date.month, date.day)?;
    let (hour, minute, second) = (time.hour, time.minute, time.second.unwrap_or(0));
    let time = NaiveTime::from_hms_nano_opt(
        u32::from(hour),
        u32::from(minute),
        u32::from(second),
        time.nanosecond.unwrap_or(0),
    );
    Ok((NaiveDateTime::new(day, time.ok_or_else(wrong)?), offset))
}

fn at(wall: NaiveDateTime, offset: FixedOffset, example: &str) -> Result<DateTime<FixedOffset>, Wrong> {
    let wrong = || Wrong::new("there is no such time", format!("write it like {example}"));
    wall.and_local_timezone(offset).single().ok_or_else(wrong)
}
