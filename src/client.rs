//! Clients, their sessions and reports, and the trainer: plain data.

pub mod profile;
pub mod session;
pub mod trainer;

pub use profile::{Aim, Client, ClientId, Guardian, Profile, Screening, Sex};
pub use session::{Consent, Ended, Narrowed, Report, Session, Trained};
pub use trainer::Trainer;
