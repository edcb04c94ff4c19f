//! Signals: what ends the program, and what only has it stand still for a while.

use std::io;
use std::thread;

use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP};
use signal_hook::iterator::Signals;
use signal_hook::low_level::emulate_default_handler;

/// What a signal asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Signal {
    /// The window was closed, or the program is told to end.
    End,
    /// Another program is to have the terminal.
    Suspend,
    /// The terminal is ours again, and may have been changed meanwhile.
    Continue,
}

/// Hands every signal on, until nobody takes it any more.
///
/// # Errors
/// Signals cannot be caught.
pub fn listen(hand: impl Fn(Signal) -> bool + Send + 'static) -> io::Result<()> {
    let mut signals = Signals::new([SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGCONT])?;
    thread::spawn(move || {
        for signal in signals.forever() {
            let signal = match signal {
                SIGTSTP => Signal::Suspend,
                SIGCONT => Signal::Continue,
                _ => Signal::End,
            };
            if !hand(signal) {
                return;
            }
        }
    });
    Ok(())
}

/// Hands on what ends the program, and nothing else.
///
/// # Errors
/// Signals cannot be caught.
pub fn listen_to_the_end(hand: impl Fn() -> bool + Send + 'static) -> io::Result<()> {
    let mut signals = Signals::new([SIGHUP, SIGINT, SIGTERM])?;
    thread::spawn(move || while signals.forever().next().is_some_and(|_| hand()) {});
    Ok(())
}

/// Stands still until the program is continued.
///
/// # Errors
/// The system does not do that.
pub fn stand_still() -> io::Result<()> {
    emulate_default_handler(SIGTSTP)
}
