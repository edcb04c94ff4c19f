//! The ways of doing one form: methods and doses on each side, what they count for each unit and what they cost.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Kilograms, Level, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Dose, Form, Helper, Method, Position, Sides, Stretch};
use crate::caution::Allowance;
use crate::client::Aim;
use crate::strain::{ClientMass, LoadToday, SideWork, StepLoad};

use super::after_pain::AfterPain;
use super::apart::Apart;
use super::demand::Demand;
use super::problem::Choice;
use super::request::PlanRequest;
use super::tariff::{self, CountedHold};
use super::usable::Usable;

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

/// Seconds that a hold counts for each wanted unit that it reaches; those for which it counts nothing are not in it.
pub(super) fn counted<'a>(
    form: &'a Form,
    worked: CountedHold,
    demand: &'a Demand,
) -> impl Iterator<Item = (Unit, u32)> + 'a {
    let sides = Side::ALL.iter().filter(move |&&side| worked.side.is_none_or(|only| only == side));
    sides.flat_map(move |&side| {
        form.targets.iter().filter_map(move |&target| {
            let unit = Unit { muscle: target.muscle, side };
            let seconds = tariff::counted(form, target, worked, demand.get(&unit)?.wants_range);
            (seconds > 0).then_some((unit, seconds))
        })
    })
}

/// Makes the ways of forms.
pub(super) struct Ways<'b> {
    pub(super) request: &'b PlanRequest,
    pub(super) demand: &'b Demand,
    pub(super) index: &'b BTreeMap<Unit, usize>,
    pub(super) split: &'b BTreeSet<Muscle>,
    /// Seconds that each unit had already.
    pub(super) done: &'b BTreeMap<Unit, u32>,
    pub(super) first: Side,
    pub(super) apart: &'b Apart,
    pub(super) after_pain: &'b AfterPain,
    /// What the trainer's own body makes dear or rules out.
    pub(super) load: &'b LoadToday,
}

