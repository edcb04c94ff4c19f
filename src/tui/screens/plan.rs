//! What do we do in these minutes? The plan follows every key.

mod act;
mod asking;
mod begin;
mod blocks;
mod consent;
mod consent_lines;
mod cut_off;
mod draw;
mod left_out;
mod lines;
pub mod muscles;
mod rest;
mod resumed;
mod steps;
pub mod what_if;
pub mod worth;

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, NaiveDate, Timelike};

use crate::body::{Minutes, Side, Unit};
use crate::catalogue::StretchId;
use crate::caution::Restrictions;
use crate::client::{Client, ClientId, Consent, ConsentLimit, Trained};
use crate::failure::Failure;
use crate::planner::corrections::{Offered, offered};
use crate::planner::{Omission, Plan, Step, Today, Wishes};
use crate::tui::effect::{Effect, Job, Opening, Purpose};
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::shared::{Chosen, Context};
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;

use cut_off::CutOff;
use left_out::omissions;
use muscles::Picker;
use resumed::Resumed;
use what_if::{WhatIf, WhatIfQuestion};

/// The part of the screen that keys go to.
#[derive(Debug, Clone, PartialEq)]
enum Pane {
    Trained,
    Steps,
    /// What was left out, and whether it is looked for by its letters.
    LeftOut {
        finding: bool,
    },
    /// The answer that is marked and not noted yet.
    Consent(Option<Consent>),
    /// The time of day to end at, as it is typed.
    EndAt(Field),
    /// What to do about sessions that were cut off.
    CutOff(CutOff),
    /// Blocks to take again, and the name to keep this one by, as it is typed.
    Blocks {
        chosen: usize,
        naming: Option<Field>,
    },
}

/// More rows than the words in full ever are.
const MOST_LINES: u16 = 200;

/// The plan of one client.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    client: Option<Arc<Client>>,
    /// The day on which that was taken in.
    learnt: Option<NaiveDate>,
    /// What a plan is asked with.
    today: Option<Arc<Today>>,
    restrictions: Option<Arc<Restrictions>>,
    choice: Chosen,
    past: Vec<Chosen>,
    pane: Pane,
    picker: Picker,
    step: usize,
    omitted: usize,
    /// From which row on all words about the chosen step, or before the first touch, stand over the rest.
    in_full: Option<u16>,
    /// What was typed to find something that was left out.
    filter: Field,
    job: Job,
    plan: Option<Result<Plan, Failure>>,
    /// What the plan had of its own accord, before anything was put in or left out.
    offered: Offered,
    what_if: WhatIf,
    consent: Consent,
    /// What the client takes out of it.
    narrowed: BTreeSet<ConsentLimit>,
    /// Whether the block starts as soon as the plan is there.
    starting: bool,
    /// A session that was cut off and is taken up.
    resumed: Option<Resumed>,
    /// The one that is taken up without asking.
    take_up: Option<DateTime<FixedOffset>>,
    /// The session that was dropped last.
    dropped: Option<DateTime<FixedOffset>>,
}

impl State {
    /// A plan for a client, nothing marked yet; for the rest of a block that was cut off, if one is taken up.
    pub fn new(id: ClientId, take_up: Option<DateTime<FixedOffset>>) -> Self {
        let minutes = Minutes::new(10).expect("ten is within the bounds");
        Self {
            id,
            client: None,
            learnt: None,
            today: None,
            restrictions: None,
            choice: Chosen {
                trained: Trained::new(),
                minutes,
                wishes: Wishes::default(),
                of_block: Vec::new(),
            },
            past: Vec::new(),
            pane: Pane::Trained,
            picker: Picker::default(),
            step: 0,
            omitted: 0,
            in_full: None,
            filter: Field::default(),
            job: Job::default(),
            plan: None,
            offered: Offered::new(),
            what_if: WhatIf::default(),
            consent: Consent::HandsOn,
            narrowed: BTreeSet::new(),
            starting: false,
            resumed: None,
            take_up,
            dropped: None,
        }
    }

    /// Whose it is.
    pub const fn id(&self) -> &ClientId {
        &self.id
    }

    /// The keys that hold now.
    pub const fn mode(&self) -> Mode {
        match self.pane {
            Pane::Trained => Mode::Trained,
            Pane::Steps => Mode::Steps,
            Pane::LeftOut { finding: true } => Mode::LeftOutFind,
            Pane::LeftOut { finding: false } => Mode::LeftOut,
            Pane::Consent(_) => Mode::Consent,
            Pane::EndAt(_) => Mode::EndAt,
            Pane::CutOff(CutOff { dropping: false, .. }) => Mode::CutOff,
            Pane::CutOff(CutOff { dropping: true, .. }) => Mode::CutOffDrop,
            Pane::Blocks { naming: None, .. } => Mode::Blocks,
            Pane::Blocks { naming: Some(_), .. } => Mode::BlockName,
        }
    }

