//! The bound: time on one side, every unit on its own side, and multipliers that make them agree.
//!
//! For multipliers `pi(choice, unit)`, any whatever,
//!
//! ```text
//! bound = sum over units of  best over coverage ( benefit - multipliers paid )
//!       + best over plans that fit in time of the sum of ( multipliers received - cost )
//! ```
//!
//! is at least the value of every plan, since a plan's multipliers cancel out (Lagrangian decomposition; Guignard and
//! Kim, 'Lagrangean decomposition', Mathematical Programming 39, 1987). Each unit and the time are exact dynamic
//! programmes; only their agreement is relaxed.
//!
//! The multipliers are improved one group at a time by passing max-marginals (Kolmogorov, 'A new look at reweighted
//! message passing', IEEE TPAMI 37, 2015): with `M_j(c)` the best of programme `j` through choice `c`, multipliers are
//! moved so that every programme sees its share of `sum_j M_j(c)` less the same for 'none of these'. A block of such
//! moves never raises the bound (but for the rounding of shares, at most a few micro-points).

use super::problem::{MULTIPLIERS_AT_MOST, Problem, Selection, UNREACHABLE};
use super::time_programme::{Item, TimeProgramme};
use super::unit_programme::UnitProgramme;

/// What one node of the search tree knows: multipliers, and which choices are still open.
#[derive(Debug, Clone)]
pub(super) struct OpenChoices {
    /// Whether a choice is still open, by candidate.
    pub(super) open: Vec<Vec<bool>>,
    /// Whether a candidate must be used.
    pub(super) must: Vec<bool>,
    /// Prices by candidate, choice and unit of the candidate.
    pub(super) multipliers: Vec<Vec<i32>>,
}

/// What stays the same all through the search.
#[derive(Debug)]
pub(super) struct CandidateNode {
    /// Units that any choice of the candidate covers.
    pub(super) units: Vec<usize>,
    /// The node's place in each of their chains.
    pub(super) places: Vec<usize>,
    /// Coverage by choice and unit.
    pub(super) gains: Vec<usize>,
    /// By unit, the different coverages of its choices, and none.
    adds: Vec<Vec<usize>>,
    /// Index of its groups.
    pub(super) groups: Vec<usize>,
}

/// The choices of one stretch in one position.
#[derive(Debug)]
pub(super) struct ChoiceGroup {
    pub(super) candidate: usize,
    pub(super) position: usize,
    /// Index within the position.
    pub(super) place: usize,
    /// Indices of the candidate's choices here that are still open.
    pub(super) open: Vec<usize>,
    /// Their items for the time programme, in the same order.
    items: Vec<Item>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Direction {
    Forward,
    Backward,
}

/// The relaxation of one problem under one state.
#[derive(Debug)]
pub(super) struct Relaxation<'p> {
    problem: &'p Problem,
    pub(super) nodes: Vec<CandidateNode>,
    pub(super) groups: Vec<ChoiceGroup>,
    pub(super) time: TimeProgramme<'p>,
    pub(super) units: Vec<UnitProgramme>,
    /// Best of each unit, and their sum.
    unit_bounds: Vec<i32>,
    unit_bounds_sum: i64,
    pub(super) state: OpenChoices,
    /// An upper bound on every plan of the state.
    pub(super) bound: i64,
    /// The most that a multiplier may be, either way: so much that no sum of them is more than
    /// [`MULTIPLIERS_AT_MOST`].
    pub(super) largest_multiplier: i64,
}

