//! What the screens ask to be done with files and plans; used by every host.

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::catalogue::Catalogue;
use crate::client::{Attribution, Client, ClientId, Habit, Profile, Session, TakenBack, Trainer};
use crate::failure::Failure;
use crate::handout::leaflets::LeafletWish;
use crate::planner::{self, Plan, PlanRequest, Planner};
use crate::store::{Journal, Store};
use crate::strain;

use super::effect::{Effect, JournalEntry, Opening};
use super::event::{ClientList, Event, Reply, StudioData};
use super::refusal::{below_folder, failed};
use super::walk_in::WalkIn;
use super::written_pages;

/// Makes the invented studio in a scratch folder and opens it.
pub type OpenDemo = fn() -> Result<Store, Failure>;

/// Answers the question what to do in the minutes that are left.
pub trait PlanMaker: std::fmt::Debug {
    /// Makes the plan.
    ///
    /// # Errors
    /// Says in one line why there is none.
    fn plan(&mut self, request: &PlanRequest) -> Result<Plan, Failure>;
}

impl PlanMaker for Planner {
    fn plan(&mut self, request: &PlanRequest) -> Result<Plan, Failure> {
        Self::plan(self, request).map_err(Failure::new)
    }
}

/// Answers a request with all effort, unless it is called off.
///
/// # Errors
/// Says in one line why there is no plan.
pub fn prove(request: &PlanRequest, called_off: &dyn Fn() -> bool) -> Result<Plan, Failure> {
    planner::prove(request, called_off).map_err(Failure::new)
}

