//! Threads beside the screens: the list of clients, proofs, what-if questions and pages never make a key wait.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};

use chrono::{DateTime, FixedOffset};

use crate::failure::Failure;
use crate::planner::{Budget, PlanRequest, Planner};

use super::effect::{Effect, Job, Purpose};
use super::event::{ClientList, Event, Reply};
use super::services::{self, PlanMaker, Services};

/// What a thread has done.
#[derive(Debug)]
pub enum Done {
    /// A plan.
    Planned(Box<Reply>),
    /// The clients, for the question of that number.
    Listed(u64, Result<ClientList, Failure>),
    /// Pages, or why there are none.
    Wrote(Result<String, Failure>),
}

/// Takes what a thread has done to whoever waits for it; nobody does any more once the program ends.
pub type Hand = Arc<dyn Fn(Done) + Send + Sync>;

/// A what-if question on its way to its thread.
#[derive(Debug)]
struct WhatIfJob {
    job: Job,
    request: Box<PlanRequest>,
}

/// The services with threads for what takes long.
pub struct Workers {
    services: Services,
    hand: Hand,
    /// Tells the proof that is under way that nobody waits for it any more.
    called_off: Arc<AtomicBool>,
    what_ifs: Sender<WhatIfJob>,
    /// How often the clients were asked for; only the latest answer counts.
    lists: u64,
    /// Pages that are being written.
    pages: Vec<JoinHandle<()>>,
}

impl std::fmt::Debug for Workers {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Workers").field("services", &self.services).finish_non_exhaustive()
    }
}

impl Workers {
    /// Starts the threads.
    pub fn start(services: Services, hand: Hand) -> Self {
        let (what_ifs, questions) = channel();
        answer_what_ifs(questions, Arc::clone(&hand));
        Self { services, hand, called_off: Arc::default(), what_ifs, lists: 0, pages: Vec::new() }
    }

    /// Carries an effect out, or has it carried out beside.
    pub fn perform(&mut self, effect: Effect, now: DateTime<FixedOffset>) -> Vec<Event> {
        match effect {
            Effect::List => {
                self.list();
                Vec::new()
            }
            Effect::Plan(job, Purpose::WhatIf, request) => {
                // A question that nobody answers is as good as one that is not answered yet.
                let _ = self.what_ifs.send(WhatIfJob { job, request });
                Vec::new()
            }
            Effect::Plan(job, Purpose::Main, request) => {
                self.called_off.store(true, Ordering::Relaxed);
                let events = self.services.perform(Effect::Plan(job, Purpose::Main, request.clone()), now);
                let unproven = |event: &Event| matches!(event, Event::Reply(Reply::Planned { plan: Ok(plan), .. }) if !plan.is_proven());
                if events.iter().any(unproven) {
                    self.prove(job, request);
                }
                events
            }
            // A walk-in is on no disk that another thread could read.
            Effect::WritePages(id, wish, folder) if !id.is_of_walk_in() => {
                let write = self.services.page_writer(id, wish, folder, now);
                let hand = Arc::clone(&self.hand);
                self.pages.push(thread::spawn(move || hand(Done::Wrote(write()))));
                Vec::new()
            }
            effect => self.services.perform(effect, now),
        }
    }

    /// What a thread has done, as an event; none if nobody waits for it any more.
    pub fn take(&mut self, done: Done) -> Option<Event> {
        match done {
            Done::Planned(reply) => Some(Event::Reply(*reply)),
            Done::Listed(number, read) if number == self.lists => {
                Some(Event::Reply(self.services.listed(read)))
            }
            Done::Listed(..) => None,
            Done::Wrote(written) => Some(Event::Reply(Reply::Pages(written))),
        }
    }

    /// Reads the clients, so that a name can be typed meanwhile.
    fn list(&mut self) {
        self.lists += 1;
        let (number, read, hand) = (self.lists, self.services.reader(), Arc::clone(&self.hand));
        thread::spawn(move || hand(Done::Listed(number, read())));
    }

    /// Goes on looking for a better plan, or the proof that there is none, while keys are taken.
    fn prove(&mut self, job: Job, request: Box<PlanRequest>) {
        let called_off = Arc::new(AtomicBool::new(false));
        self.called_off = Arc::clone(&called_off);
        let hand = Arc::clone(&self.hand);
        thread::spawn(move || {
            let is_called_off = || called_off.load(Ordering::Relaxed);
            let plan = services::prove(&request, &is_called_off).map(Box::new);
            if !is_called_off() {
                hand(Done::Planned(Box::new(Reply::Planned { job, purpose: Purpose::Main, plan })));
            }
        });
    }
}

impl Drop for Workers {
    /// Pages that were asked for are written, also where the program is left at once.
    fn drop(&mut self) {
        for writer in self.pages.drain(..) {
            // A fault in it was told where it happened.
            let _ = writer.join();
        }
    }
}

fn answer_what_ifs(questions: Receiver<WhatIfJob>, hand: Hand) {
    thread::spawn(move || {
        let mut planner = Planner::new(Budget::FRAME);
        for WhatIfJob { job, request } in questions {
            let plan = PlanMaker::plan(&mut planner, &request).map(Box::new);
            hand(Done::Planned(Box::new(Reply::Planned { job, purpose: Purpose::WhatIf, plan })));
        }
    });
}
