//! What the minutes are worth: what was left out and what it would cost, what other minutes would give, and the
//! load on the trainer's own back.

use std::collections::BTreeMap;

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::Seconds;
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

/// How many stretches were left out, by the kind of reason; of those that something keeps out, by what it is.
pub fn left_out_words(plan: &Plan) -> String {
    let mut counts: BTreeMap<(usize, String), usize> = BTreeMap::new();
    for left in &plan.left_out {
        let (rank, words) = match left.reason {
            WhyLeftOut::Caution => (0, "for a caution"),
            WhyLeftOut::Pain => (1, "for pain last time"),
            WhyLeftOut::Consent => (2, "for consent"),
            WhyLeftOut::You => (3, left.detail.as_str()),
            WhyLeftOut::Equipment => (4, left.detail.strip_prefix("needs ").unwrap_or("equipment")),
            WhyLeftOut::Skipped => (5, "by you"),
            WhyLeftOut::Time(_) => (6, "no room"),
            WhyLeftOut::NotNeeded | WhyLeftOut::Enough => continue,
        };
        *counts.entry((rank, words.to_owned())).or_default() += 1;
    }
    let told = |((rank, words), count): (&(usize, String), &usize)| match (rank, count) {
        (3, _) if words.starts_with("your ") => format!("{count} for {words}"),
        (4, 1) => format!("1 needs {words}"),
        (4, _) => format!("{count} need {words}"),
        _ => format!("{count} {words}"),
    };
    let parts: Vec<String> = counts.iter().map(told).collect();
    if parts.is_empty() { "nothing".to_owned() } else { parts.join(", ") }
}

/// What is planned, what is free and why, and what it asks of the trainer.
pub fn planned_words(plan: &Plan) -> String {
    /// Less than this is as good as nothing.
    const FREE: Seconds = Seconds::new(30);
    let (total, free, load) = (plan.total, plan.free(), day_words(&minutes_of(plan)));
    if free < FREE {
        format!("{total} planned, none free; {load}")
    } else {
        format!("{total} planned, {free} free: {}; {load}", plan.why_free())
    }
}

/// How good a plan is by the program's own weights, and what it leaves out.
pub fn plan_words(plan: &Plan) -> String {
    let proof = if plan.is_proven() {
        "nothing better fits".to_owned()
    } else {
        let gap = plan.gap();
        format!("best so far; none is over {}.{:02} % better", gap / 100, gap % 100)
    };
    format!("{proof}; left out: {}", left_out_words(plan))
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
}
