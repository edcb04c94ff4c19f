//! Blocks that were cut off, older ones behind a later one too, are offered: each is taken up, closed or dropped.

use matside::body::{Seconds, Side};
use matside::client::{Report, Session};
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// A client with two blocks that were cut off before the last one, which was closed, or was cut off too.
fn studio(last_is_closed: bool) -> Studio {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    for (day, closes) in [(3, false), (10, true), (12, false), (20, last_is_closed)] {
        let at = studio.now().wall - chrono::TimeDelta::days(25 - day);
        let minutes = matside::body::Minutes::new(10).expect("in range");
        let report = Report::new(
            "straight-leg-raise".parse().expect("a word"),
            "hand-on-heel".parse().expect("a word"),
            Some(Side::Left),
            Seconds::new(30),
        );
        let mut session = Session::new(at, minutes, matside::client::Consent::HandsOn);
        session.trained.insert(matside::body::Muscle::Hamstrings, 2.try_into().expect("in range"));
        session.reports.insert(1, report);
        session.closed = closes.then(|| at + chrono::TimeDelta::minutes(10));
        let store = matside::store::Store::open(studio.root()).expect("opens");
        drop(store.begin(&"ilse-brandt".parse().expect("an id"), &session).expect("begins"));
    }
    // The day reads the files anew when it comes back.
    studio.enter().key(KeyCode::Esc);
    studio
}

fn open(studio: &Studio) -> Vec<String> {
    studio.client("ilse-brandt").cut_off().map(|session| session.at.format("%-d").to_string()).collect()
}

#[test]
fn older_open_blocks_are_said_on_the_day_and_asked_about_one_by_one() {
    let mut studio = studio(true);
    let said = studio.app.lines(studio.now()).join("\n");
    assert!(said.contains("older blocks were cut off, "), "{said}");
    assert_seen(&studio, &["older blocks were cut off"]);
    studio.enter();
    assert_seen(
        &studio,
        &["2 blocks were cut off; the one of 12 November", "3 November 2026", "f", "x", "Tab"],
    );
    let said = studio.app.lines(studio.now()).join("\n");
    assert!(said.contains("f: look at what came out and close it; x: drop it"), "{said}");
    // The older one is closed: it ended when it was to end, not today.
    studio.key(KeyCode::Down).press("f");
    assert_seen(&studio, &["what came out"]);
    studio.enter();
    assert_eq!(open(&studio), ["12"]);
    let client = studio.client("ilse-brandt");
    let closed = client.sessions[0].closed.expect("is closed");
    assert_eq!(closed - client.sessions[0].at, chrono::TimeDelta::minutes(10));
    // The other one is dropped: two keys, and none of them twice.
    studio.enter().press("xxx");
    assert_eq!(open(&studio), ["12"], "one key alone drops nothing");
    assert_seen(&studio, &["it stays in the file and counts for nothing"]);
    studio.enter();
    assert_seen(&studio, &["Ctrl-Z takes that back"]);
    let client = studio.client("ilse-brandt");
    assert_eq!((client.sessions.len(), client.taken_back.len()), (3, 1));
    // A slip is taken back.
    studio.control('z');
    assert_eq!((open(&studio), studio.client("ilse-brandt").taken_back.len()), (vec!["12".to_owned()], 0));
    assert_seen(&studio, &["of 12 November"]);
}

#[test]
fn an_older_open_block_is_taken_up_and_goes_on_in_its_own_session() {
    let mut studio = studio(true);
    studio.enter().enter().enter().agree().wait(60).finish().enter();
    let client = studio.client("ilse-brandt");
    assert_eq!((client.sessions.len(), open(&studio)), (4, vec!["3".to_owned()]));
    assert!(client.sessions[2].reports.len() > 1, "the block of the 12th went on");
    assert_eq!((client.sessions[1].reports.len(), client.sessions[3].reports.len()), (1, 1));
}

#[test]
fn where_the_last_block_is_closed_another_one_may_begin_while_older_ones_wait() {
    let mut waits = studio(true);
    waits.enter().key(KeyCode::Tab);
    assert_seen(&waits, &["offered again", "Trained today"]);
    waits.press("ham").enter().enter().agree().wait(60).finish().enter();
    assert_eq!((waits.client("ilse-brandt").sessions.len(), open(&waits).len()), (5, 2));
    // The youngest one is open itself: it is asked about first.
    let mut asked = studio(false);
    asked.enter();
    assert_seen(&asked, &["3 blocks were cut off; the one of 20 November"]);
    asked.key(KeyCode::Tab);
    assert_seen(&asked, &["3 blocks were cut off"]);
    asked.press("x").enter();
    assert_seen(&asked, &["2 blocks were cut off; the one of 12 November"]);
    asked.key(KeyCode::Esc);
    assert_seen(&asked, &["Who is next?"]);
    assert_eq!(open(&asked), ["12", "3"]);
}

#[test]
fn in_line_mode_the_same_words_do_it() {
    let mut studio = studio(true);
    studio.words("").words("x").words("esc").words("x").words("");
    assert_eq!(open(&studio), ["3"]);
    studio.words("f").words("");
    assert!(open(&studio).is_empty());
}
