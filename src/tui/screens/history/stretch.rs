//! One stretch: its answers as lanes, left above right, its degrees under their weeks, and the last times.

use chrono::NaiveDate;

use crate::client::Report;
use crate::insight::HeldAgainst;
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::report_row::answer_words;
use crate::tui::words::side_words;
use crate::words::date;

use super::axis;
use super::course::{LANES, SideLane, StretchCourse, StretchLanes, YEAR, week_ends};
use super::data::HistoryData;
use super::rows::HistoryRows;
use super::year::{draw_told, mark};

/// Columns before the weeks: the side, the highest and lowest answer.
const LABELS: (u16, u16) = (14, 4);
/// Rows from which on the last times are shown.
const HIGH: u16 = 30;
/// The least rows of a lane.
const LEAST: u16 = 3;
/// The least picture.
const PICTURE: (u16, u16) = (28, 8);

/// Where everything stands, the same for every stretch at a size.
struct StretchPlaces {
    told: Rect,
    head: Option<Rect>,
    /// The lanes with their months.
    lanes: Rect,
    labels: u16,
    /// Columns of a week.
    each: u16,
    weeks: usize,
    /// Rows of a lane.
    rows: u16,
}

impl StretchPlaces {
    fn of(area: Rect, lanes: usize) -> Self {
        let is_low = area.height < 14;
        let told = match area.height {
            ..14 => 0,
            14..HIGH => 3,
            _ => 4,
        };
        let labels = if area.width < 70 { LABELS.1 } else { LABELS.0 };
        let after = if area.width < 70 { 0 } else { 8 };
        let room = area.width.saturating_sub(labels + after);
        let each = if room >= 104 { 2 } else { 1 };
        let weeks = usize::from(room / each).min(YEAR);
        let rows = match (area.height, lanes) {
            (..14, _) | (14..HIGH, 3..) => LEAST,
            (14..HIGH, _) => 4,
            _ => 5,
        };
        let head = (!is_low).then(|| canvas::top(canvas::below(area, told + 1), 1));
        let above = if is_low { 0 } else { told + 2 };
        let needed = (rows + 1) * cells(lanes) + u16::from(!is_low);
        Self {
            told: canvas::top(area, told),
            head,
            lanes: canvas::top(canvas::below(area, above), needed),
            labels,
            each,
            weeks,
            rows,
        }
    }
}

/// Draws the stretch that is marked.
pub(super) fn draw(
    area: Rect,
    (data, rows): (&HistoryData, &HistoryRows),
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) {
    let Some((row, lanes)) = &rows.lanes else {
        canvas.row(area, 0, Tone::Dim, "no stretch of that name in those days");
        return;
    };
    let course = &data.courses[rows.stretches[*row].course];
    let places = StretchPlaces::of(area, lanes.lanes.len());
    let glyphs = canvas.glyphs();
    let told: Vec<_> =
        data.told_of(course).map(|told| (mark(told, glyphs), told.sentence.as_str())).collect();
    draw_told(places.told, &told, canvas);
    let aim = data.aim.get();
    if let Some(head) = places.head {
        let x = canvas.at(head, 0, 0, Tone::Strong, &course.name);
        let words = format!("  answers, median of three weeks; dashes: the aim, {aim}");
        canvas.at(head, x, 0, Tone::Dim, &words);
    }
    for (index, lane) in lanes.lanes.iter().enumerate() {
        let area = canvas::top(canvas::below(places.lanes, cells(index) * (places.rows + 1)), places.rows);
        let shown = &lane.weeks[YEAR - places.weeks..];
        draw_lane(area, (lane, shown), (places.labels, places.each, aim), canvas);
    }
    let ends = week_ends(rows.last_day, YEAR);
    let (_, field) = canvas::split(places.lanes, places.labels, 0);
    let field = Rect { width: cells(places.weeks) * places.each, ..field };
    let under = (places.rows + 1) * cells(lanes.lanes.len()) - 1;
    axis::months(field, under, (&ends[YEAR - places.weeks..], places.each), canvas);
    let rest = canvas::below(area, places.lanes.y - area.y + under + 2);
    let y = draw_degrees(rest, (lanes, &places), data.norm_of(course, &shared.catalogue), canvas);
    let rest = canvas::below(rest, y);
    let rest = canvas::below(rest, draw_quarters(rest, (lanes, &places), aim, canvas));
    draw_last(rest, (data, course), canvas, shared);
}

