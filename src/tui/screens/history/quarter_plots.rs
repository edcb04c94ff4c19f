//! The plots of the quarterly talk: a column a quarter, a mark or a height in it.

use std::collections::BTreeMap;

use crate::body::{Muscle, Side};
use crate::insight::quarters::{ByQuarter, DegreesByQuarter, Quarter, QuarterValues, Quarters};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};

use super::axis;

/// Columns of the names on the left of a plot.
const NAMES: u16 = 18;
/// Degrees within which healthy sides differ on average, in tenths.
const HEALTHY: i32 = 30;
/// Columns of the side and the numbers on the left of a plot of degrees.
const DEGREES: u16 = 7;
/// Rows from which on a plot of degrees shows lowest and highest, too.
const SPREAD_ROWS: u16 = 5;
/// Rows of the plot of left less right.
const APART_ROWS: u16 = 5;

/// Where quarters stand in a plot: the last ones, as many as there are columns for, wider apart where there is room.
struct QuarterAxis<'q> {
    quarters: &'q [Quarter],
    each: u16,
}

impl<'q> QuarterAxis<'q> {
    fn new(all: &'q [Quarter], width: u16) -> Self {
        let shown = all.len().min(usize::from(width)).max(1);
        let each = (width / cells(shown)).clamp(1, 6);
        Self { quarters: &all[all.len().saturating_sub(shown)..], each }
    }

    /// The quarters with their columns.
    fn columns(&self) -> impl Iterator<Item = (u16, Quarter)> {
        (0..).step_by(usize::from(self.each)).zip(self.quarters.iter().copied())
    }

    /// Writes the years under their first quarters.
    fn draw(&self, area: Rect, y: u16, canvas: &mut Canvas<'_>) {
        axis::years(area, y, (self.quarters, self.each), canvas);
    }
}

/// The part of an area right of the names.
fn field(area: Rect, names: u16) -> Rect {
    canvas::split(area, names, 0).1
}

/// The row of a value between the lowest and the highest.
fn row_of(value: i32, (low, high): (i32, i32), rows: u16) -> u16 {
    let (span, last) = ((high - low).max(1), i32::from(rows.saturating_sub(1)));
    let row = ((high - value.clamp(low, high)) * last + span / 2) / span;
    u16::try_from(row).unwrap_or(0)
}

/// Degrees by quarter, a lane a side: the error of measuring behind, the norm at the edge; then left less right.
pub(super) fn degrees(
    area: Rect,
    degrees: &DegreesByQuarter,
    quarters: &Quarters,
    canvas: &mut Canvas<'_>,
) -> u16 {
    let rows = (area.height.saturating_sub(APART_ROWS + 6) / 3).clamp(3, 7);
    let norm = degrees.norm.map(|(range, _)| range);
    let values = || degrees.sides.iter().flat_map(BTreeMap::values);
    let ends = || values().flat_map(|values| values.range).chain(norm.into_iter().flatten());
    let (Some(low), Some(high)) = (ends().min(), ends().max()) else { return 1 };
    let range = (low.div_euclid(100) * 100, high.div_euclid(100) * 100 + 100);
    let axis = QuarterAxis::new(&quarters.all, field(area, DEGREES).width.saturating_sub(2));
    for &side in Side::ALL {
        let place = canvas::below(area, (rows + 1) * u16::from(side == Side::Right));
        draw_side(canvas::top(place, rows), (degrees, side, range), &axis, canvas);
    }
    axis.draw(field(area, DEGREES), 2 * rows + 1, canvas);
    let y = 2 * rows + 3;
    draw_apart(canvas::below(area, y), degrees, &axis, canvas);
    y + APART_ROWS + 2
}

