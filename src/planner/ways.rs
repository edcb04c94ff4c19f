//! The ways of doing one form: methods and doses on each side, what they count for each unit and what they cost.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Level, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Form, Helper, Method, Position, Sides, Stretch};
use crate::caution::Allowance;
use crate::client::{Aim, Consent};

use super::demand::Demand;
use super::menu::Usable;
use super::plan::Dose;
use super::problem::Choice;
use super::request::PlanRequest;
use super::tariff;

/// What is done on one side in one way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SideDose {
    /// The side; none if both at once.
    pub side: Option<Side>,
    /// How and how long.
    pub dose: Dose,
    /// The level to aim at.
    pub aim: Level,
}

/// What a choice stands for: a form and its doses, the first side first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// Index of the form in its stretch.
    pub form: usize,
    /// How it is worked.
    pub method: Method,
    /// What is done on each side.
    pub sides: Vec<SideDose>,
}

/// Makes the ways of forms.
pub(super) struct Ways<'a, 'b> {
    pub(super) request: &'b PlanRequest<'a>,
    pub(super) demand: &'b Demand,
    pub(super) index: &'b BTreeMap<Unit, usize>,
    pub(super) split: &'b BTreeSet<Muscle>,
    pub(super) first: Side,
}

impl Ways<'_, '_> {
    /// Every way of a form, with the choice that it makes.
    pub(super) fn of(&self, stretch: &Stretch, usable: &Usable<'_>) -> Vec<(Way, Choice)> {
        let form = usable.form;
        let mut ways = Vec::new();
        let wished = self.request.wishes.doses.get(&stretch.id);
        for &method in Method::ALL {
            let doses = |side: Option<Side>| -> Vec<(Dose, Level)> {
                let mut doses = self.allowed_doses(usable, side, method);
                if let Some(nearest) = wished.and_then(|wished| self.nearest(usable, side, *wished)) {
                    doses.retain(|(dose, _)| dose.held() == nearest);
                }
                doses
            };
            let on = |side: Option<Side>, (dose, aim): (Dose, Level)| SideDose { side, dose, aim };
            let mut sides: Vec<Vec<SideDose>> = Vec::new();
            if form.sides == Sides::Both {
                sides.extend(doses(None).into_iter().map(|dose| vec![on(None, dose)]));
            } else {
                let (one, two) = (Some(self.first), Some(self.first.other()));
                let (ones, twos) = (doses(one), doses(two));
                for &dose in &ones {
                    if let Some(&same) = twos.iter().find(|other| other.0 == dose.0) {
                        sides.push(vec![on(one, dose), on(two, same)]);
                    }
                }
                if form.targets.iter().any(|target| self.split.contains(&target.muscle)) {
                    // The tighter side longer by one dose, or one side alone.
                    if let Some(tight) = self.tighter(form) {
                        for (shorter, longer) in ones.iter().zip(ones.iter().skip(1)) {
                            let (mine, other) =
                                if tight == self.first { (longer, shorter) } else { (shorter, longer) };
                            if let Some(&other) = twos.iter().find(|dose| dose.0 == other.0) {
                                sides.push(vec![on(one, *mine), on(two, other)]);
                            }
                        }
                    }
                    sides.extend(ones.iter().map(|&dose| vec![on(one, dose)]));
                    sides.extend(twos.iter().map(|&dose| vec![on(two, dose)]));
                }
            }
            ways.extend(sides.into_iter().map(|sides| {
                let choice = self.choice(stretch, form, &sides);
                (Way { form: usable.index, method, sides }, choice)
            }));
        }
        ways
    }

    /// Whether a side wants any of a form's muscles and has had nothing of it yet.
    fn awaits(&self, form: &Form, side: Side) -> bool {
        let units = form.targets.iter().map(|target| Unit { muscle: target.muscle, side });
        let had =
            |unit: &Unit| self.request.progress.is_some_and(|progress| progress.done.contains_key(unit));
        units.filter(|unit| !had(unit)).any(|unit| self.demand.contains_key(&unit))
    }

    /// The side on which a form's muscles want more.
    fn tighter(&self, form: &Form) -> Option<Side> {
        let want = |side: Side| -> i32 {
            form.targets
                .iter()
                .filter_map(|target| self.demand.get(&Unit { muscle: target.muscle, side }))
                .map(|want| want.points)
                .sum()
        };
        match want(Side::Left).cmp(&want(Side::Right)) {
            std::cmp::Ordering::Greater => Some(Side::Left),
            std::cmp::Ordering::Less => Some(Side::Right),
            std::cmp::Ordering::Equal => None,
        }
    }

    fn allowed_doses(&self, usable: &Usable<'_>, side: Option<Side>, method: Method) -> Vec<(Dose, Level)> {
        let rule = usable.allowed.iter().find(|allowed| allowed.0 == side && allowed.1 == method);
        rule.map(|rule| self.doses(usable.form, side, method, &rule.2)).unwrap_or_default()
    }

