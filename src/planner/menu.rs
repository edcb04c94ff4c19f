//! What may be done about the demand: every form that survives cautions, equipment, consent and wishes, with its
//! methods and doses, and the planning problem that this makes.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Muscle, Seconds, Side, Unit};
use crate::catalogue::{Equipment, Form, Helper, Method, Position, Sides, Stretch, StretchId};
use crate::caution::RefusalCause;
use crate::client::Consent;
use crate::strain::{LoadToday, words as load_words};

use super::after_pain::AfterPain;
use super::apart::Apart;
use super::demand::Demand;
use super::plan::{Omission, WhyLeftOut};
use super::problem::{Candidate, Problem};
use super::request::{PlanError, PlanRequest};
use super::tariff::{self, CountedHold, Curve};
use super::usable::Usable;
use super::ways::{Way, Ways, counted};

/// A muscle that wants stretching, on one side or on both alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Want {
    /// The muscle.
    pub muscle: Muscle,
    /// The side; none where the two want the same and cannot be told apart.
    pub side: Option<Side>,
    /// What a grain of its curve counts.
    pub weight: i32,
    /// What it already had.
    pub done: Seconds,
    /// What seconds are worth to it.
    pub curve: Curve,
}

/// All that may be done today, and the problem of choosing from it.
#[derive(Debug)]
pub struct Menu<'a> {
    /// The problem: ticks of 5 s, values in grains.
    pub problem: Problem,
    /// What its units stand for.
    pub wants: Vec<Want>,
    /// What its candidates stand for; one that is tried again after pain on one side may stand here twice.
    pub stretches: Vec<&'a Stretch>,
    /// What their choices stand for.
    pub ways: Vec<Vec<Way>>,
    /// Seconds from 'start' to 'client stands up', the massage not counted.
    pub budget: Seconds,
    /// Seconds of it for asking consent and settling.
    pub opening: Seconds,
    /// Seconds of the massage finish behind it.
    pub massage: Seconds,
    /// The most stretches that a caution still allows.
    pub(super) most: Option<usize>,
    pub(super) demand: Demand,
    /// Stretches that are no candidates, and why.
    pub(super) left_out: Vec<Omission>,
    /// The side that is worked first.
    pub(super) first: Side,
    /// By stretch and side, the caution that ruled out a form.
    pub(super) refused: Refused,
    /// What is on its way back after pain.
    pub(super) after_pain: AfterPain,
}

/// What was ruled out by cautions; no side where both are done at once.
pub(super) type Refused = BTreeMap<(StretchId, Option<Side>), String>;

/// Writes down what may be chosen today.
pub(super) fn menu(request: &PlanRequest, demand: Demand) -> Result<Menu<'_>, PlanError> {
    let first = request.today.learned.first_side(&request.trained);
    let mut refused = BTreeMap::new();
    let (after_pain, load) = (AfterPain::new(request, &demand), request.load());
    let (usable, left_out) = usable_stretches(request, (&demand, &after_pain, &load), &mut refused)?;
    let done = done(request, &demand);
    let split = split_muscles(&demand, &usable, &done);
    let (wants, index) = wants(&demand, &split, &done);
    let apart = Apart::new(&request.today.learned, &demand, on_either_side(&usable));
    let all = Ways {
        request,
        demand: &demand,
        index: &index,
        split: &split,
        done: &done,
        first,
        apart: &apart,
        after_pain: &after_pain,
        load: &load,
    };
    let (stretches, ways, candidates) = candidates(request, usable, &all);
    let massage = request.massage();
    let (budget, opening) = match &request.progress {
        Some(progress) => (progress.left.get(), 0),
        None => (request.minutes.seconds().get(), tariff::OPENING),
    };
    let budget = budget.saturating_sub(massage);
    let now = request.progress.as_ref().and_then(|progress| progress.position);
    let problem = Problem {
        horizon: tariff::whole_ticks(budget.saturating_sub(opening)),
        wants: wants.iter().map(|want| want.curve.table(want.weight, want.done.get())).collect(),
        candidates,
        ..places(request.is_older(), now)
    };
    Ok(Menu {
        problem,
        wants,
        stretches,
        ways,
        budget: Seconds::new(budget),
        opening: Seconds::new(opening),
        massage: Seconds::new(massage),
        most: request.most_stretches(),
        demand,
        left_out,
        first,
        refused,
        after_pain,
    })
}

/// What the units of the problem stand for, and which one each unit of the demand is.
fn wants(
    demand: &Demand,
    split: &BTreeSet<Muscle>,
    done: &BTreeMap<Unit, u32>,
) -> (Vec<Want>, BTreeMap<Unit, usize>) {
    let mut wants = Vec::new();
    let mut index: BTreeMap<Unit, usize> = BTreeMap::new();
    for (&unit, demanded) in demand {
        let is_split = split.contains(&unit.muscle);
        if unit.side == Side::Right && !is_split {
            index.insert(unit, index[&unit.other_side()]);
            continue;
        }
        index.insert(unit, wants.len());
        wants.push(Want {
            muscle: unit.muscle,
            side: is_split.then_some(unit.side),
            // Two sides in one weigh as much as two.
            weight: if is_split { demanded.weight } else { 2 * demanded.weight },
            done: Seconds::new(done.get(&unit).copied().unwrap_or(0)),
            curve: demanded.curve,
        });
    }
    (wants, index)
}

