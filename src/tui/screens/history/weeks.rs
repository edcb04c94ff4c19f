//! Seconds held a week for each muscle and side: bars that stand apart, with marks and without a verdict.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use crate::body::{Muscle, Seconds, Side};
use crate::catalogue::Catalogue;
use crate::client::Client;
use crate::insight::amount::{self, Guidance, Week};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::words::date;

use super::axis;

/// How many weeks are looked at.
const WEEKS: usize = 4;
/// Columns below which a bar says nothing.
const BARS: u16 = 12;

/// What a muscle had: left and right of the last seven days and of the three weeks before.
pub(super) type Row = (Muscle, [[Week; 2]; WEEKS]);

/// The seconds of a muscle, week by week, oldest first, with the last day of each week.
pub(super) type MuscleCourse = (Muscle, Vec<(NaiveDate, [Seconds; 2])>);

/// The weeks that end with `last_day`, the best supplied muscle first.
pub(super) fn weeks(client: &Client, catalogue: &Catalogue, last_day: NaiveDate, words: &str) -> Vec<Row> {
    let mut muscles: BTreeMap<Muscle, [[Week; 2]; WEEKS]> = BTreeMap::new();
    for (index, ago) in (0..).step_by(7).take(WEEKS).enumerate() {
        let Some(end) = last_day.checked_sub_days(Days::new(ago)) else { continue };
        for (unit, week) in amount::weekly(client, catalogue, end) {
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

/// Columns of the name, and where the bars begin.
const COLUMNS: [(u16, u16); 3] = [(14, 80), (20, 38), (26, 44)];
/// Rows of a muscle's course with its heading and months.
const COURSE: u16 = 3;
/// The widest weeks of a course.
const EACH: u16 = 2;

/// Draws the last week by side, a bar a muscle on every other row, and the course of the marked muscle below.
pub(super) fn draw(
    area: Rect,
    (title, rows, course): (&str, &[Row], Option<&MuscleCourse>),
    chosen: usize,
    canvas: &mut Canvas<'_>,
) {
    let is_low = area.height < 14;
    let high = match area.height {
        ..14 => 0,
        14..30 => 2,
        _ => 5,
    };
    let below = if is_low { 0 } else { high + COURSE };
    let list = canvas::top(area, area.height.saturating_sub(below));
    draw_bars(list, (title, rows), chosen, canvas);
    if let Some((muscle, course)) = course.filter(|_| !is_low) {
        draw_course(canvas::below(area, list.height + 1), (*muscle, course, high), canvas);
    }
}

/// The bars: what both sides had, then the surplus of one.
fn draw_bars(area: Rect, (title, rows): (&str, &[Row]), chosen: usize, canvas: &mut Canvas<'_>) {
    let guidance = Guidance::default();
    let glyphs = canvas.glyphs();
    let (names, bars) = COLUMNS[usize::from(area.width >= 60) + usize::from(area.width >= 100)];
    let title = text::pad(title, usize::from(names) + 1, glyphs.ellipsis);
    let words = [(Tone::Dim, title.as_str()), (Tone::Left, " left"), (Tone::Right, "   right")];
    canvas.spans(area, 2, 0, &words);
    let (_, field) = canvas::split(area, bars, 0);
    let most = rows.iter().flat_map(|(_, weeks)| weeks[0]).map(|week| week.held).max().unwrap_or_default();
    let most = most.max(guidance.week).get().max(1);
    let marks = [guidance.least(), guidance.week];
    let at = |held: Seconds| column(held, field.width.max(1), most);
    if field.width >= BARS {
        for mark in marks {
            let words = format!("{} min", mark.get() / 60);
            canvas.at(field, at(mark).saturating_sub(cells(words.len()) - 1), 0, Tone::Dim, &words);
        }
    }
    let list = canvas::below(area, 2);
    if rows.is_empty() {
        canvas.row(list, 0, Tone::Dim, "  no muscle of that name in those weeks");
    }
    let fitting = list.height.div_ceil(2);
    let first = canvas::first_shown(chosen, rows.len(), fitting);
    for (index, (muscle, weeks)) in rows.iter().enumerate().skip(first).take(usize::from(fitting)) {
        let y = cells(index - first) * 2;
        canvas.choice(list, y, index, index == chosen);
        let tone = if index == chosen { Tone::Strong } else { Tone::Text };
        let name = text::pad(muscle.plain_name(), usize::from(names), glyphs.ellipsis);
        let mut x = canvas.at(list, 2, y, tone, &name);
        for (week, side) in weeks[0].iter().zip([Tone::Left, Tone::Right]) {
            x = canvas.at(list, x + 1, y, side, &format!("{:>6}", week.held.to_string()));
        }
        if field.width < BARS {
            continue;
        }
        for y in [y, y + 1] {
            for mark in marks {
                canvas.at(canvas::below(field, 2), at(mark), y, Tone::Faint, glyphs.end);
            }
        }
        draw_bar(canvas::below(field, 2), y, weeks[0].map(|week| at(week.held)), canvas);
    }
    let below = rows.len().saturating_sub(first + usize::from(fitting));
    if below > 0 {
        canvas.row(list, fitting * 2 - 1, Tone::Dim, &format!("    {below} more below"));
    }
}

/// What both sides had, and in its colour and half what one had more.
fn draw_bar(area: Rect, y: u16, [left, right]: [u16; 2], canvas: &mut Canvas<'_>) {
    let bands = canvas.glyphs().bands;
    let (less, more) = (left.min(right), left.max(right));
    let x = canvas.at(area, 0, y, Tone::Text, &bands[2].repeat(usize::from(less)));
    let (tone, glyph) = if left > right { (Tone::Left, bands[0]) } else { (Tone::Right, bands[1]) };
    canvas.at(area, x, y, tone, &glyph.repeat(usize::from(more - less)));
}

/// What both sides of a muscle had at least, week by week.
fn draw_course(
    area: Rect,
    (muscle, course, high): (Muscle, &[(NaiveDate, [Seconds; 2])], u16),
    canvas: &mut Canvas<'_>,
) {
    let glyphs = canvas.glyphs();
    let name = text::capitalised(muscle.plain_name());
    let each = (area.width / cells(course.len()).max(1)).clamp(1, EACH);
    let weeks = course.len().min(usize::from(area.width.saturating_sub(2) / each));
    let shown = &course[course.len() - weeks..];
    let had = |sides: &[Seconds; 2]| sides[0].min(sides[1]).get();
    let Some((when, most)) = shown.iter().map(|(end, sides)| (*end, had(sides))).max_by_key(|(_, had)| *had)
    else {
        return;
    };
    let most_words = format!("most {}, in {}", Seconds::new(most), date::short_month(when));
    let words = format!("{name}, the last {weeks} weeks: what both sides had, {most_words}");
    canvas.row(area, 0, Tone::Dim, &words);
    let (_, plot) = canvas::split(canvas::below(area, 1), 2, 0);
    for (x, (_, sides)) in (0..).step_by(usize::from(each)).zip(shown) {
        let fifths = (u64::from(had(sides)) * u64::from(high) * 5).div_ceil(u64::from(most.max(1)));
        for y in 0..high {
            let of_row = fifths.saturating_sub(u64::from(high - 1 - y) * 5).min(5);
            if let Some(step) = usize::try_from(of_row).ok().filter(|step| *step > 0) {
                // One glyph stands apart from the next where a week has two columns.
                let glyph = if step == 5 { glyphs.full } else { glyphs.levels[step - 1] };
                canvas.at(plot, x, y, Tone::Text, glyph);
            }
        }
    }
    let ends: Vec<NaiveDate> = shown.iter().map(|(end, _)| *end).collect();
    axis::months(Rect { width: cells(weeks) * each, ..plot }, high, (&ends, each), canvas);
}

/// The column of a bar that stands for `held`, where its last one stands for `most` seconds.
fn column(held: Seconds, width: u16, most: u32) -> u16 {
    let column = u64::from(held.get()) * u64::from(width - 1) / u64::from(most);
    u16::try_from(column).unwrap_or(width - 1)
}

/// The weeks as lines.
pub(super) fn lines(title: &str, rows: &[Row]) -> impl Iterator<Item = String> {
    rows.iter().map(move |(muscle, weeks)| {
        let before = least(&weeks[1]).held.get();
        let [left, right] = weeks[0].map(|week| week.held.get());
        let name = muscle.plain_name();
        format!("{name}: {title} left {left} seconds, right {right}; the week before {before}")
    })
}
