//! The body from the front and from behind, with every muscle as a region of one outline.

use std::sync::LazyLock;

use crate::body::{Muscle, Side, Unit};

use super::cells::{Blocks, Cells, InkedCell, Tint, braille};
use super::fit::{index, middle};
use super::plane::{Vec2, vec2};

/// From where the body is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Facing {
    /// Facing the viewer: the client's left is on the viewer's right.
    Front,
    /// Seen from behind: left is left.
    Back,
}

/// What is said of a muscle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Nothing: only the outline.
    Idle,
    /// Reached, though it was not trained.
    Besides,
    /// Trained and not reached.
    Missed,
    /// Trained and reached.
    Done,
    /// To be left alone.
    Avoided,
}

impl Tint for Mark {
    fn pull(self) -> f64 {
        if self == Self::Idle { 0.0 } else { 0.6 }
    }

    fn light(self) -> f64 {
        match self {
            Self::Idle => 3.0,
            Self::Besides => 5.0,
            Self::Missed => 6.0,
            Self::Avoided => 6.5,
            Self::Done => 7.0,
        }
    }
}

/// A muscle's region on one half of a view, or a part of the outline.
#[derive(Debug, Clone, PartialEq)]
struct MuscleArea {
    facing: Option<Facing>,
    muscle: Option<Muscle>,
    is_head: bool,
    /// Lowest and highest point.
    heights: (f64, f64),
    corners: Vec<Vec2>,
}

const TEXT: &str = include_str!("body-map.csv");

/// Half the width and the height of the figure, in statures.
const HALF_WIDTH: f64 = 0.215;
const HEAD: (f64, f64, f64) = (0.936, 0.0435, 0.064);

fn areas() -> &'static [MuscleArea] {
    static AREAS: LazyLock<Vec<MuscleArea>> =
        LazyLock::new(|| TEXT.lines().skip(1).filter_map(read).collect());
    &AREAS
}

/// Reads a row; a test holds that all of them can be read.
fn read(line: &str) -> Option<MuscleArea> {
    let mut fields = line.splitn(3, ',');
    let facing = match fields.next()? {
        "front" => Some(Facing::Front),
        "back" => Some(Facing::Back),
        _ => None,
    };
    let part = fields.next()?;
    let points = fields.next()?;
    let corners: Option<Vec<Vec2>> = points
        .split_whitespace()
        .filter(|point| point.contains(';') && !points.starts_with("ellipse"))
        .map(|point| {
            let (x, y) = point.split_once(';')?;
            Some(vec2(x.parse().ok()?, y.parse().ok()?))
        })
        .collect();
    let muscle = part.parse().ok();
    let corners = corners?;
    // Two passes of corner cutting make limbs of the outline's polygons.
    let corners = if muscle.is_none() { rounded(&rounded(&corners)) } else { corners };
    let heights = corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), corner| {
        (low.min(corner.y), high.max(corner.y))
    });
    Some(MuscleArea { facing, muscle, is_head: part == "outline-head", heights, corners })
}

/// Every corner cut at a quarter and at three quarters of its sides (Chaikin 1974).
fn rounded(corners: &[Vec2]) -> Vec<Vec2> {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).flat_map(|(a, b)| [*a + (*b - *a) * 0.25, *a + (*b - *a) * 0.75]).collect()
}

/// From where to where an area covers the line at height `y`: pairs of crossings, by the even-odd rule.
fn crossings(area: &MuscleArea, y: f64) -> Vec<f64> {
    if y < area.heights.0 || y > area.heights.1 {
        return Vec::new();
    }
    let next = area.corners.iter().cycle().skip(1);
    let mut found: Vec<f64> = area
        .corners
        .iter()
        .zip(next)
        .filter(|(a, b)| (a.y <= y) != (b.y <= y))
        .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
        .collect();
    found.sort_by(f64::total_cmp);
    found
}

/// The muscles of a view from the largest to those that are drawn over others.
fn regions(facing: Facing) -> Vec<&'static MuscleArea> {
    let small = |muscle: Muscle| {
        matches!(
            muscle,
            Muscle::PectoralisMinor
                | Muscle::Piriformis
                | Muscle::LevatorScapulae
                | Muscle::QuadratusLumborum
        )
    };
    let mut regions: Vec<&MuscleArea> =
        areas().iter().filter(|area| area.facing == Some(facing) && area.muscle.is_some()).collect();
    regions.sort_by_key(|area| area.muscle.is_some_and(small));
    regions
}

