//! What a form puts on the body beside its motions: weight, pull, pressure, hands. Each test is a card that was once
//! read as a physiotherapist reads it, and a form that must not be on its plan.

use chrono::NaiveDate;
use matside::body::Side;
use matside::catalogue::{Catalogue, Form, Method, Position, Stretch};
use matside::caution::{Restrictions, parse_recorded};

use Side::{Left, Right};

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 20).expect("a day of the calendar")
}

fn card(words: &[&str], age: u32) -> Restrictions {
    let recorded: Vec<_> = words.iter().map(|word| parse_recorded(word).expect(word)).collect();
    Restrictions::of(&recorded, Some(age), today())
}

fn form(of: &str) -> (&'static Stretch, &'static Form) {
    let (stretch, form) = of.split_once('/').expect("stretch/form");
    Catalogue::built_in().form(&stretch.parse().expect("an id"), &form.parse().expect("an id")).expect(of)
}

fn allows(limits: &Restrictions, of: &str, side: Option<Side>) -> bool {
    let (stretch, form) = form(of);
    limits.allows(stretch, form, side)
}

/// The forms are out for this card, though they are in for somebody without one.
#[track_caller]
fn ruled_out(words: &[&str], forms: &[(&str, Option<Side>)]) {
    let (limits, free) = (card(words, 40), card(&[], 40));
    for &(of, side) in forms {
        assert!(allows(&free, of, side), "{of} is done by nobody");
        assert!(!allows(&limits, of, side), "{words:?}: {of} on {side:?}");
    }
}

/// The forms stay for this card.
#[track_caller]
fn left_in(words: &[&str], forms: &[(&str, Option<Side>)]) {
    let limits = card(words, 40);
    for &(of, side) in forms {
        assert!(allows(&limits, of, side), "{words:?}: {of} on {side:?}");
    }
}

fn every_form() -> impl Iterator<Item = (&'static Stretch, &'static Form)> {
    let stretches = Catalogue::built_in().stretches().iter();
    stretches.flat_map(|stretch| stretch.forms.iter().map(move |form| (stretch, form)))
}

#[test]
fn a_hurt_or_loose_neck_bears_no_weight_of_the_head() {
    let on_the_head = [
        ("thread-under/shoulder-to-mat", Some(Left)),
        ("thread-under/shoulder-to-mat", Some(Right)),
        ("fold-and-reach/both-arms-long", None),
    ];
    for word in [
        "whiplash:cleared=doctor",
        "rheumatoid-arthritis:cleared=doctor",
        "neck-ligament-disease:cleared=doctor",
        "down-syndrome:cleared=doctor",
        "ankylosing-spondylitis:cleared=doctor",
        "neck-arm-pain:left:cleared=doctor",
    ] {
        ruled_out(&[word], &on_the_head);
    }
}

#[test]
fn an_arm_that_must_not_be_pulled_is_not_pulled_by_the_forearm() {
    let pulled = [
        ("long-arm-pull/arm-overhead", Some(Left)),
        ("hug-and-round/arms-drawn-forward", None),
        ("long-body-stretch/forearms-drawn", None),
        ("low-arm-pull/forearm-drawn", Some(Left)),
    ];
    for word in [
        "recent-fracture:left:wrist",
        "recent-fracture:left:elbow:cleared=surgeon",
        "recent-surgery:left:elbow",
        "stroke-weak-arm:left:cleared=therapist",
        "shoulder-replacement-reverse:left:cleared=surgeon",
    ] {
        ruled_out(&[word], &pulled);
    }
    left_in(&["recent-fracture:left:wrist"], &[("low-arm-pull/forearm-drawn", Some(Right))]);
}

#[test]
fn a_leg_that_must_not_be_gripped_is_not_gripped() {
    let gripped = [
        ("straight-leg-raise/calf-on-shoulder", Some(Left)),
        ("bent-knee-calf/sole-press", Some(Left)),
        ("calf-over-table-end/foot-free", Some(Left)),
        ("bent-knee-to-opposite-shoulder/shin-across", Some(Left)),
    ];
    ruled_out(&["varicose-veins:left"], &gripped);
    ruled_out(&["clot-history:left:cleared=doctor"], &gripped);
    ruled_out(&["lymphoedema:left:hip"], &gripped);
    left_in(&["varicose-veins:left"], &[("straight-leg-raise/calf-on-shoulder", Some(Right))]);
}

#[test]
fn nobody_hangs_on_an_arm_five_weeks_after_the_chest_was_opened() {
    let hung = [
        ("wall-lean-away/hand-high-hips-back", Some(Left)),
        ("low-arm-pull/hold-and-sit-back", Some(Right)),
        ("palms-on-mat/weight-eased-forward", None),
        ("hands-on-chair/chest-sinks", None),
    ];
    // 2026-10-16 is 35 days before.
    ruled_out(&["chest-surgery:since=2026-10-16:cleared=surgeon"], &hung);
    left_in(
        &["chest-surgery:since=2026-08-01:cleared=surgeon"],
        &[("low-arm-pull/hold-and-sit-back", Some(Right))],
    );
}

