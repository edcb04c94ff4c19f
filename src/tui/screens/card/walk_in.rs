//! The card of a walk-in, of which nothing is kept, and the card that is kept of one in the end.

use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::client::{Client, ClientId};
use crate::tui::effect::Effect;
use crate::tui::go::Go;
use crate::tui::keys::Mode;
use crate::tui::shared::Context;
use crate::tui::theme::Tone;

use super::kind::{Kind, NAME};
use super::{Pending, Row, State};

impl State {
    /// What is asked of a walk-in: somebody who has just come in, or the one who is here.
    pub(super) fn walk_in(is_new: bool) -> Self {
        Self {
            id: Some(ClientId::of_walk_in()),
            kind: Kind::WalkIn { is_new },
            then_plan: is_new,
            ..Self::new_client(NAME)
        }
    }

    /// What protects: the age, who answers for a minor, and what limits the work.
    pub(super) fn walk_in_rows(&self) -> Vec<Row> {
        let mut rows = vec![Row::Born];
        rows.extend(self.guardian_shown.then_some(Row::Guardian));
        rows.extend((0..self.card.conditions.len()).map(Row::Recorded));
        rows.push(Row::AddCondition);
        rows
    }

    pub(super) fn walk_in_mode(&self, row: Row) -> Mode {
        match row {
            Row::Recorded(index) if self.has_side(index) => Mode::WalkInSide,
            Row::Recorded(_) => Mode::WalkInCondition,
            _ => Mode::WalkInText,
        }
    }

    /// Asks for what there is to be read.
    pub(super) fn open(&self, context: &mut Context<'_>) {
        match (self.kind, &self.id) {
            // Whoever was here before has no part in it.
            (Kind::WalkIn { is_new: true }, _) => context.ask(Effect::LetWalkInGo),
            (Kind::Keeping, _) => context.ask(Effect::Load(ClientId::of_walk_in())),
            (_, Some(id)) => context.ask(Effect::Load(id.clone())),
            (_, None) => {}
        }
    }

    /// Whether what was typed is saved where the program ends: not of a walk-in, unless a name was given.
    pub(super) fn is_to_be_kept(&self) -> bool {
        match self.kind {
            Kind::Client => true,
            Kind::WalkIn { .. } => false,
            Kind::Keeping => !self.card.name.text().trim().is_empty(),
        }
    }

    /// Takes in what is known of the walk-in of whom a card may be kept; the name is still to be asked.
    pub(super) fn fill_from_walk_in(&mut self, client: &Client, catalogue: &Catalogue) {
        self.fill(client, catalogue);
        self.card.name.clear();
        self.at = 0;
    }

    /// The card is there: what was done goes into its file.
    pub(super) fn keep_walk_in(&mut self, id: &ClientId, context: &mut Context<'_>) {
        // Whoever tries again goes on with this card.
        if let Some(read) = &mut self.read {
            let profile = &mut Arc::make_mut(read).profile;
            profile.id.clone_from(id);
            self.card.name.text().trim().clone_into(&mut profile.name);
        }
        self.id = Some(id.clone());
        context.ask(Effect::KeepWalkIn(id.clone()));
    }

    /// Nothing is kept, where that was said once before.
    pub(super) fn let_walk_in_go(&mut self, is_sure: bool, context: &mut Context<'_>) -> Go {
        if !is_sure {
            self.pending = Pending::Dropped;
            context.shared.say(Tone::Caution, "Esc once more lets the walk-in go: nothing of them is kept");
            return Go::Stay;
        }
        context.ask(Effect::LetWalkInGo);
        context.shared.say(Tone::Text, "the walk-in is gone, and nothing of them is kept");
        Go::Home
    }
}
