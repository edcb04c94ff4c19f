//! Who answered higher in the comparisons of one muscle since its last claim ended, counted as they come.

use std::collections::VecDeque;

use chrono::{Days, NaiveDate};

use crate::body::Side;

use super::compare::Comparison;
use super::evidence::MOST;
use super::side_pairs::OLDEST;
use super::sides::AnswerCount;

/// The last comparisons, at most as many as evidence takes, and what those of the last year come to.
#[derive(Debug, Default)]
pub(super) struct AnswerTally {
    all: VecDeque<Comparison>,
    /// How many at the front are too old to say anything of today.
    old: usize,
    /// In how many of the others a side was answered higher, and in how many of those it was worked second.
    higher: [u32; 2],
    second: [u32; 2],
}

impl AnswerTally {
    /// Takes in a comparison, which is the latest one; what is a year older no longer counts.
    pub(super) fn push(&mut self, comparison: Comparison) {
        self.age(comparison.on);
        if self.all.len() == MOST as usize
            && let Some(gone) = self.all.pop_front()
        {
            match self.old.checked_sub(1) {
                Some(old) => self.old = old,
                None => self.uncount(gone),
            }
        }
        self.all.push_back(comparison);
        if let Some(side) = comparison.higher {
            self.higher[side as usize] += 1;
            self.second[side as usize] += u32::from(comparison.second == side);
        }
    }

    /// Lets go of what says nothing of that day any more.
    pub(super) fn age(&mut self, on: NaiveDate) {
        let oldest = on - Days::new(OLDEST);
        while let Some(&gone) = self.all.get(self.old).filter(|comparison| comparison.on < oldest) {
            self.old += 1;
            self.uncount(gone);
        }
    }

    fn uncount(&mut self, gone: Comparison) {
        if let Some(side) = gone.higher {
            self.higher[side as usize] -= 1;
            self.second[side as usize] -= u32::from(gone.second == side);
        }
    }

    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }

    /// How many there are, whatever their age.
    pub(super) fn len(&self) -> usize {
        self.all.len()
    }

    /// Those of the last year.
    pub(super) fn count(&self) -> Option<AnswerCount> {
        let since = self.all.get(self.old)?.on;
        let compared = u32::try_from(self.all.len() - self.old).unwrap_or(u32::MAX);
        Some(AnswerCount { higher: self.higher, compared, since })
    }

    /// In how many of those in which a side was answered higher it was worked second.
    pub(super) const fn second(&self, side: Side) -> u32 {
        self.second[side as usize]
    }

    /// In how many of the last few, whatever their age, left and right were answered higher; none if there are none.
    pub(super) fn last(&self, most: usize) -> Option<[i32; 2]> {
        let mut higher = [0; 2];
        for side in self.all.iter().rev().take(most).filter_map(|comparison| comparison.higher) {
            higher[side as usize] += 1;
        }
        (!self.all.is_empty()).then_some(higher)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::body::Muscle;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// What is counted as it comes is what counting all of it anew gives.
        #[test]
        fn counted_as_they_come_and_counted_anew_are_the_same(
            given in prop::collection::vec((0_u64..40, 0_u8..3, any::<bool>()), 1..150),
        ) {
            let (mut answers, mut all, mut on) = (AnswerTally::default(), Vec::new(), NaiveDate::default());
            for (days, higher, is_left_second) in given {
                on = on + Days::new(days);
                let higher = [None, Some(Side::Left), Some(Side::Right)][usize::from(higher)];
                let second = if is_left_second { Side::Left } else { Side::Right };
                let comparison = Comparison { muscle: Muscle::ALL[0], on, higher, second };
                answers.push(comparison);
                all.push(comparison);
                let last = &all[all.len().saturating_sub(MOST as usize)..];
                let young: Vec<&Comparison> =
                    last.iter().filter(|one| (on - one.on).num_days() <= OLDEST.cast_signed()).collect();
                let count = answers.count().expect("the one of today");
                prop_assert_eq!(count.compared as usize, young.len());
                prop_assert_eq!(count.since, young[0].on);
                for side in [Side::Left, Side::Right] {
                    let mine = || young.iter().filter(|one| one.higher == Some(side));
                    prop_assert_eq!(count.higher[side as usize] as usize, mine().count());
                    let second = mine().filter(|one| one.second == side).count();
                    prop_assert_eq!(answers.second(side) as usize, second);
                }
            }
        }
    }
}
