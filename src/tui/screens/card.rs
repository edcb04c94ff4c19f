//! Who is this? A card that takes less than a minute: a name, what limits the work, what is wanted.

mod answered;
mod beside;
pub mod draw;
mod edit;
mod fields;
mod kind;
mod lines;
mod namesake;
mod search;
mod told;
mod typed;
mod walk_in;

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::NaiveDate;

use crate::body::Unit;
use crate::catalogue::Catalogue;
use crate::caution::{Conditions, Restrictions, off_limits};
use crate::client::{Aim, Client, ClientId, Profile, Touch};
use crate::failure::Failure;
use crate::tui::effect::Effect;
use crate::tui::event::{Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, LeftBehind, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::shared::Context;
use crate::tui::theme::Tone;
use crate::tui::widgets::field::Field;

use fields::Card;
use kind::Kind;
use namesake::Namesakes;
use told::WordLine;
use typed::{born_of, mass_of};

/// A line of the card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Row {
    Name,
    Born,
    /// In whole kilograms; it is never said but to the trainer.
    Mass,
    Recorded(usize),
    AddCondition,
    Aim(Aim),
    NoHands,
    Massage,
    /// What the trainer said about plans, by its place among what holds.
    Habit(usize),
    Guardian,
    /// What is typed in words.
    Words(WordLine),
    Screening,
    /// Whether the client comes no more.
    Archived,
    /// Everything about the client is removed, where the name is typed here.
    Remove,
    Note,
}

/// What is about to become of the card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pending {
    Nothing,
    /// It is on its way to the disk.
    Saved,
    /// Esc was pressed on a card with changes.
    Dropped,
    /// It was to be saved with another name: it is, where that is said once more.
    Renamed,
}

/// A client's card while it is filled in.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// The client whose card it is; none for a new one.
    id: Option<ClientId>,
    /// Whether a walk-in has a part in it.
    kind: Kind,
    /// The card as it was read, with all that is not shown.
    read: Option<Arc<Client>>,
    card: Card,
    past: Vec<Card>,
    search: Field,
    match_chosen: usize,
    at: usize,
    /// Whether a plan follows on saving.
    then_plan: bool,
    pending: Pending,
    /// Why the card is not on the disk, if it could not be written.
    failed: Option<Failure>,
    /// Whether the side of the condition that was just added is asked for.
    asks_side: bool,
    /// Whether the client is a minor, so that a guardian is asked for.
    guardian_shown: bool,
    /// What no form may reach with these conditions.
    avoided: BTreeSet<Unit>,
    /// Clients of that name, where the card is a new one and it is asked whether it is one of them.
    namesakes: Namesakes,
    /// The name as it is typed to remove everything about the client.
    removing: Field,
}

impl State {
    /// The card of somebody.
    pub fn of(of: CardOf) -> Self {
        match of {
            CardOf::New(name) => Self::new_client(&name),
            CardOf::WalkIn => Self::walk_in(true),
            CardOf::Known(id) if id.is_of_walk_in() => Self::walk_in(false),
            CardOf::KeptWalkIn => Self { kind: Kind::Keeping, ..Self::new_client("") },
            // The line for a condition comes first: what is typed there harms nothing.
            CardOf::Known(id) => Self { id: Some(id), then_plan: false, at: 1, ..Self::new_client("") },
        }
    }

    /// An empty card with a name on it.
    fn new_client(name: &str) -> Self {
        Self {
            id: None,
            kind: Kind::default(),
            read: None,
            card: Card::named(name),
            past: Vec::new(),
            search: Field::default(),
            match_chosen: 0,
            at: 0,
            then_plan: true,
            pending: Pending::Nothing,
            failed: None,
            asks_side: false,
            guardian_shown: false,
            avoided: BTreeSet::new(),
            namesakes: Namesakes::default(),
            removing: Field::default(),
        }
    }

