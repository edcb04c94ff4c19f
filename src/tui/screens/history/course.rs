//! One stretch over time: who answered higher week by week, its answers smoothed, its degrees.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use crate::body::{Muscle, Side};
use crate::catalogue::StretchId;
use crate::client::{Client, Report};
use crate::insight::leads::AnswerLead;
use crate::insight::quarters::Quarter;

/// Weeks of a year.
pub(super) const YEAR: usize = 52;

/// The lanes of a stretch: left, right, and both at once.
pub(super) const LANES: [Option<Side>; 3] = [Some(Side::Left), Some(Side::Right), None];

/// A stretch that was done.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StretchCourse {
    /// Which.
    pub(super) id: StretchId,
    /// What a trainer calls it.
    pub(super) name: String,
    /// What it is found by: name, id and muscles.
    pub(super) words: String,
    /// The muscles that it is for.
    pub(super) muscles: Vec<Muscle>,
    /// Every time it was done, oldest first: the session's place in the file and the report's number in it.
    pub(super) times: Vec<(usize, u32)>,
    /// Who answered higher, session by session.
    pub(super) leads: Vec<AnswerLead>,
}

/// What a week tells of the two sides of a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WeekLead {
    /// Not compared.
    Nothing,
    /// Done on both sides at once, which compares nothing.
    AtOnce,
    /// Both answered alike.
    Even,
    /// One side answered higher.
    Higher {
        /// Which.
        side: Side,
        /// By an answer or more, each time on the whole.
        is_much: bool,
    },
}

/// The answers of one lane.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SideLane {
    /// Left, right, or both at once.
    pub(super) side: Option<Side>,
    /// Twice the median of three weeks, week by week, oldest first.
    pub(super) weeks: Vec<Option<i32>>,
    /// Twice the median, quarter by quarter.
    pub(super) quarters: Vec<Option<i32>>,
    /// The last answer.
    pub(super) now: Option<u8>,
}

/// A stretch as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StretchLanes {
    /// The lanes that have anything.
    pub(super) lanes: Vec<SideLane>,
    /// Degrees by week: the last of each side.
    pub(super) degrees: BTreeMap<usize, [Option<i16>; 3]>,
    /// All quarters in which it was answered, where there are more than a year's.
    pub(super) quarters: Vec<Quarter>,
}

/// How many weeks before the last one a day lies, where that is less than so many.
fn weeks_ago(day: NaiveDate, last_day: NaiveDate, count: usize) -> Option<usize> {
    let days = last_day.signed_duration_since(day).num_days();
    usize::try_from(days).ok().map(|days| days / 7).filter(|ago| *ago < count)
}

/// The last day of each of so many weeks, oldest first.
pub(super) fn week_ends(last_day: NaiveDate, count: usize) -> Vec<NaiveDate> {
    let back = (0..u64::try_from(count).unwrap_or(0)).rev();
    back.filter_map(|ago| last_day.checked_sub_days(Days::new(7 * ago))).collect()
}

/// Twice the median.
fn doubled_median(mut values: Vec<u8>) -> Option<i32> {
    values.sort_unstable();
    let last = values.len().checked_sub(1)?;
    Some(i32::from(values[last / 2]) + i32::from(values[values.len() / 2]))
}

impl StretchCourse {
    /// Every time it was done, oldest first, with the day.
    pub(super) fn reports<'a>(
        &'a self,
        client: &'a Client,
    ) -> impl DoubleEndedIterator<Item = (NaiveDate, &'a Report)> {
        self.times.iter().filter_map(|(session, number)| {
            let session = client.sessions.get(*session)?;
            Some((session.at.date_naive(), session.reports.get(number)?))
        })
    }

    /// The last days on which it was done, the newest first, with the reports of each day in their order.
    pub(super) fn last_days<'a>(
        &'a self,
        client: &'a Client,
        most: usize,
    ) -> Vec<(NaiveDate, Vec<&'a Report>)> {
        let mut days: Vec<(NaiveDate, Vec<&Report>)> = Vec::new();
        for (on, report) in self.reports(client).rev() {
            if let Some((_, reports)) = days.last_mut().filter(|(day, _)| *day == on) {
                reports.insert(0, report);
            } else if days.len() < most {
                days.push((on, vec![report]));
            } else {
                break;
            }
        }
        days
    }

    /// Whether it is done on both sides at once only.
    pub(super) fn is_at_once(&self, client: &Client) -> bool {
        self.reports(client).all(|(_, report)| report.side.is_none())
    }

    /// Who answered higher in each of the weeks that end with `last_day`, oldest first.
    pub(super) fn weeks(&self, client: &Client, last_day: NaiveDate, count: usize) -> Vec<WeekLead> {
        if !self.is_at_once(client) {
            return led(&self.leads, last_day, count);
        }
        let mut weeks = vec![WeekLead::Nothing; count];
        for (on, _) in self.reports(client) {
            if let Some(ago) = weeks_ago(on, last_day, count) {
                weeks[count - 1 - ago] = WeekLead::AtOnce;
            }
        }
        weeks
    }

    /// Its answers and degrees in the weeks that end with `last_day`, and its answers by quarter.
    pub(super) fn lanes(&self, client: &Client, last_day: NaiveDate, count: usize) -> StretchLanes {
        let until = || self.reports(client).filter(|(on, _)| *on <= last_day);
        let mut degrees: BTreeMap<usize, [Option<i16>; 3]> = BTreeMap::new();
        for (on, report) in until() {
            let Some((ago, angle)) = weeks_ago(on, last_day, count).zip(report.angle()) else { continue };
            let lane = LANES.iter().position(|side| *side == report.side).unwrap_or(2);
            degrees.entry(count - 1 - ago).or_default()[lane] = Some(angle.get());
        }
        let quarters = quarters(until().filter(|(_, report)| report.level.is_some()).map(|(on, _)| on));
        let lane = |side: &Option<Side>| {
            let answered: Vec<(NaiveDate, u8)> = until()
                .filter(|(_, report)| report.side == *side)
                .filter_map(|(on, report)| Some((on, report.level?.get())))
                .collect();
            let is_worked = until().any(|(_, report)| report.side == *side);
            is_worked.then(|| SideLane {
                side: *side,
                weeks: smoothed(&answered, last_day, count),
                quarters: quarters.iter().map(|at| median_of(&answered, *at)).collect(),
                now: answered.last().map(|(_, level)| *level),
            })
        };
        StretchLanes { lanes: LANES.iter().filter_map(lane).collect(), degrees, quarters }
    }
}

