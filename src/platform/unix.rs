//! Linux, macOS and their kin.

use std::fs::{DirBuilder, File, Metadata, OpenOptions, Permissions};
use std::io;
use std::os::unix::fs::{DirBuilderExt as _, MetadataExt as _, OpenOptionsExt as _, PermissionsExt as _};
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::{Child, Command};
use std::thread;

use rustix::process::{Pid, kill_process_group};
use rustix::termios::{LocalModes, OptionalActions, Termios, tcgetattr, tcsetattr};
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP};
use signal_hook::iterator::{Handle, Signals};
use signal_hook::low_level::emulate_default_handler;

use super::common::{Openness, Signal, is_not_offered};

/// Whether a terminal gives what is pasted as if it were typed.
pub const PASTES_ARE_KEYS: bool = false;

/// Whether a terminal is asked for clicks by a control sequence.
pub const CLICKS_BY_SEQUENCE: bool = true;

/// What usually speaks, the most likely first, each with whether it takes the line by a variable.
pub const SPEECH: &[(&[&str], bool)] = if cfg!(target_os = "macos") {
    &[(&["say"], false)]
} else {
    &[
        (&["espeak-ng", "-s", "175"], false),
        (&["espeak", "-s", "175"], false),
        (&["spd-say", "--wait"], false),
    ]
};

/// A terminal that gives each letter at once and shows none by itself, until this is dropped; keys that stop or end the
/// program do so as ever.
#[derive(Debug)]
pub struct LetterByLetter {
    before: Termios,
    /// Ends the thread that takes the terminal again.
    continued: Handle,
}

impl LetterByLetter {
    /// Takes the terminal that the program reads from.
    ///
    /// # Errors
    /// The input is no terminal, or does not do that.
    pub fn take() -> io::Result<Self> {
        let before = tcgetattr(io::stdin())?;
        let mut modes = before.clone();
        modes.local_modes.remove(LocalModes::ICANON | LocalModes::ECHO);
        tcsetattr(io::stdin(), OptionalActions::Now, &modes)?;
        // Whoever stopped the program took the terminal for a while, and may not have given it back like this.
        let mut signals = Signals::new([SIGCONT])?;
        let continued = signals.handle();
        thread::spawn(move || {
            for _ in signals.forever() {
                // A terminal that is gone is found out when something is said.
                let _ = tcsetattr(io::stdin(), OptionalActions::Now, &modes);
            }
        });
        Ok(Self { before, continued })
    }
}

impl Drop for LetterByLetter {
    fn drop(&mut self) {
        self.continued.close();
        // A terminal that is gone needs nothing back.
        let _ = tcsetattr(io::stdin(), OptionalActions::Now, &self.before);
    }
}

/// Has a program that will be started lead a group of its own, so that it can be ended with all that it started.
pub fn set_apart(command: &mut Command) {
    command.process_group(0);
}

/// Ends a program that was set apart, with all that it started, and waits for its end.
pub fn end(child: &mut Child) {
    // One that has ended by itself is only waited for.
    if let Some(group) = Pid::from_raw(child.id().cast_signed()) {
        let _ = kill_process_group(group, rustix::process::Signal::KILL);
    }
    let _ = child.wait();
}

/// What tells a file from another of the same name: device and number.
pub fn place(found: &Metadata) -> (u64, u64) {
    (found.dev(), found.ino())
}

/// Whether an open file is the one that stands at a path.
///
/// # Errors
/// Either cannot be looked at.
pub fn is_same_file(file: &File, path: &Path) -> io::Result<bool> {
    Ok(place(&file.metadata()?) == place(&path.metadata()?))
}

/// Has a file that will be made closed to others.
pub fn private_file(options: &mut OpenOptions) {
    options.mode(0o600);
}

/// Has a folder that will be made closed to others.
pub fn private_folder(builder: &mut DirBuilder) {
    builder.mode(0o700);
}

/// Who may look into a file or folder.
pub fn openness(path: &Path) -> Openness {
    let Ok(found) = path.metadata() else { return Openness::Unknown };
    let mode = found.permissions().mode() & 0o777;
    let of_others = mode & 0o077;
    if of_others == 0 { Openness::Closed } else { Openness::Open(mode) }
}

/// Takes away the rights of others; says whether they are gone. They stay where the file is another user's or its file
/// system keeps no rights, as those of most sticks: some refuse, others say that it is done.
///
/// # Errors
/// The file is not there, or cannot be written.
pub fn close_to_others(path: &Path) -> io::Result<bool> {
    let mode = path.metadata()?.permissions().mode() & 0o700;
    match std::fs::set_permissions(path, Permissions::from_mode(mode)) {
        Ok(()) => Ok(openness(path) == Openness::Closed),
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied || is_not_offered(&error) => Ok(false),
        Err(error) => Err(error),
    }
}

/// Cuts an open file off that stands at a path.
///
/// # Errors
/// It may not be written.
pub fn cut_off(file: &File, _path: &Path, len: u64) -> io::Result<()> {
    file.set_len(len)
}

/// Waits until a file is on the disk; says whether the file system could do that.
///
/// # Errors
/// It could and it failed.
pub fn sync_file(file: &File) -> io::Result<bool> {
    or_milder(file, file.sync_all())
}

/// The same for what was written and the length alone.
///
/// # Errors
/// It could and it failed.
pub fn sync_data(file: &File) -> io::Result<bool> {
    or_milder(file, file.sync_data())
}

/// A Mac asks the disk itself to write, which network folders and some sticks do not pass on; the milder request at
/// least hands everything to them.
fn or_milder(file: &File, done: io::Result<()>) -> io::Result<bool> {
    match done {
        Ok(()) => Ok(true),
        Err(error) if is_not_offered(&error) => match rustix::fs::fsync(file).map_err(io::Error::from) {
            Err(error) if !is_not_offered(&error) => Err(error),
            _ => Ok(false),
        },
        Err(error) => Err(error),
    }
}

/// Waits until new, renamed and removed names of a folder are on the disk; says whether the file system could do that.
///
/// # Errors
/// It could and it failed.
pub fn sync_folder(folder: &Path) -> io::Result<bool> {
    sync_file(&File::open(folder)?)
}

/// Whether what failed may go by itself in a moment.
pub(super) fn may_pass(_error: &io::Error) -> bool {
    false
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
