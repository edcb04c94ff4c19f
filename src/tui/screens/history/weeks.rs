//! Seconds under stretch a week for each muscle and side, against published guidance.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Muscle, Seconds, Side};
use crate::client::Client;
use crate::insight::amount::{self, Guidance, Week};
use crate::insight::habit::GuidanceShare;
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::plot::{Plot, Point};
use crate::words;

/// How many weeks are looked at.
const WEEKS: usize = 4;
/// How many weeks a muscle's course goes back at most.
pub const YEAR: usize = 52;
/// Columns below which a bar says nothing.
const BARS: u16 = 12;
/// Rows that a muscle's course needs with its heading, and the most that its plot takes.
pub const COURSE: (u16, u16) = (9, 22);

/// What a muscle had: left and right of the last seven days and of the three weeks before.
pub type Row = (Muscle, [[Week; 2]; WEEKS]);

/// The weeks that end with `last_day`, the best supplied muscle first.
pub fn weeks(client: &Client, shared: &Shared, last_day: NaiveDate, words: &str) -> Vec<Row> {
    let mut muscles: BTreeMap<Muscle, [[Week; 2]; WEEKS]> = BTreeMap::new();
    for (index, ago) in (0..).step_by(7).take(WEEKS).enumerate() {
        let Some(end) = last_day.checked_sub_days(Days::new(ago)) else { continue };
        for (unit, week) in amount::weekly(client, &shared.catalogue, end) {
            let side = usize::from(unit.side == Side::Right);
            muscles.entry(unit.muscle).or_default()[index][side] = week;
        }
    }
    let mut rows: Vec<Row> = muscles
        .into_iter()
        .filter(|(muscle, _)| text::matches(&format!("{} {}", muscle.plain_name(), muscle.id()), words))
        .collect();
    rows.sort_by_key(|(muscle, weeks)| (std::cmp::Reverse(weeks.map(|week| least(&week).held)), *muscle));
    rows
}

/// The worse supplied side.
fn least(sides: &[Week; 2]) -> Week {
    if sides[0].held <= sides[1].held { sides[0] } else { sides[1] }
}

/// Draws the weeks: the last one by side, the others by the worse supplied side. Returns the row behind them.
pub fn draw(
    area: Rect,
    (title, rows, share): (&str, &[Row], Option<GuidanceShare>),
    chosen: Option<usize>,
    canvas: &mut Canvas<'_>,
) -> u16 {
    let guidance = Guidance::default();
    let glyphs = canvas.glyphs();
    let wide = area.width >= 76;
    let names = if area.width >= 60 { 26 } else { 16 };
    let head = format!(
        "  {}   {} left  {} right  ",
        text::pad(title, names, glyphs.ellipsis),
        glyphs.side(Some(Side::Left)),
        glyphs.side(Some(Side::Right)),
    );
    let x = canvas.at(area, 0, 0, Tone::Dim, &head);
    if wide {
        canvas.at(area, x + 1, 0, Tone::Dim, "the weeks before");
    }
    let most = rows.iter().flat_map(|(_, weeks)| weeks[0]).map(|week| week.held).max().unwrap_or_default();
    let most = most.max(guidance.week).get().max(1);
    // Behind the name, the sides, the weeks before and the words.
    let (_, bars) = canvas::split(area, cells(names) + 59, 1);
    if bars.width >= BARS {
        for mark in [guidance.least(), guidance.week] {
            let words = mark.to_string();
            let x = column(mark, bars.width, most).saturating_sub(cells(words.len()) - 1);
            canvas.at(bars, x, 0, Tone::Dim, &words);
        }
    }
    let list = canvas::below(area, 1);
    let list = canvas::top(list, list.height.saturating_sub(2));
    if rows.is_empty() {
        canvas.row(list, 0, Tone::Dim, "  no muscle of that name in those weeks");
    }
    let first = canvas::first_shown(chosen.unwrap_or(0), rows.len(), list.height);
    for (index, (muscle, weeks)) in rows.iter().enumerate().skip(first).take(usize::from(list.height)) {
        let y = cells(index - first);
        if let Some(chosen) = chosen {
            canvas.choice(list, y, index, index == chosen);
        }
        let name = text::pad(muscle.plain_name(), names, glyphs.ellipsis);
        let mut x = canvas.at(list, 2, y, Tone::Text, &name);
        for (week, side) in weeks[0].iter().zip([Tone::Left, Tone::Right]) {
            x = canvas.at(list, x, y, side, &format!("{:>8}", week.held.to_string()));
        }
        if !wide {
            continue;
        }
        x += 2;
        for week in &weeks[1..] {
            x = canvas.at(list, x, y, Tone::Dim, &format!("{:>6}", least(week).held.to_string()));
        }
        let standing = least(&weeks[0]).standing(guidance);
        if list.width < x + 22 {
            continue;
        }
        canvas.at(list, x + 2, y, Tone::Good, &text::pad(standing.words(), 19, ""));
        bar(canvas::below(bars, 1), y, &weeks[0], most, canvas);
    }
    let words = words::guidance(share);
    let foot = cells(rows.len().max(1)) + 2;
    let foot = foot.min(area.height.saturating_sub(2));
    foot + canvas.wrapped(canvas::below(area, foot), 0, Tone::Dim, &words)
}

