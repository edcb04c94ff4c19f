//! A card changed, looked at and listed by command alone, as a studio's script does it.

use std::fs;

use crate::cli::Studio;

fn says(said: &str, words: &[&str]) {
    for word in words {
        assert!(said.contains(word), "{word:?} is not in {said}");
    }
}

fn file(studio: &Studio) -> String {
    fs::read_to_string(studio.data().join("clients/mira-okonjo.toml")).expect("the client's file")
}

fn studio() -> Studio {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo", "--born", "1984", "--condition", "shoulder-impingement:left"]);
    studio
}

#[test]
fn every_part_of_a_card_is_changed_and_said_back_in_a_line() {
    let studio = studio();
    let edit = |more: &[&str]| studio.run(&[&["edit", "mira-okonjo"], more].concat());
    for (arguments, said) in [
        (&["--name", "Mira Sommer"][..], "name: Mira Okonjo -> Mira Sommer; the id stays mira-okonjo\n"),
        (&["--born", "1984-05-31"], "born: 1984 -> 1984-05-31\n"),
        (&["--sex", "female"], "sex: none -> female\n"),
        (&["--mass", "68"], "mass: none -> 68 kg\n"),
        (&["--mass", ""], "mass: 68 kg -> none\n"),
        (&["--contact", "at the desk"], "contact: none -> at the desk\n"),
        (&["--usual", "tue 18:30, fri"], "usual times: none -> tue 18:30, fri\n"),
        (&["--guardian", "Ottilie Sommer"], "guardian: none -> Ottilie Sommer\n"),
        (&["--archive", "--on", "2026-11-01"], "archived from: none -> 2026-11-01\n"),
        (&["--unarchive"], "archived from: 2026-11-01 -> none\n"),
        (
            &["--condition", "hip-replacement-posterior:right:since=2026-03-02"],
            "right, since 2026-03-02 noted\n",
        ),
        (&["--hands-on", "no"], "hands-on: none -> no\n"),
        (&["--massage", "yes"], "massage: none -> yes\n"),
        (&["--aim", "range", "--aim", "calm"], "wants: range added\nwants: calm added\n"),
        (&["--drop-aim", "calm"], "wants: calm taken off\n"),
        (
            &["--tight", "hamstrings:left", "--on", "2026-04-01"],
            "tight: hamstrings left noted on 2026-04-01\n",
        ),
        (&["--still-tight", "hamstrings:left"], "tight: hamstrings left looked at again and kept\n"),
        (&["--not-tight", "hamstrings:left"], "tight: hamstrings left no more, from 2026-11-25 on\n"),
        (&["--like", "butterfly-on-back"], "likes: butterfly-on-back added\n"),
        (
            &["--dislike", "butterfly-on-back"],
            "likes: butterfly-on-back taken off\ndislikes: butterfly-on-back added\n",
        ),
        (&["--drop-like", "butterfly-on-back"], "dislikes: butterfly-on-back taken off\n"),
        (&["--at-home", "strap,wall"], "at home: strap added\nat home: wall added\n"),
        (&["--note", "comes by bicycle"], "remark: none -> comes by bicycle\n"),
    ] {
        let answer = edit(arguments);
        says(&answer, &["status: 0", said]);
        assert!(
            ["says so already", "is not archived"].iter().any(|said| edit(arguments).contains(said))
                || arguments.contains(&"--not-tight"),
            "{arguments:?}"
        );
    }
    says(&file(&studio), &["times = [\"tue 18:30\", \"fri\"]", "from = \"Mira Okonjo\""]);
    says(
        &edit(&[]),
        &[
            "name      Mira Sommer",
            "id        mira-okonjo",
            "usual     tue 18:30, fri",
            "at home   strap",
            "screened  never; due",
        ],
    );
    says(&studio.run(&["check"]), &["status: 0"]);
}

