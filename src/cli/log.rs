//! `matside log`: a session that was run from paper, typed up.

use std::io::Read;
use std::path::Path;

use chrono::{DateTime, FixedOffset, NaiveDateTime, TimeDelta};

use crate::body::{Minutes, Seconds};
use crate::catalogue::Catalogue;
use crate::client::{Client, ClientId, Consent, Report, Session, Trained, trained_from};
use crate::document::values::{bounded, moment_beside, text, word};
use crate::document::{Flaw, Parsed, Source, Unknown, Value, Walker, Wrong, rendered};
use crate::failure::Failure;
use crate::store::{Logged, StoreError};
use crate::strain;
use crate::text::{Safe, count};

use super::choices;
use super::console::Console;
use super::sheet;
use super::values;
use super::when::{When, when};

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

fn sheet_help() -> String {
    format!(
        "A report is a stretch, then in any order a side, seconds, the level, cycles of contract-relax, an angle; a \
         remark after a semicolon.\n\nA sheet:\n{EXAMPLE}"
    )
}

#[derive(Debug, clap::Args)]
#[command(after_help = sheet_help(), after_long_help = choices::below(&sheet_help(), &[choices::MUSCLES]))]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say when it began, such as 18:40, yesterday 18:40 or 2026-11-25T18:40; without it, that many minutes ago
    #[arg(long, value_name = "TIME", value_parser = when)]
    at: Option<When>,

    /// Say how many minutes it was planned for
    #[arg(long, value_name = "N", value_parser = values::minutes, allow_negative_numbers = true)]
    minutes: Option<Minutes>,

    /// Say what was trained and how hard
    #[arg(long, value_name = "MUSCLES", value_parser = trained_from)]
    trained: Option<Trained>,

    /// Say what the client agreed to
    #[arg(long, value_parser = values::choice!(Consent))]
    consent: Option<Consent>,

    /// Add a report, such as "straight-leg-raise left 30s 4"; may be repeated
    #[arg(long = "report", value_name = "REPORT")]
    reports: Vec<String>,

    /// Add a remark about the session
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,

    /// Say that it is a session of its own although another one was going on at that time
    #[arg(long)]
    overlap: bool,

    /// Check it and show what would be saved, and save nothing
    #[arg(long)]
    dry_run: bool,
}

/// What a sheet says; what the command line says goes first.
#[derive(Debug, Default)]
struct Sheet {
    at: Option<DateTime<FixedOffset>>,
    minutes: Option<Minutes>,
    trained: Option<Trained>,
    consent: Option<Consent>,
    note: Option<String>,
    reports: Vec<Report>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let id = store.find(&arguments.client)?;
    let client = store.load(&id)?;
    let catalogue = store.catalogue()?;
    let trainer = store.trainer()?;
    let usual = trainer.minutes;
    let mut session = if arguments.reports.is_empty() && arguments.consent != Some(Consent::Declined) {
        from_sheet(arguments, &client, &catalogue, usual, console)?
    } else {
        from_flags(arguments, &client, &catalogue, usual, console)?
    };
    let who = console.attribution(&store);
    session.closed = Some(end(&session));
    session.by.clone_from(&who.by);
    for report in session.reports.values_mut() {
        report.measured_with(trainer.instrument.as_ref());
    }
    refuse_what_cannot_be(&session, console.now)?;
    if !arguments.overlap {
        refuse_overlap(&client, &session)?;
    }
    if arguments.dry_run {
        let logged = store.would_log(&id, &session, &who).map_err(|error| unlike(error, &id))?;
        tell(logged, &client, &session, true, console)?;
        writeln!(console.out, "     {}", Safe::from_foreign(head(&session)))?;
        for (number, report) in &session.reports {
            writeln!(console.out, "{number:>3}  {}", sheet::line(report))?;
        }
        return console.tell(&store.take_notices());
    }
    let logged = store.log(&id, &session, &who);
    if logged.is_ok() {
        store.note_work(&[strain::kept_block(&store.load(&id)?, session.at, &catalogue)])?;
    }
    tell(logged.map_err(|error| unlike(error, &id))?, &client, &session, false, console)?;
    console.tell(&store.take_notices())
}

/// What a session says beside its reports.
fn head(session: &Session) -> String {
    let trained: Vec<String> =
        session.trained.iter().map(|(muscle, effort)| format!("{muscle}:{}", effort.get())).collect();
    let trained = if trained.is_empty() { "nothing".to_owned() } else { trained.join(",") };
    let note = if session.note.is_empty() { String::new() } else { format!("; {}", session.note) };
    format!("{} min, {}, trained {trained}{note}", session.minutes.get(), session.consent)
}

