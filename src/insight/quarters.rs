//! The year and ten years, for the quarterly talk: six plots and tables as data, by calendar quarter.
//!
//! Medians with the lowest and the highest, never a mean of levels; a quarter with fewer than two values is a lone
//! dot; what lies on either side of a gap of six weeks is not joined. Years are compared quarter by quarter, since a
//! season of two degrees would make changes out of nothing (by simulation: 7 to 17 % instead of 1 to 4 %).

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike as _, NaiveDate};

use crate::body::norm::Norm;
use crate::body::{Muscle, Side, Unit};
use crate::catalogue::Catalogue;
use crate::client::Client;

use super::amount;
use super::angles::{self, AngleSeries};
use super::change::{self, Between, DayValue, GAP};
use super::compare::{Compared, compared};
use super::learned::Learned;
use super::norms;
use super::pain::{self, PainEvent, PainNote};
use super::record::{self, Sitting};
use super::sides::{SideBasis, SideStanding};

/// A calendar quarter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Quarter {
    /// The year.
    pub year: i32,
    /// 1 to 4.
    pub number: u32,
}

impl Quarter {
    /// The quarter of a day.
    pub fn of(day: NaiveDate) -> Self {
        Self { year: day.year(), number: day.month0() / 3 + 1 }
    }

    /// The one after it.
    #[must_use]
    pub const fn next(self) -> Self {
        match self.number {
            4 => Self { year: self.year + 1, number: 1 },
            number => Self { year: self.year, number: number + 1 },
        }
    }

    /// The same quarter of the year before.
    #[must_use]
    pub const fn year_before(self) -> Self {
        Self { year: self.year - 1, number: self.number }
    }
}

/// Values of a quarter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuarterValues {
    /// The median, rounded down to whole units where it lies between two.
    pub median: i32,
    /// The lowest and the highest.
    pub range: [i32; 2],
    /// How many; one or two make no line.
    pub count: u32,
}

impl QuarterValues {
    fn of(mut values: Vec<i32>) -> Option<Self> {
        values.sort_unstable();
        let count = values.len();
        let (lower, upper) = (*values.get(count.checked_sub(1)? / 2)?, values[count / 2]);
        let median = (lower + upper).div_euclid(2);
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        Some(Self { median, range: [values[0], values[values.len() - 1]], count })
    }
}

/// Something by quarter; a quarter without it is missing.
pub type ByQuarter<T> = BTreeMap<Quarter, T>;

/// What was measured with one form, in tenths of a degree.
#[derive(Debug, Clone, PartialEq)]
pub struct DegreesByQuarter {
    /// The series itself.
    pub series: AngleSeries,
    /// Left and right.
    pub sides: [ByQuarter<QuarterValues>; 2],
    /// With both sides at once.
    pub both: ByQuarter<QuarterValues>,
    /// Left less right, where both were measured on one day.
    pub apart: ByQuarter<QuarterValues>,
    /// By how much one measurement may be off either way (95 %): the band behind.
    pub error: i32,
    /// From the tenth to the ninetieth percentile of the norm, as a form counts, and the norm.
    pub norm: Option<([i32; 2], Norm)>,
    /// Each quarter against the same quarter of the year before.
    pub years: Vec<QuarterChange>,
}

/// A quarter against the same one of the year before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuarterChange {
    /// The later quarter.
    pub quarter: Quarter,
    /// What lies between them.
    pub change: Between,
}

/// What one muscle's sides answered: in how many sessions left was higher, right was, and neither.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswersByQuarter {
    /// The muscle.
    pub muscle: Muscle,
    /// Left higher, right higher, alike.
    pub answers: ByQuarter<[u32; 3]>,
}

/// What was trained against what was stretched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkByQuarter {
    /// The muscle.
    pub muscle: Muscle,
    /// Sessions that trained it and sessions that stretched it.
    pub sessions: ByQuarter<[u32; 2]>,
    /// Seconds a week, left and right, of the weeks that had a session.
    pub seconds: [ByQuarter<QuarterValues>; 2],
}

/// What happened, for the table of events.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PastEvent {
    /// Pain, and what became of it.
    Pain(PainEvent),
    /// A difference of the sides began or ended.
    Side {
        /// The muscle.
        muscle: Muscle,
        /// The tighter side.
        tighter: Side,
        /// What it rests on.
        basis: SideBasis,
        /// Whether it ended; else it began.
        ended: bool,
    },
    /// No session for six weeks or more before this one.
    Gap {
        /// The last session before.
        last: NaiveDate,
    },
    /// A unit was noted as tight, kept or taken off.
    Note(Unit, NoteEvent),
}

