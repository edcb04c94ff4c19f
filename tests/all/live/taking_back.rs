//! Slips of the finger: what is noted when, and what can be taken back.

use matside::body::Seconds;
use matside::catalogue::Position;
use matside::client::{Consent, Ended};
use matside::session::{Control, Live, Outcome, Pause, Stage, Undone};

use super::plans::{LEFT, RIGHT, hold, plan};
use super::{amended, at, level, reports, run_to, usual, written};

fn taken_back(outcomes: &[Outcome]) -> Option<Undone> {
    outcomes.iter().find_map(|outcome| match outcome {
        Outcome::Undone(what) => Some(*what),
        _ => None,
    })
}

fn ends(outcomes: &[Outcome]) -> Vec<(u32, Ended, u32)> {
    let reports = reports(outcomes).into_iter();
    reports.map(|(number, report)| (number, report.ended, report.held.get())).collect()
}

fn amends(outcomes: &[Outcome]) -> Vec<(u32, Ended, u32)> {
    let reports = amended(outcomes).into_iter();
    reports.map(|(number, report)| (number, report.ended, report.held.get())).collect()
}

/// Five stretches on the back, one after the other without a way between them.
fn five() -> Live {
    let steps = ["calf", "chest", "hip", "neck", "thigh", "hamstrings"]
        .map(|name| hold(name, None, Position::Supine, 0, 30));
    Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0))
}

#[test]
fn five_steps_on_and_five_back_leave_no_trace() {
    let mut live = five();
    run_to(&mut live, 32.0);
    for _ in 0..5 {
        assert_eq!(written(live.control(Control::Next, at(32.5))), []);
    }
    assert_eq!((live.snapshot(at(33.0)).number, live.snapshot(at(33.0)).passed), (6, 5));
    for _ in 0..5 {
        assert_eq!(written(live.control(Control::Before, at(33.0))), []);
    }
    let back = live.snapshot(at(33.0));
    assert_eq!((back.stage, back.number, back.left.get(), back.held.get()), (Stage::Hold, 1, 18, 12));
    let outcomes = run_to(&mut live, 51.0);
    assert_eq!(ends(&outcomes), [(1, Ended::Done, 30)], "the seconds between are not counted");
}

#[test]
fn what_was_left_is_noted_when_the_next_hold_begins() {
    let mut live = five();
    run_to(&mut live, 32.0);
    assert_eq!(written(live.control(Control::Next, at(32.0))), []);
    assert_eq!(written(live.control(Control::Next, at(33.0))), []);
    assert_eq!(ends(&run_to(&mut live, 37.9)), []);
    assert_eq!(ends(&run_to(&mut live, 38.0)), [(1, Ended::Skipped, 12), (2, Ended::Skipped, 0)]);
    // Then the way back is to the step before, and what it gets is added.
    assert_eq!(live.snapshot(at(38.0)).passed, 0);
    live.control(Control::Before, at(39.0));
    live.control(Control::Before, at(39.1));
    let back = live.snapshot(at(39.1));
    assert_eq!(back.step.map(|step| step.stretch.as_str()), Some("chest"));
    assert_eq!(amends(&run_to(&mut live, 75.0)), [(2, Ended::Done, 30)]);
}

#[test]
fn a_hold_that_is_left_with_an_answer_was_a_shorter_one() {
    let mut live = five();
    run_to(&mut live, 32.0);
    live.control(level(4), at(31.0));
    let mut slip = live.clone();
    assert_eq!(ends(&live.control(Control::Next, at(32.0))), [(1, Ended::Done, 12)], "an answer is not lost");
    run_to(&mut live, 38.0);
    let outcomes = live.control(Control::Undo, at(38.0));
    assert_eq!(amends(&outcomes), [(1, Ended::Skipped, 12)], "without the answer it was left out");
    slip.control(Control::Next, at(32.0));
    let outcomes = slip.control(Control::Before, at(33.0));
    assert_eq!(amends(&outcomes), [(1, Ended::CutOff, 12)], "as far as it has come");
    assert_eq!(amends(&run_to(&mut slip, 51.0)), [(1, Ended::Done, 30)]);
}

#[test]
fn an_answer_to_what_was_left_is_written_at_once() {
    let mut live = five();
    run_to(&mut live, 32.0);
    live.control(Control::Next, at(32.0));
    assert_eq!(ends(&live.control(level(3), at(33.0))), [(1, Ended::Done, 12)]);
}

