//! What it costs to save a report, to open a client and to list a studio: `cargo bench --bench store`.
//!
//! Everything is measured in one run on the same disk, next to what it is held against.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;
use std::time::{Duration, Instant};

use chrono::{DateTime, TimeDelta};
use matside::body::{Degrees, Effort, Level, Minutes, Muscle, Seconds, Side};
use matside::catalogue::Method;
use matside::client::{
    Angle, Attribution, Client, ClientId, Consent, Planned, Profile, Report, Session, Trained,
};
use matside::store::{SamePerson, Store, client_text, merge_files};
use rusqlite::{Connection, params};

/// Ten years of three sessions a week, but for holidays.
const TEN_YEARS: usize = 1_500;
const REPORTS: u32 = 16;
const CLIENTS: usize = 1_000;
/// As many as no studio has, so that what grows is seen.
const MANY_CLIENTS: usize = 10_000;
/// Three sessions a week.
const SIX_YEARS: usize = 940;
/// As many sessions as a file may hold.
const MOST_SESSIONS: usize = 9_400;

type Failure = Box<dyn std::error::Error>;

fn report(number: u32) -> Result<Report, Failure> {
    let side = if number.is_multiple_of(2) { Side::Left } else { Side::Right };
    let held = Seconds::new(20 + number);
    let measured = number.is_multiple_of(5).then(|| Degrees::new(71)).transpose()?;
    let cycles = if number.is_multiple_of(3) { 3 } else { 0 };
    Ok(Report {
        method: if cycles > 0 { Method::ContractRelax } else { Method::Static },
        cycles,
        planned: Some(Planned { held, cycles, aim: Some(Level::AIM) }),
        level: Level::new(i64::from(number % 5) + 1).ok(),
        angles: measured.map(Angle::new).into_iter().collect(),
        ..Report::new("straight-leg-raise".parse()?, "hand-on-heel".parse()?, Some(side), held)
    })
}

fn who() -> Attribution {
    let at = DateTime::parse_from_rfc3339("2026-11-25T10:00:00+01:00").expect("a time");
    Attribution { at, by: "Ada".to_owned() }
}

fn client(id: &str, sessions: usize, reports: u32) -> Result<Client, Failure> {
    let start = DateTime::parse_from_rfc3339("2016-01-04T18:45:00+01:00")?;
    let rows = (1..=reports).map(|number| Ok((number, report(number)?))).collect::<Result<_, Failure>>()?;
    let one = Session {
        trained: Trained::from([(Muscle::Hamstrings, Effort::new(3)?), (Muscle::Soleus, Effort::new(1)?)]),
        reports: rows,
        closed: Some(start + TimeDelta::minutes(10)),
        ..Session::new(start, Minutes::new(10)?, Consent::HandsOn)
    };
    let sessions = (0..sessions).map(|day| {
        let at = start + TimeDelta::days(i64::try_from(day).unwrap_or(0) * 2);
        Session { at, closed: Some(at + TimeDelta::minutes(10)), ..one.clone() }
    });
    Ok(Client::new(Profile::new(ClientId::new(id)?, "Rosa Achterberg"), sessions.collect()))
}

/// Times of one thing, shortest first.
struct Times(Vec<Duration>);

impl Times {
    fn at(&self, per_mille: usize) -> f64 {
        let index = (self.0.len().saturating_sub(1)) * per_mille / 1000;
        self.0.get(index).map_or(0.0, |time| time.as_secs_f64() * 1000.0)
    }
}

/// Times several things in turn, so that a busy moment of the machine hits all of them.
fn measure(
    rounds: usize,
    things: &mut [&mut dyn FnMut() -> Result<usize, Failure>],
) -> Result<Vec<Times>, Failure> {
    let mut times: Vec<Vec<Duration>> = things.iter().map(|_| Vec::with_capacity(rounds)).collect();
    for _ in 0..rounds {
        for (thing, times) in things.iter_mut().zip(&mut times) {
            let start = Instant::now();
            std::hint::black_box(thing()?);
            times.push(start.elapsed());
        }
    }
    Ok(times
        .into_iter()
        .map(|mut times| {
            times.sort_unstable();
            Times(times)
        })
        .collect())
}

fn show(out: &mut impl Write, title: &str, names: &[&str], times: &[Times]) -> io::Result<()> {
    writeln!(out, "{title}\n  {:<44} {:>9} {:>9} {:>9}  ratio of medians", "", "min ms", "median", "p99")?;
    let base = times.last().map_or(1.0, |times| times.at(500));
    for (name, times) in names.iter().zip(times) {
        let ratio = times.at(500) / base;
        let (min, median, p99) = (times.at(0), times.at(500), times.at(990));
        writeln!(out, "  {name:<44} {min:>9.3} {median:>9.3} {p99:>9.3}  {ratio:.2}")?;
    }
    writeln!(out)
}

