//! What the trainer reads while the hands are busy: phase, side, name and cues, the most important first.

use std::collections::BTreeSet;

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Side, Unit};
use crate::client::Trained;
use crate::planner::Step;
use crate::session::Snapshot;
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::digits::Digits;
use crate::tui::words::{all_about, dose_words, labels, side_words};

use super::draw::{changes_soon, stage_tone};
use super::words::{ease_off, pause_words, stage_words};
use super::{LiveSheet, State};

/// Columns of the words before the cues.
const WHAT: u16 = 6;

impl State {
    /// Draws the phase, the side, the name and as many of the cues as there is room for.
    pub(super) fn draw_cues(
        &self,
        area: Rect,
        phase: &Snapshot<'_>,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let roomy = area.height >= 18;
        // A low terminal does not show every cue, nor every key in its last row.
        let all = if !roomy && area.width >= 34 && phase.step.is_some() { "i all" } else { "" };
        draw_stage(area, 0, phase, &stage_words(phase.stage), all, canvas);
        let mut y = 1;
        let form = phase
            .step
            .and_then(|step| shared.catalogue.form(&step.stretch, &step.form))
            .map(|(_, form)| form);
        if let Some(step) = phase.step {
            y = draw_side(area, y, step.side, canvas);
            let x = cells(text::width(&step.name));
            // A name that is too long for a row has two of them, and its form is left to the key for all.
            let end = canvas.wrapped_most(area, y, 2, Tone::Strong, &step.name);
            y = end.saturating_sub(1);
            match form.map(|form| form.name.as_str()).filter(|name| !name.is_empty() && *name != step.name) {
                Some(name) if roomy => {
                    canvas.row(area, y + 1, Tone::Dim, name);
                    y += 3;
                }
                Some(name) => {
                    canvas.at(area, x.saturating_add(2), y, Tone::Dim, name);
                    y += 1;
                }
                None => y += if roomy { 2 } else { 1 },
            }
        }
        if let Some(pause) = phase
            .paused
            .filter(|_| self.sheet == LiveSheet::Nothing && self.live.stopped_for_pain().is_none())
        {
            y = canvas.wrapped(area, y, Tone::Focus, &pause_words(pause));
        }
        let column = Rect { x: area.x + WHAT, width: area.width.saturating_sub(WHAT), ..area };
        let rows = |words: &str| cells(text::wrap(&text::clean(words), usize::from(column.width)).len());
        let said =
            form.zip(phase.step).map(|(form, step)| form.cues.said(step.dose.method())).unwrap_or_default();
        let least = form.map_or(0, |form| rows(&form.cues.watch) + rows(&said) + rows(&form.cues.hands));
        if let Some((short, more)) = ease_off(phase) {
            // The second sentence is left out before a cue is cut.
            let words = format!("{short} {more}");
            let rows = cells(text::wrap(&words, usize::from(area.width)).len());
            let words = if y + rows + least > area.height { short } else { words };
            y = canvas.wrapped_most(area, y, 2, Tone::Caution, &words);
        }
        y = self.draw_question(area, y, canvas);
        let (Some(step), Some(form)) = (phase.step, form) else { return };
        let cues = &form.cues;
        // What keeps the client safe and what is said come first; what does not fit whole is left to the key for all.
        for (what, words, must) in [
            ("watch", &cues.watch, true),
            ("say", &said, true),
            ("hands", &cues.hands, true),
            ("feet", &cues.feet, false),
            ("spine", &cues.spine, false),
        ] {
            let room = area.height.saturating_sub(y);
            if words.is_empty() || room == 0 || (!must && rows(words) > room) {
                continue;
            }
            let tone = if what == "say" { Tone::Strong } else { Tone::Text };
            canvas.at(area, 0, y, Tone::Dim, what);
            y = canvas.wrapped_most(column, y, room, tone, words);
        }
        self.draw_where(canvas::below(area, y + 1), step, canvas);
    }

    /// Everything about the step, over the screen, while the block runs on.
    pub(super) fn draw_in_full(
        &self,
        area: Rect,
        (first, step): (u16, &Step),
        phase: &Snapshot<'_>,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let words = format!("{}  {}", stage_words(phase.stage), phase.left);
        let all = all_about(step, &self.restrictions, shared);
        let hidden = canvas.labelled(canvas::below(area, 3), first, &labels(all));
        let keys = if hidden > 0 { "arrows show more, i closes" } else { "i closes" };
        draw_stage(area, 0, phase, &words, keys, canvas);
        draw_banner(area, 1, step.side, canvas);
    }

