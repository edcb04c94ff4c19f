//! The program as it is built for Windows, on a Unix terminal: Wine's console reads its keys. What was answered is on the
//! disk however it ends. Its screens are not held here: of what Wine's console draws on a Unix terminal parts are lost.
//!
//! `tests/portable/run windows` builds it, makes the Wine and runs these; without both they are left out, and say so.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::Write as _;
use std::path::{Path, PathBuf};

use matside::body::Level;
use matside::client::ClientId;
use matside::store::Store;
use tempfile::TempDir;

use crate::pty::terminal::{Terminal, command};
use crate::pty::{NOW, studio_in};

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

/// The level of the first report of the client's only session, as it is on the disk.
fn answered(folder: &Path, id: &ClientId) -> Option<u8> {
    let client = Store::open(folder).unwrap().load(id).unwrap();
    client.sessions.first()?.reports.get(&1)?.level.map(Level::get)
}

#[test]
fn a_window_that_is_closed_under_wine_keeps_the_answers_and_the_block_is_offered_again() {
    let Some((folder, room, program)) = studio_and_program() else { return };
    let id = studio_in(folder.path(), "Ilse Brandt");
    let mut terminal = start(folder.path(), &room, &program, &["--linear"]);
    terminal.see("1 of 1: Ilse Brandt").keys("\r").see("up at 18 55").keys("ham\r").see("1 of 1: hamstrings");
    terminal
        .keys("\r")
        .see("First: ")
        .keys("\r")
        .see("Question 1 of 16")
        .keys("no to the rest\r")
        .keys("N\r\r");
    terminal.see("Ask: ").keys("a\r").see("Hands-on.").keys("\r").see("On the back.");
    // An answer is on the disk when the next step is said.
    terminal.keys("\r").see("Hold.").keys("4\r").see("saved").keys("next\r").see("2 of ");
    assert_eq!(answered(folder.path(), &id), Some(4));
    let Terminal { master, mut child, keys, output, .. } = terminal;
    drop((master, keys, output));
    child.kill().unwrap();
    child.wait().unwrap();
    let mut terminal = start(folder.path(), &room, &program, &["--linear"]);
    terminal.see("Ilse Brandt").see("cut off");
    terminal.keys("quit\r");
    assert!(terminal.end().success());
}
