//! How far two measurements of the same thing differ by themselves, each figure with its source.

use crate::body::{Joint, Motion, Side};
use crate::catalogue::Form;

/// Smallest real change at 95 %: 1.96 x sqrt(2) x standard error of measurement.
///
/// The usual formula, as in the appendices of lopez2009 (Lopez-Minarro et al., J Sports Sci Med 2009;8:116-122).
pub fn mdc95(standard_error: f64) -> f64 {
    1.96 * std::f64::consts::SQRT_2 * standard_error
}

/// Whether a published smallest change can be right: it is always 2.77 times the standard error at 95 %, and 2.33
/// times at 90 %; papers that print less have mixed the two up.
pub fn is_plausible_mdc(standard_error: f64, smallest_change: f64) -> bool {
    smallest_change >= 2.3 * standard_error
}

/// The error of measuring an angle twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MeasurementError {
    /// A difference must be more than this to mean something, in degrees.
    pub beyond: i16,
    /// The published source.
    pub source: &'static str,
}

/// Largest mean difference between the sides of healthy people over 60 motions was 7.5 degrees (Macedo & Magee, J
/// Manipulative Physiol Ther 2008;31:577-582), so in whole degrees a difference must be more than 7.
const HEALTHY_SIDES: MeasurementError =
    MeasurementError { beyond: 7, source: "Macedo & Magee 2008: healthy sides differ by up to 7.5 degrees" };

impl MeasurementError {
    /// The error for angles noted with a form: that of its least certain motion, as the file does not say which joint
    /// was measured.
    pub fn of_form(form: &Form) -> Self {
        let motions: Vec<Motion> = form.motions.iter().map(|angle| angle.motion).collect();
        let straight_leg = motions.contains(&Motion::HipFlexion) && motions.contains(&Motion::KneeExtension);
        motions
            .iter()
            .map(
                |&motion| {
                    if straight_leg && motion == Motion::HipFlexion {
                        STRAIGHT_LEG
                    } else {
                        of_motion(motion)
                    }
                },
            )
            .max_by_key(|error| error.beyond)
            .unwrap_or(LEG)
    }

    /// The error for an angle of a length test, of which it is known which joint was measured.
    pub(super) fn of_test(measured: Motion, straight_leg: bool) -> Self {
        if straight_leg { STRAIGHT_LEG } else { of_motion(measured) }
    }

    /// The error for a difference between the sides: never below what healthy people show.
    pub fn of_sides(form: &Form) -> Self {
        let own = Self::of_form(form);
        if own.beyond >= HEALTHY_SIDES.beyond { own } else { HEALTHY_SIDES }
    }

    /// Whether a difference in degrees is more than measuring twice would give.
    pub fn is_exceeded_by(self, difference: i16) -> bool {
        difference.unsigned_abs() > self.beyond.unsigned_abs()
    }
}

/// Of two angles the smaller one is the tighter side, if the difference is real.
pub(super) fn tighter(left: i16, right: i16, error: MeasurementError) -> Option<Side> {
    if !error.is_exceeded_by(left - right) {
        return None;
    }
    Some(if left < right { Side::Left } else { Side::Right })
}

const STRAIGHT_LEG: MeasurementError = MeasurementError {
    beyond: 12,
    source: "Lopez-Minarro et al. 2009: straight-leg raise, smallest real change 8 (men) to 12 degrees (women)",
};

const LEG: MeasurementError = MeasurementError {
    beyond: 6,
    source: "Boone et al. 1978: goniometer, leg, two testers: real from more than 6 degrees",
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 0.005, "{found} is not {expected}");
    }

    #[test]
    fn smallest_real_change_follows_from_the_standard_error() {
        // Lopez-Minarro et al. 2009, table 1: SEM 2.8, 3.0, 4.0, 4.2; printed 8, 8, 11, 12.
        for (standard_error, exact, printed) in
            [(2.8, 7.76, 8.0), (3.0, 8.32, 8.0), (4.0, 11.09, 11.0), (4.2, 11.64, 12.0)]
        {
            near(mdc95(standard_error), exact);
            near(mdc95(standard_error).round(), printed);
        }
        // Neto et al. 2015: SEM 2.2, 2.6, 2.9; printed 6-7 and 7-8.
        for (standard_error, exact) in [(2.2, 6.10), (2.6, 7.21), (2.9, 8.04)] {
            near(mdc95(standard_error), exact);
        }
        // Konor et al. 2012: SEM 0.4 and 0.6 cm.
        near(mdc95(0.4), 1.11);
        near(mdc95(0.6), 1.66);
        // Peeler & Anderson 2008: SEM 7 degrees.
        near(mdc95(7.0), 19.40);
    }

    #[test]
    fn a_paper_whose_smallest_change_is_its_error_is_not_believed() {
        // A phone-clinometer study of the neck printed SEM 1.17-2.01 and MDC 1.18-2.02.
        assert!(!is_plausible_mdc(1.17, 1.18));
        assert!(!is_plausible_mdc(2.01, 2.02));
        // Mehta et al. 2017 printed MDC90 6.3 and 2.72 for SEM 2.72 and 1.18.
        assert!(is_plausible_mdc(2.72, 6.3));
        assert!(is_plausible_mdc(1.18, 2.72));
    }

    #[test]
    fn every_form_has_an_error_with_a_source() {
        for form in Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms) {
            let error = MeasurementError::of_form(form);
            assert!(error.beyond >= 5 && !error.source.is_empty(), "{}: {error:?}", form.id);
            assert!(MeasurementError::of_sides(form).beyond >= 7, "{}", form.id);
        }
    }
}