/// The medians of one side in half rows, with lowest and highest where there are rows for them.
fn draw_side(
    area: Rect,
    (degrees, side, range): (&DegreesByQuarter, Side, (i32, i32)),
    axis: &QuarterAxis<'_>,
    canvas: &mut Canvas<'_>,
) {
    let glyphs = canvas.glyphs();
    let (rows, tone) = (area.height, Theme::side(Some(side)));
    canvas.at(area, 0, 0, tone, glyphs.side(Some(side)));
    for value in [range.0, range.1] {
        canvas.at(area, 2, row_of(value, range, rows), Tone::Dim, &format!("{:>4}", value / 10));
    }
    let plot = field(area, DEGREES);
    let columns = |from: i32, to: i32| row_of(to, range, rows)..=row_of(from, range, rows);
    for (x, quarter) in axis.columns() {
        let Some(values) = degrees.sides[side as usize].get(&quarter) else { continue };
        for y in columns(values.median - degrees.error, values.median + degrees.error) {
            canvas.at(plot, x, y, Tone::Faint, glyphs.shade);
        }
        // Few rows would hold nothing but lowest and highest.
        if rows >= SPREAD_ROWS {
            for y in columns(values.range[0], values.range[1]) {
                canvas.at(plot, x, y, Tone::Dim, glyphs.dot);
            }
        }
        // One value alone is no more than a hint.
        let tone = if values.count < 2 { Tone::Dim } else { tone };
        let half = row_of(values.median, range, 2 * rows);
        canvas.at(plot, x, half / 2, tone, glyphs.bands[usize::from(half % 2)]);
    }
    if let Some(([low, high], _)) = degrees.norm {
        for y in columns(low, high) {
            canvas.at(plot, plot.width.saturating_sub(1), y, Tone::Dim, glyphs.half);
        }
    }
}

/// Left less right, with the strip within which healthy sides differ on average.
fn draw_apart(area: Rect, degrees: &DegreesByQuarter, axis: &QuarterAxis<'_>, canvas: &mut Canvas<'_>) {
    let glyphs = canvas.glyphs();
    canvas.row(area, 0, Tone::Dim, "left less right; shaded: within 3, as in most");
    let plot = Rect { height: APART_ROWS, ..canvas::below(field(area, DEGREES), 1) };
    let most = degrees.apart.values().map(|values| values.median.abs()).max().unwrap_or(0).max(HEALTHY);
    let range = (-most, most);
    for value in [range.0, 0, range.1] {
        let words = format!("{:>4}", value / 10);
        canvas.at(area, 2, 1 + row_of(value, range, APART_ROWS), Tone::Dim, &words);
    }
    for (x, quarter) in axis.columns() {
        for y in row_of(HEALTHY, range, APART_ROWS)..=row_of(-HEALTHY, range, APART_ROWS) {
            canvas.at(plot, x, y, Tone::Faint, glyphs.shade);
        }
        let Some(values) = degrees.apart.get(&quarter) else { continue };
        // The smaller angle is the tighter side.
        let side = match values.median {
            median if median < -HEALTHY => Some(Side::Left),
            median if median > HEALTHY => Some(Side::Right),
            _ => None,
        };
        let y = row_of(values.median, range, APART_ROWS);
        canvas.at(plot, x, y, Theme::side(side), glyphs.point(side));
    }
}

