//! A walk through the tables of a file, key by key, that goes on after a flaw and finds them all.

use std::ops::Range;
use std::str::FromStr;

use crate::names::nearest;

use super::flaw::{Flaw, MOST_FLAWS};
use super::source::Source;
use super::table::{Placed, Table};
use super::values::{Explained, Value, Wrong, described, parsed, text};

/// What becomes of keys that nobody asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// They make the file wrong.
    Flaw,
    /// They are kept and mentioned: a person's, or another program's.
    Kept,
}

/// Collects what is wrong on the way through one file.
#[derive(Debug)]
pub struct Walker<'f> {
    source: &'f Source,
    // Invariant: the first of all that were found, `MOST_FLAWS` at most.
    flaws: Vec<Flaw>,
    found: usize,
    unknown: Vec<Flaw>,
}

impl<'f> Walker<'f> {
    /// A walk through this file.
    pub fn new(source: &'f Source) -> Self {
        Self { source, flaws: Vec::new(), found: 0, unknown: Vec::new() }
    }

    /// Notes a flaw.
    pub fn flaw(&mut self, place: Range<usize>, message: impl Into<String>, remedy: impl Into<String>) {
        self.found += 1;
        if self.flaws.len() < MOST_FLAWS {
            let flaw = self.source.flaw(place, message, remedy);
            self.flaws.push(flaw);
        }
    }

    /// Notes a word that means nothing to this version, but does no harm.
    pub fn doubt(&mut self, place: Range<usize>, message: impl Into<String>) {
        if self.unknown.len() < MOST_FLAWS {
            let remedy =
                "it is kept, but means nothing to this version; correct the spelling if it is a slip";
            let doubt = self.source.flaw(place, message, remedy);
            self.unknown.push(doubt);
        }
    }

    /// How many flaws were found up to here.
    pub const fn count(&self) -> usize {
        self.found
    }

