//! What is said: in which order, how much, and for how long.

use matside::client::{ConsentLimit, Ended};
use matside::insight::Claim;

use super::*;

#[test]
fn a_tighter_side_is_said_with_its_numbers_and_what_measuring_gives() {
    let measured = client((0..6).map(|index| session(10 * (5 - index), measured(61, 74))));
    // 13 degrees apart, six pairs at rho 1.25: beyond 13.0; a seventh is needed.
    assert!(sentences(&measured).is_empty());
    let measured = client((0..7).map(|index| session(10 * (6 - index), super::measured(61, 74))));
    assert_eq!(
        sentences(&measured),
        [
            "Hamstrings: left tighter, 61 against 74 degrees (7 measurements since September; over 11 is more than \
          measuring)."
        ]
    );
    let answered = (0..16).map(|index| {
        let (left, right) = if index == 3 { (3, 4) } else { (4, 3) };
        session(5 * (15 - index), if index % 2 == 0 { both(left, right) } else { turned(left, right) })
    });
    assert_eq!(
        sentences(&client(answered)),
        [
            "Hamstrings: left answered higher 15 times, right once, of 16 sessions since September. Measure both sides to \
          see by how much."
        ]
    );
}

#[test]
fn a_difference_that_is_over_is_said_and_its_line_is_gone() {
    let angles = [(60, 80), (60, 80), (60, 80), (76, 79), (76, 79), (76, 79), (76, 79)];
    let sessions = angles.iter().zip((0..7).rev()).map(|(&(l, r), ago)| session(7 * ago, measured(l, r)));
    assert_eq!(sentences(&client(sessions)), ["Hamstrings: equal again since 20 Nov (76 and 79 degrees)."]);
}

#[test]
fn what_leans_stands_in_the_details_alone() {
    let leaning = client(
        (0..7).map(|index| session(2 * (6 - index), if index % 2 == 0 { both(4, 3) } else { turned(4, 3) })),
    );
    assert!(sentences(&leaning).is_empty());
    assert_eq!(
        details(&leaning),
        ["Hamstrings: leans left, 7 to 0; 4 more that way would settle it, or measure both sides."]
    );
}

#[test]
fn a_claim_moves_to_the_details_after_five_sessions() {
    let mut sessions: Vec<Session> = (0..3).map(|index| session(40 - index, measured(50, 80))).collect();
    for more in 0..8 {
        let client = client(sessions.clone());
        let tighter = |claims: &[Claim]| claims.iter().any(|claim| matches!(claim, Claim::Tighter { .. }));
        let learned = learned_on(&client, days_ago(37 - more));
        assert_eq!(tighter(learned.claims()), more < 5, "after {more} more sessions");
        assert_eq!(tighter(learned.details()), more >= 5, "after {more} more sessions");
        sessions.push(session(37 - more, [said(Side::Left).level(4)]));
    }
}

#[test]
fn at_most_five_are_said_pain_first() {
    let forms = world::one_muscle_forms(8);
    let mut sessions: Vec<Session> = (0..3)
        .map(|index| {
            let each = forms.iter().zip(80..);
            let apart = each.flat_map(|(&form, right)| measured(30, right).map(|said| said.with(form)));
            session(4 - index, apart)
        })
        .collect();
    sessions.push(session(1, [said(Side::Left).ended(Ended::Pain)]));
    let client = client(sessions);
    let learned = learned(&client);
    assert_eq!(learned.claims().len(), 5);
    assert!(matches!(learned.claims()[0], Claim::Pain(_)));
    assert!(learned.details().iter().filter(|claim| matches!(claim, Claim::Tighter { .. })).count() >= 3);
}

#[test]
fn five_easy_and_skipped_are_all_that_levels_say() {
    let five = client([session(0, both(5, 4))]);
    assert_eq!(sentences(&five), ["Straight-leg raise, left: 5 last time. Go less far, to about 4 at most."]);
    let easy = client([session(7, both(1, 4)), session(0, both(2, 4))]);
    assert_eq!(
        sentences(&easy),
        [
            "Straight-leg raise, left: easy twice in a row. Hold longer or take the further form, if nothing speaks \
          against it."
        ]
    );
    let left_out = || [said(Side::Left).held(0).ended(Ended::Skipped)];
    let skipped = client([session(7, left_out()), session(0, left_out())]);
    assert_eq!(
        sentences(&skipped),
        ["Straight-leg raise, left: skipped twice in a row. Ask whether to leave it out."]
    );
}

#[test]
fn what_the_client_took_out_of_the_consent_comes_before_all() {
    let mut last = session(0, both(5, 4));
    let at = last.at;
    last.narrow(ConsentLimit::Stopped, at);
    let words = sentences(&client([last.clone()]));
    assert_eq!(words[0], "Consent was taken back on 20 Nov: ask again before touching.");
    last.narrowed.clear();
    last.narrow(ConsentLimit::SelfStretch, at);
    let words = sentences(&client([last]));
    assert_eq!(words[0], "Went on without hands on 20 Nov: ask before touching whether that has changed.");
}

#[test]
fn nothing_promises_judges_or_asks_for_more() {
    // Barrett et al. 2026 and Lim & Park 2017: the client's word ends the movement; no one asks for more.
    let forbidden = [
        "imbalance",
        "dysfunction",
        "risk",
        "should",
        "prevent",
        "prevents",
        "injury",
        "recover",
        "recovery",
        "sore",
        "cure",
        "harder",
        "normal",
        "bad",
        "weak",
        "wrong",
    ];
    let mut said = 0;
    for seed in 0..12 {
        let world =
            world::World { shorter: 20.0, gains: 20.0, equally_far: 0.5, gone_at: 60, ..world::World::YEAR };
        let client = world.client(seed);
        for session in [30, 60, 95] {
            let on = client.sessions[session].at.date_naive();
            let learned = learned_on(&client, on);
            let words = ClaimWords { catalogue: Catalogue::built_in(), today: on };
            for claim in learned.claims().iter().chain(learned.details()) {
                let sentence = words.sentence(claim);
                said += 1;
                let mut words = sentence.split(|letter: char| !letter.is_alphabetic());
                assert!(!words.any(|word| forbidden.contains(&word)), "{sentence}");
                assert!(sentence.chars().any(|letter| letter.is_ascii_digit()), "no number: {sentence}");
            }
        }
    }
    assert!(said > 30, "{said}");
}
