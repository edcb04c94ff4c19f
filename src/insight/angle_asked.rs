//! How an angle is asked for: the position in words, and which way it counts, so that it cannot be entered the wrong
//! way round.

use crate::body::{Degrees, Motion};
use crate::catalogue::{Form, Position};

use super::length_test::{is_straight_leg_raise, measured_motions};

/// What is measured with a form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AngleAsked {
    motion: Motion,
    position: Position,
    is_raise: bool,
    is_knee_bent: bool,
}

impl AngleAsked {
    /// What is measured with a form; nothing where no joint of it is measured in degrees.
    pub fn of(form: &Form) -> Option<Self> {
        let motion = measured_motions(form).into_iter().next()?;
        let is_knee_bent =
            form.motions.iter().any(|angle| angle.motion == Motion::KneeFlexion && angle.degrees.get() >= 30);
        Some(Self { motion, position: form.position, is_raise: is_straight_leg_raise(form), is_knee_bent })
    }

    /// The position, and what is held against what.
    pub fn what(self) -> String {
        match self.motion {
            Motion::HipFlexion if self.is_raise => {
                "knee straight, other leg flat: the raised leg against the floor".to_owned()
            }
            Motion::ShoulderFlexion if self.position == Position::Supine => {
                "on the back: how far the upper arm has gone up and over from beside the body".to_owned()
            }
            Motion::HipAdduction => "pelvis held: the thigh against level".to_owned(),
            Motion::HipExtension => format!("pelvis held: the thigh against {}", self.zero()),
            Motion::AnkleDorsiflexion => {
                let knee = if self.is_knee_bent { "bent" } else { "straight" };
                format!("knee {knee}: the foot against {} with the shin", self.zero())
            }
            Motion::KneeExtension => "thigh still: the shin against a straight knee".to_owned(),
            motion => format!("{}, from where one stands upright", motion.id().replace('_', " ")),
        }
    }

    /// The words for more and for less than nothing, where an angle can be either.
    pub const fn ways(self) -> Option<[&'static str; 2]> {
        match (self.motion, self.position) {
            (Motion::HipAdduction, _) | (Motion::HipExtension, Position::Supine) => Some(["below", "above"]),
            (Motion::HipExtension, _) => Some(["behind", "before"]),
            (Motion::AnkleDorsiflexion | Motion::KneeExtension, _) => Some(["past", "short"]),
            _ => None,
        }
    }

    const fn zero(self) -> &'static str {
        match (self.motion, self.position) {
            (Motion::HipAdduction, _) | (Motion::HipExtension, Position::Supine) => "level",
            (Motion::HipExtension, _) => "the line of the trunk",
            (Motion::AnkleDorsiflexion, _) => "a right angle",
            _ => "straight",
        }
    }

    /// What is written, such as "71", or "10 below or 10 above; level is 0".
    pub fn written(self) -> String {
        self.ways().map_or_else(
            || "such as 71".to_owned(),
            |[more, less]| format!("such as 10 {more} or 10 {less}; {} is 0", self.zero()),
        )
    }

    /// An angle as it is written.
    pub fn said(self, degrees: Degrees) -> String {
        let number = degrees.get().unsigned_abs();
        match self.ways() {
            Some([more, less]) if number > 0 => {
                format!("{number} {}", if degrees.get() > 0 { more } else { less })
            }
            _ => degrees.get().to_string(),
        }
    }

    /// Reads an angle.
    ///
    /// # Errors
    /// Says how it is written.
    pub fn read(self, typed: &str) -> Result<Degrees, String> {
        let typed = typed.trim();
        let end = typed.find(|letter: char| !letter.is_ascii_digit() && letter != '-').unwrap_or(typed.len());
        let (number, way) = typed.split_at(end);
        let way = way.trim_matches(|letter: char| !letter.is_alphabetic()).to_lowercase();
        let Ok(number) = number.parse::<i64>() else {
            return Err(format!("`{typed}` is no whole number of degrees, {}", self.written()));
        };
        let signed = match self.ways() {
            None if way.is_empty() && number >= 0 => number,
            None => return Err(format!("`{typed}`: degrees from 0 up, {}", self.written())),
            Some(_) if number == 0 && way.is_empty() => 0,
            Some([more, less]) => {
                let is = |word: &str| !way.is_empty() && word.starts_with(&way);
                match (is(more), is(less)) {
                    (true, false) if number >= 0 => number,
                    (false, true) if number >= 0 => -number,
                    _ => return Err(format!("`{typed}`: which way? Write it {}", self.written())),
                }
            }
        };
        Degrees::new(signed).map_err(|refused| refused.to_string())
    }
}
