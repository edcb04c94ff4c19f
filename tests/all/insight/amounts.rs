//! Seconds a week, who is due, and what is trained and not stretched.

use matside::client::NotedTight;
use matside::insight::habit::{OwnAmount, OwnDose, SideShare};
use matside::insight::{self, Standing};
use matside::words;

use super::*;

/// A session that trained the hamstrings and stretched them or something else.
fn trained(ago: u64, stretched: bool) -> Session {
    let elsewhere = world::one_muscle_forms(2)[1];
    session(ago, both(4, 4).map(|said| if stretched { said } else { said.with(elsewhere) }))
}

fn left() -> Unit {
    unit(HAMSTRINGS, Side::Left)
}

#[test]
fn each_session_in_a_row_that_trained_and_did_not_stretch_gives_a_point() {
    let points = |sessions: Vec<Session>| learned(&client(sessions)).neglect(left());
    assert_eq!(points(vec![trained(14, true)]), 0);
    let row = |length: u64| {
        let mut sessions = vec![trained(30, true)];
        sessions.extend((0..length).map(|index| trained(3 * (length - 1 - index), false)));
        points(sessions)
    };
    assert_eq!([1, 2, 3, 4, 6].map(row), [1, 2, 3, 3, 3]);
    let over = vec![trained(9, false), trained(6, false), trained(3, true)];
    assert_eq!(points(over), 0);
}

#[test]
fn neglected_from_four_in_a_row_until_the_second_session_that_stretches() {
    let mut sessions = vec![trained(70, true)];
    sessions.extend([30, 27, 24].map(|ago| trained(ago, false)));
    let since = |sessions: &[Session]| {
        let learned = learned(&client(sessions.to_vec()));
        learned.neglected().iter().find(|neglect| neglect.unit == left()).and_then(|neglect| neglect.since)
    };
    assert_eq!(since(&sessions), None);
    sessions.push(trained(21, false));
    assert_eq!(since(&sessions), Some(days_ago(21)));
    sessions.push(trained(18, true));
    assert_eq!(since(&sessions), Some(days_ago(21)), "once is not enough");
    let client_now = client(sessions.clone());
    assert!(
        sentences(&client_now)
            .contains(&"Hamstrings: trained 5 times in six weeks, stretched once (2 Nov).".to_owned()),
        "{:?}",
        sentences(&client_now)
    );
    sessions.push(trained(15, true));
    assert_eq!(since(&sessions), None);
}

#[test]
fn seldom_stretched_is_neglected_too() {
    // Trained eight times in six weeks, stretched twice: a quarter.
    let often = [38, 33, 28, 23, 18, 13, 8, 3];
    let sessions = |stretched: &[u64]| client(often.map(|ago| trained(ago, stretched.contains(&ago))));
    let is_neglected = |client: &Client| {
        learned(client).neglected().iter().any(|neglect| neglect.unit == left() && neglect.since.is_some())
    };
    assert!(is_neglected(&sessions(&[33, 18])));
    assert!(!is_neglected(&sessions(&[38, 28, 18, 8])));
}

#[test]
fn a_session_without_a_block_leaves_nothing_out_and_after_six_weeks_away_nothing_is_said() {
    let mut declined = trained(3, false);
    declined.reports.clear();
    assert_eq!(learned(&client([trained(6, true), declined])).neglect(left()), 0);
    let row = client((0..5).map(|index| trained(60 - index, false)));
    assert!(learned(&row).neglected().is_empty());
}

#[test]
fn one_side_alone_is_named() {
    let one_side = |ago| {
        let [left, right] = both(4, 4);
        session(ago, [left.with(world::one_muscle_forms(2)[1]), right])
    };
    let sessions = [12, 9, 6, 3].map(one_side);
    assert_eq!(
        sentences(&client(sessions)),
        ["Hamstrings, left: trained 4 times in a row without being stretched; never stretched."]
    );
}

#[test]
fn a_week_counts_seven_days_each_side_apart_and_by_share() {
    let one_side = || [said(Side::Left).held(60)];
    let week = client([session(7, one_side()), session(6, one_side()), session(0, one_side())]);
    let weeks = insight::weekly(&week, Catalogue::built_in(), today());
    let left = weeks[&left()];
    assert_eq!((left.held.get(), left.days), (120, 2));
    assert!(!weeks.contains_key(&unit(HAMSTRINGS, Side::Right)));
    assert_eq!(left.standing(insight::Guidance::default()), Standing::Some);
}

