//! Published joint norms: how far joints of people of some age and sex go.
//!
//! Degrees. Knee and elbow extension are positive beyond straight; the hip angle of the modified Thomas test and
//! the Ober angle are negative below the horizontal. A norm says how an angle compares, never what is wrong.

use std::sync::LazyLock;

use crate::names::named;

use super::evidence::{Evidence, rows};
use super::motion::Motion;

named! {
    /// Who was measured.
    pub enum Sample("sample") {
        /// Women and girls.
        Female = "F",
        /// Men and boys.
        Male = "M",
        /// Both together, or not said.
        Anybody = "any",
    }
}

/// What one source found for one motion in one sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Norm {
    /// The motion as the sources name it, such as `hip_flexion` or `modified_thomas_hip_angle`.
    pub motion: &'static str,
    /// Who was measured.
    pub sample: Sample,
    /// Youngest and oldest in years, where the source says.
    pub ages: (Option<f64>, Option<f64>),
    /// The mean in degrees.
    pub mean: f64,
    /// Limits of the 95 % confidence interval of the mean in degrees; no range of normal people.
    pub interval: Option<(f64, f64)>,
    /// Standard deviation in degrees, where it is known.
    pub sd: Option<f64>,
    /// How many people, where it is known.
    pub n: Option<u32>,
    /// Key of the source; `aaos`, `ama`, `cfr38` and `joa` are conventions and no samples.
    pub source: &'static str,
    /// Whether every figure here was read.
    pub verified: Evidence,
}

impl Norm {
    fn is_of(&self, other: &Self) -> bool {
        self.motion == other.motion
            && self.sample == other.sample
            && self.ages == other.ages
            && self.source == other.source
    }
}

/// All norms in the order of the file, the rows of one source about one sample merged.
pub fn norms() -> &'static [Norm] {
    static NORMS: LazyLock<Vec<Norm>> = LazyLock::new(|| read(TEXT).0);
    &NORMS
}

/// The largest mean that a source gives for adults, whatever the method; nothing for motions without a measure.
pub fn largest_published(motion: Motion) -> Option<Norm> {
    let keys = keys(motion);
    norms()
        .iter()
        .filter(|norm| keys.contains(&norm.motion) && norm.ages.1.is_none_or(|to| to >= 20.0))
        .copied()
        .max_by(|a, b| a.mean.total_cmp(&b.mean))
}