/// Seconds as a plot takes them.
fn plotted(held: Seconds) -> i32 {
    i32::try_from(held.get()).unwrap_or(i32::MAX)
}

/// The course of one muscle over the weeks, where there is room for it.
pub fn draw_course(
    area: Rect,
    (muscle, course): (Muscle, &[(NaiveDate, [Seconds; 2])]),
    canvas: &mut Canvas<'_>,
) {
    let guidance = Guidance::default();
    let points: Vec<Point> = course
        .iter()
        .flat_map(|(end, sides)| {
            Side::ALL.iter().zip(sides).map(|(side, held)| Point {
                on: *end,
                side: Some(*side),
                value: plotted(*held),
            })
        })
        .collect();
    let most = points.iter().map(|point| point.value).max().unwrap_or(0);
    let lines: Vec<(i32, String)> = [Seconds::ZERO, guidance.least(), guidance.week, guidance.plateau]
        .into_iter()
        .filter(|mark| *mark <= guidance.least() || plotted(*mark) <= most)
        .map(|mark| (plotted(mark), mark.to_string()))
        .collect();
    let high = most.max(plotted(guidance.least()));
    let weeks = text::count(course.len(), "week");
    canvas.heading(area, 0, muscle.plain_name(), &format!("held a week, the last {weeks}"));
    canvas.sides_key(area, 1);
    let plot = Plot { points: &points, low: 0, high, lines: &lines, theme: canvas.theme };
    let plot_area = canvas::top(canvas::below(area, 3), COURSE.1);
    (&plot).render(plot_area, canvas.buf);
}

/// The column of a bar that stands for `held`, where its last one stands for `most` seconds.
fn column(held: Seconds, width: u16, most: u32) -> u16 {
    let column = u64::from(held.get()) * u64::from(width - 1) / u64::from(most);
    u16::try_from(column).unwrap_or(width - 1)
}

/// Left above right in one row, with marks at the least and at the aim.
fn bar(area: Rect, y: u16, sides: &[Week; 2], most: u32, canvas: &mut Canvas<'_>) {
    if area.width < BARS {
        return;
    }
    let guidance = Guidance::default();
    let column = |held| column(held, area.width, most);
    let (left, right) = (column(sides[0].held), column(sides[1].held));
    let bands = canvas.glyphs().bands;
    for x in 0..left.max(right) {
        let (tone, glyph) = match (x < left, x < right) {
            (true, true) => (Tone::Both, bands[2]),
            (true, false) => (Tone::Left, bands[0]),
            _ => (Tone::Right, bands[1]),
        };
        canvas.at(area, x, y, tone, glyph);
    }
    for mark in [guidance.least(), guidance.week] {
        let x = column(mark);
        if x >= left.max(right) {
            let end = canvas.glyphs().end;
            canvas.at(area, x, y, Tone::Dim, end);
        }
    }
}

/// The weeks as lines.
pub fn lines(title: &str, rows: &[Row]) -> impl Iterator<Item = String> {
    rows.iter().map(move |(muscle, weeks)| {
        let standing = least(&weeks[0]).standing(Guidance::default());
        let before = least(&weeks[1]).held.get();
        let [left, right] = weeks[0].map(|week| week.held.get());
        let name = muscle.plain_name();
        format!(
            "{name}: {title} left {left} seconds, right {right}, {}; the week before {before}",
            standing.words()
        )
    })
}
