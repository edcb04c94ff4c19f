//! The year: what is found, who answered higher week by week, and the last sessions.

use crate::body::Side;
use crate::insight::ClaimMark;
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::keys::Action;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{ColourDepth, Glyphs, Theme, Tone};
use crate::words::date;

use super::axis;
use super::course::{WeekLead, YEAR, week_ends};
use super::data::{HistoryData, ToldClaim};
use super::rows::{HistoryRows, StretchRow};
use super::sessions;

/// The widest line of what is found.
const WIDEST: u16 = 116;

/// Where everything stands in the year, the same for every client at a size.
struct YearPlaces {
    found: Rect,
    /// The heading with the key of the marks; none on the smallest screens.
    head: Option<Rect>,
    lanes: Rect,
    /// The last sessions with their heading.
    sessions: Rect,
    /// Columns of the names, and of each week.
    names: u16,
    each: u16,
}

impl YearPlaces {
    fn of(area: Rect) -> Self {
        let (found, gap) = match area.height {
            ..14 => (2, 0),
            14..28 => (5, 1),
            _ => (7, 2),
        };
        let (names, each) = match area.width {
            ..70 => (16, 1),
            70..110 => (24, 1),
            110..190 => (28, 1),
            _ => (30, 2),
        };
        let is_low = gap == 0;
        let rest = canvas::below(area, found + gap);
        let head = (!is_low).then(|| canvas::top(rest, 2));
        let rest = canvas::below(rest, if is_low { 0 } else { 2 });
        let ribbons = if is_low { 0 } else { (rest.height * 2 / 5).max(4) };
        let lanes = canvas::top(rest, rest.height.saturating_sub(ribbons + u16::from(!is_low)));
        let sessions = canvas::below(rest, rest.height.saturating_sub(ribbons));
        Self { found: canvas::top(area, found), head, lanes, sessions, names, each }
    }

    /// The weeks that there is room for, and their columns.
    fn field(&self, area: Rect) -> (usize, Rect) {
        let (_, field) = canvas::split(area, self.names, 0);
        let weeks = usize::from(field.width / self.each).min(YEAR);
        (weeks, Rect { width: cells(weeks) * self.each, ..field })
    }
}

/// Draws the year.
pub(super) fn draw(
    area: Rect,
    (data, rows): (&HistoryData, &HistoryRows),
    chosen: usize,
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) {
    let places = YearPlaces::of(area);
    draw_found(places.found, (data, rows), canvas);
    let ends = week_ends(rows.last_day, YEAR);
    if let Some(head) = places.head {
        draw_head(head, &places, rows, canvas);
        let (weeks, field) = places.field(head);
        axis::months(field, 1, (&ends[YEAR - weeks..], places.each), canvas);
    }
    if rows.stretches.is_empty() {
        let words = if rows.words.is_empty() {
            "no stretch in those days".to_owned()
        } else {
            format!("nothing here of `{}`", rows.words)
        };
        canvas.row(places.lanes, 0, Tone::Dim, &words);
    }
    draw_stretches(&places, (data, rows), chosen, canvas);
    draw_sessions(&places, (data, rows), chosen, canvas, shared);
}

/// What stands before a thing that was found.
pub(super) fn mark(told: &ToldClaim, glyphs: &Glyphs) -> (Tone, &'static str) {
    match told.mark {
        ClaimMark::Side(side) => (Theme::side(side), glyphs.side(side)),
        ClaimMark::Dot => (Tone::Dim, glyphs.dot),
    }
}

/// What is found, each a whole sentence; how many there is no room for is said.
fn draw_found(area: Rect, (data, rows): (&HistoryData, &HistoryRows), canvas: &mut Canvas<'_>) {
    let glyphs = canvas.glyphs();
    let due = data.due.iter().map(|due| ((Tone::Caution, glyphs.caution), due.as_str()));
    let told = data.of_the_year().map(|told| (mark(told, glyphs), told.sentence.as_str()));
    let remark = data.remark.iter().map(|remark| ((Tone::Dim, glyphs.dot), remark.as_str()));
    let mut all: Vec<((Tone, &str), &str)> = due.chain(told).chain(remark).collect();
    all.retain(|(_, words)| rows.words.is_empty() || text::matches(words, &rows.words));
    if all.is_empty() {
        canvas.row(area, 0, Tone::Dim, "nothing stands out; i shows everything");
    }
    draw_told(area, &all, canvas);
}

