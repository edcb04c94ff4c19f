//! What goes out: everything that touches the world, as values.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::Minutes;
use crate::caution::Restrictions;
use crate::client::{Client, ClientId, Consent, ConsentLimit, Profile, Report, Session, Trained};
use crate::planner::{Progress, Wishes};

/// What a plan is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// To be shown and done.
    Main,
    /// To see what would come of something else, such as another minute.
    WhatIf,
    /// The rest of a live block.
    Rest,
}

/// Everything that a plan depends on, but the catalogue and the trainer.
#[derive(Debug, Clone)]
pub struct Question {
    /// Who it is for.
    pub client: Arc<Client>,
    /// What is in force today.
    pub restrictions: Arc<Restrictions>,
    /// The day.
    pub today: NaiveDate,
    /// What was trained.
    pub trained: Trained,
    /// For how long.
    pub minutes: Minutes,
    /// What the client agrees to.
    pub consent: Consent,
    /// What the trainer insists on.
    pub wishes: Wishes,
    /// What was done already, in the middle of a block.
    pub progress: Option<Progress>,
}

/// Something to be done by the host.
#[derive(Debug, Clone)]
pub enum Effect {
    /// List the clients.
    Roster,
    /// Read a client.
    Load(ClientId),
    /// Write a new client's file; the id is chosen then.
    Create(Box<Profile>),
    /// Write a client's card.
    Save(Box<Profile>),
    /// Make a plan.
    Solve {
        /// Comes back with the answer.
        job: u64,
        /// What it is for.
        purpose: Purpose,
        /// The question.
        question: Box<Question>,
    },
    /// Open a session in the client's file.
    Begin(ClientId, Box<Session>),
    /// Look for a session that was cut off, and take it up.
    Resume(ClientId),
    /// Append a report to the open session.
    Report(Box<Report>),
    /// Mend a report of the open session.
    Amend(u32, Box<Report>),
    /// Note in the open session what the client takes out of the consent.
    Narrow(ConsentLimit, DateTime<FixedOffset>),
    /// Close the open session.
    Close {
        /// When.
        at: DateTime<FixedOffset>,
        /// A remark.
        note: String,
    },
    /// Write the session into another folder, since the client's file takes nothing now.
    Rescue(Arc<Client>, Box<Session>, PathBuf),
    /// Let go of the open session without closing it.
    Release,
    /// Open the invented studio.
    Demo,
    /// Ring the terminal's bell.
    Bell,
    /// End the program.
    Quit,
}
