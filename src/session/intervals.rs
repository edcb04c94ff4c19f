//! The intervals that one step goes through, in order.

use crate::body::Seconds;
use crate::planner::{Dose, Step};

use super::stage::Stage;

/// A phase and its planned length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Interval {
    pub(super) stage: Stage,
    pub(super) length: Seconds,
}

/// Set-up and work of a step; the way into its position comes before.
pub(super) fn of_step(step: &Step) -> Vec<Interval> {
    let mut intervals = vec![Interval { stage: Stage::SetUp, length: step.setup }];
    match step.dose {
        Dose::Hold(hold) => intervals.push(Interval { stage: Stage::Hold, length: hold }),
        Dose::ContractRelax(dose) => {
            let of = dose.cycles;
            for cycle in 1..=of {
                intervals.push(Interval { stage: Stage::Push { cycle, of }, length: dose.push });
                intervals.push(Interval { stage: Stage::Relax { cycle, of }, length: dose.stretch });
            }
        }
    }
    intervals.retain(|interval| interval.length > Seconds::ZERO);
    intervals
}

/// Sum of the lengths.
pub(super) fn length(intervals: &[Interval]) -> Seconds {
    intervals.iter().map(|interval| interval.length).sum()
}

/// What comes before the stretch itself.
pub(super) fn ready(intervals: &[Interval]) -> Seconds {
    intervals.iter().take_while(|interval| !interval.stage.is_work()).map(|interval| interval.length).sum()
}
