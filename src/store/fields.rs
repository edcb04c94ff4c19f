//! Walks a parsed file key by key and notes everything that is wrong, each with its place.

use std::fmt::Display;
use std::ops::Range;
use std::str::FromStr;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};
use toml::value::{Datetime, Offset};

use crate::body::{Muscle, Side, Unit};
use crate::names::{OutOfRange, nearest};

use super::error::{Flaw, StoreError};
use crate::document::Source;

/// More flaws than these help nobody.
pub(crate) const MOST_FLAWS: usize = 50;

/// A value with its place.
pub(crate) type Value<'s> = Spanned<DeValue<'s>>;

/// Why a value is not what was wanted, and what to write instead.
#[derive(Debug)]
pub(crate) struct Wrong(String, String);

impl Wrong {
    pub(crate) fn new(message: impl Display, remedy: impl Into<String>) -> Self {
        Self(message.to_string(), remedy.into())
    }

    pub(crate) fn kind(wanted: &str, found: &DeValue<'_>, example: &str) -> Self {
        Self(format!("expected {wanted}, found {}", described(found)), format!("write it like {example}"))
    }
}

/// What a value is, in plain words.
const fn described(value: &DeValue<'_>) -> &'static str {
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

/// One table, and where to point if a key is missing.
#[derive(Clone, Copy)]
pub(crate) struct Fields<'t, 's> {
    table: &'t DeTable<'s>,
    start: usize,
    end: usize,
    /// What the table is, such as "report".
    what: &'static str,
}

impl<'t, 's> Fields<'t, 's> {
    pub(crate) fn new(table: &'t DeTable<'s>, span: &Range<usize>, what: &'static str) -> Self {
        Self { table, start: span.start, end: span.end, what }
    }

    pub(crate) fn get(&self, key: &str) -> Option<&'t Value<'s>> {
        self.table.get(key)
    }

    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// Every key with its value.
    pub(crate) fn entries(
        &self,
    ) -> impl Iterator<Item = (&'t Spanned<DeString<'s>>, &'t Value<'s>)> + use<'t, 's> {
        self.table.iter()
    }

    pub(crate) fn span(&self) -> Range<usize> {
        self.start..self.end
    }
}

/// Collects what is wrong on the way through one file.
pub(crate) struct Walk<'f> {
    source: &'f Source,
    /// What makes the file unreadable.
    pub(crate) flaws: Vec<Flaw>,
    /// What is not understood but does no harm: keys of a person or of another program.
    pub(crate) unknown: Vec<Flaw>,
}

impl<'f> Walk<'f> {
    pub(crate) fn new(source: &'f Source) -> Self {
        Self { source, flaws: Vec::new(), unknown: Vec::new() }
    }

    /// Notes a flaw.
    pub(crate) fn flaw(&mut self, span: Range<usize>, message: impl Into<String>, remedy: impl Into<String>) {
        if self.flaws.len() < MOST_FLAWS {
            let flaw = self.source.flaw(span, message, remedy);
            self.flaws.push(flaw);
        }
    }

    fn take<T>(
        &mut self,
        key: &str,
        value: &Value<'_>,
        read: impl FnOnce(&DeValue<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        match read(value.get_ref()) {
            Ok(good) => Some(good),
            Err(Wrong(message, remedy)) => {
                // Bounds name their quantity themselves.
                let message = if message.starts_with(key) { message } else { format!("{key}: {message}") };
                self.flaw(value.span(), message, remedy);
                None
            }
        }
    }

    /// Reads a key that must be there.
    pub(crate) fn want<T>(
        &mut self,
        fields: Fields<'_, '_>,
        key: &str,
        read: impl FnOnce(&DeValue<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        if let Some(value) = fields.get(key) {
            return self.take(key, value, read);
        }
        self.flaw(
            fields.span(),
            format!("`{key}` is missing in this {}", fields.what),
            format!("add `{key} = ...`"),
        );
        None
    }

    /// Reads a key that may be there.
    pub(crate) fn may<T>(
        &mut self,
        fields: Fields<'_, '_>,
        key: &str,
        read: impl FnOnce(&DeValue<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        let value = fields.get(key)?;
        self.take(key, value, read)
    }

    /// Reads a word of a closed list. One that is not in it may be of a later version: it is kept, and said.
    pub(crate) fn may_word<W: FromStr<Err: Display>>(
        &mut self,
        fields: Fields<'_, '_>,
        key: &str,
    ) -> Option<W> {
        let value = fields.get(key)?;
        let word = self.take(key, value, text)?;
        match word.parse() {
            Ok(word) => Some(word),
            Err(error) => {
                self.doubt(value.span(), format!("{key}: {error}"));
                None
            }
        }
    }

    /// Notes a word that means nothing here.
    pub(crate) fn doubt(&mut self, span: Range<usize>, message: impl Into<String>) {
        if self.unknown.len() < MOST_FLAWS {
            let remedy =
                "it is kept, but means nothing to this version; correct the spelling if it is a slip";
            let flaw = self.source.flaw(span, message, remedy);
            self.unknown.push(flaw);
        }
    }

    /// Reads a list of words of a closed list; those that are not in it are kept, and said.
    pub(crate) fn words<W: FromStr<Err: Display>>(&mut self, fields: Fields<'_, '_>, key: &str) -> Vec<W> {
        let Some(DeValue::Array(array)) = fields.get(key).map(Spanned::get_ref) else {
            return self.list(fields, key, word);
        };
        let mut found = Vec::new();
        for value in array {
            match self.take(key, value, text).map(|word| word.parse()) {
                Some(Ok(word)) => found.push(word),
                Some(Err(error)) => self.doubt(value.span(), format!("{key}: {error}")),
                None => {}
            }
        }
        found
    }

    /// Reads one element of a list.
    pub(crate) fn element<T>(
        &mut self,
        key: &str,
        value: &Value<'_>,
        read: impl FnOnce(&DeValue<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        self.take(key, value, read)
    }

    /// Reads a list that may be there; a missing one is empty.
    pub(crate) fn list<T>(
        &mut self,
        fields: Fields<'_, '_>,
        key: &str,
        read: impl Fn(&DeValue<'_>) -> Result<T, Wrong>,
    ) -> Vec<T> {
        let Some(value) = fields.get(key) else { return Vec::new() };
        let DeValue::Array(array) = value.get_ref() else {
            let Wrong(message, remedy) = Wrong::kind("a list in [ ]", value.get_ref(), "[\"one\", \"two\"]");
            self.flaw(value.span(), format!("{key}: {message}"), remedy);
            return Vec::new();
        };
        array.iter().filter_map(|element| self.take(key, element, &read)).collect()
    }

    /// The table under a key that may be there.
    pub(crate) fn table<'t, 's>(
        &mut self,
        fields: Fields<'t, 's>,
        key: &str,
        what: &'static str,
    ) -> Option<Fields<'t, 's>> {
        let value = fields.get(key)?;
        self.as_table(value, what)
    }

    /// A value that must be a table.
    pub(crate) fn as_table<'t, 's>(
        &mut self,
        value: &'t Value<'s>,
        what: &'static str,
    ) -> Option<Fields<'t, 's>> {
        if let DeValue::Table(table) = value.get_ref() {
            return Some(Fields::new(table, &value.span(), what));
        }
        let Wrong(message, remedy) = Wrong::kind("a table in { }", value.get_ref(), "{ key = value }");
        self.flaw(value.span(), format!("{what}: {message}"), remedy);
        None
    }

    /// The tables of an array of tables that may be there.
    pub(crate) fn tables<'t, 's>(
        &mut self,
        fields: Fields<'t, 's>,
        key: &str,
        what: &'static str,
    ) -> Vec<Fields<'t, 's>> {
        let Some(value) = fields.get(key) else { return Vec::new() };
        let DeValue::Array(array) = value.get_ref() else {
            let message = format!("expected [[{key}]] blocks, found {}", described(value.get_ref()));
            self.flaw(value.span(), message, format!("write each {what} under its own line `[[{key}]]`"));
            return Vec::new();
        };
        array.iter().filter_map(|element| self.as_table(element, what)).collect()
    }

    /// Notes the keys that nobody reads.
    pub(crate) fn ignore_rest(&mut self, fields: Fields<'_, '_>, known: &[&str]) {
        // Most tables hold known keys only, and counting them is quick.
        if known.iter().filter(|key| fields.table.contains_key(**key)).count() == fields.table.len() {
            return;
        }
        for key in fields.table.keys() {
            let word: &str = key.get_ref();
            if known.contains(&word) || self.unknown.len() >= MOST_FLAWS {
                continue;
            }
            let remedy = nearest(word, known.iter().copied()).map_or_else(
                || "it is kept, but means nothing here".to_owned(),
                |near| format!("it is kept, but means nothing here; did you mean `{near}`?"),
            );
            let message = format!("unknown key `{word}` in this {}", fields.what);
            let flaw = self.source.flaw(key.span(), message, remedy);
            self.unknown.push(flaw);
        }
    }

    /// The result, if nothing was wrong.
    pub(crate) fn finish<T>(self, result: Option<T>) -> Result<(T, Vec<Flaw>), StoreError> {
        let Self { source, mut flaws, mut unknown } = self;
        unknown.sort_by_key(|flaw| (flaw.line, flaw.column));
        match result {
            Some(good) if flaws.is_empty() => Ok((good, unknown)),
            _ => {
                if flaws.is_empty() {
                    flaws.push(source.flaw(0..0, "the file cannot be read", "put back a copy from before"));
                }
                flaws.sort_by_key(|flaw| (flaw.line, flaw.column));
                Err(StoreError::broken(flaws))
            }
        }
    }
}

/// Parses the text of a file.
pub(crate) fn parse(source: &Source) -> Result<Spanned<DeTable<'_>>, StoreError> {
    DeTable::parse(source.text()).map_err(|error| {
        // The parser goes on after a mistake, and what it stumbles over last is not where it began.
        let (_, all) = DeTable::parse_recoverable(source.text());
        let first = all.into_iter().min_by_key(|error| error.span().map_or(usize::MAX, |span| span.start));
        let error = first.unwrap_or(error);
        let span = error.span().unwrap_or(0..0);
        let message = error.message();
        let remedy = if message.contains("duplicate key") {
            "a key may stand once only: rename or remove one of the two"
        } else if message.contains("recursion") || message.contains("nest") {
            "nothing in these files is nested that deep: take it out"
        } else {
            "mend this line, or put back a copy from before"
        };
        StoreError::broken(vec![source.flaw(span, message.replace('\n', ", "), remedy)])
    })
}

/// Text in quotes.
pub(crate) fn text(value: &DeValue<'_>) -> Result<String, Wrong> {
    value.as_str().map(str::to_owned).ok_or_else(|| Wrong::kind("text in quotes", value, "\"text\""))
}

/// True or false.
pub(crate) fn flag(value: &DeValue<'_>) -> Result<bool, Wrong> {
    value.as_bool().ok_or_else(|| Wrong::kind("true or false", value, "true"))
}

/// A whole number.
pub(crate) fn integer(value: &DeValue<'_>) -> Result<i64, Wrong> {
    let number = value.as_integer().ok_or_else(|| Wrong::kind("a whole number", value, "30"))?;
    i64::from_str_radix(number.as_str(), number.radix()).map_err(|_error| {
        Wrong::new(format!("{} is far too large", number.as_str()), "write a smaller number")
    })
}

/// A whole number that is not negative.
pub(crate) fn count<N: TryFrom<i64>>(value: &DeValue<'_>) -> Result<N, Wrong> {
    let number = integer(value)?;
    N::try_from(number)
        .map_err(|_error| Wrong::new(format!("{number} is out of range"), "write a number from 0 up"))
}

/// A bounded quantity.
pub(crate) fn bounded<Q: TryFrom<i64, Error = OutOfRange>>(value: &DeValue<'_>) -> Result<Q, Wrong> {
    Q::try_from(integer(value)?)
        .map_err(|error| Wrong::new(&error, format!("write a number from {} to {}", error.min, error.max)))
}

/// A word of a closed list, or an id.
pub(crate) fn word<W: FromStr<Err: Display>>(value: &DeValue<'_>) -> Result<W, Wrong> {
    let word = value.as_str().ok_or_else(|| Wrong::kind("a word in quotes", value, "\"word\""))?;
    word.parse::<W>().map_err(|error| misspelt(&error, "correct the spelling"))
}

/// A word that is not in its list. Most such errors say themselves what was meant.
fn misspelt(error: &dyn Display, remedy: &str) -> Wrong {
    let message = error.to_string();
    let remedy = if message.contains("did you mean") { "" } else { remedy };
    Wrong::new(message, remedy)
}

/// A muscle on a side, written `hamstrings:left`; without a side both are meant.
pub(crate) fn units(value: &DeValue<'_>) -> Result<Vec<Unit>, Wrong> {
    let word =
        value.as_str().ok_or_else(|| Wrong::kind("a muscle in quotes", value, "\"hamstrings:left\""))?;
    let (muscle, side) = word.split_once(':').map_or((word, None), |(muscle, side)| (muscle, Some(side)));
    let wrong = |error: crate::names::UnknownName| misspelt(&error, "write it like \"hamstrings:left\"");
    let muscle: Muscle = muscle.trim().parse().map_err(wrong)?;
    match side {
        None => Ok(Side::ALL.iter().map(|&side| Unit { muscle, side }).collect()),
        Some(side) => Ok(vec![Unit { muscle, side: side.trim().parse().map_err(wrong)? }]),
    }
}

/// A plain date.
pub(crate) fn date(value: &DeValue<'_>) -> Result<NaiveDate, Wrong> {
    match value.as_datetime() {
        Some(Datetime { date: Some(date), time: None, offset: None }) => {
            civil(date.year, date.month, date.day)
        }
        _ => Err(Wrong::kind("a date", value, "2026-11-20, without quotes")),
    }
}

/// Years before this are slips of the finger.
pub(crate) const FIRST_YEAR: u16 = 1900;

fn civil(year: u16, month: u8, day: u8) -> Result<NaiveDate, Wrong> {
    if year < FIRST_YEAR {
        return Err(Wrong::new(format!("the year {year:04} cannot be right"), "write a year from 1900 on"));
    }
    NaiveDate::from_ymd_opt(i32::from(year), u32::from(month), u32::from(day))
        .ok_or_else(|| Wrong::new("there is no such day", "write it as year-month-day"))
}

/// A date and time with its offset from UTC.
pub(crate) fn moment(value: &DeValue<'_>) -> Result<DateTime<FixedOffset>, Wrong> {
    const EXAMPLE: &str = "2026-11-20T18:45:00+01:00";
    let Some(Datetime { date: Some(date), time: Some(time), offset }) = value.as_datetime() else {
        return Err(Wrong::kind("a date with a time", value, EXAMPLE));
    };
    let minutes = match offset {
        Some(Offset::Z) => 0,
        Some(Offset::Custom { minutes }) => i32::from(*minutes),
        None => {
            return Err(Wrong::new("the offset from UTC is missing", format!("write it like {EXAMPLE}")));
        }
    };
    let wrong = || Wrong::new("there is no such time", format!("write it like {EXAMPLE}"));
    let day = civil(date.year, date.month, date.day)?;
    let (hour, minute, second) = (time.hour, time.minute, time.second.unwrap_or(0));
    let time = NaiveTime::from_hms_nano_opt(
        u32::from(hour),
        u32::from(minute),
        u32::from(second),
        time.nanosecond.unwrap_or(0),
    )
    .ok_or_else(wrong)?;
    let offset = FixedOffset::east_opt(minutes * 60).ok_or_else(wrong)?;
    NaiveDateTime::new(day, time).and_local_timezone(offset).single().ok_or_else(wrong)
}
