//! A new plan for the rest of the running block.

use std::sync::Arc;

use crate::planner::{PlanRequest, Progress, Today};
use crate::tui::effect::{Effect, Purpose};
use crate::tui::shared::Context;

use super::State;

impl State {
    /// Asks for a plan of the rest.
    pub(super) fn ask_rest(&mut self, progress: Progress, context: &mut Context<'_>) {
        self.job = self.job.next();
        let mut wishes = self.wishes.clone();
        // What was kept in the plan and is done must not be asked for again.
        wishes.pinned.retain(|pinned| !progress.finished.contains(pinned));
        let (client, restrictions) = (Arc::clone(&self.client), Arc::clone(&self.restrictions));
        let (catalogue, on) = (Arc::clone(&context.shared.catalogue), context.today());
        let age = client.profile.age(on);
        let worked = context.shared.minutes_before(self.session.at);
        let request = PlanRequest {
            today: Arc::new(Today::with(client, catalogue, on, age, restrictions).after(worked)),
            trainer: Arc::new(context.shared.trainer.clone()),
            trained: self.session.trained.clone(),
            minutes: self.session.minutes,
            consent: self.live.consent(),
            wishes,
            progress: Some(progress),
        };
        context.ask(Effect::Plan(self.job, Purpose::Rest, Box::new(request)));
    }
}
