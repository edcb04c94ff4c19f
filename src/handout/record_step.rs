//! One step of a session's record, and all of them as a picture: two lanes, as wide as the time held.

use std::fmt::Write;

use crate::body::Side;
use crate::client::Ended;

use super::paper_size::many;

/// One step as it was done.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RecordStep {
    pub(super) number: usize,
    pub(super) side: Option<Side>,
    pub(super) name: String,
    pub(super) held: u32,
    pub(super) level: Option<u8>,
    pub(super) ended: Ended,
    pub(super) last: String,
    pub(super) more: String,
    pub(super) remark: String,
}

/// What the ribbon shows.
const CAPTION: &str = "In this order; the width is the time held. Above: left. Below, striped: right. Both rows: both \
                       sides at once. On top: the answer to “one to five?”; 4 is the aim.";
/// The ribbon: width, gap between two steps, and the seconds that a step is as wide as at least.
const BAND: f64 = 186.0;
const BAND_GAP: f64 = 1.2;
const LEAST_WIDE: u32 = 8;
/// A step as wide as this has room for its number.
const NUMBERED: f64 = 4.4;

/// The steps in their order on two lanes.
pub(super) fn draw(out: &mut String, steps: &[RecordStep]) {
    let wide = |step: &RecordStep| f64::from(step.held.max(LEAST_WIDE));
    let gaps = (BAND_GAP * many(steps.len() - 1)).min(BAND / 3.0);
    let gap = gaps / many(steps.len().max(2) - 1);
    let scale = (BAND - gaps) / steps.iter().map(wide).sum::<f64>();
    out.push_str(
        "<svg class=\"band\" aria-hidden=\"true\" viewBox=\"0 0 186 21\"><defs><pattern id=\"s\" width=\"1.6\" \
         height=\"1.6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><rect width=\"1.6\" \
         height=\"1.6\" fill=\"#fff\"/><rect width=\".8\" height=\"1.6\" fill=\"#934a06\"/></pattern></defs>",
    );
    let mut x = 0.0;
    for step in steps {
        let width = wide(step) * scale;
        let (y, height, fill, line) = match step.side {
            Some(Side::Left) => (5.2, 7.2, "#0f5f9e", "#0f5f9e"),
            Some(Side::Right) => (13.4, 7.2, "url(#s)", "#934a06"),
            None => (5.2, 15.4, "#482c98", "#482c98"),
        };
        let _ = write!(
            out,
            "<rect x=\"{x:.2}\" y=\"{y}\" width=\"{width:.2}\" height=\"{height}\" fill=\"{fill}\" \
             stroke=\"{line}\" stroke-width=\".25\"/>"
        );
        let middle = y + height / 2.0;
        if width >= NUMBERED {
            let _ = write!(
                out,
                "<rect x=\"{:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"4\" fill=\"#fff\"/><text class=\"no\" \
                 x=\"{:.2}\" y=\"{:.2}\">{}</text>",
                x + 0.6,
                middle - 2.0,
                NUMBERED - 1.0,
                x + 0.6 + (NUMBERED - 1.0) / 2.0,
                middle + 1.2,
                step.number
            );
            let weight =
                if step.level == Some(5) || step.ended == Ended::Pain { " class=\"no\"" } else { "" };
            let _ = write!(out, "<text{weight} x=\"{:.2}\" y=\"4\">{}</text>", x + width / 2.0, step.short());
        }
        x += width + gap;
    }
    let _ = write!(out, "</svg>\n<p class=\"note\">{CAPTION}</p>\n");
}

impl RecordStep {
    /// The answer over a step of the ribbon.
    fn short(&self) -> String {
        match (self.ended, self.level) {
            (Ended::Pain, _) => "pain".to_owned(),
            (_, Some(level)) => level.to_string(),
            (_, None) => "·".to_owned(),
        }
    }
}
