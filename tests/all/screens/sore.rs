//! What is sore on the trainer, said on the screens: two keys, for that day, and the plan says what went out for it.

use matside::client::SoreRegion;
use matside::planner::Budget;
use matside::store::Store;
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// Where the file of the trainer's settings says that the trainer is sore on the day of the script.
fn on_disk(studio: &Studio) -> Vec<SoreRegion> {
    let trainer = Store::open(studio.root()).expect("opens").trainer().expect("reads");
    trainer.sore_on(studio.now().wall.date_naive()).collect()
}

#[test]
fn two_keys_from_the_day_say_what_is_sore_and_the_same_two_take_it_off() {
    let mut studio = Studio::demo();
    assert_seen(&studio, &["F6 sore today"]);
    studio.key(KeyCode::F(6)).press("1");
    assert_eq!(on_disk(&studio), [SoreRegion::Knee]);
    assert_seen(&studio, &["sore today: no kneeling, no squatting", "gone tomorrow"]);
    // The chosen one is turned by Space as well, and by nothing else.
    studio.key(KeyCode::Down).press(" xsp9");
    assert_eq!(on_disk(&studio), [SoreRegion::Knee, SoreRegion::Back]);
    studio.enter().key(KeyCode::F(6)).press("1").key(KeyCode::Esc);
    assert_eq!(on_disk(&studio), [SoreRegion::Back]);
    assert_seen(&studio, &["Who is next?"]);
    let tomorrow = studio.now().wall.date_naive().succ_opt().expect("a day");
    assert!(studio.app.shared.trainer.sore_on(tomorrow).next().is_none(), "for that day alone");
}

#[test]
fn a_plan_is_made_again_with_what_is_sore_and_says_what_went_out() {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.press("feldm").enter().press("full body").enter();
    let before = studio.app.lines(studio.now()).join("\n");
    assert!(!before.contains("sore today"), "{before}");
    studio.key(KeyCode::F(6)).press("1").press("4").key(KeyCode::Esc);
    assert_seen(&studio, &["You: knee and wrist sore today (F6); out for it: "]);
    let after = studio.app.lines(studio.now()).join("\n");
    assert!(after.contains("You: knee and wrist sore today"), "{after}");
    assert!(!after.contains("out for it: nothing"), "what went out is named:\n{after}");
    assert!(after.contains(" for your "), "and counted by its cause:\n{after}");
    studio.key(KeyCode::F(6)).press("1").press("4").key(KeyCode::Esc);
    assert_eq!(studio.app.lines(studio.now()).join("\n"), before, "as it was");
}

#[test]
fn soreness_is_a_command_by_its_name_and_said_in_lines() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.press(":sore").enter();
    assert_seen(&studio, &["What is sore on you?"]);
    studio.key(KeyCode::Esc).enter().words("f6").words("4");
    let lines = studio.app.lines(studio.now()).join("\n");
    assert!(
        lines.contains("wrist: sore today: no bent wrist") && lines.contains("knee: not sore"),
        "{lines}"
    );
    studio.words("back");
    assert!(studio.app.lines(studio.now()).iter().any(|line| line.starts_with("You: wrist sore today")));
}
