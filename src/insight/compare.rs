//! What a session tells of left against right: who answered higher, and pairs of angles.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::client::{Report, Sex};

use super::angles::taken;
use super::measuring::{StandardError, healthy_sides};
use super::record::{KnownReport, Sitting};

/// What the two sides of a muscle answered in one session.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Comparison {
    pub(super) muscle: Muscle,
    pub(super) on: NaiveDate,
    /// The side that was answered higher; none if neither was.
    pub(super) higher: Option<Side>,
    /// The side that was worked second.
    pub(super) second: Side,
}

/// Both sides of a muscle measured in one session with the same form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct AnglePair {
    pub(super) muscle: Muscle,
    pub(super) on: NaiveDate,
    /// Left and right in tenths of a degree.
    pub(super) angles: [i32; 2],
    pub(super) error: StandardError,
    /// By how much healthy sides differ, in tenths of a degree.
    pub(super) healthy: i32,
    /// Whether both sides were answered, and alike.
    pub(super) alike: bool,
}

impl AnglePair {
    /// Right less left: above 0 the left side is the tighter one.
    pub(super) const fn difference(&self) -> i32 {
        self.angles[1] - self.angles[0]
    }
}

/// What one session tells of the sides.
#[derive(Debug, Default)]
pub(super) struct Compared {
    /// One a muscle, however many stretches.
    pub(super) answers: Vec<Comparison>,
    /// One a muscle.
    pub(super) angles: Vec<AnglePair>,
}

/// The answers of one muscle while a session is gone through.
struct Tally {
    muscle: Muscle,
    /// Stretches that left answered higher, less those that right did.
    lead: i32,
    /// The place of the first report of either side.
    first: [usize; 2],
}

/// Compares the sides of every muscle that a session worked alike on both: the same stretch, form and method, each
/// done to its end.
pub(super) fn compared(sitting: &Sitting<'_>, sex: Option<Sex>) -> Compared {
    let mut tallies: Vec<Tally> = Vec::new();
    let mut angles: Vec<AnglePair> = Vec::new();
    for [(at_left, left), (at_right, right)] in twins(&sitting.reports) {
        if let (Some(mine), Some(other)) = (left.report.level, right.report.level) {
            let lead = i32::from(mine > other) - i32::from(mine < other);
            for muscle in left.muscles() {
                match tallies.iter_mut().find(|tally| tally.muscle == muscle) {
                    Some(tally) => {
                        tally.lead += lead;
                        tally.first = [tally.first[0].min(at_left), tally.first[1].min(at_right)];
                    }
                    None => tallies.push(Tally { muscle, lead, first: [at_left, at_right] }),
                }
            }
        }
        let Some(pair) = pair(sitting.on, left, right, sex) else { continue };
        for muscle in left.muscles() {
            let pair = AnglePair { muscle, ..pair };
            match angles.iter_mut().find(|other| other.muscle == muscle) {
                // Of several forms the one that measures best speaks.
                Some(other) if pair.error < other.error => *other = pair,
                Some(_) => {}
                None => angles.push(pair),
            }
        }
    }
    let answers = tallies.into_iter().map(|tally| Comparison {
        muscle: tally.muscle,
        on: sitting.on,
        higher: match tally.lead {
            1.. => Some(Side::Left),
            0 => None,
            _ => Some(Side::Right),
        },
        second: if tally.first[0] > tally.first[1] { Side::Left } else { Side::Right },
    });
    Compared { answers: answers.collect(), angles }
}

/// A report and its place in the session.
pub(super) type InOrder<'s, 'a> = (usize, &'s KnownReport<'a>);

/// The first report of left and of right of each stretch that was worked alike on both sides.
pub(super) fn twins<'s, 'a>(reports: &'s [KnownReport<'a>]) -> impl Iterator<Item = [InOrder<'s, 'a>; 2]> {
    let alike = |one: &KnownReport<'_>, other: &KnownReport<'_>| {
        one.key == other.key && one.report.method == other.report.method && other.is_done()
    };
    let of = move |side: Side, like: &'s KnownReport<'a>| {
        let mut placed = reports.iter().enumerate();
        placed.find(move |(_, other)| other.report.side == Some(side) && alike(like, other))
    };
    let lefts = reports.iter().enumerate().filter(|(_, left)| left.report.side == Some(Side::Left));
    lefts.filter_map(move |(place, left)| {
        let mine = of(Side::Left, left).filter(|(first, _)| *first == place)?;
        Some([mine, of(Side::Right, left)?])
    })
}

/// The angles of both sides, where they can be held against each other.
fn pair(
    on: NaiveDate,
    left: &KnownReport<'_>,
    right: &KnownReport<'_>,
    sex: Option<Sex>,
) -> Option<AnglePair> {
    if left.report.angles.is_empty() || right.report.angles.is_empty() {
        return None;
    }
    let angles = both_measured(left.report, right.report)?;
    let answers = [left.report.level, right.report.level];
    // Both legs taken to the same answer, or the smaller angle answered higher: then the true difference is larger.
    let counts = match answers {
        [None, None] => true,
        [Some(left), Some(right)] if left == right => true,
        [Some(left), Some(right)] => {
            (left > right && angles[0] < angles[1]) || (right > left && angles[1] < angles[0])
        }
        _ => false,
    };
    counts.then(|| AnglePair {
        muscle: left.form.targets[0].muscle,
        on,
        angles,
        error: StandardError::of_form(left.form, sex),
        healthy: healthy_sides(left.form),
        alike: answers[0].is_some() && answers[0] == answers[1],
    })
}

/// Left and right in tenths of a degree, taken alike; before the stretch, where there is a choice.
fn both_measured(left: &Report, right: &Report) -> Option<[i32; 2]> {
    let other = taken(right);
    let mut pairs = taken(left).into_iter().filter_map(|(how, mine)| {
        let (_, other) = other.iter().find(|(same, _)| *same == how)?;
        Some((how.is_after, [mine, *other]))
    });
    let first = pairs.next()?;
    let before = std::iter::once(first).chain(pairs).min_by_key(|(is_after, _)| *is_after)?;
    Some(before.1)
}
