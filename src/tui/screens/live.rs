//! What now, and how long? The block runs by itself; every key is for what goes differently.

mod aloud;
mod by_remote;
mod count;
pub mod draw;
mod layout;
mod lines;
mod rest;
mod saved;
pub(super) mod words;

use std::sync::Arc;
use std::time::Duration;

use crate::body::{Level, Minutes, Seconds};
use crate::caution::Restrictions;
use crate::client::{Client, Consent, ConsentLimit, Session, Touch};
use crate::planner::Wishes;
use crate::session::{Bell, Control as Press, Live, Outcome, Pause};
use crate::tui::effect::{Effect, Job, Purpose};
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{Go, Reviewed, Start, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::outbox::Outbox;
use crate::tui::remote::Remote;
use crate::tui::shared::Context;
use crate::tui::text;
use crate::tui::theme::Tone;

use crate::words::date::time_of_day;

use aloud::Aloud;

/// How much longer or shorter one key makes a hold.
const HOLD_BY: Seconds = Seconds::new(5);

/// What one key adds to the minutes that are left, or takes off them, in seconds.
const MINUTE: i32 = 60;

/// Lines about a step that can be gone through.
const MOST_LINES: u16 = 60;

/// What lies over the block while it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum LiveSheet {
    Nothing,
    /// What is still agreed to; whether taking it back is marked.
    Less(bool),
    /// Hands off; whether taking consent back is marked.
    Stop(bool),
}

/// The running block of one client.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    client: Arc<Client>,
    restrictions: Arc<Restrictions>,
    session: Session,
    live: Live,
    wishes: Wishes,
    outbox: Outbox,
    sheet: LiveSheet,
    job: Job,
    /// Whether the hold ends in a few seconds.
    soon: bool,
    /// All about the step is shown, from this line on.
    in_full: Option<u16>,
    aloud: Aloud,
    remote: Remote,
    /// Whether it was said that leaving loses the block of a walk-in.
    warned: bool,
}

impl State {
    /// Starts the block of a plan, in a session that is open in the file.
    pub fn start(start: Start, context: &mut Context<'_>) -> Self {
        let Start { client, restrictions, session, plan, consent, narrowed, wishes } = start;
        let live = Live::start(&plan, consent, context.now.moment)
            .with_reports(session.reports.clone())
            .with_catalogue(&context.shared.catalogue);
        let outbox = Outbox::holding(session.reports.keys().copied());
        context.shared.farewell = None;
        let mut state = Self {
            client,
            restrictions,
            session,
            live,
            wishes,
            outbox,
            sheet: LiveSheet::Nothing,
            job: Job::default(),
            soon: false,
            in_full: None,
            aloud: Aloud::default(),
            remote: Remote::new(context.shared.remote.has_two()),
            warned: false,
        };
        for what in narrowed {
            state.narrow(what, context);
        }
        state
    }

    /// The keys that hold now.
    pub fn mode(&self) -> Mode {
        match self.sheet {
            LiveSheet::Less(_) => Mode::Less,
            LiveSheet::Stop(_) => Mode::Stop,
            LiveSheet::Nothing if self.live.stopped_for_pain().is_some() => Mode::Pain,
            LiveSheet::Nothing if self.live.paused().is_some() => Mode::Paused,
            LiveSheet::Nothing => Mode::Live,
        }
    }

    /// How long nothing changes by itself.
    pub fn next_wake(&self, now: Now) -> Option<Duration> {
        let remote = self.remote.next_wake(now.moment);
        let aloud = self.aloud.next_wake(now.moment);
        self.live.next_wake(now.moment).into_iter().chain(remote).chain(aloud).min()
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let now = context.now.moment;
        match event {
            ScreenEvent::Pressed | ScreenEvent::Woke | ScreenEvent::Opened | ScreenEvent::Shown => {
                let outcomes = self.live.wake(now);
                let next = self.follow(outcomes, context);
                self.aloud.confirm(false, &self.live, context);
                match next {
                    Go::Stay => self.wake_remote(context),
                    next => next,
                }
            }
            ScreenEvent::Action(Action::Remote(button)) => self.press_button(*button, context),
            ScreenEvent::Action(action) => {
                self.remote.put_down();
                self.outbox.retry(context.effects);
                match self.act(*action, context) {
                    Go::Stay => self.review_if_over(context),
                    next => next,
                }
            }
            ScreenEvent::Reply(Reply::Planned { job, purpose: Purpose::Rest, plan }) if *job == self.job => {
                let outcomes = if let Ok(plan) = plan {
                    let left = Seconds::new(self.live.snapshot(now).until_due.max(0).unsigned_abs());
                    let up = context.now.wall + chrono::TimeDelta::seconds(left.get().into());
                    let words = format!("the rest is planned again, up at {}", time_of_day(up));
                    context.shared.say(Tone::Good, words);
                    self.live.replace_rest(plan, now)
                } else {
                    let outcomes = self.live.keep_what_fits(now);
                    context.shared.say(Tone::Caution, words::kept(&self.live, context.now.moment));
                    outcomes
                };
                self.follow(outcomes, context)
            }
            ScreenEvent::Reply(reply) => {
                self.outbox.take_reply(reply, context.effects);
                self.aloud.confirm(self.outbox.is_idle(), &self.live, context);
                self.review_if_over(context)
            }
            ScreenEvent::Dropped | ScreenEvent::Pressing(_) => Go::Stay,
            ScreenEvent::Leave => {
                let outcomes = self.live.wake(now);
                self.follow(outcomes, context);
                self.cut_off(context);
                self.outbox.retry(context.effects);
                Go::Stay
            }
        }
    }

