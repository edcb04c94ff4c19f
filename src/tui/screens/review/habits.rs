//! The one question of a review about plans: the same correction again and again, is it to be planned so from now on?

use crate::caution::screening::Answer;
use crate::client::{Client, Habit};
use crate::planner::corrections::{ForWhom, HabitQuestion, questions};
use crate::tui::effect::Effect;
use crate::tui::shared::{Context, Shared};
use crate::tui::theme::Tone;

use super::State;

/// So many of the other clients, those who came last, are read for what is done with everybody.
const OTHERS: usize = 12;

impl State {
    /// Looks for something to ask, and reads the clients who came last for what is done with everybody.
    pub(super) fn look_at_habits(&mut self, context: &mut Context<'_>) {
        if self.session.corrections.is_empty() {
            return;
        }
        let mut others: Vec<_> = context
            .shared
            .roster
            .iter()
            .flat_map(|roster| &roster.entries)
            .map(|entry| (entry.last, &entry.id))
            .collect();
        others.sort_by_key(|other| std::cmp::Reverse(other.0));
        let unread = others.into_iter().take(OTHERS).map(|(_, id)| id.clone());
        let unread: Vec<_> = unread
            .filter(|id| *id != self.client.profile.id && !context.shared.clients.contains_key(id))
            .collect();
        for id in unread {
            context.ask(Effect::Load(id));
        }
        self.ask_about_habits(context.shared);
    }

    /// What is to be asked, as far as the clients are read.
    pub(super) fn ask_about_habits(&mut self, shared: &Shared) {
        let others = shared.clients.values().map(|client| -> &Client { client });
        let mut found =
            questions(&self.client, &self.session, others, &shared.trainer.habits, &shared.catalogue);
        let same = |one: &HabitQuestion, other: &HabitQuestion| {
            one.kind == other.kind && one.stretch == other.stretch
        };
        found.retain(|question| !self.asked.answered.iter().any(|answered| same(answered, question)));
        self.asked.questions = found;
    }

    /// Keeps the answer, with the day: a yes changes plans, a no keeps the question away for a while.
    pub(super) fn answer_about_habit(&mut self, answer: Answer, context: &mut Context<'_>) {
        let agreed = match answer {
            Answer::Yes => true,
            Answer::No => false,
            Answer::Unsure => return,
        };
        if self.asked.questions.is_empty() {
            return;
        }
        let question = self.asked.questions.remove(0);
        let HabitQuestion { whom, kind, stretch, form, .. } = question.clone();
        let (on, by) = (context.today(), context.shared.trainer.name.clone());
        let habit = Habit { kind, stretch, form, agreed, on, off: None, by };
        let of = (whom == ForWhom::ThisClient).then(|| self.client.profile.id.clone());
        context.ask(Effect::KeepHabit(of, habit));
        let words = match (agreed, whom) {
            (true, ForWhom::ThisClient) => "planned so from now on; it stands on the card",
            (true, ForWhom::Everybody) => "planned so for everybody; `matside trainer` shows it",
            (false, _) => "left as it is",
        };
        context.shared.say(Tone::Good, words);
        self.asked.answered.push(question);
    }
}
