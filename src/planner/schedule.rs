//! From a selection to steps in the order of work, each with its second and its reason.

use crate::body::{Level, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Form, Helper, Position, Stretch};

use super::menu::Menu;
use super::plan::{Dose, Omission, Plan, Step, WhyLeftOut};
use super::request::PlanRequest;
use super::search::Solution;
use super::tariff;
use super::ways::{SideDose, Way, side_time};

/// A chosen way with everything it stands for.
struct Chosen<'a> {
    stretch: &'a Stretch,
    form: &'a Form,
    way: &'a Way,
}

/// Lays the chosen ways out in time.
pub(super) fn schedule(request: &PlanRequest<'_>, menu: &Menu<'_>, solution: &Solution) -> Plan {
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
        // What is wanted most comes first, what is gentle last.
        here.sort_by_key(|chosen| {
            (chosen.form.gentle, std::cmp::Reverse(wanted(menu, chosen.form)), chosen.stretch.id.clone())
        });
        // Both sides at once: firm ones before, gentle ones after the two sides.
        let order = [
            pick(&here, |chosen, side| side.is_none() && !chosen.form.gentle),
            pick(&here, |_, side| side == Some(menu.first)),
            pick(&here, |_, side| side == Some(menu.first.other())),
            pick(&here, |chosen, side| side.is_none() && chosen.form.gentle),
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
    let mut left_out = menu.left_out.clone();
    for (stretch, choice) in menu.stretches.iter().zip(&solution.selection) {
        if choice.is_none() {
            left_out.push(Omission {
                stretch: stretch.id.clone(),
                name: stretch.name.clone(),
                reason: WhyLeftOut::Time(None),
                detail: "the time is better spent".to_owned(),
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

/// How much the main muscles of a form are wanted, in points of either side.
fn wanted(menu: &Menu<'_>, form: &Form) -> i32 {
    let of =
        |muscle: Muscle| Side::ALL.iter().filter_map(move |&side| menu.demand.get(&Unit { muscle, side }));
    form.targets.iter().flat_map(|target| of(target.muscle)).map(|want| want.points).sum()
}

fn step(
    request: &PlanRequest<'_>,
    menu: &Menu<'_>,
    chosen: &Chosen<'_>,
    work: &SideDose,
    (start, end): (Seconds, Seconds),
) -> Step {
    let form = chosen.form;
    let sides = Side::ALL.iter().copied().filter(|&side| work.side.is_none_or(|worked| worked == side));
    let sides: Vec<Side> = sides.collect();
    let is_wanted =
        |muscle: Muscle| sides.iter().any(|&side| menu.demand.contains_key(&Unit { muscle, side }));
    let muscles: Vec<Muscle> =
        form.targets.iter().map(|target| target.muscle).filter(|&muscle| is_wanted(muscle)).collect();
    Step {
        start,
        end,
        stretch: chosen.stretch.id.clone(),
        name: chosen.stretch.name.clone(),
        form: form.id.clone(),
        side: work.side,
        position: form.position,
        setup: form.setup,
        dose: work.dose,
        aim: work.aim.min(request.restrictions.level_aim()),
        motions: form.motions.clone(),
        other_side: form.other_side.clone(),
        why: why(request, menu, chosen, work, &muscles),
        muscles,
    }
}

/// The reason of a step in words: the demand, then form, side, method and aim where they need one.
fn why(
    request: &PlanRequest<'_>,
    menu: &Menu<'_>,
    chosen: &Chosen<'_>,
    work: &SideDose,
    muscles: &[Muscle],
) -> String {
    let mut parts = Vec::new();
    let side = work.side.unwrap_or(menu.first);
    if let Some(&muscle) = muscles.first() {
        let reasons = menu.demand.get(&Unit { muscle, side }).map(|want| want.reasons.join(", "));
        parts.push(format!("{}: {}", muscle.plain_name(), reasons.unwrap_or_default()));
        for &muscle in muscles.iter().skip(1).take(2) {
            parts.push(format!("also {}", muscle.plain_name()));
        }
    } else {
        parts.push("pinned".to_owned());
    }
    let others = chosen.way.sides.iter().filter(|other| other.side != work.side);
    for other in others {
        if work.dose.held() > other.dose.held() {
            parts.push("longer than on the other side".to_owned());
        }
    }
    if matches!(work.dose, Dose::ContractRelax(_)) {
        let tight = muscles
            .iter()
            .any(|&muscle| menu.demand.get(&Unit { muscle, side }).is_some_and(|want| want.tight));
        let why = if tight { "contract-relax, as it is tight" } else { "contract-relax for range" };
        parts.push(why.to_owned());
    }
    if let Some(refused) = menu.refused.get(&(chosen.stretch.id.clone(), work.side)) {
        parts.push(format!("this form, since {refused}"));
    } else if chosen.form.helper == Helper::Client && request.consent == crate::client::Consent::SelfStretch {
        parts.push("done alone, as agreed".to_owned());
    }
    if work.aim < Level::AIM {
        parts.push(format!("aim {}", work.aim));
    }
    parts.join("; ")
}
