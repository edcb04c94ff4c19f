//! What the minutes are worth: what was left out and what it would cost, what other minutes would give, and the
//! load on the trainer's own back.

use std::collections::BTreeMap;

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::client::Meters;
use crate::planner::{Plan, Step, WhyLeftOut};
use crate::strain::{LoadGrade, words as load_words};
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::field::{Field, FieldView};
use crate::tui::words::day_words;

use super::State;
use super::draw::omissions;
use super::what_if::Cost;

/// The load of a step on the trainer; none where no hands are needed.
pub fn load_of(step: &Step) -> Option<LoadGrade> {
    step.load.as_ref().map(|load| load.grade)
}

/// The mark of a load, with its tone: the higher, the heavier.
pub fn load_mark(load: Option<LoadGrade>, canvas: &Canvas<'_>) -> (Tone, &'static str) {
    let levels = canvas.glyphs().levels;
    match load {
        None => (Tone::Dim, " "),
        Some(LoadGrade::Light) => (Tone::Dim, levels[1]),
        Some(LoadGrade::Moderate) => (Tone::Dim, levels[2]),
        Some(LoadGrade::Heavy) => (Tone::Caution, levels[3]),
        Some(LoadGrade::TooHeavy) => (Tone::Caution, levels[4]),
    }
}

/// The load of a step on the trainer, in words; with the kilograms where they are worth a word.
pub fn load_words(step: &Step) -> String {
    let Some(load) = &step.load else { return "no load on you".to_owned() };
    let kilograms = load_words::kilograms_words(load).map(|words| format!(", {words}")).unwrap_or_default();
    format!("{} on you{kilograms}", load.grade.plain_name())
}

/// The trainer's minutes of a plan.
pub fn minutes_of(plan: &Plan) -> Meters {
    let loads = plan.steps.iter().filter_map(|step| Some((step, step.load.as_ref()?)));
    loads.map(|(step, load)| load.meters(step.dose.held(), step.setup)).sum()
}

/// What was left out although it was wanted, by the reason.
pub fn grouped(plan: &Plan) -> Vec<(Tone, &str, Vec<String>)> {
    let mut groups: Vec<(Tone, &str, Vec<String>)> = Vec::new();
    for left in omissions(plan)
        .into_iter()
        .filter(|left| !matches!(left.reason, WhyLeftOut::NotNeeded | WhyLeftOut::Enough))
    {
        let tone = if left.reason == WhyLeftOut::Caution { Tone::Caution } else { Tone::Dim };
        match groups.iter_mut().find(|(_, detail, _)| *detail == left.detail) {
            Some((_, _, names)) => names.push(left.name.clone()),
            None => groups.push((tone, &left.detail, vec![left.name.clone()])),
        }
    }
    groups
}

/// How many stretches were left out, by the kind of reason.
pub fn left_out_words(plan: &Plan) -> String {
    let mut counts: BTreeMap<usize, (&str, usize)> = BTreeMap::new();
    for left in &plan.left_out {
        let (rank, words) = match left.reason {
            WhyLeftOut::Caution => (0, "for a caution"),
            WhyLeftOut::Equipment => (1, "for want of equipment"),
            WhyLeftOut::Consent => (2, "for consent"),
            WhyLeftOut::Pain => (3, "for pain last time"),
            WhyLeftOut::You => (4, "for your own sake"),
            WhyLeftOut::Skipped => (5, "by you"),
            WhyLeftOut::Time(_) => (6, "for time"),
            WhyLeftOut::NotNeeded | WhyLeftOut::Enough => continue,
        };
        counts.entry(rank).or_insert((words, 0)).1 += 1;
    }
    let parts: Vec<String> = counts.values().map(|(words, count)| format!("{count} {words}")).collect();
    if parts.is_empty() { "nothing left out".to_owned() } else { format!("left out: {}", parts.join(", ")) }
}

/// How good a plan is, what it leaves out and what it asks of the trainer.
pub fn plan_words(plan: &Plan) -> String {
    let proof = if plan.is_proven() {
        "nothing better fits".to_owned()
    } else {
        let gap = plan.gap();
        format!("best so far; none is over {}.{:02} % better", gap / 100, gap % 100)
    };
    format!("{proof}; {}; {}", left_out_words(plan), day_words(&minutes_of(plan)))
}

