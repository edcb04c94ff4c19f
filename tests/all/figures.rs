//! Pictures of stretches: the body keeps its proportions, nothing is under the floor, the angles are the form's, what
//! moves shows, the arrow goes where it moves, and the same form gives the same picture.

mod ready;
mod sheets;

use std::fmt::Write;

use matside::body::{Degrees, Side};
use matside::catalogue::{Catalogue, Form, Position};
use matside::figure::arrow::Arrow;
use matside::figure::joints::{MovingPart, OTHER, WORKED, main_motion};
use matside::figure::moving::Moving;
use matside::figure::pose::pose;
use matside::figure::recovered::{compared, misfits};
use matside::figure::skeleton::{self, Body};
use matside::figure::vector::{Vec3, vec3};
use matside::figure::{Blocks, Cells, Ink, Sketch, draw, flesh, mass, svg};

/// Every form with its stretch and its own id, as `stretch/form`.
fn forms() -> impl Iterator<Item = (String, &'static Form)> {
    Catalogue::built_in().stretches().iter().flat_map(|stretch| {
        stretch.forms.iter().map(move |form| (format!("{}/{}", stretch.id, form.id), form))
    })
}

fn form(name: &str) -> &'static Form {
    forms().find(|(id, _)| id == name).unwrap_or_else(|| panic!("there is no form {name}")).1
}

fn near(value: f64, wanted: f64, within: f64) -> bool {
    (value - wanted).abs() <= within
}

/// A body that stands upright.
fn upright() -> Body {
    let mut posed = pose(form("blades-drawn-back/arms-low")).body;
    let hips = skeleton::THIGH + skeleton::SHANK + skeleton::ANKLE;
    posed.axis = skeleton::Axis::on(
        skeleton::Bone { at: vec3(0.0, 0.0, hips), turn: matside::figure::vector::Rotation::NONE },
        skeleton::Bend::default(),
        skeleton::Bend::default(),
    );
    posed
}

/// Heights and breadths in statures: Drillis and Contini, Body Segment Parameters, Technical Report 1166.03, New York
/// University 1966, as drawn in Winter, Biomechanics and Motor Control of Human Movement, 4th edition 2009, figure 4.1.
#[test]
fn the_body_has_the_published_proportions() {
    let body = upright();
    let shoulder = skeleton::shoulder(&body.axis.thorax, 1.0, &skeleton::ArmJoints::default());
    let hip = body.axis.pelvis.at.z;
    for (what, found, published) in [
        ("ankle above the floor", skeleton::ANKLE, 0.039),
        ("knee above the floor", skeleton::ANKLE + skeleton::SHANK, 0.285),
        ("hip above the floor", hip, 0.530),
        ("shoulder above the floor", shoulder.z, 0.818),
        ("elbow above the floor", shoulder.z - skeleton::UPPER_ARM, 0.630),
        ("wrist above the floor", shoulder.z - skeleton::UPPER_ARM - skeleton::FOREARM, 0.485),
        ("vertex", body.axis.head.at.z + skeleton::SKULL + skeleton::HALF_HEAD, 1.0),
        ("upper arm", skeleton::UPPER_ARM, 0.186),
        ("forearm", skeleton::FOREARM, 0.146),
        ("length of the foot", skeleton::HEEL + skeleton::BALL + skeleton::TOES, 0.152),
        ("breadth of the shoulders", 2.0 * (shoulder.y + flesh::UPPER_ARM.0 * 0.85), 0.259),
        ("breadth of the hips", 2.0 * (skeleton::HALF_HIPS + flesh::THIGH.0), 0.191),
    ] {
        assert!(near(found, published, 0.008), "{what}: {found:.3}, published {published}");
    }
}

