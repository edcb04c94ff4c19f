//! Small plans made by hand.

use matside::body::{Level, Minutes, Muscle, Seconds, Side};
use matside::catalogue::{ContractRelax, FormId, Position, StretchId};
use matside::planner::{Dose, Plan, Step};

pub(super) const LEFT: Option<Side> = Some(Side::Left);
pub(super) const RIGHT: Option<Side> = Some(Side::Right);

/// A step and the seconds of the way to it.
#[derive(Debug, Clone)]
pub(super) struct Sketch {
    pub(super) gap: u32,
    pub(super) step: Step,
}

pub(super) fn hold(stretch: &str, side: Option<Side>, position: Position, gap: u32, seconds: u32) -> Sketch {
    sketch(stretch, side, position, gap, Dose::Hold(Seconds::new(seconds)))
}

pub(super) fn contract_relax(
    stretch: &str,
    side: Option<Side>,
    position: Position,
    gap: u32,
    (cycles, push, further): (u8, u32, u32),
) -> Sketch {
    let dose = ContractRelax { cycles, push: Seconds::new(push), stretch: Seconds::new(further) };
    sketch(stretch, side, position, gap, Dose::ContractRelax(dose))
}

/// Each of them reaches a muscle of its own, but for the two of the calf.
fn muscle_of(stretch: &str) -> Muscle {
    match stretch {
        "calf" | "calf-wall" => Muscle::Gastrocnemius,
        "chest" => Muscle::PectoralisMajor,
        "hip" => Muscle::Iliopsoas,
        "neck" => Muscle::UpperTrapezius,
        "thigh" => Muscle::RectusFemoris,
        "hamstrings" => Muscle::Hamstrings,
        other => panic!("no muscle for {other}"),
    }
}

fn sketch(stretch: &str, side: Option<Side>, position: Position, gap: u32, dose: Dose) -> Sketch {
    let step = Step {
        start: Seconds::ZERO,
        end: Seconds::ZERO,
        stretch: StretchId::new(stretch).expect("a word"),
        name: stretch.to_owned(),
        form: FormId::new("usual").expect("a word"),
        side,
        load: None,
        position,
        setup: Seconds::new(5),
        dose,
        aim: Level::AIM,
        motions: Vec::new(),
        other_side: Vec::new(),
        muscles: vec![muscle_of(stretch)],
        why: Vec::new(),
    };
    Sketch { gap, step }
}

/// Opens with 15 s.
pub(super) fn plan(sketches: &[Sketch], massage: u32) -> Plan {
    let opening = Seconds::new(15);
    let mut clock = opening;
    let steps: Vec<Step> = sketches
        .iter()
        .map(|sketch| {
            let start = clock + Seconds::new(sketch.gap);
            clock = start + sketch.step.setup + sketch.step.dose.length();
            Step { start, end: clock, ..sketch.step.clone() }
        })
        .collect();
    Plan {
        minutes: Minutes::new(10).expect("in bounds"),
        budget: Seconds::new(600),
        opening,
        steps,
        massage: Seconds::new(massage),
        total: clock + Seconds::new(massage),
        value: 0,
        bound: 0,
        left_out: Vec::new(),
    }
}
