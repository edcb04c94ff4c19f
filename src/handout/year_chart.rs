//! Degrees by quarter as a picture: left filled and joined by a solid line, right hollow and dashed, from the lowest to the
//! highest, on grey bars of the measuring error. All pictures of a page are of one height in degrees.

use std::fmt::Write;

use crate::body::Side;
use crate::insight::quarters::QuarterValues;

use super::paper::{escaped, side_class};
use super::year::YearTest;

/// Millimetres: width, and the edges of the field that is drawn in.
const WIDTH: f64 = 58.0;
const LEFT: f64 = 9.0;
const RIGHT: f64 = 57.0;
const TOP: f64 = 2.0;
/// Below the field.
const FOOT: f64 = 1.0;

/// The least degrees that a picture is high.
const LEAST: i32 = 40;

/// Tenths of a degree.
fn tenths(value: i32) -> f64 {
    f64::from(value) / 10.0
}

/// A value as it is read: whole degrees, or with one decimal.
pub(super) fn degrees(value: i32) -> String {
    if value % 10 == 0 { (value / 10).to_string() } else { format!("{:.1}", tenths(value)) }
}

/// How many degrees high all pictures are: 40, or more where one needs it.
pub(super) fn height_of(tests: &[YearTest]) -> i32 {
    let needed = tests.iter().filter_map(|test| {
        let (low, high) = test.range()?;
        Some((high + 9).div_euclid(10) - low.div_euclid(10))
    });
    let most = needed.max().unwrap_or(LEAST);
    // Whole steps, and the lowest line at a whole ten.
    ((most + 10 + 19) / 20 * 20).max(LEAST)
}

impl YearTest {
    fn all(&self) -> impl Iterator<Item = &QuarterValues> {
        self.sides.iter().flatten().flatten()
    }

    /// The lowest and the highest, in tenths.
    fn range(&self) -> Option<(i32, i32)> {
        let low = self.all().map(|values| values.range[0]).min()?;
        Some((low, self.all().map(|values| values.range[1]).max()?))
    }

    /// The lowest degree that the picture shows: the values in its middle, at a whole ten.
    fn base(&self, high: i32) -> i32 {
        let Some((lowest, highest)) = self.range() else { return 0 };
        let middle = i32::midpoint(lowest, highest) / 10;
        let mut base = (middle - high / 2).div_euclid(10) * 10;
        if base + high < highest.div_euclid(10) + 1 {
            base += 10;
        }
        if base > lowest.div_euclid(10) {
            base -= 10;
        }
        base
    }

    /// The picture, so many millimetres high, so many degrees high.
    pub(super) fn svg(&self, out: &mut String, quarters: &[String], millimetres: f64, high: i32) {
        let base = self.base(high);
        let bottom = millimetres - FOOT;
        let y = |tenth: f64| bottom - (tenth - f64::from(base)) / f64::from(high) * (bottom - TOP);
        let column = (RIGHT - LEFT) / super::paper_size::many(quarters.len().max(1));
        let x = |index: usize, side: usize| {
            LEFT + column * (super::paper_size::many(index) + if side == 0 { 0.3 } else { 0.7 })
        };
        let _ = write!(
            out,
            "<svg class=\"ch\" role=\"img\" aria-label=\"{}\" viewBox=\"0 0 {WIDTH} {millimetres}\" \
             style=\"height:{millimetres}mm\"><rect x=\"{LEFT}\" y=\"{TOP}\" width=\"{:.2}\" height=\"{:.2}\" \
             fill=\"none\" stroke=\"#777\" stroke-width=\".2\"/>",
            escaped(&self.said(quarters)),
            RIGHT - LEFT,
            bottom - TOP
        );
        for step in 0..=4 {
            let degree = f64::from(base) + f64::from(high) * f64::from(step) / 4.0;
            let _ = write!(
                out,
                "<path d=\"M{LEFT} {0:.2}H{RIGHT}\" stroke=\"#ccc\" stroke-width=\".15\"/><text x=\"{1}\" y=\"{2:.2}\" \
                 text-anchor=\"end\" font-size=\"3.1\" fill=\"#333\">{degree:.0}</text>",
                y(degree),
                LEFT - 1.0,
                y(degree) + 1.1
            );
        }
        let half = (column * 0.34).min(1.55);
        for (side, values) in self.sides.iter().enumerate() {
            for (index, value) in values.iter().enumerate() {
                let Some(value) = value else { continue };
                let (middle, error) = (tenths(value.median), tenths(self.beyond) / 2.0);
                let (from, to) = (y(middle + error).max(TOP), y(middle - error).min(bottom));
                let _ = write!(
                    out,
                    "<rect x=\"{:.2}\" y=\"{from:.2}\" width=\"{:.2}\" height=\"{:.2}\" fill=\"#dfdfdf\"/>",
                    x(index, side) - half,
                    2.0 * half,
                    to - from
                );
            }
        }
        for (side, which) in Side::ALL.iter().enumerate() {
            self.line(out, side, *which, &|index| x(index, side), &y);
        }
        out.push_str("</svg>");
    }

