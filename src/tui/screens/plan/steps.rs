//! The steps of a plan, a row each, and below them its minutes, what another one adds and what was left out.

use crate::catalogue::{Form, Helper};
use crate::planner::{Plan, Step, words};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::beside::beside_words;
use crate::tui::words::{dose_words, side_words};

use super::{Pane, State, worth};

/// Where the parts of a row begin: the same whatever stands in them, so that nothing jumps.
#[derive(Debug, Clone, Copy)]
struct Columns {
    start: Option<u16>,
    side: u16,
    name: u16,
    dose: u16,
    by: u16,
    load: Option<u16>,
    why: Option<u16>,
}

impl Columns {
    const fn of(width: u16) -> Self {
        match width {
            80.. => {
                Self { start: Some(4), side: 10, name: 18, dose: 50, by: 60, load: Some(66), why: Some(68) }
            }
            74.. => {
                Self { start: Some(4), side: 10, name: 18, dose: 46, by: 56, load: Some(62), why: Some(64) }
            }
            52.. => Self { start: None, side: 4, name: 12, dose: 35, by: 45, load: Some(51), why: None },
            _ => {
                let dose = if width > 28 { width - 16 } else { 12 };
                Self { start: None, side: 4, name: 6, dose, by: dose + 10, load: None, why: None }
            }
        }
    }
}

/// Rows of what is planned, what another minute adds and what was left out.
const FOOT: u16 = 3;
/// Rows of where the hands go: the longest words of the catalogue at 80 columns.
const HANDS: u16 = 2;

/// The rows of the screen's lower part: always the same ones at a size.
#[derive(Debug, Clone, Copy)]
struct Regions {
    heading: Option<u16>,
    list: Rect,
    hands: Option<u16>,
    foot: Rect,
    in_full: Rect,
}

impl Regions {
    fn of(area: Rect) -> Self {
        let rows = area.height;
        match rows {
            24.. => {
                // All about the marked step has a third of a tall screen; the rest is the list's.
                let list = (rows - 1 - FOOT - 2).saturating_sub(rows / 3).min(18);
                let foot = canvas::below(area, 1 + list + 1);
                Self {
                    heading: Some(0),
                    list: canvas::top(canvas::below(area, 1), list),
                    hands: None,
                    foot: canvas::top(foot, FOOT),
                    in_full: canvas::below(foot, FOOT + 1),
                }
            }
            11.. => Self {
                heading: None,
                list: canvas::top(area, rows - FOOT - HANDS),
                hands: Some(rows - FOOT - HANDS),
                foot: canvas::below(area, rows - FOOT),
                in_full: canvas::below(area, rows),
            },
            _ => Self {
                heading: None,
                list: canvas::top(area, rows.saturating_sub(1)),
                hands: None,
                foot: canvas::below(area, rows.saturating_sub(1)),
                in_full: canvas::below(area, rows),
            },
        }
    }
}

impl State {
    /// Draws the steps, what the minutes are used for, and the hands of the marked step, or else of the first.
    pub(super) fn draw_steps(&self, area: Rect, plan: &Plan, canvas: &mut Canvas<'_>, shared: &Shared) {
        let regions = Regions::of(area);
        let columns = Columns::of(area.width);
        if let Some(y) = regions.heading {
            draw_heading(area, y, columns, canvas);
        }
        let list = regions.list;
        let count = plan.steps.len();
        let shown = if cells(count) > list.height && list.height > 1 { list.height - 1 } else { list.height };
        let first = canvas::first_shown(self.step, count, shown);
        for (index, step) in plan.steps.iter().enumerate().skip(first).take(usize::from(shown)) {
            let row = cells(index - first);
            canvas.choice(list, row, index, index == self.step && self.pane == Pane::Steps);
            self.draw_step((list, row), (index, step), (columns, plan), canvas, shared);
        }
        let below = count.saturating_sub(first + usize::from(shown));
        if below > 0 {
            canvas.at(list, columns.name, shown, Tone::Dim, &format!("{below} more below"));
        } else if cells(count) > list.height {
            canvas.at(list, columns.name, shown, Tone::Dim, &format!("{first} more above"));
        }
        if plan.steps.is_empty() {
            let words = "Nothing in the plan yet. Mark what was trained, or add minutes with +.";
            canvas.wrapped(list, 0, Tone::Text, words);
        }
        self.draw_foot(regions.foot, plan, canvas);
        let Some((step, form)) = self.marked(shared) else { return };
        if let Some(y) = regions.hands {
            let x = canvas.at(area, 0, y, Tone::Dim, "hands  ");
            let words = format!("{} {}", canvas.glyphs().side(step.side), hands_words(form));
            let column = Rect { x: area.x + x, width: area.width.saturating_sub(x), ..area };
            canvas.wrapped_most(column, y, HANDS, Tone::Text, &words);
            canvas.at(column, 0, y, Theme::side(step.side), canvas.glyphs().side(step.side));
        } else if regions.in_full.height >= 5 {
            draw_in_full(regions.in_full, (step, form), canvas);
        }
    }

