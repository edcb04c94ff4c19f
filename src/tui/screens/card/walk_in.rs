//! The card of a walk-in, of which nothing is kept, and the card that is kept of one in the end.

use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::client::{Client, ClientId, Profile};
use crate::tui::effect::Effect;
use crate::tui::go::Go;
use crate::tui::keys::Mode;
use crate::tui::shared::Context;
use crate::tui::theme::Tone;

use super::{Pending, Row, State};

/// What a walk-in is called where a name stands.
const NAME: &str = "Walk-in";

/// Whether a walk-in has a part in a card.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Kind {
    /// A client's card.
    #[default]
    Client,
    /// What is asked of a walk-in.
    WalkIn {
        /// Whether it is somebody who has just come in.
        is_new: bool,
    },
    /// The card that is kept of a walk-in, if it gets a name.
    Keeping,
}

impl Kind {
    pub(super) const fn is_walk_in(self) -> bool {
        matches!(self, Self::WalkIn { .. })
    }

    /// What leaving the program would lose.
    pub(super) fn unsaved(self, is_changed: bool) -> Option<&'static str> {
        match self {
            Self::Client => is_changed.then_some("the card is not saved: Ctrl-S saves it"),
            Self::WalkIn { .. } => None,
            Self::Keeping => Some("nothing of the walk-in is kept: a name and Ctrl-S keep a card"),
        }
    }

    /// Why a profile does not do yet: of a walk-in nothing is known, so what the age limits has to be asked.
    pub(super) fn check(self, profile: &Profile) -> Result<(), String> {
        let misses = self.is_walk_in() && profile.born.is_none();
        if misses { Err("ask the year of birth: it says what the age limits".to_owned()) } else { Ok(()) }
    }

    /// The heading, with what is said beside it.
    pub(super) const fn heading(self) -> Option<(&'static str, &'static str)> {
        match self {
            Self::Client => None,
            Self::WalkIn { .. } => Some((NAME, "no card kept")),
            Self::Keeping => Some(("Keep a card?", "name, Ctrl-S: kept; Esc: nothing is kept")),
        }
    }

    /// What becomes of what is asked.
    pub(super) const fn says(self) -> Option<&'static str> {
        match self {
            Self::Client => None,
            Self::WalkIn { .. } => Some(
                "Ask the year of birth and what limits the work; the health check and consent follow, as for anybody. Nothing of it is written into the data folder, unless you keep a card when the block is closed. Your own minutes of the day count.",
            ),
            Self::Keeping => Some(
                "Type the name and press Ctrl-S: the card is kept with the health check, the conditions and this block. Esc lets the walk-in go, and nothing of them is kept.",
            ),
        }
    }
}

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