#[test]
fn no_segment_is_stretched_by_a_pose() {
    for (name, form) in forms() {
        let body = pose(form).body;
        for leg in &body.legs {
            assert!(near((leg.knee() - leg.thigh.at).length(), skeleton::THIGH, 1e-6), "{name}");
            assert!(near((leg.ankle() - leg.knee()).length(), skeleton::SHANK, 1e-6), "{name}");
        }
        for arm in &body.arms {
            assert!(near((arm.elbow() - arm.upper.at).length(), skeleton::UPPER_ARM, 1e-6), "{name}");
            assert!(near((arm.wrist() - arm.elbow()).length(), skeleton::FOREARM, 1e-6), "{name}");
        }
    }
}

/// Middles of the body's parts with the radius that is flesh.
fn parts(body: &Body) -> Vec<(&'static str, Vec3, f64)> {
    let mut parts = vec![("head", body.axis.skull(), flesh::HEAD.x)];
    parts.extend(flesh::trunk(&body.axis).map(|section| ("trunk", section.at, section.depth_below())));
    for leg in &body.legs {
        parts.extend([
            ("knee", leg.knee(), flesh::THIGH.1),
            ("ankle", leg.ankle(), flesh::SHANK.1),
            ("heel", leg.heel(), 0.0),
            ("ball", leg.ball(), 0.0),
            ("toes", leg.tip(), 0.011),
        ]);
    }
    for arm in &body.arms {
        parts.extend([
            ("shoulder", arm.upper.at, flesh::UPPER_ARM.0),
            ("elbow", arm.elbow(), flesh::UPPER_ARM.1),
            ("wrist", arm.wrist(), flesh::FOREARM.1),
            ("finger tips", arm.tip(), flesh::HAND.1),
        ]);
    }
    parts
}

/// The shoulder below gives way further than a stiff rib cage shows.
const UNDER_THE_FLOOR: &[(&str, &str)] = &[
    ("long-arm-pull/bent-and-turned-away", "shoulder"),
    ("side-over-bolster/ribs-and-pelvis-apart", "shoulder"),
    ("side-lying-hip-flexor/thigh-drawn-back", "elbow"),
];

