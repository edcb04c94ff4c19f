//! The questions before hands-on work: few keys, large letters where there is no session, all of it in the file.

use matside::caution::screening::{Answer, Question, questions};
use matside::client::{Consent, Ended, Screening};
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

const SIZES: [(u16, u16); 3] = [(80, 24), (40, 12), (200, 60)];

/// The words of a screen without its line breaks.
fn words(studio: &Studio, columns: u16, rows: u16) -> String {
    studio.screen(columns, rows).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A client who was never asked, at the point where the block would begin.
fn never_asked() -> Studio {
    let mut studio = Studio::empty();
    studio.press("Nora Quint").enter().control('p').press("ham").enter().enter();
    studio
}

fn screening(studio: &Studio) -> Option<Screening> {
    studio.client("nora-quint").profile.last_screening().cloned()
}

fn left_open(saved: &Screening) -> Vec<&str> {
    saved.open.iter().map(|open| open.what.as_str()).collect()
}

#[test]
fn a_new_client_who_says_no_to_all_costs_two_keys() {
    let mut studio = never_asked();
    assert!(words(&studio, 80, 24).contains("not screened yet"));
    // The key alone takes nothing, whatever is pressed behind it.
    studio.press("N").key(KeyCode::Down).key(KeyCode::Up).enter().enter();
    assert!(words(&studio, 80, 24).contains("1 of 16") && screening(&studio).is_none());
    studio.all_no();
    assert!(words(&studio, 80, 24).contains("May I "));
    let saved = screening(&studio).expect("in the file");
    assert!(saved.open.is_empty() && saved.on.to_string() == "2026-11-25");
    let no = |question: &Question| saved.answers.get(&question.id) == Some(&Answer::No);
    assert!(questions().iter().all(no), "{saved:?}");
    studio.agree().wait(60).finish().enter();
    // Not asked again the same day.
    studio.enter().press("ham").enter().enter();
    assert!(words(&studio, 80, 24).contains("May I "));
}

#[test]
fn sixteen_times_no_and_once_more_answers_nothing_for_the_client() {
    let mut studio = never_asked();
    studio.press(&"n".repeat(16));
    assert!(words(&studio, 80, 24).contains("May I "));
    studio.press("nnnyyuu").enter().enter();
    assert!(words(&studio, 80, 24).contains("Choose, then Enter"));
    assert!(studio.client("nora-quint").sessions.is_empty());
}

#[test]
fn unsure_about_what_stops_is_never_clear_and_begins_nothing() {
    let mut studio = never_asked();
    // The first is unsure, then no to the rest.
    studio.press("u").all_no();
    assert!(words(&studio, 80, 24).contains("Ask again in other words"));
    // No habit from the screen before goes on, nor does the key for settled without a name.
    studio.press("yynnuud").press("x").enter().enter().key(KeyCode::Esc);
    assert!(screening(&studio).is_none(), "{}", studio.screen(80, 24));
    studio.enter();
    let saved = screening(&studio).expect("in the file");
    assert_eq!(left_open(&saved), [questions()[0].id.as_str()]);
    assert!(!words(&studio, 80, 24).contains("May I "), "{}", studio.screen(80, 24));
    assert!(studio.client("nora-quint").sessions.is_empty());
}

#[test]
fn every_question_can_be_read_in_full_in_every_size_and_in_lines() {
    let mut studio = never_asked();
    for question in questions() {
        for (columns, rows) in SIZES {
            let screen = words(&studio, columns, rows);
            assert!(screen.contains(&question.ask), "{columns}x{rows}: {}\n{screen}", question.ask);
        }
        let lines = studio.app.lines(studio.now()).join("\n");
        assert!(lines.contains(&question.ask), "{lines}");
        studio.key(KeyCode::Down);
    }
}

#[test]
fn a_yes_that_stops_says_so_in_large_letters_and_whom_to_turn_to() {
    let mut studio = never_asked();
    studio.press("y");
    let question = &questions()[0];
    for (columns, rows) in SIZES {
        let screen = words(&studio, columns, rows);
        assert!(screen.contains(&question.say), "{columns}x{rows}\n{screen}");
        // The top of a large P: six dots, then the stem on the left alone.
        assert!(screen.contains("███████") || screen.contains("STOP"), "{columns}x{rows}\n{screen}");
    }
    let lines = studio.app.lines(studio.now()).join("\n");
    assert!(lines.contains("STOP. No session.") && lines.contains(&question.say), "{lines}");
    // Neither Enter, nor the no that was meant, nor one key twice notes it.
    studio.enter().press("nn").enter().press("yud").press("d").press("n");
    assert_eq!(screening(&studio), None);
    studio.key(KeyCode::Backspace).press("y").press("d").enter();
    assert!(words(&studio, 80, 24).contains("Who is next?"));
    let saved = screening(&studio).expect("in the file");
    assert_eq!(left_open(&saved), [questions()[0].id.as_str()]);
    assert!(studio.client("nora-quint").sessions.is_empty());
    // Next time it is asked again.
    studio.enter().press("ham").enter().enter();
    assert!(words(&studio, 80, 24).contains("left something open"));
}

#[test]
fn a_check_that_was_broken_off_keeps_what_was_said_and_is_asked_whole_again() {
    let mut studio = never_asked();
    studio.press("nnu").key(KeyCode::Esc);
    let saved = screening(&studio).expect("in the file");
    assert_eq!(left_open(&saved), [questions()[2].id.as_str()]);
    // Whoever clears it has not answered the others.
    let mut profile = studio.client("nora-quint").profile;
    let today = studio.now().wall.date_naive();
    profile.clear_open_points("Dr Moreau", today);
    assert!(profile.screening_record(today).screen_due(today).is_some(), "{profile:?}");
    studio.enter();
    assert!(words(&studio, 80, 24).contains("1 of 16"), "{}", studio.screen(80, 24));
    studio.all_no();
    assert!(words(&studio, 80, 24).contains("this one wants an answer of its own"));
}

#[test]
fn a_slip_is_taken_back_and_nothing_is_noted() {
    let mut studio = never_asked();
    studio.press("nny").key(KeyCode::Backspace);
    assert!(words(&studio, 80, 24).contains("3 of 16"));
    studio.press("n").key(KeyCode::Esc);
    assert_eq!(screening(&studio), None);
}

#[test]
fn a_yes_that_stops_is_not_forgotten_by_leaving_or_by_a_no_to_all() {
    for leaves in ["back", "out"] {
        let mut studio = never_asked();
        studio.press("y");
        if leaves == "back" {
            // The first takes the answer back, the second leaves.
            studio.key(KeyCode::Esc).key(KeyCode::Esc);
        } else {
            studio.control('c');
        }
        let saved = screening(&studio).expect("in the file");
        assert_eq!(left_open(&saved), [questions()[0].id.as_str()]);
        if leaves == "out" {
            continue;
        }
        studio.enter().all_no();
        assert!(words(&studio, 80, 24).contains("this one wants an answer of its own"));
        assert!(words(&studio, 80, 24).contains("1 of 16") && screening(&studio) == Some(saved));
        // A no today does not clear it: somebody did, by name.
        studio.press("n");
        assert!(words(&studio, 80, 24).contains("Who cleared it"), "{}", studio.screen(80, 24));
        studio.press("x").press("Dr Moreau").enter();
        assert!(words(&studio, 80, 24).contains("settled by Dr Moreau"));
        studio.enter();
        assert!(words(&studio, 80, 24).contains("May I "), "{}", studio.screen(80, 24));
        let today = studio.now().wall.date_naive();
        let profile = studio.client("nora-quint").profile;
        assert_eq!(profile.open_points(today).count(), 0, "{profile:?}");
        let cleared =
            profile.screenings.iter().flat_map(|check| &check.open).filter_map(|open| open.cleared.as_ref());
        assert!(cleared.clone().count() > 0 && cleared.into_iter().all(|by| by.by == "Dr Moreau"));
    }
}

#[test]
fn what_needs_asking_further_is_open_until_it_is_settled_and_no_hands_are_laid_on() {
    let mut studio = never_asked();
    studio.press("nnnnny").all_no();
    let asked = &questions()[5];
    for (columns, rows) in SIZES {
        assert!(words(&studio, columns, rows).contains(&asked.say), "{columns}x{rows}");
    }
    // To the card and back: the answers are still there, and the card is open at its conditions.
    studio.press("c").press("imping");
    assert_eq!(studio.client("nora-quint").profile.name, "Nora Quint");
    assert!(words(&studio, 80, 24).contains("imping"));
    studio.key(KeyCode::Esc).key(KeyCode::Esc);
    assert!(words(&studio, 80, 24).contains(&asked.say));
    studio.enter();
    assert!(words(&studio, 80, 24).contains("May I "));
    let saved = screening(&studio).expect("in the file");
    assert_eq!(left_open(&saved), [asked.id.as_str()]);
    studio.press("a");
    assert!(words(&studio, 80, 24).contains("no hands until it is settled"), "{}", studio.screen(80, 24));
    assert!(studio.client("nora-quint").sessions.is_empty());
    studio.press("b").enter();
    assert!(words(&studio, 80, 24).contains("1 of "));
    assert_eq!(studio.client("nora-quint").sessions[0].consent, Consent::SelfStretch);
}

#[test]
fn the_card_says_when_it_was_asked_and_asks_again_without_losing_what_is_typed() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2));
    assert!(words(&studio, 80, 24).contains("2026-11-02, nothing open"));
    studio.key(KeyCode::Home).press(" Sand");
    let down = std::iter::repeat_n(KeyCode::Down, 9);
    for key in down {
        studio.key(key);
    }
    assert!(words(&studio, 80, 24).contains("Enter asks again"), "{}", studio.screen(80, 24));
    studio.enter().all_no();
    assert!(words(&studio, 80, 24).contains("2026-11-25, nothing open"), "{}", studio.screen(80, 24));
    studio.control('s').control('s');
    let profile = studio.client("ilse-brandt").profile;
    assert_eq!(profile.name, "Ilse Brandt Sand");
    assert_eq!(profile.last_screening().expect("in the file").on.to_string(), "2026-11-25");
}