    /// What leaving now would lose.
    pub fn unsaved(&mut self) -> Option<&'static str> {
        let words = self.kind.unsaved(!self.past.is_empty()).filter(|_| self.pending == Pending::Nothing)?;
        self.pending = Pending::Dropped;
        Some(words)
    }

    /// What the program leaves behind where it is left now.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        self.failed.as_ref().map(|why| LeftBehind::lost("the card", why))
    }

    fn is_changed(&self) -> bool {
        !self.past.is_empty() || !self.search.is_empty()
    }

    fn rows(&self) -> Vec<Row> {
        if self.kind.is_walk_in() {
            return self.walk_in_rows();
        }
        let mut rows = vec![Row::Name];
        rows.extend((0..self.card.conditions.len()).map(Row::Recorded));
        rows.extend([Row::AddCondition, Row::Born, Row::Mass]);
        if self.guardian_shown {
            rows.push(Row::Guardian);
        }
        rows.extend(Aim::ALL.iter().map(|aim| Row::Aim(*aim)));
        if self.id.is_some() {
            rows.push(Row::NoHands);
        }
        rows.push(Row::Massage);
        rows.extend((0..self.card.habits_that_hold().count()).map(Row::Habit));
        if self.id.is_some() {
            // A new card takes less than a minute.
            rows.push(Row::Screening);
            rows.extend(WordLine::ALL.iter().map(|line| Row::Words(*line)));
            rows.extend([Row::Archived, Row::Remove]);
        }
        rows.push(Row::Note);
        rows
    }

    fn row(&self) -> Row {
        let rows = self.rows();
        rows[self.at.min(rows.len() - 1)]
    }

    fn is_minor(&self, today: NaiveDate) -> bool {
        let born = born_of(self.card.born.text()).ok().flatten();
        born.and_then(|born| born.youngest(today)).is_some_and(|age| age < 18)
    }

    /// The keys that hold now.
    pub fn mode(&self) -> Mode {
        if self.namesakes.is_asked() {
            return Mode::CardNamesake;
        }
        match self.row() {
            row if self.kind.is_walk_in() => self.walk_in_mode(row),
            Row::Screening => Mode::CardHealth,
            Row::Recorded(index) if self.has_side(index) => Mode::CardSide,
            Row::Recorded(_) => Mode::CardCondition,
            Row::Aim(_) | Row::NoHands | Row::Massage | Row::Archived => Mode::CardChoice,
            Row::Habit(_) => Mode::CardHabit,
            _ => Mode::CardText,
        }
    }

    /// Whether a condition on the card is of one side or of both.
    fn has_side(&self, index: usize) -> bool {
        let recorded = self.card.conditions.get(index);
        recorded.and_then(|recorded| Conditions::built_in().get(&recorded.id)).is_some_and(|it| it.side_bound)
    }

    /// The profile that the card says.
    fn profile(&self, catalogue: &Catalogue, today: NaiveDate) -> Result<Profile, String> {
        let name = self.card.name.text().trim();
        if name.is_empty() {
            return Err("a card needs a name".to_owned());
        }
        if !self.search.is_empty() {
            return Err("a condition is half typed: Enter takes it, Esc clears it".to_owned());
        }
        let mut profile = self.profile_of(name);
        profile.born = born_of(self.card.born.text())?;
        self.kind.check(&profile)?;
        profile.mass = mass_of(self.card.mass.text())?;
        for (line, typed) in self.changed_words(&profile, catalogue) {
            line.put(typed, &mut profile, catalogue, today)?;
        }
        Ok(profile)
    }

    /// The lines in words that say something else than a profile.
    fn changed_words(&self, profile: &Profile, catalogue: &Catalogue) -> Vec<(WordLine, &str)> {
        let words = self.card.words.iter().map(|(line, field)| (*line, field.text()));
        words.filter(|(line, typed)| *typed != line.of(profile, catalogue)).collect()
    }

    /// The profile where nobody can be asked any more: what is no day of birth, and what is half typed, go into the
    /// remark as they stand.
    fn salvaged(&self, catalogue: &Catalogue, today: NaiveDate) -> Profile {
        let name = self.card.name.text().trim();
        let read = self.read.as_ref().map(|read| &read.profile);
        let unnamed = || read.map_or_else(|| format!("New card of {today}"), |read| read.name.clone());
        let mut profile = self.profile_of(&if name.is_empty() { unnamed() } else { name.to_owned() });
        let mut remarks = vec![profile.note.clone()];
        let (born, condition) = (self.card.born.text().trim(), self.search.text().trim());
        match born_of(born) {
            Ok(born) => profile.born = born,
            Err(_) => remarks.push(format!("born, as typed: {born}")),
        }
        match mass_of(self.card.mass.text()) {
            Ok(mass) => profile.mass = mass,
            Err(_) => remarks.push(format!("kilograms, as typed: {}", self.card.mass.text().trim())),
        }
        for (line, typed) in self.changed_words(&profile, catalogue) {
            if line.put(typed, &mut profile, catalogue, today).is_err() {
                remarks.push(format!("{}, as typed: {}", line.label(), typed.trim()));
            }
        }
        remarks.extend((!condition.is_empty()).then(|| format!("condition, as typed: {condition}")));
        remarks.retain(|remark| !remark.is_empty());
        profile.note = remarks.join("; ");
        profile
    }

    /// What was read, with the name given and all else that the card says but for the day of birth.
    fn profile_of(&self, name: &str) -> Profile {
        let mut profile = if let Some(client) = &self.read {
            client.profile.clone()
        } else {
            let new = || ClientId::new("new").expect("three letters are a word");
            Profile::new(self.id.clone().unwrap_or_else(new), name)
        };
        name.clone_into(&mut profile.name);
        profile.conditions.clone_from(&self.card.conditions);
        profile.aims.clone_from(&self.card.aims);
        profile.habits.clone_from(&self.card.habits);
        profile.archived = self.card.archived;
        self.card.note.text().trim().clone_into(&mut profile.note);
        profile
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let today = context.today();
        let before = self.card.conditions.clone();
        let next = match event {
            ScreenEvent::Opened => {
                self.open(context);
                Go::Stay
            }
            ScreenEvent::Action(action) if self.namesakes.is_asked() => {
                self.act_namesake(*action, context);
                Go::Stay
            }
            ScreenEvent::Action(action) => self.act(*action, context),
            ScreenEvent::Dropped => {
                self.past.clear();
                self.search.clear();
                Go::Stay
            }
            // The program ends; all that was typed is saved, whatever it is.
            ScreenEvent::Leave
                if self.pending != Pending::Saved && self.is_changed() && self.is_to_be_kept() =>
            {
                let catalogue = Arc::clone(&context.shared.catalogue);
                let profile = self.profile(&catalogue, today);
                let profile = profile.unwrap_or_else(|_| self.salvaged(&catalogue, today));
                // Nobody can be asked any more whether it is somebody of that name.
                self.save(profile, true, context);
                Go::Stay
            }
            ScreenEvent::Reply(Reply::Client(id, Ok(client)))
                if Some(id) == self.id.as_ref() && self.read.is_none() =>
            {
                self.fill(client, &context.shared.catalogue);
                Go::Stay
            }
            ScreenEvent::Reply(Reply::Client(id, Ok(client)))
                if id.is_of_walk_in() && self.read.is_none() =>
            {
                self.fill_from_walk_in(client, &context.shared.catalogue);
                Go::Stay
            }
            // The screen before hands-on work was asked from here; the rest of the card is as it is filled in.
            ScreenEvent::Reply(Reply::Client(id, Ok(client))) if Some(id) == self.id.as_ref() => {
                if let Some(read) = &mut self.read {
                    Arc::make_mut(read).profile.screenings.clone_from(&client.profile.screenings);
                }
                Go::Stay
            }
            ScreenEvent::Reply(reply) => self.take_answer(reply, context),
            _ => Go::Stay,
        };
        self.guardian_shown = self.is_minor(today);
        if self.card.conditions != before {
            let born = born_of(self.card.born.text()).ok().flatten();
            let age = born.and_then(|born| born.youngest(today));
            let restrictions = Restrictions::of(&self.card.conditions, age, today);
            self.avoided = off_limits(&restrictions, &context.shared.catalogue);
        }
        next
    }

    /// What became of the card that was saved.
    fn take_answer(&mut self, reply: &Reply, context: &mut Context<'_>) -> Go {
        match reply {
            Reply::Namesakes(found) if self.pending == Pending::Saved => {
                (self.pending, self.namesakes) = (Pending::Nothing, Namesakes::of(found));
                Go::Stay
            }
            Reply::Created(Ok(id)) | Reply::Saved(id, Ok(()))
                if self.pending == Pending::Saved && self.kind == Kind::Keeping =>
            {
                self.keep_walk_in(id, context);
                Go::Stay
            }
            Reply::WalkInKept(id, Ok(())) => {
                self.past.clear();
                let name = self.card.name.text().trim();
                context.shared.say(Tone::Good, format!("{name} has a card now ({id}), with this block"));
                Go::Home
            }
            Reply::Saved(id, Ok(())) if self.pending == Pending::Saved && self.kind.is_walk_in() => {
                self.leave(id)
            }
            Reply::Created(Ok(id)) if self.pending == Pending::Saved => {
                let words = format!("the card of {} is saved", self.card.name.text().trim());
                context.shared.say(Tone::Good, words);
                self.leave(id)
            }
            Reply::Saved(id, Ok(())) if self.pending == Pending::Saved => {
                context.shared.say(Tone::Good, "the card is saved");
                self.leave(id)
            }
            Reply::Forgotten(id, Ok(())) if Some(id) == self.id.as_ref() => {
                self.past.clear();
                context.shared.clients.remove(id);
                context.shared.marked.remove(id);
                let words =
                    format!("everything about {id} is removed here; backups and exports are out of reach");
                context.shared.say(Tone::Good, words);
                Go::Home
            }
            Reply::Created(Err(why)) | Reply::Saved(_, Err(why)) | Reply::WalkInKept(_, Err(why)) => {
                (self.pending, self.failed) = (Pending::Nothing, Some(why.clone()));
                Go::Stay
            }
            _ => Go::Stay,
        }
    }

    /// Where the card leads to once it is on the disk.
    fn leave(&self, id: &ClientId) -> Go {
        let plan = Visit::Plan { who: id.clone(), take_up: None };
        if self.then_plan { Go::Replace(plan) } else { Go::Back }
    }

    fn fill(&mut self, client: &Client, catalogue: &Catalogue) {
        self.card = Card::of(&client.profile, catalogue);
        self.read = Some(Arc::new(client.clone()));
        self.at = self.rows().iter().position(|row| *row == Row::AddCondition).unwrap_or(0);
    }

    /// Changes the card so that it can be undone.
    fn change(&mut self, change: impl FnOnce(&mut Card)) {
        let before = self.card.clone();
        change(&mut self.card);
        if self.card != before {
            self.past.push(before);
        }
    }

    fn act(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        let (rows, row, today) = (self.rows(), self.row(), context.today());
        self.asks_side = false;
        let leaving = self.pending == Pending::Dropped;
        let renames = self.pending == Pending::Renamed;
        if leaving || renames {
            self.pending = Pending::Nothing;
        }
        match action {
            Action::Save => return self.save_whole(renames, context),
            Action::OpenPlan => {
                self.then_plan = true;
                return self.save_whole(renames, context);
            }
            Action::OpenHistory => {
                if let Some(id) = self.id.as_ref().filter(|_| !self.kind.is_walk_in()) {
                    return Go::Open(Visit::History(id.clone()));
                }
            }
            Action::WritePages => return self.pages(context),
            Action::Undo => match self.past.pop() {
                Some(before) => self.card = before,
                None => context.shared.say(Tone::Dim, "nothing to take back"),
            },
            Action::Back if row == Row::AddCondition && !self.search.is_empty() => self.search.clear(),
            Action::Back if self.kind == Kind::Keeping => return self.let_walk_in_go(leaving, context),
            Action::Back if self.kind.is_walk_in() => return Go::Back,
            Action::Back if !self.past.is_empty() && !leaving => {
                self.pending = Pending::Dropped;
                context.shared.say(Tone::Caution, "not saved: Ctrl-S saves, Esc once more drops the changes");
            }
            Action::Back => return Go::Back,
            // A condition that was typed behind the name is not part of it.
            Action::Down if row == Row::Name && self.stray().is_some() => self.move_stray(),
            Action::Down if row == Row::AddCondition && self.match_chosen + 1 < self.matches(today).len() => {
                self.match_chosen += 1;
            }
            Action::Up if row == Row::AddCondition && self.match_chosen > 0 => self.match_chosen -= 1,
            Action::PreviousPart => self.at = self.at.saturating_sub(1),
            Action::NextPart => self.at = (self.at + 1).min(rows.len() - 1),
            action if ListChoice(&mut self.at).act(action, rows.len()) => {}
            Action::Choose if row == Row::Screening => {
                if let Some(id) = &self.id {
                    return Go::Open(Visit::Health { who: id.clone(), then_begin: false });
                }
            }
            Action::Choose if row == Row::AddCondition && !self.search.is_empty() => {
                self.add_condition(context);
            }
            Action::Choose if row == Row::Remove && !self.removing.is_empty() => self.remove(context),
            Action::Choose if self.at + 1 >= rows.len() => return self.save_whole(renames, context),
            Action::Choose => match self.readable(row, context) {
                Ok(()) => self.at += 1,
                Err(why) => context.shared.say(Tone::Caution, why),
            },
            action => self.edit_row(row, action, context.today()),
        }
        Go::Stay
    }

    /// To the list of pages, which are of the card as it is on the disk.
    fn pages(&self, context: &mut Context<'_>) -> Go {
        match &self.id {
            Some(id) if !self.is_changed() => Go::Open(Visit::Pages(id.clone())),
            _ => {
                context.shared.say(Tone::Caution, "pages are of the card as it is saved: Ctrl-S saves it");
                Go::Stay
            }
        }
    }

    /// Saves the card as it is filled in, unless something of it cannot be.
    fn save_whole(&mut self, renames: bool, context: &mut Context<'_>) -> Go {
        match self.profile(&context.shared.catalogue, context.today()) {
            Ok(profile) if !renames && self.is_renamed(&profile) => {
                let (id, name) = (&profile.id, &profile.name);
                let words = format!("once more saves it as {name}; the file stays {id}");
                self.pending = Pending::Renamed;
                context.shared.say(Tone::Caution, words);
            }
            Ok(profile) if self.pending != Pending::Saved => self.save(profile, false, context),
            Ok(_) => {}
            Err(why) => context.shared.say(Tone::Caution, why),
        }
        Go::Stay
    }

    /// Whether a client who is known gets another name.
    fn is_renamed(&self, profile: &Profile) -> bool {
        self.id.is_some() && self.read.as_ref().is_some_and(|read| read.profile.name != profile.name)
    }

    /// Removes everything about the client, where the name was typed as it stands in the file.
    fn remove(&mut self, context: &mut Context<'_>) {
        let (Some(id), Some(read)) = (&self.id, &self.read) else { return };
        if self.removing.text().trim() == read.profile.name {
            context.ask(Effect::Forget(id.clone()));
        } else {
            let words = format!("nothing was removed: type {} exactly", read.profile.name);
            context.shared.say(Tone::Caution, words);
        }
    }

    /// Saves the card; `another` if it was asked whether it is somebody of that name.
    fn save(&mut self, mut profile: Profile, another: bool, context: &mut Context<'_>) {
        let today = context.today();
        profile.agree(Touch::Massage, self.card.massage, today, "");
        if self.card.no_hands != profile.refuses_hands() {
            profile.agree(Touch::HandsOn, !self.card.no_hands, today, "");
        }
        profile.name_guardian(self.card.guardian.text(), today, "");
        (self.pending, self.failed) = (Pending::Saved, None);
        let profile = Box::new(profile);
        context.ask(if self.id.is_some() {
            Effect::Save(profile)
        } else {
            Effect::Create { profile, another }
        });
    }
}
