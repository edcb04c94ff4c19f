//! The rows of the tables of a year.

use crate::insight::quarters::QuarterValues;

use super::words;
use super::year::{YearPain, YearTest, YearWork};
use super::year_chart::degrees;

impl YearTest {
    /// The rows of its table.
    pub(super) fn rows(&self) -> Vec<(&'static str, Vec<String>)> {
        let dash = || "–".to_owned();
        let medians = |side: usize| {
            self.sides[side].iter().map(|of| of.map_or_else(dash, |values| degrees(values.median))).collect()
        };
        let signed = |tenths: i32| match tenths {
            0 => "0".to_owned(),
            1.. => format!("+{}", degrees(tenths)),
            _ => format!("−{}", degrees(-tenths)),
        };
        let apart =
            self.apart.iter().map(|of| of.map_or_else(dash, |values| signed(values.median))).collect();
        let higher = |of: &Option<[u32; 2]>| of.map_or_else(dash, |[left, right]| format!("{left}:{right}"));
        let mut rows = vec![("left", medians(0)), ("right", medians(1)), ("L − R", apart)];
        if !self.higher.is_empty() {
            rows.push(("higher", self.higher.iter().map(higher).collect()));
        }
        rows
    }

    /// Lowest and highest, which the picture shows.
    pub(super) fn ranges(&self) -> Vec<(&'static str, Vec<String>)> {
        let ranges = |side: usize| {
            let cell =
                |values: QuarterValues| format!("{}–{}", degrees(values.range[0]), degrees(values.range[1]));
            self.sides[side].iter().map(|of| of.map_or_else(|| "–".to_owned(), cell)).collect()
        };
        vec![("left, low–high", ranges(0)), ("right, low–high", ranges(1))]
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
