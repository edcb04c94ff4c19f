//! The best plan and its proof: passes over the relaxation, local search for plans, and where a gap is left either an
//! enumeration of all plans that are left or branching.

use std::ops::ControlFlow;

use super::branching::{Branch, Implied, Pseudocosts};
use super::enumeration::enumerate;
use super::local_search::PartialPlan;
use super::problem::{Candidate, Problem, Selection};
use super::relaxation::{OpenChoices, Relaxation};

/// How much the search may do, counted, so that the answer does not hang on the machine's speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    /// The most passes over the relaxation.
    pub passes: u32,
    /// The most work in all: a pass over a problem of so many choices and ticks is as much as their product, and all
    /// else is counted by how long it takes beside a pass.
    pub work: u64,
}

impl Budget {
    /// Enough for a proof in all but freak cases.
    pub const FULL: Self = Self::passes(400_000);
    /// What fits between a key and the next frame of the screen, also where very much is to be planned.
    pub const FRAME: Self = Self { passes: 60, work: 6_000_000 };

    /// So many passes, whatever they take.
    pub const fn passes(passes: u32) -> Self {
        Self { passes, work: u64::MAX }
    }
}

/// How often multipliers may be moved along the subgradient before the first branching, and how many steps each time.
const DESCENTS: u32 = 2;
const STEPS: u32 = 100;
/// Stretches that are tried in both branches where nothing is known of them yet, and that are compared at all.
const TRIED: usize = 8;
const COMPARED: usize = 10;
/// The most steps towards good slopes before the first pass.
const SLOPE_STEPS: u32 = 150;
/// How many partial paths are looked at before a state is split instead, and how many take as long as a pass.
const VISITS: u32 = 5_000;
const VISITS_A_PASS: u32 = 300;
/// The work of a visit, and of looking at a choice in the local search; four steps towards good slopes are a pass, and
/// two steps along the subgradient are one.
const VISIT: u64 = 80;
const EVALUATION: u64 = 16;
const SLOPE_STEPS_A_PASS: u64 = 4;
/// Neither the slopes nor one local search may take more than this part of all work.
const PART: u64 = 4;

/// What the search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    /// A choice for each candidate of the problem.
    pub selection: Selection,
    /// What it is worth.
    pub value: i64,
    /// What no plan can exceed; equal to `value` once proven.
    pub bound: i64,
    /// Passes that were made.
    pub passes: u32,
    /// Nodes of the search tree that were looked at.
    pub nodes: u32,
}

/// Finds the best plan, or none if the pinned stretches do not fit.
pub fn solve(problem: &Problem, budget: Budget) -> Option<Solution> {
    solve_watched(problem, budget, &mut |_| ControlFlow::Continue(()))
}

/// The same, telling after every few passes what the best plan so far is worth; ends early when told to break.
pub fn solve_watched(
    problem: &Problem,
    budget: Budget,
    watch: &mut dyn FnMut(i64) -> ControlFlow<()>,
) -> Option<Solution> {
    let (reduced, origin) = problem.reduced();
    let (_, quickest) = reduced.quickest().filter(|(ticks, _)| *ticks <= reduced.horizon)?;
    let parts = problem.fineness();
    let scaled = reduced.scaled(parts);
    let parts = i64::from(parts);
    let mut watch = |value: i64| watch(value / parts);
    let mut search = Search::new(&scaled, quickest, budget, &mut watch);
    search.run();
    let (selection, value) = search.best;
    // No plan lies between two whole values.
    let (value, bound) = (value / parts, search.bound.max(value).div_euclid(parts));
    let mut whole = vec![None; problem.candidates.len()];
    for (chosen, (candidate, choices)) in selection.iter().zip(&origin) {
        whole[*candidate] = chosen.map(|choice| choices[choice]);
    }
    Some(Solution { selection: whole, value, bound, passes: search.passes, nodes: search.nodes })
}

struct Search<'p, 'w> {
    problem: &'p Problem,
    watch: &'w mut dyn FnMut(i64) -> ControlFlow<()>,
    called_off: bool,
    relaxation: Relaxation<'p>,
    value_step: i64,
    /// The best plan so far and its value.
    best: (Selection, i64),
    bound: i64,
    budget: Budget,
    passes: u32,
    /// The work that was done, and that of one pass.
    work: u64,
    size: u64,
    nodes: u32,
    last_proposal: Selection,
    implied: Implied,
    pseudocosts: Pseudocosts,
    /// The gap up to which the plans of a state have turned out few enough to go through.
    reach: i64,
}

/// A state that is yet to be looked at.
struct Node {
    /// The bound of the state it was split from.
    bound: i64,
    state: OpenChoices,
    /// The decision that led to it.
    decision: Option<(usize, Branch)>,
}