#[test]
fn the_pocket_of_a_pacemaker_is_not_opened_by_an_arm_at_a_right_angle() {
    ruled_out(&["implanted-device:left:since=2026-10-20"], &[("wall-chest/elbow-level", Some(Left))]);
    let limits = card(&["implanted-device:left:since=2026-10-20"], 60);
    for (stretch, form) in every_form() {
        for &side in form.workings() {
            let raised = form.pose(side).iter().any(|placed| {
                let is_raised = ["shoulder_abduction", "shoulder_flexion"].contains(&placed.motion.id());
                is_raised && placed.side == Some(Left) && placed.degrees.get() >= 90
            });
            assert!(!(raised && limits.allows(stretch, form, side)), "{}/{}", stretch.id, form.id);
        }
    }
}

#[test]
fn a_broken_ankle_carries_no_weight_in_front_or_behind() {
    for side in Side::ALL {
        ruled_out(
            &["recent-fracture:left:ankle"],
            &[
                ("standing-hamstring/heel-on-floor", Some(*side)),
                ("wall-calf/back-knee-straight", Some(*side)),
                ("half-kneeling-hip-flexor/tail-tucked", Some(Right)),
            ],
        );
    }
    ruled_out(&["recent-fracture:left:ankle"], &[("standing-quad/hand-on-wall", Some(Right))]);
}

#[test]
fn an_uncleared_hip_and_old_age_do_not_stand_on_one_leg_for_long() {
    // Front of the right thigh: the left leg stands.
    ruled_out(&["hip-replacement-posterior:left"], &[("standing-quad/hand-on-wall", Some(Right))]);
    ruled_out(&["hip-replacement-anterior:left"], &[("standing-quad/foot-on-chair", Some(Right))]);
    let on_one_leg = || every_form().filter(|(_, form)| form.loads.one_leg.is_some());
    assert!(on_one_leg().count() >= 4);
    for (stretch, form) in on_one_leg() {
        for &side in form.workings() {
            assert!(!card(&[], 82).allows(stretch, form, side), "{} at 82", form.id);
            let way = card(&[], 68).permit(stretch, form, side, Method::Static).expect("briefly");
            assert!(way.doses().all(|dose| dose.held().get() <= 20), "{} at 68", form.id);
        }
    }
}

#[test]
fn a_stoma_and_a_section_of_five_weeks_are_neither_lain_on_nor_pressed() {
    for word in ["stoma", "caesarean:since=2026-10-16:cleared=doctor", "abdominal-surgery:since=2026-10-16"] {
        let limits = card(&[word], 35);
        for (stretch, form) in every_form() {
            let pressed = form.loads.pressed.iter().any(|part| part.id() == "belly");
            for &side in form.workings() {
                let allowed = limits.allows(stretch, form, side);
                assert!(!(allowed && (pressed || form.position == Position::Prone)), "{word}: {}", form.id);
            }
        }
    }
    ruled_out(&["stoma"], &[("both-knees-to-chest/hug", None), ("prone-knee-bend/hand-on-shin", Some(Left))]);
}

#[test]
fn a_sore_symphysis_has_no_leg_in_front_of_the_other() {
    let limits = card(&["pelvic-girdle-pain"], 32);
    for (stretch, form) in every_form().filter(|(_, form)| form.loads.stride.is_some()) {
        for &side in form.workings() {
            assert!(!limits.allows(stretch, form, side), "{}/{}", stretch.id, form.id);
        }
    }
    ruled_out(&["pelvic-girdle-pain"], &[("wall-calf/back-knee-straight", Some(Left))]);
}

#[test]
fn a_knee_that_may_bend_so_far_does_not_sit_cross_legged() {
    let cross_legged = [
        ("seated-twist/hand-on-knee", Some(Left)),
        ("neck-side-bend/self-ear-to-shoulder", Some(Right)),
        ("seated-butterfly/elbows-rest", None),
    ];
    for word in ["knee-replacement:left:cleared=surgeon", "knee-trouble:left", "kneecap-pain:left"] {
        ruled_out(&[word], &cross_legged);
        left_in(&[word], &[("neck-side-bend/ear-to-shoulder-on-chair", Some(Right))]);
    }
}