#[test]
fn what_an_earlier_check_left_open_is_not_called_settled_by_a_later_one() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    let ask = |studio: &mut Studio| {
        studio.key(KeyCode::Home);
        for key in std::iter::repeat_n(KeyCode::Down, 9) {
            studio.key(key);
        }
        studio.enter();
    };
    studio.key(KeyCode::F(2));
    ask(&mut studio);
    studio.press("u").all_no().enter();
    assert!(words(&studio, 80, 24).contains("1 point open"), "{}", studio.screen(80, 24));
    studio.key(KeyCode::Esc).key(KeyCode::Esc).key(KeyCode::F(2));
    ask(&mut studio);
    // What was not answered no before wants an answer of its own.
    studio.all_no().press("n");
    let shown = words(&studio, 80, 24);
    assert!(shown.contains("Said yes to before. Who cleared it"), "{shown}");
    studio.enter();
    let shown = words(&studio, 80, 24);
    assert!(shown.contains(" open") && !shown.contains("nothing open"), "{shown}");
    let today = studio.now().wall.date_naive();
    assert!(studio.client("ilse-brandt").profile.open_points(today).count() > 0);
}

#[test]
fn no_hands_on_a_minor_without_a_guardians_consent() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2)).key(KeyCode::Down).press("2012-03-04").control('s');
    studio.enter().press("ham").enter().enter().press("a");
    assert!(words(&studio, 80, 24).contains("no guardian's consent"));
    assert!(studio.client("ilse-brandt").sessions.is_empty());
    studio.press("b").enter();
    assert_eq!(studio.client("ilse-brandt").sessions[0].consent, Consent::SelfStretch);
}

