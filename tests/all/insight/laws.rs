//! What holds for any client.

use matside::client::Ended;
use matside::insight::change::AngleCourse;
use matside::insight::sides::{OverDifference, SideStanding, SideVerdict};

use super::world::{Chance, World};
use super::*;

/// Clients of many kinds: with and without a difference, measured and not, with gains.
fn clients() -> impl Iterator<Item = Client> {
    (0..12).map(|seed| {
        let mut chance = Chance::new(seed);
        let world = World {
            shorter: chance.one_of([0.0, 12.0, 20.0]),
            equally_far: chance.one_of([0.0, 0.5, 1.0]),
            measured_every: chance.one_of([None, Some(1), Some(4)]),
            gone_at: chance.one_of([48, 70, 1000]),
            gains: chance.one_of([0.0, 14.0]),
            ..World::YEAR
        };
        world.client(seed)
    })
}

fn last_day(client: &Client) -> NaiveDate {
    client.sessions.last().expect("sessions").at.date_naive()
}

fn verdicts(client: &Client) -> Vec<SideVerdict> {
    learned_on(client, last_day(client)).sides().to_vec()
}

fn swapped(client: &Client) -> Client {
    let mut client = client.clone();
    for report in client.sessions.iter_mut().flat_map(|session| session.reports.values_mut()) {
        report.side = report.side.map(Side::other);
    }
    client
}

fn mirrored(mut verdict: SideVerdict) -> SideVerdict {
    if let SideStanding::Differs { tighter, .. } = &mut verdict.standing {
        *tighter = tighter.other();
    }
    verdict.leans = verdict.leans.map(Side::other);
    if let Some(answers) = &mut verdict.answers {
        answers.higher.reverse();
    }
    if let Some(angles) = &mut verdict.angles {
        angles.means.reverse();
    }
    for over in &mut verdict.over {
        let OverDifference { tighter, last, .. } = over;
        *tighter = tighter.other();
        last.reverse();
    }
    verdict
}

#[test]
fn exchanging_left_and_right_exchanges_every_verdict_and_nothing_else() {
    for client in clients() {
        let mirror: Vec<SideVerdict> = verdicts(&swapped(&client)).into_iter().map(mirrored).collect();
        assert_eq!(mirror, verdicts(&client));
    }
}

#[test]
fn of_the_order_within_a_session_only_who_went_first_matters() {
    for client in clients() {
        let mut sorted = client.clone();
        for session in &mut sorted.sessions {
            let first = session.reports.values().next().and_then(|report| report.side);
            // The whole of one side and then the whole of the other, as a block on the floor is done.
            let mut reports: Vec<Report> = session.reports.values().cloned().collect();
            reports.sort_by_key(|report| report.side != first);
            session.reports = (1..).zip(reports).collect();
        }
        assert_eq!(verdicts(&sorted), verdicts(&client));
    }
}

#[test]
fn sessions_that_compare_nothing_change_no_verdict() {
    for (number, client) in clients().enumerate() {
        let mut with_more = client.clone();
        let mut chance = Chance::new(u64::try_from(number).expect("few"));
        let days: Vec<NaiveDate> = client.sessions.iter().map(|session| session.at.date_naive()).collect();
        for on in days {
            let left = said(Side::Left).level(5).angle(40);
            let right = said(Side::Right).level(1).angle(99);
            let odd = match chance.next() % 5 {
                0 => vec![left],
                1 => vec![left, right.pushed()],
                2 => vec![said(None).level(5).angle(40)],
                3 => vec![left, right.ended(Ended::CutOff)],
                _ => vec![left.ended(Ended::Pain), right],
            };
            let mut session = session_on(on, odd);
            session.at += chrono::TimeDelta::hours(2);
            with_more.sessions.push(session);
        }
        assert_eq!(verdicts(&with_more), verdicts(&client));
    }
}

