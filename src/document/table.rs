//! The tables of a file that could be taken apart.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::flaw::Flaw;
use super::source::Source;

/// A value with its place.
pub type Placed<'s> = Spanned<DeValue<'s>>;

/// A file that could be taken apart.
#[derive(Debug)]
pub struct Parsed<'s>(Spanned<DeTable<'s>>);

impl<'s> Parsed<'s> {
    /// Takes the text of a file apart.
    ///
    /// # Errors
    /// Names the first place where it is no TOML; what comes behind it is guesswork.
    pub fn of(source: &'s Source) -> Result<Self, Vec<Flaw>> {
        DeTable::parse(source.text()).map(Self).map_err(|error| {
            // The parser goes on after a mistake, and what it stumbles over last is not where it began.
            let (_, all) = DeTable::parse_recoverable(source.text());
            let first =
                all.into_iter().min_by_key(|error| error.span().map_or(usize::MAX, |span| span.start));
            let error = first.unwrap_or(error);
            let message = error.message();
            let remedy = if message.contains("duplicate key") {
                "a key may stand once only: rename or remove one of the two"
            } else if message.contains("recursion") || message.contains("nest") {
                "nothing in these files is nested that deep: take it out"
            } else {
                "mend this line, or put back a copy from before"
            };
            vec![source.flaw(error.span().unwrap_or(0..0), message.replace('\n', ", "), remedy)]
        })
    }

    /// The top of the file, called `what` in messages.
    pub fn top(&self, what: &'static str) -> Table<'_, 's> {
        Table::new(self.0.get_ref(), 0..0, what)
    }
}

/// One table, and where to point if a key is missing.
#[derive(Debug)]
pub struct Table<'t, 's> {
    pub(super) rows: &'t DeTable<'s>,
    place: Range<usize>,
    /// What the table is, such as "report".
    pub(super) what: &'static str,
    pub(super) asked: Vec<&'static str>,
}

impl<'t, 's> Table<'t, 's> {
    pub(super) fn new(rows: &'t DeTable<'s>, place: Range<usize>, what: &'static str) -> Self {
        Self { rows, place, what, asked: Vec::new() }
    }

    /// Where it begins and ends.
    pub fn place(&self) -> Range<usize> {
        self.place.clone()
    }

    /// The value under a key, which counts as asked for.
    pub fn get(&mut self, key: &'static str) -> Option<&'t Placed<'s>> {
        if !self.asked.contains(&key) {
            self.asked.push(key);
        }
        self.rows.get(key)
    }

    /// Keys that may stand there even where nobody asks for them.
    pub fn knows(&mut self, keys: &[&'static str]) {
        self.asked.extend(keys);
    }

    /// Whether there is such a key.
    pub fn has(&self, key: &str) -> bool {
        self.rows.contains_key(key)
    }

    /// Every key, its place and its value, in the order of the file.
    pub fn entries(&self) -> Vec<(&'t str, Range<usize>, &'t Placed<'s>)> {
        let entry = |(key, value): (&'t Spanned<_>, _)| -> (&'t str, Range<usize>, &'t Placed<'s>) {
            let word: &DeString<'s> = key.get_ref();
            (word, key.span(), value)
        };
        let mut entries: Vec<_> = self.rows.iter().map(entry).collect();
        entries.sort_by_key(|(_, place, _)| place.start);
        entries
    }
}
