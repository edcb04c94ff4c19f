//! What is said or rung, and when. The moments are common practice, no source; that each comes once, in time and never
//! over a more urgent one is law.

use std::time::Duration;

use matside::body::Seconds;
use matside::catalogue::Position;
use matside::client::Consent;
use matside::session::{Control, Cue, Live, Moment, Outcome, Saying};

use super::plans::{contract_relax, hold, plan};
use super::{at, level, usual};

fn cues(outcomes: &[Outcome]) -> impl Iterator<Item = Cue> + '_ {
    outcomes.iter().filter_map(|outcome| match outcome {
        Outcome::Cue(cue) => Some(*cue),
        _ => None,
    })
}

/// Wakes exactly when told, and keeps what is said with its second.
fn follow(live: &mut Live, from: Moment, until: Moment) -> Vec<(f64, Cue)> {
    let mut said = Vec::new();
    let mut now = from;
    loop {
        let outcomes = live.wake(now);
        said.extend(cues(&outcomes).map(|cue| (now.since_start().as_secs_f64(), cue)));
        let Some(wait) = live.next_wake(now).filter(|wait| now.after(*wait) <= until) else { return said };
        now = now.after(wait);
    }
}

fn sayings(said: &[(f64, Cue)]) -> Vec<(f64, Saying)> {
    said.iter().map(|(second, cue)| (*second, cue.what)).collect()
}

#[test]
fn a_block_left_alone_says_each_line_once_at_its_moment() {
    let mut live = usual();
    let said = sayings(&follow(&mut live, at(0.0), at(141.0)));
    let left = |seconds| Saying::Left(Seconds::new(seconds));
    let expected = [
        (0.0, Saying::Ready),
        (4.0, Saying::Hands),
        (30.0, Saying::Hold(Seconds::new(30))),
        (50.0, left(10)),
        (57.0, left(3)),
        (58.0, left(2)),
        (59.0, left(1)),
        (60.0, Saying::Up),
        (62.5, Saying::Ready),
        (70.0, Saying::Hold(Seconds::new(30))),
        (90.0, left(10)),
        (97.0, left(3)),
        (98.0, left(2)),
        (99.0, left(1)),
        (100.0, Saying::Up),
        (102.5, Saying::Ready),
        (107.0, Saying::Ask),
        (107.5, Saying::LastStep),
        (120.0, Saying::Hold(Seconds::new(20))),
        (130.0, left(10)),
        (137.0, left(3)),
        (138.0, left(2)),
        (139.0, left(1)),
        (140.0, Saying::Up),
        (140.0, Saying::Done),
    ];
    assert_eq!(said, expected);
}

#[test]
fn pushing_and_letting_go_are_told_apart_and_only_the_last_is_counted_down() {
    let steps = [contract_relax("hamstrings", None, Position::Supine, 0, (2, 5, 15))];
    let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    let said = sayings(&follow(&mut live, at(0.0), at(61.0)));
    let left = |seconds| Saying::Left(Seconds::new(seconds));
    let expected = [
        (20.0, Saying::Push { cycle: 1, of: 2 }),
        (25.0, Saying::Relax { cycle: 1, of: 2 }),
        (40.0, Saying::Push { cycle: 2, of: 2 }),
        (45.0, Saying::Relax { cycle: 2, of: 2 }),
        (57.0, left(3)),
        (58.0, left(2)),
        (59.0, left(1)),
        (60.0, Saying::Up),
        (60.0, Saying::Done),
    ];
    assert_eq!(said[said.len() - expected.len()..], expected);
}

#[test]
fn a_line_knows_how_long_it_has_before_a_more_urgent_one() {
    let mut live = usual();
    let said = follow(&mut live, at(0.0), at(141.0));
    for (index, (second, cue)) in said.iter().enumerate() {
        let urgent = said[index + 1..]
            .iter()
            .find(|(later, other)| later > second && other.what.urgency() > cue.what.urgency());
        let Some((later, _)) = urgent else { continue };
        let room = cue.room.map(|room| room.as_secs_f64());
        assert!(room.is_some_and(|room| room <= later - second + 1e-9), "{second}: {cue:?}");
    }
    let ready = said.iter().find(|(second, _)| (second - 62.5).abs() < 1e-9).expect("the side is said");
    assert_eq!(ready.1.room, Some(Duration::from_millis(7_500)));
}

#[test]
fn an_answer_in_time_is_not_asked_for_again() {
    let mut live = usual();
    follow(&mut live, at(0.0), at(101.0));
    live.control(level(4), at(101.0));
    let said = sayings(&follow(&mut live, at(101.0), at(119.0)));
    assert!(said.iter().all(|(_, what)| *what != Saying::Ask), "{said:?}");
}

#[test]
fn what_comes_too_late_is_not_said_but_what_is_the_case_now() {
    let mut live = usual();
    follow(&mut live, at(0.0), at(58.0));
    let outcomes = live.wake(at(67.0));
    let said: Vec<Saying> = cues(&outcomes).map(|cue| cue.what).collect();
    assert_eq!(said, [Saying::Now]);
}

#[test]
fn keys_are_answered_and_pain_is_asked_about() {
    let mut live = usual();
    follow(&mut live, at(0.0), at(40.0));
    let mut press = |control, second| -> Vec<Saying> {
        cues(&live.control(control, at(second))).map(|cue| cue.what).collect()
    };
    assert_eq!(press(Control::Pause, 40.0), [Saying::Paused]);
    assert_eq!(press(Control::Resume, 45.0), [Saying::GoOn(Seconds::new(20))]);
    assert_eq!(press(Control::Stop, 46.0), [Saying::Stop]);
    assert_eq!(press(Control::Pain, 47.0), [Saying::Pain]);
    assert_eq!(sayings(&follow(&mut live, at(47.0), at(60.0))), [(51.0, Saying::AskAboutPain)]);
    let outcomes = live.control(Control::Next, at(60.0));
    assert_eq!(cues(&outcomes).map(|cue| cue.what).next(), Some(Saying::GoOn(Seconds::new(20))));
}

#[test]
fn going_on_by_a_key_says_the_next_step_at_once() {
    let mut live = usual();
    follow(&mut live, at(0.0), at(40.0));
    let outcomes = live.control(Control::Next, at(40.0));
    assert_eq!(cues(&outcomes).map(|cue| cue.what).collect::<Vec<_>>(), [Saying::Ready]);
}

#[test]
fn being_late_is_said_once_at_a_change_and_the_last_minute_when_it_comes() {
    let steps = [
        hold("calf", None, Position::Supine, 10, 30),
        hold("hip", None, Position::Supine, 10, 30),
        hold("neck", None, Position::Supine, 10, 60),
    ];
    let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    follow(&mut live, at(0.0), at(40.0));
    live.control(Control::Pause, at(40.0));
    live.control(Control::Resume, at(105.0));
    let said = sayings(&follow(&mut live, at(105.0), at(300.0)));
    let late: Vec<&(f64, Saying)> = said.iter().filter(|(_, what)| matches!(what, Saying::Late(_))).collect();
    assert_eq!(late, [&(132.5, Saying::Late(Seconds::new(60)))]);
    let mut short = Live::start(&plan(&steps, 0), Consent::HandsOn, at(0.0));
    follow(&mut short, at(0.0), at(40.0));
    short.control(Control::MinutesLeft(Seconds::new(90)), at(40.0));
    let said = sayings(&follow(&mut short, at(40.0), at(300.0)));
    assert!(said.contains(&(70.0, Saying::MinuteLeft)), "{said:?}");
}
