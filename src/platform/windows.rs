//! Windows.

use std::fs::{DirBuilder, File, Metadata, OpenOptions};
use std::io;
use std::os::windows::fs::{MetadataExt as _, OpenOptionsExt as _};
use std::path::Path;
use std::process::{Child, Command};
use std::thread;

use tokio::runtime::Builder;
use tokio::signal::windows::{ctrl_break, ctrl_c, ctrl_close, ctrl_logoff, ctrl_shutdown};
use winapi_util::{Handle, HandleRef, console, file};

use super::common::{Openness, Signal, is_not_offered};

/// Whether a terminal gives what is pasted as if it were typed.
pub const PASTES_ARE_KEYS: bool = true;

/// Whether a terminal is asked for clicks by a control sequence: here it is a mode of the console.
pub const CLICKS_BY_SEQUENCE: bool = false;

/// What usually speaks, each with whether it takes the line by a variable: what follows a command of this one would be
/// taken as more of the command.
pub const SPEECH: &[(&[&str], bool)] = &[(
    &[
        "powershell",
        "-NoProfile",
        "-NonInteractive",
        "-Command",
        "Add-Type -AssemblyName System.Speech; \
         (New-Object System.Speech.Synthesis.SpeechSynthesizer).Speak($env:MATSIDE_LINE)",
    ],
    true,
)];

/// A console that gives each letter at once and shows none by itself, until this is dropped; Ctrl-C and Ctrl-Break end
/// the program as ever.
#[derive(Debug)]
pub struct ConsoleByLetter {
    before: u32,
}

pub use self::ConsoleByLetter as LetterByLetter;

impl ConsoleByLetter {
    /// Takes the console that the program reads from.
    ///
    /// # Errors
    /// The input is no console.
    pub fn take() -> io::Result<Self> {
        /// Whole lines, and showing what is typed (`ENABLE_LINE_INPUT`, `ENABLE_ECHO_INPUT` of `SetConsoleMode`).
        const LINES_AND_ECHO: u32 = 0x2 | 0x4;
        let before = console::mode(HandleRef::stdin())?;
        console::set_mode(HandleRef::stdin(), before & !LINES_AND_ECHO)?;
        Ok(Self { before })
    }
}

impl Drop for ConsoleByLetter {
    fn drop(&mut self) {
        // A console that is gone needs nothing back.
        let _ = console::set_mode(HandleRef::stdin(), self.before);
    }
}

/// Has a program that will be started lead a group of its own: here it is ended alone.
pub fn set_apart(_command: &mut Command) {}

/// Ends a program and waits for its end.
pub fn end(child: &mut Child) {
    // One that has ended by itself is only waited for.
    let _ = child.kill();
    let _ = child.wait();
}

/// What tells a file from another of the same name, as far as it is told without opening it: when it was made.
pub fn place(found: &Metadata) -> (u64, u64) {
    (found.creation_time(), 0)
}

/// Whether an open file is the one that stands at a path.
///
/// # Errors
/// Either cannot be looked at.
pub fn is_same_file(file: &File, path: &Path) -> io::Result<bool> {
    let (mine, there) =
        (file::information(HandleRef::from_file(file))?, file::information(Handle::from_path_any(path)?)?);
    Ok(mine.volume_serial_number() == there.volume_serial_number() && mine.file_index() == there.file_index())
}

/// Has a file that will be made closed to others: it has the rights of its folder, which in a user's profile is so.
pub fn private_file(_options: &mut OpenOptions) {}

/// Has a folder that will be made closed to others: as for files.
pub fn private_folder(_builder: &mut DirBuilder) {}

/// Who may look into a file or folder: rights are lists here, which this program does not read.
pub fn openness(_path: &Path) -> Openness {
    Openness::Unknown
}

/// Takes away the rights of others; says whether they are gone: rights are lists here, which this program does not write.
///
/// # Errors
/// None.
pub fn close_to_others(_path: &Path) -> io::Result<bool> {
    Ok(false)
}

/// Cuts an open file off that stands at a path.
///
/// Who may only append may not cut off (`SetEndOfFile`: `GENERIC_WRITE`), so that the file is opened once more.
///
/// # Errors
/// It may not be written, or another file stands there by now.
pub fn cut_off(file: &File, path: &Path, len: u64) -> io::Result<()> {
    let whole = OpenOptions::new().write(true).open(path)?;
    if !is_same_file(file, path)? {
        return Err(io::ErrorKind::NotFound.into());
    }
    whole.set_len(len)
}

/// Waits until a file is on the disk; says whether the file system could do that.
///
/// # Errors
/// It could and it failed.
pub fn sync_file(file: &File) -> io::Result<bool> {
    offered(file.sync_all())
}

/// The same for what was written and the length alone.
///
/// # Errors
/// It could and it failed.
pub fn sync_data(file: &File) -> io::Result<bool> {
    offered(file.sync_data())
}

fn offered(done: io::Result<()>) -> io::Result<bool> {
    match done {
        Ok(()) => Ok(true),
        Err(error) if is_not_offered(&error) => Ok(false),
        Err(error) => Err(error),
    }
}

/// Waits until new, renamed and removed names of a folder are on the disk; says whether the file system could do that.
///
/// # Errors
/// It could and it failed.
pub fn sync_folder(folder: &Path) -> io::Result<bool> {
    /// Without it no folder is opened (`CreateFile`: `FILE_FLAG_BACKUP_SEMANTICS`).
    const FOLDERS_TOO: u32 = 0x0200_0000;
    match OpenOptions::new().write(true).custom_flags(FOLDERS_TOO).open(folder) {
        Ok(folder) => sync_file(&folder),
        // Who may write files in a folder may still not be let at the folder itself.
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied => Ok(false),
        Err(error) => Err(error),
    }
}

/// Whether what failed may go by itself in a moment: another program has the file open.
pub(super) fn may_pass(error: &io::Error) -> bool {
    /// Access denied, sharing violation, lock violation, a mapped section is open (System Error Codes).
    const HELD: [i32; 4] = [5, 32, 33, 1224];
    error.raw_os_error().is_some_and(|code| HELD.contains(&code))
}

/// Hands on that the program is to end: the window is closed, the user logs off, the machine goes down, Ctrl-Break.
///
/// The system waits a few seconds for a program whose window is closed; it ends earlier if the program does.
///
/// # Errors
/// They cannot be caught.
pub fn listen(hand: impl Fn(Signal) -> bool + Send + 'static) -> io::Result<()> {
    listen_to_the_end(move || hand(Signal::End))
}

/// The same: nothing else is sent here.
///
/// # Errors
/// They cannot be caught.
pub fn listen_to_the_end(hand: impl Fn() -> bool + Send + 'static) -> io::Result<()> {
    let runtime = Builder::new_current_thread().build()?;
    let context = runtime.enter();
    let (mut break_key, mut interrupt) = (ctrl_break()?, ctrl_c()?);
    let (mut window, mut user, mut machine) = (ctrl_close()?, ctrl_logoff()?, ctrl_shutdown()?);
    drop(context);
    thread::spawn(move || {
        runtime.block_on(async {
            loop {
                tokio::select! {
                    _ = break_key.recv() => {}
                    _ = interrupt.recv() => {}
                    _ = window.recv() => {}
                    _ = user.recv() => {}
                    _ = machine.recv() => {}
                }
                if !hand() {
                    return;
                }
            }
        });
    });
    Ok(())
}

/// Stands still until the program is continued: that is not done here.
///
/// # Errors
/// None.
pub fn stand_still() -> io::Result<()> {
    Ok(())
}
