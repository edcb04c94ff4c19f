//! What came out? Every step with level and seconds, mended in place, then closed.

mod angles;
mod asked;
mod habits;
mod lines;

use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, FixedOffset};
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Level, Seconds, Side};
use crate::catalogue::StretchId;
use crate::client::{Angle, Client, ConsentLimit, Ended, Report, Session};
use crate::insight::Learned;
use crate::strain;
use crate::tui::canvas::{self, Canvas};
use crate::tui::effect::Effect;
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, LeftBehind, Reviewed, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::outbox::Outbox;
use crate::tui::shared::{Context, Shared};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::field::{Field, FieldView};
use crate::tui::widgets::plot::{Plot, Point};
use crate::tui::widgets::reached::draw_reached;
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{side_words, walk_in_lost};
use crate::words::ClaimWords;

use asked::Asked;

/// Seconds by which one key mends a hold.
const STEP: u32 = 5;
/// The most that is said of what the sessions tell.
const SAID: usize = 2;
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
                    let words =
                        format!("closed; {} in the file", text::count(self.session.reports.len(), "report"));
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
        }
    }

    /// What the same stretch and side came to the last time.
    fn last_time(&self, stretch: &StretchId, side: Option<Side>) -> Option<&Report> {
        let before = self.client.sessions.iter().rev().filter(|session| session.at < self.session.at);
        before
            .flat_map(|session| session.reports.values())
            .find(|report| report.stretch == *stretch && report.side == side && report.ended == Ended::Done)
    }

    /// How much is on the disk.
    fn saved_words(&self) -> String {
        let steps = text::count(self.outbox.saved(), "step");
        let is_walk_in = self.is_of_walk_in();
        if is_walk_in { format!("{steps}, no card kept") } else { format!("saved, {steps}") }
    }

    /// When consent was withdrawn, if it was, and what can be done about a slip of the finger.
    fn withdrawn(&self) -> Option<String> {
        let at = self.session.narrowed_at(ConsentLimit::Stopped)?;
        Some(format!("consent withdrawn at {}, noted; Space asks again", at.format("%H:%M")))
    }

    /// What is worth a word: what the sessions tell now, and what was done on one side only.
    fn remarks(&self, shared: &Shared) -> Vec<String> {
        let mut remarks = Vec::new();
        let reports = || self.session.reports.values();
        for report in reports().filter(|report| report.ended == Ended::Done) {
            let form = shared.catalogue.form(&report.stretch, &report.form).map(|(_, form)| form);
            let alone = report.side.filter(|side| {
                let other = Some(side.other());
                form.is_some_and(|form| form.workings().contains(&other))
                    && !reports().any(|twin| twin.stretch == report.stretch && twin.side == other)
            });
            remarks.extend(alone.map(|side| format!("{}: on the {side} only", name(shared, report))));
        }
        let today = self.session.at.date_naive();
        let learned = Learned::after(&self.client, &self.session, &shared.catalogue, today);
        let words = ClaimWords { catalogue: &shared.catalogue, today };
        remarks.extend(angles::unmeasured(&self.session, &learned, shared));
        remarks.extend(learned.claims().iter().map(|claim| words.sentence(claim)).take(SAID));
        remarks
    }

    /// Draws the session.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, _: Now) {
        let glyphs = canvas.glyphs();
        let saved = format!("{} {}", glyphs.done, self.saved_words());
        let (tone, words) = self.outbox.failed().map_or((Tone::Good, saved), |why| {
            (Tone::Caution, format!("{} not saved yet: {}", glyphs.caution, why.in_a_line()))
        });
        canvas.title(area, "What came out?", &self.client.profile.name, (tone, &words));
        if let Some(words) = self.withdrawn() {
            canvas.row(area, 1, Tone::Caution, &format!("{} {words}", glyphs.caution));
        }
        let mut ribbon = Ribbon::of_session(&self.session, &shared.catalogue, canvas.theme);
        if let Some(piece) = ribbon.pieces.get_mut(self.chosen) {
            piece.chosen = true;
        }
        let rows = if area.height >= 18 { 4 } else { 2 };
        (&ribbon).render(canvas::top(canvas::below(area, 2), rows), canvas.buf);
        let rest = canvas::below(area, 3 + rows);
        let remarks = self.remarks(shared);
        let question = self.asked.words(shared);
        // On a narrow screen the question takes two rows.
        let asks = question
            .as_ref()
            .map_or(0, |words| if text::width(words) > usize::from(area.width) { 2 } else { 1 });
        let foot = cells(remarks.len()).min(3) + 2 + asks;
        let list = canvas::top(rest, rest.height.saturating_sub(foot));
        let (list, beside) = if list.width >= 150 {
            canvas::split(list, list.width * 11 / 20, 4)
        } else {
            // Below the rows, where that leaves a picture.
            let used = (cells(self.session.reports.len()) + 2).min(list.height);
            let used = if list.height >= used + 10 { used } else { list.height };
            (canvas::top(list, used), canvas::below(list, used))
        };
        self.draw_rows(list, canvas, shared);
        self.draw_course(beside, canvas, shared);
        let foot = canvas::below(rest, rest.height.saturating_sub(foot));
        if let Some(words) = &question {
            canvas.wrapped_most(foot, 0, asks, Tone::Strong, words);
        }
        let sum = self.minutes_words(shared);
        self.draw_foot(canvas::below(foot, asks), (&remarks, &sum), canvas, shared);
    }

    /// What is worth a word, the sum, and the line that can be typed.
    fn draw_foot(
        &self,
        foot: Rect,
        (remarks, sum): (&[String], &str),
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let held: Seconds = self.session.reports.values().map(|report| report.held).sum();
        for (y, remark) in remarks.iter().take(3).enumerate() {
            canvas.row(foot, cells(y), Tone::Text, remark);
        }
        let y = cells(remarks.len()).min(3);
        canvas.row(foot, y, Tone::Dim, &format!("{held} held; {sum}"));
        let angle_hint = angles::question(self.chosen().map(|(_, report)| report), shared);
        let (field, hint) = if self.typing == Some(Line::Elsewhere) {
            (&self.elsewhere, "the folder to save this session in, such as a stick's; Enter saves")
        } else if self.typing == Some(Line::Angle) {
            (&self.angle, angle_hint.as_str())
        } else if self.outbox.failed().is_some() {
            (&self.note, "Ctrl-S saves the session in another folder, r writes a remark")
        } else {
            (&self.note, "r writes a remark")
        };
        let line = FieldView { field, hint, active: self.typing.is_some(), theme: canvas.theme };
        (&line).render(canvas::top(canvas::below(foot, y + 1), 1), canvas.buf);
    }

    /// The minutes that were planned, and what the block asked of the trainer's own body.
    fn minutes_words(&self, shared: &Shared) -> String {
        let block = strain::worked_block(&self.session, &self.client.profile, &shared.catalogue);
        let own = strain::words::day_sentence(&block.meters, None);
        format!("{} min were planned; you: {own}", self.session.minutes.get())
    }

    /// The levels of the chosen stretch over time, this session's included.
    fn draw_course(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let Some((_, chosen)) = self.chosen().filter(|_| area.height >= 8 && area.width >= 40) else {
            return;
        };
        let before = self.client.sessions.iter().filter(|session| session.at < self.session.at);
        let points: Vec<Point> = before
            .chain([&self.session])
            .flat_map(|session| session.reports.values().map(move |report| (session.at.date_naive(), report)))
            .filter(|(_, report)| report.stretch == chosen.stretch)
            .filter_map(|(on, report)| {
                Some(Point { on, side: report.side, value: i32::from(report.level?.get()) })
            })
            .collect();
        canvas.heading(area, 0, &name(shared, chosen), "levels over time");
        canvas.sides_key(area, 1);
        let lines: Vec<(i32, String)> = (1..=5).map(|level| (level, level.to_string())).collect();
        let plot = Plot { points: &points, low: 1, high: 5, lines: &lines, theme: canvas.theme };
        (&plot).render(canvas::top(canvas::below(area, 3), 14), canvas.buf);
        let (columns, rows) = BodyView::SIZES[1];
        let room = canvas::below(area, 19);
        if room.height > rows && room.width >= columns {
            draw_reached(room, "Reached today", &self.session, (columns, rows), canvas, shared);
        }
    }

    fn draw_rows(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let reports: Vec<&Report> = self.session.reports.values().collect();
        if reports.is_empty() {
            canvas.row(area, 0, Tone::Dim, "no step was done");
        }
        let glyphs = canvas.glyphs();
        let names =
            reports.iter().map(|report| text::width(&name(shared, report))).max().unwrap_or(0).clamp(10, 32);
        // A narrow terminal has the side's mark and the level's number without their words.
        let narrow = area.width < 60;
        let names = if narrow { names.min(usize::from(area.width.saturating_sub(19))) } else { names };
        let first = canvas::first_shown(self.chosen, reports.len(), area.height);
        for (index, report) in reports.iter().enumerate().skip(first).take(usize::from(area.height)) {
            let y = cells(index - first);
            canvas.choice(area, y, index, index == self.chosen);
            let tone = Theme::side(report.side);
            let x = canvas.at(area, 1, y, Tone::Dim, &format!("{:>2}", index + 1));
            let words = if narrow { "" } else { side_words(report.side) };
            let side = format!("{} {words:<5}", glyphs.side(report.side));
            let x = canvas.at(area, x + 2, y, tone, if narrow { side.trim_end() } else { &side });
            let gap = if narrow { 1 } else { 2 };
            let x = canvas.at(
                area,
                x + gap,
                y,
                Tone::Text,
                &text::pad(&name(shared, report), names, glyphs.ellipsis),
            );
            let over = match report.ended {
                Ended::Done => Tone::Dim,
                Ended::Pain => Tone::HandsOff,
                _ => Tone::Text,
            };
            if narrow && report.ended != Ended::Done {
                canvas.right(Rect { width: area.width.min(x + 10), ..area }, y, over, report.ended.id());
                continue;
            }
            let x = canvas.at(area, x + gap, y, Tone::Text, &format!("{:>5}", report.held.to_string()));
            let (bar, level) = report.level.map_or((" ", "-".to_owned()), |level| {
                (glyphs.levels[usize::from(level.get()) - 1], level.to_string())
            });
            // In ASCII the bars are numbers, too.
            let bar = if canvas.theme.ascii { "" } else { bar };
            let label = if area.width < 84 { "" } else { "level " };
            let level = [(Tone::Dim, label), (Tone::Strong, &level), (Tone::Text, " "), (tone, bar)];
            let x = canvas.spans(area, x + gap, y, &level);
            let words = match report.ended {
                Ended::Done => {
                    self.last_time(&report.stretch, report.side).map_or("first time".to_owned(), |last| {
                        let level = last.level.map_or("-".to_owned(), |level| level.to_string());
                        format!("last time {} at {level}", last.held)
                    })
                }
                other => other.to_string(),
            };
            let angle = angles::words(report, shared);
            canvas.spans(area, x + 3, y, &[(Tone::Text, &angle), (over, &words)]);
        }
    }
}

/// Whether a step that was skipped was held and answered all the same; pain and withdrawn consent stay what they are.
fn is_done_after_all(report: &Report) -> bool {
    report.ended == Ended::Skipped && report.held > Seconds::ZERO && report.level.is_some()
}

/// What a trainer calls the stretch of a report.
pub fn name(shared: &Shared, report: &Report) -> String {
    shared
        .catalogue
        .stretch(&report.stretch)
        .map_or_else(|| report.stretch.to_string(), |stretch| stretch.name.clone())
}
