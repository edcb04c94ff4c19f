//! Who is next? The clients, those first who are likely to be on the mat now.

mod list;
mod order;
mod preview;
mod unreadable;

use std::collections::{BTreeSet, VecDeque};
use std::time::Duration;

use chrono::NaiveDate;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::client::ClientId;
use crate::store::RosterEntry;
use crate::tui::canvas::{self, Canvas};
use crate::tui::effect::Effect;
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::{Context, Shared};
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::field::{Field, FieldView};

use list::{draw_list, draw_others};
use order::{DayPart, Listed};
use preview::{
    PREVIEW, draw_last_reached, draw_own_day, draw_preview, draw_short, own_day_lines, preview_lines,
};
use unreadable::{unread_file, unreadable};

/// What was typed and where the choice is.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    filter: Field,
    /// Whether the caret was left: letters are keys.
    in_list: bool,
    chosen: usize,
    /// Clients that were asked for since the list came.
    asked: BTreeSet<ClientId>,
    /// Clients that are read while no key waits.
    wanted: VecDeque<ClientId>,
    /// What was pressed before the list came.
    early: Option<Action>,
    /// Who was opened last: the choice comes back to them.
    opened: Option<ClientId>,
}

/// Rows of the list whose clients are read for their ribbons.
const READ: usize = 40;

/// Whether a client was read, and nothing has been done with it since.
fn is_read(entry: &RosterEntry, shared: &Shared) -> bool {
    shared.clients.get(&entry.id).is_some_and(|client| {
        let last = client.sessions.last();
        last.map(|last| last.at) == entry.last && client.is_cut_off_of_late() == entry.unfinished
    })
}

/// Where a walk-in goes: to what was asked of them, or to the block that waits.
fn walk_in(shared: &Shared) -> Visit {
    let who = ClientId::of_walk_in();
    let waits = shared.clients.get(&who).is_some_and(|client| client.cut_off().next().is_some());
    if waits { Visit::Plan { who, take_up: None } } else { Visit::Card(CardOf::WalkIn) }
}

impl State {
    /// The keys that hold here.
    pub const fn mode(&self) -> Mode {
        if self.in_list { Mode::DayList } else { Mode::Day }
    }

