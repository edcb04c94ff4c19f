//! The whole state of the screens: what comes in changes it, and says what is to be done.

mod by_remote;
mod farewell;
mod typed_line;

use std::sync::Arc;
use std::time::Duration;

use ratatui::Frame;
use ratatui::buffer::Buffer;
use ratatui::crossterm::event::{KeyEvent, KeyEventKind};
use ratatui::layout::Rect;

use crate::client::ClientId;

use super::canvas::{self, Canvas};
use super::effect::Effect;
use super::event::{Event, Now, Reply, ScreenEvent, Size, Wheel};
use super::go::{Go, LeftBehind, Visit};
use super::keys::{self, Action, Detour, Key, Letters, Mode, Slot};
use super::page::{ClockView, Page};
use super::screens::{Screen, day};
use super::shared::{Context, Shared};
use super::text;
use super::theme::{Background, Glyphs, Tone};

/// The smallest terminal that the screens fit in.
pub const SMALLEST: (u16, u16) = (40, 12);

/// The most rows that something to be said takes from the screen above.
const NOTICE: u16 = 3;

/// All screens.
#[derive(Debug, Clone, PartialEq)]
pub struct App {
    /// What all screens look at.
    pub shared: Shared,
    // Invariant: never empty; the last one is on top.
    screens: Vec<Screen>,
    /// Whether the last key asked to leave, and was told what that loses.
    has_warned: bool,
}

impl App {
    /// The screens at the start, with the first things to be done.
    pub fn new(shared: Shared) -> (Self, Vec<Effect>) {
        (
            Self { shared, screens: vec![Screen::Day(day::State::default())], has_warned: false },
            vec![Effect::List],
        )
    }

    /// The screen on top.
    pub fn top(&self) -> &Screen {
        self.screens.last().expect("the day screen is never taken away")
    }

    /// Takes in what happened; the only place where state changes.
    pub fn update(&mut self, event: Event, now: Now) -> Vec<Effect> {
        let mut effects = Vec::new();
        match event {
            Event::Key(event) if event.kind == KeyEventKind::Release => {}
            Event::Key(event) => self.key(event, now, &mut effects),
            Event::Click { at, size } => {
                let area = Rect::new(0, 0, size.0, size.1);
                let targets = self.targets(area, &mut Buffer::empty(area), now);
                let hit = targets.iter().rev().find(|(place, _)| place.contains(at.into()));
                self.pressed(hit.map(|(_, action)| *action), now, &mut effects);
            }
            Event::Wheel(wheel) => {
                let by = if wheel == Wheel::Down { Action::Down } else { Action::Up };
                self.pressed(Some(by), now, &mut effects);
            }
            Event::Words(line) => self.words(&line, now, &mut effects),
            // What is pasted presses no key.
            Event::Paste(_) if self.top().mode().letters() == Letters::Keys => {}
            Event::Paste(pasted) => {
                for letter in text::clean(&pasted).chars().take(200) {
                    self.act(Action::Type(letter), now, &mut effects);
                }
            }
            Event::Woke => self.time_passed(now, &mut effects),
            Event::Closing => {
                self.everywhere(&ScreenEvent::Leave, now, &mut effects);
                effects.push(Effect::Quit);
            }
            Event::Reply(reply) => self.take_reply(&reply, now, &mut effects),
        }
        effects
    }

    /// Does what a key or the mouse means; asked for once time has passed, which may change what that is.
    fn pressed(&mut self, action: Option<Action>, now: Now, effects: &mut Vec<Effect>) {
        self.shared.notice = None;
        // Time comes first: a key counts for the step that it was pressed in.
        self.everywhere(&ScreenEvent::Pressed, now, effects);
        if let Some(action) = action {
            self.act(action, now, effects);
        }
    }

    fn key(&mut self, event: KeyEvent, now: Now, effects: &mut Vec<Effect>) {
        self.pressed(None, now, effects);
        let mode = self.top().mode();
        if self.is_taught(event, now, effects) || self.is_of_remote(event, now, effects) {
            return;
        }
        let action = keys::resolve(mode, self.shared.remote.translated(mode, event));
        self.has_warned &= action == Some(Action::Quit);
        if let Some(action) = action {
            self.act(action, now, effects);
        }
    }

