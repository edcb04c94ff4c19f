//! Walks a parsed file key by key and notes everything that is wrong, each with its place.

use std::ops::Range;
use std::str::FromStr;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::body::{Muscle, Side, Unit};
use crate::document::values::{described, parsed};
use crate::names::nearest;

use super::error::{Flaw, StoreError};

pub(crate) use crate::document::values::{
    FIRST_YEAR, bounded, count, date, flag, integer, moment, text, word,
};
pub(crate) use crate::document::{Explained, MOST_FLAWS, Parsed, Source, Wrong};

/// A value with its place.
pub(crate) type Value<'s> = crate::document::Placed<'s>;

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
            Err(wrong) => {
                let (message, remedy) = wrong.into_words();
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
    pub(crate) fn may_word<W: FromStr<Err: Explained>>(
        &mut self,
        fields: Fields<'_, '_>,
        key: &str,
    ) -> Option<W> {
        let value = fields.get(key)?;
        let word = self.take(key, value, text)?;
        self.known(key, value, &word)
    }

    fn known<W: FromStr<Err: Explained>>(&mut self, key: &str, value: &Value<'_>, word: &str) -> Option<W> {
        word.parse()
            .map_err(|error: W::Err| self.doubt(value.span(), format!("{key}: {}", error.in_one())))
            .ok()
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
    pub(crate) fn words<W: FromStr<Err: Explained>>(&mut self, fields: Fields<'_, '_>, key: &str) -> Vec<W> {
        let Some(DeValue::Array(array)) = fields.get(key).map(Spanned::get_ref) else {
            return self.list(fields, key, word);
        };
        let mut found = Vec::new();
        for value in array {
            if let Some(word) = self.take(key, value, text) {
                found.extend(self.known(key, value, &word));
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
            let wrong = Wrong::kind("a list in [ ]", value.get_ref(), "[\"one\", \"two\"]");
            let (message, remedy) = wrong.into_words();
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
        let wrong = Wrong::kind("a table in { }", value.get_ref(), "{ key = value }");
        let (message, remedy) = wrong.into_words();
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
    Ok(Parsed::of(source)?.into_rows())
}

/// A muscle on a side, written `hamstrings:left`; without a side both are meant.
pub(crate) fn units(value: &DeValue<'_>) -> Result<Vec<Unit>, Wrong> {
    let word =
        value.as_str().ok_or_else(|| Wrong::kind("a muscle in quotes", value, "\"hamstrings:left\""))?;
    let (muscle, side) = word.split_once(':').map_or((word, None), |(muscle, side)| (muscle, Some(side)));
    let muscle: Muscle = parsed(muscle.trim())?;
    match side {
        None => Ok(Side::ALL.iter().map(|&side| Unit { muscle, side }).collect()),
        Some(side) => Ok(vec![Unit { muscle, side: parsed(side.trim())? }]),
    }
}
