//! `matside completions`: what makes a shell complete the program's commands, options and values.

use clap_complete::Shell;
use clap_complete::env::Shells;

use crate::failure::Failure;

use super::completing::VARIABLE;
use super::console::Console;

#[derive(Debug, clap::Args)]
#[command(after_help = "bash: add `source <(matside completions bash)` to ~/.bashrc. \
    zsh: the same in ~/.zshrc, behind compinit. \
    fish: matside completions fish > ~/.config/fish/completions/matside.fish. \
    PowerShell: matside completions powershell | Out-String | Invoke-Expression, in $PROFILE.")]
pub(super) struct Arguments {
    /// The shell to write it for
    shell: Shell,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let name = arguments.shell.to_string();
    let shells = Shells::builtins();
    let shell = shells.completer(&name).ok_or_else(|| Failure::usage(format_args!("no shell `{name}`")))?;
    let mut script = Vec::new();
    shell.write_registration(VARIABLE, "matside", "matside", "matside", &mut script)?;
    console.out.write_all(&script)?;
    Ok(())
}