impl Ways<'_> {
    /// Every way of a form, with the choice that it makes. One that counts nothing is offered only if it is insisted on.
    pub(super) fn of(&self, stretch: &Stretch, usable: &Usable<'_>) -> Vec<(Way, Choice)> {
        let form = usable.form;
        let pinned = self.request.wishes.pinned.contains(&stretch.id);
        let insisted = pinned || self.request.wishes.forms.contains_key(&stretch.id);
        if !insisted && self.apart.gives_way(form) {
            return Vec::new();
        }
        let alike = self.offers_alike(stretch, usable);
        let mut ways = Vec::new();
        for &method in Method::ALL {
            let doses = |side: Option<Side>| self.doses(stretch, usable, side, method);
            let one_by_one = |side: Option<Side>| doses(side).into_iter().map(|dose| vec![dose]);
            let mut all: Vec<Vec<SideDose>> = Vec::new();
            if form.sides == Sides::Both {
                all.extend(one_by_one(None));
            } else {
                let (one, two) = (Some(self.first), Some(self.first.other()));
                all.extend(self.pairs((stretch, form), &doses(one), &doses(two), alike));
                let counts = form.targets.iter().filter(|target| tariff::counts_for(form, **target));
                if counts.into_iter().any(|target| self.split.contains(&target.muscle)) {
                    all.extend(one_by_one(one).chain(one_by_one(two)));
                }
            }
            ways.extend(all.into_iter().filter_map(|sides| {
                let choice = self.choice(stretch, form, &sides);
                let way = Way { form: usable.index, method, sides };
                (pinned || !choice.gains.is_empty()).then_some((way, choice))
            }));
        }
        ways
    }

    /// Whether equal doses are offered: not where the sides are known to differ and the tighter one can be held longer.
    fn offers_alike(&self, stretch: &Stretch, usable: &Usable<'_>) -> bool {
        let (one, two) = (Some(self.first), Some(self.first.other()));
        self.apart.longer_side(usable.form).is_none()
            || Method::ALL.iter().all(|&method| {
                let doses = |side| self.doses(stretch, usable, side, method);
                self.pairs((stretch, usable.form), &doses(one), &doses(two), false).is_empty()
            })
    }

    /// Both sides of a form: alike, if that is offered, or the tighter one longer by so much that it shows. A careful try
    /// on one of them is no pair: the other keeps what it has.
    fn pairs(
        &self,
        of: (&Stretch, &Form),
        ones: &[SideDose],
        twos: &[SideDose],
        alike: bool,
    ) -> Vec<Vec<SideDose>> {
        let tighter = self.apart.longer_side(of.1).or_else(|| self.tighter(of.1));
        let is_tried = |side: Side| self.after_pain.tried(&of.0.id, Some(side)).is_some();
        if is_tried(Side::Left) != is_tried(Side::Right) {
            return Vec::new();
        }
        let mut pairs = Vec::new();
        for one in ones {
            for two in twos {
                let longer = tighter.is_some_and(|tight| {
                    let (mine, other) = if tight == self.first { (one, two) } else { (two, one) };
                    let by = self.main_seconds(of, mine).saturating_sub(self.main_seconds(of, other));
                    tariff::LONGER_BY.contains(&by)
                });
                if (alike && one.dose == two.dose) || longer {
                    pairs.push(vec![*one, *two]);
                }
            }
        }
        pairs
    }

    /// Seconds that a dose counts for the muscle that the form is meant for.
    fn main_seconds(&self, of: (&Stretch, &Form), done: &SideDose) -> u32 {
        let form = of.1;
        let main = form.targets.iter().max_by_key(|target| target.share);
        let counted = |&target| tariff::counted(form, target, self.worked(of, done), false);
        main.map_or(0, counted)
    }

    /// The side of a form on which a muscle that it is meant for is tight, if the other one is not.
    fn tighter(&self, form: &Form) -> Option<Side> {
        let is_tight = |side: Side| {
            let units = tariff::meant_for(form).map(|muscle| Unit { muscle, side });
            units.into_iter().any(|unit| self.demand.get(&unit).is_some_and(|demanded| demanded.tight))
        };
        match (is_tight(Side::Left), is_tight(Side::Right)) {
            (true, false) => Some(Side::Left),
            (false, true) => Some(Side::Right),
            _ => None,
        }
    }

    /// The doses of a method that are offered on a side.
    fn doses(
        &self,
        stretch: &Stretch,
        usable: &Usable<'_>,
        side: Option<Side>,
        method: Method,
    ) -> Vec<SideDose> {
        let mut doses = allowed_doses(usable, side, method);
        if method == Method::ContractRelax && !self.wants_range(usable.form) {
            doses.clear();
        }
        match self.request.wishes.doses.get(&stretch.id) {
            Some(&wished) => {
                let nearest = nearest(usable, side, wished);
                doses.retain(|done| Some(done.dose.held()) == nearest);
            }
            None if method == Method::Static => {
                let mobile = self.request.is_very_mobile();
                let shortest = tariff::shortest_hold(usable.form, self.request.is_older() || mobile);
                // Short ones only where there is no longer one.
                let longest = doses.iter().map(|done| done.dose.held()).max();
                doses.retain(|done| done.dose.held() >= shortest || Some(done.dose.held()) == longest);
            }
            None => {}
        }
        doses
    }

    /// Contract-relax is for a client who wants range or a muscle that is known to be tight; then both sides get it,
    /// since the same stretch by another method compares nothing.
    fn wants_range(&self, form: &Form) -> bool {
        let main = form.targets.iter().filter(|target| target.share >= tariff::MEANT_FROM);
        let mut units =
            main.flat_map(|target| Side::ALL.iter().map(|&side| Unit { muscle: target.muscle, side }));
        self.request.today.client.profile.aims.contains(&Aim::Range)
            || units.any(|unit| self.demand.get(&unit).is_some_and(|demanded| demanded.wants_range))
    }

    fn worked(&self, (stretch, form): (&Stretch, &Form), done: &SideDose) -> CountedHold {
        CountedHold {
            side: done.side,
            method: done.dose.method(),
            held: done.dose.held(),
            hands_on: self.request.wants_hands_on(&stretch.id, form),
        }
    }

    fn choice(&self, stretch: &Stretch, form: &Form, sides: &[SideDose]) -> Choice {
        let mut gains: BTreeMap<usize, usize> = BTreeMap::new();
        for done in sides {
            for (unit, seconds) in counted(form, self.worked((stretch, form), done), self.demand) {
                // Sides that are not told apart share one unit, and get alike.
                let gain = gains.entry(self.index[&unit]).or_default();
                *gain = (*gain).max(tariff::whole_ticks(seconds));
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
        let profile = &self.request.today.client.profile;
        let standing = self.request.standing(&stretch.id, form);
        let mut each = tariff::standing(standing);
        each += if self.request.is_very_mobile() { tariff::STEP_VERY_MOBILE } else { tariff::STEP };
        let unasked = self.request.wants_hands_on(&stretch.id, form) && form.helper == Helper::Client;
        if unasked {
            each += tariff::UNASKED_SELF * self.most_wanted(form);
        }
        let contract_relax = sides.iter().any(|done| done.dose.method() == Method::ContractRelax);
        if contract_relax && !tariff::meant_for(form).any(|muscle| muscle == Muscle::Hamstrings) {
            each += tariff::CONTRACT_RELAX * if form.sides == Sides::Both { 2 } else { 1 };
        }
        if profile.likes.contains(&stretch.id) {
            each += tariff::LIKED;
        }
        if profile.dislikes.contains(&stretch.id) {
            each += tariff::DISLIKED;
        }
        let (tries, others): (Vec<&SideDose>, Vec<&SideDose>) =
            sides.iter().partition(|done| self.after_pain.tried(&stretch.id, done.side).is_some());
        let of_pair = match sides {
            _ if !tries.is_empty() => tariff::TRY_AFTER_PAIN,
            [SideDose { side: Some(side), .. }]
                if self.after_pain.hurt(&stretch.id, Some(side.other())).is_some() =>
            {
                tariff::OTHER_SIDE_OF_PAIN
            }
            [SideDose { side: Some(side), .. }] if self.awaits(form, side.other()) => {
                let second_round = self.tighter(form) == Some(*side);
                let cost = if second_round { tariff::LONE_TIGHT_SIDE } else { tariff::LONE_SIDE };
                cost * if unasked { 2 } else { 1 }
            }
            [SideDose { side: None, .. }] if self.tighter(form).is_some() => tariff::ALIKE_THOUGH_TIGHT,
            [one, two] if one.dose == two.dose && self.tighter(form).is_some() => tariff::ALIKE_THOUGH_TIGHT,
            _ => 0,
        };
        let load: i32 = others.iter().map(|done| self.load.cost(form, side_work(done.dose))).sum();
        each * i32::try_from(others.len()).unwrap_or(1) + load + of_pair
    }

    /// The greatest weight of a muscle that a form is meant for, on either side.
    fn most_wanted(&self, form: &Form) -> i32 {
        let units = tariff::meant_for(form)
            .flat_map(|muscle| Side::ALL.iter().map(move |&side| Unit { muscle, side }));
        units.filter_map(|unit| self.demand.get(&unit)).map(|demanded| demanded.weight).max().unwrap_or(0)
    }

    /// Whether a side wants any of the muscles that a form counts for and has had nothing of it yet.
    fn awaits(&self, form: &Form, side: Side) -> bool {
        let counts = form.targets.iter().filter(|target| tariff::counts_for(form, **target));
        let mut units = counts.map(|target| Unit { muscle: target.muscle, side });
        units.any(|unit| self.demand.contains_key(&unit) && !self.done.contains_key(&unit))
    }
}

/// A dose as it loads the trainer.
pub(super) const fn side_work(dose: Dose) -> SideWork {
    match dose {
        Dose::Hold(held) => SideWork::Still(held),
        Dose::ContractRelax(dose) => SideWork::Pushes(dose),
    }
}

/// What a step asks of the trainer with a client of that mass.
pub fn step_load(form: &Form, dose: Dose, mass: Option<Kilograms>) -> Option<StepLoad> {
    StepLoad::of(form, side_work(dose), ClientMass::of(mass))
}

fn allowed_doses(usable: &Usable<'_>, side: Option<Side>, method: Method) -> Vec<SideDose> {
    let rule = usable.allowed.iter().find(|allowed| allowed.0 == side && allowed.1 == method);
    let Some((_, _, rule)) = rule else { return Vec::new() };
    let doses = admitted(usable.form, method, rule);
    doses.into_iter().map(|dose| SideDose { side, dose, aim: rule.aim }).collect()
}

fn admitted(form: &Form, method: Method, rule: &Allowance) -> Vec<Dose> {
    match method {
        Method::Static => {
            form.holds.iter().filter(|hold| rule.admits_hold(**hold)).copied().map(Dose::Hold).collect()
        }
        Method::ContractRelax => form
            .contract_relax
            .iter()
            .filter(|dose| rule.admits(dose))
            .copied()
            .map(Dose::ContractRelax)
            .collect(),
    }
}

/// The seconds under stretch nearest to those wished for that any method allows on a side; of two, the fewer.
fn nearest(usable: &Usable<'_>, side: Option<Side>, wished: Seconds) -> Option<Seconds> {
    let doses = Method::ALL.iter().flat_map(|&method| allowed_doses(usable, side, method));
    doses.map(|done| done.dose.held()).min_by_key(|held| (held.get().abs_diff(wished.get()), *held))
}

/// Seconds that one side takes, set-up included, in whole ticks.
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
