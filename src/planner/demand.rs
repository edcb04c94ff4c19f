//! How much each muscle on each side wants stretching today, and why.

use std::collections::BTreeMap;

use crate::body::{Effort, Muscle, MuscleGroup, Side, Unit};
use crate::client::Aim;
use crate::insight;

use super::request::PlanRequest;
use super::tariff;

/// What one unit wants.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Demanded {
    /// Points for a whole dose.
    pub points: i32,
    /// Why, in words; the first is the main one.
    pub reasons: Vec<String>,
    /// Whether this side is known to be tight.
    pub tight: bool,
}

/// What every unit wants; units that want nothing are not in it.
pub type Demand = BTreeMap<Unit, Demanded>;

/// Works out the demand of a day.
pub fn demand(request: &PlanRequest<'_>) -> Demand {
    let mut demand = Demand::new();
    let mut add = |unit: Unit, points: i32, reason: String, tight: bool| {
        let want = demand.entry(unit).or_default();
        want.points += points;
        want.tight |= tight;
        want.reasons.push(reason);
    };
    let both = |muscle: Muscle| Side::ALL.iter().map(move |&side| Unit { muscle, side });
    for (&muscle, &effort) in request.trained {
        for unit in both(muscle) {
            add(unit, tariff::trained(effort), trained_text(effort).to_owned(), false);
        }
    }
    if request.client.profile.aims.contains(&Aim::Desk) {
        for &muscle in MuscleGroup::Desk.muscles() {
            for unit in both(muscle) {
                add(unit, tariff::DESK, "sits a lot".to_owned(), false);
            }
        }
    }
    for (unit, tightness) in insight::tightness(request.client, request.catalogue, request.today) {
        // A unit that only seems tight is worked longer where it is worked anyway; what was noted or measured is
        // worked at all.
        let known = request.client.profile.is_tight(unit) || tightness.short.is_some();
        if known || request.trained.contains_key(&unit.muscle) {
            let reason = match &tightness.short {
                Some(short) => format!("{} side {short}", unit.side),
                None => format!("{} side tight", unit.side),
            };
            add(unit, tariff::TIGHT, reason, tightness.points >= 2);
        }
    }
    demand
}

const fn trained_text(effort: Effort) -> &'static str {
    match effort.get() {
        1 => "trained a little today",
        2 => "trained today",
        _ => "trained hard today",
    }
}
