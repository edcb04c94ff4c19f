//! Which stretch to decide next, and what a decision settles beside it.
//!
//! A stretch is the better to decide on, the more both branches lower the bound. What they lowered it by before is
//! remembered ('pseudocosts'; Benichou and others, 'Experiments in mixed-integer linear programming', Mathematical
//! Programming 1, 1971) and where nothing is known yet both branches are tried with one pass first (Achterberg, Koch and
//! Martin, 'Branching rules revisited', Operations Research Letters 33, 2005); both references from memory.

use super::problem::Problem;
use super::relaxation::OpenChoices;

/// The two branches of a decision on a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Branch {
    Without,
    With,
}

impl Branch {
    pub(super) const BOTH: [Self; 2] = [Self::Without, Self::With];

    pub(super) const fn other(self) -> Self {
        match self {
            Self::Without => Self::With,
            Self::With => Self::Without,
        }
    }

    /// The branch of a state in which the stretch is used, or not.
    pub(super) fn of(self, state: &OpenChoices, candidate: usize) -> OpenChoices {
        let mut branch = state.clone();
        match self {
            Self::Without => branch.open[candidate].fill(false),
            Self::With => branch.must[candidate] = true,
        }
        branch
    }
}

/// How far the branches of each stretch have lowered the bound so far: sum and count.
#[derive(Debug)]
pub(super) struct Pseudocosts(Vec<[(i64, i64); 2]>);

impl Pseudocosts {
    pub(super) fn new(candidates: usize) -> Self {
        Self(vec![[(0, 0); 2]; candidates])
    }

    /// Remembers that a branch lowered the bound by so much.
    pub(super) fn learn(&mut self, candidate: usize, branch: Branch, drop: i64) {
        let (sum, count) = &mut self.0[candidate][branch as usize];
        (*sum, *count) = (*sum + drop.max(0), *count + 1);
    }

    /// The mean so far; none if nothing is known.
    pub(super) fn mean(&self, candidate: usize, branch: Branch) -> Option<i64> {
        let (sum, count) = self.0[candidate][branch as usize];
        (count > 0).then(|| sum / count)
    }

    /// How good it is to decide on a stretch where so much is left to prove: a gap that is closed is enough.
    pub(super) fn score(&self, candidate: usize, gap: i64) -> i128 {
        let part = |branch| {
            let mean = self.mean(candidate, branch).unwrap_or(0);
            i128::from(mean.min(gap).max(gap / 1000).max(1))
        };
        part(Branch::Without) * part(Branch::With)
    }
}

/// What follows from [`Problem::implied`] in a state.
#[derive(Debug)]
pub(super) struct Implied(Vec<Vec<Vec<usize>>>);

impl Implied {
    pub(super) fn new(problem: &Problem) -> Self {
        Self(problem.implied())
    }

    /// Closes choices that need a stretch which is closed, and demands what every choice of a demanded stretch needs.
    pub(super) fn settle(&self, state: &mut OpenChoices) {
        loop {
            let mut settled = true;
            let usable: Vec<bool> = state.open.iter().map(|open| open.contains(&true)).collect();
            for (candidate, choices) in self.0.iter().enumerate() {
                for (choice, needs) in choices.iter().enumerate() {
                    if state.open[candidate][choice] && needs.iter().any(|&other| !usable[other]) {
                        state.open[candidate][choice] = false;
                        settled = false;
                    }
                }
                if !state.must[candidate] {
                    continue;
                }
                let mut needs = choices
                    .iter()
                    .zip(&state.open[candidate])
                    .filter(|(_, open)| **open)
                    .map(|(needs, _)| needs);
                let Some(first) = needs.next() else { continue };
                let rest: Vec<&Vec<usize>> = needs.collect();
                for &other in first {
                    if !state.must[other] && rest.iter().all(|needs| needs.contains(&other)) {
                        state.must[other] = true;
                        settled = false;
                    }
                }
            }
            if settled {
                return;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::problem::{Candidate, Choice};

    /// Two stretches for one unit; the first is as good in every way, and quicker.
    fn two() -> Problem {
        let choice = |time| Choice { position: 0, time, second_side: false, gains: vec![(0, 2)], cost: 4 };
        let candidate = |time| Candidate { pinned: false, choices: vec![choice(time)] };
        Problem {
            horizon: 20,
            start: vec![Some(1)],
            change: vec![vec![None]],
            turn: vec![0],
            wants: vec![vec![0, 5, 9, 12, 14]],
            candidates: vec![candidate(3), candidate(4)],
        }
    }

    fn all_open() -> OpenChoices {
        OpenChoices { open: vec![vec![true]; 2], must: vec![false; 2], multipliers: vec![vec![0]; 2] }
    }

    #[test]
    fn what_is_left_out_takes_with_it_what_it_replaces() {
        let implied = Implied::new(&two());
        let mut state = Branch::Without.of(&all_open(), 0);
        implied.settle(&mut state);
        assert_eq!(state.open, [[false], [false]]);
    }

    #[test]
    fn what_is_used_demands_what_replaces_it() {
        let implied = Implied::new(&two());
        let mut state = Branch::With.of(&all_open(), 1);
        implied.settle(&mut state);
        assert_eq!(state.must, [true, true]);
        let mut state = Branch::With.of(&all_open(), 0);
        implied.settle(&mut state);
        assert_eq!(state.must, [true, false]);
    }

    #[test]
    fn a_pinned_stretch_is_not_exchanged() {
        let mut problem = two();
        problem.candidates[1].pinned = true;
        let implied = Implied::new(&problem);
        let mut state = Branch::Without.of(&all_open(), 0);
        implied.settle(&mut state);
        assert_eq!(state.open, [[false], [true]]);
    }

    #[test]
    fn the_stretch_with_the_greater_drops_is_the_better_one() {
        let mut pseudocosts = Pseudocosts::new(2);
        for branch in Branch::BOTH {
            pseudocosts.learn(0, branch, 500);
            pseudocosts.learn(1, branch, 900);
        }
        assert!(pseudocosts.score(1, 1_000) > pseudocosts.score(0, 1_000));
        // A gap that is closed by either is closed.
        assert_eq!(pseudocosts.score(1, 400), pseudocosts.score(0, 400));
    }
}
