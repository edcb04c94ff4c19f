//! What a plan is asked for, and why there may be none.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::body::{Minutes, Seconds};
use crate::catalogue::{Form, FormId, StretchId};
use crate::client::{Consent, Trained, Trainer};
use crate::strain::{ClientMass, LoadToday};

use super::habits::{self, FormStanding};
use super::progress::Progress;
use super::tariff;
use super::today::Today;

/// What the trainer insists on or sets aside.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Wishes {
    /// Stretches that must be in the plan.
    pub pinned: Vec<StretchId>,
    /// Stretches that must not be in it.
    pub skipped: Vec<StretchId>,
    /// The form to use of a stretch, if it is used.
    pub forms: BTreeMap<StretchId, FormId>,
    /// Whether minutes that nothing needs are handed back instead of filled.
    pub no_ease: bool,
    /// Whether the client takes the massage finish out of the consent today.
    pub no_massage: bool,
    /// Seconds under stretch that each side is to get of a stretch, if it is used; the nearest that is allowed counts.
    pub doses: BTreeMap<StretchId, Seconds>,
}

impl Wishes {
    /// Whether the plan is left to choose freely.
    pub fn corrects_nothing(&self) -> bool {
        self.pinned.is_empty() && self.skipped.is_empty() && self.forms.is_empty()
    }

    /// Keeps a stretch in the plan.
    pub fn pin(&mut self, stretch: &StretchId) {
        if !self.pinned.contains(stretch) {
            self.pinned.push(stretch.clone());
        }
    }
}

/// Everything that a plan depends on. The same request has the same plan, on every machine.
#[derive(Debug, Clone)]
pub struct PlanRequest {
    /// Who it is for, and what holds for them on the day.
    pub today: Arc<Today>,
    /// Who does it, and with what.
    pub trainer: Arc<Trainer>,
    /// What was trained, and how hard.
    pub trained: Trained,
    /// The minutes from 'start' to 'client stands up'.
    pub minutes: Minutes,
    /// What the client agrees to.
    pub consent: Consent,
    /// What the trainer wants.
    pub wishes: Wishes,
    /// In mid-session, what has been done and what time is left; it then counts instead of the minutes.
    pub progress: Option<Progress>,
}

/// Conditions with which a client is very mobile and gets few, longer and gentler steps.
const VERY_MOBILE: [&str; 2] = ["hypermobility", "hypermobility-disorder"];

impl PlanRequest {
    /// Whether the client is old enough for longer holds and slower ways.
    pub(super) fn is_older(&self) -> bool {
        self.today.age.is_some_and(|age| age >= tariff::OLDER_FROM)
    }

    /// Whether the client is very mobile.
    pub(super) fn is_very_mobile(&self) -> bool {
        self.today
            .restrictions
            .in_force()
            .iter()
            .any(|condition| VERY_MOBILE.contains(&condition.id.as_str()))
    }

    /// What the plan reckons with for the trainer's own body: fixed before planning, so that it is part of the problem.
    pub(super) fn load(&self) -> LoadToday {
        LoadToday {
            mass: ClientMass::of(self.today.client.profile.mass),
            so_far: self.today.worked,
            sore: self.trainer.sore_on(self.today.on).collect(),
        }
    }

    /// How a form stands with the trainer, for this client.
    pub(super) fn standing(&self, stretch: &StretchId, form: &Form) -> FormStanding {
        habits::standing(
            &self.today.client.profile.habits,
            &self.trainer.habits,
            stretch,
            &form.id,
            form.usual,
        )
    }

    /// Whether hands are agreed: today, and by nothing on the card refused.
    pub(super) fn hands_on(&self) -> bool {
        self.consent == Consent::HandsOn && !self.today.client.profile.refuses_hands()
    }

    /// Whether hands are what was asked for, so that a form that is done alone counts for less; a very mobile client
    /// keeps to the middle of the range better alone.
    pub(super) fn wants_hands(&self) -> bool {
        self.hands_on() && !self.is_very_mobile()
    }

    /// Whether hands are wanted of a form: not of one that the trainer says is the usual one, though it is done alone.
    pub(super) fn wants_hands_on(&self, stretch: &StretchId, form: &Form) -> bool {
        self.wants_hands() && self.standing(stretch, form) != FormStanding::YourUsual
    }

    /// The most stretches that a caution still allows; those that are over count.
    pub(super) fn most_stretches(&self) -> Option<usize> {
        let over = self.progress.as_ref().map_or(0, |progress| progress.finished.len());
        self.today.restrictions.most_stretches().map(|most| usize::from(most).saturating_sub(over))
    }

    /// Seconds of the massage finish, if the client is to have one: of the whole block, or of what is left of it.
    pub(super) fn massage(&self) -> u32 {
        let long_enough = match &self.progress {
            Some(progress) => progress.left.get() >= 2 * tariff::MASSAGE,
            None => self.block_has_time_for_massage(),
        };
        if long_enough && self.massage_is_agreed() { tariff::MASSAGE } else { 0 }
    }

    fn block_has_time_for_massage(&self) -> bool {
        self.minutes.get() >= tariff::MASSAGE_FROM
    }

    fn massage_is_agreed(&self) -> bool {
        !self.wishes.no_massage
            && self.trainer.may_massage
            && self.today.client.profile.wants_massage()
            && self.today.restrictions.massage_allowed()
            && self.hands_on()
    }

    /// Whether so many wanted muscles leave minutes of the block for ease. In mid-block it is still the whole block
    /// that counts, or steps would come and go; a very mobile client gets no more than is wanted.
    pub(super) fn has_time_for_ease(&self, muscles: usize) -> bool {
        let massage =
            if self.block_has_time_for_massage() && self.massage_is_agreed() { tariff::MASSAGE } else { 0 };
        let block = self.minutes.seconds().get().saturating_sub(tariff::OPENING + massage);
        let filled = u32::try_from(muscles).unwrap_or(u32::MAX).saturating_mul(tariff::FILLS);
        filled < block && !self.is_very_mobile() && !self.wishes.no_ease
    }
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// A condition stops the session.
    #[error("no stretching today: {0}")]
    Stop(String),
    /// The client does not want a closing block.
    #[error("the client declined; there is nothing to plan")]
    Declined,
    /// Nothing wants stretching, or nothing may be done about it.
    #[error("nothing to plan: {0}")]
    NothingToDo(String),
    /// The time is too short for anything at all.
    #[error("{} seconds are too short for any stretch that is needed; add a minute", .0.get())]
    TooShort(Seconds),
    /// A pinned stretch is not in the catalogue.
    #[error("there is no stretch `{0}` in the catalogue")]
    Unknown(StretchId),
    /// A pinned stretch may not be done.
    #[error("`{stretch}` cannot be kept in the plan: {detail}")]
    PinnedRuledOut {
        /// The stretch.
        stretch: StretchId,
        /// The reason in words.
        detail: String,
    },
    /// The pinned stretches alone take longer than there is.
    #[error("the stretches to be kept need {} seconds more than there are; let one go or add time", .missing.get())]
    PinnedDoNotFit {
        /// By how much.
        missing: Seconds,
    },
}
