//! The best plan and its proof: passes over the relaxation, local search for plans, and branching where a gap is left.

use super::draft::Draft;
use super::problem::{NEVER, Problem, Selection};
use super::relaxation::{Relaxation, State};

/// How much work the search may do, in counted passes, so that the answer does not hang on the machine's speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// The most passes over the relaxation.
    pub passes: u32,
}

impl Effort {
    /// Enough for a proof in all but freak cases.
    pub const FULL: Self = Self { passes: 200_000 };
}

/// How often a node's prices may be moved along the subgradient, and how many steps each time.
const DESCENTS: u32 = 2;
const STEPS: u32 = 100;
/// Steps towards good slopes before the first pass.
const SLOPE_STEPS: u32 = 40;

/// What the search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// A choice for each candidate of the problem.
    pub selection: Selection,
    /// What it is worth, in micro-points.
    pub value: i64,
    /// What no plan can exceed; equal to `value` once proven.
    pub bound: i64,
    /// Passes that were made.
    pub passes: u32,
    /// Nodes of the search tree that were looked at.
    pub nodes: u32,
}

/// Finds the best plan, or none if the pinned stretches do not fit.
pub fn solve(problem: &Problem, effort: Effort) -> Option<Answer> {
    let (reduced, origin) = problem.reduced();
    let mut search = Search::new(&reduced, effort);
    search.run();
    let (selection, value) = search.best?;
    let bound = search.bound.max(value);
    let mut whole = vec![None; problem.candidates.len()];
    for (chosen, (candidate, choices)) in selection.iter().zip(&origin) {
        whole[*candidate] = chosen.map(|choice| choices[choice]);
    }
    Some(Answer { selection: whole, value, bound, passes: search.passes, nodes: search.nodes })
}

struct Search<'p> {
    problem: &'p Problem,
    relaxation: Relaxation<'p>,
    grain: i64,
    best: Option<(Selection, i64)>,
    bound: i64,
    effort: Effort,
    passes: u32,
    nodes: u32,
    last_proposal: Selection,
}

impl<'p> Search<'p> {
    fn new(problem: &'p Problem, effort: Effort) -> Self {
        Self {
            problem,
            relaxation: Relaxation::new(problem),
            grain: i64::from(problem.grain()),
            best: None,
            bound: i64::MAX,
            effort,
            passes: 0,
            nodes: 0,
            last_proposal: Vec::new(),
        }
    }

    /// The least value that would be an improvement: values lie a grain apart. Without a plan yet, what any plan exceeds
    /// and nothing impossible does, so that impossible choices are closed and their prices stay small.
    fn goal(&self) -> i64 {
        self.best.as_ref().map_or(i64::from(NEVER) / 2, |(_, value)| value + self.grain)
    }

    /// Depth first over the tree of states. A node is left when its bound is below the goal.
    fn run(&mut self) {
        self.offer_first();
        let value = self.best.as_ref().map_or(0, |(_, value)| *value);
        self.relaxation.fit_slopes(value, SLOPE_STEPS);
        let root = self.relaxation.state.clone();
        let mut stack: Vec<(i64, State)> = vec![(i64::MAX, root)];
        while let Some((bound, state)) = stack.pop() {
            if bound < self.goal() {
                continue;
            }
            self.nodes += 1;
            self.relaxation.load(state);
            self.tighten();
            if self.relaxation.bound < self.goal() || self.relaxation.is_void() {
                continue;
            }
            if self.passes >= self.effort.passes {
                let open = stack.iter().map(|node| node.0).chain([self.relaxation.bound]);
                self.bound = open.max().unwrap_or(i64::MAX);
                return;
            }
            let bound = self.relaxation.bound;
            // The likelier branch is pushed last, so that it is looked at first.
            stack.extend(self.branches().into_iter().rev().map(|state| (bound, state)));
        }
        self.bound = self.best.as_ref().map_or(i64::MIN, |(_, value)| *value);
    }

