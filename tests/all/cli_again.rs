//! A block once more and the trainer's habits at the command line: as last time, kept by a name, taken off again.

use matside::catalogue::StretchId;
use matside::client::{Habit, HabitKind};
use matside::store::Store;

use crate::cli::Studio;

/// A studio with one client, who has had a block of two stretches.
fn after_one_block() -> Studio {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let reports = [
        "straight-leg-raise/hand-on-heel left 30s 4",
        "straight-leg-raise/hand-on-heel right 30s 4",
        "figure-four/shin-across-chest left 30s 3",
        "figure-four/shin-across-chest right 30s 3",
    ];
    let mut arguments = vec!["log", "mira", "--minutes", "8"];
    arguments.extend(reports.iter().flat_map(|report| ["--report", report]));
    let logged = studio.run(&arguments);
    assert!(logged.starts_with("status: 0"), "{logged}");
    studio
}

fn ends(said: &str, status: u8) -> bool {
    said.starts_with(&format!("status: {status}\n"))
}

#[test]
fn a_block_is_taken_again_as_last_time() {
    let studio = after_one_block();
    let said = studio.run(&["plan", "mira", "--as-last-time", "--trained", "hamstrings:2", "--minutes", "8"]);
    assert!(ends(&said, 0) && said.contains("Straight-leg raise") && said.contains("Figure four"), "{said}");
    // What does not go into the minutes is left out from the end, and said.
    let short =
        studio.run(&["plan", "mira", "--as-last-time", "--trained", "hamstrings:2", "--minutes", "2"]);
    assert!(
        ends(&short, 0) && short.contains("not today: figure-four (no room in these minutes)"),
        "{short}"
    );
}

#[test]
fn where_nothing_was_done_last_time_that_is_said() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let said = studio.run(&["plan", "mira", "--as-last-time", "--trained", "legs", "--minutes", "8"]);
    assert!(ends(&said, 1) && said.contains("nothing was done with Mira Okonjo yet"), "{said}");
    let both = studio.run(&["plan", "mira", "--as-last-time", "--block", "runners", "--trained", "legs"]);
    assert!(ends(&both, 2) && both.contains("cannot be used with"), "{both}");
}

#[test]
fn a_block_is_kept_by_its_name_taken_again_and_taken_off() {
    let studio = after_one_block();
    let name = "the usual for runners";
    let kept = studio.run(&["plan", "mira", "--trained", "running:2", "--minutes", "10", "--keep-as", name]);
    assert!(ends(&kept, 0), "{kept}");
    let listed = studio.run(&["trainer"]);
    assert!(listed.contains("block     the usual for runners: "), "{listed}");
    let steps = |said: &str| -> Vec<String> {
        let lines = said
            .lines()
            .filter(|line| line.contains(" s  ") || line.contains("left ") || line.contains("right"));
        lines.map(|line| line.trim().to_owned()).collect()
    };
    let again = studio.run(&["plan", "mira", "--block", name, "--trained", "running:2", "--minutes", "10"]);
    assert!(ends(&again, 0) && !steps(&again).is_empty(), "{again}");
    let unknown = studio.run(&["plan", "mira", "--block", "the usual for runner", "--trained", "running:2"]);
    assert!(ends(&unknown, 2) && unknown.contains(name), "the nearest name is offered: {unknown}");
    let gone = studio.run(&["trainer", "--forget-block", name]);
    assert!(ends(&gone, 0) && !gone.contains(name), "{gone}");
    let twice = studio.run(&["trainer", "--forget-block", name]);
    assert!(ends(&twice, 1) && twice.contains("no block is kept as `the usual for runners`"), "{twice}");
    let after = studio.run(&["plan", "mira", "--block", name, "--trained", "running:2"]);
    assert!(ends(&after, 2) && after.contains("block"), "{after}");
    // What is taken off stays in the file.
    let trainer = Store::open(studio.data()).expect("a store").trainer().expect("the settings");
    assert!(trainer.blocks.len() == 1 && trainer.blocks[0].off.is_some(), "{:?}", trainer.blocks);
}

#[test]
fn what_was_said_about_plans_is_shown_and_taken_off() {
    let studio = after_one_block();
    let store = Store::open(studio.data()).expect("a store");
    let mut trainer = store.trainer().expect("the settings");
    trainer.habits.push(Habit {
        kind: HabitKind::Usual,
        stretch: StretchId::new("standing-hamstring").expect("an id"),
        form: None,
        agreed: true,
        on: "2026-11-20".parse().expect("a day"),
        off: None,
        by: String::new(),
    });
    store.save_trainer(&trainer).expect("written");
    let plan = ["plan", "mira", "--trained", "hamstrings:2", "--minutes", "10"];
    assert!(studio.run(&plan).contains("your usual"), "{}", studio.run(&plan));
    let shown = studio.run(&["trainer"]);
    assert!(shown.contains("plans     your usual: Hamstrings, standing, since 2026-11-20"), "{shown}");
    let gone = studio.run(&["trainer", "--forget-habit", "standing-hamstring"]);
    assert!(ends(&gone, 0) && !gone.contains("your usual"), "{gone}");
    assert!(!studio.run(&plan).contains("your usual"));
    let twice = studio.run(&["trainer", "--forget-habit", "standing-hamstring"]);
    assert!(ends(&twice, 1) && twice.contains("nothing holds for everybody about plans with"), "{twice}");
}
