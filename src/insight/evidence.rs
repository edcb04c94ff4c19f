//! How strongly answers speak for one side: evidence that may be looked at after every session.
//!
//! E(k, n) = 2^n / ((n + 1) C(n, k)) is the likelihood of n answers that differed, k of them to one side, under an
//! unknown preference (uniform prior) against that under a fair coin. Without a preference E is a martingale of mean
//! 1, so that it ever reaches c in at most 1 of c clients, however often somebody looks (Ville 1939; the mixture:
//! Robbins 1970, Ann Math Stat 41:1397, from memory; at any time: Howard et al. 2021, Ann Stat 49:1055). All of it in
//! whole numbers, so that every machine says the same.

/// Most answers that differed which evidence is taken from: 2^60 and the product below stay within 128 bits.
pub const MOST: u32 = 60;

/// In how many ways k of n can be chosen, by Pascal's triangle: C(60, 30) is under 2^57.
static WAYS: [[u64; MOST as usize + 1]; MOST as usize + 1] = {
    let mut ways = [[0; MOST as usize + 1]; MOST as usize + 1];
    let mut n = 0;
    while n < ways.len() {
        ways[n][0] = 1;
        let mut k = 1;
        while k <= n {
            ways[n][k] = ways[n - 1][k - 1] + ways[n - 1][k];
            k += 1;
        }
        n += 1;
    }
    ways
};

/// In how many ways k of n can be chosen.
fn ways(k: u32, n: u32) -> u128 {
    u128::from(WAYS[n as usize][k as usize])
}

/// E(k, n) as a fraction: numerator and denominator. `k` is at most `n` and `n` at most [`MOST`].
pub fn evidence(k: u32, n: u32) -> (u128, u128) {
    debug_assert!(k <= n && n <= MOST, "E({k}, {n})");
    (1_u128 << n, u128::from(n + 1) * ways(k, n))
}

/// Whether E(k, n) is at least `wanted`.
pub fn reaches(k: u32, n: u32, wanted: u32) -> bool {
    let (numerator, denominator) = evidence(k, n);
    numerator >= u128::from(wanted) * denominator
}

/// How many more answers to the same side bring E to `wanted`; none if [`MOST`] do not.
pub fn still_needed(k: u32, n: u32, wanted: u32) -> Option<u32> {
    (0..=MOST.saturating_sub(n)).find(|&more| reaches(k + more, n + more, wanted))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[expect(clippy::cast_precision_loss, reason = "shown to four figures")]
    fn value(k: u32, n: u32) -> f64 {
        let (numerator, denominator) = evidence(k, n);
        numerator as f64 / denominator as f64
    }

    #[test]
    fn values_worked_by_hand() {
        // 2^n / ((n + 1) C(n, k)), worked with a pocket calculator.
        for (k, n, expected) in [
            (6, 6, 9.143),
            (10, 10, 93.09),
            (11, 11, 170.67),
            (15, 16, 240.94),
            (14, 15, 136.53),
            (18, 20, 262.80),
            (17, 20, 43.80),
            (42, 42, 1.022_8e11),
        ] {
            let found = value(k, n);
            assert!((found - expected).abs() < expected * 1e-3, "E({k}, {n}) is {found}");
        }
    }

    #[test]
    fn the_shortest_runs_that_tell_eight_muscles_apart() {
        for (wanted, runs) in [
            (160, &[(11, 0), (15, 1), (18, 2), (20, 3), (22, 4)][..]),
            (620, &[(14, 0), (17, 1), (20, 2)][..]),
        ] {
            for &(more, fewer) in runs {
                assert!(reaches(more, more + fewer, wanted), "{more} to {fewer} of {wanted}");
                assert!(!reaches(more - 1, more + fewer - 1, wanted), "{more} - 1 to {fewer} of {wanted}");
            }
        }
        assert_eq!(still_needed(7, 7, 160), Some(4));
        assert_eq!(still_needed(30, 60, 160), None);
    }

    #[test]
    fn darwins_maize_would_not_be_enough() {
        // Darwin 1876, The Effects of Cross and Self Fertilisation: of 15 pairs of maize 13 crossed plants were the
        // taller ones; the sign test gives p = 0.00739 (Fisher 1935, The Design of Experiments; from memory).
        let tail: u128 = (13..=15).map(|k| ways(k, 15)).sum();
        #[expect(clippy::cast_precision_loss, reason = "shown to three figures")]
        let p = 2.0 * tail as f64 / f64::from(1 << 15);
        assert!((p - 0.007_39).abs() < 5e-6, "{p}");
        assert!((value(13, 15) - 19.50).abs() < 0.01);
        assert!(!reaches(13, 15, 160));
    }

    #[test]
    fn the_evidence_is_symmetric_and_a_martingale() {
        assert_eq!(evidence(0, 0), (1, 1));
        for n in 0..MOST {
            for k in 0..=n {
                let (here, over) = evidence(k, n);
                let (mirrored, under) = evidence(n - k, n);
                assert_eq!(here * under, mirrored * over);
                // E(k, n) = (E(k + 1, n + 1) + E(k, n + 1)) / 2. With 2^n taken out of all three it is a sum of
                // fractions with small numerators, brought to one denominator.
                let (up, stay) = (evidence(k + 1, n + 1).1, evidence(k, n + 1).1);
                let g = gcd(up, stay);
                assert_eq!(up / g * stay, (up / g + stay / g) * over, "E({k}, {n})");
            }
        }
    }

    fn gcd(a: u128, b: u128) -> u128 {
        if b == 0 { a } else { gcd(b, a % b) }
    }
}
