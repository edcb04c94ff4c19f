//! The block by a remote: whole blocks by its buttons alone, and presses that must write nothing.

use std::time::Duration;

use matside::client::Ended;
use matside::tui::remote::Button;
use proptest::prelude::*;
use proptest::test_runner::Config;
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

const BUTTONS: [Button; 4] = [Button::Back, Button::On, Button::Third, Button::Fourth];

fn key(button: Button) -> KeyCode {
    match button {
        Button::Back => KeyCode::PageUp,
        Button::On => KeyCode::PageDown,
        Button::Third => KeyCode::F(7),
        Button::Fourth => KeyCode::F(8),
    }
}

/// At the beginning of a block.
fn started() -> Studio {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree();
    studio
}

fn pressed(studio: &mut Studio, buttons: &[Button]) {
    for button in buttons {
        studio.key(key(*button));
        studio.wait_millis(400);
    }
}

/// Everything that the file has of the session: levels, and how each step ended.
fn noted(studio: &Studio) -> Vec<(Option<u8>, Ended)> {
    let client = studio.client("ilse-brandt");
    let reports = client.sessions[0].reports.values();
    reports.map(|report| (report.level.map(matside::body::Level::get), report.ended)).collect()
}

fn last_words(studio: &Studio) -> String {
    studio.spoken.last().map(|(_, utterance)| utterance.choices[0].clone()).unwrap_or_default()
}

fn is_asked(studio: &Studio) -> bool {
    studio.app.lines(studio.now()).iter().any(|line| line.contains("One to five?"))
}

#[test]
fn buttons_are_taught_by_pressing_each_and_kept_with_the_trainers_settings() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.list().key(KeyCode::F(9));
    assert!(studio.screen(80, 24).contains("Press the button for Back."));
    // Nothing is kept of one button, and none is taken that a block needs.
    studio.press("p").key(KeyCode::F(9)).enter();
    assert!(studio.screen(80, 24).contains("two buttons at least"));
    studio.key(KeyCode::F(9)).press(".").key(KeyCode::F(10)).enter();
    assert!(studio.screen(80, 24).contains("3 buttons: F9,.,F10"), "{}", studio.screen(80, 24));
    let kept =
        || matside::store::Store::open(studio.root()).expect("the folder").trainer().expect("it").remote;
    assert_eq!(kept(), "F9,.,F10");
    // What it knows at the next start.
    let mut studio = studio.killed();
    let opened = studio.services.opened();
    studio.app.shared.knows(opened);
    studio.list().enter().press("ham").enter().enter().agree().wait(35).key(KeyCode::F(10));
    assert!(studio.screen(80, 24).contains("Ease out. Nothing is noted."), "{}", studio.screen(80, 24));
    assert!(noted(&studio).is_empty());
}

#[test]
fn outside_of_a_block_every_button_does_nothing_and_says_so() {
    let mut studio = Studio::with(&["Ana Lund", "Ilse Brandt"]);
    studio.app.shared.remote = matside::tui::keys::RemoteKeys::named("PageUp,PageDown,F9,x").expect("keys");
    studio.list();
    let before = studio.app.lines(studio.now());
    for button in [KeyCode::PageDown, KeyCode::PageUp, KeyCode::F(9)] {
        studio.key(button);
        assert!(studio.screen(80, 24).contains("Remote is off."), "{button:?}");
    }
    studio.app.shared.notice = None;
    assert_eq!(studio.app.lines(studio.now()), before);
    // Where letters are typed, a letter is one.
    studio.press("x");
    assert!(!studio.screen(80, 24).contains("Remote is off."));
    studio.key(KeyCode::Backspace).press("il").enter().press("ham").enter().enter();
    studio.key(KeyCode::PageDown).press("x");
    assert!(studio.screen(80, 24).contains("Remote is off.") && studio.screen(80, 24).contains("May I"));
    // The keys of the table that are nothing else say the same, where none were named.
    studio.app.shared.remote = matside::tui::keys::RemoteKeys::default();
    studio.key(KeyCode::F(7));
    assert!(studio.screen(80, 24).contains("Remote is off."));
    studio.agree().wait(900);
    assert!(studio.screen(80, 24).contains("what came out"));
    studio.key(KeyCode::F(8));
    assert!(studio.screen(80, 24).contains("Remote is off."));
}

