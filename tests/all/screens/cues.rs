//! What is spoken while hands are on the client: the words of whole blocks, and whether they fit between one another.

use std::time::Duration;

use matside::planner::Budget;
use matside::session::Urgency;
use matside::tui::spoken::cues::{Utterance, estimate};

use super::studio::Studio;

/// Words of a line; hyphens part words.
fn count(line: &str) -> usize {
    line.split([' ', '-']).filter(|word| !word.is_empty()).count()
}

/// The block of a client, from consent to its end, with an answer to each stretch; what was to be spoken in it.
pub(crate) fn block_of(client: &str) -> Vec<(Duration, Utterance)> {
    let mut studio = Studio::demo_planned_with(Budget::passes(1));
    studio.list().press(client).enter().repeat().enter().all_no().agree();
    let mut asked = 0;
    for _ in 0..1_000 {
        studio.wait(1);
        let is_asked = studio.app.lines(studio.now()).iter().any(|line| line.contains("One to five?"));
        asked = if is_asked { asked + 1 } else { 0 };
        // The client takes a moment to say it.
        if asked == 6 {
            studio.press("4");
        }
    }
    studio.spoken
}

/// What a voice at the estimated pace says of it, each with its moment.
fn said(spoken: &[(Duration, Utterance)]) -> Vec<(Duration, Urgency, String)> {
    let mut said: Vec<(Duration, Urgency, String)> = Vec::new();
    for (at, utterance) in spoken {
        let is_urgent = utterance.urgency >= Urgency::Change;
        let is_free = said.last().is_none_or(|(begun, _, line)| *begun + estimate(line) <= *at);
        let fits = |line: &&String| utterance.room.is_none_or(|room| estimate(line) <= room);
        let line =
            utterance.choices.iter().find(fits).or_else(|| utterance.choices.last().filter(|_| is_urgent));
        if let Some(line) = line.filter(|_| is_free || is_urgent) {
            said.push((*at, utterance.urgency, line.clone()));
        }
    }
    said
}

#[test]
fn every_line_of_a_block_is_short_names_nobody_and_has_no_digit_or_sign() {
    for client in ["lind", "byrne"] {
        let spoken = block_of(client);
        assert!(spoken.len() > 20, "{client}: {}", spoken.len());
        assert!(spoken[0].1.is_first && spoken[1..].iter().all(|(_, utterance)| !utterance.is_first));
        for (_, utterance) in &spoken {
            assert!(!utterance.choices.is_empty(), "{utterance:?}");
            for line in &utterance.choices {
                assert!((1..=8).contains(&count(line)), "{line}");
                let is_fine = |letter: char| letter.is_ascii_alphabetic() || " .,?-'".contains(letter);
                assert!(line.chars().all(is_fine), "{line}");
                assert!(!line.to_lowercase().contains(client), "{line}");
            }
        }
    }
}

#[test]
fn every_hold_side_and_end_of_a_block_is_said_and_at_the_usual_pace_no_line_runs_into_the_next() {
    for client in ["feldm", "oldenb"] {
        let spoken = block_of(client);
        let said = said(&spoken);
        let must = spoken.iter().filter(|(_, utterance)| utterance.urgency >= Urgency::Change).count();
        let urgent = said.iter().filter(|(_, urgency, _)| *urgency >= Urgency::Change).count();
        assert_eq!(must, urgent, "{client}");
        for pair in said.windows(2) {
            let [(at, _, line), (next, ..)] = pair else { unreachable!() };
            assert!(*at + estimate(line) <= *next, "{client}: {pair:?}");
        }
        // Of the last three seconds all are said, or none.
        let heard = |word: &str| said.iter().filter(|(.., line)| line == word).count();
        assert!(heard("Three.") == heard("Two.") && heard("Two.") == heard("One."), "{client}: {said:?}");
        assert!(heard("Ten.") > 0 && heard("Four. Saved.") > 0, "{client}: {said:?}");
    }
}

#[test]
fn pain_stop_and_taking_back_are_spoken_at_once() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(35);
    let last = |studio: &Studio| studio.spoken.last().map(|(_, utterance)| utterance.choices[0].clone());
    for (key, line) in [
        (" ", "Paused."),
        (" ", "Go, ten."),
        ("s", "Stop. Hands off."),
        (" ", "Go, ten."),
        ("p", "Pain. Ease out, slowly."),
        ("z", "Taken back."),
    ] {
        studio.press(key);
        assert_eq!(last(&studio).as_deref(), Some(line), "{key}");
    }
}

#[test]
fn an_answer_is_said_to_be_saved_once_it_is_on_the_disk_and_for_what_where_another_hold_has_begun() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(48).press("4");
    assert_eq!(studio.reports_on_disk(), 1);
    // The side speaks.
    assert!(!lines(&studio).iter().any(|(_, line)| line == "Four. Saved."), "{:?}", lines(&studio));
    studio.wait(4);
    assert!(lines(&studio).iter().any(|(_, line)| line == "Four. Saved."), "{:?}", lines(&studio));
}

fn lines(studio: &Studio) -> Vec<(Duration, String)> {
    studio.spoken.iter().map(|(at, utterance)| (*at, utterance.choices[0].clone())).collect()
}

#[test]
fn an_answer_while_the_question_still_speaks_is_said_once_nothing_speaks() {
    for early in [200, 1_000, 1_900] {
        let mut studio = Studio::with(&["Ilse Brandt"]);
        studio.enter().press("ham").enter().enter().agree().wait(50);
        let asked = |studio: &Studio| lines(studio).iter().any(|(_, line)| line.starts_with("Up."));
        while !asked(&studio) {
            studio.wait_millis(100);
        }
        studio.wait_millis(early).press("4").wait(10);
        assert_eq!(studio.reports_on_disk(), 1);
        let all = lines(&studio);
        let at = all
            .iter()
            .position(|(_, line)| line == "Four. Saved.")
            .unwrap_or_else(|| panic!("{early}: {all:?}"));
        assert!(all[..at].iter().all(|(begun, line)| *begun + estimate(line) <= all[at].0), "{all:?}");
        assert!(all[at + 1..].iter().all(|(begun, _)| all[at].0 + estimate(&all[at].1) <= *begun), "{all:?}");
    }
}

#[test]
fn an_answer_that_is_taken_back_before_it_was_said_is_not_said() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(48).press("4").press("z").wait(10);
    let all = lines(&studio);
    assert!(!all.iter().any(|(_, line)| line == "Four. Saved."), "{all:?}");
}

#[test]
fn a_block_that_is_over_says_how_to_get_up_and_how_many_steps_are_saved() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(900);
    let all = lines(&studio);
    let [.., (up, last), (sit, first), (saved, second)] = &all[..] else { panic!("{all:?}") };
    assert!(
        last.starts_with("Up.") && first == "Done. Sit, then stand." && second == "Eleven saved.",
        "{all:?}"
    );
    assert_eq!(*sit, *up + Duration::from_secs(4));
    assert!(*sit + estimate(first) <= *saved, "{all:?}");
    // Another block begins with its own lines.
    let count = all.len();
    studio.enter().wait(30);
    assert_eq!(lines(&studio).len(), count);
}
