//! The minutes of a closing block as one band, to scale: the same object on every screen.
//!
//! The left side runs in the upper lane, the right side in the lower one, both at once fill both.

use std::collections::BTreeMap;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;
use ratatui::widgets::Widget;

use crate::body::{Level, Seconds, Side};
use crate::catalogue::{Catalogue, FormId, Helper, Position, StretchId};
use crate::client::{Ended, Session};
use crate::planner::Plan;
use crate::session::{Live, Moment};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};

/// How far a piece has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PieceState {
    /// Still to come.
    #[default]
    Ahead,
    /// Being worked.
    Now,
    /// Behind.
    Done,
    /// Left out or broken off.
    Missed,
    /// Stopped for pain.
    Hurt,
}

impl PieceState {
    /// How a step that is over stands on the band.
    const fn over(ended: Ended, done: Self) -> Self {
        match ended {
            Ended::Done => done,
            Ended::Skipped | Ended::Withdrawn | Ended::CutOff => Self::Missed,
            Ended::Pain => Self::Hurt,
        }
    }
}

/// One stretch of time on the band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// Seconds from the start of the block.
    pub start: u32,
    /// Seconds from the start of the block.
    pub end: u32,
    /// The side, or both at once.
    pub side: Option<Side>,
    /// How the client is placed.
    pub position: Option<Position>,
    /// What is written on it.
    pub label: String,
    /// What the client answered.
    pub level: Option<Level>,
    /// How far it has come.
    pub progress: PieceState,
    /// Whether the keys are on it.
    pub chosen: bool,
    /// Whether the trainer's hands are on the client in it.
    pub hands_on: bool,
}

/// The band.
#[derive(Debug, Clone)]
pub struct Ribbon {
    /// The work, in order.
    pub pieces: Vec<Piece>,
    /// Seconds that the whole width stands for.
    pub length: u32,
    /// The moment when the client has to stand up.
    pub due: Option<u32>,
    /// From when on the minutes are free.
    pub free: Option<u32>,
    /// Where we are.
    pub now: Option<u32>,
    /// Whether the answers stand on it.
    pub levels: bool,
    /// Whether it stands back behind another one: its sides differ by shape alone.
    pub quiet: bool,
    /// The looks.
    pub theme: Theme,
}

impl Ribbon {
    /// The band of a plan.
    pub fn of_plan(plan: &Plan, catalogue: &Catalogue, theme: Theme) -> Self {
        let mut pieces: Vec<Piece> = plan
            .steps
            .iter()
            .enumerate()
            .map(|(index, step)| Piece {
                start: (step.start + step.setup).get(),
                end: step.end.get(),
                side: step.side,
                position: Some(step.position),
                label: (index + 1).to_string(),
                level: None,
                progress: PieceState::Ahead,
                chosen: false,
                hands_on: is_hands_on(catalogue, &step.stretch, &step.form),
            })
            .collect();
        if plan.massage > Seconds::ZERO {
            let start = plan.total.saturating_sub(plan.massage).get();
            pieces.push(Piece {
                start,
                end: plan.total.get(),
                side: None,
                position: pieces.last().and_then(|piece| piece.position),
                label: "massage".to_owned(),
                level: None,
                progress: PieceState::Ahead,
                chosen: false,
                hands_on: true,
            });
        }
        let budget = plan.budget.get();
        Self {
            pieces,
            length: budget.max(plan.total.get()).max(1),
            due: Some(budget),
            free: Some(plan.total.get()),
            now: None,
            levels: false,
            quiet: false,
            theme,
        }
    }

    /// The band of a block that is going on: what was done when, where it is, and what is to come.
    pub fn of_block(live: &Live, now: Moment, catalogue: &Catalogue, theme: Theme) -> Self {
        let phase = live.snapshot(now);
        let elapsed = phase.elapsed.get();
        let due = u32::try_from(i64::from(elapsed) + i64::from(phase.until_due)).unwrap_or(0);
        let timeline = live.timeline(now);
        let length = timeline.iter().map(|segment| segment.end.get()).fold(due.max(elapsed), u32::max).max(1);
        let mut position = None;
        let pieces = timeline.iter().enumerate().map(|(index, segment)| {
            position = segment.step.map_or(position, |step| Some(step.position));
            Piece {
                start: segment.start.get(),
                end: segment.end.get(),
                side: segment.step.and_then(|step| step.side),
                position,
                label: segment.step.map_or_else(|| "massage".to_owned(), |_| (index + 1).to_string()),
                level: segment.report.and_then(|report| report.level),
                progress: match segment.report {
                    _ if segment.now => PieceState::Now,
                    None if segment.left => PieceState::Missed,
                    Some(report) => PieceState::over(report.ended, PieceState::Done),
                    None => PieceState::Ahead,
                },
                chosen: false,
                hands_on: segment.step.is_none_or(|step| is_hands_on(catalogue, &step.stretch, &step.form)),
            }
        });
        Self {
            pieces: pieces.collect(),
            length,
            due: Some(due),
            free: None,
            now: Some(elapsed),
            levels: false,
            quiet: false,
            theme,
        }
    }