#[test]
fn easing_out_has_a_tall_word_of_its_own_and_is_one_press_away_under_help_too() {
    let mut studio = started();
    studio.wait(35).press("?").key(KeyCode::F(7));
    assert!(studio.screen(80, 24).contains("EASE") && !studio.screen(80, 24).contains("PAUSED"));
    studio.press(" ").press(" ");
    assert!(studio.screen(80, 24).contains("PAUSED"), "{}", studio.screen(80, 24));
    assert!(noted(&studio).is_empty());
}

/// The moments that buttons mean different things in, each with the presses that lead there.
type Lead = fn(&mut Studio);
const PHASES: [(&str, Lead); 8] = [
    ("made ready", |studio| {
        studio.wait(5);
    }),
    ("a hold", |studio| {
        studio.wait(35);
    }),
    ("the question", |studio| {
        studio.wait(48);
    }),
    ("a pause", |studio| {
        studio.wait(35).press(" ");
    }),
    ("ease out", |studio| {
        studio.wait(35).key(KeyCode::F(7)).wait(5);
    }),
    ("pain", |studio| {
        studio.wait(35).press("p");
    }),
    ("stop", |studio| {
        studio.wait(35).press("s");
    }),
    ("what the client wants less of", |studio| {
        studio.wait(35).press("l");
    }),
];

#[test]
fn one_press_notes_nothing_in_any_phase_but_pain_where_easing_out_was_pressed_before() {
    for (phase, lead) in PHASES {
        for button in BUTTONS {
            let mut studio = started();
            lead(&mut studio);
            let before = noted(&studio);
            studio.key(key(button)).wait(4);
            let is_second_third = phase == "ease out" && button == Button::Third;
            if is_second_third {
                assert_eq!(noted(&studio).last().map(|(_, ended)| *ended), Some(Ended::Pain));
                continue;
            }
            let after = noted(&studio);
            let is_slip = phase == "pain" && button == Button::Fourth;
            assert!(is_slip || after == before, "{button:?} in {phase}: {before:?} {after:?}");
            assert!(after.iter().all(|(level, _)| level.is_none()), "{button:?} in {phase}");
        }
    }
}

#[test]
fn easing_out_is_one_press_away_in_every_phase_that_runs_and_notes_nothing() {
    for (phase, lead) in &PHASES[..4] {
        let mut studio = started();
        lead(&mut studio);
        studio.key(KeyCode::F(7));
        assert_eq!(last_words(&studio), "Ease out.", "{phase}");
        let page = studio.app.lines(studio.now()).join("\n");
        assert!(page.contains("Ease out. Nothing is noted."), "{phase}: {page}");
        let before = noted(&studio);
        // Nothing runs while it is so.
        studio.wait(120);
        assert_eq!(noted(&studio), before, "{phase}");
        studio.key(KeyCode::PageDown);
        assert!(last_words(&studio).starts_with("Go, "), "{phase}: {}", last_words(&studio));
    }
}

#[test]
fn two_buttons_ease_out_by_back_twice_and_undo_by_on_and_back() {
    let mut studio = started();
    studio.wait(35);
    pressed(&mut studio, &[Button::Back, Button::Back]);
    assert_eq!(last_words(&studio), "Ease out.");
    studio.wait(2);
    // A third press is not half of another pair.
    pressed(&mut studio, &[Button::Back]);
    studio.wait(3);
    assert!(noted(&studio).is_empty());
    pressed(&mut studio, &[Button::Back, Button::Back]);
    assert_eq!(noted(&studio)[0].1, Ended::Pain);
    studio.wait(2);
    pressed(&mut studio, &[Button::On]);
    studio.wait(3);
    pressed(&mut studio, &[Button::On, Button::Back]);
    assert!(noted(&studio).iter().all(|(_, ended)| *ended != Ended::Pain), "{:?}", noted(&studio));
}

