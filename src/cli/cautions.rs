//! `matside cautions`: the conditions that can be recorded, and what each limits.

use crate::caution::{Chapter, Condition, Conditions};
use crate::failure::Failure;
use crate::names::Found;
use crate::text::{self, Safe};

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Show this condition in full, or list those that a word fits
    condition: Option<String>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let conditions = Conditions::built_in();
    if let Some(word) = &arguments.condition {
        let condition = match conditions.find(word) {
            Found::Named(all) if all.len() == 1 => all[0],
            Found::Named(all) | Found::Offered(all) => {
                return all.into_iter().try_for_each(|condition| line(condition, console));
            }
            Found::Nothing(_) => {
                let error = conditions.named(word).map_or_else(|error| error.to_string(), |_| String::new());
                return Err(Failure::usage(error).hint("list the conditions with `matside cautions`"));
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

fn line(condition: &Condition, console: &mut Console) -> Result<(), Failure> {
    let side = if condition.side_bound { ":SIDE" } else { "" };
    let id = text::pad(&format!("{}{side}", condition.id), 32, "…");
    writeln!(console.out, "  {id} {}", text::cut(&condition.name, console.columns.saturating_sub(35), "…"))?;
    Ok(())
}

fn show(condition: &Condition, console: &mut Console) -> Result<(), Failure> {
    writeln!(console.out, "{}  ({})", condition.name, condition.id)?;
    let limits = condition.limits.iter().map(|limit| format!("{} ({})", limit.text(), limit.grounds));
    let limits: Vec<String> = limits.collect();
    let card: Vec<&str> = condition.card.iter().map(|sentence| sentence.text.as_str()).collect();
    let (typed, limits, card) = (condition.typed(), limits.join("; "), card.join(" "));
    let rows = [
        ("type", typed.as_str()),
        ("on the card", &card),
        ("keep off", &condition.avoid),
        ("in a plan", &limits),
        ("still fine", &condition.fine),
        ("say", &condition.say),
        ("clearance", condition.clearance.plain_name()),
        ("red flag", &condition.red_flag),
        ("source", &condition.source),
        ("words checked", condition.verified.id()),
    ];
    for (label, said) in rows {
        for (number, line) in text::wrap(&Safe::from_foreign(said), console.columns - 14).iter().enumerate() {
            writeln!(console.out, "  {:<12}{line}", if number == 0 { label } else { "" })?;
        }
    }
    Ok(())
}
