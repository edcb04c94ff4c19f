//! Change over time, from measured angles alone: moved, no change that measuring could show, what a gap took.
//!
//! A level is steered to 4 and says nothing about range, up or down. One measurement against the one before is shown
//! and never called a change: at the smallest real change of papers every client without one would be told of one
//! within a year (by simulation, 16 series measured 12 times).

use chrono::{NaiveDate, TimeDelta};

use crate::body::{Muscle, Side};
use crate::catalogue::{FormId, StretchId};
use crate::client::TestPosition;

use super::angles::{AngleSeries, Reading};
use super::measuring::Errors;
use super::theil_sen::{Slope, theil_sen};

/// Days that a change is looked for in.
const YEAR: i64 = 365;
/// Days without a session that begin a new spell (practice).
pub const GAP: i64 = 42;
/// The fewest measurements, and the days that they must span, for a change and for a plateau.
const FEWEST: usize = 6;
const CHANGE_DAYS: i64 = 28;
const PLATEAU_DAYS: i64 = 84;
/// Measurements at either end whose means are compared.
const ENDS: usize = 3;
/// Standard errors, in thousandths: of a change (by simulation: looked at after every measurement 1 to 4 % of clients
/// without one are told of one in a year), of what a gap took, and of no change.
const CHANGED_BY: i128 = 3_700;
const LOST_BY: i128 = 2_580;
const FLAT_WITHIN: i128 = 1_645;
/// A plateau is that a change of so many tenths of a degree can be ruled out (practice).
const PLATEAU_BELOW: i32 = 80;
/// The fewest measurements that a rate is worked out from, and the deviate of its interval (95 %).
const RATE_FROM: usize = 5;
const RATE_DEVIATE: u64 = 1_960;
/// A month in hundredths of a day: 365.25 / 12.
const MONTH: i64 = 3_044;

/// Degrees a month, in hundredths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rate {
    /// The median of all slopes.
    pub month: i64,
    /// The limits of 95 %.
    pub limits: [i64; 2],
}

/// What became of an angle. Degrees are in tenths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AngleCourse {
    /// It moved by more than measuring and its own scatter give.
    Moved {
        /// The mean of the first three.
        from: i32,
        /// The mean of the last three.
        to: i32,
        /// The middle one of the first three.
        since: NaiveDate,
        /// How many measurements.
        measured: u32,
        /// What chance alone gives, rounded up.
        beyond: i32,
        /// How fast, where that can be told.
        rate: Option<Rate>,
    },
    /// No change that measuring could show.
    Flat {
        /// The mean of the last three.
        at: i32,
        /// The middle one of the first three.
        since: NaiveDate,
        /// How many measurements.
        measured: u32,
    },
}

/// What a gap without sessions took or gave. Degrees are in tenths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AfterGap {
    /// The mean of the last three before it.
    pub from: i32,
    /// The mean of up to the first three after it.
    pub to: i32,
    /// The last session before it.
    pub last: NaiveDate,
    /// The first session after it.
    pub back: NaiveDate,
    /// What chance alone gives, rounded up.
    pub beyond: i32,
}

/// What is told of one angle over time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AngleChange {
    /// The stretch with which it is measured.
    pub stretch: StretchId,
    /// The form.
    pub form: FormId,
    /// The test position, if one was named.
    pub position: Option<TestPosition>,
    /// The muscle it is about.
    pub muscle: Muscle,
    /// The side; none if it is the mean of both.
    pub side: Option<Side>,
    /// What became of it since the last gap.
    pub course: Option<AngleCourse>,
    /// What the last gap changed.
    pub gap: Option<AfterGap>,
}

impl AngleChange {
    /// Whether it is about the same angle.
    pub fn is_of(&self, other: &Self) -> bool {
        (&self.stretch, &self.form, &self.position, self.side)
            == (&other.stretch, &other.form, &other.position, other.side)
    }

    /// Whether the angle grew, where it moved.
    pub const fn is_up(&self) -> Option<bool> {
        match self.course {
            Some(AngleCourse::Moved { from, to, .. }) => Some(to > from),
            _ => None,
        }
    }
}

