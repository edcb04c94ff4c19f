//! Text that is typed unseen.

use std::io::{self, Write as _};

use ratatui::crossterm::event::{self, Event, KeyCode, KeyEventKind, KeyModifiers};
use ratatui::crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use zeroize::Zeroizing;

/// Asks on the terminal and reads a line of which nothing is shown; nothing if that is called off with Ctrl-C.
pub(super) fn read(question: &str) -> io::Result<Option<Zeroizing<String>>> {
    let mut out = io::stderr();
    // First of all, so that nothing shows of what is typed before the question is read.
    enable_raw_mode()?;
    let typed = write!(out, "{question}").and_then(|()| out.flush()).and_then(|()| line());
    disable_raw_mode()?;
    writeln!(out)?;
    typed
}

fn line() -> io::Result<Option<Zeroizing<String>>> {
    let mut typed = Zeroizing::new(String::new());
    loop {
        match event::read()? {
            Event::Key(key) if key.kind == KeyEventKind::Release => {}
            Event::Key(key) => match key.code {
                KeyCode::Enter => return Ok(Some(typed)),
                KeyCode::Char('c' | 'd') if key.modifiers.contains(KeyModifiers::CONTROL) => return Ok(None),
                KeyCode::Char('u') if key.modifiers.contains(KeyModifiers::CONTROL) => typed.clear(),
                KeyCode::Char(letter) => typed.push(letter),
                KeyCode::Backspace => drop(typed.pop()),
                _ => {}
            },
            Event::Paste(text) => typed.push_str(&text),
            _ => {}
        }
    }
}
