//! The planner against brute force on small problems.

use matside::planner::problem::{Candidate, Choice, Problem, Selection};
use matside::planner::search::{Budget, solve};
use matside::planner::verify::verify;
use proptest::prelude::*;

/// The best value by trying every selection; none if no selection is a plan.
fn brute_force(problem: &Problem) -> Option<i64> {
    fn extend(problem: &Problem, selection: &mut Selection, best: &mut Option<i64>) {
        let Some(candidate) = problem.candidates.get(selection.len()) else {
            if let Ok(value) = verify(problem, selection) {
                *best = Some(best.map_or(value, |best| best.max(value)));
            }
            return;
        };
        for choice in (0..candidate.choices.len()).map(Some).chain([None]) {
            selection.push(choice);
            extend(problem, selection, best);
            selection.pop();
        }
    }
    let mut best = None;
    extend(problem, &mut Vec::new(), &mut best);
    best
}

fn wants() -> impl Strategy<Value = Vec<Vec<i32>>> {
    // Concave: slopes that fall, times a weight.
    let table = (1..40_i32, prop::collection::vec(0..6_i32, 1..6)).prop_map(|(weight, mut slopes)| {
        slopes.sort_unstable_by(|a, b| b.cmp(a));
        let mut table = vec![0];
        for slope in slopes {
            table.push(table.last().copied().unwrap_or(0) + slope * weight * 1000);
        }
        table
    });
    prop::collection::vec(table, 1..5)
}

fn choice(positions: usize, units: usize) -> impl Strategy<Value = Choice> {
    let gains = prop::collection::btree_map(0..units, 1..5_usize, 1..3);
    (0..positions, 1..7_usize, any::<bool>(), gains, -20..40_i32).prop_map(
        |(position, time, second_side, gains, cost)| Choice {
            position,
            time,
            second_side,
            gains: gains.into_iter().collect(),
            cost: cost * 1000,
        },
    )
}

fn problem() -> impl Strategy<Value = Problem> {
    (1..4_usize, wants(), 3..22_usize).prop_flat_map(|(positions, wants, horizon)| {
        let candidate =
            (prop::bool::weighted(0.2), prop::collection::vec(choice(positions, wants.len()), 1..5))
                .prop_map(|(pinned, choices)| Candidate { pinned, choices });
        let start = prop::collection::vec(0..3_usize, positions);
        let step = prop::collection::vec(0..3_usize, positions);
        let turn = prop::collection::vec(0..3_usize, positions);
        (prop::collection::vec(candidate, 1..7), start, step, turn).prop_map(
            move |(candidates, mut start, step, turn)| {
                // Changes add up along the way, and no start is longer than by way of an earlier position: a detour
                // is never cheaper, as the model has it.
                let change = |from: usize, to: usize| (from < to).then(|| step[from..to].iter().sum());
                for to in 1..positions {
                    start[to] = start[to].min(start[to - 1] + step[to - 1]);
                }
                Problem {
                    horizon,
                    start: start.into_iter().map(Some).collect(),
                    change: (0..positions).map(|a| (0..positions).map(|b| change(a, b)).collect()).collect(),
                    turn,
                    wants: wants.clone(),
                    candidates,
                }
            },
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    /// The answer is the best of all selections, and the proof says so.
    #[test]
    fn the_answer_is_that_of_brute_force(problem in problem()) {
        let expected = brute_force(&problem);
        let answer = solve(&problem, Budget::FULL);
        prop_assert_eq!(answer.as_ref().map(|answer| answer.value), expected);
        if let Some(answer) = answer {
            prop_assert_eq!(verify(&problem, &answer.selection), Ok(answer.value));
            prop_assert_eq!(answer.bound, answer.value);
        }
    }

    /// Values as large as may be are counted as exactly as small ones.
    #[test]
    fn large_values_overflow_nothing(problem in problem(), share in 1..=100_i64) {
        let by = matside::planner::problem::LARGEST * share / 100 / problem.total().max(1);
        let mut large = problem.clone();
        let scaled = |value: &mut i32| *value = i32::try_from(i64::from(*value) * by).expect("at most the largest");
        large.wants.iter_mut().flatten().for_each(scaled);
        large.candidates.iter_mut().flat_map(|c| &mut c.choices).for_each(|choice| scaled(&mut choice.cost));
        let expected = brute_force(&problem).map(|best| best * by);
        let answer = solve(&large, Budget::FULL);
        prop_assert_eq!(answer.as_ref().map(|answer| answer.value), expected);
        prop_assert!(answer.is_none_or(|answer| answer.bound == answer.value));
    }

    /// With hardly any effort there is a plan wherever there is one at all, and none is better than the bound.
    #[test]
    fn little_effort_finds_a_plan_and_a_bound(problem in problem(), passes in 0..4_u32, work in 0..4_000_u64) {
        let expected = brute_force(&problem);
        let answer = solve(&problem, Budget { passes, work });
        prop_assert_eq!(answer.is_some(), expected.is_some());
        if let (Some(answer), Some(best)) = (answer, expected) {
            prop_assert_eq!(verify(&problem, &answer.selection), Ok(answer.value));
            prop_assert!(answer.value <= best && best <= answer.bound);
        }
    }
}

/// A pinned stretch with choices in two positions, of which no first plan has any.
#[test]
fn a_pinned_stretch_in_two_positions_is_placed() {
    let choice = |position, time, second_side, gains: &[(usize, usize)]| Choice {
        position,
        time,
        second_side,
        gains: gains.to_vec(),
        cost: 0,
    };
    let problem = Problem {
        horizon: 15,
        start: vec![Some(2), Some(0), Some(2)],
        change: vec![vec![None, Some(2), Some(3)], vec![None, None, Some(1)], vec![None; 3]],
        turn: vec![0, 0, 2],
        wants: vec![
            vec![0, 12_000, 20_000, 24_000],
            vec![0, 4_000, 6_000, 8_000, 9_000, 10_000],
            vec![0, 72_000, 144_000, 198_000, 234_000, 234_000],
        ],
        candidates: vec![
            Candidate {
                pinned: true,
                choices: vec![choice(0, 3, false, &[(0, 1), (2, 1)]), choice(2, 6, true, &[(1, 1)])],
            },
            Candidate { pinned: false, choices: vec![choice(0, 2, false, &[(0, 1)])] },
            Candidate { pinned: false, choices: vec![choice(0, 2, false, &[(1, 1)])] },
            Candidate { pinned: false, choices: vec![choice(2, 6, true, &[(2, 2)])] },
        ],
    };
    assert_eq!(solve(&problem, Budget::FULL).map(|answer| answer.value), brute_force(&problem));
}
