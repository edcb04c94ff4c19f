//! `matside cautions`: the conditions that can be recorded, and what each limits.

use crate::caution::{Chapter, Condition, Conditions, Limit};
use crate::failure::Failure;
use crate::text::{self, Safe};

use super::console::Console;

/// Columns of the text.
const WIDTH: usize = 78;

/// List the conditions that can be recorded, or show one in full
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Show this condition in full, or list those that a word fits
    condition: Option<String>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let conditions = Conditions::built_in();
    if let Some(word) = &arguments.condition {
        let condition = match conditions.named(word) {
            Ok(condition) => condition,
            Err(error) => {
                let about: Vec<&Condition> =
                    conditions.all().iter().filter(|condition| is_about(condition, word)).collect();
                if about.is_empty() {
                    return Err(Failure::usage(error).hint("list the conditions with `matside cautions`"));
                }
                return about.into_iter().try_for_each(|condition| line(condition, console));
            }
        };
        return show(condition, console);
    }
    for &chapter in Chapter::ALL {
        writeln!(console.out, "{}", chapter.id().replace('-', " "))?;
        for condition in conditions.all().iter().filter(|condition| condition.chapter == chapter) {
            line(condition, console)?;
        }
        writeln!(console.out)?;
    }
    writeln!(console.out, "one in full: matside cautions CONDITION")?;
    writeln!(
        console.out,
        "These are the usual cautions, no advice: the client's own clinician comes first."
    )?;
    Ok(())
}

/// Whether a word of a trainer's is part of the condition's id or name.
fn is_about(condition: &Condition, word: &str) -> bool {
    let word = word.to_lowercase();
    !word.is_empty()
        && (condition.id.as_str().contains(&word) || condition.name.to_lowercase().contains(&word))
}

fn line(condition: &Condition, console: &mut Console) -> Result<(), Failure> {
    let side = if condition.side_bound { ":SIDE" } else { "" };
    let id = text::pad(&format!("{}{side}", condition.id), 32, "…");
    writeln!(console.out, "  {id} {}", text::cut(&condition.name, WIDTH - 35, "…"))?;
    Ok(())
}

fn show(condition: &Condition, console: &mut Console) -> Result<(), Failure> {
    writeln!(console.out, "{}  ({})", condition.name, condition.id)?;
    let limits: Vec<String> = condition.limits.iter().map(Limit::text).collect();
    let (typed, limits) = (condition.typed(), limits.join("; "));
    let rows = [
        ("type", typed.as_str()),
        ("keep off", &condition.avoid),
        ("in a plan", &limits),
        ("still fine", &condition.fine),
        ("say", &condition.say),
        ("clearance", condition.clearance.plain_name()),
        ("red flag", &condition.red_flag),
        ("source", &condition.source),
        ("checked", condition.verified.id()),
    ];
    for (label, said) in rows {
        for (number, line) in text::wrap(&Safe::from_foreign(said), WIDTH - 14).iter().enumerate() {
            writeln!(console.out, "  {:<12}{line}", if number == 0 { label } else { "" })?;
        }
    }
    Ok(())
}
