//! From a selection to steps in the order of work, each with its second and its reason.

use std::cmp::Reverse;

use crate::body::{Level, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Dose, Form, Helper, Position, Stretch};
use crate::client::{Aim, Consent};
use crate::insight::AngleAsked;

use super::demand::Demanded;
use super::habits::FormStanding;
use super::menu::Menu;
use super::plan::{Omission, Plan, Step, WhyLeftOut};
use super::problem::Choice;
use super::request::PlanRequest;
use super::search::Solution;
use super::tariff;
use super::ways::{SideDose, Way, side_time, side_work};
use super::why::{ForWhat, Why};

/// A chosen way with everything it stands for.
struct Chosen<'a> {
    stretch: &'a Stretch,
    form: &'a Form,
    way: &'a Way,
}

/// Lays the chosen ways out in time.
pub(super) fn schedule(request: &PlanRequest, menu: &Menu<'_>, solution: &Solution) -> Plan {
    let mut chosen: Vec<Chosen<'_>> = Vec::new();
    for ((stretch, ways), choice) in menu.stretches.iter().zip(&menu.ways).zip(&solution.selection) {
        if let Some(choice) = choice {
            let way = &ways[*choice];
            chosen.push(Chosen { stretch, form: &stretch.forms[way.form], way });
        }
    }
    let mut now = menu.opening;
    let mut steps = Vec::new();
    let mut before: Option<Position> = None;
    for &position in Position::ALL {
        let mut here: Vec<&Chosen<'_>> =
            chosen.iter().filter(|chosen| chosen.form.position == position).collect();
        if here.is_empty() {
            continue;
        }
        let ways = before.map_or(&menu.problem.start, |before| &menu.problem.change[before as usize]);
        now += tariff::seconds(ways[position as usize].unwrap_or(0));
        before = Some(position);
        // What is wanted most comes first, what is gentle last, and what the minutes are left for behind it.
        here.sort_by_key(|chosen| {
            let form = chosen.form;
            (is_ease(menu, form), form.gentle, Reverse(wanted(menu, form)), chosen.stretch.id.clone())
        });
        // Both sides at once: firm ones before the two sides; gentle ones, and those for the minutes left, behind.
        let is_last = |form: &Form| form.gentle || is_ease(menu, form);
        let order = [
            pick(&here, |chosen, side| side.is_none() && !is_last(chosen.form)),
            pick(&here, |_, side| side == Some(menu.first)),
            pick(&here, |_, side| side == Some(menu.first.other())),
            pick(&here, |chosen, side| side.is_none() && is_last(chosen.form)),
        ];
        for (group, works) in order.into_iter().enumerate() {
            if group == 2 && !works.is_empty() {
                now += tariff::seconds(menu.problem.turn[position as usize]);
            }
            for (chosen, work) in works {
                let end = now + Seconds::new(side_time(chosen.form, work.dose));
                steps.push(step(request, menu, chosen, work, (now, end)));
                now = end;
            }
        }
    }
    wish_to_measure(request, &mut steps);
    let mut left_out = menu.left_out.clone();
    for (index, stretch) in menu.stretches.iter().enumerate() {
        let is_done = chosen.iter().any(|chosen| chosen.stretch.id == stretch.id);
        let is_listed = left_out.iter().any(|left| left.stretch == stretch.id);
        if !is_done && !is_listed {
            let (reason, detail) = match menu.after_pain.hurt(&stretch.id, None) {
                Some(on) => (WhyLeftOut::Pain, format!("stopped for pain on {on}; ask first")),
                None => why_left_out(menu, solution, &steps, index),
            };
            left_out.push(Omission {
                stretch: stretch.id.clone(),
                name: stretch.name.clone(),
                reason,
                detail,
            });
        }
    }
    left_out.sort_by(|a, b| a.stretch.cmp(&b.stretch));
    Plan {
        minutes: request.minutes,
        budget: menu.budget + menu.massage,
        opening: menu.opening,
        steps,
        massage: menu.massage,
        total: now + menu.massage,
        value: solution.value,
        bound: solution.bound,
        left_out,
    }
}

