//! Commands that write a record: the right person, once, as it was meant, and it can be taken back.

use std::fs;

use crate::cli::Studio;

fn file(studio: &Studio) -> String {
    fs::read_to_string(studio.data().join("clients/mira-okonjo.toml")).expect("the client's file")
}

const REPORT: [&str; 2] = ["--report", "butterfly-on-back 30s 3"];

fn log(studio: &Studio, more: &[&str]) -> String {
    studio.run(&[&["log", "mira", "--at", "2026-11-20 10:00", "--minutes", "10"], &REPORT[..], more].concat())
}

#[test]
fn the_same_session_again_completes_what_is_saved_and_never_doubles_it() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let said = log(&studio, &[]);
    assert!(said.contains("saved 1 report of Mira Okonjo on 2026-11-20 at 10:00"), "{said}");
    let saved = file(&studio);
    let said = log(&studio, &[]);
    assert!(said.contains("was saved already"), "{said}");
    assert_eq!(file(&studio), saved);
    let said = log(&studio, &["--report", "straight-leg-raise left 30s 4"]);
    assert!(said.contains("added 1 report to the session"), "{said}");
    assert_eq!(file(&studio).matches("[[session]]").count(), 1);
    let whole = file(&studio);
    // Something else under the same time is neither doubled nor overwritten.
    let said = studio.run(&[
        "log",
        "mira",
        "--at",
        "2026-11-20 10:00",
        "--minutes",
        "10",
        "--report",
        "butterfly-on-back 20s 5",
    ]);
    assert!(said.contains("another report 1 is there already") && said.contains("matside mend"), "{said}");
    assert_eq!(file(&studio), whole);
}

#[test]
fn a_session_while_another_one_was_going_on_is_asked_about() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    log(&studio, &[]);
    let saved = file(&studio);
    for at in ["2026-11-20 10:05", "2026-11-20 09:55"] {
        let overlapping = [&["log", "mira", "--minutes", "10", "--at", at], &REPORT[..]].concat();
        let said = studio.run(&overlapping);
        assert!(
            said.contains("was going on at that time") && said.contains("--at \"2026-11-20 10:00\""),
            "{said}"
        );
        assert_eq!(file(&studio), saved, "{at}");
    }
    let said = studio.run(&[&["log", "mira", "--at", "2026-11-20 10:05", "--overlap"], &REPORT[..]].concat());
    assert!(said.contains("saved 1 report"), "{said}");
    let said = studio.run(&[&["log", "mira", "--at", "2026-11-20 10:30"], &REPORT[..]].concat());
    assert!(said.contains("saved 1 report"), "{said}");
}

#[test]
fn the_name_of_an_outcome_is_never_silently_a_remark() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let before = file(&studio);
    for note in ["pain", " Pain!", "pain behind the knee", "skipped", "withdrawn, felt cold"] {
        let said = studio.run(&["log", "mira", "--report", &format!("butterfly-on-back 30s 3;{note}")]);
        assert!(said.contains("behind the semicolon would only be a remark"), "{said}");
        assert_eq!(file(&studio), before);
    }
    let said = studio.run(&["log", "mira", "--report", "butterfly-on-back 12s pain; no pain before"]);
    assert!(said.contains("saved 1 report"), "{said}");
    assert!(file(&studio).contains("ended = \"pain\", note = \"no pain before\""));
}

#[test]
fn a_second_client_of_one_name_is_asked_about() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo", "--born", "1984"]);
    for name in ["Mira  Okonjo", "MIRA OKONJO", "mïra okonjo"] {
        says(&studio.run(&["new", name]), "there is a client of that name: mira-okonjo, born 1984");
    }
    assert!(studio.run(&["new", "Mira Okonjo", "--another"]).contains("as mira-okonjo-2"));
}

#[test]
fn a_birth_year_alone_stays_a_year() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo", "--born", "2008"]);
    assert!(file(&studio).contains("\nborn = 2008\n"), "{}", file(&studio));
    // Seventeen, perhaps: hands-on work waits for a guardian.
    let said = studio.run(&["plan", "mira", "--trained", "hamstrings:3"]);
    assert!(said.contains("Under 18"), "{said}");
    studio.run(&["new", "Noa Okonjo", "--born", "2008-11"]);
    let said = studio.run(&["new", "Ida Okonjo", "--born", "08"]);
    assert!(said.contains("1984-05 or 1984 if no more is known"), "{said}");
}

