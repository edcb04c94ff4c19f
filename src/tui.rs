//! The screens: state, update, view and effects.
//!
//! [`app::App`] holds everything that is seen. `update` changes it and says what is to be done ([`effect::Effect`]);
//! `prepare` works out its pictures; `view` draws what is ready and changes nothing; `next_wake` says how long nothing
//! will change by itself. A [`host::Host`] gives time and events, shows the screens and carries effects out:
//! [`terminal`] on a real terminal, [`lines`] line by line for a screen reader, a scripted one in tests; beside either a
//! program may speak short cues ([`speaker`]). One loop
//! ([`host::run`]) drives any of them, and writes what is under way however it ends. What takes long on a real terminal
//! is worked out by threads beside it ([`workers`]) and comes in as events; what goes into a client's file is written
//! before anything else. One table ([`keys`]) says what each key means in each mode.

pub mod app;
pub mod canvas;
pub mod clock;
pub mod effect;
pub mod event;
pub mod go;
pub mod host;
pub mod keys;
pub mod lines;
pub mod list_choice;
pub mod mode;
pub mod options;
pub mod outbox;
pub mod page;
mod refusal;
pub mod remote;
pub mod screens;
pub mod services;
pub mod shared;
pub mod speaker;
pub mod spoken;
pub mod terminal;
pub mod text;
pub mod theme;
mod walk_in;
pub mod widgets;
pub mod words;
pub mod workers;
mod written_pages;

use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};
use std::sync::Arc;
use std::thread;

use crate::catalogue::Catalogue;
use crate::client::Trainer;
pub use crate::failure::Failure;
use crate::failure::Status;
use crate::planner::{Budget, Planner};
use crate::store::Store;

use app::App;
use clock::Clock;
use effect::Effect;
use lines::{Heard, LineHost};
pub use options::Options;
use services::{PlanMaker, Services};
use shared::Shared;
use terminal::{Extras, TerminalHost};
use widgets::pictures::Pictures;

/// Runs the screens on the terminal until the trainer leaves.
///
/// # Errors
/// There is no terminal, or the data folder cannot be read. A window that is closed is a quiet failure: what was under
/// way is on the disk.
pub fn run(store: Store, options: &Options) -> Result<(), Failure> {
    // Drawn screens follow every key and prove the plan beside; lines are told once and for all.
    let budget = if options.linear { Budget::FULL } else { Budget::FRAME };
    run_with(store, Box::new(Planner::new(budget)), options)
}

/// Runs the screens with another maker of plans.
///
/// # Errors
/// As [`run`].
pub fn run_with(store: Store, planner: Box<dyn PlanMaker>, options: &Options) -> Result<(), Failure> {
    let shared = Shared {
        theme: options.theme(),
        roster: None,
        clients: BTreeMap::new(),
        trainer: Trainer::default(),
        catalogue: Arc::default(),
        folder: store.root().display().to_string(),
        demo: options.demo.is_some(),
        brief: options.brief,
        remote: options.remote.clone(),
        farewell: None,
        speaks: options.speech.is_some(),
        notice: None,
        marked: BTreeMap::new(),
        pictures: Pictures::new(options.halves),
    };
    let (app, first) = App::new(shared);
    let clock = Clock::start(options.pretend);
    let services = || Services::open(store, planner, options.demo);
    if options.linear {
        return run_lines(app, first, services()?, clock, options);
    }
    if !io::stdin().is_terminal() || !io::stdout().is_terminal() {
        return Err(Failure::new("there is no terminal to draw on")
            .hint("use `matside plan` and `matside log` without one, or `--linear` for plain lines"));
    }
    run_drawn(app, first, services, clock, options)
}

/// Runs the screens as lines.
fn run_lines(
    mut app: App,
    first: Vec<Effect>,
    services: Services,
    clock: Clock,
    options: &Options,
) -> Result<(), Failure> {
    app.shared.knows(services.opened());
    let mut host = LineHost::start(services, clock, options.speech.clone(), io::stdout())?;
    let ended = host::run(&mut app, first, &mut host);
    let left = app.left_behind();
    let is_told = host.over() == Some(&Heard::Told);
    let why = if host.over() == Some(&Heard::End) { "Input ended. " } else { "" };
    let words = left.as_ref().map(|left| format!("{why}{left}\n")).unwrap_or_default();
    let said = ended.and_then(|()| host.out().write_all(words.as_bytes()));
    match (left, said) {
        (Some(left), _) if left.is_lost => Err(Failure::new(left)),
        // What nobody reads there is said where errors are.
        (left, Err(error)) => {
            let kept = left.map(|left| format!(". {left}")).unwrap_or_default();
            Err(Failure::new(format_args!("cannot write the output: {error}{kept}")))
        }
        (_, Ok(())) if is_told => Err(Failure::quiet(Status::Failed)),
        (_, Ok(())) => Ok(()),
    }
}

/// Runs the screens on a terminal that is taken over for that.
fn run_drawn(
    mut app: App,
    first: Vec<Effect>,
    services: impl FnOnce() -> Result<Services, Failure>,
    clock: Clock,
    options: &Options,
) -> Result<(), Failure> {
    let mut screen = terminal::take_over(options.mouse)
        .map_err(|error| Failure::new(format_args!("the terminal cannot be set up: {error}")))?;
    // The first frame needs no file: a name can be typed while the rest is read, and the stretches beside it.
    thread::spawn(Catalogue::built_in);
    let now = clock.now();
    let drawn = screen.draw(|frame| app.view(frame, now)).map(|_| ());
    let services = match drawn.map_err(|error| gone(&error)).and_then(|()| services()) {
        Ok(services) => services,
        Err(failure) => {
            let _ = terminal::give_back();
            return Err(failure);
        }
    };
    app.shared.knows(services.opened());
    let extras = Extras { mouse: options.mouse, bell: options.bell, speech: options.speech.clone() };
    let mut host = TerminalHost::start(screen, services, clock, extras)?;
    let ended = host::run(&mut app, first, &mut host);
    let (is_gone, given_back) = (host.is_gone(), terminal::give_back());
    // Where the window may be closed, the terminal's own way of saying so would panic.
    if is_gone {
        std::mem::forget(host);
    }
    match (app.left_behind(), ended) {
        (Some(left), _) if left.is_lost => Err(Failure::new(left)),
        _ if is_gone => Err(Failure::quiet(Status::Failed)),
        (_, Err(error)) => Err(gone(&error)),
        (_, Ok(())) => Ok(given_back?),
    }
}

fn gone(error: &io::Error) -> Failure {
    Failure::new(format_args!("the terminal is gone: {error}"))
}
