//! Where to go from a screen, as data: only [`screens`](super::screens) makes a screen of it.

use std::fmt;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::caution::Restrictions;
use crate::client::{Client, ClientId, Consent, ConsentLimit, Session};
use crate::failure::Failure;
use crate::planner::{Plan, Wishes};

use super::keys::Action;
use super::outbox::Outbox;
use super::text;

/// Where to go from here.
#[derive(Debug, Clone, PartialEq)]
pub enum Go {
    /// Nowhere.
    Stay,
    /// To a screen on top of this one.
    Open(Visit),
    /// To another screen in this one's place.
    Replace(Visit),
    /// To the screen below.
    Back,
    /// To the day.
    Home,
    /// Close, and do this on the screen below.
    Act(Action),
}

/// A screen to go to, with what it is about.
#[derive(Debug, Clone, PartialEq)]
pub enum Visit {
    /// What do we do in these minutes?
    Plan {
        /// Of whom.
        who: ClientId,
        /// The block that is gone on with, without asking.
        take_up: Option<DateTime<FixedOffset>>,
    },
    /// What now, and how long?
    Live(Box<Start>),
    /// What came out?
    Review(Box<Reviewed>),
    /// What does it tell?
    History(ClientId),
    /// Who is this?
    Card(CardOf),
    /// Which pages are to be written, of whom?
    Pages(ClientId),
    /// May hands-on work begin?
    Health {
        /// Of whom.
        who: ClientId,
        /// Whether the block begins afterwards, or the screen below comes back.
        then_begin: bool,
    },
}

/// A block that begins, in a session that is open in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    /// Whose it is.
    pub client: Arc<Client>,
    /// What is in force.
    pub restrictions: Arc<Restrictions>,
    /// The session, with the reports that it has already.
    pub session: Session,
    /// What is done.
    pub plan: Plan,
    /// What the client agrees to.
    pub consent: Consent,
    /// What the client takes out of that and the file does not have yet.
    pub narrowed: Vec<ConsentLimit>,
    /// What the trainer insists on.
    pub wishes: Wishes,
}

/// A session that is open in the file and is looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Reviewed {
    /// Whose it is.
    pub client: Arc<Client>,
    /// The session.
    pub session: Session,
    /// What may still be on its way to the file.
    pub outbox: Outbox,
    /// When it ended, where that is not when it is closed.
    pub end: Option<DateTime<FixedOffset>>,
}

/// Whose card is opened.
#[derive(Debug, Clone, PartialEq)]
pub enum CardOf {
    /// Somebody new, of that name.
    New(String),
    /// A client that there is.
    Known(ClientId),
    /// A walk-in who has just come in: no card is kept.
    WalkIn,
    /// The walk-in whose block is closed, of whom a card may be kept.
    KeptWalkIn,
}

/// What the program leaves behind where it is left in the middle of something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftBehind {
    words: String,
    /// Whether something of it is not on the disk.
    pub is_lost: bool,
}

impl LeftBehind {
    /// A block that is open in the file, and what of it could not be written.
    pub(super) fn of_block(who: &ClientId, session: &Session, outbox: &Outbox) -> Option<Self> {
        if who.is_of_walk_in() {
            return Some(Self { words: "Nothing of the walk-in is kept.".to_owned(), is_lost: false });
        }
        if outbox.is_closed() {
            return None;
        }
        if let Some(why) = outbox.failed() {
            let lost = text::count(outbox.unsaved(), "step");
            return Some(Self::lost(&format!("{lost} of the block"), why));
        }
        let answers = session.reports.values().filter(|report| report.level.is_some()).count();
        let words = format!("{} saved. The block can be taken up.", text::count(answers, "answer"));
        Some(Self { words, is_lost: false })
    }

    /// Something that could not be written.
    pub(super) fn lost(what: &str, why: &Failure) -> Self {
        Self { words: format!("not saved, {what}: {}", why.in_a_line()), is_lost: true }
    }
}

impl fmt::Display for LeftBehind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)
    }
}
