//! May hands-on work begin? The questions before the first touch, read aloud, one key each.

use std::sync::Arc;

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::caution::screening::{
    Answer, FollowUp, Question, ScreeningDue, Verdict, Weight, judge, questions,
};
use crate::client::{Client, ClientId, Screening};
use crate::failure::Failure;
use crate::tui::canvas::{self, Canvas};
use crate::tui::effect::Effect;
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, LeftBehind, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::page::Page;
use crate::tui::shared::{Context, Shared};
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::digits::Digits;

/// Columns of the answers before the questions.
const ANSWERS: u16 = 4;

/// Where to go once the outcome is on the disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Exit {
    /// On with the plan below: consent comes next.
    Begin,
    /// Back to the screen below.
    Back,
    /// To the day: no session.
    Home,
}

/// How far saving has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Saving {
    Nothing,
    /// On its way to the disk.
    Asked(Exit),
    /// On the disk; the card is being read again.
    Done(Exit),
}

/// The screen of one client while it is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    client: Option<Arc<Client>>,
    /// Whether the block begins afterwards.
    then_begin: bool,
    answers: Vec<Option<Answer>>,
    /// Whose answer stopped before.
    doubted: Vec<bool>,
    at: usize,
    /// Whether it was said once that there is no session; once more notes it.
    ending: bool,
    saving: Saving,
    /// Why the answers are not on the disk, if they could not be written.
    failed: Option<Failure>,
}

impl State {
    /// The questions for a client; afterwards the block begins, or the screen below comes back.
    pub fn new(id: ClientId, then_begin: bool) -> Self {
        let answers = vec![None; questions().len()];
        let doubted = vec![false; answers.len()];
        Self {
            id,
            client: None,
            then_begin,
            answers,
            doubted,
            at: 0,
            ending: false,
            saving: Saving::Nothing,
            failed: None,
        }
    }