impl<'p> Relaxation<'p> {
    pub(super) fn new(problem: &'p Problem) -> Self {
        let mut nodes = Vec::with_capacity(problem.candidates.len());
        let mut groups: Vec<ChoiceGroup> = Vec::new();
        for (candidate, stretch) in problem.candidates.iter().enumerate() {
            let mut units: Vec<usize> =
                stretch.choices.iter().flat_map(|choice| choice.gains.iter().map(|gain| gain.0)).collect();
            units.sort_unstable();
            units.dedup();
            let gains: Vec<usize> = stretch
                .choices
                .iter()
                .flat_map(|choice| {
                    units.iter().map(|&unit| {
                        let ticks = choice.gains.iter().find(|gain| gain.0 == unit).map_or(0, |gain| gain.1);
                        ticks.min(problem.wants[unit].len() - 1)
                    })
                })
                .collect();
            for position in 0..problem.positions() {
                if stretch.choices.iter().any(|choice| choice.position == position) {
                    groups.push(ChoiceGroup {
                        candidate,
                        position,
                        place: 0,
                        open: Vec::new(),
                        items: Vec::new(),
                    });
                }
            }
            let adds = (0..units.len())
                .map(|slot| {
                    let mut adds: Vec<usize> =
                        gains.iter().skip(slot).step_by(units.len()).copied().collect();
                    adds.push(0);
                    adds.sort_unstable();
                    adds.dedup();
                    adds
                })
                .collect();
            nodes.push(CandidateNode { units, places: Vec::new(), gains, adds, groups: Vec::new() });
        }
        groups.sort_by_key(|group| (group.position, group.candidate));
        let mut counts = vec![0; problem.positions()];
        let mut chains = vec![0; problem.wants.len()];
        for (index, group) in groups.iter_mut().enumerate() {
            group.place = counts[group.position];
            counts[group.position] += 1;
            let node = &mut nodes[group.candidate];
            if node.groups.is_empty() {
                for &unit in &node.units {
                    node.places.push(chains[unit]);
                    chains[unit] += 1;
                }
            }
            node.groups.push(index);
        }
        let units =
            problem.wants.iter().zip(&chains).map(|(want, &nodes)| UnitProgramme::new(want, nodes)).collect();
        // A path takes a choice of each group at most, and pays for each of its units.
        let widest = nodes.iter().map(|node| node.units.len()).max().unwrap_or(0);
        let most = i64::try_from((groups.len() * widest).max(1)).unwrap_or(i64::MAX);
        let largest_multiplier = MULTIPLIERS_AT_MOST / most;
        let state = OpenChoices {
            open: problem.candidates.iter().map(|stretch| vec![true; stretch.choices.len()]).collect(),
            must: problem.candidates.iter().map(|stretch| stretch.pinned).collect(),
            multipliers: nodes.iter().map(|node| vec![0; node.gains.len()]).collect(),
        };
        Self {
            problem,
            nodes,
            groups,
            time: TimeProgramme::new(problem, counts),
            unit_bounds: vec![0; chains.len()],
            units,
            unit_bounds_sum: 0,
            state,
            bound: i64::MAX,
            largest_multiplier,
        }
    }

    /// Takes a state over and brings all tables up to date with it.
    pub(super) fn load(&mut self, state: OpenChoices) {
        self.state = state;
        self.recompute();
    }

    /// Brings all tables but the way forward up to date with the state.
    pub(super) fn recompute(&mut self) {
        for index in 0..self.groups.len() {
            self.refill(index);
        }
        for candidate in 0..self.nodes.len() {
            self.tell_units(candidate);
        }
        self.unit_bounds_sum = 0;
        for (unit, top) in self.units.iter_mut().zip(&mut self.unit_bounds) {
            *top = unit.best();
            self.unit_bounds_sum += i64::from(*top);
        }
        self.require();
        for position in (0..self.problem.positions()).rev() {
            self.time.enter_backward(position);
            for index in self.groups_of(position).rev() {
                self.pass(index, Direction::Backward);
            }
            self.time.leave_backward(position);
        }
        self.bound = i64::from(self.time.best_backward()) + self.unit_bounds_sum;
    }

    /// Brings the way forward up to date with multipliers that the way back has changed.
    pub(super) fn refresh_forward(&mut self) {
        for position in 0..self.problem.positions() {
            self.time.enter_forward(position);
            for index in self.groups_of(position) {
                self.pass(index, Direction::Forward);
            }
            self.time.leave_forward(position);
        }
    }

    /// The open choices by candidate.
    pub(super) fn open(&self) -> Vec<Vec<usize>> {
        let open = |flags: &Vec<bool>| (0..flags.len()).filter(|&choice| flags[choice]).collect();
        self.state.open.iter().map(open).collect()
    }

