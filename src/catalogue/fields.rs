//! Takes the fields of a TOML table one by one, noting every flaw instead of stopping at the first.

use std::collections::BTreeSet;
use std::ops::Range;
use std::str::FromStr;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::names::{UnknownName, nearest};

use super::flaw::Flaws;

/// A value of the file and where it stands.
pub(super) struct Placed<T> {
    pub(super) value: T,
    pub(super) span: Range<usize>,
}

/// One table of the file. Fields that were not asked for by the end are unknown ones.
pub(super) struct Fields<'t, 'i> {
    what: &'static str,
    place: Range<usize>,
    table: &'t DeTable<'i>,
    asked: BTreeSet<&'static str>,
}

impl<'t, 'i> Fields<'t, 'i> {
    /// `place` is where a missing field is reported.
    pub(super) fn new(what: &'static str, place: Range<usize>, table: &'t DeTable<'i>) -> Self {
        Self { what, place, table, asked: BTreeSet::new() }
    }

    pub(super) fn place(&self) -> &Range<usize> {
        &self.place
    }

    fn find(&mut self, key: &'static str) -> Option<&'t Spanned<DeValue<'i>>> {
        self.asked.insert(key);
        self.table.iter().find(|(name, _)| name.get_ref() == key).map(|(_, value)| value)
    }

    /// The field, which must be there.
    pub(super) fn required(
        &mut self,
        key: &'static str,
        example: &str,
        flaws: &mut Flaws<'_>,
    ) -> Option<&'t Spanned<DeValue<'i>>> {
        let found = self.find(key);
        if found.is_none() {
            flaws.add(&self.place, format!("{} has no `{key}`", self.what), format!("add `{example}`"));
        }
        found
    }

    /// The field, if it is there.
    pub(super) fn optional(&mut self, key: &'static str) -> Option<&'t Spanned<DeValue<'i>>> {
        self.find(key)
    }

    /// Reports every field that nobody asked for.
    pub(super) fn finish(self, flaws: &mut Flaws<'_>) {
        for key in self.table.keys() {
            if !self.asked.contains(&**key.get_ref()) {
                let remedy = match nearest(key.get_ref(), self.asked.iter().copied()) {
                    Some(name) => format!("did you mean `{name}`?"),
                    None => format!("remove it; known are {}", comma_list(self.asked.iter().copied())),
                };
                let message = format!("unknown field `{}` in {}", key.get_ref().escape_debug(), self.what);
                flaws.add(&key.span(), message, remedy);
            }
        }
    }
}

/// Names in backquotes with commas between.
pub(super) fn comma_list<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    names.into_iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}

fn wrong_type(value: &Spanned<DeValue<'_>>, key: &str, wanted: &str, example: &str, flaws: &mut Flaws<'_>) {
    let message = format!("`{key}` is {}, not {wanted}", value.get_ref().type_str());
    flaws.add(&value.span(), message, format!("write it like `{example}`"));
}

/// A string.
pub(super) fn text<'t>(
    value: &'t Spanned<DeValue<'_>>,
    key: &str,
    example: &str,
    flaws: &mut Flaws<'_>,
) -> Option<Placed<&'t str>> {
    let Some(text) = value.get_ref().as_str() else {
        wrong_type(value, key, "a text", example, flaws);
        return None;
    };
    Some(Placed { value: text, span: value.span() })
}

/// One line of text with something in it, of at most `longest` characters.
pub(super) fn line(
    value: &Spanned<DeValue<'_>>,
    key: &str,
    longest: usize,
    flaws: &mut Flaws<'_>,
) -> Option<String> {
    let found = text(value, key, &format!("{key} = \"...\""), flaws)?;
    let trimmed = found.value.trim();
    let length = trimmed.chars().count();
    if trimmed.is_empty() {
        flaws.add(&found.span, format!("`{key}` is empty"), "write one line");
    } else if trimmed.chars().any(char::is_control) {
        flaws.add(
            &found.span,
            format!("`{key}` has a line break or control character"),
            "keep it to one plain line",
        );
    } else if length > longest {
        let message = format!("`{key}` has {length} characters, more than {longest}");
        flaws.add(&found.span, message, "shorten it so that it fits one line of the screen");
    } else {
        return Some(trimmed.to_owned());
    }
    None
}

