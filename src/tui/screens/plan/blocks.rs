//! A whole block again, in one choice: as last time, or one that is kept by its name; and keeping this one.

use crate::client::{KeptBlock, KeptStep, Session, Trained};
use crate::planner::kept;
use crate::tui::effect::Effect;
use crate::tui::go::Go;
use crate::tui::keys::Action;
use crate::tui::list_choice::ListChoice;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::{Context, Shared};
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;

use super::{Pane, State};

/// One row of the list.
enum Row<'a> {
    LastTime(&'a Session),
    Kept(&'a KeptBlock),
    KeepThis,
}

impl State {
    /// The rows in words: what a block is called, and its stretches.
    pub(super) fn blocks_in_words(&self, shared: &Shared) -> Vec<(String, String)> {
        self.block_rows(shared).iter().map(|row| Self::block_words(row, shared)).collect()
    }

    fn block_rows<'a>(&'a self, shared: &'a Shared) -> Vec<Row<'a>> {
        let sessions = self.client.iter().flat_map(|client| client.sessions.iter().rev());
        let last = sessions.into_iter().find(|session| !kept::of_session(session).is_empty());
        let blocks = shared.trainer.blocks.iter().filter(|block| block.off.is_none());
        let mut rows: Vec<Row<'_>> =
            last.into_iter().map(Row::LastTime).chain(blocks.map(Row::Kept)).collect();
        if self.plan().is_some_and(|plan| !plan.steps.is_empty()) {
            rows.push(Row::KeepThis);
        }
        rows
    }

    pub(super) fn act_blocks(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let Pane::Blocks { chosen, naming } = &mut self.pane else { return Go::Stay };
        if let Some(field) = naming {
            match action {
                Action::Choose => self.keep_block(context),
                Action::Back => *naming = None,
                action => field.edit(action),
            }
            return Go::Stay;
        }
        let mut at = *chosen;
        let rows = self.block_rows(context.shared);
        if ListChoice(&mut at).act(action, rows.len()) {
            self.pane = Pane::Blocks { chosen: at, naming: None };
            return Go::Stay;
        }
        match (action, rows.get(at)) {
            (Action::Choose, Some(Row::LastTime(session))) => {
                let (steps, trained) = (kept::of_session(session), session.trained.clone());
                self.take_block(&steps, Some(trained), context);
            }
            (Action::Choose, Some(Row::Kept(block))) => {
                let steps = block.steps.clone();
                self.take_block(&steps, None, context);
            }
            (Action::Choose, Some(Row::KeepThis)) => {
                self.pane = Pane::Blocks { chosen: at, naming: Some(Field::default()) };
            }
            (Action::TakeOff, Some(Row::Kept(block))) => {
                let name = block.name.clone();
                context.shared.say(Tone::Good, format!("{name} is off the list"));
                context.ask(Effect::DropBlock(name));
                self.pane = Pane::Blocks { chosen: 0, naming: None };
            }
            (Action::Back | Action::NextPart | Action::PreviousPart, _) => self.pane = Pane::Steps,
            _ => {}
        }
        Go::Stay
    }

    /// Insists on the stretches of a block; says which of them do not go today, and why.
    fn take_block(&mut self, steps: &[KeptStep], trained: Option<Trained>, context: &mut Context<'_>) {
        self.pane = Pane::Steps;
        let trained = trained.unwrap_or_else(|| self.choice.trained.clone());
        let asked = self.request(self.choice.minutes, self.choice.wishes.clone(), &context.shared.trainer);
        let Some(mut asked) = asked else { return };
        asked.trained.clone_from(&trained);
        let again = kept::again(&asked, steps);
        let left: Vec<String> = again
            .left
            .iter()
            .map(|(stretch, why)| {
                let found = context.shared.catalogue.stretch(stretch);
                let name = found.map_or(stretch.as_str(), |stretch| &stretch.name);
                format!("{} ({})", text::clean(name), text::clean(why))
            })
            .collect();
        if !left.is_empty() {
            context.shared.say(Tone::Caution, format!("not today: {}", text::list(&left)));
        }
        self.change(context, |state| {
            state.choice.trained = trained;
            state.choice.of_block.clone_from(&again.wishes.pinned);
            state.choice.wishes = again.wishes;
        });
    }

    fn keep_block(&mut self, context: &mut Context<'_>) {
        let Pane::Blocks { naming: Some(field), .. } = &self.pane else { return };
        let name = field.text().trim().to_owned();
        let Some(plan) = self.plan().filter(|_| !name.is_empty()) else {
            context.shared.say(Tone::Caution, "a block needs a name, such as the usual for runners");
            return;
        };
        let block = KeptBlock {
            name: name.clone(),
            steps: kept::of_plan(plan),
            on: context.today(),
            off: None,
            by: context.shared.trainer.name.clone(),
        };
        context.ask(Effect::KeepBlock(block));
        context.shared.say(Tone::Good, format!("kept as {name}; Ctrl-B takes it again"));
        self.pane = Pane::Steps;
    }

    fn block_words(row: &Row<'_>, shared: &Shared) -> (String, String) {
        let names = |steps: &[KeptStep]| text::clean(&kept::names(steps, &shared.catalogue).join("; "));
        match row {
            Row::LastTime(session) => {
                let on = session.at.date_naive();
                (format!("as last time, {on}"), names(&kept::of_session(session)))
            }
            Row::Kept(block) => (text::clean(&block.name), names(&block.steps)),
            Row::KeepThis => ("keep this plan by a name".to_owned(), String::new()),
        }
    }

    pub(super) fn block_lines(&self, (chosen, naming): (usize, Option<&Field>), shared: &Shared) -> Page {
        let mut page = Page::new("the blocks", "A whole block again");
        if let Some(field) = naming {
            page.ask("By what name is this plan kept? Such as the usual for runners, then Enter.");
            page.extend((!field.is_empty()).then(|| format!("Typed: {}", field.text())));
        }
        let told = |(name, steps): (String, String)| {
            if steps.is_empty() { name } else { format!("{name}: {steps}") }
        };
        let rows: Vec<String> = self.blocks_in_words(shared).into_iter().map(told).collect();
        if rows.is_empty() {
            page.push("nothing was done yet, and no block is kept");
        }
        page.list("blocks", rows, Some(chosen), ListSpeech::News);
        page
    }
}