    fn act(&mut self, action: Action, now: Now, effects: &mut Vec<Effect>) {
        match action {
            Action::Quit if let Some(why) = self.unsaved() => {
                self.has_warned = true;
                self.shared.say(Tone::Caution, format!("{why}; Ctrl-C once more leaves all the same"));
            }
            Action::Quit => {
                if self.has_warned {
                    self.everywhere(&ScreenEvent::Dropped, now, effects);
                }
                self.everywhere(&ScreenEvent::Leave, now, effects);
                effects.push(Effect::Quit);
            }
            Action::Background => {
                let background = self.shared.theme.background;
                self.shared.theme.background =
                    if background == Background::Dark { Background::Light } else { Background::Dark };
            }
            Action::Open(detour) if !self.top().is_overlay() => self.open(detour),
            action => self.send(self.depth() - 1, &ScreenEvent::Action(action), now, effects),
        }
    }

    /// Opens a screen that needs nothing but the one below.
    pub fn open(&mut self, detour: Detour) {
        self.screens.push(Screen::at(detour, self.top().mode()));
    }

    /// What would be lost by leaving, said once by each screen.
    fn unsaved(&mut self) -> Option<&'static str> {
        self.screens.iter_mut().find_map(Screen::unsaved)
    }

    /// Hands something to every screen, the lowest first.
    fn everywhere(&mut self, event: &ScreenEvent<'_>, now: Now, effects: &mut Vec<Effect>) {
        for index in 0..self.screens.len() {
            if index < self.screens.len() {
                self.send(index, event, now, effects);
            }
        }
    }

    fn send(&mut self, index: usize, event: &ScreenEvent<'_>, now: Now, effects: &mut Vec<Effect>) {
        let mut context = Context { shared: &mut self.shared, now, effects };
        let next = self.screens[index].update(event, &mut context);
        self.go(index, next, now, effects);
    }

    /// Where a plan of that client lies, below a screen.
    fn plan_of(&self, who: &ClientId, below: usize) -> Option<usize> {
        self.screens[..below].iter().position(|screen| screen.is_plan_of(who))
    }

    fn visit(&mut self, visit: Visit, now: Now, effects: &mut Vec<Effect>) -> Screen {
        Screen::of(visit, &mut Context { shared: &mut self.shared, now, effects })
    }

    fn go(&mut self, index: usize, next: Go, now: Now, effects: &mut Vec<Effect>) {
        match next {
            // A plan that lies below is gone back to as it was left, with all that is marked there.
            Go::Open(Visit::Plan { who, take_up: None })
            | Go::Replace(Visit::Plan { who, take_up: None })
                if let Some(below) = self.plan_of(&who, index) =>
            {
                self.screens.truncate(below + 1);
                self.send(below, &ScreenEvent::Shown, now, effects);
            }
            Go::Open(visit) => {
                let screen = self.visit(visit, now, effects);
                self.screens.push(screen);
                self.send(self.screens.len() - 1, &ScreenEvent::Opened, now, effects);
            }
            Go::Replace(visit) => {
                self.screens[index] = self.visit(visit, now, effects);
                self.send(index, &ScreenEvent::Opened, now, effects);
            }
            Go::Back if index > 0 => {
                self.screens.truncate(index);
                self.send(index - 1, &ScreenEvent::Shown, now, effects);
            }
            // Nowhere, and there is no way back from the day but out.
            Go::Stay | Go::Back => {}
            Go::Home => {
                self.screens.truncate(1);
                self.send(0, &ScreenEvent::Shown, now, effects);
            }
            Go::Act(action) => {
                self.screens.truncate(index.max(1));
                self.act(action, now, effects);
            }
        }
    }

    fn take_reply(&mut self, reply: &Reply, now: Now, effects: &mut Vec<Effect>) {
        match reply {
            Reply::Clients(Ok(roster)) => self.shared.roster = Some(roster.clone()),
            Reply::Client(id, Ok(client)) => {
                self.shared.clients.insert(id.clone(), Arc::new((**client).clone()));
            }
            Reply::Saved(id, Ok(())) => {
                effects.extend([Effect::Load(id.clone()), Effect::List]);
            }
            Reply::Trainer(Ok(trainer)) => self.shared.trainer = (**trainer).clone(),
            Reply::Demo(Ok(opened)) => {
                self.shared.knows((**opened).clone());
                self.shared.clients.clear();
                effects.push(Effect::List);
            }
            Reply::Created(Ok(_)) => effects.push(Effect::List),
            Reply::WalkInKept(_, Ok(())) => {
                self.shared.forget(&ClientId::of_walk_in());
                effects.push(Effect::List);
            }
            Reply::WalkInGone => self.shared.forget(&ClientId::of_walk_in()),
            Reply::Pages(Ok(words)) => self.shared.say(Tone::Good, words.clone()),
            // What went wrong is said first; the rest stands in the list of the day too.
            Reply::Noticed(words) if !matches!(self.shared.notice, Some((Tone::Caution, _))) => {
                self.shared.say(Tone::Caution, words.clone());
            }
            reply => {
                if let Some(why) = reply.failure() {
                    self.shared.say(Tone::Caution, why.in_a_line());
                }
            }
        }
        self.everywhere(&ScreenEvent::Reply(reply), now, effects);
    }

    /// What the program leaves behind where it was left in the middle of something.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        self.screens.iter().find_map(Screen::left_behind)
    }

    /// How long nothing will change by itself; none: until a key comes.
    pub fn next_wake(&self, now: Now) -> Option<Duration> {
        let farewell = self.shared.farewell.and_then(|farewell| farewell.next_wake(now.moment));
        self.screens.iter().filter_map(|screen| screen.next_wake(now)).chain(farewell).min()
    }

    /// Works out the pictures that the screens show at a size, so that drawing finds them.
    pub fn prepare(&mut self, size: Size, now: Now) {
        let area = Rect::new(0, 0, size.0, size.1);
        // Only a whole layout knows which pictures there are, and how large.
        self.draw(area, &mut Buffer::empty(area), now);
        self.shared.pictures.work_out();
    }

    /// Draws what is on top, or says that the terminal is too small. A picture that is not ready is left out.
    pub fn view(&self, frame: &mut Frame<'_>, now: Now) {
        let area = frame.area();
        self.draw(area, frame.buffer_mut(), now);
    }

    /// The same into a buffer.
    pub fn draw(&self, area: Rect, buf: &mut Buffer, now: Now) {
        self.targets(area, buf, now);
    }

    /// Draws, and says where a click means something.
    fn targets(&self, area: Rect, buf: &mut Buffer, now: Now) -> Vec<(Rect, Action)> {
        let area = area.intersection(buf.area);
        let theme = self.shared.theme;
        buf.set_style(area, theme.base());
        let mut canvas = Canvas { buf, theme, targets: Vec::new(), pictures: &self.shared.pictures };
        if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
            let words = format!(
                "matside needs {}x{}, this is {}x{}. Make the window larger; nothing is lost.",
                SMALLEST.0, SMALLEST.1, area.width, area.height
            );
            canvas.wrapped(area, 0, Tone::Strong, &words);
            return Vec::new();
        }
        let margin = if area.width >= 72 { 2 } else { 0 };
        let inner = Rect { x: area.x + margin, width: area.width - 2 * margin, ..area };
        let notice = self.shared.notice.as_ref().map(|(tone, words)| {
            let lines = text::wrap(&text::clean(words), usize::from(inner.width));
            (*tone, words, text::cells(lines.len()).clamp(1, NOTICE))
        });
        let foot_rows = 1 + notice.as_ref().map_or(1, |(.., rows)| *rows);
        let body = Rect { height: inner.height - foot_rows, ..inner };
        for (index, screen) in self.screens.iter().enumerate() {
            let covered = self.screens[index + 1..].iter().any(|above| !above.is_overlay());
            if !covered {
                canvas.targets.clear();
                let whole = Rect { height: area.height - 1, ..area };
                screen.draw(if screen.is_whole() { whole } else { body }, &mut canvas, &self.shared, now);
            }
        }
        let foot = canvas::below(inner, inner.height - foot_rows);
        if let Some((tone, words, rows)) = notice.filter(|_| !self.top().is_whole()) {
            canvas.wrapped_most(foot, 0, rows, tone, words);
        }
        let keys = canvas::below(foot, foot_rows - 1);
        let keys = if margin == 0 && self.top().is_whole() {
            Rect { x: keys.x + 2, width: keys.width - 4, ..keys }
        } else {
            keys
        };
        draw_keys(self.top().mode(), keys, &mut canvas);
        canvas.targets
    }

    /// The screen on top in words.
    pub fn page(&self, now: Now) -> Page {
        let mut page = self.top().lines(&self.shared, now);
        page.note = self.shared.notice.as_ref().map(|(_, words)| words.clone());
        let names = |slot: &Slot| slot.keys.iter().map(|key| key.name()).collect::<Vec<_>>().join(" ");
        let keys: Vec<String> = keys::slots(self.top().mode())
            .iter()
            .map(|slot| format!("{} {}", names(slot), slot.words))
            .collect();
        page.keys = format!("Keys: {}", keys.join(", "));
        // A block runs on below whatever lies over it.
        page.clock = self.clock(now);
        page
    }

    /// The same as lines.
    pub fn lines(&self, now: Now) -> Vec<String> {
        self.page(now).all()
    }

    /// The countdown of the block that runs, whatever lies over it.
    pub fn clock(&self, now: Now) -> Option<ClockView> {
        self.screens.iter().find_map(|screen| screen.clock(now))
    }

    /// How many screens lie one over the other.
    pub const fn depth(&self) -> usize {
        self.screens.len()
    }
}

