//! Pairs of angles of one muscle, and what their mean can tell.

use std::collections::VecDeque;

use chrono::{Days, NaiveDate};

use crate::body::Side;

use super::compare::AnglePair;
use super::measuring::{Errors, Scatter};
use super::sides::AngleMeans;

/// Days after which a pair, or a comparison, says nothing of today any more (practice).
pub(super) const OLDEST: u64 = 365;
/// Pairs that are looked at, and the fewest that say anything.
pub(super) const MOST_PAIRS: usize = 8;
pub(super) const FEWEST_PAIRS: usize = 3;
/// Pairs over which a claim from angles ends, and how many of them must have been answered alike for angles to end a
/// claim from answers: where both sides are taken equally far, the angles are equal and the answers are right.
const LAST_PAIRS: usize = 4;
const ALIKE_PAIRS: usize = 3;
/// Standard errors by which a mean difference must exceed what healthy sides show: 3.3 by simulation, since it is
/// looked at after every measurement; 1.645 for 'about the same' (95 %, one-sided). In thousandths.
const DIFFERS_BY: i128 = 3_300;
const SAME_WITHIN: i128 = 1_645;
/// Tenths of a degree beyond what healthy sides show: where a claim ends, and what is about the same (practice).
const END_ABOVE: i32 = 10;
const SAME_ABOVE: i32 = 70;

/// Mean angles of the last pairs, if the difference towards that side is over.
pub(super) fn angles_over(pairs: &VecDeque<AnglePair>, side: Side) -> Option<[i32; 2]> {
    let last: Vec<AnglePair> = pairs.iter().rev().take(LAST_PAIRS).copied().collect();
    let count = i32::try_from(last.len()).unwrap_or(i32::MAX);
    let towards_left: i32 = last.iter().map(AnglePair::difference).sum();
    let towards = if side == Side::Left { towards_left } else { -towards_left };
    let healthy = last.iter().map(|pair| pair.healthy).max()?;
    let is_over = last.len() == LAST_PAIRS && towards <= (healthy + END_ABOVE) * count;
    is_over.then(|| means(&last))
}

fn means(pairs: &[AnglePair]) -> [i32; 2] {
    let count = i32::try_from(pairs.len()).unwrap_or(i32::MAX).max(1);
    [0, 1].map(|side| {
        let sum: i32 = pairs.iter().map(|pair| pair.angles[side]).sum();
        // Rounded half up.
        (2 * sum + count).div_euclid(2 * count)
    })
}

/// The pairs of angles that count on a day, and how far their mean may be off.
pub(super) struct PairMean {
    pairs: Vec<AnglePair>,
    errors: Errors,
    /// The sum of right less left.
    sum: i32,
    healthy: i32,
}

impl PairMean {
    pub(super) fn of(pairs: &VecDeque<AnglePair>, on: NaiveDate, scatter: Scatter) -> Self {
        let oldest = on - Days::new(OLDEST);
        let young = |pair: &&AnglePair| pair.on >= oldest;
        let pairs: Vec<AnglePair> = pairs.iter().filter(young).copied().collect();
        let errors = Errors::of_differences(pairs.iter().map(|pair| pair.error), scatter);
        let sum = pairs.iter().map(AnglePair::difference).sum();
        let healthy = pairs.iter().map(|pair| pair.healthy).max().unwrap_or(0);
        Self { pairs, errors, sum, healthy }
    }

    fn count(&self) -> i32 {
        i32::try_from(self.pairs.len()).unwrap_or(i32::MAX)
    }

    /// The tighter side, where the mean difference is more than healthy sides and measuring together would give.
    pub(super) fn tighter(&self) -> Option<Side> {
        let excess = self.sum.abs() - self.healthy * self.count();
        let differs = self.pairs.len() >= FEWEST_PAIRS && self.errors.is_exceeded_by(excess, DIFFERS_BY);
        differs.then_some(if self.sum > 0 { Side::Left } else { Side::Right })
    }

    /// Whether the sides are about the same, measuring error and all.
    pub(super) fn is_same(&self) -> bool {
        let room = (self.healthy + SAME_ABOVE) * self.count() - self.sum.abs();
        self.pairs.len() >= FEWEST_PAIRS && self.errors.fits_into(room, SAME_WITHIN)
    }

    pub(super) fn was_answered_alike(&self) -> bool {
        self.pairs.iter().rev().take(LAST_PAIRS).filter(|pair| pair.alike).count() >= ALIKE_PAIRS
    }

    pub(super) fn last(&self) -> [i32; 2] {
        let from = self.pairs.len().saturating_sub(LAST_PAIRS);
        means(&self.pairs[from..])
    }

    pub(super) fn means(&self) -> Option<AngleMeans> {
        let first = self.pairs.first()?;
        let beyond =
            self.healthy + (self.errors.margin(DIFFERS_BY) + self.count() - 1).div_euclid(self.count());
        Some(AngleMeans {
            means: means(&self.pairs),
            pairs: u32::try_from(self.pairs.len()).unwrap_or(u32::MAX),
            since: first.on,
            beyond,
        })
    }

    /// How many more pairs like these would settle it, either way.
    pub(super) fn still_needed(&self) -> Option<u32> {
        let have = self.pairs.len();
        (FEWEST_PAIRS.max(have + 1)..=MOST_PAIRS)
            .find(|&count| have > 0 && self.would_settle(count))
            .map(|count| u32::try_from(count - have).unwrap_or(u32::MAX))
    }
}

impl PairMean {
    /// Whether so many pairs with the same mean would be settled.
    fn would_settle(&self, count: usize) -> bool {
        let have = self.count();
        let times = i32::try_from(count).unwrap_or(i32::MAX);
        // Everything is multiplied by the pairs there are, so that it stays whole.
        let errors = self.errors.times(i128::from(have) * i128::from(times));
        let mean = self.sum.abs();
        let excess = (mean - self.healthy * have) * times;
        let room = ((self.healthy + SAME_ABOVE) * have - mean) * times;
        errors.is_exceeded_by(excess, DIFFERS_BY) || errors.fits_into(room, SAME_WITHIN)
    }
}
