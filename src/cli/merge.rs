//! `matside merge`: two copies that went apart, united.

use std::path::PathBuf;

use crate::failure::Failure;
use crate::store::{self, Merged, SamePerson, Store, StoreError};
use crate::text::{self, Safe};

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The file or folder that is written
    #[arg(value_name = "A")]
    into: PathBuf,

    /// The file or folder that is only read
    #[arg(value_name = "B")]
    other: PathBuf,

    /// Say that the files are of one person although names or births differ
    #[arg(long)]
    same_person: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let (into, other) = (&arguments.into, &arguments.other);
    let same = if arguments.same_person { SamePerson::Said } else { SamePerson::AsFarAsSeen };
    match (into.is_dir(), other.is_dir()) {
        (true, true) => {
            let into = console.unlocked(Store::open(into)?)?;
            folders(&into, &console.unlocked(Store::open(other)?)?, same, console)
        }
        (false, false) => {
            let merged = match store::place_of(into) {
                Some((folder, id)) => {
                    let into = console.unlocked(Store::open(folder)?)?;
                    let merged = into.merge_copy(&id, other, same).map_err(refused)?;
                    console.tell(&into.take_notices())?;
                    merged
                }
                None => store::merge_files(into, other, same).map_err(refused)?,
            };
            let who = into.file_stem().and_then(|stem| stem.to_str()).unwrap_or("the file");
            told(who, &merged, console)
        }
        _ => Err(Failure::usage("one of the two is a folder and the other is not")
            .hint("give two files of one client, or two data folders")),
    }
}

/// Says how it is merged all the same, where the files do not seem to be of one person.
fn refused(error: StoreError) -> Failure {
    let is_other = matches!(error, StoreError::OtherPerson { .. });
    let failure = Failure::from(error);
    if is_other { failure.hint("if they are one person: the same with `--same-person`") } else { failure }
}

fn folders(into: &Store, other: &Store, same: SamePerson, console: &mut Console) -> Result<(), Failure> {
    let result = into.merge_folder(other, same)?;
    console.tell(&into.take_notices())?;
    for (id, merged) in &result.merged {
        told(id.as_str(), merged, console)?;
    }
    for id in &result.copied {
        writeln!(console.out, "{id}: copied, was only in the other folder")?;
    }
    if result.merged.is_empty() && result.copied.is_empty() && result.problems.is_empty() {
        writeln!(console.out, "the other folder has no clients")?;
    }
    if result.problems.is_empty() {
        return Ok(());
    }
    let problems: Vec<String> = result.problems.iter().map(ToString::to_string).collect();
    Err(Failure::new(problems.join("\n"))
        .hint("both copies of these are as they were; the others are merged"))
}

fn told(who: &str, merged: &Merged, console: &mut Console) -> Result<(), Failure> {
    let sessions = text::count(merged.added_sessions, "session");
    let reports = text::count(merged.added_reports, "report");
    let who = Safe::from_foreign(who);
    writeln!(console.out, "{who}: {sessions} and {reports} added")?;
    for (at, open) in &merged.disagreements {
        let at = at.map(|at| format!(" in the session of {}", at.naive_local())).unwrap_or_default();
        let values: Vec<Safe> = open.values.iter().map(Safe::from_foreign).collect();
        writeln!(
            console.out,
            "  they disagree about {}{at}: {}",
            Safe::from_foreign(&open.of),
            values.join(" or ")
        )?;
    }
    if !merged.disagreements.is_empty() {
        writeln!(console.out, "  all of it is kept; `matside settle {who}` shows it and picks what counts")?;
    }
    Ok(())
}
