//! A stretch over time as lines of dots, ready to be drawn by anyone.

use chrono::NaiveDate;

use crate::body::Side;
use crate::insight::{Observation, Series};

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// The level that was answered.
    Level,
    /// Seconds under stretch.
    Held,
    /// The measured angle.
    Angle,
}

impl Measure {
    /// The axis in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Level => "level",
            Self::Held => "seconds held",
            Self::Angle => "degrees",
        }
    }

    fn of(self, point: &Observation) -> Option<i32> {
        match self {
            Self::Level => point.level.map(|level| level.get().into()),
            Self::Held => i32::try_from(point.held.get()).ok().filter(|held| *held > 0),
            Self::Angle => point.angle.map(|angle| angle.get().into()),
        }
    }
}

/// The dots of one side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// Days since the chart's first day, and the value.
    pub dots: Vec<(i32, i32)>,
}

/// One measure of one stretch over time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// What is drawn.
    pub measure: Measure,
    /// A line per side that has any dot: both at once, left, right.
    pub lines: Vec<Trace>,
    /// The first and the last day with a dot.
    pub days: (NaiveDate, NaiveDate),
    /// The least and the greatest value of the axis: 1 to 5 for levels, else round numbers around the dots.
    pub range: (i32, i32),
}

/// Values by day.
type Dots = Vec<(NaiveDate, i32)>;

/// Draws a measure of a stretch from `from` on; `None` if there is no dot.
pub fn chart(series: &Series, measure: Measure, from: Option<NaiveDate>) -> Option<Chart> {
    let dots = |points: &[Observation]| -> Dots {
        let wanted = points.iter().filter(|point| from.is_none_or(|from| point.date >= from));
        wanted.filter_map(|point| Some((point.date, measure.of(point)?))).collect()
    };
    let sides: Vec<(Option<Side>, Dots)> = series
        .iter()
        .map(|(&side, points)| (side, dots(points)))
        .filter(|(_, dots)| !dots.is_empty())
        .collect();
    let all = || sides.iter().flat_map(|(_, dots)| dots);
    let first = all().map(|(date, _)| *date).min()?;
    let last = all().map(|(date, _)| *date).max()?;
    let lowest = all().map(|(_, value)| *value).min()?;
    let highest = all().map(|(_, value)| *value).max()?;
    let range = match measure {
        Measure::Level => (1, 5),
        Measure::Held => (0, (highest + 14) / 15 * 15),
        Measure::Angle => (lowest.div_euclid(10) * 10, (highest.div_euclid(10) + 1) * 10),
    };
    let day = |date: NaiveDate| i32::try_from((date - first).num_days()).unwrap_or(i32::MAX);
    let line = |(side, dots): (Option<Side>, Dots)| Trace {
        side,
        dots: dots.into_iter().map(|(date, value)| (day(date), value)).collect(),
    };
    Some(Chart { measure, lines: sides.into_iter().map(line).collect(), days: (first, last), range })
}
