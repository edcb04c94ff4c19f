//! A measured angle against what published samples of that age and sex show, where it is the very same test.
//!
//! Same test or silence: position, passive or active, knee, sign, sex and age as in the source, and a standard
//! deviation in print (the confidence interval of a mean is no range of people). A norm says how an angle compares,
//! never what is wrong.
//!
//! Left out on purpose: the calf with a straight knee (Soucie et al. 2011 measured it sitting), plantarflexion lying
//! (likewise), hip extension face down (they measured it lying on the side), and the modified Thomas test, whose
//! verdict without a held pelvis is hardly better than chance (Vigotsky et al. 2016: specificity 57 %).

use chrono::NaiveDate;

use crate::body::evidence::Evidence;
use crate::body::norm::{Norm, Sample, norms};
use crate::body::{Muscle, Side};
use crate::catalogue::{Form, FormId, StretchId};
use crate::client::{Client, Sex};

use super::angles::{AngleSeries, Reading};
use super::length_test::LengthTest;
use super::measuring::Errors;

/// Days within which a test was measured, and the most days that are taken together (practice).
const WITHIN: i64 = 120;
const MOST_DAYS: usize = 3;
/// Standard errors that a value must lie below the tenth percentile: 95 %, one-sided; in thousandths.
const BELOW_BY: i128 = 1_645;
/// Standard normal deviates of the tenth and the twenty-fifth percentile, in ten-thousandths.
const TENTH: i64 = 12_816;
const QUARTER: i64 = 6_745;

/// The sample that suits a person.
fn sample(test: LengthTest, NormPerson { sex, ages }: NormPerson) -> NormSample {
    let of_sex = |norm: &&Norm| match (norm.sample, sex) {
        (Sample::Anybody, _) => true,
        (Sample::Female, sex) => sex == Some(Sex::Female),
        (Sample::Male, sex) => sex == Some(Sex::Male),
    };
    let of_test = norms().iter().filter(|norm| norm.motion == test.name && norm.source == test.source);
    let mut of_person = of_test.filter(of_sex).filter(|norm| norm.sd.is_some()).peekable();
    if of_person.peek().is_none() {
        return NormSample::Unknown;
    }
    of_person
        .find(|norm| is_of_age(norm, ages))
        .map_or(NormSample::NoneAtThisAge, |norm| NormSample::Of(*norm))
}

/// Whether a sample covers every age that the client may have; an upper limit holds for its whole year.
fn is_of_age(norm: &Norm, ages: Option<(u32, u32)>) -> bool {
    match (norm.ages, ages) {
        ((None, None), _) => true,
        (_, None) => false,
        ((from, to), Some((youngest, oldest))) => {
            from.is_none_or(|from| from <= f64::from(youngest)) && to.is_none_or(|to| f64::from(oldest) <= to)
        }
    }
}

#[derive(Debug, Clone, Copy)]
enum NormSample {
    /// Nobody of that sex was measured so, or the sex is not known.
    Unknown,
    /// Others of that sex were, not of that age.
    NoneAtThisAge,
    /// This one.
    Of(Norm),
}

/// A norm as an angle that was noted with a form is held against it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldAgainst {
    /// The norm.
    pub norm: Norm,
    /// Its mean in degrees, counted as a form counts.
    pub mean: f64,
}

/// What the angle of a form is held against for a client, if it is a test of which there is a norm.
pub fn held_against(form: &Form, client: &Client, today: NaiveDate) -> Option<HeldAgainst> {
    let test = LengthTest::of(form)?;
    let person = NormPerson::of(client, today);
    let NormSample::Of(norm) = sample(test, person) else { return None };
    Some(HeldAgainst { norm, mean: if test.is_below { -norm.mean } else { norm.mean } })
}

/// From the tenth to the ninetieth percentile of the norm of a form's test, in tenths of a degree as a form counts.
pub(super) fn middle_of(form: &Form, client: &Client, today: NaiveDate) -> Option<([i32; 2], Norm)> {
    let against = held_against(form, client, today)?;
    let (mean, spread) = (hundredths(against.mean), hundredths(against.norm.sd?));
    // Hundredths times ten-thousandths, as tenths.
    let at = |deviate: i64| {
        i32::try_from((mean * 10_000 + deviate * spread).div_euclid(100_000)).unwrap_or(i32::MAX)
    };
    Some(([at(-TENTH), at(TENTH)], against.norm))
}

/// Where a value lies among healthy people.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NormBand {
    /// Lower than about nine of ten, measuring error and all.
    Low,
    /// Lower than about nine of ten, which measuring alone could give.
    BelowTenth,
    /// From the tenth percentile to the twenty-fifth.
    BelowQuarter,
    /// The middle half: about half are lower.
    Middle,
    /// From the seventy-fifth percentile to the ninetieth.
    AboveThreeQuarters,
    /// Above the ninetieth.
    AboveNinetieth,
}

/// A test, held against its norm.
#[derive(Debug, Clone, PartialEq)]
pub struct NormVerdict {
    /// The muscle.
    pub muscle: Muscle,
    /// The side; none if it is the mean of both.
    pub side: Option<Side>,
    /// The stretch with which it was measured.
    pub stretch: StretchId,
    /// The form.
    pub form: FormId,
    /// The test, as the norms name it.
    pub test: &'static str,
    /// The mean, in tenths of a degree, of so many values.
    pub value: i32,
    /// How many values.
    pub values: u32,
    /// The day of the last.
    pub on: NaiveDate,
    /// What it is held against; none if there is no norm at this age.
    pub norm: Option<Norm>,
    /// Where it lies.
    pub band: Option<NormBand>,
    /// Whether the norm counts angles below the horizontal as negative.
    is_below: bool,
}

