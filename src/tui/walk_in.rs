//! A walk-in of whom no card is kept: who it is and what was done is here alone, and nothing of it goes to the disk.

use chrono::{DateTime, FixedOffset};

use crate::catalogue::Catalogue;
use crate::client::{
    Attribution, Client, ClientId, Profile, Screening, Session, TakenBack, WorkedBlock, whole_second,
};
use crate::failure::Failure;
use crate::store::{Store, StoreError};
use crate::strain;

use super::effect::{Effect, JournalEntry, Opening};
use super::event::Reply;

/// The walk-in on the mat, if there is one.
#[derive(Debug, Default)]
pub(super) struct WalkIn {
    client: Option<Client>,
    /// When the session began that is open.
    open: Option<DateTime<FixedOffset>>,
    /// The session of which the trainer's own minutes are to be noted.
    worked: Option<DateTime<FixedOffset>>,
}

impl WalkIn {
    /// What the session that was closed or taken back last asked of the trainer, once.
    pub(super) fn work(&mut self, catalogue: &Catalogue) -> Option<WorkedBlock> {
        let at = self.worked.take()?;
        Some(strain::kept_block(self.client.as_ref()?, at, catalogue))
    }

    /// Writes the health check and the blocks into a client's file, and lets the walk-in go.
    pub(super) fn keep(&mut self, id: &ClientId, store: &Store, who: &Attribution) -> Result<(), StoreError> {
        let Some(walk_in) = &self.client else { return Ok(()) };
        let kept = store.load(id)?;
        let mut profile = kept.profile.clone();
        for asked in &walk_in.profile.screenings {
            let is_it = |known: &Screening| (known.on, &known.answers) == (asked.on, &asked.answers);
            if !profile.screenings.iter().any(is_it) {
                profile.add_screening(asked.clone());
            }
        }
        if profile != kept.profile {
            store.save_profile(&profile, who)?;
        }
        for session in &walk_in.sessions {
            // Whoever tries again after a full disk finds some of them there.
            if kept.session(session.at).is_none() {
                store.begin(id, session)?;
            }
        }
        self.let_go();
        Ok(())
    }

    /// Forgets all of it.
    pub(super) fn let_go(&mut self) {
        *self = Self::default();
    }

    /// The answer to what is about the walk-in.
    ///
    /// # Errors
    /// Gives back what is about anybody else.
    pub(super) fn answer(&mut self, effect: Effect, who: &Attribution) -> Result<Reply, Effect> {
        Ok(match effect {
            Effect::Load(id) if id.is_of_walk_in() => {
                let client = self.client.clone().map(Box::new);
                client.map_or(Reply::WalkInGone, |client| Reply::Client(id, Ok(client)))
            }
            Effect::Save(profile) if profile.id.is_of_walk_in() => {
                self.save(*profile);
                Reply::Saved(ClientId::of_walk_in(), Ok(()))
            }
            Effect::KeepHabit(Some(id), habit) if id.is_of_walk_in() => {
                let kept = self.client.as_mut().ok_or_else(gone);
                Reply::Saved(id, kept.map(|client| client.profile.habits.push(habit)))
            }
            Effect::Open(id, Opening::New(session)) if id.is_of_walk_in() => {
                Reply::Begun(self.begin(*session, who))
            }
            Effect::Open(id, Opening::TakeUp(at)) if id.is_of_walk_in() => {
                let found = self.session(at).map(|session| session.clone());
                self.open = found.as_ref().map(|session| session.at);
                Reply::TakenUp(id, Ok(found.map(Box::new)))
            }
            Effect::TakeBack { who: id, at, is_gone } if id.is_of_walk_in() => {
                self.take_back(
                    at,
                    is_gone.then(|| TakenBack { at: who.at, by: who.by.clone(), note: String::new() }),
                );
                Reply::Saved(id, Ok(()))
            }
            Effect::Write(entry) if self.open.is_some() => Reply::Written(self.write(entry)),
            Effect::Rescue(client, ..) if client.profile.id.is_of_walk_in() => Reply::Rescued(Err(no_card())),
            Effect::WritePages(id, _, _) if id.is_of_walk_in() => Reply::Pages(Err(no_card())),
            Effect::LetWalkInGo => {
                self.let_go();
                Reply::WalkInGone
            }
            effect => {
                if matches!(effect, Effect::Open(..) | Effect::Release) {
                    self.open = None;
                }
                return Err(effect);
            }
        })
    }

    fn save(&mut self, profile: Profile) {
        match &mut self.client {
            Some(client) => client.profile = profile,
            None => self.client = Some(Client::new(profile, Vec::new())),
        }
    }

    fn session(&mut self, at: DateTime<FixedOffset>) -> Option<&mut Session> {
        let at = whole_second(at);
        self.client.as_mut()?.sessions.iter_mut().find(|session| session.at == at)
    }

    fn begin(&mut self, session: Session, who: &Attribution) -> Result<(), Failure> {
        let client = self.client.as_mut().ok_or_else(gone)?;
        let session = Session { at: whole_second(session.at), by: who.by.clone(), ..session };
        if client.sessions.iter().any(|there| there.at == session.at) {
            return Err(Failure::new("a block of the walk-in began in this second; once more, please"));
        }
        self.open = Some(session.at);
        client.sessions.push(session);
        Ok(())
    }

    fn write(&mut self, entry: JournalEntry) -> Result<Option<u32>, Failure> {
        let open = self.open.and_then(|at| self.session(at));
        let session = open.ok_or_else(|| Failure::new("no session is open for this"))?;
        let (at, was_closed) = (session.at, session.closed.is_some());
        let mut number = None;
        match entry {
            JournalEntry::Report(report) => {
                let last = session.reports.keys().chain(session.taken_back.keys()).max();
                let next = last.map_or(1, |last| last + 1);
                session.reports.insert(next, *report);
                number = Some(next);
            }
            JournalEntry::Amend(number, report) => {
                session.reports.insert(number, *report);
            }
            JournalEntry::Narrow(what, at) => session.narrow(what, at),
            JournalEntry::Close { at, note } => {
                session.closed = Some(whole_second(at));
                if !note.is_empty() {
                    session.note = note;
                }
            }
        }
        let is_closed = session.closed.is_some();
        if is_closed {
            self.worked = Some(at);
        }
        if is_closed && !was_closed {
            self.open = None;
        }
        Ok(number)
    }

    fn take_back(&mut self, at: DateTime<FixedOffset>, gone: Option<TakenBack>) {
        let Some(client) = &mut self.client else { return };
        let at = whole_second(at);
        if let Some(gone) = gone {
            let (taken, left) =
                std::mem::take(&mut client.sessions).into_iter().partition(|one| one.at == at);
            let taken: Vec<Session> = taken;
            client.sessions = left;
            client.taken_back.extend(taken.into_iter().map(|session| (session, gone.clone())));
        } else {
            let (back, left) =
                std::mem::take(&mut client.taken_back).into_iter().partition(|(one, _)| one.at == at);
            let back: Vec<(Session, TakenBack)> = back;
            client.taken_back = left;
            client.sessions.extend(back.into_iter().map(|(session, _)| session));
            client.sessions.sort_by_key(|session| session.at);
        }
        self.worked = Some(at);
    }
}

/// There is no walk-in any more.
fn gone() -> Failure {
    Failure::new("this walk-in was let go; F4 begins with another")
}

/// What wants a card and has none.
fn no_card() -> Failure {
    Failure::new("a walk-in has no card; keep one when the block is closed")
}
