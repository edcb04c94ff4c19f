//! The plan said in lines.

use crate::body::Seconds;
use crate::figure;
use crate::planner::{Plan, Step, WhyLeftOut, words};
use crate::tui::event::Now;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::words::{caution_lines, dose_sentence, effort_words, side_words, spoken_step};
use crate::tui::{spoken, text};

use super::cut_off::CutOff;
use super::left_out::reached;
use super::what_if::Cost;
use super::{Pane, State, worth};

/// Muscles that are said one by one.
const FEW: usize = 3;

impl State {
    /// The plan as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let Some(client) = &self.client else { return Page::new("the plan", "Reading the card") };
        let name = &client.profile.name;
        match (&self.pane, &self.plan) {
            (Pane::Consent(marked), Some(Ok(plan))) => self.consent_lines(name, (plan, *marked), shared),
            (Pane::LeftOut { .. }, Some(Ok(plan))) => self.left_out_lines(plan),
            (Pane::Blocks { chosen, naming }, _) => self.block_lines((*chosen, naming.as_ref()), shared),
            _ => {
                let time = self.time_words(now);
                let time = if shared.brief { time.split(", ").next().unwrap_or_default() } else { &time };
                let plan = if shared.brief { "" } else { "Plan for " };
                let title = format!("{plan}{name}{}{time}", if time.is_empty() { "" } else { ", " });
                let mut page = Page::new("the plan", title);
                self.plan_lines(shared, now, &mut page);
                page
            }
        }
    }

    /// What is told of the cautions when it is asked for.
    pub(super) fn caution_lines(&self, page: &mut Page) {
        page.aside("cautions in full");
        page.extend(self.restrictions.iter().flat_map(|restrictions| caution_lines(restrictions)));
    }

    fn left_out_lines(&self, plan: &Plan) -> Page {
        let mut page = Page::new("what was left out", "Left out");
        let not_needed = plan.left_out.iter().filter(|left| left.reason == WhyLeftOut::NotNeeded).count();
        page.push(format!("Left out: {}; {not_needed} not needed", worth::left_out_words(plan)));
        if !self.filter.is_empty() {
            page.quiet(format!("Typed: {}", self.filter.text()));
        }
        let left_out = self.omitted();
        if left_out.is_empty() {
            page.push("no stretch of that name was left out");
        }
        let rows = left_out.iter().map(|left| format!("{}: {}", left.name, left.detail)).collect();
        page.list("stretches", rows, Some(self.omitted), ListSpeech::Nothing);
        if let Some(left) = left_out.get(self.omitted) {
            page.about(format!("cost of {}", left.stretch));
            page.extend(self.what_if.cost(&left.stretch).map(Cost::words));
        }
        page
    }

    fn plan_lines(&self, shared: &Shared, now: Now, page: &mut Page) {
        if let Pane::EndAt(field) = &self.pane {
            page.ask("Finish by what time of day? Such as 18:55, then Enter.");
            page.about("clock");
            page.extend((!field.is_empty()).then(|| format!("Typed: {}", field.text())));
        }
        if let (Pane::CutOff(asked), Some(client)) = (&self.pane, &self.client) {
            let keys: Vec<String> =
                asked.keys(client).iter().map(|(key, words)| format!("{key}: {words}")).collect();
            page.ask(format!("{} {}.", asked.words(client), keys.join("; ")));
            let rows = CutOff::rows(client);
            if !rows.is_empty() {
                page.list("blocks that were cut off", rows, Some(asked.chosen), ListSpeech::News);
            }
        }
        if self.picker.browsing {
            page.about("typed");
            let filter = &self.picker.filter;
            if !filter.is_empty() {
                page.quiet(format!("Typed: {}", filter.text()));
            }
            let items: Vec<String> = self.picker.items().iter().map(|item| item.name()).collect();
            if items.is_empty() {
                page.push("no muscle of that name");
            }
            page.list("muscles", items, Some(self.picker.chosen), ListSpeech::Chosen);
        }
        page.about("cautions");
        page.extend(self.sore_words(shared, now).map(|words| words.replace(" (F6)", "") + "."));
        page.extend(self.due_words(now).map(|_| "Health check first."));
        page.extend(self.pain_words().map(|words| format!("{}.", words.replace(", o puts it in", ""))));
        for caution in self.restrictions.iter().flat_map(|restrictions| restrictions.in_force()) {
            page.push(format!("Caution: {}.", caution.title));
        }
        self.caution_lines(page);
        page.aside("told");
        page.extend(self.told(shared));
        self.trained_lines(page);
        match &self.plan {
            _ if matches!(self.pane, Pane::CutOff(_)) => {}
            Some(Ok(plan)) => self.step_lines(plan, shared, page),
            // What was trained is asked already.
            Some(Err(_)) if self.choice.trained.is_empty() => {}
            Some(Err(why)) => page.push(format!("No plan: {}", why.in_a_line())),
            None => {}
        }
    }

    /// What was trained: of many muscles how many, and their names when they are asked for.
    fn trained_lines(&self, page: &mut Page) {
        let trained: Vec<String> = self
            .choice
            .trained
            .iter()
            .map(|(muscle, effort)| format!("{} {}", muscle.plain_name(), effort_words(*effort)))
            .collect();
        if trained.len() > FEW {
            page.extend(trained.iter().map(|words| format!("Trained: {words}.")));
        }
        page.about("trained");
        page.push(if trained.is_empty() {
            "What was trained?".to_owned()
        } else {
            match trained.len() {
                ..=FEW => format!("Trained: {}.", text::list(&trained)),
                many => {
                    format!("Trained: {} muscles.", spoken::number(u32::try_from(many).unwrap_or(u32::MAX)))
                }
            }
        });
    }

    fn step_lines(&self, plan: &Plan, shared: &Shared, page: &mut Page) {
        let rows = plan
            .steps
            .iter()
            .map(|step| {
                format!(
                    "at {}, {}, {}: {}",
                    spoken::length(step.start),
                    step.position.plain_name(),
                    step_words(step),
                    words::why(&step.why)
                )
            })
            .collect();
        page.about("the plan");
        page.push(plan_sentence(plan));
        let first = plan.steps.first().filter(|_| !shared.brief);
        page.extend(first.map(|step| format!("First: {}.", spoken_step(step))));
        page.list("steps", rows, (self.pane == Pane::Steps).then_some(self.step), ListSpeech::Chosen);
        if let Some(step) = plan.steps.get(self.step).filter(|_| self.pane == Pane::Steps)
            && let Some((_, form)) = shared.catalogue.form(&step.stretch, &step.form)
        {
            page.about(format!("step {} {} {}", step.stretch, step.form, side_words(step.side)));
            let load = worth::load_words(step);
            page.push(format!("Form: {}; {}; {load}", form.name, figure::in_words(form, step.side)));
            let cues = &form.cues;
            let said = cues.said(step.dose.method());
            for (what, words) in
                [("Watch", &cues.watch), ("Say", &said), ("Hands", &cues.hands), ("Spine", &cues.spine)]
            {
                page.extend((!words.is_empty()).then(|| format!("{what}: {words}")));
            }
        }
        page.aside("reached");
        let reached = reached(plan);
        page.extend(self.body(&reached).words());
        page.aside("worth");
        page.push(worth::plan_words(plan));
        page.extend(self.what_if.another().map(|another| format!("One more minute: {another}")));
    }
}

/// How many steps there are, and what is free.
fn plan_sentence(plan: &Plan) -> String {
    let steps = text::capitalised(&spoken::number(u32::try_from(plan.steps.len()).unwrap_or(u32::MAX)));
    let free = plan.budget.saturating_sub(plan.total);
    let free = if free < Seconds::new(30) {
        "all used".to_owned()
    } else {
        format!("{} free", spoken::length(free))
    };
    format!("{steps} steps, {free}.")
}

pub(super) fn step_words(step: &Step) -> String {
    format!("{}, {}, {}", side_words(step.side), step.name, dose_sentence(step.dose))
}
