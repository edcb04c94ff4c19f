//! `matside completions`: a script that completes commands in a shell.

use clap::CommandFactory;
use clap_complete::Shell;

use crate::failure::Failure;

use super::console::Console;

/// Print a completion script for a shell
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The shell to write it for
    shell: Shell,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    // The generator panics where writing fails, so it fills a buffer first.
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut super::Arguments::command(), "matside", &mut script);
    console.out.write_all(&script)?;
    Ok(())
}
