//! `matside mend`: a session that is saved, put right or taken back.

use chrono::{DateTime, FixedOffset, Timelike as _};

use crate::catalogue::Catalogue;
use crate::client::{Client, Consent, Session, TakenBack};
use crate::failure::Failure;
use crate::store::Store;
use crate::strain;
use crate::text::{Safe, list};

use super::console::Console;
use super::sheet;
use super::values;
use super::when::{When, when};

#[derive(Debug, clap::Args)]
#[command(after_help = "What is written over or taken back stays in the file: with who did it and when.")]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say which session: when it began; without it, the youngest one
    #[arg(long, value_name = "TIME", value_parser = when)]
    at: Option<When>,

    /// Change this report: by the words given with --as, or --take-back, or --restore
    #[arg(long, value_name = "N", requires = "change")]
    report: Option<u32>,

    /// Say what is right of that report, such as "right 25s 5; felt fine"; what is not said stays
    #[arg(long = "as", value_name = "WORDS", requires = "report", group = "change")]
    #[arg(conflicts_with_all = ["consent", "note"])]
    words: Option<String>,

    /// Take the session, or that report, back: it stays in the file and counts for nothing
    #[arg(long, group = "change", conflicts_with_all = ["consent", "note"])]
    take_back: bool,

    /// Let the session, or that report, count again
    #[arg(long, group = "change", conflicts_with_all = ["consent", "note"])]
    restore: bool,

    /// Take back that the session was closed
    #[arg(long, group = "change", conflicts_with = "report")]
    reopen: bool,

    /// Say when the session ended, such as one that was cut off
    #[arg(long, value_name = "TIME", group = "change", conflicts_with = "report")]
    #[arg(value_parser = when)]
    close: Option<When>,

    /// Say what the client had agreed to
    #[arg(long, conflicts_with = "report", value_parser = values::choice!(Consent))]
    consent: Option<Consent>,

    /// Put this remark in the place of the session's
    #[arg(long, value_name = "TEXT", conflicts_with = "report")]
    note: Option<String>,
}

/// A session of a client, and whether it was taken back.
type FoundSession = (Session, Option<TakenBack>);

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let id = store.find(&arguments.client)?;
    let client = store.load(&id)?;
    let found = found(&client, arguments.at, console)?;
    if arguments.changes() {
        change(arguments, &store, &client, &found, console)?;
    }
    let client = store.load(&id)?;
    if arguments.changes() {
        store.note_work(&[strain::kept_block(&client, found.0.at, &store.catalogue()?)])?;
    }
    show(&client, found.0.at, console)?;
    console.tell(&store.take_notices())
}

impl Arguments {
    fn changes(&self) -> bool {
        self.words.is_some()
            || self.take_back
            || self.restore
            || self.reopen
            || self.close.is_some()
            || self.consent.is_some()
            || self.note.is_some()
    }
}

fn change(
    arguments: &Arguments,
    store: &Store,
    client: &Client,
    (session, gone): &FoundSession,
    console: &Console,
) -> Result<(), Failure> {
    let (id, at, who) = (&client.profile.id, session.at, console.attribution(store));
    let taken_back = TakenBack { at: who.at, by: who.by.clone(), note: String::new() };
    if arguments.report.is_none() && (arguments.take_back || arguments.restore) {
        if arguments.restore && gone.is_none() {
            return Err(Failure::usage("that session was not taken back; it counts"));
        }
        return Ok(store.take_back(id, at, arguments.take_back.then_some(&taken_back))?);
    }
    if gone.is_some() {
        return Err(Failure::usage("that session was taken back").hint("--restore lets it count again"));
    }
    if let Some(number) = arguments.report {
        let changed = report(session, number, (arguments, &store.catalogue()?), &taken_back)?;
        store.edit_session(id, at, &who, |session| *session = changed)?;
        return Ok(());
    }
    let close = arguments.close.map(|when| when.beside(console.now, console.zone)).transpose();
    let close = close.map_err(|error| Failure::usage(format_args!("--close: {error}")))?;
    let mut changed = session.clone();
    changed.closed = if arguments.reopen { None } else { close.or(session.closed) };
    changed.consent = arguments.consent.unwrap_or(session.consent);
    if let Some(note) = &arguments.note {
        note.trim().clone_into(&mut changed.note);
    }
    refuse_what_cannot_be(&changed, close, console.now)?;
    store.edit_session(id, at, &who, |session| *session = changed)?;
    Ok(())
}

/// Refuses an end that cannot be meant, and a client who declined what was held.
fn refuse_what_cannot_be(
    session: &Session,
    close: Option<DateTime<FixedOffset>>,
    now: DateTime<FixedOffset>,
) -> Result<(), Failure> {
    let wrong = if close.is_some_and(|end| end < session.at) {
        "a session ends after it began"
    } else if close.is_some_and(|end| end > now) {
        "that lies after now: say when the session ended"
    } else if close.is_some() && session.lasts_too_long() {
        "that is more than a day after the session began: say the day as well, such as 2026-11-25T18:50"
    } else if session.contradicts_itself() {
        "a client who declined has no reports of what was held: take those back that never were, one by one"
    } else {
        return Ok(());
    };
    Err(Failure::usage(wrong).hint("nothing was changed"))
}

