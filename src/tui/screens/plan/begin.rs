//! From the plan to the block: consent, the session in the file, and what was cut off before.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::body::{Minutes, Seconds, Side, Unit};
use crate::catalogue::Catalogue;
use crate::client::{Consent, Narrowed, Session};
use crate::planner::Progress;
use crate::tui::app::Context;
use crate::tui::effect::Effect;
use crate::tui::keys::Action;
use crate::tui::screens::{Next, Screen, live, review, screening};
use crate::tui::theme::Tone;
use crate::tui::writer::Writer;

use super::{Part, State};

impl State {
    pub(super) fn ask_consent(&mut self, context: &mut Context<'_>) -> Next {
        match &self.plan {
            Some(Ok(plan)) if plan.steps.is_empty() => {
                context
                    .shared
                    .say(Tone::Caution, "there is no step to do: mark what was trained, or add minutes");
            }
            Some(Ok(_)) if self.screen_is_due(context) => {
                return Next::Open(Box::new(Screen::Screening(Box::new(screening::State::new(
                    self.id.clone(),
                    true,
                )))));
            }
            Some(Ok(_)) => self.part = Part::Consent,
            Some(Err(why)) => context.shared.say(Tone::Caution, why.clone()),
            None => {}
        }
        Next::Stay
    }

    /// Whether the questions before hands-on work have to be asked first.
    fn screen_is_due(&self, context: &Context<'_>) -> bool {
        let today = context.today();
        self.client.as_ref().is_some_and(|client| client.profile.on_file(today).screen_due(today).is_some())
    }

    /// Whether a minor has no guardian's consent on file.
    fn guardian_missing(&self, context: &Context<'_>) -> bool {
        let today = context.today();
        self.client.as_ref().is_some_and(|client| client.profile.on_file(today).guardian_missing(today))
    }

    /// Begins with what the client can do alone: nobody is touched.
    pub(super) fn begin_alone(&mut self, context: &mut Context<'_>) {
        self.consent = Consent::SelfStretch;
        self.ahead.forget(true);
        self.starting = true;
        self.replan(context);
    }

    pub(super) fn act_consent(&mut self, action: Action, context: &mut Context<'_>) -> Next {
        match action {
            Action::HandsOn if self.guardian_missing(context) => {
                let words =
                    "under 18 and no guardian's consent on the card: no hands; s is self-stretch only";
                context.shared.say(Tone::Caution, words);
                Next::Stay
            }
            Action::HandsOn => self.start(context),
            Action::SelfStretch => {
                self.begin_alone(context);
                Next::Stay
            }
            Action::NoMassage | Action::MatBetween => {
                let what =
                    if action == Action::NoMassage { Narrowed::NoMassage } else { Narrowed::MatBetween };
                if !self.narrowed.remove(&what) {
                    self.narrowed.insert(what);
                }
                self.ahead.forget(true);
                if what == Narrowed::NoMassage {
                    self.replan(context);
                }
                Next::Stay
            }
            Action::Decline => {
                self.consent = Consent::Declined;
                if self.carried.is_none() {
                    let session = self.session(context);
                    context.ask(Effect::Begin(self.id.clone(), Box::new(session)));
                }
                context.ask(Effect::Close { at: context.now.wall, note: String::new() });
                Next::Stay
            }
            Action::Back => {
                self.part = Part::Muscles;
                Next::Stay
            }
            _ => Next::Stay,
        }
    }

    /// The session as it stands in the file before its first report.
    fn session(&self, context: &Context<'_>) -> Session {
        Session {
            at: context.now.wall,
            minutes: self.choice.minutes,
            trained: self.choice.trained.clone(),
            consent: self.consent,
            narrowed: self.narrowed.iter().map(|&what| (what, context.now.wall)).collect(),
            reports: BTreeMap::new(),
            closed: None,
            note: String::new(),
        }
    }

