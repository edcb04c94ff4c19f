//! `matside frontier`: what each further minute would buy.

use crate::failure::Failure;
use crate::planner;

use super::Context;
use super::ask::Request;

/// Columns of the longest bar.
const WIDTH: i64 = 40;

/// Show what each further minute would buy
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(flatten)]
    request: Request,
}

pub(super) fn run(arguments: &Arguments, context: &mut Context) -> Result<(), Failure> {
    let prepared = arguments.request.prepare(context)?;
    let points = planner::frontier(&prepared.ask());
    let most = points.iter().map(|(_, value)| *value).max().unwrap_or(0).max(1);
    writeln!(context.out, "minutes   share of what twenty minutes would give")?;
    for (minutes, value) in points {
        let share = value.max(0) * 100 / most;
        let columns = usize::try_from(value.max(0) * WIDTH / most).unwrap_or(0);
        let here = if minutes == prepared.minutes { "  <- these minutes" } else { "" };
        let line = format!("{:>7}   {share:>3} % {}{here}", minutes.get(), "=".repeat(columns));
        writeln!(context.out, "{}", line.trim_end())?;
    }
    Ok(())
}
