//! Every screen as plain lines, for screen readers and for terminals that cannot place a cursor.
//!
//! A line that is typed is the name of a key, or letters where letters are typed ([`words`]); what is said of a screen
//! is what has changed since it was said last ([`announcer`]).

pub mod announcer;
pub mod words;

use std::collections::VecDeque;
use std::io::{self, BufRead, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use super::app::App;
use super::effect::Effect;
use super::event::{Event, Now};
use super::runtime::World;
use super::services::Services;
use super::terminal::{Clock, signals};
use announcer::{Announcer, Trigger};
use words::Meant;

/// What was heard while waiting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Heard {
    /// A line.
    Line(String),
    /// Nothing in that time.
    Nothing,
    /// That nothing will come any more.
    End,
}

/// A world that is heard line by line.
pub trait Ear: World {
    /// Waits for a line, at most so long.
    fn hear(&mut self, at_most: Option<Duration>) -> Heard;
}

/// A host that reads lines.
#[derive(Debug)]
pub struct LineHost {
    services: Services,
    lines: Receiver<Option<String>>,
    clock: Clock,
}

impl LineHost {
    /// Starts the threads that read standard input and signals.
    ///
    /// # Errors
    /// Signals cannot be caught.
    pub fn start(services: Services, clock: Clock) -> io::Result<Self> {
        let (sender, lines) = channel();
        let mut signals = signals()?;
        let hung_up = sender.clone();
        thread::spawn(move || {
            let _ = signals.forever().next();
            // Nobody listens any more: the program is ending anyway.
            let _ = hung_up.send(None);
        });
        thread::spawn(move || {
            for line in io::stdin().lock().lines() {
                let Ok(line) = line else { break };
                if sender.send(Some(line)).is_err() {
                    return;
                }
            }
            let _ = sender.send(None);
        });
        Ok(Self { services, lines, clock })
    }
}

impl World for LineHost {
    fn now(&self) -> Now {
        self.clock.now()
    }

    fn perform(&mut self, effect: Effect) -> Option<Event> {
        self.services.perform(effect)
    }

    fn news(&mut self) -> Option<Event> {
        self.services.news()
    }
}

impl Ear for LineHost {
    fn hear(&mut self, at_most: Option<Duration>) -> Heard {
        let line = match at_most {
            Some(at_most) => self.lines.recv_timeout(at_most),
            None => self.lines.recv().map_err(RecvTimeoutError::from),
        };
        match line {
            Ok(Some(line)) => Heard::Line(line),
            Ok(None) | Err(RecvTimeoutError::Disconnected) => Heard::End,
            Err(RecvTimeoutError::Timeout) => Heard::Nothing,
        }
    }
}

/// Runs the screens as lines until they are left. Of a line with several letters only the end is said.
///
/// # Errors
/// The output cannot be written.
pub fn run(app: &mut App, first: Vec<Effect>, ear: &mut impl Ear, out: &mut impl Write) -> io::Result<()> {
    let mut announcer = Announcer::default();
    writeln!(out, "{}", words::HOW)?;
    let mut left = perform(app, first, ear);
    let mut said = announcer.speak(app, ear.now(), Trigger::Key);
    loop {
        for line in &said {
            writeln!(out, "{line}")?;
        }
        out.flush()?;
        if left {
            return Ok(());
        }
        let heard = ear.hear(app.next_wake(ear.now()));
        let (events, why) = match heard {
            Heard::Nothing => (vec![Event::Woke], Trigger::Time),
            Heard::End => (vec![Event::Leave], Trigger::Time),
            Heard::Line(line) => {
                match words::meant(&line, app.top().mode(), app.clock(ear.now()).is_some()) {
                    Meant::Keys(keys) => (keys.into_iter().map(Event::Key).collect(), Trigger::Key),
                    Meant::Read => {
                        said = app.lines(ear.now());
                        continue;
                    }
                    Meant::Time => {
                        said = app.clock(ear.now()).map(|clock| clock.told()).into_iter().collect();
                        continue;
                    }
                    Meant::Nothing(words) => {
                        said = vec![super::text::clean(&words)];
                        continue;
                    }
                }
            }
        };
        for event in events {
            let effects = app.update(event, ear.now());
            left |= perform(app, effects, ear);
        }
        said = if left { Vec::new() } else { announcer.speak(app, ear.now(), why) };
    }
}

/// Carries effects out, with all that follows from them; whether that is the end.
fn perform(app: &mut App, effects: Vec<Effect>, ear: &mut impl Ear) -> bool {
    let mut effects = VecDeque::from(effects);
    while let Some(effect) = effects.pop_front() {
        if matches!(effect, Effect::Quit) {
            return true;
        }
        let answer = ear.perform(effect);
        for event in answer.into_iter().chain(ear.news()) {
            effects.extend(app.update(event, ear.now()));
        }
    }
    false
}