/// The same studio in an embedded SQL database that syncs every commit, with ten years in it.
fn database(path: &Path, journal: &str) -> Result<Connection, Failure> {
    let mut connection = Connection::open(path)?;
    connection.pragma_update(None, "journal_mode", journal)?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    let said: (String, i64) = (
        connection.pragma_query_value(None, "journal_mode", |row| row.get(0))?,
        connection.pragma_query_value(None, "synchronous", |row| row.get(0))?,
    );
    if said != (journal.to_owned(), 2) {
        return Err(format!("the database works as {said:?}").into());
    }
    connection.execute_batch(
        "CREATE TABLE report (session TEXT, number INTEGER, stretch TEXT, form TEXT, side TEXT, method TEXT, \
         cycles INTEGER, held_s INTEGER, level INTEGER, angle_deg INTEGER, ended TEXT, note TEXT, \
         PRIMARY KEY (session, number)) WITHOUT ROWID",
    )?;
    let transaction = connection.transaction()?;
    for session in &client("old", TEN_YEARS, REPORTS)?.sessions {
        for (&number, report) in &session.reports {
            insert(&transaction, &session.at.to_rfc3339(), number, report)?;
        }
    }
    transaction.commit()?;
    Ok(connection)
}

fn insert(connection: &Connection, session: &str, number: u32, report: &Report) -> Result<usize, Failure> {
    let mut statement = connection
        .prepare_cached("INSERT INTO report VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)")?;
    Ok(statement.execute(params![
        session,
        number,
        report.stretch.as_str(),
        report.form.as_str(),
        report.side.map(Side::id),
        report.method.id(),
        report.cycles,
        report.held.get(),
        report.level.map(Level::get),
        report.angle().map(Degrees::get),
        report.ended.id(),
        report.note,
    ])?)
}

fn saving(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let store = Store::open(folder.path())?;
    let day = DateTime::parse_from_rfc3339("2030-01-04T18:45:00+01:00")?;
    let mut next = client("new", 1, 0)?.sessions.remove(0);
    (next.at, next.closed) = (day, None);
    store.create_client(&client("new", 0, 0)?)?;
    store.create_client(&client("old", TEN_YEARS, REPORTS)?)?;
    let secret_folder = tempfile::tempdir()?;
    let (secret, _) = Store::open(secret_folder.path())?.encrypt("a cat on the roof")?;
    secret.create_client(&client("old", TEN_YEARS, REPORTS)?)?;
    let mut sealed = secret.begin(&ClientId::new("old")?, &next)?;
    let mut new = store.begin(&ClientId::new("new")?, &next)?;
    let mut old = store.begin(&ClientId::new("old")?, &next)?;
    let given = report(1)?;
    let before = fs::metadata(folder.path().join("clients/new.toml"))?.len();
    new.report(&given)?;
    let size = usize::try_from(fs::metadata(folder.path().join("clients/new.toml"))?.len() - before)?;
    let row = vec![b'x'; size];
    let rollback = database(&folder.path().join("rollback.db"), "delete")?;
    let ahead = database(&folder.path().join("ahead.db"), "wal")?;
    let (mut rollback_rows, mut ahead_rows) = (0, 0);
    let mut raw: File = OpenOptions::new().create(true).append(true).open(folder.path().join("raw"))?;
    let times = measure(
        1_000,
        &mut [
            &mut || Ok(usize::try_from(new.report(&given)?)?),
            &mut || Ok(usize::try_from(old.report(&given)?)?),
            &mut || Ok(usize::try_from(sealed.report(&given)?)?),
            &mut || {
                rollback_rows += 1;
                insert(&rollback, "2030", rollback_rows, &given)
            },
            &mut || {
                ahead_rows += 1;
                insert(&ahead, "2030", ahead_rows, &given)
            },
            &mut || {
                raw.write_all(&row)?;
                raw.sync_data()?;
                Ok(row.len())
            },
        ],
    )?;
    let title =
        format!("A report of {size} bytes, on the disk when it returns (aim: 1.3 times the raw append)");
    let names = [
        "into a new client's file",
        "into a file of ten years",
        "into an encrypted file of ten years",
        "SQL, ten years, rollback journal, full sync",
        "SQL, ten years, write-ahead log, full sync",
        "raw append and sync of the same bytes",
    ];
    Ok(show(out, &title, &names, &times)?)
}

