//! What the screens ask to be done with files and plans; used by every host.

use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::client::{ClientId, Profile, Session, Trainer};
use crate::planner::{self, Plan, PlanRequest, Planner};
use crate::store::{Journal, Store};

use super::effect::{Effect, Question};
use super::event::{ClientList, Event, Reply, StudioData};

/// Makes the invented studio in a scratch folder and opens it.
pub type OpenDemo = fn() -> Result<Store, String>;

/// Answers the question what to do in the minutes that are left.
pub trait PlanMaker: std::fmt::Debug {
    /// Makes the plan.
    ///
    /// # Errors
    /// Says in one line why there is none.
    fn plan(&mut self, question: &Question, catalogue: &Catalogue, trainer: &Trainer)
    -> Result<Plan, String>;
}

impl PlanMaker for Planner {
    fn plan(
        &mut self,
        question: &Question,
        catalogue: &Catalogue,
        trainer: &Trainer,
    ) -> Result<Plan, String> {
        let ask = ask(question, catalogue, trainer);
        Self::plan(self, &ask).map_err(|error| error.to_string())
    }
}

/// Answers a question with all effort, unless it is called off.
///
/// # Errors
/// Says in one line why there is no plan.
pub fn prove(
    question: &Question,
    catalogue: &Catalogue,
    trainer: &Trainer,
    called_off: &dyn Fn() -> bool,
) -> Result<Plan, String> {
    planner::prove(&ask(question, catalogue, trainer), called_off).map_err(|error| error.to_string())
}

fn ask<'a>(question: &'a Question, catalogue: &'a Catalogue, trainer: &'a Trainer) -> PlanRequest<'a> {
    PlanRequest {
        client: &question.client,
        catalogue,
        restrictions: &question.restrictions,
        trainer,
        today: question.today,
        trained: &question.trained,
        minutes: question.minutes,
        consent: question.consent,
        wishes: &question.wishes,
        progress: question.progress.as_ref(),
    }
}

/// Files, plans and the open session.
#[derive(Debug)]
pub struct Services {
    store: Store,
    journal: Option<Journal>,
    planner: Box<dyn PlanMaker>,
    catalogue: Arc<Catalogue>,
    trainer: Trainer,
    demo: Option<OpenDemo>,
    /// What the store wanted the trainer to know.
    notices: Vec<String>,
    /// How many of them were said already.
    said: usize,
}

impl Services {
    /// Opens what the data folder holds beside clients.
    ///
    /// # Errors
    /// One clear line if the trainer's settings or own stretches cannot be read.
    pub fn open(store: Store, planner: Box<dyn PlanMaker>, demo: Option<OpenDemo>) -> Result<Self, String> {
        let trainer = store.trainer().map_err(|error| error.to_string())?;
        let catalogue = Arc::new(store.catalogue().map_err(|error| error.to_string())?);
        Ok(Self { store, journal: None, planner, catalogue, trainer, demo, notices: Vec::new(), said: 0 })
    }

    /// The stretches.
    pub fn catalogue(&self) -> Arc<Catalogue> {
        Arc::clone(&self.catalogue)
    }

    /// The trainer.
    pub const fn trainer(&self) -> &Trainer {
        &self.trainer
    }

    /// What was read so far.
    pub fn opened(&self) -> StudioData {
        StudioData {
            trainer: self.trainer.clone(),
            catalogue: self.catalogue(),
            folder: self.folder(),
            demo: self.demo.is_some(),
        }
    }

    fn folder(&self) -> String {
        self.store.root().display().to_string()
    }

