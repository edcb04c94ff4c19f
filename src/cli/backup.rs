//! `matside backup`: everything in one file.

use std::path::PathBuf;

use crate::failure::Failure;
use crate::store::{BackedUp, look_into};
use crate::text::{Safe, count};

use super::console::Console;

#[derive(Debug, clap::Args)]
#[command(
    after_help = "The file is a tar archive with a list of SHA-256 checksums; `matside restore` makes a data folder \
    of it again. What is encrypted stays encrypted in it, and needs its passphrase. A client who is forgotten stays in \
    older backups: remove those as well."
)]
pub(super) struct Arguments {
    /// The file to write, such as matside-2026-11-25.tar; one that is there is never written over
    file: PathBuf,

    /// Look into this backup and hold it against its checksums; write nothing
    #[arg(long)]
    check: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let shown = Safe::from_foreign(arguments.file.display().to_string());
    if arguments.check {
        let holds = look_into(&arguments.file)?;
        writeln!(console.out, "{shown} is whole: {}", words(&holds))?;
        return Ok(());
    }
    console.refuse_missing_folder()?;
    // The files are taken as they are: no passphrase is asked for.
    let store = console.closed_store()?;
    let holds = store.back_up(&arguments.file)?;
    writeln!(console.out, "{shown} is written and read back: {}", words(&holds))?;
    console.tell(&store.take_notices())
}

/// What a backup holds, in words.
pub(super) fn words(holds: &BackedUp) -> String {
    let encrypted = if holds.is_encrypted() { ", encrypted" } else { "" };
    format!("{}, {}{encrypted}", count(holds.clients(), "client"), count(holds.files.len(), "file"))
}
