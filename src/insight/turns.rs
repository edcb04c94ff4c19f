//! Gathering evidence fairly: who goes first takes turns, and what was not compared for a while is.
//!
//! A first side that is still cold may answer a little higher. Were it always the same side, up to 97 % of clients
//! without a difference would be told of one within a year (by simulation, 0.3 of a level); taking turns it is 1 %. The
//! turns are taken muscle by muscle: a client who trains legs on Mondays and arms on Thursdays would otherwise have
//! the left leg first for ever.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::client::Trained;

use super::compare::Compared;
use super::record::Sitting;

/// Sessions that worked a muscle without comparing its sides, and days, after which they are compared (practice).
const SESSIONS: u32 = 4;
const DAYS: i64 = 28;

/// What is remembered of one muscle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct MuscleTurn {
    /// The side that went first when both were worked last.
    first: Option<Side>,
    /// The day of the last comparison, or else of the first session that worked it.
    compared: Option<NaiveDate>,
    /// Sessions since then that worked it.
    worked: u32,
}

/// Whose turn it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct WhoseTurn {
    muscles: [MuscleTurn; Muscle::ALL.len()],
    /// Sessions in which anything was worked on one side and then the other.
    sessions: usize,
}

impl WhoseTurn {
    pub(super) const fn new() -> Self {
        let turn = MuscleTurn { first: None, compared: None, worked: 0 };
        Self { muscles: [turn; Muscle::ALL.len()], sessions: 0 }
    }

    /// Takes in a session and what was compared in it.
    pub(super) fn take(&mut self, sitting: &Sitting<'_>, compared: &Compared) {
        let mut first = [[None::<usize>; 2]; Muscle::ALL.len()];
        let mut worked = [false; Muscle::ALL.len()];
        for (place, report) in sitting.reports.iter().enumerate().filter(|(_, worked)| worked.is_done()) {
            for muscle in report.muscles() {
                worked[muscle as usize] = true;
                if let Some(side) = report.report.side {
                    first[muscle as usize][side as usize].get_or_insert(place);
                }
            }
        }
        let mut any = false;
        for (index, turn) in self.muscles.iter_mut().enumerate() {
            if let [Some(left), Some(right)] = first[index] {
                turn.first = Some(if left < right { Side::Left } else { Side::Right });
                any = true;
            }
            if worked[index] {
                turn.worked += 1;
                turn.compared.get_or_insert(sitting.on);
            }
        }
        for comparison in &compared.answers {
            let turn = &mut self.muscles[comparison.muscle as usize];
            (turn.compared, turn.worked) = (Some(sitting.on), 0);
        }
        self.sessions += usize::from(any);
    }

    /// The side that goes first today: for most of what was trained the one that went second last time; turns begin with
    /// `begins`.
    pub(super) fn first_side(&self, trained: &Trained, begins: Side) -> Side {
        let went_first = |side| {
            trained.keys().filter(|&&muscle| self.muscles[muscle as usize].first == Some(side)).count()
        };
        match went_first(Side::Left).cmp(&went_first(Side::Right)) {
            std::cmp::Ordering::Greater => Side::Right,
            std::cmp::Ordering::Less => Side::Left,
            std::cmp::Ordering::Equal if self.sessions.is_multiple_of(2) => begins,
            std::cmp::Ordering::Equal => begins.other(),
        }
    }

    /// Whether the sides of a muscle have not been compared for so long that they should be today.
    pub(super) fn wants_one_sided(&self, muscle: Muscle, today: NaiveDate) -> bool {
        let turn = self.muscles[muscle as usize];
        turn.worked >= SESSIONS || turn.compared.is_some_and(|on| (today - on).num_days() >= DAYS)
    }
}
