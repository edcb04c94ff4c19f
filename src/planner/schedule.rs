//! From a selection to steps in the order of work, each with its second and its reason.

use crate::body::{Level, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Form, Helper, Position, Stretch};

use super::menu::{Menu, SideDose, Way, side_time};
use super::plan::{Dose, Omission, Plan, Step, WhyLeftOut};
use super::problem::Selection;
use super::request::PlanRequest;

/// A chosen row with everything it stands for.
struct Chosen<'a> {
    stretch: &'a Stretch,
    form: &'a Form,
    label: &'a Way,
}

/// Lays the chosen rows out in time.
pub(super) fn schedule(
    ask: &PlanRequest<'_>,
    prepared: &Menu<'_>,
    selection: &Selection,
    (value, bound): (i64, i64),
) -> Plan {
    let instance = &prepared.instance;
    let mut chosen: Vec<Chosen<'_>> = Vec::new();
    for ((stretch, row), choice) in prepared.stretches.iter().zip(&instance.stretches).zip(selection) {
        if let Some(choice) = choice {
            let label = &prepared.labels[row.choices[*choice].id];
            chosen.push(Chosen { stretch, form: &stretch.forms[label.form], label });
        }
    }
    let mut now = instance.opening_s;
    let mut steps = Vec::new();
    let mut before: Option<Position> = None;
    for &position in Position::ALL {
        let mut here: Vec<&Chosen<'_>> =
            chosen.iter().filter(|chosen| chosen.form.position == position).collect();
        if here.is_empty() {
            continue;
        }
        let from = before.map_or("start", Position::id);
        now += instance.change_s.get(from).and_then(|row| row.get(position.id())).copied().unwrap_or(0);
        before = Some(position);
        // What is wanted most comes first, what is gentle last.
        here.sort_by_key(|chosen| {
            (chosen.form.gentle, std::cmp::Reverse(wanted(prepared, chosen.form)), chosen.stretch.id.clone())
        });
        // Both sides at once: firm ones before, gentle ones after the two sides.
        let order = [
            pick(&here, |chosen, side| side.is_none() && !chosen.form.gentle),
            pick(&here, |_, side| side == Some(prepared.first)),
            pick(&here, |_, side| side == Some(prepared.first.other())),
            pick(&here, |chosen, side| side.is_none() && chosen.form.gentle),
        ];
        for (group, works) in order.into_iter().enumerate() {
            if group == 2 && !works.is_empty() {
                now += instance.turn_s.get(position.id()).copied().unwrap_or(0);
            }
            for (chosen, work) in works {
                let end = now + side_time(chosen.form, work.dose);
                steps.push(step(ask, prepared, chosen, work, (now, end)));
                now = end;
            }
        }
    }
    let mut left_out = prepared.left_out.clone();
    for ((stretch, _), choice) in prepared.stretches.iter().zip(&instance.stretches).zip(selection) {
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
        minutes: ask.minutes,
        budget: Seconds::new(instance.budget_s) + prepared.massage,
        opening: Seconds::new(instance.opening_s),
        steps,
        massage: prepared.massage,
        total: Seconds::new(now) + prepared.massage,
        value,
        bound,
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
        chosen.label.works.iter().map(move |work| (chosen, work))
    };
    here.iter().flat_map(works).filter(|(chosen, work)| belongs(chosen, work.side)).collect()
}

/// How much the main muscles of a form are wanted, in points of either side.
fn wanted(prepared: &Menu<'_>, form: &Form) -> u32 {
    let of = |muscle: Muscle| {
        Side::ALL.iter().filter_map(move |&side| prepared.demand.get(&Unit { muscle, side }))
    };
    form.targets.iter().flat_map(|target| of(target.muscle)).map(|want| want.points).sum()
}

fn step(
    ask: &PlanRequest<'_>,
    prepared: &Menu<'_>,
    chosen: &Chosen<'_>,
    work: &SideDose,
    (start, end): (u32, u32),
) -> Step {
    let form = chosen.form;
    let sides = Side::ALL.iter().copied().filter(|&side| work.side.is_none_or(|worked| worked == side));
    let sides: Vec<Side> = sides.collect();
    let is_wanted =
        |muscle: Muscle| sides.iter().any(|&side| prepared.demand.contains_key(&Unit { muscle, side }));
    let muscles: Vec<Muscle> =
        form.targets.iter().map(|target| target.muscle).filter(|&muscle| is_wanted(muscle)).collect();
    Step {
        start: Seconds::new(start),
        end: Seconds::new(end),
        stretch: chosen.stretch.id.clone(),
        name: chosen.stretch.name.clone(),
        form: form.id.clone(),
        side: work.side,
        position: form.position,
        setup: form.setup,
        dose: work.dose,
        aim: work.aim.min(ask.restrictions.level_aim()),
        motions: form.motions.clone(),
        other_side: form.other_side.clone(),
        why: why(ask, prepared, chosen, work, &muscles),
        muscles,
    }
}

/// The reason of a step in words: the demand, then form, side, method and aim where they need one.
fn why(
    ask: &PlanRequest<'_>,
    prepared: &Menu<'_>,
    chosen: &Chosen<'_>,
    work: &SideDose,
    muscles: &[Muscle],
) -> String {
    let mut parts = Vec::new();
    let side = work.side.unwrap_or(prepared.first);
    if let Some(&muscle) = muscles.first() {
        let reasons = prepared.demand.get(&Unit { muscle, side }).map(|want| want.reasons.join(", "));
        parts.push(format!("{}: {}", muscle.plain_name(), reasons.unwrap_or_default()));
        for &muscle in muscles.iter().skip(1).take(2) {
            parts.push(format!("also {}", muscle.plain_name()));
        }
    } else {
        parts.push("pinned".to_owned());
    }
    let others = chosen.label.works.iter().filter(|other| other.side != work.side);
    for other in others {
        if work.dose.held() > other.dose.held() {
            parts.push("longer than on the other side".to_owned());
        }
    }
    if matches!(work.dose, Dose::ContractRelax(_)) {
        let tight = muscles
            .iter()
            .any(|&muscle| prepared.demand.get(&Unit { muscle, side }).is_some_and(|want| want.tight));
        let why = if tight { "contract-relax, as it is tight" } else { "contract-relax for range" };
        parts.push(why.to_owned());
    }
    if let Some(refused) = prepared.refused.get(&(chosen.stretch.id.clone(), work.side)) {
        parts.push(format!("this form, since {refused}"));
    } else if chosen.form.helper == Helper::Client && ask.consent == crate::client::Consent::SelfStretch {
        parts.push("done alone, as agreed".to_owned());
    }
    if work.aim < Level::AIM {
        parts.push(format!("aim {}", work.aim));
    }
    parts.join("; ")
}