    /// Opens the session in the file; the screen follows when that is done.
    pub(super) fn start(&mut self, context: &mut Context<'_>) -> Next {
        if self.plan().is_none_or(|plan| plan.steps.is_empty()) {
            self.part = Part::Muscles;
            self.consent = Consent::HandsOn;
            self.ahead.forget(true);
            context.shared.say(Tone::Caution, "nothing can be done that way; the plan is as it was");
            self.replan(context);
            return Next::Stay;
        }
        if self.carried.is_some() {
            return self.go_live(context);
        }
        let session = self.session(context);
        context.ask(Effect::Begin(self.id.clone(), Box::new(session)));
        Next::Stay
    }

    pub(super) fn go_live(&mut self, context: &mut Context<'_>) -> Next {
        let (Some(plan), Some(client), Some(restrictions)) = (self.plan(), &self.client, &self.restrictions)
        else {
            return Next::Stay;
        };
        if self.consent == Consent::Declined {
            return Next::Stay;
        }
        let mut session = self.carried.clone().unwrap_or_else(|| self.session(context));
        for &what in &self.narrowed {
            if self.carried.is_some() && !session.narrowed.contains_key(&what) {
                session.narrowed.insert(what, context.now.wall);
                context.ask(Effect::Narrow(what, context.now.wall));
            }
        }
        let block = live::State::start(
            Arc::clone(client),
            Arc::clone(restrictions),
            session,
            plan.clone(),
            self.consent,
            self.choice.wishes.clone(),
            context,
        );
        Next::Replace(Box::new(Screen::Live(Box::new(block))))
    }

    pub(super) fn act_cut_off(&mut self, action: Action, context: &mut Context<'_>) -> Next {
        match action {
            Action::Choose => {
                self.part = Part::Muscles;
                context.ask(Effect::Resume(self.id.clone()));
            }
            Action::Finish => {
                context.ask(Effect::Resume(self.id.clone()));
            }
            Action::Back => return Next::Back,
            _ => {}
        }
        Next::Stay
    }

    pub(super) fn resumed(&mut self, found: Option<&Session>, context: &mut Context<'_>) -> Next {
        let Some(session) = found else {
            self.part = Part::Muscles;
            context.shared.say(Tone::Dim, "that session is closed already");
            return Next::Stay;
        };
        if self.part == Part::CutOff {
            let Some(client) = &self.client else { return Next::Stay };
            let writer = Writer::holding(session.reports.keys().copied());
            let review = review::State::new(Arc::clone(client), session.clone(), writer);
            return Next::Replace(Box::new(Screen::Review(Box::new(review))));
        }
        self.choice.trained.clone_from(&session.trained);
        self.choice.minutes = session.minutes;
        let alone =
            session.consent == Consent::SelfStretch || session.narrowed.contains_key(&Narrowed::SelfStretch);
        self.consent = if alone { Consent::SelfStretch } else { Consent::HandsOn };
        // Consent is asked again; what was withdrawn then is agreed to or not by that.
        let narrowed = session.narrowed.keys().filter(|what| **what != Narrowed::Stopped);
        self.narrowed.extend(narrowed.copied());
        self.carried = Some(session.clone());
        self.ahead.forget(true);
        context
            .shared
            .say(Tone::Text, "The rest of that block. Say with + and - how many minutes it was to last.");
        self.replan(context);
        Next::Stay
    }
}

/// What a session that was cut off has done, and how much of its time is left.
pub(super) fn progress_of(session: &Session, minutes: Minutes, catalogue: &Catalogue) -> Progress {
    /// Getting into a step, roughly, where the file does not say.
    const SETUP: Seconds = Seconds::new(10);
    let mut progress =
        Progress { done: BTreeMap::new(), position: None, left: minutes.seconds(), finished: Vec::new() };
    for report in session.reports.values() {
        progress.left = progress.left.saturating_sub(report.held + SETUP);
        progress.finished.push(report.stretch.clone());
        let Some((_, form)) = catalogue.form(&report.stretch, &report.form) else { continue };
        progress.position = Some(form.position);
        for target in &form.targets {
            for side in Side::ALL.iter().filter(|side| report.side.is_none_or(|worked| worked == **side)) {
                let share = Seconds::new(report.held.get() * u32::from(target.share) / 100);
                *progress.done.entry(Unit { muscle: target.muscle, side: *side }).or_default() += share;
            }
        }
    }
    progress.finished.sort();
    progress.finished.dedup();
    progress
}
