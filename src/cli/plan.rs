//! `matside plan`: the closing block as text or JSON.

use crate::caution::{BeforeTouch, Clearance, InForce};
use crate::client::KeptBlock;
use crate::failure::{Failure, Status};
use crate::handout::{PlanJson, PlanText, no_plan_json};
use crate::planner::{self, PlanError, kept};

use super::choices;
use super::console::Console;
use super::request::{PlanInputs, Request};

#[derive(Debug, clap::Args)]
#[command(after_long_help = choices::listed(&[choices::MUSCLES, choices::CONDITIONS]))]
pub(super) struct Arguments {
    #[command(flatten)]
    request: Request,

    /// Write the plan with its whole problem as JSON
    #[arg(long)]
    json: bool,

    /// Add to the JSON what each number of minutes would be worth
    #[arg(long, requires = "json")]
    frontier: bool,

    /// Print every limit of the cautions, not only what their cards say
    #[arg(long, conflicts_with_all = ["json", "frontier"])]
    in_full: bool,

    /// Keep the plan's block by this name, to be taken again with --block
    #[arg(long, value_name = "NAME")]
    keep_as: Option<String>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let planned = arguments.request.prepare(console).and_then(|prepared| {
        let text = if arguments.json {
            json(&prepared, arguments.frontier)?
        } else {
            text(&prepared, arguments.in_full, console.columns)?
        };
        Ok((prepared, text))
    });
    let (prepared, text) = match planned {
        Err(failure) if arguments.json && failure.status == Status::NotToday => {
            // Whoever reads the JSON gets an answer as well.
            console.out.write_all(no_plan(failure.message.as_str())?.as_bytes())?;
            return Err(failure);
        }
        planned => planned?,
    };
    console.out.write_all(text.as_bytes())?;
    if let Some(name) = &arguments.keep_as {
        keep_as(name, &prepared, console)?;
    }
    Ok(())
}

/// Keeps the plan's block in the trainer's settings; another one of the same name counts no more.
fn keep_as(name: &str, prepared: &PlanInputs, console: &Console) -> Result<(), Failure> {
    let plan = planner::plan(&prepared.ask())?;
    let store = console.store()?;
    let mut trainer = store.trainer()?;
    for block in trainer.blocks.iter_mut().filter(|block| block.name == name) {
        block.off.get_or_insert(prepared.today.on);
    }
    trainer.blocks.push(KeptBlock {
        name: name.to_owned(),
        steps: kept::of_plan(&plan),
        on: prepared.today.on,
        off: None,
        by: trainer.name.clone(),
    });
    store.save_trainer(&trainer)?;
    Ok(())
}

/// The plan as a trainer reads it; cautions as their cards say them, or with every limit.
pub(super) fn text(prepared: &PlanInputs, in_full: bool, columns: usize) -> Result<String, Failure> {
    let ask = prepared.ask();
    let plan = planner::plan(&ask)?;
    let first: Vec<String> =
        prepared.first.iter().map(|finding| format!("{} {}", finding.ask, finding.say)).collect();
    let in_force = prepared.today.restrictions.in_force().iter();
    let refused = prepared.today.before_touch.iter().find(|item| **item == BeforeTouch::Refused);
    let limits: Vec<String> = refused
        .map(BeforeTouch::line)
        .into_iter()
        .chain(in_force.map(|caution| limit(caution, in_full)))
        .collect();
    let said = PlanText {
        who: &prepared.today.client.profile.name,
        on: prepared.today.on,
        trained: &prepared.trained,
        consent: prepared.consent,
        first: &first,
        limits: &limits,
        plan: &plan,
        catalogue: &prepared.today.catalogue,
        columns,
    };
    Ok(said.to_string())
}

fn json(prepared: &PlanInputs, frontier: bool) -> Result<String, Failure> {
    let ask = prepared.ask();
    let mut solved = planner::solve(&ask)?;
    planner::explain_omissions(&ask, &mut solved.plan);
    let id = prepared.today.client.profile.id.as_str();
    let mut document = PlanJson::new(id, &solved);
    if frontier {
        document = document.with_frontier(&planner::frontier(&ask));
    }
    document.to_text().map_err(|error| not_written(&error))
}

/// Why there is no plan today, as JSON.
fn no_plan(why: &str) -> Result<String, Failure> {
    no_plan_json(why).map_err(|error| not_written(&error))
}

fn not_written(error: &serde_json::Error) -> Failure {
    Failure::new(format_args!("cannot write the plan as JSON: {error}"))
}

/// One condition in one line: what it limits, and who has to agree first.
fn limit(condition: &InForce, in_full: bool) -> String {
    let asked = match condition.clearance {
        Clearance::Yes | Clearance::Urgent if !condition.cleared => {
            format!(" ({})", condition.clearance.plain_name())
        }
        _ => String::new(),
    };
    let says = if in_full || condition.card.is_empty() {
        condition.limited.clone()
    } else {
        condition.card.join(" ")
    };
    format!("{}: {says}{asked}", condition.title)
}

/// No plan is a failure; what was asked for in a way that cannot be met is a wrong use.
impl From<PlanError> for Failure {
    fn from(error: PlanError) -> Self {
        let hint = match &error {
            PlanError::Stop(_) | PlanError::Declined => return Self::not_today(error),
            PlanError::NothingToDo(_) => {
                "say what was trained with --trained, such as --trained lower-body:2"
            }
            PlanError::PinnedDoNotFit { .. } => "give more --minutes, or leave out a --pin",
            PlanError::PinnedRuledOut { .. } => "leave out that --pin",
            PlanError::TooShort(_) => "give more --minutes",
            PlanError::Unknown(_) => return Self::new(error),
        };
        Self::new(&error).hint(hint)
    }
}
