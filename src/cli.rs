//! The commands, one file each.

mod ask;
mod catalogue;
mod cautions;
mod check;
mod clients;
mod completions;
mod decrypt;
pub mod demo;
mod encrypt;
mod forget;
mod frontier;
#[cfg(any(test, fuzzing))]
pub mod fuzzed;
mod history;
mod log;
mod lookup;
mod mend;
mod merge;
mod new;
mod plan;
mod screen;
mod settle;
mod sheet;
mod trainer;
mod unseen;
mod values;
mod when;

use std::ffi::OsString;
use std::io::{Read, Write};
use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};
use clap::{Parser, Subcommand};
use zeroize::Zeroizing;

use crate::client::Attribution;
use crate::failure::Failure;
use crate::store::{Store, StoreError, passphrase_from};
use crate::text::Safe;

pub use when::Zone;

/// Plan, run and log the stretching at the end of a client's session
#[derive(Debug, Parser)]
#[command(name = "matside", version)]
#[command(after_help = "matside works offline; client files stay in the data folder on this machine.\n\
    It does not diagnose or treat: local law and licensed practice come first.")]
pub struct Arguments {
    /// Use this data folder instead of the usual one
    #[arg(long, global = true, value_name = "DIR")]
    data: Option<PathBuf>,

    /// Read the passphrase of an encrypted data folder from the first line of this file
    #[arg(long, global = true, value_name = "FILE", env = "MATSIDE_PASSPHRASE_FILE", hide_env_values = true)]
    passphrase_file: Option<PathBuf>,

    /// Take this moment as now, such as 2026-11-25T18:40:00+01:00
    #[arg(long, global = true, hide = true, value_name = "TIME", value_parser = values::moment)]
    now: Option<DateTime<FixedOffset>>,

    #[command(flatten)]
    looks: Looks,

    /// Without one, open the screens
    #[command(subcommand)]
    command: Option<Command>,
}

/// How the screens are to look; the terminal is asked where nothing is said.
#[derive(Debug, Clone, Copy, Default, clap::Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own on the command line")]
pub struct Looks {
    /// Give the screens as plain lines, for a screen reader; keys are words on lines (`help` lists them)
    #[arg(long, global = true)]
    pub linear: bool,

    /// Draw with ASCII only
    #[arg(long, global = true)]
    pub ascii: bool,

    /// Draw pictures with half blocks, where the font has no quadrant blocks
    #[arg(long, global = true)]
    pub half_blocks: bool,

    /// Draw the screens without colour, as the variable `NO_COLOR` asks too
    #[arg(long, global = true)]
    pub no_color: bool,

    /// Draw the screens for a light background
    #[arg(long, global = true)]
    pub light: bool,

    /// Take clicks and the wheel; the terminal's own marking of text then needs the shift key
    #[arg(long, global = true)]
    pub mouse: bool,

    /// Do not ring the bell at each change
    #[arg(long, global = true)]
    pub quiet: bool,
}

/// What is left to do when a command has run.
#[derive(Debug)]
pub enum Next {
    /// Nothing.
    Done,
    /// The screens are to be opened on this data folder.
    Screens {
        /// The data folder.
        store: Store,
        /// How they are to look.
        looks: Looks,
        /// The moment that is taken for now, where one was given.
        now: Option<DateTime<FixedOffset>>,
    },
}

#[derive(Debug, Subcommand)]
enum Command {
    Plan(plan::Arguments),
    Frontier(frontier::Arguments),
    Log(log::Arguments),
    History(history::Arguments),
    Clients(clients::Arguments),
    New(new::Arguments),
    Screen(screen::Arguments),
    Trainer(trainer::Arguments),
    Catalogue(catalogue::Arguments),
    Cautions(cautions::Arguments),
    Check(check::Arguments),
    Merge(merge::Arguments),
    Mend(mend::Arguments),
    Settle(settle::Arguments),
    Forget(forget::Arguments),
    Encrypt(encrypt::Arguments),
    Decrypt(decrypt::Arguments),
    Demo(demo::Arguments),
    Completions(completions::Arguments),
}

/// What a command is handed: where it reads and writes, and what time it is.
pub struct Context<'a> {
    /// Standard output, or what stands in for it.
    pub out: &'a mut dyn Write,
    /// Standard error, for remarks beside the answer.
    pub err: &'a mut dyn Write,
    /// Standard input, or what stands in for it.
    pub input: &'a mut dyn Read,
    /// The current moment, with the local offset.
    pub now: DateTime<FixedOffset>,
    /// The machine's time zone.
    pub zone: Zone,
    /// Whether a person sits at both ends.
    pub terminal: bool,
    /// The data folder that was asked for; none for the usual one.
    pub data: Option<PathBuf>,
    /// The file with the passphrase of an encrypted data folder; none to be asked for it.
    pub passphrase_file: Option<PathBuf>,
    /// Whether only ASCII may be drawn.
    pub ascii: bool,
}