#[test]
fn what_was_left_is_noted_when_the_block_is_ended_too() {
    let mut live = five();
    run_to(&mut live, 32.0);
    live.control(Control::Next, at(32.0));
    live.control(Control::Next, at(33.0));
    let outcomes = live.control(Control::Finish, at(34.0));
    assert_eq!(ends(&outcomes), [(1, Ended::Skipped, 12), (2, Ended::Skipped, 0)]);
}

#[test]
fn a_program_that_is_left_notes_no_step_that_had_not_begun() {
    let mut live = five();
    run_to(&mut live, 32.0);
    live.control(Control::Next, at(32.0));
    live.control(Control::Next, at(33.0));
    let outcomes = live.control(Control::CutOff, at(34.0));
    assert_eq!(ends(&outcomes), [(1, Ended::Skipped, 12)]);
}

#[test]
fn a_hold_that_is_over_before_its_first_second_is_no_record() {
    for (end, noted) in [(20.9, vec![]), (21.1, vec![(1, Ended::CutOff, 1)])] {
        let mut live = five();
        run_to(&mut live, 20.1);
        assert_eq!(ends(&live.control(Control::CutOff, at(end))), noted, "{end}");
    }
}

#[test]
fn pain_by_a_slip_is_taken_back_and_the_hold_stands_where_it_was() {
    let mut live = usual();
    run_to(&mut live, 42.0);
    live.control(level(3), at(41.9));
    assert_eq!(ends(&live.control(Control::Pain, at(42.0))), [(1, Ended::Pain, 12)]);
    let twice = live.control(Control::Pain, at(43.0));
    assert_eq!(twice, [Outcome::Ignored("pain is noted already")]);
    let outcomes = live.control(Control::Undo, at(45.0));
    assert_eq!(taken_back(&outcomes), Some(Undone::Pain));
    assert_eq!(amends(&outcomes), [(1, Ended::CutOff, 12)], "as far as it has come");
    let phase = live.snapshot(at(45.0));
    assert_eq!((phase.stage, phase.left.get(), phase.held.get()), (Stage::Hold, 18, 12));
    assert_eq!(phase.paused, Some(Pause::Asked), "nothing goes on by itself");
    live.control(Control::Resume, at(50.0));
    let outcomes = run_to(&mut live, 110.0);
    assert_eq!(amends(&outcomes), [(1, Ended::Done, 30)]);
    assert_eq!(ends(&outcomes), [(2, Ended::Done, 30)], "the other side is done after all");
    assert_eq!(live.reports()[&1].level.map(matside::body::Level::get), Some(3));
}

#[test]
fn pain_of_the_step_before_is_taken_back_to_how_that_ended() {
    let mut live = usual();
    run_to(&mut live, 62.0);
    let outcomes = live.control(Control::Pain, at(62.0));
    assert_eq!(amends(&outcomes), [(1, Ended::Pain, 30)]);
    let outcomes = live.control(Control::Undo, at(63.0));
    assert_eq!(amends(&outcomes), [(1, Ended::Done, 30)]);
    let phase = live.snapshot(at(63.0));
    assert_eq!((phase.number, phase.left.get()), (2, 3), "still on the way to the other side");
}

#[test]
fn pain_that_is_taken_back_in_the_next_hold_changes_the_report_alone() {
    let mut live = usual();
    run_to(&mut live, 42.0);
    live.control(Control::Pain, at(42.0));
    live.control(Control::Resume, at(50.0));
    run_to(&mut live, 80.0);
    let outcomes = live.control(Control::Undo, at(80.0));
    assert_eq!(amends(&outcomes), [(1, Ended::Skipped, 12), (2, Ended::Skipped, 0)]);
    assert!(live.reports().values().all(|report| report.note.is_empty()));
    assert_eq!(live.snapshot(at(80.0)).step.map(|step| step.stretch.as_str()), Some("chest"));
}

#[test]
fn pain_in_the_last_stretch_can_be_taken_back_too() {
    let mut live = usual();
    run_to(&mut live, 130.0);
    let outcomes = live.control(Control::Pain, at(130.0));
    assert!(!outcomes.contains(&Outcome::Finished), "it stands still first");
    assert_eq!(live.snapshot(at(131.0)).paused, Some(Pause::Pain));
    let mut slip = live.clone();
    slip.control(Control::Undo, at(132.0));
    assert_eq!(slip.snapshot(at(132.0)).left.get(), 10);
    assert!(live.control(Control::Next, at(132.0)).contains(&Outcome::Finished));
    assert_eq!(live.reports()[&3].ended, Ended::Pain);
}

