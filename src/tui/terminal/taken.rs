//! What was taken of the terminal, so that exactly that is given back, however the program ends.

use std::io::{self, Write};
use std::sync::atomic::{AtomicBool, Ordering};

use ratatui::crossterm::cursor::Show;
use ratatui::crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture,
};
use ratatui::crossterm::style::Print;
use ratatui::crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use ratatui::crossterm::{execute, queue};

use crate::platform::CLICKS_BY_SEQUENCE;

/// Asks for presses and the wheel with their cells, but not for each movement, which would wake the program: the modes
/// 1000 and 1006 of xterm's control sequences.
const CLICKS: &str = "\x1b[?1000h\x1b[?1006h";

/// Each key at once.
static KEYS: AtomicBool = AtomicBool::new(false);
/// A screen of its own.
static SCREEN: AtomicBool = AtomicBool::new(false);
/// What is pasted in one piece.
static PASTES: AtomicBool = AtomicBool::new(false);
/// Clicks and the wheel.
static MOUSE: AtomicBool = AtomicBool::new(false);

/// Takes it: all of what is written goes out with the next frame.
///
/// # Errors
/// The terminal gives no keys one by one, or no screen. What was taken until then is to be given back.
pub(super) fn take(out: &mut impl Write, mouse: bool) -> io::Result<()> {
    take_one(&KEYS, enable_raw_mode)?;
    take_one(&SCREEN, || queue!(out, EnterAlternateScreen))?;
    // The block is led without the next two as well.
    let _ = take_one(&PASTES, || queue!(out, EnableBracketedPaste));
    if mouse {
        let _ = take_one(&MOUSE, || {
            if CLICKS_BY_SEQUENCE { queue!(out, Print(CLICKS)) } else { queue!(out, EnableMouseCapture) }
        });
    }
    Ok(())
}

/// Gives all of it back. Each is tried, whatever becomes of the others.
///
/// # Errors
/// The first that could not be given back; mostly the terminal is gone.
pub(super) fn give_back() -> io::Result<()> {
    let mut out = io::stdout();
    // The mouse goes before the keys: where it is a mode of the console, it brings back how that was when it was taken.
    // The screen goes last: whoever sees it gone may set the terminal as they like.
    let tried = [
        give_one(&MOUSE, || execute!(out, DisableMouseCapture)),
        give_one(&KEYS, disable_raw_mode),
        give_one(&PASTES, || execute!(out, DisableBracketedPaste)),
        give_one(&SCREEN, || execute!(out, LeaveAlternateScreen, Show)),
    ];
    tried.into_iter().collect()
}

fn take_one(what: &AtomicBool, take: impl FnOnce() -> io::Result<()>) -> io::Result<()> {
    take()?;
    what.store(true, Ordering::SeqCst);
    Ok(())
}

fn give_one(what: &AtomicBool, give: impl FnOnce() -> io::Result<()>) -> io::Result<()> {
    if what.swap(false, Ordering::SeqCst) { give() } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_taken_is_given_back_and_only_once() {
        static ONE: AtomicBool = AtomicBool::new(false);
        assert!(give_one(&ONE, || panic!("it was never taken")).is_ok());
        assert!(take_one(&ONE, || Err(io::ErrorKind::Unsupported.into())).is_err());
        assert!(give_one(&ONE, || panic!("it was refused")).is_ok());
        take_one(&ONE, || Ok(())).unwrap();
        assert!(give_one(&ONE, || Err(io::ErrorKind::BrokenPipe.into())).is_err());
        assert!(give_one(&ONE, || panic!("it was given back")).is_ok());
    }
}
