//! What may be done about the demand: every form that survives cautions, equipment, consent and wishes, with its
//! methods and doses, written as an instance of the planning problem.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Days;

use crate::body::{Level, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Equipment, Form, Helper, Method, Position, Sides, Stretch, StretchId};
use crate::caution::Allowance;
use crate::client::{Aim, Consent};
use crate::insight;

use super::demand::Demand;
use super::instance::{ChoiceRow, Instance, StretchChoices, UnitWant};
use super::plan::{Dose, Omission, WhyLeftOut};
use super::request::{PlanError, PlanRequest};

/// Seconds for asking consent and settling. Our judgement.
const OPENING: u32 = 15;
/// Seconds of the massage finish. Common practice, no source.
pub(super) const MASSAGE: u32 = 60;
/// Shortest block that a massage finish is taken off, in minutes. Our judgement.
const MASSAGE_FROM: u8 = 8;

/// Costs in hundredths of a point; all multiples of four, like every benefit, so that the values of two plans are
/// the same or lie well apart. Our judgement: a step must be worth its bother, and strain settles what is else equal.
const STEP_COST: i32 = 4;
const STRAIN_COST: i32 = 4;
const UNASKED_SELF_COST: i32 = 8;
/// One side alone where the other wants the same muscles: sides are compared by the same stretch, and a client asks
/// after the other one. Our judgement.
const LONE_SIDE_COST: i32 = 40;
const LIKE: i32 = -12;
const DISLIKE: i32 = 40;

/// The benefit of seconds on one unit, as a share of a whole dose; 0.16, 0.12, 0.08 and 0.04 for each further 5 s.
///
/// A planning preference, not physiology: most of it comes with the first 20 to 30 s (common practice; Bandy, Irion
/// and Briggler 1997 found no more from 60 than from 30 s), and 60 s in all is a whole dose (Garber et al. 2011).
const CURVE: [(f64, f64); 5] = [(0.0, 0.0), (10.0, 0.32), (20.0, 0.56), (35.0, 0.8), (60.0, 1.0)];
/// The same from 65 years on, when longer holds went on paying (Feland et al. 2001; Garber et al. 2011: 30-60 s).
const CURVE_OLDER: [(f64, f64); 3] = [(0.0, 0.0), (35.0, 0.56), (90.0, 1.0)];
/// Years from which holds are longer and ways slower.
pub const OLDER_FROM: u32 = 65;

/// Seconds from one position into another, from standing at the start, and to turn to the second side. Our
/// judgement; five more from 65 years on.
const INTO: [(Position, u32); 6] = [
    (Position::Supine, 10),
    (Position::SideLying, 10),
    (Position::Prone, 10),
    (Position::Kneeling, 5),
    (Position::Seated, 5),
    (Position::Standing, 0),
];
const CHANGES: [(Position, [u32; 5]); 5] = [
    (Position::Supine, [5, 10, 10, 10, 15]),
    (Position::SideLying, [5, 10, 10, 15, 0]),
    (Position::Prone, [5, 10, 10, 0, 0]),
    (Position::Kneeling, [5, 5, 0, 0, 0]),
    (Position::Seated, [5, 0, 0, 0, 0]),
];
const TURNS: [(Position, u32); 6] = [
    (Position::Supine, 5),
    (Position::SideLying, 10),
    (Position::Prone, 5),
    (Position::Kneeling, 5),
    (Position::Seated, 0),
    (Position::Standing, 0),
];

/// What is done on one side in one choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct SideDose {
    /// The side; none if both at once.
    pub(super) side: Option<Side>,
    pub(super) dose: Dose,
    pub(super) aim: Level,
}

/// What a row of the instance stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Way {
    /// Index of the form in its stretch.
    pub(super) form: usize,
    /// First side first.
    pub(super) works: Vec<SideDose>,
}

/// An instance and what its rows stand for.
#[derive(Debug)]
pub(super) struct Menu<'a> {
    pub(super) instance: Instance,
    /// The stretches of the instance, in its order.
    pub(super) stretches: Vec<&'a Stretch>,
    /// By row id.
    pub(super) labels: Vec<Way>,
    pub(super) demand: Demand,
    /// Stretches that are no candidates, and why.
    pub(super) left_out: Vec<Omission>,
    /// The side that is worked first.
    pub(super) first: Side,
    pub(super) massage: Seconds,
    /// By stretch and side, the caution that ruled out a form.
    pub(super) refused: Refused,
}