/// A row a muscle, a mark a quarter, with words behind it; returns the row behind it.
fn draw_muscles(
    area: Rect,
    head: &str,
    rows: &[(Muscle, String)],
    quarters: &Quarters,
    mark: impl Fn(usize, Quarter) -> Option<(Tone, &'static str)>,
    canvas: &mut Canvas<'_>,
) -> u16 {
    let head = canvas.wrapped(area, 0, Tone::Dim, head);
    let counts = rows.iter().map(|(_, words)| text::width(words)).max().unwrap_or(0);
    let room = area.width.saturating_sub(NAMES + cells(counts) + 1);
    let axis = QuarterAxis::new(&quarters.all, room);
    let plot = Rect { width: room, ..field(area, NAMES) };
    axis.draw(plot, head, canvas);
    let most = area.height.saturating_sub(head + 3).min(cells(rows.len()));
    for (index, (muscle, words)) in rows.iter().enumerate().take(usize::from(most)) {
        let y = head + cells(index) + 1;
        let name = text::fit(muscle.plain_name(), usize::from(NAMES) - 2, canvas.glyphs().ellipsis);
        canvas.row(area, y, Tone::Text, &name);
        for (x, quarter) in axis.columns() {
            if let Some((tone, glyph)) = mark(index, quarter) {
                canvas.at(plot, x, y, tone, glyph);
            }
        }
        canvas.right(area, y, Tone::Dim, words);
    }
    head + most + 2
}

/// Sums of all quarters.
fn sums<const N: usize>(all: &ByQuarter<[u32; N]>) -> [u32; N] {
    all.values().fold([0; N], |mut sums, counts| {
        sums.iter_mut().zip(counts).for_each(|(sum, count)| *sum += count);
        sums
    })
}

/// Which side was answered higher, a row a muscle; returns the row behind the plot.
pub(super) fn answers(area: Rect, quarters: &Quarters, canvas: &mut Canvas<'_>) -> u16 {
    let glyphs = canvas.glyphs();
    let rows: Vec<(Muscle, String)> = quarters
        .answers
        .iter()
        .map(|answers| {
            let [left, right, _] = sums(&answers.answers);
            (answers.muscle, format!("{left}:{right}"))
        })
        .collect();
    let mark = |index: usize, quarter: Quarter| {
        let [left, right, _] = *quarters.answers[index].answers.get(&quarter)?;
        let side = match left.cmp(&right) {
            std::cmp::Ordering::Greater => Some(Side::Left),
            std::cmp::Ordering::Less => Some(Side::Right),
            std::cmp::Ordering::Equal => return Some((Tone::Dim, glyphs.dot)),
        };
        Some((Theme::side(side), glyphs.band(side)))
    };
    let head = format!(
        "Who answered higher more often, by quarter: {} left, {} right, {} as often; left:right",
        glyphs.band(Some(Side::Left)),
        glyphs.band(Some(Side::Right)),
        glyphs.dot
    );
    draw_muscles(area, &head, &rows, quarters, mark, canvas)
}

/// A height for a part of a whole; nothing for none.
fn height(part: u32, whole: u32, canvas: &Canvas<'_>) -> &'static str {
    let glyphs = canvas.glyphs();
    match (5 * part).div_ceil(whole.max(1)) {
        0 => glyphs.dot,
        step => glyphs.levels[(step as usize).min(5) - 1],
    }
}

/// How much of what was trained was stretched, a row a muscle; returns the row behind the plot.
pub(super) fn work(area: Rect, quarters: &Quarters, canvas: &mut Canvas<'_>) -> u16 {
    let trained: Vec<_> = quarters.work.iter().filter(|work| !work.sessions.is_empty()).collect();
    let rows: Vec<(Muscle, String)> = trained
        .iter()
        .map(|work| {
            let [trained, stretched] = sums(&work.sessions);
            (work.muscle, format!("{stretched} / {trained}"))
        })
        .collect();
    let marks: Vec<ByQuarter<&'static str>> = trained
        .iter()
        .map(|work| {
            let mark = |(&at, &[trained, stretched]): (&Quarter, &[u32; 2])| {
                (at, height(stretched.min(trained), trained, canvas))
            };
            work.sessions.iter().map(mark).collect()
        })
        .collect();
    let head = "How much of what was trained was stretched, in fifths, by quarter; sessions that stretched / trained it";
    let mark = |index: usize, quarter: Quarter| Some((Tone::Text, *marks[index].get(&quarter)?));
    draw_muscles(area, head, &rows, quarters, mark, canvas)
}

/// Seconds a week, a row a muscle; returns the row behind the plot.
pub(super) fn seconds(area: Rect, quarters: &Quarters, canvas: &mut Canvas<'_>) -> u16 {
    let median = |values: Option<&QuarterValues>| values.map_or(0, |values| values.median.unsigned_abs());
    let both = |sides: &[ByQuarter<QuarterValues>; 2], at: Quarter| {
        median(sides[0].get(&at)) + median(sides[1].get(&at))
    };
    let is_known = |sides: &[ByQuarter<QuarterValues>; 2]| quarters.all.iter().any(|&at| both(sides, at) > 0);
    let worked: Vec<_> = quarters.work.iter().filter(|work| is_known(&work.seconds)).collect();
    let most = worked.iter().flat_map(|work| quarters.all.iter().map(|&at| both(&work.seconds, at))).max();
    let rows: Vec<(Muscle, String)> = worked
        .iter()
        .map(|work| {
            let last = quarters.all.last().map_or(0, |&at| both(&work.seconds, at));
            (work.muscle, format!("{last} s"))
        })
        .collect();
    let most = most.unwrap_or(0);
    let marks: Vec<ByQuarter<&'static str>> = worked
        .iter()
        .map(|work| {
            let known =
                quarters.all.iter().filter(|at| work.seconds.iter().any(|side| side.contains_key(at)));
            known.map(|&at| (at, height(both(&work.seconds, at), most, canvas))).collect()
        })
        .collect();
    let head = format!(
        "Seconds held a week, left and right together: median of the weeks with a session, in fifths of {most} s; \
         this quarter"
    );
    let mark = |index: usize, quarter: Quarter| Some((Tone::Text, *marks[index].get(&quarter)?));
    draw_muscles(area, &head, &rows, quarters, mark, canvas)
}