impl<'p, 'w> Search<'p, 'w> {
    fn new(
        problem: &'p Problem,
        first: Selection,
        budget: Budget,
        watch: &'w mut dyn FnMut(i64) -> ControlFlow<()>,
    ) -> Self {
        let value = PartialPlan::of(problem, &first).value();
        let choices: usize = problem.candidates.iter().map(|candidate| candidate.choices.len()).sum();
        let size = u64::try_from(choices * problem.horizon).unwrap_or(u64::MAX).max(1);
        Self {
            problem,
            watch,
            called_off: false,
            relaxation: Relaxation::new(problem),
            value_step: i64::from(problem.value_step()),
            best: (first, value),
            bound: i64::MAX,
            budget,
            passes: 0,
            work: 0,
            size,
            nodes: 0,
            last_proposal: Vec::new(),
            implied: Implied::new(problem),
            pseudocosts: Pseudocosts::new(problem.candidates.len()),
            reach: 0,
        }
    }

    /// The least value that would be an improvement: values lie a step apart.
    fn goal(&self) -> i64 {
        self.best.1 + self.value_step
    }

    /// Over the tree of states, depth first and best first in turn. A node is left when its bound is below the goal.
    fn run(&mut self) {
        self.offer_first();
        let affordable = self.budget.work / PART / self.size.div_ceil(SLOPE_STEPS_A_PASS);
        let most = SLOPE_STEPS.min(self.budget.passes).min(u32::try_from(affordable).unwrap_or(u32::MAX));
        let steps = self.relaxation.fit_slopes(self.best.1, most);
        self.work += u64::from(steps) * self.size / SLOPE_STEPS_A_PASS;
        self.reach = self.relaxation.bound / 100;
        let root = self.relaxation.state.clone();
        let mut stack = vec![Node { bound: i64::MAX, state: root, decision: None }];
        while !stack.is_empty() {
            // Every other time the state that promises most, so that no bad turn is followed to its end.
            if self.nodes % 2 == 1
                && let Some(most) = (0..stack.len()).max_by_key(|&at| (stack[at].bound, at))
            {
                stack[most..].rotate_left(1);
            }
            let Some(Node { bound, mut state, decision }) = stack.pop() else { break };
            if bound < self.goal() {
                continue;
            }
            self.nodes += 1;
            self.implied.settle(&mut state);
            self.relaxation.load(state);
            self.tighten();
            if let Some((candidate, branch)) = decision {
                let reached = self.relaxation.bound.max(self.goal() - self.value_step);
                self.pseudocosts.learn(candidate, branch, bound - reached);
            }
            if self.is_closed() {
                continue;
            }
            if self.is_over() {
                let open = stack.iter().map(|node| node.bound).chain([self.relaxation.bound.min(bound)]);
                self.bound = open.max().unwrap_or(i64::MAX);
                return;
            }
            stack.extend(self.branches());
        }
        self.bound = self.best.1;
    }

    fn is_closed(&self) -> bool {
        self.relaxation.bound < self.goal() || self.relaxation.is_void()
    }

    fn is_over(&self) -> bool {
        self.called_off || self.passes >= self.budget.passes || self.work >= self.budget.work
    }

    /// One pass, counted and told.
    fn pass(&mut self) {
        self.relaxation.sweep(self.goal());
        self.passes += 1;
        self.work += self.size;
        self.tell();
    }

    fn tell(&mut self) {
        self.called_off |= (self.watch)(self.best.1).is_break();
    }

    /// Passes until the node is closed or two passes in a row gain little of the gap.
    fn tighten(&mut self) {
        let mut stalled = 0;
        let mut descents = 0;
        while stalled < 2 && !self.is_over() && !self.relaxation.is_void() {
            let before = self.relaxation.bound;
            self.pass();
            if self.is_closed() {
                return;
            }
            let proposal = self.relaxation.proposal();
            self.offer(&proposal);
            let gap = self.relaxation.bound - self.goal() + self.value_step;
            let gained = before.saturating_sub(self.relaxation.bound);
            if gained < gap / 4 && gap <= self.reach {
                self.enumerate(gap);
            }
            if self.is_closed() {
                return;
            }
            stalled = if gained < gap / 60 { stalled + 1 } else { 0 };
            let value = self.best.1;
            // Prices are handed down, so that what is gained at the root is gained everywhere.
            let affordable = self.passes + STEPS / 2 <= self.budget.passes
                && self.work.saturating_add(u64::from(STEPS / 2) * self.size) <= self.budget.work;
            if stalled == 2 && self.nodes <= 1 && descents < DESCENTS && affordable && gap > value / 400 {
                self.relaxation.descend(value, STEPS);
                self.passes += STEPS / 2;
                self.work += u64::from(STEPS / 2) * self.size;
                stalled = 0;
                descents += 1;
            }
        }
    }

