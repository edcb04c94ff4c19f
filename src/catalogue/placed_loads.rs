//! Which side bears what of a form's loads, with what its position brings by itself.

use crate::body::{BodyPart, Joint, Motion, Side};

use super::form::{Form, Helper, Position};
use super::loads::{BodyLoad, PlacedLoad, Stride, Whose};

impl Form {
    /// All that the form loads when it is done on `worked` (both sides at once: `None`), with what its position brings.
    pub fn placed_loads(&self, worked: Option<Side>) -> Vec<PlacedLoad> {
        let mut placed = Vec::new();
        let mut put = |load: BodyLoad, of: Whose, is_midline: bool| {
            let sides: &[Side] = match worked {
                Some(_) if is_midline => &[],
                Some(side) if of == Whose::Worked => &[side],
                Some(side) => &[side.other()],
                None => Side::ALL,
            };
            if is_midline {
                placed.push(PlacedLoad { load, side: None });
            }
            placed.extend(
                sides.iter().filter(|_| !is_midline).map(|&side| PlacedLoad { load, side: Some(side) }),
            );
        };
        let loads = &self.loads;
        for part in &loads.weight_on {
            put(BodyLoad::Weight(part.what), part.of, part.what.is_midline());
        }
        for (contact, part) in &loads.hands {
            put(BodyLoad::Contact(*contact, part.what), part.of, part.what.is_midline());
        }
        for joint in &loads.traction {
            put(BodyLoad::Traction(joint.what), joint.of, matches!(joint.what, Joint::Neck | Joint::Trunk));
        }
        for &part in &loads.pressed {
            put(BodyLoad::Pressed(part), Whose::Worked, part.is_midline());
        }
        if loads.head_low {
            put(BodyLoad::HeadLow, Whose::Worked, true);
        }
        self.put_position(&mut put);
        placed
    }

    /// What the position alone brings.
    fn put_position(&self, put: &mut impl FnMut(BodyLoad, Whose, bool)) {
        let stride = self.loads.stride;
        if stride.is_some() {
            for &whose in Whose::ALL {
                put(BodyLoad::Stride, whose, false);
            }
        }
        match (self.position, self.loads.one_leg, stride) {
            (Position::Standing, Some(whose), _) => {
                put(BodyLoad::OneLeg, whose, false);
                put(BodyLoad::Weight(BodyPart::Foot), whose, false);
            }
            (Position::Standing, None, Some(_)) => {
                for &whose in Whose::ALL {
                    put(BodyLoad::Weight(BodyPart::Foot), whose, false);
                }
            }
            (Position::Standing, None, None) => {
                for &whose in Whose::ALL {
                    put(BodyLoad::Stands, whose, false);
                }
            }
            // Half kneeling: one knee and the other foot carry.
            (Position::Kneeling, _, Some(worked)) => {
                let (knee, foot) = match worked {
                    Stride::Back => (Whose::Worked, Whose::Other),
                    Stride::Front => (Whose::Other, Whose::Worked),
                };
                put(BodyLoad::Weight(BodyPart::Knee), knee, false);
                put(BodyLoad::Weight(BodyPart::Foot), foot, false);
            }
            (Position::Kneeling, _, None) => {
                for &whose in Whose::ALL {
                    put(BodyLoad::Weight(BodyPart::Knee), whose, false);
                }
            }
            // In side-lying the worked side is on top.
            (Position::SideLying, ..) => put(BodyLoad::LainOn, Whose::Other, false),
            (Position::Prone, ..) => {
                put(BodyLoad::Pressed(BodyPart::Belly), Whose::Worked, true);
                for &whose in Whose::ALL {
                    put(BodyLoad::Pressed(BodyPart::Chest), whose, false);
                }
            }
            _ => {}
        }
    }

    /// Whether a form that does not tell its loads may bear this one, by its position, helper and motions.
    pub fn may_bear(&self, load: BodyLoad) -> bool {
        if self.loads.told {
            return false;
        }
        let most = |motion: Motion| {
            let angles = self.motions.iter().chain(&self.other_side).filter(|angle| angle.motion == motion);
            angles.map(|angle| angle.degrees.get()).max().unwrap_or_default()
        };
        let bends = most(Motion::HipFlexion) + most(Motion::TrunkFlexion);
        let is_assisted = self.helper == Helper::Assisted;
        match load {
            BodyLoad::Weight(BodyPart::Foot) | BodyLoad::OneLeg => self.position == Position::Standing,
            BodyLoad::Stride => matches!(self.position, Position::Standing | Position::Kneeling),
            BodyLoad::Weight(BodyPart::Knee) | BodyLoad::Stands | BodyLoad::LainOn => false,
            BodyLoad::Weight(_) => match self.position {
                Position::Kneeling | Position::Prone => true,
                Position::Seated => most(Motion::WristExtension) >= 40 || most(Motion::ShoulderExtension) > 0,
                _ => false,
            },
            BodyLoad::HeadLow => match self.position {
                Position::Kneeling => bends >= 80,
                Position::Standing => bends >= 60,
                Position::Seated => bends >= 120,
                _ => false,
            },
            BodyLoad::Pressed(_) => most(Motion::HipFlexion) >= 105,
            BodyLoad::Traction(_) | BodyLoad::Contact(..) => is_assisted,
        }
    }
}
