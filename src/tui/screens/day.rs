//! Who is next? The clients, those first who are likely to be on the mat now.

mod preview;

use std::collections::{BTreeSet, VecDeque};
use std::time::Duration;

use chrono::NaiveDate;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::client::{ClientId, Due};
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
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::ago;

use preview::{draw_last_reached, draw_own_day, draw_preview, own_day_lines, preview_lines};

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

/// How likely somebody is next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    /// A session was cut off.
    Unfinished,
    /// Usually comes on this day of the week, or did of late.
    ThisWeekday,
    /// Anybody else.
    Others,
    /// Was here today already.
    Done,
}

impl Group {
    const fn of(due: Due) -> Self {
        match due {
            Due::CutOff => Self::Unfinished,
            Due::UsualTime | Due::SameWeekday => Self::ThisWeekday,
            Due::NotExpected => Self::Others,
            Due::Done => Self::Done,
        }
    }

    fn title(self, today: NaiveDate) -> String {
        match self {
            Self::Unfinished => "cut off, to be taken up or closed".to_owned(),
            Self::ThisWeekday => format!("here on {}s", today.format("%A")),
            Self::Others => "everybody else".to_owned(),
            Self::Done => "was here today".to_owned(),
        }
    }
}

/// A row of the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Row {
    Gap,
    Heading(Group),
    /// A client, by the number among those that match.
    Entry(usize),
}

/// The rows of the list, with an empty one before each group where there is room.
fn rows(entries: &[(Group, &RosterEntry)], height: u16) -> Vec<Row> {
    let roomy = entries.len() + 8 <= usize::from(height);
    let mut rows = Vec::new();
    for (index, (group, _)) in entries.iter().enumerate() {
        if index == 0 || entries[index - 1].0 != *group {
            if index > 0 && roomy {
                rows.push(Row::Gap);
            }
            rows.push(Row::Heading(*group));
        }
        rows.push(Row::Entry(index));
    }
    rows
}

/// Whether a client was read, and nothing has been done with it since.
fn is_read(entry: &RosterEntry, shared: &Shared) -> bool {
    shared.clients.get(&entry.id).is_some_and(|client| {
        let last = client.sessions.last();
        last.map(|last| last.at) == entry.last
            && last.is_some_and(|last| last.closed.is_none()) == entry.unfinished
    })
}

impl State {
    /// The keys that hold here.
    pub const fn mode(&self) -> Mode {
        if self.in_list { Mode::DayList } else { Mode::Day }
    }

