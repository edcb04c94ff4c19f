//! Taking up a block that was cut off: what it owes comes first, and it ends when it was to end.

use std::sync::Arc;

use crate::body::{Minutes, Seconds};
use crate::client::{Consent, ConsentLimit, Session};
use crate::failure::Failure;
use crate::planner::{OLDER_FROM, Plan};
use crate::session::Interrupted;
use crate::tui::effect::{Effect, Opening};
use crate::tui::event::Now;
use crate::tui::go::{Go, Reviewed, Visit};
use crate::tui::keys::Action;
use crate::tui::outbox::Outbox;
use crate::tui::shared::Context;
use crate::tui::text;
use crate::tui::theme::Tone;

use super::cut_off::{self, CutOff, CutOffDeed};
use super::resumed::{Resumed, minutes_in};
use super::{Pane, State};

impl State {
    /// How long and until when, where a block is taken up.
    pub(super) fn rest_words(&self, now: Now) -> Option<String> {
        let end = self.resumed.as_ref()?.end(self.choice.minutes, now.wall);
        Some(format!("{} min left until {}", minutes_in(end - now.wall).get(), end.format("%H:%M")))
    }

    /// Sees what is done and owed at this moment, before the rest is planned.
    pub(super) fn work_out_rest(&mut self, context: &Context<'_>) {
        let chosen = self.choice.minutes;
        let (Some(resumed), Some(client), Some(restrictions)) =
            (&mut self.resumed, &self.client, &self.restrictions)
        else {
            return;
        };
        let now = context.now.wall;
        let left = (resumed.end(chosen, now) - now).num_seconds();
        let older = client.profile.age(context.today()).is_some_and(|age| age >= OLDER_FROM);
        resumed.stock = Some(Interrupted::of(
            &resumed.session,
            (self.consent, &self.choice.wishes.skipped),
            Seconds::new(u32::try_from(left).unwrap_or(0)),
            older,
            &context.shared.catalogue,
            restrictions,
        ));
    }

    /// The owed sides with what was planned behind them.
    pub(super) fn with_owed(
        &self,
        rest: Result<Plan, Failure>,
        context: &mut Context<'_>,
    ) -> Result<Plan, Failure> {
        let Some(stock) = self.resumed.as_ref().and_then(|resumed| resumed.stock.as_ref()) else {
            return rest;
        };
        if let (Err(why), 1..) = (&rest, stock.owes().0) {
            context.shared.say(
                Tone::Caution,
                format!("the other sides that are owed, and no more: {}", why.in_a_line()),
            );
        }
        match rest {
            Err(why) if stock.owes().0 == 0 => Err(why),
            rest => Ok(stock.before(rest.ok(), self.choice.minutes)),
        }
    }

    /// The end of a block that is taken up stays where it is while the clock goes on.
    pub(super) fn time_passes(&mut self, context: &mut Context<'_>) {
        let Some(resumed) = &mut self.resumed else { return };
        let left = minutes_in(resumed.end(self.choice.minutes, context.now.wall) - context.now.wall);
        let gone = i64::from(self.choice.minutes.get()) - i64::from(left.get());
        if gone == 0 {
            return;
        }
        let less = |minutes: Minutes| Minutes::new(i64::from(minutes.get()) - gone).unwrap_or(left);
        resumed.end.1 = less(resumed.end.1);
        for choice in self.past.iter_mut().chain([&mut self.choice]) {
            choice.minutes = less(choice.minutes);
        }
        self.replan(context);
    }

    /// Asks about the blocks that were cut off, if there are some.
    pub(super) fn ask_about_cut_off(&mut self, asked: CutOff) {
        let left = self.client.as_deref().and_then(|client| asked.go_on(client));
        self.pane = left.map_or_else(|| self.pane.clone(), Pane::CutOff);
    }

    pub(super) fn act_cut_off(&mut self, action: Action, mut asked: CutOff, context: &mut Context<'_>) -> Go {
        let Some(client) = self.client.as_deref() else { return Go::Stay };
        let meant = asked.act(action, client);
        self.pane = Pane::CutOff(asked);
        let who = self.id.clone();
        match meant {
            CutOffDeed::GoOn(at) => {
                self.pane = Pane::Trained;
                context.ask(Effect::Open(who, Opening::TakeUp(at)));
            }
            CutOffDeed::Finish(at) => context.ask(Effect::Open(who, Opening::TakeUp(at))),
            CutOffDeed::Drop(at) => {
                self.dropped = Some(at);
                context.ask(Effect::TakeBack { who, at, is_gone: true });
            }
            CutOffDeed::Wait => {
                self.pane = Pane::Trained;
                context.shared.say(Tone::Text, "left open: it is offered again");
            }
            CutOffDeed::Leave => return Go::Back,
            CutOffDeed::Stay => {}
        }
        Go::Stay
    }

    /// What was dropped last counts again, and is asked about; whether there was something.
    pub(super) fn take_back_drop(&mut self, context: &mut Context<'_>) -> bool {
        let Some(at) = self.dropped.take() else { return false };
        self.pane = Pane::CutOff(CutOff::default());
        context.ask(Effect::TakeBack { who: self.id.clone(), at, is_gone: false });
        context.shared.say(Tone::Text, "it counts again");
        true
    }

    pub(super) fn take_resumed(&mut self, found: Option<&Session>, context: &mut Context<'_>) -> Go {
        let Some(session) = found else {
            self.pane = Pane::Trained;
            context.shared.say(Tone::Dim, "that session is closed already");
            return Go::Stay;
        };
        if matches!(self.pane, Pane::CutOff(_)) {
            let Some(client) = &self.client else { return Go::Stay };
            let outbox = Outbox::holding(session.reports.keys().copied());
            let end = cut_off::end_of(session, client, context.now.wall);
            let (client, session) = (Arc::clone(client), session.clone());
            return Go::Replace(Visit::Review(Box::new(Reviewed { client, session, outbox, end })));
        }
        let resumed = Resumed::new(session, context.now.wall);
        self.choice.trained.clone_from(&session.trained);
        self.choice.minutes = resumed.end.1;
        let alone = self.refuses_hands()
            || session.consent == Consent::SelfStretch
            || session.is_narrowed(ConsentLimit::SelfStretch);
        self.consent = if alone { Consent::SelfStretch } else { Consent::HandsOn };
        // Consent is asked again; what was withdrawn then is agreed to or not by that.
        let narrowed = session.limits().filter(|what| *what != ConsentLimit::Stopped);
        self.narrowed.extend(narrowed);
        self.resumed = Some(resumed);
        self.what_if.forget(true);
        self.replan(context);
        let stock = self.resumed.as_ref().and_then(|resumed| resumed.stock.as_ref());
        let owed = match stock.map(Interrupted::owes).unwrap_or_default() {
            (0, 0) => String::new(),
            (owed, 0) => format!(", {} first", text::count(owed, "other side")),
            (owed, unfit) => {
                format!(", {} first, {unfit} more do not fit", text::count(owed, "other side"))
            }
        };
        let time = self.rest_words(context.now).unwrap_or_default();
        context.shared.say(Tone::Text, format!("The rest of that block{owed}: {time}; + and - change it."));
        Go::Stay
    }
}
