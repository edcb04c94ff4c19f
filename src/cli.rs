//! The commands, one file each.

mod choices;
mod completing;
mod console;
mod folding;
#[cfg(any(test, fuzzing))]
pub mod fuzzed;
mod idle_looks;
mod lookup;
mod password_prompt;
mod request;
mod sheet;
mod values;
mod when;

use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use clap::{ArgMatches, CommandFactory as _, FromArgMatches as _, Parser, Subcommand};

use crate::failure::Failure;
use crate::store::Store;

use folding::Folding;

pub use console::{Console, text_columns};

pub use when::Zone;

/// Plan, run and log the stretching at the end of a client's session
#[derive(Debug, Parser)]
#[command(name = "matside", bin_name = "matside", version)]
#[command(after_help = "matside works offline; client files stay in the data folder on this machine.\n\
    It does not diagnose or treat: local law and licensed practice come first.\n\n\
    Exit codes: 0 done; 1 not done; 2 not asked for properly; 3 no stretching, or no hands, today.")]
pub struct Arguments {
    /// Use this data folder instead of the usual one
    #[arg(long, global = true, value_name = "DIR", env = "MATSIDE_DATA")]
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
#[derive(Debug, Clone, Default, clap::Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own on the command line")]
pub struct Looks {
    /// Give the screens as plain lines, for a screen reader; keys are words on lines (`help` lists them)
    #[arg(long, global = true)]
    pub linear: bool,

    /// With --linear: fewer words, a bell where a hold begins
    #[arg(long, global = true, requires = "linear")]
    pub brief: bool,

    /// Draw with ASCII only
    #[arg(long, global = true)]
    pub ascii: bool,

    /// Draw pictures with half blocks, where the font has no quadrant blocks
    #[arg(long, global = true, conflicts_with_all = ["ascii", "linear"])]
    pub half_blocks: bool,

    /// Draw the screens without colour, as the variable `NO_COLOR` asks too
    #[arg(long, global = true, conflicts_with = "linear")]
    pub no_color: bool,

    /// Draw the screens for a light background
    #[arg(long, global = true, conflicts_with = "linear")]
    pub light: bool,

    /// Take clicks and the wheel; the terminal's own marking of text then needs the shift key
    #[arg(long, global = true, conflicts_with = "linear")]
    pub mouse: bool,

    /// Do not ring the bell at each change
    #[arg(long, global = true)]
    pub quiet: bool,

    /// Speak short cues while a block runs: with this command, or with what the system has
    #[arg(
        long,
        global = true,
        value_name = "COMMAND",
        env = "MATSIDE_SPEAK",
        num_args = 0..=1,
        require_equals = true,
        default_missing_value = "auto"
    )]
    pub speak: Option<String>,

    /// The keys that a remote or foot pedal sends: back, on, and where it has more, third, fourth
    #[arg(long, global = true, value_name = "KEYS", env = "MATSIDE_REMOTE")]
    pub remote: Option<String>,
}

/// What is left to do when a command has run.
#[derive(Debug)]
pub enum After {
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

/// Which data folder a command works in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum WorksIn {
    /// One that is there: the command makes nothing in it, so that one that is not there must be a slip.
    Existing,
    /// One that is made where it is missing, or none.
    Any,
}