    /// Passes until the node is closed or two passes in a row gain little of the gap.
    fn tighten(&mut self) {
        let mut stalled = 0;
        let mut descents = 0;
        while stalled < 2 && self.passes < self.effort.passes && !self.relaxation.is_void() {
            let before = self.relaxation.bound;
            self.relaxation.sweep(self.goal());
            self.passes += 1;
            if self.relaxation.bound < self.goal() {
                return;
            }
            let proposal = self.relaxation.proposal();
            self.offer(&proposal);
            if self.relaxation.bound < self.goal() {
                return;
            }
            let gap = self.relaxation.bound - self.goal() + self.grain;
            if (before - self.relaxation.bound).saturating_mul(60) < gap {
                stalled += 1;
            } else {
                stalled = 0;
            }
            let value = self.best.as_ref().map_or(0, |(_, value)| *value);
            if stalled == 2 && descents < DESCENTS && gap > value / 100 {
                self.relaxation.descend(value, STEPS);
                self.passes += STEPS / 2;
                stalled = 0;
                descents += 1;
            }
        }
    }

    /// Makes a first plan from nothing.
    fn offer_first(&mut self) {
        let nothing = vec![None; self.problem.candidates.len()];
        self.offer(&nothing);
    }

    /// Improves a proposal by local search and keeps it if it is the best so far.
    fn offer(&mut self, proposal: &Selection) {
        if *proposal == self.last_proposal {
            return;
        }
        self.last_proposal.clone_from(proposal);
        let mut draft = Draft::empty(self.problem);
        for (candidate, choice) in proposal.iter().enumerate() {
            draft.put(candidate, *choice);
        }
        let open = self.relaxation.open();
        draft.improve(&open, false);
        let near = self.best.as_ref().is_none_or(|(_, value)| draft.value() + value / 100 > *value);
        if self.nodes <= 1 && near {
            draft.improve(&open, true);
        }
        self.keep(&draft.chosen);
    }

    fn keep(&mut self, selection: &Selection) {
        let mut draft = Draft::empty(self.problem);
        for (candidate, choice) in selection.iter().enumerate() {
            draft.put(candidate, *choice);
        }
        if draft.is_plan() && self.best.as_ref().is_none_or(|(_, value)| draft.value() > *value) {
            self.best = Some((draft.chosen.clone(), draft.value()));
        }
    }

    /// Splits the present state in two, likelier half first.
    fn branches(&mut self) -> Vec<State> {
        self.relaxation.refresh_forward();
        let state = self.relaxation.state.clone();
        let open = self.relaxation.open();
        // Used or not, for the stretch on which the programmes are least of one mind.
        let undecided =
            (0..open.len()).filter(|&candidate| !state.must[candidate] && !open[candidate].is_empty());
        let leanings: Vec<(i64, usize)> =
            undecided.map(|candidate| (self.relaxation.leaning(candidate), candidate)).collect();
        if let Some(&(leaning, candidate)) = leanings.iter().min_by_key(|(leaning, _)| leaning.abs()) {
            let mut with = state.clone();
            with.must[candidate] = true;
            let mut without = state;
            without.open[candidate].fill(false);
            return if leaning >= 0 { vec![with, without] } else { vec![without, with] };
        }
        // All stretches are decided: split the choices of the one with most of them.
        let Some(candidate) =
            (0..open.len()).filter(|&c| open[c].len() > 1).max_by_key(|&c| (open[c].len(), c))
        else {
            // Nothing is left to decide: the state is one plan.
            let only: Selection = open.iter().map(|choices| choices.first().copied()).collect();
            self.keep(&only);
            return Vec::new();
        };
        let ranked = self.relaxation.ranked(candidate);
        let (mut best, mut rest) = (state.clone(), state);
        for (rank, &(_, choice)) in ranked.iter().enumerate() {
            if rank == 0 {
                rest.open[candidate][choice] = false;
            } else {
                best.open[candidate][choice] = false;
            }
        }
        vec![best, rest]
    }
}