#[test]
fn the_very_mobile_get_few_stretches_and_no_further_forms() {
    for (word, most) in [("hypermobility", 5), ("hypermobility-disorder:cleared=doctor", 3)] {
        let limits = card(&[word], 30);
        assert_eq!(limits.most_stretches(), Some(most));
        let mut left = 0;
        for (stretch, form) in every_form() {
            for &side in form.workings() {
                let allowed = limits.allows(stretch, form, side);
                left += usize::from(allowed);
                assert!(!(allowed && stretch.is_further(form)), "{word}: {}/{}", stretch.id, form.id);
            }
        }
        assert!(left > 20, "{word}: {left}");
    }
}

#[test]
fn thin_bones_are_not_rounded_while_a_chair_form_exists() {
    ruled_out(&["osteoporosis"], &[("hug-and-round/self-hug", None)]);
    left_in(&["osteoporosis"], &[("hug-and-round/hug-on-chair", None)]);
}

#[test]
fn a_hand_stays_off_what_must_not_be_pressed() {
    ruled_out(&["osteoporosis"], &[("shoulder-held-look-away/trainers-hand-on-blade", Some(Left))]);
    ruled_out(&["diabetes-numb-feet"], &[("seated-calf/towel-round-foot", Some(Left))]);
    ruled_out(&["breast-surgery:left:cleared=surgeon"], &[("side-of-neck/first-rib-eased-down", Some(Left))]);
    ruled_out(&["dialysis-fistula:right"], &[("arm-across/elbow-drawn-standing", Some(Right))]);
    ruled_out(&["wound:left:knee"], &[("straight-leg-raise/calf-on-shoulder", Some(Left))]);
    left_in(&["wound:left:wrist"], &[("straight-leg-raise/calf-on-shoulder", Some(Left))]);
}

#[test]
fn an_amputated_leg_is_not_there() {
    let through_the_knee = ["amputation:left:knee"];
    ruled_out(
        &through_the_knee,
        &[
            ("calf-heel-press/forearm-on-sole", Some(Left)),
            ("straight-leg-raise/hand-on-heel", Some(Left)),
            ("sit-on-heels/bolster-between", None),
            ("standing-quad/hand-on-wall", Some(Right)),
        ],
    );
    left_in(&through_the_knee, &[("calf-heel-press/forearm-on-sole", Some(Right))]);
}

#[test]
fn every_built_in_form_tells_its_loads_and_they_agree_with_its_words() {
    for (stretch, form) in every_form() {
        let place = format!("{}/{}", stretch.id, form.id);
        assert!(form.loads.told, "{place}");
        let say = form.cues.say.to_lowercase();
        let hands = form.cues.hands.to_lowercase();
        let weighs = |part: &str| form.loads.weight_on.iter().any(|on| on.what.id() == part);
        let at = |part: &str| form.loads.hands.iter().any(|(_, on)| on.what.id() == part);
        // Words that say it, and the load that they mean. The lists are ours; the trade has no standard for them.
        let on_hands = ["hands on the floor", "palms flat", "push up on your hands", "hand on the mat"];
        assert!(!on_hands.iter().any(|words| say.contains(words)) || weighs("hand"), "{place}: hands");
        assert!(!say.contains("forearms on it") || weighs("forearm"), "{place}: forearms");
        assert!(!say.contains("forehead down, arms long") || weighs("head"), "{place}: head");
        let is_assisted = form.helper == matside::catalogue::Helper::Assisted;
        if is_assisted {
            assert!(!form.loads.hands.is_empty(), "{place}: where are the trainer's hands?");
        }
        for (words, part) in [
            ("sacrum", "pelvis"),
            ("heel", "foot"),
            ("both forearms", "forearm"),
            ("inner thigh", "thigh"),
            ("back of the head", "head"),
        ] {
            let of_a_hand = words == "heel" && hands.contains("heel of");
            let said = is_assisted && hands.contains(words) && !of_a_hand;
            assert!(!said || at(part), "{place}: `{words}` without a hand on the {part}");
        }
        let stands_on_one =
            say.contains("hold the ankle, knees side by side") || say.contains("heel on a steady seat");
        assert!(!stands_on_one || form.loads.one_leg.is_some(), "{place}: one leg");
    }
}

#[test]
fn a_stretch_that_tells_no_loads_counts_as_bearing_what_its_position_makes_possible() {
    let (stretch, told) = form("palms-on-mat/weight-eased-forward");
    let untold = Form { loads: matside::catalogue::Loads::default(), ..told.clone() };
    let own = Stretch { forms: vec![untold], ..stretch.clone() };
    let refusal = card(&["chest-surgery:since=2026-10-16:cleared=surgeon"], 40)
        .permit(&own, &own.forms[0], None, Method::Static)
        .expect_err("weight on the hands");
    assert!(refusal.text.ends_with("the stretch does not tell what it loads"), "{refusal}");
    assert!(card(&[], 40).allows(&own, &own.forms[0], None));
}