/// Who answered higher in each week, all its sessions together.
fn led(leads: &[AnswerLead], last_day: NaiveDate, count: usize) -> Vec<WeekLead> {
    let mut sums: BTreeMap<usize, (i32, i32)> = BTreeMap::new();
    for lead in leads {
        if let Some(ago) = weeks_ago(lead.on, last_day, count) {
            let (sum, times) = sums.entry(count - 1 - ago).or_default();
            (*sum, *times) = (*sum + lead.lead, *times + 1);
        }
    }
    let mut weeks = vec![WeekLead::Nothing; count];
    for (week, (sum, times)) in sums {
        let side = if sum > 0 { Side::Left } else { Side::Right };
        let is_much = sum.abs() >= times;
        weeks[week] = if sum == 0 { WeekLead::Even } else { WeekLead::Higher { side, is_much } };
    }
    weeks
}

/// The quarters from the first day to the last; none where they are no more than a year's.
fn quarters(mut days: impl Iterator<Item = NaiveDate>) -> Vec<Quarter> {
    let Some(first) = days.next() else { return Vec::new() };
    let last = days.last().unwrap_or(first);
    let all = std::iter::successors(Some(Quarter::of(first)), |quarter| Some(quarter.next()));
    let all: Vec<Quarter> = all.take_while(|quarter| *quarter <= Quarter::of(last)).collect();
    if all.len() > 5 { all } else { Vec::new() }
}

fn median_of(answered: &[(NaiveDate, u8)], quarter: Quarter) -> Option<i32> {
    let of_quarter = answered.iter().filter(|(on, _)| Quarter::of(*on) == quarter);
    doubled_median(of_quarter.map(|(_, level)| *level).collect())
}

/// Twice the median of each week with its neighbours.
fn smoothed(answered: &[(NaiveDate, u8)], last_day: NaiveDate, count: usize) -> Vec<Option<i32>> {
    let mut weeks: Vec<Vec<u8>> = vec![Vec::new(); count];
    for (on, level) in answered {
        let Some(ago) = weeks_ago(*on, last_day, count) else { continue };
        let week = count - 1 - ago;
        for near in weeks.iter_mut().take(week + 2).skip(week.saturating_sub(1)) {
            near.push(*level);
        }
    }
    weeks.into_iter().map(doubled_median).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    #[test]
    fn a_week_says_who_answered_higher_and_whether_by_a_whole_answer() {
        let lead = |on: &str, lead: i32| AnswerLead { on: day(on), lead };
        let leads = [
            lead("2026-10-28", 1),
            lead("2026-11-05", 0),
            lead("2026-11-06", -1),
            lead("2026-11-15", 1),
            lead("2026-11-16", -1),
            lead("2026-11-25", 2),
            lead("2026-11-26", -2),
        ];
        let higher = |side, is_much| WeekLead::Higher { side, is_much };
        let weeks = led(&leads, day("2026-11-25"), 4);
        assert_eq!(
            weeks,
            [WeekLead::Nothing, higher(Side::Right, false), WeekLead::Even, higher(Side::Left, true)]
        );
        assert_eq!(week_ends(day("2026-11-25"), 2), [day("2026-11-18"), day("2026-11-25")]);
    }

    #[test]
    fn answers_are_smoothed_by_the_median_of_three_weeks_and_never_averaged_over_more() {
        let answered = [(day("2026-11-04"), 5), (day("2026-11-11"), 3), (day("2026-11-12"), 3)];
        let weeks = smoothed(&answered, day("2026-11-25"), 5);
        // 28 October, 4, 11, 18 and 25 November are the last days of the weeks.
        assert_eq!(weeks, [Some(10), Some(8), Some(6), Some(6), Some(6)]);
        assert_eq!(smoothed(&answered, day("2026-12-02"), 3), [Some(6), Some(6), None]);
        assert_eq!(smoothed(&answered[..1], day("2026-11-25"), 5)[3], None);
        assert_eq!(doubled_median(vec![3, 4]), Some(7));
        assert_eq!(doubled_median(vec![5, 1, 2]), Some(4));
        assert_eq!(doubled_median(Vec::new()), None);
    }

    #[test]
    fn quarters_are_shown_of_more_than_a_year() {
        let days = |first: &str, last: &str| quarters([day(first), day(last)].into_iter());
        assert!(days("2025-12-01", "2026-11-01").is_empty());
        assert_eq!(days("2016-12-01", "2026-11-01").len(), 41);
    }
}