/// What happened to a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoteEvent {
    /// It was written.
    Noted,
    /// It was looked at again and kept.
    Kept,
    /// It was taken off.
    TakenOff,
}

/// All of it, from the first session to a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Quarters {
    /// Every quarter from the first session on, what is empty among them.
    pub all: Vec<Quarter>,
    /// Measured angles, by form.
    pub degrees: Vec<DegreesByQuarter>,
    /// Answers, by muscle.
    pub answers: Vec<AnswersByQuarter>,
    /// Work, by muscle.
    pub work: Vec<WorkByQuarter>,
    /// Events, oldest first.
    pub events: Vec<(NaiveDate, PastEvent)>,
    /// The last session before and the first after each gap: no line goes across.
    pub gaps: Vec<[NaiveDate; 2]>,
}

impl Quarters {
    /// The quarters of a client up to a day.
    pub fn of(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Self {
        let sittings = record::read(client, None, catalogue, today);
        let compared: Vec<Compared> =
            sittings.iter().map(|sitting| compared(sitting, client.profile.sex)).collect();
        let first = sittings.first().map_or(today, |sitting| sitting.on);
        let all = std::iter::successors(Some(Quarter::of(first)), |quarter| Some(quarter.next()));
        let days: Vec<NaiveDate> = sittings.iter().map(|sitting| sitting.on).collect();
        let gaps: Vec<[NaiveDate; 2]> = days
            .windows(2)
            .filter(|pair| (pair[1] - pair[0]).num_days() >= GAP)
            .map(|pair| [pair[0], pair[1]])
            .collect();
        let learned = Learned::of(client, catalogue, today);
        Self {
            all: all.take_while(|quarter| *quarter <= Quarter::of(today)).collect(),
            degrees: degrees(&sittings, client, catalogue, today),
            answers: answers(&sittings, &compared),
            work: work(&sittings, client, catalogue, today),
            events: events(&sittings, client, &learned, &gaps),
            gaps,
        }
    }
}

fn degrees(
    sittings: &[Sitting<'_>],
    client: &Client,
    catalogue: &Catalogue,
    today: NaiveDate,
) -> Vec<DegreesByQuarter> {
    let series = angles::series(sittings, client.profile.sex);
    let of = |series: AngleSeries| {
        let mut sides: [ByQuarter<Vec<i32>>; 2] = Default::default();
        let [mut apart, mut both]: [ByQuarter<Vec<i32>>; 2] = Default::default();
        for reading in &series.readings {
            let quarter = Quarter::of(reading.on);
            for (values, angle) in sides.iter_mut().zip(reading.sides) {
                values.entry(quarter).or_default().extend(angle);
            }
            both.entry(quarter).or_default().extend(reading.both);
            if let [Some(left), Some(right)] = reading.sides {
                apart.entry(quarter).or_default().push(left - right);
            }
        }
        let form = catalogue.form(&series.stretch, &series.form).map(|(_, form)| form);
        DegreesByQuarter {
            sides: sides.map(spreads),
            both: spreads(both),
            apart: spreads(apart),
            error: i32::try_from(series.error.hundredths() * 196 / 1000).unwrap_or(i32::MAX),
            norm: form.and_then(|form| norms::middle_of(form, client, today)),
            years: years(&series),
            series,
        }
    };
    series.into_iter().map(of).collect()
}

fn spreads(values: ByQuarter<Vec<i32>>) -> ByQuarter<QuarterValues> {
    values.into_iter().filter_map(|(quarter, values)| Some((quarter, QuarterValues::of(values)?))).collect()
}

/// Each quarter against the same quarter of the year before, where both were measured.
fn years(series: &AngleSeries) -> Vec<QuarterChange> {
    let mut quarters: ByQuarter<Vec<DayValue>> = BTreeMap::new();
    for value in change::values(series, None) {
        quarters.entry(Quarter::of(value.on)).or_default().push(value);
    }
    let against = |(&quarter, now): (&Quarter, &Vec<DayValue>)| {
        let before = quarters.get(&quarter.year_before())?;
        Some(QuarterChange { quarter, change: change::between(before, now)? })
    };
    quarters.iter().filter_map(against).collect()
}

fn answers(sittings: &[Sitting<'_>], compared: &[Compared]) -> Vec<AnswersByQuarter> {
    let mut muscles: BTreeMap<Muscle, ByQuarter<[u32; 3]>> = BTreeMap::new();
    for (sitting, compared) in sittings.iter().zip(compared) {
        for comparison in &compared.answers {
            let quarters = muscles.entry(comparison.muscle).or_default();
            let place = comparison.higher.map_or(2, |side| side as usize);
            quarters.entry(Quarter::of(sitting.on)).or_default()[place] += 1;
        }
    }
    muscles.into_iter().map(|(muscle, answers)| AnswersByQuarter { muscle, answers }).collect()
}

fn work(
    sittings: &[Sitting<'_>],
    client: &Client,
    catalogue: &Catalogue,
    today: NaiveDate,
) -> Vec<WorkByQuarter> {
    let mut sessions: BTreeMap<Muscle, ByQuarter<[u32; 2]>> = BTreeMap::new();
    for sitting in sittings {
        let quarter = Quarter::of(sitting.on);
        for &muscle in sitting.session.trained.keys() {
            sessions.entry(muscle).or_default().entry(quarter).or_default()[0] += 1;
        }
        let stretched: BTreeSet<Muscle> = sitting.stretched().collect();
        for muscle in stretched {
            sessions.entry(muscle).or_default().entry(quarter).or_default()[1] += 1;
        }
    }
    // Weeks begin on Monday; those that had a session count, also where they gave a muscle nothing.
    let week = |day: NaiveDate| day.week(chrono::Weekday::Mon).first_day();
    let weeks: BTreeSet<NaiveDate> = sittings.iter().map(|sitting| week(sitting.on)).collect();
    let mut held: BTreeMap<(Muscle, NaiveDate), [u32; 2]> = BTreeMap::new();
    for (on, unit, hundredths) in amount::reached(client, catalogue, NaiveDate::MIN, today) {
        let sum = &mut held.entry((unit.muscle, week(on))).or_default()[unit.side as usize];
        *sum = sum.saturating_add(hundredths);
    }
    let seconds = |muscle: Muscle, side: Side| {
        let mut quarters: ByQuarter<Vec<i32>> = BTreeMap::new();
        for &week in &weeks {
            let hundredths = held.get(&(muscle, week)).map_or(0, |sides| sides[side as usize]);
            quarters
                .entry(Quarter::of(week))
                .or_default()
                .push(i32::try_from(hundredths / 100).unwrap_or(i32::MAX));
        }
        spreads(quarters)
    };
    let muscles: BTreeSet<Muscle> =
        sessions.keys().copied().chain(held.keys().map(|(muscle, _)| *muscle)).collect();
    let of = |muscle: Muscle| WorkByQuarter {
        muscle,
        sessions: sessions.remove(&muscle).unwrap_or_default(),
        seconds: [seconds(muscle, Side::Left), seconds(muscle, Side::Right)],
    };
    muscles.into_iter().map(of).collect()
}

fn events(
    sittings: &[Sitting<'_>],
    client: &Client,
    learned: &Learned,
    gaps: &[[NaiveDate; 2]],
) -> Vec<(NaiveDate, PastEvent)> {
    let today = learned.on();
    let mut events: Vec<(NaiveDate, PastEvent)> = Vec::new();
    for sides in learned.sides() {
        let side = |tighter, basis, ended| PastEvent::Side { muscle: sides.muscle, tighter, basis, ended };
        for over in &sides.over {
            events.push((over.since, side(over.tighter, over.began_by, false)));
            events.push((over.until, side(over.tighter, over.basis, true)));
        }
        if let SideStanding::Differs { tighter, basis, since } = sides.standing {
            events.push((since, side(tighter, basis, false)));
        }
    }
    let pain_notes: Vec<PainNote<'_>> = client.profile.pain.iter().filter_map(PainNote::of).collect();
    let pain = pain::events(sittings, &pain_notes, today);
    events.extend(pain.into_iter().map(|event| (event.on, PastEvent::Pain(event))));
    events.extend(gaps.iter().map(|&[last, back]| (back, PastEvent::Gap { last })));
    for noted in &client.profile.tight {
        let note = |on, what| (on, PastEvent::Note(noted.unit, what));
        events.extend(noted.on.map(|on| note(on, NoteEvent::Noted)));
        events.extend(noted.kept.iter().map(|&on| note(on, NoteEvent::Kept)));
        events.extend(noted.off.map(|on| note(on, NoteEvent::TakenOff)));
    }
    events.retain(|(on, _)| *on <= today);
    // Of one day in the order in which they were found.
    events.sort_by_key(|(on, _)| *on);
    events
}
