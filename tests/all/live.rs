//! The live closing block: what a trainer presses and what the clock does, and laws for any of both.

mod cues;
mod interrupted;
mod plans;
mod random;
mod replan;
mod taking_back;

use std::time::Duration;

use matside::body::{Level, Seconds, Side};
use matside::catalogue::{Method, Position};
use matside::client::{Consent, Ended, Report};
use matside::session::{Bell, Control, Live, Moment, Outcome, Pause, Stage};

use plans::{LEFT, RIGHT, contract_relax, hold, plan};

fn at(seconds: f64) -> Moment {
    Moment::new(Duration::from_secs_f64(seconds))
}

/// What goes into the file or asks for a plan; bells and lines are tried on their own.
fn written(outcomes: Vec<Outcome>) -> Vec<Outcome> {
    outcomes.into_iter().filter(|outcome| !matches!(outcome, Outcome::Bell(_) | Outcome::Cue(_))).collect()
}

fn level(number: i64) -> Control {
    Control::Level(Level::new(number).expect("a level"))
}

/// Calf left and right on the back, then the chest seated: 15 s opening, 10 s down, 5 s set-up, 30 s hold each.
fn usual() -> Live {
    let steps = [
        hold("calf", LEFT, Position::Supine, 10, 30),
        hold("calf", RIGHT, Position::Supine, 5, 30),
        hold("chest", None, Position::Seated, 15, 20),
    ];
    Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0))
}

fn run_to(live: &mut Live, seconds: f64) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    let mut now = at(0.0).max(live_now(live));
    while let Some(wait) = live.next_wake(now)
        && now.after(wait) <= at(seconds)
        && !live.is_finished()
    {
        now = now.after(wait);
        outcomes.extend(live.wake(now));
    }
    outcomes.extend(live.wake(at(seconds)));
    outcomes
}

fn live_now(live: &Live) -> Moment {
    at(f64::from(live.snapshot(at(0.0)).elapsed.get()))
}

fn reports(outcomes: &[Outcome]) -> Vec<(u32, Report)> {
    let kept = outcomes.iter().filter_map(|outcome| match outcome {
        Outcome::Report(number, report) => Some((*number, report.clone())),
        _ => None,
    });
    kept.collect()
}

fn amended(outcomes: &[Outcome]) -> Vec<(u32, Report)> {
    let kept = outcomes.iter().filter_map(|outcome| match outcome {
        Outcome::Amend(number, report) => Some((*number, report.clone())),
        _ => None,
    });
    kept.collect()
}

#[test]
fn it_advances_by_itself_from_the_opening_to_the_end() {
    let mut live = usual();
    let stages = [
        (0.0, Stage::Opening, 15),
        (15.0, Stage::Change { from: None, to: Position::Supine }, 10),
        (25.0, Stage::SetUp, 5),
        (30.0, Stage::Hold, 30),
        (59.5, Stage::Hold, 1),
        (60.0, Stage::Change { from: Some(Position::Supine), to: Position::Supine }, 5),
        (70.0, Stage::Hold, 30),
        (100.0, Stage::Change { from: Some(Position::Supine), to: Position::Seated }, 15),
        (120.0, Stage::Hold, 20),
        (140.0, Stage::Finished, 0),
    ];
    let mut outcomes = Vec::new();
    for (seconds, stage, left) in stages {
        outcomes.extend(run_to(&mut live, seconds));
        let phase = live.snapshot(at(seconds));
        assert_eq!((phase.stage, phase.left.get()), (stage, left), "at {seconds}");
        assert_eq!(phase.lateness, 0, "at {seconds}");
    }
    let held: Vec<u32> = reports(&outcomes).iter().map(|(_, report)| report.held.get()).collect();
    assert_eq!(held, [30, 30, 20]);
    assert_eq!(outcomes.iter().filter(|outcome| **outcome == Outcome::Finished).count(), 1);
    assert_eq!(outcomes.iter().filter(|outcome| **outcome == Outcome::Bell(Bell::Soon)).count(), 3);
    assert_eq!(live.next_wake(at(140.0)), None);
}

#[test]
fn contract_relax_counts_its_own_cycles_and_holds_without_the_pushes() {
    let steps = [contract_relax("hamstrings", LEFT, Position::Supine, 0, (3, 3, 7))];
    let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    run_to(&mut live, 31.0);
    assert_eq!(live.snapshot(at(31.0)).stage, Stage::Push { cycle: 2, of: 3 });
    run_to(&mut live, 34.0);
    assert_eq!(live.snapshot(at(34.0)).stage, Stage::Relax { cycle: 2, of: 3 });
    let outcomes = run_to(&mut live, 60.0);
    let (_, report) = &reports(&outcomes)[0];
    assert_eq!((report.method, report.cycles, report.held.get()), (Method::ContractRelax, 3, 21));
}

