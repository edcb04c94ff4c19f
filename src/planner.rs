//! From today's demand to a timed closing block: what wants stretching, what may be done about it, and the best
//! choice and order within the minutes, with its proof and its reasons.

mod ask;
mod branching;
mod candidates;
mod compose;
pub mod demand;
mod draft;
mod explain;
pub mod instance;
mod leftover;
pub mod plan;
mod prices;
pub mod problem;
pub mod progress;
mod relaxation;
pub mod search;
mod time_programme;
mod unit_programme;
pub mod verify;

pub use ask::{Ask, PlanError, Wishes};
pub use candidates::{OLDER_FROM, way};
pub use explain::{explain_omissions, frontier};
pub use plan::{Dose, Omission, Plan, Reason, Step};
pub use progress::Progress;
pub use search::Effort;

use std::ops::ControlFlow;

use candidates::{Prepared, prepare};
use instance::Instance;
use search::{Answer, solve_watched};

use crate::body::Seconds;
use crate::client::Consent;

/// A plan beside the problem that it answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
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
pub fn plan(ask: &Ask<'_>) -> Result<Plan, PlanError> {
    work_out(ask).map(|worked| worked.plan)
}

/// Plans a closing block and keeps the problem beside it.
///
/// # Errors
/// Says why there is no plan.
pub fn work_out(ask: &Ask<'_>) -> Result<Worked, PlanError> {
    let prepared = prepared(ask)?;
    let (answer, plan) = answer(ask, &prepared, Effort::FULL, &|| false)?;
    let chosen = prepared.instance.chosen(&answer.selection);
    Ok(Worked { plan, chosen, instance: prepared.instance })
}

fn prepared<'a>(ask: &Ask<'a>) -> Result<Prepared<'a>, PlanError> {
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
    prepare(ask, demand)
}

/// Plans a closing block with all effort, as long as nobody calls it off; a plan that was called off is not proven.
///
/// # Errors
/// Says why there is no plan.
pub fn prove(ask: &Ask<'_>, called_off: &dyn Fn() -> bool) -> Result<Plan, PlanError> {
    let prepared = prepared(ask)?;
    answer(ask, &prepared, Effort::FULL, called_off).map(|(_, plan)| plan)
}

fn answer(
    ask: &Ask<'_>,
    prepared: &Prepared<'_>,
    effort: Effort,
    called_off: &dyn Fn() -> bool,
) -> Result<(Answer, Plan), PlanError> {
    let problem = prepared.instance.problem()?;
    let mut watch = |_| if called_off() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
    let Some(answer) = solve_watched(&problem, effort, &mut watch) else {
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
    let plan = compose::compose(ask, prepared, &answer.selection, (answer.value, answer.bound));
    Ok((answer, plan))
}

/// A planner that is asked again and again as keys are typed.
#[derive(Debug)]
pub struct Planner {
    effort: Effort,
    /// Earlier questions of the same sitting and their answers.
    known: Vec<(Instance, Answer)>,
}

/// Answers that a planner keeps.
const KEPT: usize = 64;

impl Planner {
    /// A planner that has not been asked yet, and how much it does for one question.
    pub const fn new(effort: Effort) -> Self {
        Self { effort, known: Vec::new() }
    }

    /// Plans a closing block; the same question as before costs nothing.
    ///
    /// # Errors
    /// Says why there is no plan.
    pub fn plan(&mut self, ask: &Ask<'_>) -> Result<Plan, PlanError> {
        let prepared = prepared(ask)?;
        if let Some((_, known)) = self.known.iter().find(|(instance, _)| *instance == prepared.instance) {
            return Ok(compose::compose(ask, &prepared, &known.selection, (known.value, known.bound)));
        }
        let (answer, plan) = answer(ask, &prepared, self.effort, &|| false)?;
        if self.known.len() == KEPT {
            self.known.remove(0);
        }
        self.known.push((prepared.instance, answer));
        Ok(plan)
    }
}
