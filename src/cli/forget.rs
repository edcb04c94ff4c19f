//! `matside forget`: everything about a client, removed.

use crate::client::ClientId;
use crate::failure::Failure;
use crate::store::Store;
use crate::text::Safe;

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client's id, in full: what is removed cannot be brought back
    client: String,

    /// Say that it is meant
    #[arg(long)]
    yes: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let id = exact(&store, &arguments.client)?;
    if !arguments.yes {
        let name = store.load(&id).map(|client| client.profile.name).unwrap_or_default();
        let name = Safe::from_foreign(&name);
        return Err(Failure::usage(format_args!("this removes everything about {id} ({name}), for good"))
            .hint(format_args!("if that is meant: `matside forget {id} --yes`; nothing was removed")));
    }
    for path in store.forget(&id)? {
        writeln!(console.out, "removed {}", Safe::from_foreign(path.display().to_string()))?;
    }
    writeln!(
        console.out,
        "Backups, synchronised folders, other laptops and what was printed or exported are out of reach: look there too."
    )?;
    console.tell(&store.take_notices())
}

/// The client of this id. A part of a name would do for another client once the first is gone.
fn exact(store: &Store, typed: &str) -> Result<ClientId, Failure> {
    let refused = Failure::usage(format_args!("`{typed}` is no client's id; nothing was removed"));
    match ClientId::new(typed).ok().filter(|id| store.has(id)) {
        Some(id) => Ok(id),
        None => Err(match store.find(typed) {
            Ok(near) => {
                let name = store.load(&near).map(|client| client.profile.name).unwrap_or_default();
                refused.hint(format_args!(
                    "it fits {near}, who is {}: write the id in full",
                    Safe::from_foreign(&name)
                ))
            }
            Err(_) => refused.hint("`matside clients` lists the ids"),
        }),
    }
}