#[test]
fn what_was_saved_is_mended_and_taken_back_and_nothing_vanishes() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    log(&studio, &["--report", "straight-leg-raise left 30s 4"]);
    let mend = |more: &[&str]| studio.run(&[&["mend", "mira", "--at", "2026-11-20 10:00"], more].concat());
    says(&mend(&["--report", "2", "--as", "right 25s 5; felt fine"]), " right 25s 5; felt fine");
    let text = file(&studio);
    for kept in [
        "of = \"report.02.side\", from = \"left\"",
        "of = \"report.02.held_s\", from = 30",
        "from = 4, to = 5",
    ] {
        assert!(text.contains(kept), "{kept}: {text}");
    }
    says(
        &mend(&["--report", "1", "--take-back"]),
        "  1  butterfly-on-back/soles-together-rest 30s 3  (taken back)",
    );
    let history = studio.run(&["history", "mira", "--json"]);
    assert!(history.contains("straight-leg-raise") && !history.contains("butterfly"), "{history}");
    says(&mend(&["--report", "1", "--restore"]), "  1  butterfly-on-back/soles-together-rest 30s 3\n");
    says(&mend(&["--reopen"]), "cut off");
    says(&mend(&["--close", "2026-11-20 10:12"]), "closed at 10:12");
    says(&mend(&["--consent", "self-stretch", "--note", "alone"]), "self-stretch");
    says(&mend(&["--take-back"]), "taken back: counts for nothing");
    assert!(!studio.run(&["clients"]).contains("2026-11-20"));
    says(&mend(&["--report", "1", "--as", "5"]), "--restore");
    says(&mend(&["--restore"]), "closed at 10:12");
    assert!(studio.run(&["clients"]).contains("2026-11-20"));
    says(&mend(&["--report", "7", "--as", "5"]), "there is no report 7");
    says(&studio.run(&["mend", "mira", "--at", "2026-11-20 11:00"]), "that day there was one at 10:00");
    says(&studio.run(&["mend", "mira", "--report", "1", "--as", "6"]), "level is 6");
    let said = studio.run(&["check"]);
    assert!(said.contains("no errors") || said.contains("all is well"), "{said}");
    assert!(!said.contains(".toml"), "{said}");
}

fn says(said: &str, word: &str) {
    assert!(said.contains(word), "{word:?} is not in {said}");
}

#[test]
fn what_is_mended_is_mended_in_the_trainers_own_day_as_well() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let day = || {
        let said = studio.run(&["day", "--json"]);
        let json = said.split_once('{').map(|(_, rest)| format!("{{{rest}")).expect("an answer in JSON");
        serde_json::from_str::<serde_json::Value>(&json).expect("JSON")
    };
    studio.run(&[
        "log",
        "mira",
        "--at",
        "10:00",
        "--report",
        "straight-leg-raise/other-knee-bent left 60s 4",
    ]);
    let whole = day();
    studio.run(&["mend", "mira", "--report", "1", "--as", "30s 4"]);
    let half = day();
    assert_ne!(whole, half);
    studio.run(&["mend", "mira", "--take-back"]);
    let none = day();
    assert_eq!(none["blocks"], 0, "{none}");
    studio.run(&["mend", "mira", "--restore"]);
    assert_eq!(day(), half);
}

#[test]
fn an_angle_says_what_the_trainer_usually_measures_with_unless_something_else_was_said() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    fs::write(studio.data().join("trainer.toml"), "version = 1\ninstrument = \"inclinometer\"\n")
        .expect("a file");
    let measured = ["--report", "straight-leg-raise left 30s 4 78deg"];
    log(&studio, &measured);
    assert!(file(&studio).contains("with = \"inclinometer\""), "{}", file(&studio));
    let once = file(&studio);
    log(&studio, &measured);
    assert_eq!(file(&studio), once, "the same session again adds nothing");
}

#[test]
fn a_client_who_declined_has_no_holds_and_no_session_ends_days_later() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let empty = file(&studio);
    says(&log(&studio, &["--consent", "declined"]), "the client declined, and yet");
    assert_eq!(file(&studio), empty);
    log(&studio, &[]);
    let saved = file(&studio);
    let mend = |more: &[&str]| studio.run(&[&["mend", "mira"], more].concat());
    says(&mend(&["--consent", "declined"]), "has no reports of what was held");
    says(&mend(&["--close", "2026-11-22 10:10"]), "more than a day after");
    says(&mend(&["--close", "2027-11-20 10:10"]), "lies after now");
    assert_eq!(file(&studio), saved);
    mend(&["--report", "1", "--take-back"]);
    says(&mend(&["--consent", "declined"]), "declined, closed at 10:10");
    says(&mend(&["--report", "1", "--restore"]), "has no reports of what was held");
    says(&mend(&["--close", "2026-11-21 00:10"]), "closed on 2026-11-21 at 00:10");
    // What a hand wrote is named.
    let path = studio.data().join("clients/mira-okonjo.toml");
    let twice =
        saved.replace("\"hands-on\"", "\"declined\"").replace("closed = 2026-11-20", "closed = 2026-11-24");
    fs::write(&path, twice).expect("writes");
    let said = studio.run(&["check"]);
    says(&said, "more than a day after it began");
    says(&said, "the client declined in the session of");
}

#[test]
fn nobody_clears_nothing_and_what_is_open_has_words() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    says(&studio.run(&["screen", "mira", "--open"]), "something is left to clear up");
    let saved = file(&studio);
    says(&saved, "open = [{ what = \"something was left open\" }]");
    says(&studio.run(&["screen", "mira", "--clear", "--cleared-by", " "]), "say who cleared it");
    let edit =
        ["edit", "mira-okonjo", "--condition", "disc-pain", "--clear", "disc-pain", "--cleared-by", ""];
    says(&studio.run(&edit), "say who cleared it");
    assert_eq!(file(&studio), saved);
}
