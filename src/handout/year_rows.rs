//! The rows of the tables of a year.

use crate::insight::quarters::QuarterValues;

use super::words;
use super::year::{YearPain, YearTest, YearWork};
use super::year_chart::degrees;

impl YearTest {
    /// The rows of its table.
    pub(super) fn rows(&self) -> Vec<(&'static str, Vec<String>)> {
        let dash = || "–".to_owned();
        let medians = |of: &[Option<QuarterValues>]| {
            of.iter().map(|of| of.map_or_else(dash, |values| degrees(values.median))).collect()
        };
        let signed = |tenths: i32| match tenths {
            0 => "0".to_owned(),
            1.. => format!("+{}", degrees(tenths)),
            _ => format!("−{}", degrees(-tenths)),
        };
        let apart: Vec<String> =
            self.apart.iter().map(|of| of.map_or_else(dash, |values| signed(values.median))).collect();
        let higher = |of: &Option<[u32; 2]>| of.map_or_else(dash, |[left, right]| format!("{left}:{right}"));
        let mut rows = Vec::new();
        if self.is_by_side() {
            rows.extend([("left", medians(&self.sides[0])), ("right", medians(&self.sides[1]))]);
            rows.push(("L − R", apart));
        }
        if self.is_at_once() {
            rows.push(("both", medians(&self.both)));
        }
        if self.is_by_side() && !self.higher.is_empty() {
            rows.push(("higher", self.higher.iter().map(higher).collect()));
        }
        rows
    }

    /// Lowest and highest, which the picture shows.
    pub(super) fn ranges(&self) -> Vec<(&'static str, Vec<String>)> {
        let ranges = |of: &[Option<QuarterValues>]| {
            let cell =
                |values: QuarterValues| format!("{}–{}", degrees(values.range[0]), degrees(values.range[1]));
            of.iter().map(|of| of.map_or_else(|| "–".to_owned(), cell)).collect()
        };
        let mut rows = Vec::new();
        if self.is_by_side() {
            let [left, right] = &self.sides;
            rows.extend([("left, low–high", ranges(left)), ("right, low–high", ranges(right))]);
        }
        if self.is_at_once() {
            rows.push(("both, low–high", ranges(&self.both)));
        }
        rows
    }

    /// Whether anything was measured of a single side.
    pub(super) fn is_by_side(&self) -> bool {
        self.sides.iter().flatten().any(Option::is_some)
    }

    /// Whether anything was measured with both sides at once.
    pub(super) fn is_at_once(&self) -> bool {
        self.both.iter().any(Option::is_some)
    }
}

impl YearWork {
    pub(super) const fn is_never(&self) -> bool {
        self.stretched == 0 && self.trained > 0
    }
}

impl YearPain {
    pub(super) fn named(&self) -> String {
        format!("{}, {}", self.name, words::side(self.side))
    }
}
