//! Degrees by quarter as a picture: left filled and joined by a solid line, right hollow and dashed, both at once a diamond
//! and dotted, from the lowest to the highest, on grey bars of the measuring error. All pictures of a page are of one
//! height in degrees.

use std::fmt::Write;

use crate::body::Side;
use crate::insight::quarters::QuarterValues;

use super::paper::{escaped, side_class};
use super::year::YearTest;

/// Millimetres: width and height, and the edges of the field that is drawn in.
const WIDTH: f64 = 58.0;
pub(super) const HEIGHT: f64 = 41.0;
const LEFT: f64 = 9.0;
const RIGHT: f64 = 57.0;
const TOP: f64 = 2.0;
/// Below the field.
const FOOT: f64 = 1.0;

/// The least degrees that a picture is high.
const LEAST: i32 = 40;

/// A side, or both at once; its values by quarter; where they stand within a quarter.
type Lane<'a> = (Option<Side>, &'a [Option<QuarterValues>], f64);

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
        self.sides.iter().chain([&self.both]).flatten().flatten()
    }

    /// Left, right and both at once.
    fn lanes(&self) -> [Lane<'_>; 3] {
        let [left, right] = &self.sides;
        [(Some(Side::Left), left, 0.3), (Some(Side::Right), right, 0.7), (None, &self.both, 0.5)]
    }

    /// The lowest and the highest, in tenths; the norm stands beside them.
    fn range(&self) -> Option<(i32, i32)> {
        let ends = || self.all().flat_map(|values| values.range).chain(self.norm.iter().flat_map(|it| it.0));
        self.all().next()?;
        Some((ends().min()?, ends().max()?))
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

    /// The picture, so many degrees high.
    pub(super) fn svg(&self, out: &mut String, quarters: &[String], high: i32) {
        let base = self.base(high);
        let bottom = HEIGHT - FOOT;
        let y = |tenth: f64| bottom - (tenth - f64::from(base)) / f64::from(high) * (bottom - TOP);
        let column = (RIGHT - LEFT) / super::paper_size::many(quarters.len().max(1));
        let x = |index: usize, within: f64| LEFT + column * (super::paper_size::many(index) + within);
        let _ = write!(
            out,
            "<svg class=\"ch\" role=\"img\" aria-label=\"{}\" viewBox=\"0 0 {WIDTH} {HEIGHT}\"><rect x=\"{LEFT}\" y=\"{TOP}\" width=\"{:.2}\" height=\"{:.2}\" \
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
                 text-anchor=\"end\" font-size=\"3.5\" fill=\"#333\">{degree:.0}</text>",
                y(degree),
                LEFT - 1.0,
                y(degree) + 1.1
            );
        }
        let half = (column * 0.34).min(1.55);
        for (_, values, within) in self.lanes() {
            for (index, value) in values.iter().enumerate() {
                let Some(value) = value else { continue };
                let (middle, error) = (tenths(value.median), tenths(self.beyond) / 2.0);
                let (from, to) = (y(middle + error).max(TOP), y(middle - error).min(bottom));
                let _ = write!(
                    out,
                    "<rect x=\"{:.2}\" y=\"{from:.2}\" width=\"{:.2}\" height=\"{:.2}\" fill=\"#dfdfdf\"/>",
                    x(index, within) - half,
                    2.0 * half,
                    to - from
                );
            }
        }
        for (side, values, within) in self.lanes() {
            if values.iter().any(Option::is_some) {
                line(out, side, values, &|index| x(index, within), &y);
            }
        }
        if let Some(([low, high], _)) = &self.norm {
            // A bracket at the edge, in nobody's colour.
            let _ = write!(
                out,
                "<path d=\"M{0} {2:.2}H{1}V{3:.2}H{0}\" fill=\"none\" stroke=\"#111\" stroke-width=\".4\"/>",
                RIGHT - 1.2,
                RIGHT + 0.5,
                y(tenths(*low)),
                y(tenths(*high))
            );
        }
        out.push_str("</svg>");
    }

    /// The picture for somebody who does not see it.
    fn said(&self, quarters: &[String]) -> String {
        let lane = |(side, values, _): Lane<'_>| {
            let named = values.iter().zip(quarters).filter_map(|(value, quarter)| {
                Some(format!("{quarter} {}", degrees(value.as_ref()?.median)))
            });
            let named: Vec<String> = named.collect();
            let side = side.map_or_else(|| "both at once".to_owned(), |side| side.to_string());
            (!named.is_empty()).then(|| format!("{side} {}", named.join(", ")))
        };
        let lanes: Vec<String> = self.lanes().into_iter().filter_map(lane).collect();
        format!(
            "{}, degrees, median of each quarter: {}. The table below has the same numbers.",
            self.name,
            lanes.join("; ")
        )
    }
}

/// The values of a side, or of both at once, with the lines between them.
fn line(
    out: &mut String,
    which: Option<Side>,
    values: &[Option<QuarterValues>],
    x: &dyn Fn(usize) -> f64,
    y: &dyn Fn(f64) -> f64,
) {
    let class = side_class(which);
    let dashes = match which {
        Some(Side::Left) => "",
        Some(Side::Right) => " stroke-dasharray=\"1.2 .8\"",
        None => " stroke-dasharray=\".4 .8\"",
    };
    let _ = write!(out, "<g class=\"{class}\" stroke=\"currentColor\" fill=\"none\" stroke-width=\".35\">");
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
        out.push_str(&mark(which, at, middle));
    }
    out.push_str("</g>");
}

/// The mark of a value, at a place in millimetres.
fn mark(which: Option<Side>, at: f64, middle: f64) -> String {
    match which {
        Some(Side::Left) => format!(
            "<path d=\"M{:.2} {:.2}L{:.2} {middle:.2}L{:.2} {:.2}Z\" fill=\"currentColor\"/>",
            at + 1.1,
            middle - 1.3,
            at - 1.3,
            at + 1.1,
            middle + 1.3
        ),
        Some(Side::Right) => format!(
            "<path d=\"M{:.2} {:.2}L{:.2} {middle:.2}L{:.2} {:.2}Z\" fill=\"#fff\"/>",
            at - 1.1,
            middle - 1.3,
            at + 1.3,
            at - 1.1,
            middle + 1.3
        ),
        None => format!(
            "<path d=\"M{:.2} {middle:.2}L{at:.2} {:.2}L{:.2} {middle:.2}L{at:.2} {:.2}Z\" fill=\"currentColor\"/>",
            at - 1.3,
            middle - 1.3,
            at + 1.3,
            middle + 1.3
        ),
    }
}
