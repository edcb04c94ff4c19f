//! What a trainer does to plans again and again is asked about once, kept where it is seen, and can be taken off; a
//! whole block is taken again by one choice.

use matside::body::{Effort, Minutes, Muscle, Seconds, Side};
use matside::catalogue::{FormId, StretchId};
use matside::client::{
    Client, ClientId, Consent, Correction, CorrectionKind, HabitKind, Profile, Report, Screening, Session,
};
use matside::store::Store;
use ratatui::crossterm::event::KeyCode;

use super::assert_seen;
use super::studio::Studio;

/// A client whose last two sessions after the hamstrings each had the standing hamstring stretch put in.
fn twice_put_in() -> Studio {
    let studio = Studio::empty();
    let mut profile = Profile::new(ClientId::new("nora-quint").expect("an id"), "Nora Quint");
    profile.screenings.push(Screening::clear("2026-11-02".parse().expect("a day")));
    let session = |day: &str| {
        let at = format!("{day}T18:00:00+01:00").parse().expect("a moment");
        let mut session = Session::new(at, Minutes::new(10).expect("minutes"), Consent::HandsOn);
        let stretch = StretchId::new("standing-hamstring").expect("an id");
        let form = FormId::new("heel-on-chair").expect("an id");
        session.trained.insert(Muscle::Hamstrings, Effort::new(2).expect("an effort"));
        session.corrections.push(Correction {
            kind: CorrectionKind::Pinned,
            stretch: stretch.clone(),
            form: None,
            instead_of: None,
        });
        session.reports.insert(1, Report::new(stretch, form, Some(Side::Left), Seconds::new(30)));
        session.closed = Some(at + chrono::TimeDelta::minutes(10));
        session
    };
    let client = Client::new(profile, ["2026-11-11", "2026-11-18"].map(session).into());
    Store::open(studio.root()).expect("a store").create_client(&client).expect("written");
    studio.killed()
}

/// To the plan of the only client after the hamstrings.
fn plan_after_hamstrings(studio: &mut Studio) {
    studio.enter().press("ham").enter().key(KeyCode::Tab);
}

#[test]
fn the_third_time_is_asked_about_and_a_yes_stands_on_the_card_until_it_is_taken_off() {
    let mut studio = twice_put_in();
    plan_after_hamstrings(&mut studio);
    studio.press("o/standing").enter().enter().agree().wait(120).finish();
    let session = studio.client("nora-quint").sessions.pop().expect("a session");
    assert_eq!(session.corrections.len(), 1, "{:?}", session.corrections);
    assert_eq!(session.corrections[0].kind, CorrectionKind::Pinned);
    assert_seen(&studio, &["put in for the third time. Plan it so for this client", "yes"]);
    studio.press("y");
    assert_seen(&studio, &["planned so from now on"]);
    assert!(!studio.screen(120, 40).contains("for the third time"));
    studio.enter();
    let habits = studio.client("nora-quint").profile.habits;
    assert_eq!((habits.len(), habits[0].kind, habits[0].agreed), (1, HabitKind::Usual, true));
    // The plan says so of its own accord.
    plan_after_hamstrings(&mut studio);
    assert!(studio.app.lines(studio.now()).join("\n").contains("your usual"), "{}", studio.screen(120, 40));
    studio.key(KeyCode::F(2));
    assert_seen(&studio, &["your usual: Hamstrings, standing"]);
    while !studio.screen(120, 40).contains("x take off") {
        studio.key(KeyCode::Down);
    }
    studio.press("x").control('s');
    assert!(studio.client("nora-quint").profile.habits[0].off.is_some(), "{}", studio.screen(120, 40));
}

#[test]
fn a_no_is_kept_and_nothing_is_asked_where_nothing_was_corrected() {
    let mut studio = twice_put_in();
    plan_after_hamstrings(&mut studio);
    studio.press("o/standing").enter().enter().agree().wait(120).finish().press("n").enter();
    let habits = studio.client("nora-quint").profile.habits;
    assert_eq!((habits.len(), habits[0].agreed), (1, false));
    plan_after_hamstrings(&mut studio);
    studio.enter().agree().wait(120).finish();
    assert!(!studio.screen(120, 40).contains("from now on?"));
}

#[test]
fn a_block_kept_by_its_name_is_taken_again_by_one_choice() {
    let mut studio = twice_put_in();
    plan_after_hamstrings(&mut studio);
    let before = studio.screen(120, 40);
    studio.control('b');
    assert_seen(&studio, &["as last time, 2026-11-18", "keep this plan by a name"]);
    studio.key(KeyCode::End).enter().press("the usual for runners").enter();
    assert_seen(&studio, &["kept as the usual for runners"]);
    let blocks = Store::open(studio.root()).expect("a store").trainer().expect("settings").blocks;
    assert_eq!(blocks.len(), 1);
    // As last time: what was done then is in the plan, whatever the plan would do.
    studio.control('b').enter();
    let again = studio.app.lines(studio.now()).join("\n");
    assert!(again.contains("Hamstrings, standing"), "{again}");
    studio.control('b').key(KeyCode::Down).enter();
    let kept = studio.screen(120, 40);
    let names = |screen: &str| screen.matches("Straight-leg raise").count();
    assert_eq!(names(&before), names(&kept), "{before}\n{kept}");
    studio.control('b').key(KeyCode::Down).press("x");
    assert_seen(&studio, &["the usual for runners is off the list"]);
    let blocks = Store::open(studio.root()).expect("a store").trainer().expect("settings").blocks;
    assert!(blocks[0].off.is_some());
}
