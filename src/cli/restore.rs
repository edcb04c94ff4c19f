//! `matside restore`: a data folder made of a backup.

use std::path::PathBuf;

use crate::failure::Failure;
use crate::text::Safe;

use super::backup::words;
use super::console::Console;

#[derive(Debug, clap::Args)]
#[command(
    after_help = "With --data DIR another folder is made of it. A folder that holds anything is left alone, or with \
    --replace moved aside as a whole, under a name that is said: so a merge or a forgetting is undone."
)]
pub(super) struct Arguments {
    /// The backup
    file: PathBuf,

    /// Move a data folder that is there aside, and put the backup's in its place
    #[arg(long)]
    replace: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.closed_store()?;
    let restored = store.restore(&arguments.file, arguments.replace)?;
    let folder = Safe::from_foreign(store.root().display().to_string());
    writeln!(console.out, "{folder} is as in the backup: {}", words(&restored.holds))?;
    if let Some(aside) = restored.aside {
        let aside = Safe::from_foreign(aside.display().to_string());
        writeln!(console.out, "what stood there before is in {aside}; remove it when all is well")?;
    }
    console.tell(&store.take_notices())
}
