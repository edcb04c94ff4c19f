//! What comes before the first touch: screening, a guardian's consent, and the trainer's own statement.

use crate::cli::Studio;

const PLAN: [&str; 4] = ["--trained", "hamstrings:2", "--minutes", "5"];

fn plan(studio: &Studio, more: &[&str]) -> String {
    studio.run(&[&["plan", "mira"][..], &PLAN, more].concat())
}

#[test]
fn a_client_who_was_not_screened_is_to_be_asked_first() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    assert!(plan(&studio, &[]).contains("\nfirst     Screen before hands-on work. not screened yet"));
    let noted = studio.run(&["screen", "mira", "--clear"]);
    assert_eq!(noted, "status: 0\n--- stdout\nMira Okonjo, screened 2026-11-25: all clear\n");
    assert!(!plan(&studio, &[]).contains("\nfirst "));
    studio.run(&["screen", "mira", "--open", "--note", "waits for a letter"]);
    let refused = plan(&studio, &[]);
    assert!(refused.starts_with("status: 3") && refused.contains("left something open"), "{refused}");
    assert!(!plan(&studio, &["--consent", "self-stretch"]).contains("\nfirst "));
}

#[test]
fn a_minor_without_a_guardians_consent_is_not_touched() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo", "--born", "2011-05-31", "--screened"]);
    let refused = plan(&studio, &[]);
    assert!(refused.starts_with("status: 3") && refused.contains("guardian"), "{refused}");
    assert!(plan(&studio, &["--consent", "self-stretch"]).starts_with("status: 0"));
    let signed = Studio::empty();
    signed.run(&["new", "Mira Okonjo", "--born", "2011-05-31", "--screened", "--guardian", "Ada Okonjo"]);
    assert!(plan(&signed, &[]).starts_with("status: 0"));
    let guest = signed.run(&[&["plan", "--guest", "--age", "15"][..], &PLAN].concat());
    assert!(guest.starts_with("status: 3") && guest.contains("guardian"), "{guest}");
}

#[test]
fn the_questions_say_what_a_yes_means() {
    let said = Studio::empty().run(&["screen"]);
    assert!(said.starts_with("status: 0") && said.contains("a yes stops the session"), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
    let nobody = Studio::empty().run(&["screen", "mira"]);
    assert!(nobody.starts_with("status: 1") && nobody.contains("no client `mira`"), "{nobody}");
}

#[test]
fn the_trainers_settings_are_kept() {
    let studio = Studio::empty();
    insta::assert_snapshot!("trainer_new", studio.run(&["trainer"]));
    assert!(!studio.data().join("trainer.toml").exists(), "looking writes nothing");
    let set =
        ["trainer", "--name", "Ines", "--minutes", "7", "--equipment", "strap,table", "--may-massage", "yes"];
    insta::assert_snapshot!("trainer_set", studio.run(&set));
    assert_eq!(studio.run(&["trainer"]), studio.run(&set));
    insta::assert_snapshot!("trainer_wrong", studio.run(&["trainer", "--equipment", "strap,tabel"]));
    assert!(studio.run(&["trainer", "--may-massage", "perhaps"]).starts_with("status: 2"));
}