    /// Writes down what is under way, before the block is left to be taken up another time.
    fn cut_off(&mut self, context: &mut Context<'_>) {
        if !self.live.is_finished() {
            self.press(Press::CutOff, context);
        }
    }

    /// Presses something on the block.
    fn press(&mut self, press: Press, context: &mut Context<'_>) -> Go {
        let outcomes = self.live.control(press, context.now.moment);
        self.follow(outcomes, context)
    }

    /// Does what the block asks for.
    fn follow(&mut self, outcomes: Vec<Outcome>, context: &mut Context<'_>) -> Go {
        for outcome in outcomes {
            match outcome {
                Outcome::Bell(bell) => {
                    self.soon = bell == Bell::Soon;
                    context.ask(Effect::Bell);
                }
                Outcome::Report(number, mut report) | Outcome::Amend(number, mut report) => {
                    report.measured_with(context.shared.trainer.instrument.as_ref());
                    self.outbox.report(number, report, context.effects);
                }
                Outcome::Replan(progress) => self.ask_rest(progress, context),
                Outcome::Unseen(gap) => {
                    let words =
                        format!("nothing was seen for {gap}; the block waits where it was, Space goes on");
                    context.shared.say(Tone::Caution, words);
                }
                Outcome::Ignored(why) => context.shared.say(Tone::Dim, why),
                Outcome::Undone(what) => {
                    self.aloud.forget();
                    context.shared.say(Tone::Good, words::undone(what));
                }
                Outcome::Cue(cue) => {
                    let phase = self.live.snapshot(context.now.moment);
                    self.aloud.cue(cue, &phase, context);
                }
                Outcome::Finished => {}
            }
        }
        self.review_if_over(context)
    }

    fn review_if_over(&mut self, context: &mut Context<'_>) -> Go {
        // What the disk does not take goes along: the review tries again, and can save it elsewhere.
        let waits = !self.outbox.is_idle() && self.outbox.failed().is_none();
        let moment = context.now.moment;
        let is_over = self.live.is_finished() && !waits;
        if !is_over || self.remote.waits_for_the_last(self.live.snapshot(moment).is_asked, moment) {
            return Go::Stay;
        }
        let session = Session { reports: self.live.reports(), ..self.session.clone() };
        if self.outbox.is_idle() {
            let steps = text::count(self.outbox.saved(), "step");
            let saved = self.saved_word();
            context.shared.say(Tone::Good, format!("{saved}, {steps}"));
            if let Some(farewell) = &mut context.shared.farewell {
                farewell.note_saved(self.outbox.saved());
            }
        }
        let (client, outbox) = (Arc::clone(&self.client), self.outbox.clone());
        Go::Replace(Visit::Review(Box::new(Reviewed { client, session, outbox, end: None })))
    }

    fn act(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let sheet = self.sheet;
        match (sheet, action) {
            // Pain and stop come before whatever lies over the block; a second press is no second pain.
            (_, Action::Pain) if self.live.stopped_for_pain().is_some() => Go::Stay,
            (_, Action::Pain) => {
                (self.sheet, self.in_full) = (LiveSheet::Nothing, None);
                self.press(Press::Pain, context)
            }
            (_, Action::Stop) => {
                (self.sheet, self.in_full) = (LiveSheet::Stop(false), None);
                self.press(Press::Stop, context)
            }
            (LiveSheet::Nothing, action) => self.act_running(action, context),
            (LiveSheet::Less(marked) | LiveSheet::Stop(marked), action) => {
                self.act_sheet(action, marked, context).unwrap_or(Go::Stay)
            }
        }
    }

    /// Lays a sheet over the block, which stands while it is there.
    fn open(&mut self, sheet: LiveSheet, context: &mut Context<'_>) -> Go {
        (self.sheet, self.in_full) = (sheet, None);
        if self.live.paused().is_some() { Go::Stay } else { self.press(Press::Pause, context) }
    }

