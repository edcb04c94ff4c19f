//! How far two measurements of the same thing differ by themselves, each figure with its source.

use std::cmp::Ordering;

use crate::body::{Joint, Motion};
use crate::catalogue::Form;
use crate::client::Sex;

use super::length_test::{is_straight_leg_raise, measured_motions};

/// The error of measuring an angle twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MeasurementError {
    /// A difference must be more than this to mean something, in degrees.
    pub beyond: i16,
    /// The published source.
    pub source: &'static str,
}

impl MeasurementError {
    /// The error for angles noted with a form: that of the least certain of the motions that it can be, as the file does
    /// not say which joint was measured.
    pub fn of_form(form: &Form) -> Self {
        if is_straight_leg_raise(form) {
            return STRAIGHT_LEG;
        }
        let errors = measured_motions(form).into_iter().map(of_motion);
        errors.max_by_key(|error| error.beyond).unwrap_or(LEG)
    }
}

const STRAIGHT_LEG: MeasurementError = MeasurementError {
    beyond: 12,
    source: "Lopez-Minarro et al. 2009: straight-leg raise, smallest real change 8 (men) to 12 degrees (women)",
};

const LEG: MeasurementError = MeasurementError {
    beyond: 14,
    source: "Hancock et al. 2018: leg, by eye or with a short goniometer, smallest real change 14 degrees",
};

/// The error of one motion, on the careful side: a trainer has no laboratory's protocol.
fn of_motion(motion: Motion) -> MeasurementError {
    use Motion as M;
    let (beyond, source) = match motion {
        M::KneeExtension => (8, "Neto et al. 2015: knee extension, smallest real change 7 to 8 degrees"),
        M::KneeFlexion => {
            (19, "Peeler & Anderson 2008: knee angle of the modified Thomas test, SEM 7 degrees")
        }
        M::NeckFlexion | M::NeckExtension => {
            (20, "Christensen & Nilsson 1998: neck, natural variation 20 degrees over 3 weeks")
        }
        M::NeckLateralFlexionSame | M::NeckLateralFlexionOpposite => {
            (12, "Christensen & Nilsson 1998: neck, natural variation 12 degrees over 3 weeks")
        }
        M::NeckRotationSame | M::NeckRotationOpposite => {
            (14, "Christensen & Nilsson 1998: neck, natural variation 14 degrees over 3 weeks")
        }
        _ => match motion.joint() {
            Joint::Ankle | Joint::Foot | Joint::Toes | Joint::Hip | Joint::Knee => return LEG,
            Joint::Shoulder => (20, "de Winter et al. 2004: shoulder, under 20 to 25 degrees not told apart"),
            Joint::Trunk => (6, "Johnson et al. 2012: thoracic rotation, smallest real change 6.3 degrees"),
            Joint::Neck => {
                (20, "Christensen & Nilsson 1998: neck, natural variation 20 degrees over 3 weeks")
            }
            // Nobody measures a shoulder blade in degrees with a goniometer; it must not decide.
            Joint::Scapula => (0, ""),
            Joint::Elbow | Joint::Forearm | Joint::Wrist => {
                (5, "Boone et al. 1978: goniometer, arm, two testers: real from more than 5 degrees")
            }
        },
    };
    MeasurementError { beyond, source }
}

/// The standard error of measuring an angle once, in hundredths of a degree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct StandardError(u32);

impl StandardError {
    /// Never taken to be less: a trainer has no laboratory's protocol (practice).
    const LEAST: Self = Self(300);
    /// 1.96 x sqrt(2), in hundredths: a difference has the error of both measurements.
    const CHANGE: u32 = 277;

    /// The error of an angle that is noted with a form.
    pub fn of_form(form: &Form, sex: Option<Sex>) -> Self {
        if is_straight_leg_raise(form) {
            // Lopez-Minarro et al. 2009, table 1: the larger of the two legs.
            return Self(if sex == Some(Sex::Male) { 300 } else { 420 });
        }
        Self::of_smallest_change(MeasurementError::of_form(form).beyond.unsigned_abs().into())
            .max(Self::LEAST)
    }

    /// The error of which a paper prints only the smallest real change at 95 %, in degrees.
    const fn of_smallest_change(degrees: u32) -> Self {
        Self((degrees * 100 * 100 + Self::CHANGE / 2) / Self::CHANGE)
    }

    /// The smallest real change at 95 %, in tenths of a degree, rounded down.
    pub const fn smallest_change(self) -> u32 {
        self.0 * Self::CHANGE / 1000
    }

    /// In hundredths of a degree.
    pub const fn hundredths(self) -> u32 {
        self.0
    }

    /// Its square, in hundredths of a degree squared.
    pub(super) fn squared(self) -> i128 {
        i128::from(self.0) * i128::from(self.0)
    }
}

/// How much a client's pairs of angles scatter against the published errors: the square of the ratio, in millionths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Scatter(i128);

/// A tenth of a degree, in millionths.
const TENTH: i64 = 100_000;
/// One, in millionths.
const ONE: i128 = 1_000_000;

impl Scatter {
    /// Until enough pairs are there to tell: a quarter more than published (practice).
    pub(super) const UNKNOWN: Self = Self(ONE * 25 / 16);
    /// Degrees of freedom from which a client's own scatter is known.
    const KNOWN_FROM: i128 = 6;

