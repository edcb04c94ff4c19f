//! What must hold of every plan, whatever the client and the day: the laws of the plan's worth.
//!
//! The rules are those of the trade (common practice, no source) and the preferences that `docs/planner.md` states; each
//! is tried on the random days of `days`, by seed.
//!
//! | what must hold | test |
//! | --- | --- |
//! | hands on where they are agreed | `where_hands_are_agreed_nine_tenths_of_the_work_is_hands_on` |
//! | a muscle that is served has a form meant for it | `a_step_names_only_muscles_that_it_is_meant_for_or_nearly`, `plan_words` |
//! | no short holds, a handful of stretches | `no_hold_is_short_where_a_longer_one_is_allowed`, `a_broad_day_has_a_handful_of_stretches` |
//! | both sides alike | `what_can_be_done_on_either_side_is_done_alike` |
//! | a tight side longer, by a form that both have | `a_tight_side_of_a_trained_muscle_is_held_longer_by_a_form_that_the_other_has_too` |
//! | range at the hamstrings first | `whoever_wants_range_gets_it_at_the_hamstrings_first` |
//! | the minutes are used | `the_minutes_are_used_while_anything_allowed_has_had_little` |
//! | monotone in minutes and cautions | `more_minutes_and_fewer_cautions_never_give_less` |
//! | left as right | `left_and_right_are_worth_the_same` |
//! | sides told apart weigh no more | `a_muscle_whose_sides_are_told_apart_weighs_as_much_as_one_whose_sides_are_not` |
//! | a number a tenth off breaks nothing | `traps::a_number_moved_by_a_tenth_breaks_nothing_and_moves_little` |
//! | proven, in whole grains | `each`, `a_day_with_everything_in_it_is_proven_too`, `exact`, `outside_solvers` |
//!
//! What is easily got wrong has its tests in `traps`; for the very mobile and others `gentle_clients`.

use std::collections::{BTreeMap, BTreeSet};

use matside::body::{Muscle, Region, Seconds, Side, Unit};
use matside::catalogue::{Catalogue, Form, Helper, Method, Sides, Stretch};
use matside::client::{Aim, Consent};
use matside::planner::demand::{Demand, Demanded, demand};
use matside::planner::{Dose, Plan, Step, menu};
use matside::strain::{ClientMass, LoadGrade, SideWork, StepLoad};

use crate::asked::Asked;
use crate::days;

fn form_of(step: &Step) -> &'static Form {
    Catalogue::built_in().form(&step.stretch, &step.form).expect("a form of the catalogue").1
}

/// The muscles of the largest share.
fn main_of(form: &Form) -> BTreeSet<Muscle> {
    let most = form.targets.iter().map(|target| target.share).max();
    form.targets.iter().filter(|target| Some(target.share) == most).map(|target| target.muscle).collect()
}

fn held(plan: &Plan, kind: impl Fn(&Step) -> bool) -> u32 {
    plan.steps.iter().filter(|step| kind(step)).map(|step| step.dose.held().get()).sum()
}

/// A plan in a line.
fn told(plan: &Plan) -> String {
    let step = |step: &Step| {
        let side = step.side.map_or("both", Side::id);
        format!("{}/{} {side} {:?}", step.stretch, step.form, step.dose)
    };
    plan.steps.iter().map(step).collect::<Vec<_>>().join("; ")
}

fn is_on(step: &Step, side: Side) -> bool {
    step.side.is_none_or(|worked| worked == side)
}

/// The stretch that a form of the catalogue belongs to.
fn stretch_of(form: &Form) -> &'static Stretch {
    let mut stretches = Catalogue::built_in().stretches().iter();
    stretches.find(|stretch| stretch.forms.contains(form)).expect("a form of the catalogue")
}

/// Whether a form may be done today, on that side or on any.
fn is_open(asked: &Asked, form: &Form, side: Option<Side>) -> bool {
    let restrictions = asked.restrictions();
    let at_hand = form.equipment.iter().all(|needed| asked.trainer.equipment.contains(needed));
    let agreed = asked.consent == Consent::HandsOn || form.helper == Helper::Client;
    let may = |side: Option<Side>| restrictions.permit(stretch_of(form), form, side, Method::Static).is_ok();
    let workings = form.workings().iter();
    at_hand
        && agreed
        && workings
            .filter(|working| side.is_none() || working.is_none() || **working == side)
            .any(|&side| may(side))
}

