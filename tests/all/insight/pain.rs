//! The way back after pain, a step at a time.

use matside::client::Ended;
use matside::insight::pain::{PainStage, WayBack};

use super::*;

const GENTLEST: (&str, &str) = ("straight-leg-raise", "strap-round-foot");

fn hurt(ago: u64) -> Session {
    session(ago, [said(Side::Right).held(12).ended(Ended::Pain), said(Side::Left).level(4)])
}

/// A session that did the stretch on the right side with an answer.
fn tried(ago: u64, form: (&str, &str), level: i64) -> Session {
    session(ago, [said(Side::Right).with(form).level(level)])
}

fn way(sessions: &[Session]) -> Option<WayBack> {
    let learned = learned(&client(sessions.to_vec()));
    learned.way_back(&StretchId::new(RAISE.0).expect("an id"), Side::Right).cloned()
}

fn stage(sessions: &[Session]) -> Option<PainStage> {
    way(sessions).map(|way| way.stage)
}

#[test]
fn one_step_after_the_other_and_then_as_before() {
    let mut sessions = vec![hurt(30)];
    let on_day = |days: u64| learned_on(&client([hurt(30)]), days_ago(30 - days));
    let stretch = StretchId::new(RAISE.0).expect("an id");
    let stage_on = |days| on_day(days).way_back(&stretch, Side::Right).map(|way| way.stage);
    assert_eq!([0, 2, 3].map(stage_on), [Some(PainStage::Rest), Some(PainStage::Rest), Some(PainStage::Try)]);
    assert_eq!(
        on_day(0).way_back(&stretch, Side::Left),
        None,
        "a pain on one side says nothing of the other"
    );
    sessions.push(tried(26, GENTLEST, 3));
    assert_eq!(way(&sessions).map(|way| (way.stage, way.painless)), Some((PainStage::Try, 1)));
    sessions.push(tried(25, GENTLEST, 3));
    assert_eq!(stage(&sessions), Some(PainStage::Gentle));
    sessions.extend([tried(24, GENTLEST, 3), tried(23, GENTLEST, 3)]);
    assert_eq!(stage(&sessions), Some(PainStage::Form));
    sessions.push(tried(20, GENTLEST, 3));
    assert_eq!(
        way(&sessions).map(|way| (way.stage, way.painless)),
        Some((PainStage::Form, 0)),
        "a gentler form proves nothing"
    );
    sessions.extend([tried(18, RAISE, 3), tried(16, RAISE, 4)]);
    assert_eq!(way(&sessions), None, "then as before");
}

#[test]
fn day_seven_comes_before_the_form_that_hurt() {
    // Pain six days ago, four painless tries since.
    let early =
        [hurt(6), tried(3, GENTLEST, 3), tried(2, GENTLEST, 3), tried(1, GENTLEST, 3), tried(0, GENTLEST, 3)];
    assert_eq!(stage(&early), Some(PainStage::Gentle));
    let stretch = StretchId::new(RAISE.0).expect("an id");
    let next_day = learned_on(&client(early), today() + Days::new(1));
    assert_eq!(next_day.way_back(&stretch, Side::Right).map(|way| way.stage), Some(PainStage::Form));
}

#[test]
fn what_is_not_painless_stays_on_the_step() {
    let after = |tries: Vec<Session>| {
        let mut sessions = vec![hurt(30)];
        sessions.extend(tries);
        way(&sessions).map(|way| (way.stage, way.painless))
    };
    assert_eq!(after(vec![tried(20, GENTLEST, 5), tried(18, GENTLEST, 5)]), Some((PainStage::Try, 0)), "5");
    let unanswered = |ago| session(ago, [said(Side::Right).with(GENTLEST)]);
    assert_eq!(after(vec![unanswered(20), unanswered(18)]), Some((PainStage::Try, 0)), "nobody said");
    let skipped =
        |ago| session(ago, [said(Side::Right).with(GENTLEST).level(3).held(0).ended(Ended::Skipped)]);
    assert_eq!(after(vec![skipped(20), skipped(18)]), Some((PainStage::Try, 0)), "left out");
    assert_eq!(after(vec![]), Some((PainStage::Try, 0)), "and no step is skipped by waiting");
    assert_eq!(
        after(vec![tried(29, GENTLEST, 3), tried(28, GENTLEST, 3)]),
        Some((PainStage::Try, 0)),
        "it was to rest"
    );
}

#[test]
fn pain_goes_back_to_rest_and_three_in_six_weeks_close_it() {
    let mut sessions = vec![hurt(40), tried(36, GENTLEST, 3), tried(34, GENTLEST, 3)];
    let again = |ago| session(ago, [said(Side::Right).with(GENTLEST).held(8).ended(Ended::Pain)]);
    sessions.push(again(2));
    assert_eq!(way(&sessions).map(|way| (way.stage, way.pains)), Some((PainStage::Rest, 2)));
    sessions.push(again(0));
    assert_eq!(stage(&sessions), Some(PainStage::Closed));
    // Not where they lie further apart, nor where the gentlest form never hurt.
    assert_eq!(stage(&[hurt(50), again(7), again(3)]), Some(PainStage::Try));
    assert_eq!(stage(&[hurt(20), hurt(10), hurt(3)]), Some(PainStage::Try));
}

#[test]
fn a_form_for_both_sides_at_once_counts_for_both() {
    let sessions = client([session(5, [said(None).held(9).ended(Ended::Pain)])]);
    let stretch = StretchId::new(RAISE.0).expect("an id");
    let learned = learned(&sessions);
    assert!(Side::ALL.iter().all(|&side| learned.way_back(&stretch, side).is_some()));
}

#[test]
fn the_longest_waiting_try_comes_first_and_what_rests_is_no_try() {
    let other = world::one_muscle_forms(2)[1];
    let sessions = client([
        session(9, [said(Side::Left).with(other).ended(Ended::Pain)]),
        hurt(6),
        session(1, [said(Side::Left).with(world::one_muscle_forms(3)[2]).ended(Ended::Pain)]),
    ]);
    let learned = learned(&sessions);
    assert_eq!(learned.ways_back().count(), 3);
    let tries: Vec<&str> = learned.tries().iter().map(|way| way.stretch.as_str()).collect();
    assert_eq!(tries, [other.0, RAISE.0]);
}

#[test]
fn it_is_said_first_and_as_long_as_it_lasts() {
    let mut sessions = vec![hurt(40)];
    sessions.extend((0..8).map(|index| session(30 - index, [said(Side::Left).level(4)])));
    assert_eq!(
        sentences(&client(sessions)),
        [
            "Straight-leg raise, right: stopped for pain on 11 Oct. Ask first; then the gentlest form, half the hold, to \
          3 (try 1 of 2)."
        ]
    );
    assert_eq!(
        sentences(&client([hurt(1)])),
        ["Straight-leg raise, right: stopped for pain on 19 Nov. Leave it for three days, then ask."]
    );
}