#[test]
fn no_hands_on_a_client_whose_card_refuses_them() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    let file = std::fs::read_to_string(studio.file("ilse-brandt")).expect("the file");
    let refused = "[[agreement]]\nto = \"hands-on\"\ngiven = false\non = 2026-11-20\n";
    studio.write("clients/ilse-brandt.toml", &format!("{file}\n{refused}"));
    assert!(studio.client("ilse-brandt").profile.refuses_hands());
    studio.enter().press("ham").enter();
    let shown = words(&studio, 80, 24);
    assert!(shown.contains("refuses hands-on work, as the card says"), "{shown}");
    assert!(shown.contains("the client does this one alone"), "{shown}");
    studio.enter().press("a");
    let shown = words(&studio, 80, 24);
    assert!(shown.contains("no hands-on work; b is") && !shown.contains("May I"), "{shown}");
    studio.enter();
    assert!(studio.client("ilse-brandt").sessions.is_empty());
    studio.press("b").enter();
    assert_eq!(studio.client("ilse-brandt").sessions[0].consent, Consent::SelfStretch);
}

#[test]
fn a_week_of_pregnancy_on_the_card_counts_from_the_day_it_was_told() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2));
    studio.press("pregnancy week=24").enter();
    assert!(words(&studio, 80, 24).contains("pregnant, week 24"), "{}", studio.screen(80, 24));
    studio.control('s');
    let conditions = studio.client("ilse-brandt").profile.conditions;
    assert_eq!(conditions.len(), 1);
    assert_eq!(conditions[0].since.map(|day| day.to_string()).as_deref(), Some("2026-11-25"));
    let in_three_weeks = "2026-12-16".parse().expect("a date");
    assert_eq!(conditions[0].gestational_week(in_three_weeks), Some(27));
}

