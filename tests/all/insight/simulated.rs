//! Clients whose truth is known: how often something is said that is not so, and how soon what is.
//!
//! The figures that are held against are those of `docs/learning.md`, from larger runs; a run of a few hundred clients
//! must agree within three standard errors. `MATSIDE_CLIENTS=5000 cargo test --release simulated` runs more.

#![expect(clippy::print_stdout, reason = "the figures of a larger run are read by people")]

use matside::insight::sides::SideVerdict;

use super::world::{First, World};
use super::*;

/// Clients of a run.
fn clients(usual: u64) -> u64 {
    std::env::var("MATSIDE_CLIENTS").ok().and_then(|number| number.parse().ok()).unwrap_or(usual)
}

/// What was ever said of a client's sides: muscle, tighter side, when it began and when it ended.
fn ever(client: &Client) -> Vec<(Muscle, Side, NaiveDate, Option<NaiveDate>)> {
    let last = client.sessions.last().expect("sessions").at.date_naive();
    let learned = learned_on(client, last);
    let of = |sides: &SideVerdict| {
        let over = sides.over.iter().map(|over| (sides.muscle, over.tighter, over.since, Some(over.until)));
        let now = sides.began().map(|(side, since)| (sides.muscle, side, since, None));
        over.chain(now).collect::<Vec<_>>()
    };
    learned.sides().iter().flat_map(of).collect()
}

/// The part of clients for whom something holds.
#[expect(clippy::cast_precision_loss, reason = "a few thousand")]
fn part(count: u64, holds: impl Fn(u64) -> bool) -> f64 {
    (0..count).filter(|&seed| holds(seed)).count() as f64 / count as f64
}

/// Three standard errors of a part that is expected among so many clients.
#[expect(clippy::cast_precision_loss, reason = "a few thousand")]
fn three_errors(expected: f64, count: u64) -> f64 {
    3.0 * (expected * (1.0 - expected) / count as f64).sqrt()
}

#[track_caller]
fn agrees(what: &str, found: f64, expected: f64, count: u64) {
    let room = three_errors(expected.clamp(0.01, 0.99), count);
    println!("{what}: {:.1} % of {count}, expected {:.1}", 100.0 * found, 100.0 * expected);
    assert!((found - expected).abs() <= room, "{what}: {found} is not {expected} within {room}");
}

#[test]
fn of_clients_without_a_difference_hardly_one_is_ever_told_of_one() {
    for (what, world, expected, usual) in [
        ("usual", World::YEAR, 0.027, 400),
        ("wide noise", World { rating_noise: 0.7, ..World::YEAR }, 0.028, 40),
        ("true error 6 for 4.2", World { error: 1.43, ..World::YEAR }, 0.048, 40),
        ("measured each session", World { measured_every: Some(1), ..World::YEAR }, 0.018, 40),
    ] {
        let count = clients(usual);
        let told = part(count, |seed| !ever(&world.client(seed)).is_empty());
        assert!(told <= 0.05 + three_errors(0.05, count), "{what}: {told}");
        agrees(what, told, expected, count);
    }
}

#[test]
fn a_first_side_that_answers_higher_fools_nobody() {
    let count = clients(40);
    let cold = World { first_higher: 0.3, ..World::YEAR };
    for first in [First::Left, First::Turns] {
        let told = part(count, |seed| !ever(&World { first, ..cold }.client(seed)).is_empty());
        agrees("first side 0.3 higher", told, 0.01, count);
    }
}

/// The part of clients who are told within the year, the median session of it, and how often the wrong side was named.
fn power(world: &World, count: u64) -> (f64, usize, usize) {
    let mut wrong = 0;
    let mut when: Vec<usize> = (0..count)
        .map(|seed| {
            let client = world.client(seed);
            let told = ever(&client).into_iter().filter(|(muscle, ..)| *muscle == HAMSTRINGS);
            let (right, left): (Vec<_>, Vec<_>) = told.partition(|(_, side, ..)| *side == Side::Right);
            wrong += right.len();
            let first = left.iter().map(|(_, _, since, _)| *since).min();
            let days = || client.sessions.iter().map(|session| session.at.date_naive());
            first.map_or(usize::MAX, |since| days().filter(|day| *day <= since).count())
        })
        .collect();
    when.sort_unstable();
    let told = part(count, |index| when[usize::try_from(index).expect("small")] < usize::MAX);
    (told, when[when.len() / 2], wrong)
}