#[test]
fn an_answer_is_counted_spoken_and_noted_after_two_quiet_seconds_and_can_be_opened_again() {
    let mut studio = started();
    studio.wait(48);
    let mut heard = Vec::new();
    for button in [Button::On, Button::On, Button::On, Button::Back, Button::On] {
        studio.key(key(button));
        studio.wait_millis(400);
        heard.push(last_words(&studio));
    }
    assert_eq!(heard, ["From one.", "One.", "Two.", "One.", "Two."]);
    assert!(noted(&studio).iter().all(|(level, _)| level.is_none()));
    studio.wait(2);
    assert_eq!(last_words(&studio), "Two. Saved.");
    assert_eq!(noted(&studio)[0].0, Some(2));
    // Five, four: back opens what was noted, and counts from five.
    studio.wait(1);
    pressed(&mut studio, &[Button::Back, Button::Back, Button::On]);
    studio.wait(2);
    assert_eq!(noted(&studio)[0].0, Some(2));
    let mut studio = started();
    studio.wait(48);
    pressed(&mut studio, &[Button::Back, Button::Back, Button::Back]);
    studio.wait(2);
    assert_eq!((noted(&studio)[0].0, last_words(&studio).as_str()), (Some(4), "Four. Saved."));
    studio.key(KeyCode::F(8)).wait(1);
    assert_eq!(noted(&studio)[0].0, None);
}

#[test]
fn a_button_that_is_stuck_or_held_down_counts_for_nothing() {
    for button in BUTTONS {
        for (phase, lead) in PHASES {
            if phase == "ease out" && button == Button::Third {
                // Here a press is pain, held down or not.
                continue;
            }
            let mut studio = started();
            lead(&mut studio);
            let before = noted(&studio);
            // Pressed, and after half a second again and again, as a keyboard does that repeats.
            studio.key(key(button)).wait_millis(500);
            for _ in 0..60 {
                studio.key(key(button)).wait_millis(33);
            }
            studio.wait(4);
            let after = noted(&studio);
            let is_slip = button == Button::Fourth && before.iter().any(|(_, ended)| *ended == Ended::Pain);
            // What goes with pain is noted as left out once another hold has begun.
            let new = after.iter().skip(before.len()).filter(|report| **report != (None, Ended::Skipped));
            assert!(is_slip || after.starts_with(&before), "{button:?} in {phase}: {before:?} {after:?}");
            assert_eq!(new.count(), 0, "{button:?} in {phase}: {before:?} {after:?}");
            assert!(phase == "pain" || after == before, "{button:?} in {phase}: {before:?} {after:?}");
        }
    }
}

#[test]
fn a_remote_drives_the_whole_block_its_last_answer_too() {
    let mut studio = started();
    let mut answers = 0;
    for _ in 0..900 {
        if studio.app.lines(studio.now()).iter().any(|line| line.contains("what came out")) {
            break;
        }
        if is_asked(&studio) {
            answers += 1;
            // Five, four.
            pressed(&mut studio, &[Button::Back, Button::Back, Button::Back]);
            studio.wait(3);
        }
        studio.wait(1);
    }
    let noted = noted(&studio);
    assert!(answers >= 2 && noted.len() == answers, "{answers}: {noted:?}");
    assert!(noted.iter().all(|report| *report == (Some(4), Ended::Done)), "{noted:?}");
}

/// The second at which the review comes up by itself.
fn review_after(studio: &mut Studio) -> u64 {
    for second in 0..700 {
        if studio.app.lines(studio.now())[0].contains("what came out") {
            return second;
        }
        studio.wait(1);
    }
    panic!("the block never ends");
}

