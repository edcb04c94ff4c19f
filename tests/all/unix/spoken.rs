//! The program on a terminal with something that speaks, a script of the shell, or with what does not: the block, the
//! screen and the file are the same.

use std::fs;

use matside::body::Level;
use matside::client::Ended;

use crate::pty::terminal::{Terminal, command};
use crate::pty::{NOW, begin, session, studio};
use crate::speech::program;

/// A block with an answer, a step left and pain, with this to speak; what the file has of it.
fn block(speak: Option<&str>) -> Vec<(Option<u8>, Ended)> {
    let (folder, id) = studio("Ilse Brandt");
    let mut command = command(env!("CARGO_BIN_EXE_matside"));
    command.args(["--data".as_ref(), folder.path().as_os_str()]);
    command.args(["--now", NOW]);
    if let Some(speak) = speak {
        command.arg(format!("--speak={speak}"));
    }
    let mut terminal = Terminal::start(command, (80, 24));
    begin(&mut terminal);
    terminal.keys("\r\r").see("HOLD").keys("4").see("saved when").keys("\x1b[C").see("2 of ");
    terminal.keys("\r\r\r").see("HOLD").keys("p").see("PAIN").keys("f").see("what came out");
    assert!(!terminal.screen.screen().contents().contains("noise"));
    terminal.keys("\r").see("closed and saved").keys("\x03");
    assert!(terminal.end().success());
    let session = session(folder.path(), &id);
    session.reports.values().map(|report| (report.level.map(Level::get), report.ended)).collect()
}

#[test]
fn whatever_speaks_fails_or_hangs_the_same_block_is_in_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let expected = block(None);
    assert!(expected.iter().any(|(_, ended)| *ended == Ended::Pain), "{expected:?}");
    assert_eq!(block(Some("/no/such/voice")), expected);
    for body in ["exit 1", "sleep 60", "echo noise; echo noise >&2", "read key < /dev/tty"] {
        assert_eq!(block(Some(&program(folder.path(), body))), expected, "{body}");
    }
}

#[test]
fn each_cue_is_given_to_the_program_in_its_own_words() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("log");
    block(Some(&program(folder.path(), &format!("echo \"$line\" >> '{}'", log.display()))));
    let said = fs::read_to_string(log).unwrap();
    for line in ["Hold, ", "Pain. Ease out, slowly."] {
        assert!(said.lines().any(|said| said.starts_with(line)), "{line}: {said}");
    }
    assert!(!said.contains("Ilse") && !said.contains("Brandt"), "{said}");
}

#[test]
fn nothing_is_said_into_a_half_typed_line_and_its_letters_come_again() {
    let (folder, _) = studio("Ilse Brandt");
    let mut command = command(env!("CARGO_BIN_EXE_matside"));
    command.args(["--linear".as_ref(), "--data".as_ref(), folder.path().as_os_str()]);
    command.args(["--now", NOW]);
    let mut terminal = Terminal::start(command, (120, 60));
    hold_into_half_typed(&mut terminal);
    assert!(terminal.end().success());
}

/// Lines to the first stretch of a block: the client lies down next.
pub(super) fn to_the_first_stretch(terminal: &mut Terminal) {
    terminal.see("1 of 1: Ilse Brandt").keys("\r").see("up at 18 55").keys("ham\r").see("1 of 1: hamstrings");
    terminal.keys("\r").see("First: ").keys("\r").see("Question 1 of 16").keys("no to the rest\rN\r\r");
    terminal.see("Ask: ").keys("a\r").see("Hands-on.").keys("\r").see("one minute.");
}

/// Lines to the first hold, which begins while a word is half typed: it is said on a line of its own, and the word comes
/// again. Then the line is taken back, another is typed, and the program is left.
pub(super) fn hold_into_half_typed(terminal: &mut Terminal) {
    to_the_first_stretch(terminal);
    // The client lies, hands are placed, and the hold begins.
    terminal.keys("\r\rzq").until("the hold on a line of its own between the half-typed word", |screen| {
        let shown = screen.contents();
        let lines: Vec<&str> = shown.lines().map(str::trim_end).collect();
        lines.windows(3).any(|lines| lines == ["zq", "Hold.", "zq"])
    });
    terminal.keys("\x15time\r").see("Hold, ").keys("quit\r");
}
