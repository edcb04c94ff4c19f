//! A walk-in: planned and run as for anybody, nothing of them in the data folder, unless a card is kept in the end.

use std::fs;
use std::path::Path;

use matside::caution::screening::Answer;
use matside::client::{ClientId, Consent};
use matside::planner::Budget;
use matside::store::Store;
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// Everything in a folder, as one text.
fn all_of(folder: &Path) -> String {
    let mut text = String::new();
    for entry in fs::read_dir(folder).into_iter().flatten() {
        let path = entry.expect("readable").path();
        text.push_str(&path.display().to_string());
        text.push('\n');
        text += &if path.is_dir() {
            all_of(&path)
        } else {
            String::from_utf8_lossy(&fs::read(&path).expect("readable")).into_owned()
        };
    }
    text
}

/// A walk-in of 1950 with a sore shoulder, whose hamstrings were trained, at the question of consent.
fn asked(mut studio: Studio) -> Studio {
    studio.key(KeyCode::F(4)).press("1950").enter().press("shoulder impi left").enter().enter();
    studio.press("ham").enter().enter();
    assert_seen(&studio, &["Before hands-on work, read aloud: 1 of 16"]);
    studio.all_no();
    studio
}

/// The same, whose block is done and closed.
fn closed(studio: Studio) -> Studio {
    let mut studio = asked(studio);
    studio.agree().wait(30).press("4").wait(60).finish().press("r").press("tight after a flight").enter();
    studio.enter();
    studio
}

fn assert_nothing_kept(studio: &Studio) {
    let kept = all_of(studio.root());
    for trace in ["alk-in", "impingement", "1950", "tight after", "screening", "report"] {
        assert!(!kept.contains(trace), "`{trace}` is in the folder:\n{kept}");
    }
}

#[test]
fn a_walk_in_is_asked_what_protects_and_planned_with_it() {
    let mut studio = Studio::empty();
    assert_seen(&studio, &["F4"]);
    studio.key(KeyCode::F(4));
    assert_seen(&studio, &["Walk-in", "no card kept", "born", "conditions", "Nothing of it is written"]);
    studio.enter().enter();
    assert_seen(&studio, &["ask the year of birth"]);
    studio.key(KeyCode::Up).press("1950").enter().press("shoulder impi left").enter().enter();
    assert_seen(&studio, &["Walk-in", "Left shoulder: below shoulder height"]);
    let lines = studio.app.lines(studio.now()).join("\n");
    assert!(lines.contains("65 or older"), "the age limits, too:\n{lines}");
    assert_nothing_kept(&studio);
}

#[test]
fn no_hand_is_laid_on_a_walk_in_before_the_health_check_nor_after_a_yes_that_stops() {
    let mut studio = Studio::empty();
    studio.key(KeyCode::F(4)).press("1990").enter().enter().press("ham").enter();
    for key in [KeyCode::Enter, KeyCode::Char('a'), KeyCode::Enter] {
        studio.key(key);
        assert!(!studio.screen(80, 24).contains("READY"));
    }
    studio.press("y");
    assert_seen(&studio, &["STOP"]);
    studio.press("d").enter();
    assert_seen(&studio, &["Who is next?", "kept nowhere"]);
    // Whoever comes next answers for themselves.
    studio.key(KeyCode::F(4)).press("1985").enter().enter().press("ham").enter().enter();
    assert_seen(&studio, &["1 of 16"]);
    assert_nothing_kept(&studio);
}

#[test]
fn a_minor_without_a_guardian_is_stretched_by_nobody() {
    let mut studio = Studio::empty();
    studio.key(KeyCode::F(4)).press("2012").enter().enter().enter().press("ham").enter().enter();
    studio.all_no().press("a");
    assert_seen(&studio, &["no guardian's consent"]);
}

fn all_clients(studio: &Studio) -> usize {
    Store::open(studio.root()).expect("opens").roster().expect("reads").entries.len()
}

#[test]
fn of_a_walk_in_who_is_let_go_nothing_is_left_but_the_trainers_own_minutes() {
    let studio = Studio::demo_planned_with(Budget::passes(1));
    let (clients, at) = (all_clients(&studio), studio.now().wall);
    let mut studio = closed(studio);
    assert_seen(&studio, &["Keep a card?", "Esc: nothing is kept"]);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["Esc once more lets the walk-in go"]);
    studio.key(KeyCode::Esc);
    assert_seen(&studio, &["Who is next?", "nothing of them is kept"]);
    let kept = all_of(studio.root());
    for trace in ["alk-in", "1950", "tight after"] {
        assert!(!kept.contains(trace), "`{trace}` is in the folder");
    }
    assert_eq!(all_clients(&studio), clients);
    let work = Store::open(studio.root()).expect("opens").work().expect("reads");
    assert!(work.last().is_some_and(|block| block.at == at && block.meters.hands_on.get() > 0), "{work:?}");
    studio.key(KeyCode::F(4));
    assert!(!studio.screen(80, 24).contains("1950"), "the next one is somebody else");
}

