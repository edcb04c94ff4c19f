//! The plans that a state still allows, one by one, where they are few.
//!
//! Depth first through the stretches in the order of work. With the multipliers of the state, the tables of all programmes
//! tell what a partial path can still come to at most ('completion bounds' of the shortest path with resource
//! constraints; Irnich and Desaulniers, in 'Column generation', 2005; from memory): what its choices cost, what every
//! unit can still make of its coverage, and what the time programme can still receive in the time that is left. The
//! price of a choice is paid by the units and received by the time programme, so that it cancels out once both have
//! passed it.

use std::ops::ControlFlow;

use super::problem::{Problem, Selection};
use super::relaxation::Relaxation;

/// Where a partial path has come to.
#[derive(Debug, Clone, Copy)]
enum PathState {
    /// In the position of the present decision, with its turn paid or not.
    In { paid: bool },
    /// Free to enter a position; the one before, none at the start.
    From(Option<usize>),
}

/// What is decided next.
#[derive(Debug, Clone, Copy)]
enum Decision {
    /// Whether a position is used.
    Enter(usize),
    /// What is done in a group of it.
    Group(usize),
    /// Nothing: a position is left.
    Leave(usize),
}

/// The beginning of a plan, without its choices and coverage.
#[derive(Debug, Clone, Copy)]
struct PartialPath {
    state: PathState,
    time: usize,
    /// What it can come to, without what the time programme can still receive.
    completion_bound: i64,
}

/// What came of it.
#[derive(Debug)]
pub(super) struct Enumeration {
    /// The best plan that was met, if it reaches the goal.
    pub(super) best: Option<Selection>,
    /// Whether all were gone through.
    pub(super) is_all: bool,
    /// Partial paths that were looked at.
    pub(super) visits: u32,
}

/// Goes through the plans of the relaxation's state that are worth at least `goal`, in at most so many visits.
///
/// Needs the tables of the way back. After each plan that is found, others must be better by `value_step`.
pub(super) fn enumerate(
    problem: &Problem,
    relaxation: &mut Relaxation<'_>,
    goal: i64,
    value_step: i64,
    visits: u32,
) -> Enumeration {
    let completion_bound = relaxation.units.iter_mut().map(|unit| i64::from(unit.best())).sum();
    let mut decisions = Vec::new();
    for position in 0..problem.positions() {
        // A stretch is decided on in its first group, though it may be open only in a later one.
        let live = |group: &usize| relaxation.state.open[relaxation.groups[*group].candidate].contains(&true);
        let groups = relaxation.groups_of(position);
        let is_open = groups.clone().any(|group| !relaxation.groups[group].open.is_empty());
        decisions.extend(is_open.then_some(Decision::Enter(position)));
        decisions.extend(groups.filter(live).map(Decision::Group));
        decisions.extend(is_open.then_some(Decision::Leave(position)));
    }
    let mut enumerator = Enumerator {
        problem,
        relaxation,
        decisions,
        goal,
        value_step,
        visits_left: visits,
        cover: vec![0; problem.wants.len()],
        covered: Vec::new(),
        chosen: vec![None; problem.candidates.len()],
        best: None,
    };
    let end = enumerator.visit(0, PartialPath { state: PathState::From(None), time: 0, completion_bound });
    Enumeration { best: enumerator.best, is_all: end.is_continue(), visits: visits - enumerator.visits_left }
}

struct Enumerator<'a, 'p> {
    problem: &'p Problem,
    relaxation: &'a Relaxation<'p>,
    decisions: Vec<Decision>,
    goal: i64,
    value_step: i64,
    visits_left: u32,
    /// Coverage by unit.
    cover: Vec<usize>,
    /// What it was before the latest choices, to be put back.
    covered: Vec<usize>,
    chosen: Selection,
    best: Option<Selection>,
}

