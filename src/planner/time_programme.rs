//! The exact dynamic programme over time and positions.
//!
//! State: ticks used, and whether the turn of the current position is paid. Positions are joined by their changes.
//! Benefits are not seen here: each choice comes with a price, and the programme finds the best sum of prices that
//! fits. Forward and backward values are kept for every group, so that the best plan through any one choice can be
//! read off in between ("max-marginal").

use super::problem::{Problem, UNREACHABLE};

/// Whether the turn to the second side has been paid in the current position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Turn {
    Unpaid = 0,
    Paid = 1,
}

const TURNS: [Turn; 2] = [Turn::Unpaid, Turn::Paid];

/// A choice as this programme sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Item {
    /// Ticks it takes.
    pub(super) time: usize,
    /// Whether it needs the turn.
    pub(super) second_side: bool,
    /// What it is worth.
    pub(super) price: i32,
}

/// The programme with its tables. A boundary lies before the first group of a position and after each.
#[derive(Debug)]
pub(super) struct TimeProgramme<'p> {
    problem: &'p Problem,
    width: usize,
    /// Number of groups by position.
    groups: Vec<usize>,
    /// Index of the first boundary by position.
    first: Vec<usize>,
    forward: [Vec<i32>; 2],
    backward: [Vec<i32>; 2],
    /// Best value on leaving a position, forward, and on being free to leave it, backward.
    leave: Vec<Vec<i32>>,
    onward: Vec<Vec<i32>>,
    /// Best value of the rest on entering a position, backward.
    rest: Vec<Vec<i32>>,
    /// Whether a position cannot be left out.
    must: Vec<bool>,
}

impl<'p> TimeProgramme<'p> {
    pub(super) fn new(problem: &'p Problem, groups: Vec<usize>) -> Self {
        let width = problem.horizon + 1;
        let mut boundaries = 0;
        let first = groups
            .iter()
            .map(|count| {
                let first = boundaries;
                boundaries += count + 1;
                first
            })
            .collect();
        let table = || vec![UNREACHABLE; boundaries * width];
        let lines = || vec![vec![UNREACHABLE; width]; groups.len()];
        Self {
            problem,
            width,
            first,
            forward: [table(), table()],
            backward: [table(), table()],
            leave: lines(),
            onward: lines(),
            rest: lines(),
            must: vec![false; groups.len()],
            groups,
        }
    }

    /// Says which positions cannot be left out.
    pub(super) fn require(&mut self, must: impl Fn(usize) -> bool) {
        for (position, flag) in self.must.iter_mut().enumerate() {
            *flag = must(position);
        }
    }

    fn may_skip(&self, mut between: std::ops::Range<usize>) -> bool {
        !between.any(|position| self.must[position])
    }

    fn line(&self, position: usize, group: usize) -> std::ops::Range<usize> {
        let start = (self.first[position] + group) * self.width;
        start..start + self.width
    }

    /// Opens a position on the way forward.
    pub(super) fn enter_forward(&mut self, position: usize) {
        let mut entry = vec![UNREACHABLE; self.width];
        if let Some(start) = self.problem.start[position]
            && start < self.width
            && self.may_skip(0..position)
        {
            entry[start..].fill(0);
        }
        for before in 0..position {
            if let Some(change) = self.problem.change[before][position]
                && self.may_skip(before + 1..position)
            {
                raise(&mut entry, change, &self.leave[before], 0);
            }
        }
        let line = self.line(position, 0);
        let paid = &mut self.forward[Turn::Paid as usize][line.clone()];
        paid.fill(UNREACHABLE);
        raise(paid, self.problem.turn[position], &entry, 0);
        self.forward[Turn::Unpaid as usize][line].copy_from_slice(&entry);
    }

    /// Passes a group on the way forward: one of `items`, or none where that is allowed.
    pub(super) fn pass_forward(&mut self, position: usize, group: usize, items: &[Item], must: bool) {
        let (from, to) = (self.line(position, group), self.line(position, group + 1));
        for turn in TURNS {
            let (before, after) = self.forward[turn as usize].split_at_mut(to.start);
            let (before, after) = (&before[from.clone()], &mut after[..to.len()]);
            if must {
                after.fill(UNREACHABLE);
            } else {
                after.copy_from_slice(before);
            }
            for item in items.iter().filter(|item| turn == Turn::Paid || !item.second_side) {
                raise(after, item.time, before, item.price);
            }
        }
    }