/// Says what was saved, or what would be.
fn tell(
    logged: Logged,
    client: &Client,
    session: &Session,
    is_dry: bool,
    console: &mut Console,
) -> Result<(), Failure> {
    let name = Safe::from_foreign(&client.profile.name);
    let when = session.at.format("%Y-%m-%d at %H:%M");
    let (would, not) = if is_dry { ("would have ", "; nothing was saved") } else { ("", "") };
    match logged {
        Logged::New => {
            let reports = count(session.reports.len(), "report");
            writeln!(console.out, "{would}saved {reports} of {name} on {when}{not}")?;
        }
        Logged::Completed(0) => writeln!(console.out, "the session of {name} on {when} was saved already")?,
        Logged::Completed(added) => {
            let reports = count(added, "report");
            writeln!(console.out, "{would}added {reports} to the session of {name} on {when}{not}")?;
        }
    }
    Ok(())
}

/// Reads a sheet from standard input as if nothing else were said.
#[cfg(any(test, fuzzing))]
pub(super) fn sheet(
    client: &Client,
    catalogue: &Catalogue,
    console: &mut Console,
) -> Result<Session, Failure> {
    let arguments = Arguments {
        client: String::new(),
        at: None,
        minutes: None,
        trained: None,
        consent: None,
        reports: Vec::new(),
        note: None,
        overlap: false,
        dry_run: false,
    };
    let session = from_sheet(&arguments, client, catalogue, Minutes::new(10).expect("in range"), console)?;
    refuse_what_cannot_be(&session, console.now)?;
    refuse_overlap(client, &session).map(|()| session)
}

fn from_flags(
    arguments: &Arguments,
    client: &Client,
    catalogue: &Catalogue,
    usual: Minutes,
    console: &Console,
) -> Result<Session, Failure> {
    let minutes = arguments.minutes.unwrap_or(usual);
    let at = started(arguments, console)?.unwrap_or_else(|| ago(console.now, minutes));
    let mut reports = Vec::new();
    for line in &arguments.reports {
        let read = sheet::reports(line, catalogue, client);
        reports.extend(read.map_err(|error| Failure::usage(format_args!("--report `{line}`: {error}")))?);
    }
    Ok(session(
        at,
        minutes,
        arguments.trained.clone().unwrap_or_default(),
        consent(arguments.consent, client)?,
        reports,
        arguments.note.clone().unwrap_or_default(),
    ))
}

/// When it began, as the arguments say.
fn started(arguments: &Arguments, console: &Console) -> Result<Option<DateTime<FixedOffset>>, Failure> {
    let at = arguments.at.map(|at| at.beside(console.now, console.zone)).transpose();
    at.map_err(|error| Failure::usage(format_args!("--at: {error}")).hint("nothing was saved"))
}

fn from_sheet(
    arguments: &Arguments,
    client: &Client,
    catalogue: &Catalogue,
    usual: Minutes,
    console: &mut Console,
) -> Result<Session, Failure> {
    if console.terminal {
        return Err(Failure::usage("nothing to log: give --report, or a sheet on standard input")
            .hint("--report \"straight-leg-raise left 30s 4\"")
            .hint("`matside log --help` shows a sheet"));
    }
    let source = read_sheet(console)?;
    let on_that_day = |wall| When::Local(wall).beside(console.now, console.zone);
    let written = sheet_of(&source, client, catalogue, on_that_day).map_err(|flaws| flawed(&flaws))?;
    if written.reports.is_empty() && written.consent != Some(Consent::Declined) {
        return Err(Failure::usage("standard input: no reports in the sheet")
            .hint("add `reports = [ \"straight-leg-raise left 30s 4\" ]`, or `consent = \"declined\"`"));
    }
    let minutes = arguments.minutes.or(written.minutes).unwrap_or(usual);
    let at = started(arguments, console)?.or(written.at);
    Ok(session(
        at.unwrap_or_else(|| ago(console.now, minutes)),
        minutes,
        arguments.trained.clone().or(written.trained).unwrap_or_default(),
        consent(arguments.consent.or(written.consent), client)?,
        written.reports,
        arguments.note.clone().or(written.note).unwrap_or_default(),
    ))
}

