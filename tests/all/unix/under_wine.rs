//! The program as it is built for Windows, on a Unix terminal: Wine's console reads its keys and draws for it. What it
//! took of the terminal is given back however it ends, and what was answered is on the disk.
//!
//! `tests/portable/run windows` builds it, makes the Wine and runs these; without both they are left out, and say so.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::thread;

use matside::body::Level;
use tempfile::TempDir;

use crate::pty::terminal::{Terminal, command};
use crate::pty::{NOW, hold, session, studio_in};

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
            "left out: no Wine and no program for Windows here; `tests/portable/run windows` makes both";
        writeln!(std::io::stderr(), "{said}").unwrap();
        return None;
    };
    Some((tempfile::tempdir_in(&room).unwrap(), room, program))
}

fn start(folder: &Path, room: &Path, program: &Path) -> Terminal {
    let mut runner = command(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/portable/run"));
    runner.env("PORTABLE_ROOM", room);
    runner.env("PATH", std::env::var_os("PATH").unwrap());
    runner.args(["wine".as_ref(), program.as_os_str(), "--data".as_ref(), folder.as_os_str()]);
    runner.args(["--now", NOW]);
    let mut terminal = Terminal::start(runner, (80, 24));
    // Wine's console takes control sequences for text and breaks them into lines of its own; the program itself places
    // every line, and never ends one.
    let (sender, output) = channel();
    let raw = std::mem::replace(&mut terminal.output, output);
    thread::spawn(move || {
        for mut bytes in raw {
            bytes.retain(|byte| !matches!(byte, b'\r' | b'\n'));
            if sender.send(bytes).is_err() {
                return;
            }
        }
    });
    terminal
}

#[test]
fn a_block_is_run_under_wine_and_the_screen_given_back() {
    let Some((folder, room, program)) = studio_and_program() else { return };
    let id = studio_in(folder.path(), "Ilse Brandt");
    let mut terminal = start(folder.path(), &room, &program);
    terminal.until("a screen of its own", vt100::Screen::alternate_screen);
    hold(&mut terminal);
    terminal.keys("\x1b[C").see("2 of ");
    terminal.keys("\x03");
    assert!(terminal.end().success());
    let report = &session(folder.path(), &id).reports[&1];
    assert_eq!(report.level.map(Level::get), Some(4));
}