    /// Closes a position on the way forward.
    pub(super) fn leave_forward(&mut self, position: usize) {
        let line = self.line(position, self.groups[position]);
        let (unpaid, paid) = (&self.forward[0][line.clone()], &self.forward[1][line]);
        for ((leave, unpaid), paid) in self.leave[position].iter_mut().zip(unpaid).zip(paid) {
            *leave = *unpaid.max(paid);
        }
    }

    /// Opens a position on the way back: what follows once it may be left.
    pub(super) fn enter_backward(&mut self, position: usize) {
        let positions = self.groups.len();
        let mut onward =
            vec![if self.may_skip(position + 1..positions) { 0 } else { UNREACHABLE }; self.width];
        for after in position + 1..positions {
            if let Some(change) = self.problem.change[position][after]
                && self.may_skip(position + 1..after)
            {
                lower(&mut onward, change, &self.rest[after], 0);
            }
        }
        let line = self.line(position, self.groups[position]);
        for turn in TURNS {
            self.backward[turn as usize][line.clone()].copy_from_slice(&onward);
        }
        self.onward[position] = onward;
    }

    /// Passes a group on the way back.
    pub(super) fn pass_backward(&mut self, position: usize, group: usize, items: &[Item], must: bool) {
        let (to, from) = (self.line(position, group), self.line(position, group + 1));
        for turn in TURNS {
            let (before, after) = self.backward[turn as usize].split_at_mut(from.start);
            let (before, after) = (&mut before[to.clone()], &after[..from.len()]);
            if must {
                before.fill(UNREACHABLE);
            } else {
                before.copy_from_slice(after);
            }
            for item in items.iter().filter(|item| turn == Turn::Paid || !item.second_side) {
                lower(before, item.time, after, item.price);
            }
        }
    }

    /// Closes a position on the way back.
    pub(super) fn leave_backward(&mut self, position: usize) {
        let line = self.line(position, 0);
        let (unpaid, paid) = (&self.backward[0][line.clone()], &self.backward[1][line]);
        self.rest[position].copy_from_slice(unpaid);
        lower(&mut self.rest[position], self.problem.turn[position], paid, 0);
    }

    /// The best plan that does without a position; needs the way forward before it and the way back behind it.
    pub(super) fn best_without(&self, position: usize) -> i32 {
        let positions = self.groups.len();
        if self.must[position] {
            return UNREACHABLE;
        }
        let mut best = if self.may_skip(0..positions) { 0 } else { UNREACHABLE };
        for before in 0..position {
            if self.may_skip(before + 1..positions) {
                best = best.max(self.leave[before].iter().copied().max().unwrap_or(UNREACHABLE));
            }
        }
        for after in position + 1..positions {
            if let Some(start) = self.problem.start[after]
                && start < self.width
                && self.may_skip(0..after)
            {
                best = best.max(self.rest[after][start]);
            }
            for before in 0..position {
                if let Some(change) = self.problem.change[before][after]
                    && self.may_skip(before + 1..after)
                {
                    best = best.max(meet(&self.leave[before], change, &self.rest[after]));
                }
            }
        }
        best
    }

    /// The best plan that passes a group with `time` ticks spent there, less the price of what is done in them.
    pub(super) fn best_through(&self, position: usize, group: usize, time: usize, second_side: bool) -> i32 {
        let (before, after) = (self.line(position, group), self.line(position, group + 1));
        TURNS.into_iter().filter(|turn| !second_side || *turn == Turn::Paid).fold(
            UNREACHABLE,
            |best, turn| {
                let forward = &self.forward[turn as usize][before.clone()];
                best.max(meet(forward, time, &self.backward[turn as usize][after.clone()]))
            },
        )
    }

    /// The best plan of all, after a whole way back.
    pub(super) fn best_backward(&self) -> i32 {
        let positions = self.groups.len();
        (0..positions)
            .filter(|&position| self.may_skip(0..position))
            .filter_map(|position| self.rest[position].get(self.problem.start[position]?).copied())
            .fold(if self.may_skip(0..positions) { 0 } else { UNREACHABLE }, i32::max)
    }