    /// The band of a session that took place: what was held, one after the other, with the answers.
    pub fn of_session(session: &Session, catalogue: &Catalogue, theme: Theme) -> Self {
        /// Between two steps, where the file does not say how long it took.
        const BETWEEN: u32 = 5;
        let held: u32 = session.reports.values().map(|report| report.held.get().max(1)).sum();
        let took = session.closed.map_or(0, |closed| closed.signed_duration_since(session.at).num_seconds());
        let took = u32::try_from(took).unwrap_or(0).min(session.minutes.seconds().get());
        let steps = u32::try_from(session.reports.len()).unwrap_or(1).max(1);
        let between = (took.saturating_sub(held) / steps).max(BETWEEN);
        let mut at = 0;
        let pieces: Vec<Piece> = session
            .reports
            .values()
            .enumerate()
            .map(|(index, report)| {
                let start = at + between;
                at = start + report.held.get().max(1);
                Piece {
                    start,
                    end: at,
                    side: report.side,
                    position: catalogue.form(&report.stretch, &report.form).map(|(_, form)| form.position),
                    label: (index + 1).to_string(),
                    level: report.level,
                    progress: PieceState::over(report.ended, PieceState::Ahead),
                    chosen: false,
                    hands_on: is_hands_on(catalogue, &report.stretch, &report.form),
                }
            })
            .collect();
        let budget = session.minutes.seconds().get();
        Self {
            pieces,
            length: budget.max(at),
            due: Some(budget),
            free: None,
            now: None,
            levels: true,
            quiet: false,
            theme,
        }
    }

    fn column(&self, second: u32, width: u16) -> u16 {
        let column = u64::from(second) * u64::from(width) / u64::from(self.length.max(1));
        u16::try_from(column).unwrap_or(width).min(width)
    }

    /// Columns of a piece: never none, and a gap before the next where there is room.
    fn span(&self, piece: &Piece, width: u16) -> (u16, u16) {
        let from = self.column(piece.start, width).min(width.saturating_sub(1));
        let to = self.column(piece.end, width);
        let to = if to > from + 1 { to - 1 } else { to };
        (from, to.max(from + 1))
    }

    /// A piece keeps its side's colour for life; only pain has another.
    const fn tone(piece: &Piece) -> Tone {
        match piece.progress {
            PieceState::Hurt => Tone::HandsOff,
            PieceState::Missed => Tone::Dim,
            _ => Theme::side(piece.side),
        }
    }

    /// The first column of a piece that is not behind yet.
    fn drained(&self, piece: &Piece, (from, to): (u16, u16), width: u16) -> u16 {
        match piece.progress {
            PieceState::Done => to,
            PieceState::Now => self.now.map_or(from, |now| self.column(now, width).clamp(from, to)),
            _ => from,
        }
    }

    /// One row: half cells above for left, below for right, whole for both.
    fn draw_thin(&self, area: Rect, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let due = self.column(self.due.unwrap_or(self.length), area.width);
        for x in 0..due {
            buf[(area.x + x, area.y)].set_symbol(glyphs.dot).set_style(self.theme.style(Tone::Faint));
        }
        let mut sides: BTreeMap<u16, Option<Side>> = BTreeMap::new();
        for piece in &self.pieces {
            let (from, to) = self.span(piece, area.width);
            let drained = self.drained(piece, (from, to), area.width);
            for x in from..to.min(area.width) {
                let side = match sides.get(&x) {
                    Some(&other) if other != piece.side => None,
                    _ => piece.side,
                };
                sides.insert(x, side);
                let symbol = match piece.progress {
                    PieceState::Missed => glyphs.dot,
                    PieceState::Hurt => glyphs.caution,
                    _ if x < drained => glyphs.sunk[usize::from(piece.side != Some(Side::Left))],
                    _ => glyphs.band(side),
                };
                let tone = if self.quiet { Tone::Dim } else { Self::tone(piece) };
                buf[(area.x + x, area.y)].set_symbol(symbol).set_style(self.theme.style(tone));
            }
        }
    }