#[test]
fn a_condition_is_cleared_ended_and_taken_off_as_a_mistake() {
    let studio = studio();
    let edit = |more: &[&str]| studio.run(&[&["edit", "mira-okonjo"], more].concat());
    says(
        &edit(&["--clear", "shoulder-impingement", "--cleared-by", "her surgeon", "--on", "2026-11-20"]),
        &["status: 0", "-> ", "cleared by her surgeon"],
    );
    says(&file(&studio), &["by = \"her surgeon\"", "2026-11-20"]);
    says(&edit(&["--condition", "shoulder-impingement:right"]), &["right noted"]);
    let before = file(&studio);
    says(&edit(&["--end", "shoulder-impingement"]), &["status: 2", "fits more than one", ":left"]);
    says(&edit(&["--end", "pregnancy"]), &["status: 2", "is not in force", "shoulder-impingement"]);
    says(
        &edit(&["--end", "shoulder-impingment:left"]),
        &["status: 2", "did you mean `shoulder-impingement`"],
    );
    says(&edit(&["--clear", "shoulder-impingement:left"]), &["status: 2", "--cleared-by"]);
    assert_eq!(file(&studio), before, "what is refused changes nothing");
    says(&edit(&["--end", "shoulder-impingement:left", "--on", "2026-11-24"]), &["over since 2026-11-24"]);
    says(&edit(&["--mistaken", "shoulder-impingement:right"]), &["taken off, as a mistake"]);
    says(&edit(&[]), &["over since 2026-11-24"]);
    // Later clearances and ends name no day that has not come, but a plaster that comes off on Friday is a fact.
    says(&edit(&["--condition", "recent-fracture:left:ankle"]), &["status: 0"]);
    says(&edit(&["--tight", "calf:left", "--on", "2026-12-24"]), &["status: 2"]);
    says(&edit(&["--end", "recent-fracture", "--on", "2026-12-24"]), &["until 2026-12-24"]);
    let plan = studio.run(&["plan", "mira-okonjo", "--trained", "legs:2", "--consent", "self-stretch"]);
    assert!(!plan.contains("limit     shoulder"), "what is over limits nothing: {plan}");
}

#[test]
fn only_a_whole_id_is_changed_and_a_slip_changes_nothing() {
    let studio = studio();
    let before = file(&studio);
    says(
        &studio.run(&["edit", "mira", "--sex", "male"]),
        &["status: 2", "the whole id", "there is mira-okonjo"],
    );
    says(&studio.run(&["edit", "nobody", "--sex", "male"]), &["status: 2", "matside clients"]);
    studio.run(&["new", "Noa Lindt"]);
    says(
        &studio.run(&["edit", "mira-okonjo", "--name", "noa  lindt"]),
        &["status: 2", "noa-lindt", "--another"],
    );
    for wrong in [
        &["--sex", "divers"][..],
        &["--mass", "heavy"],
        &["--born", "2027"],
        &["--usual", "someday"],
        &["--still-tight", "calf:left"],
        &["--aim", "speed"],
        &["--on", "2026-11-26", "--note", "x"],
        &["--archive", "--unarchive"],
        &["--another"],
        &["--like", "handstand"],
    ] {
        says(&studio.run(&[&["edit", "mira-okonjo"], wrong].concat()), &["status: 2"]);
    }
    assert_eq!(file(&studio), before);
}

#[test]
fn what_a_person_wrote_into_the_file_stays() {
    let studio = studio();
    let path = studio.data().join("clients/mira-okonjo.toml");
    let by_hand = format!("# Mira sings.\nshoe_size = 39\n{}", file(&studio));
    fs::write(&path, by_hand).expect("the file can be written");
    says(&studio.run(&["edit", "mira-okonjo", "--usual", "mon"]), &["status: 0"]);
    says(&file(&studio), &["# Mira sings.\n", "shoe_size = 39\n", "times = [\"mon\"]"]);
}

#[test]
fn a_screening_is_shown_with_what_it_left_open() {
    let studio = studio();
    says(&studio.run(&["screen", "mira"]), &["status: 0", "screened: never; due: not screened yet"]);
    studio.run(&["screen", "mira", "--open", "--note", "chest pain on stairs"]);
    says(&studio.run(&["screen", "mira"]), &["2026-11-25, left open; due", "open: chest pain on stairs"]);
    studio.run(&["screen", "mira", "--clear", "--cleared-by", "Dr Amari"]);
    says(
        &studio.run(&["screen", "mira"]),
        &["2026-11-25, nothing open", "cleared by Dr Amari, 2026-11-25: chest pain", "all clear"],
    );
}