#[test]
fn a_week_ends_yesterday_until_something_was_done_today() {
    let weekly = client([session(14, both(3, 3)), session(7, both(3, 3))]);
    let yesterday = today().pred_opt().expect("a day");
    assert_eq!(insight::last_day(&weekly, today()), yesterday);
    let begun = |said: Vec<Said>| client([session(14, both(3, 3)), session(7, both(3, 3)), session(0, said)]);
    assert_eq!(insight::last_day(&begun(vec![]), today()), yesterday);
    assert_eq!(insight::last_day(&begun(vec![said(Side::Left).held(0)]), today()), yesterday);
    assert_eq!(insight::last_day(&begun(vec![said(Side::Left).held(20)]), today()), today());
}

#[test]
fn a_muscles_course_is_its_weeks_one_after_the_other() {
    let held = |left, right| [said(Side::Left).held(left), said(Side::Right).held(right)];
    let client = client([
        session(21, held(60, 60)),
        session(14, held(10, 20)),
        session(13, held(30, 20)),
        session(6, held(40, 50)),
        session(0, held(5, 0)),
    ]);
    let course = insight::amount::course(&client, Catalogue::built_in(), HAMSTRINGS, today(), 4);
    assert_eq!(course.len(), 4);
    for (end, sides) in course {
        let week = insight::weekly(&client, Catalogue::built_in(), end);
        let side = |side| week.get(&unit(HAMSTRINGS, side)).map_or(Seconds::ZERO, |week| week.held);
        assert_eq!(sides, [side(Side::Left), side(Side::Right)], "{end}");
    }
}

/// A week apart each, the oldest first: seconds of both hamstrings.
fn weeks_of(seconds: [u32; 12]) -> Client {
    let held = |(ago, seconds): (u64, u32)| {
        session(7 * ago, [said(Side::Left).held(seconds), said(Side::Right).held(seconds)])
    };
    client((0..12).rev().zip(seconds).map(held))
}

fn dose(client: &Client) -> OwnDose {
    OwnDose::of(client, Catalogue::built_in(), &learned(client), today())
}

#[test]
fn the_clients_own_weeks_are_said_from_half_or_double_and_a_minute_apart() {
    let own = |earlier, late| {
        let mut seconds = [earlier; 12];
        seconds[8..].fill(late);
        dose(&weeks_of(seconds)).own
    };
    let amounts = |usual, now| {
        [Side::Left, Side::Right].map(|side| OwnAmount {
            unit: unit(HAMSTRINGS, side),
            usual: Seconds::new(usual),
            now: Seconds::new(now),
        })
    };
    assert_eq!(own(120, 60), amounts(120, 60));
    assert_eq!(own(60, 120), amounts(60, 120));
    assert_eq!(own(0, 60), amounts(0, 60));
    assert_eq!(own(120, 61), [], "more than half");
    assert_eq!(own(100, 41), [], "less than a minute apart");
    // The median of eight earlier weeks, the mean of the last four; a twelfth week is needed.
    let mut client = weeks_of([900, 0, 120, 120, 120, 120, 120, 900, 30, 30, 30, 90]);
    assert_eq!(dose(&client).own, amounts(120, 45));
    client.sessions.remove(0);
    assert_eq!(dose(&client).own, []);
}

#[test]
fn uneven_sides_are_said_from_three_to_two_unless_something_asked_for_them() {
    let held =
        |left, right| client([session(3, [said(Side::Left).held(left), said(Side::Right).held(right)])]);
    let shares = |client: &Client| dose(client).sides;
    let share = |left, right| SideShare { muscle: HAMSTRINGS, seconds: [left, right].map(Seconds::new) };
    assert_eq!(shares(&held(90, 60)), [share(90, 60)]);
    assert_eq!(shares(&held(89, 60)), []);
    assert_eq!(words::dose(&dose(&held(90, 60))), ["hamstrings: 1:30 left and 1:00 right in four weeks"]);
    let mut noted = held(90, 60);
    noted.profile.tight.push(NotedTight::new(unit(HAMSTRINGS, Side::Left), Some(days_ago(5))));
    assert_eq!(shares(&noted), [], "a side that is noted as tight has more");
    noted.profile.tight[0].unit.side = Side::Right;
    assert_eq!(shares(&noted), [share(90, 60)], "not the other one");
    assert_eq!(shares(&client([session(28, [said(Side::Left).held(90)])])), [], "four weeks");
}
