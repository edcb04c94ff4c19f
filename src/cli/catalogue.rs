//! `matside catalogue`: the stretches that a plan may choose from.

use clap::Subcommand;

use crate::catalogue::Position;
use crate::failure::Failure;
use crate::handout::catalogue_text::{Filter, StretchText, list};

use super::console::Console;
use super::lookup;
use super::values::{self, Muscles};

/// List the stretches, or show one in full
#[derive(Debug, clap::Args)]
#[command(args_conflicts_with_subcommands = true)]
pub(super) struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,

    /// Show only what reaches this muscle or group
    #[arg(long, value_name = "MUSCLE", value_parser = values::muscles)]
    muscle: Option<Muscles>,

    /// Show only what is done in this position, such as supine or seated
    #[arg(long, value_name = "POSITION")]
    position: Option<Position>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Show a stretch with all its forms
    Show {
        /// The id of the stretch
        id: String,
    },
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let catalogue = console.store()?.catalogue()?;
    if let Some(Command::Show { id }) = &arguments.command {
        let id = lookup::stretch(id, &catalogue)?;
        if let Some(stretch) = catalogue.stretch(&id) {
            write!(console.out, "{}", StretchText(stretch))?;
        }
        return Ok(());
    }
    let muscles = arguments.muscle.as_ref().map(|Muscles(muscles)| muscles.clone()).unwrap_or_default();
    let listed = list(&catalogue, &Filter { muscles, position: arguments.position });
    if listed.is_empty() {
        return Err(Failure::new("no stretch reaches that muscle in that position")
            .hint("leave out --position or --muscle to see more"));
    }
    console.out.write_all(listed.as_bytes())?;
    Ok(())
}
