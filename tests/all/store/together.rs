//! Two programs, an editor and a client's file.

use std::fs;

use matside::body::{Level, Side};
use matside::client::Report;
use matside::store::StoreError;

use super::sample::{Studio, at, id, profile, report, session, who};

const START: &str = "2026-11-20T18:45:00+01:00";

fn running() -> (Studio, matside::store::Journal) {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    let mut journal = studio.store.begin(&id("rosa"), &session(START)).expect("begins");
    journal.report(&report(Side::Left, 4)).expect("saves");
    (studio, journal)
}

#[test]
fn a_second_program_can_read_and_is_told_who_writes() {
    let (studio, journal) = running();
    let other = studio.other();
    assert_eq!(other.load(&id("rosa")).expect("reads").sessions.len(), 1);
    assert!(other.roster().expect("reads").entries[0].unfinished);
    let refused = other.begin(&id("rosa"), &session("2026-11-21T18:45:00+01:00")).expect_err("is locked");
    let StoreError::Locked { by, .. } = &refused else { panic!("{refused}") };
    assert_eq!(*by, format!("matside, process {}", std::process::id()));
    assert!(refused.to_string().contains("rosa.toml is being written by matside, process"), "{refused}");
    drop(journal);
    other.begin(&id("rosa"), &session("2026-11-21T18:45:00+01:00")).expect("is free");
}

#[test]
fn a_lock_file_that_nobody_holds_blocks_nobody() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    fs::write(studio.store.root().join("locks/rosa.lock"), "matside, process 1").expect("writes");
    studio.store.begin(&id("rosa"), &session(START)).expect("begins");
}

#[test]
fn one_program_may_change_the_profile_while_its_session_runs() {
    let (studio, mut journal) = running();
    let mut changed = studio.store.load(&id("rosa")).expect("loads").profile;
    changed.contact = "by letter".to_owned();
    studio.store.save_profile(&changed, &who()).expect("saves");
    let answered = Report { level: Level::new(3).ok(), ..report(Side::Left, 4) };
    studio.store.amend(&id("rosa"), at(START), 1, &answered, &who()).expect("amends");
    assert_eq!(journal.report(&report(Side::Right, 4)).expect("saves"), 2);
    assert_eq!(studio.store.take_notices(), [""; 0]);
    let client = studio.other().load(&id("rosa")).expect("loads");
    assert_eq!(client.profile.contact, "by letter");
    assert_eq!(client.sessions[0].reports[&1], answered);
    assert_eq!(client.sessions[0].reports.len(), 2);
}

#[test]
fn an_edit_by_hand_during_a_session_is_kept_beside_the_session() {
    let (studio, mut journal) = running();
    let edited =
        studio.text("rosa").replace("name = \"Rosa\"", "name = \"Rosa\" # call her first\nshoe_size = 38");
    // As editors do: a new file in the place of the old one.
    fs::write(studio.file("new"), &edited).expect("writes");
    if fs::rename(studio.file("new"), studio.file("rosa")).is_err() {
        // Some systems let nobody replace what is open.
        fs::write(studio.file("rosa"), &edited).expect("writes");
        fs::remove_file(studio.file("new")).expect("removes");
    }
    assert_eq!(journal.report(&report(Side::Right, 3)).expect("saves"), 2);
    assert!(studio.store.take_notices()[0].contains("was changed meanwhile"));
    let text = studio.text("rosa");
    assert!(text.starts_with(&edited), "{text}");
    // In place, and without a line end.
    fs::write(studio.file("rosa"), format!("{text}# tired today")).expect("writes");
    assert_eq!(journal.report(&report(Side::Left, 5)).expect("saves"), 3);
    journal.close(at("2026-11-20T18:54:40+01:00"), "").expect("closes");
    let text = studio.text("rosa");
    assert!(text.contains("# tired today"), "{text}");
    let client = studio.other().load(&id("rosa")).expect("loads");
    assert_eq!(client.sessions[0].reports.len(), 3);
    assert!(client.sessions[0].closed.is_some());
}

#[test]
fn an_older_copy_put_in_place_during_a_session_gets_the_session_back() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    let older = studio.text("rosa");
    let mut journal = studio.store.begin(&id("rosa"), &session(START)).expect("begins");
    journal.report(&report(Side::Left, 4)).expect("saves");
    fs::write(studio.file("rosa"), older).expect("writes");
    assert_eq!(journal.report(&report(Side::Right, 4)).expect("saves"), 2);
    assert_eq!(studio.other().load(&id("rosa")).expect("loads").sessions[0].reports.len(), 2);
}

