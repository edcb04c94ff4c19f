//! Arguments in, exit code out.

use std::io::{self, BufWriter, IsTerminal, Write};
use std::process::ExitCode;

use chrono::{Offset as _, TimeZone as _};
use matside::cli::{self, After, Console};
use matside::demo;
use matside::failure::{Failure, Status, set_panic_hook};
use matside::platform;
use matside::store::Store;
use matside::tui::keys::RemoteKeys;
use matside::tui::speaker::SpeechCommand;
use matside::tui::{self, theme};

fn main() -> ExitCode {
    set_panic_hook(|| ());
    match cli::complete(std::env::args_os().collect(), std::env::current_dir().ok().as_deref()) {
        Ok(false) => {}
        // A shell asked while a line was typed: it has its answer, and nobody reads an error.
        Ok(true) => return ExitCode::SUCCESS,
        Err(failure) => return failure.status.into(),
    }
    let (mut input, mut out, mut err) = (io::stdin(), BufWriter::new(io::stdout()), io::stderr());
    let terminal = input.is_terminal() && io::stdout().is_terminal();
    let now = chrono::Local::now().fixed_offset();
    // A number of columns in the environment goes first, as it does in other programs.
    let columns = platform::variable("COLUMNS").parse().ok().filter(|columns| *columns > 0);
    let columns = columns.or_else(|| io::stdout().is_terminal().then(tui::terminal::columns).flatten());
    let mut console = Console {
        out: &mut out,
        err: &mut err,
        input: &mut input,
        now,
        zone: |wall| chrono::Local.offset_from_local_datetime(wall).map(|offset| offset.fix()),
        terminal,
        data: None,
        passphrase_file: None,
        ascii: false,
        columns: cli::text_columns(columns),
        folds: io::stdout().is_terminal(),
    };
    let done = cli::run(std::env::args_os(), &mut console);
    let done = done.and_then(|after| out.flush().map_err(Failure::unshown).and(Ok(after))).and_then(open);
    demo::clean_up();
    let failure = done.err().unwrap_or(Failure::quiet(Status::Done));
    // What was written before a failure comes first. Nothing more can be done if either fails.
    let _ = out.flush();
    let _ = write!(err, "{failure}");
    failure.status.into()
}

fn open(after: After) -> Result<(), Failure> {
    let After::Screens { store, looks, now: pretend } = after else { return Ok(()) };
    let remote = looks.remote.as_deref().filter(|names| !names.is_empty());
    let options = tui::Options {
        pretend,
        depth: looks.no_color.then_some(theme::ColourDepth::None),
        background: looks.light.then_some(theme::Background::Light),
        ascii: looks.ascii,
        halves: looks.half_blocks,
        // A terminal that can only write lines says so by this name.
        linear: looks.linear || platform::variable("TERM") == "dumb",
        brief: looks.brief,
        mouse: looks.mouse,
        bell: !looks.quiet,
        speech: looks
            .speak
            .filter(|command| !command.is_empty())
            .map(|command| SpeechCommand::named(&command)),
        remote: remote.map(RemoteKeys::named).transpose()?.unwrap_or_default(),
        demo: Some(open_demo),
    };
    tui::run(store, &options)
}

fn open_demo() -> Result<Store, Failure> {
    let now = chrono::Local::now().fixed_offset();
    Ok(demo::in_scratch(now.date_naive(), *now.offset())?)
}
