//! How the running block is drawn.

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Level, Seconds};
use crate::failure::Failure;
use crate::planner::Dose;
use crate::session::{Snapshot, Stage};
use crate::tui::canvas::{self, Canvas};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::digits::Digits;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{dose_sentence, side_words};

use super::words::{LESS, STOP, lateness_words, pause_words};
use super::{LiveSheet, State};

pub(super) const fn stage_tone(stage: Stage) -> Tone {
    match stage {
        Stage::Push { .. } => Tone::Trained,
        Stage::Relax { .. } => Tone::Good,
        Stage::Hold | Stage::Massage => Tone::Strong,
        _ => Tone::Dim,
    }
}

impl State {
    /// Draws the block at this moment.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let phase = self.live.snapshot(now.moment);
        self.draw_title(area, &phase, canvas, now);
        if let (Some(first), Some(step), LiveSheet::Nothing) = (self.in_full, phase.step, self.sheet) {
            return self.draw_in_full(canvas::below(area, 1), (first, step), &phase, canvas, shared);
        }
        let head = self.draw_head(area, &phase, canvas, shared);
        let ribbon = Ribbon::of_block(&self.live, now.moment, canvas.theme);
        if area.height < 14 || area.width < 56 {
            return self.draw_low(area, head, (&phase, &ribbon), canvas, shared);
        }
        let ribbon_rows = match area.height {
            30.. => 5,
            18.. => 4,
            _ => 2,
        };
        let gap = u16::from(area.height >= 30);
        let foot = ribbon_rows + 1 + gap;
        let top = head + gap;
        let middle = Rect { height: area.height.saturating_sub(foot + top), ..canvas::below(area, top) };
        let digits = if area.width >= 100 { area.width * 9 / 20 } else { area.width * 11 / 25 };
        let (left, right) = canvas::split(middle, digits, 3);
        draw_count(canvas::top(left, left.height.saturating_sub(1)), &phase, canvas);
        draw_levels(canvas::below(left, left.height.saturating_sub(1)), &phase, canvas);
        self.draw_cues(right, &phase, canvas, shared);
        let below = canvas::below(area, area.height.saturating_sub(foot));
        draw_next(below, &phase, canvas);
        (&ribbon).render(canvas::below(below, 1 + gap), canvas.buf);
    }

    /// The same where there is little room: the answers and what comes next have rows of their own, a question has
    /// the count's place.
    fn draw_low(
        &self,
        area: Rect,
        head: u16,
        (phase, ribbon): (&Snapshot<'_>, &Ribbon),
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        /// Columns of two digits and a gap.
        const COUNT: u16 = 17;
        let ribbon_rows = if area.height >= 16 { 2 } else { 1 };
        let foot = canvas::below(area, area.height.saturating_sub(2 + ribbon_rows));
        let middle =
            canvas::below(Rect { height: area.height.saturating_sub(2 + ribbon_rows), ..area }, head);
        if self.sheet == LiveSheet::Nothing {
            let (left, right) = canvas::split(middle, COUNT, 2);
            draw_count(left, phase, canvas);
            let still = Snapshot { paused: None, ..*phase };
            if let Some(pause) = phase.paused.filter(|_| self.live.stopped_for_pain().is_none()) {
                let row = Rect { y: area.y + 1, height: 1, ..area };
                canvas.clear(row);
                canvas.row(row, 0, Tone::Focus, &pause_words(pause));
            }
            self.draw_cues(right, &still, canvas, shared);
        } else {
            self.draw_question(middle, 0, canvas);
        }
        draw_levels(foot, phase, canvas);
        draw_next(canvas::below(foot, 1), phase, canvas);
        ribbon.render(canvas::below(foot, 2), canvas.buf);
    }

    fn draw_title(&self, area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>, now: Now) {
        /// Columns that hold what to do about being late.
        const ROOMY: u16 = 100;
        let beside = format!("step {} of {}", phase.number.max(1), phase.count);
        let name = &self.client.profile.name;
        if phase.paused.is_some() {
            // Nothing wakes the screen while the block stands still: a time of day stays true.
            let up = now.wall + chrono::TimeDelta::seconds(phase.until_due.into());
            let still = if area.width < 56 { "still" } else { "standing still" };
            let words = format!("{still}   up at {}", up.format("%H:%M"));
            return canvas.title(area, name, &beside, (Tone::Focus, &words));
        }
        let (tone, sign, words) = lateness_words(phase.lateness, canvas.glyphs());
        let mut words = format!("{sign} {words}");
        let is_late = tone == Tone::Caution;
        if is_late && area.width >= ROOMY {
            words.push_str(": m plans the rest again");
        }
        let until = Seconds::new(phase.until_due.unsigned_abs());
        let due = match (phase.until_due >= 0, is_late) {
            (true, true) => format!("due in {until}"),
            (true, false) => format!("up in {until}"),
            (false, _) => format!("{until} over"),
        };
        canvas.title(area, name, &beside, (tone, &format!("{words}   {due}")));
        if is_late {
            // Late is seen before it is read.
            let columns = cells(text::width(&words) + 3 + text::width(&due));
            let x = area.width.saturating_sub(columns);
            let badge = Rect { x: area.x + x, width: cells(text::width(&words)), height: 1, ..area };
            canvas.buf.set_style(badge.intersection(canvas.buf.area), canvas.theme.fill(Tone::Caution));
        }
    }

    /// What must be known all the time, below the title; returns the row behind it.
    fn draw_head(&self, area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>, shared: &Shared) -> u16 {
        let glyphs = canvas.glyphs();
        if let Some((what, then)) = self.pain_words(phase, shared) {
            let most = if area.height < 18 { 2 } else { 3 };
            let what = format!("{} {what}", glyphs.caution);
            let y = canvas.wrapped_most(area, 1, most, Tone::Caution, &what);
            let rows = Rect { y: area.y + 1, height: y - 1, ..area };
            canvas.buf.set_style(rows.intersection(canvas.buf.area), canvas.theme.fill(Tone::Caution));
            return canvas.wrapped_most(area, y, 2, Tone::Focus, &then);
        }
        let in_force = self.restrictions.in_force();
        let cautions = match in_force {
            [] => None,
            [caution] => {
                let words = if caution.limited.is_empty() { &caution.say } else { &caution.limited };
                Some(format!("{}: {words}", caution.title))
            }
            _ => Some(text::list(&in_force.iter().map(|caution| caution.title.clone()).collect::<Vec<_>>())),
        };
        if let Some(why) = self.outbox.failed().map(Failure::in_a_line) {
            canvas.row(area, 1, Tone::Caution, &format!("{} not saved yet: {why}", glyphs.caution));
        } else if let Some(narrowed) = self.narrowed_words() {
            canvas.row(area, 1, Tone::Caution, &format!("{} {narrowed}", glyphs.caution));
            if let (Some(cautions), 30..) = (cautions, area.height) {
                canvas.row(area, 2, Tone::Caution, &format!("{} {cautions}", glyphs.caution));
                return 3;
            }
        } else if let Some(cautions) = cautions {
            canvas.row(area, 1, Tone::Caution, &format!("{} {cautions}", glyphs.caution));
        }
        2
    }

    /// Draws the question over the block, if there is one; returns the row behind it.
    pub(super) fn draw_question(&self, area: Rect, y: u16, canvas: &mut Canvas<'_>) -> u16 {
        let (what, answers, marked) = match self.sheet {
            LiveSheet::Nothing => return y,
            LiveSheet::Less(marked) => ("What is still fine?", &LESS[..], marked),
            LiveSheet::Stop(marked) => ("STOP. Hands off.", &STOP[..], marked),
        };
        let what = if marked { "Consent taken back? Enter notes it." } else { what };
        let y = canvas.wrapped(area, y, Tone::Strong, what);
        for (index, (key, words)) in answers.iter().enumerate() {
            let x = cells(index % 2) * (area.width / 2).min(26);
            let row = y + cells(index / 2);
            canvas.spans(area, x, row, &[(Tone::Focus, key), (Tone::Text, " "), (Tone::Text, words)]);
        }
        y + 4
    }
}

