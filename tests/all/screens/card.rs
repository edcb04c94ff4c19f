//! The card: a condition's side is asked for once, and the last session stands where there is room.

use matside::body::Side;
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// A new card with the cursor on the line for a condition.
fn new_card() -> Studio {
    let mut studio = Studio::empty();
    studio.press("Nora Quint").enter().key(KeyCode::Tab);
    studio
}

fn saved_side(studio: &mut Studio) -> Option<Side> {
    studio.control('s');
    let conditions = studio.client("nora-quint").profile.conditions;
    assert_eq!(conditions[0].id.as_str(), "shoulder-impingement");
    conditions[0].side
}

#[test]
fn the_side_of_a_condition_is_asked_for_where_it_was_not_typed() {
    for (keys, side) in [
        (&[KeyCode::Enter][..], None),
        (&[KeyCode::Left, KeyCode::Left, KeyCode::Enter], Some(Side::Left)),
        (&[KeyCode::Right, KeyCode::Right], Some(Side::Right)),
        (&[KeyCode::Char(' ')], Some(Side::Left)),
        (&[KeyCode::Char(' '), KeyCode::Char(' ')], Some(Side::Right)),
        (&[KeyCode::Char(' '), KeyCode::Char(' '), KeyCode::Char(' ')], None),
    ] {
        let mut studio = new_card();
        studio.press("shoulder impi").enter();
        let asked = "which side? Left, Right; Enter for both";
        assert_seen(&studio, &[asked, "side"]);
        assert!(studio.app.lines(studio.now()).iter().any(|line| line.contains(asked)));
        for key in keys {
            studio.key(*key);
            assert!(!studio.screen(80, 24).contains("which side?"), "asked once");
        }
        assert_eq!(saved_side(&mut studio), side, "{keys:?}");
    }
}

#[test]
fn a_side_that_was_typed_is_not_asked_for() {
    for (typed, side) in [("shoulder impi left", Some(Side::Left)), ("shoulder impi both", None)] {
        let mut studio = new_card();
        assert_seen(&studio, &["a few letters and the side"]);
        studio.press(typed).enter();
        assert!(!studio.screen(80, 24).contains("which side?"));
        // The cursor is on the line for the next condition.
        studio.press("pregn").enter();
        assert_eq!(saved_side(&mut studio), side);
        assert_eq!(studio.client("nora-quint").profile.conditions.len(), 2);
    }
}

#[test]
fn the_keys_for_a_side_are_offered_where_there_is_one_and_f1_where_letters_are_typed() {
    let mut studio = new_card();
    assert_seen(&studio, &["F1 help"]);
    studio.press("pregn").enter().key(KeyCode::Up);
    assert_seen(&studio, &["x take off"]);
    assert!(!studio.screen(80, 24).contains("left side"), "{}", studio.screen(80, 24));
    studio.key(KeyCode::Down).key(KeyCode::Down);
    assert!(!studio.screen(80, 24).contains("left side"), "{}", studio.screen(80, 24));
    assert_seen(&studio, &["relief from the desk: neck, chest", "questions, read aloud, come before"]);
}

#[test]
fn the_last_session_stands_on_a_card_with_room_for_it() {
    let mut studio = Studio::demo();
    studio.press("feldm").key(KeyCode::F(2)).key(KeyCode::Home);
    let screen = studio.screen(200, 60);
    assert!(screen.contains("Last time") && screen.contains("Reached last time"), "{screen}");
    assert!(!studio.screen(80, 24).contains("Last time  "), "{}", studio.screen(80, 24));
}
