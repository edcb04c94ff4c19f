//! The directions in which muscles move the hip, held against lever arms that were measured on a body.

use matside::body::Motion;
use matside::body::action::{Guard, MuscleHead, actions};

/// Lever arms of a straight hip in tenths of a centimetre: Dostal, Soderberg and Andrews 1986, Phys Ther 66:351-361, as
/// Neumann 2010, J Orthop Sports Phys Ther 40:82-94, tables them; from memory.
const ARMS: [(&str, &str, Motion, u32); 26] = [
    ("adductor_brevis", "", Motion::HipFlexion, 21),
    ("adductor_brevis", "", Motion::HipAdduction, 76),
    ("adductor_longus", "", Motion::HipFlexion, 41),
    ("adductor_longus", "", Motion::HipAdduction, 71),
    ("adductor_magnus", "anterior", Motion::HipAdduction, 69),
    ("adductor_magnus", "posterior", Motion::HipExtension, 58),
    ("adductor_magnus", "posterior", Motion::HipAdduction, 34),
    ("biceps_femoris", "long_head", Motion::HipExtension, 54),
    ("gluteus_maximus", "lower_fibres", Motion::HipExtension, 46),
    ("gluteus_maximus", "lower_fibres", Motion::HipExternalRotation, 21),
    ("gluteus_medius", "anterior_fibres", Motion::HipAbduction, 67),
    ("gluteus_medius", "anterior_fibres", Motion::HipInternalRotation, 23),
    ("gluteus_medius", "posterior_fibres", Motion::HipAbduction, 45),
    ("gluteus_medius", "posterior_fibres", Motion::HipExternalRotation, 24),
    ("gracilis", "", Motion::HipAdduction, 71),
    ("piriformis", "", Motion::HipAbduction, 21),
    ("piriformis", "", Motion::HipExternalRotation, 31),
    ("quadratus_femoris", "", Motion::HipExternalRotation, 34),
    ("quadratus_femoris", "", Motion::HipAdduction, 44),
    ("rectus_femoris", "", Motion::HipFlexion, 43),
    ("sartorius", "", Motion::HipFlexion, 40),
    ("sartorius", "", Motion::HipAbduction, 37),
    ("semimembranosus", "", Motion::HipExtension, 46),
    ("semitendinosus", "", Motion::HipExtension, 56),
    ("tensor_fasciae_latae", "with_iliotibial_band", Motion::HipFlexion, 39),
    ("tensor_fasciae_latae", "with_iliotibial_band", Motion::HipAbduction, 52),
];

/// Arms from which on the motion has to stand in the table of actions; a shorter one only must not stand there reversed.
const LONG: u32 = 30;

/// Whether the table has the motion for that head of a muscle in a straight hip, or in a bent one.
fn has(head: MuscleHead, motion: Motion, bent: bool) -> bool {
    actions().iter().any(|action| {
        let holds = match action.guard {
            None => true,
            Some(Guard::HipStraight) => !bent,
            Some(Guard::HipFlexed90) => bent,
            Some(_) => false,
        };
        holds && action.motion == motion && head.is_moved_by(action.head)
    })
}

#[test]
fn in_a_straight_hip_muscles_pull_the_way_that_their_lever_arms_point() {
    for (muscle, part, motion, arm) in ARMS {
        let head = MuscleHead::new(muscle, part);
        assert!(!has(head, motion.opposite(), false), "{head} is said to do the opposite of {motion}");
        assert!(arm < LONG || has(head, motion, false), "{head}: {motion} is missing");
    }
}

#[test]
fn bending_the_hip_turns_no_muscle_towards_external_rotation() {
    // Delp et al. 1999, J Biomech 32:493-501, abstract read: with flexion the rotation of 15 of 18 compartments tends to
    // the inside, and some switch from outside to inside.
    let mut switched = Vec::new();
    for action in actions().iter().filter(|action| action.guard == Some(Guard::HipFlexed90)) {
        let turns_out = action.motion == Motion::HipExternalRotation;
        assert!(
            !turns_out || has(action.head, Motion::HipExternalRotation, false),
            "{} turns out only when bent",
            action.head
        );
        if action.motion == Motion::HipInternalRotation
            && has(action.head, Motion::HipExternalRotation, false)
        {
            switched.push(action.head.muscle);
        }
    }
    assert!(switched.contains(&"gluteus_maximus") && switched.contains(&"piriformis"), "{switched:?}");
}