/// A block that runs, with a massage at its end.
fn running() -> Studio {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(20);
    studio
}

fn narrowed(studio: &Studio) -> Vec<(&'static str, String)> {
    let session = &studio.client("ilse-brandt").sessions[0];
    session
        .limits()
        .map(|what| (what.id(), session.narrowed_at(what).expect("is in force").time().to_string()))
        .collect()
}

#[test]
fn consent_can_be_narrowed_as_it_is_given_and_stands_in_the_file() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().press("tm");
    for (columns, rows) in [(80, 24), (200, 60)] {
        let screen = words(&studio, columns, rows);
        assert!(
            screen.contains("a towel between: yes") && screen.contains("massage at the end: no"),
            "{screen}"
        );
    }
    studio.press("m").agree();
    assert_eq!(narrowed(&studio), [("mat-between", "18:45:00".to_owned())], "m twice is no change");
    assert!(words(&studio, 80, 24).contains("a towel stays between"));
}

#[test]
fn consent_is_narrowed_in_the_middle_and_is_on_the_disk_at_once() {
    let mut studio = running();
    studio.press("l");
    for (columns, rows) in SIZES {
        let screen = words(&studio, columns, rows);
        for key in [
            "b no hands, by themselves",
            "d consent taken back, + Enter",
            "m no massage",
            "t a towel between",
            "Space",
        ] {
            assert!(screen.contains(key), "{columns}x{rows} {key}\n{screen}");
        }
    }
    studio.press("t");
    assert_eq!(narrowed(&studio), [("mat-between", "18:45:20".to_owned())]);
    assert!(words(&studio, 80, 24).contains("a towel stays between"));
    // The block goes on by itself.
    studio.wait(120);
    assert!(!studio.client("ilse-brandt").sessions[0].reports.is_empty());
    studio.press("lm").wait(1);
    assert_eq!(narrowed(&studio)[0].0, "no-massage");
    studio.press("lb");
    assert_eq!(narrowed(&studio)[2].0, "self-stretch");
    // Cut off and taken up again, it stays narrow.
    studio.key(KeyCode::Esc).key(KeyCode::Esc).enter().enter();
    studio.wait(1);
    assert_eq!(
        studio.client("ilse-brandt").sessions[0].consent,
        Consent::HandsOn,
        "what was agreed to first stays"
    );
}

