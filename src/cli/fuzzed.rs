//! What the fuzz targets under `tests/fuzz` hand any words to.

use chrono::{DateTime, MappedLocalTime, Offset as _, Utc};
use clap::Parser as _;

use crate::body::Unit;
use crate::catalogue::Catalogue;
use crate::caution::{parse_meant, parse_recorded};
use crate::client::{Client, ClientId, Profile, trained_from};
use crate::text;

use super::console::Console;
use super::when::when;
use super::{Arguments, log, sheet, values};

/// Reads a command line, a word a line; nothing is run.
pub fn arguments(text: &str) {
    let read = Arguments::try_parse_from(std::iter::once("matside").chain(text.lines()));
    if let Err(refused) = read {
        let said = refused.render().to_string();
        assert!(!said.is_empty());
    }
}

/// Reads a line in every way that a word of the command line is read, and the whole as a sheet of a session.
pub fn words(text: &str) {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let now = DateTime::parse_from_rfc3339("2026-11-25T18:40:00+01:00").expect("a time");
    let profile = Profile::new(ClientId::new("rosa").expect("a plain word"), "Rosa");
    let client = Client::new(profile, Vec::new());
    for line in text.lines() {
        let _ = trained_from(line);
        let _ = values::muscles(line);
        let _ = values::minutes(line);
        let _ = values::equipment(line);
        let _ = values::usual_times(line);
        let _ = parse_meant(line);
        let _ = line.parse::<Unit>();
        let _ = values::date(line);
        let _ = values::moment(line);
        let _ = when(line).map(|when| when.beside(now, |_| MappedLocalTime::Single(Utc.fix())));
        let _ = parse_recorded(line).map(|recorded| recorded.told_on(now.date_naive()));
        let _ = sheet::reports(line, Catalogue::built_in(), &client);
    }
    let mut console = Console {
        out: &mut out,
        err: &mut err,
        input: &mut text.as_bytes(),
        now,
        zone: |_| MappedLocalTime::Single(Utc.fix()),
        terminal: false,
        data: None,
        passphrase_file: None,
        ascii: false,
        columns: text::USUAL_COLUMNS,
        folds: false,
    };
    let _ = log::sheet(&client, Catalogue::built_in(), &mut console);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_readme_shows_passes_what_fuzzing_checks() {
        let readme = include_str!("../../README.md");
        for line in readme.lines().filter_map(|line| line.strip_prefix("matside ")) {
            arguments(&line.replace(' ', "\n"));
        }
        words(readme);
        words("at = 2026-11-25T18:40\nreports = [\"straight-leg-raise left 30s 4; fine\"]\n");
    }
}
