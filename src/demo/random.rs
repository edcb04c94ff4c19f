//! Numbers that look random and are the same on every machine.

/// `SplitMix64`: Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
#[derive(Debug, Clone)]
pub(super) struct Random(u64);

impl Random {
    /// Starts the row of numbers that belongs to a word.
    pub(super) fn of(seed: u64, word: &str) -> Self {
        // FNV-1a, so that one person's row does not hang on who else is in the cast.
        let hash = word.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        Self(seed ^ hash)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number from 0 to `below` - 1; 0 if `below` is 0. The bias is far below what a demo could show.
    pub(super) fn below(&mut self, below: u32) -> u32 {
        let wide = u128::from(self.next()) * u128::from(below);
        u32::try_from(wide >> 64).unwrap_or(0)
    }

    /// True `percent` times in a hundred.
    pub(super) fn chance(&mut self, percent: u32) -> bool {
        self.below(100) < percent
    }

    /// A number from -`spread` to +`spread`, middle ones more often.
    pub(super) fn about_zero(&mut self, spread: i32) -> i32 {
        let half = || u32::try_from(spread.max(0)).unwrap_or(0) + 1;
        let (one, other) = (self.below(half()), self.below(half()));
        i32::try_from(one).unwrap_or(0) - i32::try_from(other).unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_row_is_the_published_one() {
        // First outputs for seed 1234567, as printed with the reference implementation of splitmix64 (Vigna,
        // prng.di.unimi.it/splitmix64.c); from memory.
        let mut random = Random(1_234_567);
        let row: Vec<u64> = (0..3).map(|_| random.next()).collect();
        assert_eq!(row, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn numbers_stay_within_their_bounds() {
        let mut random = Random::of(1, "a");
        assert_eq!(random.below(0), 0);
        for _ in 0..1000 {
            assert!(random.below(7) < 7);
            assert!((-3..=3).contains(&random.about_zero(3)));
        }
    }
}