/// Draws sentences with their marks, as many as there is room for.
pub(super) fn draw_told(area: Rect, all: &[((Tone, &str), &str)], canvas: &mut Canvas<'_>) {
    let column = Rect { x: area.x + 2, width: area.width.saturating_sub(2).min(WIDEST), ..area };
    let mut y = 0;
    for (index, ((tone, mark), words)) in all.iter().enumerate() {
        let lines = cells(text::wrap(&text::clean(words), usize::from(column.width)).len());
        let left = all.len() - index;
        let room = area.height.saturating_sub(y + u16::from(left > 1));
        if lines > room && index > 0 {
            return canvas.row(area, y, Tone::Dim, &format!("{} {left} more: i", canvas.glyphs().dot));
        }
        canvas.at(area, 0, y, *tone, mark);
        y = canvas.wrapped_most(column, y, lines.min(room.max(1)), Tone::Text, words);
    }
}

/// What the marks of the weeks mean.
fn draw_head(area: Rect, places: &YearPlaces, rows: &HistoryRows, canvas: &mut Canvas<'_>) {
    let glyphs = canvas.glyphs();
    let title = if rows.is_latest {
        "Who answered higher, by week".to_owned()
    } else {
        format!("Who answered higher, to {}", date::short_day(rows.last_day))
    };
    let [much_left, much_right, left, right] = lead_glyphs(canvas.theme);
    let key = [
        (Tone::Left, much_left),
        (Tone::Dim, " left  "),
        (Tone::Right, much_right),
        (Tone::Dim, " right  "),
        (Tone::Left, left),
        (Tone::Right, right),
        (Tone::Dim, " a little  "),
        (Tone::Dim, glyphs.dot),
        (Tone::Dim, " even"),
    ];
    canvas.row(area, 0, Tone::Dim, &title);
    let (_, field) = places.field(area);
    let wide = cells(key.iter().map(|(_, words)| text::width(words)).sum());
    let (_, beside) = canvas::split(area, places.names + field.width, 2);
    let end = if beside.width > 0 { places.names + field.width } else { area.width };
    let x = end.saturating_sub(wide).max(cells(title.len()) + 1);
    canvas.spans(area, x, 0, &key);
    if beside.width >= COUNTS {
        canvas.at(beside, 0, 0, Tone::Dim, "higher in weeks");
        canvas.at(beside, 0, 1, Tone::Dim, " left right  even   last done");
    }
}

/// Columns of what stands behind the weeks.
const COUNTS: u16 = 30;

/// Left and right by an answer or more, and by less. Without colour, bars of one row and the next would be one.
const fn lead_glyphs(theme: Theme) -> [&'static str; 4] {
    let glyphs = theme.glyphs();
    let bands = [glyphs.bands[0], glyphs.bands[1]];
    let has_colour = !matches!(theme.depth, ColourDepth::None);
    let much = if has_colour && !theme.ascii { bands } else { [glyphs.sides[0], glyphs.sides[1]] };
    let little = if theme.ascii { bands } else { glyphs.sunk };
    [much[0], much[1], little[0], little[1]]
}

/// The mark of a week.
fn lead_mark(lead: WeekLead, theme: Theme) -> Option<(Tone, &'static str)> {
    let [much_left, much_right, left, right] = lead_glyphs(theme);
    let glyph = match lead {
        WeekLead::Nothing => return None,
        WeekLead::AtOnce => return Some((Tone::Both, theme.glyphs().dot)),
        WeekLead::Even => return Some((Tone::Dim, theme.glyphs().dot)),
        WeekLead::Higher { side: Side::Left, is_much: true } => much_left,
        WeekLead::Higher { side: Side::Left, is_much: false } => left,
        WeekLead::Higher { side: Side::Right, is_much: true } => much_right,
        WeekLead::Higher { side: Side::Right, is_much: false } => right,
    };
    let WeekLead::Higher { side, .. } = lead else { return None };
    Some((Theme::side(Some(side)), glyph))
}

