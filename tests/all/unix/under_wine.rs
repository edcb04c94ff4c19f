//! The program as it is built for Windows, on a Unix terminal: Wine's console reads its keys. What was answered is on the
//! disk however it ends, the console is given back as it was, and nothing is said into a half-typed line. Its screens are
//! not held here: of what Wine's console draws on a Unix terminal parts are lost.
//!
//! `tests/portable/run windows` builds it, makes the Wine and runs these; without both they are left out, and say so.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use matside::body::Level;
use matside::client::ClientId;
use matside::store::Store;
use portable_pty::CommandBuilder;
use tempfile::TempDir;

use crate::pty::terminal::{Terminal, command, flags};
use crate::pty::{NOW, studio_in};

use super::spoken::{hold_into_half_typed, to_the_first_stretch};

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

/// What runs a program for Windows in Wine's console.
fn wine(room: &Path) -> CommandBuilder {
    let mut runner = command(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/portable/run"));
    runner.env("PORTABLE_ROOM", room);
    runner.env("PATH", std::env::var_os("PATH").unwrap());
    runner.arg("wine");
    runner
}

/// The screens as lines of the program for Windows in Wine's console.
fn start_lines(folder: &Path, room: &Path, program: &Path) -> Terminal {
    let mut runner = wine(room);
    runner.args([program.as_os_str(), "--data".as_ref(), folder.as_os_str()]);
    runner.args(["--now", NOW, "--linear"]);
    Terminal::start(runner, (120, 60))
}

/// A path as Windows programs name it.
fn named(path: &Path) -> String {
    format!("Z:{}", path.display()).replace('/', "\\")
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
    let mut terminal = start_lines(folder.path(), &room, &program);
    to_the_first_stretch(&mut terminal);
    // An answer is on the disk when the next step is said.
    terminal.keys("\r\r").see("Hold.").keys("4\r").see("saved").keys("next\r").see("4 saved.");
    assert_eq!(answered(folder.path(), &id), Some(4));
    let Terminal { master, mut child, keys, output, .. } = terminal;
    drop((master, keys, output));
    child.kill().unwrap();
    child.wait().unwrap();
    let mut terminal = start_lines(folder.path(), &room, &program);
    terminal.see("Ilse Brandt").see("cut off");
    terminal.keys("quit\r");
    end_well(terminal);
}

#[test]
fn under_wine_nothing_is_said_into_a_half_typed_line_and_its_letters_come_again() {
    let Some((folder, room, program)) = studio_and_program() else { return };
    studio_in(folder.path(), "Ilse Brandt");
    let mut terminal = start_lines(folder.path(), &room, &program);
    hold_into_half_typed(&mut terminal);
    end_well(terminal);
}

/// Waits until Wine's console takes the terminal's keys, which is a moment after a prompt is seen, or has given them back,
/// which is a moment after its program has ended.
fn until_keys(terminal: &mut Terminal, are_taken: bool) {
    for _ in 0..2000 {
        if (flags(terminal.master.as_ref()) != terminal.flags) == are_taken {
            return;
        }
        if let Ok(bytes) = terminal.output.recv_timeout(Duration::from_millis(10)) {
            terminal.screen.process(&bytes);
        }
    }
    panic!("the console takes keys: {}", !are_taken);
}

/// Waits for the end of the program and of the console around it.
#[track_caller]
fn end_well(mut terminal: Terminal) {
    until_keys(&mut terminal, false);
    assert!(terminal.end().success());
}

/// Starts the program from a command prompt, leaves it with these keys once this is seen, and looks whether the console
/// is the prompt's again: what stood on it before, and that it shows what is typed.
#[track_caller]
fn left_from_a_prompt(data: &Path, (room, program): (&Path, &Path), seen: &str, leave: &str) {
    let mut prompt = wine(room);
    prompt.arg("cmd");
    let mut terminal = Terminal::start(prompt, (80, 24));
    terminal.see(">");
    until_keys(&mut terminal, true);
    // Of what is typed here the carets are left out by the prompt, so that its answer is told from the typing.
    terminal.keys("echo be^fore\r").see("before");
    let line = format!("\"{}\" --data \"{}\" --now {NOW}", named(program), named(data));
    terminal.keys(&line).keys(" & echo le^ft\r").see(seen).keys(leave);
    terminal.until("the prompt's own screen", |screen| {
        let shown = screen.contents();
        shown.contains("before") && shown.contains("left")
    });
    terminal.keys("echo ag^ain\r").see("echo ag^ain").see("again").keys("exit\r");
    end_well(terminal);
}

/// Ctrl-C is not tried: on a Unix terminal it is a signal that ends Wine's console itself.
#[test]
fn under_wine_the_console_is_given_back_to_the_prompt_however_the_program_is_left() {
    let Some((folder, room, program)) = studio_and_program() else { return };
    studio_in(folder.path(), "Ilse Brandt");
    let wine = (room.as_path(), program.as_path());
    left_from_a_prompt(folder.path(), wine, "F2 card", "\x11");
    // The screen is taken before the settings are read.
    std::fs::create_dir(folder.path().join("trainer.toml")).unwrap();
    left_from_a_prompt(folder.path(), wine, "trainer.toml is a folder", "");
}
