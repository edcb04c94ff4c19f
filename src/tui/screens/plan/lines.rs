//! The plan said in lines.

use crate::planner::Plan;
use crate::tui::app::Shared;
use crate::tui::msg::Now;
use crate::tui::text;
use crate::tui::theme::{Depth, Ground, Theme};
use crate::tui::widgets::figure::Figure;

use super::draw::{consent_question, dose_sentence, reached, side_words};
use super::muscles::effort_words;
use super::{Part, State};

impl State {
    /// The plan as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Vec<String> {
        let Some(client) = &self.client else { return vec!["Reading the card".to_owned()] };
        let mut lines = vec![format!("Plan for {}, {}", client.profile.name, self.time_words(now))];
        for caution in self.restrictions.iter().flat_map(|restrictions| restrictions.in_force()) {
            lines.push(format!("Caution: {}: {}", caution.title, caution.limited));
        }
        let trained: Vec<String> = self
            .choice
            .trained
            .iter()
            .map(|(muscle, effort)| format!("{} {}", muscle.plain_name(), effort_words(*effort)))
            .collect();
        lines.push(format!(
            "Trained: {}",
            if trained.is_empty() { "nothing marked yet".to_owned() } else { text::list(&trained) }
        ));
        if self.part == Part::CutOff {
            lines.push("The last block was cut off. Enter takes it up, c closes it.".to_owned());
        }
        if self.picker.browsing {
            lines.push(format!("Typed: {}", self.picker.filter.text()));
            lines.extend(self.picker.items().iter().take(9).enumerate().map(|(index, item)| {
                let mark = if index == self.picker.chosen { "chosen: " } else { "" };
                format!("{mark}{}", item.name())
            }));
            return lines;
        }
        match &self.plan {
            Some(Ok(plan)) => self.plan_lines(plan, shared, &mut lines),
            Some(Err(why)) => lines.push(format!("No plan: {why}")),
            None => {}
        }
        lines
    }

    fn plan_lines(&self, plan: &Plan, shared: &Shared, lines: &mut Vec<String>) {
        if self.part == Part::Consent {
            let question = consent_question(plan, shared);
            lines.push(format!("{question} y yes, s self-stretch only, m no massage, b a mat between, n no"));
            lines.extend(self.narrowed.iter().map(|what| format!("Noted: {what}")));
            lines.extend(self.before_touch());
        }
        if self.part == Part::LeftOut {
            if !self.sieve.is_empty() {
                lines.push(format!("Typed: {}", self.sieve.text()));
            }
            lines.extend(self.omitted().iter().enumerate().map(|(index, left)| {
                let cost = self.ahead.cost(&left.stretch);
                let cost = cost.map(|cost| format!("; {}", cost.words())).unwrap_or_default();
                let mark = if index == self.omitted { "chosen: " } else { "" };
                format!("{mark}Left out: {}: {}{cost}", left.name, left.detail)
            }));
            return;
        }
        for (index, step) in plan.steps.iter().enumerate() {
            let mark = if index == self.step && self.part == Part::Steps { "chosen: " } else { "" };
            lines.push(format!(
                "{mark}{}. at {}, {}, {}, {}, {}: {}",
                index + 1,
                step.start,
                step.position.plain_name(),
                side_words(step.side),
                step.name,
                dose_sentence(step.dose),
                step.why
            ));
        }
        if let Some(step) = plan.steps.get(self.step).filter(|_| self.part == Part::Steps)
            && let Some((_, form)) = shared.catalogue.form(&step.stretch, &step.form)
        {
            lines.push(format!("Form: {}", form.name));
            let cues = &form.cues;
            let said = cues.said(plan.steps[self.step].dose.method());
            for (what, words) in [("Say", &said), ("Hands", &cues.hands), ("Spine", &cues.spine)] {
                lines.push(format!("{what}: {words}"));
            }
        }
        let reached = reached(plan);
        let theme = Theme { depth: Depth::None, ground: Ground::Dark, ascii: true };
        lines.extend(
            Figure {
                trained: &self.choice.trained,
                reached: &reached,
                avoided: &self.avoided,
                plain: false,
                theme,
            }
            .words(),
        );
        lines.extend(self.ahead.another().map(|another| format!("One more minute: {another}")));
    }
}