/// An answer that comes after the step, which replaces the whole file.
fn amending(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let store = Store::open(folder.path())?;
    let mut next = client("old", 1, 0)?.sessions.remove(0);
    (next.at, next.closed) = (DateTime::parse_from_rfc3339("2030-01-04T18:45:00+01:00")?, None);
    store.create_client(&client("old", TEN_YEARS, REPORTS)?)?;
    let mut journal = store.begin(&ClientId::new("old")?, &next)?;
    let number = journal.report(&report(1)?)?;
    let bytes = fs::read(folder.path().join("clients/old.toml"))?;
    let secret_folder = tempfile::tempdir()?;
    let (secret, _) = Store::open(secret_folder.path())?.encrypt("a cat on the roof")?;
    secret.create_client(&client("old", TEN_YEARS, REPORTS)?)?;
    let mut sealed = secret.begin(&ClientId::new("old")?, &next)?;
    let sealed_number = sealed.report(&report(1)?)?;
    let other_folder = tempfile::tempdir()?;
    let other = Store::open(other_folder.path())?;
    let ten_years = client("old", TEN_YEARS, REPORTS)?;
    other.create_client(&ten_years)?;
    let (old, at) = (ClientId::new("old")?, ten_years.sessions[TEN_YEARS - 10].at);
    let (mut held, mut sealed_held, mut other_held) = (0, 0, 0);
    let times = measure(
        25,
        &mut [
            &mut || {
                held += 1;
                journal.amend(number, &Report { held: Seconds::new(held), ..report(1)? }, &who())?;
                Ok(1)
            },
            &mut || {
                sealed_held += 1;
                let given = Report { held: Seconds::new(sealed_held), ..report(1)? };
                sealed.amend(sealed_number, &given, &who())?;
                Ok(1)
            },
            &mut || {
                other_held += 1;
                other.amend(&old, at, 1, &Report { held: Seconds::new(other_held), ..report(1)? }, &who())?;
                Ok(1)
            },
            &mut || {
                let mut made = tempfile::NamedTempFile::new_in(folder.path())?;
                made.write_all(&bytes)?;
                made.as_file().sync_all()?;
                made.persist(folder.path().join("raw"))?;
                File::open(folder.path())?.sync_all()?;
                Ok(bytes.len())
            },
        ],
    )?;
    let title = format!(
        "Amending a report in a file of ten years, {} bytes (aim: 3 times the raw replacement)",
        bytes.len()
    );
    let names = [
        "a report amended while the session runs",
        "the same, encrypted",
        "a report of an older session, file opened anew",
        "raw replacement, file and folder synced",
    ];
    Ok(show(out, &title, &names, &times)?)
}

fn opening(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let store = Store::open(folder.path())?;
    let old = ClientId::new("old")?;
    store.create_client(&client("old", TEN_YEARS, REPORTS)?)?;
    let path = folder.path().join("clients/old.toml");
    let size = fs::metadata(&path)?.len();
    let secret_folder = tempfile::tempdir()?;
    let (secret, _) = Store::open(secret_folder.path())?.encrypt("a cat on the roof")?;
    secret.create_client(&client("old", TEN_YEARS, REPORTS)?)?;
    let times = measure(
        25,
        &mut [
            &mut || Ok(store.load(&old)?.sessions.len()),
            &mut || Ok(secret.load(&old)?.sessions.len()),
            &mut || Ok(fs::read_to_string(&path)?.parse::<toml::Table>()?.len()),
        ],
    )?;
    let title = format!(
        "Opening a client of ten years: {TEN_YEARS} sessions, {} reports, {size} bytes (aim: 60 ms, ratio 1)",
        TEN_YEARS * REPORTS as usize
    );
    Ok(show(out, &title, &["into a client", "from an encrypted file", "into a plain TOML value"], &times)?)
}

fn listing(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let store = Store::open(folder.path())?;
    let one = client("c", 50, 8)?;
    store.create_client(&one)?;
    let first = folder.path().join("clients/c.toml");
    let bytes = fs::metadata(&first)?.len();
    for number in 1..CLIENTS {
        fs::copy(&first, folder.path().join(format!("clients/c{number}.toml")))?;
    }
    let times = measure(
        25,
        &mut [
            &mut || {
                let listed = store.roster()?.entries.len();
                if listed == CLIENTS { Ok(listed) } else { Err(format!("{listed} listed").into()) }
            },
            &mut || {
                let mut bytes = 0;
                for entry in fs::read_dir(folder.path().join("clients"))? {
                    bytes += fs::read(entry?.path())?.len();
                }
                Ok(bytes)
            },
        ],
    )?;
    let title = format!("Listing {CLIENTS} clients of 50 sessions, {bytes} bytes each (aim: 50 ms)");
    Ok(show(out, &title, &["the list of the first screen", "reading the bytes alone"], &times)?)
}

