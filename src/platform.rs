//! What differs from one operating system to another: the only place that asks on which one the program runs.
//!
//! Rights of files, their identity, names that mean devices, waiting for the disk, what stops the program, what speaks,
//! and what the environment says. Both systems' files offer the same functions; everything above uses them without asking.

mod common;
mod environment;
#[cfg(unix)]
mod unix;
#[cfg(windows)]
mod windows;

pub use common::{Openness, Signal};
pub use environment::{
    data_folder, home_folder, is_program, own_path, shows_true_colour, temporary_folder, variable,
};

#[cfg(unix)]
use unix as system;
#[cfg(windows)]
use windows as system;

pub use system::{
    CLICKS_BY_SEQUENCE, LetterByLetter, PASTES_ARE_KEYS, SPEECH, close_to_others, cut_off, end, is_same_file,
    listen, listen_to_the_end, openness, place, private_file, private_folder, set_apart, stand_still,
    sync_data, sync_file, sync_folder,
};

use std::io;
use std::time::Duration;

/// The variable by which a program that speaks is given its line, where it does not take it as an argument.
pub const SPEECH_LINE: &str = "MATSIDE_LINE";

/// Names that mean devices on some systems, whatever their ending (Microsoft, Naming Files, Paths, and Namespaces).
const DEVICES: &[&str] = &[
    "con", "prn", "aux", "nul", "com0", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt0", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// Whether a file of this name would be a device somewhere, so that a shared folder could not hold it.
pub fn is_device(name: &str) -> bool {
    DEVICES.contains(&name)
}

/// Does what another program may stand in the way of for a moment, such as a scanner or a synchronising service that
/// reads a file just written: tries it again for a second where that is so, and gives the last error after that.
///
/// # Errors
/// As what is tried, at once where trying again cannot help.
pub fn patiently<T>(mut attempt: impl FnMut() -> io::Result<T>) -> io::Result<T> {
    /// A second in all, most of it at the end.
    const PAUSES: [u64; 7] = [5, 10, 20, 65, 150, 250, 500];
    for pause in PAUSES {
        match attempt() {
            Err(error) if system::may_pass(&error) => std::thread::sleep(Duration::from_millis(pause)),
            done => return done,
        }
    }
    attempt()
}
