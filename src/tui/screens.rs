//! The screens, each answering one question, and what they have in common.

pub mod card;
pub mod commands;
pub mod day;
pub mod health;
pub mod help;
pub mod history;
pub mod live;
pub mod pages;
pub mod plan;
pub mod review;
pub mod sore;
pub mod teach_remote;

use std::time::Duration;

use ratatui::layout::Rect;

use crate::client::ClientId;

use super::canvas::Canvas;
use super::event::{Now, ScreenEvent};
use super::go::{Go, LeftBehind, Visit};
use super::keys::{Detour, Mode};
use super::page::{ClockView, Page};
use super::shared::{Context, Shared};

/// From one row a screen: its state, and the way to what every screen does.
macro_rules! screens {
    ($($(#[$question:meta])* $name:ident($state:ty)),+ $(,)?) => {
        /// A screen with its state.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Screen { $($(#[$question])* $name($state)),+ }

        impl Screen {
            /// Takes in what happened.
            pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
                match self { $(Self::$name(state) => state.update(event, context)),+ }
            }

            /// Draws itself.
            pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
                match self { $(Self::$name(state) => state.draw(area, canvas, shared, now)),+ }
            }

            /// Its content in words.
            pub fn lines(&self, shared: &Shared, now: Now) -> Page {
                match self { $(Self::$name(state) => state.lines(shared, now)),+ }
            }

            /// Which keys hold.
            pub fn mode(&self) -> Mode {
                match self { $(Self::$name(state) => state.mode()),+ }
            }
        }
    };
}

screens! {
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
    /// What is sore on the trainer?
    Sore(sore::State),
    /// Which pages are to be written?
    Pages(pages::State),
    /// Which keys are there?
    Help(help::State),
    /// Which commands are there?
    Commands(commands::State),
    /// Which keys does the remote send?
    TeachRemote(teach_remote::State),
}

impl Screen {
    /// The screen that is gone to.
    pub fn of(visit: Visit, context: &mut Context<'_>) -> Self {
        match visit {
            Visit::Plan { who, take_up } => Self::Plan(Box::new(plan::State::new(who, take_up))),
            Visit::Live(start) => Self::Live(Box::new(live::State::start(*start, context))),
            Visit::Review(reviewed) => Self::Review(Box::new(review::State::new(*reviewed))),
            Visit::History(who) => Self::History(Box::new(history::State::new(who))),
            Visit::Card(of) => Self::Card(Box::new(card::State::of(of))),
            Visit::Pages(who) => Self::Pages(pages::State::new(who)),
            Visit::Health { who, then_begin } => Self::Health(Box::new(health::State::new(who, then_begin))),
        }
    }

    /// The screen that its key opens by itself over one with those keys.
    pub fn at(detour: Detour, below: Mode) -> Self {
        match detour {
            Detour::Help => Self::Help(help::State::new(below)),
            Detour::Commands => Self::Commands(commands::State::new(below)),
            Detour::TeachRemote => Self::TeachRemote(teach_remote::State::default()),
            Detour::Sore => Self::Sore(sore::State::default()),
        }
    }

    /// What leaving now would lose, the first time it is asked for after a change.
    pub fn unsaved(&mut self) -> Option<&'static str> {
        match self {
            Self::Card(card) => card.unsaved(),
            Self::Review(review) => review.unsaved(),
            Self::Live(block) => block.unsaved(),
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
    pub fn clock(&self, now: Now) -> Option<ClockView> {
        match self {
            Self::Live(state) => Some(state.clock(now)),
            _ => None,
        }
    }

    /// Whether it is the plan of that client.
    pub fn is_plan_of(&self, who: &ClientId) -> bool {
        matches!(self, Self::Plan(plan) if plan.id() == who)
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

    /// Whether it has the whole screen but for the row of keys, and says itself what has just happened.
    pub const fn is_whole(&self) -> bool {
        matches!(self, Self::Live(_))
    }

    /// Whether it lies over the screen below and leaves that in sight.
    pub fn is_overlay(&self) -> bool {
        self.mode().is_overlay()
    }
}