    /// Keys of the sheets; none where a key means nothing there. Taking consent back takes two different keys.
    fn act_sheet(&mut self, action: Action, marked: bool, context: &mut Context<'_>) -> Option<Go> {
        let is_stop = matches!(self.sheet, LiveSheet::Stop(_));
        let mark = |marked| if is_stop { LiveSheet::Stop(marked) } else { LiveSheet::Less(marked) };
        match action {
            Action::Decline => {
                self.sheet = mark(true);
                context.shared.say(Tone::Strong, "consent taken back: Enter notes it with the time");
                return None;
            }
            Action::Choose if !marked => return None,
            Action::Back if is_stop => return Some(self.leave(context)),
            _ => self.sheet = LiveSheet::Nothing,
        }
        Some(match action {
            Action::Choose => {
                self.narrow(ConsentLimit::Stopped, context);
                self.press(Press::Withdraw(Consent::Declined), context)
            }
            Action::ByThemselves => {
                self.narrow(ConsentLimit::SelfStretch, context);
                self.press(Press::Withdraw(Consent::SelfStretch), context)
            }
            Action::Massage => {
                self.narrow(ConsentLimit::NoMassage, context);
                self.wishes_no_massage(context)
            }
            Action::Towel => {
                self.narrow(ConsentLimit::MatBetween, context);
                self.press(Press::Resume, context)
            }
            Action::Finish => self.press(Press::Finish, context),
            Action::Pause => self.press(Press::Resume, context),
            Action::Back => Go::Stay,
            _ => {
                // A key that means nothing there leaves the sheet as it was.
                self.sheet = mark(marked);
                return None;
            }
        })
    }

    /// Leaves the block, which is kept and can be taken up.
    fn leave(&mut self, context: &mut Context<'_>) -> Go {
        self.cut_off(context);
        context.ask(Effect::Release);
        context.shared.say(Tone::Text, "the block is kept as it is; it can be taken up");
        Go::Home
    }

    /// Notes at once what the client takes out of the consent.
    fn narrow(&mut self, what: ConsentLimit, context: &mut Context<'_>) {
        let at = context.now.wall;
        self.session.narrow(what, at);
        self.outbox.narrow(what, at, context.effects);
    }

    fn wishes_no_massage(&mut self, context: &mut Context<'_>) -> Go {
        // A plan for the rest must not bring it back.
        Arc::make_mut(&mut self.client).profile.agree(Touch::Massage, false, context.today(), "");
        let next = self.press(Press::NoMassage, context);
        if self.live.is_finished() { next } else { self.press(Press::Resume, context) }
    }

    fn act_running(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let snapshot = self.live.snapshot(context.now.moment);
        let paused = snapshot.paused;
        match action {
            Action::Digit(digit) => self.answer(digit, context),
            Action::InFull => {
                self.in_full = if self.in_full.is_some() { None } else { Some(0) };
                Go::Stay
            }
            Action::Up | Action::Down if let Some(first) = self.in_full => {
                let by = if action == Action::Up { -1 } else { 1 };
                self.in_full = Some(first.saturating_add_signed(by).min(MOST_LINES));
                Go::Stay
            }
            Action::Back if self.in_full.is_some() => {
                self.in_full = None;
                Go::Stay
            }
            Action::Pause => self.press(if paused.is_some() { Press::Resume } else { Press::Pause }, context),
            Action::Choose => self.press(Press::Begin, context),
            Action::NextStep if paused == Some(Pause::Pain) => self.press(Press::Resume, context),
            Action::NextStep => self.press(Press::Next, context),
            Action::Longer => self.press(Press::Longer(HOLD_BY), context),
            Action::Shorter => self.press(Press::Shorter(HOLD_BY), context),
            Action::StepBefore => self.press(Press::Before, context),
            Action::Undo => self.press(Press::Undo, context),
            Action::Finish => self.press(Press::Finish, context),
            Action::Less => self.open(LiveSheet::Less(false), context),
            Action::More | Action::Fewer => {
                let by = if action == Action::More { MINUTE } else { -MINUTE };
                let left = snapshot.until_due.saturating_add(by).max(MINUTE);
                self.minutes_left(Seconds::new(left.unsigned_abs()), context)
            }
            Action::MinutesLeft(minutes) => match Minutes::new(minutes.into()) {
                Ok(minutes) => self.minutes_left(minutes.seconds(), context),
                Err(refused) => {
                    context.shared.say(Tone::Caution, refused.to_string());
                    Go::Stay
                }
            },
            Action::Back if paused.is_some() => self.leave(context),
            Action::Back => {
                let stopped = self.press(Press::Pause, context);
                let words = "Esc once more leaves; the block is kept and can be taken up. Space goes on.";
                context.shared.say(Tone::Strong, words);
                stopped
            }
            _ => Go::Stay,
        }
    }

    fn answer(&mut self, digit: u8, context: &mut Context<'_>) -> Go {
        let Ok(level) = Level::new(digit.into()) else { return Go::Stay };
        let now = context.now.moment;
        self.aloud.keep_to_confirm(level, &self.live.snapshot(now), (now, self.saved_word()));
        let next = self.press(Press::Level(level), context);
        self.aloud.confirm(self.outbox.is_idle(), &self.live, context);
        next
    }

    fn minutes_left(&mut self, left: Seconds, context: &mut Context<'_>) -> Go {
        let asked = self.job;
        let next = self.press(Press::MinutesLeft(left), context);
        if self.job == asked && !self.live.is_finished() {
            context.shared.say(Tone::Caution, words::kept(&self.live, context.now.moment));
        }
        next
    }
}