/// What was ruled out by cautions; no side where both are done at once.
pub(super) type Refused = BTreeMap<(StretchId, Option<Side>), String>;

/// One form that may be done, with what is allowed on each working.
struct Usable<'a> {
    index: usize,
    form: &'a Form,
    /// By side (none: both at once) and method.
    allowed: Vec<(Option<Side>, Method, Allowance)>,
}

/// For how many days a stretch that was stopped for pain stays out unless it is asked for: a year, to be on the safe
/// side; no source.
const PAIN_DAYS: u64 = 365;

/// Writes today's question as an instance.
pub(super) fn menu<'a>(ask: &PlanRequest<'a>, demand: Demand) -> Result<Menu<'a>, PlanError> {
    let weight = |side: Side| -> u32 {
        demand.iter().filter(|(unit, _)| unit.side == side).map(|(_, want)| want.points).sum()
    };
    let first = if weight(Side::Right) > weight(Side::Left) { Side::Right } else { Side::Left };
    let mut left_out = Vec::new();
    let mut refused = BTreeMap::new();
    let mut usable: Vec<(&Stretch, Vec<Usable<'_>>)> = Vec::new();
    for pinned in &ask.wishes.pinned {
        if ask.catalogue.stretch(pinned).is_none() {
            return Err(PlanError::Unknown(pinned.clone()));
        }
    }
    let since = ask.today.checked_sub_days(Days::new(PAIN_DAYS)).unwrap_or(ask.today);
    let hurt = insight::hurt(ask.client, since);
    for stretch in ask.catalogue.stretches() {
        let pinned = ask.wishes.pinned.contains(&stretch.id);
        let pain = hurt.get(&stretch.id).filter(|_| !pinned);
        let forms = usable_forms(ask, stretch, &demand, pinned, &mut refused).and_then(|forms| match pain {
            None => Ok(forms),
            Some(on) => Err((WhyLeftOut::Pain, format!("stopped for pain on {on}; ask first"))),
        });
        match forms {
            Ok(forms) => usable.push((stretch, forms)),
            Err((_, detail)) if pinned => {
                return Err(PlanError::PinnedRuledOut { stretch: stretch.id.clone(), detail });
            }
            Err((reason, detail)) => left_out.push(Omission {
                stretch: stretch.id.clone(),
                name: stretch.name.clone(),
                reason,
                detail,
            }),
        }
    }
    let done = |unit: Unit| -> u32 {
        let done = ask.progress.and_then(|progress| progress.done.get(&unit)).map_or(0, |done| done.get());
        done / 5 * 5
    };
    let split = split_muscles(&demand, &usable, &done);
    let mut units = Vec::new();
    let mut index: BTreeMap<Unit, usize> = BTreeMap::new();
    for (&unit, want) in &demand {
        if unit.side == Side::Right && !split.contains(&unit.muscle) {
            index.insert(unit, index[&Unit { side: Side::Left, ..unit }]);
            continue;
        }
        index.insert(unit, units.len());
        units.push(UnitWant {
            muscle: unit.muscle.id().to_owned(),
            side: if split.contains(&unit.muscle) { unit.side.id() } else { "both" }.to_owned(),
            weight: f64::from(want.points),
            done_s: done(unit),
        });
    }
    let mut rows = Rows { ask, demand: &demand, index: &index, split: &split, first, labels: Vec::new() };
    let mut stretches = Vec::new();
    let mut choices = Vec::new();
    for (stretch, forms) in usable {
        choices.push(StretchChoices {
            id: stretch.id.to_string(),
            pinned: ask.wishes.pinned.contains(&stretch.id),
            choices: forms.iter().flat_map(|usable| rows.of(stretch, usable)).collect(),
        });
        stretches.push(stretch);
    }
    let labels = rows.labels;
    let older = ask.client.profile.age(ask.today).is_some_and(|age| age >= OLDER_FROM);
    let massage = if massage_fits(ask) { MASSAGE } else { 0 };
    let (budget, opening) = match ask.progress {
        Some(progress) => (progress.left.get(), 0),
        None => (ask.minutes.seconds().get(), OPENING),
    };
    let instance = Instance {
        budget_s: budget.saturating_sub(massage),
        opening_s: opening,
        curve: if older { CURVE_OLDER.to_vec() } else { CURVE.to_vec() },
        units,
        positions: Position::ALL.iter().map(|position| position.id().to_owned()).collect(),
        change_s: changes(older, ask.progress.and_then(|progress| progress.position)),
        turn_s: TURNS.iter().map(|(position, seconds)| (position.id().to_owned(), *seconds)).collect(),
        stretches: choices,
    };
    let massage = Seconds::new(massage);
    Ok(Menu { instance, stretches, labels, demand, left_out, first, massage, refused })
}

