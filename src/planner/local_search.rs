//! A plan in the making: what is chosen, what that is worth and how long it takes; and the local search over it.

use super::problem::{Choice, Problem, Selection};

/// A selection with its running sums.
#[derive(Debug, Clone)]
pub(super) struct PartialPlan<'p> {
    problem: &'p Problem,
    /// The choice of each candidate.
    pub(super) chosen: Selection,
    cover: Vec<usize>,
    used: Vec<u16>,
    turned: Vec<u16>,
    busy: usize,
    cost: i64,
    benefit: i64,
    /// How many choices the local search may still look at.
    pub(super) evaluations: u64,
}

impl<'p> PartialPlan<'p> {
    pub(super) fn empty(problem: &'p Problem) -> Self {
        Self {
            problem,
            chosen: vec![None; problem.candidates.len()],
            cover: vec![0; problem.wants.len()],
            used: vec![0; problem.positions()],
            turned: vec![0; problem.positions()],
            busy: 0,
            cost: 0,
            benefit: 0,
            evaluations: u64::MAX,
        }
    }

    /// What is chosen in a selection.
    pub(super) fn of(problem: &'p Problem, selection: &Selection) -> Self {
        let mut partial = Self::empty(problem);
        for (candidate, choice) in selection.iter().enumerate() {
            partial.put(candidate, *choice);
        }
        partial
    }

    /// What it is worth.
    pub(super) fn value(&self) -> i64 {
        self.benefit - self.cost
    }

    /// Whether it fits the time, its positions may follow each other and every pinned stretch is in it.
    pub(super) fn is_plan(&self) -> bool {
        self.fits()
            && self
                .problem
                .candidates
                .iter()
                .zip(&self.chosen)
                .all(|(candidate, chosen)| !candidate.pinned || chosen.is_some())
    }

    fn fits(&self) -> bool {
        self.busy <= self.problem.horizon
            && self
                .problem
                .between(|position| self.used[position] > 0, |position| self.turned[position] > 0)
                .is_some_and(|between| self.busy + between <= self.problem.horizon)
    }

    /// Puts another choice (or none) in the place of a candidate's present one, which is returned.
    pub(super) fn put(&mut self, candidate: usize, choice: Option<usize>) -> Option<usize> {
        let old = std::mem::replace(&mut self.chosen[candidate], choice);
        let choices = &self.problem.candidates[candidate].choices;
        for (choice, adds) in old.map(|old| (old, false)).into_iter().chain(choice.map(|new| (new, true))) {
            let choice = &choices[choice];
            for &(unit, ticks) in &choice.gains {
                let before = self.cover[unit];
                let after = if adds { before + ticks } else { before - ticks };
                self.benefit +=
                    i64::from(self.problem.benefit(unit, after) - self.problem.benefit(unit, before));
                self.cover[unit] = after;
            }
            let second = u16::from(choice.second_side);
            if adds {
                self.used[choice.position] += 1;
                self.turned[choice.position] += second;
                self.busy += choice.time;
                self.cost += i64::from(choice.cost);
            } else {
                self.used[choice.position] -= 1;
                self.turned[choice.position] -= second;
                self.busy -= choice.time;
                self.cost -= i64::from(choice.cost);
            }
        }
        old
    }

    /// Improves the plan until no single change makes it better; thoroughly, until neither does a change that frees
    /// time and one more. Ends early once it has looked at as many choices as it may.
    pub(super) fn improve(&mut self, open: &[Vec<usize>], thoroughly: bool) {
        while self.improve_by_one(open) || (thoroughly && self.improve_by_two(open)) {}
    }

    /// Makes the best single change that gains anything.
    fn improve_by_one(&mut self, open: &[Vec<usize>]) -> bool {
        let Some((candidate, choice)) = self.best_change(open, self.value(), None) else { return false };
        self.put(candidate, choice);
        true
    }

    /// The single change that leads to a fitting plan of the greatest value above `above`.
    fn best_change(
        &mut self,
        open: &[Vec<usize>],
        above: i64,
        but: Option<usize>,
    ) -> Option<(usize, Option<usize>)> {
        let mut best = above;
        let mut found = None;
        if self.evaluations == 0 {
            return None;
        }
        for candidate in (0..open.len()).filter(|&candidate| Some(candidate) != but) {
            let present = self.chosen[candidate];
            if present.is_some() {
                self.put(candidate, None);
                let pinned = self.problem.candidates[candidate].pinned;
                if !pinned && self.value() > best && self.fits() {
                    best = self.value();
                    found = Some((candidate, None));
                }
            }
            let value = self.value();
            self.evaluations =
                self.evaluations.saturating_sub(u64::try_from(open[candidate].len()).unwrap_or(u64::MAX));
            for &index in &open[candidate] {
                let choice = &self.problem.candidates[candidate].choices[index];
                if self.busy + choice.time > self.problem.horizon {
                    continue;
                }
                let after = value + self.gain_of(choice);
                if after > best && self.has_room_for(choice) {
                    best = after;
                    found = Some((candidate, Some(index)));
                }
            }
            if present.is_some() {
                self.put(candidate, present);
            }
        }
        found
    }

    /// What adding a choice would gain.
    fn gain_of(&self, choice: &Choice) -> i64 {
        let benefit = |&(unit, ticks): &(usize, usize)| {
            let cover = self.cover[unit];
            i64::from(self.problem.benefit(unit, cover + ticks) - self.problem.benefit(unit, cover))
        };
        choice.gains.iter().map(benefit).sum::<i64>() - i64::from(choice.cost)
    }

    /// Whether the plan still fits with a choice added.
    fn has_room_for(&self, choice: &Choice) -> bool {
        let used = |position: usize| self.used[position] > 0 || position == choice.position;
        let turned = |position: usize| {
            self.turned[position] > 0 || (choice.second_side && position == choice.position)
        };
        self.problem
            .between(used, turned)
            .is_some_and(|between| self.busy + choice.time + between <= self.problem.horizon)
    }

    /// Makes the first change of a chosen stretch that, with the best change of another, gains anything.
    fn improve_by_two(&mut self, open: &[Vec<usize>]) -> bool {
        let value = self.value();
        for candidate in 0..open.len() {
            let Some(present) = self.chosen[candidate] else { continue };
            let choices = &self.problem.candidates[candidate].choices;
            let none = (!self.problem.candidates[candidate].pinned).then_some(None);
            let shorter =
                open[candidate].iter().filter(|&&choice| choices[choice].time < choices[present].time);
            for choice in none.into_iter().chain(shorter.map(|&choice| Some(choice))) {
                self.put(candidate, choice);
                if let Some((other, choice)) = self.best_change(open, value, Some(candidate)) {
                    self.put(other, choice);
                    return true;
                }
                self.put(candidate, Some(present));
            }
        }
        false
    }
}
