//! The screens, each answering one question, and what they have in common.

pub mod card;
pub mod commands;
pub mod day;
pub mod health;
pub mod help;
pub mod history;
pub mod live;
pub mod plan;
pub mod review;

use std::fmt;
use std::time::Duration;

use ratatui::layout::Rect;

use crate::client::Session;
use crate::failure::Failure;

use super::app::{Context, Shared};
use super::canvas::Canvas;
use super::event::{Now, Reply};
use super::keys::{Action, Mode};
use super::outbox::Outbox;
use super::page::{ClockView, Page};
use super::text;

/// What a screen is told.
#[derive(Debug, Clone, Copy)]
pub enum ScreenEvent<'a> {
    /// It has just been opened.
    Opened,
    /// It is on top again.
    Shown,
    /// A key, by its meaning.
    Action(Action),
    /// An effect was carried out.
    Reply(&'a Reply),
    /// Time passed, and a key follows.
    Pressed,
    /// Time passed, and nothing else waits.
    Woke,
    /// What is not saved is not wanted: that was asked.
    Dropped,
    /// The program ends.
    Leave,
}

/// Where to go from here.
#[derive(Debug, Clone, PartialEq)]
pub enum Go {
    /// Nowhere.
    Stay,
    /// To a screen on top of this one.
    Open(Box<Screen>),
    /// To another screen in this one's place.
    Replace(Box<Screen>),
    /// To the screen below.
    Back,
    /// To the day.
    Home,
    /// Close, and do this on the screen below.
    Act(Action),
}

/// A screen with its state.
#[derive(Debug, Clone, PartialEq)]
pub enum Screen {
    /// Who is next?
    Day(day::State),
    /// What do we do in these minutes?
    Plan(Box<plan::State>),
    /// What now, and how long?
    Live(Box<live::State>),
    /// What came out?
    Review(Box<review::State>),
    /// What does it tell?
    History(Box<history::State>),
    /// Who is this?
    Card(Box<card::State>),
    /// May hands-on work begin?
    Health(Box<health::State>),
    /// Which keys are there?
    Help(help::State),
    /// Which commands are there?
    Commands(commands::State),
}

/// What the program leaves behind where it is left in the middle of something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftBehind {
    words: String,
    /// Whether something of it is not on the disk.
    pub is_lost: bool,
}

impl LeftBehind {
    /// A block that is open in the file, and what of it could not be written.
    fn of_block(session: &Session, outbox: &Outbox) -> Option<Self> {
        if outbox.is_closed() {
            return None;
        }
        if let Some(why) = outbox.failed() {
            let lost = text::count(outbox.unsaved(), "step");
            return Some(Self::lost(&format!("{lost} of the block"), why));
        }
        let answers = session.reports.values().filter(|report| report.level.is_some()).count();
        let words = format!("{} saved. The block can be taken up.", text::count(answers, "answer"));
        Some(Self { words, is_lost: false })
    }

    /// Something that could not be written.
    fn lost(what: &str, why: &Failure) -> Self {
        Self { words: format!("not saved, {what}: {}", why.in_a_line()), is_lost: true }
    }
}

impl fmt::Display for LeftBehind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)
    }
}

macro_rules! each {
    ($screen:expr, $state:ident => $call:expr) => {
        match $screen {
            Screen::Day($state) => $call,
            Screen::Plan($state) => $call,
            Screen::Live($state) => $call,
            Screen::Review($state) => $call,
            Screen::History($state) => $call,
            Screen::Card($state) => $call,
            Screen::Health($state) => $call,
            Screen::Help($state) => $call,
            Screen::Commands($state) => $call,
        }
    };
}

impl Screen {
    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        each!(self, state => state.update(event, context))
    }

    /// Draws itself.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        each!(self, state => state.draw(area, canvas, shared, now));
    }

    /// Its content in words.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        each!(self, state => state.lines(shared, now))
    }

    /// What leaving now would lose, the first time it is asked for after a change.
    pub fn unsaved(&mut self) -> Option<&'static str> {
        match self {
            Self::Card(card) => card.unsaved(),
            Self::Review(review) => review.unsaved(),
            _ => None,
        }
    }

    /// What it leaves behind where the program is left.
    pub fn left_behind(&self) -> Option<LeftBehind> {
        match self {
            Self::Live(block) => block.left_behind(),
            Self::Review(review) => review.left_behind(),
            Self::Card(card) => card.left_behind(),
            Self::Health(health) => health.left_behind(),
            _ => None,
        }
    }

    /// The countdown, where one runs.
    pub fn clock(&self, shared: &Shared, now: Now) -> Option<ClockView> {
        match self {
            Self::Live(state) => Some(state.clock(shared, now)),
            _ => None,
        }
    }

    /// Which keys hold.
    pub fn mode(&self) -> Mode {
        each!(self, state => state.mode())
    }

    /// How long nothing changes by itself; none: for ever.
    pub fn next_wake(&self, now: Now) -> Option<Duration> {
        match self {
            Self::Live(state) => state.next_wake(now),
            Self::Plan(state) => state.next_wake(now),
            Self::Day(state) => state.next_wake(),
            _ => None,
        }
    }

    /// Whether it lies over the screen below and leaves that in sight.
    pub const fn is_overlay(&self) -> bool {
        matches!(self, Self::Help(_) | Self::Commands(_))
    }
}