impl State {
    /// The list of what was left out, with what putting it in would cost.
    pub(super) fn draw_left_out(&self, area: Rect, canvas: &mut Canvas<'_>) {
        canvas.heading(area, 0, "Left out", "and why; Enter puts one in");
        let hint = "a few letters of the stretch";
        let field = FieldView { field: &self.filter, hint, active: true, theme: canvas.theme };
        (&field).render(canvas::top(canvas::below(area, 1), 1), canvas.buf);
        let list = canvas::below(area, 2);
        let names = usize::from((list.width / 3).clamp(14, 34));
        let omitted = self.omitted();
        if omitted.is_empty() {
            canvas.row(list, 0, Tone::Dim, "no stretch of that name was left out");
        }
        let first = canvas::first_shown(self.omitted, omitted.len(), list.height);
        for (y, left) in omitted.into_iter().enumerate().skip(first).take(usize::from(list.height)) {
            let row = cells(y - first);
            canvas.choice(list, row, y, y == self.omitted);
            let tone = if left.reason == WhyLeftOut::Caution { Tone::Caution } else { Tone::Dim };
            let x =
                canvas.at(list, 2, row, Tone::Text, &text::pad(&left.name, names, canvas.glyphs().ellipsis));
            // The cost says more than that the time is better spent.
            let cost = self.what_if.cost(&left.stretch).map(Cost::words);
            canvas.at(list, x + 1, row, tone, cost.as_deref().unwrap_or(&left.detail));
        }
    }

    /// The blocks that can be taken again, and the name to keep this one by.
    pub(super) fn draw_blocks(
        &self,
        area: Rect,
        (chosen, naming): (usize, Option<&Field>),
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        canvas.heading(area, 0, "A whole block again", "what does not go today is left out, and said");
        let mut list = canvas::below(area, 1);
        if let Some(field) = naming {
            let view =
                FieldView { field, hint: "such as the usual for runners", active: true, theme: canvas.theme };
            (&view).render(canvas::top(list, 1), canvas.buf);
            list = canvas::below(list, 1);
        }
        let rows = self.blocks_in_words(shared);
        if rows.is_empty() {
            canvas.row(list, 0, Tone::Dim, "nothing was done yet, and no block is kept");
        }
        let first = canvas::first_shown(chosen, rows.len(), list.height);
        for (index, (name, steps)) in rows.iter().enumerate().skip(first).take(usize::from(list.height)) {
            let y = cells(index - first);
            canvas.choice(list, y, index, index == chosen);
            let x = canvas.at(list, 2, y, Tone::Text, name);
            canvas.at(list, x + 2, y, Tone::Dim, steps);
        }
    }

    /// What other minutes would give: a bar for each, the chosen one marked.
    pub(super) fn draw_minutes(&self, area: Rect, canvas: &mut Canvas<'_>) {
        /// Rows of the highest bar.
        const ROWS: u16 = 3;
        /// Columns of one minute.
        const EACH: u16 = 2;
        let around = self.what_if.around(self.choice.minutes);
        let most = around.iter().filter_map(|(_, value)| *value).max().unwrap_or(0);
        if most <= 0 || area.height < ROWS + 2 || area.width < EACH * cells(around.len()) {
            return;
        }
        canvas.row(area, 0, Tone::Dim, "worth by minutes");
        let (full, levels) = (canvas.glyphs().full, canvas.glyphs().levels);
        let steps = i64::from(ROWS) * 5;
        for (index, (minutes, value)) in around.iter().enumerate() {
            let x = cells(index) * EACH;
            let chosen = *minutes == self.choice.minutes;
            let tone = if chosen { Tone::Focus } else { Tone::Dim };
            if let Some(value) = value {
                let mut height = (value.max(&0) * steps + most / 2) / most;
                for row in (1..=ROWS).rev() {
                    let here = usize::try_from(height.clamp(0, 5)).unwrap_or(0);
                    let glyph = if here == 5 { full } else { levels[here.saturating_sub(1)] };
                    if here > 0 {
                        canvas.at(area, x, row, tone, glyph);
                    }
                    height -= 5;
                }
            }
            // Every other number, so that they do not run into each other; the chosen one always.
            let apart = minutes.get().abs_diff(self.choice.minutes.get());
            if apart.is_multiple_of(2) {
                canvas.at(area, x, ROWS + 1, tone, &minutes.get().to_string());
            }
        }
    }
}

/// What was left out although it was wanted, where there is room under the steps.
pub fn draw_nearly(area: Rect, plan: &Plan, canvas: &mut Canvas<'_>) {
    const REASON: u16 = 30;
    canvas.row(area, 0, Tone::Dim, "left out");
    let column =
        Rect { x: area.x + REASON + 2, width: area.width.saturating_sub(REASON + 2).min(100), ..area };
    let mut y = 1;
    for (tone, detail, names) in grouped(plan) {
        if y >= area.height {
            return;
        }
        let words = text::fit(detail, usize::from(REASON) - 4, canvas.glyphs().ellipsis);
        canvas.at(area, 4, y, tone, &words);
        y = canvas.wrapped_most(column, y, area.height - y, Tone::Dim, &names.join(", "));
    }
}
