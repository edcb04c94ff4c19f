//! From the plan to the block: consent and the session in the file.

use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::caution::screening::{Weight, questions};
use crate::client::{Consent, ConsentLimit, Correction, Session};
use crate::planner::corrections::corrections;
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
            // Nothing is chosen for the client.
            Some(Ok(_)) => self.pane = Pane::Consent(None),
            // Why stands on the screen.
            Some(Err(_)) => context.shared.say(Tone::Caution, "there is no plan to start yet"),
            None => {}
        }
        Go::Stay
    }

    /// Whether the health check has to be asked first: it is due, and was not asked today, unless a yes stopped.
    fn screen_is_due(&self, context: &Context<'_>) -> bool {
        let today = context.today();
        let Some(client) = &self.client else { return false };
        let profile = &client.profile;
        let stops = |what: &str| questions().iter().any(|it| it.yes == Weight::Stop && it.id == what);
        let asked_today = profile.screening_record(today).screened == Some(today)
            && !profile.open_points(today).any(|(_, open)| stops(&open.what));
        !asked_today && profile.screening_record(today).screen_due(today).is_some()
    }

    /// Why no hand may be laid on the client, however they answer.
    fn no_hands(&self, context: &Context<'_>) -> Option<&'static str> {
        let today = context.today();
        let profile = &self.client.as_ref()?.profile;
        if profile.refuses_hands() {
            return Some("the card says: no hands-on work; b is by themselves, c is the card");
        }
        if self.guardian_missing(context) {
            return Some("under 18 and no guardian's consent on the card: no hands; b is by themselves");
        }
        let is_open = profile.open_points(today).next().is_some();
        is_open.then_some(
            "the health check left something open: no hands until it is settled; b is by themselves",
        )
    }

    /// Whether a minor has no guardian's consent on file.
    fn guardian_missing(&self, context: &Context<'_>) -> bool {
        let today = context.today();
        self.client
            .as_ref()
            .is_some_and(|client| client.profile.screening_record(today).guardian_missing(today))
    }

    /// A letter marks the client's answer, and Enter notes it; nothing is noted before, and nothing is marked at first.
    pub(super) fn act_consent(
        &mut self,
        action: Action,
        marked: Option<Consent>,
        context: &mut Context<'_>,
    ) -> Go {
        match action {
            Action::Agree if let Some(why) = self.no_hands(context) => {
                self.pane = Pane::Consent(None);
                context.shared.say(Tone::Caution, why);
            }
            Action::Agree => self.pane = Pane::Consent(Some(Consent::HandsOn)),
            Action::ByThemselves => self.pane = Pane::Consent(Some(Consent::SelfStretch)),
            Action::Decline => self.pane = Pane::Consent(Some(Consent::Declined)),
            Action::Choose => match marked {
                None => context
                    .shared
                    .say(Tone::Text, "ask the client first: a agrees, b by themselves, d declines"),
                Some(consent) => return self.note(consent, context),
            },
            Action::Massage | Action::Towel => {
                let massage = action == Action::Massage;
                let what = if massage { ConsentLimit::NoMassage } else { ConsentLimit::MatBetween };
                if !self.narrowed.remove(&what) {
                    self.narrowed.insert(what);
                }
                self.what_if.forget(true);
                if massage {
                    self.replan(context);
                }
            }
            Action::Back => self.pane = Pane::Trained,
            _ => {}
        }
        Go::Stay
    }

    /// Notes the client's answer, and begins unless that was a no.
    fn note(&mut self, consent: Consent, context: &mut Context<'_>) -> Go {
        self.consent = consent;
        match consent {
            // The end stays where it was, however long the answer took.
            Consent::HandsOn if self.resumed.is_some() => {
                self.starting = true;
                self.replan(context);
                Go::Stay
            }
            Consent::HandsOn => self.start(context),
            // What the client can do alone: nobody is touched.
            Consent::SelfStretch => {
                self.what_if.forget(true);
                self.starting = true;
                self.replan(context);
                Go::Stay
            }
            Consent::Declined => {
                if self.resumed.is_none() {
                    let session = self.session(context);
                    context.ask(Effect::Open(self.id.clone(), Opening::New(Box::new(session))));
                }
                context.ask(Effect::Write(JournalEntry::Close { at: context.now.wall, note: String::new() }));
                Go::Stay
            }
        }
    }

    /// What the trainer did to the plan, one stretch at a time; a block that is taken again says nothing of each.
    fn corrections(&self, catalogue: &Catalogue) -> Vec<Correction> {
        let mut wishes = self.choice.wishes.clone();
        wishes.pinned.retain(|stretch| !self.choice.of_block.contains(stretch));
        corrections(&wishes, &self.offered, catalogue)
    }

    /// The session as it stands in the file before its first report.
    fn session(&self, context: &Context<'_>) -> Session {
        let mut session = Session {
            trained: self.choice.trained.clone(),
            corrections: self.corrections(&context.shared.catalogue),
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
            self.pane = Pane::Trained;
            self.consent =
                self.client.as_ref().map_or(Consent::HandsOn, |client| client.profile.usual_consent());
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