    /// Goes through the plans of the state one by one, as long as that takes few visits.
    fn enumerate(&mut self, gap: i64) {
        let goal = self.goal();
        let enumeration = enumerate(self.problem, &mut self.relaxation, goal, self.value_step, VISITS);
        self.passes += enumeration.visits / VISITS_A_PASS;
        self.work += u64::from(enumeration.visits) * VISIT;
        if let Some(selection) = enumeration.best {
            self.keep(&selection);
        }
        // The number of plans grows fast with the gap.
        if enumeration.is_all {
            self.relaxation.bound = self.goal() - self.value_step;
            self.reach = self.reach.max(gap + gap / 4);
        } else {
            self.reach = gap - gap / 8;
        }
    }

    /// Makes a plan from the shortest choices of what is pinned, if they go together.
    fn offer_first(&mut self) {
        let shortest = |candidate: &Candidate| {
            let choices = candidate.choices.iter().enumerate().filter(|_| candidate.pinned);
            choices.min_by_key(|(_, choice)| choice.time).map(|(index, _)| index)
        };
        let pinned: Selection = self.problem.candidates.iter().map(shortest).collect();
        self.offer(&pinned);
    }

    /// Improves a proposal by local search and keeps it if it is the best so far.
    fn offer(&mut self, proposal: &Selection) {
        if *proposal == self.last_proposal {
            return;
        }
        self.last_proposal.clone_from(proposal);
        let mut partial = PartialPlan::of(self.problem, proposal);
        let open = self.relaxation.open();
        let most = self.budget.work / PART / EVALUATION;
        partial.evaluations = most;
        partial.improve(&open, false);
        let near = partial.value() + self.best.1 / 100 > self.best.1;
        if self.nodes <= 1 && near {
            partial.improve(&open, true);
        }
        self.work += (most - partial.evaluations) * EVALUATION;
        self.keep(&partial.chosen);
    }

    fn keep(&mut self, selection: &Selection) {
        let partial = PartialPlan::of(self.problem, selection);
        if partial.is_plan() && partial.value() > self.best.1 {
            self.best = (selection.clone(), partial.value());
        }
    }

    /// Splits the present state in two, likelier branch last, so that it is looked at first.
    fn branches(&mut self) -> Vec<Node> {
        self.relaxation.refresh_forward();
        let state = self.relaxation.state.clone();
        let bound = self.relaxation.bound;
        let node = |state, decision| Node { bound, state, decision };
        let open = self.relaxation.open();
        // Used or not, for one of the stretches on which the programmes are least of one mind.
        let undecided =
            (0..open.len()).filter(|&candidate| !state.must[candidate] && !open[candidate].is_empty());
        let mut leanings: Vec<(i64, usize)> =
            undecided.map(|candidate| (self.relaxation.leaning(candidate), candidate)).collect();
        leanings.sort_by_key(|&(leaning, candidate)| (leaning.abs(), candidate));
        leanings.truncate(COMPARED);
        for &(_, candidate) in leanings.iter().take(TRIED) {
            for branch in Branch::BOTH {
                if self.pseudocosts.mean(candidate, branch).is_none()
                    && !self.try_branch(&state, bound, candidate, branch)
                {
                    // That branch leads nowhere: the other is all that is left.
                    return vec![node(branch.other().of(&state, candidate), None)];
                }
            }
        }
        let gap = bound - self.goal() + self.value_step;
        let chosen =
            leanings.into_iter().rev().max_by_key(|&(_, candidate)| self.pseudocosts.score(candidate, gap));
        if let Some((leaning, candidate)) = chosen {
            let likelier = if leaning >= 0 { Branch::With } else { Branch::Without };
            return [likelier.other(), likelier]
                .map(|branch| node(branch.of(&state, candidate), Some((candidate, branch))))
                .into();
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
        // No branch was tried, so that the tables are still those of the state.
        let ranked = self.relaxation.ranked(candidate);
        let (mut best, mut rest) = (state.clone(), state);
        for (rank, &(_, choice)) in ranked.iter().enumerate() {
            if rank == 0 {
                rest.open[candidate][choice] = false;
            } else {
                best.open[candidate][choice] = false;
            }
        }
        vec![node(rest, None), node(best, None)]
    }

    /// Looks with one pass how far a branch of a state lowers the bound; whether anything is left in it.
    fn try_branch(&mut self, state: &OpenChoices, bound: i64, candidate: usize, branch: Branch) -> bool {
        let mut trial = branch.of(state, candidate);
        self.implied.settle(&mut trial);
        self.relaxation.load(trial);
        self.pass();
        if self.is_closed() {
            return false;
        }
        self.pseudocosts.learn(candidate, branch, bound - self.relaxation.bound);
        true
    }
}