/// One lane: the answers in half rows from 5 to 1, with the aim behind.
fn draw_lane(
    area: Rect,
    (lane, values): (&SideLane, &[Option<i32>]),
    (labels, each, aim): (u16, u16, u8),
    canvas: &mut Canvas<'_>,
) {
    if area.height < LEAST {
        return;
    }
    let glyphs = canvas.glyphs();
    let side = if labels == LABELS.1 {
        glyphs.side(lane.side).to_owned()
    } else {
        format!("{} {}", glyphs.side(lane.side), side_words(lane.side))
    };
    canvas.at(area, 0, 0, Theme::side(lane.side), &side);
    canvas.at(area, labels - 2, 0, Tone::Dim, "5");
    canvas.at(area, labels - 2, area.height - 1, Tone::Dim, "1");
    let (_, field) = canvas::split(area, labels, 0);
    let half = |doubled: i32| half_row(doubled, area.height);
    let columns = cells(values.len()) * each;
    let dash = if canvas.theme.ascii { glyphs.shade } else { glyphs.waiting };
    let dash = dash.repeat(usize::from(columns));
    canvas.at(field, 0, half(2 * i32::from(aim)) / 2, Tone::Faint, &dash);
    for (x, value) in (0..).step_by(usize::from(each)).zip(values) {
        let Some(half) = value.map(half) else { continue };
        let glyph = glyphs.bands[usize::from(half % 2)].repeat(usize::from(each));
        canvas.at(field, x, half / 2, Theme::side(lane.side), &glyph);
    }
    if let Some(now) = lane.now {
        let (_, after) = canvas::split(field, columns, 2);
        if after.width >= 5 {
            canvas.row(after, 0, Tone::Text, &format!("now {now}"));
        }
    }
}

/// The half row of twice an answer, where so many rows reach from 5 to 1.
fn half_row(doubled: i32, rows: u16) -> u16 {
    let last = i32::from(rows) * 2 - 1;
    u16::try_from(((10 - doubled.clamp(2, 10)) * last + 4) / 8).unwrap_or(0)
}

/// The degrees as numbers under their weeks, and where the usual one lies; returns the row behind them.
fn draw_degrees(
    area: Rect,
    (lanes, places): (&StretchLanes, &StretchPlaces),
    norm: Option<HeldAgainst>,
    canvas: &mut Canvas<'_>,
) -> u16 {
    if area.height < 2 {
        return 0;
    }
    if lanes.degrees.is_empty() {
        canvas.row(area, 0, Tone::Dim, "degrees: none noted in these weeks");
        return 2;
    }
    let usual =
        norm.map(|norm| format!("; {:.0} is the mean of a sample, no aim", norm.mean)).unwrap_or_default();
    canvas.row(area, 0, Tone::Dim, &format!("degrees, measured{usual}"));
    let (_, field) = canvas::split(area, places.labels, 0);
    let first = YEAR - places.weeks;
    let mut y = 1;
    for (lane, side) in LANES.iter().enumerate() {
        let of_lane = || lanes.degrees.iter().filter_map(|(week, sides)| Some((*week, sides[lane]?)));
        if of_lane().next().is_none() {
            continue;
        }
        let label = format!("{} {}", canvas.glyphs().side(*side), side_words(*side));
        let columns = if places.labels == LABELS.1 { 1 } else { 7 };
        canvas.at(area, 0, y, Theme::side(*side), &text::fit(&label, columns, ""));
        // The newest first, since it is the one that must not be left out; older ones as far as they stand apart.
        let mut free = field.width;
        for (week, degrees) in
            of_lane().filter(|(week, _)| *week >= first).collect::<Vec<_>>().into_iter().rev()
        {
            let words = degrees.to_string();
            let end = (cells(week - first) * places.each + places.each).max(cells(words.len()));
            if end <= free {
                let x = end - cells(words.len());
                canvas.at(field, x, y, Theme::side(*side), &words);
                free = x.saturating_sub(1);
            }
        }
        y += 1;
    }
    y + 1
}