    /// The clients that match what was typed, in the order of the list.
    fn entries<'a>(&self, shared: &'a Shared, today: NaiveDate) -> Vec<Listed<'a>> {
        let Some(roster) = &shared.roster else { return Vec::new() };
        let mut entries: Vec<Listed<'_>> = roster
            .entries
            .iter()
            .filter(|entry| text::matches(&format!("{} {}", entry.name, entry.id), self.filter.text()))
            .filter(|entry| !entry.is_archived(today) || !self.filter.is_empty())
            .map(|entry| Listed::of(entry, today))
            .collect();
        entries.sort_by_cached_key(Listed::key);
        entries
    }

    fn chosen(&self, shared: &Shared, today: NaiveDate) -> Option<RosterEntry> {
        self.entries(shared, today).get(self.chosen).map(|listed| listed.entry.clone())
    }

    /// Puts the choice on who was opened last, unless somebody else is looked for already.
    fn come_back(&mut self, shared: &Shared, today: NaiveDate) {
        let Some(id) = self.opened.as_ref().filter(|_| self.filter.is_empty()) else { return };
        let found = self.entries(shared, today).iter().position(|listed| listed.entry.id == *id);
        self.chosen = found.unwrap_or(self.chosen);
    }

    /// Asks for a client once, unless it was read and has not changed.
    fn read(&mut self, id: &ClientId, context: &mut Context<'_>) {
        if self.asked.insert(id.clone()) {
            context.ask(Effect::Load(id.clone()));
        }
    }

    /// Asks for the chosen client, for the preview, and notes whom to read when there is time.
    fn preview(&mut self, context: &mut Context<'_>) {
        let today = context.today();
        let shared = &*context.shared;
        let entries = self.entries(shared, today);
        let unread = |entry: &&RosterEntry| !is_read(entry, shared) && !self.asked.contains(&entry.id);
        let chosen = entries.get(self.chosen).map(|listed| listed.entry).filter(unread);
        let chosen = chosen.map(|entry| entry.id.clone());
        // Those around the chosen one, whose rows are in sight.
        let from = self.chosen.saturating_sub(READ / 2);
        let wanted = entries.iter().map(|listed| listed.entry).skip(from).take(READ).filter(unread);
        self.wanted = wanted.map(|entry| entry.id.clone()).collect();
        if let Some(id) = chosen {
            self.read(&id, context);
        }
    }

    /// How long nothing changes: clients are read one by one while no key waits.
    pub fn next_wake(&self) -> Option<Duration> {
        (!self.wanted.is_empty()).then_some(Duration::ZERO)
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let today = context.today();
        let count = self.entries(context.shared, today).len();
        match event {
            ScreenEvent::Action(action) => {
                let next = self.act(*action, count, context);
                self.preview(context);
                next
            }
            ScreenEvent::Reply(Reply::Clients(_)) => {
                // Whoever was here today counts for the trainer's own day.
                let done = self.entries(context.shared, today).into_iter();
                let done: Vec<ClientId> = done
                    .map(|listed| listed.entry)
                    .filter(|entry| entry.last.is_some_and(|last| last.date_naive() == today))
                    .filter(|entry| !is_read(entry, context.shared))
                    .map(|entry| entry.id.clone())
                    .collect();
                for id in done {
                    self.read(&id, context);
                }
                self.chosen = self.chosen.min(count.saturating_sub(1));
                self.come_back(context.shared, today);
                self.opened = None;
                self.preview(context);
                self.early.take().map_or(Go::Stay, |action| self.act(action, count, context))
            }
            ScreenEvent::Reply(Reply::Created(Ok(id))) => {
                *self = Self { opened: Some(id.clone()), ..Self::default() };
                Go::Stay
            }
            ScreenEvent::Reply(Reply::Demo(_)) => {
                *self = Self::default();
                Go::Stay
            }
            ScreenEvent::Shown => {
                self.filter.clear();
                self.in_list = false;
                self.asked.clear();
                if context.shared.clients.contains_key(&ClientId::of_walk_in()) {
                    context.ask(Effect::Load(ClientId::of_walk_in()));
                }
                self.come_back(context.shared, today);
                context.ask(Effect::List);
                Go::Stay
            }
            ScreenEvent::Woke => {
                if let Some(id) = self.wanted.pop_front() {
                    self.read(&id, context);
                }
                Go::Stay
            }
            _ => Go::Stay,
        }
    }

    fn act(&mut self, action: Action, count: usize, context: &mut Context<'_>) -> Go {
        let today = context.today();
        let opens =
            matches!(action, Action::Choose | Action::OpenPlan | Action::OpenHistory | Action::OpenCard);
        if opens && context.shared.roster.is_none() {
            self.early = Some(action);
            return Go::Stay;
        }
        let mut typed = true;
        match action {
            Action::Type(letter) => self.filter.push(letter),
            Action::Erase => self.filter.erase(),
            Action::EraseWord | Action::EraseLine => self.filter.edit(action),
            Action::Back if !self.in_list => self.filter.clear(),
            _ => typed = false,
        }
        if typed {
            self.chosen = 0;
            return Go::Stay;
        }
        match action {
            Action::Find | Action::Back => self.in_list = false,
            Action::NextPart | Action::PreviousPart => self.in_list = !self.in_list,
            Action::Up if self.in_list && self.chosen == 0 => self.in_list = false,
            action if ListChoice(&mut self.chosen).act(action, count) => self.in_list = true,
            _ => {}
        }
        let chosen = self.chosen(context.shared, today);
        if opens {
            self.opened = chosen.as_ref().map(|entry| entry.id.clone());
        }
        match (action, chosen) {
            (Action::Demo, _) if context.shared.demo => {
                context.ask(Effect::Demo);
                Go::Stay
            }
            (Action::WalkIn, _) => Go::Open(walk_in(context.shared)),
            (Action::Choose, None) if let Some(why) = unreadable(self.filter.text(), context.shared) => {
                context.shared.say(Tone::Caution, why);
                Go::Stay
            }
            (Action::NewClient, _) | (Action::Choose, None) if context.shared.roster.is_some() => {
                Go::Open(Visit::Card(CardOf::New(self.filter.text().to_owned())))
            }
            (Action::Choose | Action::OpenPlan, Some(entry)) => {
                Go::Open(Visit::Plan { who: entry.id, take_up: None })
            }
            (Action::OpenHistory, Some(entry)) => Go::Open(Visit::History(entry.id)),
            (Action::OpenCard, Some(entry)) => Go::Open(Visit::Card(CardOf::Known(entry.id))),
            _ => Go::Stay,
        }
    }

    /// Draws the list, with what is known about the chosen client beside or below it.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let today = now.wall.date_naive();
        let day = today.format("%A, %-d %B").to_string();
        let entries = self.entries(shared, today);
        canvas.heading(area, 0, "Who is next?", &day);
        if shared.roster.as_ref().is_some_and(|roster| roster.entries.is_empty()) {
            return self.draw_welcome(canvas::below(area, 2), canvas, shared);
        }
        draw_own_day(area, canvas, shared, today);
        let gap = u16::from(area.height >= 18);
        let field = FieldView { field: &self.filter, hint: "type a name", active: true, theme: canvas.theme };
        (&field).render(canvas::top(canvas::below(area, 1 + gap), 1), canvas.buf);
        let rest = canvas::below(area, 2 + 2 * gap);
        let is_wide = area.width >= 110;
        let (left, beside) = if is_wide {
            canvas::split(rest, (rest.width * 11 / 20).max(78), 3)
        } else {
            let under = if rest.height >= 14 { PREVIEW + 1 } else { 0 };
            (canvas::top(rest, rest.height - under), canvas::below(rest, rest.height - under + 1))
        };
        let others = u16::from(left.height >= 6);
        // On a tall screen the body that the last session reached stands below the list.
        let list_rows =
            if is_wide { (left.height - others).min(cells(entries.len()) + 9) } else { left.height - others };
        if shared.roster.is_none() {
            canvas.row(left, 0, Tone::Dim, "reading");
        } else if entries.is_empty() {
            let typed = self.filter.text();
            let nobody =
                || format!("Nobody of that name. Enter: new card for `{typed}`. F4: walk-in, no card kept.");
            let words = unreadable(typed, shared).unwrap_or_else(nobody);
            canvas.wrapped(left, 0, Tone::Text, &words);
        }
        let end = draw_list(canvas::top(left, list_rows), (&entries, self.chosen), canvas, (shared, today));
        if others > 0 {
            let y = if is_wide { end + 1 } else { list_rows };
            draw_others(left, y, canvas);
        }
        if let Some(listed) = entries.get(self.chosen) {
            if is_wide {
                let reached =
                    draw_last_reached(canvas::below(left, list_rows + 2), listed.entry, canvas, shared);
                let y = draw_preview(beside, listed.entry, canvas, shared, today);
                if !reached {
                    draw_last_reached(canvas::below(beside, y + 1), listed.entry, canvas, shared);
                }
            } else {
                draw_short(beside, listed.entry, canvas, shared, today);
            }
        }
        let problems = shared.roster.as_ref().map_or(&[][..], |roster| &roster.problems[..]);
        if let [problem, others @ ..] = problems {
            let more = if others.is_empty() { String::new() } else { format!("and {} more: ", others.len()) };
            let words = format!("{} {more}{problem}", canvas.glyphs().caution);
            let row = canvas::below(area, area.height - 1);
            canvas.clear(row);
            canvas.row(row, 0, Tone::Caution, &words);
        }
    }

    fn draw_welcome(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared) {
        let mut y = canvas.wrapped(
            area,
            0,
            Tone::Text,
            "No clients yet. Type a name and press Enter: a card takes less than a minute.",
        );
        let field = FieldView {
            field: &self.filter,
            hint: "name of the first client",
            active: true,
            theme: canvas.theme,
        };
        (&field).render(canvas::top(canvas::below(area, y + 1), 1), canvas.buf);
        y += 3;
        let walk_in =
            [(Tone::Text, "A walk-in of whom no card is kept: "), (Tone::Focus, "F4"), (Tone::Text, ".")];
        canvas.target(area, y, Action::WalkIn);
        canvas.spans(area, 0, y, &walk_in);
        y += 2;
        if shared.demo {
            canvas.spans(
                area,
                0,
                y,
                &[
                    (Tone::Text, "Or look round first: "),
                    (Tone::Focus, "F5"),
                    (Tone::Text, " opens an invented studio."),
                ],
            );
            y += 2;
        }
        canvas.wrapped(area, y, Tone::Dim, &format!("Everything is kept in {}", shared.folder));
    }

    /// The list as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let today = now.wall.date_naive();
        let day = format!("Who is next? {}", today.format("%A, %-d %B"));
        let mut page = Page::new("the day", if shared.brief { "Who is next?".to_owned() } else { day });
        if !self.filter.is_empty() {
            page.quiet(format!("Typed: {}", self.filter.text()));
        }
        if !shared.brief {
            page.extend(own_day_lines(shared, today));
        }
        let entries = self.entries(shared, today);
        if entries.is_empty() {
            let typed = self.filter.text();
            let nobody = || match typed {
                "" => "No client yet. Type a name, or walk-in: no card is kept.".to_owned(),
                _ => "Nobody of that name. Enter writes a new card. walk-in: no card is kept.".to_owned(),
            };
            // Said anew for whatever is typed.
            page.about(format!("nobody {typed}"));
            page.push(unreadable(typed, shared).unwrap_or_else(nobody));
        }
        let row = |listed: &Listed<'_>| {
            // A loudspeaker has other ears: of those who were not chosen nothing but the name is said.
            let here = match listed.part {
                _ if shared.brief => "",
                DayPart::CutOff => ", cut off",
                DayPart::Today => ", usually today",
                DayPart::Done => ", done today",
                DayPart::Due | DayPart::Others => "",
            };
            format!("{}{here}", listed.entry.name)
        };
        let others = if shared.brief { ListSpeech::Chosen } else { ListSpeech::Once };
        page.list("clients", entries.iter().map(row).collect(), Some(self.chosen), others);
        if let Some(entry) = entries.get(self.chosen).map(|listed| listed.entry) {
            page.aside(entry.id.to_string());
            page.extend(preview_lines(entry, shared, today));
        }
        page.about("problems");
        let problems = shared.roster.iter().flat_map(|roster| &roster.problems);
        let (files, others): (Vec<&String>, Vec<&String>) =
            problems.partition(|why| unread_file(why).is_some());
        let names: Vec<&str> = files.iter().filter_map(|why| unread_file(why)).collect();
        if !names.is_empty() {
            page.push(format!("Not readable: {}. Problems says where.", text::list(&names)));
        }
        page.extend(others.into_iter().map(|why| format!("Problem: {why}")));
        page.aside("where");
        page.extend(files.into_iter().map(|why| format!("Problem: {why}")));
        page
    }
}
