//! What the work of a day asks of the trainer's own body, in seconds. It names no client.

use std::iter::Sum;
use std::ops::Add;

use chrono::{DateTime, FixedOffset};

use crate::body::Seconds;

/// Seconds on each meter, and the highest score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Meters {
    /// With hands on a client.
    pub hands_on: Seconds,
    /// The trunk bent more than 20 degrees, or turned; set-ups too.
    pub bent: Seconds,
    /// Of these, bent more than 60 degrees.
    pub stooped: Seconds,
    /// On the knees or squatting; set-ups too.
    pub kneeling: Seconds,
    /// In heavy holds.
    pub heavy: Seconds,
    /// The highest REBA score; 0 if there was none.
    pub highest: u8,
}

impl Add for Meters {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            hands_on: self.hands_on + other.hands_on,
            bent: self.bent + other.bent,
            stooped: self.stooped + other.stooped,
            kneeling: self.kneeling + other.kneeling,
            heavy: self.heavy + other.heavy,
            highest: self.highest.max(other.highest),
        }
    }
}

impl Sum for Meters {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), Self::add)
    }
}

/// What one block asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WorkedBlock {
    /// When its session began, to the second: what tells it from others.
    pub at: DateTime<FixedOffset>,
    /// What it asked.
    pub meters: Meters,
}