/// Asks for both sides to be measured where that would settle whether they differ.
fn wish_to_measure(request: &PlanRequest, steps: &mut [Step]) {
    let asked = |step: &Step| {
        let (_, form) = request.today.catalogue.form(&step.stretch, &step.form)?;
        Some((tariff::meant_for(form).next()?, AngleAsked::of(form)?))
    };
    // A step and its twin on the other side.
    let pair = |muscle: Muscle, steps: &[Step]| {
        steps.iter().enumerate().find_map(|(index, step)| {
            let (_, asked) = asked(step).filter(|(main, _)| *main == muscle)?;
            let other = step.side?.other();
            let is_twin = |twin: &Step| {
                (&twin.stretch, &twin.form, twin.side) == (&step.stretch, &step.form, Some(other))
            };
            Some((index, steps.iter().position(is_twin)?, asked))
        })
    };
    let wishes = request.today.learned.wishes(|muscle| pair(muscle, steps).is_some());
    for muscle in wishes {
        let Some((one, other, asked)) = pair(muscle, steps) else { continue };
        for index in [one, other] {
            steps[index].why.push(Why::Measure(asked));
        }
    }
}

/// Why a candidate was not taken: for time only if there is none for it.
fn why_left_out(menu: &Menu<'_>, solution: &Solution, steps: &[Step], index: usize) -> (WhyLeftOut, String) {
    let forms = menu.ways[index].iter().map(|way| &menu.stretches[index].forms[way.form]);
    if forms.clone().all(|form| is_ease(menu, form)) {
        return (WhyLeftOut::NotNeeded, "nothing it reaches was trained or is tight".to_owned());
    }
    if menu.most.is_some_and(|most| solution.selection.iter().flatten().count() >= most) {
        return (WhyLeftOut::Caution, "a caution allows no more stretches in one session".to_owned());
    }
    let candidates = &menu.problem.candidates;
    let taken = candidates.iter().zip(&solution.selection);
    let taken: Vec<&Choice> =
        taken.filter_map(|(candidate, choice)| Some(&candidate.choices[(*choice)?])).collect();
    let fits = candidates[index].choices.iter().any(|choice| {
        let all = || taken.iter().copied().chain([choice]);
        let between = menu.problem.between(
            |position| all().any(|choice| choice.position == position),
            |position| all().any(|choice| choice.position == position && choice.second_side),
        );
        let busy: usize = all().map(|choice| choice.time).sum();
        between.is_some_and(|between| busy + between <= menu.problem.horizon)
    });
    if fits {
        let of = |muscle: Muscle| Side::ALL.iter().map(move |&side| Unit { muscle, side });
        let is_wanted = |muscle: &Muscle| {
            of(*muscle).any(|unit| menu.demand.get(&unit).is_some_and(|demanded| !demanded.is_ease()))
        };
        let has_had = |muscle: Muscle| steps.iter().any(|step| step.muscles.contains(&muscle));
        let served = forms.flat_map(tariff::serves).filter(is_wanted).all(has_had);
        let why = if served { Plan::HAD_ITS_SHARE } else { Plan::ADDS_TOO_LITTLE };
        (WhyLeftOut::Enough, why.to_owned())
    } else {
        (WhyLeftOut::Time(None), "the time is better spent".to_owned())
    }
}

