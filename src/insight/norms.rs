//! Muscles that a measured angle shows to be short of a published norm.
//!
//! Only forms in which the angle is that of a published length test or passive range are compared. A norm says how an
//! angle compares, never what is wrong.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::norm::{Norm, Sample, norm_with_spread};
use crate::body::{Motion, Muscle, Side, Unit};
use crate::catalogue::{Catalogue, Equipment, Form, Position};
use crate::client::{Client, Sex};

use super::measuring::MeasurementError;
use super::record::series;

/// A muscle on one side that is short of its norm.
#[derive(Debug, Clone, PartialEq)]
pub struct Shortness {
    /// The angle that was measured last, in degrees.
    pub degrees: i16,
    /// The day it was measured.
    pub date: NaiveDate,
    /// What it is held against.
    pub norm: Norm,
}

impl Shortness {
    /// The angle, the norm and its source, such as "56 degrees against 69 (Youdas 2005)".
    pub fn compared(&self) -> String {
        let mean = self.norm.mean.abs().round();
        format!("{} degrees against {mean} ({})", self.degrees, source_words(self.norm.source))
    }
}

impl std::fmt::Display for Shortness {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "short of its norm: {}", self.compared())
    }
}

/// The key of a source as people cite it, such as "Youdas 2005".
fn source_words(key: &str) -> String {
    let key = key.split('_').next().unwrap_or(key);
    let year = key.find(|c: char| c.is_ascii_digit()).unwrap_or(key.len());
    let (name, year) = key.split_at(year);
    let mut letters = name.chars();
    let name: String =
        letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default();
    format!("{name} {year}").trim_end().to_owned()
}

/// What the angle that is noted with a form measures.
struct Test {
    /// As the norms name it.
    name: &'static str,
    /// The motion that is measured.
    motion: Motion,
    /// Whether the norm counts angles below the horizontal as negative; a form counts them as positive.
    below: bool,
}

impl Test {
    /// The test that a form is.
    ///
    /// Those of muscle length are in Reese and Bandy, Joint Range of Motion and Muscle Length Testing (from memory);
    /// the ranges of ankle and shoulder are those of Soucie et al. 2011.
    fn of(form: &Form) -> Option<Self> {
        let straight = form
            .motions
            .iter()
            .any(|angle| angle.motion == Motion::KneeExtension && angle.degrees.get() >= 0);
        let on_table = form.equipment.contains(&Equipment::Table);
        let (name, motion, below) = match (form.targets.first()?.muscle, form.position) {
            (Muscle::Hamstrings, Position::Supine) if straight => {
                ("passive_straight_leg_raise", Motion::HipFlexion, false)
            }
            (Muscle::Iliopsoas, Position::Supine) if on_table => {
                ("modified_thomas_hip_angle", Motion::HipExtension, true)
            }
            (Muscle::Iliopsoas, Position::Prone) => ("hip_extension", Motion::HipExtension, false),
            (Muscle::TensorFasciaeLatae, Position::SideLying) => {
                ("ober_thigh_angle", Motion::HipAdduction, true)
            }
            (Muscle::Gastrocnemius, Position::Supine | Position::Prone) if straight => {
                ("ankle_dorsiflexion", Motion::AnkleDorsiflexion, false)
            }
            (Muscle::TibialisAnterior, Position::Supine | Position::Prone) => {
                ("ankle_plantarflexion", Motion::AnklePlantarflexion, false)
            }
            (Muscle::LatissimusDorsi, Position::Supine) => {
                ("shoulder_flexion", Motion::ShoulderFlexion, false)
            }
            _ => return None,
        };
        Some(Self { name, motion, below })
    }

    fn held_against(&self, client: &Client, today: NaiveDate) -> Option<HeldAgainst> {
        let sample = match client.profile.sex {
            Some(Sex::Female) => Sample::Female,
            Some(Sex::Male) => Sample::Male,
            None => Sample::Anybody,
        };
        let norm = norm_with_spread(self.name, sample, client.profile.age(today))?;
        Some(HeldAgainst { norm, mean: if self.below { -norm.mean } else { norm.mean } })
    }

