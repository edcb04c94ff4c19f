//! `--linear` through pipes: lines that are no text, the end of the input in the middle of a block, and an output that
//! nobody reads any more.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

use matside::body::Level;
use matside::client::{ClientId, Ended, Profile, Screening, Session};
use matside::store::Store;

/// From the day into the first hold of a client who trained the hamstrings.
const INTO_THE_HOLD: &str = "\nham\n\n\na\n\n\n\n\n";

fn studio() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let id = ClientId::new("ilse").unwrap();
    let mut profile = Profile::new(id, "Ilse Brandt");
    profile.add_screening(Screening::clear("2026-11-02".parse().unwrap()));
    store.create(&profile).unwrap();
    folder
}

fn start(folder: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_matside"))
        .args(["--linear", "--now", "2026-11-25T18:45:00+00:00", "--data"])
        .arg(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Gives all of the input and ends it.
fn give(folder: &Path, input: &[u8]) -> Output {
    let mut program = start(folder);
    program.stdin.take().unwrap().write_all(input).unwrap();
    program.wait_with_output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn sessions(folder: &Path) -> Vec<Session> {
    Store::open(folder).unwrap().load(&ClientId::new("ilse").unwrap()).unwrap().sessions
}

#[test]
fn the_end_of_the_input_in_a_hold_says_what_was_saved() {
    let folder = studio();
    let output = give(folder.path(), format!("{INTO_THE_HOLD}4\n").as_bytes());
    assert!(output.status.success());
    let said = text(&output.stdout);
    assert!(said.ends_with("\nInput ended. 1 answer saved. The block can be taken up.\n"), "{said}");
    let session = sessions(folder.path()).remove(0);
    let report = session.reports.values().next_back().unwrap();
    assert_eq!((report.level.map(Level::get), report.ended, session.closed), (Some(4), Ended::CutOff, None));
}

#[test]
fn the_end_of_the_input_where_nothing_is_open_says_nothing_more() {
    let folder = studio();
    for input in ["", "ilse", "\nham\n"] {
        let output = give(folder.path(), input.as_bytes());
        assert!(output.status.success() && !text(&output.stdout).contains("Input ended"), "{input:?}");
    }
    assert!(sessions(folder.path()).is_empty());
}

#[test]
fn a_line_that_is_no_text_is_refused_alone_and_the_hold_goes_on() {
    let folder = studio();
    let lines =
        [INTO_THE_HOLD.as_bytes(), b"\xff\xfe\nf\0\n\x1b[A\n", &b"z".repeat(5000), b"\n4\r\n"].concat();
    let output = give(folder.path(), &lines);
    assert!(output.status.success());
    let said = text(&output.stdout);
    for refused in ["was not readable text", "a control character", "an arrow key", "too long"] {
        assert_eq!(said.matches(refused).count(), 1, "{refused}\n{said}");
    }
    let session = sessions(folder.path()).remove(0);
    assert_eq!(session.reports.values().next_back().unwrap().level.map(Level::get), Some(4));
}

#[test]
fn an_output_that_nobody_reads_any_more_loses_nothing_and_is_an_error() {
    let folder = studio();
    let mut program = start(folder.path());
    let mut input = program.stdin.take().unwrap();
    input.write_all(INTO_THE_HOLD.as_bytes()).unwrap();
    let mut output = BufReader::new(program.stdout.take().unwrap());
    let mut line = String::new();
    while !line.starts_with("Hold") {
        line.clear();
        assert!(output.read_line(&mut line).unwrap() > 0, "no hold");
    }
    drop(output);
    input.write_all(b"4\n").unwrap();
    let mut error = String::new();
    program.stderr.take().unwrap().read_to_string(&mut error).unwrap();
    assert!(!program.wait().unwrap().success());
    assert!(error.contains("cannot write the output") && error.contains("1 answer saved."), "{error}");
    let session = sessions(folder.path()).remove(0);
    let report = session.reports.values().next_back().unwrap();
    assert_eq!((report.level.map(Level::get), report.ended), (Some(4), Ended::CutOff));
}