/// The forms that are meant for a muscle and may be done today.
fn open_forms(asked: &Asked, muscle: Muscle) -> impl Iterator<Item = &'static Form> {
    let forms = Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms);
    forms.filter(move |form| main_of(form).contains(&muscle) && is_open(asked, form, None))
}

fn demand_of(asked: &Asked) -> Demand {
    asked.ask(demand)
}

fn wanted(demand: &Demand) -> BTreeSet<Muscle> {
    demand.iter().filter(|(_, demanded)| !demanded.is_ease()).map(|(unit, _)| unit.muscle).collect()
}

/// Every so many-th of the random days with its plan, where there is one.
fn each(every: usize, mut check: impl FnMut(&str, &Asked, &Plan)) {
    let mut seen = 0;
    for (name, asked) in days::days().step_by(every) {
        let Ok(plan) = asked.try_plan() else { continue };
        assert!(plan.is_proven() && plan.total <= plan.minutes.seconds(), "{name}");
        check(&name, &asked, &plan);
        seen += 1;
    }
    assert!(seen * every >= 200, "{seen} days");
}

/// Whether the client does a step alone because what hands could still do for one of its muscles is heavy on the
/// trainer.
fn is_the_lighter_way(asked: &Asked, plan: &Plan, step: &Step) -> bool {
    let taken: BTreeSet<_> = plan.steps.iter().map(|step| &step.stretch).collect();
    let work = SideWork::Still(step.dose.held());
    let is_heavy = |form| {
        StepLoad::of(form, work, ClientMass::of(None)).is_some_and(|load| load.grade >= LoadGrade::Heavy)
    };
    step.muscles.iter().any(|&muscle| {
        open_forms(asked, muscle)
            .filter(|form| form.helper == Helper::Assisted && !taken.contains(&stretch_of(form).id))
            .all(is_heavy)
    })
}

#[test]
fn where_hands_are_agreed_nine_tenths_of_the_work_is_hands_on() {
    let (mut seen, mut by_hands, mut in_all) = (0, 0, 0);
    each(1, |name, asked, plan| {
        let demand = demand_of(asked);
        let all_assisted = demand
            .keys()
            .all(|unit| open_forms(asked, unit.muscle).any(|form| form.helper == Helper::Assisted));
        if all_assisted {
            seen += 1;
            let hands_on = held(plan, |step| form_of(step).helper == Helper::Assisted);
            let lighter = held(plan, |step| {
                form_of(step).helper == Helper::Client && is_the_lighter_way(asked, plan, step)
            });
            assert!((hands_on + lighter) * 10 >= held(plan, |_| true) * 9, "{name}: {}", told(plan));
            by_hands += hands_on;
            in_all += held(plan, |_| true);
        }
    });
    assert!(seen >= 100, "{seen}");
    assert!(by_hands * 100 >= in_all * 99, "{by_hands} of {in_all} s over all days");
}

#[test]
fn a_step_names_only_muscles_that_it_is_meant_for_or_nearly() {
    each(1, |name, asked, plan| {
        let demand = demand_of(asked);
        for step in &plan.steps {
            let form = form_of(step);
            let most = form.targets.iter().map(|target| target.share).max().expect("a target");
            assert!(!step.muscles.is_empty(), "{name}: {step:?}");
            for muscle in &step.muscles {
                let target = form.targets.iter().find(|target| target.muscle == *muscle).expect("a target");
                assert!(u32::from(target.share) * 4 >= u32::from(most) * 3, "{name}: {muscle} by {step:?}");
                let mut units = demand.keys().filter(|unit| unit.muscle == *muscle && is_on(step, unit.side));
                assert!(units.next().is_some(), "{name}: {muscle} is not wanted by {step:?}");
            }
        }
    });
}

