//! The exact dynamic programme over the coverage of one unit.
//!
//! State: ticks of coverage so far, capped where the benefit is flat. Each stretch that can cover the unit is one
//! node of a chain; a choice of it adds its coverage and costs its price here. Tables are brought up to date only
//! as far as they are asked for.

use super::problem::UNREACHABLE;

/// The programme of one unit with its tables.
#[derive(Debug, Clone)]
pub(super) struct UnitProgramme {
    /// Benefit by coverage.
    benefit: Vec<i32>,
    /// Best value of a choice of the node by the coverage it adds, without the benefit.
    steps: Vec<Vec<i32>>,
    forward: Vec<Vec<i32>>,
    backward: Vec<Vec<i32>>,
    /// `forward[..=fresh_until]` and `backward[fresh_from..]` are up to date.
    fresh_until: usize,
    fresh_from: usize,
}

impl UnitProgramme {
    /// A unit with a benefit table and so many nodes, none of which adds anything yet.
    pub(super) fn new(benefit: &[i32], nodes: usize) -> Self {
        let width = benefit.len();
        let mut nothing = vec![UNREACHABLE; width];
        nothing[0] = 0;
        Self {
            benefit: benefit.to_vec(),
            steps: vec![nothing.clone(); nodes],
            forward: vec![nothing; nodes + 1],
            backward: vec![benefit.to_vec(); nodes + 1],
            fresh_until: 0,
            fresh_from: nodes,
        }
    }

    /// The greatest coverage that still makes a difference.
    pub(super) fn most(&self) -> usize {
        self.benefit.len() - 1
    }

    /// Benefit of so much coverage.
    pub(super) fn benefit(&self, cover: usize) -> i32 {
        self.benefit[cover.min(self.most())]
    }

    /// Number of nodes.
    pub(super) fn nodes(&self) -> usize {
        self.steps.len()
    }

    /// Sets what the choices of a node are worth by the coverage they add; `worth` fills a table of `UNREACHABLE`.
    pub(super) fn set(&mut self, node: usize, worth: impl FnOnce(&mut [i32])) {
        let steps = &mut self.steps[node];
        steps.fill(UNREACHABLE);
        worth(steps);
        self.fresh_until = self.fresh_until.min(node);
        self.fresh_from = self.fresh_from.max(node + 1);
    }

    /// The best of the unit by the coverage that a node adds, less what the node's choice is worth; only for `adds`.
    pub(super) fn best_through(&mut self, node: usize, adds: &[usize], best: &mut [i32]) {
        self.refresh(node);
        let most = self.most();
        let (before, after) = (&self.forward[node], &self.backward[node + 1]);
        for &add in adds {
            let best = &mut best[add];
            let open = before
                .iter()
                .zip(&after[add..])
                .map(|(before, after)| before + after)
                .fold(UNREACHABLE, i32::max);
            let capped = before[most + 1 - add..]
                .iter()
                .fold(UNREACHABLE, |best, before| best.max(before + after[most]));
            *best = open.max(capped);
        }
    }

    /// The best of the unit.
    pub(super) fn best(&mut self) -> i32 {
        self.refresh_back(0);
        self.backward[0][0]
    }

    /// The coverage that each node adds in a best of the unit.
    pub(super) fn trace(&mut self) -> Vec<usize> {
        self.refresh_back(0);
        let most = self.most();
        let mut cover = 0;
        let mut adds = Vec::with_capacity(self.steps.len());
        for (node, steps) in self.steps.iter().enumerate() {
            let worth = self.backward[node][cover];
            let after = &self.backward[node + 1];
            let reaches = |&add: &usize| {
                steps[add] > UNREACHABLE && after[(cover + add).min(most)] + steps[add] == worth
            };
            let add = (0..steps.len()).find(reaches).unwrap_or(0);
            cover = (cover + add).min(most);
            adds.push(add);
        }
        adds
    }

    /// The best of the nodes from one on, by the coverage before it; only after [`Self::best`].
    pub(super) fn rest(&self, node: usize) -> &[i32] {
        &self.backward[node]
    }

    fn refresh(&mut self, node: usize) {
        let most = self.most();
        while self.fresh_until < node {
            let at = self.fresh_until;
            let (done, open) = self.forward.split_at_mut(at + 1);
            let (before, after) = (&done[at], &mut open[0]);
            after.fill(UNREACHABLE);
            for (add, &worth) in self.steps[at].iter().enumerate() {
                if worth == UNREACHABLE {
                    continue;
                }
                for (after, before) in after[add..].iter_mut().zip(before) {
                    *after = (*after).max(before + worth);
                }
                // Coverage beyond the end counts as the end.
                let beyond =
                    before[most + 1 - add..].iter().fold(UNREACHABLE, |best, before| best.max(*before));
                after[most] = after[most].max(beyond + worth);
            }
            self.fresh_until += 1;
        }
        self.refresh_back(node + 1);
    }

    fn refresh_back(&mut self, from: usize) {
        let most = self.most();
        while self.fresh_from > from {
            let at = self.fresh_from - 1;
            let (open, done) = self.backward.split_at_mut(at + 1);
            let (before, after) = (&mut open[at], &done[0]);
            before.fill(UNREACHABLE);
            for (add, &worth) in self.steps[at].iter().enumerate() {
                if worth == UNREACHABLE {
                    continue;
                }
                let (straight, beyond) = before.split_at_mut(most + 1 - add);
                for (before, after) in straight.iter_mut().zip(&after[add..]) {
                    *before = (*before).max(after + worth);
                }
                let end = after[most] + worth;
                for before in beyond {
                    *before = (*before).max(end);
                }
            }
            self.fresh_from -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_through_a_node_is_that_of_plain_enumeration() {
        let benefit = [0, 40, 70, 90, 100];
        let steps = [
            [0, -10, -15, UNREACHABLE, -50],
            [0, UNREACHABLE, -20, -30, UNREACHABLE],
            [0, -1, UNREACHABLE, UNREACHABLE, UNREACHABLE],
        ];
        let mut unit = UnitProgramme::new(&benefit, steps.len());
        for (node, steps) in steps.iter().enumerate() {
            unit.set(node, |worth| worth.copy_from_slice(steps));
        }
        for node in [2, 0, 1] {
            let mut found = [UNREACHABLE; 5];
            unit.best_through(node, &[0, 1, 2, 3, 4], &mut found);
            for (add, found) in found.into_iter().enumerate() {
                let mut expected = UNREACHABLE;
                for i in 0..25 {
                    let adds = [i / 5, i % 5];
                    let others: Vec<usize> = (0..3).filter(|&other| other != node).collect();
                    let worth: i64 =
                        others.iter().zip(adds).map(|(&other, add)| i64::from(steps[other][add])).sum();
                    if worth > i64::from(UNREACHABLE) / 2 {
                        let cover = (adds[0] + adds[1] + add).min(4);
                        expected = expected.max(i32::try_from(worth).unwrap() + benefit[cover]);
                    }
                }
                assert_eq!(found, expected, "node {node} adding {add}");
            }
        }
    }
}