    /// The clients that match what was typed, in the order of the list.
    fn entries<'a>(&self, shared: &'a Shared, today: NaiveDate) -> Vec<(Group, &'a RosterEntry)> {
        let Some(roster) = &shared.roster else { return Vec::new() };
        let mut entries: Vec<(Group, &RosterEntry)> = roster
            .entries
            .iter()
            .filter(|entry| text::matches(&format!("{} {}", entry.name, entry.id), self.filter.text()))
            .filter(|entry| !entry.is_archived(today) || !self.filter.is_empty())
            .map(|entry| (Group::of(entry.expected(today).due), entry))
            .collect();
        entries.sort_by_cached_key(|(group, entry)| {
            let recent = std::cmp::Reverse(entry.last.map(|at| at.timestamp()));
            (*group, entry.expected(today).time, recent, entry.name.to_lowercase())
        });
        entries
    }

    fn chosen(&self, shared: &Shared, today: NaiveDate) -> Option<RosterEntry> {
        self.entries(shared, today).get(self.chosen).map(|(_, entry)| (*entry).clone())
    }

    /// Puts the choice on who was opened last, unless somebody else is looked for already.
    fn come_back(&mut self, shared: &Shared, today: NaiveDate) {
        let Some(id) = self.opened.as_ref().filter(|_| self.filter.is_empty()) else { return };
        let found = self.entries(shared, today).iter().position(|(_, entry)| entry.id == *id);
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
        let chosen = entries.get(self.chosen).map(|(_, entry)| *entry).filter(unread);
        let chosen = chosen.map(|entry| entry.id.clone());
        let wanted = entries.iter().map(|(_, entry)| *entry).take(READ).filter(unread);
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
                    .filter(|(_, entry)| entry.last.is_some_and(|last| last.date_naive() == today))
                    .filter(|(_, entry)| !is_read(entry, context.shared))
                    .map(|(_, entry)| entry.id.clone())
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
        let total = shared.roster.as_ref().map_or(0, |roster| roster.entries.len());
        if shared.roster.is_some() && total == 0 {
            canvas.heading(area, 0, "Who is next?", &day);
            return self.draw_welcome(canvas::below(area, 2), canvas, shared);
        }
        let known = if shared.roster.is_some() { text::count(total, "client") } else { "reading".to_owned() };
        canvas.title(area, "Who is next?", &day, (Tone::Dim, &known));
        let field = FieldView { field: &self.filter, hint: "type a name", active: true, theme: canvas.theme };
        (&field).render(canvas::top(canvas::below(area, 1), 1), canvas.buf);
        draw_own_day(area, canvas, shared, today);
        let rest = canvas::below(area, 3);
        let (list, beside) = if area.width >= 110 {
            canvas::split(rest, (rest.width * 11 / 20).max(72), 3)
        } else {
            // What is known of the chosen one has what a short list leaves.
            let under = if rest.height >= 14 { 6 } else { 0 };
            let most = rest.height - under;
            let rows = rows(&entries, most);
            let shown = if under == 0 { most } else { cells(rows.len()).clamp(1, most) };
            let hidden =
                rows.iter().skip(usize::from(most)).filter(|row| matches!(row, Row::Entry(_))).count();
            if hidden > 0 && under > 0 && self.chosen + hidden < entries.len() {
                canvas.right(canvas::below(rest, shown), 0, Tone::Dim, &format!("{hidden} more below"));
            }
            (canvas::top(rest, shown), canvas::below(rest, shown + 1))
        };
        if entries.is_empty() && shared.roster.is_some() {
            let words = format!("Nobody of that name. Enter writes a card for `{}`.", self.filter.text());
            canvas.wrapped(list, 0, Tone::Text, &words);
        }
        let end = self.draw_list(list, &entries, canvas, (shared, today));
        if let Some((_, entry)) = entries.get(self.chosen) {
            let under = if beside.x > list.x { canvas::below(list, end + 1) } else { canvas::top(list, 0) };
            let reached = draw_last_reached(under, entry, canvas, shared);
            let y = draw_preview(beside, entry, canvas, shared, today);
            if !reached {
                draw_last_reached(canvas::below(beside, y + 1), entry, canvas, shared);
            }
        }
        let problems = shared.roster.as_ref().map_or(&[][..], |roster| &roster.problems[..]);
        if let [problem, others @ ..] = problems {
            let more = if others.is_empty() { String::new() } else { format!("and {} more: ", others.len()) };
            let words = format!("{} {more}{problem}", canvas.glyphs().caution);
            canvas.row(canvas::below(area, area.height - 1), 0, Tone::Caution, &words);
        }
    }

    fn draw_list(
        &self,
        area: Rect,
        entries: &[(Group, &RosterEntry)],
        canvas: &mut Canvas<'_>,
        (shared, today): (&Shared, NaiveDate),
    ) -> u16 {
        /// Columns from which on the last session is worth drawing beside the name.
        const BAND: u16 = 20;
        let glyphs = canvas.glyphs();
        let last = |id: &ClientId| shared.clients.get(id).and_then(|client| client.sessions.last());
        // One scale for all, so that a long block looks longer than a short one.
        let minutes =
            entries.iter().filter_map(|(_, entry)| last(&entry.id)).map(|last| last.minutes.seconds());
        let longest = minutes.max().unwrap_or_default().get().max(1);
        let rows = rows(entries, area.height);
        let at = rows.iter().position(|row| *row == Row::Entry(self.chosen)).unwrap_or(0);
        let first = canvas::first_shown(at, rows.len(), area.height);
        let names =
            entries.iter().map(|(_, entry)| text::width(&entry.name)).max().unwrap_or(0).clamp(12, 24);
        for (y, row) in rows.iter().enumerate().skip(first).take(usize::from(area.height)) {
            let line = cells(y - first);
            let index = match *row {
                Row::Gap => continue,
                Row::Heading(group) => {
                    canvas.row(area, line, Tone::Dim, &group.title(today));
                    continue;
                }
                Row::Entry(index) => index,
            };
            let entry = entries[index].1;
            canvas.choice(area, line, index, index == self.chosen);
            let x = canvas.at(
                area,
                2,
                line,
                Tone::Strong,
                &text::pad(&text::clean(&entry.name), names, glyphs.ellipsis),
            );
            let when = entry.last.map_or("new".to_owned(), |at| ago(at.date_naive(), today));
            let x = canvas.at(area, x + 2, line, Tone::Text, &text::pad(&when, 13, glyphs.ellipsis));
            if area.width < x + 15 {
                // No room for words; that there is a caution must be seen all the same.
                if entry.conditions > 0 {
                    let words = format!("{}{}", glyphs.caution, entry.conditions);
                    canvas.right(area, line, Tone::Caution, &words);
                }
                continue;
            }
            if entry.conditions > 0 {
                let words = format!("{} {}", glyphs.caution, text::count(entry.conditions, "condition"));
                canvas.at(area, x + 1, line, Tone::Caution, &words);
            }
            let (_, band) = canvas::split(Rect { y: area.y + line, height: 1, ..area }, x + 15, 2);
            if let Some(session) = last(&entry.id).filter(|_| band.width >= BAND) {
                let ribbon = Ribbon::of_session(session, &shared.catalogue, canvas.theme);
                let quiet = index != self.chosen;
                (&Ribbon { length: longest, quiet, ..ribbon }).render(band, canvas.buf);
            }
        }
        cells(rows.len()).min(area.height)
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
        let mut page = Page::new("the day", format!("Who is next? {}", today.format("%A, %-d %B")));
        if !self.filter.is_empty() {
            page.push(format!("Typed: {}", self.filter.text()));
        }
        page.extend(own_day_lines(shared, today));
        let entries = self.entries(shared, today);
        if entries.is_empty() {
            page.push("Nobody of that name. Enter writes a new card.");
        }
        let row = |(group, entry): &(Group, &RosterEntry)| {
            // A loudspeaker has other ears: of those who were not chosen nothing but the name is said.
            let here = match group {
                Group::Unfinished => ", cut off",
                Group::ThisWeekday => ", usually today",
                Group::Done => ", done today",
                Group::Others => "",
            };
            format!("{}{here}", entry.name)
        };
        page.list("clients", entries.iter().map(row).collect(), Some(self.chosen), ListSpeech::Once);
        if let Some((_, entry)) = entries.get(self.chosen) {
            page.aside(entry.id.to_string());
            page.extend(preview_lines(entry, shared, today));
        }
        page.about("problems");
        page.extend(
            shared.roster.iter().flat_map(|roster| &roster.problems).map(|why| format!("Problem: {why}")),
        );
        page
    }
}
