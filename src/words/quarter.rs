//! A client's quarters in words: each plot of the quarterly talk as a table, the newest quarter first.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::insight::pain::PainChange;
use crate::insight::quarters::{
    ByQuarter, DegreesByQuarter, NoteEvent, PastEvent, Quarter, QuarterValues, Quarters, WorkByQuarter,
};
use crate::insight::sides::SideBasis;
use crate::text;

use super::claim::{ClaimWords, capital, whole};
use super::norm::cited;

/// Quarters that are told one by one.
const LAST: usize = 4;

/// A quarter: "2026 Q3".
fn quarter(quarter: Quarter) -> String {
    format!("{} Q{}", quarter.year, quarter.number)
}

impl ClaimWords<'_> {
    /// What was measured with one form, quarter by quarter.
    pub fn degrees_by_quarter(self, degrees: &DegreesByQuarter) -> Vec<String> {
        let series = &degrees.series;
        let mut lines = vec![format!(
            "{}: left and right, median with lowest and highest; one measurement is off by up to {} degrees.",
            self.stretch(&series.stretch, None),
            whole(degrees.error)
        )];
        lines.extend(degrees.norm.map(|([low, high], norm)| {
            let (low, high) = (whole(low), whole(high));
            format!("Of 10 healthy people 8 lie from {low} to {high} degrees ({}).", cited(norm.source))
        }));
        let mut all: Vec<Quarter> = degrees.sides.iter().flat_map(|side| side.keys().copied()).collect();
        all.sort_unstable();
        all.dedup();
        for &at in all.iter().rev() {
            let side = |side: Side| {
                let values = degrees.sides[side as usize].get(&at)?;
                Some(format!("{side} {}", values_in_degrees(values)))
            };
            let mut words: Vec<String> = Side::ALL.iter().filter_map(|&which| side(which)).collect();
            words.extend(
                degrees.apart.get(&at).map(|apart| format!("left less right {}", whole(apart.median))),
            );
            let year = degrees.years.iter().find(|year| year.quarter == at);
            words.extend(year.map(|year| {
                let (from, to, beyond) = (whole(year.change.from), whole(year.change.to), year.change.beyond);
                let more = if year.change.is_change { "more" } else { "no more" };
                format!("a year before {from}, now {to}: {more} than the {} of measuring", whole(beyond))
            }));
            lines.push(format!("{}: {}", quarter(at), words.join("; ")));
        }
        lines
    }

    /// What happened, the newest first.
    pub fn past_events(self, quarters: &Quarters) -> Vec<String> {
        let line = |(on, event): &(NaiveDate, PastEvent)| {
            format!("{}: {}", self.day(*on), self.past_event(event, *on))
        };
        quarters.events.iter().rev().map(line).collect()
    }

    fn past_event(self, event: &PastEvent, on: NaiveDate) -> String {
        match event {
            PastEvent::Pain(pain) => {
                let what = self.stretch(&pain.stretch, Some(pain.side));
                match pain.what {
                    PainChange::Hurt => format!("{what}: stopped for pain"),
                    PainChange::Closed => format!("{what}: stopped for pain, closed until it is cleared"),
                    PainChange::Cleared => format!("{what}: cleared"),
                    PainChange::AsBefore => format!("{what}: done as before again"),
                }
            }
            PastEvent::Side { muscle, tighter, basis, ended } => {
                let what = capital(muscle.plain_name());
                let is = if *basis == SideBasis::Angles { "measured" } else { "answered" };
                if *ended {
                    format!("{what}: {is} equal again, {tighter} no longer tighter")
                } else if *basis == SideBasis::Angles {
                    format!("{what}: {tighter} measured tighter from here on")
                } else {
                    format!("{what}: {tighter} answered higher from here on")
                }
            }
            PastEvent::Gap { last } => {
                let weeks = usize::try_from((on - *last).num_days() / 7).unwrap_or(0);
                format!("back after {}", text::count(weeks, "week"))
            }
            PastEvent::Note(unit, what) => {
                let what = match what {
                    NoteEvent::Noted => "noted as tight",
                    NoteEvent::Kept => "still noted as tight",
                    NoteEvent::TakenOff => "no longer noted as tight",
                };
                format!("{}, {}: {what}", capital(unit.muscle.plain_name()), unit.side)
            }
        }
    }
}

/// Which side was answered higher, a line a muscle: all of it, and the last quarters.
pub fn answers_by_quarter(quarters: &Quarters) -> Vec<String> {
    let line = |muscle: Muscle, answers: &ByQuarter<[u32; 3]>| {
        let last = newest(answers, |[left, right, _]| format!("{left}:{right}"));
        format!(
            "{}: {}; left to right by quarter: {last}",
            capital(muscle.plain_name()),
            three(sum(answers.values()))
        )
    };
    quarters.answers.iter().map(|answers| line(answers.muscle, &answers.answers)).collect()
}

/// What was trained against what was stretched, a line a muscle.
pub fn work_by_quarter(quarters: &Quarters) -> Vec<String> {
    let line = |work: &WorkByQuarter| {
        let [trained, stretched] = sum(work.sessions.values());
        let last = newest(&work.sessions, |[trained, stretched]| format!("{stretched} of {trained}"));
        format!(
            "{}: trained {trained}, stretched {stretched}; stretched of trained by quarter: {last}",
            capital(work.muscle.plain_name())
        )
    };
    quarters.work.iter().map(line).collect()
}

/// The newest quarters that have anything, each with its name.
fn newest<T: Copy>(all: &ByQuarter<T>, words: impl Fn(T) -> String) -> String {
    let each = all.iter().rev().take(LAST).map(|(at, counts)| format!("{} {}", quarter(*at), words(*counts)));
    each.collect::<Vec<_>>().join(", ")
}

/// Seconds a week, a line a muscle: the newest quarter that has any, its median and range on either side.
pub fn seconds_by_quarter(quarters: &Quarters) -> Vec<String> {
    let line = |work: &WorkByQuarter| {
        let has = |at: &&Quarter| {
            work.seconds.iter().any(|side| side.get(at).is_some_and(|some| some.range[1] > 0))
        };
        let at = quarters.all.iter().rev().find(has)?;
        let side = |side: Side| {
            let values = work.seconds[side as usize].get(at)?;
            Some(format!("{side} {} s ({} to {})", values.median, values.range[0], values.range[1]))
        };
        let sides: Vec<String> = Side::ALL.iter().filter_map(|&which| side(which)).collect();
        Some(format!("{}: {} {} a week", capital(work.muscle.plain_name()), quarter(*at), sides.join(", ")))
    };
    quarters.work.iter().filter_map(line).collect()
}

fn sum<'a, const N: usize>(all: impl Iterator<Item = &'a [u32; N]>) -> [u32; N] {
    all.fold([0; N], |mut sums, counts| {
        sums.iter_mut().zip(counts).for_each(|(sum, count)| *sum += count);
        sums
    })
}

fn three([left, right, alike]: [u32; 3]) -> String {
    format!("left higher {left}, right higher {right}, alike {alike}")
}

fn values_in_degrees(values: &QuarterValues) -> String {
    let [low, high] = values.range.map(whole);
    match values.count {
        1 => format!("{low}"),
        count => format!("{} ({low} to {high}, {count} times)", whole(values.median)),
    }
}
