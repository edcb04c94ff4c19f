//! `matside screen`: the questions before hands-on work, and what came of them.

use std::cmp::Reverse;

use chrono::NaiveDate;

use crate::caution::ConditionId;
use crate::caution::screening::{Weight, questions};
use crate::client::{Profile, Screening};
use crate::failure::Failure;
use crate::handout;
use crate::text::{self, Safe};

use super::console::Console;
use super::values;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else; without an outcome, show what was answered
    client: Option<String>,

    #[command(flatten)]
    noted: Noted,

    /// Say who cleared what earlier health checks left open, such as "her doctor, by phone"
    #[arg(long, value_name = "WHO", requires = "clear", conflicts_with = "open")]
    #[arg(value_parser = values::somebody)]
    cleared_by: Option<String>,

    /// Add the client's words
    #[arg(long, default_value = "", requires = "outcome")]
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
    console.refuse_missing_folder()?;
    let store = console.store()?;
    let mut profile = store.load(&store.find(needle)?)?.profile;
    let on = console.now.date_naive();
    let clear = arguments.noted.clear;
    if !clear && !arguments.noted.open {
        show(&profile, on, console)?;
        return console.tell(&store.take_notices());
    }
    if let Some(by) = &arguments.cleared_by {
        if profile.open_points(on).next().is_none() {
            return Err(Failure::usage("nothing is open that somebody could have cleared")
                .hint("leave out --cleared-by; nothing was noted"));
        }
        profile.clear_open_points(by, on);
    }
    profile.add_screening(if clear {
        Screening { note: arguments.note.clone(), ..Screening::clear(on) }
    } else {
        Screening::left_open(on, &arguments.note)
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

/// When the questions were asked last, and whether they are due again.
pub(super) fn screened_words(profile: &Profile, today: NaiveDate) -> String {
    let last = handout::words::last_screening(profile, today);
    match profile.screening_record(today).screen_due(today) {
        Some(due) => format!("{last}; due: {}", due.reason()),
        None => last,
    }
}

/// Every check on file, the youngest first, with what was answered and what is left open.
fn show(profile: &Profile, today: NaiveDate, console: &mut Console) -> Result<(), Failure> {
    let name = Safe::from_foreign(&profile.name);
    writeln!(console.out, "{name}, screened: {}", screened_words(profile, today))?;
    let mut checks: Vec<&Screening> = profile.screenings.iter().collect();
    checks.sort_by_key(|check| Reverse(check.on));
    for check in checks {
        let by = if check.by.is_empty() { String::new() } else { format!(", asked by {}", check.by) };
        let off = check.off.map(|off| format!(", taken back on {off}")).unwrap_or_default();
        writeln!(console.out, "\n{}{}", check.on, Safe::from_foreign(by + &off))?;
        for (question, answer) in &check.answers {
            let asked = questions().iter().find(|asked| asked.id == *question);
            let asked = asked.map_or(question.as_str(), |asked| asked.ask.as_str());
            indented(console, "  ", &format!("{answer}: {asked}"))?;
        }
        if check.answers.is_empty() && check.open.is_empty() {
            writeln!(console.out, "  all clear")?;
        }
        for point in &check.open {
            let cleared = match &point.cleared {
                Some(cleared) => format!("cleared by {}, {}", cleared.by, cleared.on),
                None => "open".to_owned(),
            };
            indented(console, "  ", &format!("{cleared}: {}", point.what))?;
        }
        if !check.note.is_empty() {
            indented(console, "  ", &check.note)?;
        }
    }
    Ok(())
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
    for (number, line) in text::wrap(said, console.columns - 4).iter().enumerate() {
        let line = Safe::from_foreign(line);
        writeln!(console.out, "{}{line}", if number == 0 { label } else { "    " })?;
    }
    Ok(())
}
