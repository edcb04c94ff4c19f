//! The planner against solvers that others wrote.
//!
//! `HiGHS` (Huangfu and Hall, 'Parallelizing the dual revised simplex method', Math. Program. Comp. 10, 2018) solved the
//! random problems of real size; `tests/data/planner/optima.txt` holds what it found, and
//! `tests/reference/optima.py` makes it again. microlp solves days of the catalogue here and now.

use matside::handout::instance::{Instance, benefit};
use matside::planner::search::{Budget, solve};
use matside::planner::verify::verify;
use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOutcome, Variable};

use crate::{days, random_instances};

/// Of the random problems, every so many-th is solved in a test run; all of them with `MATSIDE_ALL` set.
const EVERY: usize = 5;

#[test]
fn random_problems_of_real_size_have_the_optimum_that_highs_found() {
    let optima = include_str!("../data/planner/optima.txt");
    assert_eq!(u64::try_from(optima.lines().count()).ok(), Some(random_instances::COUNT));
    let all = std::env::var_os("MATSIDE_ALL").is_some();
    for (number, line) in optima.lines().enumerate().filter(|(number, _)| all || number % EVERY == 0) {
        let mut words = line.split(' ');
        let (name, optimum) = (words.next().expect("a name"), words.next().expect("an optimum"));
        let named = random_instances::instance(u64::try_from(number).expect("small"));
        assert_eq!(named.name, name, "line {number}");
        let (problem, step) = named.instance.problem().expect("well formed");
        let answer = solve(&problem, Budget::FULL);
        let Ok(optimum) = optimum.parse::<i64>() else {
            assert_eq!(answer, None, "{name}: the pinned stretches do not fit");
            continue;
        };
        let answer = answer.unwrap_or_else(|| panic!("{name}: HiGHS found a plan"));
        assert_eq!(verify(&problem, &answer.selection), Ok(answer.value), "{name}");
        assert!(answer.bound <= answer.value, "{name} is not proven");
        // A micro-point either way: HiGHS works in floating point.
        let value = answer.value * step;
        assert!((value - optimum).abs() <= 1, "{name}: {value} against {optimum}");
    }
}

#[test]
fn days_of_the_catalogue_have_the_optimum_that_microlp_finds() {
    let mut compared = 0;
    // Small ones: microlp has neither cuts nor presolve.
    let small =
        |instance: &Instance| instance.stretches.iter().map(|s| s.choices.len()).sum::<usize>() <= 140;
    let days = days::instances().into_iter().filter(|(_, instance)| small(instance)).take(12);
    let rests = days::rests().into_iter().filter(|(_, instance)| small(instance)).take(12);
    for (name, instance) in days.chain(rests) {
        let Some(expected) = by_microlp(&instance) else { continue };
        let (problem, step) = instance.problem().expect("well formed");
        let answer = solve(&problem, Budget::FULL).expect("no pins");
        let expected = (expected * 1e6).round();
        #[expect(clippy::cast_precision_loss, reason = "far below 2^52")]
        let found = (answer.value * step) as f64;
        assert!((found - expected).abs() <= 1.0, "{name}: {found} against {expected}");
        compared += 1;
    }
    assert!(compared >= 8, "{compared} compared");
}

/// What is written beside a plan is the problem that was solved: read back, it has the same optimum.
#[test]
fn the_problem_that_is_written_has_the_value_of_the_plan() {
    let days = days::days().step_by(20).chain(days::full_days().step_by(14));
    for (name, asked) in days {
        asked.ask(|request| {
            let Ok(solved) = matside::planner::solve(request) else { return };
            let (problem, step) = Instance::from(&solved.menu).problem().expect("well formed");
            let answer = solve(&problem, Budget::FULL).expect("no pins");
            // A grain is 0.04 points.
            assert_eq!(answer.value * step, solved.plan.value * 40_000, "{name}");
        });
    }
}

/// The optimum of an instance as a 0/1 programme, or none if microlp gives up.
fn by_microlp(instance: &Instance) -> Option<f64> {
    let mut model = Problem::new(OptimizationDirection::Maximize);
    let positions = &instance.positions;
    let used: Vec<Variable> = positions.iter().map(|_| model.add_binary_var(0.0)).collect();
    let turned: Vec<Variable> = positions.iter().map(|_| model.add_binary_var(0.0)).collect();
    let mut seconds = LinearExpr::empty();
    let mut into: Vec<Vec<Variable>> = vec![Vec::new(); positions.len()];
    let mut out: Vec<Vec<Variable>> = vec![Vec::new(); positions.len()];
    let mut first = LinearExpr::empty();
    for (from, row) in &instance.change_s {
        for (to, &change) in row {
            let arc = model.add_binary_var(0.0);
            seconds.add(arc, f64::from(change));
            into[positions.iter().position(|p| p == to)?].push(arc);
            match positions.iter().position(|p| p == from) {
                Some(from) => out[from].push(arc),
                None => first.add(arc, 1.0),
            }
        }
    }
    model.add_constraint(first, ComparisonOp::Le, 1.0);
    for (index, position) in positions.iter().enumerate() {
        seconds.add(turned[index], f64::from(instance.turn_s.get(position).copied().unwrap_or(0)));
        let end = model.add_binary_var(0.0);
        for (arcs, last) in [(&into[index], None), (&out[index], Some(end))] {
            let mut flow = LinearExpr::empty();
            arcs.iter().copied().chain(last).for_each(|arc| flow.add(arc, 1.0));
            flow.add(used[index], -1.0);
            model.add_constraint(flow, ComparisonOp::Eq, 0.0);
        }
    }
    let mut covers: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); instance.units.len()];
    for stretch in &instance.stretches {
        let mut one = LinearExpr::empty();
        for choice in &stretch.choices {
            let taken = model.add_binary_var(-choice.cost);
            let position = positions.iter().position(|p| *p == choice.position)?;
            one.add(taken, 1.0);
            seconds.add(taken, f64::from(choice.time_s));
            model.add_constraint([(taken, 1.0), (used[position], -1.0)], ComparisonOp::Le, 0.0);
            if choice.two_sided {
                model.add_constraint([(taken, 1.0), (turned[position], -1.0)], ComparisonOp::Le, 0.0);
            }
            for &(unit, gain) in &choice.gain {
                covers[unit].push((taken, f64::from(gain)));
            }
        }
        model.add_constraint(one, ComparisonOp::Le, 1.0);
    }
    model.add_constraint(seconds, ComparisonOp::Le, f64::from(instance.working_s()));
    for (want, cover) in instance.units.iter().zip(&covers) {
        let curve = instance.curve_of(want);
        let had = benefit(curve, want.done_s);
        let most = curve.last().map_or(0.0, |last| last.1);
        let gained = model.add_var(1.0, (0.0, want.weight * (most - had)));
        for corner in curve.windows(2) {
            let slope = (corner[1].1 - corner[0].1) / (corner[1].0 - corner[0].0) * want.weight;
            let mut line = LinearExpr::empty();
            line.add(gained, 1.0);
            for &(taken, gain) in cover {
                line.add(taken, -slope * gain);
            }
            let limit = (corner[0].1 - had) * want.weight + slope * (f64::from(want.done_s) - corner[0].0);
            model.add_constraint(line, ComparisonOp::Le, limit);
        }
    }
    match model.solve() {
        Ok(SolveOutcome::Solution(solution)) => Some(solution.objective()),
        _ => None,
    }
}
