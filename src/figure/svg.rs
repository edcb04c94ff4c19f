//! A figure as an SVG picture for paper and pages: line work on no ground, that prints in grey as well.

use std::fmt::Write;

use crate::body::Side;
use crate::catalogue::Form;

use super::plane::{Bounds, Polygon, Vec2};
use super::shapes::{Ink, Shape};
use super::sketch::Sketch;

/// Units a stature.
const SCALE: f64 = 400.0;
/// Free space round the figure, in statures.
const MARGIN: f64 = 0.02;

const STYLE: &str = "path{paint-order:stroke;stroke-linejoin:round}\
.m{fill:#e9e7e1}.t{fill:#cbc8c1}.f{fill:#c9cbce;stroke:#84888e;stroke-width:5}\
.b{fill:#dddedf;stroke:#3c4046;stroke-width:5}.n{fill:#fff;stroke:#23262b;stroke-width:5}\
.h{fill:#8a8d92}.x{fill:#b9480f}.a{fill:none;stroke:#b9480f;stroke-width:6}";

/// A form as the inside of an SVG element, for pages that hold one style for all of their pictures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SvgShapes {
    /// Units across.
    pub width: i64,
    /// Units down.
    pub height: i64,
    /// The paths, each with the class of its ink.
    pub paths: String,
}

/// One form on one side, or on both at once, as the paths of an SVG element.
pub fn svg_shapes(form: &Form, side: Option<Side>) -> SvgShapes {
    let sketch = Sketch::of(form);
    let frame = sketch.frame();
    let page = SvgPage { frame, mirrored: side == Some(Side::Right) };
    let mut paths = String::new();
    for shape in sketch.shapes(0.0) {
        page.shape(&mut paths, &shape);
    }
    if let Some(arrow) = sketch.arrow() {
        page.arrow(&mut paths, arrow.from, arrow.to);
    }
    SvgShapes {
        width: units(frame.width() + 2.0 * MARGIN),
        height: units(frame.height() + 2.0 * MARGIN),
        paths,
    }
}

/// The same as the text of an SVG file that says `title` where it is read out.
pub fn svg(form: &Form, side: Option<Side>, title: &str) -> String {
    let SvgShapes { width, height, paths } = svg_shapes(form, side);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {width} {height}\" role=\"img\">\
         <title>{}</title><style>{STYLE}</style>{paths}</svg>\n",
        width * 3 / 5,
        height * 3 / 5,
        escaped(title)
    )
}

/// Whole units of so many statures.
fn units(statures: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a picture is a few hundred units wide")]
    let units = (statures * SCALE).round() as i64;
    units
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

const fn class(ink: Ink) -> char {
    match ink {
        Ink::Mat => 'm',
        Ink::Thing => 't',
        Ink::Far => 'f',
        Ink::Trunk => 'b',
        Ink::Near => 'n',
        Ink::Hair => 'h',
        Ink::Muscle => 'x',
        Ink::Arrow => 'a',
    }
}

struct SvgPage {
    frame: Bounds,
    mirrored: bool,
}

impl SvgPage {
    /// Whole units from the left and from the top.
    fn place(&self, at: Vec2) -> (i64, i64) {
        let x = if self.mirrored { self.frame.high.x - at.x } else { at.x - self.frame.low.x };
        (units(x + MARGIN), units(self.frame.high.y - at.y + MARGIN))
    }

    fn shape(&self, out: &mut String, shape: &Shape) {
        let shown: Vec<&Polygon> = shape.pieces.iter().filter(|piece| self.shows(piece)).collect();
        if shown.is_empty() {
            return;
        }
        let _ = write!(out, "<path class=\"{}\" d=\"", class(shape.ink));
        for piece in shown {
            let mut last = (0, 0);
            for (index, corner) in piece.corners().iter().enumerate() {
                let at = self.place(*corner);
                let (command, x, y) =
                    if index == 0 { ('M', at.0, at.1) } else { ('l', at.0 - last.0, at.1 - last.1) };
                if index > 0 && (x, y) == (0, 0) {
                    continue;
                }
                let _ = write!(out, "{command}{x} {y}");
                last = at;
            }
            out.push('z');
        }
        out.push_str("\"/>");
    }

    /// Whether a piece reaches into the picture at all.
    fn shows(&self, piece: &Polygon) -> bool {
        let box_ = piece.bounds(Bounds::EMPTY);
        box_.high.x > self.frame.low.x - MARGIN
            && box_.low.x < self.frame.high.x + MARGIN
            && box_.high.y > self.frame.low.y - MARGIN
            && box_.low.y < self.frame.high.y + MARGIN
    }

    fn arrow(&self, out: &mut String, from: Vec2, to: Vec2) {
        let way = to - from;
        let back = way * (-0.034 / way.length().max(1e-6));
        let aside = Vec2 { x: -back.y, y: back.x };
        let wings = [to + back + aside, to, to + back - aside].map(|at| self.place(at));
        let ((x0, y0), (x1, y1)) = (self.place(from), self.place(to));
        let _ = write!(
            out,
            "<path class=\"a\" d=\"M{x0} {y0}L{x1} {y1}M{} {}L{} {}L{} {}\"/>",
            wings[0].0, wings[0].1, wings[1].0, wings[1].1, wings[2].0, wings[2].1
        );
    }
}