/// Reads a sheet, or finds everything that is wrong with it.
fn sheet_of(
    source: &Source,
    client: &Client,
    catalogue: &Catalogue,
    on_that_day: impl Fn(NaiveDateTime) -> Result<DateTime<FixedOffset>, String>,
) -> Result<Sheet, Vec<Flaw>> {
    let parsed = Parsed::of(source)?;
    let (mut walk, mut top) = (Walker::new(source), parsed.top("sheet"));
    let words = |value: &Value<'_>| trained_from(&text(value)?).map_err(|error| Wrong::new(error, ""));
    let report = |value: &Value<'_>| {
        sheet::reports(&text(value)?, catalogue, client).map_err(|error| Wrong::new(error, ""))
    };
    let sheet = Sheet {
        at: walk.may(&mut top, "at = 2026-11-25T18:40", moment_beside(on_that_day)),
        minutes: walk.may(&mut top, "minutes = 10", bounded),
        trained: walk.may(&mut top, "trained = \"hamstrings:3,glutes:2\"", words),
        consent: walk.may(&mut top, "consent = \"hands-on\"", word),
        note: walk.may(&mut top, "note", text),
        reports: walk.list(&mut top, "reports", report).into_iter().flatten().collect(),
    };
    walk.finish(&top, Unknown::Flaw);
    walk.end(Some(sheet)).map(|(sheet, _)| sheet)
}

fn flawed(flaws: &[Flaw]) -> Failure {
    Failure::usage(rendered(flaws)).hint("nothing was saved; `matside log --help` shows a sheet")
}

fn read_sheet(console: &mut Console) -> Result<Source, Failure> {
    let mut bytes = Vec::new();
    (&mut *console.input)
        .take(LONGEST_SHEET + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| Failure::new(format_args!("cannot read standard input: {error}")))?;
    if bytes.len() > usize::try_from(LONGEST_SHEET).unwrap_or(usize::MAX) {
        return Err(Failure::usage("standard input: longer than 1 MB, so it is no sheet of one session"));
    }
    Source::decode(Path::new("standard input"), bytes).map_err(|flaws| flawed(&flaws))
}

/// What was agreed to: hands-on where nothing is said, but never for somebody whose card refuses that.
fn consent(said: Option<Consent>, client: &Client) -> Result<Consent, Failure> {
    match said {
        None if client.profile.refuses_hands() => Err(Failure::usage(format_args!(
            "the card of {} refuses hands-on work, so say what was agreed to",
            client.profile.name
        ))
        .hint("`--consent self-stretch`, or `--consent hands-on` if it was agreed to that day")),
        said => Ok(said.unwrap_or(Consent::HandsOn)),
    }
}

fn session(
    at: DateTime<FixedOffset>,
    minutes: Minutes,
    trained: Trained,
    consent: Consent,
    reports: Vec<Report>,
    note: String,
) -> Session {
    Session { trained, reports: (1..).zip(reports).collect(), note, ..Session::new(at, minutes, consent) }
}

fn ago(now: DateTime<FixedOffset>, minutes: Minutes) -> DateTime<FixedOffset> {
    now - TimeDelta::seconds(i64::from(minutes.seconds().get()))
}

/// When a session was over, as far as it is known.
fn end(session: &Session) -> DateTime<FixedOffset> {
    session.closed.unwrap_or(session.at + TimeDelta::seconds(i64::from(session.minutes.seconds().get())))
}

fn refuse_what_cannot_be(session: &Session, now: DateTime<FixedOffset>) -> Result<(), Failure> {
    if session.at > now {
        return Err(Failure::usage(format_args!("{} lies after now", session.at.format("%Y-%m-%d %H:%M")))
            .hint("log a session after it took place"));
    }
    if session.contradicts_itself() {
        return Err(Failure::usage("the client declined, and yet there are reports of what was held")
            .hint(
                "--consent hands-on or self-stretch if it was done; `withdrawn` in a report if it was ended",
            )
            .hint("nothing was saved"));
    }
    let held: Seconds = session.reports.values().map(|report| report.held).sum();
    if held > session.minutes.seconds() * 3 {
        return Err(Failure::usage(format_args!(
            "the reports add up to {held} under stretch, more than {} minutes can hold",
            session.minutes.get()
        )));
    }
    Ok(())
}

/// Refuses a session while another one of the client was going on; the same one may be completed.
fn refuse_overlap(client: &Client, session: &Session) -> Result<(), Failure> {
    let overlaps =
        |other: &&Session| other.at != session.at && other.at < end(session) && session.at < end(other);
    let Some(other) = client.sessions.iter().find(overlaps) else { return Ok(()) };
    let at = other.at.format("%Y-%m-%d %H:%M");
    Err(Failure::usage(format_args!(
        "a session of {} from {at} on, {} minutes, was going on at that time",
        Safe::from_foreign(&client.profile.name),
        other.minutes.get()
    ))
    .hint(format_args!("if it is that one: --at \"{at}\" completes it"))
    .hint("if it is another one: --overlap; nothing was saved"))
}

/// Says how a session that is not as it was logged before is mended.
fn unlike(error: StoreError, id: &ClientId) -> Failure {
    let is_unlike = matches!(error, StoreError::Exists { .. });
    let failure = Failure::from(error);
    if is_unlike {
        failure.hint(format_args!("`matside mend {id}` changes what is saved; nothing was saved now"))
    } else {
        failure
    }
}
