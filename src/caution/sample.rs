//! Forms made up for the tests of this room.

use crate::body::{Degrees, Motion, Muscle, Seconds};
use crate::catalogue::{
    ContractRelax, Cues, Form, FormId, Helper, Loads, MotionAngle, Position, Sides, Stretch, StretchId,
    Target,
};

/// A form on each side, assisted, without motions or targets.
pub(super) fn form(position: Position) -> Form {
    Form {
        id: FormId::new("sample").unwrap(),
        name: "Sample".to_owned(),
        position,
        sides: Sides::Each,
        helper: Helper::Assisted,
        motions: Vec::new(),
        other_side: Vec::new(),
        loads: Loads { told: true, ..Loads::default() },
        targets: Vec::new(),
        setup: Seconds::new(5),
        equipment: Vec::new(),
        holds: vec![Seconds::new(15), Seconds::new(30), Seconds::new(60)],
        contract_relax: vec![ContractRelax { cycles: 3, push: Seconds::new(3), stretch: Seconds::new(7) }],
        trainer: None,
        gentle: false,
        usual: None,
        cues: Cues::default(),
        drawing: crate::catalogue::Drawing::default(),
    }
}

/// Motions with their degrees.
pub(super) fn motions(angles: &[(Motion, i64)]) -> Vec<MotionAngle> {
    let place = |&(motion, degrees)| MotionAngle { motion, degrees: Degrees::new(degrees).unwrap() };
    angles.iter().map(place).collect()
}

/// An assisted form with these motions and targets.
pub(super) fn moving(position: Position, angles: &[(Motion, i64)], targets: &[Muscle]) -> Form {
    Form {
        motions: motions(angles),
        targets: targets.iter().map(|&muscle| Target { muscle, share: 100 }).collect(),
        ..form(position)
    }
}

/// The same form, done by the client alone.
pub(super) fn alone(form: Form) -> Form {
    Form { helper: Helper::Client, ..form }
}

/// A stretch of this form alone.
pub(super) fn only(form: &Form) -> Stretch {
    Stretch {
        id: StretchId::new("sample-stretch").unwrap(),
        name: "Sample stretch".to_owned(),
        forms: vec![form.clone()],
    }
}
