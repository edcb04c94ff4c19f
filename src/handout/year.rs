//! What the page for the quarterly talk tells of a year: findings of the one learning model in its words, degrees by
//! quarter, what was trained and stretched, and what was stopped for pain.

use std::collections::BTreeMap;

use chrono::{Datelike as _, NaiveDate};

use crate::body::evidence::Evidence;
use crate::body::{Muscle, Side};
use crate::catalogue::{Catalogue, StretchId};
use crate::client::{Client, Ended, Session};
use crate::insight::quarters::{ByQuarter, DegreesByQuarter, Quarter, QuarterValues, Quarters};
use crate::insight::{Claim, ClaimMark, Learned};
use crate::words::date::{day, short_month};
use crate::words::{ClaimWords, cited};

use super::attended::{between, consents, span};
use super::paper::Letterhead;
use super::words;

/// Days of a year.
const YEAR: u64 = 365;
/// Most tests that are drawn, and most findings.
const TESTS: usize = 3;
const FINDINGS: usize = 5;

/// What a year tells.
#[derive(Debug, Clone, PartialEq)]
pub struct YearPage {
    pub(super) client: String,
    pub(super) from: Letterhead,
    /// `the year to 27 November 2026`.
    pub(super) time: String,
    pub(super) summary: String,
    pub(super) findings: Vec<Finding>,
    /// How sure what is said of sides is; empty where nothing is.
    pub(super) sure: String,
    /// What it would take to say more, where nothing stands out.
    pub(super) few: String,
    /// The quarters' months: `Jan–Mar`.
    pub(super) quarters: Vec<String>,
    pub(super) tests: Vec<YearTest>,
    pub(super) more_tests: usize,
    pub(super) first: String,
    pub(super) work: Vec<YearWork>,
    pub(super) sessions: Vec<u32>,
    /// Seconds held a week: lowest, median, highest of each quarter, and of all.
    pub(super) held: Vec<Option<[u32; 3]>>,
    pub(super) held_all: Option<[u32; 3]>,
    pub(super) pains: Vec<YearPain>,
}

/// A finding with its mark.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Finding {
    pub(super) mark: ClaimMark,
    pub(super) sentence: String,
}

/// A form with which angles were measured, in tenths of a degree.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct YearTest {
    pub(super) name: String,
    pub(super) form: String,
    /// The smallest change that is more than measuring twice.
    pub(super) beyond: i32,
    /// Left and right, a quarter each.
    pub(super) sides: [Vec<Option<QuarterValues>>; 2],
    /// With both sides at once, a quarter each.
    pub(super) both: Vec<Option<QuarterValues>>,
    /// Left less right.
    pub(super) apart: Vec<Option<QuarterValues>>,
    /// Between what eight of ten healthy people lie, and whose norm it is; only where every figure of
    /// it was read in print.
    pub(super) norm: Option<([i32; 2], String)>,
    /// Left answered higher, right answered higher.
    pub(super) higher: Vec<Option<[u32; 2]>>,
}

/// Muscles of which the same numbers are true: sessions that stretched them, and that trained them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct YearWork {
    pub(super) muscles: String,
    pub(super) quarters: Vec<[u32; 2]>,
    pub(super) stretched: u32,
    pub(super) trained: u32,
}

/// Stops for pain of one stretch on one side.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct YearPain {
    pub(super) name: String,
    pub(super) side: Option<Side>,
    pub(super) quarters: Vec<u32>,
    pub(super) times: u32,
    pub(super) last: NaiveDate,
    pub(super) since: u32,
}

impl YearPain {
    pub(super) fn stops(&self) -> u32 {
        self.quarters.iter().sum()
    }
}

impl YearPage {
    /// What there is to tell of the year that ends with a day; nothing without a session in it.
    pub fn of(client: &Client, catalogue: &Catalogue, until: NaiveDate, from: Letterhead) -> Option<Self> {
        let begins = until.checked_sub_days(chrono::Days::new(YEAR - 1)).unwrap_or(until);
        let sessions = between(client, Some(begins), until);
        let first = sessions.first()?.at.date_naive();
        let is_longer = client.sessions.iter().any(|session| session.at.date_naive() < begins);
        let is_year = is_longer || (first - begins).num_days() <= 31;
        let within = sessions.iter().map(|session| (*session).clone()).collect();
        let year = Client::new(client.profile.clone(), within);
        let quarters = Quarters::of(&year, catalogue, until);
        let all = quarters.all.as_slice();
        let learned = Learned::of(client, catalogue, until);
        let findings = findings(&learned, ClaimWords { catalogue, today: until });
        let (tests, more_tests) = tests(&quarters, catalogue);
        let few = if findings.is_empty() { few(&learned) } else { String::new() };
        let held = held(&sessions);
        Some(Self {
            client: client.profile.name.clone(),
            from,
            time: format!("the {} to {}", if is_year { "year" } else { "time" }, day(until)),
            summary: format!("{}: {}.", span(&sessions), consents(&sessions)),
            sure: findings.iter().find_map(|(_, sure)| *sure).unwrap_or_default().to_owned(),
            findings: findings.into_iter().map(|(finding, _)| finding).collect(),
            few,
            quarters: all.iter().map(|quarter| months(*quarter, first, until)).collect(),
            tests,
            more_tests,
            first: always_first(&sessions),
            work: work(&quarters),
            sessions: all.iter().map(|quarter| count(&sessions, *quarter)).collect(),
            held: all.iter().map(|quarter| spread(held.get(quarter)?.clone())).collect(),
            held_all: spread(held.values().flatten().copied().collect()),
            pains: pains(&sessions, all, catalogue),
        })
    }
}