#[test]
fn a_file_broken_by_hand_during_a_session_is_refused_and_not_touched() {
    let (studio, mut journal) = running();
    let good = studio.text("rosa");
    let broken = good.replace("minutes = 10", "minutes = ten");
    fs::write(studio.file("rosa"), &broken).expect("writes");
    let refused = journal.report(&report(Side::Right, 4)).expect_err("cannot be written");
    assert!(refused.to_string().contains("rosa.toml:6:11: "), "{refused}");
    assert_eq!(studio.text("rosa"), broken);
    // The session can be saved elsewhere, and united with the file again.
    let client = matside::client::Client::new(profile("Rosa"), Vec::new());
    let folder = studio.store.root().join("elsewhere");
    let rescued = studio.store.rescue(&client, journal.session(), &folder).expect("saves");
    fs::write(studio.file("rosa"), good.replace("report.01", "# report.01")).expect("writes");
    drop(journal);
    let merged = studio
        .store
        .merge_copy(&id("rosa"), &rescued, matside::store::SamePerson::AsFarAsSeen)
        .expect("merges");
    assert_eq!((merged.added_sessions, merged.added_reports), (0, 1));
}

#[test]
fn a_profile_changed_by_hand_meanwhile_is_merged_or_refused() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    let mut mine = studio.store.load(&id("rosa")).expect("loads").profile;
    let text = studio.text("rosa");
    fs::write(studio.file("rosa"), format!("{text}note = \"left knee\"\n")).expect("writes");
    mine.contact = "by letter".to_owned();
    studio.store.save_profile(&mine, &who()).expect("different things go together");
    assert_eq!(studio.text("rosa"), format!("{text}note = \"left knee\"\ncontact = \"by letter\"\n"));
    mine.note = "right knee".to_owned();
    let before = studio.text("rosa");
    let refused = studio.store.save_profile(&mine, &who()).expect_err("both changed the remark");
    assert!(matches!(refused, StoreError::Changed { .. }), "{refused}");
    assert!(refused.to_string().contains("note"), "{refused}");
    assert_eq!(studio.text("rosa"), before);
    let mut mine = studio.store.load(&id("rosa")).expect("loads").profile;
    mine.note = "right knee".to_owned();
    studio.store.save_profile(&mine, &who()).expect("now it is known");
}

#[test]
fn an_older_paper_sheet_goes_before_the_younger_sessions() {
    let (studio, mut journal) = running();
    journal.close(at("2026-11-20T18:54:40+01:00"), "").expect("closes");
    let mut sheet = studio.store.begin(&id("rosa"), &session("2026-11-13T18:45:00+01:00")).expect("begins");
    sheet.report(&report(Side::Left, 4)).expect("saves");
    sheet.close(at("2026-11-13T18:54:40+01:00"), "on paper").expect("closes");
    let text = studio.text("rosa");
    assert!(
        text.find("11-13T18:45").expect("is there") < text.find("11-20T18:45").expect("is there"),
        "{text}"
    );
    let client = studio.other().load(&id("rosa")).expect("loads");
    assert_eq!(client.sessions.iter().map(|session| session.reports.len()).collect::<Vec<_>>(), [1, 1]);
    let again = studio.store.begin(&id("rosa"), &session("2026-11-13T18:45:00+01:00"));
    assert!(matches!(again, Err(StoreError::Exists { .. })));
}

#[test]
fn several_values_that_are_written_over_in_one_second_are_all_kept() {
    let (studio, mut journal) = running();
    let first = journal.session().reports[&1].clone();
    let stopped = Report { ended: matside::client::Ended::Pain, note: "pulls".to_owned(), ..first.clone() };
    for report in [&stopped, &first, &stopped, &first] {
        journal.amend(1, report, &who()).expect("amends");
        assert_eq!(studio.other().load(&id("rosa")).expect("loads").sessions[0].reports[&1], *report);
    }
    let session = studio.other().load(&id("rosa")).expect("loads").sessions[0].clone();
    let of: Vec<&str> = session.changes.iter().map(|change| change.of.as_str()).collect();
    assert_eq!(of.iter().filter(|of| **of == "report.01.ended").count(), 3, "{:?}", session.changes);
    assert!(session.changes.is_sorted_by(|one, other| one.at <= other.at));
}