/// A word of a closed list or an id.
pub(super) fn word<T>(
    value: &Spanned<DeValue<'_>>,
    key: &str,
    example: &str,
    flaws: &mut Flaws<'_>,
) -> Option<T>
where
    T: FromStr,
    T::Err: Explained,
{
    let found = text(value, key, example, flaws)?;
    parsed_word(found.value, &found.span, example, flaws)
}

/// A word of a closed list, wherever it stands.
pub(super) fn parsed_word<T>(
    word: &str,
    span: &Range<usize>,
    example: &str,
    flaws: &mut Flaws<'_>,
) -> Option<T>
where
    T: FromStr,
    T::Err: Explained,
{
    match word.parse() {
        Ok(parsed) => Some(parsed),
        Err(error) => {
            let (message, remedy) = T::Err::explain(&error);
            flaws.add(span, message, remedy.unwrap_or_else(|| format!("write it like `{example}`")));
            None
        }
    }
}

/// An error that knows a remedy.
pub(super) trait Explained {
    fn explain(&self) -> (String, Option<String>);
}

impl Explained for UnknownName {
    fn explain(&self) -> (String, Option<String>) {
        let message = format!("unknown {} `{}`", self.what, self.found.escape_debug());
        (message, self.nearest.as_ref().map(|name| format!("did you mean `{name}`?")))
    }
}

impl Explained for crate::names::BadId {
    fn explain(&self) -> (String, Option<String>) {
        let message = format!("`{}` cannot be a {}", self.found.escape_debug(), self.what);
        (message, Some("use 1 to 64 of a-z, 0-9 and - (not at the ends)".to_owned()))
    }
}

/// A whole number between two bounds, a multiple of `step`.
pub(super) fn number(
    value: &Spanned<DeValue<'_>>,
    key: &str,
    bounds: std::ops::RangeInclusive<i64>,
    step: i64,
    flaws: &mut Flaws<'_>,
) -> Option<i64> {
    let example = format!("{key} = {}", bounds.end());
    let Some(integer) = value.get_ref().as_integer() else {
        wrong_type(value, key, "a whole number", &example, flaws);
        return None;
    };
    let digits = integer.as_str().replace('_', "");
    let parsed = i64::from_str_radix(&digits, integer.radix()).ok();
    match parsed.filter(|number| bounds.contains(number)) {
        Some(number) if number % step == 0 => Some(number),
        Some(number) => {
            let message = format!("`{key}` is {number}, not a multiple of {step}");
            let below = number - number.rem_euclid(step);
            flaws.add(&value.span(), message, format!("use {below} or {}", below + step));
            None
        }
        None => {
            let message = format!("`{key}` is {digits}, out of range");
            let remedy = format!("use a whole number from {} to {}", bounds.start(), bounds.end());
            flaws.add(&value.span(), message, remedy);
            None
        }
    }
}

/// True or false.
pub(super) fn yes_no(value: &Spanned<DeValue<'_>>, key: &str, flaws: &mut Flaws<'_>) -> Option<bool> {
    let found = value.get_ref().as_bool();
    if found.is_none() {
        wrong_type(value, key, "true or false", &format!("{key} = true"), flaws);
    }
    found
}

/// The items of an array.
pub(super) fn items<'t, 'i>(
    value: &'t Spanned<DeValue<'i>>,
    key: &str,
    example: &str,
    flaws: &mut Flaws<'_>,
) -> Option<&'t [Spanned<DeValue<'i>>]> {
    let found = value.get_ref().as_array();
    if found.is_none() {
        wrong_type(value, key, "a list", example, flaws);
    }
    found.map(|array| &**array)
}

/// The table in a value.
pub(super) fn table<'t, 'i>(
    value: &'t Spanned<DeValue<'i>>,
    key: &str,
    example: &str,
    flaws: &mut Flaws<'_>,
) -> Option<&'t DeTable<'i>> {
    let found = value.get_ref().as_table();
    if found.is_none() {
        wrong_type(value, key, "a table", example, flaws);
    }
    found
}
