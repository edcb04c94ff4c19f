//! Moving the prices of the relaxation by subgradients: far at first, with one slope a unit, and again where the
//! passes come to rest too early. Steps are as long as Polyak says, `gap / |direction|^2` ('Minimization of unsmooth
//! functionals', USSR Computational Mathematics and Mathematical Physics 9, 1969), along a direction that remembers
//! the last ones (Camerini, Fratta and Maffioli, 'On improving relaxation methods by modified gradient techniques',
//! Mathematical Programming Study 3, 1975); both references from memory.

use super::relaxation::Relaxation;
use super::unit_programme::UnitProgramme;

/// The most a price may be: no sum of prices then comes near `NEVER`.
const PRICIEST: i64 = 10_000_000;

/// Steps without a better bound after which steps get shorter.
const PATIENCE: u32 = 10;

impl Relaxation<'_> {
    /// Sets prices that are straight lines in the coverage, under the benefit, and fits one slope a unit.
    ///
    /// There are few slopes, so that a subgradient with Polyak's step finds good ones in few steps; from there the
    /// passes have less far to go.
    pub(super) fn fit_slopes(&mut self, target: i64, steps: u32) {
        // Slopes in 1/256 micro-points a tick. The first guess: a whole dose is worth its whole benefit.
        const ONE: i64 = 1 << 8;
        let whole = |unit: &UnitProgramme| {
            let most = unit.most();
            i64::from(unit.benefit(most)) * ONE / i64::try_from(most.max(1)).unwrap_or(1)
        };
        let mut slopes: Vec<i64> = self.units.iter().map(whole).collect();
        let mut direction = vec![0_i64; slopes.len()];
        let mut best = (i64::MAX, slopes.clone());
        let (mut factor, mut barren) = (ONE, 0);
        for step in 0..=steps {
            self.price_by(&slopes, false);
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
            if step == steps {
                break;
            }
            let mut along = vec![0_i64; slopes.len()];
            for (candidate, chosen) in self.proposal().into_iter().enumerate() {
                let Some(choice) = chosen else { continue };
                let node = &self.nodes[candidate];
                for (slot, &unit) in node.units.iter().enumerate() {
                    let gain = node.gains[choice * node.units.len() + slot];
                    along[unit] += i64::try_from(gain).unwrap_or(0);
                }
            }
            for (unit, along) in along.iter_mut().enumerate() {
                let adds = self.units[unit].trace();
                *along -= i64::try_from(adds.into_iter().sum::<usize>()).unwrap_or(0);
            }
            if along.iter().all(|along| *along == 0) {
                break;
            }
            let mut length = 0;
            for (direction, along) in direction.iter_mut().zip(along) {
                *direction = *direction * 5 / 8 + along * ONE;
                length += *direction * *direction;
            }
            if length == 0 {
                break;
            }
            let gap = (self.bound - target).max(1);
            for (slope, direction) in slopes.iter_mut().zip(&direction) {
                let step = (gap * ONE * *direction / length * factor).clamp(-gap * ONE, gap * ONE);
                *slope = (*slope - step).max(0);
            }
        }
        self.price_by(&best.1, true);
    }

    /// Sets every price to its unit's slope times the coverage; capped, at most to the benefit of that coverage.
    fn price_by(&mut self, slopes: &[i64], capped: bool) {
        for (node, prices) in self.nodes.iter().zip(&mut self.state.prices) {
            for (slot, (price, &gain)) in prices.iter_mut().zip(&node.gains).enumerate() {
                let unit = node.units[slot % node.units.len()];
                let line = slopes[unit].saturating_mul(i64::try_from(gain).unwrap_or(0)) >> 8;
                let line = i32::try_from(line.min(PRICIEST)).unwrap_or(0);
                *price = if capped { line.min(self.units[unit].benefit(gain)) } else { line };
            }
        }
    }

    /// Moves the prices along a smoothed subgradient, towards a bound of `target`, and keeps the best that was met.
    ///
    /// Passes can come to rest short of the least bound; this gets them going again. The length of a step is
    /// Polyak's (`gap / |direction|^2`; Polyak, 'Minimization of unsmooth functionals', USSR Computational
    /// Mathematics and Mathematical Physics 9, 1969).
    pub(super) fn descend(&mut self, target: i64, steps: u32) {
        const ONE: i64 = 1 << 10;
        let mut best = (self.bound, self.state.prices.clone());
        let (mut factor, mut barren) = (ONE / 2, 0);
        let mut direction: Vec<Vec<i64>> =
            self.state.prices.iter().map(|prices| vec![0; prices.len()]).collect();
        for _ in 0..steps {
            let by_units: Vec<Vec<usize>> = self.units.iter_mut().map(UnitProgramme::trace).collect();
            let by_time = self.proposal();
            let (mut length, mut differ) = (0, false);
            for (candidate, node) in self.nodes.iter().enumerate() {
                let (open, prices) = (&self.state.open[candidate], &self.state.prices[candidate]);
                let width = node.units.len();
                for (slot, (&unit, &place)) in node.units.iter().zip(&node.places).enumerate() {
                    // The unit takes the cheapest choice of the coverage it wants; none, where that is free.
                    let add = by_units[unit][place];
                    let taken = (0..open.len())
                        .filter(|&choice| open[choice] && node.gains[choice * width + slot] == add)
                        .min_by_key(|&choice| prices[choice * width + slot])
                        .filter(|&choice| {
                            add > 0 || self.state.must[candidate] || prices[choice * width + slot] < 0
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
            for (prices, direction) in self.state.prices.iter_mut().zip(&direction) {
                for (price, along) in prices.iter_mut().zip(direction) {
                    let step = (gap * *along / length * factor).clamp(-gap, gap);
                    let moved = i64::from(*price) - step;
                    *price = i32::try_from(moved.clamp(-PRICIEST, PRICIEST)).unwrap_or(0);
                }
            }
            self.recompute();
            if self.bound < best.0 {
                best = (self.bound, self.state.prices.clone());
                barren = 0;
            } else {
                barren += 1;
                if barren == PATIENCE {
                    (factor, barren) = (factor * 3 / 4, 0);
                }
            }
        }
        self.state.prices = best.1;
        self.recompute();
    }
}
