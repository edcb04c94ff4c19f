//! What plans say, over the whole catalogue and over random days: names, reasons, free minutes, what is left out.

use std::collections::BTreeSet;

use matside::catalogue::Catalogue;
use matside::handout::{PlanText, words};
use matside::planner::words::why;
use matside::planner::{Why, WhyLeftOut, solve};

use crate::asked::day;
use crate::days;

/// Words of a name that tell something.
fn telling(name: &str) -> BTreeSet<String> {
    let all = name.split(|letter: char| !letter.is_alphanumeric()).map(str::to_lowercase);
    all.filter(|word| word.len() > 3 && !["with", "from", "over", "into", "under"].contains(&word.as_str()))
        .collect()
}

#[test]
fn no_name_of_a_form_says_again_what_the_stretch_says() {
    let catalogue = Catalogue::built_in();
    for stretch in catalogue.stretches() {
        for form in &stretch.forms {
            let said = words::stretch_and_form(catalogue, &stretch.id, &form.id);
            let added = said.strip_prefix(stretch.name.as_str()).expect("the stretch comes first");
            let twice: Vec<String> = telling(&stretch.name).intersection(&telling(added)).cloned().collect();
            let mostly = twice.len() >= 2 && 2 * twice.len() > telling(added).len();
            assert!(!mostly, "`{said}` says {twice:?} twice");
            let parts: Vec<String> = said.split(", ").map(str::to_lowercase).collect();
            let once: BTreeSet<&String> = parts.iter().collect();
            assert_eq!(once.len(), parts.len(), "{said}");
        }
    }
}

#[test]
fn a_step_gives_reasons_for_no_muscle_for_which_it_counts_nothing() {
    for (name, asked) in days::days().step_by(3) {
        asked.ask(|request| {
            let Ok(solved) = solve(request) else { return };
            let menu = &solved.menu;
            for step in &solved.plan.steps {
                let index = menu
                    .stretches
                    .iter()
                    .zip(&solved.selection)
                    .position(|(stretch, choice)| stretch.id == step.stretch && choice.is_some());
                let index = index.expect("its stretch is chosen");
                let choice = solved.selection[index].expect("chosen");
                let gains = &menu.problem.candidates[index].choices[choice].gains;
                let counts = |muscle| {
                    gains.iter().any(|&(unit, ticks)| menu.wants[unit].muscle == muscle && ticks > 0)
                };
                for &muscle in &step.muscles {
                    assert!(counts(muscle), "{name}: {muscle} by {}", step.stretch);
                }
                for reason in &step.why {
                    if let Why::Serves { muscle, .. } | Why::Also(muscle) = reason {
                        assert!(counts(*muscle), "{name}: `{}` by {}", why(&step.why), step.stretch);
                    }
                }
            }
        });
    }
}

#[test]
fn what_is_left_out_for_time_has_no_time() {
    for (name, asked) in days::days().step_by(3) {
        asked.ask(|request| {
            let Ok(solved) = solve(request) else { return };
            let (menu, plan) = (&solved.menu, &solved.plan);
            let taken = || {
                let all = menu.problem.candidates.iter().zip(&solved.selection);
                all.filter_map(|(candidate, choice)| Some(&candidate.choices[(*choice)?]))
            };
            let free = usize::try_from(plan.free().get() / 5).expect("few");
            for (stretch, candidate) in menu.stretches.iter().zip(&menu.problem.candidates) {
                let omission = plan.left_out.iter().find(|omission| omission.stretch == stretch.id);
                let late = omission.is_some_and(|omission| matches!(omission.reason, WhyLeftOut::Time(_)));
                // Where the client lies already, and turned already, a stretch takes its own time and no more.
                let goes = candidate.choices.iter().any(|choice| {
                    let here = || taken().filter(|taken| taken.position == choice.position);
                    let turned = !choice.second_side || here().any(|taken| taken.second_side);
                    here().next().is_some() && turned && choice.time <= free
                });
                assert!(!(late && goes), "{name}: {} is left out for time, {} free", stretch.id, plan.free());
            }
        });
    }
}

#[test]
fn free_minutes_are_said_with_their_reason_and_nothing_in_shares_of_a_scale() {
    let mut free = 0;
    for (name, asked) in days::days().step_by(3) {
        let Ok(plan) = asked.try_plan() else { continue };
        let text = PlanText {
            who: "Guest",
            on: day(),
            trained: &asked.trained,
            consent: asked.consent,
            first: &[],
            limits: &[],
            plan: &plan,
            catalogue: Catalogue::built_in(),
            columns: 78,
        }
        .to_string();
        let is_free = plan.free().get() >= 60;
        free += usize::from(is_free);
        let said = format!("{} min free: {}", plan.free(), plan.why_free());
        assert_eq!(text.contains(&said), is_free, "{name}: {text}");
        assert!(!text.contains('%'), "{name}: {text}");
        for line in text.lines() {
            let parts: Vec<&str> = line.trim().split(", ").collect();
            assert!(parts.windows(2).all(|pair| pair[0] != pair[1]), "{name}: {line}");
        }
    }
    assert!(free > 0, "no day leaves minutes free");
}