/// A row a stretch, a column a week; an empty row between two where there is room for all of them so.
fn draw_stretches(
    places: &YearPlaces,
    (data, rows): (&HistoryData, &HistoryRows),
    chosen: usize,
    canvas: &mut Canvas<'_>,
) {
    let count = rows.stretches.len();
    let step = if usize::from(places.lanes.height) + 1 >= 2 * count { 2 } else { 1 };
    let fitting = places.lanes.height.div_ceil(step);
    let first = canvas::first_shown(chosen.min(count.saturating_sub(1)), count, fitting);
    for (index, row) in rows.stretches.iter().enumerate().skip(first).take(usize::from(fitting)) {
        let y = cells(index - first) * step;
        canvas.choice(places.lanes, y, index, index == chosen);
        let tone = if index == chosen { Tone::Strong } else { Tone::Text };
        let columns = usize::from(places.names) - 4;
        let name = text::fit(&data.courses[row.course].name, columns, canvas.glyphs().ellipsis);
        canvas.at(places.lanes, 2, y, tone, &name);
        if row.is_at_once {
            let both = canvas.glyphs().side(None);
            canvas.at(places.lanes, places.names - 2, y, Tone::Both, both);
        }
        let (weeks, field) = places.field(places.lanes);
        let shown = &row.weeks[YEAR - weeks..];
        for (x, lead) in (0..).step_by(usize::from(places.each)).zip(shown) {
            let Some((tone, glyph)) = lead_mark(*lead, canvas.theme) else { continue };
            let is_bar = matches!(lead, WeekLead::Higher { .. });
            let times = if is_bar { usize::from(places.each) } else { 1 };
            canvas.at(field, x, y, tone, &glyph.repeat(times));
        }
        draw_counts(canvas::split(places.lanes, places.names + field.width, 2).1, y, row, canvas);
    }
}

/// In how many weeks either side was answered higher, and when it was done last.
fn draw_counts(area: Rect, y: u16, row: &StretchRow, canvas: &mut Canvas<'_>) {
    if area.width < COUNTS {
        return;
    }
    let last = row.last.map(date::short_day).unwrap_or_default();
    if row.is_at_once {
        canvas.at(area, 1, y, Tone::Dim, "both at once");
    } else {
        let [left, right, even] = counts(row);
        let words = [
            (Tone::Left, format!("{left:>5}")),
            (Tone::Right, format!("{right:>6}")),
            (Tone::Dim, format!("{even:>6}")),
        ];
        words.iter().fold(0, |x, (tone, words)| canvas.at(area, x, y, *tone, words));
    }
    canvas.at(area, 19, y, Tone::Dim, &format!("{last:>11}"));
}

/// The weeks in which left was answered higher, right was, and neither.
pub(super) fn counts(row: &StretchRow) -> [usize; 3] {
    let of = |is: fn(&WeekLead) -> bool| row.weeks.iter().filter(|week| is(week)).count();
    [
        of(|week| matches!(week, WeekLead::Higher { side: Side::Left, .. })),
        of(|week| matches!(week, WeekLead::Higher { side: Side::Right, .. })),
        of(|week| *week == WeekLead::Even),
    ]
}

/// The last sessions as ribbons, the newest at the bottom.
fn draw_sessions(
    places: &YearPlaces,
    (data, rows): (&HistoryData, &HistoryRows),
    chosen: usize,
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) {
    let recent = rows.last_sessions();
    if places.sessions.height < 2 || recent.is_empty() {
        return;
    }
    canvas.row(places.sessions, 0, Tone::Dim, "Last sessions");
    let list = canvas::below(places.sessions, 1);
    let fitting = list.height.div_ceil(2);
    let stretches = rows.stretches.len();
    let marked = chosen.checked_sub(stretches);
    let first = canvas::first_shown(marked.unwrap_or(recent.len() - 1), recent.len(), fitting);
    let shown: Vec<_> = recent.iter().skip(first).take(usize::from(fitting)).collect();
    let longest = sessions::longest(shown.iter().filter_map(|place| data.session(**place)));
    let (_, field) = places.field(list);
    for (index, place) in shown.into_iter().enumerate() {
        let Some(session) = data.session(*place) else { continue };
        let row = Rect { y: list.y + cells(index) * 2, height: 1, ..list };
        let index = first + index;
        canvas.target(row, 0, Action::Pick(stretches + index));
        if marked == Some(index) {
            canvas.chosen(row, 0);
        }
        let places = (places.names, field.width);
        sessions::draw_ribbon(row, (session, longest), places, canvas, (shared, data.today));
    }
}