/// Examining a whole studio, against reading the same bytes.
fn checking(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let store = Store::open(folder.path())?;
    store.create_client(&client("c", 10, 8)?)?;
    let first = folder.path().join("clients/c.toml");
    let bytes = fs::metadata(&first)?.len();
    for number in 1..MANY_CLIENTS {
        fs::copy(&first, folder.path().join(format!("clients/c{number}.toml")))?;
    }
    let times = measure(
        7,
        &mut [&mut || Ok(store.check(who().at)?.len()), &mut || {
            let mut bytes = 0;
            for entry in fs::read_dir(folder.path().join("clients"))? {
                bytes += fs::read(entry?.path())?.len();
            }
            Ok(bytes)
        }],
    )?;
    let title =
        format!("Examining {MANY_CLIENTS} clients of {bytes} bytes each (aim: 5 times the plain reading)");
    Ok(show(out, &title, &["check", "reading the bytes alone"], &times)?)
}

/// Two copies of one client that went apart in their last session.
fn merging(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let [ours, theirs] = ["ours", "theirs"].map(|name| folder.path().join(format!("{name}.toml")));
    let mut one = client("old", SIX_YEARS, REPORTS)?;
    let mine = client_text(&one);
    if let Some(last) = one.sessions.last_mut() {
        last.reports.insert(REPORTS + 1, report(3)?);
        "went on".clone_into(&mut last.note);
    }
    fs::write(&theirs, client_text(&one))?;
    let times = measure(
        15,
        &mut [
            &mut || {
                fs::write(&ours, &mine)?;
                Ok(merge_files(&ours, &theirs, SamePerson::AsFarAsSeen)?.added_reports)
            },
            &mut || {
                fs::write(&ours, &mine)?;
                Ok(fs::read(&theirs)?.len() + fs::read(&ours)?.len())
            },
        ],
    )?;
    let title = format!("Merging two copies of {SIX_YEARS} sessions, {} bytes (aim: 100 ms)", mine.len());
    Ok(show(out, &title, &["two copies merged and written", "one written and both read, no more"], &times)?)
}

/// What merging two copies of the most sessions takes of the memory, measured in a program of its own.
fn merging_in_memory(out: &mut impl Write) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let [ours, theirs] = ["ours", "theirs"].map(|name| folder.path().join(format!("{name}.toml")));
    let mut one = client("old", MOST_SESSIONS, 8)?;
    fs::write(&ours, client_text(&one))?;
    for session in one.sessions.iter_mut().step_by(100) {
        "went on".clone_into(&mut session.note);
    }
    fs::write(&theirs, client_text(&one))?;
    drop(one);
    let size = fs::metadata(&ours)?.len();
    let child =
        std::process::Command::new(std::env::current_exe()?).arg(MERGE).arg(&ours).arg(&theirs).output()?;
    let said = String::from_utf8(child.stdout)?;
    match said.trim().parse::<f64>() {
        #[expect(clippy::cast_precision_loss, reason = "megabytes")]
        Ok(peak) => writeln!(
            out,
            "Merging two copies of {MOST_SESSIONS} sessions, {size} bytes each (aim: 10 times a file)\n  \
             {:.0} MB of memory at most, {:.1} times a file\n",
            peak / 1e6,
            peak / size as f64
        )?,
        Err(_) => writeln!(out, "Memory is not measured on this system: {said}")?,
    }
    Ok(())
}

/// What tells the program that it is the one that merges.
const MERGE: &str = "--merge-alone";

/// Merges two files and says how many bytes this program had at most.
fn merge_alone(out: &mut impl Write, files: &[String]) -> Result<(), Failure> {
    let [ours, theirs] = files else { return Err("two files are merged".into()) };
    merge_files(Path::new(ours), Path::new(theirs), SamePerson::AsFarAsSeen)?;
    let status = fs::read_to_string("/proc/self/status")?;
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:")?.trim().strip_suffix(" kB"));
    Ok(writeln!(out, "{}", peak.unwrap_or_default().trim().parse::<u64>()? * 1024)?)
}

fn main() -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let Some((MERGE, files)) = arguments.split_first().map(|(first, rest)| (first.as_str(), rest)) {
        return merge_alone(&mut out, files);
    }
    saving(&mut out)?;
    amending(&mut out)?;
    opening(&mut out)?;
    listing(&mut out)?;
    checking(&mut out)?;
    merging(&mut out)?;
    merging_in_memory(&mut out)
}
