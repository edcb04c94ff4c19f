//! `matside decrypt`: the data folder as plain text again.

use crate::failure::Failure;

use super::console::Console;
use super::encrypt;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {}

pub(super) fn run(_arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    if !store.is_encrypted() {
        return Err(Failure::new("the data folder is not encrypted"));
    }
    let converted = store.decrypt()?;
    console.tell(&store.take_notices())?;
    encrypt::told(&converted, "decrypted", console)?;
    writeln!(
        console.out,
        "The key is put aside in the data folder: remove passphrase.old-*.toml when no encrypted copy is left."
    )?;
    Ok(())
}
