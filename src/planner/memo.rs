//! A planner that is asked again and again as keys are typed, and remembers what it was asked.

use std::hash::{DefaultHasher, Hash, Hasher};

use super::plan::Plan;
use super::problem::Problem;
use super::request::{PlanError, PlanRequest};
use super::search::{Budget, Solution};
use super::{menu, schedule, search_menu};

/// Problems that are remembered.
const KEPT: usize = 64;

/// Earlier problems of the same sitting and what was found for them.
#[derive(Debug)]
pub struct Planner {
    budget: Budget,
    /// By hash; the problem itself, and how many stretches it may take, tell whether it is the same one.
    known: Vec<(u64, Problem, Option<usize>, Solution)>,
}

impl Planner {
    /// A planner that has not been asked yet, and how much it does for one question.
    pub const fn new(budget: Budget) -> Self {
        Self { budget, known: Vec::new() }
    }

    /// Plans a closing block; the same problem as before costs nothing.
    ///
    /// # Errors
    /// Says why there is no plan.
    pub fn plan(&mut self, request: &PlanRequest) -> Result<Plan, PlanError> {
        let menu = menu(request)?;
        let mut hasher = DefaultHasher::new();
        (&menu.problem, menu.most).hash(&mut hasher);
        let hash = hasher.finish();
        let is_same = |known: &&(u64, Problem, Option<usize>, Solution)| {
            known.0 == hash && known.1 == menu.problem && known.2 == menu.most
        };
        if let Some((.., solution)) = self.known.iter().find(is_same) {
            return Ok(schedule::schedule(request, &menu, solution));
        }
        let solution = search_menu(&menu, self.budget, &|| false)?;
        let plan = schedule::schedule(request, &menu, &solution);
        if self.known.len() == KEPT {
            self.known.remove(0);
        }
        self.known.push((hash, menu.problem, menu.most, solution));
        Ok(plan)
    }
}
