//! A figure's shapes as pixels: which shape most of each pixel shows.

use super::cells::{Blocks, Cells, InkedCell, Tint};
use super::fit::{Fit, index, middle};
use super::plane::Polygon;
use super::shapes::{Ink, Shape};
use super::sketch::Sketch;

/// From this size on an arrow has room.
const ARROW_FROM: (u16, u16) = (36, 12);
/// The least radius of a limb in columns, with quadrants and with half blocks, and the gap round it.
const THINNEST: f64 = 0.62;
const THINNEST_HALVES: f64 = 0.85;
const GAP: f64 = 0.26;
/// Below this share of a pixel the figure is not drawn.
const COVER: f64 = 0.45;
/// Samples of a pixel along each side.
const SAMPLES: u16 = 4;

impl Tint for Ink {
    fn pull(self) -> f64 {
        match self {
            Self::Muscle => 0.6,
            Self::Mat | Self::Hair => -0.3,
            _ => 0.0,
        }
    }

    fn light(self) -> f64 {
        match self {
            Self::Mat => 0.8,
            Self::Thing => 1.6,
            Self::Far => 3.0,
            Self::Hair => 3.4,
            Self::Trunk => 5.0,
            Self::Near => 7.0,
            Self::Muscle | Self::Arrow => 6.6,
        }
    }
}

/// Draws a figure as large as `width` columns and `height` rows allow, its foot on the last row.
pub(super) fn draw(sketch: &Sketch<'_>, (width, height): (u16, u16), blocks: Blocks) -> Cells<Ink> {
    let mut cells = Cells::blank(width, height);
    let with_arrow = width >= ARROW_FROM.0 && height >= ARROW_FROM.1;
    let frame = if with_arrow { sketch.frame() } else { sketch.close_frame() };
    let Some(fit) = Fit::of(frame, width, height) else { return cells };
    let thinnest = if blocks == Blocks::Halves { THINNEST_HALVES } else { THINNEST };
    let shapes = sketch.shapes(thinnest / fit.scale);
    let as_it_is = |ink: Option<Ink>, _: u16, _: u16| ink;
    match blocks {
        Blocks::Quadrants => cells.fill_quadrants(&pixels(&shapes, &fit, (width, height), 2), as_it_is),
        Blocks::Halves => cells.fill_halves(&pixels(&shapes, &fit, (width, height), 1), as_it_is),
        Blocks::Outlines => super::outline::draw(&mut cells, &shapes, &fit),
    }
    if let Some(arrow) = sketch.arrow().filter(|_| with_arrow) {
        point(&mut cells, fit.cell(arrow.from), fit.cell(arrow.to));
    }
    cells
}

/// What most of each pixel shows, `across` pixels to a column and two to a row.
fn pixels(shapes: &[Shape], fit: &Fit, (columns, rows): (u16, u16), across: u16) -> Vec<Option<Ink>> {
    let (width, height) = (usize::from(columns * across), usize::from(rows * 2));
    let samples = usize::from(SAMPLES);
    let mut grid = SampleGrid::blank(width * samples, height * samples);
    let scaled = |piece: &Polygon| fit.polygon(piece, f64::from(across * SAMPLES), f64::from(SAMPLES));
    let (ground, body): (Vec<&Shape>, Vec<&Shape>) = shapes.iter().partition(|shape| shape.is_ground());
    for shape in ground {
        for piece in &shape.pieces {
            grid.fill(&scaled(piece), |_| Some(shape.ink));
        }
    }
    let ground = grid.inks.clone();
    for shape in body {
        // A gap in the colour of the ground sets a limb off from what lies behind it.
        if !matches!(shape.ink, Ink::Muscle | Ink::Hair) {
            for piece in &shape.pieces {
                grid.fill(&scaled(&piece.grown(GAP / fit.scale)), |at| ground[at]);
            }
        }
        for piece in &shape.pieces {
            grid.fill(&scaled(piece), |_| Some(shape.ink));
        }
    }
    (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| grid.vote(x, y)).collect()
}

struct SampleGrid {
    width: usize,
    height: usize,
    inks: Vec<Option<Ink>>,
}

impl SampleGrid {
    fn blank(width: usize, height: usize) -> Self {
        Self { width, height, inks: vec![None; width * height] }
    }

