//! From today's demand to a timed closing block: what wants stretching, what may be done about it, and the best
//! choice and order within the minutes, with its proof and its reasons.

mod branching;
pub mod demand;
mod enumeration;
mod explain;
pub mod instance;
mod local_search;
mod menu;
pub mod plan;
pub mod problem;
pub mod progress;
mod relaxation;
mod request;
mod schedule;
pub mod search;
mod subgradient;
mod time_programme;
mod unit_programme;
pub mod verify;

pub use explain::{explain_omissions, frontier};
pub use menu::{OLDER_FROM, way};
pub use plan::{Dose, Omission, Plan, Step, WhyLeftOut};
pub use progress::Progress;
pub use request::{PlanError, PlanRequest, Wishes};
pub use search::Budget;

use std::ops::ControlFlow;

use instance::Instance;
use menu::Menu;
use search::{Solution, solve_watched};

use crate::body::Seconds;
use crate::client::Consent;

/// A plan beside the problem that it answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The plan.
    pub plan: Plan,
    /// The problem, for anybody to solve again.
    pub instance: Instance,
    /// The ids of the rows that the plan takes.
    pub chosen: Vec<usize>,
}

/// Plans a closing block: the best one there is, with its proof.
///
/// # Errors
/// Says why there is none.
pub fn plan(ask: &PlanRequest<'_>) -> Result<Plan, PlanError> {
    solve(ask).map(|solved| solved.plan)
}

/// Plans a closing block and keeps the problem beside it.
///
/// # Errors
/// Says why there is no plan.
pub fn solve(ask: &PlanRequest<'_>) -> Result<Solved, PlanError> {
    let prepared = prepared(ask)?;
    let (answer, plan) = answer(ask, &prepared, Budget::FULL, &|| false)?;
    let chosen = prepared.instance.chosen(&answer.selection);
    Ok(Solved { plan, chosen, instance: prepared.instance })
}

fn prepared<'a>(ask: &PlanRequest<'a>) -> Result<Menu<'a>, PlanError> {
    if let Some(stop) = ask.restrictions.stop() {
        return Err(PlanError::Stop(stop.to_owned()));
    }
    if ask.consent == Consent::Declined {
        return Err(PlanError::Declined);
    }
    let demand = demand::demand(ask);
    if demand.is_empty() && ask.wishes.pinned.is_empty() {
        return Err(PlanError::NothingToDo("mark what was trained today".to_owned()));
    }
    menu::menu(ask, demand)
}

/// Plans a closing block with all effort, as long as nobody calls it off; a plan that was called off is not proven.
///
/// # Errors
/// Says why there is no plan.
pub fn prove(ask: &PlanRequest<'_>, called_off: &dyn Fn() -> bool) -> Result<Plan, PlanError> {
    let prepared = prepared(ask)?;
    answer(ask, &prepared, Budget::FULL, called_off).map(|(_, plan)| plan)
}

fn answer(
    ask: &PlanRequest<'_>,
    prepared: &Menu<'_>,
    budget: Budget,
    called_off: &dyn Fn() -> bool,
) -> Result<(Solution, Plan), PlanError> {
    let problem = prepared.instance.problem()?;
    let mut watch = |_| if called_off() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
    let Some(answer) = solve_watched(&problem, budget, &mut watch) else {
        let needed = problem.quickest().map_or(0, |(ticks, _)| ticks.saturating_sub(problem.horizon));
        let missing = u32::try_from(needed).unwrap_or(u32::MAX).saturating_mul(prepared.instance.tick_s());
        return Err(PlanError::PinnedDoNotFit { missing: Seconds::new(missing) });
    };
    if answer.selection.iter().all(Option::is_none) {
        return Err(if prepared.stretches.is_empty() {
            PlanError::NothingToDo(
                "cautions, equipment or consent leave no stretch for what was trained".to_owned(),
            )
        } else {
            PlanError::TooShort(Seconds::new(prepared.instance.working_s()))
        });
    }
    let plan = schedule::schedule(ask, prepared, &answer.selection, (answer.value, answer.bound));
    Ok((answer, plan))
}

/// A planner that is asked again and again as keys are typed.
#[derive(Debug)]
pub struct Planner {
    budget: Budget,
    /// Earlier questions of the same sitting and their answers.
    known: Vec<(Instance, Solution)>,
}

/// Answers that a planner keeps.
const KEPT: usize = 64;

impl Planner {
    /// A planner that has not been asked yet, and how much it does for one question.
    pub const fn new(budget: Budget) -> Self {
        Self { budget, known: Vec::new() }
    }

    /// Plans a closing block; the same question as before costs nothing.
    ///
    /// # Errors
    /// Says why there is no plan.
    pub fn plan(&mut self, ask: &PlanRequest<'_>) -> Result<Plan, PlanError> {
        let prepared = prepared(ask)?;
        if let Some((_, known)) = self.known.iter().find(|(instance, _)| *instance == prepared.instance) {
            return Ok(schedule::schedule(ask, &prepared, &known.selection, (known.value, known.bound)));
        }
        let (answer, plan) = answer(ask, &prepared, self.budget, &|| false)?;
        if self.known.len() == KEPT {
            self.known.remove(0);
        }
        self.known.push((prepared.instance, answer));
        Ok(plan)
    }
}
