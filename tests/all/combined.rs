//! Clients with two or three things at once: every step of a plan, with what both sides of the body do in it, against
//! the limits as the sources give them. Sources by their keys: docs/evidence.md. Degrees that docs/cautions.md calls a
//! judgement are our own line: of those this holds that two conditions together keep both, not that a paper says so.

use matside::body::{Motion, Muscle, Side};
use matside::catalogue::{Catalogue, Form, Helper, Method, Position};

use crate::what_is_left::full_body;

use Motion as M;
use Side::{Left, Right};

/// A form as it is worked on one side, or on both at once.
struct Worked {
    form: &'static Form,
    side: Option<Side>,
    method: Method,
    aim: u8,
}

impl Worked {
    /// Degrees of a motion of the joint on a side; 0 where nothing is said of it.
    fn at(&self, whose: Side, motion: Motion) -> i16 {
        let own = self.form.motions.iter().filter(|_| self.side.is_none_or(|side| side == whose));
        let other = self.form.other_side.iter().filter(|_| self.side.is_some_and(|side| side != whose));
        let of_it = own.chain(other).filter(|angle| angle.motion == motion);
        of_it.map(|angle| angle.degrees.get()).max().unwrap_or(0)
    }

    fn any(&self, motion: Motion) -> i16 {
        self.at(Left, motion).max(self.at(Right, motion))
    }

    fn turns_trunk(&self) -> i16 {
        self.any(M::TrunkRotationSame).max(self.any(M::TrunkRotationOpposite))
    }

    fn is_in(&self, position: Position) -> bool {
        self.form.position == position
    }

    /// In side-lying the worked side is on top.
    fn lies_on(&self, side: Side) -> bool {
        self.is_in(Position::SideLying) && self.side == Some(side.other())
    }

    fn serves(&self, whose: Side, muscle: Muscle) -> bool {
        self.side.is_none_or(|side| side == whose)
            && self.form.targets.iter().any(|target| target.muscle == muscle)
    }
}

/// Plans for the client and holds every step against what must not be; something of the catalogue must break it.
#[track_caller]
fn hold(words: &[&str], age: u32, source: &str, breaks: impl Fn(&Worked) -> bool) {
    let owned: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
    let plan = full_body(&owned, age).unwrap_or_else(|error| panic!("{words:?}: {error}"));
    assert!(plan.steps.len() >= 5, "{words:?}: {} steps", plan.steps.len());
    for step in &plan.steps {
        let (_, form) = Catalogue::built_in().form(&step.stretch, &step.form).expect("a built-in form");
        assert_eq!((&step.motions, &step.other_side), (&form.motions, &form.other_side), "{}", step.form);
        let worked = Worked { form, side: step.side, method: step.dose.method(), aim: step.aim.get() };
        assert!(
            !breaks(&worked),
            "{words:?}: {}/{} on {:?} breaks {source}",
            step.stretch,
            step.form,
            step.side
        );
    }
    let all = Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms);
    let mut tried = all.flat_map(|form| {
        let working = |&side| Worked { form, side, method: Method::Static, aim: 4 };
        form.workings().iter().map(working).collect::<Vec<_>>()
    });
    assert!(tried.any(|worked| breaks(&worked)), "{words:?}: nothing in the catalogue tries {source}");
}

#[test]
fn new_hip_and_thin_bones() {
    let source = "EANNUCCI2019, SINAKI1984; no low seat: common practice, no source";
    hold(
        &["hip-replacement-posterior:left:since=2026-07-25:cleared=surgeon", "osteoporosis"],
        74,
        source,
        |w| {
            w.at(Left, M::HipFlexion) > 90
                || w.at(Left, M::HipAdduction) > 0
                || w.at(Left, M::HipInternalRotation) > 0
                || (w.is_in(Position::Seated) && w.form.is_on_floor())
                || w.any(M::TrunkFlexion) > 20
                || w.turns_trunk() > 20
                || w.aim > 3
        },
    );
}

#[test]
fn pregnant_with_a_sore_pelvis() {
    let source = "VICPREG; legs together and nothing split: common practice, no source";
    hold(&["pregnancy:week=24", "pelvic-girdle-pain"], 31, source, |w| {
        w.is_in(Position::Supine)
            || w.is_in(Position::Prone)
            || w.any(M::HipAbduction) > 20
            || w.any(M::HipExtension) > 0
            || w.any(M::HipFlexion) > 100
            || w.any(M::TrunkExtension) > 0
    });
}

#[test]
fn frozen_shoulder_and_numb_feet() {
    let source =
        "KELLEY2013, DONATELLI2014, NCCIH (no grip on the foot); lying on it: common practice, no source";
    hold(&["frozen-shoulder-painful:right:cleared=doctor", "diabetes-numb-feet"], 58, source, |w| {
        w.at(Right, M::ShoulderFlexion) > 90
            || w.at(Right, M::ShoulderAbduction) > 60
            || w.at(Right, M::ShoulderHorizontalAdduction) > 105
            || w.lies_on(Right)
            || (w.serves(Right, Muscle::Gastrocnemius) && (w.aim > 2 || w.form.helper == Helper::Assisted))
    });
}

#[test]
fn loose_joints_and_a_nerve_of_the_neck() {
    let source = "CLUNIE, ENGELBERT2017; neck from memory";
    hold(&["hypermobility-disorder:cleared=doctor", "neck-arm-pain:left:cleared=doctor"], 27, source, |w| {
        w.aim > 2
            || w.method == Method::ContractRelax
            || w.is_in(Position::Prone)
            || w.at(Left, M::NeckLateralFlexionOpposite) > 0
            || w.at(Left, M::ShoulderExtension) > 30
            || w.any(M::ShoulderAbduction) > 135
    });
}

