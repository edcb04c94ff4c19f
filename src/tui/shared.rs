//! What all screens look at, and what a screen may use while it changes.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::Minutes;
use crate::catalogue::{Catalogue, StretchId};
use crate::client::{Client, ClientId, Meters, Trained, Trainer, WorkedBlock};
use crate::planner::Wishes;
use crate::strain;

use super::effect::Effect;
use super::event::{ClientList, Now, StudioData};
use super::keys::RemoteKeys;
use super::spoken::farewell::Farewell;
use super::theme::{Theme, Tone};
use super::widgets::pictures::Pictures;

/// What the trainer decides about a plan; undo goes back through these.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// What was trained.
    pub trained: Trained,
    /// For how long.
    pub minutes: Minutes,
    /// What is insisted on.
    pub wishes: Wishes,
    /// Stretches of it that are there since a whole block was taken again.
    pub of_block: Vec<StretchId>,
}

/// What was marked on a day, for a plan that was left without a start.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The day.
    pub on: NaiveDate,
    /// What was marked.
    pub chosen: Chosen,
}

/// What all screens look at.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// The looks.
    pub theme: Theme,
    /// The clients, once they were listed.
    pub roster: Option<ClientList>,
    /// Clients that were read.
    pub clients: BTreeMap<ClientId, Arc<Client>>,
    /// The trainer.
    pub trainer: Trainer,
    /// The stretches.
    pub catalogue: Arc<Catalogue>,
    /// Where the data is.
    pub folder: String,
    /// Whether an invented studio can be opened.
    pub demo: bool,
    /// Whether lines are told in few words.
    pub brief: bool,
    /// The keys that the trainer's remote sends.
    pub remote: RemoteKeys,
    /// What is still to be said of a block that is over.
    pub farewell: Option<Farewell>,
    /// Whether a program speaks aloud: without one, nothing is waited for to be said.
    pub speaks: bool,
    /// A line for the trainer, until the next key.
    pub notice: Option<(Tone, String)>,
    /// What was marked today for clients whose plan was left without a start.
    pub marked: BTreeMap<ClientId, Marked>,
    /// Pictures that are ready, and what they are made of.
    pub pictures: Pictures,
}

impl Shared {
    /// Takes in what an services has read.
    pub fn knows(&mut self, opened: StudioData) {
        let StudioData { trainer, catalogue, folder, demo } = opened;
        self.brief |= trainer.brief;
        if self.remote == RemoteKeys::default() && !trainer.remote.is_empty() {
            match RemoteKeys::named(&trainer.remote) {
                Ok(keys) => self.remote = keys,
                Err(why) => self.say(Tone::Caution, format!("trainer.toml, remote: {}", why.in_a_line())),
            }
        }
        (self.trainer, self.catalogue, self.folder, self.demo) = (trainer, catalogue, folder, demo);
    }

    /// Nothing is known of that client any more.
    pub fn forget(&mut self, id: &ClientId) {
        self.clients.remove(id);
        self.marked.remove(id);
    }

    /// What the trainer's blocks asked of them.
    pub fn work(&self) -> &[WorkedBlock] {
        self.roster.as_ref().map_or(&[], |roster| &roster.work)
    }

    /// The trainer's minutes of the day before a moment.
    pub fn minutes_before(&self, moment: DateTime<FixedOffset>) -> Meters {
        strain::minutes_before(self.work(), moment)
    }

    /// Says something in the last line but one.
    pub fn say(&mut self, tone: Tone, words: impl Into<String>) {
        self.notice = Some((tone, words.into()));
    }
}

/// What a screen may use while it changes.
#[derive(Debug)]
pub struct Context<'a> {
    /// What all screens look at.
    pub shared: &'a mut Shared,
    /// The time.
    pub now: Now,
    /// What is to be done.
    pub effects: &'a mut Vec<Effect>,
}

impl Context<'_> {
    /// Asks for something to be done.
    pub fn ask(&mut self, effect: Effect) {
        self.effects.push(effect);
    }

    /// The day.
    pub fn today(&self) -> NaiveDate {
        self.now.wall.date_naive()
    }
}
