//! The slope of a straight line through points, as the median of the slopes of all pairs of them, with Sen's interval.
//!
//! Theil 1950; Sen 1968, J Am Stat Assoc 63:1379; the variance with ties: Gilbert 1987, Statistical Methods for
//! Environmental Pollution Monitoring. Outliers hardly move it, and no distribution is assumed.

use std::cmp::Ordering;

/// A slope as a fraction; the run is above zero.
#[derive(Debug, Clone, Copy)]
pub struct Slope {
    rise: i64,
    run: i64,
}

impl Slope {
    /// The slope in whole units of `scale` to one, rounded half away from zero.
    pub fn times(self, scale: i64) -> i64 {
        let (rise, run) = (i128::from(self.rise) * i128::from(scale), i128::from(self.run));
        let rounded = (2 * rise.abs() + run) / (2 * run);
        i64::try_from(rounded * rise.signum()).unwrap_or(i64::MAX)
    }

    /// Whether it goes up, down or neither.
    pub const fn signum(self) -> i64 {
        self.rise.signum()
    }
}

impl PartialEq for Slope {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Slope {}

impl PartialOrd for Slope {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Slope {
    fn cmp(&self, other: &Self) -> Ordering {
        (i128::from(self.rise) * i128::from(other.run)).cmp(&(i128::from(other.rise) * i128::from(self.run)))
    }
}

/// A median slope between its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Trend {
    /// The median of all slopes.
    pub slope: Slope,
    /// The lower limit.
    pub low: Slope,
    /// The upper limit.
    pub high: Slope,
}

/// The trend of points (x, y) at so many thousandths of a standard normal deviate (1960 for 95 %); none where all
/// points lie at one x.
pub fn theil_sen(points: &[(i64, i64)], deviate: u64) -> Option<Trend> {
    let mut slopes: Vec<Slope> = Vec::with_capacity(points.len() * points.len().saturating_sub(1) / 2);
    for (index, &(x, y)) in points.iter().enumerate() {
        for &(later, then) in &points[index + 1..] {
            let (rise, run) = if later > x { (then - y, later - x) } else { (y - then, x - later) };
            slopes.extend((run > 0).then_some(Slope { rise, run }));
        }
    }
    slopes.sort_unstable();
    let count = slopes.len();
    let (lower, upper) = (slopes.get(count.checked_sub(1)? / 2)?, slopes[count / 2]);
    let middle =
        Slope { rise: lower.rise * upper.run + upper.rise * lower.run, run: 2 * lower.run * upper.run };
    let (low, high) = ranks(count as u64, variance_times_18(points), deviate);
    Some(Trend { slope: middle, low: slopes[low - 1], high: slopes[high - 1] })
}

/// 18 times the variance of Kendall's S, with the correction for values that occur several times.
fn variance_times_18(points: &[(i64, i64)]) -> u64 {
    let term = |n: u64| n * n.saturating_sub(1) * (2 * n + 5);
    let mut values: Vec<i64> = points.iter().map(|&(_, y)| y).collect();
    values.sort_unstable();
    let ties: u64 = values.chunk_by(|a, b| a == b).map(|alike| term(alike.len() as u64)).sum();
    term(points.len() as u64).saturating_sub(ties)
}

/// The ranks, from 1, of the slopes that are the limits: (N - C) / 2 and (N + C) / 2 + 1, rounded, within 1 and N.
fn ranks(count: u64, variance_times_18: u64, deviate: u64) -> (usize, usize) {
    // C = deviate x sqrt(variance), in millionths.
    let c = (u128::from(deviate * deviate) * u128::from(variance_times_18) * 1_000_000 / 18).isqrt();
    let whole =
        |millionths: u128| usize::try_from((millionths + 1_000_000) / 2_000_000).unwrap_or(usize::MAX);
    let n = u128::from(count) * 1_000_000;
    let low = whole(n.saturating_sub(c)).max(1);
    let high = (whole(n + c) + 1).min(usize::try_from(count).unwrap_or(usize::MAX));
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sens_own_example() {
        // Sen 1968, section 6: t 1 2 3 4 10 12 18, y 9 15 19 20 45 55 78, about 93 %. The slopes were listed anew from
        // these data; the paper's own list has a slip, and with it its interval.
        let points = [(1, 9), (2, 15), (3, 19), (4, 20), (10, 45), (12, 55), (18, 78)];
        let trend = theil_sen(&points, 1_812).unwrap();
        assert_eq!(trend.slope, Slope { rise: 4, run: 1 });
        assert_eq!(trend.low, Slope { rise: 26, run: 7 });
        assert_eq!(trend.high, Slope { rise: 35, run: 8 });
    }

    #[test]
    fn a_straight_line_is_its_own_trend_whatever_the_order() {
        let mut points: Vec<(i64, i64)> = (0..12).map(|x| (7 * x, 3 * x - 5)).collect();
        points.reverse();
        let trend = theil_sen(&points, 1_960).unwrap();
        let exact = Slope { rise: 3, run: 7 };
        assert_eq!((trend.slope, trend.low, trend.high), (exact, exact, exact));
        assert_eq!(trend.slope.times(700), 300);
        assert_eq!(theil_sen(&[(4, 1), (4, 9)], 1_960), None);
        assert_eq!(theil_sen(&[], 1_960), None);
    }

    #[test]
    fn ties_make_the_interval_narrower() {
        // Gilbert 1987, formula 16.4: n (n - 1) (2 n + 5) less t (t - 1) (2 t + 5) for each group of t ties.
        let flat: Vec<(i64, i64)> = (0..6).map(|x| (x, i64::from(x > 2))).collect();
        assert_eq!(variance_times_18(&flat), 6 * 5 * 17 - 2 * 3 * 2 * 11);
    }
}
