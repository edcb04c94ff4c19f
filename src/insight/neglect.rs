//! Muscles that are trained and not stretched.

use std::collections::VecDeque;

use chrono::NaiveDate;

use crate::body::{Muscle, Seconds, Side, Unit};

use super::change::GAP;
use super::record::Sitting;

/// Sessions that trained a muscle without stretching it, from which it is neglected (practice).
const FROM: u32 = 4;
/// Days over which trained and stretched are counted, and the part of the trained sessions that is too little.
const DAYS: i64 = 42;
const PART: u32 = 4;
/// Sessions that stretch it and end its being neglected.
const ENDS_AFTER: u32 = 2;
/// The most points that a row of sessions without gives.
pub const MOST_POINTS: u32 = 3;

/// How a muscle on one side was trained and stretched of late.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Neglect {
    /// Which.
    pub unit: Unit,
    /// Sessions in a row, up to the last, that trained it and did not stretch it.
    pub run: u32,
    /// Sessions that trained it and sessions that stretched it, over six weeks.
    pub trained: u32,
    /// See `trained`.
    pub stretched: u32,
    /// The day it was stretched last.
    pub last: Option<NaiveDate>,
    /// Since when it is neglected, if it is.
    pub since: Option<NaiveDate>,
}

impl Neglect {
    /// What a plan makes of it: a point for each session in a row without.
    pub fn points(&self) -> u32 {
        self.run.min(MOST_POINTS)
    }
}

/// One session, seen by one unit.
#[derive(Debug, Clone, Copy)]
struct UnitDay {
    on: NaiveDate,
    trained: bool,
    stretched: bool,
}

#[derive(Debug, Default, Clone)]
struct NeglectCourse {
    run: u32,
    /// The last weeks, since it was last neglected.
    visits: VecDeque<UnitDay>,
    last: Option<NaiveDate>,
    since: Option<NaiveDate>,
    /// Sessions that stretched it since.
    stretched: u32,
}

impl NeglectCourse {
    fn take(&mut self, visit: UnitDay) {
        self.visits.push_back(visit);
        while self.visits.front().is_some_and(|first| (visit.on - first.on).num_days() >= DAYS) {
            self.visits.pop_front();
        }
        if visit.stretched {
            (self.run, self.last) = (0, Some(visit.on));
            self.stretched += 1;
            if self.since.is_some() && self.stretched >= ENDS_AFTER {
                self.since = None;
                self.visits.clear();
            }
        } else {
            self.run += u32::from(visit.trained);
        }
        let (trained, stretched) = self.counts();
        let too_little = self.run >= FROM || (trained >= FROM && stretched * PART <= trained);
        if self.since.is_none() && too_little {
            (self.since, self.stretched) = (Some(visit.on), 0);
        }
    }

    fn counts(&self) -> (u32, u32) {
        self.visits.iter().fold((0, 0), |(trained, stretched), visit| {
            (trained + u32::from(visit.trained), stretched + u32::from(visit.stretched))
        })
    }
}

/// Every muscle on either side, up to a session.
#[derive(Debug, Clone)]
pub(super) struct NeglectCourses {
    muscles: Vec<[NeglectCourse; 2]>,
    /// The last session with a block.
    last: Option<NaiveDate>,
}

impl NeglectCourses {
    pub(super) fn new() -> Self {
        Self { muscles: Muscle::ALL.iter().map(|_| Default::default()).collect(), last: None }
    }

    /// Takes in the next session. One without a block says nothing: nobody left anything out.
    pub(super) fn take(&mut self, sitting: &Sitting<'_>) {
        let held = || sitting.reports.iter().filter(|worked| worked.report.held > Seconds::ZERO);
        if held().next().is_none() {
            return;
        }
        self.last = Some(sitting.on);
        let mut stretched = [[false; 2]; Muscle::ALL.len()];
        for worked in held() {
            for muscle in worked.muscles() {
                worked.sides().iter().for_each(|&side| stretched[muscle as usize][side as usize] = true);
            }
        }
        let mut trained = [false; Muscle::ALL.len()];
        sitting.session.trained.keys().for_each(|&muscle| trained[muscle as usize] = true);
        for (sides, (trained, stretched)) in self.muscles.iter_mut().zip(trained.into_iter().zip(stretched)) {
            for (course, stretched) in sides.iter_mut().zip(stretched) {
                if trained || stretched || !course.visits.is_empty() {
                    course.take(UnitDay { on: sitting.on, trained, stretched });
                }
            }
        }
    }

    /// What was trained and not stretched in the last sessions, by unit; nothing once the client was away for six weeks.
    pub(super) fn neglected(&self, today: NaiveDate) -> Vec<Neglect> {
        if self.last.is_none_or(|last| (today - last).num_days() >= GAP) {
            return Vec::new();
        }
        let unit = |muscle, side, course: &NeglectCourse| {
            let (trained, stretched) = course.counts();
            let NeglectCourse { run, last, since, .. } = *course;
            Neglect { unit: Unit { muscle, side }, run, trained, stretched, last, since }
        };
        let all = Muscle::ALL.iter().zip(&self.muscles);
        all.flat_map(|(&muscle, sides)| {
            Side::ALL.iter().zip(sides).map(move |(&side, course)| unit(muscle, side, course))
        })
        .filter(|neglect| neglect.run > 0 || neglect.since.is_some())
        .collect()
    }
}
