//! `matside merge`: two copies that went apart, united.

use std::path::PathBuf;

use crate::failure::{Failure, Status};
use crate::store::{self, Merged, Store};
use crate::text;

use super::Context;

/// Unite two copies of a client's file or of a whole data folder: B goes into A
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The file or folder that is written
    #[arg(value_name = "A")]
    into: PathBuf,

    /// The file or folder that is only read
    #[arg(value_name = "B")]
    other: PathBuf,
}

pub(super) fn run(arguments: &Arguments, context: &mut Context) -> Result<(), Failure> {
    let (into, other) = (&arguments.into, &arguments.other);
    match (into.is_dir(), other.is_dir()) {
        (true, true) => {
            let into = context.unlocked(Store::open(into)?)?;
            folders(&into, &context.unlocked(Store::open(other)?)?, context)
        }
        (false, false) => {
            let merged = match store::place_of(into) {
                Some((folder, id)) => context.unlocked(Store::open(folder)?)?.merge_copy(&id, other)?,
                None => store::merge_files(into, other)?,
            };
            told(&merged.client.profile.name.clone(), &merged, context)
        }
        _ => Err(Failure::usage("one of the two is a folder and the other is not")
            .hint("give two files of one client, or two data folders")),
    }
}

fn folders(into: &Store, other: &Store, context: &mut Context) -> Result<(), Failure> {
    let result = into.merge_folder(other)?;
    for (id, merged) in &result.merged {
        told(id.as_str(), merged, context)?;
    }
    for id in &result.copied {
        writeln!(context.out, "{id}: copied, was only in the other folder")?;
    }
    if result.merged.is_empty() && result.copied.is_empty() && result.problems.is_empty() {
        writeln!(context.out, "the other folder has no clients")?;
    }
    if result.problems.is_empty() {
        return Ok(());
    }
    let problems: Vec<String> = result.problems.iter().map(ToString::to_string).collect();
    Err(Failure { status: Status::Failed, message: problems.join("\n"), hints: Vec::new() }
        .hint("both copies of these are as they were; the others are merged"))
}

fn told(who: &str, merged: &Merged, context: &mut Context) -> Result<(), Failure> {
    let sessions = text::count(merged.added_sessions, "session", "sessions");
    let reports = text::count(merged.added_reports, "report", "reports");
    writeln!(context.out, "{}: {sessions} and {reports} added", text::harmless(who))?;
    for clash in &merged.clashes {
        let values: Vec<String> =
            clash.values.iter().map(|value| text::harmless(value).into_owned()).collect();
        writeln!(context.out, "  they disagree about {}: {}", clash.of, values.join(" or "))?;
        writeln!(
            context.out,
            "  both are kept; choose with `matside settle {} {}`",
            merged.client.profile.id, clash.of
        )?;
    }
    Ok(())
}