    /// Why there must be no session today, if so.
    fn stop(&self) -> Option<&str> {
        self.restrictions.as_ref().and_then(|restrictions| restrictions.stop())
    }

    /// Muscles that nothing may reach today.
    fn off_limits(&self) -> &BTreeSet<Unit> {
        static NONE: BTreeSet<Unit> = BTreeSet::new();
        self.today.as_ref().map_or(&NONE, |today| &today.off_limits)
    }

    fn plan(&self) -> Option<&Plan> {
        self.plan.as_ref().and_then(|plan| plan.as_ref().ok())
    }

    /// The next side question, if there is one to ask.
    fn question(&self) -> Option<WhatIfQuestion> {
        let plan = self.plan().filter(|_| self.resumed.is_none())?;
        let mut looked_at =
            if matches!(self.pane, Pane::LeftOut { .. }) { self.omitted() } else { Vec::new() };
        // From the chosen one on.
        let from = self.omitted.min(looked_at.len());
        looked_at.rotate_left(from);
        self.what_if.next(plan, &looked_at)
    }

    /// What was left out and matches what was typed.
    fn omitted(&self) -> Vec<&Omission> {
        let mut omitted = self.plan().map(omissions).unwrap_or_default();
        omitted.retain(|left| text::matches(&left.name, self.filter.text()));
        omitted
    }

    /// How long nothing changes: side questions are asked when no key waits; the end's clock time moves on.
    pub fn next_wake(&self, now: Now) -> Option<Duration> {
        if self.question().is_some() {
            return Some(Duration::ZERO);
        }
        Some(Duration::from_secs(60 - u64::from(now.wall.second().min(59))))
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        match event {
            ScreenEvent::Opened => {
                self.choice.minutes = context.shared.trainer.minutes;
                if let Some(marked) = context.shared.marked.remove(&self.id)
                    && marked.on == context.today()
                {
                    self.choice = marked.chosen;
                }
                context.ask(Effect::Load(self.id.clone()));
                Go::Stay
            }
            ScreenEvent::Shown => {
                context.ask(Effect::Load(self.id.clone()));
                Go::Stay
            }
            ScreenEvent::Woke => {
                self.time_passes(context);
                self.ask_what_if(context);
                Go::Stay
            }
            ScreenEvent::Action(action) => self.act(*action, context),
            ScreenEvent::Reply(reply) => self.take_reply(reply, context),
            ScreenEvent::Leave | ScreenEvent::Dropped | ScreenEvent::Pressing(_) | ScreenEvent::Pressed => {
                Go::Stay
            }
        }
    }

    /// Where the chosen stretch and side stand in a new plan, or what stands there now.
    fn follow(&self, chosen: Option<(StretchId, Option<Side>)>) -> usize {
        let steps = self.plan().map_or(&[][..], |plan| &plan.steps);
        let (stretch, side) = chosen.unzip();
        let of_stretch = |step: &&Step| Some(&step.stretch) == stretch.as_ref();
        let found = steps.iter().filter(of_stretch).find(|step| Some(step.side) == side);
        let found = found.or_else(|| steps.iter().find(of_stretch));
        let at = found.and_then(|found| steps.iter().position(|step| std::ptr::eq(step, found)));
        at.unwrap_or(self.step).min(steps.len().saturating_sub(1))
    }

    fn take_reply(&mut self, reply: &Reply, context: &mut Context<'_>) -> Go {
        match reply {
            Reply::Client(id, Ok(client)) if *id == self.id => {
                self.learn(client, context);
                Go::Stay
            }
            // What is sore on the trainer changes what goes.
            Reply::Trainer(Ok(_)) if self.client.is_some() => {
                self.plan_anew(context);
                Go::Stay
            }
            Reply::Planned { job, purpose: Purpose::Main, plan } if *job == self.job => {
                let chosen = self.plan().and_then(|plan| plan.steps.get(self.step));
                let chosen = chosen.map(|step| (step.stretch.clone(), step.side));
                self.plan = Some(self.with_owed(plan.clone().map(|plan| *plan), context));
                if let Some(Ok(plan)) = &self.plan {
                    self.what_if.about(plan);
                    if self.choice.wishes.corrects_nothing() {
                        self.offered = offered(plan);
                    }
                }
                self.step = self.follow(chosen);
                if std::mem::take(&mut self.starting) { self.start(context) } else { Go::Stay }
            }
            Reply::Planned { job, purpose: Purpose::WhatIf, plan } if *job == self.job => {
                if let Some(Ok(now)) = &self.plan {
                    self.what_if.answer(now, plan.as_deref().ok());
                }
                Go::Stay
            }
            Reply::Begun(Ok(())) => self.go_live(context),
            Reply::Written(Ok(None)) if self.consent == Consent::Declined => {
                let words = if self.id.is_of_walk_in() {
                    context.ask(Effect::LetWalkInGo);
                    "Declined. No closing block today; nothing of the walk-in is kept."
                } else {
                    "Declined; that is noted. No closing block today."
                };
                context.shared.say(Tone::Good, words);
                Go::Home
            }
            Reply::Saved(id, Ok(())) if *id == self.id && self.mode() == Mode::CutOffDrop => {
                context.shared.say(Tone::Good, "dropped: it counts for nothing; Ctrl-Z takes that back");
                Go::Stay
            }
            Reply::TakenUp(id, Ok(found)) if *id == self.id => self.take_resumed(found.as_deref(), context),
            _ => Go::Stay,
        }
    }