/// Samples of a pixel along each side, and how many of them make it part of something.
const SAMPLES: usize = 4;
const MOST: usize = SAMPLES * SAMPLES * 9 / 20;

/// How the figure lies in its pixels: columns are as wide as half rows are high.
struct Scale {
    /// Statures a sample, across and down.
    step: Vec2,
    /// Samples left of the midline, and the foot's line from above.
    middle: f64,
    foot: f64,
    wide_head: f64,
}

impl Scale {
    fn of((width, height): (u16, u16), across: usize, down: usize) -> Self {
        let half_rows = f64::from(height) * 2.0;
        let stature = (half_rows - 0.6).min(f64::from(width) / (2.0 * HALF_WIDTH));
        let per = |pixels: usize| middle(pixels * SAMPLES) - 0.5;
        Self {
            step: vec2(1.0 / (stature * per(across)), 2.0 / (stature * per(down))),
            middle: f64::from(width) * per(across) / 2.0,
            foot: f64::from(height) * per(down) - 0.15 * per(down),
            wide_head: if height < 15 { 0.058 / HEAD.1 } else { 1.0 },
        }
    }

    /// The height of a row of samples.
    fn height(&self, row: usize) -> f64 {
        (self.foot - middle(row)) * self.step.y
    }

    /// The samples of a row between two distances from the midline, on the left half or on the right.
    fn columns(&self, (from, to): (f64, f64), is_right: bool, count: usize) -> std::ops::Range<usize> {
        let place = |x: f64| self.middle + x / self.step.x + 0.5;
        let (from, to) = if is_right { (place(from), place(to)) } else { (place(-to), place(-from)) };
        index(from, count)..index(to, count)
    }
}

/// Counts of samples in each pixel.
struct Counts {
    columns: usize,
    samples: Vec<bool>,
}

impl Counts {
    /// Marks the samples of a row.
    fn mark(&mut self, row: usize, columns: std::ops::Range<usize>) {
        let start = row * self.columns * SAMPLES;
        self.samples[start + columns.start..start + columns.end.max(columns.start)].fill(true);
    }

    /// How many samples of a pixel are marked.
    fn of(&self, column: usize, row: usize) -> usize {
        let width = self.columns * SAMPLES;
        (row * SAMPLES..(row + 1) * SAMPLES)
            .map(|line| {
                let start = line * width + column * SAMPLES;
                self.samples[start..start + SAMPLES].iter().filter(|sample| **sample).count()
            })
            .sum()
    }
}

/// A region on one half of a view, with the pixels that it has a share in.
#[derive(Debug, Clone, PartialEq)]
struct Half {
    muscle: Muscle,
    side: Side,
    /// Samples and place of each pixel.
    shares: Vec<(usize, usize)>,
}

/// One view of the body in so many cells; what is said of the muscles comes in when it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyMap {
    extent: (u16, u16),
    blocks: Blocks,
    body: Vec<bool>,
    halves: Vec<Half>,
}

