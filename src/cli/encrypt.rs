//! `matside encrypt`: what the data folder holds about clients, sealed with a passphrase.

use zeroize::Zeroizing;

use crate::failure::Failure;
use crate::store::Converted;
use crate::text::{self, Safe};

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Say that it is understood: a lost passphrase is lost data
    #[arg(long)]
    yes: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.closed_store()?;
    if !store.is_encrypted() && !arguments.yes {
        return Err(Failure::usage(
            "a lost passphrase is lost data: without it nobody can ever open the files",
        )
        .hint("the file passphrase.toml, which is made, is needed too: keep a copy of it with your copies")
        .hint("if that is understood: `matside encrypt --yes`; nothing was changed"));
    }
    let passphrase =
        if store.is_encrypted() { console.passphrase("Passphrase: ")? } else { chosen(console)? };
    let (_, converted) = store.encrypt(&passphrase)?;
    console.tell(&store.take_notices())?;
    told(&converted, "encrypted", console)?;
    writeln!(
        console.out,
        "The names of the files still show the ids. Copies from before are out of reach: backups, synchronised \
         folders, other laptops, and what the disk keeps of files that are gone. Look there too."
    )?;
    Ok(())
}

/// A new passphrase; what is typed unseen is typed twice.
fn chosen(console: &Console) -> Result<Zeroizing<String>, Failure> {
    let passphrase = console.passphrase("New passphrase, several words: ")?;
    if console.passphrase_file.is_none() && *console.passphrase("Once more: ")? != *passphrase {
        return Err(Failure::new("the two are not the same; nothing was changed"));
    }
    Ok(passphrase)
}

/// Says what came of it; what is still as it was is a failure.
pub(super) fn told(converted: &Converted, what: &str, console: &mut Console) -> Result<(), Failure> {
    writeln!(console.out, "{what}: {}", text::count(converted.clients.len(), "client"))?;
    for path in &converted.untouched {
        let path = path.display().to_string();
        writeln!(console.out, "left as it is, for it is no client's file: {}", Safe::from_foreign(&path))?;
    }
    if converted.problems.is_empty() {
        return Ok(());
    }
    let problems: Vec<String> = converted.problems.iter().map(ToString::to_string).collect();
    Err(Failure::new(problems.join("\n"))
        .hint(format_args!("these are not {what} yet; mend them, then do it again")))
}