    /// Reads a value that stands under `key`.
    pub fn take<T>(
        &mut self,
        key: &str,
        value: &Placed<'_>,
        read: impl FnOnce(&Value<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        let (key, example) = named(key);
        match read(value.get_ref()) {
            Ok(good) => Some(good),
            Err(Wrong { message, remedy, by_example }) => {
                // Bounds and lists name what they are about themselves.
                let is_named = message.split_whitespace().any(|word| word == key);
                let message = if is_named { message } else { format!("{key}: {message}") };
                let by_example = by_example && !example.is_empty();
                let remedy = if by_example { format!("write it like `{example}`") } else { remedy };
                self.flaw(value.span(), message, remedy);
                None
            }
        }
    }

    /// Reads a key that must be there. The key may be given with an example, such as `sides = "each"`.
    pub fn want<T>(
        &mut self,
        table: &mut Table<'_, '_>,
        key: &'static str,
        read: impl FnOnce(&Value<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        let value = self.required(table, key)?;
        self.take(key, value, read)
    }

    /// The value under a key that must be there.
    pub fn required<'t, 's>(
        &mut self,
        table: &mut Table<'t, 's>,
        key: &'static str,
    ) -> Option<&'t Placed<'s>> {
        let (key, example) = named(key);
        let found = table.get(key);
        if found.is_none() {
            let remedy =
                if example.is_empty() { format!("add `{key} = ...`") } else { format!("add `{example}`") };
            self.flaw(table.place(), format!("`{key}` is missing in this {}", table.what), remedy);
        }
        found
    }

    /// Reads a key that may be there.
    pub fn may<T>(
        &mut self,
        table: &mut Table<'_, '_>,
        key: &'static str,
        read: impl FnOnce(&Value<'_>) -> Result<T, Wrong>,
    ) -> Option<T> {
        let value = table.get(named(key).0)?;
        self.take(key, value, read)
    }

    /// Reads a word of a closed list. One that is not in it may be of a later version: it is kept, and mentioned.
    pub fn may_word<W: FromStr<Err: Explained>>(
        &mut self,
        table: &mut Table<'_, '_>,
        key: &'static str,
    ) -> Option<W> {
        let value = table.get(named(key).0)?;
        self.word_or_doubt(key, value)
    }

    /// Reads a list of words of a closed list; those that are not in it are kept, and mentioned.
    pub fn words<W: FromStr<Err: Explained>>(
        &mut self,
        table: &mut Table<'_, '_>,
        key: &'static str,
    ) -> Vec<W> {
        self.items(table, key).iter().filter_map(|item| self.word_or_doubt(key, item)).collect()
    }

    fn word_or_doubt<W: FromStr<Err: Explained>>(&mut self, key: &str, value: &Placed<'_>) -> Option<W> {
        let word = self.take(key, value, text)?;
        let doubt = |error: W::Err| {
            self.doubt(value.span(), format!("{}: {}", named(key).0, error.in_one()));
        };
        word.parse().map_err(doubt).ok()
    }

    /// Reads a list that may be there; a missing one is empty.
    pub fn list<T>(
        &mut self,
        table: &mut Table<'_, '_>,
        key: &'static str,
        read: impl Fn(&Value<'_>) -> Result<T, Wrong>,
    ) -> Vec<T> {
        self.items(table, key).iter().filter_map(|item| self.take(key, item, &read)).collect()
    }

    /// The values of a list that may be there, each with its place.
    pub fn items<'t, 's>(&mut self, table: &mut Table<'t, 's>, key: &'static str) -> &'t [Placed<'s>] {
        let Some(value) = table.get(named(key).0) else { return &[] };
        let list = value.get_ref().as_array();
        if list.is_none() {
            let wrong = Wrong::kind("a list in [ ]", value.get_ref(), "[\"one\", \"two\"]");
            self.take::<()>(key, value, |_| Err(wrong));
        }
        list.map_or(&[], |list| list)
    }

    /// The table under a key that may be there.
    pub fn table<'t, 's>(
        &mut self,
        table: &mut Table<'t, 's>,
        key: &'static str,
        what: &'static str,
    ) -> Option<Table<'t, 's>> {
        let value = table.get(named(key).0)?;
        self.as_table(key, value, what)
    }

    /// A value that must be a table.
    pub fn as_table<'t, 's>(
        &mut self,
        key: &str,
        value: &'t Placed<'s>,
        what: &'static str,
    ) -> Option<Table<'t, 's>> {
        let found = value.get_ref().as_table();
        if found.is_none() {
            let wrong = Wrong::kind("a table in { }", value.get_ref(), "{ key = value }");
            self.take::<()>(key, value, |_| Err(wrong));
        }
        found.map(|table| Table::new(table, value.span(), what))
    }

    /// The tables of an array of tables that may be there.
    pub fn tables<'t, 's>(
        &mut self,
        table: &mut Table<'t, 's>,
        key: &'static str,
        what: &'static str,
    ) -> Vec<Table<'t, 's>> {
        let Some(value) = table.get(key) else { return Vec::new() };
        let Some(array) = value.get_ref().as_array() else {
            let message = format!("expected [[{key}]] blocks, found {}", described(value.get_ref()));
            self.flaw(value.span(), message, format!("write each {what} under its own line `[[{key}]]`"));
            return Vec::new();
        };
        array.iter().filter_map(|element| self.as_table(key, element, what)).collect()
    }

    /// The entries of a table whose keys are words of a closed list, in the order of the file.
    pub fn by_word<K: FromStr<Err: Explained>, V>(
        &mut self,
        table: &Table<'_, '_>,
        read: impl Fn(&Value<'_>) -> Result<V, Wrong>,
    ) -> Vec<(K, V)> {
        let mut found = Vec::new();
        for (word, place, value) in table.entries() {
            let value = self.take(word, value, &read);
            match parsed(word) {
                Ok(key) => found.extend(value.map(|value| (key, value))),
                Err(Wrong { message, remedy, .. }) => {
                    self.flaw(place, format!("{}: {message}", table.what), remedy);
                }
            }
        }
        found
    }

    /// Looks at the keys of a table that nobody asked for.
    pub fn finish(&mut self, table: &Table<'_, '_>, unknown: Unknown) {
        let asked = |key: &str| table.asked.contains(&key);
        // Most tables hold known keys only, and counting them is quick.
        if table.asked.iter().filter(|key| table.rows.contains_key(**key)).count() == table.rows.len() {
            return;
        }
        for (word, place, _) in table.entries().into_iter().filter(|(word, ..)| !asked(word)) {
            let near =
                nearest(word, table.asked.iter().copied()).map(|near| format!("did you mean `{near}`?"));
            let message = format!("unknown key `{word}` in this {}", table.what);
            match unknown {
                Unknown::Flaw => {
                    let known =
                        || table.asked.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(", ");
                    let remedy = near.unwrap_or_else(|| format!("remove it; known are {}", known()));
                    self.flaw(place, message, remedy);
                }
                Unknown::Kept if self.unknown.len() < MOST_FLAWS => {
                    let near = near.map(|near| format!("; {near}")).unwrap_or_default();
                    let remedy = format!("it is kept, but means nothing here{near}");
                    let flaw = self.source.flaw(place, message, remedy);
                    self.unknown.push(flaw);
                }
                Unknown::Kept => {}
            }
        }
    }

    /// All flaws, in the order of the file.
    pub fn into_flaws(self) -> Vec<Flaw> {
        in_order(self.flaws)
    }

    /// The result with what was not understood, if nothing was wrong.
    ///
    /// # Errors
    /// All flaws, in the order of the file; one at least.
    pub fn end<T>(mut self, result: Option<T>) -> Result<(T, Vec<Flaw>), Vec<Flaw>> {
        match result {
            Some(good) if self.flaws.is_empty() => return Ok((good, in_order(self.unknown))),
            None if self.flaws.is_empty() => {
                self.flaw(0..0, "the file cannot be read", "put back a copy from before");
            }
            _ => {}
        }
        Err(self.into_flaws())
    }
}

fn in_order(mut flaws: Vec<Flaw>) -> Vec<Flaw> {
    flaws.sort_by_key(|flaw| (flaw.line, flaw.column));
    flaws
}

/// A key, and the example that it was given with.
fn named(key: &str) -> (&str, &str) {
    key.split_once(" = ").map_or((key, ""), |(name, _)| (name, key))
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::super::table::Parsed;
    use super::super::values::{integer, line, number};
    use super::*;
    use crate::body::Side;

    /// Walks a table with `name`, `side`, `seconds`, a list and a table by words.
    fn flaws(text: &str, unknown: Unknown) -> (Vec<String>, Vec<String>) {
        let source = Source::made(Path::new("a.toml"), text.to_owned());
        let parsed = match Parsed::of(&source) {
            Ok(parsed) => parsed,
            Err(flaws) => return (flaws.iter().map(ToString::to_string).collect(), Vec::new()),
        };
        let (mut walker, mut top) = (Walker::new(&source), parsed.top("file"));
        walker.want(&mut top, "name", line(8));
        walker.want(&mut top, "side = \"left\"", super::super::values::word::<Side>);
        walker.may(&mut top, "seconds", number::<u32>(5..=60, 5));
        walker.list(&mut top, "notes", super::super::values::text);
        if let Some(sides) = walker.table(&mut top, "sides", "table of sides") {
            walker.by_word::<Side, i64>(&sides, integer);
        }
        for mut item in walker.tables(&mut top, "item", "item") {
            walker.want(&mut item, "name", self::text);
            walker.finish(&item, unknown);
        }
        walker.finish(&top, unknown);
        let said = |flaws: Vec<Flaw>| flaws.iter().map(ToString::to_string).collect();
        match walker.end(Some(())) {
            Ok(((), unknown)) => (Vec::new(), said(unknown)),
            Err(flaws) => (said(flaws), Vec::new()),
        }
    }

    #[test]
    fn every_flaw_is_found_with_its_place_and_a_remedy() {
        let text = "name = \"\"\nseconds = 7\nnotes = [1]\nsides = { lft = 1, right = \"a\" }\nitem = 3\n";
        let (flaws, _) = flaws(text, Unknown::Flaw);
        let wanted = [
            "a.toml:1:1: `side` is missing in this file; add `side = \"left\"`",
            "a.toml:1:8: name: there is nothing in the quotes; write one line",
            "a.toml:2:11: seconds: 7 is not a multiple of 5; use 5 or 10",
            "a.toml:3:10: notes: expected text in quotes, found a whole number; write it like \"text\"",
            "a.toml:4:11: table of sides: unknown side `lft`; did you mean `left`?",
            "a.toml:4:28: right: expected a whole number, found text in quotes; write it like 30",
            "a.toml:5:8: expected [[item]] blocks, found a whole number; write each item under its own line `[[item]]`",
        ];
        assert_eq!(flaws, wanted);
    }

    #[test]
    fn keys_that_nobody_asks_for_are_flaws_or_are_kept_and_mentioned() {
        let text = "name = \"a\"\nside = \"left\"\nsecond = 5\n[[item]]\nname = \"a\"\ncolour = 1\n";
        let (wrong, _) = flaws(text, Unknown::Flaw);
        assert_eq!(wrong[0], "a.toml:3:1: unknown key `second` in this file; did you mean `seconds`?");
        assert_eq!(wrong[1], "a.toml:6:1: unknown key `colour` in this item; remove it; known are `name`");
        let (wrong, kept) = flaws(text, Unknown::Kept);
        assert_eq!(wrong, [""; 0]);
        assert!(kept[0].ends_with("it is kept, but means nothing here; did you mean `seconds`?"), "{kept:?}");
    }

    #[test]
    fn a_broken_line_is_the_only_flaw() {
        let (flaws, _) = flaws("name = \n side = \"lft\"", Unknown::Flaw);
        assert_eq!(flaws.len(), 1);
        assert!(flaws[0].starts_with("a.toml:1:"), "{flaws:?}");
    }
}