impl BodyMap {
    /// Lays out a view; keep it as long as the size stays.
    pub fn of(facing: Facing, extent: (u16, u16), blocks: Blocks) -> Self {
        let (across, down) = match blocks {
            Blocks::Quadrants => (2, 2),
            Blocks::Halves => (1, 2),
            Blocks::Outlines => (2, 4),
        };
        let (columns, rows) = (usize::from(extent.0) * across, usize::from(extent.1) * down);
        let scale = Scale::of(extent, across, down);
        let lines = rows * SAMPLES;
        let blank = || Counts { columns, samples: vec![false; columns * SAMPLES * lines] };
        let pixels = || (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row)));
        let mut body = blank();
        for area in areas().iter().filter(|area| area.muscle.is_none()) {
            for line in 0..lines {
                for span in spans_of_outline(area, scale.height(line), scale.wide_head) {
                    for is_right in [false, true] {
                        body.mark(line, scale.columns(span, is_right, columns * SAMPLES));
                    }
                }
            }
        }
        let body: Vec<bool> = pixels().map(|(column, row)| body.of(column, row) > MOST).collect();
        let left_of_middle = if facing == Facing::Front { Side::Right } else { Side::Left };
        let mut halves = Vec::new();
        for (region, is_right) in
            regions(facing).into_iter().flat_map(|region| [(region, false), (region, true)])
        {
            let Some(muscle) = region.muscle else { continue };
            let mut counts = blank();
            for line in 0..lines {
                for pair in crossings(region, scale.height(line)).chunks_exact(2) {
                    counts
                        .mark(line, scale.columns((pair[0].max(0.0), pair[1]), is_right, columns * SAMPLES));
                }
            }
            let shares = pixels()
                .enumerate()
                .filter(|(at, _)| body[*at])
                .map(|(at, (column, row))| (counts.of(column, row), at))
                .filter(|(share, _)| *share > 0)
                .collect();
            let side = if is_right { left_of_middle.other() } else { left_of_middle };
            halves.push(Half { muscle, side, shares });
        }
        Self { extent, blocks, body, halves }
    }

    /// The view with what is said of each muscle.
    pub fn cells(&self, mark: impl Fn(Unit) -> Mark) -> Cells<Mark> {
        let mut cells = Cells::blank(self.extent.0, self.extent.1);
        let pixels = self.pixels(mark);
        match self.blocks {
            Blocks::Quadrants => cells.fill_quadrants(&pixels, patterned),
            Blocks::Halves => cells.fill_halves(&pixels, patterned),
            Blocks::Outlines => dots(&mut cells, &pixels),
        }
        cells
    }

    /// The mark of each pixel, row by row from the top; nothing beside the body.
    fn pixels(&self, mark: impl Fn(Unit) -> Mark) -> Vec<Option<Mark>> {
        let said: Vec<Mark> =
            self.halves.iter().map(|half| mark(Unit { muscle: half.muscle, side: half.side })).collect();
        let is_said = |half: usize| said[half] != Mark::Idle;
        let mut owners: Vec<Option<usize>> = vec![None; self.body.len()];
        for (index, half) in self.halves.iter().enumerate().filter(|(index, _)| is_said(*index)) {
            for (share, at) in &half.shares {
                if *share > MOST {
                    owners[*at] = Some(index);
                }
            }
        }
        for index in (0..self.halves.len()).filter(|index| is_said(*index)) {
            self.keep(index, &said, &mut owners);
        }
        let shown = |at: usize| owners[at].map_or(Mark::Idle, |half| said[half]);
        (0..self.body.len()).map(|at| self.body[at].then(|| shown(at))).collect()
    }

    /// Gives a region that won no pixel its best one, unless that is the only one of another that matters as much.
    fn keep(&self, index: usize, said: &[Mark], owners: &mut [Option<usize>]) {
        if owners.contains(&Some(index)) {
            return;
        }
        let is_spare = |at: usize| {
            owners[at].is_none_or(|owner| said[owner] < said[index])
                || owners.iter().filter(|owner| **owner == owners[at]).count() > 1
        };
        let shares = self.halves[index].shares.iter();
        let best = shares.filter(|(_, at)| is_spare(*at)).max_by_key(|(share, at)| (*share, usize::MAX - at));
        if let Some((_, at)) = best {
            owners[*at] = Some(index);
        }
    }
}

/// Distances from the midline between which a part of the outline covers the line at height `y`.
fn spans_of_outline(area: &MuscleArea, y: f64, wide_head: f64) -> Vec<(f64, f64)> {
    if area.is_head {
        let up = (y - HEAD.0) / HEAD.2;
        let half = (1.0 - up * up).max(0.0).sqrt() * HEAD.1 * wide_head;
        return if half > 0.0 { vec![(0.0, half)] } else { Vec::new() };
    }
    // Where the head is widened the neck is, too.
    let wider = if wide_head > 1.0 && y > 0.85 { 1.25 } else { 1.0 };
    crossings(area, y)
        .chunks_exact(2)
        .filter(|pair| pair[1] > 0.0)
        .map(|pair| (pair[0].max(0.0) * wider, pair[1] * wider))
        .collect()
}

/// Patterns beside the tones: what was missed is checked, what is to be left alone is barred.
fn patterned(mark: Option<Mark>, x: u16, y: u16) -> Option<Mark> {
    match mark {
        Some(Mark::Missed) if (x + y) % 2 == 1 => Some(Mark::Idle),
        Some(Mark::Avoided) if y % 2 == 1 => Some(Mark::Idle),
        other => other,
    }
}

