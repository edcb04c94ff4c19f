//! Left against right, where there is something to say.

use crate::body::{Side, Unit};
use crate::catalogue::{Catalogue, Form, StretchId};
use crate::client::{Client, Ended};

use super::measuring::{MeasurementError, tighter};
use super::record::{Observation, Series, series};

/// How many sessions back levels are compared; our judgement: a habit, not a bad day.
const SESSIONS: usize = 3;

/// A stretch that is tighter on one side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideDifference {
    /// The stretch.
    pub stretch: StretchId,
    /// What a trainer calls it.
    pub name: String,
    /// The tighter side.
    pub tighter: Side,
    /// The muscles it is about: the main targets of the form.
    pub units: Vec<Unit>,
    /// How sure and how large, 1 or 2.
    pub points: u8,
    /// What it rests on, in words.
    pub why: String,
}

/// The stretches that are tighter on one side, by id.
///
/// Levels count when at the same stretch the same side was answered higher in at least two of the last three
/// sessions that did both sides alike, and never lower: a rule of ours, as no error of such answers is published.
/// Angles count when the last two differ by more than measuring and healthy sides do.
pub fn sides(client: &Client, catalogue: &Catalogue) -> Vec<SideDifference> {
    let mut found = Vec::new();
    for (stretch, series) in series(client) {
        let pairs = pairs(&series);
        let Some((last, _)) = pairs.last() else { continue };
        let Some((named, form)) = catalogue.form(stretch, last.form) else { continue };
        let verdict = by_angle(&series, form).or_else(|| by_level(&pairs));
        if let Some((tighter, points, why)) = verdict {
            let main = form.targets.iter().filter(|target| target.share >= 50);
            let units = main.map(|target| Unit { muscle: target.muscle, side: tighter }).collect();
            found.push(SideDifference {
                stretch: stretch.clone(),
                name: named.name.clone(),
                tighter,
                units,
                points,
                why,
            });
        }
    }
    found
}

/// Reports of both sides in the same session, the same form and method on both, each done to its end.
fn pairs<'s, 'c>(series: &'s Series<'c>) -> Vec<(&'s Observation<'c>, &'s Observation<'c>)> {
    let of = |side| series.get(&Some(side)).map(Vec::as_slice).unwrap_or_default();
    let done = |point: &&Observation| point.ended == Ended::Done;
    let mut pairs = Vec::new();
    for left in of(Side::Left).iter().filter(done) {
        let alike = |right: &&Observation| {
            right.session == left.session && right.form == left.form && right.method == left.method
        };
        pairs.extend(of(Side::Right).iter().filter(done).find(alike).map(|right| (left, right)));
    }
    pairs
}

fn by_level(pairs: &[(&Observation, &Observation)]) -> Option<(Side, u8, String)> {
    let answered = pairs.iter().filter_map(|(left, right)| Some((left.level?.get(), right.level?.get())));
    let mut recent: Vec<(u8, u8)> = answered.collect();
    recent.drain(..recent.len().saturating_sub(SESSIONS));
    let higher_left = recent.iter().filter(|(left, right)| left > right).count();
    let higher_right = recent.iter().filter(|(left, right)| right > left).count();
    let (side, times) = match (higher_left, higher_right) {
        (times, 0) if times >= 2 => (Side::Left, times),
        (0, times) if times >= 2 => (Side::Right, times),
        _ => return None,
    };
    let gap: u32 = recent.iter().map(|(left, right)| u32::from(left.abs_diff(*right))).sum();
    let large = gap >= 2 * u32::try_from(recent.len()).unwrap_or(u32::MAX);
    let (left, right) = *recent.last()?;
    let (here, there) = if side == Side::Left { (left, right) } else { (right, left) };
    let why = format!(
        "{side} answered higher than {} in {times} of the last {} sessions (last {here} against {there})",
        side.other(),
        recent.len()
    );
    Some((side, if large { 2 } else { 1 }, why))
}

fn by_angle(series: &Series, form: &Form) -> Option<(Side, u8, String)> {
    let last = |side| {
        let points = series.get(&Some(side))?;
        points
            .iter()
            .rev()
            .filter(|point| *point.form == form.id)
            .find_map(|point| Some((point.date, point.angle?.get())))
    };
    let ((left_on, left), (right_on, right)) = (last(Side::Left)?, last(Side::Right)?);
    if left_on != right_on {
        return None;
    }
    let error = MeasurementError::of_sides(form);
    let side = tighter(left, right, error)?;
    let points = if (left - right).unsigned_abs() > 2 * error.beyond.unsigned_abs() { 2 } else { 1 };
    let why =
        format!("left {left} degrees, right {right}: more than measuring twice gives ({})", error.source);
    Some((side, points, why))
}
