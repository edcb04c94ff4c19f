//! Every screen as plain lines, for screen readers and for terminals that cannot place a cursor.
//!
//! A line that is typed is a command: the name of a key (`enter`, `up`, `tab`, `space`, `esc`, `f2`, `ctrl-s`), or
//! else letters that are pressed one after the other. An empty line is the Enter key.

use std::io::{self, BufRead, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::app::App;
use super::effect::Effect;
use super::msg::{Msg, Now};
use super::office::Office;
use super::runtime::Host;
use super::terminal::{Clock, signals};

/// The keys that a typed line stands for.
pub fn keys_of(line: &str) -> Vec<KeyEvent> {
    let plain = |code| vec![KeyEvent::new(code, KeyModifiers::NONE)];
    let word = line.trim_end_matches(['\n', '\r']);
    match word.to_lowercase().as_str() {
        "" | "enter" => plain(KeyCode::Enter),
        "up" => plain(KeyCode::Up),
        "down" => plain(KeyCode::Down),
        "left" => plain(KeyCode::Left),
        "right" => plain(KeyCode::Right),
        "tab" => plain(KeyCode::Tab),
        "esc" | "back" => plain(KeyCode::Esc),
        "space" => plain(KeyCode::Char(' ')),
        "erase" => plain(KeyCode::Backspace),
        "delete" => plain(KeyCode::Delete),
        "help" => plain(KeyCode::F(1)),
        "quit" => vec![KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL)],
        other => {
            if let Some(number) = other.strip_prefix('f').and_then(|number| number.parse().ok()) {
                return plain(KeyCode::F(number));
            }
            if let Some(letter) = other.strip_prefix("ctrl-").and_then(|rest| rest.chars().next()) {
                return vec![KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL)];
            }
            word.chars().map(|letter| KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE)).collect()
        }
    }
}

/// A host that reads lines.
#[derive(Debug)]
pub struct LineHost {
    office: Office,
    lines: Receiver<Option<String>>,
    pending: Vec<KeyEvent>,
    clock: Clock,
}

impl LineHost {
    /// Starts the threads that read standard input and signals.
    ///
    /// # Errors
    /// Signals cannot be caught.
    pub fn start(office: Office, clock: Clock) -> io::Result<Self> {
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
        Ok(Self { office, lines, pending: Vec::new(), clock })
    }
}

impl Host for LineHost {
    fn now(&self) -> Now {
        self.clock.now()
    }

    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Msg> {
        if let Some(key) = self.pending.pop() {
            return Ok(Msg::Key(key));
        }
        let line = match at_most {
            Some(at_most) => self.lines.recv_timeout(at_most),
            None => self.lines.recv().map_err(RecvTimeoutError::from),
        };
        match line {
            Ok(Some(line)) => {
                self.pending = keys_of(&line);
                self.pending.reverse();
                Ok(self.pending.pop().map_or(Msg::Woke, Msg::Key))
            }
            Ok(None) | Err(RecvTimeoutError::Disconnected) => Ok(Msg::Leave),
            Err(RecvTimeoutError::Timeout) => Ok(Msg::Woke),
        }
    }

    fn perform(&mut self, effect: Effect) -> Option<Msg> {
        self.office.perform(effect)
    }

    fn news(&mut self) -> Option<Msg> {
        self.office.news()
    }
}

/// Runs the screens as lines until they are left. A screen is said again only where it has changed.
///
/// # Errors
/// The output cannot be written.
pub fn run(app: &mut App, first: Vec<Effect>, host: &mut impl Host, out: &mut impl Write) -> io::Result<()> {
    let mut effects = std::collections::VecDeque::from(first);
    let mut said: Vec<String> = Vec::new();
    loop {
        while let Some(effect) = effects.pop_front() {
            if matches!(effect, Effect::Quit) {
                return out.flush();
            }
            let answer = host.perform(effect);
            for msg in answer.into_iter().chain(host.news()) {
                effects.extend(app.update(msg, host.now()));
            }
        }
        let lines = app.lines(host.now());
        // The countdown alone would talk without end: only lines that are new are said, counted ones once in ten.
        for line in lines.iter().filter(|line| !said.contains(line)) {
            writeln!(out, "{line}")?;
        }
        out.flush()?;
        said = lines;
        let msg = host.wait(app.next_wake(host.now()))?;
        effects.extend(app.update(msg, host.now()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_the_name_of_a_key_or_letters() {
        assert_eq!(keys_of(""), keys_of("enter"));
        assert_eq!(keys_of("ham").len(), 3);
        assert_eq!(keys_of("f2"), [KeyEvent::new(KeyCode::F(2), KeyModifiers::NONE)]);
        assert_eq!(keys_of("ctrl-s"), [KeyEvent::new(KeyCode::Char('s'), KeyModifiers::CONTROL)]);
    }
}