#[test]
fn no_hold_is_short_where_a_longer_one_is_allowed() {
    each(1, |name, asked, plan| {
        let restrictions = asked.restrictions();
        for step in plan.steps.iter().filter(|step| matches!(step.dose, Dose::Hold(_))) {
            let form = form_of(step);
            let neck = main_of(form).iter().any(|muscle| muscle.region() == Region::Neck);
            let least = Seconds::new(if neck { 15 } else { 20 });
            let way = restrictions.permit(stretch_of(form), form, step.side, Method::Static);
            let longer = way.is_ok_and(|way| way.doses().any(|dose| dose.held() >= least));
            assert!(step.dose.held() >= least || !longer, "{name}: {step:?}");
        }
    });
}

#[test]
fn a_broad_day_has_a_handful_of_stretches() {
    for group in ["full-body", "lower-body", "upper-body", "legs", "running"] {
        for (minutes, bounds) in [(10, 4..=8), (15, 5..=10)] {
            let plan = Asked::new(&[(group, 2)], minutes).plan();
            let stretches: BTreeSet<_> = plan.steps.iter().map(|step| &step.stretch).collect();
            assert!(bounds.contains(&stretches.len()), "{group} in {minutes}: {stretches:?}");
        }
    }
}

/// Units that are tight while their other side is not, by muscle.
fn one_sided(demand: &Demand) -> BTreeMap<Muscle, Side> {
    let tight =
        |muscle: Muscle, side: Side| demand.get(&Unit { muscle, side }).is_some_and(|unit| unit.tight);
    let units =
        demand.keys().filter(|unit| tight(unit.muscle, unit.side) && !tight(unit.muscle, unit.side.other()));
    units.map(|unit| (unit.muscle, unit.side)).collect()
}

#[test]
fn what_can_be_done_on_either_side_is_done_alike() {
    each(1, |name, asked, plan| {
        let tight = one_sided(&demand_of(asked));
        for step in plan.steps.iter().filter(|step| step.side.is_some()) {
            let (form, side) = (form_of(step), step.side.expect("a side"));
            let other = plan.steps.iter().find(|other| {
                other.stretch == step.stretch && other.form == step.form && other.side == Some(side.other())
            });
            let sides_differ = main_of(form).iter().any(|muscle| tight.contains_key(muscle));
            if let Some(other) = other {
                assert!(other.dose == step.dose || sides_differ, "{name}: {step:?} and {other:?}");
                assert_eq!(other.dose.method(), step.dose.method(), "{name}: {step:?} and {other:?}");
                continue;
            }
            let open = is_open(asked, form, Some(side.other()));
            let second_round = main_of(form).iter().any(|muscle| tight.get(muscle) == Some(&side));
            let demand = demand_of(asked);
            let mut there = step.muscles.iter().map(|&muscle| Unit { muscle, side: side.other() });
            let wanted = there.any(|unit| demand.contains_key(&unit));
            assert!(
                !open || second_round || !wanted,
                "{name}: {} {side} alone in {}",
                step.stretch,
                told(plan)
            );
        }
    });
}

#[test]
fn a_tight_side_of_a_trained_muscle_is_held_longer_by_a_form_that_the_other_has_too() {
    for muscle in ["hamstrings", "gastrocnemius", "piriformis", "adductors", "latissimus-dorsi", "triceps"] {
        for (minutes, side) in [(5, Side::Left), (10, Side::Right), (15, Side::Left)] {
            let asked =
                Asked::new(&[(muscle, 2), ("chest", 1)], minutes).with_tight(&format!("{muscle}:{side}"));
            let plan = asked.plan();
            let muscle: Muscle = muscle.parse().expect("a muscle");
            let on = |side: Side| {
                plan.steps.iter().filter(move |step| is_on(step, side) && step.muscles.contains(&muscle))
            };
            let seconds = |side: Side| on(side).map(|step| step.dose.held().get()).sum::<u32>();
            let pushes = on(side).any(|step| step.dose.method() == Method::ContractRelax);
            assert!(
                seconds(side) >= seconds(side.other()) + 10 || pushes,
                "{muscle} {side} in {minutes}: {} against {}",
                seconds(side),
                seconds(side.other())
            );
            let shared = on(side).any(|step| {
                on(side.other()).any(|other| other.form == step.form && other.stretch == step.stretch)
            });
            assert!(shared, "{muscle} {side} in {minutes}");
        }
    }
}

