//! Moving the multipliers of the relaxation by subgradients: far at first, with one slope a unit, and again where the
//! passes come to rest too early. Steps are as long as Polyak says, `gap / |direction|^2` ('Minimization of unsmooth
//! functionals', USSR Computational Mathematics and Mathematical Physics 9, 1969), along a direction that remembers
//! the last ones (Camerini, Fratta and Maffioli, 'On improving relaxation methods by modified gradient techniques',
//! Mathematical Programming Study 3, 1975); both references from memory.

use super::relaxation::Relaxation;
use super::unit_programme::UnitProgramme;

/// Steps after which it is asked whether they have gained a tenth of the gap.
const WINDOW: u32 = 10;

/// Steps without a better bound after which steps get shorter.
const PATIENCE: u32 = 10;

impl Relaxation<'_> {
    /// Sets multipliers that are straight lines in the coverage, under the benefit, and fits one slope a unit.
    ///
    /// There are few slopes, so that a subgradient with Polyak's step finds good ones in few steps; from there the
    /// passes have less far to go. Gives how many steps were taken.
    pub(super) fn fit_slopes(&mut self, target: i64, steps: u32) -> u32 {
        // Slopes in 1/256 micro-points a tick. The first guess: a whole dose is worth its whole benefit.
        const ONE: i64 = 1 << 8;
        let whole = |unit: &UnitProgramme| i64::from(unit.benefit(unit.most()));
        let ticks = |unit: &UnitProgramme| i64::try_from(unit.most().max(1)).unwrap_or(1);
        let mut slopes: Vec<i64> = self.units.iter().map(|unit| whole(unit) * ONE / ticks(unit)).collect();
        // Units that want more move further.
        let scales: Vec<i64> = self.units.iter().map(|unit| whole(unit).isqrt().max(1)).collect();
        let mut direction = vec![0_i64; slopes.len()];
        let mut best = (i64::MAX, slopes.clone());
        let (mut factor, mut barren) = (ONE, 0);
        let mut checked = i64::MAX;
        let mut taken = 0;
        for step in 0..=steps {
            taken = step;
            self.set_by(&slopes, false);
            self.recompute();
            if self.bound < best.0 {
                best = (self.bound, slopes.clone());
                barren = 0;
            } else {
                barren += 1;
                if barren == 4 {
                    (factor, barren) = (factor / 2, 0);
                }
            }
            if step % WINDOW == WINDOW - 1 {
                if checked.saturating_sub(best.0).saturating_mul(10) < best.0 - target {
                    break;
                }
                checked = best.0;
            }
            if step == steps {
                break;
            }
            let along = self.slopes_gradient();
            if along.iter().all(|along| *along == 0) {
                break;
            }
            let mut length = 0;
            for ((direction, along), scale) in direction.iter_mut().zip(along).zip(&scales) {
                *direction = *direction * 5 / 8 + along * scale;
                length += i128::from(*direction * *direction);
            }
            if length == 0 {
                break;
            }
            let reach = i128::from((self.bound - target).max(1) * factor);
            for ((slope, direction), scale) in slopes.iter_mut().zip(&direction).zip(&scales) {
                let step = reach * i128::from(direction * scale) / length;
                *slope = (*slope - i64::try_from(step).unwrap_or(0)).max(0);
            }
        }
        self.set_by(&best.1, true);
        taken
    }

    /// A subgradient of the bound in the slopes, after the tables were brought up to date: what the time programme
    /// gives each unit, a stretch that it does in two positions twice, less what the unit takes.
    fn slopes_gradient(&mut self) -> Vec<i64> {
        let ticks = |ticks: usize| i64::try_from(ticks).unwrap_or(0);
        let takes = |unit: &mut UnitProgramme| -ticks(unit.trace().into_iter().sum());
        let mut along: Vec<i64> = self.units.iter_mut().map(takes).collect();
        for (candidate, choice) in self.taken() {
            let node = &self.nodes[candidate];
            let gains = node.gains.iter().skip(choice * node.units.len());
            for (&unit, &gain) in node.units.iter().zip(gains) {
                along[unit] += ticks(gain);
            }
        }
        along
    }

    /// Sets every multiplier to its unit's slope times the coverage; capped, at most to the benefit of that coverage.
    fn set_by(&mut self, slopes: &[i64], capped: bool) {
        for (node, multipliers) in self.nodes.iter().zip(&mut self.state.multipliers) {
            for (slot, (price, &gain)) in multipliers.iter_mut().zip(&node.gains).enumerate() {
                let unit = node.units[slot % node.units.len()];
                let line = slopes[unit].saturating_mul(i64::try_from(gain).unwrap_or(0)) >> 8;
                let line = i32::try_from(line.min(self.largest_multiplier)).unwrap_or(0);
                *price = if capped { line.min(self.units[unit].benefit(gain)) } else { line };
            }
        }
    }

    /// Moves the multipliers along a smoothed subgradient, towards a bound of `target`, and keeps the best that was met.
    ///
    /// Passes can come to rest short of the least bound; this gets them going again. The length of a step is
    /// Polyak's (`gap / |direction|^2`; Polyak, 'Minimization of unsmooth functionals', USSR Computational
    /// Mathematics and Mathematical Physics 9, 1969).
    pub(super) fn descend(&mut self, target: i64, steps: u32) {
        const ONE: i64 = 1 << 10;
        let mut best = (self.bound, self.state.multipliers.clone());
        let (mut factor, mut barren) = (ONE / 2, 0);
        let mut direction: Vec<Vec<i64>> =
            self.state.multipliers.iter().map(|multipliers| vec![0; multipliers.len()]).collect();
        for _ in 0..steps {
            let by_units: Vec<Vec<usize>> = self.units.iter_mut().map(UnitProgramme::trace).collect();
            let by_time = self.proposal();
            let (mut length, mut differ) = (0, false);
            for (candidate, node) in self.nodes.iter().enumerate() {
                let (open, multipliers) = (&self.state.open[candidate], &self.state.multipliers[candidate]);
                let width = node.units.len();
                for (slot, (&unit, &place)) in node.units.iter().zip(&node.places).enumerate() {
                    // The unit takes the cheapest choice of the coverage it wants; none, where that is free.
                    let add = by_units[unit][place];
                    let taken = (0..open.len())
                        .filter(|&choice| open[choice] && node.gains[choice * width + slot] == add)
                        .min_by_key(|&choice| multipliers[choice * width + slot])
                        .filter(|&choice| {
                            add > 0 || self.state.must[candidate] || multipliers[choice * width + slot] < 0
                        });
                    for choice in 0..open.len() {
                        let receives = i64::from(by_time[candidate] == Some(choice));
                        let pays = i64::from(taken == Some(choice));
                        differ |= receives != pays;
                        let along = &mut direction[candidate][choice * width + slot];
                        *along = *along * 5 / 8 + (receives - pays) * ONE;
                        length += *along * *along;
                    }
                }
            }
            if !differ || length == 0 {
                // All programmes agree: the bound is at its least.
                break;
            }
            let gap = (self.bound - target).max(1);
            for (multipliers, direction) in self.state.multipliers.iter_mut().zip(&direction) {
                for (price, along) in multipliers.iter_mut().zip(direction) {
                    let step = (gap * *along / length * factor).clamp(-gap, gap);
                    let moved = i64::from(*price) - step;
                    *price = i32::try_from(moved.clamp(-self.largest_multiplier, self.largest_multiplier))
                        .unwrap_or(0);
                }
            }
            self.recompute();
            if self.bound < best.0 {
                best = (self.bound, self.state.multipliers.clone());
                barren = 0;
            } else {
                barren += 1;
                if barren == PATIENCE {
                    (factor, barren) = (factor * 3 / 4, 0);
                }
            }
        }
        self.state.multipliers = best.1;
        self.recompute();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planner::problem::{Candidate, Choice, Problem};

    /// A subgradient stays under the bound everywhere, also where the time programme does a stretch in two positions.
    #[test]
    fn the_gradient_of_the_slopes_lies_under_the_bound() {
        let choice =
            |position, time| Choice { position, time, second_side: false, gains: vec![(0, 2)], cost: 1 };
        let problem = Problem {
            horizon: 12,
            start: vec![Some(1), Some(1)],
            change: vec![vec![None, Some(1)], vec![None, None]],
            turn: vec![0, 0],
            wants: vec![vec![0, 400, 700, 900, 1_000]],
            candidates: vec![Candidate { pinned: false, choices: vec![choice(0, 2), choice(1, 3)] }],
        };
        let mut relaxation = Relaxation::new(&problem);
        let mut bound_at = |slope: i64| {
            relaxation.set_by(&[slope << 8], false);
            relaxation.recompute();
            (relaxation.bound, relaxation.slopes_gradient()[0])
        };
        for here in 0..500 {
            let (bound, gradient) = bound_at(here);
            for there in (0..500).step_by(7) {
                assert!(bound_at(there).0 >= bound + gradient * (there - here), "from {here} to {there}");
            }
        }
    }
}
