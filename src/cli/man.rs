//! `matside man`: the manual pages, made of what help says.

use clap::CommandFactory as _;
use clap_mangen::Man;

use crate::failure::Failure;
use crate::names::nearest;

use super::console::Console;

#[derive(Debug, clap::Args)]
#[command(after_help = "To keep one: matside man plan > ~/.local/share/man/man1/matside-plan.1")]
pub(super) struct Arguments {
    /// The command, such as plan
    command: Option<String>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let mut all = super::Arguments::command();
    all.build();
    let chosen = match &arguments.command {
        None => all,
        Some(name) => all.find_subcommand(name).cloned().ok_or_else(|| {
            let near = nearest(name, all.get_subcommands().map(clap::Command::get_name));
            let refused = Failure::usage(format_args!("there is no command `{name}`"));
            near.map_or(refused.clone(), |near| refused.hint(format_args!("did you mean `{near}`?")))
        })?,
    };
    let mut page = Vec::new();
    Man::new(chosen).render(&mut page)?;
    console.out.write_all(&page)?;
    Ok(())
}
