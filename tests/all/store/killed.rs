//! A program that is killed at any moment has lost nothing that it said was saved.
//!
//! `MATSIDE_KILLS` raises the number of kills.

use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};

use matside::body::{Level, Side};
use matside::client::Report;

use super::sample::{Studio, id, open, profile, report, session, who};

/// Tells the child process which folder to write to.
pub(crate) const FOLDER: &str = "MATSIDE_TEST_WRITER";
/// How many reports a writer writes if nobody ends it.
const MOST: u32 = 400;

/// Writes reports, answers and remarks into a folder and says what was saved, one line each.
fn write_on(folder: &Path, out: &mut impl std::io::Write) -> Result<(), Box<dyn std::error::Error>> {
    let store = open(folder);
    let client = store.load(&id("rosa"))?;
    let cut_off = client.cut_off().next().map(|session| session.at);
    let taken_up = cut_off.map(|at| store.resume(&id("rosa"), at)).transpose()?.flatten();
    let mut journal = if let Some((_, journal)) = taken_up {
        journal
    } else {
        let number = client.sessions.len();
        let mut next = session("2026-01-01T18:45:00+01:00");
        next.at += chrono::TimeDelta::days(i64::try_from(number)?);
        store.begin(&id("rosa"), &next)?
    };
    for _ in 0..MOST {
        let number = journal.session().reports.len() + 1;
        let given = Report { note: format!("{}/{number}", journal.session().at), ..report(Side::Left, 9) };
        let number = journal.report(&given)?;
        writeln!(out, "saved {}", given.note)?;
        if number % 7 == 0 {
            journal.amend(number, &Report { level: Level::new(4).ok(), ..given.clone() }, &who())?;
            writeln!(out, "answered {}", given.note)?;
        }
        if number % 11 == 0 {
            let mut profile = store.load(&id("rosa"))?.profile;
            profile.note.clone_from(&given.note);
            store.save_profile(&profile, &who())?;
        }
        if number >= 12 {
            let at = journal.session().at;
            journal.close(at, "")?;
            drop(journal);
            writeln!(out, "closed {at}")?;
            return write_on(folder, out);
        }
    }
    Ok(())
}

/// The writer: as a child process it writes until it is killed, otherwise a little into a folder of its own.
#[test]
fn writer() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        let mut out = std::io::stdout();
        if let Err(error) = write_on(Path::new(&folder), &mut out) {
            writeln!(out, "failed {error}").expect("somebody listens");
        }
        return;
    }
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    let mut journal = studio.store.begin(&id("rosa"), &session("2026-01-01T18:45:00+01:00")).expect("begins");
    assert_eq!(journal.report(&report(Side::Left, 4)).expect("saves"), 1);
}

/// A child process that writes into a folder.
fn writer_command(folder: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().expect("this program has a path"));
    command.args(["store::killed::writer", "--exact", "--nocapture"]);
    command.env(FOLDER, folder).stdout(Stdio::piped()).stderr(Stdio::null()).stdin(Stdio::null());
    command
}

/// Everything that was reported as saved is there, and nothing twice.
pub(crate) fn check(studio: &Studio, saved: &[String], answered: &[String]) {
    let store = studio.other();
    let client = store.load(&id("rosa")).expect("the file can be read");
    let mut found: Vec<&Report> =
        client.sessions.iter().flat_map(|session| session.reports.values()).collect();
    found.sort_by(|a, b| a.note.cmp(&b.note));
    for note in saved {
        assert_eq!(found.iter().filter(|report| report.note == *note).count(), 1, "{note}");
    }
    for note in answered {
        let report = found.iter().find(|report| report.note == *note).expect("is there");
        assert_eq!(report.level, Level::new(4).ok(), "{note}");
    }
    assert!(found.windows(2).all(|pair| pair[0].note != pair[1].note), "a report is there twice");
}

/// A small generator with a fixed start, so that a failure can be seen again.
fn next(state: &mut u64) -> u64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    *state >> 33
}

#[test]
fn a_program_killed_at_any_moment_has_kept_what_it_reported_as_saved() {
    killed_at_any_moment(Studio::new);
}

#[test]
fn a_program_killed_at_any_moment_has_kept_it_in_an_encrypted_folder_too() {
    killed_at_any_moment(Studio::encrypted);
}

fn killed_at_any_moment(studio_of: fn() -> Studio) {
    let kills: u64 = std::env::var("MATSIDE_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(40);
    let mut state = 20_261_120;
    let mut total = 0;
    let mut studio = studio_of();
    let (mut saved, mut answered) = (Vec::new(), Vec::new());
    for kill in 0..kills {
        if kill % 20 == 0 {
            studio = studio_of();
            studio.store.create(&profile("Rosa")).expect("creates");
            (saved, answered) = (Vec::new(), Vec::new());
        }
        let mut child = writer_command(studio.store.root()).spawn().expect("the writer starts");
        let lines = BufReader::new(child.stdout.take().expect("is piped")).lines();
        let wanted = next(&mut state) % 16;
        let mut heard = 0;
        for line in lines.map_while(Result::ok) {
            // The first line may follow the name of the test.
            if let Some((_, note)) = line.split_once("saved ") {
                saved.push(note.to_owned());
                heard += 1;
            } else if let Some((_, note)) = line.split_once("answered ") {
                answered.push(note.to_owned());
            }
            assert!(!line.contains("failed "), "{line}");
            if heard == wanted {
                // Some moment within the next write.
                for _ in 0..next(&mut state) % 60_000 {
                    std::hint::spin_loop();
                }
                child.kill().expect("can be killed");
            }
        }
        child.kill().expect("can be killed");
        child.wait().expect("ends");
        check(&studio, &saved, &answered);
        total += heard;
    }
    assert!(total >= kills, "{total} reports in {kills} kills are too few to mean anything");
}