    /// The seconds under stretch nearest to those wished for that any method allows on a side; of two, the fewer.
    fn nearest(&self, usable: &Usable<'_>, side: Option<Side>, wished: Seconds) -> Option<Seconds> {
        Method::ALL
            .iter()
            .flat_map(|&method| self.allowed_doses(usable, side, method))
            .map(|(dose, _)| dose.held())
            .min_by_key(|held| (held.get().abs_diff(wished.get()), *held))
    }

    fn doses(&self, form: &Form, side: Option<Side>, method: Method, rule: &Allowance) -> Vec<(Dose, Level)> {
        match method {
            Method::Static => form
                .holds
                .iter()
                .filter(|hold| rule.admits_hold(**hold))
                .map(|&hold| (Dose::Hold(hold), rule.aim))
                .collect(),
            Method::ContractRelax if self.wants_range(form, side) => form
                .contract_relax
                .iter()
                .filter(|dose| rule.admits(dose))
                .map(|&dose| (Dose::ContractRelax(dose), rule.aim))
                .collect(),
            Method::ContractRelax => Vec::new(),
        }
    }

    /// Contract-relax is for a client who wants range or a muscle that is known to be tight.
    fn wants_range(&self, form: &Form, side: Option<Side>) -> bool {
        let main = form.targets.iter().filter(|target| target.share >= 75).map(|target| target.muscle);
        self.request.client.profile.aims.contains(&Aim::Range)
            || main.into_iter().any(|muscle| {
                Side::ALL
                    .iter()
                    .filter(|&&s| side.is_none_or(|side| side == s))
                    .any(|&side| self.demand.get(&Unit { muscle, side }).is_some_and(|want| want.tight))
            })
    }

    fn choice(&self, stretch: &Stretch, form: &Form, sides: &[SideDose]) -> Choice {
        let mut gains: BTreeMap<usize, usize> = BTreeMap::new();
        for done in sides {
            for target in &form.targets {
                let ticks = tariff::whole_ticks(credit(done.dose) * u32::from(target.share) / 100);
                for &side in Side::ALL.iter().filter(|&&side| done.side.is_none_or(|worked| worked == side)) {
                    let unit = Unit { muscle: target.muscle, side };
                    if let Some(&index) = self.index.get(&unit).filter(|_| ticks > 0) {
                        // Sides that are not told apart share one unit: what one side gets counts once.
                        let gain = gains.entry(index).or_default();
                        *gain = (*gain).max(ticks);
                    }
                }
            }
        }
        let time = sides.iter().map(|done| side_time(form, done.dose)).sum();
        Choice {
            position: form.position as usize,
            time: tariff::whole_ticks(time),
            second_side: sides.iter().any(|done| done.side == Some(self.first.other())),
            gains: gains.into_iter().collect(),
            cost: self.cost(stretch, form, sides),
        }
    }

    /// What a way costs, in grains.
    fn cost(&self, stretch: &Stretch, form: &Form, sides: &[SideDose]) -> i32 {
        let profile = &self.request.client.profile;
        let mut cost = 0;
        for _ in sides {
            cost += tariff::STEP + tariff::strain(form.strain);
        }
        if form.helper == Helper::Client && self.request.consent == Consent::HandsOn {
            cost += tariff::UNASKED_SELF;
        }
        if let [SideDose { side: Some(side), .. }] = sides
            && self.awaits(form, side.other())
        {
            cost += tariff::LONE_SIDE;
        }
        if profile.likes.contains(&stretch.id) {
            cost += tariff::LIKED;
        }
        if profile.dislikes.contains(&stretch.id) {
            cost += tariff::DISLIKED;
        }
        cost
    }
}

/// Seconds that a dose counts for: contract-relax half as much again, where a client wants range. Our judgement,
/// after Konrad et al. 2024 (effect of training 1.28 against 1.0 for static) and Caplan et al. 2009.
fn credit(dose: Dose) -> u32 {
    match dose {
        Dose::Hold(hold) => hold.get(),
        Dose::ContractRelax(_) => dose.held().get() * 3 / 2,
    }
}

/// Seconds that one side takes, set-up included, in whole fives.
pub(super) fn side_time(form: &Form, dose: Dose) -> u32 {
    (form.setup + dose.length()).get().div_ceil(tariff::TICK) * tariff::TICK
}

/// Seconds of the way from a position, or from the start, onto a side in another one, as plans count it.
pub fn way(from: Option<(Position, Option<Side>)>, to: (Position, Option<Side>), older: bool) -> Seconds {
    if let Some((_, before)) = from.filter(|from| from.0 == to.0) {
        let turns = before.is_some() && to.1.is_some() && before != to.1;
        return Seconds::new(if turns { tariff::turn(to.0) } else { 0 });
    }
    Seconds::new(tariff::change(from.map(|from| from.0), to.0, older))
}
