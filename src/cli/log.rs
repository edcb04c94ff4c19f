//! `matside log`: a session that was run from paper, typed up.

use std::io::Read;

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::Deserialize;
use toml::Spanned;

use crate::body::{Minutes, Seconds};
use crate::catalogue::Catalogue;
use crate::client::{Client, Consent, Report, Session, Trained};
use crate::failure::Failure;
use crate::text;

use super::values::{self, When};
use super::{Context, sheet};

/// The longest sheet that is read, in bytes.
const LONGEST_SHEET: u64 = 1 << 20;

/// What a sheet on standard input looks like, for the help and for errors.
const EXAMPLE: &str = r#"at = 2026-11-25T18:40
minutes = 10
trained = "hamstrings:3,glutes:2"
reports = [
  "straight-leg-raise left 30s 4; felt fine",
  "straight-leg-raise/hand-on-heel right 3x 3 71deg",
]"#;

/// Log a session that took place, from --report or from a sheet on standard input
#[derive(Debug, clap::Args)]
#[command(after_help = format!("A report is a stretch, then in any order a side, seconds, the level, cycles of \
    contract-relax, an angle; a remark after a semicolon.\n\nA sheet:\n{EXAMPLE}"))]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say when it began; without it, that many minutes ago
    #[arg(long, value_name = "TIME", value_parser = values::local_moment)]
    at: Option<When>,

    /// Say how many minutes it was planned for
    #[arg(long, value_name = "N", value_parser = values::minutes, allow_negative_numbers = true)]
    minutes: Option<Minutes>,

    /// Say what was trained and how hard
    #[arg(long, value_name = "MUSCLES", value_parser = values::trained)]
    trained: Option<Trained>,

    /// Say what the client agreed to: hands-on, self-stretch or declined
    #[arg(long)]
    consent: Option<Consent>,

    /// Add a report, such as "straight-leg-raise left 30s 4"; may be repeated
    #[arg(long = "report", value_name = "REPORT")]
    reports: Vec<String>,

    /// Add a remark about the session
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
}

/// The sheet as it is written; each value keeps its place for errors.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sheet {
    at: Option<Spanned<toml::value::Datetime>>,
    minutes: Option<Minutes>,
    trained: Option<Spanned<String>>,
    consent: Option<Consent>,
    #[serde(default)]
    note: String,
    #[serde(default)]
    reports: Vec<Spanned<String>>,
}

pub(super) fn run(arguments: &Arguments, context: &mut Context) -> Result<(), Failure> {
    let store = context.store()?;
    let id = store.find(&arguments.client)?;
    let client = store.load(&id)?;
    let catalogue = store.catalogue()?;
    let usual = store.trainer()?.minutes;
    let mut session = if arguments.reports.is_empty() && arguments.consent != Some(Consent::Declined) {
        from_sheet(arguments, &client, &catalogue, usual, context)?
    } else {
        from_flags(arguments, &client, &catalogue, usual, context.now)?
    };
    refuse_twice_or_early(&client, &session, context.now)?;
    let closed = session.at + TimeDelta::seconds(i64::from(session.minutes.seconds().get()));
    let saved = session.reports.len();
    // The remark is written with the end, once.
    let note = std::mem::take(&mut session.note);
    store.begin(&id, &session)?.close(closed, &note)?;
    writeln!(
        context.out,
        "saved {} of {} on {}",
        text::count(saved, "report", "reports"),
        text::harmless(&client.profile.name),
        session.at.format("%Y-%m-%d at %H:%M"),
    )?;
    context.tell(&store.take_notices())
}

/// Reads a sheet from standard input as if nothing else were said.
#[cfg(any(test, fuzzing))]
pub(super) fn sheet(
    client: &Client,
    catalogue: &Catalogue,
    context: &mut Context,
) -> Result<Session, Failure> {
    let arguments = Arguments {
        client: String::new(),
        at: None,
        minutes: None,
        trained: None,
        consent: None,
        reports: Vec::new(),
        note: None,
    };
    let session = from_sheet(&arguments, client, catalogue, Minutes::new(10).expect("in range"), context)?;
    refuse_twice_or_early(client, &session, context.now).map(|()| session)
}

fn from_flags(
    arguments: &Arguments,
    client: &Client,
    catalogue: &Catalogue,
    usual: Minutes,
    now: DateTime<FixedOffset>,
) -> Result<Session, Failure> {
    let minutes = arguments.minutes.unwrap_or(usual);
    let mut reports = Vec::new();
    for line in &arguments.reports {
        let read = sheet::reports(line, catalogue, client);
        reports.extend(read.map_err(|error| Failure::usage(format_args!("--report `{line}`: {error}")))?);
    }
    Ok(session(
        arguments.at.map_or_else(|| ago(now, minutes), |at| at.beside(now)),
        minutes,
        arguments.trained.clone().unwrap_or_default(),
        arguments.consent,
        reports,
        arguments.note.clone().unwrap_or_default(),
    ))
}