    /// One pass: a sweep forward and one back, closing what cannot reach `goal`. Stops early once the bound is below.
    pub(super) fn sweep(&mut self, goal: i64) {
        let positions = self.problem.positions();
        for position in 0..positions {
            self.time.enter_forward(position);
            let without = self.time.best_without(position);
            for index in self.groups_of(position) {
                self.settle(index, without, goal, Direction::Forward);
                self.pass(index, Direction::Forward);
            }
            self.time.leave_forward(position);
        }
        if self.bound < goal {
            return;
        }
        self.require();
        for position in (0..positions).rev() {
            self.time.enter_backward(position);
            let without = self.time.best_without(position);
            for index in self.groups_of(position).rev() {
                self.settle(index, without, goal, Direction::Backward);
                self.pass(index, Direction::Backward);
            }
            self.time.leave_backward(position);
        }
        self.bound = self.bound.min(i64::from(self.time.best_backward()) + self.unit_bounds_sum);
    }

    /// The time programme's own choices as (candidate, choice) after a pass; it may take a stretch once a position.
    pub(super) fn taken(&self) -> Vec<(usize, usize)> {
        let first: Vec<usize> = (0..self.problem.positions()).map(|p| self.groups_of(p).start).collect();
        let items = |position: usize, place: usize| {
            let group = &self.groups[first[position] + place];
            (&group.items[..], self.group_must(group))
        };
        let taken = self.time.trace(items).into_iter().map(|(position, place, item)| {
            let group = &self.groups[first[position] + place];
            (group.candidate, group.open[item])
        });
        taken.collect()
    }

    /// The time programme's own plan after a pass; a stretch that it does twice is done the first time only.
    pub(super) fn proposal(&self) -> Selection {
        let mut selection = vec![None; self.nodes.len()];
        for (candidate, choice) in self.taken() {
            selection[candidate].get_or_insert(choice);
        }
        selection
    }

    /// Whether no plan is left in this state.
    pub(super) fn is_void(&self) -> bool {
        self.bound < i64::from(UNREACHABLE) / 2
    }

    /// How firmly the programmes agree on using a candidate: best through a choice less best without, summed.
    pub(super) fn leaning(&mut self, candidate: usize) -> i64 {
        let mut best = i64::from(UNREACHABLE) * 4;
        let mut without = i64::from(UNREACHABLE) * 4;
        for index in self.nodes[candidate].groups.clone() {
            let skip = self.time.best_without(self.groups[index].position);
            let found = self.max_marginals(index, skip);
            without = without.max(found.base + if found.has_none { 0 } else { i64::from(UNREACHABLE) });
            best = best.max(found.sums.iter().copied().max().unwrap_or(i64::from(UNREACHABLE)) + found.base);
        }
        best - without
    }

    /// The bounds of a candidate's open choices, best first.
    pub(super) fn ranked(&mut self, candidate: usize) -> Vec<(i64, usize)> {
        let mut ranked = Vec::new();
        for index in self.nodes[candidate].groups.clone() {
            let skip = self.time.best_without(self.groups[index].position);
            let found = self.max_marginals(index, skip);
            ranked.extend(
                found.sums.iter().zip(&self.groups[index].open).map(|(sum, &c)| (found.base + sum, c)),
            );
        }
        ranked.sort_by_key(|&(bound, choice)| (std::cmp::Reverse(bound), choice));
        ranked
    }

    /// The price of a choice, summed over its units.
    pub(super) fn paid(&self, candidate: usize, choice: usize) -> i32 {
        let width = self.nodes[candidate].units.len();
        self.state.multipliers[candidate][choice * width..(choice + 1) * width].iter().sum()
    }

    pub(super) fn groups_of(&self, position: usize) -> std::ops::Range<usize> {
        let start = self.groups.partition_point(|group| group.position < position);
        let end = self.groups.partition_point(|group| group.position <= position);
        start..end
    }

    /// Whether the group's candidate must be used and can be used nowhere else.
    fn group_must(&self, group: &ChoiceGroup) -> bool {
        self.state.must[group.candidate]
            && self.nodes[group.candidate].groups.iter().all(|&other| {
                self.groups[other].position == group.position || self.groups[other].open.is_empty()
            })
    }

    fn require(&mut self) {
        let mut must = vec![false; self.problem.positions()];
        for group in &self.groups {
            must[group.position] |= self.group_must(group);
        }
        self.time.require(|position| must[position]);
    }

    fn pass(&mut self, index: usize, direction: Direction) {
        let group = &self.groups[index];
        let must = self.group_must(group);
        match direction {
            Direction::Forward => self.time.pass_forward(group.position, group.place, &group.items, must),
            Direction::Backward => self.time.pass_backward(group.position, group.place, &group.items, must),
        }
    }

