//! What the cautions leave: for each condition the muscles that no form may reach, each with its reason, and a plan
//! worth doing for every client who may be stretched at all.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use matside::body::{Muscle, Seconds};
use matside::catalogue::{Catalogue, Method};
use matside::caution::{Conditions, RecordedCondition, Restrictions, Site};
use matside::planner::{Plan, PlanError};

use crate::asked::Asked;

use Muscle as M;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day of the calendar")
}

/// Muscles that are rightly left alone with a condition of both sides that nobody has cleared.
fn rightly_left_alone(condition: &str) -> &'static [Muscle] {
    const NECK: &[Muscle] = &[M::UpperTrapezius, M::LevatorScapulae, M::Scalenes, M::NeckExtensors];
    const HIP: &[Muscle] = &[
        M::Iliopsoas,
        M::GluteusMaximus,
        M::GluteusMedius,
        M::Piriformis,
        M::TensorFasciaeLatae,
        M::Adductors,
    ];
    const NEW_SHOULDER: &[Muscle] =
        &[M::AnteriorDeltoid, M::RotatorCuff, M::LatissimusDorsi, M::Abdominals, M::Biceps];
    match condition {
        // The neck waits for a clinician, or is not bent that far.
        "down-syndrome" | "neck-arm-pain" | "neck-ligament-disease" | "new-headache" | "whiplash" => NECK,
        // The same, and no hand draws at a small joint.
        "rheumatoid-arthritis" => &[
            M::UpperTrapezius,
            M::LevatorScapulae,
            M::Scalenes,
            M::NeckExtensors,
            M::WristFlexors,
            M::WristExtensors,
        ],
        "inflammatory-disease" => {
            &[M::UpperTrapezius, M::LevatorScapulae, M::Scalenes, M::NeckExtensors, M::WristExtensors]
        }
        // It wants weight on the hand.
        "nerve-or-muscle-disease" => &[M::Biceps],
        // It wants the leg behind the body and across, with the knee bent: nobody does that standing.
        "cannot-use-floor" => &[M::TensorFasciaeLatae],
        // They want standing, kneeling or the floor; nobody hangs off the edge of a wheelchair.
        "wheelchair" => {
            &[M::Iliopsoas, M::GluteusMedius, M::TensorFasciaeLatae, M::RectusFemoris, M::Abdominals]
        }
        // They want the arm behind the body or overhead, weight on it, or the trainer's hand.
        "shoulder-instability" | "chest-surgery" => NEW_SHOULDER,
        "shoulder-replacement-reverse" => {
            &[M::AnteriorDeltoid, M::RotatorCuff, M::Rhomboids, M::LatissimusDorsi, M::Abdominals, M::Biceps]
        }
        "shoulder-replacement-anatomic" => &[
            M::PectoralisMajor,
            M::PectoralisMinor,
            M::AnteriorDeltoid,
            M::RotatorCuff,
            M::LatissimusDorsi,
            M::Abdominals,
            M::Biceps,
        ],
        "shoulder-replacement-unknown" => &[
            M::PectoralisMajor,
            M::PectoralisMinor,
            M::AnteriorDeltoid,
            M::RotatorCuff,
            M::Rhomboids,
            M::LatissimusDorsi,
            M::Abdominals,
            M::Biceps,
        ],
        // It wants the arm overhead or far back, or a pull along it; the blades wait six weeks with a device.
        "breast-surgery" | "hypermobility" => &[M::LatissimusDorsi],
        "implanted-device" => &[M::Rhomboids, M::LatissimusDorsi],
        "frozen-shoulder-painful" => &[M::RotatorCuff, M::Rhomboids, M::LatissimusDorsi],
        // They want a grip or a pull on the arm.
        "stroke-weak-arm" => &[M::LatissimusDorsi, M::WristFlexors, M::WristExtensors],
        "dialysis-fistula" => &[M::WristFlexors, M::WristExtensors],
        // It is what hurts, or wants the wrist bent far, or a hand that grips the hand.
        "tennis-elbow" | "carpal-tunnel" | "poor-circulation" => &[M::WristExtensors],
        // The tendon heals too long if it is drawn.
        "achilles-repair" => &[M::Gastrocnemius, M::Soleus],
        // It is turned by way of the shin, or wants the knee bent past a right angle.
        "knee-injury" | "knee-replacement" | "cruciate-graft" => &[M::Piriformis],
        // The same; and the knee is not quite straight in the first four weeks.
        "patellar-instability" => &[M::Piriformis, M::Adductors, M::Gastrocnemius],
        // They want the arm across the body at shoulder height, the hand behind the back, or the arm overhead.
        "shoulder-impingement" => &[M::PosteriorDeltoid, M::RotatorCuff, M::LatissimusDorsi],
        // They want the leg over the midline.
        "outer-hip-pain" => &[M::GluteusMedius, M::TensorFasciaeLatae],
        // The same; and the buttock wants the bend of the hip that the eye cannot tell from its cap.
        "hip-replacement-posterior" => {
            &[M::GluteusMaximus, M::GluteusMedius, M::Piriformis, M::TensorFasciaeLatae]
        }
        // They want the leg behind the body, across, or turned out; the inner thigh waits for the surgeon's word.
        "hip-replacement-anterior" => &[
            M::Iliopsoas,
            M::GluteusMedius,
            M::Piriformis,
            M::TensorFasciaeLatae,
            M::Adductors,
            M::RectusFemoris,
        ],
        "pelvic-girdle-pain" => &[M::Iliopsoas, M::TensorFasciaeLatae, M::Adductors],
        // Both sets of rules at once.
        "hip-replacement-lateral" => HIP,
        "hip-replacement-unknown" => &[
            M::Iliopsoas,
            M::GluteusMaximus,
            M::GluteusMedius,
            M::Piriformis,
            M::TensorFasciaeLatae,
            M::Adductors,
            M::RectusFemoris,
        ],
        // They pull on a groin or a belly that heals.
        "hernia-repair" => {
            &[M::Iliopsoas, M::TensorFasciaeLatae, M::Adductors, M::RectusFemoris, M::Abdominals]
        }
        // They want the back bent to the side or turned.
        "osteoporosis-fracture" => &[M::QuadratusLumborum, M::Obliques],
        // It wants the back arched; a belly that is big, or heals, is long enough.
        "pregnancy" | "caesarean" | "abdominal-surgery" | "spinal-stenosis" | "spondylolisthesis" => {
            &[M::Abdominals]
        }
        // They want the back bent, turned or arched.
        "spine-fusion" => &[M::QuadratusLumborum, M::Abdominals, M::Obliques],
        // They want a pull along the arm, or the arm further up and back than the middle of the range.
        "hypermobility-disorder" => &[M::RotatorCuff, M::LatissimusDorsi],
        _ => &[],
    }
}

