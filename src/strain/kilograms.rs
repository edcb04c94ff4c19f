//! What of a client's limb comes into the trainer's hands, in grams.
//!
//! Shares of body mass and centres of mass are those of Winter, Biomechanics and Motor Control of Human Movement,
//! 2009; the limb hangs from its joint and is held at the far end, so that the hands bear `mass x share x cos(angle
//! above the horizontal)`. Not in it: stiff muscle near the end of the range, a client who helps, wet skin.

use crate::body::{Kilograms, Motion, Region};
use crate::catalogue::{Carried, CarriedOn, Form, HandForce, PostureExtra, TrainerPosture};

/// A client's mass where none is noted; our judgement, and said wherever it is reckoned with.
pub const MASS_IF_NOT_NOTED: u32 = 80;

/// Hundredths of a limb's weight that are left where thigh, mat, bolster or table bear it; our judgement.
const LEFT_BY_SUPPORT: u64 = 30;

/// Cosines of 0 to 90 degrees in steps of 5, in hundred-thousandths.
const COSINES: [u64; 19] = [
    100_000, 99_619, 98_481, 96_593, 93_969, 90_631, 86_603, 81_915, 76_604, 70_711, 64_279, 57_358, 50_000,
    42_262, 34_202, 25_882, 17_365, 8716, 0,
];

/// A client's mass in grams, and whether it was noted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClientMass {
    pub(super) grams: u32,
    /// Whether it is the client's own; else it is the usual one.
    pub is_noted: bool,
}

impl ClientMass {
    /// The mass that is noted, or the usual one.
    pub fn of(noted: Option<Kilograms>) -> Self {
        let kilograms = noted.map_or(MASS_IF_NOT_NOTED, |noted| noted.get().into());
        Self { grams: kilograms * 1000, is_noted: noted.is_some() }
    }

    /// A mass in grams.
    #[cfg(test)]
    pub(super) const fn grams(grams: u32) -> Self {
        Self { grams, is_noted: true }
    }
}

/// Millionths of body mass that a level limb puts into the hands.
const fn share(carried: Carried) -> u64 {
    match carried {
        Carried::Nothing => 0,
        // 0.161 x 0.447.
        Carried::LegByAnkle => 71_967,
        // The same over half the length.
        Carried::LegUnderKnee => 143_934,
        // 0.100 x 0.433 + 0.061.
        Carried::BentLeg => 104_300,
        // 0.061 x 0.606.
        Carried::Shin => 36_966,
        // 0.05 x 0.53; the whole; 0.022 x 0.682.
        Carried::ArmByWrist => 26_500,
        Carried::Arm => 50_000,
        Carried::Forearm => 15_004,
        Carried::Head => 81_000,
    }
}

/// Degrees of the carried limb above the horizontal: a raised straight leg and the shin of an upright thigh are
/// steep, everything else is taken to be level.
fn steepness(form: &Form, carried: Carried) -> u32 {
    let degrees = |motion: Motion| {
        form.motions.iter().find(|angle| angle.motion == motion).map_or(0, |angle| angle.degrees.get())
    };
    let hip = degrees(Motion::HipFlexion);
    let steep = match carried {
        Carried::LegByAnkle => hip,
        Carried::Shin => hip - degrees(Motion::KneeFlexion) + degrees(Motion::KneeExtension),
        _ => 0,
    };
    u32::from(steep.unsigned_abs()).min(90)
}

/// Grams of the limb in the trainer's hands while the form is held still.
pub(super) fn held(form: &Form, posture: &TrainerPosture, mass: ClientMass) -> u32 {
    // The flatter of two steps of five degrees, so that a limb is never taken to be lighter than it is.
    let cosine = COSINES[steepness(form, posture.carries) as usize / 5];
    let left = match posture.rest {
        CarriedOn::Hands | CarriedOn::Cradle | CarriedOn::Shoulder => 100,
        CarriedOn::Thigh | CarriedOn::Mat | CarriedOn::Bolster | CarriedOn::Table => LEFT_BY_SUPPORT,
    };
    let limbs = if posture.has(PostureExtra::Both) { 2 } else { 1 };
    let level = u64::from(mass.grams) * share(posture.carries) * limbs / 1_000_000;
    let grams = level * cosine / 100_000 * left / 100;
    u32::try_from(grams).unwrap_or(u32::MAX)
}

