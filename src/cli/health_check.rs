//! `matside screen`: the questions before hands-on work, and what came of them.

use crate::caution::ConditionId;
use crate::caution::screening::{Weight, questions};
use crate::client::Screening;
use crate::failure::Failure;
use crate::text::{self, Safe};

use super::console::Console;

/// Columns of the text.
const WIDTH: usize = 78;

/// Show the questions before hands-on work, or note for a client that they were asked today
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    #[arg(requires = "outcome")]
    client: Option<String>,

    #[command(flatten)]
    noted: Noted,

    /// Say who cleared what earlier health checks left open, such as "her doctor, by phone"
    #[arg(long, value_name = "WHO", requires = "clear")]
    cleared_by: Option<String>,

    /// Add the client's words
    #[arg(long, default_value = "", requires = "client")]
    note: String,
}

#[derive(Debug, clap::Args)]
#[group(id = "outcome", multiple = false, requires = "client")]
struct Noted {
    /// Note that every answer was a plain no
    #[arg(long)]
    clear: bool,

    /// Note that something is left to clear up
    #[arg(long)]
    open: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let Some(needle) = &arguments.client else { return ask(console) };
    let store = console.store()?;
    let mut profile = store.load(&store.find(needle)?)?.profile;
    let on = console.now.date_naive();
    let clear = arguments.noted.clear;
    if let Some(by) = &arguments.cleared_by {
        profile.clear_open_points(by.trim(), on);
    }
    profile.add_screening(if clear {
        Screening { note: arguments.note.clone(), ..Screening::clear(on) }
    } else {
        Screening::left_open(on, arguments.note.as_str())
    });
    store.save_profile(&profile, &console.attribution(&store))?;
    let outcome = if clear { "all clear" } else { "something is left to clear up" };
    writeln!(console.out, "{}, screened {on}: {outcome}", Safe::from_foreign(&profile.name))?;
    for (since, open) in profile.open_points(on).filter(|_| clear) {
        let what = Safe::from_foreign(&open.what);
        writeln!(console.out, "  still open since {since}: {what}; --cleared-by says who cleared it")?;
    }
    console.tell(&store.take_notices())
}

fn ask(console: &mut Console) -> Result<(), Failure> {
    for (number, question) in questions().iter().enumerate() {
        let said = match question.yes {
            Weight::Stop => format!("a yes stops the session: {}", question.say),
            Weight::Ask => format!("a yes: {}", question.say),
        };
        indented(console, &format!("{:>2}. ", number + 1), &question.ask)?;
        indented(console, "    ", &said)?;
        let conditions: Vec<&str> = question.conditions.iter().map(ConditionId::as_str).collect();
        if !conditions.is_empty() {
            indented(console, "    ", &format!("see {}", conditions.join(", ")))?;
        }
    }
    writeln!(console.out, "\nnote the outcome with `matside screen CLIENT --clear` or `--open`")?;
    Ok(())
}

fn indented(console: &mut Console, label: &str, said: &str) -> Result<(), Failure> {
    for (number, line) in text::wrap(said, WIDTH - 4).iter().enumerate() {
        writeln!(console.out, "{}{line}", if number == 0 { label } else { "    " })?;
    }
    Ok(())
}
