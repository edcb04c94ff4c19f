//! The loop: draw, wait, take in what happened, do what follows from it.

use std::collections::VecDeque;
use std::io;
use std::time::Duration;

use ratatui::Terminal;
use ratatui::backend::Backend;

use super::app::App;
use super::effect::Effect;
use super::event::{Event, Now};

/// The world outside of the screens.
pub trait World {
    /// The time.
    fn now(&self) -> Now;

    /// Carries an effect out; an answer, if there is one, comes back as a message.
    fn perform(&mut self, effect: Effect) -> Option<Event>;

    /// What came to light while the last effect was carried out.
    fn news(&mut self) -> Option<Event>;
}

/// A world that a terminal is part of.
pub trait Host: World {
    /// Waits for something to happen, at most so long; nothing in that time is [`Event::Woke`].
    ///
    /// # Errors
    /// The terminal is gone.
    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Event>;
}

/// Runs the screens until they are left.
///
/// # Errors
/// The terminal cannot be drawn on or is gone; everything that was acknowledged is on the disk then.
pub fn run<B: Backend>(
    terminal: &mut Terminal<B>,
    app: &mut App,
    first: Vec<Effect>,
    host: &mut impl Host,
) -> Result<(), B::Error>
where
    B::Error: From<io::Error>,
{
    let mut effects = VecDeque::from(first);
    loop {
        while let Some(effect) = effects.pop_front() {
            if matches!(effect, Effect::Quit) {
                return Ok(());
            }
            let answer = host.perform(effect);
            for event in answer.into_iter().chain(host.news()) {
                effects.extend(app.update(event, host.now()));
            }
        }
        let now = host.now();
        terminal.draw(|frame| app.view(frame, now))?;
        let event = match host.wait(app.next_wake(host.now())) {
            Ok(event) => event,
            Err(gone) => {
                for effect in app.update(Event::Leave, host.now()) {
                    host.perform(effect);
                }
                return Err(gone.into());
            }
        };
        if event == Event::Redraw {
            terminal.clear()?;
        }
        effects.extend(app.update(event, host.now()));
    }
}
