//! How the plan is drawn, and said in lines.

use std::collections::BTreeSet;

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Side, Unit};
use crate::catalogue::{Form, Helper};
use crate::caution::BeforeTouch;
use crate::client::{Client, Consent, ConsentLimit, Session};
use crate::planner::{Omission, Plan, Step, WhyLeftOut, words};
use crate::tui::canvas::{self, Canvas};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::beside::{Beside, WIDE, beside_words, columns};
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::field::FieldView;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{all_about, caution_words, effort_words, in_force, labels, side_words};
use crate::words::told;

use super::cut_off::CutOff;
use super::{Pane, State, about};

/// Whether the trainer may put in what was left out for this reason.
pub const fn may_be_put_in(reason: &WhyLeftOut) -> bool {
    matches!(
        reason,
        WhyLeftOut::Pain
            | WhyLeftOut::You
            | WhyLeftOut::Time(_)
            | WhyLeftOut::Skipped
            | WhyLeftOut::NotNeeded
            | WhyLeftOut::Enough
    )
}

/// What the client is asked before the first touch; where no step needs hands, only for a touch that corrects.
pub fn consent_question(plan: &Plan, shared: &Shared) -> &'static str {
    let alone = |step: &Step| {
        let found = shared.catalogue.form(&step.stretch, &step.form);
        found.is_some_and(|(_, form)| form.helper == Helper::Client)
    };
    if plan.steps.iter().all(alone) {
        "\"You stretch, I show you how. May I correct you by hand? You can stop me at any time.\""
    } else {
        "\"May I stretch you now, hands-on? You can stop me at any time.\""
    }
}

/// What was left out, what may be put in first, what must not be done last.
pub fn omissions(plan: &Plan) -> Vec<&Omission> {
    let rank = |reason: &WhyLeftOut| match reason {
        WhyLeftOut::Pain => 0,
        WhyLeftOut::Time(_) => 1,
        WhyLeftOut::Skipped => 2,
        WhyLeftOut::Enough | WhyLeftOut::NotNeeded => 3,
        WhyLeftOut::Equipment | WhyLeftOut::Consent | WhyLeftOut::You => 4,
        WhyLeftOut::Caution => 5,
    };
    let mut omissions: Vec<&Omission> = plan.left_out.iter().collect();
    omissions.sort_by_key(|left| rank(&left.reason));
    omissions
}

/// The units that a plan reaches.
pub fn reached(plan: &Plan) -> BTreeSet<Unit> {
    let units = |step: &Step| {
        let sides: Vec<Side> = step.side.map_or(Side::ALL.to_vec(), |side| vec![side]);
        step.muscles
            .iter()
            .flat_map(move |muscle| sides.clone().into_iter().map(|side| Unit { muscle: *muscle, side }))
            .collect::<Vec<_>>()
    };
    plan.steps.iter().flat_map(units).collect()
}