impl Enumerator<'_, '_> {
    /// Goes through what can follow a partial path; breaks when there are no visits left.
    fn visit(&mut self, at: usize, path: PartialPath) -> ControlFlow<()> {
        if self.visits_left == 0 {
            return ControlFlow::Break(());
        }
        self.visits_left -= 1;
        match self.decisions.get(at) {
            None => {
                self.best = Some(self.chosen.clone());
                self.goal = path.completion_bound + self.value_step;
                ControlFlow::Continue(())
            }
            Some(&Decision::Enter(position)) => {
                let change = match path.state {
                    PathState::From(Some(last)) => self.problem.change[last][position],
                    _ => self.problem.start[position],
                };
                if let Some(change) = change {
                    let (time, state) = (path.time + change, PathState::In { paid: false });
                    self.follow(at, position, 0, PartialPath { state, time, ..path })?;
                }
                self.follow(at, position, 0, path)
            }
            Some(&Decision::Leave(position)) => {
                let state = match path.state {
                    PathState::In { .. } => PathState::From(Some(position)),
                    from @ PathState::From(_) => from,
                };
                self.visit(at + 1, PartialPath { state, ..path })
            }
            Some(&Decision::Group(index)) => {
                let candidate = self.relaxation.groups[index].candidate;
                if self.relaxation.nodes[candidate].groups[0] == index {
                    self.decide(at, index, path)
                } else {
                    self.keep_word(at, index, path)
                }
            }
        }
    }

    /// Visits what follows, unless it cannot reach the goal.
    fn follow(&mut self, at: usize, position: usize, place: usize, next: PartialPath) -> ControlFlow<()> {
        let time = &self.relaxation.time;
        let rest = match next.state {
            PathState::In { paid } => time.rest_within(position, place, paid, next.time),
            PathState::From(last) => time.rest_from(last, position + 1, next.time),
        };
        if next.completion_bound + i64::from(rest) >= self.goal {
            self.visit(at + 1, next)?;
        }
        ControlFlow::Continue(())
    }

    /// Tries each open choice of a candidate in its first group, choices for later positions too, and none.
    fn decide(&mut self, at: usize, index: usize, path: PartialPath) -> ControlFlow<()> {
        let relaxation = self.relaxation;
        let group = &relaxation.groups[index];
        let (candidate, position) = (group.candidate, group.position);
        let node = &relaxation.nodes[candidate];
        let width = node.units.len();
        let rest = |slot: usize, place: usize, cover: usize| {
            let rest = relaxation.units[node.units[slot]].rest(place);
            i64::from(rest[cover.min(rest.len() - 1)])
        };
        let mut completion_bound = path.completion_bound;
        let mut without = 0;
        for (slot, (&unit, &place)) in node.units.iter().zip(&node.places).enumerate() {
            completion_bound -= rest(slot, place, self.cover[unit]);
            without += rest(slot, place + 1, self.cover[unit]);
        }
        for (choice, row) in self.problem.candidates[candidate].choices.iter().enumerate() {
            if !relaxation.state.open[candidate][choice] {
                continue;
            }
            let gains = &node.gains[choice * width..(choice + 1) * width];
            let mut next = PartialPath { completion_bound, ..path };
            if row.position == position {
                let Some(done) = self.done(next, candidate, choice) else { continue };
                next = done;
            }
            next.completion_bound -= i64::from(relaxation.paid(candidate, choice));
            for (slot, (&unit, gain)) in node.units.iter().zip(gains).enumerate() {
                next.completion_bound += rest(slot, node.places[slot] + 1, self.cover[unit] + gain);
            }
            self.chosen[candidate] = Some(choice);
            for (&unit, gain) in node.units.iter().zip(gains) {
                self.covered.push(self.cover[unit]);
                self.cover[unit] = (self.cover[unit] + gain).min(self.problem.wants[unit].len() - 1);
            }
            let end = self.follow(at, position, group.place + 1, next);
            for &unit in node.units.iter().rev() {
                self.cover[unit] = self.covered.pop().unwrap_or_default();
            }
            self.chosen[candidate] = None;
            end?;
        }
        if relaxation.state.must[candidate] {
            return ControlFlow::Continue(());
        }
        let next = PartialPath { completion_bound: completion_bound + without, ..path };
        self.follow(at, position, group.place + 1, next)
    }

    /// Does what was chosen for this position in an earlier one.
    fn keep_word(&mut self, at: usize, index: usize, path: PartialPath) -> ControlFlow<()> {
        let group = &self.relaxation.groups[index];
        let choices = &self.problem.candidates[group.candidate].choices;
        let here = self.chosen[group.candidate].filter(|&choice| choices[choice].position == group.position);
        let next = match here {
            Some(choice) => self.done(path, group.candidate, choice),
            None => Some(path),
        };
        let Some(next) = next else { return ControlFlow::Continue(()) };
        self.follow(at, group.position, group.place + 1, next)
    }

