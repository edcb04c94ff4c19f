//! Every number of a plan's worth and of its ways, each with its ground.
//!
//! Points are counted in whole grains of 0.04, so that the values of two plans are the same or lie well apart.

use crate::body::{Effort, Seconds};
use crate::catalogue::Position;

/// Hundredths of a point in a grain.
pub const HUNDREDTHS: i32 = 4;

/// Seconds of a tick: all times and all seconds under stretch are multiples of it.
pub const TICK: u32 = 5;

/// Seconds for asking consent and settling. Our judgement.
pub(super) const OPENING: u32 = 15;
/// Seconds of the massage finish. Common practice, no source.
pub(super) const MASSAGE: u32 = 60;
/// Shortest block that a massage finish is taken off, in minutes. Our judgement.
pub(super) const MASSAGE_FROM: u8 = 8;

/// Years from which holds are longer and ways slower.
pub const OLDER_FROM: u32 = 65;

/// For how many days a stretch that was stopped for pain stays out unless it is asked for: a year, to be on the safe
/// side; no source.
pub(super) const PAIN_DAYS: u64 = 365;

/// Grains. Our judgement: a step must be worth its bother, and strain settles what is else equal.
pub(super) const STEP: i32 = 1;
pub(super) const UNASKED_SELF: i32 = 2;
/// One side alone where the other wants the same muscles: sides are compared by the same stretch, and a client asks
/// after the other one. Our judgement.
pub(super) const LONE_SIDE: i32 = 10;
pub(super) const LIKED: i32 = -3;
pub(super) const DISLIKED: i32 = 10;

/// What the strain of a form on the trainer costs, for each side.
pub(super) fn strain(grade: u8) -> i32 {
    i32::from(grade)
}

/// Points for a muscle that was trained a little, properly, hard: a hard one does not yield to a light one.
pub(super) const fn trained(effort: Effort) -> i32 {
    match effort.get() {
        1 => 1,
        2 => 2,
        _ => 3,
    }
}

/// Points for a unit that is noted as tight or that the sessions show to be.
pub(super) const TIGHT: i32 = 1;
/// Points that a day at a desk gives neck and chest.
pub(super) const DESK: i32 = 1;

/// What seconds on one unit are worth: so many grains for each tick until so many seconds, nothing after the last.
///
/// A planning preference, not physiology. Slopes fall, so that the benefit is concave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Curve(&'static [(u32, i32)]);

/// Most comes with the first 20 to 30 s (common practice; Bandy, Irion and Briggler 1997 found no more from 60 than
/// from 30 s), and 60 s in all is a whole dose (Garber et al. 2011).
pub(super) const USUAL: Curve = Curve(&[(10, 4), (20, 3), (35, 2), (60, 1)]);
/// The same from 65 years on, when longer holds went on paying (Feland et al. 2001; Garber et al. 2011: 30-60 s).
pub(super) const OLDER: Curve = Curve(&[(35, 2), (90, 1)]);

impl Curve {
    /// Grains for so many seconds, whole ticks counted, for a unit of weight 1.
    pub fn benefit(self, seconds: u32) -> i32 {
        let mut from = 0;
        let mut grains = 0;
        for &(until, each) in self.0 {
            let ticks = seconds.min(until).saturating_sub(from) / TICK;
            grains += i32::try_from(ticks).unwrap_or(0) * each;
            from = until;
        }
        grains
    }

    /// From how many seconds on nothing more is gained.
    pub fn flat_from(self) -> u32 {
        self.0.last().map_or(0, |corner| corner.0)
    }

    /// Where its slope changes: seconds and grains, from (0, 0) on.
    pub fn corners(self) -> impl Iterator<Item = (u32, i32)> {
        [0].into_iter().chain(self.0.iter().map(|corner| corner.0)).map(move |at| (at, self.benefit(at)))
    }

    /// The benefit of each further tick for a unit of so much weight that has had so many seconds already.
    pub(super) fn table(self, weight: i32, done: u32) -> Vec<i32> {
        let already = self.benefit(done);
        let ticks = self.flat_from().saturating_sub(done).div_ceil(TICK);
        (0..=ticks).map(|tick| weight * (self.benefit(done + tick * TICK) - already)).collect()
    }
}

/// Seconds from standing at the start into a position; five more from 65 years on. Our judgement, like all ways.
const INTO: [u32; 6] = [10, 10, 10, 5, 5, 0];
/// Seconds from a position into each later one; five more from 65 years on.
const CHANGES: [&[u32]; 6] = [&[5, 10, 10, 10, 15], &[5, 10, 10, 15], &[5, 10, 10], &[5, 5], &[5], &[]];
/// Seconds to turn to the second side.
const TURNS: [u32; 6] = [5, 10, 5, 5, 0, 0];
/// Seconds that each way takes longer from 65 years on.
const SLOWER: u32 = 5;

/// Seconds into a position from another one, or from the start.
pub(super) fn change(from: Option<Position>, to: Position, older: bool) -> u32 {
    let slower = if older { SLOWER } else { 0 };
    match from {
        None => INTO[to as usize] + if to == Position::Standing { 0 } else { slower },
        Some(from) if from == to => 0,
        Some(from) => {
            let (early, late) = (from.min(to), from.max(to));
            CHANGES[early as usize][late as usize - early as usize - 1] + slower
        }
    }
}

/// Seconds to turn to the second side in a position.
pub(super) const fn turn(position: Position) -> u32 {
    TURNS[position as usize]
}

/// Seconds in whole ticks, rounded down.
pub(super) const fn whole_ticks(seconds: u32) -> usize {
    (seconds / TICK) as usize
}

/// Seconds of so many ticks.
pub(super) fn seconds(ticks: usize) -> Seconds {
    Seconds::new(u32::try_from(ticks).unwrap_or(u32::MAX).saturating_mul(TICK))
}
