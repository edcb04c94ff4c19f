//! The stretches that a plan may choose from: built-in data, and a trainer's own through the same checks.

use std::path::Path;
use std::sync::LazyLock;

use crate::document::{Flaw, Source};

pub mod anatomy;
pub mod dose;
pub mod drawing;
pub mod form;
pub mod loads;
pub mod parse;
mod placed_loads;
pub mod trainer_posture;

pub use dose::{ContractRelax, Dose, Method};
pub use drawing::{Drawing, HandPlace, SeenFrom, WallPlace};
pub use form::{
    Cues, Equipment, Form, FormId, Helper, MotionAngle, PlacedMotion, Position, Sides, Stretch, StretchId,
    Target, Usual,
};
pub use loads::{BodyLoad, Contact, Loads, PlacedLoad};
pub use trainer_posture::{
    ArmReach, Carried, CarriedOn, ElbowBend, HandForce, HandGrip, HeadTilt, PostureExtra, TrainerPosture,
    TrainerStance, TrunkBend, WristBend,
};

/// The built-in data: a name for messages and the text, by region of the body.
const BUILT_IN: &[(&str, &str)] = &[
    ("back_of_thigh.toml", include_str!("catalogue/back_of_thigh.toml")),
    ("front_of_thigh.toml", include_str!("catalogue/front_of_thigh.toml")),
    ("inner_thigh.toml", include_str!("catalogue/inner_thigh.toml")),
    ("hip_flexors.toml", include_str!("catalogue/hip_flexors.toml")),
    ("hip.toml", include_str!("catalogue/hip.toml")),
    ("leg.toml", include_str!("catalogue/leg.toml")),
    ("trunk.toml", include_str!("catalogue/trunk.toml")),
    ("chest.toml", include_str!("catalogue/chest.toml")),
    ("shoulder.toml", include_str!("catalogue/shoulder.toml")),
    ("arm.toml", include_str!("catalogue/arm.toml")),
    ("neck.toml", include_str!("catalogue/neck.toml")),
];

/// A checked set of stretches, sorted by id.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Catalogue {
    // Invariant: sorted by id, no id twice.
    stretches: Vec<Stretch>,
}

impl Catalogue {
    /// The stretches that come with the program; a test holds that none of them has a flaw.
    pub fn built_in() -> &'static Self {
        static BUILT: LazyLock<Catalogue> = LazyLock::new(|| {
            let mut stretches: Vec<Stretch> =
                BUILT_IN.iter().flat_map(|(name, text)| Catalogue::parse(&built_in(name, text)).0).collect();
            stretches.sort_by(|a, b| a.id.cmp(&b.id));
            stretches.dedup_by(|a, b| a.id == b.id);
            Catalogue { stretches }
        });
        &BUILT
    }

    /// Reads the stretches of one TOML file.
    ///
    /// Returns the stretches that are in order, and every flaw of the others with its place and a remedy.
    pub fn parse(source: &Source) -> (Vec<Stretch>, Vec<Flaw>) {
        parse::parse(source)
    }

    /// This catalogue with a trainer's own stretches added.
    ///
    /// # Errors
    /// Names every stretch whose id is taken already.
    pub fn with_own(&self, own: Vec<Stretch>) -> Result<Self, Vec<StretchId>> {
        let mut all = self.clone();
        let mut taken = Vec::new();
        for stretch in own {
            match all.stretches.binary_search_by(|other| other.id.cmp(&stretch.id)) {
                Ok(_) => taken.push(stretch.id),
                Err(place) => all.stretches.insert(place, stretch),
            }
        }
        if taken.is_empty() { Ok(all) } else { Err(taken) }
    }

    /// All stretches, sorted by id.
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// The stretch of that id.
    pub fn stretch(&self, id: &StretchId) -> Option<&Stretch> {
        self.stretches.binary_search_by(|stretch| stretch.id.cmp(id)).ok().map(|index| &self.stretches[index])
    }

    /// A stretch and one of its forms.
    pub fn form(&self, stretch: &StretchId, form: &FormId) -> Option<(&Stretch, &Form)> {
        let stretch = self.stretch(stretch)?;
        Some((stretch, stretch.form(form)?))
    }
}

fn built_in(name: &str, text: &str) -> Source {
    Source::made(Path::new(name), text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Muscle;

    #[test]
    fn the_built_in_stretches_have_no_flaw() {
        for (name, text) in BUILT_IN {
            let flaws: Vec<String> =
                Catalogue::parse(&built_in(name, text)).1.iter().map(ToString::to_string).collect();
            assert!(flaws.is_empty(), "{}", flaws.join("\n"));
        }
        let read: usize =
            BUILT_IN.iter().map(|(name, text)| Catalogue::parse(&built_in(name, text)).0.len()).sum();
        assert_eq!(read, Catalogue::built_in().stretches().len(), "an id stands in two files");
    }

    #[test]
    fn every_muscle_can_be_stretched_by_the_trainer_and_by_the_client() {
        for &muscle in Muscle::ALL {
            let forms: Vec<&Form> = Catalogue::built_in()
                .stretches()
                .iter()
                .flat_map(|stretch| &stretch.forms)
                .filter(|form| {
                    form.targets.iter().any(|target| target.muscle == muscle && target.share >= 80)
                })
                .collect();
            for &helper in Helper::ALL {
                assert!(forms.iter().any(|form| form.helper == helper), "{muscle} {helper}");
            }
        }
    }
}