    /// What the program leaves behind where it is left now.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        self.failed.as_ref().map(|why| LeftBehind::lost("the answers before hands-on work", why))
    }

    /// Whether something was answered that must not be gone because the program is.
    fn has_more_than_no(&self) -> bool {
        self.is_doubted() || self.answers.iter().flatten().any(|answer| *answer != Answer::No)
    }

    /// Whether an answer that stopped was taken back, or stands in the file, and was not given anew.
    fn is_doubted(&self) -> bool {
        self.doubted.iter().zip(&self.answers).any(|(doubted, answer)| *doubted && answer.is_none())
    }

    /// Notes which answers stopped the last time: each of them wants a no of its own.
    fn recall(&mut self, client: &Client) {
        for (question, doubted) in questions().iter().zip(&mut self.doubted) {
            let is_open = |what: &str| what == question.id || what.contains(&words_of(question));
            let open = client.profile.screenings.iter().flat_map(|screening| &screening.open);
            *doubted |= question.yes == Weight::Stop
                && open.filter(|open| open.cleared.is_none()).any(|open| is_open(&open.what));
        }
    }

    fn answer_to(&self, question: &Question) -> Option<Answer> {
        let index = questions().iter().position(|other| other.id == question.id)?;
        self.answers.get(index).copied().flatten()
    }

    fn verdict(&self) -> Verdict {
        judge(|question| self.answer_to(question))
    }

    fn is_complete(&self) -> bool {
        self.answers.iter().all(Option::is_some)
    }

    /// What stops the session, the gravest first.
    fn stops(&self) -> Vec<FollowUp> {
        match self.verdict() {
            Verdict::Stop(follow_ups) => follow_ups,
            _ => Vec::new(),
        }
    }

    /// The keys that hold now.
    pub fn mode(&self) -> Mode {
        if !self.stops().is_empty() {
            Mode::ScreeningStop
        } else if self.is_complete() {
            Mode::ScreeningOutcome
        } else {
            Mode::Screening
        }
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        match event {
            ScreenEvent::Opened | ScreenEvent::Shown => {
                context.ask(Effect::Load(self.id.clone()));
                Go::Stay
            }
            ScreenEvent::Action(action) => self.act(*action, context),
            ScreenEvent::Reply(Reply::Client(id, Ok(client))) if *id == self.id => {
                if self.client.is_none() {
                    self.recall(client);
                }
                self.client = Some(Arc::new((**client).clone()));
                match self.saving {
                    Saving::Done(Exit::Begin) => Go::Act(Action::Begin),
                    Saving::Done(Exit::Back) => Go::Back,
                    Saving::Done(Exit::Home) => Go::Home,
                    _ => Go::Stay,
                }
            }
            ScreenEvent::Leave if self.has_more_than_no() && self.saving == Saving::Nothing => {
                self.save(false, Exit::Home, context);
                Go::Stay
            }
            ScreenEvent::Reply(Reply::Saved(id, done)) if *id == self.id => {
                self.failed = done.as_ref().err().cloned();
                self.saving = match (self.saving, done) {
                    (Saving::Asked(exit), Ok(())) => Saving::Done(exit),
                    _ => Saving::Nothing,
                };
                Go::Stay
            }
            _ => Go::Stay,
        }
    }

    fn act(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        if self.saving != Saving::Nothing {
            return Go::Stay;
        }
        let ending = std::mem::take(&mut self.ending);
        match (self.mode(), action) {
            (_, Action::Back) if self.is_doubted() => self.save(false, Exit::Back, context),
            (_, Action::Back) => return Go::Back,
            (_, Action::OpenClient) => {
                return Go::Open(Visit::Card(CardOf::Known(self.id.clone())));
            }
            (Mode::Screening, Action::Answer(answer)) => {
                self.answers[self.at] = Some(answer);
                self.doubted[self.at] |= !self.stops().is_empty();
                self.go_to_next_open();
                self.save_if_clear(context);
            }
            (Mode::Screening, Action::AllNo) => {
                for (answer, _) in
                    self.answers.iter_mut().zip(&self.doubted).filter(|(_, doubted)| !**doubted)
                {
                    answer.get_or_insert(Answer::No);
                }
                self.go_to_next_open();
                if self.is_doubted() {
                    context
                        .shared
                        .say(Tone::Caution, "a yes stopped here before: this one wants an answer of its own");
                }
                self.save_if_clear(context);
            }
            (Mode::Screening, action) if ListChoice(&mut self.at).act(action, self.answers.len()) => {}
            (_, Action::Erase | Action::Undo | Action::StepBack) => self.take_back(),
            (Mode::ScreeningStop, Action::Decline) if ending => self.save(false, Exit::Home, context),
            // The key for a no to a question must not note the slip of a yes before it.
            (Mode::ScreeningStop, Action::Decline | Action::Choose) => {
                self.ending = action == Action::Decline;
                let words = if self.ending {
                    "n once more: no session, and that is noted; Backspace takes the answer back"
                } else {
                    "n, twice, notes that there is no session; Backspace takes the answer back"
                };
                context.shared.say(Tone::Caution, words);
            }
            (Mode::ScreeningOutcome, Action::Choose) => self.save(false, Exit::Back, context),
            (Mode::ScreeningOutcome, Action::Cleared) => self.save(true, self.exit(), context),
            (Mode::ScreeningOutcome, Action::SelfStretch) if self.then_begin => {
                return Go::Act(Action::SelfStretch);
            }
            _ => {}
        }
        Go::Stay
    }

    const fn exit(&self) -> Exit {
        if self.then_begin { Exit::Begin } else { Exit::Back }
    }

    fn go_to_next_open(&mut self) {
        let open = |index: &usize| self.answers[*index].is_none();
        let next = (self.at..self.answers.len()).find(open).or_else(|| (0..self.at).find(open));
        self.at = next.unwrap_or(self.at);
    }

    /// Takes back the answer that matters most: the last one that was no plain no, else the last one.
    fn take_back(&mut self) {
        let odd = self.answers.iter().rposition(|answer| answer.is_some_and(|answer| answer != Answer::No));
        let last = self.answers.iter().rposition(Option::is_some);
        let found = if self.mode() == Mode::Screening { last } else { odd.or(last) };
        if let Some(index) = found {
            self.answers[index] = None;
            self.at = index;
        }
    }

    fn save_if_clear(&mut self, context: &mut Context<'_>) {
        if self.verdict().is_clear() {
            self.save(true, self.exit(), context);
        }
    }

    fn save(&mut self, clear: bool, exit: Exit, context: &mut Context<'_>) {
        let Some(client) = &self.client else {
            context.shared.say(Tone::Caution, "the card is not read yet; once more, please");
            return;
        };
        let told = |wanted: Answer| -> Vec<String> {
            let answers = self.answers.iter().zip(&self.doubted);
            // What stopped and was not answered anew stands as it was.
            let answers = answers.map(|(answer, doubted)| answer.or(doubted.then_some(Answer::Yes)));
            let asked = questions().iter().zip(answers).filter(|(_, answer)| *answer == Some(wanted));
            asked.map(|(question, _)| words_of(question)).collect()
        };
        let notes = [("yes to", told(Answer::Yes)), ("unsure about", told(Answer::Unsure))];
        let notes: Vec<String> = notes
            .iter()
            .filter(|(_, questions)| !questions.is_empty())
            .map(|(word, questions)| format!("client says {word}: {}", text::list(questions)))
            .collect();
        let mut profile = client.profile.clone();
        let on = context.today();
        profile.add_screening(if clear {
            Screening { note: notes.join("; "), ..Screening::clear(on) }
        } else {
            Screening::left_open(on, notes.join("; "))
        });
        self.saving = Saving::Asked(exit);
        context.ask(Effect::Save(Box::new(profile)));
        let words =
            if clear { "screened; nothing stands against it" } else { "screened; something is left open" };
        context.shared.say(if clear { Tone::Good } else { Tone::Caution }, words);
    }

    fn name(&self) -> &str {
        self.client.as_ref().map_or("", |client| client.profile.name.as_str())
    }

    fn reason(&self, now: Now) -> &'static str {
        let due = self.client.as_ref().and_then(|client| {
            let today = now.wall.date_naive();
            client.profile.screening_record(today).screen_due(today)
        });
        due.map_or("asked again", ScreeningDue::reason)
    }

    /// Draws the questions, what a yes leads to, or why there is no session.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, _: &Shared, now: Now) {
        canvas.heading(area, 0, self.name(), self.reason(now));
        let gap = u16::from(area.height >= 18);
        let rest = canvas::below(area, 1 + gap);
        let stops = self.stops();
        if !stops.is_empty() {
            draw_stop(rest, &stops, canvas);
        } else if self.is_complete() {
            draw_follow_ups(rest, self.verdict().follow_ups(), canvas);
        } else {
            self.draw_questions(rest, canvas);
        }
    }

    fn draw_questions(&self, area: Rect, canvas: &mut Canvas<'_>) {
        let weight = questions()[self.at].yes;
        let aloud = if area.width >= 72 { "Before hands-on work, read aloud: " } else { "" };
        let number = format!("{aloud}{} of {}", self.at + 1, questions().len());
        let (tone, leads) = match weight {
            Weight::Stop => (Tone::Caution, "a yes stops the session"),
            Weight::Ask => (Tone::Dim, "a yes: ask more, then note it on the card"),
        };
        canvas.spans(area, 0, 0, &[(Tone::Dim, &number), (Tone::Dim, "; "), (tone, leads)]);
        let roomy = area.height >= 30;
        if roomy {
            let words = format!("after a yes, or if unsure: {}", questions()[self.at].say);
            canvas.row(area, 1, tone, &words);
        }
        let list = canvas::below(area, if roomy { 3 } else { 2 });
        let column = Rect { x: list.x + ANSWERS, width: list.width.saturating_sub(ANSWERS), ..list };
        let heights: Vec<usize> = questions()
            .iter()
            .map(|question| text::wrap(&question.ask, usize::from(column.width)).len())
            .collect();
        let room = usize::from(list.height);
        let in_full = heights.iter().sum::<usize>() <= room;
        // With an empty row between the questions where there is room: they are read aloud from across the mat.
        let gap = usize::from(heights.iter().sum::<usize>() + heights.len() <= room);
        let height = |index: usize| gap + if in_full || index == self.at { heights[index] } else { 1 };
        let mut first = self.at;
        let mut used = height(self.at);
        let after: usize = (self.at + 1..heights.len()).map(height).sum();
        let above = room.saturating_sub(used).saturating_sub(after.min(room.saturating_sub(used) / 2));
        let mut taken = 0;
        while first > 0 && taken + height(first - 1) <= above {
            first -= 1;
            taken += height(first);
        }
        used = 0;
        for (index, question) in questions().iter().enumerate().skip(first) {
            if used >= room {
                break;
            }
            let y = cells(used);
            let (tone, words) = answer_words(self.answers[index]);
            let asked = index == self.at;
            canvas.choice(list, y, index, asked);
            canvas.row(list, y, tone, words);
            let tone = if asked { Tone::Strong } else { Tone::Text };
            if in_full || asked {
                canvas.wrapped(column, y, tone, &question.ask);
            } else {
                canvas.row(column, y, Tone::Dim, &question.ask);
            }
            used += height(index);
        }
    }

    /// The screen as lines: the question that is asked, or what came out.
    pub fn lines(&self, _: &Shared, now: Now) -> Page {
        let title = format!("{}, before hands-on work: {}", self.name(), self.reason(now));
        let mut lines = Page::new("the questions", title);
        let stops = self.stops();
        if !stops.is_empty() {
            lines.ask("STOP. No session.");
            lines.about("stop");
            lines.extend(
                stops.iter().flat_map(|found| [found.say.clone(), format!("Because: {}", found.ask)]),
            );
        } else if self.is_complete() {
            lines.about("found");
            for found in self.verdict().follow_ups() {
                lines.extend([format!("Yes or unsure: {}", found.ask), format!("Say: {}", found.say)]);
            }
        } else {
            let question = &questions()[self.at];
            let number = format!("Question {} of {}", self.at + 1, questions().len());
            lines.ask(format!("{number}: {}", question.ask));
            lines.about(number);
            lines.push(match question.yes {
                Weight::Stop => "A yes stops the session.",
                Weight::Ask => "After a yes ask more, then note it on the card.",
            });
            if let Some(answer) = self.answers[self.at] {
                lines.push(format!("Answered: {answer}"));
            }
        }
        lines
    }
}

