//! What pain leaves of a stretch on its way back: the forms, holds and aim of a day, before anything is chosen.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::{Muscle, Seconds, Side, Unit};
use crate::catalogue::{Form, Helper, Stretch, StretchId};
use crate::caution::{NextTry, PainStep, Restrictions};
use crate::client::Consent;
use crate::insight::pain::{PainStage, WayBack};

use super::demand::Demand;
use super::request::PlanRequest;
use super::tariff;
use super::why::Why;

/// The stretches on their way back, as far as a day has to do with them.
#[derive(Debug)]
pub(super) struct AfterPain {
    /// All that limits the day, pain included.
    pub(super) limits: Restrictions,
    /// The careful tries of the day: one, and what the trainer insists on.
    tries: BTreeMap<(StretchId, Side), Why>,
    /// The last pain of each stretch and side that is on the way back.
    hurt: BTreeMap<(StretchId, Side), NaiveDate>,
}

impl AfterPain {
    pub(super) fn new(request: &PlanRequest, demand: &Demand) -> Self {
        let due = due(request, demand);
        let (mut steps, mut tries, mut hurt) = (Vec::new(), BTreeMap::new(), BTreeMap::new());
        for way in request.today.learned.ways_back() {
            let Some(stretch) = request.today.catalogue.stretch(&way.stretch) else { continue };
            let pinned = request.wishes.pinned.contains(&stretch.id);
            let step = step(request, stretch, way, pinned || due == Some(&stretch.id));
            hurt.insert((stretch.id.clone(), way.side), way.on);
            if matches!(step.again, NextTry::Gentlest | NextTry::Form(_)) {
                let why = Why::AfterPain { on: way.on, painless: way.painless };
                tries.insert((stretch.id.clone(), way.side), why);
            }
            steps.push(step);
        }
        Self { limits: request.today.restrictions.as_ref().clone().with_pain(steps), tries, hurt }
    }

    /// Why a step is a careful try; nothing if it is none.
    pub(super) fn tried(&self, stretch: &StretchId, side: Option<Side>) -> Option<&Why> {
        let sides = Side::ALL.iter().filter(|&&tried| side.is_none_or(|side| side == tried));
        sides.into_iter().find_map(|&side| self.tries.get(&(stretch.clone(), side)))
    }

    /// Whether a way of doing a stretch on these sides is a careful try.
    pub(super) fn is_try(&self, stretch: &StretchId, mut sides: impl Iterator<Item = Option<Side>>) -> bool {
        sides.any(|side| self.tried(stretch, side).is_some())
    }

    /// The last pain of a stretch on a side, or on either.
    pub(super) fn hurt(&self, stretch: &StretchId, side: Option<Side>) -> Option<NaiveDate> {
        let sides = Side::ALL.iter().filter(|&&hurt| side.is_none_or(|side| side == hurt));
        sides.filter_map(|&side| self.hurt.get(&(stretch.clone(), side))).max().copied()
    }
}

/// The stretch of the day's careful try: the longest waiting of those that the day wants, if none was tried before in
/// the same block.
fn due<'a>(request: &'a PlanRequest, demand: &Demand) -> Option<&'a StretchId> {
    let tries = request.today.learned.tries();
    let is_over =
        |way: &&WayBack| request.progress.as_ref().is_some_and(|now| now.finished.contains(&way.stretch));
    if tries.iter().any(is_over) {
        return None;
    }
    let wanted = |muscle: Muscle| Side::ALL.iter().any(|&side| demand.contains_key(&Unit { muscle, side }));
    let is_due = |way: &&WayBack| {
        let Some(stretch) = request.today.catalogue.stretch(&way.stretch) else { return false };
        !request.wishes.skipped.contains(&way.stretch)
            && may_be_tried(request, stretch, way).any(|(_, form)| tariff::serves(form).any(wanted))
    };
    tries.into_iter().find(is_due).map(|way| &way.stretch)
}

/// The forms of a stretch up to the one that hurt that are at hand and allowed, gentlest first, by their places.
fn may_be_tried<'a>(
    request: &'a PlanRequest,
    stretch: &'a Stretch,
    way: &'a WayBack,
) -> impl Iterator<Item = (usize, &'a Form)> {
    let last = stretch.forms.iter().position(|form| form.id == way.form).unwrap_or(0);
    let at_hand = move |form: &Form| {
        form.equipment.iter().all(|needed| request.trainer.equipment.contains(needed))
            && (request.consent != Consent::SelfStretch || form.helper == Helper::Client)
    };
    let allowed = move |form: &Form| {
        let mut here = form.workings().iter().filter(|side| side.is_none_or(|side| side == way.side));
        here.any(|&side| request.today.restrictions.allows(stretch, form, side))
    };
    let forms = stretch.forms.iter().enumerate().take(last + 1);
    forms.filter(move |(_, form)| at_hand(form) && allowed(form))
}

/// What the model's step leaves of a stretch. What the trainer insists on is a careful try at least; what is closed
/// stays so until it is cleared.
fn step(request: &PlanRequest, stretch: &Stretch, way: &WayBack, is_turn: bool) -> PainStep {
    let rests = way.stage == PainStage::Rest && !is_turn;
    let gentlest = may_be_tried(request, stretch, way).next();
    let hurting = || may_be_tried(request, stretch, way).last();
    let (again, longest_hold) = match way.stage {
        PainStage::Closed => (NextTry::Closed, None),
        PainStage::Rest if rests => (NextTry::Rest, None),
        _ if !is_turn => (NextTry::Later, None),
        PainStage::Rest | PainStage::Try | PainStage::Gentle => match gentlest {
            None => (NextTry::Later, None),
            Some((place, form)) => {
                let again = if place == 0 { NextTry::Gentlest } else { NextTry::Form(form.id.clone()) };
                // Where there is no gentler form than the one that hurt, less of it takes its place.
                let is_gentler = form.id != way.form;
                let usual = way.stage == PainStage::Gentle && is_gentler;
                (again, Some(if usual { usual_hold(form) } else { half_hold(form) }))
            }
        },
        PainStage::Form => match hurting() {
            None => (NextTry::Later, None),
            Some((_, form)) => (NextTry::Form(form.id.clone()), Some(half_hold(form))),
        },
    };
    PainStep {
        stretch: stretch.id.clone(),
        side: way.side,
        on: way.on,
        again,
        longest_hold,
        resting: if way.stage == PainStage::Rest { way.muscles.clone() } else { Vec::new() },
    }
}

/// The usual hold of a form: 30 s, or the longest below it.
fn usual_hold(form: &Form) -> Seconds {
    let up_to = form.holds.iter().filter(|hold| **hold <= tariff::USUAL_HOLD).max();
    up_to.or(form.holds.iter().min()).copied().unwrap_or(tariff::USUAL_HOLD)
}

/// Half of it, as far as the form has so short a hold.
fn half_hold(form: &Form) -> Seconds {
    let half = Seconds::new(usual_hold(form).get().div_ceil(2));
    let up_to = form.holds.iter().filter(|hold| **hold <= half).max();
    up_to.or(form.holds.iter().min()).copied().unwrap_or(half)
}
