//! The program as it is built for Windows, on a Unix terminal: Wine's console reads its keys. What was answered is on the
//! disk however it ends. Its screens are not held here: of what Wine's console draws on a Unix terminal parts are lost.
//!
//! `tests/portable/run windows` builds it, makes the Wine and runs these; without both they are left out, and say so.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use matside::client::ClientId;
use matside::store::Store;
use tempfile::TempDir;

use crate::pty::terminal::{Terminal, command};
use crate::pty::{NOW, studio_in};

/// Long enough for the program to plan or to save, on a machine that does much else.
const A_WHILE: Duration = Duration::from_millis(1500);

/// Where `tests/portable/run` keeps the Wine and the program; none where either is not there.
fn room() -> Option<(PathBuf, PathBuf)> {
    let room = PathBuf::from(std::env::var_os("PORTABLE_ROOM")?);
    let program = room.join("target/x86_64-pc-windows-gnu/debug/matside.exe");
    (room.join("wine.done").exists() && program.exists()).then_some((room, program))
}

/// A folder that Wine can see and the program for Windows; none where a test is left out.
fn studio_and_program() -> Option<(TempDir, PathBuf, PathBuf)> {
    let Some((room, program)) = room() else {
        // The harness keeps what is printed to itself.
        let said =
            b"left out: no Wine and no program for Windows here; `tests/portable/run windows` makes both\n";
        std::io::stderr().write_all(said).unwrap();
        return None;
    };
    Some((tempfile::tempdir_in(&room).unwrap(), room, program))
}

/// The program for Windows in Wine's console, on a terminal of 80x24.
fn start(folder: &Path, room: &Path, program: &Path, more: &[&str]) -> Terminal {
    let mut runner = command(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/portable/run"));
    runner.env("PORTABLE_ROOM", room);
    runner.env("PATH", std::env::var_os("PATH").unwrap());
    runner.args(["wine".as_ref(), program.as_os_str(), "--data".as_ref(), folder.as_os_str()]);
    runner.args(["--now", NOW]);
    runner.args(more);
    Terminal::start(runner, (80, 24))
}

/// Types keys one after the other, without looking: Wine's console takes the control sequences between them for text,
/// breaks them into lines of its own, and shows a screen of which words are missing.
fn type_unseen(terminal: &mut Terminal, keys: &[&str]) {
    for key in keys {
        thread::sleep(A_WHILE);
        terminal.keys(key);
    }
}

/// Waits until the first report of the client's only session says so much.
fn see_on_the_disk(folder: &Path, id: &ClientId, level: u8) {
    let is_there = || {
        let client = Store::open(folder).unwrap().load(id).unwrap();
        let session = client.sessions.first()?;
        session.reports.get(&1)?.level.filter(|found| found.get() == level)
    };
    for _ in 0..20 {
        if is_there().is_some() {
            return;
        }
        thread::sleep(A_WHILE);
    }
    panic!("no answer of {level} on the disk");
}

#[test]
fn a_window_that_is_closed_under_wine_keeps_the_answers_and_the_block_is_offered_again() {
    let Some((folder, room, program)) = studio_and_program() else { return };
    let id = studio_in(folder.path(), "Ilse Brandt");
    let mut terminal = start(folder.path(), &room, &program, &["--linear"]);
    terminal.see("1 of 1: Ilse Brandt");
    type_unseen(&mut terminal, &["\r", "ham\r", "\r", "\r", "N\r", "\r", "a\r", "\r", "\r", "\r", "\r"]);
    terminal.see("Hold");
    type_unseen(&mut terminal, &["4\r", "next\r"]);
    see_on_the_disk(folder.path(), &id, 4);
    let Terminal { master, mut child, keys, output, .. } = terminal;
    drop((master, keys, output));
    child.kill().unwrap();
    child.wait().unwrap();
    let mut terminal = start(folder.path(), &room, &program, &["--linear"]);
    terminal.see("Ilse Brandt").see("cut off");
    terminal.keys("quit\r");
    assert!(terminal.end().success());
}