    /// Two rows: the left lane above the right lane, with the numbers of the steps in them.
    fn draw_lanes(&self, area: Rect, buf: &mut Buffer) {
        self.draw_free(area, buf);
        // Where several come to lie on one column, pain is seen first and what was left out last.
        let mut pieces: Vec<&Piece> = self.pieces.iter().collect();
        pieces.sort_by_key(|piece| match piece.progress {
            PieceState::Missed => 0,
            PieceState::Ahead | PieceState::Now | PieceState::Done => 1,
            PieceState::Hurt => 2,
        });
        for piece in pieces {
            let (from, to) = self.span(piece, area.width);
            let lanes = match piece.side {
                Some(Side::Left) => 0..1,
                Some(Side::Right) => 1..2,
                None => 0..2,
            };
            for lane in lanes.clone() {
                let row = Rect { x: area.x + from, y: area.y + lane, width: to - from, height: 1 };
                let drained = self.drained(piece, (from, to), area.width) - from;
                self.draw_block(row.intersection(area), piece, drained, lane, buf);
                if lane == lanes.start {
                    self.draw_label(row.intersection(area), piece, drained, buf);
                }
            }
        }
    }

    /// One lane of a piece: solid where hands are on, grainy where the client does it alone, sunk to a line where it is
    /// behind, dots where it was not held.
    fn draw_block(&self, row: Rect, piece: &Piece, drained: u16, lane: u16, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let tone = Self::tone(piece);
        let mut style = self.theme.style(tone);
        if piece.chosen {
            style = style.add_modifier(Modifier::UNDERLINED);
        }
        for x in 0..row.width {
            let symbol = match piece.progress {
                PieceState::Missed | PieceState::Hurt => glyphs.dot,
                _ if x < drained => glyphs.sunk[usize::from(lane)],
                _ if !piece.hands_on => glyphs.half,
                _ if self.theme.ascii => glyphs.band(piece.side),
                _ => glyphs.full,
            };
            buf[(row.x + x, row.y)].set_symbol(symbol).set_style(style);
        }
    }

    /// The number of a piece in its first cells, as long as they are not behind; pain is marked always.
    fn draw_label(&self, row: Rect, piece: &Piece, drained: u16, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let columns = usize::from(row.width);
        if piece.progress == PieceState::Hurt {
            let style = self.theme.style(Tone::HandsOff);
            buf.set_stringn(row.x, row.y, glyphs.caution, columns, style);
            return;
        }
        let is_ahead = piece.progress != PieceState::Missed && drained == 0;
        if !is_ahead || text::width(&piece.label) > columns {
            return;
        }
        let mut style = self.theme.fill(Self::tone(piece));
        if piece.chosen || piece.progress == PieceState::Now {
            style = style.add_modifier(Modifier::BOLD | Modifier::UNDERLINED);
        }
        buf.set_stringn(row.x, row.y, &piece.label, columns, style);
    }

    /// Minutes that are planned for nothing.
    fn draw_free(&self, area: Rect, buf: &mut Buffer) {
        let (Some(free), Some(due)) = (self.free, self.due) else { return };
        let style = self.theme.style(Tone::Faint);
        let from = self.column(free, area.width) + 1;
        for x in from..self.column(due, area.width) {
            for lane in 0..2 {
                buf[(area.x + x, area.y + lane)].set_symbol(self.theme.glyphs().dot).set_style(style);
            }
        }
        let words = format!(" {} free ", Seconds::new(due.saturating_sub(free)));
        let until = self.column(due, area.width);
        if usize::from(until.saturating_sub(from)) >= words.len() + 2 {
            buf.set_stringn(area.x + from + 1, area.y, &words, words.len(), self.theme.style(Tone::Dim));
        }
    }

    /// The client's positions as lines of different texture, with their names.
    fn draw_positions(&self, area: Rect, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let style = self.theme.style(Tone::Dim);
        let mut groups: Vec<(Position, u16, u16)> = Vec::new();
        for piece in &self.pieces {
            let Some(position) = piece.position else { continue };
            let (from, to) = self.span(piece, area.width);
            match groups.last_mut() {
                Some((last, _, end)) if *last == position => *end = to,
                _ => groups.push((position, from, to)),
            }
        }
        for (position, from, to) in groups {
            let columns = usize::from(to.min(area.width).saturating_sub(from));
            let name = position.plain_name();
            let line = glyphs.position(position);
            let mut words = String::from(line);
            if columns >= text::width(name) + 3 {
                words = format!("{line} {name} ");
            }
            while text::width(&words) < columns {
                words.push_str(line);
            }
            buf.set_stringn(area.x + from, area.y, words, columns, style);
        }
    }