#[test]
fn the_last_answer_is_waited_for_only_so_long_and_not_at_all_by_keys() {
    let by_keys = review_after(&mut started());
    let mut studio = started();
    studio.key(KeyCode::PageDown);
    assert_eq!(review_after(&mut studio), by_keys + 20);
    let mut studio = started();
    studio.key(KeyCode::PageDown).wait(by_keys + 5);
    // The keys are used again: no more waiting.
    studio.press("i");
    assert_eq!(review_after(&mut studio), 0);
}

#[test]
fn words_of_line_mode_are_the_buttons() {
    let mut studio = started();
    studio.wait(35);
    studio.words("third");
    assert_eq!(last_words(&studio), "Ease out.");
    studio.wait(2);
    studio.words("on");
    assert!(last_words(&studio).starts_with("Go, "));
    studio.wait(2);
    studio.words("back-button");
    assert_eq!(last_words(&studio), "Paused.");
}

#[derive(Debug, Clone, Copy)]
struct Press(Button, u64);

fn press() -> impl Strategy<Value = Press> {
    let gaps = prop_oneof![4 => 20_u64..800, 2 => 800_u64..3_000, 1 => 3_000_u64..20_000];
    (prop::sample::select(&BUTTONS[..]), gaps).prop_map(|(button, gap)| Press(button, gap))
}

proptest! {
    #![proptest_config(Config { cases: 60, failure_persistence: None, ..Config::default() })]

    #[test]
    fn whatever_is_pressed_each_record_has_its_own_deliberate_presses(
        presses in prop::collection::vec(press(), 120),
    ) {
        let mut studio = started();
        let mut was_hurt = false;
        for (index, Press(button, gap)) in presses.iter().enumerate() {
            studio.key(key(*button)).wait_millis(*gap);
            if studio.app.lines(studio.now())[0].contains("what came out") {
                break;
            }
            let noted = noted(&studio);
            let count = |is: fn(&(Option<u8>, Ended)) -> bool| noted.iter().filter(|report| is(report)).count();
            let done = &presses[..=index];
            let of = |wanted: &[Button]| done.iter().filter(|press| wanted.contains(&press.0)).count();
            let counts = of(&[Button::On, Button::Back]);
            prop_assert!(2 * count(|(level, _)| level.is_some()) <= counts);
            prop_assert!(2 * count(|(_, ended)| *ended == Ended::Pain) <= of(&[Button::Third, Button::Back]));
            // What goes with pain is left out with it.
            was_hurt |= count(|(_, ended)| *ended == Ended::Pain) > 0;
            prop_assert!(was_hurt || 2 * count(|(_, ended)| *ended == Ended::Skipped) <= of(&[Button::On]));
            prop_assert!(noted.iter().all(|(_, ended)| *ended != Ended::Withdrawn));
        }
    }

    #[test]
    fn presses_that_stand_alone_write_nothing(
        presses in prop::collection::vec((prop::sample::select(&[Button::Back, Button::On, Button::Fourth][..]), 2_100_u64..9_000), 40),
    ) {
        let mut studio = started();
        for (button, gap) in presses {
            studio.key(key(button)).wait_millis(gap);
            let is_only_done = |(level, ended): &(Option<u8>, Ended)| level.is_none() && *ended == Ended::Done;
            if studio.app.lines(studio.now())[0].contains("what came out") {
                break;
            }
            prop_assert!(noted(&studio).iter().all(is_only_done), "{:?}", noted(&studio));
        }
    }
}

#[test]
fn a_keyboard_of_a_remote_stands_for_the_buttons_in_the_block_alone() {
    let mut studio = started();
    studio.app.shared.remote = matside::tui::keys::RemoteKeys::named("F5,F6,x").expect("keys");
    studio.wait(35).key(KeyCode::F(5));
    assert_eq!(last_words(&studio), "Paused.");
    studio.key(KeyCode::Char('x')).wait(1);
    assert_eq!(last_words(&studio), "Ease out.");
    assert!(Duration::from_secs(30) < studio.now().moment.since_start());
}