/// `Jan–Mar`, as far as the time reaches.
fn months(quarter: Quarter, first: NaiveDate, until: NaiveDate) -> String {
    let last_month = quarter.number * 3;
    let month = |number: u32| NaiveDate::from_ymd_opt(quarter.year, number, 1);
    let from = if Quarter::of(first) == quarter { first.month() } else { last_month - 2 };
    let to = if Quarter::of(until) == quarter { until.month() } else { last_month };
    let name = |number| month(number).map(short_month).unwrap_or_default();
    if from == to { name(from) } else { format!("{}–{}", name(from), name(to)) }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn count(sessions: &[&Session], quarter: Quarter) -> u32 {
    number(sessions.iter().filter(|session| Quarter::of(session.at.date_naive()) == quarter).count())
}

/// What the model says, the new first, each with how sure it is where it is about sides. What is about the next touch
/// alone, or too little to say, stays with the trainer.
fn findings(learned: &Learned, words: ClaimWords<'_>) -> Vec<(Finding, Option<&'static str>)> {
    let of = |claim: &Claim| {
        let is_for_the_client = match claim {
            Claim::Tighter { sides, .. } => !sides.is_stale,
            Claim::ConsentTakenBack(_)
            | Claim::WithoutHands(_)
            | Claim::Five(..)
            | Claim::EasyTwice(..)
            | Claim::SkippedTwice(..)
            | Claim::Leans(_) => false,
            _ => true,
        };
        let is_about_sides = matches!(claim, Claim::Tighter { .. } | Claim::EqualAgain { .. });
        let sure = ClaimWords::how_sure(claim).filter(|_| is_about_sides);
        is_for_the_client.then(|| (Finding { mark: claim.mark(), sentence: words.sentence(claim) }, sure))
    };
    learned.claims().iter().chain(learned.details()).filter_map(of).take(FINDINGS).collect()
}

/// What would have to come for the model to speak.
fn few(learned: &Learned) -> String {
    let answers = learned.sides().iter().filter_map(|sides| sides.needed.answers).min();
    let pairs = learned.sides().iter().filter_map(|sides| sides.needed.pairs).min();
    let more = |count: u32, what: &str| format!("{count} more {what}{}", if count == 1 { "" } else { "s" });
    let ways: Vec<String> = [
        answers.map(|count| format!("from {} that differ the same way", more(count, "answer"))),
        pairs.map(|count| format!("from {} of both sides like those so far", more(count, "measurement"))),
    ]
    .into_iter()
    .flatten()
    .collect();
    let ways = if ways.is_empty() {
        String::new()
    } else {
        format!(" A side is called tighter {} at the earliest.", ways.join(" or "))
    };
    format!("Too little to say more than what was done.{ways}")
}

fn by_quarter<T: Copy>(all: &[Quarter], values: &ByQuarter<T>) -> Vec<Option<T>> {
    all.iter().map(|quarter| values.get(quarter).copied()).collect()
}

/// The most measured forms, and how many more there are.
fn tests(quarters: &Quarters, catalogue: &Catalogue) -> (Vec<YearTest>, usize) {
    let all = quarters.all.as_slice();
    let measured = |degrees: &DegreesByQuarter| -> u32 {
        degrees
            .sides
            .iter()
            .chain([&degrees.both])
            .flat_map(BTreeMap::values)
            .map(|values| values.count)
            .sum()
    };
    let mut most: Vec<&DegreesByQuarter> =
        quarters.degrees.iter().filter(|degrees| measured(degrees) > 0).collect();
    most.sort_by_key(|degrees| std::cmp::Reverse(measured(degrees)));
    let more = most.len().saturating_sub(TESTS);
    let test = |degrees: &DegreesByQuarter| {
        let series = &degrees.series;
        let known = catalogue.form(&series.stretch, &series.form);
        let higher = quarters.answers.iter().find(|answers| answers.muscle == series.muscle);
        let higher = higher.map(|answers| by_quarter(all, &answers.answers)).unwrap_or_default();
        YearTest {
            name: known.map_or_else(|| series.stretch.to_string(), |(stretch, _)| stretch.name.clone()),
            form: known.map_or_else(|| series.form.to_string(), |(_, form)| words::lowered(&form.name)),
            beyond: i32::try_from(series.error.smallest_change()).unwrap_or(i32::MAX),
            sides: [by_quarter(all, &degrees.sides[0]), by_quarter(all, &degrees.sides[1])],
            both: by_quarter(all, &degrees.both),
            apart: by_quarter(all, &degrees.apart),
            norm: degrees
                .norm
                .filter(|(_, norm)| norm.verified == Evidence::Seen)
                .map(|(range, norm)| (range, cited(norm.source))),
            higher: higher.into_iter().map(|counts| counts.map(|[left, right, _]| [left, right])).collect(),
        }
    };
    (most.iter().take(TESTS).map(|degrees| test(degrees)).collect(), more)
}

/// What was trained, the most trained first; muscles with the same numbers together.
fn work(quarters: &Quarters) -> Vec<YearWork> {
    let mut rows: Vec<(Vec<Muscle>, Vec<[u32; 2]>)> = Vec::new();
    for work in &quarters.work {
        let counts: Vec<[u32; 2]> = by_quarter(&quarters.all, &work.sessions)
            .into_iter()
            .map(|counts| counts.map_or([0, 0], |[trained, stretched]| [stretched, trained]))
            .collect();
        match rows.iter_mut().find(|(_, others)| *others == counts) {
            Some((muscles, _)) => muscles.push(work.muscle),
            None => rows.push((vec![work.muscle], counts)),
        }
    }
    let mut rows: Vec<YearWork> = rows
        .into_iter()
        .map(|(muscles, quarters)| YearWork {
            muscles: words::muscles(&muscles),
            stretched: quarters.iter().map(|[stretched, _]| stretched).sum(),
            trained: quarters.iter().map(|[_, trained]| trained).sum(),
            quarters,
        })
        .collect();
    rows.sort_by_key(|row| (std::cmp::Reverse(row.trained), row.stretched));
    rows
}

/// Seconds held in each week that had a session, by the quarter of its first session.
fn held(sessions: &[&Session]) -> ByQuarter<Vec<u32>> {
    let mut weeks: BTreeMap<NaiveDate, (Quarter, u32)> = BTreeMap::new();
    for session in sessions {
        let on = session.at.date_naive();
        let week = on.week(chrono::Weekday::Mon).first_day();
        let held: u32 = session.reports.values().map(|report| report.held.get()).sum();
        weeks.entry(week).or_insert((Quarter::of(on), 0)).1 += held;
    }
    let mut quarters: ByQuarter<Vec<u32>> = BTreeMap::new();
    for (quarter, held) in weeks.into_values() {
        quarters.entry(quarter).or_default().push(held);
    }
    quarters
}

/// Lowest, median and highest.
fn spread(mut values: Vec<u32>) -> Option<[u32; 3]> {
    values.sort_unstable();
    let middle = values.len().checked_sub(1)? / 2;
    let median = u32::midpoint(values[middle], values[values.len() / 2]);
    Some([values[0], median, values[values.len() - 1]])
}

/// A stretch on one side, and how each time ended.
type Endings<'a> = ((&'a StretchId, Option<Side>), Vec<(NaiveDate, Ended)>);

