//! `matside forget`: everything about a client, removed.

use crate::failure::Failure;
use crate::text;

use super::Context;

/// Remove everything about a client from the data folder, for good
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say that it is meant
    #[arg(long)]
    yes: bool,
}

pub(super) fn run(arguments: &Arguments, context: &mut Context) -> Result<(), Failure> {
    let store = context.store()?;
    let id = store.find(&arguments.client)?;
    if !arguments.yes {
        return Err(Failure::usage(format_args!("this removes everything about {id}, for good"))
            .hint(format_args!("if that is meant: `matside forget {id} --yes`; nothing was removed")));
    }
    for path in store.forget(&id)? {
        writeln!(context.out, "removed {}", text::harmless(&path.display().to_string()))?;
    }
    writeln!(
        context.out,
        "Backups, synchronised folders, other laptops and what was printed or exported are out of reach: look there too."
    )?;
    Ok(())
}
