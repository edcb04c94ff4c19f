//! Bounded quantities: a value that exists is in range.

use crate::names::OutOfRange;

macro_rules! bounded {
    ($(#[$meta:meta])* $name:ident($int:ty), $what:literal, $min:literal..=$max:literal, $why:literal) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "i64", into = "i64")]
        pub struct $name(
            // Invariant: MIN.0 <= self.0 <= MAX.0
            $int,
        );

        impl $name {
            /// The least value.
            pub const MIN: Self = Self($min);
            /// The greatest value.
            pub const MAX: Self = Self($max);

            /// Takes a number within the bounds.
            ///
            /// # Errors
            /// Names the quantity, the number and the bounds.
            pub fn new(number: i64) -> Result<Self, OutOfRange> {
                match <$int>::try_from(number) {
                    Ok(small) if ($min..=$max).contains(&number) => Ok(Self(small)),
                    _ => Err(OutOfRange { what: $what, found: number, min: $min, max: $max, why: $why }),
                }
            }

            /// The number itself.
            pub const fn get(self) -> $int { self.0 }
        }

        impl TryFrom<i64> for $name {
            type Error = OutOfRange;
            fn try_from(number: i64) -> Result<Self, OutOfRange> { Self::new(number) }
        }
        impl From<$name> for i64 {
            fn from(quantity: $name) -> i64 { i64::from(quantity.0) }
        }
    };
}

bounded! {
    /// What the client answers to "one to five?"; the aim is 4 unless a caution lowers it.
    Level(u8), "level", 1..=5, "one to five; there is no six: past five, ease off"
}

bounded! {
    /// Length of a closing block in whole minutes.
    Minutes(u8), "minutes", 1..=60, "a closing block lasts 3 to 15 minutes"
}

bounded! {
    /// How hard a muscle was trained today: 1 a little, 2 properly, 3 hard.
    Effort(u8), "training effort", 1..=3, "1 a little, 2 properly, 3 hard"
}

bounded! {
    /// A joint angle in degrees.
    Degrees(i16), "angle", -60..=200, "degrees from the anatomical position"
}

bounded! {
    /// What a body weighs, in whole kilograms.
    Kilograms(u16), "mass", 20..=400, "whole kilograms"
}

impl Level {
    /// The level that trainer and client aim at when nothing lowers it.
    pub const AIM: Self = Self(4);
    /// The level of a light pull.
    pub const LIGHT: Self = Self(3);
}

impl Minutes {
    /// The minutes as seconds.
    pub const fn seconds(self) -> Seconds {
        Seconds(self.0 as u32 * 60)
    }
}

impl std::fmt::Display for Level {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

/// A length of time in whole seconds.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, serde::Serialize, serde::Deserialize,
)]
#[serde(transparent)]
pub struct Seconds(u32);

impl Seconds {
    /// No time at all.
    pub const ZERO: Self = Self(0);

    /// A length of `seconds`.
    pub const fn new(seconds: u32) -> Self {
        Self(seconds)
    }

    /// The number of seconds.
    pub const fn get(self) -> u32 {
        self.0
    }

    /// The time left after taking `other` off, at least zero.
    #[must_use]
    pub const fn saturating_sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl std::ops::Add for Seconds {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl std::ops::AddAssign for Seconds {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl std::ops::Mul<u32> for Seconds {
    type Output = Self;
    fn mul(self, times: u32) -> Self {
        Self(self.0.saturating_mul(times))
    }
}

impl std::iter::Sum for Seconds {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, |sum, length| sum + length)
    }
}

/// As people read it on a clock: `0:45`, `10:00`.
impl std::fmt::Display for Seconds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&format!("{}:{:02}", self.0 / 60, self.0 % 60))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_of_six_is_refused_with_a_word_why() {
        let refused = Level::new(6).expect_err("six is no answer");
        assert_eq!(
            refused.to_string(),
            "level is 6, but must be 1 to 5 (one to five; there is no six: past five, ease off)"
        );
    }

    #[test]
    fn seconds_read_like_a_clock() {
        assert_eq!(Seconds::new(45).to_string(), "0:45");
        assert_eq!(Seconds::new(600).to_string(), "10:00");
    }
}