    /// Minutes on the clock of the block.
    fn draw_axis(&self, area: Rect, buf: &mut Buffer) {
        let style = self.theme.style(Tone::Dim);
        let minutes = self.length / 60;
        let each = (1..=60).find(|each| minutes / each * 4 <= u32::from(area.width)).unwrap_or(1);
        for minute in (0..=minutes).step_by(usize::try_from(each).unwrap_or(1)) {
            let x = self.column(minute * 60, area.width);
            let label = if minute == 0 { "0 min".to_owned() } else { minute.to_string() };
            let x = x.min(area.width.saturating_sub(cells(label.len())));
            buf.set_stringn(area.x + x, area.y, label, usize::from(area.width - x), style);
        }
    }

    /// The mark for now and the one for the client standing up.
    fn draw_marks(&self, area: Rect, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        let last = area.width.saturating_sub(1);
        if let Some(due) = self.due {
            let words = format!("up {}", if self.theme.ascii { "v" } else { "▾" });
            let x = self.column(due, area.width).min(last).saturating_sub(cells(text::width(&words)) - 1);
            buf.set_stringn(
                area.x + x,
                area.y,
                words,
                usize::from(area.width - x),
                self.theme.style(Tone::Dim),
            );
        }
        if let Some(now) = self.now {
            let x = self.column(now, area.width).min(last);
            buf[(area.x + x, area.y)].set_symbol(glyphs.now).set_style(self.theme.style(Tone::Strong));
        }
    }

    /// The answers above their steps: the digit and a bar of five heights, quiet unless it is a 5.
    fn draw_levels(&self, area: Rect, buf: &mut Buffer) {
        let glyphs = self.theme.glyphs();
        for piece in &self.pieces {
            let (from, to) = self.span(piece, area.width);
            let Some(level) = piece.level else { continue };
            // In ASCII the bars are numbers, too.
            let bar = if self.theme.ascii { "" } else { glyphs.levels[usize::from(level.get()) - 1] };
            let tone = if level.get() == 5 { Tone::Strong } else { Tone::Dim };
            let columns = usize::from(to.min(area.width).saturating_sub(from));
            buf.set_stringn(area.x + from, area.y, format!("{level}{bar}"), columns, self.theme.style(tone));
        }
    }

    /// The same in words, a line a piece.
    pub fn words(&self) -> Vec<String> {
        self.pieces
            .iter()
            .map(|piece| {
                let side = piece.side.map_or("both sides", Side::id);
                let level = piece.level.map(|level| format!(", level {level}")).unwrap_or_default();
                let (start, end) = (Seconds::new(piece.start), Seconds::new(piece.end));
                format!("{start} to {end}: {} {side}{level}", piece.label)
            })
            .collect()
    }
}

/// Whether hands are on the client in a form; of what nobody knows they are taken to be.
fn is_hands_on(catalogue: &Catalogue, stretch: &StretchId, form: &FormId) -> bool {
    catalogue.form(stretch, form).is_none_or(|(_, form)| form.helper == Helper::Assisted)
}

impl Ribbon {
    /// Draws it into an area.
    pub fn draw(&self, area: Rect, buf: &mut Buffer) {
        self.render(area, buf);
    }
}

/// Rows are given to the lanes first, then to positions, marks or levels, and the axis.
impl Widget for &Ribbon {
    fn render(self, area: Rect, buf: &mut Buffer) {
        let area = area.intersection(buf.area);
        if area.is_empty() {
            return;
        }
        let row = |y: u16| Rect { y: area.y + y, height: 1, ..area };
        let lanes = |y: u16| Rect { y: area.y + y, height: 2, ..area };
        match area.height {
            1 => self.draw_thin(area, buf),
            2 => self.draw_lanes(lanes(0), buf),
            3 => {
                self.draw_lanes(lanes(0), buf);
                self.draw_positions(row(2), buf);
            }
            height if !self.levels && self.now.is_none() => {
                self.draw_lanes(lanes(0), buf);
                self.draw_positions(row(2), buf);
                if height > 3 {
                    self.draw_axis(row(3), buf);
                }
            }
            height => {
                if self.levels {
                    self.draw_levels(row(0), buf);
                } else {
                    self.draw_marks(row(0), buf);
                }
                self.draw_lanes(lanes(1), buf);
                self.draw_positions(row(3), buf);
                if height > 4 {
                    self.draw_axis(row(4), buf);
                }
            }
        }
    }
}
