//! The real host: the terminal, the clock, signals.

use std::io::{self, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local, TimeDelta};
use ratatui::crossterm::event::{self, Event};
use ratatui::crossterm::terminal::enable_raw_mode;
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM};
use signal_hook::iterator::Signals;

use crate::session::Moment;

use super::effect::Effect;
use super::msg::{Msg, Now};
use super::office::Office;
use super::runtime::Host;

/// What the threads send.
#[derive(Debug)]
enum Incoming {
    Event(Event),
    Signal(i32),
    Gone,
}

/// The clocks: one that never goes back, and the one on the wall.
#[derive(Debug)]
pub struct Clock {
    started: Instant,
    wall_started: DateTime<FixedOffset>,
    /// Added to the wall's time, where the program is to believe in another day.
    shift: TimeDelta,
}

impl Clock {
    /// Starts now; `pretend` is the time that is taken for now.
    pub fn start(pretend: Option<DateTime<FixedOffset>>) -> Self {
        let wall = Local::now().fixed_offset();
        let shift = pretend.map_or(TimeDelta::zero(), |pretend| pretend.signed_duration_since(wall));
        Self { started: Instant::now(), wall_started: wall, shift }
    }

    /// The time.
    pub fn now(&self) -> Now {
        /// A wall clock that is ahead by more than this was not just set right: the machine slept.
        const SLEPT: Duration = Duration::from_secs(2);
        let ticked = self.started.elapsed();
        let wall = Local::now().fixed_offset();
        let by_wall = wall.signed_duration_since(self.wall_started).to_std().unwrap_or(ticked);
        let passed = if by_wall > ticked + SLEPT { by_wall } else { ticked };
        let wall = wall.checked_add_signed(self.shift).unwrap_or(wall);
        Now { moment: Moment::new(passed), wall }
    }
}

/// The terminal that the program was started on.
#[derive(Debug)]
pub struct TerminalHost {
    office: Office,
    incoming: Receiver<Incoming>,
    clock: Clock,
    bell: bool,
    /// The signal or loss that ends the program, if one did.
    pub gone: bool,
}

impl TerminalHost {
    /// Starts the threads that read keys and signals.
    ///
    /// # Errors
    /// Signals cannot be caught.
    pub fn start(office: Office, clock: Clock, bell: bool) -> io::Result<Self> {
        let (sender, incoming) = channel();
        read_signals(sender.clone())?;
        thread::spawn(move || read_events(&sender));
        Ok(Self { office, incoming, clock, bell, gone: false })
    }
}

/// Sends every event; ends when the terminal or the listener is gone.
fn read_events(sender: &Sender<Incoming>) {
    loop {
        let incoming = event::read().map_or(Incoming::Gone, Incoming::Event);
        let gone = matches!(incoming, Incoming::Gone);
        if sender.send(incoming).is_err() || gone {
            return;
        }
    }
}

/// Sends every signal that ends or wakes the program.
pub(super) fn signals() -> io::Result<Signals> {
    Signals::new([SIGHUP, SIGINT, SIGTERM, SIGCONT])
}

fn read_signals(sender: Sender<Incoming>) -> io::Result<()> {
    let mut signals = signals()?;
    thread::spawn(move || {
        for signal in signals.forever() {
            if sender.send(Incoming::Signal(signal)).is_err() {
                return;
            }
        }
    });
    Ok(())
}

impl Host for TerminalHost {
    fn now(&self) -> Now {
        self.clock.now()
    }

    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Msg> {
        let incoming = match at_most {
            Some(at_most) => self.incoming.recv_timeout(at_most),
            None => self.incoming.recv().map_err(RecvTimeoutError::from),
        };
        match incoming {
            Ok(Incoming::Event(Event::Key(key))) => Ok(Msg::Key(key)),
            Ok(Incoming::Event(Event::Paste(text))) => Ok(Msg::Paste(text)),
            Ok(Incoming::Event(_)) | Err(RecvTimeoutError::Timeout) => Ok(Msg::Woke),
            Ok(Incoming::Signal(SIGCONT)) => {
                enable_raw_mode()?;
                Ok(Msg::Redraw)
            }
            Ok(Incoming::Signal(_)) => {
                self.gone = true;
                Ok(Msg::Leave)
            }
            Ok(Incoming::Gone) | Err(RecvTimeoutError::Disconnected) => {
                self.gone = true;
                Err(io::Error::from(io::ErrorKind::UnexpectedEof))
            }
        }
    }

    fn perform(&mut self, effect: Effect) -> Option<Msg> {
        if matches!(effect, Effect::Bell) {
            if self.bell {
                let mut out = io::stdout().lock();
                // A terminal that cannot ring is no reason to stop.
                let _ = out.write_all(b"\x07").and_then(|()| out.flush());
            }
            return None;
        }
        self.office.perform(effect)
    }
}