/// Whether the work ends within three seconds, every other one of them.
pub(super) fn changes_soon(phase: &Snapshot<'_>) -> bool {
    phase.stage.is_work() && phase.paused.is_none() && matches!(phase.left.get(), 1 | 3)
}

/// One to five, with the answer and the aim; between two steps, the name of the one that an answer counts for.
fn draw_levels(area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
    if let Some(last) = phase.rated.filter(|_| phase.rates_last) {
        let side = last.side.map(|side| format!("{side} ")).unwrap_or_default();
        let (tone, asked) = match phase.level {
            Some(level) => (Tone::Good, format!("[{level}]")),
            None => (Tone::Dim, "1 to 5?".to_owned()),
        };
        let name = format!("  {side}{}", last.name);
        let wide = cells(text::width(&asked) + text::width(&name)).min(area.width);
        let x = (area.width - wide) / 2;
        canvas.spans(area, x, 0, &[(tone, &asked), (Tone::Dim, &name)]);
        return;
    }
    let (level, aim) = (phase.level, phase.step.map_or(Level::AIM, |step| step.aim));
    let asked = if area.width < 9 + 15 + 7 { "" } else { "1 to 5?  " };
    let wide = cells(asked.len()) + 15 + 7;
    let area = Rect { x: area.x + area.width.saturating_sub(wide) / 2, width: wide.min(area.width), ..area };
    let mut x = canvas.at(area, 0, 0, Tone::Dim, asked);
    for number in 1..=5_u8 {
        let given = level.is_some_and(|level| level.get() == number);
        let tone = if given { Tone::Good } else { Tone::Dim };
        let words = if given { format!("[{number}]") } else { format!(" {number} ") };
        x = canvas.at(area, x, 0, tone, &words);
    }
    canvas.at(area, x + 1, 0, Tone::Dim, &format!("aim {aim}"));
}