#[test]
fn stop_lays_hands_off_whatever_is_on_the_screen_and_taking_consent_back_takes_another_key() {
    for before in ["", " ", "l", "i", "\u{1b}"] {
        let mut studio = running();
        studio.wait(15);
        for key in before.chars() {
            studio.key(if key == '\u{1b}' { KeyCode::Esc } else { KeyCode::Char(key) });
        }
        studio.press("s");
        for (columns, rows) in SIZES {
            let screen = words(&studio, columns, rows);
            assert!(screen.contains("Hands off. The clock stands."), "{columns}x{rows}\n{screen}");
        }
        // It stands, and nothing is noted, whatever is pressed that is no answer.
        studio.enter().press("sssynu").wait(60).enter();
        assert!(narrowed(&studio).is_empty() && studio.client("ilse-brandt").sessions[0].reports.is_empty());
        // One key marks, another one notes.
        studio.press("dd");
        assert!(narrowed(&studio).is_empty());
        studio.enter();
        assert_eq!(narrowed(&studio), [("stopped", "18:46:35".to_owned())], "on the disk at once");
        for (columns, rows) in SIZES {
            let screen = words(&studio, columns, rows);
            assert!(
                screen.contains("what came out") && screen.contains("consent taken back at 18:46"),
                "{screen}"
            );
        }
        let session = &studio.client("ilse-brandt").sessions[0];
        assert_eq!(session.reports[&1].ended, Ended::Withdrawn, "{before}");
        studio.enter();
        assert!(studio.client("ilse-brandt").sessions[0].closed.is_some());
    }
}

#[test]
fn after_stop_all_may_be_well_or_go_on_by_themselves_or_be_finished_without_a_word_about_consent() {
    let mut studio = running();
    studio.wait(15).press("s").wait(30).press(" ");
    assert!(words(&studio, 80, 24).contains("HOLD"), "{}", studio.screen(80, 24));
    studio.press("sb");
    assert_eq!(narrowed(&studio)[0].0, "self-stretch");
    let mut studio = running();
    studio.wait(15).press("sf");
    assert!(words(&studio, 80, 24).contains("what came out"));
    assert!(narrowed(&studio).is_empty());
}

#[test]
fn enter_never_ends_a_hold() {
    let mut studio = running();
    studio.wait(15);
    assert!(words(&studio, 80, 24).contains("HOLD"));
    for _ in 0..5 {
        studio.enter();
    }
    assert!(words(&studio, 80, 24).contains("HOLD") && words(&studio, 80, 24).contains("1 of "));
    assert!(studio.client("ilse-brandt").sessions[0].reports.is_empty());
}

#[test]
fn a_slip_on_that_key_goes_on_after_consent_is_asked_again() {
    let mut studio = running();
    studio.wait(60).press("sd").enter().press(" ");
    assert!(words(&studio, 80, 24).contains("The rest of that block"), "{}", studio.screen(80, 24));
    studio.enter();
    assert!(words(&studio, 80, 24).contains("May I "));
    let before = studio.client("ilse-brandt").sessions[0].reports.clone();
    studio.agree().wait(60).finish().enter();
    let client = studio.client("ilse-brandt");
    let [session] = &client.sessions[..] else { panic!("one block: {:?}", client.sessions) };
    assert!(session.closed.is_some() && session.reports.len() > before.len());
    assert!(before.iter().all(|(number, report)| session.reports.get(number) == Some(report)));
    assert_eq!(session.narrowed.len(), 1, "what was noted stays");
}

#[test]
fn what_stands_still_says_when_the_client_gets_up_and_wakes_nobody() {
    let mut studio = running();
    studio.press(" ");
    assert!(words(&studio, 80, 24).contains("up at 18:55"));
    assert_eq!(studio.app.next_wake(studio.now()), None);
    studio.wait(600);
    assert!(words(&studio, 80, 24).contains("up at 18:55"));
}

#[test]
fn an_answer_above_the_aim_says_ease_off() {
    let mut studio = running();
    studio.wait(15).press("4");
    assert!(!words(&studio, 80, 24).contains("ease off"));
    studio.press("5");
    for (columns, rows) in SIZES {
        let screen = words(&studio, columns, rows);
        assert!(screen.contains("5: ease off to 4"), "{columns}x{rows}\n{screen}");
    }
    assert!(studio.app.lines(studio.now()).iter().any(|line| line.contains("trembling means the same")));
}
