//! The phases that one step goes through, in order.

use crate::body::Seconds;
use crate::planner::{Dose, Step};

use super::view::Stage;

/// A phase and its planned length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) stage: Stage,
    pub(super) length: Seconds,
}

/// Set-up and work of a step; the way into its position comes before.
pub(super) fn parts(step: &Step) -> Vec<Part> {
    let mut parts = vec![Part { stage: Stage::SetUp, length: step.setup }];
    match step.dose {
        Dose::Hold(hold) => parts.push(Part { stage: Stage::Hold, length: hold }),
        Dose::ContractRelax(dose) => {
            let of = dose.cycles;
            for cycle in 1..=of {
                parts.push(Part { stage: Stage::Push { cycle, of }, length: dose.push });
                parts.push(Part { stage: Stage::Further { cycle, of }, length: dose.stretch });
            }
        }
    }
    parts.retain(|part| part.length > Seconds::ZERO);
    parts
}

/// Sum of the lengths.
pub(super) fn length(parts: &[Part]) -> Seconds {
    parts.iter().map(|part| part.length).sum()
}