impl Context<'_> {
    /// The data folder; if it is encrypted, with its passphrase given.
    fn store(&self) -> Result<Store, Failure> {
        self.unlocked(self.closed_store()?)
    }

    /// The data folder as it is found.
    fn closed_store(&self) -> Result<Store, StoreError> {
        Store::open(self.data.clone().map_or_else(Store::default_root, Ok)?)
    }

    /// Gives a data folder its passphrase, if it wants one.
    fn unlocked(&self, store: Store) -> Result<Store, Failure> {
        if !store.is_locked() {
            return Ok(store);
        }
        let question = format!("Passphrase of {}: ", Safe::from_foreign(store.root().display().to_string()));
        Ok(store.unlock(&self.passphrase(&question)?)?)
    }

    /// Reads a passphrase from its file, or has it typed unseen.
    fn passphrase(&self, question: &str) -> Result<Zeroizing<String>, Failure> {
        if let Some(path) = &self.passphrase_file {
            return Ok(passphrase_from(path)?);
        }
        if !self.terminal {
            return Err(Failure::new(
                "the data folder is encrypted, and there is no terminal to ask for its passphrase",
            )
            .hint("name a file that holds it: --passphrase-file FILE, or MATSIDE_PASSPHRASE_FILE"));
        }
        let typed = unseen::read(question)
            .map_err(|error| Failure::new(format_args!("cannot read the passphrase: {error}")))?;
        typed.ok_or_else(|| Failure::new("no passphrase was given; nothing was done"))
    }

    /// Who writes something down now: the trainer of this data folder, as far as a name is set.
    fn attribution(&self, store: &Store) -> Attribution {
        let by = store.trainer().map(|trainer| trainer.name).unwrap_or_default();
        Attribution { at: self.now, by }
    }

    /// Passes on what the store wants the trainer to know, beside the answer.
    fn tell(&mut self, notices: &[String]) -> Result<(), Failure> {
        for notice in notices {
            writeln!(self.err, "note: {}", Safe::from_foreign(notice))?;
        }
        Ok(())
    }
}

/// What the store says is passed on as it is: it names the place and the remedy.
impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        let shown: Vec<String> = error.flaws().iter().map(|flaw| flaw.render(false)).collect();
        if shown.is_empty() {
            return Self::new(error);
        }
        let shown = shown.join("\n");
        Self::new(shown.strip_prefix("error: ").unwrap_or(&shown))
    }
}

/// Runs the command that `arguments`, the program's name first, ask for.
///
/// # Errors
/// Says what could not be done and why; help and version count as done.
pub fn run(arguments: impl IntoIterator<Item = OsString>, context: &mut Context) -> Result<Next, Failure> {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(refused) => return explain(&refused, context).map(|()| Next::Done),
    };
    if let Some(now) = arguments.now {
        context.now = now;
    }
    (context.data, context.passphrase_file) = (arguments.data, arguments.passphrase_file);
    context.ascii = arguments.looks.ascii;
    let screens = |store| Next::Screens { store, looks: arguments.looks, now: arguments.now };
    match arguments.command {
        None => return Ok(screens(context.store()?)),
        Some(Command::Demo(_)) if context.terminal || arguments.looks.linear => {
            return Ok(screens(demo::in_scratch(context.now.date_naive(), *context.now.offset())?));
        }
        Some(command) => command.run(context)?,
    }
    Ok(Next::Done)
}

impl Command {
    fn run(self, context: &mut Context) -> Result<(), Failure> {
        match self {
            Self::Catalogue(command) => catalogue::run(command, context),
            Self::Cautions(command) => cautions::run(&command, context),
            Self::Clients(_) => clients::run(context),
            Self::Demo(_) => demo::run(context),
            Self::Check(command) => check::run(&command, context),
            Self::Forget(command) => forget::run(&command, context),
            Self::Encrypt(command) => encrypt::run(&command, context),
            Self::Decrypt(_) => decrypt::run(context),
            Self::Screen(command) => screen::run(command, context),
            Self::Trainer(command) => trainer::run(command, context),
            Self::Mend(command) => mend::run(&command, context),
            Self::Settle(command) => settle::run(&command, context),
            Self::Merge(command) => merge::run(&command, context),
            Self::History(command) => history::run(command, context),
            Self::Frontier(command) => frontier::run(&command, context),
            Self::Log(command) => log::run(&command, context),
            Self::New(command) => new::run(command, context),
            Self::Plan(command) => plan::run(&command, context),
            Self::Completions(command) => completions::run(&command, context),
        }
    }
}

/// Prints help and version; anything else that clap has to say becomes a failure.
fn explain(refused: &clap::Error, context: &mut Context) -> Result<(), Failure> {
    let text = refused.render().to_string();
    if refused.use_stderr() {
        let text = text.trim_end();
        let text = text.strip_prefix("error: ").unwrap_or(text);
        return Err(Failure::usage(text));
    }
    writeln!(context.out, "{}", text.trim_end())?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_fit_together() {
        Arguments::command().debug_assert();
    }
}
