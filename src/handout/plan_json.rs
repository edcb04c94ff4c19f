//! A plan with its problem as JSON, so that a stranger can check both. `docs/planner.md` describes the shape.

use serde::Serialize;

use crate::body::{Motion, Muscle, Side};
use crate::catalogue::{FormId, Method, MotionAngle, Position, StretchId, TrainerStance};
use crate::planner::tariff::HUNDREDTHS;
use crate::planner::{Dose, Plan, Solved, WhyLeftOut, words};
use crate::strain::{LoadGrade, StepLoad};

use super::instance::Instance;

/// Version of the shape.
const VERSION: u32 = 1;

/// The whole document.
#[derive(Debug, Serialize)]
pub struct PlanJson<'a> {
    version: u32,
    client: &'a str,
    minutes: u8,
    steps: Vec<StepJson<'a>>,
    massage_s: u32,
    total_s: u32,
    value: f64,
    bound: f64,
    proven: bool,
    left_out: Vec<OmissionJson<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    frontier: Option<Vec<(u8, f64)>>,
    instance: Instance,
    chosen: Vec<usize>,
}

#[derive(Debug, Serialize)]
struct StepJson<'a> {
    start_s: u32,
    end_s: u32,
    stretch: &'a StretchId,
    form: &'a FormId,
    side: Option<Side>,
    position: Position,
    method: Method,
    hold_s: u32,
    cycles: u8,
    #[serde(skip_serializing_if = "is_zero")]
    push_s: u32,
    aim: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    load: Option<LoadJson>,
    motions: Vec<MotionJson>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    other_side: Vec<MotionJson>,
    muscles: &'a [Muscle],
    why: String,
}

/// What a step asks of the trainer's own body.
#[derive(Debug, Serialize)]
struct LoadJson {
    grade: LoadGrade,
    reba: u8,
    stance: TrainerStance,
    held_g: u32,
    mass_is_noted: bool,
    posture_is_told: bool,
}

impl From<&StepLoad> for LoadJson {
    fn from(load: &StepLoad) -> Self {
        Self {
            grade: load.grade,
            reba: load.score.total,
            stance: load.stance,
            held_g: load.held,
            mass_is_noted: load.mass_is_noted,
            posture_is_told: load.is_told,
        }
    }
}

#[derive(Debug, Serialize)]
struct MotionJson {
    motion: Motion,
    degrees: i16,
}

#[derive(Debug, Serialize)]
struct OmissionJson<'a> {
    stretch: &'a StretchId,
    reason: &'static str,
    detail: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    costs: Option<f64>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that serde asks for")]
const fn is_zero(number: &u32) -> bool {
    *number == 0
}

#[expect(clippy::cast_precision_loss, reason = "values stay far below 2^52")]
fn points(grains: i64) -> f64 {
    (grains * i64::from(HUNDREDTHS)) as f64 / 100.0
}

fn motions(angles: &[MotionAngle]) -> Vec<MotionJson> {
    angles.iter().map(|angle| MotionJson { motion: angle.motion, degrees: angle.degrees.get() }).collect()
}

impl<'a> PlanJson<'a> {
    /// Puts a plan beside its problem and the ids of the choices that it takes.
    pub fn new(client: &'a str, solved: &'a Solved<'_>) -> Self {
        let plan: &Plan = &solved.plan;
        let instance = Instance::from(&solved.menu);
        let chosen = instance.chosen(&solved.selection);
        let steps = plan.steps.iter().map(|step| {
            let (hold, cycles, push) = match step.dose {
                Dose::Hold(hold) => (hold, 0, 0),
                Dose::ContractRelax(dose) => (dose.stretch, dose.cycles, dose.push.get()),
            };
            StepJson {
                start_s: step.start.get(),
                end_s: step.end.get(),
                stretch: &step.stretch,
                form: &step.form,
                side: step.side,
                position: step.position,
                method: step.dose.method(),
                hold_s: hold.get(),
                cycles,
                push_s: push,
                aim: step.aim.get(),
                load: step.load.as_ref().map(Into::into),
                motions: motions(&step.motions),
                other_side: motions(&step.other_side),
                muscles: &step.muscles,
                why: words::why(&step.why),
            }
        });
        let left_out = plan.left_out.iter().map(|omission| OmissionJson {
            stretch: &omission.stretch,
            reason: omission.reason.id(),
            detail: &omission.detail,
            costs: if let WhyLeftOut::Time(Some(cost)) = omission.reason { Some(points(cost)) } else { None },
        });
        Self {
            version: VERSION,
            client,
            minutes: plan.minutes.get(),
            steps: steps.collect(),
            massage_s: plan.massage.get(),
            total_s: plan.total.get(),
            value: points(plan.value),
            bound: points(plan.bound),
            proven: plan.is_proven(),
            left_out: left_out.collect(),
            frontier: None,
            instance,
            chosen,
        }
    }

    /// Adds what each whole number of minutes would be worth, in grains.
    #[must_use]
    pub fn with_frontier(mut self, frontier: &[(crate::body::Minutes, Option<Plan>)]) -> Self {
        self.frontier = Some(
            frontier
                .iter()
                .map(|(minutes, plan)| (minutes.get(), points(plan.as_ref().map_or(0, |plan| plan.value))))
                .collect(),
        );
        self
    }

    /// The document as text, indented, with a line feed at its end.
    ///
    /// # Errors
    /// Fails where the instance cannot be written as JSON.
    pub fn to_text(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

/// Why there is no plan today, in the shape of a plan that has no steps.
///
/// # Errors
/// Never for a text; as writing JSON says.
pub fn no_plan_json(why: &str) -> Result<String, serde_json::Error> {
    #[derive(Serialize)]
    struct NoPlan<'a> {
        version: u32,
        not_today: &'a str,
        steps: [(); 0],
    }
    let mut text = serde_json::to_string_pretty(&NoPlan { version: VERSION, not_today: why, steps: [] })?;
    text.push('\n');
    Ok(text)
}