fn massage_fits(ask: &PlanRequest<'_>) -> bool {
    let long_enough = match ask.progress {
        Some(progress) => progress.left.get() >= 2 * MASSAGE,
        None => ask.minutes.get() >= MASSAGE_FROM,
    };
    long_enough
        && ask.trainer.may_massage
        && ask.client.profile.wants_massage()
        && ask.restrictions.massage_allowed()
        && ask.consent == Consent::HandsOn
}

/// The forms of a stretch that may be done today and serve a demand, or why there are none.
fn usable_forms<'a>(
    ask: &PlanRequest<'a>,
    stretch: &'a Stretch,
    demand: &Demand,
    pinned: bool,
    refused: &mut Refused,
) -> Result<Vec<Usable<'a>>, (WhyLeftOut, String)> {
    if ask.wishes.skipped.contains(&stretch.id) {
        return Err((WhyLeftOut::Skipped, "set aside by the trainer".to_owned()));
    }
    if ask.progress.is_some_and(|progress| progress.finished.contains(&stretch.id)) {
        return Err((WhyLeftOut::Skipped, "already done".to_owned()));
    }
    let wanted = |muscle: Muscle| Side::ALL.iter().any(|&side| demand.contains_key(&Unit { muscle, side }));
    let serves = |form: &Form| form.targets.iter().any(|target| wanted(target.muscle));
    if !pinned && !stretch.forms.iter().any(serves) {
        return Err((WhyLeftOut::NotNeeded, "nothing it reaches was trained or is tight".to_owned()));
    }
    let mut why: Option<(WhyLeftOut, String)> = None;
    let mut forms = Vec::new();
    for (index, form) in stretch.forms.iter().enumerate() {
        if ask.wishes.forms.get(&stretch.id).is_some_and(|insisted| *insisted != form.id) {
            continue;
        }
        if ask.consent == Consent::SelfStretch && form.helper == Helper::Assisted {
            why.get_or_insert((
                WhyLeftOut::Consent,
                "needs hands on; the client stretches alone today".to_owned(),
            ));
            continue;
        }
        let missing: Vec<&Equipment> =
            form.equipment.iter().filter(|needed| !ask.trainer.equipment.contains(needed)).collect();
        if let Some(missing) = missing.first() {
            why.get_or_insert((WhyLeftOut::Equipment, format!("needs a {missing}")));
            continue;
        }
        let mut allowed = Vec::new();
        for &side in form.workings() {
            for &method in Method::ALL {
                match ask.restrictions.permit(form, side, method) {
                    Ok(allowance) => allowed.push((side, method, allowance)),
                    Err(refusal) if method == Method::Static => {
                        refused.entry((stretch.id.clone(), side)).or_insert_with(|| refusal.text.clone());
                        if !matches!(why, Some((WhyLeftOut::Caution, _))) {
                            why = Some((WhyLeftOut::Caution, refusal.text));
                        }
                    }
                    Err(_) => {}
                }
            }
        }
        if !allowed.is_empty() && (pinned || serves(form)) {
            forms.push(Usable { index, form, allowed });
        }
    }
    if forms.is_empty() {
        Err(why.unwrap_or((WhyLeftOut::NotNeeded, "no form of it serves what was trained".to_owned())))
    } else {
        Ok(forms)
    }
}