    /// The scatter of the last differences of each muscle, in tenths of a degree, about that muscle's mean; never below
    /// what is published.
    pub(super) fn of(muscles: impl Iterator<Item = impl Iterator<Item = (i32, StandardError)>>) -> Self {
        let (mut sum, mut freedom) = (0, 0);
        for pairs in muscles {
            let (mut count, mut total, mut squares, mut errors) = (0, 0, 0, 0);
            for (difference, error) in pairs {
                let difference = i128::from(difference);
                count += 1;
                total += difference;
                squares += difference * difference;
                errors += error.squared();
            }
            if count > 1 {
                // Tenths squared times the count; the errors are in hundredths and twice in a difference.
                sum += (count * squares - total * total) * 100 * ONE / (2 * errors);
                freedom += count - 1;
            }
        }
        if freedom < Self::KNOWN_FROM { Self::UNKNOWN } else { Self((sum / freedom).max(ONE)) }
    }
}

/// How far a sum of measured values may be off by measuring alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Errors {
    /// Its variance, in millionths of a hundredth of a degree squared.
    variance: i128,
}

impl Errors {
    /// Of a sum of differences between two sides, each measured once with such an error.
    pub(super) fn of_differences(errors: impl Iterator<Item = StandardError>, scatter: Scatter) -> Self {
        Self { variance: errors.map(|error| 2 * error.squared() * scatter.0).sum() }
    }

    /// Of a sum whose variance is known, in hundredths of a degree squared.
    pub(super) const fn of_variance(hundredths_squared: i128) -> Self {
        Self { variance: hundredths_squared * ONE }
    }

    /// With so many times the variance.
    pub(super) const fn times(self, times: i128) -> Self {
        Self { variance: self.variance * times }
    }

    /// Whether a sum, in tenths of a degree, is more than so many thousandths of its standard error. Squares are
    /// compared, so nothing is rounded.
    pub(super) fn is_exceeded_by(self, tenths: i32, thousandths: i128) -> bool {
        self.is_exceeded_by_millionths(i64::from(tenths) * TENTH, thousandths)
    }

    /// The same for a sum in millionths of a degree.
    pub(super) fn is_exceeded_by_millionths(self, sum: i64, thousandths: i128) -> bool {
        sum > 0 && self.against(sum, thousandths) == Ordering::Greater
    }

    /// Whether so many thousandths of the standard error are at most a sum in tenths of a degree.
    pub(super) fn fits_into(self, tenths: i32, thousandths: i128) -> bool {
        tenths >= 0 && self.against(i64::from(tenths) * TENTH, thousandths) != Ordering::Less
    }

    fn against(self, millionths: i64, thousandths: i128) -> Ordering {
        // A hundredth of a degree has ten thousand millionths.
        let sum = i128::from(millionths) * 1000;
        (sum * sum).cmp(&(thousandths * thousandths * self.variance * (10_000 * 10_000 / ONE)))
    }

    /// So many thousandths of the standard error in tenths of a degree, rounded up.
    pub(super) fn margin(self, thousandths: i128) -> i32 {
        let squared = (thousandths * thousandths * self.variance)
            .unsigned_abs()
            .div_ceil(100_000_000 * ONE.unsigned_abs());
        let root = squared.isqrt();
        i32::try_from(root + u128::from(root * root < squared)).unwrap_or(i32::MAX)
    }
}

/// By how much the sides of healthy people differ in what a form measures, in tenths of a degree.
///
/// Means under 3 degrees in hip, knee and ankle (Hallaceli et al. 2014, 987 adults), under 1 in 11 motions (Soucie et
/// al. 2011); 4 to 5 in shoulder rotation, where the dominant side differs (Conte et al. 2009, Carcia et al. 2013).
pub(super) fn healthy_sides(form: &Form) -> i32 {
    let turns =
        |motion| matches!(motion, Motion::ShoulderExternalRotation | Motion::ShoulderInternalRotation);
    if measured_motions(form).into_iter().any(turns) { 80 } else { 30 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    #[test]
    fn the_smallest_change_is_that_of_papers_which_print_it_beside_their_error() {
        // 1.96 x sqrt(2) x standard error, as in the appendices of Lopez-Minarro et al. 2009, J Sports Sci Med 8:116-122.
        // Its table 1 printed 8, 8, 11, 12; Neto et al. 2015 printed 6-7 and 7-8; Konor et al. 2012, in cm; Peeler &
        // Anderson 2008. In tenths, rounded down.
        for (error, change) in [
            (280, 7.76),
            (300, 8.32),
            (400, 11.09),
            (420, 11.64),
            (220, 6.10),
            (260, 7.21),
            (290, 8.04),
            (40, 1.11),
            (60, 1.66),
            (700, 19.40),
        ] {
            let short = change - f64::from(StandardError(error).smallest_change()) / 10.0;
            assert!((-0.005..0.105).contains(&short), "{error}: {short} short of {change}");
        }
        // Back again: what the first four printed is rounded to a whole degree, which is 0.18 of an error.
        for (error, printed) in [(280, 8), (300, 8), (400, 11), (420, 12)] {
            let found = StandardError::of_smallest_change(printed).hundredths();
            assert!(found.abs_diff(error) <= 18, "{error}: {found}");
        }
    }

    #[test]
    fn every_form_has_an_error_with_a_source() {
        for form in Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms) {
            let error = MeasurementError::of_form(form);
            assert!(error.beyond >= 5 && !error.source.is_empty(), "{}: {error:?}", form.id);
        }
    }
}