fn from_sheet(
    arguments: &Arguments,
    client: &Client,
    catalogue: &Catalogue,
    usual: Minutes,
    context: &mut Context,
) -> Result<Session, Failure> {
    if context.terminal {
        return Err(Failure::usage("nothing to log: give --report, or a sheet on standard input")
            .hint("--report \"straight-leg-raise left 30s 4\"")
            .hint("`matside log --help` shows a sheet"));
    }
    let text = read_sheet(context)?;
    let place =
        |at: usize| format!("standard input, line {}", text[..at.min(text.len())].matches('\n').count() + 1);
    let written: Sheet = toml::from_str(&text).map_err(|error| {
        let start = error.span().map_or(0, |span| span.start);
        Failure::usage(format_args!("{}: {}", place(start), error.message()))
            .hint("`matside log --help` shows a sheet; nothing was saved")
    })?;
    let wrong = |start: usize, error: String| {
        Failure::usage(format_args!("{}: {error}", place(start))).hint("nothing was saved")
    };
    let minutes = arguments.minutes.or(written.minutes).unwrap_or(usual);
    let at = match (arguments.at, &written.at) {
        (Some(at), _) => at.beside(context.now),
        (None, Some(at)) => {
            let read = values::local_moment(&at.get_ref().to_string());
            read.map_err(|error| wrong(at.span().start, error))?.beside(context.now)
        }
        (None, None) => ago(context.now, minutes),
    };
    let trained = match (&arguments.trained, &written.trained) {
        (Some(trained), _) => trained.clone(),
        (None, Some(words)) => {
            values::trained(words.get_ref()).map_err(|error| wrong(words.span().start, error))?
        }
        (None, None) => Trained::new(),
    };
    let mut reports = Vec::new();
    for line in &written.reports {
        let read = sheet::reports(line.get_ref(), catalogue, client);
        reports.extend(read.map_err(|error| wrong(line.span().start, error))?);
    }
    if reports.is_empty() && written.consent != Some(Consent::Declined) {
        return Err(Failure::usage("standard input: no reports in the sheet")
            .hint("add `reports = [ \"straight-leg-raise left 30s 4\" ]`, or `consent = \"declined\"`"));
    }
    let note = arguments.note.clone().unwrap_or(written.note);
    Ok(session(at, minutes, trained, arguments.consent.or(written.consent), reports, note))
}

fn read_sheet(context: &mut Context) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    (&mut *context.input)
        .take(LONGEST_SHEET + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| Failure::new(format_args!("cannot read standard input: {error}")))?;
    if bytes.len() > usize::try_from(LONGEST_SHEET).unwrap_or(usize::MAX) {
        return Err(Failure::usage("standard input: longer than 1 MB, so it is no sheet of one session"));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        Failure::usage(format_args!(
            "standard input: not UTF-8 from byte {}",
            error.utf8_error().valid_up_to()
        ))
        .hint("save the sheet as UTF-8; nothing was saved")
    })?;
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}

fn session(
    at: DateTime<FixedOffset>,
    minutes: Minutes,
    trained: Trained,
    consent: Option<Consent>,
    reports: Vec<Report>,
    note: String,
) -> Session {
    Session {
        trained,
        reports: (1..).zip(reports).collect(),
        note,
        ..Session::new(at, minutes, consent.unwrap_or(Consent::HandsOn))
    }
}

fn ago(now: DateTime<FixedOffset>, minutes: Minutes) -> DateTime<FixedOffset> {
    now - TimeDelta::seconds(i64::from(minutes.seconds().get()))
}

fn refuse_twice_or_early(
    client: &Client,
    session: &Session,
    now: DateTime<FixedOffset>,
) -> Result<(), Failure> {
    if session.at > now {
        return Err(Failure::usage(format_args!("{} lies after now", session.at.format("%Y-%m-%d %H:%M")))
            .hint("log a session after it took place"));
    }
    let held: Seconds = session.reports.values().map(|report| report.held).sum();
    if client.sessions.iter().any(|known| known.at == session.at) {
        return Err(Failure::new(format_args!(
            "a session of {} at {} is in the file already",
            client.profile.name,
            session.at.format("%Y-%m-%d %H:%M")
        ))
        .hint("give another --at; nothing was saved"));
    }
    if held > session.minutes.seconds() * 3 {
        return Err(Failure::usage(format_args!(
            "the reports add up to {held} under stretch, more than {} minutes can hold",
            session.minutes.get()
        )));
    }
    Ok(())
}
