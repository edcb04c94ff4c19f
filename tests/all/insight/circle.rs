//! The circle closed: the real planner plans, a client whose truth is known answers, and the next plan knows of it.

use matside::planner::Step;

use super::planned::{done, plan, reported, request};
use super::world::Chance;
use super::*;

/// Which side of the hamstrings goes less far, and by how many degrees, in each session.
struct Truth {
    apart: fn(usize) -> f64,
    sessions: usize,
    seed: u64,
}

/// What a plan did for the hamstrings: seconds left and right, and the tighter side that was known before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Day {
    held: [u32; 2],
    known: Option<Side>,
}

/// What a step is answered: 4, and a level for six degrees beyond the side's own range, both sides taken equally far.
#[expect(clippy::cast_possible_truncation, reason = "small numbers")]
fn answered(step: &Step, shorter: f64, measures: bool, chance: &mut Chance) -> Report {
    let mut report = reported(step);
    let off = match step.side {
        Some(Side::Left) => -shorter / 2.0,
        Some(Side::Right) => shorter / 2.0,
        None => 0.0,
    };
    let is_theirs = step.muscles.contains(&HAMSTRINGS);
    let off = if is_theirs { off } else { 0.0 };
    let felt = 4.0 - off / 6.0 + 0.45 * chance.normal();
    report.level = Some(Level::new(felt.round().clamp(1.0, 5.0) as i64).expect("a level"));
    if measures && is_theirs && step.side.is_some() {
        let degrees = (74.0 + off + 4.2 * chance.normal()).round() as i64;
        report.angles = vec![Angle::new(Degrees::new(degrees).expect("an angle"))];
    }
    report
}

fn run(truth: &Truth) -> Vec<Day> {
    let mut chance = Chance::new(truth.seed);
    let mut client = client([]);
    let mut days = Vec::new();
    for number in 0..truth.sessions {
        let on = days_ago(400) + Days::new((number as u64 * 15) / 4);
        let request = request(&client, on, 8);
        let known = request.today.learned.side(HAMSTRINGS).and_then(SideVerdict::tighter);
        let plan = plan(&request);
        let mut held = [0; 2];
        for step in plan.steps.iter().filter(|step| step.muscles.first() == Some(&HAMSTRINGS)) {
            if let Some(side) = step.side {
                held[side as usize] += step.dose.held().get();
            }
        }
        days.push(Day { held, known });
        let apart = (truth.apart)(number);
        client.sessions.push(done(&plan, on, |step| answered(step, apart, number % 2 == 0, &mut chance)));
    }
    days
}

#[test]
fn a_tight_side_is_held_longer_until_it_is_equal_and_both_alike_from_then_on() {
    let seeds = if std::env::var_os("MATSIDE_ALL").is_some() { 20 } else { 5 };
    for seed in 0..seeds {
        let days = run(&Truth { apart: |number| if number < 16 { 20.0 } else { 0.0 }, sessions: 40, seed });
        let first = days.iter().position(|day| day.known.is_some()).expect("20 degrees are told");
        assert!(first <= 16, "seed {seed}: told in session {first}");
        let mut switches = 0;
        for (before, day) in days.iter().zip(&days[1..]) {
            switches += usize::from(before.known != day.known);
        }
        for (number, day) in days.iter().enumerate() {
            let [left, right] = day.held;
            match day.known {
                Some(Side::Left) if left > 0 && right > 0 => {
                    assert!(left > right, "seed {seed}, session {number}: {days:?}");
                }
                Some(Side::Right) => panic!("seed {seed}, session {number}: the wrong side"),
                _ => assert!(
                    left == right || left == 0 || right == 0,
                    "seed {seed}, session {number}: {days:?}"
                ),
            }
        }
        assert!(switches <= 3, "seed {seed}: {switches} switches");
        assert_eq!(days.last().and_then(|day| day.known), None, "seed {seed}: equal again");
    }
}

#[test]
fn sides_without_a_difference_are_held_alike() {
    let seeds = if std::env::var_os("MATSIDE_ALL").is_some() { 20 } else { 5 };
    let (mut all, mut alike) = (0, 0);
    for seed in 0..seeds {
        let days = run(&Truth { apart: |_| 0.0, sessions: 40, seed: 100 + seed });
        all += days.len();
        alike += days.iter().filter(|day| day.held[0] == day.held[1]).count();
    }
    assert!(alike * 100 >= all * 95, "{alike} of {all}");
}

#[test]
fn what_was_left_out_is_stretched_within_three_trainings() {
    let muscles = [
        HAMSTRINGS,
        Muscle::GluteusMaximus,
        Muscle::Gastrocnemius,
        Muscle::RectusFemoris,
        Muscle::Adductors,
        Muscle::PectoralisMajor,
        Muscle::LatissimusDorsi,
        Muscle::Triceps,
    ];
    let mut client = client([]);
    for number in 0..12 {
        let on = days_ago(100) + Days::new(number * 4);
        let mut request = request(&client, on, 5);
        request.trained = muscles.map(|muscle| (muscle, Effort::new(2).expect("an effort"))).into();
        let plan = plan(&request);
        client.sessions.push(Session { trained: request.trained.clone(), ..done(&plan, on, reported) });
        let learned = learned_on(&client, on + Days::new(1));
        let longest = learned.neglected().iter().map(|neglect| neglect.run).max().unwrap_or(0);
        assert!(longest <= 3, "session {number}: {:?}", learned.neglected());
    }
}