#[test]
fn whoever_wants_range_gets_it_at_the_hamstrings_first() {
    each(1, |name, asked, plan| {
        let pushes = |step: &&Step| step.dose.method() == Method::ContractRelax;
        let hamstrings = |step: &&Step| step.muscles.contains(&Muscle::Hamstrings);
        let open = open_forms(asked, Muscle::Hamstrings).any(|form| {
            !form.contract_relax.is_empty()
                && asked
                    .restrictions()
                    .permit(stretch_of(form), form, Some(Side::Left), Method::ContractRelax)
                    .is_ok()
        });
        if asked.client.profile.aims.contains(&Aim::Range)
            && asked.trained.contains_key(&Muscle::Hamstrings)
            && open
            && plan.steps.iter().any(|step| pushes(&step))
        {
            assert!(plan.steps.iter().filter(pushes).any(|step| hamstrings(&step)), "{name}: {}", told(plan));
        }
    });
}

#[test]
fn the_minutes_are_used_while_anything_allowed_has_had_little() {
    each(1, |name, asked, plan| {
        if asked.restrictions().in_force().iter().any(|condition| condition.id.as_str() == "hypermobility") {
            return;
        }
        let planned = plan.total.get() * 100 / plan.minutes.seconds().get();
        if planned >= 85 {
            return;
        }
        // What is left must do for two sides with their set-ups and another position.
        let free = plan.budget.saturating_sub(plan.total);
        for unit in demand_of(asked).keys().filter(|_| free >= Seconds::new(120)) {
            let had = held(plan, |step| is_on(step, unit.side) && step.muscles.contains(&unit.muscle));
            let helper = if asked.consent == Consent::HandsOn { Helper::Assisted } else { Helper::Client };
            let open = |side: Side| {
                open_forms(asked, unit.muscle)
                    .any(|form| form.helper == helper && is_open(asked, form, Some(side)))
            };
            let both = open(Side::Left) && open(Side::Right);
            assert!(had >= 30 || !both, "{name}: {planned} % planned, {unit:?} had {had} s\n{}", told(plan));
        }
    });
}

#[test]
fn more_minutes_and_fewer_cautions_never_give_less() {
    each(4, |name, asked, plan| {
        let minutes = i64::from(plan.minutes.get());
        if minutes < 20 {
            let more = asked.clone().with_minutes(minutes + 1).plan();
            assert!(
                more.value >= plan.value,
                "{name}: a minute more gives {} after {}",
                more.value,
                plan.value
            );
        }
        if asked.client.profile.conditions.is_empty() {
            return;
        }
        let mut free = asked.clone();
        free.client.profile.conditions.clear();
        let free = free.plan();
        // A hold so short is offered only because a caution allows no longer one.
        let short = plan.steps.iter().any(|step| step.dose.held() < Seconds::new(20));
        assert!(short || free.value >= plan.value, "{name}: {} with, {} without", plan.value, free.value);
    });
}

/// The same client in a mirror.
fn mirrored(asked: &Asked) -> Asked {
    let mut mirrored = asked.clone();
    for tight in &mut mirrored.client.profile.tight {
        tight.unit = tight.unit.other_side();
    }
    for condition in &mut mirrored.client.profile.conditions {
        condition.side = condition.side.map(Side::other);
    }
    mirrored
}

#[test]
fn left_and_right_are_worth_the_same() {
    each(4, |name, asked, plan| {
        let mirror = mirrored(asked).plan();
        assert_eq!(mirror.value, plan.value, "{name}");
        for (muscle, side) in one_sided(&demand_of(asked)) {
            let on = |plan: &Plan, side: Side| {
                held(plan, |step| is_on(step, side) && main_of(form_of(step)).contains(&muscle))
            };
            let (here, there) = (on(plan, side), on(plan, side.other()));
            let (mine, other) = (on(&mirror, side.other()), on(&mirror, side));
            assert_eq!(
                here.cmp(&there),
                mine.cmp(&other),
                "{name}: {muscle}, {here} and {there} s, {mine} and {other} s"
            );
        }
    });
}