/// What lies between two stretches of time. Degrees are in tenths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Between {
    /// The mean of the earlier one.
    pub from: i32,
    /// The mean of the later one.
    pub to: i32,
    /// What chance alone gives, rounded up.
    pub beyond: i32,
    /// Whether it is more than that.
    pub is_change: bool,
}

/// A value of one day: the mean of both sides, or one side alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct DayValue {
    pub(super) on: NaiveDate,
    tenths: i32,
    /// Variance of measuring, in hundredths of a degree squared.
    error: i128,
}

/// The stretch of time that a change is looked for in: from the first session after the last gap, and that gap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Spell {
    start: NaiveDate,
    gap: Option<Gap>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Gap {
    /// The first session of the spell before it, and the last.
    before: [NaiveDate; 2],
}

impl Spell {
    /// The spell that goes on today; sessions are handed in oldest first.
    pub(super) fn last(sessions: impl Iterator<Item = NaiveDate>) -> Option<Self> {
        let mut spell: Option<(Self, NaiveDate)> = None;
        for on in sessions {
            spell = Some(match spell {
                None => (Self { start: on, gap: None }, on),
                Some((old, last)) if (on - last).num_days() >= GAP => {
                    (Self { start: on, gap: Some(Gap { before: [old.start, last] }) }, on)
                }
                Some((old, _)) => (old, on),
            });
        }
        spell.map(|(spell, _)| spell)
    }
}

/// What is told of an angle on a day, on one side or as the mean of both.
pub(super) fn judge(series: &AngleSeries, side: Option<Side>, spell: Spell, today: NaiveDate) -> AngleChange {
    let values = values(series, side);
    AngleChange {
        stretch: series.stretch.clone(),
        form: series.form.clone(),
        position: series.position.clone(),
        muscle: series.muscle,
        side,
        course: course(&values, spell.start.max(today - TimeDelta::days(YEAR)), today),
        gap: after_gap(&values, spell),
    }
}

/// Whether two quarters of unlike years differ, with the threshold of a change.
pub(super) fn between(before: &[DayValue], after: &[DayValue]) -> Option<Between> {
    let counts = [before.len(), after.len()].map(|count| i32::try_from(count).unwrap_or(i32::MAX));
    let [k, l] = counts;
    if k == 0 || l == 0 {
        return None;
    }
    // k l times the difference of the means; its variance is k^2 l^2 (1/k + 1/l) that of one value.
    let moved = k * sum(after) - l * sum(before);
    let variance = variance(&[before, after].concat(), &[before, after]);
    let errors = Errors::of_variance(i128::from(k) * i128::from(l) * i128::from(k + l) * variance);
    Some(Between {
        from: mean(before),
        to: mean(after),
        beyond: parts(errors.margin(CHANGED_BY), k * l),
        is_change: errors.is_exceeded_by(moved.abs(), CHANGED_BY),
    })
}

/// The values of a series, oldest first, with the variance of measuring each.
pub(super) fn values(series: &AngleSeries, side: Option<Side>) -> Vec<DayValue> {
    let once = series.error.squared();
    let value = |reading: &Reading| {
        let (tenths, error) = match (side, reading.sides, reading.both) {
            (Some(side), sides, _) => (sides[side as usize]?, once),
            (None, [Some(left), Some(right)], _) => (left.midpoint(right), once / 2),
            (None, [left, right], both) => (left.or(right).or(both)?, once),
        };
        Some(DayValue { on: reading.on, tenths, error })
    };
    series.readings.iter().filter_map(value).collect()
}

/// The variance of one value: of measuring those that are compared, or its own scatter from one to the next, whichever
/// is more. A steady trend hardly moves the latter.
fn variance(compared: &[DayValue], scattered: &[&[DayValue]]) -> i128 {
    let count = i128::try_from(compared.len()).unwrap_or(1).max(1);
    let measuring = compared.iter().map(|value| value.error).sum::<i128>() / count;
    let (mut squares, mut steps) = (0, 0);
    for values in scattered {
        for pair in values.windows(2) {
            squares += i128::from(pair[1].tenths - pair[0].tenths).pow(2);
            steps += 1;
        }
    }
    // From tenths to hundredths, and half of it, since each step has the error of two values.
    let own = if steps > 0 { squares * 50 / steps } else { 0 };
    measuring.max(own)
}

