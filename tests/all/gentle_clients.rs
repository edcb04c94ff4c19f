//! Plans for those who are handled more gently: the very mobile, the pregnant, from 65 years on, and the young; at every
//! length from 3 to 15 minutes.
//!
//! The rules are common practice, no source, where no other is named.

use std::collections::BTreeSet;

use matside::body::Seconds;
use matside::catalogue::{Catalogue, Dose, Method, Position};
use matside::client::Aim;
use matside::planner::Plan;

use crate::asked::Asked;

/// Plans after five kinds of training at all lengths.
fn plans(of: impl Fn(Asked) -> Asked, mut check: impl FnMut(&str, &Asked, &Plan)) {
    let mut seen = 0;
    for group in ["legs", "full-body", "upper-body", "running", "desk"] {
        for minutes in 3..=15 {
            let asked = of(Asked::new(&[(group, 2)], minutes));
            let Ok(plan) = asked.try_plan() else { continue };
            check(&format!("{group} in {minutes}"), &asked, &plan);
            seen += 1;
        }
    }
    assert!(seen >= 50, "{seen} plans");
}

fn pushes(plan: &Plan) -> usize {
    plan.steps.iter().filter(|step| step.dose.method() == Method::ContractRelax).count()
}

fn aim(plan: &Plan) -> u8 {
    plan.steps.iter().map(|step| step.aim.get()).max().unwrap_or(0)
}

fn stretches(plan: &Plan) -> usize {
    plan.steps.iter().map(|step| &step.stretch).collect::<BTreeSet<_>>().len()
}

/// No hold is shorter than so much where form and cautions allow one that is not.
fn holds_from(least: u32, name: &str, asked: &Asked, plan: &Plan) {
    let restrictions = asked.restrictions();
    for step in &plan.steps {
        let (stretch, form) =
            Catalogue::built_in().form(&step.stretch, &step.form).expect("a form of the catalogue");
        let longest = restrictions.permit(stretch, form, step.side, Method::Static).ok().and_then(|way| {
            let held = way.doses().map(Dose::held);
            held.max()
        });
        let is_long = step.dose.held() >= Seconds::new(least);
        let neck = step.muscles.iter().all(|muscle| muscle.region() == matside::body::Region::Neck);
        assert!(is_long || neck || Some(step.dose.held()) >= longest, "{name}: {step:?}");
    }
}

#[test]
fn the_very_mobile_get_few_long_and_gentle_stretches() {
    let (mut mobile, mut others) = (0, 0);
    plans(
        |asked| asked.with_condition("hypermobility"),
        |name, asked, plan| {
            assert_eq!(pushes(plan), 0, "{name}");
            assert!(aim(plan) <= 3, "{name}: {}", aim(plan));
            holds_from(30, name, asked, plan);
            let mut other = asked.clone();
            other.client.profile.conditions.clear();
            let most = stretches(&other.plan());
            // Their holds end sooner, so that a short block may hold one stretch more.
            assert!(
                stretches(plan) <= (most + 1).min(7),
                "{name}: {} where others have {most}",
                stretches(plan)
            );
            mobile += stretches(plan);
            others += most;
        },
    );
    assert!(mobile * 10 <= others * 9, "{mobile} stretches where others have {others}");
}

#[test]
fn late_in_pregnancy_nobody_lies_flat_or_is_pushed_against() {
    // Committee Opinion 804, Obstet Gynecol 2020: not flat on the back for long; the rest from memory.
    plans(
        |asked| asked.with_condition("pregnancy:week=28"),
        |name, _, plan| {
            let flat = [Position::Supine, Position::Prone];
            assert!(plan.steps.iter().all(|step| !flat.contains(&step.position)), "{name}");
            assert_eq!(pushes(plan), 0, "{name}");
            assert!(aim(plan) <= 3, "{name}: {}", aim(plan));
        },
    );
}

#[test]
fn from_65_years_on_holds_are_long() {
    // Garber et al., Med Sci Sports Exerc 2011;43:1334: 30 to 60 s for older adults.
    plans(
        |asked| asked.with_age(72),
        |name, asked, plan| {
            holds_from(30, name, asked, plan);
            assert!(plan.steps.iter().all(|step| step.dose.held() <= Seconds::new(60)), "{name}");
            assert_eq!(pushes(plan), 0, "{name}");
        },
    );
}

#[test]
fn the_young_are_neither_pushed_against_nor_taken_to_four() {
    plans(
        |asked| asked.with_age(15),
        |name, _, plan| {
            assert_eq!(pushes(plan), 0, "{name}");
            assert!(aim(plan) <= 3, "{name}: {}", aim(plan));
        },
    );
}

#[test]
fn contract_relax_is_never_most_of_the_work_of_these() {
    let gentle: [fn(Asked) -> Asked; 4] = [
        |asked| asked.with_condition("hypermobility"),
        |asked| asked.with_condition("pregnancy:week=16"),
        |asked| asked.with_age(72),
        |asked| asked.with_age(15),
    ];
    for (number, of) in gentle.into_iter().enumerate() {
        plans(
            |asked| of(asked).with_aim(Aim::Range),
            |name, _, plan| {
                assert!(pushes(plan) * 2 <= plan.steps.len(), "{name}, {number}: {}", pushes(plan));
            },
        );
    }
}