/// Writes the slots of a mode into the last row: those that are never left out at its right end, of the others as many
/// as there is room for.
fn draw_keys(mode: Mode, area: Rect, canvas: &mut Canvas<'_>) {
    /// In less than this the last slot, help, gives way to those that must not be missed.
    const NARROW: u16 = 48;
    let gap = match area.width {
        ..NARROW => 1,
        NARROW..100 => 2,
        _ => 3,
    };
    let glyphs = canvas.glyphs();
    let mut all = keys::slots(mode);
    if area.width < NARROW && mode.is_block() {
        all.pop();
    }
    let slots: Vec<(Slot, String)> =
        all.into_iter().map(|slot| (slot.clone(), key_words(&slot, glyphs))).collect();
    let needed =
        |(slot, keys): &(Slot, String)| text::cells(text::width(keys) + 1 + text::width(slot.words)) + gap;
    let last: u16 = slots.iter().filter(|(slot, _)| slot.is_last).map(needed).sum();
    let (mut left, mut right) = (0, area.width.saturating_sub(last.saturating_sub(gap)));
    let room = right.saturating_sub(gap);
    for entry in &slots {
        let wide = needed(entry);
        let (slot, keys) = entry;
        let x = if slot.is_last { &mut right } else { &mut left };
        if !slot.is_last && *x + wide - gap > room {
            continue;
        }
        if !matches!(slot.keys[..], [Key::Digits(..)]) {
            let (_, place) = canvas::split(area, *x, 0);
            canvas.target(Rect { width: wide - gap, ..place }, 0, slot.action);
        }
        canvas.spans(area, *x, 0, &[(Tone::Focus, keys), (Tone::Dim, " "), (Tone::Dim, slot.words)]);
        *x += wide;
    }
}

/// The keys of a slot as they are drawn; arrows stand close together.
fn key_words(slot: &Slot, glyphs: &Glyphs) -> String {
    let names: Vec<String> = slot.keys.iter().map(|key| key.drawn(glyphs)).collect();
    let close =
        slot.keys.iter().all(|key| matches!(key, Key::Code(_))) && glyphs.arrows[0].chars().count() == 1;
    names.join(if close { "" } else { " " })
}