    /// Collects a group's open choices and what they are worth to the time programme.
    fn refill(&mut self, index: usize) {
        let group = &mut self.groups[index];
        let choices = &self.problem.candidates[group.candidate].choices;
        let width = self.nodes[group.candidate].units.len();
        let multipliers = &self.state.multipliers[group.candidate];
        group.open.clear();
        group.items.clear();
        for (index, choice) in choices.iter().enumerate() {
            if choice.position == group.position && self.state.open[group.candidate][index] {
                group.open.push(index);
                let received: i32 = multipliers[index * width..(index + 1) * width].iter().sum();
                group.items.push(Item {
                    time: choice.time,
                    second_side: choice.second_side,
                    price: received - choice.cost,
                });
            }
        }
    }

    /// Tells a candidate's units what its open choices cost them.
    fn tell_units(&mut self, candidate: usize) {
        let node = &self.nodes[candidate];
        let width = node.units.len();
        let (open, multipliers) = (&self.state.open[candidate], &self.state.multipliers[candidate]);
        let idle = if self.state.must[candidate] { UNREACHABLE } else { 0 };
        for (slot, (&unit, &place)) in node.units.iter().zip(&node.places).enumerate() {
            self.units[unit].set(place, |steps| {
                steps[0] = idle;
                for choice in (0..open.len()).filter(|&choice| open[choice]) {
                    let step = &mut steps[node.gains[choice * width + slot]];
                    *step = (*step).max(-multipliers[choice * width + slot]);
                }
            });
        }
    }

    /// Max-marginals of a group.
    fn max_marginals(&mut self, index: usize, without: i32) -> MaxMarginals {
        let group = &self.groups[index];
        let node = &self.nodes[group.candidate];
        let width = node.units.len();
        let must = self.group_must(group);
        let time_none = if must {
            UNREACHABLE
        } else {
            without.max(self.time.best_through(group.position, group.place, 0, false))
        };
        // Best of the time programme through each open choice; many choices take the same time.
        let mut rooms: Vec<(usize, bool, i32)> = Vec::with_capacity(8);
        let mut marginals = vec![0; group.open.len() * (width + 1)];
        for (row, item) in group.items.iter().enumerate() {
            let known = rooms.iter().find(|room| (room.0, room.1) == (item.time, item.second_side));
            let room = if let Some(&(_, _, room)) = known {
                room
            } else {
                let room = self.time.best_through(group.position, group.place, item.time, item.second_side);
                rooms.push((item.time, item.second_side, room));
                room
            };
            marginals[row * (width + 1)] = room + item.price;
        }
        let mut nones = vec![UNREACHABLE; width + 1];
        nones[0] = time_none;
        let mut own_bounds = 0;
        let multipliers = &self.state.multipliers[group.candidate];
        let open = &self.state.open[group.candidate];
        let choices = &self.problem.candidates[group.candidate].choices;
        let mut through = Vec::new();
        for (slot, (&unit, &place)) in node.units.iter().zip(&node.places).enumerate() {
            own_bounds += i64::from(self.unit_bounds[unit]);
            let programme = &mut self.units[unit];
            through.clear();
            through.resize(programme.most() + 1, UNREACHABLE);
            programme.best_through(place, &node.adds[slot], &mut through);
            let mut idle = if self.state.must[group.candidate] { UNREACHABLE } else { through[0] };
            if node.groups.len() > 1 {
                for (choice, _) in choices
                    .iter()
                    .enumerate()
                    .filter(|(choice, other)| open[*choice] && other.position != group.position)
                {
                    let step = choice * width + slot;
                    idle = idle.max(through[node.gains[step]] - multipliers[step]);
                }
            }
            nones[slot + 1] = idle;
            for (row, &choice) in group.open.iter().enumerate() {
                let step = choice * width + slot;
                marginals[row * (width + 1) + slot + 1] = through[node.gains[step]] - multipliers[step];
            }
        }
        let has_none = nones.iter().all(|&none| none > UNREACHABLE / 2);
        let sum = |row: &[i32]| row.iter().map(|&marginal| i64::from(marginal)).sum::<i64>();
        if !has_none && let Some(best) = marginals.chunks_exact(width + 1).max_by_key(|row| sum(row)) {
            nones = best.to_vec();
        }
        let others = self.unit_bounds_sum - own_bounds;
        let none_sum = sum(&nones);
        let sums = marginals.chunks_exact(width + 1).map(|row| sum(row) - none_sum).collect();
        MaxMarginals { marginals, nones, has_none, sums, base: none_sum + others }
    }