#[test]
fn a_card_that_is_kept_has_the_block_the_conditions_and_the_health_check() {
    let mut studio = closed(Studio::empty());
    assert_nothing_kept_but_work(&studio);
    // Enter answers nothing here without a name.
    studio.control('s');
    assert_seen(&studio, &["a card needs a name"]);
    studio.press("Nora Quint").control('s');
    assert_seen(&studio, &["Who is next?", "Nora Quint has a card now (nora-quint), with this block"]);
    let client = studio.client("nora-quint");
    assert_eq!(
        (client.profile.name.as_str(), client.profile.born.map(|born| born.to_string())),
        ("Nora Quint", Some("1950".to_owned()))
    );
    assert_eq!(client.profile.conditions.len(), 1);
    assert_eq!(client.profile.screenings.len(), 1);
    assert!(client.profile.screenings[0].answers.values().all(|answer| *answer == Answer::No));
    let session = &client.sessions[0];
    assert_eq!((client.sessions.len(), session.consent), (1, Consent::HandsOn));
    assert_eq!(session.note, "tight after a flight");
    assert!(session.closed.is_some() && session.reports.values().any(|report| report.level.is_some()));
    let store = Store::open(studio.root()).expect("opens");
    assert_eq!(store.work().expect("reads").len(), 1, "the trainer's minutes count once");
}

fn assert_nothing_kept_but_work(studio: &Studio) {
    assert!(Store::open(studio.root()).expect("opens").roster().expect("reads").entries.is_empty());
}

#[test]
fn a_walk_in_who_has_a_card_after_all_gets_the_block_on_it() {
    let mut studio = closed(Studio::with(&["Ilse Brandt"]));
    studio.press("ilse brandt").control('s');
    assert_seen(&studio, &["There is a client of that name"]);
    studio.press("c").control('s');
    let client = studio.client("ilse-brandt");
    assert_eq!((client.sessions.len(), client.profile.conditions.len()), (1, 1));
    assert_eq!(client.profile.screenings.len(), 2);
    let store = Store::open(studio.root()).expect("opens");
    assert_eq!(store.roster().expect("reads").entries.len(), 1);
}

#[test]
fn a_walk_in_whose_block_was_left_is_gone_on_with_until_the_program_is_left() {
    let mut studio = asked(Studio::empty());
    studio.agree().wait(60).key(KeyCode::Esc).key(KeyCode::Esc).key(KeyCode::F(4));
    assert_seen(&studio, &["was cut off after"]);
    studio.enter().enter().agree().wait(30);
    assert_seen(&studio, &["up in"]);
    studio.control('q');
    assert_seen(&studio, &["nothing of the block is kept"]);
    assert!(!studio.quit);
    studio.control('q');
    assert!(studio.quit);
    let left = studio.app.left_behind().expect("said");
    assert_eq!((left.to_string().as_str(), left.is_lost), ("Nothing of the walk-in is kept.", false));
    assert_nothing_kept(&studio);
    assert!(Store::open(studio.root()).expect("opens").load(&ClientId::of_walk_in()).is_err());
}

#[test]
fn a_walk_in_who_declines_or_is_killed_off_leaves_nothing() {
    let mut studio = asked(Studio::empty());
    studio.press("d").enter();
    assert_seen(&studio, &["Declined. No closing block today; nothing of the walk-in is kept."]);
    assert_nothing_kept(&studio);
    let mut studio = asked(Studio::empty());
    studio.agree().wait(60);
    let mut studio = studio.killed();
    studio.key(KeyCode::F(4));
    assert!(!studio.screen(80, 24).contains("cut off"));
    assert_nothing_kept(&studio);
}

#[test]
fn a_walk_in_is_a_word_a_command_and_a_click_too() {
    let opened = |studio: &Studio| {
        studio.screen(80, 24).contains("no card kept") && studio.screen(80, 24).contains("born")
    };
    let mut studio = Studio::demo();
    studio.words("walk-in");
    assert!(opened(&studio));
    studio.words("1990").words("").words("").words("ham").words("").words("").words("N").words("");
    assert!(studio.app.lines(studio.now()).iter().any(|line| line.contains("Consent, Walk-in")));
    let mut studio = Studio::demo();
    studio.press(":walk-in").enter();
    assert!(opened(&studio));
    studio.key(KeyCode::Esc).click("F4 walk-in, no card");
    assert!(opened(&studio));
    // What is written into a folder wants a card.
    studio.press("1990").enter().enter().key(KeyCode::F(3)).press("w");
    assert!(!studio.root().join("elsewhere").exists() || all_of(&studio.root().join("elsewhere")).is_empty());
}
