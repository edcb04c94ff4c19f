//! What comes in: keys, time, and answers to effects.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use ratatui::crossterm::event::KeyEvent;

use crate::catalogue::Catalogue;
use crate::client::{Client, ClientId, Session, Trainer};
use crate::planner::Plan;
use crate::session::Moment;
use crate::store::RosterEntry;

use super::effect::Purpose;

/// The time as the host gives it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Now {
    /// Since the program started, never going back.
    pub moment: Moment,
    /// On the clock on the wall.
    pub wall: DateTime<FixedOffset>,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A key was pressed.
    Key(KeyEvent),
    /// A place of the screen was clicked on.
    Click {
        /// Column and row.
        at: (u16, u16),
        /// Columns and rows of the screen.
        size: (u16, u16),
    },
    /// The wheel was turned, down or up.
    Wheel(bool),
    /// Text was pasted.
    Paste(String),
    /// Time passed, or the screen has another size.
    Woke,
    /// The screen has to be drawn anew: something else wrote on it.
    Redraw,
    /// The program has to end: the window was closed, or a signal said so.
    Leave,
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
}

/// What the services have read before anybody asks.
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

/// The answer to an effect. Errors are one clear line.
#[derive(Debug, Clone, PartialEq)]
pub enum Reply {
    /// The clients of the data folder.
    Roster(Result<ClientList, String>),
    /// A client with all sessions.
    Client(ClientId, Result<Box<Client>, String>),
    /// A new client's file was written.
    Created(Result<ClientId, String>),
    /// A client's card was written.
    Saved(ClientId, Result<(), String>),
    /// A plan.
    Solved {
        /// Which question it answers.
        job: u64,
        /// What it was for.
        purpose: Purpose,
        /// The plan, or why there is none.
        plan: Result<Box<Plan>, String>,
    },
    /// The session's head is in the file.
    Begun(Result<(), String>),
    /// A report is on the disk, under its number.
    Reported(Result<u32, String>),
    /// The session is in another folder, in this file.
    Rescued(Result<PathBuf, String>),
    /// A report was mended on the disk.
    Amended(Result<(), String>),
    /// What the client took out of the consent is on the disk.
    Narrowed(Result<(), String>),
    /// The session is closed.
    Closed(Result<(), String>),
    /// A session that was cut off, if there is one.
    Resumed(ClientId, Result<Option<Box<Session>>, String>),
    /// Something about the files that the trainer should know.
    Noticed(String),
    /// The invented studio is open.
    Demo(Result<Box<StudioData>, String>),
}
