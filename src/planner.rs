//! From today's demand to a timed closing block: what wants stretching, what may be done about it, and the best
//! choice and order within the minutes, with its proof and its reasons.

mod after_pain;
mod apart;
mod branching;
pub mod corrections;
pub mod demand;
mod enumeration;
mod explain;
mod few;
pub mod habits;
pub mod kept;
mod local_search;
pub mod memo;
pub mod menu;
pub mod plan;
pub mod problem;
pub mod progress;
mod reduction;
mod relaxation;
mod request;
mod schedule;
pub mod search;
mod subgradient;
pub mod tariff;
mod time_programme;
pub mod today;
mod unit_programme;
mod usable;
pub mod verify;
pub mod ways;
pub mod why;
pub mod words;

pub use crate::catalogue::Dose;
pub use explain::{explain_omissions, frontier};
pub use memo::Planner;
pub use menu::Menu;
pub use plan::{Added, Omission, Plan, Step, WhyLeftOut};
pub use progress::{Progress, WorkDone};
pub use request::{PlanError, PlanRequest, Wishes};
pub use search::Budget;
pub use tariff::OLDER_FROM;
pub use today::Today;
pub use ways::{step_load, way};
pub use why::Why;

use std::ops::ControlFlow;

use few::solve_few;
use problem::{Problem, Selection};
use search::Solution;

use crate::client::Consent;

/// A plan beside the problem that it answers.
#[derive(Debug)]
pub struct Solved<'a> {
    /// The plan.
    pub plan: Plan,
    /// The problem, for anybody to solve again.
    pub menu: Menu<'a>,
    /// What the plan takes of it.
    pub selection: Selection,
}

/// Plans a closing block: the best one there is, with its proof.
///
/// # Errors
/// Says why there is none.
pub fn plan(request: &PlanRequest) -> Result<Plan, PlanError> {
    solve(request).map(|solved| solved.plan)
}

/// Plans a closing block and keeps the problem beside it.
///
/// # Errors
/// Says why there is no plan.
pub fn solve(request: &PlanRequest) -> Result<Solved<'_>, PlanError> {
    let menu = menu(request)?;
    let solution = search_menu(&menu, Budget::FULL, &|| false)?;
    let plan = schedule::schedule(request, &menu, &solution);
    Ok(Solved { plan, menu, selection: solution.selection })
}

/// Plans a closing block with all effort, as long as nobody calls it off; a plan that was called off is not proven.
///
/// # Errors
/// Says why there is no plan.
pub fn prove(request: &PlanRequest, called_off: &dyn Fn() -> bool) -> Result<Plan, PlanError> {
    let menu = menu(request)?;
    let solution = search_menu(&menu, Budget::FULL, called_off)?;
    Ok(schedule::schedule(request, &menu, &solution))
}

/// What may be chosen today.
///
/// # Errors
/// Says why there is nothing to choose.
pub fn menu(request: &PlanRequest) -> Result<Menu<'_>, PlanError> {
    if let Some(stop) = request.today.restrictions.stop() {
        return Err(PlanError::Stop(stop.to_owned()));
    }
    if request.consent == Consent::Declined {
        return Err(PlanError::Declined);
    }
    let demand = demand::demand(request);
    if demand.is_empty() && request.wishes.pinned.is_empty() {
        return Err(PlanError::NothingToDo("mark what was trained today".to_owned()));
    }
    menu::menu(request, demand)
}

fn search_menu(
    menu: &Menu<'_>,
    budget: Budget,
    called_off: &dyn Fn() -> bool,
) -> Result<Solution, PlanError> {
    let problem = &menu.problem;
    let mut watch = |_| if called_off() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
    let Some(solution) = solve_few(problem, menu.most, budget, &mut watch) else {
        return Err(PlanError::PinnedDoNotFit { missing: tariff::seconds(missing(problem)) });
    };
    if solution.selection.iter().all(Option::is_none) {
        let none = |why: &str| PlanError::NothingToDo(why.to_owned());
        let start = problem.start.iter().flatten().min().copied().unwrap_or(0);
        let choices = problem.candidates.iter().flat_map(|candidate| &candidate.choices);
        return Err(if menu.stretches.is_empty() {
            none("cautions, equipment or consent leave no stretch for what was trained")
        } else if choices.into_iter().any(|choice| start + choice.time <= problem.horizon) {
            none(
                "what cautions, equipment or consent leave is not worth its bother; pin what you want all the same",
            )
        } else {
            PlanError::TooShort(menu.budget.saturating_sub(menu.opening))
        });
    }
    Ok(solution)
}

/// Ticks that the pinned stretches need more than there are.
fn missing(problem: &Problem) -> usize {
    problem.quickest().map_or(0, |(ticks, _)| ticks.saturating_sub(problem.horizon))
}