#[test]
fn today_lists_who_is_expected_and_what_is_due_with_them() {
    let studio = studio();
    for name in ["Noa Lindt", "Ida Berg", "Ute Sommer"] {
        studio.run(&["new", name, "--screened"]);
    }
    // The day is a Wednesday.
    studio.run(&[
        "edit",
        "noa-lindt",
        "--usual",
        "wed 18:00",
        "--tight",
        "hamstrings:left",
        "--on",
        "2026-01-05",
    ]);
    studio.run(&["edit", "ida-berg", "--usual", "wed 07:30"]);
    studio.run(&["edit", "ute-sommer", "--usual", "wed 09:00", "--archive"]);
    let report = ["--report", "butterfly-on-back 30s 3"];
    studio.run(&[&["log", "mira", "--at", "2026-11-18 10:00"], &report[..]].concat());
    studio.run(&[&["log", "ida-berg", "--at", "2026-11-19 10:00"], &report[..]].concat());
    studio.run(&["mend", "ida-berg", "--reopen"]);
    insta::assert_snapshot!("today", studio.run(&["today"]));
    let said = studio.run(&["today", "--json"]);
    let json: serde_json::Value =
        serde_json::from_str(said.split("--- stdout\n").nth(1).expect("an answer")).expect("JSON");
    let listed: Vec<(&str, &str)> = json["clients"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|client| (client["id"].as_str().expect("an id"), client["why"].as_str().expect("a reason")))
        .collect();
    assert_eq!(
        listed,
        [("ida-berg", "cut-off"), ("noa-lindt", "usual-time"), ("mira-okonjo", "same-weekday")],
        "{said}"
    );
    assert_eq!(json["clients"][1]["reviews"].as_array().map(Vec::len), Some(1));
    assert_eq!(json["clients"][0]["cut_off"][0], "2026-11-19T10:00:00+01:00");
}

#[test]
fn a_dry_run_says_what_would_be_saved_and_refuses_what_would_be_refused() {
    let studio = studio();
    let before = file(&studio);
    let log = |more: &[&str]| {
        let first =
            ["log", "mira", "--at", "2026-11-20 10:00", "--report", "straight-leg-raise both 30s 4; fine"];
        studio.run(&[&first[..], more].concat())
    };
    says(
        &log(&["--dry-run"]),
        &[
            "would have saved 2 reports of Mira Okonjo on 2026-11-20 at 10:00; nothing was saved",
            "left 30s 4; fine",
        ],
    );
    assert_eq!(file(&studio), before);
    assert!(!studio.data().join("work.toml").exists(), "nor is anything noted of the trainer's own work");
    says(&log(&[]), &["saved 2 reports"]);
    let saved = file(&studio);
    says(&log(&["--dry-run"]), &["was saved already"]);
    says(&log(&["--dry-run", "--report", "butterfly-on-back 20s 3"]), &["would have added 1 report"]);
    says(&log(&["--dry-run", "--consent", "self-stretch"]), &["status: 1", "consent"]);
    assert_eq!(file(&studio), saved);
}

#[test]
fn hands_that_the_card_refuses_are_in_no_plan_and_no_log_until_the_client_agrees_again() {
    let studio = studio();
    studio.run(&["edit", "mira-okonjo", "--hands-on", "no"]);
    let plan = |more: &[&str]| studio.run(&[&["plan", "mira", "--trained", "legs"], more].concat());
    let said = plan(&[]);
    says(&said, &["status: 0", "self-stretch only", "the client refuses hands-on work, as the card says"]);
    let alone = plan(&["--consent", "self-stretch", "--json"]);
    assert_eq!(plan(&["--json"]), alone);
    says(
        &plan(&["--consent", "hands-on"]),
        &["status: 3", "refuses hands-on work", "edit mira-okonjo --hands-on yes"],
    );
    let log = ["log", "mira", "--report", "straight-leg-raise left 30s 4"];
    says(&studio.run(&log), &["status: 2", "say what was agreed to"]);
    assert!(!file(&studio).contains("[[session]]"));
    says(&studio.run(&[&log[..], &["--consent", "hands-on"]].concat()), &["status: 0"]);
    studio.run(&["edit", "mira-okonjo", "--hands-on", "yes"]);
    assert!(!plan(&[]).contains("refuses hands-on work"));
}