/// Files, plans and the open session.
#[derive(Debug)]
pub struct Services {
    store: Store,
    journal: Option<Journal>,
    walk_in: WalkIn,
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
    pub fn open(store: Store, planner: Box<dyn PlanMaker>, demo: Option<OpenDemo>) -> Result<Self, Failure> {
        let trainer = store.trainer().map_err(failed(&store))?;
        let catalogue = Arc::new(store.catalogue().map_err(failed(&store))?);
        Ok(Self {
            store,
            journal: None,
            walk_in: WalkIn::default(),
            planner,
            catalogue,
            trainer,
            demo,
            notices: Vec::new(),
            said: 0,
        })
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

    /// Carries an effect out at a moment: its answer, and what came to light with it. What is seen or heard is the
    /// host's affair.
    pub fn perform(&mut self, effect: Effect, now: DateTime<FixedOffset>) -> Vec<Event> {
        let answer = self.answer(effect, now);
        answer.into_iter().chain(self.news()).map(Event::Reply).collect()
    }

    fn answer(&mut self, effect: Effect, now: DateTime<FixedOffset>) -> Option<Reply> {
        let who = Attribution { at: now, by: self.trainer.name.clone() };
        let elsewhere = self
            .answer_about_walk_in(effect, &who)
            .or_else(|effect| self.answer_about_trainer(effect, now.date_naive()));
        let effect = match elsewhere {
            Ok(reply) => return Some(reply),
            Err(effect) => effect,
        };
        Some(match effect {
            Effect::List => {
                let read = self.reader()();
                self.listed(read)
            }
            Effect::Load(id) => {
                let client = self.store.load(&id).map(Box::new).map_err(failed(&self.store));
                Reply::Client(id, client)
            }
            Effect::Create { profile, another } => match self.namesakes(&profile, another) {
                Ok(found) if !found.is_empty() => Reply::Namesakes(found),
                Ok(_) => Reply::Created(self.create(*profile)),
                Err(why) => Reply::Created(Err(why)),
            },
            Effect::Save(profile) => {
                let saved = self.store.save_profile(&profile, &who).map_err(failed(&self.store));
                Reply::Saved(profile.id, saved)
            }
            Effect::Forget(id) => self.forget(id),
            Effect::KeepHabit(Some(id), habit) => {
                let kept = self.keep_habit(&id, habit, &who);
                Reply::Saved(id, kept)
            }
            Effect::Plan(job, purpose, request) => {
                let plan = self.planner.plan(&request).map(Box::new);
                Reply::Planned { job, purpose, plan }
            }
            Effect::Open(id, Opening::New(session)) => Reply::Begun(self.begin(&id, &session)),
            Effect::Open(id, Opening::TakeUp(at)) => Reply::TakenUp(id.clone(), self.take_up(&id, at)),
            Effect::TakeBack { who: id, at, is_gone } => {
                let row = TakenBack { at: now, by: who.by, note: String::new() };
                let done = self.take_back(&id, at, is_gone.then_some(&row));
                Reply::Saved(id, done)
            }
            Effect::Write(entry) => Reply::Written(self.write(entry, &who)),
            Effect::Rescue(client, session, folder) => {
                Reply::Rescued(self.store.rescue(&client, &session, &folder).map_err(failed(&self.store)))
            }
            Effect::WritePages(id, wish, to) => Reply::Pages(self.page_writer(id, wish, to, now)()),
            Effect::Release => {
                self.journal = None;
                return None;
            }
            Effect::Demo => Reply::Demo(self.open_demo()),
            // Answered above, or the host's affair.
            _ => return None,
        })
    }

    /// The answer to what is asked of somebody without a card.
    fn answer_about_walk_in(&mut self, effect: Effect, who: &Attribution) -> Result<Reply, Effect> {
        if let Effect::KeepWalkIn(id) = effect {
            let kept = self.walk_in.keep(&id, &self.store, who).map_err(failed(&self.store));
            return Ok(Reply::WalkInKept(id, kept));
        }
        let reply = self.walk_in.answer(effect, who)?;
        // The trainer's own minutes name nobody.
        if let Some(Err(error)) = self.walk_in.work(&self.catalogue).map(|it| self.store.note_work(&[it])) {
            self.notices.push(format!("your own minutes of the block are not noted: {error}"));
        }
        Ok(reply)
    }

    /// The answer to what changes the trainer's settings.
    fn answer_about_trainer(&mut self, effect: Effect, on: NaiveDate) -> Result<Reply, Effect> {
        Ok(Reply::Trainer(match effect {
            Effect::KeepHabit(None, habit) => self.change_trainer(|trainer| trainer.habits.push(habit)),
            Effect::KeepBlock(block) => self.change_trainer(|trainer| {
                take_off_block(trainer, &block.name, on);
                trainer.blocks.push(block);
            }),
            Effect::DropBlock(name) => self.change_trainer(|trainer| take_off_block(trainer, &name, on)),
            Effect::Sore(region, is_sore) => {
                self.change_trainer(|trainer| trainer.turn_sore(region, on, is_sore))
            }
            Effect::KeepBrief(is_brief) => self.keep_brief(is_brief),
            Effect::KeepRemote(names) => self.change_trainer(|trainer| trainer.remote = names),
            effect => return Err(effect),
        }))
    }

    /// Writes pages of a client and says in one line which and where, on any thread: a home card is planned many times.
    pub fn page_writer(
        &self,
        id: ClientId,
        wish: LeafletWish,
        to: Option<PathBuf>,
        now: DateTime<FixedOffset>,
    ) -> impl FnOnce() -> Result<String, Failure> + Send + use<> {
        let (store, catalogue, trainer) = (self.store.clone(), self.catalogue(), self.trainer.clone());
        move || {
            written_pages::write(&store, (&id, &wish, to), &catalogue, &trainer, now).map_err(failed(&store))
        }
    }

    fn begin(&mut self, id: &ClientId, session: &Session) -> Result<(), Failure> {
        let session = Session { by: self.trainer.name.clone(), ..session.clone() };
        self.journal = Some(self.store.begin(id, &session).map_err(failed(&self.store))?);
        Ok(())
    }

    fn take_back(
        &mut self,
        id: &ClientId,
        at: DateTime<FixedOffset>,
        gone: Option<&TakenBack>,
    ) -> Result<(), Failure> {
        self.store.take_back(id, at, gone).map_err(failed(&self.store))?;
        self.note_work(id, at);
        Ok(())
    }

    fn take_up(&mut self, id: &ClientId, at: DateTime<FixedOffset>) -> Result<Option<Box<Session>>, Failure> {
        let Some((session, journal)) = self.store.resume(id, at).map_err(failed(&self.store))? else {
            return Ok(None);
        };
        self.journal = Some(journal);
        Ok(Some(Box::new(session)))
    }

    fn write(&mut self, entry: JournalEntry, who: &Attribution) -> Result<Option<u32>, Failure> {
        let journal = self.journal.as_mut().ok_or_else(|| Failure::new("no session is open for this"))?;
        let is_close = matches!(entry, JournalEntry::Close { .. });
        let is_closed = is_close || journal.session().closed.is_some();
        let (id, at) = (journal.id().clone(), journal.session().at);
        let written = match entry {
            JournalEntry::Report(report) => journal.report(&report).map(Some),
            JournalEntry::Amend(number, report) => journal.amend(number, &report, who).map(|()| None),
            JournalEntry::Narrow(what, at) => journal.narrow(what, at).map(|()| None),
            JournalEntry::Close { at, note } => journal.close(at, &note).map(|()| None),
        };
        // Whoever tries again needs the session open.
        self.journal.take_if(|_| is_close && written.is_ok());
        let written = written.map_err(failed(&self.store));
        if is_closed && written.is_ok() {
            self.note_work(&id, at);
        }
        written
    }

    /// Notes what a block that is closed or taken back asked of the trainer. It is on the disk whatever comes of this.
    fn note_work(&mut self, id: &ClientId, at: DateTime<FixedOffset>) {
        let noted = self
            .store
            .load(id)
            .and_then(|client| self.store.note_work(&[strain::kept_block(&client, at, &self.catalogue)]));
        if let Err(error) = noted {
            self.notices.push(format!("the block is kept; your own minutes of it are not: {error}"));
        }
    }

    /// What the store wants the trainer to know since this was asked last; asked after every effect.
    fn news(&mut self) -> Option<Reply> {
        self.gather();
        let news = self.notices.get(self.said..).filter(|news| !news.is_empty())?.join("; ");
        self.said = self.notices.len();
        Some(Reply::Noticed(below_folder(&self.store)(&news)))
    }

    fn gather(&mut self) {
        for notice in self.store.take_notices() {
            if !self.notices.contains(&notice) {
                self.notices.push(notice);
            }
        }
    }

    /// Reads the list, on any thread.
    pub fn reader(&self) -> impl FnOnce() -> Result<ClientList, Failure> + Send + use<> {
        let store = self.store.clone();
        move || {
            let roster = store.roster().map_err(failed(&store))?;
            let below = below_folder(&store);
            let problems = roster.problems.iter().map(|problem| below(&problem.to_string())).collect();
            let work = store.work().map_err(failed(&store))?;
            Ok(ClientList { entries: roster.entries, problems, work })
        }
    }

    /// The answer to a list that was read: what the store told before is said with it.
    pub fn listed(&mut self, mut read: Result<ClientList, Failure>) -> Reply {
        self.gather();
        if let Ok(listed) = &mut read {
            listed.problems.extend_from_slice(&self.notices);
        }
        Reply::Clients(read)
    }

    /// Clients of the same name, where it is not said that this is another person.
    fn namesakes(&self, profile: &Profile, another: bool) -> Result<Vec<Arc<Client>>, Failure> {
        if another {
            return Ok(Vec::new());
        }
        let found = self.store.namesakes(&profile.name).map_err(failed(&self.store))?;
        found.iter().map(|id| self.store.load(id).map(Arc::new).map_err(failed(&self.store))).collect()
    }

    fn forget(&self, id: ClientId) -> Reply {
        let gone = self.store.forget(&id).map(drop).map_err(failed(&self.store));
        Reply::Forgotten(id, gone)
    }

    fn create(&self, mut profile: Profile) -> Result<ClientId, Failure> {
        profile.id = self.store.new_id(&profile.name).map_err(failed(&self.store))?;
        self.store.create(&profile).map_err(failed(&self.store))?;
        Ok(profile.id)
    }

    fn keep_habit(&self, id: &ClientId, habit: Habit, who: &Attribution) -> Result<(), Failure> {
        let mut profile = self.store.load(id).map_err(failed(&self.store))?.profile;
        profile.habits.push(habit);
        self.store.save_profile(&profile, who).map_err(failed(&self.store))
    }

    /// Keeps whether lines are short, unless that is what the file has.
    fn keep_brief(&mut self, is_brief: bool) -> Result<Box<Trainer>, Failure> {
        if self.trainer.brief == is_brief {
            return Ok(Box::new(self.trainer.clone()));
        }
        self.change_trainer(|trainer| trainer.brief = is_brief)
    }

    /// Changes the trainer's settings as they are on the disk now.
    fn change_trainer(&mut self, change: impl FnOnce(&mut Trainer)) -> Result<Box<Trainer>, Failure> {
        let mut trainer = self.store.trainer().map_err(failed(&self.store))?;
        change(&mut trainer);
        self.store.save_trainer(&trainer).map_err(failed(&self.store))?;
        self.trainer.clone_from(&trainer);
        Ok(Box::new(trainer))
    }

    fn open_demo(&mut self) -> Result<Box<StudioData>, Failure> {
        let open = self.demo.ok_or_else(|| {
            Failure::new("there is no invented studio here").hint("run `matside demo` for one")
        })?;
        let store = open()?;
        self.trainer = store.trainer().map_err(failed(&store))?;
        self.catalogue = Arc::new(store.catalogue().map_err(failed(&store))?);
        (self.store, self.journal, self.demo) = (store, None, None);
        self.walk_in.let_go();
        Ok(Box::new(self.opened()))
    }
}

/// What is kept under a name counts no more from a day on; it stays in the file.
fn take_off_block(trainer: &mut Trainer, name: &str, on: NaiveDate) {
    for block in trainer.blocks.iter_mut().filter(|block| block.name == name) {
        block.off.get_or_insert(on);
    }
}
