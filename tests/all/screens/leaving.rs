//! However the program ends, what is under way and what was typed is written first.

use std::io;
use std::panic::{self, AssertUnwindSafe};
use std::time::Duration;

use matside::body::Side;
use matside::client::{Ended, Session};
use matside::tui::app::App;
use matside::tui::effect::Effect;
use matside::tui::event::{Event, Now};
use matside::tui::host::{self, Host};
use ratatui::crossterm::event::KeyCode;

use super::studio::Studio;

/// How a terminal that was in order goes away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    /// Nothing can be drawn any more.
    CannotDraw,
    /// The program has a fault while it draws.
    Fault,
    /// No key can be read any more.
    CannotRead,
    /// The window is closed, or the input has ended.
    Closing,
}

/// The files of a studio on a terminal that goes away.
struct Leaving<'a> {
    services: &'a mut matside::tui::services::Services,
    now: Now,
    end: End,
}

impl Host for Leaving<'_> {
    fn now(&self) -> Now {
        self.now
    }

    fn show(&mut self, _: &App) -> io::Result<()> {
        match self.end {
            End::CannotDraw => Err(io::ErrorKind::BrokenPipe.into()),
            End::Fault => panic!("a fault while drawing"),
            End::CannotRead | End::Closing => Ok(()),
        }
    }

    fn wait(&mut self, _: Option<Duration>) -> io::Result<Event> {
        if self.end == End::Closing { Ok(Event::Closing) } else { Err(io::ErrorKind::UnexpectedEof.into()) }
    }

    fn perform(&mut self, effect: Effect) -> Vec<Event> {
        let now = self.now().wall;
        self.services.perform(effect, now)
    }
}

/// The terminal of a studio goes away; whether that was a fault.
fn leave(studio: &mut Studio, end: End) -> bool {
    let now = studio.now();
    let mut host = Leaving { services: &mut studio.services, now, end };
    let app = &mut studio.app;
    let ended = panic::catch_unwind(AssertUnwindSafe(|| host::run(app, Vec::new(), &mut host)));
    assert_eq!(matches!(ended, Ok(Ok(()))), end == End::Closing);
    ended.is_err()
}

fn last(studio: &Studio, id: &str) -> Session {
    studio.client(id).sessions.last().expect("a session").clone()
}

#[test]
fn a_hold_is_written_with_its_answer_whatever_ends_the_program() {
    for end in [End::CannotDraw, End::Fault, End::CannotRead, End::Closing] {
        let mut studio = Studio::with(&["Ilse Brandt"]);
        studio.enter().press("ham").enter().enter().agree().wait(33).press("4");
        assert_eq!(leave(&mut studio, end), end == End::Fault);
        let session = last(&studio, "ilse-brandt");
        let report = session.reports.values().next_back().expect("the hold under way");
        assert_eq!(
            (report.ended, report.level.map(matside::body::Level::get)),
            (Ended::CutOff, Some(4)),
            "{end:?}"
        );
        assert!(report.held.get() > 0 && session.closed.is_none(), "{end:?}");
        let words = studio.app.left_behind().expect("something to say").to_string();
        assert_eq!(words, "1 answer saved. The block can be taken up.", "{end:?}");
    }
}

#[test]
fn a_card_with_a_day_that_is_none_is_saved_with_what_was_typed() {
    let mut studio = Studio::empty();
    studio
        .press("Nora Quint")
        .enter()
        .key(KeyCode::Tab)
        .key(KeyCode::Tab)
        .press("31.5.84")
        .key(KeyCode::Up)
        .press("imping left");
    leave(&mut studio, End::Closing);
    let profile = studio.client("nora-quint").profile;
    assert!(profile.born.is_none() && profile.conditions.is_empty());
    assert_eq!(profile.note, "born, as typed: 31.5.84; condition, as typed: imping left");
    // What can be read stands where it belongs.
    let mut studio = Studio::empty();
    studio.press("Nora Quint").enter().key(KeyCode::Tab).press("imping left").enter();
    leave(&mut studio, End::CannotRead);
    let profile = studio.client("nora-quint").profile;
    assert_eq!((profile.conditions[0].side, profile.note.as_str()), (Some(Side::Left), ""));
}

#[test]
fn a_card_that_lost_its_name_keeps_the_one_it_had() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.key(KeyCode::F(2)).key(KeyCode::Home).control('u');
    leave(&mut studio, End::Closing);
    assert_eq!(studio.client("ilse-brandt").profile.name, "Ilse Brandt");
}

#[test]
fn what_was_said_yes_to_before_hands_on_work_is_left_open_in_the_file() {
    let mut studio = Studio::empty();
    studio.press("Nora Quint").enter().control('p').press("ham").enter().enter();
    studio.press("nnnnny");
    leave(&mut studio, End::Closing);
    let profile = studio.client("nora-quint").profile;
    let screening = profile.last_screening().expect("in the file");
    let open: Vec<&str> = screening.open.iter().map(|point| point.what.as_str()).collect();
    assert_eq!(open, [matside::caution::screening::questions()[5].id.as_str()]);
}

#[test]
fn a_remark_that_is_typed_goes_into_the_file() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(60).finish().press("r").press("calm");
    leave(&mut studio, End::Closing);
    assert_eq!(last(&studio, "ilse-brandt").note, "calm");
    assert!(studio.app.left_behind().is_none());
}

#[test]
fn what_the_disk_does_not_take_is_said_when_the_program_has_ended() {
    let mut studio = Studio::with(&["Ilse Brandt"]);
    studio.enter().press("ham").enter().enter().agree().wait(33).press("4");
    let path = studio.file("ilse-brandt");
    std::fs::rename(&path, path.with_extension("aside")).expect("renames");
    std::fs::create_dir(&path).expect("a folder in the way");
    leave(&mut studio, End::Closing);
    let left = studio.app.left_behind().expect("something to say");
    assert!(left.is_lost && left.to_string().starts_with("not saved, 1 step of the block: "), "{left}");
}