impl NormVerdict {
    /// How many hundredths of a standard deviation the value lies above the mean; nothing without a norm.
    pub fn deviation(&self) -> Option<i64> {
        let norm = self.norm?;
        let mean = if self.is_below { -hundredths(norm.mean) } else { hundredths(norm.mean) };
        Some((i64::from(self.value) * 10 - mean) * 100 / hundredths(norm.sd?).max(1))
    }

    /// Whether the norm was read in print, not remembered.
    pub fn is_read(&self) -> bool {
        self.norm.is_some_and(|norm| norm.verified == Evidence::Seen)
    }
}

/// Whose norms count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NormPerson {
    pub(super) sex: Option<Sex>,
    /// The youngest and the oldest that the client may be.
    pub(super) ages: Option<(u32, u32)>,
}

impl NormPerson {
    pub(super) fn of(client: &Client, today: NaiveDate) -> Self {
        let (youngest, oldest) = (client.profile.age(today), client.profile.oldest_age(today));
        Self { sex: client.profile.sex, ages: youngest.zip(oldest) }
    }
}

/// The tests that were measured of late, one a muscle, each against its norm. `tighter` is the side of a muscle whose
/// sides differ: then it speaks alone.
pub(super) fn judge(
    series: &[AngleSeries],
    form_of: impl Fn(&AngleSeries) -> Option<LengthTest>,
    tighter: impl Fn(Muscle) -> Option<Side>,
    person: NormPerson,
    today: NaiveDate,
) -> Vec<NormVerdict> {
    let mut verdicts: Vec<NormVerdict> = Vec::new();
    for series in series {
        let Some(test) = form_of(series) else { continue };
        let Some(verdict) = verdict(series, test, tighter(series.muscle), person, today) else {
            continue;
        };
        match verdicts.iter_mut().find(|other| other.muscle == verdict.muscle) {
            Some(other) if other.on < verdict.on => *other = verdict,
            Some(_) => {}
            None => verdicts.push(verdict),
        }
    }
    verdicts.sort_by_key(|verdict| verdict.muscle);
    verdicts
}

fn verdict(
    series: &AngleSeries,
    test: LengthTest,
    side: Option<Side>,
    person: NormPerson,
    today: NaiveDate,
) -> Option<NormVerdict> {
    let of = |reading: &Reading| match side {
        Some(side) => [reading.sides[side as usize], None],
        None => reading.sides,
    };
    let is_young = |reading: &&Reading| {
        let age = (today - reading.on).num_days();
        (0..=WITHIN).contains(&age) && of(reading).iter().any(Option::is_some)
    };
    let last: Vec<&Reading> = series.readings.iter().rev().filter(is_young).take(MOST_DAYS).collect();
    let values: Vec<i32> = last.iter().flat_map(|reading| of(reading)).flatten().collect();
    let norm = match sample(test, person) {
        NormSample::Unknown => return None,
        NormSample::NoneAtThisAge => None,
        NormSample::Of(norm) => Some(norm),
    };
    let sum = values.iter().sum::<i32>();
    let count = i32::try_from(values.len()).ok().filter(|count| *count > 0)?;
    let errors = Errors::of_variance(series.error.squared() * i128::from(count));
    // What was measured on one side alone speaks for that side.
    let was = |side: Side| last.iter().all(|reading| of(reading)[side as usize].is_some());
    let side = side.or_else(|| match (was(Side::Left), was(Side::Right)) {
        (true, false) if values.len() == last.len() => Some(Side::Left),
        (false, true) if values.len() == last.len() => Some(Side::Right),
        _ => None,
    });
    Some(NormVerdict {
        muscle: series.muscle,
        side,
        stretch: series.stretch.clone(),
        form: series.form.clone(),
        test: test.name,
        value: (2 * sum + count).div_euclid(2 * count),
        values: u32::try_from(count).unwrap_or(u32::MAX),
        on: last.first()?.on,
        norm,
        is_below: test.is_below,
        band: norm.and_then(|norm| band(&norm, test.is_below, (sum, count), errors)),
    })
}

/// Where the mean of `count` values with that sum, in tenths of a degree, lies.
fn band(norm: &Norm, is_below: bool, (sum, count): (i32, i32), errors: Errors) -> Option<NormBand> {
    let (mean, spread) = (hundredths(norm.mean), hundredths(norm.sd?));
    let mean = if is_below { -mean } else { mean };
    // Millionths of a degree, times the number of values, so that everything stays whole.
    let at = |deviate: i64| i64::from(count) * (mean * 10_000 + deviate * spread);
    let value = i64::from(sum) * 100_000;
    Some(if value < at(-TENTH) {
        let is_sure = errors.is_exceeded_by_millionths(at(-TENTH) - value, BELOW_BY);
        if is_sure { NormBand::Low } else { NormBand::BelowTenth }
    } else if value < at(-QUARTER) {
        NormBand::BelowQuarter
    } else if value <= at(QUARTER) {
        NormBand::Middle
    } else if value <= at(TENTH) {
        NormBand::AboveThreeQuarters
    } else {
        NormBand::AboveNinetieth
    })
}

/// Degrees as published, in whole hundredths.
#[expect(clippy::cast_possible_truncation, reason = "angles of joints are small")]
fn hundredths(degrees: f64) -> i64 {
    (degrees * 100.0).round() as i64
}
