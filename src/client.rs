//! Clients, their sessions and reports, and the trainer: plain data.

pub mod birth;
pub mod change;
pub mod due;
pub mod edits;
pub mod profile;
pub mod rows;
pub mod session;
pub mod trained;
pub mod trainer;
pub mod usual;
pub mod work;

pub use birth::{BadBirth, Birth};
pub use change::{Attribution, Disagreement, Revision, TakenBack};
pub use due::{Due, Expected, last_usual_day};
pub use profile::{Aim, Client, ClientId, OF_LATE, Profile, Sex};
pub use rows::{
    Cleared, Guardian, Habit, HabitKind, NOT_SAID_WHAT, NotedTight, OpenPoint, PainFollowUp, Screening,
    StandingConsent, Touch,
};
pub use session::{
    Angle, Consent, ConsentLimit, Correction, CorrectionKind, Ended, Instrument, Narrowing, Planned, Report,
    Session, Taken, TestPosition, whole_second,
};
pub use trained::{Trained, trained_from};
pub use trainer::{KeptBlock, KeptStep, Sore, SoreRegion, Trainer};
pub use usual::{BadUsualTime, UsualTime};
pub use work::{Meters, WorkedBlock};
