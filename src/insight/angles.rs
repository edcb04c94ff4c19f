//! Measured angles over time, by form: what change and norms are read from, and what plots show.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::catalogue::{FormId, StretchId};
use crate::client::{Ended, Report, Sex, Taken, TestPosition};

use super::length_test::main_target;
use super::measuring::StandardError;
use super::record::{KnownReport, Sitting};

/// What was measured with one form in one session, in tenths of a degree.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// The day.
    pub on: NaiveDate,
    /// Left and right.
    pub sides: [Option<i32>; 2],
    /// With both sides at once.
    pub both: Option<i32>,
}

/// The angles that were measured with one form, oldest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AngleSeries {
    /// The stretch.
    pub stretch: StretchId,
    /// The form.
    pub form: FormId,
    /// The test position, if one was named.
    pub position: Option<TestPosition>,
    /// The muscle it is meant for.
    pub muscle: Muscle,
    /// The error of one measurement.
    pub error: StandardError,
    /// What was measured.
    pub readings: Vec<Reading>,
}

/// How an angle was taken, as far as that was said: only angles taken alike are held against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TakenHow<'a> {
    /// After the stretch, when 5 to 7 degrees more are measured for some minutes (`DePino` et al. 2000).
    pub(super) is_after: bool,
    pub(super) position: Option<&'a TestPosition>,
}

/// The angles of a report by how they were taken, each the mean of its measurements in tenths of a degree, rounded.
pub(super) fn taken(report: &Report) -> Vec<(TakenHow<'_>, i32)> {
    let mut sums: Vec<(TakenHow<'_>, i32, i32)> = Vec::new();
    for angle in &report.angles {
        let how = TakenHow { is_after: angle.taken == Some(Taken::After), position: angle.position.as_ref() };
        let degrees = i32::from(angle.degrees.get());
        match sums.iter_mut().find(|(other, ..)| *other == how) {
            Some((_, sum, count)) => (*sum, *count) = (*sum + degrees, *count + 1),
            None => sums.push((how, degrees, 1)),
        }
    }
    sums.into_iter().map(|(how, sum, count)| (how, (20 * sum + count).div_euclid(2 * count))).collect()
}

/// The series of every form with which an angle was measured, up to a session, in the order of the first measurement.
#[derive(Debug, Default)]
pub(super) struct AngleCourses {
    /// Each with the number of its form.
    all: Vec<(usize, AngleSeries)>,
}

impl AngleCourses {
    /// Takes in the next session.
    pub(super) fn take(&mut self, sitting: &Sitting<'_>, sex: Option<Sex>) {
        let told = |worked: &&KnownReport<'_>| {
            !worked.report.angles.is_empty() && worked.report.ended == Ended::Done
        };
        for worked in sitting.reports.iter().filter(told) {
            let before = taken(worked.report).into_iter().filter(|(how, _)| !how.is_after);
            for (how, tenths) in before {
                let is_it = |(key, series): &(usize, AngleSeries)| {
                    *key == worked.key && series.position.as_ref() == how.position
                };
                let place = self.all.iter().position(is_it).unwrap_or_else(|| {
                    self.all.push((worked.key, AngleSeries::new(worked, how.position, sex)));
                    self.all.len() - 1
                });
                self.all[place].1.add(sitting.on, worked.report.side, tenths);
            }
        }
    }

    /// The series so far.
    pub(super) fn series(&self) -> Vec<AngleSeries> {
        self.all.iter().map(|(_, series)| series.clone()).collect()
    }
}

/// The series of all sessions.
pub(super) fn series(sittings: &[Sitting<'_>], sex: Option<Sex>) -> Vec<AngleSeries> {
    let mut courses = AngleCourses::default();
    for sitting in sittings {
        courses.take(sitting, sex);
    }
    courses.series()
}

impl AngleSeries {
    fn new(worked: &KnownReport<'_>, position: Option<&TestPosition>, sex: Option<Sex>) -> Self {
        Self {
            stretch: worked.stretch.id.clone(),
            form: worked.form.id.clone(),
            position: position.cloned(),
            muscle: main_target(worked.form),
            error: StandardError::of_form(worked.form, sex),
            readings: Vec::new(),
        }
    }

    /// Of several rounds of a day the first counts: the ones after it are after a stretch.
    fn add(&mut self, on: NaiveDate, side: Option<Side>, tenths: i32) {
        if self.readings.last().is_none_or(|last| last.on != on) {
            self.readings.push(Reading { on, sides: [None; 2], both: None });
        }
        let Some(reading) = self.readings.last_mut() else { return };
        match side {
            Some(side) => reading.sides[side as usize].get_or_insert(tenths),
            None => reading.both.get_or_insert(tenths),
        };
    }
}
