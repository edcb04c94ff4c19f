//! Plans made from the built-in catalogue.

use matside::body::{Degrees, Minutes, Seconds, Side};
use matside::catalogue::Catalogue;
use matside::client::{Angle, Birth, Consent, Report, Session};
use matside::planner::{Plan, PlanError, Progress, Step, WhyLeftOut, frontier, words};

use crate::asked::Asked;
use crate::store::sample::report;

#[test]
fn a_plan_is_proven_and_ends_on_the_minute() {
    for minutes in 2..=20 {
        let plan = Asked::new(&[("lower-body", 3), ("chest", 1)], minutes).plan();
        assert!(plan.is_proven(), "{minutes} minutes");
        assert!(plan.total <= plan.minutes.seconds(), "{minutes} minutes take {}", plan.total);
        let mut now = plan.opening;
        for step in &plan.steps {
            assert!(step.start >= now && step.end > step.start, "{step:?}");
            now = step.end;
        }
    }
}

#[test]
fn a_rest_can_be_planned_from_every_position_at_any_age() {
    for born in [None, "1950-01-01".parse().ok()] {
        let mut question = Asked::new(&[("full-body", 2)], 10);
        question.client.profile.born = born.map(Birth::on);
        for position in matside::catalogue::Position::ALL.iter().copied().map(Some).chain([None]) {
            let progress = Progress { position, left: Seconds::new(240), ..Progress::default() };
            question.progress = Some(progress);
            let rest = question.plan();
            assert!(rest.is_proven() && rest.total <= Seconds::new(240), "from {position:?}");
        }
    }
}

#[test]
fn more_minutes_never_give_less() {
    let values = Asked::new(&[("full-body", 2)], 10).with_condition("kneecap-pain:left").ask(frontier);
    assert_eq!(values.len(), 20);
    let values: Vec<i64> =
        values.iter().map(|(_, plan)| plan.as_ref().map_or(0, |plan| plan.value)).collect();
    assert!(values.is_sorted(), "{values:?}");
}

#[test]
fn the_same_question_has_the_same_answer() {
    let question = Asked::new(&[("push", 3), ("legs", 2)], 10);
    assert_eq!(question.plan(), question.plan());
}

#[test]
fn a_tight_side_is_held_longer() {
    let question = Asked::new(&[("hamstrings", 2)], 5).with_tight("hamstrings:left");
    let held = |plan: &Plan, side: Side| -> u32 {
        plan.steps.iter().filter(|step| step.side == Some(side)).map(|step| step.dose.held().get()).sum()
    };
    let plan = question.plan();
    assert!(held(&plan, Side::Left) >= held(&plan, Side::Right), "{plan:?}");
    assert_eq!(plan.steps.iter().find_map(|step| step.side), Some(Side::Left), "the tight side comes first");
}

fn measured(side: Side, degrees: i64) -> Report {
    let angle = Angle::new(Degrees::new(degrees).expect("an angle"));
    Report { angles: vec![angle], ..report(side, 4) }
}

/// A session that measured the straight-leg raise on both sides at the same answer.
fn session(on: &str, left: i64, right: i64) -> Session {
    let at = format!("{on}T18:00:00+01:00").parse().expect("a time");
    Session {
        reports: [(1, measured(Side::Left, left)), (2, measured(Side::Right, right))].into(),
        closed: Some(at),
        ..Session::new(at, Minutes::new(5).expect("in range"), Consent::HandsOn)
    }
}

