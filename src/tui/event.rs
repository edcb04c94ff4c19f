//! What comes in: keys, lines, time, and replies to effects.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
pub use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::catalogue::Catalogue;
use crate::client::{Client, ClientId, Session, Trainer, WorkedBlock};
use crate::failure::Failure;
use crate::planner::Plan;
use crate::session::Moment;
use crate::store::RosterEntry;

use super::effect::{Job, Purpose};
use super::keys::Action;

/// The time as the host gives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Now {
    /// Since the program started, never going back.
    pub moment: Moment,
    /// On the clock on the wall.
    pub wall: DateTime<FixedOffset>,
}

/// Columns and rows of the screen.
pub type Size = (u16, u16);

/// Which way the wheel was turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wheel {
    /// Away from the hand.
    Up,
    /// Towards the hand.
    Down,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A key was pressed.
    Key(KeyEvent),
    /// A whole line was typed, where the screens are lines.
    Words(String),
    /// A place of the screen was clicked on.
    Click {
        /// Column and row.
        at: (u16, u16),
        /// Of the screen.
        size: Size,
    },
    /// The wheel was turned.
    Wheel(Wheel),
    /// Text was pasted.
    Paste(String),
    /// Time passed, or the screen has another size.
    Woke,
    /// The program ends, however that came; what is under way is written now or never.
    Closing,
    /// An effect was carried out.
    Reply(Reply),
}

/// Who is there, and files that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClientList {
    /// The clients, sorted by name.
    pub entries: Vec<RosterEntry>,
    /// What is wrong with other files, one line each.
    pub problems: Vec<String>,
    /// What the trainer's blocks asked of them, in the order of time.
    pub work: Vec<WorkedBlock>,
}

/// What was read of a studio before anybody asks.
#[derive(Debug, Clone, PartialEq)]
pub struct StudioData {
    /// The trainer.
    pub trainer: Trainer,
    /// The stretches.
    pub catalogue: Arc<Catalogue>,
    /// Where the data is.
    pub folder: String,
    /// Whether there is an invented studio to open.
    pub demo: bool,
}

/// The answer to an effect.
#[derive(Debug, Clone, PartialEq)]
pub enum Reply {
    /// The clients of the data folder.
    Clients(Result<ClientList, Failure>),
    /// A client with all sessions.
    Client(ClientId, Result<Box<Client>, Failure>),
    /// There are clients of the name that a new one was to have; nothing was written.
    Namesakes(Vec<Arc<Client>>),
    /// A new client's file was written.
    Created(Result<ClientId, Failure>),
    /// The trainer's settings were written.
    Trainer(Result<Box<Trainer>, Failure>),
    /// A client's card was written.
    Saved(ClientId, Result<(), Failure>),
    /// Everything about a client was removed.
    Forgotten(ClientId, Result<(), Failure>),
    /// The walk-in's blocks are in this client's file.
    WalkInKept(ClientId, Result<(), Failure>),
    /// Nothing of the walk-in is left.
    WalkInGone,
    /// A plan.
    Planned {
        /// Which question it answers.
        job: Job,
        /// What it was for.
        purpose: Purpose,
        /// The plan, or why there is none.
        plan: Result<Box<Plan>, Failure>,
    },
    /// The session's head is in the file.
    Begun(Result<(), Failure>),
    /// The session that was cut off, if there is one, is open again.
    TakenUp(ClientId, Result<Option<Box<Session>>, Failure>),
    /// An entry is on the disk; a new report has its number in the file.
    Written(Result<Option<u32>, Failure>),
    /// The session is in another folder, in this file.
    Rescued(Result<PathBuf, Failure>),
    /// The pages are written: which, where, and what is not among them.
    Pages(Result<String, Failure>),
    /// Something about the files that the trainer should know.
    Noticed(String),
    /// The invented studio is open.
    Demo(Result<Box<StudioData>, Failure>),
}

impl Reply {
    /// Why an effect could not be carried out; a plan says that itself.
    pub const fn failure(&self) -> Option<&Failure> {
        match self {
            Self::Clients(Err(why))
            | Self::Client(_, Err(why))
            | Self::Created(Err(why))
            | Self::Trainer(Err(why))
            | Self::Saved(_, Err(why))
            | Self::Forgotten(_, Err(why))
            | Self::WalkInKept(_, Err(why))
            | Self::Begun(Err(why))
            | Self::TakenUp(_, Err(why))
            | Self::Written(Err(why))
            | Self::Rescued(Err(why))
            | Self::Pages(Err(why))
            | Self::Demo(Err(why)) => Some(why),
            _ => None,
        }
    }
}

/// What a screen is told.
#[derive(Debug, Clone, Copy)]
pub enum ScreenEvent<'a> {
    /// It has just been opened.
    Opened,
    /// It is on top again.
    Shown,
    /// A key, by its meaning.
    Action(Action),
    /// A key as it is, where buttons are taught.
    Pressing(KeyEvent),
    /// An effect was carried out.
    Reply(&'a Reply),
    /// Time passed, and a key follows.
    Pressed,
    /// Time passed, and nothing else waits.
    Woke,
    /// What is not saved is not wanted: that was asked.
    Dropped,
    /// The program ends.
    Leave,
}