#[test]
fn a_true_difference_is_told_as_often_and_as_soon_as_the_tables_say() {
    let count = clients(24);
    // Degrees, how equally far both sides are taken, told within the year, median session.
    for (shorter, equally_far, told, median) in [
        (12.0, 0.0, 0.97, 33),
        (16.0, 0.0, 1.0, 17),
        (16.0, 1.0, 1.0, 12),
        (20.0, 0.0, 1.0, 13),
        (8.0, 1.0, 1.0, 17),
        (8.0, 0.6, 0.99, 37),
    ] {
        let (found, when, wrong) = power(&World { shorter, equally_far, ..World::YEAR }, count);
        let what = format!("{shorter} degrees, {equally_far}");
        assert_eq!(wrong, 0, "{what}: the wrong side");
        agrees(&what, found, told, count);
        println!("{what}: median session {when}, expected {median}");
        assert!(when <= median + 5, "{what}: session {when} instead of {median}");
    }
}

#[test]
fn without_angles_what_is_answered_alike_is_never_told() {
    let count = clients(24);
    let unmeasured = World { shorter: 16.0, measured_every: None, ..World::YEAR };
    assert!(power(&unmeasured, count).0 <= 0.05, "each side is steered to 4");
    let (told, when, wrong) = power(&World { equally_far: 0.6, ..unmeasured }, count);
    agrees("16 degrees, never measured, 0.6", told, 1.0, count);
    assert!(when <= 19 && wrong == 0, "{when}");
}

#[test]
fn a_difference_that_is_gone_is_let_go_and_hardly_comes_back() {
    let count = clients(24);
    let gone = World { shorter: 16.0, gone_at: 48, ..World::YEAR };
    // From answers after 9 to 11 sessions (nine of ten within 17 to 23), from angles, every fourth session, 11 to 17.
    for (what, world, median, nine_of_ten) in [
        ("answers", World { equally_far: 1.0, measured_every: None, ..gone }, 13, 25),
        ("angles", gone, 21, 41),
    ] {
        let (mut after, mut again) = (Vec::new(), 0);
        for seed in 0..count {
            let client = world.client(seed);
            let days: Vec<NaiveDate> =
                client.sessions.iter().map(|session| session.at.date_naive()).collect();
            for (_, _, since, until) in ever(&client).into_iter().filter(|told| told.0 == HAMSTRINGS) {
                let place = |day: NaiveDate| days.iter().filter(|other| **other <= day).count();
                if place(since) > world.gone_at {
                    again += 1;
                } else {
                    after.push(until.map_or(usize::MAX, |until| place(until) - world.gone_at));
                }
            }
        }
        after.sort_unstable();
        println!(
            "{what}: gone after {} sessions, 9 of 10 within {}, again {again}",
            after[after.len() / 2],
            after[after.len() * 9 / 10]
        );
        assert!(after[after.len() / 2] <= median, "{what}: {after:?}");
        assert!(after[after.len() * 9 / 10] <= nine_of_ten, "{what}: {after:?}");
        assert!(again * 50 <= count, "{what}: {again} came back");
    }
}

#[test]
fn half_of_equal_clients_and_more_are_known_to_answer_alike() {
    use matside::insight::sides::SideStanding;
    let count = clients(40);
    let alike = |world: World| {
        part(count, |seed| {
            let client = world.client(seed);
            let last = client.sessions.last().expect("sessions").at.date_naive();
            learned_on(&client, last)
                .side(HAMSTRINGS)
                .is_some_and(|sides| sides.standing == SideStanding::AnsweredAlike)
        })
    };
    let unmeasured = World { measured_every: None, ..World::YEAR };
    let (equal, clear) = (alike(unmeasured), alike(World { shorter: 16.0, equally_far: 0.3, ..unmeasured }));
    println!("answered alike: {equal} of equal clients, {clear} of those with a clear difference");
    assert!((0.6..=0.95).contains(&equal) && clear <= 0.11, "{equal}, {clear}");
}
