//! Less time than was planned, and pain: what stays, what goes, and what is shown of it.

use matside::body::Seconds;
use matside::catalogue::Position;
use matside::client::{Consent, Ended, Report};
use matside::session::{Control, Live, Outcome, Segment};

use super::plans::{LEFT, RIGHT, hold, plan};
use super::{at, reports, run_to, usual};

fn spans(timeline: &[Segment<'_>]) -> Vec<(u32, u32, bool)> {
    timeline.iter().map(|segment| (segment.start.get(), segment.end.get(), segment.now)).collect()
}

#[test]
fn where_nothing_can_be_planned_the_owed_side_stays_and_the_end_is_kept() {
    for (left, held) in [(90, vec![30, 30]), (99, vec![30, 30]), (100, vec![30, 30, 20])] {
        let mut live = usual();
        run_to(&mut live, 40.0);
        let outcomes = live.control(Control::MinutesLeft(Seconds::new(left)), at(40.0));
        assert!(matches!(&outcomes[..], [Outcome::Replan(_)]));
        assert_eq!(live.keep_what_fits(at(40.0)), []);
        let phase = live.snapshot(at(40.0));
        assert!(phase.remaining <= Seconds::new(left) && phase.lateness == 0, "{phase:?}");
        assert_eq!(phase.until_due, i32::try_from(left).expect("small"));
        let outcomes = run_to(&mut live, 40.0 + f64::from(left));
        let seconds: Vec<u32> = reports(&outcomes).iter().map(|(_, report)| report.held.get()).collect();
        assert_eq!(seconds, held, "{left} s");
        assert!(live.is_finished());
    }
}

#[test]
fn the_way_to_what_is_dropped_is_gone_on_to_what_stays() {
    let steps = [
        hold("neck", None, Position::Supine, 10, 30),
        hold("hip", None, Position::Prone, 15, 60),
        hold("thigh", None, Position::Prone, 0, 20),
    ];
    let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    run_to(&mut live, 40.0);
    live.control(Control::MinutesLeft(Seconds::new(60)), at(40.0));
    assert_eq!(live.keep_what_fits(at(40.0)), []);
    // 20 s of this hold, then 15 s to the next position, 5 s of set-up and 20 s of hold.
    assert_eq!(live.snapshot(at(40.0)).remaining.get(), 20 + 15 + 5 + 20);
    assert_eq!(live.snapshot(at(40.0)).next.map(|step| step.stretch.as_str()), Some("thigh"));
}

#[test]
fn the_course_has_what_was_done_where_it_was_done_and_what_is_to_come_behind_it() {
    let mut live = usual();
    assert_eq!(spans(&live.timeline(at(0.0))), [(30, 60, true), (70, 100, false), (120, 140, false)]);
    run_to(&mut live, 40.0);
    live.control(Control::Longer(Seconds::new(10)), at(40.0));
    assert_eq!(spans(&live.timeline(at(40.0))), [(30, 70, true), (80, 110, false), (130, 150, false)]);
    run_to(&mut live, 85.0);
    live.control(Control::Pause, at(85.0));
    assert_eq!(spans(&live.timeline(at(95.0))), [(30, 70, false), (80, 120, true), (140, 160, false)]);
    live.control(Control::Resume, at(95.0));
    live.control(Control::MinutesLeft(Seconds::new(30)), at(95.0));
    assert_eq!(live.keep_what_fits(at(95.0)), []);
    assert_eq!(spans(&live.timeline(at(95.0))), [(30, 70, false), (80, 120, true)]);
}

#[test]
fn pain_leaves_out_what_reaches_the_same_muscles_on_that_side() {
    let steps = [
        hold("calf", RIGHT, Position::Supine, 10, 30),
        hold("calf-wall", RIGHT, Position::Supine, 0, 30),
        hold("calf", LEFT, Position::Supine, 5, 30),
        hold("calf-wall", LEFT, Position::Supine, 0, 30),
        hold("chest", None, Position::Seated, 5, 30),
    ];
    let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    run_to(&mut live, 35.0);
    let named = |outcomes: &[Outcome]| -> Vec<(String, Ended)> {
        let reports = reports(outcomes).into_iter();
        let side = |report: &Report| report.side.expect("one").id();
        reports.map(|(_, report)| (format!("{} {}", report.stretch, side(&report)), report.ended)).collect()
    };
    let outcomes = live.control(Control::Pain, at(35.0));
    assert_eq!(named(&outcomes), [("calf right".to_owned(), Ended::Pain)]);
    let next = live.snapshot(at(35.0)).step.map(|step| (step.stretch.to_string(), step.side));
    assert_eq!(
        next,
        Some(("calf-wall".to_owned(), LEFT)),
        "the other side of another stretch is free of pain"
    );
    live.control(Control::Resume, at(36.0));
    live.control(Control::Before, at(36.0));
    assert_ne!(live.snapshot(at(36.0)).step.map(|step| step.side), Some(RIGHT), "none of it comes back");
    let left_out = [("calf-wall right", Ended::Skipped), ("calf left", Ended::Skipped)];
    assert_eq!(named(&run_to(&mut live, 50.0)), left_out.map(|(name, how)| (name.to_owned(), how)));
}
