//! What only Linux has: a device that is always full, and files whose rights cannot be changed.

use std::fs;
use std::process::{Command, Stdio};

use matside::platform;

use crate::cli::Studio;

#[test]
fn a_full_device_behind_standard_output_is_said_and_what_was_saved_is_saved() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let run = |arguments: &[&str]| {
        let full =
            fs::OpenOptions::new().write(true).open("/dev/full").expect("the device that is always full");
        Command::new(env!("CARGO_BIN_EXE_matside"))
            .args(["--now", "2026-11-25T18:40:00+01:00", "--data"])
            .arg(studio.data())
            .args(arguments)
            .stdin(Stdio::null())
            .stdout(full)
            .output()
            .expect("the program runs")
    };
    for arguments in
        [&["log", "mira", "--report", "butterfly-on-back 30s 3"][..], &["clients"], &["catalogue"]]
    {
        let output = run(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            said.starts_with("error: cannot write the output: No space left on device"),
            "{arguments:?}: {said}"
        );
        assert_eq!(output.status.code(), Some(1));
    }
    let file =
        || fs::read_to_string(studio.data().join("clients/mira-okonjo.toml")).expect("the client's file");
    assert_eq!(file().matches("report.01").count(), 1);
    // Whoever was not told does it again: nothing is doubled.
    run(&["log", "mira", "--report", "butterfly-on-back 30s 3"]);
    assert_eq!(file().matches("[[session]]").count(), 1);
}

#[test]
fn a_full_device_behind_the_lines_is_an_error_with_a_message() {
    let studio = Studio::empty();
    let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("the device that is always full");
    let mut command = Command::new(env!("CARGO_BIN_EXE_matside"));
    command.args(["--linear", "--data"]).arg(studio.data()).stdin(Stdio::null()).stdout(full);
    let output = command.output().expect("the program runs");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1));
    assert!(said.contains("cannot write the output"), "{said}");
}

#[test]
fn rights_that_cannot_be_taken_away_are_not_said_to_be_gone() {
    // As on a stick, whose file system keeps none: the system's own files have the rights that they have.
    let is_closed = platform::close_to_others("/proc/self/status".as_ref()).expect("it is looked at");
    assert!(!is_closed);
    let studio = Studio::empty();
    assert!(platform::close_to_others(studio.data()).expect("it is the user's own"));
    assert!(platform::close_to_others(&studio.data().join("nothing")).is_err());
}
