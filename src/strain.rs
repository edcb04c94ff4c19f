//! The load of a posture on the trainer's own body, and its sum over the day.
//!
//! Postures are scored by REBA (Hignett and `McAtamney`, Applied Ergonomics 2000;31:201-205). It looks at one posture
//! at one moment and was not made for a day's sum, and its authors call its validity open: a score here is a prompt
//! to mind one's back, never a diagnosis. How a trainer stands for a form is our judgement, in [`mod@posture`].

pub mod day;
pub mod posture;
pub mod reba;

pub use day::{DayLoad, Load};
pub use posture::posture;
pub use reba::{ActionLevel, Posture, Score};