    /// Where the step is felt, and what comes after the next one, where there is room for it.
    fn draw_where(&self, area: Rect, step: &Step, canvas: &mut Canvas<'_>) {
        let (columns, rows) = BodyView::SIZES[if area.height > BodyView::SIZES[1].1 { 1 } else { 2 }];
        if area.height < rows || area.width < columns {
            return;
        }
        let sides = Side::ALL.iter().filter(|side| step.side.is_none_or(|worked| worked == **side));
        let reached: BTreeSet<Unit> =
            sides.flat_map(|&side| step.muscles.iter().map(move |&muscle| Unit { muscle, side })).collect();
        let (trained, avoided) = (Trained::new(), BTreeSet::new());
        let view = BodyView { trained: &trained, reached: &reached, avoided: &avoided, plain: true };
        let (left, right) = canvas.beside_body(area, columns);
        canvas.body(canvas::top(left, rows), &view);
        if right.width < 30 {
            return;
        }
        canvas.row(right, 0, Tone::Dim, "then");
        let to_come = self.live.to_come();
        for (step, y) in to_come.zip(1..right.height.min(rows)) {
            let side = format!("{} {:<5}", canvas.glyphs().side(step.side), side_words(step.side));
            let x = canvas.at(right, 0, y, Theme::side(step.side), &side);
            let x = canvas.at(right, x + 2, y, Tone::Text, &step.name);
            canvas.at(right, x + 2, y, Tone::Dim, &dose_words(step.dose));
        }
    }
}

/// The phase in a filled row, with something at its right end.
fn draw_stage(area: Rect, y: u16, phase: &Snapshot<'_>, words: &str, beside: &str, canvas: &mut Canvas<'_>) {
    // The flash before a change: the row turns, with the bell, and turns back each second.
    let tone = if changes_soon(phase) { Tone::Caution } else { stage_tone(phase.stage) };
    let room = usize::from(area.width).saturating_sub(text::width(beside) + 1);
    let words = format!("{}{beside} ", text::pad(&format!(" {words}"), room, canvas.glyphs().ellipsis));
    fill(area, y, tone, &words, canvas);
}

/// The side in letters that can be read from the mat.
fn draw_side(area: Rect, y: u16, side: Option<Side>, canvas: &mut Canvas<'_>) -> u16 {
    if area.height >= 18 && area.width >= 44 {
        let (words, tone) = side_letters(side);
        let letters = Rect { width: Digits::size(words, 1).0, height: 5, y: area.y + y + 1, ..area };
        let letters_of = Digits { text: words, style: canvas.theme.style(tone), ascii: canvas.theme.ascii };
        (&letters_of).render(letters, canvas.buf);
        return y + 7;
    }
    draw_banner(area, y, side, canvas)
}

const fn side_letters(side: Option<Side>) -> (&'static str, Tone) {
    match side {
        Some(Side::Left) => ("LEFT", Tone::Left),
        Some(Side::Right) => ("RIGHT", Tone::Right),
        None => ("BOTH", Tone::Both),
    }
}

/// The side as a row in its colour: left begins at the left edge, right ends at the right edge, both stand in the
/// middle.
fn draw_banner(area: Rect, y: u16, side: Option<Side>, canvas: &mut Canvas<'_>) -> u16 {
    let mark = canvas.glyphs().side(side);
    let (words, tone) = side_letters(side);
    let columns = usize::from(area.width);
    let row = match side {
        Some(Side::Left) => format!(" {mark} {mark} {mark}  {words}"),
        Some(Side::Right) => format!("{:>columns$}", format!("{words}  {mark} {mark} {mark} ")),
        None => format!("{:^columns$}", format!("{mark}  {words}  {mark}")),
    };
    fill(area, y, tone, &row, canvas);
    y + 1
}

/// A row in a colour over its whole width.
fn fill(area: Rect, y: u16, tone: Tone, words: &str, canvas: &mut Canvas<'_>) {
    let inside = area.intersection(canvas.buf.area);
    if y < inside.height {
        let columns = usize::from(inside.width);
        let words = text::pad(words, columns, "");
        canvas.buf.set_stringn(inside.x, inside.y + y, words, columns, canvas.theme.fill(tone));
    }
}