    /// Carries an effect out. A bell and the end are the host's own affair.
    pub fn perform(&mut self, effect: Effect) -> Option<Event> {
        let reply = match effect {
            Effect::Roster => {
                let read = self.reader()();
                self.listed(read)
            }
            Effect::Load(id) => {
                let client = self.store.load(&id).map(Box::new).map_err(|error| error.to_string());
                Reply::Client(id, client)
            }
            Effect::Create(profile) => Reply::Created(self.create(*profile)),
            Effect::Save(profile) => {
                let saved = self.store.save_profile(&profile).map_err(|error| error.to_string());
                Reply::Saved(profile.id, saved)
            }
            Effect::Solve { job, purpose, question } => {
                let plan = self.planner.plan(&question, &self.catalogue, &self.trainer).map(Box::new);
                Reply::Solved { job, purpose, plan }
            }
            Effect::Begin(id, session) => match self.store.begin(&id, &session) {
                Ok(journal) => {
                    self.journal = Some(journal);
                    Reply::Begun(Ok(()))
                }
                Err(error) => Reply::Begun(Err(error.to_string())),
            },
            Effect::Resume(id) => Reply::Resumed(id.clone(), self.resume(&id)),
            Effect::Report(report) => Reply::Reported(match &mut self.journal {
                Some(journal) => journal.report(&report).map_err(|error| error.to_string()),
                None => Err(NO_SESSION.to_owned()),
            }),
            Effect::Amend(number, report) => Reply::Amended(match &mut self.journal {
                Some(journal) => journal.amend(number, &report).map_err(|error| error.to_string()),
                None => Err(NO_SESSION.to_owned()),
            }),
            Effect::Narrow(what, at) => Reply::Narrowed(match &mut self.journal {
                Some(journal) => journal.narrow(what, at).map_err(|error| error.to_string()),
                None => Err(NO_SESSION.to_owned()),
            }),
            Effect::Close { at, note } => Reply::Closed(match self.journal.take() {
                Some(journal) => journal.close(at, &note).map_err(|error| error.to_string()),
                None => Err(NO_SESSION.to_owned()),
            }),
            Effect::Rescue(client, session, folder) => Reply::Rescued(
                self.store.rescue(&client, &session, &folder).map_err(|error| error.to_string()),
            ),
            Effect::Release => {
                self.journal = None;
                return None;
            }
            Effect::Demo => Reply::Demo(self.open_demo()),
            Effect::Bell | Effect::Quit => return None,
        };
        Some(Event::Reply(reply))
    }

    /// What the store wants the trainer to know since this was asked last; asked after every effect.
    pub fn news(&mut self) -> Option<Event> {
        self.gather();
        let news = self.notices.get(self.said..).filter(|news| !news.is_empty())?.join("; ");
        self.said = self.notices.len();
        // One row has no room for the way to the data folder.
        let folder = format!("{}{}", self.folder(), std::path::MAIN_SEPARATOR);
        Some(Event::Reply(Reply::Noticed(news.replace(&folder, ""))))
    }

    fn gather(&mut self) {
        for notice in self.store.take_notices() {
            if !self.notices.contains(&notice) {
                self.notices.push(notice);
            }
        }
    }

    /// Reads the list, on any thread.
    pub fn reader(&self) -> impl FnOnce() -> Result<ClientList, String> + Send + use<> {
        let store = self.store.clone();
        move || {
            let roster = store.roster().map_err(|error| error.to_string())?;
            let problems = roster.problems.iter().map(ToString::to_string).collect();
            Ok(ClientList { entries: roster.entries, problems })
        }
    }

    /// The answer to a list that was read: what the store told before is said with it.
    pub fn listed(&mut self, mut read: Result<ClientList, String>) -> Reply {
        self.gather();
        if let Ok(listed) = &mut read {
            listed.problems.extend_from_slice(&self.notices);
        }
        Reply::Roster(read)
    }

    fn create(&self, mut profile: Profile) -> Result<ClientId, String> {
        profile.id = self.store.new_id(&profile.name).map_err(|error| error.to_string())?;
        self.store.create(&profile).map_err(|error| error.to_string())?;
        Ok(profile.id)
    }

    fn resume(&mut self, id: &ClientId) -> Result<Option<Box<Session>>, String> {
        let Some((session, journal)) = self.store.resume(id).map_err(|error| error.to_string())? else {
            return Ok(None);
        };
        self.journal = Some(journal);
        Ok(Some(Box::new(session)))
    }

    fn open_demo(&mut self) -> Result<Box<StudioData>, String> {
        let open = self.demo.ok_or("there is no invented studio here; run `matside demo`")?;
        let store = open()?;
        self.trainer = store.trainer().map_err(|error| error.to_string())?;
        self.catalogue = Arc::new(store.catalogue().map_err(|error| error.to_string())?);
        (self.store, self.journal, self.demo) = (store, None, None);
        Ok(Box::new(self.opened()))
    }
}

const NO_SESSION: &str = "no session is open for this report";