const fn answer_words(answer: Option<Answer>) -> (Tone, &'static str) {
    match answer {
        None => (Tone::Dim, ""),
        Some(Answer::No) => (Tone::Good, "no"),
        Some(Answer::Yes) => (Tone::Caution, "YES"),
        Some(Answer::Unsure) => (Tone::Caution, "?"),
    }
}

/// In large letters that there is no session, and whom to turn to.
fn draw_stop(area: Rect, stops: &[FollowUp], canvas: &mut Canvas<'_>) {
    let letters = if area.height >= 9 { 5 } else { 1 };
    let style = canvas.theme.style(Tone::Caution);
    let word =
        Rect { width: area.width.min(if area.height >= 24 { 68 } else { 34 }), ..canvas::top(area, letters) };
    (&Digits { text: "STOP", style, ascii: canvas.theme.ascii }).render(word, canvas.buf);
    let mut y = letters + u16::from(area.height >= 12);
    for found in stops {
        if y >= area.height {
            break;
        }
        y = canvas.wrapped(area, y, Tone::Strong, &found.say);
        y = canvas.wrapped(area, y, Tone::Dim, &found.ask) + u16::from(area.height >= 12);
    }
}

/// What has to be asked further, and what it may be on the card.
fn draw_follow_ups(area: Rect, follow_ups: &[FollowUp], canvas: &mut Canvas<'_>) {
    canvas.wrapped_most(area, 0, 1, Tone::Caution, "Ask further; what is found goes on the card (c).");
    let mut y = 1 + u16::from(area.height >= 12);
    for found in follow_ups {
        if y >= area.height {
            break;
        }
        y = canvas.wrapped_most(area, y, if area.height >= 12 { 3 } else { 1 }, Tone::Text, &found.ask);
        y = canvas.wrapped(area, y, Tone::Strong, &found.say) + u16::from(area.height >= 12);
    }
}

/// A question in the words that the file has for it.
fn words_of(question: &Question) -> String {
    question.id.replace('-', " ")
}