/// The session with one report changed, taken back or put back.
fn report(
    session: &Session,
    number: u32,
    (arguments, catalogue): (&Arguments, &Catalogue),
    taken_back: &TakenBack,
) -> Result<Session, Failure> {
    let mut session = session.clone();
    let missing = || {
        let numbers: Vec<String> = session.reports.keys().map(ToString::to_string).collect();
        Failure::usage(format_args!("there is no report {number} that counts in that session"))
            .hint(format_args!("there are {}; nothing was changed", list(&numbers)))
    };
    if arguments.restore {
        let Some((report, _)) = session.taken_back.remove(&number) else {
            return Err(Failure::usage(format_args!("report {number} was not taken back")));
        };
        session.reports.insert(number, report);
        refuse_what_cannot_be(&session, None, taken_back.at)?;
    } else if arguments.take_back {
        let report = session.reports.get(&number).cloned().ok_or_else(missing)?;
        session.reports.remove(&number);
        session.taken_back.insert(number, (report, taken_back.clone()));
    } else if let Some(words) = &arguments.words {
        let report = session.reports.get(&number).ok_or_else(missing)?;
        let amended = sheet::amended(report, words, catalogue).map_err(|error| {
            Failure::usage(format_args!("--as `{words}`: {error}")).hint("nothing was changed")
        })?;
        session.reports.insert(number, amended);
    }
    Ok(session)
}

/// The session that is meant.
fn found(client: &Client, at: Option<When>, console: &Console) -> Result<FoundSession, Failure> {
    let counting = client.sessions.iter().map(|session| (session.clone(), None));
    let gone = client.taken_back.iter().map(|(session, gone)| (session.clone(), Some(gone.clone())));
    let name = Safe::from_foreign(&client.profile.name);
    let Some(at) = at else {
        let all = counting.chain(gone);
        return all
            .max_by_key(|(session, _)| session.at)
            .ok_or_else(|| Failure::new(format_args!("{name} has no session")));
    };
    // As it is read from the wall, where no offset was given; to the minute.
    let is_it = |session: &Session| match at {
        When::Exact(moment) => session.at == moment,
        _ => to_the_minute(session.at.naive_local()) == to_the_minute(at.wall(console.now)),
    };
    let mut fitting: Vec<FoundSession> = counting.chain(gone).filter(|(session, _)| is_it(session)).collect();
    match fitting.len() {
        1 => Ok(fitting.remove(0)),
        0 => {
            let day = at.wall(console.now).date();
            let that_day = client.sessions.iter().filter(|session| session.at.date_naive() == day);
            let times: Vec<String> = that_day.map(|session| clock(session.at)).collect();
            let refused = Failure::new(format_args!("{name} has no session of that time"));
            Err(if times.is_empty() {
                refused.hint("`matside history CLIENT` shows when there were any")
            } else {
                refused.hint(format_args!("that day there was one at {}", list(&times)))
            })
        }
        _ => Err(Failure::usage("two sessions began in that minute")
            .hint("give the second as well, such as 2026-11-25T18:40:12")),
    }
}

fn to_the_minute(wall: chrono::NaiveDateTime) -> chrono::NaiveDateTime {
    wall.with_second(0).unwrap_or(wall)
}

/// The time of day, without parts of a minute where there are none.
fn clock(at: DateTime<FixedOffset>) -> String {
    let time = at.time().to_string();
    time.strip_suffix(":00").map_or_else(|| time.clone(), str::to_owned)
}

fn show(client: &Client, at: DateTime<FixedOffset>, console: &mut Console) -> Result<(), Failure> {
    let gone = client.taken_back.iter().find(|(session, _)| session.at == at);
    let Some(session) = client.session(at).or(gone.map(|(session, _)| session)) else { return Ok(()) };
    let state = match (gone, session.closed) {
        (Some(_), _) => "taken back: counts for nothing".to_owned(),
        (None, Some(closed)) if closed.date_naive() != at.date_naive() => {
            format!("closed on {} at {}", closed.date_naive(), clock(closed))
        }
        (None, Some(closed)) => format!("closed at {}", clock(closed)),
        (None, None) => "cut off".to_owned(),
    };
    writeln!(
        console.out,
        "{}, {} {}: {} min, {}, {state}",
        Safe::from_foreign(&client.profile.name),
        at.date_naive(),
        clock(at),
        session.minutes.get(),
        session.consent
    )?;
    let numbers = session.reports.keys().chain(session.taken_back.keys());
    let mut numbers: Vec<u32> = numbers.copied().collect();
    numbers.sort_unstable();
    for number in numbers {
        if let Some(report) = session.reports.get(&number) {
            writeln!(console.out, "{number:>3}  {}", sheet::line(report))?;
        } else if let Some((report, _)) = session.taken_back.get(&number) {
            writeln!(console.out, "{number:>3}  {}  (taken back)", sheet::line(report))?;
        }
    }
    if !session.note.is_empty() {
        writeln!(console.out, "     {}", Safe::from_foreign(&session.note))?;
    }
    Ok(())
}
