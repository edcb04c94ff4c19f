//! No more stretches than a caution allows.
//!
//! A price on every stretch, the same for all, makes plans of fewer stretches the best ones. No plan of at most so many is
//! worth more than the best one at a price, the price given back so many times; so a plan of just so many that is best at
//! some price is the best there is (Everett 1963, Operations Research 11:399-417, from memory). Where the number jumps over
//! the one that is wanted, the plan of too many is thinned out, and what stays is planned anew.

use std::cmp::Reverse;
use std::ops::ControlFlow;

use super::problem::{Problem, Selection};
use super::search::{Budget, Solution, solve_watched};
use super::verify::verify;

/// Prices that are tried.
const PRICES: usize = 14;

/// Finds the best plan with at most so many stretches, or none if the pinned ones do not fit.
pub(super) fn solve_few(
    problem: &Problem,
    most: Option<usize>,
    budget: Budget,
    watch: &mut dyn FnMut(i64) -> ControlFlow<()>,
) -> Option<Solution> {
    let best = solve_watched(problem, budget, watch)?;
    let Some(most) = most.filter(|most| count(&best.selection) > *most) else { return Some(best) };
    // A caution holds for what the trainer insists on as well.
    let pinned = problem.candidates.iter().filter(|candidate| candidate.pinned).count();
    let mut bound = best.bound;
    let mut too_many = best.selection;
    let mut found: Option<Solution> = None;
    let allowed = i64::try_from(most).ok()?;
    let (mut low, mut high) = (0, i32::try_from(problem.total()).unwrap_or(i32::MAX / 4));
    for _ in 0..PRICES {
        let price = low + (high - low) / 2;
        if pinned > most || price == low || found.as_ref().is_some_and(|found| found.value >= bound) {
            break;
        }
        let priced = solve_watched(&at_price(problem, price), budget, watch)?;
        bound = bound.min(priced.bound + i64::from(price) * allowed);
        if count(&priced.selection) > most {
            (low, too_many) = (price, priced.selection);
        } else {
            high = price;
            keep_better(&mut found, problem, priced);
        }
    }
    if found.as_ref().is_none_or(|found| found.value < bound)
        && let Some(thinned) = solve_thinned(problem, too_many, most, budget, watch)
    {
        keep_better(&mut found, problem, thinned);
    }
    found.map(|found| Solution { bound: bound.max(found.value), ..found })
}

/// The same problem with every stretch so much dearer.
fn at_price(problem: &Problem, price: i32) -> Problem {
    let mut priced = problem.clone();
    for choice in priced.candidates.iter_mut().flat_map(|candidate| &mut candidate.choices) {
        choice.cost = choice.cost.saturating_add(price);
    }
    priced
}

/// Keeps the plan that is worth more in the problem itself.
fn keep_better(found: &mut Option<Solution>, problem: &Problem, other: Solution) {
    let value = match verify(problem, &other.selection) {
        Ok(value) => value,
        // One that the trainer insists on had to go.
        Err(_) => other.value,
    };
    if found.as_ref().is_none_or(|found| found.value < value) {
        *found = Some(Solution { value, ..other });
    }
}

/// Takes out one stretch after the other, always the one without which the plan is worth most, and plans what is left
/// anew.
fn solve_thinned(
    problem: &Problem,
    mut kept: Selection,
    most: usize,
    budget: Budget,
    watch: &mut dyn FnMut(i64) -> ControlFlow<()>,
) -> Option<Solution> {
    let mut few = problem.clone();
    while count(&kept) > most {
        // What the trainer insists on goes last.
        let taken = (0..kept.len()).filter(|&index| kept[index].is_some());
        let goes = taken.max_by_key(|&index| {
            let without = thinned(&kept, index);
            (!problem.candidates[index].pinned, verify(&few, &without).ok(), Reverse(index))
        })?;
        kept = thinned(&kept, goes);
        few.candidates[goes].pinned = false;
    }
    for (candidate, choice) in few.candidates.iter_mut().zip(&kept) {
        if choice.is_none() {
            candidate.choices.clear();
            candidate.pinned = false;
        }
    }
    solve_watched(&few, budget, watch)
}

fn count(selection: &Selection) -> usize {
    selection.iter().flatten().count()
}

fn thinned(selection: &Selection, index: usize) -> Selection {
    let mut without = selection.clone();
    without[index] = None;
    without
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::problem::{Candidate, Choice};

    /// Three stretches of a tick each, worth 1, 3 and 2, in one position.
    fn problem() -> Problem {
        let candidate = |unit: usize, pinned: bool| Candidate {
            pinned,
            choices: vec![Choice {
                position: 0,
                time: 1,
                second_side: false,
                gains: vec![(unit, 1)],
                cost: 0,
            }],
        };
        Problem {
            horizon: 10,
            start: vec![Some(0)],
            change: vec![vec![None]],
            turn: vec![0],
            wants: vec![vec![0, 1], vec![0, 3], vec![0, 2]],
            candidates: vec![candidate(0, false), candidate(1, false), candidate(2, false)],
        }
    }

    fn few(problem: &Problem, most: Option<usize>) -> (Selection, i64, i64) {
        let solution = solve_few(problem, most, Budget::FULL, &mut |_| ControlFlow::Continue(()));
        let solution = solution.expect("a plan");
        (solution.selection, solution.value, solution.bound)
    }

    #[test]
    fn what_is_worth_most_stays_and_is_proven() {
        assert_eq!(few(&problem(), None), (vec![Some(0), Some(0), Some(0)], 6, 6));
        assert_eq!(few(&problem(), Some(3)), (vec![Some(0), Some(0), Some(0)], 6, 6));
        assert_eq!(few(&problem(), Some(2)), (vec![None, Some(0), Some(0)], 5, 5));
        assert_eq!(few(&problem(), Some(1)), (vec![None, Some(0), None], 3, 3));
    }

    #[test]
    fn what_the_trainer_insists_on_stays_before_what_is_worth_more() {
        let mut pinned = problem();
        pinned.candidates[0].pinned = true;
        assert_eq!(few(&pinned, Some(1)).0, vec![Some(0), None, None]);
        pinned.candidates[1].pinned = true;
        assert_eq!(count(&few(&pinned, Some(1)).0), 1, "a caution holds all the same");
    }
}
