//! What came out? Every step with its answer and seconds, put right in place, then closed.

mod angles;
mod asked;
mod draw;
mod habits;
mod lines;
mod told;

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};

use crate::body::{Level, Seconds};
use crate::client::{Angle, Client, Ended, Report, Session};
use crate::tui::effect::Effect;
use crate::tui::event::{Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, LeftBehind, Reviewed, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::outbox::Outbox;
use crate::tui::shared::{Context, Shared};
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;
use crate::tui::words::walk_in_lost;

use asked::Asked;
use told::ReviewTold;

/// Seconds by which one key mends a hold.
const STEP: u32 = 5;
/// The longest hold that can be written down.
const LONGEST: u32 = 600;

/// A session before it is closed.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    client: Arc<Client>,
    session: Session,
    chosen: usize,
    outbox: Outbox,
    /// When it ended, where that is not when it is closed.
    end: Option<DateTime<FixedOffset>>,
    past: Vec<(u32, Report)>,
    note: Field,
    angle: Field,
    /// Where the session is saved if the client's file takes nothing.
    elsewhere: Field,
    typing: Option<Line>,
    closing: bool,
    /// What is asked about plans from now on, one after the other.
    asked: Asked,
    /// Whether it was said that the remark is not saved.
    warned: bool,
    /// When the block was over: as it ended, or as this was opened.
    over: Option<DateTime<FixedOffset>>,
    /// What it tells, worked out as it opens and when something of it changes.
    told: ReviewTold,
}

/// A line that can be typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Line {
    Note,
    Angle,
    Elsewhere,
}

impl State {
    /// The review of a session that is open in the file, with what may still be on its way there.
    pub fn new(reviewed: Reviewed) -> Self {
        let Reviewed { client, session, outbox, end } = reviewed;
        let note = Field::holding(&session.note);
        let (angle, elsewhere) = (Field::default(), Field::default());
        Self {
            client,
            session,
            chosen: 0,
            outbox,
            end,
            past: Vec::new(),
            note,
            angle,
            elsewhere,
            typing: None,
            closing: false,
            asked: Asked::default(),
            warned: false,
            over: end,
            told: ReviewTold::default(),
        }
    }

