//! The load of the work on the trainer's own body.
//!
//! How a trainer is placed for a form stands with the form, as words; here they become classes of REBA (Hignett and
//! `McAtamney`, Applied Ergonomics 2000;31:201-205), kilograms in the hands, minutes of a day and a price in the plan.
//! The method looks at one posture at one moment, and its authors call its validity open: a score here is a prompt to
//! mind one's back, never a diagnosis, and no two forms are ranked by one point of it.

mod day;
mod kilograms;
mod meters;
mod posture;
mod price;
pub mod reba;
mod step_load;
pub mod words;

pub use day::{WorkDay, kept_block, minutes_before, step_meters, usual_day, work_days, worked_block};
pub use kilograms::{ClientMass, MASS_IF_NOT_NOTED};
pub use meters::{BENT_MINUTES, HEAVY_MINUTES, KNEELING_MINUTES};
pub use posture::{is_kneeling, reba_posture, trainer_posture};
pub use price::{Against, LoadToday};
pub use reba::{ActionLevel, Posture, Score};
pub use step_load::{LoadGrade, SideWork, StepLoad};