    /// What is planned and what is free, what another minute adds, what was left out; each with its key.
    fn draw_foot(&self, area: Rect, plan: &Plan, canvas: &mut Canvas<'_>) {
        canvas.row(area, 0, Tone::Text, &worth::planned_words(plan));
        let another = self.what_if.another();
        let words = another.map(|another| format!("{} minutes would add {another}", plan.minutes.get() + 1));
        let words = words.unwrap_or_default();
        canvas.spans(area, 0, 1, &[(Tone::Strong, "+"), (Tone::Text, "  "), (Tone::Text, &words)]);
        let left_out = worth::left_out_words(plan);
        let spans = [(Tone::Strong, "o"), (Tone::Text, "  left out  "), (Tone::Text, &left_out)];
        canvas.spans(area, 0, 2, &spans);
    }

    /// Draws one step.
    fn draw_step(
        &self,
        (area, y): (Rect, u16),
        (index, step): (usize, &Step),
        (columns, plan): (Columns, &Plan),
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let glyphs = canvas.glyphs();
        let is_pinned = self.choice.wishes.pinned.contains(&step.stretch);
        let x = canvas.at(area, 1, y, Tone::Dim, &format!("{:>2}", index + 1));
        canvas.at(area, x, y, Tone::Focus, if is_pinned { glyphs.pinned } else { " " });
        if let Some(x) = columns.start {
            canvas.at(area, x, y, Tone::Text, &format!("{:>5}", step.start.to_string()));
        }
        let side = if columns.name - columns.side < 8 {
            glyphs.side(step.side).to_owned()
        } else {
            step_sign(step, canvas)
        };
        canvas.at(area, columns.side, y, Theme::side(step.side), &side);
        let room = usize::from(columns.dose.saturating_sub(columns.name + 1));
        canvas.at(area, columns.name, y, Tone::Text, &text::fit(&step.name, room, glyphs.ellipsis));
        canvas.at(area, columns.dose, y, Tone::Strong, &dose_words(step.dose));
        let form = shared.catalogue.form(&step.stretch, &step.form);
        let is_alone = form.is_some_and(|(_, form)| form.helper == Helper::Client);
        canvas.at(area, columns.by, y, Tone::Text, if is_alone { "self" } else { "hands" });
        if let Some(x) = columns.load {
            let (tone, mark) = worth::load_mark(worth::load_of(step), canvas);
            canvas.at(area, x, y, tone, mark);
        }
        if let Some(x) = columns.why {
            // Where there is room for a sentence it is said whole.
            let is_wide = area.width >= x + 40;
            let words = if is_wide {
                words::why_in_plan(step, plan)
            } else {
                words::rarest_why(step, plan).to_owned()
            };
            canvas.at(area, x, y, Tone::Dim, &words);
        }
    }
}

/// A step's side, as a mark and a word.
fn step_sign(step: &Step, canvas: &Canvas<'_>) -> String {
    format!("{} {}", canvas.glyphs().side(step.side), side_words(step.side))
}

/// Where the trainer's hands go, or that there is nothing for them.
fn hands_words(form: &Form) -> &str {
    if form.helper == Helper::Client { "none: the client does this one alone" } else { &form.cues.hands }
}

fn draw_heading(area: Rect, y: u16, columns: Columns, canvas: &mut Canvas<'_>) {
    let heads = [
        (columns.start.map(|x| x + 3), "at"),
        (Some(columns.side), "side"),
        (Some(columns.name), "stretch"),
        (Some(columns.dose), "hold"),
        (Some(columns.by), "by"),
        (columns.load.map(|x| x - 2), "you"),
        (columns.why, "  why"),
    ];
    for (x, words) in heads {
        if let Some(x) = x {
            canvas.at(area, x, y, Tone::Dim, words);
        }
    }
}

/// All about a step: its picture, what is said, where the hands go, and what to watch.
fn draw_in_full(area: Rect, (step, form): (&Step, &Form), canvas: &mut Canvas<'_>) {
    let sign = step_sign(step, canvas);
    let title = format!("  {}: {}", step.name, form.name.to_lowercase());
    canvas.spans(area, 0, 0, &[(Theme::side(step.side), &sign), (Tone::Strong, &title)]);
    let about = format!("{}; {}", step.position.plain_name(), worth::load_words(step));
    canvas.row(area, 1, Tone::Dim, &about);
    let area = beside_words(canvas::below(area, 2), form, step.side, canvas);
    let cues = &form.cues;
    let said = cues.said(step.dose.method());
    let mut y = 0;
    for (what, words) in [
        ("say", said.as_str()),
        ("hands", hands_words(form)),
        ("feet", &cues.feet),
        ("back", &cues.spine),
        ("watch", &cues.watch),
    ] {
        if words.is_empty() || y >= area.height {
            continue;
        }
        canvas.at(area, 0, y, Tone::Dim, what);
        let column = Rect { x: area.x + 7, width: area.width.saturating_sub(7).min(100), ..area };
        y = canvas.wrapped(column, y, Tone::Text, words);
    }
}