    fn line(
        &self,
        out: &mut String,
        side: usize,
        which: Side,
        x: &dyn Fn(usize) -> f64,
        y: &dyn Fn(f64) -> f64,
    ) {
        let class = side_class(Some(which));
        let dashes = if which == Side::Right { " stroke-dasharray=\"1.2 .8\"" } else { "" };
        let values = &self.sides[side];
        let _ =
            write!(out, "<g class=\"{class}\" stroke=\"currentColor\" fill=\"none\" stroke-width=\".35\">");
        for (index, pair) in values.windows(2).enumerate() {
            // No line across a quarter without a value.
            if let [Some(from), Some(to)] = pair {
                let _ = write!(
                    out,
                    "<path d=\"M{:.2} {:.2}L{:.2} {:.2}\"{dashes}/>",
                    x(index),
                    y(tenths(from.median)),
                    x(index + 1),
                    y(tenths(to.median))
                );
            }
        }
        for (index, value) in values.iter().enumerate() {
            let Some(value) = value else { continue };
            let (at, middle) = (x(index), y(tenths(value.median)));
            if value.count > 1 {
                let (low, high) = (y(tenths(value.range[0])), y(tenths(value.range[1])));
                let _ = write!(out, "<path d=\"M{at:.2} {low:.2}V{high:.2}\" stroke-width=\".25\"/>");
            }
            let mark = match which {
                Side::Left => format!(
                    "<path d=\"M{:.2} {:.2}L{:.2} {middle:.2}L{:.2} {:.2}Z\" fill=\"currentColor\"/>",
                    at + 1.1,
                    middle - 1.3,
                    at - 1.3,
                    at + 1.1,
                    middle + 1.3
                ),
                Side::Right => format!(
                    "<path d=\"M{:.2} {:.2}L{:.2} {middle:.2}L{:.2} {:.2}Z\" fill=\"#fff\"/>",
                    at - 1.1,
                    middle - 1.3,
                    at + 1.3,
                    at - 1.1,
                    middle + 1.3
                ),
            };
            out.push_str(&mark);
        }
        out.push_str("</g>");
    }

    /// The picture for somebody who does not see it.
    fn said(&self, quarters: &[String]) -> String {
        let side = |side: Side| {
            let values = self.sides[side as usize].iter().zip(quarters);
            let named = values.filter_map(|(value, quarter)| {
                Some(format!("{quarter} {}", degrees(value.as_ref()?.median)))
            });
            format!("{side} {}", named.collect::<Vec<_>>().join(", "))
        };
        format!(
            "{}, degrees, median of each quarter: {}; {}. The table below has the same numbers.",
            self.name,
            side(Side::Left),
            side(Side::Right)
        )
    }
}
