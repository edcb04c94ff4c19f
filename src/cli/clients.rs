//! `matside clients`: who is in the data folder.

use crate::failure::Failure;
use crate::text::{self, Safe};

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {}

pub(super) fn run(_arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let roster = store.roster()?;
    if roster.entries.is_empty() && roster.problems.is_empty() {
        writeln!(console.out, "no clients in {}", Safe::from_foreign(store.root().display().to_string()))?;
        writeln!(console.out, "add one with `matside new NAME`, or look around with `matside demo`")?;
        return Ok(());
    }
    for entry in &roster.entries {
        let last = entry.last.map_or_else(|| "never".to_owned(), |at| at.date_naive().to_string());
        let mut line = format!(
            "{} {} last {last}",
            text::pad(&Safe::from_foreign(&entry.name), 24, "…"),
            text::pad(entry.id.as_str(), 20, "…"),
        );
        if entry.conditions > 0 {
            line.extend([", ", &text::count(entry.conditions, "condition")]);
        }
        if entry.unfinished {
            line += ", cut off";
        }
        writeln!(console.out, "{line}")?;
    }
    if roster.problems.is_empty() {
        return Ok(());
    }
    let problems: Vec<String> = roster.problems.iter().map(ToString::to_string).collect();
    Err(Failure::new(problems.join("\n")).hint("the other clients are listed; `matside check` tells more"))
}
