//! Laws that hold whatever is pressed whenever.

use std::collections::BTreeMap;
use std::time::Duration;

use matside::body::{Degrees, Level, Seconds};
use matside::catalogue::Position;
use matside::client::{Consent, Report};
use matside::planner::Plan;
use matside::session::{Control, Live, Moment, Outcome};
use proptest::prelude::*;

use super::plans::{LEFT, RIGHT, Sketch, contract_relax, hold, plan};

/// A key, or a new plan once one was asked for; before it so many milliseconds pass.
#[derive(Debug, Clone)]
enum Act {
    Press(Control),
    Wake,
    Follow,
    Replace(Plan),
    Keep,
}

fn sketches() -> impl Strategy<Value = Vec<Sketch>> {
    let one = (0_usize..5, 0_usize..3, 0_usize..6, 0_u32..3, 1_u32..5, any::<bool>()).prop_map(
        |(name, side, position, gap, length, cycles)| {
            let stretch = ["calf", "chest", "hip", "neck", "thigh"][name];
            let side = [None, LEFT, RIGHT][side];
            let position = Position::ALL[position];
            if cycles {
                contract_relax(stretch, side, position, gap * 5, (3, 3, 7))
            } else {
                hold(stretch, side, position, gap * 5, length * 15)
            }
        },
    );
    prop::collection::vec(one, 0..7)
}

fn plans() -> impl Strategy<Value = Plan> {
    (sketches(), prop_oneof![Just(0_u32), Just(60)]).prop_map(|(sketches, massage)| plan(&sketches, massage))
}

fn acts() -> impl Strategy<Value = Vec<(u64, Act)>> {
    let input = prop_oneof![
        4 => (1_i64..=5).prop_map(|number| Control::Level(Level::new(number).expect("in bounds"))),
        1 => Just(Control::Angle(Degrees::new(70).expect("in bounds"))),
        2 => Just(Control::Begin),
        3 => Just(Control::Next),
        2 => Just(Control::Pause),
        4 => Just(Control::Resume),
        2 => Just(Control::Longer(Seconds::new(10))),
        2 => Just(Control::Shorter(Seconds::new(5))),
        3 => Just(Control::Before),
        2 => Just(Control::Pain),
        1 => Just(Control::Stop),
        3 => Just(Control::Undo),
        1 => (0_usize..5).prop_map(|number| Control::LevelFor(number, Level::AIM)),
        1 => prop_oneof![Just(Consent::SelfStretch), Just(Consent::Declined)].prop_map(Control::Withdraw),
        1 => (0_u32..200).prop_map(|left| Control::MinutesLeft(Seconds::new(left))),
    ];
    let act = prop_oneof![
        8 => input.prop_map(Act::Press),
        4 => Just(Act::Wake),
        8 => Just(Act::Follow),
        1 => plans().prop_map(Act::Replace),
        1 => Just(Act::Keep),
    ];
    let wait = prop_oneof![8 => 0_u64..9_000, 4 => 0_u64..60_000, 1 => 0_u64..4_000_000];
    prop::collection::vec((wait, act), 0..60)
}

/// What a careful owner keeps of the outcomes: the file.
#[derive(Debug, Default)]
struct File {
    reports: BTreeMap<u32, Report>,
    ends: u32,
}

impl File {
    fn take(&mut self, outcomes: Vec<Outcome>) -> Result<(), TestCaseError> {
        for outcome in outcomes {
            match outcome {
                Outcome::Report(number, report) => {
                    let next = u32::try_from(self.reports.len()).expect("few") + 1;
                    prop_assert_eq!(number, next, "numbered in order, none twice");
                    self.reports.insert(number, report);
                }
                Outcome::Amend(number, report) => {
                    let old = self.reports.insert(number, report.clone());
                    let old = old.ok_or_else(|| TestCaseError::fail("amends what is not there"))?;
                    prop_assert!(report.held >= old.held, "time under stretch is never taken back");
                    prop_assert_eq!((&report.stretch, report.side), (&old.stretch, old.side));
                }
                Outcome::Finished => self.ends += 1,
                _ => {}
            }
        }
        Ok(())
    }

    fn held(&self) -> u32 {
        self.reports.values().map(|report| report.held.get()).sum()
    }
}

/// Wakes exactly when told for at most so long.
fn follow(
    live: &mut Live,
    mut now: Moment,
    most: Duration,
    file: &mut File,
) -> Result<Moment, TestCaseError> {
    let until = now.after(most);
    while let Some(wait) = live.next_wake(now) {
        if now.after(wait) > until {
            break;
        }
        now = now.after(wait);
        file.take(live.wake(now))?;
    }
    file.take(live.wake(until))?;
    Ok(until)
}

