//! May hands-on work begin? The health check, read aloud, one key each.

mod answers;
mod draw;

use std::sync::Arc;

use crate::caution::screening::ScreeningDue;
use crate::client::{Client, ClientId};
use crate::failure::Failure;
use crate::tui::effect::Effect;
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, LeftBehind, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::shared::Context;
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;
use answers::Answers;

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

/// A key that only the next one makes a record of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Awaited {
    Nothing,
    /// No to all that is left.
    AllNo,
    /// No session today.
    NoSession,
}

/// The health check of one client.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    client: Option<Arc<Client>>,
    /// Whether the block begins afterwards.
    then_begin: bool,
    answers: Answers,
    at: usize,
    /// Which of what was found is chosen.
    chosen: usize,
    /// Who settled it, as it is typed.
    settling: Option<Field>,
    marked: Awaited,
    saving: Saving,
    /// Why the answers are not on the disk, if they could not be written.
    failed: Option<Failure>,
}

impl State {
    /// The questions for a client; afterwards the block begins, or the screen below comes back.
    pub fn new(id: ClientId, then_begin: bool) -> Self {
        Self {
            id,
            client: None,
            then_begin,
            answers: Answers::none(),
            at: 0,
            chosen: 0,
            settling: None,
            marked: Awaited::Nothing,
            saving: Saving::Nothing,
            failed: None,
        }
    }

    /// What the program leaves behind where it is left now.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        self.failed.as_ref().map(|why| LeftBehind::lost("the health check", why))
    }

    /// The keys that hold now.
    pub fn mode(&self) -> Mode {
        if self.settling.is_some() {
            Mode::HealthSettled
        } else if !self.answers.stops().is_empty() {
            Mode::HealthStop
        } else if self.answers.left() == 0 {
            Mode::HealthFound
        } else {
            Mode::Health
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
                    self.answers.recall(client);
                }
                self.client = Some(Arc::new((**client).clone()));
                match self.saving {
                    Saving::Done(Exit::Begin) => Go::Act(Action::Begin),
                    Saving::Done(Exit::Back) => Go::Back,
                    Saving::Done(Exit::Home) => Go::Home,
                    _ => Go::Stay,
                }
            }
            ScreenEvent::Leave if self.answers.has_more_than_no() && self.saving == Saving::Nothing => {
                self.save(Exit::Home, context);
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
        // A key between takes the mark off.
        let marked = std::mem::replace(&mut self.marked, Awaited::Nothing);
        match (self.mode(), action) {
            (Mode::HealthSettled, action) => self.act_settled(action, context),
            // A yes that stops is left only by the two keys that note it, or by taking it back.
            (Mode::HealthStop, Action::Back | Action::Erase) => self.take_back(),
            (_, Action::Back) if self.answers.has_more_than_no() => self.save(Exit::Back, context),
            (_, Action::Back) => return Go::Back,
            (_, Action::OpenCard) => return Go::Open(Visit::Card(CardOf::Known(self.id.clone()))),
            (Mode::Health, Action::Answer(answer)) => {
                self.answers.give(self.at, answer);
                self.go_on(context);
            }
            (Mode::Health, Action::AllNo) => {
                self.marked = Awaited::AllNo;
                let left = self.answers.left();
                let words = format!("no to all {left} that are left, each read aloud? Enter takes it");
                context.shared.say(Tone::Text, words);
            }
            (Mode::Health, Action::Choose) if marked == Awaited::AllNo => {
                self.answers.all_no();
                if self.answers.is_doubted() {
                    let words = "a yes stopped here before: this one wants an answer of its own";
                    context.shared.say(Tone::Caution, words);
                }
                self.go_on(context);
            }
            (Mode::Health, action) if ListChoice(&mut self.at).act(action, self.answers.count()) => {}
            (Mode::HealthFound, action)
                if ListChoice(&mut self.chosen).act(action, self.answers.found().len()) => {}
            (_, Action::Erase | Action::Undo) => self.take_back(),
            (Mode::HealthStop, Action::Decline) => {
                self.marked = Awaited::NoSession;
                let words = "no session today: Enter notes it; Backspace takes the answer back";
                context.shared.say(Tone::Caution, words);
            }
            (Mode::HealthStop, Action::Choose) if marked == Awaited::NoSession => {
                self.save(Exit::Home, context);
            }
            (Mode::HealthFound, Action::TakeOff) => self.settling = Some(Field::default()),
            (Mode::HealthFound, Action::Choose) => self.save(self.exit(), context),
            _ => {}
        }
        Go::Stay
    }

    /// Who settled the chosen point is typed: no point is settled by nobody.
    fn act_settled(&mut self, action: Action, context: &mut Context<'_>) {
        let Some(field) = &mut self.settling else { return };
        match action {
            Action::Choose if field.text().trim().is_empty() => {
                context
                    .shared
                    .say(Tone::Caution, "who settled it: a doctor, the physio, a name? Esc leaves it open");
            }
            Action::Choose => {
                if let Some(index) = self.answers.found().get(self.chosen) {
                    self.answers.settle(*index, field.text().trim());
                }
                self.settling = None;
            }
            Action::Back => self.settling = None,
            action => field.edit(action),
        }
    }

    /// Where Enter on what was found leads to: to consent, unless what could stop a session is open.
    fn exit(&self) -> Exit {
        if self.then_begin && !self.answers.must_not_begin() { Exit::Begin } else { Exit::Back }
    }

    /// To the next question, or on where nothing stands against it.
    fn go_on(&mut self, context: &mut Context<'_>) {
        self.at = self.answers.next_open(self.at).unwrap_or(self.at);
        self.chosen = 0;
        if self.answers.verdict().is_clear() && self.answers.found().is_empty() {
            self.save(self.exit(), context);
        }
    }

    fn take_back(&mut self) {
        if let Some(index) = self.answers.last_given(self.at) {
            self.answers.take_back(index);
            self.at = index;
        }
    }

    fn save(&mut self, exit: Exit, context: &mut Context<'_>) {
        let Some(client) = &self.client else {
            context.shared.say(Tone::Caution, "the card is not read yet; once more, please");
            return;
        };
        let mut profile = client.profile.clone();
        let asked_by = context.shared.trainer.name.clone();
        let screening = self.answers.screening(context.today(), &asked_by);
        answers::clear_earlier(&mut profile.screenings, &screening);
        profile.add_screening(screening);
        // What an earlier check left open stays so until somebody is named who cleared it.
        let all = profile.open_points(context.today()).count();
        self.saving = Saving::Asked(exit);
        context.ask(Effect::Save(Box::new(profile)));
        let open = self.answers.open();
        let noted =
            if self.id.is_of_walk_in() { "health check asked, kept nowhere" } else { "health check noted" };
        if self.answers.is_doubted() || open > 0 {
            let open = text::count(open.max(1), "point");
            context.shared.say(Tone::Caution, format!("{noted}, {open} open"));
        } else if all > 0 {
            let open = text::count(all, "point");
            let said = format!("{noted}; {open} of an earlier one open until it is said who cleared it");
            context.shared.say(Tone::Caution, said);
        } else {
            context.shared.say(Tone::Good, format!("{noted}, nothing open"));
        }
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
}