/// The names that the sources give to a motion.
pub const fn keys(motion: Motion) -> &'static [&'static str] {
    use Motion as M;
    match motion {
        M::AnklePlantarflexion => &["ankle_plantarflexion"],
        M::AnkleDorsiflexion => {
            &["ankle_dorsiflexion", "weight_bearing_lunge_left", "weight_bearing_lunge_right"]
        }
        M::KneeFlexion => &["knee_flexion"],
        M::KneeExtension => &["knee_extension"],
        M::HipFlexion => &["hip_flexion"],
        M::HipExtension => &["hip_extension"],
        M::HipAbduction => &["hip_abduction"],
        M::HipAdduction => &["hip_adduction"],
        M::HipExternalRotation => {
            &["hip_external_rotation", "hip_external_rotation_prone", "hip_external_rotation_supine"]
        }
        M::HipInternalRotation => {
            &["hip_internal_rotation", "hip_internal_rotation_prone", "hip_internal_rotation_supine"]
        }
        M::TrunkFlexion => &["thoracolumbar_flexion", "trunk_flexion_stabilised"],
        M::TrunkExtension => &["thoracolumbar_extension", "trunk_extension"],
        M::TrunkLateralFlexionSame | M::TrunkLateralFlexionOpposite => {
            &["thoracolumbar_lateral_flexion", "trunk_lateral_flexion_left", "trunk_lateral_flexion_right"]
        }
        M::TrunkRotationSame | M::TrunkRotationOpposite => {
            &["thoracolumbar_rotation", "trunk_rotation_left", "trunk_rotation_right"]
        }
        M::ShoulderFlexion => &["shoulder_flexion"],
        M::ShoulderExtension => &["shoulder_extension"],
        M::ShoulderAbduction => &["shoulder_abduction"],
        M::ShoulderExternalRotation => &["shoulder_external_rotation"],
        M::ShoulderInternalRotation => &["shoulder_internal_rotation"],
        M::ShoulderHorizontalAbduction => &["shoulder_horizontal_abduction"],
        M::ShoulderHorizontalAdduction => &["shoulder_horizontal_adduction"],
        M::ElbowFlexion => &["elbow_flexion"],
        M::ElbowExtension => &["elbow_extension"],
        M::ForearmPronation => &["forearm_pronation"],
        M::ForearmSupination => &["forearm_supination"],
        M::WristFlexion => &["wrist_flexion"],
        M::WristExtension => &["wrist_extension"],
        M::WristRadialDeviation => &["wrist_radial_deviation"],
        M::WristUlnarDeviation => &["wrist_ulnar_deviation"],
        M::NeckFlexion => &["cervical_flexion"],
        M::NeckExtension => &["cervical_extension"],
        M::NeckLateralFlexionSame | M::NeckLateralFlexionOpposite => &["cervical_lateral_flexion"],
        M::NeckRotationSame | M::NeckRotationOpposite => &["cervical_rotation"],
        M::FootInversion
        | M::FootEversion
        | M::ToeFlexion
        | M::ToeExtension
        | M::HipHorizontalAbduction
        | M::HipHorizontalAdduction
        | M::ShoulderAdduction
        | M::ScapulaElevation
        | M::ScapulaDepression
        | M::ScapulaUpwardRotation
        | M::ScapulaDownwardRotation
        | M::ScapulaProtraction
        | M::ScapulaRetraction => &[],
    }
}

const TEXT: &str = include_str!("joint-norms.csv");

/// Reads and merges the rows; those that cannot be read come back with their line.
fn read(text: &'static str) -> (Vec<Norm>, Vec<String>) {
    let mut norms: Vec<Norm> = Vec::new();
    let mut bad = Vec::new();
    for (line, fields) in rows(text) {
        match read_row(&fields) {
            Some(row) => match norms.iter_mut().find(|norm| norm.is_of(&row.0)) {
                Some(norm) => merge(norm, &row),
                None if row.1 => norms.push(row.0),
                None => bad.push(format!("line {line}: a row without a mean before its fellow")),
            },
            None => bad.push(format!("line {line}: {}", fields.join(","))),
        }
    }
    (norms, bad)
}

/// Adds what the later row knows; the merged norm is as good as its worst part.
fn merge(norm: &mut Norm, (row, has_mean): &(Norm, bool)) {
    if *has_mean {
        norm.mean = row.mean;
    }
    norm.interval = norm.interval.or(row.interval);
    norm.sd = norm.sd.or(row.sd);
    norm.n = norm.n.or(row.n);
    norm.verified = norm.verified.max(row.verified);
}

/// A row, and whether it has a mean of its own.
fn read_row(fields: &[&'static str]) -> Option<(Norm, bool)> {
    let &[motion, sample, from, to, mean, low, high, sd, n, source, verified] = fields else { return None };
    let number = |text: &str| -> Option<Option<f64>> {
        if text.is_empty() { Some(None) } else { text.parse().ok().map(Some) }
    };
    let mean = number(mean)?;
    let norm = Norm {
        motion,
        sample: sample.parse().ok()?,
        ages: (number(from)?, number(to)?),
        mean: mean.unwrap_or_default(),
        interval: number(low)?.zip(number(high)?),
        sd: number(sd)?,
        n: if n.is_empty() { None } else { Some(n.parse().ok()?) },
        source,
        verified: verified.parse().ok()?,
    };
    Some((norm, mean.is_some()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read() {
        assert_eq!(read(TEXT).1, [""; 0]);
    }
}
