//! `matside frontier`: what each further minute would buy.

use crate::failure::Failure;
use crate::planner::{self, Added, Plan, words};
use crate::text::{self, Safe};

use super::choices;
use super::console::Console;
use super::request::Request;

/// Columns before what a minute adds.
const BEFORE: usize = 17;

#[derive(Debug, clap::Args)]
#[command(after_long_help = choices::listed(&[choices::MUSCLES, choices::CONDITIONS]))]
pub(super) struct Arguments {
    #[command(flatten)]
    request: Request,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let prepared = arguments.request.prepare(console)?;
    let plans = planner::frontier(&prepared.ask());
    writeln!(console.out, "minutes   held   what the minute adds (> these minutes)")?;
    let mut before: Option<&Plan> = None;
    for (minutes, plan) in &plans {
        let here = if *minutes == prepared.minutes { ">" } else { " " };
        let held = plan.as_ref().map_or_else(|| "-".to_owned(), |plan| plan.held().to_string());
        let adds = match (before, plan) {
            (_, None) => "too short for a stretch".to_owned(),
            (Some(before), Some(plan)) => words::added(&before.added_by(plan)),
            (None, Some(plan)) => words::added(&Added { new: plan.names(), ..Added::default() }),
        };
        let line = text::wrap(&Safe::from_foreign(&adds), console.columns - BEFORE);
        for (number, line) in line.iter().enumerate() {
            let start =
                if number == 0 { format!("{here}{:>6}  {held:>5}", minutes.get()) } else { String::new() };
            writeln!(console.out, "{start:<BEFORE$}{line}")?;
        }
        before = plan.as_ref().or(before);
    }
    Ok(())
}