#[test]
fn ankle_that_was_twisted_four_days_ago() {
    let source = "from memory: neither stretched nor sat on in the first week";
    hold(&["joint-sprain:left:ankle:since=2026-11-21"], 24, source, |w| {
        w.at(Left, M::AnkleDorsiflexion) > 0
            || w.at(Left, M::AnklePlantarflexion) > 0
            || w.serves(Left, Muscle::Soleus)
    });
}

#[test]
fn new_knee_on_the_mat() {
    let source = "from memory: neither knelt on, nor twisted, nor bent deep under load";
    hold(&["knee-replacement:right:cleared=surgeon"], 68, source, |w| {
        w.is_in(Position::Kneeling)
            || (w.at(Right, M::KneeFlexion) > 30 && w.at(Right, M::HipExternalRotation) > 30)
            || w.at(Right, M::KneeFlexion) > 110
    });
}

#[test]
fn cruciate_ligament_of_eight_weeks() {
    let knee = "knee-injury:left:since=2026-09-30:cleared=surgeon";
    let source = "from memory: no twist of the shin, no push, no deep bend under load";
    hold(&[knee, "recent-surgery:left:knee:since=2026-09-30:cleared=surgeon"], 25, source, |w| {
        w.at(Left, M::KneeFlexion) > 90
            || (w.at(Left, M::KneeFlexion) > 30 && w.at(Left, M::HipExternalRotation) > 20)
            || (w.at(Left, M::KneeFlexion) > 30 && w.at(Left, M::HipInternalRotation) > 20)
            || (w.is_in(Position::Standing)
                && w.at(Left, M::HipFlexion) > 20
                && w.at(Left, M::KneeFlexion) > 45)
            || (w.method == Method::ContractRelax && w.serves(Left, Muscle::Hamstrings))
    });
}

#[test]
fn shoulder_sewn_ten_weeks_ago_and_not_cleared() {
    let source = "KISNER: a repair that heals is not stretched; lying on it: common practice, no source";
    hold(&["recent-surgery:right:shoulder:since=2026-09-16"], 55, source, |w| {
        [
            Muscle::PectoralisMajor,
            Muscle::RotatorCuff,
            Muscle::LatissimusDorsi,
            Muscle::Triceps,
            Muscle::Biceps,
        ]
        .iter()
        .any(|&muscle| w.serves(Right, muscle))
            || w.at(Right, M::ShoulderFlexion) > 45
            || w.at(Right, M::ShoulderAbduction) > 30
            || w.lies_on(Right)
    });
}

#[test]
fn arm_after_a_stroke_and_unsteady() {
    let source = "from memory: not past the shoulder, no weight on the hand; practice: not standing";
    hold(&["stroke-weak-arm:left", "unsteady", "neck-artery-or-stroke"], 66, source, |w| {
        w.form.helper == Helper::Assisted
            || w.is_in(Position::Standing)
            || w.at(Left, M::ShoulderFlexion) > 90
            || w.at(Left, M::WristExtension) > 50
            || (w.is_in(Position::Kneeling) && w.any(M::HipExtension) > 0)
            || w.lies_on(Left)
    });
}

#[test]
fn pressure_hernia_and_eyes() {
    let source = "JASIEN2015, JENSEN1995; hernia from memory";
    hold(&["inguinal-hernia:right", "high-blood-pressure", "glaucoma"], 52, source, |w| {
        w.is_in(Position::Prone)
            || w.at(Right, M::HipExtension) > 10
            || (w.is_in(Position::Kneeling) && w.any(M::TrunkFlexion) > 20)
            || (w.is_in(Position::Seated) && w.any(M::TrunkFlexion) > 40)
    });
}

#[test]
fn opened_chest_and_short_of_breath_lying() {
    let source = "RIEBE2015; no weight on the hands, not lying: from memory";
    hold(&["chest-surgery:since=2026-09-15", "breathless-lying-flat"], 64, source, |w| {
        matches!(w.form.position, Position::Supine | Position::Prone | Position::SideLying)
            || w.any(M::ShoulderExtension) > 0
            || (w.is_in(Position::Kneeling) && w.any(M::WristExtension) > 50)
            || w.any(M::TrunkExtension) > 5
            || w.any(M::TrunkFlexion) > 30
    });
}

#[test]
fn thinned_blood_and_a_fresh_bruise() {
    let source = "NCCIH: nothing forced; CONTUSION: the bruise is left alone";
    hold(&["blood-thinners", "bruise:left:vasti:since=2026-11-20"], 63, source, |w| {
        w.aim > 3 || w.serves(Left, Muscle::Vasti) || w.at(Left, M::KneeFlexion) > 120
    });
}

#[test]
fn young_runner_with_a_sore_shin() {
    let source = "GROWTHPT: nothing pulls on the sore growth point, no push";
    hold(&["growth-pain:left:knee"], 15, source, |w| {
        w.aim > 3
            || w.method == Method::ContractRelax
            || w.is_in(Position::Kneeling)
            || w.serves(Left, Muscle::Vasti)
            || w.serves(Left, Muscle::RectusFemoris)
            || w.serves(Left, Muscle::Hamstrings)
    });
}

#[test]
fn fused_spine() {
    let source = "common practice, no source: the back stays as it is";
    hold(&["scoliosis", "spine-fusion:cleared=surgeon"], 30, source, |w| {
        w.any(M::TrunkFlexion) > 10
            || w.any(M::TrunkExtension) > 0
            || w.turns_trunk() > 10
            || w.any(M::TrunkLateralFlexionOpposite) > 10
    });
}
