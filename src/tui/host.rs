//! The one loop, for screens and for lines: show, wait, take in what happened, do what follows from it.
//!
//! However it ends, by a key, a signal, an error, the end of input or a fault, what is under way is written first: there
//! is one way out of [`run`].

use std::collections::VecDeque;
use std::io;
use std::panic::{self, AssertUnwindSafe};
use std::time::Duration;

use super::app::App;
use super::effect::{Effect, Purpose};
use super::event::{Event, Now, Size};

/// The world outside of the screens.
pub trait Host {
    /// The time.
    fn now(&self) -> Now;

    /// Columns and rows of the screen, where the screens are drawn.
    fn size(&self) -> Option<Size> {
        None
    }

    /// Shows the screens as they are now, or says what is new about them.
    ///
    /// # Errors
    /// Nothing can be shown any more.
    fn show(&mut self, app: &App) -> io::Result<()>;

    /// Waits for something to happen, at most so long; nothing in that time is [`Event::Woke`].
    ///
    /// # Errors
    /// Nothing will happen any more.
    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Event>;

    /// Carries an effect out; what comes of it at once comes back.
    fn perform(&mut self, effect: Effect) -> Vec<Event>;
}

/// Runs the screens until they are left.
///
/// # Errors
/// They cannot be shown, or nothing can happen any more; what was under way is written all the same.
pub fn run(app: &mut App, first: Vec<Effect>, host: &mut impl Host) -> io::Result<()> {
    let mut turns = Turns { app, host, effects: first.into(), is_changing: false };
    let ended = panic::catch_unwind(AssertUnwindSafe(|| turns.until_left()));
    turns.leave();
    ended.unwrap_or_else(|fault| panic::resume_unwind(fault))
}

struct Turns<'a, H> {
    app: &'a mut App,
    host: &'a mut H,
    /// What is still to be done.
    effects: VecDeque<Effect>,
    /// Whether the state is being changed: after a fault in the middle of that it is not to be trusted.
    is_changing: bool,
}

impl<H: Host> Turns<'_, H> {
    fn until_left(&mut self) -> io::Result<()> {
        loop {
            if self.settle() {
                return Ok(());
            }
            self.prepare();
            self.host.show(self.app)?;
            let event = self.host.wait(self.app.next_wake(self.host.now()))?;
            self.update(event);
        }
    }

    /// The only way out: what is under way and what waits is written, as far as it is known to be right.
    fn leave(&mut self) {
        if self.is_changing {
            for effect in std::mem::take(&mut self.effects) {
                self.host.perform(effect);
            }
            return;
        }
        self.update(Event::Closing);
        self.settle();
    }

    /// Has the pictures ready before they are drawn.
    fn prepare(&mut self) {
        if let Some(size) = self.host.size() {
            self.app.prepare(size, self.host.now());
        }
    }

    fn update(&mut self, event: Event) {
        self.is_changing = true;
        self.effects.extend(self.app.update(event, self.host.now()));
        self.is_changing = false;
    }

    /// Carries out what is to be done, with all that follows from it; whether the end is among it.
    fn settle(&mut self) -> bool {
        let mut ends = false;
        while let Some(effect) = self.effects.pop_front() {
            if matches!(effect, Effect::Quit) {
                // What was asked for before and after it is still done.
                ends = true;
                continue;
            }
            if self.is_overtaken(&effect) {
                continue;
            }
            for event in self.host.perform(effect) {
                self.update(event);
            }
        }
        ends
    }

    /// Whether a later question makes the answer to this one idle, as where several keys came at once.
    fn is_overtaken(&self, effect: &Effect) -> bool {
        let is_main = |effect: &Effect| matches!(effect, Effect::Plan(_, Purpose::Main, _));
        is_main(effect) && self.effects.iter().any(is_main)
    }
}
