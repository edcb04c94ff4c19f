//! The trainer at this machine.

use crate::body::Minutes;
use crate::catalogue::Equipment;

/// What the program knows about its trainer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trainer {
    /// The trainer's name; may be empty.
    pub name: String,
    /// The studio's name; may be empty.
    pub studio: String,
    /// What is at hand beside a mat.
    pub equipment: Vec<Equipment>,
    /// Minutes that are usually left.
    pub minutes: Minutes,
    /// Whether local rules let this trainer massage; off until stated.
    pub may_massage: bool,
}

impl Default for Trainer {
    fn default() -> Self {
        Self {
            name: String::new(),
            studio: String::new(),
            equipment: vec![Equipment::Chair, Equipment::Strap, Equipment::Wall],
            minutes: Minutes::new(10).expect("ten is within the bounds"),
            may_massage: false,
        }
    }
}