#[test]
fn a_level_in_a_step_is_in_its_report_and_one_just_after_it_amends_it() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    assert_eq!(live.control(level(3), at(40.0)), []);
    assert_eq!(live.snapshot(at(40.0)).level, Level::new(3).ok());
    let outcomes = run_to(&mut live, 61.0);
    assert_eq!(reports(&outcomes)[0].1.level, Level::new(3).ok());
    let amended = amended(&live.control(level(4), at(62.0)));
    assert_eq!((amended[0].0, amended[0].1.level), (1, Level::new(4).ok()));
    run_to(&mut live, 70.0);
    assert_eq!(live.snapshot(at(70.0)).level, None, "the next step has none yet");
}

#[test]
fn a_level_before_anything_was_stretched_is_refused_with_a_word_why() {
    let outcomes = usual().control(level(4), at(3.0));
    assert_eq!(outcomes, [Outcome::Ignored("nothing has been stretched yet")]);
}

#[test]
fn pain_stops_the_stretch_on_both_sides_and_stands_still() {
    let mut live = usual();
    run_to(&mut live, 42.0);
    let outcomes = live.control(Control::Pain, at(42.6));
    let said = |outcomes: &[Outcome]| -> Vec<(u32, Ended, u32, Option<Side>)> {
        let reports = reports(outcomes).into_iter();
        reports.map(|(number, report)| (number, report.ended, report.held.get(), report.side)).collect()
    };
    assert_eq!(said(&outcomes), [(1, Ended::Pain, 12, LEFT)]);
    let phase = live.snapshot(at(100.0));
    assert_eq!(phase.paused, Some(Pause::Pain));
    assert_eq!(phase.step.map(|step| step.stretch.as_str()), Some("chest"));
    let again = live.control(Control::Before, at(101.0));
    assert_eq!(again, [Outcome::Ignored("there is nothing to go back to")], "not again after pain");
    live.control(Control::Resume, at(102.0));
    assert_eq!(
        live.snapshot(at(102.0)).stage,
        Stage::Change { from: Some(Position::Supine), to: Position::Seated }
    );
    let outcomes = run_to(&mut live, 130.0);
    assert_eq!(said(&outcomes), [(2, Ended::Skipped, 0, RIGHT)], "noted when the next hold begins");
    assert_eq!(reports(&outcomes)[0].1.note, "not done: pain on the other side");
}

#[test]
fn the_way_of_a_skipped_step_is_left_to_the_next_one() {
    let steps = [
        hold("calf", None, Position::Supine, 10, 30),
        hold("hip", LEFT, Position::SideLying, 5, 30),
        hold("hip", RIGHT, Position::SideLying, 5, 30),
    ];
    let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    run_to(&mut live, 60.0);
    live.control(Control::Next, at(62.0));
    let phase = live.snapshot(at(62.0));
    assert_eq!(phase.left.get(), 3 + 5, "what is left of the first turn, and the second");
    assert_eq!(phase.lateness, -35);
}

#[test]
fn a_pause_stops_the_hold_and_makes_it_late() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    live.control(Control::Pause, at(40.0));
    assert_eq!(live.next_wake(at(41.0)), None, "nothing changes, nobody wakes");
    assert_eq!(live.snapshot(at(60.0)).lateness, 20);
    live.control(Control::Resume, at(60.0));
    let (_, report) = &reports(&run_to(&mut live, 80.0))[0];
    assert_eq!(report.held.get(), 30);
}

#[test]
fn ten_seconds_more_are_held_and_reported() {
    let mut live = usual();
    run_to(&mut live, 50.0);
    live.control(Control::Longer(Seconds::new(10)), at(50.0));
    assert_eq!(live.snapshot(at(50.0)).lateness, 10);
    let (_, report) = &reports(&run_to(&mut live, 71.0))[0];
    assert_eq!(report.held.get(), 40);
}

#[test]
fn going_back_adds_to_the_same_report() {
    let mut live = usual();
    run_to(&mut live, 62.0);
    live.control(Control::Before, at(62.0));
    assert_eq!(live.snapshot(at(62.0)).step.and_then(|step| step.side), LEFT);
    let outcomes = run_to(&mut live, 110.0);
    let again: Vec<(u32, u32)> =
        amended(&outcomes).iter().map(|(number, report)| (*number, report.held.get())).collect();
    assert_eq!(again, [(1, 60)]);
    assert_eq!(live.reports().len(), 1, "the right side is still to come");
}

#[test]
fn a_closed_lid_invents_no_holds() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    let outcomes = live.wake(at(1_000.0));
    assert_eq!(outcomes, [Outcome::Unseen(Seconds::new(960))]);
    let phase = live.snapshot(at(1_000.0));
    assert_eq!((phase.stage, phase.left.get(), phase.held.get()), (Stage::Hold, 20, 10));
    assert_eq!(phase.paused, Some(Pause::Unseen(Seconds::new(960))));
    assert_eq!(phase.lateness, 960);
}