#[test]
fn stop_notes_nothing_and_nothing_else_happens_until_it_is_said_what_it_was() {
    let mut live = usual();
    run_to(&mut live, 42.0);
    assert_eq!(written(live.control(Control::Stop, at(42.0))), []);
    for press in [level(4), Control::Next, Control::Before, Control::Begin, Control::Undo] {
        assert!(matches!(live.control(press, at(43.0))[..], [Outcome::Ignored(_)]), "{press:?}");
    }
    assert_eq!(live.snapshot(at(50.0)).paused, Some(Pause::Stop));
    let mut well = live.clone();
    assert_eq!(written(well.control(Control::Resume, at(50.0))), []);
    assert_eq!(ends(&run_to(&mut well, 68.0)), [(1, Ended::Done, 30)]);
    let outcomes = live.control(Control::Withdraw(Consent::Declined), at(50.0));
    assert_eq!(ends(&outcomes), [(1, Ended::Withdrawn, 12)]);
}

#[test]
fn an_answer_is_taken_back_until_the_next_hold_has_ended() {
    let mut live = usual();
    run_to(&mut live, 62.0);
    live.control(level(4), at(62.0));
    let outcomes = live.control(Control::Undo, at(63.0));
    assert_eq!(taken_back(&outcomes), Some(Undone::Level));
    assert_eq!(amended(&outcomes)[0].1.level, None);
    live.control(level(5), at(64.0));
    run_to(&mut live, 99.0);
    assert_eq!(taken_back(&live.clone().control(Control::Undo, at(99.0))), Some(Undone::Level));
    run_to(&mut live, 101.0);
    let late = live.control(Control::Undo, at(101.0));
    assert_eq!(written(late), [Outcome::Ignored("there is nothing to take back")]);
}

#[test]
fn a_late_answer_is_for_the_hold_that_was_asked_about() {
    let mut live = usual();
    run_to(&mut live, 75.0);
    let asked = live.snapshot(at(75.0));
    assert_eq!((asked.rated.and_then(|step| step.side), asked.is_asked), (LEFT, true));
    assert_eq!(amended(&live.control(level(3), at(75.0)))[0].0, 1);
    // That one is answered: the next is for the hold under way.
    assert_eq!(live.snapshot(at(76.0)).rated.and_then(|step| step.side), RIGHT);
    let mut later = usual();
    run_to(&mut later, 81.0);
    assert_eq!(later.snapshot(at(81.0)).rated.and_then(|step| step.side), RIGHT, "ten seconds into a hold");
    assert_eq!(amended(&later.control(Control::LevelFor(1, level_of(2)), at(82.0)))[0].0, 1);
}

fn level_of(number: i64) -> matside::body::Level {
    matside::body::Level::new(number).expect("a level")
}

#[test]
fn no_key_ends_a_hold_but_the_one_that_goes_on() {
    let mut live = usual();
    run_to(&mut live, 26.0);
    live.control(Control::Begin, at(26.0));
    assert_eq!(live.snapshot(at(26.0)).stage, Stage::Hold);
    assert_eq!(live.control(Control::Begin, at(26.1)), [Outcome::Ignored("it has begun")]);
    for _ in 0..20 {
        live.control(Control::Shorter(Seconds::new(5)), at(27.0));
    }
    assert_eq!(live.snapshot(at(27.0)).left.get(), 4, "five seconds in all are the least");
    run_to(&mut live, 29.0);
    let refused = written(live.control(Control::Shorter(Seconds::new(5)), at(29.0)));
    assert_eq!(refused, [Outcome::Ignored("that is short enough")]);
}

#[test]
fn a_hold_is_made_longer_or_shorter_before_it_begins_and_back() {
    let mut live = usual();
    live.control(Control::Longer(Seconds::new(5)), at(1.0));
    live.control(Control::Longer(Seconds::new(5)), at(1.0));
    live.control(Control::Shorter(Seconds::new(5)), at(1.0));
    assert_eq!(taken_back(&live.control(Control::Undo, at(2.0))), Some(Undone::Length));
    assert_eq!(live.snapshot(at(2.0)).lateness, 10);
    assert_eq!(ends(&run_to(&mut live, 70.0)), [(1, Ended::Done, 40)]);
}

#[test]
fn new_minutes_are_taken_back_by_planning_for_the_old_end() {
    let mut live = usual();
    run_to(&mut live, 40.0);
    live.control(Control::MinutesLeft(Seconds::new(120)), at(40.0));
    let outcomes = live.control(Control::Undo, at(50.0));
    assert!(outcomes.iter().any(|outcome| matches!(outcome, Outcome::Replan(_))));
    assert_eq!(live.snapshot(at(50.0)).until_due, 550);
}
