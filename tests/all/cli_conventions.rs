//! What scripts rely on: exit codes, variables, a folder that is not there, a terminal that can only write lines.

use std::process::{Command, Output, Stdio};

fn matside(folder: &std::path::Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_matside"));
    command.env_clear().env("HOME", folder).args(["--now", "2026-11-25T18:40:00+01:00"]);
    command.stdin(Stdio::null());
    command
}

fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

fn texts(output: &Output) -> (String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("the program writes UTF-8");
    (text(&output.stdout), text(&output.stderr))
}

fn ended(command: &mut Command) -> (Option<i32>, String, String) {
    let output = command.output().expect("the program runs");
    let (out, err) = texts(&output);
    (output.status.code(), out, err)
}

#[test]
fn not_today_is_an_answer_of_its_own_in_json_too() {
    let folder = scratch();
    let mut plan = matside(folder.path());
    plan.args(["plan", "--guest", "--trained", "legs:2", "--consent", "declined", "--json"]);
    let (status, out, err) = ended(&mut plan);
    assert_eq!(status, Some(3), "{err}");
    let answer: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    assert!(answer["not_today"].as_str().is_some_and(|why| err.contains(why)), "{out}\n{err}");
    assert_eq!(answer["steps"].as_array().map(Vec::len), Some(0));
    // What is asked for wrongly, and what cannot be done, are told apart from it.
    let (wrong, ..) = ended(matside(folder.path()).args(["plan", "--guest", "--minutes", "ninety"]));
    let (failed, ..) = ended(matside(folder.path()).args(["history", "nobody"]));
    assert_eq!((wrong, failed), (Some(2), Some(1)));
}

#[test]
fn a_folder_that_is_named_and_not_there_is_an_error() {
    let folder = scratch();
    let slip = folder.path().join("clinets");
    let slips = ["clients", "day", "log ute", "plan ute", "frontier ute", "screen ute", "history ute"];
    for command in slips {
        let mut typed = matside(folder.path());
        typed.args(command.split(' ')).arg("--data").arg(&slip);
        let (status, out, err) = ended(&mut typed);
        assert_eq!(status, Some(1), "{command}: {out}");
        assert!(err.contains("there is no data folder") && err.contains("MATSIDE_DATA"), "{command}: {err}");
        assert!(!slip.exists(), "{command} makes nothing");
    }
}

#[test]
fn the_variable_names_the_data_folder_and_the_option_goes_before_it() {
    let (folder, other) = (scratch(), scratch());
    let of =
        |arguments: &[&str]| ended(matside(folder.path()).env("MATSIDE_DATA", other.path()).args(arguments));
    assert_eq!(of(&["new", "Ute Sommer"]).0, Some(0));
    assert!(other.path().join("clients/ute-sommer.toml").is_file());
    assert!(of(&["clients"]).1.contains("Ute Sommer"));
    let elsewhere = folder.path().to_string_lossy().into_owned();
    assert!(!of(&["clients", "--data", &elsewhere]).1.contains("Ute Sommer"));
}