/// The course of the block: what is over lies behind, what is to come ahead and in order, and it ends as said.
fn follows_the_clock(live: &Live, now: Moment) -> Result<(), TestCaseError> {
    let phase = live.snapshot(now);
    let timeline = live.timeline(now);
    prop_assert_eq!(timeline.iter().filter(|segment| segment.step.is_some()).count(), phase.count);
    let mut clock = phase.elapsed;
    for (index, segment) in timeline.iter().enumerate() {
        prop_assert!(segment.start <= segment.end);
        if (segment.report.is_some() || segment.left) && !segment.now {
            prop_assert!(segment.end <= phase.elapsed, "what is over lies behind");
            continue;
        }
        prop_assert!(segment.end >= clock, "in order");
        prop_assert!(segment.now || segment.start >= clock, "in order");
        prop_assert_eq!(segment.now && segment.step.is_some(), phase.number == index + 1);
        clock = segment.end;
    }
    if phase.number > 0 {
        let end = phase.elapsed + phase.remaining;
        prop_assert!(end.get().abs_diff(clock.get()) <= 1, "{} and {}", end, clock);
    }
    Ok(())
}

/// Where only what fits was kept, what is to come is over when the client must stand up.
fn ends_in_time(live: &Live, now: Moment) -> Result<(), TestCaseError> {
    let phase = live.snapshot(now);
    let to_come = live.timeline(now).into_iter().filter(|segment| segment.report.is_none() && !segment.now);
    let end = to_come.map(|segment| segment.end).max().filter(|_| phase.until_due > 0 && !live.is_finished());
    let due = i64::from(phase.elapsed.get()) + i64::from(phase.until_due);
    if let Some(end) = end {
        // What goes on in any case may take longer than there is.
        prop_assert!(i64::from(end.get()) <= due + 1, "{} and {}", end, due);
    }
    Ok(())
}

proptest! {
    #[test]
    fn no_report_is_lost_or_told_twice(first in plans(), acts in acts()) {
        let start = Moment::new(Duration::from_millis(1_234));
        let mut now = start;
        let mut live = Live::start(&first, Consent::HandsOn, now);
        let mut file = File::default();
        for (wait, act) in acts {
            let wait = Duration::from_millis(wait);
            match act {
                Act::Follow => now = follow(&mut live, now, wait, &mut file)?,
                Act::Wake => {
                    now = now.after(wait);
                    file.take(live.wake(now))?;
                }
                Act::Press(input) => {
                    now = now.after(wait);
                    file.take(live.control(input, now))?;
                }
                Act::Replace(rest) => file.take(live.replace_rest(&rest, now))?,
                Act::Keep => {
                    file.take(live.keep_what_fits(now))?;
                    ends_in_time(&live, now)?;
                }
            }
            prop_assert!(live.is_sound(), "{:?}", live);
            prop_assert_eq!(&live.reports(), &file.reports, "the file knows what the block knows");
            prop_assert!(u64::from(file.held()) <= now.since(start).as_secs(), "no holds are invented");
            let phase = live.snapshot(now);
            prop_assert!(phase.left <= phase.length);
            follows_the_clock(&live, now)?;
        }
        file.take(live.control(Control::Finish, now))?;
        prop_assert_eq!(&live.reports(), &file.reports);
        prop_assert_eq!(file.ends, 1);
        prop_assert!(live.is_sound(), "{:?}", live);
        prop_assert_eq!(live.next_wake(now), None);
        let steps = live.steps().filter(|(_, report)| report.is_some()).count();
        prop_assert_eq!(steps, file.reports.len(), "one report a step");
    }

    #[test]
    fn left_alone_it_does_the_plan_as_planned(plan in plans(), late_ms in 0_u64..900) {
        let start = Moment::default();
        let mut live = Live::start(&plan, Consent::HandsOn, start);
        let mut file = File::default();
        let mut now = start;
        let mut shown = Vec::new();
        while let Some(wait) = live.next_wake(now) {
            prop_assert_eq!(live.snapshot(now).lateness, 0);
            // Frames come late, each by another bit; the plan does not shift.
            now = now.after(wait + Duration::from_millis(late_ms));
            file.take(live.wake(now))?;
            shown.push(live.snapshot(now).remaining);
        }
        prop_assert!(shown.is_sorted_by(|earlier, later| earlier >= later));
        let held: Vec<u32> = file.reports.values().map(|report| report.held.get()).collect();
        let planned: Vec<u32> = plan.steps.iter().map(|step| step.dose.held().get()).collect();
        prop_assert_eq!(held, planned);
        prop_assert_eq!(file.ends, 1);
    }

    #[test]
    fn waking_when_told_shows_each_second_of_a_hold_once(seconds in 5_u32..90) {
        let steps = [hold("calf", None, Position::Supine, 0, seconds)];
        let mut now = Moment::default();
        let mut live = Live::start(&plan(&steps, 0), Consent::HandsOn, now);
        let mut shown = Vec::new();
        while let Some(wait) = live.next_wake(now) {
            now = now.after(wait);
            live.wake(now);
            let phase = live.snapshot(now);
            if phase.stage.is_work() || live.is_finished() {
                shown.push(phase.left.get());
            }
        }
        let expected: Vec<u32> = (0..=seconds).rev().collect();
        prop_assert_eq!(shown, expected);
    }
}