    /// Shares the marginals of a group out anew and closes what cannot reach `goal`.
    fn settle(&mut self, index: usize, without: i32, goal: i64, direction: Direction) {
        if self.groups[index].open.is_empty() {
            return;
        }
        let found = self.max_marginals(index, without);
        let group = &self.groups[index];
        let candidate = group.candidate;
        let node = &self.nodes[candidate];
        let width = node.units.len();
        let shares: Vec<i64> = node
            .units
            .iter()
            .zip(&node.places)
            .map(|(&unit, &place)| match direction {
                Direction::Forward => i64::from(place + 1 < self.units[unit].nodes()),
                Direction::Backward => i64::from(place > 0),
            })
            .collect();
        let whole = 2 + shares.iter().sum::<i64>();
        let mut best_sum = if found.has_none { 0 } else { i64::MIN };
        let mut unit_bests: Vec<i64> = vec![best_sum; width];
        let mut time_best = best_sum;
        let mut closed = false;
        let group_open = group.open.clone();
        for (row, &choice) in group_open.iter().enumerate() {
            let sum = found.sums[row];
            if found.base + sum < goal {
                self.state.open[candidate][choice] = false;
                closed = true;
                continue;
            }
            best_sum = best_sum.max(sum);
            let mut rest = sum;
            for slot in 0..width {
                let step = choice * width + slot;
                let old = i64::from(found.marginals[row * (width + 1) + slot + 1] - found.nones[slot + 1]);
                let multiplier = i64::from(self.state.multipliers[candidate][step]);
                let wanted = multiplier + old - sum * shares[slot] / whole;
                // Any multipliers give a bound: one that would be too large is moved as far as it may be.
                let moved = wanted.clamp(-self.largest_multiplier, self.largest_multiplier);
                let new = old + multiplier - moved;
                self.state.multipliers[candidate][step] = within(moved);
                unit_bests[slot] = unit_bests[slot].max(new);
                rest -= new;
            }
            time_best = time_best.max(rest);
        }
        if found.has_none && found.base < goal && !self.state.must[candidate] {
            // Not to use it here, in this group or any other, cannot reach the goal.
            self.state.must[candidate] = true;
            closed = true;
            for other in 0..self.state.open[candidate].len() {
                if self.problem.candidates[candidate].choices[other].position != self.groups[index].position {
                    self.state.open[candidate][other] = false;
                }
            }
        }
        self.refill(index);
        if closed && self.nodes[candidate].groups.len() > 1 {
            for other in self.nodes[candidate].groups.clone() {
                self.refill(other);
            }
        }
        self.tell_units(candidate);
        if best_sum == i64::MIN || found.base + best_sum < goal {
            self.bound = self.bound.min(goal - 1);
            return;
        }
        let mut bound = self.unit_bounds_sum;
        for (slot, &unit) in self.nodes[candidate].units.iter().enumerate() {
            let top = i64::from(found.nones[slot + 1]) + unit_bests[slot];
            bound += top - i64::from(self.unit_bounds[unit]);
            self.unit_bounds[unit] = within(top);
        }
        self.unit_bounds_sum = bound;
        self.bound = bound + i64::from(found.nones[0]) + time_best;
    }
}

/// A sum of values and multipliers, which fits by their bounds; should it not, too high a bound is a bound all the same.
fn within(sum: i64) -> i32 {
    i32::try_from(sum).unwrap_or(i32::MAX)
}

/// Max-marginals of one group: how good each programme can still be through each of its choices.
struct MaxMarginals {
    /// By open choice: time first, then each unit of the candidate.
    marginals: Vec<i32>,
    /// The same without any of these choices; of the best choice where one must be taken.
    nones: Vec<i32>,
    has_none: bool,
    /// By open choice: the sum of its marginals less the sum of `nones`.
    sums: Vec<i64>,
    /// The bound without any of these choices.
    base: i64,
}