    /// The best of the rest from a boundary on, after a whole way back. An unpaid turn may still be paid.
    pub(super) fn rest_within(&self, position: usize, group: usize, paid: bool, time: usize) -> i32 {
        let start = self.line(position, group).start;
        let at = |turn: Turn, time: usize| {
            if time < self.width { self.backward[turn as usize][start + time] } else { UNREACHABLE }
        };
        if paid {
            at(Turn::Paid, time)
        } else {
            at(Turn::Unpaid, time).max(at(Turn::Paid, time + self.problem.turn[position]))
        }
    }

    /// The best of the rest on leaving a position, or at the start, if positions from `next` on may follow.
    pub(super) fn rest_from(&self, last: Option<usize>, next: usize, time: usize) -> i32 {
        let positions = self.groups.len();
        let ended = if time < self.width && self.may_skip(next..positions) { 0 } else { UNREACHABLE };
        let onward = (next..positions).filter(|&after| self.may_skip(next..after)).filter_map(|after| {
            let change = last.map_or(self.problem.start[after], |last| self.problem.change[last][after])?;
            self.rest[after].get(time + change).copied()
        });
        onward.fold(ended, i32::max)
    }

    /// The items of the best plan of all as (position, group, index of the item), after a whole way back.
    ///
    /// `items` gives the same items as [`Self::pass_backward`] got, and whether one must be taken.
    pub(super) fn trace<'i>(
        &self,
        items: impl Fn(usize, usize) -> (&'i [Item], bool),
    ) -> Vec<(usize, usize, usize)> {
        let positions = self.groups.len();
        let mut taken = Vec::new();
        let best = self.best_backward();
        let mut next = (0..positions).filter(|&position| self.may_skip(0..position)).find_map(|position| {
            let start = self.problem.start[position]?;
            (best > 0 || !self.may_skip(0..positions))
                .then_some((position, start))
                .filter(|_| self.rest[position].get(start) == Some(&best) && best > UNREACHABLE)
        });
        while let Some((position, mut used)) = next {
            let entry = self.line(position, 0);
            let worth = self.rest[position][used];
            let turn = if self.backward[0][entry.clone()][used] == worth { Turn::Unpaid } else { Turn::Paid };
            if turn == Turn::Paid {
                used += self.problem.turn[position];
            }
            let table = &self.backward[turn as usize];
            for group in 0..self.groups[position] {
                let worth = table[self.line(position, group)][used];
                let after = &table[self.line(position, group + 1)];
                let (items, must) = items(position, group);
                if !must && after[used] == worth {
                    continue;
                }
                let found = items.iter().position(|item| {
                    (turn == Turn::Paid || !item.second_side)
                        && after.get(used + item.time).is_some_and(|rest| rest + item.price == worth)
                });
                if let Some(index) = found {
                    used += items[index].time;
                    taken.push((position, group, index));
                }
            }
            let worth = self.onward[position][used];
            let ends = self.may_skip(position + 1..positions) && worth == 0;
            next = (position + 1..positions).filter(|_| !ends).find_map(|after| {
                let arrival = used + self.problem.change[position][after]?;
                (self.may_skip(position + 1..after) && self.rest[after].get(arrival) == Some(&worth))
                    .then_some((after, arrival))
            });
        }
        taken
    }
}

/// `to[t + shift] = max(to[t + shift], from[t] + add)`.
fn raise(to: &mut [i32], shift: usize, from: &[i32], add: i32) {
    if shift < to.len() {
        for (to, from) in to[shift..].iter_mut().zip(from) {
            *to = (*to).max(from + add);
        }
    }
}

/// `to[t] = max(to[t], from[t + shift] + add)`.
fn lower(to: &mut [i32], shift: usize, from: &[i32], add: i32) {
    if shift < from.len() {
        for (to, from) in to.iter_mut().zip(&from[shift..]) {
            *to = (*to).max(from + add);
        }
    }
}

/// The greatest `before[t] + after[t + shift]`.
fn meet(before: &[i32], shift: usize, after: &[i32]) -> i32 {
    if shift >= after.len() {
        return UNREACHABLE;
    }
    before.iter().zip(&after[shift..]).map(|(before, after)| before + after).fold(UNREACHABLE, i32::max)
}
