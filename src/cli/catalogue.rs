//! `matside catalogue`: the stretches that a plan may choose from.

use clap::Subcommand;

use crate::catalogue::{Position, Stretch};
use crate::failure::Failure;
use crate::figure::{Blocks, draw};
use crate::handout::catalogue_text::{Filter, StretchText, list};
use crate::handout::picture::{alt, worked};

use super::choices;
use super::console::Console;
use super::lookup;
use super::values::{self, Muscles};

#[derive(Debug, clap::Args)]
#[command(args_conflicts_with_subcommands = true)]
#[command(after_long_help = choices::listed(&[choices::MUSCLES, choices::POSITIONS]))]
pub(super) struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,

    /// Show only what reaches this muscle or group
    #[arg(long, value_name = "MUSCLE", value_parser = values::muscles)]
    muscle: Option<Muscles>,

    /// Show only what is done in this position, such as supine or seated
    #[arg(long, value_name = "POSITION", value_parser = Position::named)]
    position: Option<Position>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Show a stretch with all its forms
    Show {
        /// The id of the stretch
        id: String,

        /// Draw each form, in dots, as is done on a terminal
        #[arg(long)]
        pictures: bool,
    },
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let catalogue = console.store()?.catalogue()?;
    if let Some(Command::Show { id, pictures }) = &arguments.command {
        let id = lookup::stretch(id, &catalogue)?;
        if let Some(stretch) = catalogue.stretch(&id) {
            write!(console.out, "{}", StretchText(stretch, console.columns))?;
            if (*pictures || console.terminal) && !console.ascii {
                write_pictures(stretch, console)?;
            }
        }
        return Ok(());
    }
    let muscles = arguments.muscle.as_ref().map(|Muscles(muscles)| muscles.clone()).unwrap_or_default();
    let listed = list(&catalogue, &Filter { muscles, position: arguments.position }, console.columns);
    if listed.is_empty() {
        return Err(Failure::new("no stretch reaches that muscle in that position")
            .hint("leave out --position or --muscle to see more"));
    }
    console.out.write_all(listed.as_bytes())?;
    Ok(())
}

/// Draws every form of a stretch, the left side worked, with its name below.
fn write_pictures(stretch: &Stretch, console: &mut Console) -> Result<(), Failure> {
    /// Columns and rows of a picture.
    const SIZE: (u16, u16) = (48, 14);
    for form in &stretch.forms {
        let picture = draw(form, worked(form), SIZE, Blocks::Outlines);
        writeln!(console.out)?;
        for line in picture.text().lines().skip_while(|line| line.is_empty()) {
            writeln!(console.out, "  {line}")?;
        }
        writeln!(console.out, "  {}: {}", form.id, alt(form))?;
    }
    Ok(())
}