/// What the candidates stand for, and they themselves.
type Candidates<'a> = (Vec<&'a Stretch>, Vec<Vec<Way>>, Vec<Candidate>);

fn candidates<'a>(
    request: &PlanRequest,
    usable: Vec<(&'a Stretch, Vec<Usable<'a>>)>,
    all: &Ways<'_>,
) -> Candidates<'a> {
    let (mut stretches, mut ways, mut candidates) = (Vec::new(), Vec::new(), Vec::new());
    for (stretch, forms) in usable {
        let (tries, others): (Vec<_>, Vec<_>) = forms
            .iter()
            .flat_map(|usable| all.of(stretch, usable))
            .partition(|(way, _)| all.after_pain.is_try(&stretch.id, way.sides.iter().map(|done| done.side)));
        // A careful try stands beside what the other side has of the same stretch, each in its own form.
        for here in [others, tries].into_iter().filter(|here| !here.is_empty()) {
            let (here, choices) = here.into_iter().unzip();
            candidates.push(Candidate { pinned: request.wishes.pinned.contains(&stretch.id), choices });
            ways.push(here);
            stretches.push(stretch);
        }
    }
    (stretches, ways, candidates)
}

/// The forms that may be done on the one side and on the other.
fn on_either_side<'a>(usable: &'a [(&Stretch, Vec<Usable<'a>>)]) -> impl Iterator<Item = &'a Form> {
    let on = |usable: &Usable<'_>, side: Side| usable.allowed.iter().any(|allowed| allowed.0 == Some(side));
    let forms = usable.iter().flat_map(|(_, forms)| forms);
    forms.filter(move |usable| Side::ALL.iter().all(|&side| on(usable, side))).map(|usable| usable.form)
}

/// A problem of nothing but positions, with the ways between them from where the client is now.
fn places(older: bool, now: Option<Position>) -> Problem {
    let ticks =
        |from: Option<Position>, to: Position| Some(tariff::whole_ticks(tariff::change(from, to, older)));
    let later = |from: Position| {
        let to = Position::ALL.iter();
        to.map(|&to| if to > from { ticks(Some(from), to) } else { None }).collect()
    };
    Problem {
        horizon: 0,
        start: Position::ALL.iter().map(|&to| ticks(now, to)).collect(),
        change: Position::ALL.iter().map(|&from| later(from)).collect(),
        turn: Position::ALL.iter().map(|&position| tariff::whole_ticks(tariff::turn(position))).collect(),
        wants: Vec::new(),
        candidates: Vec::new(),
    }
}

/// Seconds that count for each unit of what was done already.
fn done(request: &PlanRequest, demand: &Demand) -> BTreeMap<Unit, u32> {
    let mut all: BTreeMap<Unit, u32> = BTreeMap::new();
    for done in request.progress.iter().flat_map(|progress| &progress.done) {
        let Some((_, form)) = request.today.catalogue.form(&done.stretch, &done.form) else { continue };
        let (side, method, held, hands_on) =
            (done.side, done.method, done.held, request.wants_hands_on(&done.stretch, form));
        for (unit, seconds) in counted(form, CountedHold { side, method, held, hands_on }, demand) {
            *all.entry(unit).or_default() += seconds;
        }
    }
    all
}

/// What may be done of each stretch, and what is no candidate.
type Sorted<'a> = (Vec<(&'a Stretch, Vec<Usable<'a>>)>, Vec<Omission>);

fn usable_stretches<'a>(
    request: &'a PlanRequest,
    limits: (&Demand, &AfterPain, &LoadToday),
    refused: &mut Refused,
) -> Result<Sorted<'a>, PlanError> {
    if let Some(unknown) =
        request.wishes.pinned.iter().find(|pinned| request.today.catalogue.stretch(pinned).is_none())
    {
        return Err(PlanError::Unknown(unknown.clone()));
    }
    let (mut usable, mut left_out) = (Vec::new(), Vec::new());
    for stretch in request.today.catalogue.stretches() {
        let pinned = request.wishes.pinned.contains(&stretch.id);
        match usable_forms(request, stretch, limits, refused) {
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
    Ok((usable, left_out))
}

/// The forms of a stretch that may be done today and serve a demand, or why there are none.
fn usable_forms<'a>(
    request: &'a PlanRequest,
    stretch: &'a Stretch,
    (demand, after_pain, load): (&Demand, &AfterPain, &LoadToday),
    refused: &mut Refused,
) -> Result<Vec<Usable<'a>>, (WhyLeftOut, String)> {
    let pinned = request.wishes.pinned.contains(&stretch.id);
    if request.wishes.skipped.contains(&stretch.id) {
        return Err((WhyLeftOut::Skipped, "set aside by the trainer".to_owned()));
    }
    if request.progress.as_ref().is_some_and(|progress| progress.finished.contains(&stretch.id)) {
        return Err((WhyLeftOut::Skipped, "already done".to_owned()));
    }
    let wanted = |muscle: Muscle| Side::ALL.iter().any(|&side| demand.contains_key(&Unit { muscle, side }));
    let serves = |form: &Form| tariff::serves(form).any(wanted);
    if !pinned && !stretch.forms.iter().any(serves) {
        return Err((WhyLeftOut::NotNeeded, "nothing it reaches was trained or is tight".to_owned()));
    }
    let mut why: Option<(WhyLeftOut, String)> = None;
    let mut forms = Vec::new();
    for (index, form) in stretch.forms.iter().enumerate() {
        if request.wishes.forms.get(&stretch.id).is_some_and(|insisted| *insisted != form.id) {
            continue;
        }
        if request.consent == Consent::SelfStretch && form.helper == Helper::Assisted {
            why.get_or_insert((
                WhyLeftOut::Consent,
                "needs hands on; the client stretches alone today".to_owned(),
            ));
            continue;
        }
        let missing: Vec<&Equipment> =
            form.equipment.iter().filter(|needed| !request.trainer.equipment.contains(needed)).collect();
        if let Some(missing) = missing.first() {
            why.get_or_insert((WhyLeftOut::Equipment, format!("needs a {missing}")));
            continue;
        }
        if let Some(against) = load.rules_out(form).filter(|_| !pinned) {
            let words = load_words::against(against);
            for &side in form.workings() {
                refused.entry((stretch.id.clone(), side)).or_insert_with(|| words.to_owned());
            }
            why.get_or_insert((WhyLeftOut::You, words.to_owned()));
            continue;
        }
        let mut allowed = Vec::new();
        for &side in form.workings() {
            for &method in Method::ALL {
                match after_pain.limits.permit(stretch, form, side, method) {
                    Ok(way) => allowed.push((side, method, way.allowance())),
                    Err(refusal) if method == Method::Static => {
                        refused.entry((stretch.id.clone(), side)).or_insert_with(|| refusal.text.clone());
                        if !matches!(why, Some((WhyLeftOut::Caution | WhyLeftOut::Pain, _))) {
                            why = Some((reason(&refusal.cause), refusal.text));
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

/// What a refusal is, among the reasons to leave a stretch out.
const fn reason(cause: &RefusalCause) -> WhyLeftOut {
    match cause {
        RefusalCause::Condition(_) => WhyLeftOut::Caution,
        RefusalCause::Pain(_) => WhyLeftOut::Pain,
    }
}

/// The muscles whose sides must be told apart: they want unlike things, or a stretch that counts for them can be done
/// on one side only. What is told apart for one muscle of a stretch is for all of them.
fn split_muscles(
    demand: &Demand,
    usable: &[(&Stretch, Vec<Usable<'_>>)],
    done: &BTreeMap<Unit, u32>,
) -> BTreeSet<Muscle> {
    let want = |muscle: Muscle, side: Side| {
        let unit = Unit { muscle, side };
        let demanded = demand.get(&unit);
        let wants = demanded.map(|demanded| (demanded.weight, demanded.curve, demanded.wants_range));
        (wants, done.get(&unit).copied().unwrap_or(0))
    };
    let muscles: BTreeSet<Muscle> = demand.keys().map(|unit| unit.muscle).collect();
    let mut split: BTreeSet<Muscle> =
        muscles.iter().copied().filter(|&m| want(m, Side::Left) != want(m, Side::Right)).collect();
    let forms = usable.iter().flat_map(|(_, forms)| forms).filter(|usable| usable.form.sides == Sides::Each);
    let mut together: Vec<(Vec<Muscle>, bool)> = forms
        .map(|usable| {
            let counts =
                usable.form.targets.iter().filter(|target| tariff::counts_for(usable.form, **target));
            let wanted = counts.map(|target| target.muscle).filter(|muscle| muscles.contains(muscle));
            (wanted.collect(), !alike(usable))
        })
        .collect();
    loop {
        let before = split.len();
        together.retain(|(targets, apart)| {
            let apart = *apart || targets.iter().any(|muscle| split.contains(muscle));
            if apart {
                split.extend(targets);
            }
            !apart
        });
        if split.len() == before {
            return split;
        }
    }
}

/// Whether left and right are allowed the same.
fn alike(usable: &Usable<'_>) -> bool {
    let on = |side: Side| {
        let mine = usable.allowed.iter().filter(move |allowed| allowed.0 == Some(side));
        mine.map(|allowed| (allowed.1, allowed.2)).collect::<Vec<_>>()
    };
    on(Side::Left) == on(Side::Right)
}
