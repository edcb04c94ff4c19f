//! The steps of a plan: a row each, with the reason beside or below, and all about the chosen one.

use ratatui::layout::Rect;

use crate::planner::{Plan, Step, words};
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::words::{dose_words, side_words};

use super::{Pane, State, worth};

/// Columns of a step's start.
const START: u16 = 6;
/// Columns that a reason needs beside its step; less would be cut to a word or two.
const REASON: u16 = 18;

/// How wide the parts of a step are.
#[derive(Debug, Clone, Copy)]
struct Columns {
    names: u16,
    doses: u16,
    /// Whether each step says when it starts.
    starts: bool,
}

impl State {
    /// Draws the steps, then what there is room for: the chosen step in full, and what was left out.
    pub(super) fn draw_steps(&self, area: Rect, plan: &Plan, canvas: &mut Canvas<'_>, shared: &Shared) {
        let chosen = plan.steps.get(self.step).filter(|_| self.pane == Pane::Steps);
        // Both lines of the foot in full where there is room.
        let foot_rows = match area.height {
            20.. => 4,
            8.. => 2,
            _ => 1,
        };
        let count = cells(plan.steps.len());
        let gap = u16::from(foot_rows > 1 && area.height > count + foot_rows);
        let list = canvas::top(area, area.height.saturating_sub(foot_rows + gap));
        let names = plan.steps.iter().map(|step| text::width(&step.name)).max().unwrap_or(0).clamp(10, 40);
        let doses = plan.steps.iter().map(|step| text::width(&dose_words(step.dose))).max().unwrap_or(0);
        let doses = cells(doses).max(5);
        let names = cells(names);
        // A reason says more than a start, where there is room for one of them.
        let beside = list.width >= 20 + doses + names + REASON;
        let starts = list.width >= 20 + doses + names + START + if beside { REASON } else { 0 };
        let others = doses + if starts { 20 + START } else { 16 };
        let columns = Columns { names: names.min(list.width.saturating_sub(others)), doses, starts };
        let each = if !beside && list.height >= 2 * count { 2 } else { 1 };
        let shown = list.height / each;
        let first = canvas::first_shown(self.step, plan.steps.len(), shown);
        for (index, step) in plan.steps.iter().enumerate().skip(first).take(usize::from(shown)) {
            let row = cells(index - first) * each;
            let is_chosen = index == self.step && self.pane == Pane::Steps;
            canvas.choice(list, row, index, is_chosen);
            if is_chosen {
                let reason = Rect { y: list.y + row + each - 1, height: 1, ..list };
                canvas.buf.set_style(reason.intersection(canvas.buf.area), canvas.theme.chosen());
            }
            let (why, end) = self.draw_step(list, row, (index, step), columns, canvas);
            if beside {
                canvas.at(list, end + 2, row, Tone::Dim, &words::why(&step.why));
            } else if each > 1 {
                canvas.at(list, why, row + 1, Tone::Dim, &words::why(&step.why));
            }
        }
        if plan.steps.is_empty() {
            let words = "Nothing in the plan yet. Mark what was trained, or add minutes with +.";
            canvas.wrapped(list, 0, Tone::Text, words);
        }
        let mut rest = canvas::below(list, count * each + 1);
        let in_full = chosen.filter(|_| rest.height >= 8);
        if let Some(step) = in_full {
            rest = canvas::below(rest, draw_in_full(rest, step, canvas, shared) + 1);
        }
        if rest.height > 3 && !plan.steps.is_empty() {
            worth::draw_nearly(rest, plan, canvas);
        }
        let foot = canvas::below(area, area.height.saturating_sub(foot_rows));
        let below = plan.steps.len().saturating_sub(first + usize::from(shown));
        self.draw_foot(foot, (plan, below), chosen.filter(|_| in_full.is_none()), canvas, shared);
    }

    /// What the chosen step is, or how good the plan is; and what another minute buys.
    fn draw_foot(
        &self,
        area: Rect,
        (plan, below): (&Plan, usize),
        chosen: Option<&Step>,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let lines = area.height / 2;
        let y = if let Some(step) = chosen {
            let form =
                shared.catalogue.form(&step.stretch, &step.form).map_or("", |(_, form)| form.name.as_str());
            let load = worth::load_words(step);
            let words = format!(": {load}; {}", words::why(&step.why));
            canvas.spans(area, 0, 0, &[(Tone::Strong, form), (Tone::Text, &words)]);
            1
        } else {
            let more = text::count(below, "more step");
            let more = if below > 0 { format!("{more} below; ") } else { String::new() };
            let words = format!("{more}{}", worth::plan_words(plan));
            canvas.wrapped_most(area, 0, lines.max(1), Tone::Dim, &words)
        };
        if let Some(another) = self.what_if.another() {
            let words = format!("one more minute: {another}");
            canvas.wrapped_most(area, y, lines.max(1), Tone::Text, &words);
            canvas.spans(area, 0, y, &[(Tone::Dim, "one more minute: ")]);
        }
    }

    /// Draws one step; returns the column of its name and the one behind it.
    fn draw_step(
        &self,
        area: Rect,
        y: u16,
        (index, step): (usize, &Step),
        columns: Columns,
        canvas: &mut Canvas<'_>,
    ) -> (u16, u16) {
        let glyphs = canvas.glyphs();
        let tone = Theme::side(step.side);
        let pinned = if self.choice.wishes.pinned.contains(&step.stretch) { glyphs.pinned } else { " " };
        let x = canvas.at(area, 1, y, Tone::Dim, &format!("{:>2}", index + 1));
        let x = canvas.at(area, x, y, Tone::Focus, pinned);
        let start = if columns.starts { format!("{:>5} ", step.start.to_string()) } else { String::new() };
        let x = canvas.at(area, x, y, Tone::Text, &start);
        let side = format!("{} {:<5}", glyphs.side(step.side), side_words(step.side));
        let name = canvas.at(area, x + 1, y, tone, &side) + 2;
        let words = text::pad(&step.name, usize::from(columns.names), glyphs.ellipsis);
        let x = canvas.at(area, name, y, Tone::Text, &words);
        let dose = format!("{:>1$}", dose_words(step.dose), usize::from(columns.doses));
        let x = canvas.at(area, x + 1, y, Tone::Strong, &dose);
        if area.width <= x + 3 {
            return (name, x);
        }
        let (tone, mark) = worth::load_mark(worth::load_of(step), canvas);
        (name, canvas.at(area, x + 2, y, tone, mark))
    }
}

/// All about a step: its form, its reason, what is said and where the hands go; returns the row behind it.
fn draw_in_full(area: Rect, step: &Step, canvas: &mut Canvas<'_>, shared: &Shared) -> u16 {
    let Some((_, form)) = shared.catalogue.form(&step.stretch, &step.form) else { return 0 };
    let area = Rect { width: area.width.min(110), ..area };
    let load = worth::load_words(step);
    canvas.heading(area, 0, &form.name, &format!("{}; {load}", step.position.plain_name()));
    let mut y = canvas.wrapped(area, 1, Tone::Text, &words::why(&step.why));
    let cues = &form.cues;
    let said = cues.said(step.dose.method());
    for (what, words) in
        [("say", &said), ("hands", &cues.hands), ("spine", &cues.spine), ("watch", &cues.watch)]
    {
        if words.is_empty() || y >= area.height {
            continue;
        }
        canvas.at(area, 0, y, Tone::Dim, what);
        let column = Rect { x: area.x + 6, width: area.width.saturating_sub(6), ..area };
        y = canvas.wrapped(column, y, Tone::Dim, words);
    }
    y
}