    /// What leaving now would lose: the remark goes into the file when the session is closed.
    pub fn unsaved(&mut self) -> Option<&'static str> {
        let is_walk_in = self.is_of_walk_in();
        let lost = (is_walk_in || self.has_unsaved_remark()) && !std::mem::replace(&mut self.warned, true);
        let words = if is_walk_in {
            walk_in_lost()
        } else {
            "the remark is not saved: Enter closes the session with it"
        };
        lost.then_some(words)
    }

    fn has_unsaved_remark(&self) -> bool {
        self.note.text().trim() != self.session.note && !self.closing
    }

    /// What the program leaves behind where it is left now.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        LeftBehind::of_block(&self.client.profile.id, &self.session, &self.outbox)
    }

    /// The keys that hold now.
    pub fn mode(&self) -> Mode {
        match self.typing {
            Some(_) => Mode::ReviewText,
            None if self.asked.open().is_some() => Mode::ReviewHabit,
            None => Mode::Review,
        }
    }

    fn chosen(&self) -> Option<(u32, &Report)> {
        self.session.reports.iter().nth(self.chosen).map(|(number, report)| (*number, report))
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        match event {
            ScreenEvent::Opened => {
                self.over.get_or_insert(context.now.wall);
                self.judge(context.shared);
                self.look_at_habits(context);
                Go::Stay
            }
            ScreenEvent::Reply(Reply::Client(..)) => {
                self.ask_about_habits(context.shared);
                Go::Stay
            }
            ScreenEvent::Action(action) if let Some(line) = self.typing => {
                self.type_into(line, *action, context);
                Go::Stay
            }
            ScreenEvent::Action(action) => {
                self.outbox.retry(context.effects);
                self.act(*action, context)
            }
            ScreenEvent::Reply(Reply::Rescued(Ok(path))) => {
                let words = format!("saved as {}; `matside merge` brings it home", path.display());
                context.shared.say(Tone::Good, words);
                Go::Stay
            }
            ScreenEvent::Reply(reply) => {
                self.outbox.take_reply(reply, context.effects);
                if self.outbox.is_closed() && self.is_of_walk_in() {
                    return Go::Replace(Visit::Card(CardOf::KeptWalkIn));
                }
                if self.outbox.is_closed() {
                    let steps = text::count(self.session.reports.len(), "step");
                    let words = format!("closed and saved, {steps}");
                    context.shared.say(Tone::Good, words);
                    return Go::Home;
                }
                if self.closing && self.outbox.failed().is_some() {
                    self.closing = false;
                    self.outbox.keep_open();
                }
                Go::Stay
            }
            ScreenEvent::Dropped => {
                self.note = Field::holding(&self.session.note);
                Go::Stay
            }
            ScreenEvent::Leave => {
                self.outbox.retry(context.effects);
                // What was typed goes into the file with the end of the session, or it is gone.
                if self.has_unsaved_remark() {
                    self.close(context);
                }
                Go::Stay
            }
            _ => Go::Stay,
        }
    }

    fn act(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let count = self.session.reports.len();
        match action {
            action if ListChoice(&mut self.chosen).act(action, count) => {}
            // It stays on its step: an answer typed twice is the same answer.
            Action::Digit(digit) => {
                if let Ok(level) = Level::new(digit.into()) {
                    self.mend(context, |report| report.level = Some(level));
                }
            }
            Action::Longer => self.mend(context, |report| {
                report.held = Seconds::new((report.held.get() / STEP + 1).saturating_mul(STEP).min(LONGEST));
            }),
            Action::Shorter => self.mend(context, |report| {
                report.held = Seconds::new(report.held.get().saturating_sub(1) / STEP * STEP);
            }),
            Action::Undo => match self.past.pop() {
                Some((number, before)) => {
                    self.session.reports.insert(number, before.clone());
                    self.outbox.report(number, before, context.effects);
                    self.judge(context.shared);
                }
                None => context.shared.say(Tone::Dim, "nothing to take back"),
            },
            Action::Answer(answer) => self.answer_about_habit(answer, context),
            Action::Note => self.typing = Some(Line::Note),
            Action::Angle => {
                if let Some((_, report)) = self.chosen() {
                    let known = report.angle().map(|angle| angles::said(report, angle, context.shared));
                    let known = known.unwrap_or_default();
                    self.angle = Field::holding(&known);
                    self.typing = Some(Line::Angle);
                }
            }
            Action::Save => self.save_elsewhere(context),
            Action::Pause if self.outbox.is_idle() && !self.closing => {
                context.ask(Effect::Release);
                let who = self.client.profile.id.clone();
                return Go::Replace(Visit::Plan { who, take_up: Some(self.session.at) });
            }
            Action::OpenCard => return Go::Open(Visit::Card(CardOf::Known(self.client.profile.id.clone()))),
            Action::OpenHistory => return Go::Open(Visit::History(self.client.profile.id.clone())),
            Action::WritePages => return self.pages(context),
            Action::Choose => {
                if self.outbox.is_idle() && !self.closing {
                    self.close(context);
                } else if let Some(why) = self.outbox.failed() {
                    let words = format!("not closed, Ctrl-S saves it elsewhere: {}", why.in_a_line());
                    context.shared.say(Tone::Caution, words);
                }
            }
            Action::Back => {
                return self.leave_open(context);
            }
            _ => {}
        }
        Go::Stay
    }

    /// Back to the day, where the block is offered again.
    fn leave_open(&self, context: &mut Context<'_>) -> Go {
        context.ask(Effect::Release);
        let words = if self.is_of_walk_in() {
            "not closed yet: F4 offers it again, until the program is left"
        } else {
            "not closed yet: it is offered again"
        };
        context.shared.say(Tone::Text, words);
        Go::Home
    }

    /// Asks for the folder; a walk-in has no file that could be brought home.
    fn save_elsewhere(&mut self, context: &mut Context<'_>) {
        if self.is_of_walk_in() {
            context.shared.say(Tone::Text, "Enter closes the block first; then a card can be kept");
        } else {
            self.typing = Some(Line::Elsewhere);
        }
    }

    /// Whether no card is kept of the client.
    fn is_of_walk_in(&self) -> bool {
        self.client.profile.id.is_of_walk_in()
    }

    /// To the list of pages, as far as all of it is on the disk.
    fn pages(&self, context: &mut Context<'_>) -> Go {
        if self.is_of_walk_in() {
            context.shared.say(Tone::Text, "no pages: no card is kept");
        } else if self.outbox.is_idle() {
            return Go::Open(Visit::Pages(self.client.profile.id.clone()));
        } else {
            context.shared.say(Tone::Caution, "no pages yet: not everything is saved");
        }
        Go::Stay
    }

    /// Works out anew what it tells.
    fn judge(&mut self, shared: &Shared) {
        self.told = ReviewTold::of(&self.client, &self.session, shared);
    }

    fn close(&mut self, context: &mut Context<'_>) {
        self.closing = true;
        let end = self.end.unwrap_or(context.now.wall);
        self.outbox.close(end, self.note.text().trim().to_owned(), context.effects);
    }

    fn type_into(&mut self, line: Line, action: Action, context: &mut Context<'_>) {
        let field = match line {
            Line::Note => {
                self.warned = false;
                &mut self.note
            }
            Line::Angle => &mut self.angle,
            Line::Elsewhere => &mut self.elsewhere,
        };
        match action {
            Action::Choose | Action::Back => self.typing = None,
            _ => field.edit(action),
        }
        if action == Action::Choose && line == Line::Angle {
            let asked = self.chosen().and_then(|(_, report)| angles::asked(report, context.shared));
            match angles::read(self.angle.text(), asked) {
                Ok(angle) => {
                    self.mend(context, |report| report.angles = angle.map(Angle::new).into_iter().collect());
                }
                Err(why) => {
                    context.shared.say(Tone::Caution, why);
                    self.typing = Some(line);
                }
            }
        }
        if action == Action::Choose && line == Line::Elsewhere && !self.elsewhere.is_empty() {
            let session = Session { note: self.note.text().trim().to_owned(), ..self.session.clone() };
            let folder = PathBuf::from(self.elsewhere.text().trim());
            if folder.is_relative() {
                context.shared.say(Tone::Caution, "give the whole way to the folder, such as /media/stick");
                self.typing = Some(line);
                return;
            }
            context.ask(Effect::Rescue(Arc::clone(&self.client), Box::new(session), folder));
        }
    }

    fn mend(&mut self, context: &mut Context<'_>, mend: impl FnOnce(&mut Report)) {
        let Some((number, before)) = self.chosen().map(|(number, report)| (number, report.clone())) else {
            return;
        };
        let mut report = before.clone();
        mend(&mut report);
        report.measured_with(context.shared.trainer.instrument.as_ref());
        let is_mended = (report.held, report.level) != (before.held, before.level);
        if is_mended && is_done_after_all(&report) {
            report.ended = Ended::Done;
            if report.note.starts_with("not done: ") {
                report.note.clear();
            }
        }
        if report != before {
            self.past.push((number, before));
            self.session.reports.insert(number, report.clone());
            self.outbox.report(number, report, context.effects);
            self.judge(context.shared);
        }
    }
}

/// Whether a step that was skipped was held and answered all the same; pain and withdrawn consent stay what they are.
fn is_done_after_all(report: &Report) -> bool {
    report.ended == Ended::Skipped && report.held > Seconds::ZERO && report.level.is_some()
}