#[test]
fn what_the_last_sessions_showed_of_a_side_is_planned_for() {
    let mut question = Asked::new(&[("hamstrings", 2)], 6);
    question.client.sessions =
        ["2026-11-10", "2026-11-14", "2026-11-17"].map(|on| session(on, 82, 60)).into_iter().collect();
    let plan = question.plan();
    let right = plan.steps.iter().find(|step| step.side == Some(Side::Right)).expect("a step on the right");
    let words = words::why(&right.why);
    assert!(words.contains("right side tighter (60 against 82 degrees)"), "{words}");
    let held = |side: Side| -> u32 {
        plan.steps.iter().filter(|step| step.side == Some(side)).map(|step| step.dose.held().get()).sum()
    };
    assert!(held(Side::Right) > held(Side::Left), "{plan:?}");
    // The left one went first three times.
    assert_eq!(plan.steps.iter().find_map(|step| step.side), Some(Side::Right));
    // Without the sessions nothing tells the sides apart.
    question.client.sessions.clear();
    assert_eq!(question.plan().steps.iter().find_map(|step| step.side), Some(Side::Left));
}

#[test]
fn a_caution_on_one_side_is_no_reason_on_the_other() {
    let plan = Asked::new(&[("lower-body", 2)], 10).with_condition("hip-replacement-posterior:left").plan();
    // Where a form moves the other leg as well, its caution does count.
    let one_legged = |step: &&Step| {
        let stretch = Catalogue::built_in().stretch(&step.stretch).expect("in the catalogue");
        stretch.forms.iter().all(|form| form.other_side.is_empty())
    };
    for step in plan.steps.iter().filter(|step| step.side == Some(Side::Right)).filter(one_legged) {
        assert!(!words::why(&step.why).contains("left"), "{}: {:?}", step.stretch, step.why);
    }
}

#[test]
fn pinned_stretches_that_do_not_fit_are_never_dropped_silently() {
    let mut question = Asked::new(&[("hamstrings", 2)], 1);
    let each = Catalogue::built_in()
        .stretches()
        .iter()
        .filter(|stretch| stretch.forms.iter().all(|form| form.equipment.is_empty()));
    question.wishes.pinned = each.take(4).map(|stretch| stretch.id.clone()).collect();
    let refused = question.try_plan().expect_err("four do not fit into a minute");
    assert!(matches!(refused, PlanError::PinnedDoNotFit { missing } if missing.get() > 0), "{refused}");
}

#[test]
fn a_dose_that_is_wished_for_is_held_as_near_as_is_allowed() {
    let mut question = Asked::new(&[("hamstrings", 3)], 10);
    let first = question.plan();
    let first = first.steps.iter().find(|step| step.side.is_some()).expect("a step on one side").clone();
    let (_, form) = Catalogue::built_in().form(&first.stretch, &first.form).expect("a form of the catalogue");
    let held = |question: &Asked| -> Vec<Seconds> {
        let plan = question.plan();
        plan.steps.iter().filter(|step| step.stretch == first.stretch).map(|step| step.dose.held()).collect()
    };
    question.wishes.pinned = vec![first.stretch.clone()];
    question.wishes.forms.insert(first.stretch.clone(), first.form.clone());
    for &hold in &form.holds {
        question.wishes.doses.insert(first.stretch.clone(), hold);
        let held = held(&question);
        assert!(!held.is_empty() && held.iter().all(|held| *held == hold), "{hold}: {held:?}");
    }
    // Nobody holds for an hour: the longest hold there is.
    question.wishes.doses.insert(first.stretch.clone(), Seconds::new(3600));
    let longest = form.holds.iter().max().expect("a hold");
    assert!(held(&question).iter().all(|held| held >= longest));
}

#[test]
fn self_stretch_only_means_no_hands() {
    let mut question = Asked::new(&[("lower-body", 2)], 10);
    question.consent = Consent::SelfStretch;
    let plan = question.plan();
    for step in &plan.steps {
        let (_, form) = Catalogue::built_in().form(&step.stretch, &step.form).expect("in the catalogue");
        assert_eq!(form.helper, matside::catalogue::Helper::Client);
    }
    assert!(plan.left_out.iter().any(|omission| omission.reason == WhyLeftOut::Consent));
}

#[test]
fn declined_is_no_plan() {
    let mut question = Asked::new(&[("lower-body", 2)], 10);
    question.consent = Consent::Declined;
    assert_eq!(question.try_plan(), Err(PlanError::Declined));
}