    fn fill(&mut self, polygon: &Polygon, ink: impl Fn(usize) -> Option<Ink>) {
        let (low, high) = polygon.heights();
        for row in index(low, self.height)..index(high + 1.0, self.height) {
            let Some((from, to)) = polygon.span(middle(row)) else { continue };
            for column in index(from + 0.5, self.width)..index(to + 0.5, self.width) {
                let at = row * self.width + column;
                self.inks[at] = ink(at);
            }
        }
    }

    /// What most of a pixel shows; the ground where the figure covers too little of it.
    fn vote(&self, x: usize, y: usize) -> Option<Ink> {
        let samples = usize::from(SAMPLES);
        let mut counts = [0.0; INKS.len()];
        for row in y * samples..(y + 1) * samples {
            let start = row * self.width + x * samples;
            for ink in &self.inks[start..start + samples] {
                counts[ink.map_or(0, |ink| ink as usize + 1)] += 1.0;
            }
        }
        let is_ground = |slot: &usize| matches!(INKS[*slot], None | Some(Ink::Mat | Ink::Thing));
        let figure: f64 = (0..INKS.len()).filter(|slot| !is_ground(slot)).map(|slot| counts[slot]).sum();
        let wants_figure = figure >= COVER * f64::from(SAMPLES) * f64::from(SAMPLES);
        let weight = |slot: usize| {
            counts[slot]
                * match INKS[slot] {
                    Some(Ink::Muscle) => 1.7,
                    Some(Ink::Near) => 1.1,
                    _ => 1.0,
                }
        };
        (0..INKS.len())
            .filter(|slot| is_ground(slot) != wants_figure)
            .reduce(|best, slot| if weight(slot) > weight(best) { slot } else { best })
            .and_then(|slot| INKS[slot])
    }
}

/// What the slots of a count stand for: the ground, then the inks in their order.
const INKS: [Option<Ink>; 9] = [
    None,
    Some(Ink::Mat),
    Some(Ink::Thing),
    Some(Ink::Far),
    Some(Ink::Trunk),
    Some(Ink::Near),
    Some(Ink::Hair),
    Some(Ink::Muscle),
    Some(Ink::Arrow),
];

/// One of the eight ways in which cells lie beside each other.
struct Heading {
    head: char,
    shaft: char,
    step: (i32, i32),
}

/// The nearest heading of an arrow that goes so far right and down, in columns' widths.
fn heading((right, down): (f64, f64)) -> Heading {
    let (x, y) = (if right > 0.0 { 1 } else { -1 }, if down > 0.0 { 1 } else { -1 });
    // A step aslant goes one column across and two columns' width down.
    if down.abs() < right.abs() * 0.7 {
        Heading { head: if x > 0 { '→' } else { '←' }, shaft: '─', step: (x, 0) }
    } else if right.abs() < down.abs() * 0.25 {
        Heading { head: if y > 0 { '↓' } else { '↑' }, shaft: '│', step: (0, y) }
    } else {
        let (head, shaft) = match (x > 0, y > 0) {
            (true, true) => ('↘', '╲'),
            (true, false) => ('↗', '╱'),
            (false, true) => ('↙', '╱'),
            (false, false) => ('↖', '╲'),
        };
        Heading { head, shaft, step: (x, y) }
    }
}

/// Writes an arrow of line cells with a head, over what is empty.
fn point(cells: &mut Cells<Ink>, from: (f64, f64), to: (f64, f64)) {
    let Heading { head, shaft, step } = heading((to.0 - from.0, (to.1 - from.1) * 2.0));
    let steps = if step.1 == 0 { 4 } else { 2 };
    let start = (index(from.0, usize::from(cells.width())), index(from.1, usize::from(cells.height())));
    let along = |count: i32| {
        let x = i32::try_from(start.0).ok()? + step.0 * count;
        let y = i32::try_from(start.1).ok()? + step.1 * count;
        let at = (u16::try_from(x).ok()?, u16::try_from(y).ok()?);
        let cell = cells.get(at.0, at.1)?;
        matches!(cell.ink, None | Some(Ink::Mat | Ink::Thing)).then_some((at, cell))
    };
    let places: Vec<((u16, u16), InkedCell<Ink>)> = (0..=steps).filter_map(along).collect();
    let last = places.len().saturating_sub(1);
    for (index, ((x, y), cell)) in places.into_iter().enumerate() {
        let behind = if cell.glyph == '█' { cell.ink } else { cell.behind };
        let glyph = if index == last { head } else { shaft };
        cells.set(x, y, InkedCell { glyph, ink: Some(Ink::Arrow), behind });
    }
}