impl State {
    /// Draws the plan.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let Some(client) = &self.client else {
            canvas.row(area, 0, Tone::Dim, "reading the card");
            return;
        };
        let roomy = area.height >= 18;
        let gap = u16::from(roomy);
        let asks = matches!(self.pane, Pane::Consent(_) | Pane::CutOff(_));
        let age = about(client, now.wall.date_naive());
        canvas.title(area, &client.profile.name, &age, (Tone::Strong, &self.time_words(now)));
        if let Some(first) = self.in_full {
            return self.draw_words(first, canvas::below(area, 1 + gap), canvas, shared);
        }
        let mut y = self.draw_cautions(area, 1, canvas, now);
        if asks && area.height < 30 {
            // A question, and what to mind before the first touch, has the whole of a low terminal.
            return self.draw_main(canvas::below(area, y + gap), canvas, shared);
        }
        y = self.draw_trained(area, y, canvas);
        let ribbon_rows = if roomy { 4 } else { 2 };
        if let Some(plan) = self.plan() {
            let mut ribbon = Ribbon::of_plan(plan, &shared.catalogue, canvas.theme);
            if self.what_if.would_add(plan.minutes) {
                ribbon.ghost = Some((60, "+1 min".to_owned()));
            }
            if self.pane == Pane::Steps
                && let Some(piece) = ribbon.pieces.get_mut(self.step)
            {
                piece.chosen = true;
            }
            (&ribbon).render(canvas::top(canvas::below(area, y + gap), ribbon_rows), canvas.buf);
        }
        let rest = canvas::below(area, y + gap + ribbon_rows + gap);
        // On a narrow terminal the reasons stand where the figure was, once the keys are on the steps.
        let alone = match self.pane {
            Pane::LeftOut { .. } | Pane::Blocks { .. } => true,
            Pane::Steps => rest.width < WIDE,
            _ => false,
        };
        let (main, side) = if alone { (rest, Rect { width: 0, ..rest }) } else { columns(rest) };
        self.draw_beside(side, canvas, shared);
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
        let list = canvas::below(area, 1);
        let list = match self.pictured(shared).filter(|_| !asks) {
            Some((form, side)) => beside_words(list, form, side, canvas),
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

    /// The cautions in force; returns the row behind them.
    fn draw_cautions(&self, area: Rect, y: u16, canvas: &mut Canvas<'_>, now: Now) -> u16 {
        let (mark, mut y) = (canvas.glyphs().caution, y);
        if let Some(words) = self.due_words(now) {
            canvas.row(area, y, Tone::Caution, &format!("{mark} {words}"));
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
        let room = if area.height >= 30 { y + area.height / 9 } else { y + 2 };
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

    /// What was trained, and where more is typed; returns the row behind them.
    fn draw_trained(&self, area: Rect, y: u16, canvas: &mut Canvas<'_>) -> u16 {
        let indent = canvas.at(area, 0, y, Tone::Dim, "Trained today  ");
        let (mut x, mut y) = (indent, y);
        // A second row where there is room; elsewhere how many more there are.
        let last = y + u16::from(area.height >= 30);
        let count = self.choice.trained.len();
        for (index, (muscle, effort)) in self.choice.trained.iter().enumerate() {
            let bar = canvas.glyphs().levels[usize::from(effort.get()) * 2 - 2];
            let name = muscle.plain_name();
            let more = format!("and {} more", count - index);
            let needed = cells(name.len()) + 4;
            let behind = if index + 1 < count && y == last { cells(more.len()) } else { 0 };
            if x + needed + behind > area.width && y < last {
                (x, y) = (indent, y + 1);
            } else if x + needed + behind > area.width {
                canvas.at(area, x, y, Tone::Dim, &more);
                break;
            }
            x = canvas.spans(
                area,
                x,
                y,
                &[(Tone::Strong, bar), (Tone::Text, " "), (Tone::Text, name), (Tone::Text, "  ")],
            );
        }
        if self.choice.trained.is_empty() {
            canvas.at(area, x, y, Tone::Dim, "nothing marked yet");
        }
        let line = Rect { y: area.y + y + 1, height: 1, ..area };
        if y + 1 < area.height {
            let view = match &self.pane {
                Pane::EndAt(field) => {
                    FieldView { field, hint: "finish by, such as 18:55", active: true, theme: canvas.theme }
                }
                part => FieldView {
                    field: &self.picker.filter,
                    hint: "type a muscle or a group, such as ham or lower body",
                    active: *part == Pane::Trained,
                    theme: canvas.theme,
                },
            };
            (&view).render(line, canvas.buf);
        }
        y + 2
    }

    /// The body with what was trained, what the plan reaches and what must be left alone.
    pub(super) fn body<'a>(&'a self, reached: &'a BTreeSet<Unit>) -> BodyView<'a> {
        BodyView { trained: &self.choice.trained, reached, avoided: self.off_limits(), plain: false }
    }

    /// The form whose picture is shown, with its side: the step that the keys are on, else the first.
    fn pictured<'a>(&self, shared: &'a Shared) -> Option<(&'a Form, Option<Side>)> {
        let index = if self.pane == Pane::Steps { self.step } else { 0 };
        let step = self.plan()?.steps.get(index)?;
        let (_, form) = shared.catalogue.form(&step.stretch, &step.form)?;
        Some((form, step.side))
    }

    fn draw_beside(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        if area.width == 0 {
            return;
        }
        let reached = self.plan().map(reached).unwrap_or_default();
        let beside = Beside { body: self.body(&reached), marked: self.pictured(shared) };
        let free = beside.draw(area, canvas);
        self.draw_minutes(free, canvas);
    }

    fn draw_main(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        match (&self.pane, &self.plan) {
            (Pane::CutOff(asked), _) => self.draw_cut_off(area, canvas, *asked),
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

    /// How many blocks were cut off, and which is chosen.
    pub(super) fn cut_off_words(client: &Client, asked: CutOff) -> String {
        let Some(session) = asked.chosen(client) else { return String::new() };
        let steps = text::count(session.reports.len(), "step");
        let when = session.at.format("%-d %B, %H:%M");
        match client.cut_off().count() {
            1 => format!("The block of {when} was cut off after {steps}. Nothing of it is lost."),
            several => {
                format!(
                    "{several} blocks were cut off; the one of {when} was cut off after {steps}. Nothing is lost."
                )
            }
        }
    }

    /// The blocks that were cut off, where there are several.
    pub(super) fn cut_off_rows(client: &Client) -> Vec<String> {
        let row = |session: &Session| {
            let steps = text::count(session.reports.len(), "step");
            format!("{}, {steps}", session.at.format("%-d %B %Y, %H:%M"))
        };
        let rows: Vec<String> = client.cut_off().map(row).collect();
        if rows.len() > 1 { rows } else { Vec::new() }
    }

    fn draw_cut_off(&self, area: Rect, canvas: &mut Canvas<'_>, asked: CutOff) {
        let Some(client) = &self.client else { return };
        let mut y = canvas.wrapped(area, 0, Tone::Strong, &Self::cut_off_words(client, asked)) + 1;
        let (rows, keys) = (Self::cut_off_rows(client), asked.keys(client));
        let room = area.height.saturating_sub(y + cells(keys.len()) + 1).max(1);
        let first = canvas::first_shown(asked.chosen, rows.len(), room);
        for (index, words) in rows.iter().enumerate().skip(first).take(usize::from(room)) {
            canvas.choice(area, y, index, index == asked.chosen);
            canvas.at(area, 2, y, Tone::Text, words);
            y += 1;
        }
        y += u16::from(!rows.is_empty());
        for (index, (key, words)) in keys.into_iter().enumerate() {
            let line = y + cells(index);
            canvas.spans(area, 2, line, &[(Tone::Focus, &text::pad(key, 6, "")), (Tone::Text, words)]);
        }
    }

    /// What to ask or mind before the first touch, from the cautions in force.
    pub(super) fn before_touch(&self) -> Vec<String> {
        let asked = self.today.iter().flat_map(|today| &today.before_touch);
        asked.filter(|item| item.is_of_a_condition()).map(BeforeTouch::line).collect()
    }

    /// The question before the first touch, its answers with the one that is marked, and what goes with them.
    fn draw_consent(
        &self,
        area: Rect,
        (plan, marked): (&Plan, Option<Consent>),
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let y = canvas.wrapped(area, 0, Tone::Strong, consent_question(plan, shared));
        let low = area.height < 9;
        let yes = |limit: ConsentLimit| if self.narrowed.contains(&limit) { "yes" } else { "no" };
        let massage = if self.narrowed.contains(&ConsentLimit::NoMassage) { "no" } else { "as on the card" };
        let answers = [
            ("a", "agrees: hands-on".to_owned(), Some(Consent::HandsOn)),
            ("b", "by themselves: you coach, no hands".to_owned(), Some(Consent::SelfStretch)),
            ("d", "declines: no stretching today".to_owned(), Some(Consent::Declined)),
            ("t", format!("a towel between: {}", yes(ConsentLimit::MatBetween)), None),
            ("m", format!("massage at the end: {massage}"), None),
        ];
        let list = canvas::below(area, y + u16::from(!low));
        let mut row = 0;
        for (key, words, consent) in &answers {
            row += u16::from(consent.is_none() && !low && *key == "t");
            let is_marked = consent.is_some() && *consent == marked;
            if is_marked {
                canvas.chosen(list, row);
            }
            let tone = if is_marked { Tone::Strong } else { Tone::Text };
            canvas.spans(list, 2, row, &[(Tone::Focus, key), (Tone::Text, "   "), (tone, words)]);
            row += 1;
        }
        let mut y = row + u16::from(!low);
        let what = match marked {
            None => "Choose, then Enter notes it and starts. Nothing is noted before that.",
            Some(Consent::Declined) => "Enter notes that the client declines.",
            Some(_) => "Enter notes it and starts.",
        };
        y = canvas.wrapped(list, y, Tone::Strong, what) + u16::from(!low);
        for line in self.before_touch() {
            y = canvas.wrapped(list, y, Tone::Caution, &format!("{} {line}", canvas.glyphs().caution));
        }
        if let Some(step) = plan.steps.first() {
            let words =
                format!("first: {}, {}, {}", step.position.plain_name(), step.name, side_words(step.side));
            canvas.row(list, y, Tone::Dim, &words);
        }
    }
}