    /// Whether an angle is short of the norm: by more than a standard deviation, and by more than measuring twice
    /// differs. Without a spread nothing is said.
    fn is_short(&self, angle: i16, against: &HeldAgainst) -> bool {
        let error = MeasurementError::of_test(self.motion, self.name == "passive_straight_leg_raise");
        let spread = against.norm.spread();
        spread.is_some_and(|spread| against.mean - f64::from(angle) > spread.max(error.beyond.into()))
    }
}

/// What the angle that is noted with a form is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldAgainst {
    /// The published norm.
    pub norm: Norm,
    /// Its mean in degrees, counted as the angles of the form are.
    pub mean: f64,
}

/// The norm that suits a client, where the form is a published length test or passive range and the norm has a
/// spread. Any other angle is held against nothing.
pub fn held_against(form: &Form, client: &Client, today: NaiveDate) -> Option<HeldAgainst> {
    Test::of(form)?.held_against(client, today)
}

/// The muscles whose last measured angle is short of the norm for age and sex, by more than a standard deviation and
/// more than the error of measuring.
///
/// One standard deviation is our judgement: about one healthy person in six is below it.
pub fn shortness(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> BTreeMap<Unit, Shortness> {
    let mut last: BTreeMap<Unit, Option<Shortness>> = BTreeMap::new();
    let mut newest: BTreeMap<Unit, NaiveDate> = BTreeMap::new();
    for (stretch, by_side) in series(client) {
        for (side, points) in by_side {
            let Some((point, angle)) = points.iter().rev().find_map(|point| Some((point, point.angle?)))
            else {
                continue;
            };
            let Some((_, form)) = catalogue.form(stretch, point.form) else { continue };
            let Some(test) = Test::of(form) else { continue };
            let Some(against) = test.held_against(client, today) else { continue };
            let short = test.is_short(angle.get(), &against);
            let Some(muscle) = form.targets.first().map(|target| target.muscle) else { continue };
            for &side in Side::ALL.iter().filter(|&&whose| side.is_none_or(|worked| worked == whose)) {
                let unit = Unit { muscle, side };
                if newest.get(&unit).is_some_and(|newest| *newest > point.date) {
                    continue;
                }
                newest.insert(unit, point.date);
                let found = Shortness { degrees: angle.get(), date: point.date, norm: against.norm };
                last.insert(unit, short.then_some(found));
            }
        }
    }
    last.into_iter().filter_map(|(unit, short)| Some((unit, short?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::StretchId;
    use crate::client::{ClientId, Profile};

    #[test]
    fn a_source_is_cited_as_people_do() {
        assert_eq!(source_words("youdas2005"), "Youdas 2005");
        assert_eq!(source_words("boone1979_in_norkin2016"), "Boone 1979");
        assert_eq!(source_words("aaos"), "Aaos");
    }

    #[test]
    fn length_tests_are_known_by_muscle_and_position() {
        let tests: Vec<_> = Catalogue::built_in()
            .stretches()
            .iter()
            .flat_map(|stretch| stretch.forms.iter().map(move |form| (stretch.id.as_str(), Test::of(form))))
            .filter_map(|(stretch, test)| Some((stretch, test?.name)))
            .collect();
        for wanted in [
            ("straight-leg-raise", "passive_straight_leg_raise"),
            ("leg-over-table-edge", "modified_thomas_hip_angle"),
            ("side-lying-outer-hip", "ober_thigh_angle"),
            ("calf-heel-press", "ankle_dorsiflexion"),
        ] {
            assert!(tests.contains(&wanted), "{wanted:?}");
        }
        assert!(tests.iter().all(|(stretch, _)| *stretch != "thigh-upright-unfold"), "the knee is bent");
    }

    #[test]
    fn an_angle_below_the_horizontal_is_held_against_a_mean_that_is_counted_alike() {
        let client = Client::new(Profile::new(ClientId::new("one").unwrap(), "One"), Vec::new());
        let today = NaiveDate::from_ymd_opt(2026, 11, 20).unwrap();
        let catalogue = Catalogue::built_in();
        let hip = catalogue.stretch(&StretchId::new("leg-over-table-edge").unwrap()).unwrap();
        let against = held_against(&hip.forms[0], &client, today).unwrap();
        assert!(against.mean > 0.0 && against.norm.mean < 0.0, "{against:?}");
    }
}