fn draw_count(area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
    let left = phase.left.get();
    let words = if left > 99 { phase.left.to_string() } else { left.to_string() };
    let words = if phase.left.get() < 10 && phase.length.get() >= 10 { format!(" {words}") } else { words };
    // The last three seconds change their looks with every second; nothing else blinks.
    let tone = if changes_soon(phase) { Tone::Caution } else { stage_tone(phase.stage) };
    let tone = if phase.paused.is_some() { Tone::Dim } else { tone };
    let digits = Digits { text: &words, style: canvas.theme.style(tone), ascii: canvas.theme.ascii };
    (&digits).render(area, canvas.buf);
}

fn draw_next(area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
    let glyphs = canvas.glyphs();
    let Some(step) = phase.next else {
        canvas.row(area, 0, Tone::Dim, "next  the client stands up");
        return;
    };
    let moves = phase.step.is_some_and(|now| now.position != step.position);
    let position =
        if moves { format!("{} {}, ", glyphs.arrow, step.position.plain_name()) } else { String::new() };
    let side = format!("{} {}", glyphs.side(step.side), side_words(step.side));
    let full = dose_sentence(step.dose);
    let taken = text::width(&position) + text::width(&side) + text::width(&step.name) + 6 + 2 + 2;
    let dose = match step.dose {
        Dose::ContractRelax(dose) if taken + text::width(&full) > usize::from(area.width) => {
            format!("contract-relax, {} times", dose.cycles)
        }
        _ => full,
    };
    canvas.spans(
        area,
        0,
        0,
        &[
            (Tone::Dim, "next  "),
            (Tone::Text, &position),
            (Theme::side(step.side), &side),
            (Tone::Text, "  "),
            (Tone::Text, &step.name),
            (Tone::Dim, ", "),
            (Tone::Dim, &dose),
        ],
    );
}