#[test]
fn seconds_held_change_no_verdict() {
    for (number, client) in clients().enumerate() {
        let mut chance = Chance::new(u64::try_from(number).expect("few"));
        let mut longer = client.clone();
        for report in longer.sessions.iter_mut().flat_map(|session| session.reports.values_mut()) {
            report.held = Seconds::new(u32::try_from(5 + chance.next() % 90).expect("small"));
        }
        assert_eq!(verdicts(&longer), verdicts(&client));
    }
}

#[test]
fn more_of_the_same_never_ends_a_claim() {
    for client in clients() {
        for sides in verdicts(&client) {
            let SideStanding::Differs { tighter, .. } = sides.standing else { continue };
            if sides.muscle != HAMSTRINGS {
                continue;
            }
            let mut going_on = client.clone();
            for week in 1..40 {
                let on = last_day(&client) + Days::new(7 * week);
                let (left, right) = if tighter == Side::Left { (4, 3) } else { (3, 4) };
                going_on.sessions.push(session_on(on, both(left, right)));
                let now = learned_on(&going_on, on);
                assert_eq!(now.side(HAMSTRINGS).and_then(SideVerdict::tighter), Some(tighter), "week {week}");
            }
        }
    }
}

#[test]
fn a_constant_on_all_angles_changes_no_side_and_no_change() {
    for client in clients() {
        let mut further = client.clone();
        for report in further.sessions.iter_mut().flat_map(|session| session.reports.values_mut()) {
            for angle in &mut report.angles {
                angle.degrees = Degrees::new(i64::from(angle.degrees.get()) + 9).expect("an angle");
            }
        }
        let (a, b) = (learned_on(&client, last_day(&client)), learned_on(&further, last_day(&client)));
        let standing = |learned: &Learned| -> Vec<SideStanding> {
            learned.sides().iter().map(|sides| sides.standing).collect()
        };
        assert_eq!(standing(&a), standing(&b));
        let moved = |learned: &Learned, by: i32| -> Vec<_> {
            let of = learned.changes().iter().map(|change| match change.course {
                Some(AngleCourse::Moved { from, to, since, rate, .. }) => {
                    Some((from - by, to - by, since, rate))
                }
                _ => None,
            });
            of.collect()
        };
        assert_eq!(moved(&a, 0), moved(&b, 90));
    }
}

#[test]
fn a_file_that_ends_earlier_gives_the_verdict_of_that_day() {
    for client in clients().take(8) {
        for count in [20, 50, 80] {
            let early = Client { sessions: client.sessions[..count].to_vec(), ..client.clone() };
            let on = last_day(&early);
            assert_eq!(learned_on(&early, on), learned_on(&client, on), "what came later is not known yet");
        }
    }
}

#[test]
fn the_order_of_the_file_is_no_matter() {
    for (number, client) in clients().enumerate() {
        let mut chance = Chance::new(u64::try_from(number).expect("few"));
        let mut shuffled = client.clone();
        shuffled.sessions.sort_by_cached_key(|_| chance.next());
        assert_eq!(learned_on(&shuffled, last_day(&client)), learned_on(&client, last_day(&client)));
    }
}

#[test]
fn nothing_known_is_nothing_said() {
    let nobody = client([]);
    let learned = learned(&nobody);
    assert!(learned.claims().is_empty() && learned.details().is_empty());
    for &muscle in Muscle::ALL {
        for &side in Side::ALL {
            let unit = unit(muscle, side);
            assert_eq!((learned.points(unit), learned.neglect(unit), learned.range_points(unit)), (0, 0, 0));
            assert!(learned.found(unit).is_empty());
        }
        assert!(!learned.wants_one_sided(muscle));
    }
    assert!(learned.longer_sides(|_| true).is_empty() && learned.tries().is_empty());
    assert!(learned.wishes(|_| true).is_empty());
    // A few ordinary sessions are nothing either.
    let ordinary = client((0..3).map(|index| session(14 - 7 * index, both(4, 4))));
    assert!(sentences(&ordinary).is_empty(), "{:?}", sentences(&ordinary));
}
