//! How much each muscle on each side wants stretching today, and why.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Effort, Muscle, MuscleGroup, Side, Unit};
use crate::client::Aim;
use crate::insight::{Learned, UnitFinding};

use super::request::PlanRequest;
use super::tariff::{self, Curve};
use super::why::Cause;

/// What one unit wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Demanded {
    /// What a grain of its curve counts.
    pub weight: i32,
    /// What seconds are worth to it.
    pub curve: Curve,
    /// Why; the first is the main one.
    pub causes: Vec<Cause>,
    /// Whether this side is tight.
    pub tight: bool,
    /// Whether contract-relax counts for more here: the client, not yet 65, wants range, or the side is known to be tight.
    pub wants_range: bool,
}

impl Demanded {
    /// Whether nothing but minutes that are left asks for it.
    pub fn is_ease(&self) -> bool {
        self.causes.iter().all(|cause| *cause == Cause::Ease)
    }
}

/// What every unit wants; units that want nothing are not in it.
pub type Demand = BTreeMap<Unit, Demanded>;

/// Works out the demand of a day.
pub fn demand(request: &PlanRequest) -> Demand {
    let profile = &request.today.client.profile;
    let range = profile.aims.contains(&Aim::Range);
    let older = request.is_older();
    let learned = &request.today.learned;
    let tight = tight(request, learned);
    let (part, whole) = tariff::COUNTED_WITH;
    let whole_is_wanted =
        request.trained.contains_key(&whole) || tight.keys().any(|unit| unit.muscle == whole);
    let counted_as = |muscle: Muscle| if muscle == part && whole_is_wanted { whole } else { muscle };
    let mut demand = Demand::new();
    let mut want = |unit: Unit, weight: i32, cause: Cause| {
        let deep = range && unit.muscle.comes_first();
        let curve = if deep {
            tariff::RANGE
        } else if older {
            tariff::OLDER
        } else {
            tariff::USUAL
        };
        let nothing = Demanded { weight: 0, curve, causes: Vec::new(), tight: false, wants_range: range };
        let demanded = demand.entry(unit).or_insert(nothing);
        demanded.weight += weight;
        demanded.causes.push(cause);
    };
    for (muscle, effort) in trained(request, counted_as) {
        for unit in both_sides(muscle) {
            want(unit, tariff::trained(muscle, effort), Cause::Trained(effort));
            let neglect = learned.neglected().iter().find(|neglect| neglect.unit == unit && neglect.run > 0);
            if let Some(neglect) = neglect {
                want(unit, tariff::neglected(muscle, neglect.points()), Cause::Neglected(*neglect));
            }
        }
    }
    if profile.aims.contains(&Aim::Desk) {
        for &muscle in MuscleGroup::Desk.muscles() {
            for unit in both_sides(muscle) {
                want(unit, tariff::desk(muscle), Cause::Desk);
            }
        }
    }
    for (unit, found) in tight {
        let unit = Unit { muscle: counted_as(unit.muscle), ..unit };
        add_tight(&mut demand, unit, found, range);
    }
    add_to_compare(&mut demand, if older { tariff::OLDER } else { tariff::USUAL }, range);
    if request.has_time_for_ease(demand.keys().map(|unit| unit.muscle).collect::<BTreeSet<_>>().len()) {
        add_ease(&mut demand, counted_as);
    }
    if older {
        // What contract-relax does more was not found in the old: it counts as a still hold.
        for demanded in demand.values_mut() {
            demanded.wants_range = false;
        }
    }
    demand
}

fn both_sides(muscle: Muscle) -> impl Iterator<Item = Unit> {
    Side::ALL.iter().map(move |&side| Unit { muscle, side })
}

/// What was trained, each muscle once and with the harder effort.
fn trained(request: &PlanRequest, counted_as: impl Fn(Muscle) -> Muscle) -> BTreeMap<Muscle, Effort> {
    let mut trained: BTreeMap<Muscle, Effort> = BTreeMap::new();
    for (&muscle, &effort) in &request.trained {
        let known = trained.entry(counted_as(muscle)).or_insert(effort);
        *known = (*known).max(effort);
    }
    trained
}

/// The units that are tight, and why. What was only answered is worked longer where it is worked anyway; what was noted
/// or measured is worked at all.
fn tight(request: &PlanRequest, learned: &Learned) -> BTreeMap<Unit, Vec<UnitFinding>> {
    let mut tight = BTreeMap::new();
    for unit in Muscle::ALL.iter().flat_map(|&muscle| both_sides(muscle)) {
        let mut found = learned.found(unit);
        found.retain(|found| !matches!(found, UnitFinding::Neglected(_)));
        let is_known = found.iter().any(|found| match found {
            UnitFinding::Tighter(sides) => sides.is_measured(),
            _ => true,
        });
        if is_known || (!found.is_empty() && request.trained.contains_key(&unit.muscle)) {
            tight.insert(unit, found);
        }
    }
    tight
}

fn add_tight(demand: &mut Demand, unit: Unit, found: Vec<UnitFinding>, range: bool) {
    let curve = if range && unit.muscle.comes_first() { tariff::RANGE } else { tariff::TIGHT_SIDE };
    let nothing = Demanded { weight: 0, curve, causes: Vec::new(), tight: true, wants_range: range };
    let demanded = demand.entry(unit).or_insert(nothing);
    // Two muscles of one place may be tight, and count once.
    if !demanded.causes.iter().any(|cause| matches!(cause, Cause::Tight(_))) {
        demanded.weight = (demanded.weight + tariff::TIGHT).max(tariff::TIGHT_AT_LEAST);
        demanded.causes.push(Cause::Tight(found));
    }
    if demanded.curve != tariff::RANGE {
        demanded.curve = tariff::TIGHT_SIDE;
    }
    demanded.tight = true;
    demanded.wants_range = true;
}

/// The other side of what is tight wants at least so much that the two can be compared.
fn add_to_compare(demand: &mut Demand, curve: Curve, range: bool) {
    let tight = demand.iter().filter(|(_, demanded)| demanded.tight).map(|(unit, _)| unit.other_side());
    for unit in tight.collect::<Vec<_>>() {
        let nothing = Demanded { weight: 0, curve, causes: Vec::new(), tight: false, wants_range: range };
        let demanded = demand.entry(unit).or_insert(nothing);
        if demanded.weight < tariff::TO_COMPARE {
            demanded.weight = tariff::TO_COMPARE;
            demanded.causes.push(Cause::ToCompare);
        }
    }
}

/// What does good beside what is wanted, in the same half of the body.
fn add_ease(demand: &mut Demand, counted_as: impl Fn(Muscle) -> Muscle) {
    let wanted: BTreeSet<Muscle> = demand.keys().map(|unit| unit.muscle).collect();
    let beside: BTreeSet<Muscle> =
        wanted.iter().flat_map(|&muscle| tariff::ease_beside(muscle)).copied().collect();
    for muscle in beside.into_iter().filter(|&muscle| !wanted.contains(&counted_as(muscle))) {
        for unit in both_sides(muscle) {
            let causes = vec![Cause::Ease];
            let (weight, curve) = (tariff::EASE, tariff::FOR_EASE);
            demand.insert(unit, Demanded { weight, curve, causes, tight: false, wants_range: false });
        }
    }
}
