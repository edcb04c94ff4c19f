//! What a picture shows, in words, for screens and readers that have none: how the client lies, which limb moves, where
//! it pulls.

use crate::body::{Joint, Motion, Side};
use crate::catalogue::{Equipment, Form, Position, Sides};

use super::joints::{Joints, MovingPart, OTHER, WORKED, main_motion};
use super::skeleton::LegJoints;

/// A knee that is bent less counts as long.
const LONG: f64 = 25.0;

/// What the picture of a form shows, worked on a side or on both at once.
pub fn in_words(form: &Form, side: Option<Side>) -> String {
    let mut words = vec![place(form, side)];
    words.push(moves(form, side));
    if let Some(side) = side {
        words.extend(other_leg(form, side));
    }
    let pulls = form.targets.first().map(|target| format!("; pulls: {}", target.muscle.plain_name()));
    words.join(", ") + &pulls.unwrap_or_default()
}

/// Where and how the client is. Whoever lies on the side has the worked one above.
fn place(form: &Form, side: Option<Side>) -> String {
    let is_on_chair = form.equipment.contains(&Equipment::Chair);
    match (form.position, side) {
        (Position::SideLying, Some(side)) => format!("on the {} side", side.other()),
        (Position::Seated, _) if is_on_chair => "seated on a chair".to_owned(),
        (Position::Seated, _) => "seated on the floor".to_owned(),
        (position, _) => position.plain_name().to_owned(),
    }
}

fn moves(form: &Form, side: Option<Side>) -> String {
    let limb = |one: &str| match side {
        Some(side) => format!("the {side} {one} moves"),
        None => format!("both {one}s move"),
    };
    let motion = main_motion(form).map(|angle| angle.motion);
    let bent = |what: &str| {
        let (does, same) = match motion {
            Some(Motion::TrunkLateralFlexionSame | Motion::NeckLateralFlexionSame) => ("leans", true),
            Some(Motion::TrunkLateralFlexionOpposite | Motion::NeckLateralFlexionOpposite) => {
                ("leans", false)
            }
            Some(Motion::TrunkRotationSame | Motion::NeckRotationSame) => ("turns", true),
            Some(Motion::TrunkRotationOpposite | Motion::NeckRotationOpposite) => ("turns", false),
            Some(Motion::TrunkExtension | Motion::NeckExtension) => return format!("the {what} bends back"),
            _ => return format!("the {what} bends forward"),
        };
        match side {
            Some(side) => format!("the {what} {does} to the {}", if same { side } else { side.other() }),
            None => format!("the {what} {does}"),
        }
    };
    match MovingPart::of(form) {
        // The ribs stay down; what is seen to go is below.
        MovingPart::Trunk
            if form.position == Position::Supine && motion == Some(Motion::TrunkRotationSame) =>
        {
            let to = side.map(|side| format!(" to the {}", side.other())).unwrap_or_default();
            format!("the knees go over{to}")
        }
        MovingPart::Leg => limb("leg"),
        MovingPart::Arm => limb("arm"),
        MovingPart::Trunk => bent("trunk"),
        MovingPart::Neck => bent("head"),
    }
}

/// How the leg lies that is not worked, where a leg is and the other one has not to do the same.
fn other_leg(form: &Form, side: Side) -> Option<String> {
    if MovingPart::of(form) != MovingPart::Leg || form.sides == Sides::Both {
        return None;
    }
    let joints = Joints::of(form);
    let [worked, other]: [LegJoints; 2] = [joints.legs[WORKED], joints.legs[OTHER]];
    let is_said = joints.names(OTHER, Joint::Knee) || joints.names(OTHER, Joint::Hip);
    let how = match form.position {
        Position::Kneeling if other.flexion >= 70.0 && worked.flexion < 45.0 => "foot in front",
        Position::Kneeling | Position::Standing => return None,
        Position::Seated if !is_said => return None,
        _ if other.knee < LONG => "leg long",
        _ => "knee bent",
    };
    Some(format!("the {} {how}", side.other()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;

    fn said(name: &str, side: Option<Side>) -> String {
        let (stretch, form) = name.split_once('/').unwrap();
        let form = Catalogue::built_in().form(&stretch.parse().unwrap(), &form.parse().unwrap()).unwrap().1;
        in_words(form, side)
    }

    #[test]
    fn words_say_how_the_client_lies_which_limb_moves_and_where_it_pulls() {
        for (name, side, words) in [
            (
                "straight-leg-raise/hand-on-heel",
                Some(Side::Right),
                "on the back, the right leg moves, the left leg long; pulls: hamstrings",
            ),
            (
                "side-lying-quad/knee-half-bent",
                Some(Side::Left),
                "on the right side, the left leg moves, the right knee bent; pulls: upper quads",
            ),
            ("both-knees-to-chest/hug", None, "on the back, the trunk bends forward; pulls: lower back"),
            (
                "supine-trunk-twist/both-knees-self",
                Some(Side::Left),
                "on the back, the knees go over to the right; pulls: obliques",
            ),
            (
                "neck-side-bend/self-ear-to-shoulder",
                Some(Side::Left),
                "seated on the floor, the head leans to the right; pulls: upper traps",
            ),
        ] {
            assert_eq!(said(name, side), words);
        }
    }
}
