//! What was noted as tight: points, and when it is put up for review.

use matside::client::NotedTight;
use matside::insight::noted::ReviewReason;

use super::*;

fn noted(sessions: impl IntoIterator<Item = Session>) -> Client {
    let mut client = client(sessions);
    client.profile.tight.push(NotedTight::new(unit(HAMSTRINGS, Side::Left), None));
    client
}

fn review(client: &Client) -> Option<ReviewReason> {
    learned(client).noted()[0].review
}

#[test]
fn a_note_gives_a_point_and_a_finding_another() {
    let left = unit(HAMSTRINGS, Side::Left);
    assert_eq!(learned(&noted([])).points(left), 1);
    let found = (0..3).map(|index| session(2 * (2 - index), measured(55, 80)));
    let client = noted(found);
    assert_eq!(learned(&client).points(left), 2);
    assert_eq!(learned(&client).points(unit(HAMSTRINGS, Side::Right)), 0);
}

#[test]
fn sides_that_are_the_same_or_the_other_way_round_put_it_up_for_review() {
    let measured_lately = |left, right| {
        let first = std::iter::once(session(60, both(4, 4)));
        noted(first.chain((0..4).map(|index| session(7 * (3 - index), measured(left, right)))))
    };
    assert_eq!(review(&measured_lately(78, 77)), Some(ReviewReason::AboutTheSame));
    assert_eq!(review(&measured_lately(90, 60)), Some(ReviewReason::OtherSide));
    assert_eq!(review(&measured_lately(60, 90)), None);
    assert_eq!(
        sentences(&measured_lately(78, 77)),
        [
            "Noted tight, no day kept: hamstrings, left. The last 4 measurements say 78 left and 77 right. Keep?"
        ]
    );
}

#[test]
fn after_half_a_year_it_is_asked_and_after_nine_months_it_gives_no_point() {
    let after = |days| {
        let client = noted([session(days, both(4, 4))]);
        (review(&client), learned(&client).points(unit(HAMSTRINGS, Side::Left)))
    };
    assert_eq!(after(179), (None, 1));
    assert_eq!(after(180), (Some(ReviewReason::LongAgo), 1));
    assert_eq!(after(269), (Some(ReviewReason::LongAgo), 1));
    assert_eq!(after(270), (Some(ReviewReason::LongAgo), 0));
}
