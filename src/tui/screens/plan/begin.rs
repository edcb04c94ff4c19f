//! From the plan to the block: consent and the session in the file.

use std::sync::Arc;

use crate::client::{Consent, ConsentLimit, Session};
use crate::tui::effect::{Effect, JournalEntry, Opening};
use crate::tui::go::{Go, Start, Visit};
use crate::tui::keys::Action;
use crate::tui::shared::Context;
use crate::tui::theme::Tone;

use super::{Pane, State};

impl State {
    pub(super) fn ask_consent(&mut self, context: &mut Context<'_>) -> Go {
        match &self.plan {
            Some(Ok(plan)) if plan.steps.is_empty() => {
                context
                    .shared
                    .say(Tone::Caution, "there is no step to do: mark what was trained, or add minutes");
            }
            Some(Ok(_)) if self.screen_is_due(context) => {
                return Go::Open(Visit::Health { who: self.id.clone(), then_begin: true });
            }
            Some(Ok(_)) => self.pane = Pane::Consent,
            // Why stands on the screen.
            Some(Err(_)) => context.shared.say(Tone::Caution, "there is no plan to start yet"),
            None => {}
        }
        Go::Stay
    }

    /// Whether the questions before hands-on work have to be asked first.
    fn screen_is_due(&self, context: &Context<'_>) -> bool {
        let today = context.today();
        self.client
            .as_ref()
            .is_some_and(|client| client.profile.screening_record(today).screen_due(today).is_some())
    }

    /// Whether a minor has no guardian's consent on file.
    fn guardian_missing(&self, context: &Context<'_>) -> bool {
        let today = context.today();
        self.client
            .as_ref()
            .is_some_and(|client| client.profile.screening_record(today).guardian_missing(today))
    }

    /// Begins with what the client can do alone: nobody is touched.
    pub(super) fn begin_alone(&mut self, context: &mut Context<'_>) {
        self.consent = Consent::SelfStretch;
        self.what_if.forget(true);
        self.starting = true;
        self.replan(context);
    }

    pub(super) fn act_consent(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        match action {
            Action::HandsOn if self.guardian_missing(context) => {
                let words =
                    "under 18 and no guardian's consent on the card: no hands; s is self-stretch only";
                context.shared.say(Tone::Caution, words);
                Go::Stay
            }
            // The end stays where it was, however long the answer took.
            Action::HandsOn if self.resumed.is_some() => {
                self.starting = true;
                self.replan(context);
                Go::Stay
            }
            Action::HandsOn => self.start(context),
            Action::Choose => {
                context.shared.say(Tone::Text, "ask the client: y yes, s self-stretch, n no");
                Go::Stay
            }
            Action::SelfStretch => {
                self.begin_alone(context);
                Go::Stay
            }
            Action::NoMassage | Action::MatBetween => {
                let what = if action == Action::NoMassage {
                    ConsentLimit::NoMassage
                } else {
                    ConsentLimit::MatBetween
                };
                if !self.narrowed.remove(&what) {
                    self.narrowed.insert(what);
                }
                self.what_if.forget(true);
                if what == ConsentLimit::NoMassage {
                    self.replan(context);
                }
                Go::Stay
            }
            Action::Decline => {
                self.consent = Consent::Declined;
                if self.resumed.is_none() {
                    let session = self.session(context);
                    context.ask(Effect::Open(self.id.clone(), Opening::New(Box::new(session))));
                }
                context.ask(Effect::Write(JournalEntry::Close { at: context.now.wall, note: String::new() }));
                Go::Stay
            }
            Action::Back => {
                self.pane = Pane::Muscles;
                Go::Stay
            }
            _ => Go::Stay,
        }
    }

    /// The session as it stands in the file before its first report.
    fn session(&self, context: &Context<'_>) -> Session {
        let mut session = Session {
            trained: self.choice.trained.clone(),
            ..Session::new(context.now.wall, self.choice.minutes, self.consent)
        };
        for &what in &self.narrowed {
            session.narrow(what, context.now.wall);
        }
        session
    }

    /// Opens the session in the file; the screen follows when that is done.
    pub(super) fn start(&mut self, context: &mut Context<'_>) -> Go {
        if self.plan().is_none_or(|plan| plan.steps.is_empty()) {
            self.pane = Pane::Muscles;
            self.consent = Consent::HandsOn;
            self.what_if.forget(true);
            context.shared.say(Tone::Caution, "nothing can be done that way; the plan is as it was");
            self.replan(context);
            return Go::Stay;
        }
        if self.resumed.is_some() {
            return self.go_live(context);
        }
        let session = self.session(context);
        context.ask(Effect::Open(self.id.clone(), Opening::New(Box::new(session))));
        Go::Stay
    }

    pub(super) fn go_live(&mut self, context: &mut Context<'_>) -> Go {
        let (Some(plan), Some(client), Some(restrictions)) = (self.plan(), &self.client, &self.restrictions)
        else {
            return Go::Stay;
        };
        if self.consent == Consent::Declined {
            return Go::Stay;
        }
        let session =
            self.resumed.as_ref().map_or_else(|| self.session(context), |resumed| resumed.session.clone());
        let is_new = |what: &&ConsentLimit| self.resumed.is_some() && !session.is_narrowed(**what);
        let narrowed: Vec<ConsentLimit> = self.narrowed.iter().filter(is_new).copied().collect();
        Go::Replace(Visit::Live(Box::new(Start {
            client: Arc::clone(client),
            restrictions: Arc::clone(restrictions),
            session,
            plan: plan.clone(),
            consent: self.consent,
            narrowed,
            wishes: self.choice.wishes.clone(),
        })))
    }
}