#[test]
fn a_muscle_whose_sides_are_told_apart_weighs_as_much_as_one_whose_sides_are_not() {
    let weights = |asked: &Asked| -> BTreeMap<Muscle, i32> {
        asked.ask(|request| {
            let menu = menu(request).expect("a menu");
            let mut weights = BTreeMap::new();
            for want in &menu.wants {
                *weights.entry(want.muscle).or_default() += want.weight;
            }
            weights
        })
    };
    let plain = Asked::new(&[("lower-body", 2)], 10);
    let tight = plain.clone().with_tight("hamstrings:left");
    let caution = plain.clone().with_condition("knee-injury:left");
    let (plain, tight, caution) = (weights(&plain), weights(&tight), weights(&caution));
    for (muscle, weight) in &plain {
        let by_tightness = if *muscle == Muscle::Hamstrings { 2 } else { 0 };
        assert_eq!(tight[muscle], weight + by_tightness, "{muscle}");
        assert_eq!(caution[muscle], *weight, "{muscle}");
    }
}

#[test]
fn what_is_done_both_at_once_is_not_compared() {
    // A form for both sides at once counts half; one after the other is worth its time on a plain day.
    let plan = Asked::new(&[("lower-body", 2)], 12).plan();
    let one_by_one = held(&plan, |step| form_of(step).sides == Sides::Each);
    assert!(one_by_one * 10 >= held(&plan, |_| true) * 7, "{}", told(&plan));
}

#[test]
fn minutes_that_are_left_go_to_ease_and_the_rest_of_a_block_keeps_to_it() {
    let asked = Asked::new(&[("hamstrings", 2)], 15);
    let demand = demand_of(&asked);
    assert!(demand.values().any(Demanded::is_ease), "{demand:?}");
    assert!(demand.keys().all(|unit| unit.muscle != Muscle::PectoralisMajor), "the other half of the body");
    let rest = days::rest_of(&asked, "a rest").expect("a rest");
    let eased = |demand: &Demand| -> Vec<Unit> {
        demand.iter().filter(|(_, unit)| unit.is_ease()).map(|(unit, _)| *unit).collect()
    };
    assert_eq!(eased(&demand_of(&rest)), eased(&demand));
    // A broad day has no minutes left.
    assert!(demand_of(&Asked::new(&[("full-body", 2)], 10)).values().all(|unit| !unit.is_ease()));
    assert!(wanted(&demand).contains(&Muscle::Hamstrings));
}

#[test]
fn what_was_done_counts_in_the_rest_as_it_counted_in_the_plan() {
    each(4, |name, asked, plan| {
        // All of the plan done, no time left to speak of: the units have had what the plan gave them.
        let mut done = asked.clone();
        let steps = plan.steps.iter();
        done.progress = Some(matside::planner::Progress {
            done: steps.map(|step| matside::planner::WorkDone::of_step(step, step.dose.held())).collect(),
            left: Seconds::new(600),
            ..matside::planner::Progress::default()
        });
        let gained: BTreeMap<(Muscle, Option<Side>), u32> = asked.ask(|request| {
            let solved = matside::planner::solve(request).expect("a plan");
            let mut gained = BTreeMap::new();
            for (candidate, choice) in solved.menu.problem.candidates.iter().zip(&solved.selection) {
                for (unit, ticks) in choice.iter().flat_map(|&choice| &candidate.choices[choice].gains) {
                    let want = &solved.menu.wants[*unit];
                    *gained.entry((want.muscle, want.side)).or_default() +=
                        u32::try_from(*ticks).expect("few") * 5;
                }
            }
            gained
        });
        done.ask(|request| {
            let Ok(menu) = menu(request) else { return };
            for want in &menu.wants {
                if let Some(gained) = gained.get(&(want.muscle, want.side)) {
                    assert_eq!(want.done.get(), *gained, "{name}: {} {:?}", want.muscle, want.side);
                }
            }
        });
    });
}

#[test]
fn a_day_with_everything_in_it_is_proven_too() {
    for (name, asked) in days::full_days().step_by(7) {
        assert!(asked.plan().is_proven(), "{name}");
    }
}