#[test]
fn a_closed_lid_finishes_what_was_all_but_over() {
    let mut live = usual();
    run_to(&mut live, 55.0);
    let outcomes = live.wake(at(1_000.0));
    assert_eq!(reports(&outcomes)[0].1.held.get(), 30);
    assert!(matches!(live.snapshot(at(1_000.0)).stage, Stage::Change { .. }));
    assert!(live.snapshot(at(1_000.0)).paused.is_some());
}

#[test]
fn a_slow_frame_loses_nothing() {
    let mut live = usual();
    run_to(&mut live, 58.0);
    let outcomes = live.wake(at(67.0));
    assert_eq!(reports(&outcomes)[0].1.held.get(), 30);
    assert_eq!((live.snapshot(at(67.0)).stage, live.snapshot(at(67.0)).left.get()), (Stage::SetUp, 3));
}

#[test]
fn minutes_left_keeps_the_step_under_way_and_asks_for_the_rest() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    let outcomes = live.control(Control::MinutesLeft(Seconds::new(90)), at(40.0));
    let outcomes = written(outcomes);
    let [Outcome::Replan(progress)] = &outcomes[..] else { panic!("{outcomes:?}") };
    // 20 s of this hold and 40 s of the other side are spoken for.
    assert_eq!((progress.left.get(), progress.position), (30, Some(Position::Supine)));
    let done: Vec<u32> = progress.done.iter().map(|done| done.held.get()).collect();
    assert_eq!(done, [30, 30]);
    let mut rest = plan(&[hold("neck", None, Position::Supine, 0, 20)], 0);
    rest.opening = Seconds::ZERO;
    rest.steps[0].start = Seconds::ZERO;
    rest.steps[0].end = Seconds::new(25);
    assert_eq!(live.replace_rest(&rest, at(40.0)), []);
    assert_eq!(live.snapshot(at(40.0)).remaining.get(), 20 + 40 + 25);
    assert_eq!(live.snapshot(at(40.0)).until_due, 90);
    let outcomes = run_to(&mut live, 130.0);
    let held: Vec<u32> = reports(&outcomes).iter().map(|(_, report)| report.held.get()).collect();
    assert_eq!(held, [30, 30, 20]);
}

#[test]
fn few_seconds_left_cut_the_hold_and_drop_the_rest() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    let outcomes = live.control(Control::MinutesLeft(Seconds::new(8)), at(40.0));
    assert_eq!(outcomes, []);
    let outcomes = run_to(&mut live, 49.0);
    assert_eq!(reports(&outcomes)[0].1.held.get(), 18);
    assert!(live.is_finished());
}

#[test]
fn consent_taken_back_in_part_stops_the_hands_and_asks_for_a_plan_without_them() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    let outcomes = live.control(Control::Withdraw(Consent::SelfStretch), at(40.0));
    assert_eq!(reports(&outcomes)[0].1.ended, Ended::Withdrawn);
    assert!(matches!(outcomes.last(), Some(Outcome::Replan(_))));
    assert_eq!((live.snapshot(at(41.0)).stage, live.consent()), (Stage::Waiting, Consent::SelfStretch));
    let rest = plan(&[hold("neck", None, Position::Seated, 5, 20)], 0);
    assert!(!live.replace_rest(&rest, at(45.0)).is_empty());
    assert_eq!(live.snapshot(at(45.0)).paused, Some(Pause::Consent), "the trainer says when to go on");
    live.control(Control::Resume, at(50.0));
    run_to(&mut live, 120.0);
    assert_eq!(live.reports().len(), 2);
}

#[test]
fn consent_taken_back_altogether_ends_the_block() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    let outcomes = live.control(Control::Withdraw(Consent::Declined), at(40.0));
    assert_eq!(reports(&outcomes)[0].1.ended, Ended::Withdrawn);
    assert!(live.is_finished());
}

#[test]
fn massage_comes_last() {
    let mut live =
        Live::start(&plan(&[hold("calf", None, Position::Prone, 10, 30)], 60), Consent::HandsOn, at(0.0));
    run_to(&mut live, 70.0);
    assert_eq!(live.snapshot(at(70.0)).stage, Stage::Massage);
    assert!(run_to(&mut live, 125.0).contains(&Outcome::Finished));
}

#[test]
fn a_session_that_was_cut_off_is_numbered_on() {
    let mut live = usual();
    run_to(&mut live, 61.0);
    let earlier = live.reports();
    let mut live = usual().with_reports(earlier);
    let outcomes = run_to(&mut live, 61.0);
    assert_eq!(reports(&outcomes)[0].0, 2);
    assert_eq!(live.reports().len(), 2);
}

#[test]
fn a_plan_without_steps_is_over_at_once() {
    let mut live = Live::start(&plan(&[], 0), Consent::HandsOn, at(1.0));
    assert_eq!(live.next_wake(at(1.0)), Some(Duration::ZERO));
    assert!(live.wake(at(1.0)).contains(&Outcome::Finished));
}