#[test]
fn nothing_is_under_the_floor() {
    let mut wrong = Vec::new();
    for (name, form) in forms() {
        for (part, at, radius) in parts(&pose(form).body) {
            let listed = UNDER_THE_FLOOR.contains(&(name.as_str(), part));
            if at.z - radius < -0.012 && !listed {
                wrong.push(format!("{name}: {part} at {:.3}", at.z - radius));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Forms whose main motion the body shows more than a degree off, and why.
const NOT_AS_SAID: &[(&str, &str)] = &[
    ("arm-turned-in/hand-behind-waist-standing", "the hand goes where the waist is"),
    ("arm-turned-in/hand-behind-waist", "the hand goes where the waist is"),
    ("hand-behind-on-side/elbow-eased-forward", "the hand goes where the waist is"),
    ("butterfly-on-back/soles-together-rest", "the soles meet"),
    ("butterfly-on-back/hands-on-thighs", "the soles meet"),
    ("chest-open-arms/hands-on-shoulders", "the mat"),
    ("knees-wide-on-chair/elbows-ease", "the feet stand"),
    ("seated-butterfly/elbows-rest", "the soles meet"),
    ("seated-butterfly/hands-on-inner-thighs", "the soles meet"),
    ("figure-four/hands-behind-thigh", "the ankle lies on the other thigh"),
    ("figure-four/shin-across-chest", "the ankle lies on the other thigh"),
    ("seated-figure-four/tip-forward", "the ankle lies on the other thigh"),
    ("seated-figure-four/pelvis-tipped", "the ankle lies on the other thigh"),
    ("folded-front-leg/seat-on-bolster", "the leg behind lies"),
    ("folded-front-leg/lean-over-shin", "the leg behind lies"),
    ("seated-hamstring/one-leg-long", "the sitting bones carry, a degree more"),
    ("seated-hamstring/hands-on-back-of-pelvis", "the sitting bones carry, a degree more"),
    ("side-leg-rock-back/one-leg-out", "the sole is down"),
    ("foot-point/toes-under-chair", "the foot stands"),
    ("heel-under-chair/foot-drawn-back", "the foot stands"),
    ("seated-quad/heel-drawn-under", "the foot stands"),
    ("seat-edge-hip-flexor/leg-hangs-back", "the thigh lies on the seat"),
];

#[test]
fn the_motion_that_stretches_is_drawn_as_the_form_says() {
    let mut wrong = Vec::new();
    for (name, form) in forms() {
        let Some(main) = main_motion(form) else { continue };
        for shown in compared(form, &pose(form)) {
            let off = (shown.said - shown.shown).abs();
            let listed = NOT_AS_SAID.iter().any(|(listed, _)| *listed == name);
            if shown.side == WORKED && shown.motion == main.motion && off > 1.0 && !listed {
                wrong.push(format!("{name}: {} {} drawn {:.1}", shown.motion, shown.said, shown.shown));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_body_can_hold_every_form() {
    let wrong: Vec<String> = forms()
        .flat_map(|(name, form)| misfits(form).into_iter().map(move |misfit| format!("{name}: {misfit:?}")))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Half the breadth of a foot, as Drillis and Contini (1966) have it, and of a hand laid flat alike.
const HALF_FOOT: f64 = 0.028;

/// What carries, and how far beyond its bones: feet, knees and hands on the floor.
fn support(body: &Body) -> Vec<(Vec3, f64)> {
    let mut points = Vec::new();
    for leg in &body.legs {
        let on_floor = |at: Vec3| at.z < 0.06;
        let foot = [leg.heel(), leg.ball(), leg.tip()].map(|at| (at, HALF_FOOT));
        points.extend(foot.into_iter().chain([(leg.knee(), flesh::SHANK.0)]).filter(|(at, _)| on_floor(*at)));
    }
    let wrists = body.arms.iter().map(|arm| (arm.wrist(), HALF_FOOT));
    points.extend(wrists.filter(|(at, _)| at.z < 0.06));
    points
}

/// How far a point lies outside of the hull of what carries, looked at from every fifth degree; negative inside.
fn outside(centre: Vec3, carries: &[(Vec3, f64)]) -> f64 {
    let off = |degrees: u16| {
        let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
        let along = |at: &Vec3| at.x * cos + at.y * sin;
        let reach = carries.iter().map(|(at, beyond)| along(at) + beyond);
        along(&centre) - reach.fold(f64::NEG_INFINITY, f64::max)
    };
    (0..360).step_by(5).map(off).fold(f64::NEG_INFINITY, f64::max)
}

/// What carries a part of the weight beside feet, knees and hands on the floor.
const LEANS_ON_MORE: &[(&str, &str)] = &[
    ("cross-behind-lean/hand-on-wall", "the wall"),
    ("hands-on-chair/chest-sinks", "the chair"),
    ("standing-hamstring/heel-on-chair", "the chair under the heel"),
    ("low-arm-pull/hold-and-sit-back", "the frame that a hand holds"),
    ("wall-lean-away/hand-high-hips-back", "the frame that a hand holds"),
];

#[test]
fn who_kneels_or_stands_does_not_fall() {
    let mut wrong = Vec::new();
    for (name, form) in forms() {
        if !matches!(form.position, Position::Kneeling | Position::Standing) {
            continue;
        }
        let body = pose(form).body;
        let centre = mass::centre(&body.axis, &body.legs, &body.arms);
        let off = outside(centre, &support(&body));
        if off > 0.0 && !LEANS_ON_MORE.iter().any(|(listed, _)| *listed == name) {
            wrong.push(format!("{name}: {off:.3} outside"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is foreshortened because something else has to show.
const FORESHORTENED: &[(&str, &str)] = &[("thread-under/shoulder-to-mat", "the arm goes under the body")];

#[test]
fn what_moves_shows_at_half_its_length_at_least() {
    let mut wrong = Vec::new();
    for (name, form) in forms() {
        let sketch = Sketch::of(form);
        let moving = Moving::of(form, sketch.posed());
        let camera = sketch.camera();
        let shown = moving.segments.iter().map(|(from, to)| {
            (camera.project(*to) - camera.project(*from)).length() / (*to - *from).length()
        });
        let longest = shown.fold(0.0, f64::max);
        if longest < 0.5 && !FORESHORTENED.iter().any(|(listed, _)| *listed == name) {
            wrong.push(format!("{name}: {longest:.2}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The same form with its main motion taken a little further.
fn further(form: &Form) -> Form {
    let mut form = form.clone();
    let main = main_motion(&form).map(|angle| angle.motion);
    for angle in form.motions.iter_mut().filter(|angle| Some(angle.motion) == main) {
        angle.degrees = Degrees::new(i64::from(angle.degrees.get()) + 4).unwrap_or(angle.degrees);
    }
    form
}

/// Where the end of the chain stands or is drawn, and the arrow says what the client or the hands do.
const OTHERWISE: &[(&str, &str)] = &[
    ("fold-and-reach/both-arms-long", "the back rises over hands that stay"),
    ("half-kneeling-cross-behind/hip-shifted-out", "the pelvis goes, the knee stays"),
    ("half-kneeling-cross-behind/hip-eased-out", "the pelvis goes, the knee stays"),
    ("half-kneeling-hip-flexor/tail-tucked", "the pelvis goes, the knee stays"),
    ("half-kneeling-hip-flexor/hand-on-sacrum", "the pelvis goes, the knee stays"),
    ("half-kneeling-hip-flexor/arm-up-side-bend", "the pelvis goes, the knee stays"),
    ("hands-on-chair/chest-sinks", "the chest sinks, the hands stay"),
    ("long-arm-pull/reach-over-on-chair", "the arm is drawn long"),
    ("long-arm-pull/arm-overhead", "the arm is drawn long"),
    ("long-arm-pull/bent-and-turned-away", "the arm is drawn long"),
    ("wall-lean-away/hand-high-hips-back", "the body goes, the hand stays"),
    ("wall-soleus/back-knee-bent", "the knee goes, the foot stays"),
];

#[test]
fn the_arrow_goes_where_the_end_moves_as_the_motion_grows() {
    let mut checked = 0;
    let mut wrong = Vec::new();
    for (name, form) in forms() {
        let (before, after) = (pose(form), pose(&further(form)));
        let (here, there) = (Moving::of(form, &before), Moving::of(form, &after));
        let moved = there.end - here.end;
        // A trunk or a pair of limbs that folds up has no one way to go, and no arrow.
        if moved.length() > 0.002 && here.way.length() > 0.0 {
            checked += 1;
            let listed = OTHERWISE.iter().any(|(listed, _)| *listed == name);
            if moved.dot(here.way) <= 0.0 && !listed {
                wrong.push(format!("{name}: moved {moved:?}, arrow {:?}", here.way));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(checked >= 120, "{checked} arrows were checked");
}

#[test]
fn no_arrow_lies_on_the_body() {
    for (name, form) in forms() {
        let sketch = Sketch::of(form);
        let Some(arrow) = sketch.arrow() else { continue };
        let moving = Moving::of(form, sketch.posed());
        assert_eq!(Arrow::of(&moving, &sketch.camera(), &sketch.shapes(0.0)), Some(arrow), "{name}");
        let length = (arrow.to - arrow.from).length();
        assert!(near(length, matside::figure::arrow::LENGTH, 0.002), "{name}: {length}");
    }
}

fn shows(cells: &Cells<Ink>, wanted: Ink) -> bool {
    cells.rows().flatten().any(|cell| cell.ink == Some(wanted) || cell.behind == Some(wanted))
}

/// Muscles that are lost in a small picture: too thin, or behind the limb.
const LOST: &[(&str, u16)] =
    &[("arm-turned-in/hand-behind-waist-on-chair", 24), ("seated-twist/chest-guided", 24)];

#[test]
fn the_muscle_shows_at_every_size() {
    let mut wrong = Vec::new();
    for (name, form) in forms() {
        for (columns, rows) in [(24, 8), (36, 12), (60, 20)] {
            let cells = draw(form, Some(Side::Left), (columns, rows), Blocks::Quadrants);
            let listed = LOST.contains(&(name.as_str(), columns));
            if !shows(&cells, Ink::Muscle) && !listed {
                wrong.push(format!("{name} at {columns}x{rows}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_picture_fits_into_any_area() {
    for (name, form) in forms().step_by(9) {
        for (columns, rows) in [(0, 0), (1, 1), (3, 40), (60, 2), (78, 22)] {
            for blocks in [Blocks::Quadrants, Blocks::Halves, Blocks::Outlines] {
                let cells = draw(form, None, (columns, rows), blocks);
                assert_eq!((cells.width(), cells.height()), (columns, rows), "{name}");
            }
        }
    }
}

#[test]
fn the_right_side_is_the_mirror_image_of_the_left() {
    for (name, form) in forms().step_by(3) {
        let [left, right] =
            [Side::Left, Side::Right].map(|side| draw(form, Some(side), (36, 12), Blocks::Quadrants));
        assert_eq!(right, left.mirrored(), "{name}");
        assert_eq!(pose(form).body.mirrored().mirrored(), pose(form).body, "{name}");
        assert_eq!(left, draw(form, Some(Side::Left), (36, 12), Blocks::Quadrants), "{name}: drawn twice");
    }
}

#[test]
fn a_picture_on_paper_is_small_and_well_formed() {
    let mut whole = 0;
    for (name, form) in forms() {
        let text = svg(form, Some(Side::Right), "Straight-leg raise & more");
        assert!(text.starts_with("<svg ") && text.ends_with("</svg>\n"), "{name}");
        assert!(text.contains("<title>Straight-leg raise &amp; more</title>"), "{name}");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{name}");
        assert!(text.len() < 10_000, "{name}: {} bytes", text.len());
        whole += text.len();
    }
    assert!(whole < 2_000_000, "{whole} bytes together");
}

#[test]
fn what_a_form_is_about_follows_from_its_main_motion() {
    for (name, part) in [
        ("straight-leg-raise/hand-on-heel", MovingPart::Leg),
        ("arm-across/blade-held", MovingPart::Arm),
        ("seated-twist/hand-on-knee", MovingPart::Trunk),
        ("chin-to-chest/nod-self", MovingPart::Neck),
    ] {
        assert_eq!(MovingPart::of(form(name)), part, "{name}");
    }
    let posed = pose(form("straight-leg-raise/hand-on-heel"));
    assert!(posed.body.legs[WORKED].ankle().z > 0.4 && posed.body.legs[OTHER].ankle().z < 0.1);
}

/// One form for each base pose, as a terminal shows it.
#[test]
fn one_form_of_each_base_pose() {
    let names = [
        "straight-leg-raise/hand-on-heel",
        "figure-four/hands-behind-thigh",
        "butterfly-on-back/soles-together-rest",
        "leg-over-table-edge/thigh-hangs",
        "prone-knee-bend/hand-on-shin",
        "side-lying-quad/knee-half-bent",
        "half-kneeling-hip-flexor/tail-tucked",
        "all-fours-round/back-to-ceiling",
        "triceps-overhead/elbow-raised",
        "seated-hamstring/one-leg-long",
        "low-arm-pull/forearm-drawn",
        "wall-calf/back-knee-straight",
        "standing-quad/hand-on-wall",
        "neck-side-bend/self-ear-to-shoulder",
    ];
    let mut text = String::new();
    for name in names {
        let cells = draw(form(name), Some(Side::Left), (36, 12), Blocks::Quadrants);
        let _ = writeln!(text, "{name}\n{}\n", cells.text());
    }
    let outlines = draw(form(names[0]), Some(Side::Right), (36, 12), Blocks::Outlines);
    let _ = writeln!(text, "{}, outlines, right\n{}", names[0], outlines.text());
    insta::assert_snapshot!(text);
}