/// All quarters, where there are more than a year's and room for them; returns the row behind them.
fn draw_quarters(
    area: Rect,
    (lanes, places): (&StretchLanes, &StretchPlaces),
    aim: u8,
    canvas: &mut Canvas<'_>,
) -> u16 {
    let needed = 2 + (LEAST + 1) * cells(lanes.lanes.len());
    if lanes.quarters.is_empty() || area.height < needed {
        return 0;
    }
    canvas.row(area, 0, Tone::Dim, "answers, median of each quarter");
    let room = usize::from(area.width.saturating_sub(places.labels + 8));
    let shown = lanes.quarters.len().min(room);
    let first = lanes.quarters.len() - shown;
    let each = cells(room / shown.max(1)).clamp(1, 3);
    for (index, lane) in lanes.lanes.iter().enumerate() {
        let area = canvas::top(canvas::below(area, 1 + cells(index) * (LEAST + 1)), LEAST);
        draw_lane(area, (lane, &lane.quarters[first..]), (places.labels, each, aim), canvas);
    }
    let (_, field) = canvas::split(area, places.labels, 0);
    axis::years(field, needed - 2, (&lanes.quarters[first..], each), canvas);
    needed
}

/// The last times, a day a row, and the picture of the stretch.
fn draw_last(
    area: Rect,
    (data, course): (&HistoryData, &StretchCourse),
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) {
    if area.height < 4 {
        return;
    }
    canvas.row(area, 0, Tone::Dim, "Last times");
    let list = canvas::below(area, 1);
    let days = course.last_days(&data.client, usize::from(list.height));
    for (y, (on, reports)) in (0..list.height).zip(&days) {
        draw_day(list, y, (*on, reports), canvas);
    }
    let (_, beside) = canvas::split(area, 78, 2);
    if beside.width < PICTURE.0 || beside.height < PICTURE.1 {
        return;
    }
    let newest = course.reports(&data.client).next_back().map(|(_, report)| report);
    if let Some((report, (_, form))) =
        newest.and_then(|report| Some((report, shared.catalogue.form(&report.stretch, &report.form)?)))
    {
        let columns = beside.width.min(46);
        canvas.picture(Rect { width: columns, ..canvas::top(beside, columns / 3) }, form, report.side);
    }
}

/// One day: answers of the sides, seconds, degrees.
fn draw_day(area: Rect, y: u16, (on, reports): (NaiveDate, &[&Report]), canvas: &mut Canvas<'_>) {
    let x = canvas.at(area, 2, y, Tone::Dim, &format!("{:>11}  ", date::short_day(on)));
    let sides = |report: &Report| {
        let level = report.level.map_or("-".to_owned(), |level| level.to_string());
        (Theme::side(report.side), format!("{:<8}  ", format!("{} {level}", side_words(report.side))))
    };
    let x = reports
        .iter()
        .map(|report| sides(report))
        .fold(x, |x, (tone, words)| canvas.at(area, x, y, tone, &words));
    let Some(first) = reports.first() else { return };
    let cycles = if first.cycles > 0 { format!("  {}x contract-relax", first.cycles) } else { String::new() };
    let degrees: Vec<String> =
        reports.iter().filter_map(|report| report.angle()).map(|angle| angle.get().to_string()).collect();
    let degrees =
        if degrees.is_empty() { String::new() } else { format!("  {} degrees", text::list(&degrees)) };
    canvas.at(area, x.max(35), y, Tone::Text, &format!("{}{cycles}{degrees}", first.held));
}

/// The last days of a stretch with what was answered, held and measured, the newest first.
pub(super) fn last_days(data: &HistoryData, course: &StretchCourse, most: usize) -> Vec<String> {
    let words = |report: &Report| {
        let angle = report.angle().map(|angle| format!(", {} degrees", angle.get())).unwrap_or_default();
        format!("{} {}, {}{angle}", side_words(report.side), answer_words(report), report.held)
    };
    let line = |(on, reports): (NaiveDate, Vec<&Report>)| {
        let values: Vec<String> = reports.into_iter().map(words).collect();
        format!("{}: {}", date::day(on), values.join("; "))
    };
    course.last_days(&data.client, most).into_iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_stands_at_the_top_of_a_lane_and_one_at_its_bottom() {
        for rows in [3, 4, 5] {
            assert_eq!((half_row(10, rows), half_row(2, rows)), (0, rows * 2 - 1));
            let all: Vec<u16> = (2..=10).rev().map(|doubled| half_row(doubled, rows)).collect();
            assert!(all.is_sorted(), "{all:?}");
        }
        // Whole answers stay apart even in three rows.
        let whole: std::collections::BTreeSet<u16> = (1..=5).map(|level| half_row(2 * level, 3)).collect();
        assert_eq!(whole.len(), 5);
    }
}
