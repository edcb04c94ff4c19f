//! What the plan screen asks the planner: the plan itself, and side questions about it.

use std::sync::Arc;

use crate::body::Minutes;
use crate::client::{ConsentLimit, Trainer};
use crate::failure::Failure;
use crate::planner::{PlanRequest, Wishes};
use crate::tui::effect::{Effect, Purpose};
use crate::tui::shared::Context;

use super::State;
use super::what_if::WhatIfQuestion;

impl State {
    /// Asks for the plan of what is chosen now.
    pub(super) fn replan(&mut self, context: &mut Context<'_>) {
        self.job = self.job.next();
        if let Some(stop) = self.stop() {
            self.plan = Some(Err(Failure::new(stop)));
        } else {
            self.work_out_rest(context);
            self.ask_plan(Purpose::Main, self.choice.minutes, self.choice.wishes.clone(), context);
        }
    }

    /// The same where all that was asked beside it counts no more.
    pub(super) fn plan_anew(&mut self, context: &mut Context<'_>) {
        self.what_if.forget(true);
        self.replan(context);
    }

    pub(super) fn ask_what_if(&mut self, context: &mut Context<'_>) {
        let Some(question) = self.question() else { return };
        let (mut minutes, mut wishes) = (self.choice.minutes, self.choice.wishes.clone());
        match &question {
            WhatIfQuestion::In(other) => minutes = *other,
            WhatIfQuestion::With(stretch) => {
                wishes.skipped.retain(|skipped| skipped != stretch);
                wishes.pinned.push(stretch.clone());
            }
        }
        self.what_if.asks(question);
        self.ask_plan(Purpose::WhatIf, minutes, wishes, context);
    }

    fn ask_plan(&self, purpose: Purpose, minutes: Minutes, wishes: Wishes, context: &mut Context<'_>) {
        if let Some(request) = self.request(minutes, wishes, &context.shared.trainer) {
            context.ask(Effect::Plan(self.job, purpose, Box::new(request)));
        }
    }

    /// What a plan is asked with.
    pub(super) fn request(
        &self,
        minutes: Minutes,
        mut wishes: Wishes,
        trainer: &Trainer,
    ) -> Option<PlanRequest> {
        let today = self.today.as_ref()?;
        wishes.no_massage = self.narrowed.contains(&ConsentLimit::NoMassage);
        let progress = self.resumed.as_ref().map(|resumed| resumed.progress(&mut wishes));
        Some(PlanRequest {
            today: Arc::clone(today),
            trainer: Arc::new(trainer.clone()),
            trained: self.choice.trained.clone(),
            minutes,
            consent: self.consent,
            wishes,
            progress,
        })
    }
}