/// Dots where there are no tones: the outline by every other dot, what is reached solid, the rest in patterns.
fn dots(cells: &mut Cells<Mark>, pixels: &[Option<Mark>]) {
    let (columns, rows) = (usize::from(cells.width()) * 2, usize::from(cells.height()) * 4);
    let at = |x: usize, y: usize| if x < columns && y < rows { pixels[y * columns + x] } else { None };
    let inked = |x: usize, y: usize| match at(x, y) {
        None => false,
        Some(Mark::Done) => true,
        Some(Mark::Besides) => (x + y).is_multiple_of(2),
        Some(Mark::Missed) => x.is_multiple_of(2) && y.is_multiple_of(2),
        Some(Mark::Avoided) => (x + y).is_multiple_of(3),
        Some(Mark::Idle) => {
            let edge = x == 0 || y == 0 || at(x - 1, y).is_none() || at(x, y - 1).is_none();
            let edge = edge || at(x + 1, y).is_none() || at(x, y + 1).is_none();
            edge && (x + y).is_multiple_of(2)
        }
    };
    for y in 0..cells.height() {
        for x in 0..cells.width() {
            let (left, top) = (usize::from(x) * 2, usize::from(y) * 4);
            let glyph = braille(|dx, dy| inked(left + dx, top + dy));
            if let Some(glyph) = glyph {
                let places = (0..4).flat_map(|dy| [(left, top + dy), (left + 1, top + dy)]);
                let ink = places.filter_map(|(x, y)| at(x, y)).max();
                cells.set(x, y, InkedCell { glyph, ink, behind: None });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_every_muscle_has_a_region() {
        assert_eq!(areas().len(), TEXT.lines().count() - 1);
        for &muscle in Muscle::ALL {
            assert!(areas().iter().any(|area| area.muscle == Some(muscle)), "{muscle}");
        }
    }

    #[test]
    fn regions_do_not_push_each_other_out() {
        // Every height that is drawn, as wide as a body needs.
        for extent in (8..=30).map(|rows| (rows * 22 / 25 + 2, rows)).chain([(12, 11), (20, 18), (34, 30)]) {
            for facing in [Facing::Front, Facing::Back] {
                let map = BodyMap::of(facing, extent, Blocks::Quadrants);
                for region in regions(facing) {
                    let own = |unit: Unit| {
                        if Some(unit.muscle) == region.muscle { Mark::Avoided } else { Mark::Done }
                    };
                    assert!(map.pixels(own).contains(&Some(Mark::Avoided)), "{:?} {extent:?}", region.muscle);
                }
            }
        }
    }

    #[test]
    fn what_is_said_of_a_muscle_shows_at_every_size_on_its_own_side() {
        for extent in [(12, 11), (17, 15), (20, 18), (34, 30)] {
            for blocks in [Blocks::Quadrants, Blocks::Halves, Blocks::Outlines] {
                for facing in [Facing::Front, Facing::Back] {
                    let map = BodyMap::of(facing, extent, blocks);
                    for muscle in regions(facing).iter().filter_map(|region| region.muscle) {
                        let said = Unit { muscle, side: Side::Left };
                        let cells = map.cells(|unit| if unit == said { Mark::Done } else { Mark::Idle });
                        // Whether it shows in the columns that lie so from the middle.
                        let shown = |lies: fn(usize, usize) -> bool| {
                            cells.rows().any(|row| {
                                row.iter().enumerate().any(|(x, cell)| {
                                    let here =
                                        cell.ink == Some(Mark::Done) || cell.behind == Some(Mark::Done);
                                    here && lies(2 * x + 1, row.len())
                                })
                            })
                        };
                        let (left, right) = (shown(|x, middle| x <= middle), shown(|x, middle| x >= middle));
                        let strictly = (shown(|x, middle| x < middle), shown(|x, middle| x > middle));
                        let (own, other) = match facing {
                            Facing::Front => (right, strictly.0),
                            Facing::Back => (left, strictly.1),
                        };
                        assert!(own && !other, "{muscle} {facing:?} {extent:?} {blocks:?}");
                    }
                }
            }
        }
    }
}
