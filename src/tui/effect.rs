//! What goes out: everything that touches the world, as values.

use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, ClientId, ConsentLimit, Habit, KeptBlock, Profile, Report, Session, SoreRegion};
use crate::handout::leaflets::LeafletWish;
use crate::planner::PlanRequest;

use super::spoken::cues::Utterance;

/// Which question a plan answers; a later one makes the earlier ones idle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Job(u64);

impl Job {
    /// The one after this.
    #[must_use]
    pub const fn next(self) -> Self {
        Self(self.0 + 1)
    }
}

impl fmt::Display for Job {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

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

/// How a session is opened in the client's file.
#[derive(Debug, Clone)]
pub enum Opening {
    /// A new one, with this head.
    New(Box<Session>),
    /// The one of that moment, which was cut off.
    TakeUp(DateTime<FixedOffset>),
}

/// What is written into the open session. The outbox keeps the order of all of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JournalEntry {
    /// A new report.
    Report(Box<Report>),
    /// Another text of the report of this number in the file.
    Amend(u32, Box<Report>),
    /// What the client takes out of the consent, and when.
    Narrow(ConsentLimit, DateTime<FixedOffset>),
    /// The end of the session.
    Close {
        /// When.
        at: DateTime<FixedOffset>,
        /// A remark.
        note: String,
    },
}

/// Something to be done by the host.
#[derive(Debug, Clone)]
pub enum Effect {
    /// List the clients.
    List,
    /// Read a client.
    Load(ClientId),
    /// Write a new client's file; the id is chosen then.
    Create {
        /// Who it is.
        profile: Box<Profile>,
        /// Whether it is somebody else than the clients of that name.
        another: bool,
    },
    /// Write a client's card.
    Save(Box<Profile>),
    /// Remove everything about a client, for good.
    Forget(ClientId),
    /// Keep an answer about plans: with a client's card, or for everybody with the trainer's settings.
    KeepHabit(Option<ClientId>, Habit),
    /// Keep a block by its name.
    KeepBlock(KeptBlock),
    /// Keep with the trainer's settings whether lines are to be short.
    KeepBrief(bool),
    /// Keep with the trainer's settings which keys the remote sends.
    KeepRemote(String),
    /// Take off a block, by its name.
    DropBlock(String),
    /// Note that a place is sore on the trainer today, or is not any more.
    Sore(SoreRegion, bool),
    /// Make a plan.
    Plan(Job, Purpose, Box<PlanRequest>),
    /// Open a session in the client's file.
    Open(ClientId, Opening),
    /// Write into the open session.
    Write(JournalEntry),
    /// Take back the session of that moment, or let it count again.
    TakeBack {
        /// Whose it is.
        who: ClientId,
        /// When it began.
        at: DateTime<FixedOffset>,
        /// Whether it counts for nothing from now on.
        is_gone: bool,
    },
    /// Let go of the open session without closing it.
    Release,
    /// Write the walk-in's blocks and health check into the file of this client, and let the walk-in go.
    KeepWalkIn(ClientId),
    /// Let the walk-in go: nothing of them is kept.
    LetWalkInGo,
    /// Write the session into another folder, since the client's file takes nothing now.
    Rescue(Arc<Client>, Box<Session>, PathBuf),
    /// Write pages of a client to print, into this folder or the usual one.
    WritePages(ClientId, LeafletWish, Option<PathBuf>),
    /// Open the invented studio.
    Demo,
    /// Ring the terminal's bell.
    Bell,
    /// Speak it aloud, where something speaks.
    Speak(Utterance),
    /// Say these lines, where the screens are lines.
    Tell(Vec<String>),
    /// Say once more what was said last.
    TellAgain,
    /// End the program.
    Quit,
}