/// From one row a command: what it does, the module of its file, its arguments, the way to its `run`, and its data
/// folder.
///
/// What a command takes is set up when it is asked for: its lists of words take as long as a first frame. So what it
/// does is said here, and what is flattened into it carries no documentation comment, which would be taken for that.
macro_rules! commands {
    ($($(#[$summary:meta])+ $name:ident: $file:ident in $folder:ident),+ $(,)?) => {
        $(mod $file;)+

        #[derive(Debug, Subcommand)]
        #[command(defer = true)]
        enum Command { $($(#[$summary])+ $name($file::Arguments)),+ }

        impl Command {
            fn run(&self, console: &mut Console) -> Result<(), Failure> {
                match self { $(Self::$name(arguments) => $file::run(arguments, console)),+ }
            }

            const fn works_in(&self) -> WorksIn {
                match self { $(Self::$name(_) => WorksIn::$folder),+ }
            }
        }
    };
}

// As help lists them: the day's work, the clients, what may be looked up, the data folder.
commands! {
    /// Show who is expected today and why, blocks that were cut off, and what is due with each
    Today: today in Existing,
    /// Plan the closing block of a client or a walk-in
    Plan: plan in Any,
    /// Show what each further minute would buy
    Frontier: frontier in Any,
    /// Write a page for a client to take along
    Page: page in Existing,
    /// Write one client's data as CSV or JSON; without name, birth, conditions and remarks unless asked for
    Export: export in Existing,
    /// Log a session that took place, from --report or from a sheet on standard input
    Log: log in Existing,
    /// Show a client's sessions, each stretch over time, and what to do next time
    History: history in Existing,
    /// List the clients
    Clients: clients in Existing,
    /// Show what today's blocks asked of your own body, beside your usual day
    Day: day in Existing,
    /// Add a client; everything but the name is optional
    New: new in Any,
    /// Change what is on a client's card; without a change, show it
    Edit: edit in Existing,
    /// Show the questions before hands-on work, a client's answers, or note that they were asked today
    Screen: health_check in Any,
    /// Show or change who the trainer is, what is at hand, and how many minutes are usually left
    Trainer: trainer in Any,
    /// List the stretches, or show one in full
    Catalogue: catalogue in Any,
    /// List the conditions that can be recorded, or show one in full
    Cautions: cautions in Any,
    /// Examine the data folder, or a file of own stretches or of a client
    Check: check in Existing,
    /// Unite two copies of a client's file or of a whole data folder: B goes into A
    Merge: merge in Any,
    /// Put a saved session right, or take it back; without a change, show its reports with their numbers
    Mend: mend in Existing,
    /// Show what was stopped for pain, or note how it was the day after, or who cleared it
    Pain: pain in Existing,
    /// Show what merged copies of a client disagree about, or pick what counts
    Settle: settle in Existing,
    /// Remove everything about a client from the data folder, for good
    Forget: forget in Existing,
    /// Write the whole data folder into one new file, and read it back
    Backup: backup in Any,
    /// Make the data folder of a backup again
    Restore: restore in Any,
    /// Encrypt what the data folder holds about clients with a passphrase, or go on with that
    Encrypt: encrypt in Any,
    /// Make the files of an encrypted data folder plain text again, or go on with that
    Decrypt: decrypt in Existing,
    /// Open an invented studio in a scratch folder; without a terminal, print its plans of the day
    Demo: demo in Any,
    /// Print what makes a shell complete commands, options, clients, muscles and conditions
    Completions: completions in Any,
    /// Print the manual page of the program, or of one of its commands
    Man: man in Any,
}

/// Answers a shell that asks what may come next, if one does; whether it did.
///
/// # Errors
/// If the shell is not one that is known, or its question cannot be understood.
pub fn complete(words: Vec<OsString>, here: Option<&Path>) -> Result<bool, Failure> {
    let folder = completing::folder_in(&words);
    let command = || {
        let mut all = Arguments::command();
        // Until then a command does not know its options.
        all.build();
        completing::with_values(all, &folder)
    };
    let asked = clap_complete::CompleteEnv::with_factory(command).var(completing::VARIABLE);
    asked.try_complete(words, here).map_err(Failure::usage)
}

/// Runs the command that `arguments`, the program's name first, ask for.
///
/// # Errors
/// Says what could not be done and why; help and version count as done.
pub fn run(arguments: impl IntoIterator<Item = OsString>, console: &mut Console) -> Result<After, Failure> {
    let parsed = Arguments::command().try_get_matches_from(arguments);
    let parsed = parsed.and_then(|matches| Ok((Arguments::from_arg_matches(&matches)?, matches)));
    let (arguments, matches) = match parsed {
        Ok(parsed) => parsed,
        Err(refused) => return explain(&refused, console).map(|()| After::Done),
    };
    idle_looks::refuse(&matches)?;
    if let Some(now) = arguments.now {
        console.now = now;
    }
    (console.data, console.passphrase_file) = (arguments.data, arguments.passphrase_file);
    if arguments.command.as_ref().is_some_and(|command| command.works_in() == WorksIn::Existing) {
        console.refuse_missing_folder()?;
    }
    console.ascii = arguments.looks.ascii;
    let looks = arguments.looks.clone();
    let screens = |store| After::Screens { store, looks, now: arguments.now };
    match arguments.command {
        None => return Ok(screens(console.store()?)),
        Some(Command::Demo(_)) if console.terminal || arguments.looks.linear => {
            return Ok(screens(crate::demo::in_scratch(console.now.date_naive(), *console.now.offset())?));
        }
        Some(command) if console.folds && is_for_people(&matches) => {
            let mut out = Folding::new(console.out, console.columns + 2);
            let done = command.run(&mut Console {
                out: &mut out,
                err: console.err,
                input: console.input,
                data: console.data.clone(),
                passphrase_file: console.passphrase_file.clone(),
                ..*console
            });
            out.flush()?;
            done?;
        }
        Some(command) => command.run(console)?,
    }
    Ok(After::Done)
}

/// Whether what a command writes is read by people; what programs and printers read has its own lines.
fn is_for_people(matches: &ArgMatches) -> bool {
    matches.subcommand().is_none_or(|(name, given)| {
        let is_data = matches!(name, "page" | "export" | "completions" | "man");
        !is_data && !matches!(given.try_get_one::<bool>("json"), Ok(Some(true)))
    })
}

/// Prints help and version; anything else that clap has to say becomes a failure.
fn explain(refused: &clap::Error, console: &mut Console) -> Result<(), Failure> {
    let text = refused.render().to_string();
    if refused.use_stderr() {
        let text = text.trim_end();
        let text = text.strip_prefix("error: ").unwrap_or(text);
        return Err(Failure::usage(text));
    }
    if console.folds {
        let mut out = Folding::new(console.out, console.columns + 2);
        writeln!(out, "{}", text.trim_end())?;
        return Ok(out.flush()?);
    }
    writeln!(console.out, "{}", text.trim_end())?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arguments_fit_together() {
        Arguments::command().debug_assert();
        let mut all = Arguments::command();
        all.build();
        completing::with_values(all, &None).debug_assert();
    }
}