/// Grams that the hands press or pull with, by REBA's own classes of load; our judgement.
pub(super) const fn pressed(force: HandForce) -> u32 {
    match force {
        HandForce::None => 0,
        HandForce::Touch => 2000,
        HandForce::Light => 4000,
        HandForce::Firm => 7500,
        HandForce::Hard => 12_000,
    }
}

/// Grams that a client's light push adds: a fifth of a hip extension of about 2 Nm a kilogram at a lever of 0.9 m (from
/// memory; derived); half as much with an arm, a tenth of a twentieth with the neck (our judgement).
pub(super) fn push(form: &Form, posture: &TrainerPosture, mass: ClientMass) -> u32 {
    let thousandths = match posture.carries {
        Carried::LegByAnkle | Carried::LegUnderKnee | Carried::BentLeg | Carried::Shin => 50,
        Carried::ArmByWrist | Carried::Arm | Carried::Forearm => 25,
        Carried::Head => 10,
        Carried::Nothing => match form.targets.first().map(|target| target.muscle.region()) {
            Some(Region::Neck) => 10,
            Some(Region::Chest | Region::Shoulder | Region::Back | Region::Arm) => 25,
            _ => 50,
        },
    };
    mass.grams * thousandths / 1000
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::{Catalogue, FormId, StretchId};

    fn held_by(form: &str, carries: Carried, grams: u32) -> u32 {
        let (stretch, form) = form.split_once('/').expect("a stretch and a form");
        let (stretch, form) = (StretchId::new(stretch).expect("a word"), FormId::new(form).expect("a word"));
        let (_, form) = Catalogue::built_in().form(&stretch, &form).expect("the catalogue has it");
        let posture = TrainerPosture { carries, ..TrainerPosture::untold(true) };
        held(form, &posture, ClientMass::grams(grams))
    }

    #[test]
    fn a_level_leg_at_the_ankle_weighs_five_kilograms_from_a_client_of_sixty_nine_and_a_half() {
        // Winter 2009: 0.161 of body mass, centre of mass at 0.447 of its length.
        let level = "straight-leg-across/leg-under-bent-knee";
        assert!(held_by(level, Carried::LegByAnkle, 69_500) >= 5000);
        assert!(held_by(level, Carried::LegByAnkle, 69_400) < 5000);
        // 80 kg: 5.8 at the ankle, 11.5 under the knee, 8.3 bent, 3.0 the shin; a head weighs 6.5.
        let carried = [Carried::LegByAnkle, Carried::LegUnderKnee, Carried::BentLeg, Carried::Head];
        assert_eq!(carried.map(|limb| held_by(level, limb, 80_000)), [5757, 11_514, 8344, 6480]);
    }

    #[test]
    fn a_raised_leg_weighs_the_less_the_steeper_it_is() {
        // cos 70 degrees is 0.342.
        let raised = |form: &str| held_by(&format!("straight-leg-raise/{form}"), Carried::LegByAnkle, 80_000);
        assert_eq!([raised("other-knee-bent"), raised("hand-on-heel")], [1969, 999]);
    }

    #[test]
    fn the_mass_that_is_not_noted_is_said_not_to_be() {
        assert_eq!(ClientMass::of(None), ClientMass { grams: 80_000, is_noted: false });
        let noted = ClientMass::of(Kilograms::new(95).ok());
        assert_eq!(noted, ClientMass { grams: 95_000, is_noted: true });
    }
}
