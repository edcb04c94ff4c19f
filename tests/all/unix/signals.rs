//! Signals in the middle of a hold. The program is told to end, or its window is closed: every report is kept and the
//! terminal given back. It is stopped and continued, by hand and by a shell: nothing is lost, and every key arrives at
//! once again.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::process::Command;

use matside::body::Level;

use crate::pty::terminal::{Terminal, command};
use crate::pty::{NOW, hold, session, start, studio};

fn signal(name: &str, process: u32) {
    let id = process.to_string();
    assert!(Command::new("kill").args([name, &id]).status().unwrap().success());
}

#[test]
fn a_terminal_that_was_changed_meanwhile_is_taken_over_again() {
    for name in ["-STOP", "-TSTP"] {
        let (folder, id) = studio("Ilse Brandt");
        let mut terminal = start(folder.path(), (80, 24));
        hold(&mut terminal);
        signal(name, terminal.process());
        if name == "-TSTP" {
            terminal.until("the terminal lent", |screen| !screen.alternate_screen());
        }
        let tty = terminal.master.tty_name().unwrap();
        // As a shell does that has the terminal in between.
        assert!(Command::new("stty").arg("-F").arg(tty).arg("sane").status().unwrap().success());
        signal("-CONT", terminal.process());
        // No key follows that would end a line.
        terminal.keys("\x1b[C").see("2 of ");
        let report = &session(folder.path(), &id).reports[&1];
        assert_eq!(report.level.map(Level::get), Some(4), "{name}");
        terminal.keys("\x03");
        assert!(terminal.end().success());
    }
}

#[test]
fn a_shell_gets_the_terminal_and_gives_it_back() {
    let (folder, id) = studio("Ilse Brandt");
    let mut shell = command("/bin/sh");
    shell.arg("-i");
    shell.env("PS1", "ready> ");
    shell.env("PATH", "/usr/bin:/bin");
    let mut terminal = Terminal::start(shell, (80, 24));
    let program = env!("CARGO_BIN_EXE_matside");
    let line = format!("'{program}' --data '{}' --now {NOW}; echo \"left: $?\"\r", folder.path().display());
    terminal.see("ready>").keys(&line);
    hold(&mut terminal);
    let parent = terminal.process().to_string();
    let found = Command::new("ps").args(["-o", "pid=", "--ppid", &parent]).output().unwrap();
    let process: u32 = String::from_utf8(found.stdout).unwrap().trim().parse().unwrap();
    signal("-TSTP", process);
    terminal.until("the shell's own screen", |screen| !screen.alternate_screen());
    // The first prompt stands on that screen already; what is typed before the shell is back may be lost.
    terminal.see("left: 1").see("Stopped").keys("fg\r");
    terminal.until("the block again", vt100::Screen::alternate_screen);
    terminal.see("1 of ").keys("\x1b[C").see("2 of ").keys("\x03");
    terminal.until("the shell's own screen", |screen| !screen.alternate_screen());
    terminal.see("ready>").keys("exit\r");
    let report = &session(folder.path(), &id).reports[&1];
    assert_eq!(report.level.map(Level::get), Some(4));
}

#[test]
fn a_signal_ends_the_program_with_every_report_kept_and_the_terminal_given_back() {
    for name in ["-TERM", "-HUP"] {
        let (folder, id) = studio("Ilse Brandt");
        let mut terminal = start(folder.path(), (80, 24));
        hold(&mut terminal);
        terminal.keys("\x1b[C").see("2 of ");
        signal(name, terminal.process());
        assert!(!terminal.end().success());
        let session = session(folder.path(), &id);
        assert_eq!((session.reports.len(), session.closed), (1, None), "{name}");
    }
}

#[test]
fn a_window_that_is_closed_ends_the_program() {
    let (folder, id) = studio("Ilse Brandt");
    let mut terminal = start(folder.path(), (80, 24));
    hold(&mut terminal);
    terminal.keys("\x1b[C").see("2 of ");
    let process = terminal.process();
    let Terminal { master, mut child, keys, output, .. } = terminal;
    drop((master, keys, output));
    // The reading thread holds the last handle until the program ends; the hang-up is what a window sends first.
    signal("-HUP", process);
    assert!(!child.wait().unwrap().success());
    let session = session(folder.path(), &id);
    assert_eq!((session.reports.len(), session.closed), (1, None));
}
