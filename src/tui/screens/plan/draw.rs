//! How the plan is drawn: its regions, the cautions, what was trained, and all words in full.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Side, Unit};
use crate::catalogue::Form;
use crate::caution::BeforeTouch;
use crate::client::Client;
use crate::planner::{Step, WhyLeftOut, words};
use crate::tui::canvas::{self, Canvas};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::beside::{beside_words, columns, draw_body_beside};
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::field::FieldView;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{all_about, caution_words, effort_words, in_force, labels, side_words, sore_places};
use crate::words::told;

use super::left_out::reached;
use super::muscles::folded;
use super::{Pane, State, worth};

impl State {
    /// Draws the plan.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let Some(client) = &self.client else {
            canvas.row(area, 0, Tone::Dim, "reading the card");
            return;
        };
        let asks = matches!(self.pane, Pane::Consent(_) | Pane::CutOff(_));
        let age = about(client, now.wall.date_naive());
        canvas.title(area, &client.profile.name, &age, (Tone::Strong, &self.time_words(now)));
        if let Some(first) = self.in_full {
            let rows = if area.height >= 18 { 2 } else { 1 };
            return self.draw_words(first, canvas::below(area, rows), canvas, shared);
        }
        let (gap, after) = match area.height {
            30.. => (1, 1),
            18.. => (0, 1),
            _ => (0, 0),
        };
        let y = self.draw_cautions(area, canvas, (shared, now)) + gap;
        if asks && area.height < 30 {
            // A question, and what to mind before the first touch, has the whole of a low terminal.
            return self.draw_main(canvas::below(area, y + after), canvas, shared);
        }
        self.draw_trained(canvas::top(canvas::below(area, y), 1), canvas);
        let ribbon_rows = if area.height >= 18 { 4 } else { 2 };
        let band = canvas::below(area, y + 1 + gap);
        if let Some(plan) = self.plan() {
            let mut ribbon = Ribbon::of_plan(plan, &shared.catalogue, canvas.theme);
            if self.pane == Pane::Steps
                && let Some(piece) = ribbon.pieces.get_mut(self.step)
            {
                piece.chosen = true;
            }
            (&ribbon).render(canvas::top(band, ribbon_rows), canvas.buf);
        }
        let rest = canvas::below(band, ribbon_rows + after);
        let alone = matches!(self.pane, Pane::LeftOut { .. } | Pane::Blocks { .. });
        let (main, side) = if alone { (rest, Rect { width: 0, ..rest }) } else { columns(rest) };
        self.draw_beside(side, canvas);
        self.draw_main(main, canvas, shared);
    }

    pub(super) fn time_words(&self, now: Now) -> String {
        if matches!(self.pane, Pane::CutOff(_)) {
            return String::new();
        }
        if let Some(words) = self.rest_words(now) {
            return words;
        }
        let minutes = self.choice.minutes;
        let up = now.wall + chrono::TimeDelta::minutes(minutes.get().into());
        format!("{} min, up at {}", minutes.get(), up.format("%H:%M"))
    }

    /// That questions come before the start, where they do.
    pub(super) fn due_words(&self, now: Now) -> Option<&'static str> {
        let profile = &self.client.as_ref()?.profile;
        profile.screening_record(now.wall.date_naive()).screen_due(now.wall.date_naive())?;
        Some("the questions before hands-on work are due: they come before the start")
    }

    /// What the sessions tell, at most five sentences.
    pub(super) fn told(&self, shared: &Shared) -> Vec<String> {
        let told = self.today.as_ref().map(|today| told(&today.client, &shared.catalogue, today.on));
        told.unwrap_or_default()
    }

    /// Every word about the chosen step, or before the first touch, and what is in force.
    fn draw_words(&self, first: u16, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let Some(restrictions) = &self.restrictions else { return };
        let mut lines: Vec<(&'static str, String)> = Vec::new();
        lines.extend(self.pain_words().map(|words| ("Pain", words)));
        let asks = matches!(self.pane, Pane::Consent(_));
        if asks {
            lines.extend(self.before_touch().into_iter().map(|words| ("First", words)));
            lines.extend(in_force(restrictions));
        } else if let Some(step) = self.plan().and_then(|plan| plan.steps.get(self.step)) {
            lines.push(("Why", words::why(&step.why)));
            lines.extend(all_about(step, restrictions, shared));
        }
        lines.extend(self.told(shared).into_iter().map(|words| ("Told", words)));
        if let Some(plan) = self.plan().filter(|_| !asks) {
            lines.push(("Plan", worth::plan_words(plan)));
            lines.extend(self.what_if.around_words(plan).map(|words| ("Worth", words)));
        }
        let list = canvas::below(area, 1);
        let list = match self.marked(shared).filter(|_| !asks) {
            Some((step, form)) => beside_words(list, form, step.side, canvas),
            None => list,
        };
        let hidden = canvas.labelled(list, first, &labels(lines));
        let more = if hidden > 0 { "arrows show more, " } else { "" };
        canvas.row(area, 0, Tone::Dim, &format!("in full: {more}i closes"));
    }

    /// What was stopped for pain and is left out for that, on one side or on both, if the day would want it.
    pub(super) fn pain_words(&self) -> Option<String> {
        let plan = self.plan()?;
        let left = plan.left_out.iter().filter(|left| left.reason == WhyLeftOut::Pain);
        let mut words: Vec<String> =
            left.map(|left| format!("{}: {}; left out, o puts it in", left.name, left.detail)).collect();
        let is_done = |step: &Step, side: Side| step.side.is_none_or(|worked| worked == side);
        for way in self.today.iter().flat_map(|today| today.learned.ways_back()) {
            let mut steps = plan.steps.iter().filter(|step| step.stretch == way.stretch).peekable();
            let name = steps.peek().map(|step| step.name.clone());
            if let Some(name) = name.filter(|_| !steps.any(|step| is_done(step, way.side))) {
                let side = side_words(Some(way.side));
                words.push(format!("{name}, {side}: stopped for pain on {}; left out there", way.on));
            }
        }
        (!words.is_empty()).then(|| words.join(". "))
    }

    /// What is sore on the trainer, and what went out for it.
    pub(super) fn sore_words(&self, shared: &Shared, now: Now) -> Option<String> {
        let places = sore_places(shared, now.wall.date_naive())?;
        let left = self.plan().map_or(&[][..], |plan| &plan.left_out).iter();
        let left = left.filter(|left| left.reason == WhyLeftOut::You);
        let names: Vec<String> = left.map(|left| left.name.clone()).collect();
        let out = if names.is_empty() { "nothing".to_owned() } else { text::list(&names) };
        Some(format!("You: {places} sore today (F6); out for it: {out}"))
    }

    /// The cautions in force; returns the row behind them.
    fn draw_cautions(&self, area: Rect, canvas: &mut Canvas<'_>, (shared, now): (&Shared, Now)) -> u16 {
        let (mark, mut y) = (canvas.glyphs().caution, 1);
        if let Some(words) = self.sore_words(shared, now).filter(|_| area.height >= 18) {
            canvas.row(area, y, Tone::Text, &words);
            y += 1;
        }
        if let Some(words) = self.due_words(now) {
            canvas.row(area, y, Tone::Caution, &format!("{mark} {words}"));
            y += 1;
        }
        let mut before_touch = self.today.iter().flat_map(|today| &today.before_touch);
        if let Some(refused) = before_touch.find(|item| **item == BeforeTouch::Refused) {
            canvas.row(area, y, Tone::Caution, &format!("{mark} {}", refused.line()));
            y += 1;
        }
        if let Some(words) = self.pain_words() {
            y = canvas.wrapped_most(area, y, 2, Tone::Caution, &format!("{mark} {words}"));
        }
        let Some(restrictions) = &self.restrictions else { return y };
        let in_force = restrictions.in_force();
        if in_force.is_empty() {
            canvas.row(area, y, Tone::Dim, "no condition on the card");
            return y + 1;
        }
        // Each as its card says it, every limit stands in `i`; that all are in force must not be out of sight.
        let room = if area.height >= 30 {
            y + area.height / 9
        } else if matches!(self.pane, Pane::Consent(_)) {
            y + 2 + self.rows_left_by_consent(area, y + 3)
        } else {
            y + 2
        };
        for (index, caution) in in_force.iter().enumerate() {
            let rest = &in_force[index..];
            let left = room.saturating_sub(y);
            if rest.len() > 1 && left <= 1 {
                let titles: Vec<String> = rest.iter().map(|caution| caution.title.clone()).collect();
                canvas.row(area, y, Tone::Caution, &format!("{mark} {}", text::list(&titles)));
                return y + 1;
            }
            let title = format!("{mark} {}:", caution.title);
            let most = if rest.len() > 1 { left - 1 } else { left.max(1) };
            let said = caution_words(caution);
            let end = canvas.wrapped_most(area, y, most, Tone::Text, &format!("{title} {said}"));
            canvas.row(area, y, Tone::Caution, &title);
            y = end;
        }
        y
    }

    /// What was trained, and where more is typed.
    fn draw_trained(&self, area: Rect, canvas: &mut Canvas<'_>) {
        /// Columns that are kept for what is typed.
        const TYPED: u16 = 18;
        let label = if area.width < 52 { "Trained  " } else { "Trained today  " };
        let mut x = canvas.at(area, 0, 0, Tone::Dim, label);
        let marked = folded(&self.choice.trained);
        for (index, (name, effort)) in marked.iter().enumerate() {
            let words = format!("{name} {}   ", effort.get());
            let more = format!("and {} more   ", marked.len() - index);
            let behind = if index + 1 < marked.len() { more.len() } else { 0 };
            if usize::from(x + TYPED) + words.len() + behind > usize::from(area.width) {
                x = canvas.at(area, x, 0, Tone::Dim, &more);
                break;
            }
            x = canvas.at(area, x, 0, Tone::Text, &words);
        }
        let (_, line) = canvas::split(area, x, 0);
        let view = match &self.pane {
            Pane::EndAt(field) => {
                FieldView { field, hint: "finish by, such as 18:55", active: true, theme: canvas.theme }
            }
            Pane::Trained => FieldView {
                field: &self.picker.filter,
                hint: "type a muscle or a group, such as ham or lower body",
                active: true,
                theme: canvas.theme,
            },
            _ => {
                FieldView { field: &self.picker.filter, hint: "Tab adds", active: false, theme: canvas.theme }
            }
        };
        (&view).render(line, canvas.buf);
    }

    /// The body with what was trained, what the plan reaches and what must be left alone.
    pub(super) fn body<'a>(&'a self, reached: &'a BTreeSet<Unit>) -> BodyView<'a> {
        BodyView { trained: &self.choice.trained, reached, avoided: self.off_limits(), plain: false }
    }

    /// The step that the keys are on, else the first, with its form.
    pub(super) fn marked<'a>(&'a self, shared: &'a Shared) -> Option<(&'a Step, &'a Form)> {
        let index = if self.pane == Pane::Steps { self.step } else { 0 };
        let step = self.plan()?.steps.get(index)?;
        let (_, form) = shared.catalogue.form(&step.stretch, &step.form)?;
        Some((step, form))
    }

    fn draw_beside(&self, area: Rect, canvas: &mut Canvas<'_>) {
        if area.width == 0 {
            return;
        }
        let reached = self.plan().map(reached).unwrap_or_default();
        draw_body_beside(&self.body(&reached), area, canvas);
    }

    fn draw_main(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        match (&self.pane, &self.plan) {
            (Pane::CutOff(asked), _) => {
                if let Some(client) = &self.client {
                    asked.draw(client, area, canvas);
                }
            }
            (Pane::Blocks { chosen, naming }, _) => {
                self.draw_blocks(area, (*chosen, naming.as_ref()), canvas, shared);
            }
            (Pane::Trained, _) if self.picker.browsing => self.draw_items(area, canvas),
            (_, Some(Err(why))) if self.choice.trained.is_empty() && self.stop().is_none() => {
                let y = canvas.wrapped(
                    area,
                    0,
                    Tone::Text,
                    "Type what was trained today: a few letters, then Enter.",
                );
                canvas.wrapped(area, y, Tone::Dim, &why.in_a_line());
            }
            (_, Some(Err(why))) => {
                let mark = canvas.glyphs().caution;
                canvas.at(area, 0, 0, Tone::Caution, mark);
                let column = Rect { x: area.x + 2, width: area.width.saturating_sub(2), ..area };
                let y = canvas.wrapped(column, 0, Tone::Caution, &why.in_a_line());
                if !self.past.is_empty() {
                    let key = if self.pane == Pane::Steps { "u" } else { "Ctrl-Z" };
                    let words = [(Tone::Focus, key), (Tone::Text, " takes the last change back")];
                    canvas.spans(column, 0, y + 1, &words);
                }
            }
            (Pane::Consent(marked), Some(Ok(plan))) => {
                self.draw_consent(area, (plan, *marked), canvas, shared);
            }
            (Pane::LeftOut { .. }, Some(Ok(_))) => self.draw_left_out(area, canvas),
            (_, Some(Ok(plan))) => self.draw_steps(area, plan, canvas, shared),
            (_, None) => canvas.row(area, 0, Tone::Dim, "planning"),
        }
    }

    fn draw_items(&self, area: Rect, canvas: &mut Canvas<'_>) {
        let items = self.picker.items();
        if items.is_empty() {
            canvas.row(area, 0, Tone::Caution, "no muscle of that name");
        }
        let first = canvas::first_shown(self.picker.chosen, items.len(), area.height);
        for (y, item) in items.iter().skip(first).take(usize::from(area.height)).enumerate() {
            canvas.choice(area, cells(y), first + y, first + y == self.picker.chosen);
            let effort = item.effort(&self.choice.trained);
            let bar = effort.map_or(" ", |effort| canvas.glyphs().levels[usize::from(effort.get()) * 2 - 2]);
            let words = effort.map_or("", effort_words);
            let x = canvas.spans(area, 2, cells(y), &[(Tone::Strong, bar), (Tone::Text, " ")]);
            let name = text::pad(&item.name(), 24, canvas.glyphs().ellipsis);
            let x = canvas.at(area, x, cells(y), Tone::Text, &name);
            let x = canvas.at(area, x + 1, cells(y), Tone::Strong, &text::pad(words, 9, ""));
            canvas.at(area, x, cells(y), Tone::Dim, &item.beside());
        }
    }
}

/// Age and such, for the heading.
fn about(client: &Client, today: NaiveDate) -> String {
    client.profile.age(today).map(|age| format!("{age} years")).unwrap_or_default()
}