    /// Takes in who the client is and what is in force.
    fn learn(&mut self, client: &Client, context: &mut Context<'_>) {
        let today = context.today();
        if self.plan.is_some() && self.learnt == Some(today) && self.client.as_deref() == Some(client) {
            // Nothing is new: the plan, which may have been proven meanwhile, stands.
            return;
        }
        self.learnt = Some(today);
        let first = self.client.is_none();
        self.begin_consent(first, client);
        let worked = context.shared.minutes_before(context.now.wall);
        let today =
            Today::of(Arc::new(client.clone()), Arc::clone(&context.shared.catalogue), today).after(worked);
        self.restrictions = Some(Arc::clone(&today.restrictions));
        self.client = Some(Arc::clone(&today.client));
        self.today = Some(Arc::new(today));
        if let (true, Some(at)) = (first, self.take_up) {
            context.ask(Effect::Open(self.id.clone(), Opening::TakeUp(at)));
        } else if first {
            self.ask_about_cut_off(CutOff::default());
        } else if let Pane::CutOff(asked) = self.pane {
            self.pane = Pane::Trained;
            self.ask_about_cut_off(asked);
        }
        self.plan_anew(context);
    }

    /// Changes what is chosen, so that it can be undone, and plans again.
    fn change(&mut self, context: &mut Context<'_>, change: impl FnOnce(&mut Self)) {
        let before = self.choice.clone();
        change(self);
        if self.choice != before {
            let only_minutes = Chosen { minutes: before.minutes, ..self.choice.clone() } == before;
            self.what_if.forget(!only_minutes);
            self.past.push(before);
            self.replan(context);
        }
    }

    fn act(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        // Whatever is pressed, the words give way again.
        let was_in_full = self.in_full.take();
        match action {
            Action::InFull => {
                self.in_full = if was_in_full.is_none() { Some(0) } else { None };
                return Go::Stay;
            }
            Action::Up | Action::Down if let Some(first) = was_in_full => {
                let by = if action == Action::Up { -1 } else { 1 };
                self.in_full = Some(first.saturating_add_signed(by).min(MOST_LINES));
                return Go::Stay;
            }
            Action::Back if was_in_full.is_some() => return Go::Stay,
            Action::Undo => {
                if let Some(before) = self.past.pop() {
                    self.choice = before;
                    self.what_if.forget(true);
                    self.replan(context);
                } else if !self.take_back_drop(context) {
                    context.shared.say(Tone::Dim, "nothing to take back");
                }
                return Go::Stay;
            }
            Action::OpenCard => {
                return Go::Open(Visit::Card(CardOf::Known(self.id.clone())));
            }
            Action::OpenHistory => {
                return Go::Open(Visit::History(self.id.clone()));
            }
            // From the health check.
            Action::Begin if matches!(self.pane, Pane::Trained) => return self.ask_consent(context),
            Action::More | Action::Fewer | Action::MinutesLeft(_)
                if matches!(self.pane, Pane::Trained | Pane::Steps) =>
            {
                self.set_minutes(action, context);
                return Go::Stay;
            }
            Action::Blocks if matches!(self.pane, Pane::Trained | Pane::Steps) => {
                self.pane = Pane::Blocks { chosen: 0, naming: None };
                return Go::Stay;
            }
            Action::EndAt if matches!(self.pane, Pane::Trained | Pane::Steps) => {
                self.pane = Pane::EndAt(Field::default());
                return Go::Stay;
            }
            _ => {}
        }
        match self.pane {
            Pane::Trained => self.act_muscles(action, context),
            Pane::Steps => self.act_steps(action, context),
            Pane::LeftOut { finding } => self.act_left_out(action, finding, context),
            Pane::Consent(marked) => self.act_consent(action, marked, context),
            Pane::EndAt(_) => self.act_clock(action, context),
            Pane::CutOff(asked) => self.act_cut_off(action, asked, context),
            Pane::Blocks { .. } => self.act_blocks(action, context),
        }
    }
}