fn reached(restrictions: &Restrictions) -> BTreeSet<Muscle> {
    let stretches = Catalogue::built_in().stretches();
    let forms = stretches.iter().flat_map(|stretch| stretch.forms.iter().map(move |form| (stretch, form)));
    forms
        .filter(|(stretch, form)| {
            let may = |side| restrictions.permit(stretch, form, side, Method::Static).is_ok();
            form.workings().iter().any(|&side| may(side))
        })
        .flat_map(|(_, form)| {
            form.targets.iter().filter(|target| target.share >= 50).map(|target| target.muscle)
        })
        .collect()
}

#[test]
fn a_condition_leaves_a_stretch_for_every_muscle_but_those_that_it_is_about() {
    let mut seen = 0;
    for condition in Conditions::built_in().all() {
        if condition.everyone || condition.stops() || condition.site != Site::Nowhere {
            continue;
        }
        seen += 1;
        let recorded = [RecordedCondition::new(condition.id.clone())];
        let restrictions = Restrictions::of(&recorded, Some(40), today());
        let reached = reached(&restrictions);
        let left: Vec<Muscle> = M::ALL.iter().copied().filter(|muscle| !reached.contains(muscle)).collect();
        let mut expected = rightly_left_alone(condition.id.as_str()).to_vec();
        expected.sort_unstable();
        assert_eq!(left, expected, "{}", condition.id);
    }
    assert!(seen >= 80, "{seen} conditions");
}

/// Ten minutes after a day that trained the whole body.
pub(crate) fn full_body(words: &[String], age: u32) -> Result<Plan, PlanError> {
    let age = i32::try_from(age).expect("an age");
    let asked = Asked::new(&[("full-body", 2)], 10).with_age(age);
    words.iter().fold(asked, |asked, word| asked.with_condition(word)).try_plan()
}

#[test]
fn everybody_who_may_be_stretched_gets_a_closing_block_worth_doing() {
    let alone = Conditions::built_in().all().iter().filter(|c| !c.everyone && !c.stops()).map(|condition| {
        let place = match condition.site {
            Site::Nowhere => "",
            Site::Muscle => ":left:hamstrings",
            Site::Joint | Site::Either => ":left:knee",
        };
        (vec![format!("{}{place}", condition.id)], 40)
    });
    let together: [(&[&str], u32); 10] = [
        (&["kneecap-pain", "sciatica"], 40),
        (&["pregnancy:week=28", "sciatica"], 32),
        (&["pregnancy:week=34", "hypermobility"], 30),
        (&["hip-replacement-posterior:left", "osteoporosis"], 72),
        (&["high-blood-pressure", "shoulder-impingement:right", "kneecap-pain"], 55),
        (&["cannot-use-floor", "osteoporosis", "kneecap-pain"], 78),
        (&["cannot-use-floor", "light-headed"], 81),
        (&["knee-replacement", "spinal-stenosis"], 69),
        (&["glaucoma", "neck-arm-pain:left"], 60),
        (&["frozen-shoulder-painful:left", "blood-thinners"], 58),
    ];
    let together = together
        .into_iter()
        .map(|(words, age)| (words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>(), age));
    for (words, age) in alone.chain(together) {
        let plan = full_body(&words, age).unwrap_or_else(|error| panic!("{words:?}: {error}"));
        let held: Seconds = plan.steps.iter().map(|step| step.dose.held()).sum();
        let muscles: BTreeSet<Muscle> = plan.steps.iter().flat_map(|step| step.muscles.clone()).collect();
        // Very mobile clients get few steps, the shortest of all blocks.
        assert!(held >= Seconds::new(180) && muscles.len() >= 3, "{words:?}: {held} on {muscles:?}");
    }
}