fn sum(values: &[DayValue]) -> i32 {
    values.iter().map(|value| value.tenths).sum()
}

/// A mean in tenths, rounded half up.
fn mean(values: &[DayValue]) -> i32 {
    let count = i32::try_from(values.len()).unwrap_or(i32::MAX).max(1);
    (2 * sum(values) + count).div_euclid(2 * count)
}

fn course(values: &[DayValue], from: NaiveDate, today: NaiveDate) -> Option<AngleCourse> {
    let start = values.partition_point(|value| value.on < from);
    let end = values.partition_point(|value| value.on <= today);
    let values = values.get(start..end).filter(|values| values.len() >= FEWEST)?;
    let (first, last) = (&values[..ENDS], &values[values.len() - ENDS..]);
    let days = (values[values.len() - 1].on - values[0].on).num_days();
    // Three times the difference of the means; its variance is 9 x (1/3 + 1/3) that of one value.
    let moved = sum(last) - sum(first);
    let errors = Errors::of_variance(6 * variance(&[first, last].concat(), &[values]));
    let measured = u32::try_from(values.len()).unwrap_or(u32::MAX);
    let since = first[1].on;
    if days >= CHANGE_DAYS && errors.is_exceeded_by(moved.abs(), CHANGED_BY) {
        let beyond = parts(errors.margin(CHANGED_BY), 3);
        return Some(AngleCourse::Moved {
            from: mean(first),
            to: mean(last),
            since,
            measured,
            beyond,
            rate: rate(values),
        });
    }
    let flat = days >= PLATEAU_DAYS && errors.fits_into(3 * PLATEAU_BELOW - moved.abs(), FLAT_WITHIN);
    flat.then(|| AngleCourse::Flat { at: mean(last), since, measured })
}

/// Degrees a month, if the interval of the slope lies on one side of none at all.
fn rate(values: &[DayValue]) -> Option<Rate> {
    let first = values.first().filter(|_| values.len() >= RATE_FROM)?.on;
    let points: Vec<(i64, i64)> =
        values.iter().map(|value| ((value.on - first).num_days(), value.tenths.into())).collect();
    let trend = theil_sen(&points, RATE_DEVIATE)?;
    // A slope is in tenths of a degree a day; a month is in hundredths of a day.
    let month = |slope: Slope| slope.times(MONTH) / 10;
    let told = trend.low.signum() == trend.high.signum() && trend.low.signum() != 0;
    told.then(|| Rate { month: month(trend.slope), limits: [month(trend.low), month(trend.high)] })
}

fn after_gap(values: &[DayValue], spell: Spell) -> Option<AfterGap> {
    let [began, last] = spell.gap?.before;
    let start = values.partition_point(|value| value.on < began);
    let split = values.partition_point(|value| value.on < spell.start);
    let (before, after) = (&values[start..split], &values[split..]);
    let (last_ones, first_ones) =
        (before.len().checked_sub(ENDS).map(|from| &before[from..])?, &after[..after.len().min(ENDS)]);
    let k = i32::try_from(first_ones.len()).ok().filter(|k| *k > 0)?;
    // 3 k times the difference of the means; its variance is 9 k^2 (1/3 + 1/k) that of one value.
    let moved = 3 * sum(first_ones) - k * sum(last_ones);
    let variance = variance(&[last_ones, first_ones].concat(), &[before, after]);
    let errors = Errors::of_variance(i128::from(3 * k * k + 9 * k) * variance);
    errors.is_exceeded_by(moved.abs(), LOST_BY).then(|| AfterGap {
        from: mean(last_ones),
        to: mean(first_ones),
        last,
        back: spell.start,
        beyond: parts(errors.margin(LOST_BY), 3 * k),
    })
}

/// One of so many parts, rounded up.
fn parts(whole: i32, count: i32) -> i32 {
    (whole + count - 1).div_euclid(count)
}