fn pains(sessions: &[&Session], all: &[Quarter], catalogue: &Catalogue) -> Vec<YearPain> {
    let mut done: BTreeMap<_, Vec<(NaiveDate, Ended)>> = BTreeMap::new();
    for session in sessions {
        for report in session.reports.values().filter(|report| report.ended != Ended::Skipped) {
            let on = session.at.date_naive();
            done.entry((&report.stretch, report.side)).or_default().push((on, report.ended));
        }
    }
    let pain = |((stretch, side), reports): Endings<'_>| {
        let place = reports.iter().rposition(|(_, ended)| *ended == Ended::Pain)?;
        let stops = |quarter: &Quarter| {
            let of =
                |(on, ended): &&(NaiveDate, Ended)| *ended == Ended::Pain && Quarter::of(*on) == *quarter;
            number(reports.iter().filter(of).count())
        };
        Some(YearPain {
            name: catalogue
                .stretch(stretch)
                .map_or_else(|| stretch.to_string(), |stretch| stretch.name.clone()),
            side,
            quarters: all.iter().map(stops).collect(),
            times: number(reports.len()),
            last: reports[place].0,
            since: number(reports.len() - 1 - place),
        })
    };
    let mut pains: Vec<YearPain> = done.into_iter().filter_map(pain).collect();
    pains.sort_by_key(|pain| std::cmp::Reverse(pain.stops()));
    pains
}

/// Says so where one side always went first: the side that goes second is answered higher by that alone.
fn always_first(sessions: &[&Session]) -> String {
    let mut firsts = [0_u32; 2];
    for session in sessions {
        let mut seen: BTreeMap<_, Side> = BTreeMap::new();
        for report in session.reports.values() {
            let Some(side) = report.side else { continue };
            match seen.get(&(&report.stretch, &report.form)) {
                Some(first) if *first != side => firsts[*first as usize] += 1,
                Some(_) => {}
                None => {
                    seen.insert((&report.stretch, &report.form), side);
                }
            }
        }
    }
    match firsts {
        [0, 0] => String::new(),
        [_, 0] => "the left was always done first".to_owned(),
        [0, _] => "the right was always done first".to_owned(),
        [left, right] => format!("the left was done first {left} times, the right {right} times"),
    }
}