    /// A partial path with a choice done: the time it takes, what it costs and the price that is received for it.
    fn done(&self, before: PartialPath, candidate: usize, choice: usize) -> Option<PartialPath> {
        let PathState::In { paid } = before.state else { return None };
        let row = &self.problem.candidates[candidate].choices[choice];
        let turns = row.second_side && !paid;
        let turn = if turns { self.problem.turn[row.position] } else { 0 };
        Some(PartialPath {
            state: PathState::In { paid: paid || turns },
            time: before.time + turn + row.time,
            completion_bound: before.completion_bound
                + i64::from(self.relaxation.paid(candidate, choice) - row.cost),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::problem::{Candidate, Choice, UNREACHABLE};

    fn choice(position: usize, time: usize, gains: &[(usize, usize)]) -> Choice {
        Choice { position, time, second_side: time > 4, gains: gains.to_vec(), cost: 3 }
    }

    /// Three stretches, one of them in either of two positions, for two units.
    fn problem() -> Problem {
        let candidate = |choices: &[Choice]| Candidate { pinned: false, choices: choices.to_vec() };
        Problem {
            horizon: 14,
            start: vec![Some(1), Some(2)],
            change: vec![vec![None, Some(2)], vec![None, None]],
            turn: vec![1, 1],
            wants: vec![vec![0, 30, 50, 60], vec![0, 20, 34, 40]],
            candidates: vec![
                candidate(&[choice(0, 3, &[(0, 1)]), choice(0, 5, &[(0, 2)]), choice(1, 4, &[(0, 3)])]),
                candidate(&[choice(1, 3, &[(1, 2)]), choice(1, 6, &[(0, 1), (1, 3)])]),
                candidate(&[choice(0, 4, &[(1, 1)])]),
            ],
        }
    }

    /// What a selection is worth, if it fits.
    fn worth(problem: &Problem, selection: &Selection) -> Option<i64> {
        let taken = problem.candidates.iter().zip(selection);
        let rows: Vec<&Choice> =
            taken.filter_map(|(candidate, row)| Some(&candidate.choices[(*row)?])).collect();
        let between = problem.between(
            |position| rows.iter().any(|row| row.position == position),
            |position| rows.iter().any(|row| row.position == position && row.second_side),
        )?;
        let time: usize = rows.iter().map(|row| row.time).sum();
        let benefit = |unit: usize| {
            let gains = rows.iter().flat_map(|row| &row.gains).filter(|gain| gain.0 == unit);
            i64::from(problem.benefit(unit, gains.map(|gain| gain.1).sum()))
        };
        let costs: i64 = rows.iter().map(|row| i64::from(row.cost)).sum();
        (time + between <= problem.horizon).then(|| benefit(0) + benefit(1) - costs)
    }

    fn selections(problem: &Problem) -> Vec<Selection> {
        problem.candidates.iter().fold(vec![Vec::new()], |begun, candidate| {
            let rows = || (0..candidate.choices.len()).map(Some).chain([None]);
            begun.iter().flat_map(|begun| rows().map(|row| [&begun[..], &[row]].concat())).collect()
        })
    }

    #[test]
    fn the_best_that_is_left_is_that_of_plain_enumeration_whatever_is_closed() {
        let problem = problem();
        for (closed, pinned) in (0_u32..64).flat_map(|closed| [(closed, false), (closed, true)]) {
            let mut relaxation = Relaxation::new(&problem);
            let mut state = relaxation.state.clone();
            for (bit, open) in state.open.iter_mut().flatten().enumerate() {
                *open = closed >> bit & 1 == 0;
            }
            state.must[0] = pinned;
            relaxation.load(state.clone());
            let allowed = |selection: &&Selection| {
                let fits = |(row, open): (&Option<usize>, &Vec<bool>)| row.is_none_or(|row| open[row]);
                selection.iter().zip(&state.open).all(fits) && (!pinned || selection[0].is_some())
            };
            let all = selections(&problem);
            let expected =
                all.iter().filter(allowed).filter_map(|selection| worth(&problem, selection)).max();
            if relaxation.is_void() {
                assert_eq!(expected, None);
                continue;
            }
            let found = enumerate(&problem, &mut relaxation, i64::from(UNREACHABLE) / 2, 1, 1_000);
            assert!(found.is_all);
            let value = found.best.as_ref().and_then(|best| worth(&problem, best));
            assert_eq!(value, expected, "closed {closed:b}, pinned {pinned}: {:?}", found.best);
        }
    }

    #[test]
    fn it_says_when_it_did_not_come_to_the_end() {
        let problem = problem();
        let mut relaxation = Relaxation::new(&problem);
        relaxation.recompute();
        assert!(!enumerate(&problem, &mut relaxation, 0, 1, 3).is_all);
    }
}