/// The works of a position that belong to a group, in the order of the stretches.
fn pick<'c, 'a>(
    here: &[&'c Chosen<'a>],
    belongs: impl Fn(&Chosen<'_>, Option<Side>) -> bool,
) -> Vec<(&'c Chosen<'a>, &'a SideDose)> {
    let works = |chosen: &&'c Chosen<'a>| {
        let chosen: &'c Chosen<'a> = chosen;
        chosen.way.sides.iter().map(move |work| (chosen, work))
    };
    here.iter().flat_map(works).filter(|(chosen, work)| belongs(chosen, work.side)).collect()
}

/// How much the muscles that a form is meant for are wanted, on either side.
fn wanted(menu: &Menu<'_>, form: &Form) -> i32 {
    let of =
        |muscle: Muscle| Side::ALL.iter().filter_map(move |&side| menu.demand.get(&Unit { muscle, side }));
    tariff::meant_for(form).flat_map(of).map(|demanded| demanded.weight).sum()
}

/// Whether a form serves nothing but muscles for which minutes are left.
fn is_ease(menu: &Menu<'_>, form: &Form) -> bool {
    let of =
        |muscle: Muscle| Side::ALL.iter().filter_map(move |&side| menu.demand.get(&Unit { muscle, side }));
    let mut demanded = tariff::serves(form).flat_map(of).peekable();
    demanded.peek().is_some() && demanded.all(Demanded::is_ease)
}

fn step(
    request: &PlanRequest,
    menu: &Menu<'_>,
    chosen: &Chosen<'_>,
    work: &SideDose,
    (start, end): (Seconds, Seconds),
) -> Step {
    let form = chosen.form;
    let muscles = served(menu, form, work.side);
    Step {
        start,
        end,
        stretch: chosen.stretch.id.clone(),
        name: chosen.stretch.name.clone(),
        form: form.id.clone(),
        side: work.side,
        load: request.load().step(form, side_work(work.dose)),
        position: form.position,
        setup: form.setup,
        dose: work.dose,
        aim: work.aim.min(request.today.restrictions.level_aim()),
        motions: form.motions.clone(),
        other_side: form.other_side.clone(),
        why: why(request, menu, chosen, work, &muscles),
        muscles,
    }
}

/// The wanted muscles that a form serves on a side, what it is meant for first.
fn served(menu: &Menu<'_>, form: &Form, side: Option<Side>) -> Vec<Muscle> {
    let is_wanted = |muscle: Muscle| {
        let mut sides = Side::ALL.iter().filter(|&&other| side.is_none_or(|worked| worked == other));
        sides.any(|&side| menu.demand.contains_key(&Unit { muscle, side }))
    };
    let mut muscles: Vec<Muscle> = tariff::serves(form).filter(|&muscle| is_wanted(muscle)).collect();
    muscles.sort_by_key(|&muscle| !tariff::meant_for(form).any(|main| main == muscle));
    muscles
}

/// The reasons of a step: the demand, then form, side, method and aim where they need one.
fn why(
    request: &PlanRequest,
    menu: &Menu<'_>,
    chosen: &Chosen<'_>,
    work: &SideDose,
    muscles: &[Muscle],
) -> Vec<Why> {
    let mut all: Vec<Why> =
        menu.after_pain.tried(&chosen.stretch.id, work.side).cloned().into_iter().collect();
    let side = work.side.unwrap_or(menu.first);
    let demanded = |muscle: Muscle| menu.demand.get(&Unit { muscle, side });
    if let Some((&muscle, others)) = muscles.split_first() {
        let causes = demanded(muscle).map(|demanded| demanded.causes.clone()).unwrap_or_default();
        all.push(Why::Serves { muscle, side, causes });
        all.extend(others.iter().take(2).map(|&muscle| Why::Also(muscle)));
    } else {
        all.push(Why::Pinned);
    }
    let others = chosen.way.sides.iter().filter(|other| other.side != work.side);
    if others.into_iter().any(|other| work.dose.held() > other.dose.held()) {
        all.push(Why::LongerThanTheOther);
    }
    if matches!(work.dose, Dose::ContractRelax(_)) {
        let is =
            |kind: fn(&Demanded) -> bool| muscles.iter().any(|&muscle| demanded(muscle).is_some_and(kind));
        let range = request.today.client.profile.aims.contains(&Aim::Range);
        all.push(Why::ContractRelax(match (is(|demanded| demanded.tight), range) {
            (true, _) => ForWhat::Tight,
            (false, true) => ForWhat::Range,
            (false, false) => ForWhat::Alike,
        }));
    }
    let is_told = menu.after_pain.hurt(&chosen.stretch.id, work.side).is_some();
    if let Some(refused) = menu.refused.get(&(chosen.stretch.id.clone(), work.side)).filter(|_| !is_told) {
        all.push(Why::Instead(refused.clone()));
    } else if chosen.form.helper == Helper::Client && request.consent == Consent::SelfStretch {
        all.push(Why::AloneAsAgreed);
    }
    if request.standing(&chosen.stretch.id, chosen.form) == FormStanding::YourUsual {
        all.push(Why::YourUsual);
    }
    if work.aim < Level::AIM {
        all.push(Why::Aim(work.aim));
    }
    all
}
