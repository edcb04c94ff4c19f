//! What is noted after a stretch was stopped for pain, by command: sore the day after, and who cleared it.

use std::fs;

use crate::cli::Studio;

const STRETCH: &str = "straight-leg-raise";

fn log(studio: &Studio, on: &str, report: &str) {
    let report = format!("{STRETCH} left {report}");
    let said =
        studio.run(&["log", "mira", "--at", &format!("{on} 10:00"), "--minutes", "10", "--report", &report]);
    assert!(said.contains("saved 1 report"), "{said}");
}

fn pain(studio: &Studio, more: &[&str]) -> String {
    studio.run(&[&["pain", "mira"], more].concat())
}

#[test]
fn sore_the_day_after_the_last_try_did_not_count() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let said = pain(&studio, &[]);
    assert!(said.contains("nothing is on its way back from pain"), "{said}");
    log(&studio, "2026-11-15", "12s pain");
    log(&studio, "2026-11-24", "15s 3");
    assert!(pain(&studio, &[]).contains("(try 2 of 2)"), "{}", pain(&studio, &[]));
    let said = pain(&studio, &[STRETCH, "--sore", "--note", "until noon"]);
    assert!(said.contains("(try 1 of 2)"), "{said}");
    let file = fs::read_to_string(studio.data().join("clients/mira-okonjo.toml")).expect("a file");
    assert!(file.contains("still_sore = true") && file.contains("until noon"), "{file}");
    // A slip is taken back, and was never gone from the file.
    let said = pain(&studio, &[STRETCH, "--take-back"]);
    assert!(said.contains("(try 2 of 2)"), "{said}");
    let said = pain(&studio, &[STRETCH, "--take-back"]);
    assert!(said.contains("nothing was noted about `straight-leg-raise` today"), "{said}");
    // What hurts nobody is not closed, and cannot be cleared.
    let said = pain(&studio, &[STRETCH, "--cleared-by", "her doctor"]);
    assert!(said.starts_with("status: 1") && said.contains("is not closed"), "{said}");
    let said = pain(&studio, &[STRETCH, "--side", "right", "--sore"]);
    assert!(said.starts_with("status: 1") && said.contains("is not on its way back"), "{said}");
    let said = pain(&studio, &[STRETCH]);
    assert!(said.starts_with("status: 2"), "{said}");
}

#[test]
fn what_is_closed_comes_back_only_when_somebody_named_cleared_it() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    for day in ["2026-10-25", "2026-11-05", "2026-11-16"] {
        log(&studio, day, "12s pain");
    }
    let said = pain(&studio, &[]);
    assert!(said.contains("Not until somebody has cleared it"), "{said}");
    let said = pain(&studio, &[STRETCH, "--not-sore"]);
    assert!(said.starts_with("status: 1") && said.contains("closed for pain"), "{said}");
    let said = pain(&studio, &[STRETCH, "--cleared-by", "  "]);
    assert!(said.starts_with("status: 2") && said.contains("say who cleared it"), "{said}");
    let said = pain(&studio, &[STRETCH, "--cleared-by", "her physiotherapist, by phone"]);
    assert!(said.contains("Ask first") && said.contains("(try 1 of 2)"), "{said}");
    let file = fs::read_to_string(studio.data().join("clients/mira-okonjo.toml")).expect("a file");
    assert!(file.contains("cleared_by = \"her physiotherapist, by phone\""), "{file}");
}
