//! Keys that slip: nothing is agreed to, lost or done to somebody else by one.

use matside::client::{Consent, Ended};
use matside::planner::Budget;
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

fn seen(studio: &Studio, words: &str) -> bool {
    studio.screen(120, 40).contains(words)
}

#[test]
fn the_key_that_starts_does_not_answer_for_the_client() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().enter().enter();
    assert!(seen(&studio, "May I ") && studio.client("ilse-brandt").sessions.is_empty());
    // Nor does a letter alone, or the letters of the screen before.
    studio.press("abdynu").enter();
    assert!(studio.client("ilse-brandt").sessions[0].consent == Consent::Declined);
    studio.wait(5).enter().press("ham").enter().enter().press("d").press("a").press("a");
    assert_eq!(studio.client("ilse-brandt").sessions.len(), 1);
    studio.enter();
    assert_eq!(studio.client("ilse-brandt").sessions[1].consent, Consent::HandsOn);
}

#[test]
fn how_hard_marks_and_makes_room_for_the_next_muscle() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham3").press("calf").enter();
    assert!(seen(&studio, "hamstrings 3") && seen(&studio, "calf 2"));
}

#[test]
fn what_must_not_be_done_cannot_be_put_in_and_the_plan_stays() {
    let mut studio = Studio::demo_planned_with(Budget::passes(60));
    studio.press("olden").enter().repeat().key(KeyCode::Tab).press("o").key(KeyCode::End);
    let before = studio.screen(120, 40);
    studio.enter();
    assert!(seen(&studio, "stays out: "), "{}", studio.screen(120, 40));
    let plan = |screen: &str| screen.lines().take(10).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(plan(&before), plan(&studio.screen(120, 40)));
}

#[test]
fn a_few_letters_find_what_was_left_out() {
    let mut studio = Studio::demo_planned_with(Budget::passes(60));
    studio.press("feldm").enter().press("ham").enter().key(KeyCode::Tab).press("o/table");
    assert!(seen(&studio, "Calf over the table's end") && !seen(&studio, "Chin to the chest"));
    studio.key(KeyCode::Esc);
    assert!(seen(&studio, "Chin to the chest"), "the first takes the letters off");
    studio.press("hamstrings, se").enter();
    assert!(!seen(&studio, "Left out") && seen(&studio, "Hamstrings, seated"));
}

#[test]
fn another_form_is_of_the_same_stretch_and_the_choice_stays_on_it() {
    let mut studio = Studio::demo_planned_with(Budget::FULL);
    studio.press("feldm").enter().repeat().key(KeyCode::Tab);
    let chosen = |studio: &Studio| {
        let lines = studio.app.lines(studio.now());
        let line = lines.iter().find(|line| line.starts_with("chosen: ")).expect("a step").clone();
        line.split(", ").nth(3).expect("a name").to_owned()
    };
    for _ in 0..6 {
        let before = chosen(&studio);
        studio.press("v");
        assert_eq!(chosen(&studio), before, "{}", studio.screen(120, 40));
        studio.key(KeyCode::Down);
    }
}

#[test]
fn the_day_comes_back_to_whom_it_left() {
    let mut studio = Studio::demo();
    let chosen = |studio: &Studio| {
        let lines = studio.app.lines(studio.now());
        lines.iter().find(|line| line.starts_with("chosen: ")).expect("a client").clone()
    };
    studio.press("nwosu").key(KeyCode::F(2)).key(KeyCode::Esc);
    assert!(chosen(&studio).contains("Amara Nwosu"));
    studio.press("feldm").enter().repeat().enter().agree().wait(60).finish().enter();
    assert!(chosen(&studio).contains("Tobias Feldmann"));
}

#[test]
fn what_was_marked_is_there_again_until_it_is_another_day() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().press("+").key(KeyCode::Esc).enter();
    assert!(seen(&studio, "11 min") && seen(&studio, "hamstrings"));
    studio.key(KeyCode::Esc).sleep(24 * 3600).enter();
    assert!(seen(&studio, "10 min") && seen(&studio, "Nothing in the plan yet"));
}

#[test]
fn leaving_asks_once_where_something_is_not_saved() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2)).key(KeyCode::Home).press(" the Second");
    studio.control('c');
    assert!(seen(&studio, "the card is not saved: Ctrl-S saves it") && !studio.quit);
    studio.control('c');
    assert!(studio.quit);
    assert_eq!(studio.client("ilse-brandt").profile.name, "Ilse Brandt");
}

#[test]
fn a_card_is_saved_where_the_terminal_goes_away() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2)).key(KeyCode::Home).press(" the Second");
    studio.send(matside::tui::event::Event::Closing);
    assert_eq!(studio.client("ilse-brandt").profile.name, "Ilse Brandt the Second");
}

#[test]
fn a_hold_that_the_program_is_left_in_is_written_with_its_level_and_begun_anew() {
    for leaves in ["at once", "back", "gone"] {
        let mut studio = Studio::with(&["Ilse Brandt"]);
        studio.enter().press("ham").enter().enter().agree().wait(33).press("3");
        let name = studio.app.lines(studio.now()).join("\n");
        match leaves {
            "at once" => studio.control('c'),
            "back" => studio.key(KeyCode::Esc).key(KeyCode::Esc),
            _ => {
                studio.send(matside::tui::event::Event::Closing);
                &mut studio
            }
        };
        let session = studio.client("ilse-brandt").sessions[0].clone();
        let report = session.reports.values().next_back().expect("on the disk").clone();
        assert_eq!(report.ended, Ended::CutOff, "{leaves}: {name}");
        assert!(report.held.get() > 0 && report.level.is_some_and(|level| level.get() == 3), "{leaves}");
        assert_eq!(session.closed, None);
        if leaves == "back" {
            studio.enter().enter();
            let stretch =
                studio.app.shared.catalogue.stretch(&report.stretch).expect("is known").name.clone();
            assert!(seen(&studio, &stretch), "{}", studio.screen(120, 40));
        }
    }
}
