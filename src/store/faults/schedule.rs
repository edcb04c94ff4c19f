//! One schedule drawn at random by a seed: kills, power cuts, a full disk, a folder that takes nothing, two writers,
//! encrypting and decrypting that are cut off, copies that went apart and are merged, and slips of the finger that are
//! written twice, put right or taken back. After each step nothing that was acknowledged is missing, there twice, or
//! says something else.
//!
//! `MATSIDE_SCHEDULE` says how many steps, `MATSIDE_SEED` from which seed.

use std::io::{self, BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;

use chrono::TimeDelta;
use tempfile::TempDir;

use crate::body::Level;
use crate::client::{ConsentLimit, Profile, Report, Session, TakenBack};
use crate::platform;

use super::super::disk::{Disk, Machine};
use super::super::{SamePerson, Store, StoreError, passphrase};
use super::ledger::{Ledger, ScheduleCounts, Word, given};
use super::power_cuts::{Dice, cut_during, walk};
use super::{Faulty, PASSPHRASE, id, open, session, studio, who};

/// Tells the child process which folder to write to, and what.
const FOLDER: &str = "MATSIDE_SCHEDULE_WRITER";
const TASK: &str = "MATSIDE_SCHEDULE_TASK";

/// What a trainer does in one sitting; every session begins on a day of its own.
#[derive(Debug, Clone, Copy)]
struct Evening {
    day: i64,
    seed: u64,
    /// Whether what others began is left alone, as on a copy.
    alone: bool,
}

impl Evening {
    fn note(self, kind: &str, number: usize) -> String {
        format!("{}-{kind}{number}-{}", self.day, "n".repeat(80))
    }

    fn start(self, hours: i64) -> Session {
        let mut next = session();
        next.at += TimeDelta::days(self.day) + TimeDelta::hours(hours);
        next
    }

    fn go(self, store: &Store, say: &mut dyn FnMut(Word, &str)) -> Result<(), StoreError> {
        let mut dice = Dice(self.seed);
        self.block(store, &mut dice, say)?;
        self.slip(store, &mut dice, say)?;
        if !self.alone && dice.below(2) == 0 {
            put_right(store, &mut dice, say)?;
        }
        Ok(())
    }

    /// A block that runs, report by report.
    fn block(
        self,
        store: &Store,
        dice: &mut Dice,
        say: &mut dyn FnMut(Word, &str),
    ) -> Result<(), StoreError> {
        let client = store.load(&id())?;
        let open = client.cut_off().next().map(|open| open.at).filter(|_| !self.alone && dice.below(3) > 0);
        let taken_up = open.map(|at| store.resume(&id(), at)).transpose()?.flatten();
        let mut journal = match taken_up {
            Some((_, journal)) => journal,
            None => store.begin(&id(), &self.start(0))?,
        };
        for number in 0..3 + dice.below(6) {
            let note = self.note("b", number);
            say(Word::Tries, &note);
            let row = journal.report(&given(&note))?;
            say(Word::Saved, &note);
            if dice.below(3) == 0 {
                let level = i64::try_from(dice.below(5)).unwrap_or(0) + 1;
                say(Word::TriesLevel(level), &note);
                journal.amend(row, &Report { level: Level::new(level).ok(), ..given(&note) }, &who())?;
                say(Word::Answered(level), &note);
            }
            match dice.below(12) {
                0 => journal.narrow(ConsentLimit::MatBetween, journal.session().at)?,
                1 => {
                    let mut profile = store.load(&id())?.profile;
                    profile.note.clone_from(&note);
                    store.save_profile(&profile, &who())?;
                }
                _ => {}
            }
        }
        if dice.below(3) > 0 {
            let at = journal.session().at + TimeDelta::minutes(10);
            journal.close(at, "")?;
        }
        Ok(())
    }

    /// A sheet from paper is written twice, and sometimes taken back.
    fn slip(self, store: &Store, dice: &mut Dice, say: &mut dyn FnMut(Word, &str)) -> Result<(), StoreError> {
        let mut sheet = self.start(3);
        sheet.closed = Some(sheet.at + TimeDelta::minutes(10));
        let notes = [self.note("s", 1), self.note("s", 2)];
        sheet.reports = (1..).zip(notes.iter().map(|note| given(note))).collect();
        let mut each = |word: Word| notes.iter().for_each(|note| say(word, note));
        each(Word::Tries);
        store.log(&id(), &sheet, &who())?;
        each(Word::Saved);
        store.log(&id(), &sheet, &who())?;
        if dice.below(2) == 0 {
            let row = TakenBack { at: sheet.at, by: String::new(), note: "a slip".to_owned() };
            each(Word::TriesAway(true));
            store.take_back(&id(), sheet.at, Some(&row))?;
            each(Word::Away(true));
            if dice.below(2) == 0 {
                each(Word::TriesAway(false));
                store.take_back(&id(), sheet.at, None)?;
                each(Word::Away(false));
            }
        }
        Ok(())
    }
}

/// An answer of any session before is put right.
fn put_right(store: &Store, dice: &mut Dice, say: &mut dyn FnMut(Word, &str)) -> Result<(), StoreError> {
    let client = store.load(&id())?;
    let Some(before) = client.sessions.get(dice.below(client.sessions.len())) else { return Ok(()) };
    let Some((number, there)) = before.reports.iter().nth(dice.below(before.reports.len())) else {
        return Ok(());
    };
    let level = i64::try_from(dice.below(5)).unwrap_or(0) + 1;
    say(Word::TriesLevel(level), &there.note);
    let mended = Report { level: Level::new(level).ok(), ..there.clone() };
    store.amend(&id(), before.at, *number, &mended, &who())?;
    say(Word::Answered(level), &there.note);
    Ok(())
}

/// The writer as a child process; nothing where nobody asks for it.
#[test]
fn writer() {
    let (folder, task) = (platform::variable(FOLDER), platform::variable(TASK));
    let Some((day, seed)) = task.split_once(' ') else { return };
    let day = day.parse().expect("a day");
    let sitting = Evening { day, seed: seed.parse().expect("a seed"), alone: false };
    let store = open(Path::new(&folder), Arc::new(Machine::default()));
    let mut out = io::stdout();
    let done = sitting.go(&store, &mut |word, note| {
        writeln!(out, "{}", word.line(note)).expect("somebody listens");
    });
    if let Err(error) = done {
        writeln!(io::stdout(), "ends with {error}").expect("somebody listens");
    }
}

/// A studio in which the schedule goes on.
struct Run {
    folder: TempDir,
    ledger: Ledger,
    dice: Dice,
    day: i64,
    counts: ScheduleCounts,
}

fn machine() -> Arc<dyn Disk> {
    Arc::new(Machine::default())
}

impl Run {
    fn new(seed: u64) -> Self {
        let mut run = Self {
            folder: studio(false),
            ledger: Ledger::default(),
            dice: Dice(seed),
            day: 0,
            counts: ScheduleCounts::default(),
        };
        run.start_anew();
        run
    }

    fn start_anew(&mut self) {
        (self.folder, self.ledger) = (studio(self.dice.below(2) == 0), Ledger::default());
        open(self.folder.path(), machine()).create(&Profile::new(id(), "Rosa")).expect("creates");
    }

    fn sitting(&mut self, alone: bool) -> Evening {
        self.day += 1;
        Evening { day: self.day, seed: u64::try_from(self.dice.below(usize::MAX)).unwrap_or(0), alone }
    }

    fn step(&mut self) -> &'static str {
        match self.dice.below(14) {
            0..=6 => self.kill(),
            7 | 8 => self.power_cut(),
            9 => self.full_disk(),
            10 => self.read_only(),
            11 => self.two_writers(),
            12 => self.convert(),
            _ => self.merge(),
        }
    }

    fn child(&mut self, limit: Option<u64>) -> Command {
        let sitting = self.sitting(false);
        let program = platform::own_path().expect("this program has a path");
        let arguments = ["store::faults::schedule::writer", "--exact", "--nocapture"];
        let mut command = if let Some(blocks) = limit {
            // The shell sets the largest size of a file, in blocks of 512 or 1024 bytes.
            let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
            let mut command = Command::new("sh");
            command.args(["-c", &script]).arg(program);
            command
        } else {
            Command::new(program)
        };
        command.args(arguments).env(FOLDER, self.folder.path());
        command.env(TASK, format!("{} {}", sitting.day, sitting.seed));
        command.stdout(Stdio::piped()).stderr(Stdio::null()).stdin(Stdio::null());
        command
    }

    fn kill(&mut self) -> &'static str {
        let mut child = self.child(None).spawn().expect("the writer starts");
        let wanted = self.dice.below(24);
        let mut heard = 0;
        for line in BufReader::new(child.stdout.take().expect("is piped")).lines().map_while(Result::ok) {
            let Some((word, note)) = Word::of_line(&line) else { continue };
            self.ledger.hear(word, &note);
            self.counts.acknowledged += usize::from(matches!(word, Word::Saved | Word::Answered(_)));
            heard += 1;
            if heard == wanted {
                for _ in 0..self.dice.below(60_000) {
                    std::hint::spin_loop();
                }
                child.kill().expect("can be killed");
            }
        }
        child.kill().expect("can be killed");
        child.wait().expect("ends");
        self.counts.kills += usize::from(heard >= wanted);
        "a kill"
    }

    fn hear(&mut self, words: Vec<(Word, String)>) {
        for (word, note) in words {
            self.counts.acknowledged += usize::from(matches!(word, Word::Saved | Word::Answered(_)));
            self.ledger.hear(word, &note);
        }
    }

    fn power_cut(&mut self) -> &'static str {
        let sitting = self.sitting(false);
        let (mut words, calls) = (Vec::new(), self.dice.below(60));
        self.folder = cut_during(self.folder.path(), calls, &mut self.dice, |store| {
            let _ = sitting.go(store, &mut |word, note| words.push((word, note.to_owned())));
        });
        self.hear(words);
        self.counts.power_cuts += 1;
        "a power cut"
    }

    fn on(&mut self, disk: Arc<dyn Disk>) {
        let (sitting, mut words) = (self.sitting(false), Vec::new());
        let store = open(self.folder.path(), disk);
        let _ = sitting.go(&store, &mut |word, note| words.push((word, note.to_owned())));
        self.hear(words);
    }

    fn full_disk(&mut self) -> &'static str {
        self.counts.full += 1;
        if cfg!(unix) && self.dice.below(2) == 0 {
            let size = self.folder.path().join("clients/rosa.toml").metadata().expect("is there").len();
            let more = u64::try_from(self.dice.below(6)).unwrap_or(0);
            let output = self.child(Some(size / 1024 + more)).output().expect("a shell runs");
            let text = String::from_utf8_lossy(&output.stdout).into_owned();
            self.hear(text.lines().filter_map(Word::of_line).collect());
            return "no file may grow";
        }
        let first = self.dice.below(50);
        let last = first + self.dice.below(9);
        let full = io::ErrorKind::StorageFull;
        self.on(Arc::new(Faulty { calls: AtomicUsize::new(0), first, last, kind: full }));
        "a full disk"
    }

    fn read_only(&mut self) -> &'static str {
        self.counts.read_only += 1;
        let (first, kind) = (self.dice.below(40), io::ErrorKind::PermissionDenied);
        self.on(Arc::new(Faulty { calls: AtomicUsize::new(0), first, last: usize::MAX, kind }));
        "a folder that takes nothing"
    }

    fn two_writers(&mut self) -> &'static str {
        self.counts.two_writers += 1;
        let sittings = [self.sitting(true), self.sitting(true)];
        let folder = self.folder.path();
        let heard = std::thread::scope(|scope| {
            let write = |sitting: Evening| {
                let (mut words, store) = (Vec::new(), open(folder, machine()));
                // The one that comes too late is refused.
                let _ = sitting.go(&store, &mut |word, note| words.push((word, note.to_owned())));
                words
            };
            let both = sittings.map(|sitting| scope.spawn(move || write(sitting)));
            both.map(|writer| writer.join().expect("ends"))
        });
        for words in heard {
            self.hear(words);
        }
        "two writers"
    }

    /// Encrypts, or decrypts, cut off at any moment, and then goes on with it.
    fn convert(&mut self) -> &'static str {
        self.counts.converted += 1;
        self.counts.power_cuts += 1;
        let back = open(self.folder.path(), machine()).is_encrypted();
        if !back {
            let (_, text) = passphrase::new_key(PASSPHRASE, passphrase::LITTLE).expect("long enough");
            std::fs::write(self.folder.path().join("passphrase.toml"), text).expect("writes");
        }
        let convert = |store: &Store| {
            if back { store.decrypt() } else { store.encrypt(PASSPHRASE).map(|(_, done)| done) }
        };
        let calls = self.dice.below(12);
        self.folder = cut_during(self.folder.path(), calls, &mut self.dice, |store| drop(convert(store)));
        let store = open(self.folder.path(), machine());
        if store.is_encrypted() {
            let done = convert(&store).expect("goes on");
            assert!(done.problems.is_empty(), "{:?}", done.problems);
        }
        "encrypting or decrypting, cut off"
    }

    /// A copy goes its own way and comes back; the power goes while it is merged.
    fn merge(&mut self) -> &'static str {
        self.counts.merged += 1;
        self.counts.power_cuts += 1;
        let copy = tempfile::tempdir().expect("a scratch folder");
        for path in walk(self.folder.path()) {
            let to = copy.path().join(path.strip_prefix(self.folder.path()).expect("is within"));
            std::fs::create_dir_all(to.parent().expect("has a folder")).expect("makes");
            std::fs::copy(path, to).expect("copies");
        }
        let sittings = [self.sitting(true), self.sitting(true)];
        for (folder, sitting) in [self.folder.path(), copy.path()].into_iter().zip(sittings) {
            let mut words = Vec::new();
            sitting
                .go(&open(folder, machine()), &mut |word, note| words.push((word, note.to_owned())))
                .expect("nothing is in the way");
            for (word, note) in words {
                self.ledger.hear(word, &note);
            }
        }
        let theirs = copy.path().join("clients/rosa.toml");
        let calls = self.dice.below(12);
        let merge = |store: &Store| store.merge_copy(&id(), &theirs, SamePerson::AsFarAsSeen);
        self.folder = cut_during(self.folder.path(), calls, &mut self.dice, |store| drop(merge(store)));
        for _ in 0..2 {
            merge(&open(self.folder.path(), machine())).expect("is merged");
        }
        "copies merged"
    }
}

#[test]
#[cfg_attr(not(unix), ignore = "a file is told by its number, and the shell limits its size")]
fn nothing_acknowledged_is_lost_doubled_or_changed_in_any_schedule() {
    let number = |name: &str| platform::variable(name).parse::<u64>().ok();
    let (steps, seed) =
        (number("MATSIDE_SCHEDULE").unwrap_or(60), number("MATSIDE_SEED").unwrap_or(20_261_128));
    let mut run = Run::new(seed);
    for step in 0..steps {
        if step % 25 == 24 {
            run.start_anew();
        }
        let what = run.step();
        let what = format!("seed {seed}, step {step}, {what}");
        let client = open(run.folder.path(), machine()).load(&id());
        run.ledger.check(&client.unwrap_or_else(|error| panic!("{what}: {error}")), &what);
    }
    writeln!(io::stdout(), "seed {seed}, {steps} steps: {:?}", run.counts).expect("somebody listens");
    assert!(
        run.counts.acknowledged > usize::try_from(steps).unwrap_or(0),
        "too few to mean anything: {:?}",
        run.counts
    );
}