/// The muscles whose sides must be told apart: they want unlike things, or a stretch that reaches them can be done
/// on one side only.
fn split_muscles(
    demand: &Demand,
    usable: &[(&Stretch, Vec<Usable<'_>>)],
    done: &dyn Fn(Unit) -> u32,
) -> BTreeSet<Muscle> {
    let want = |muscle: Muscle, side: Side| {
        let unit = Unit { muscle, side };
        (demand.get(&unit).map_or(0, |want| want.points), done(unit))
    };
    let muscles: BTreeSet<Muscle> = demand.keys().map(|unit| unit.muscle).collect();
    let mut split: BTreeSet<Muscle> =
        muscles.iter().copied().filter(|&m| want(m, Side::Left) != want(m, Side::Right)).collect();
    let forms = || usable.iter().flat_map(|(_, forms)| forms);
    let unlike = split.clone();
    for usable in forms().filter(|usable| usable.form.sides == Sides::Each) {
        let targets = || usable.form.targets.iter().map(|target| target.muscle);
        if !alike(usable) || targets().any(|muscle| unlike.contains(&muscle)) {
            split.extend(targets().filter(|muscle| muscles.contains(muscle)));
        }
    }
    split
}

/// Whether left and right are allowed the same.
fn alike(usable: &Usable<'_>) -> bool {
    let on = |side: Side| {
        let mine = usable.allowed.iter().filter(move |allowed| allowed.0 == Some(side));
        mine.map(|allowed| (allowed.1, allowed.2)).collect::<Vec<_>>()
    };
    on(Side::Left) == on(Side::Right)
}

/// Makes the rows of the instance.
struct Rows<'a, 'b> {
    ask: &'b PlanRequest<'a>,
    demand: &'b Demand,
    index: &'b BTreeMap<Unit, usize>,
    split: &'b BTreeSet<Muscle>,
    first: Side,
    labels: Vec<Way>,
}

impl Rows<'_, '_> {
    fn of(&mut self, stretch: &Stretch, usable: &Usable<'_>) -> Vec<ChoiceRow> {
        let form = usable.form;
        let mut rows = Vec::new();
        let wished = self.ask.wishes.doses.get(&stretch.id);
        for &method in Method::ALL {
            let doses = |side: Option<Side>| -> Vec<(Dose, Level)> {
                let mut doses = self.allowed_doses(usable, side, method);
                if let Some(nearest) = wished.and_then(|wished| self.nearest(usable, side, *wished)) {
                    doses.retain(|(dose, _)| dose.held() == nearest);
                }
                doses
            };
            let work = |side: Option<Side>, (dose, aim): (Dose, Level)| SideDose { side, dose, aim };
            let mut choices: Vec<Vec<SideDose>> = Vec::new();
            if form.sides == Sides::Both {
                choices.extend(doses(None).into_iter().map(|dose| vec![work(None, dose)]));
            } else {
                let (one, two) = (Some(self.first), Some(self.first.other()));
                let (ones, twos) = (doses(one), doses(two));
                for &dose in &ones {
                    if let Some(&same) = twos.iter().find(|other| other.0 == dose.0) {
                        choices.push(vec![work(one, dose), work(two, same)]);
                    }
                }
                if form.targets.iter().any(|target| self.split.contains(&target.muscle)) {
                    // The tighter side longer by one dose, or one side alone.
                    if let Some(tight) = self.tighter(form) {
                        for (shorter, longer) in ones.iter().zip(ones.iter().skip(1)) {
                            let (mine, other) =
                                if tight == self.first { (longer, shorter) } else { (shorter, longer) };
                            if let Some(&other) = twos.iter().find(|dose| dose.0 == other.0) {
                                choices.push(vec![work(one, *mine), work(two, other)]);
                            }
                        }
                    }
                    choices.extend(ones.iter().map(|&dose| vec![work(one, dose)]));
                    choices.extend(twos.iter().map(|&dose| vec![work(two, dose)]));
                }
            }
            for works in choices {
                rows.push(self.row(stretch, usable, method, works));
            }
        }
        rows
    }

    /// Whether a side wants any of a form's muscles and has had nothing of it yet.
    fn awaits(&self, form: &Form, side: Side) -> bool {
        let units = form.targets.iter().map(|target| Unit { muscle: target.muscle, side });
        let had = |unit: &Unit| self.ask.progress.is_some_and(|progress| progress.done.contains_key(unit));
        units.filter(|unit| !had(unit)).any(|unit| self.demand.contains_key(&unit))
    }

    /// The side on which a form's muscles want more.
    fn tighter(&self, form: &Form) -> Option<Side> {
        let want = |side: Side| -> u32 {
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
        self.ask.client.profile.aims.contains(&Aim::Range)
            || main.into_iter().any(|muscle| {
                Side::ALL
                    .iter()
                    .filter(|&&s| side.is_none_or(|side| side == s))
                    .any(|&side| self.demand.get(&Unit { muscle, side }).is_some_and(|want| want.tight))
            })
    }

    fn row(
        &mut self,
        stretch: &Stretch,
        usable: &Usable<'_>,
        method: Method,
        works: Vec<SideDose>,
    ) -> ChoiceRow {
        let form = usable.form;
        let mut gains: BTreeMap<usize, u32> = BTreeMap::new();
        for work in &works {
            for target in &form.targets {
                let seconds = credit(work.dose) * u32::from(target.share) / 100 / 5 * 5;
                for &side in Side::ALL.iter().filter(|&&side| work.side.is_none_or(|worked| worked == side)) {
                    let unit = Unit { muscle: target.muscle, side };
                    if let Some(&index) = self.index.get(&unit).filter(|_| seconds > 0) {
                        // Sides that are not told apart share one unit: what one side gets counts once.
                        let gain = gains.entry(index).or_default();
                        *gain = (*gain).max(seconds);
                    }
                }
            }
        }
        let time = works.iter().map(|work| side_time(form, work.dose)).sum();
        let id = self.labels.len();
        let profile = &self.ask.client.profile;
        let mut cost = 0;
        for _ in &works {
            cost += STEP_COST + STRAIN_COST * i32::from(form.strain);
        }
        if form.helper == Helper::Client && self.ask.consent == Consent::HandsOn {
            cost += UNASKED_SELF_COST;
        }
        if let [SideDose { side: Some(side), .. }] = works[..]
            && self.awaits(form, side.other())
        {
            cost += LONE_SIDE_COST;
        }
        if profile.likes.contains(&stretch.id) {
            cost += LIKE;
        }
        if profile.dislikes.contains(&stretch.id) {
            cost += DISLIKE;
        }
        let two_sided = works.iter().any(|work| work.side == Some(self.first.other()));
        self.labels.push(Way { form: usable.index, works });
        ChoiceRow {
            id,
            form: form.id.to_string(),
            method: method.id().to_owned(),
            position: form.position.id().to_owned(),
            time_s: time,
            two_sided,
            gain: gains.into_iter().collect(),
            cost: f64::from(cost) / 100.0,
        }
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
    (form.setup + dose.length()).get().div_ceil(5) * 5
}

fn changes(older: bool, now: Option<Position>) -> BTreeMap<String, BTreeMap<String, u32>> {
    let slower = if older { 5 } else { 0 };
    let between = |from: Position, to: Position| -> u32 {
        let (early, late) = (from.min(to), from.max(to));
        if early == late {
            return 0;
        }
        let steps = late as usize - early as usize;
        CHANGES.iter().find(|row| row.0 == early).map_or(0, |row| row.1[steps - 1] + slower)
    };
    let mut changes: BTreeMap<String, BTreeMap<String, u32>> = BTreeMap::new();
    let start = INTO.iter().map(|&(to, seconds)| {
        let seconds =
            now.map_or(seconds + if to == Position::Standing { 0 } else { slower }, |now| between(now, to));
        (to.id().to_owned(), seconds)
    });
    changes.insert("start".to_owned(), start.collect());
    for &from in Position::ALL {
        let later = Position::ALL.iter().filter(|&&to| to > from);
        let row: BTreeMap<String, u32> = later.map(|&to| (to.id().to_owned(), between(from, to))).collect();
        if !row.is_empty() {
            changes.insert(from.id().to_owned(), row);
        }
    }
    changes
}

/// Seconds of the way from a position, or from the start, onto a side in another one, as plans count it.
pub fn way(from: Option<(Position, Option<Side>)>, to: (Position, Option<Side>), older: bool) -> Seconds {
    if let Some((_, before)) = from.filter(|from| from.0 == to.0) {
        let turns = before.is_some() && to.1.is_some() && before != to.1;
        let turn = TURNS.iter().find(|turn| turns && turn.0 == to.0);
        return Seconds::new(turn.map_or(0, |turn| turn.1));
    }
    let ways = changes(older, from.map(|from| from.0));
    Seconds::new(ways["start"].get(to.0.id()).copied().unwrap_or(0))
}
