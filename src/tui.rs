//! The screens: state, update, view and effects.
//!
//! [`app::App`] holds everything that is seen. `update` changes it and says what is to be done ([`effect::Effect`]);
//! `view` draws it and changes nothing; `next_wake` says how long nothing will change by itself. A [`runtime::World`]
//! gives time and keys and carries effects out: [`terminal`] on a real terminal, [`linear`] line by line for a screen
//! reader, a scripted one in tests. What takes long on a real terminal is worked out by threads beside it, the list of
//! clients, proofs and side questions, and comes in as messages; the reports are written before anything else. One table ([`keys::TABLE`]) says what each key means in each place.

pub mod app;
pub mod canvas;
pub mod effect;
pub mod event;
pub mod keys;
pub mod linear;
pub mod options;
pub mod outbox;
pub mod page;
pub mod runtime;
pub mod screens;
pub mod services;
pub mod terminal;
pub mod text;
pub mod theme;
pub mod widgets;

use std::collections::BTreeMap;
use std::io::{self, IsTerminal};
use std::sync::Arc;

use crate::client::Trainer;
pub use crate::failure::Failure;
use crate::failure::Status;
use crate::planner::{Budget, Planner};
use crate::store::Store;

use app::{App, Shared};
pub use options::Options;
use services::{PlanMaker, Services};
use terminal::{Clock, TerminalHost};

/// Runs the screens on the terminal until the trainer leaves.
///
/// # Errors
/// There is no terminal, or the data folder cannot be read. A window that is closed is a quiet failure: every
/// report that was acknowledged is on the disk.
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
        notice: None,
        marked: BTreeMap::new(),
    };
    let (mut app, first) = App::new(shared);
    let clock = Clock::start(options.pretend);
    if options.linear {
        let services = Services::open(store, planner, options.demo).map_err(Failure::new)?;
        app.shared.knows(services.opened());
        let mut host = linear::LineHost::start(services, clock)?;
        return Ok(linear::run(&mut app, first, &mut host, &mut io::stdout().lock())?);
    }
    if !io::stdin().is_terminal() || !io::stdout().is_terminal() {
        return Err(Failure::new("there is no terminal to draw on")
            .hint("use `matside plan` and `matside log` without one, or `--linear` for plain lines"));
    }
    let mut terminal = terminal::take_over(options.mouse)
        .map_err(|error| Failure::new(format_args!("the terminal cannot be set up: {error}")))?;
    let mut closed = None;
    // The first frame needs no file: a name can be typed while the rest is read.
    let now = clock.now();
    let done = terminal.draw(|frame| app.view(frame, now)).map(|_| ());
    let done = done.and_then(|()| match Services::open(store, planner, options.demo) {
        Ok(services) => {
            app.shared.knows(services.opened());
            let mut host = TerminalHost::start(services, clock, options.bell)?;
            let done = runtime::run(&mut terminal, &mut app, first, &mut host);
            if host.gone { Err(io::ErrorKind::UnexpectedEof.into()) } else { done }
        }
        Err(why) => {
            closed = Some(why);
            Ok(())
        }
    });
    match done {
        Ok(()) => {
            terminal::give_back()?;
            closed.map_or(Ok(()), |why| Err(Failure::new(why)))
        }
        Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => {
            // The window may be closed: nothing can be said any more, and the terminal's own way of
            // saying that would panic.
            let _ = terminal::give_back();
            std::mem::forget(terminal);
            Err(Failure::quiet(Status::Failed))
        }
        Err(error) => {
            let _ = terminal::give_back();
            Err(Failure::new(format_args!("the terminal is gone: {error}")))
        }
    }
}
