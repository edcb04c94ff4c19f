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

/// A second Ilse Brandt, with a condition typed, and the card saved by this key.
fn second_of_a_name(save: impl FnOnce(&mut Studio)) -> Studio {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.control('n').press("ilse  BRANDT").key(KeyCode::Tab).press("impingement left").enter();
    save(&mut studio);
    studio
}

fn clients(studio: &Studio) -> usize {
    std::fs::read_dir(studio.root().join("clients")).expect("a folder").count()
}

#[test]
fn a_second_client_of_a_name_is_asked_about_and_no_repeated_key_answers() {
    let last_line = |studio: &mut Studio| _ = studio.key(KeyCode::End).enter();
    let saves: [fn(&mut Studio); 3] =
        [last_line, |studio| _ = studio.control('s'), |studio| _ = studio.control('p')];
    for save in saves {
        let mut studio = second_of_a_name(save);
        assert_seen(
            &studio,
            &["There is a client of that name", "ilse-brandt", "no birth known", "another person"],
        );
        for _ in 0..5 {
            studio.enter().control('s').control('p').press(" ");
        }
        assert_eq!(clients(&studio), 1, "only a key of its own answers");
        studio.control('n');
        assert_eq!(clients(&studio), 2);
        assert_eq!(studio.client("ilse-brandt-2").profile.conditions.len(), 1);
        assert!(
            studio.client("ilse-brandt").profile.conditions.is_empty(),
            "nothing came onto the other's card"
        );
    }
}

#[test]
fn the_same_person_gets_what_was_typed_onto_the_card_that_is_there() {
    let mut studio = second_of_a_name(|studio| _ = studio.control('s'));
    studio.press("c");
    assert_seen(&studio, &["Card", "Ctrl-S saves it"]);
    assert!(studio.client("ilse-brandt").profile.conditions.is_empty(), "not saved by itself");
    studio.control('s');
    let profile = studio.client("ilse-brandt").profile;
    assert_eq!((clients(&studio), profile.name.as_str(), profile.conditions.len()), (1, "Ilse Brandt", 1));
    assert_eq!(profile.screenings.len(), 1, "what was there stays");
}

#[test]
fn the_question_about_a_namesake_is_said_and_left_by_esc() {
    let mut studio = second_of_a_name(|studio| _ = studio.control('s'));
    let said = studio.app.lines(studio.now());
    assert!(said.iter().any(|line| line.contains("There is a client of that name")), "{said:?}");
    assert!(said.iter().any(|line| line.contains("ilse-brandt")), "{said:?}");
    studio.words("esc");
    assert_seen(&studio, &["New client"]);
    // The name can be told apart then, and is no namesake any more.
    studio.press(" the younger").control('s');
    assert_eq!((clients(&studio), studio.client("ilse-brandt-the-younger").profile.conditions.len()), (2, 1));
    // Another answer in line mode, and the program that ends meanwhile.
    let mut studio = second_of_a_name(|studio| _ = studio.words("ctrl-s"));
    studio.words("ctrl-n");
    assert_eq!(clients(&studio), 2);
}

#[test]
fn of_several_namesakes_the_chosen_one_is_opened() {
    let mut studio = Studio::with(&["Ilse Brandt", "Ilse Brandt"]);
    studio.control('n').press("Ilse Brandt").control('s');
    assert_seen(&studio, &["There are clients of that name", "(ilse-brandt)", "(ilse-brandt-2)"]);
    studio.key(KeyCode::Down).press("c").press("impingement left").enter().control('s');
    assert!(studio.client("ilse-brandt").profile.conditions.is_empty());
    assert_eq!(studio.client("ilse-brandt-2").profile.conditions.len(), 1);
}

/// The card of Ilse Brandt, the keys on the line of this name.
fn on_line(name: &str) -> Studio {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2)).key(KeyCode::Home);
    for _ in 0..40 {
        let page = studio.app.page(studio.now());
        let list = page.parts.iter().find_map(|part| part.list.as_ref()).expect("the lines");
        if list.rows[list.chosen.expect("a line")].starts_with(name) {
            return studio;
        }
        studio.key(KeyCode::Tab);
    }
    panic!("no line `{name}`");
}

#[test]
fn what_a_trainer_sets_is_set_on_the_card() {
    let set = |line: &str, typed: &str| {
        let mut studio = on_line(line);
        studio.press(typed).control('s');
        studio.client("ilse-brandt").profile
    };
    assert_eq!(set("comes", "tue 18:30, fri").usual_times.len(), 2);
    let tight = set("tight", "hamstrings left").tight;
    assert!(tight.len() == 1 && tight[0].on.is_some() && tight[0].off.is_none());
    assert_eq!(set("likes", "straight-leg raise").likes.len(), 1);
    assert_eq!(set("dislikes", "straight-leg raise").dislikes.len(), 1);
    assert_eq!(set("at home", "chair, strap").at_home.len(), 2);
    assert_eq!(set("contact", "by the desk").contact, "by the desk");
    assert!(set("sex", "f").sex.is_some());
    let mut studio = on_line("refuses hands-on work");
    studio.press(" ").control('s');
    assert!(studio.client("ilse-brandt").profile.refuses_hands());
    let asked = studio.client("ilse-brandt").profile;
    studio.key(KeyCode::F(2)).control('s');
    assert_eq!(studio.client("ilse-brandt").profile, asked, "looking changes nothing");
    let mut studio = on_line("comes no more");
    studio.press(" ").control('s');
    assert!(studio.client("ilse-brandt").profile.archived.is_some());
    assert!(!studio.screen(80, 24).contains("Ilse Brandt"), "{}", studio.screen(80, 24));
    studio.press("ilse");
    assert_seen(&studio, &["Ilse Brandt", "comes no more"]);
}

#[test]
fn what_cannot_be_read_on_the_card_says_how_it_is_written() {
    let mut studio = on_line("tight");
    studio.press("hamstrings").enter();
    assert_seen(&studio, &["left, right or both?"]);
    studio.press(" both").control('s');
    assert_eq!(studio.client("ilse-brandt").profile.tight_units().count(), 2);
}

#[test]
fn another_name_is_said_once_more_and_the_file_stays() {
    let mut studio = on_line("name");
    studio.press(" Maier").control('s');
    assert_seen(&studio, &["once more saves it as Ilse Brandt Maier; the file stays ilse-brandt"]);
    assert_eq!(studio.client("ilse-brandt").profile.name, "Ilse Brandt");
    studio.control('s');
    assert_eq!(studio.client("ilse-brandt").profile.name, "Ilse Brandt Maier");
}

#[test]
fn a_client_is_removed_by_the_exact_name_alone() {
    let mut studio = on_line("remove");
    studio.press("ilse brandt").enter();
    assert_seen(&studio, &["nothing was removed"]);
    assert_eq!(clients(&studio), 1);
    let mut studio = on_line("remove");
    studio.press("Ilse Brandt").enter();
    assert_eq!(clients(&studio), 0);
    assert_seen(&studio, &["is removed here"]);
}

#[test]
fn pages_are_of_the_card_as_it_is_saved() {
    let mut studio = Studio::demo();
    studio.press("feldm").key(KeyCode::F(2));
    studio.key(KeyCode::F(6));
    assert_seen(&studio, &["Pages to print", "home card", "year"]);
    studio.key(KeyCode::Esc).press("carpal");
    studio.key(KeyCode::F(6));
    assert_seen(&studio, &["Ctrl-S saves it"]);
}
