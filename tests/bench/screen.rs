//! How quickly the screens answer: from a key to the drawn frame, with a new plan and without; from the start to the
//! first frame; and how often the program wakes up while nothing happens.
//!
//! ```text
//! cargo bench --bench screen
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot be set up has no figures")]

#[path = "../all/pty/terminal.rs"]
mod terminal;

use std::collections::BTreeMap;
use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use chrono::DateTime;
use matside::planner::{Effort, Planner};
use matside::session::Moment;
use matside::store::Store;
use matside::tui::app::{App, Shared};
use matside::tui::effect::Effect;
use matside::tui::msg::{Msg, Now};
use matside::tui::office::Office;
use matside::tui::theme::{Depth, Ground, Theme};
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{self, KeyCode, KeyEvent, KeyModifiers};
use terminal::{Terminal, cells, command};

/// Clients at the start.
const CLIENTS: usize = 1_000;
/// Starts of each program.
const STARTS: usize = 31;
/// Tells this program to be the empty one.
const EMPTY: &str = "--empty-program";
const NOW: &str = "2026-11-25T18:45:00+00:00";

fn main() {
    if std::env::args().any(|argument| argument == EMPTY) {
        return empty_program();
    }
    starts();
    wakes();
    keys();
}

/// What a program on the same libraries cannot do without: a terminal, a frame, a key.
fn empty_program() {
    let mut terminal = ratatui::init();
    terminal.draw(|frame| frame.render_widget("ready", frame.area())).unwrap();
    event::read().unwrap();
    ratatui::restore();
}

fn program(data: &Path) -> CommandBuilder {
    let mut command = command(env!("CARGO_BIN_EXE_matside"));
    command.args(["--data".as_ref(), data.as_os_str()]);
    command.args(["--quiet", "--now", NOW]);
    command
}

/// From the start of the program until each of some words is on the terminal.
///
/// Read and understood on one thread: another would have to be woken while the program works on with all processors.
fn start<const N: usize>(command: CommandBuilder, wanted: [&str; N]) -> [Duration; N] {
    let (columns, rows) = (120, 40);
    let begun = Instant::now();
    let size = PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 };
    let pair = native_pty_system().openpty(size).unwrap();
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let mut screen = vt100::Parser::new(cells(rows), cells(columns), 0);
    let mut bytes = [0; 1 << 14];
    let took = wanted.map(|words| {
        while !screen.screen().contents().contains(words) {
            let count = reader.read(&mut bytes).unwrap();
            screen.process(&bytes[..count]);
        }
        begun.elapsed()
    });
    pair.master.take_writer().unwrap().write_all(b"\x03").unwrap();
    // Until the program has gone.
    while matches!(reader.read(&mut bytes), Ok(1..)) {}
    assert!(child.wait().unwrap().success());
    took
}

/// Start to the first frame with all clients in it, held against the empty program, in turn.
fn starts() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("clients")).unwrap();
    let files: Vec<PathBuf> =
        fs::read_dir(demo().join("clients")).unwrap().map(|entry| entry.unwrap().path()).collect();
    for (number, file) in (0..CLIENTS).zip(files.iter().cycle()) {
        let name = file.file_stem().unwrap().to_str().unwrap();
        fs::copy(file, folder.path().join("clients").join(format!("{name}-{number}.toml"))).unwrap();
    }
    let (mut own, mut listed, mut empty) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..STARTS {
        let mut bare = command(std::env::current_exe().unwrap());
        bare.arg(EMPTY);
        empty.extend(start(bare, ["ready"]));
        // The keys are the last thing of a frame.
        let [frame, list] = start(program(folder.path()), ["help", "1000 clients"]);
        own.push(frame);
        listed.push(list);
    }
    let ratio = median(&mut own).as_secs_f64() / median(&mut empty).as_secs_f64();
    distribution("start to first frame, empty program", empty);
    distribution("start to first frame, 1000 clients", own);
    distribution("start to the list of 1000 clients", listed);
    println!("first frames, ratio of medians: {ratio:.2}");
}

/// How often the threads of a process have been given a processor.
fn switches(process: u32) -> Option<u64> {
    let mut sum = 0;
    for task in fs::read_dir(format!("/proc/{process}/task")).ok()? {
        let status = fs::read_to_string(task.ok()?.path().join("status")).ok()?;
        let counts = status.lines().filter_map(|line| line.split_once("voluntary_ctxt_switches:"));
        sum += counts.filter_map(|(_, count)| count.trim().parse::<u64>().ok()).sum::<u64>();
    }
    Some(sum)
}

/// Wake-ups while nobody presses a key.
fn wakes() {
    /// Until all that follows from the last key is over.
    const SETTLED: Duration = Duration::from_secs(2);
    const IDLE: Duration = Duration::from_secs(8);
    let folder = tempfile::tempdir().unwrap();
    studio(folder.path());
    let mut terminal = Terminal::start(program(folder.path()), (120, 40));
    let mut idle = |what: &str, keys: &str, wanted: &str| {
        terminal.keys(keys).see(wanted);
        std::thread::sleep(SETTLED);
        let before = switches(terminal.process());
        std::thread::sleep(IDLE);
        match (before, switches(terminal.process())) {
            (Some(before), Some(after)) => println!("{what}: {} wake-ups in {IDLE:?}", after - before),
            _ => println!("{what}: this system does not count wake-ups"),
        }
    };
    idle("day", "", "Who is next?");
    idle("plan", "feldm\rham\r", "proven best");
    idle("consent", "\r", "May I ");
    idle("live, counting down", "y", "SETTLE");
    idle("live, standing still", " ", "standing still");
    idle("review", "f", "What came out?");
    terminal.keys("\x03");
    assert!(terminal.end().success());
}

/// From a key to the drawn frame.
fn keys() {
    let folder = tempfile::tempdir().unwrap();
    studio(folder.path());
    let (mut planned, mut drawn, mut aside) = (Vec::new(), Vec::new(), Vec::new());
    let clients = Store::open(folder.path()).unwrap().roster().unwrap().entries;
    for entry in &clients {
        let mut desk = Desk::open(folder.path());
        for letter in entry.name.chars() {
            drawn.push(desk.key(KeyCode::Char(letter)));
        }
        drawn.push(desk.key(KeyCode::Enter));
        for group in ["ham", "chest", "lower body", "upper tra", "calf"] {
            for letter in group.chars() {
                drawn.push(desk.key(KeyCode::Char(letter)));
            }
            planned.push(desk.key(KeyCode::Enter));
            for key in ['+', '+', '+', '-', '-', '-', '-', '-', '-'] {
                planned.push(desk.key(KeyCode::Char(key)));
            }
            aside.extend(desk.idle());
        }
        drawn.push(desk.key(KeyCode::Tab));
        for key in ['l', 'l', 'p', 'x', 'u', 's'] {
            planned.push(desk.key(KeyCode::Char(key)));
        }
    }
    distribution("key to frame with a new plan", planned);
    distribution("key to frame without", drawn);
    distribution("a side question, between keys", aside);
}

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo")
}

/// Copies the demo, so that nothing is written into it.
fn studio(folder: &Path) {
    fs::create_dir_all(folder.join("clients")).unwrap();
    fs::copy(demo().join("trainer.toml"), folder.join("trainer.toml")).unwrap();
    for entry in fs::read_dir(demo().join("clients")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), folder.join("clients").join(entry.file_name())).unwrap();
    }
}

fn now() -> Now {
    Now { moment: Moment::new(Duration::ZERO), wall: DateTime::parse_from_rfc3339(NOW).unwrap() }
}

/// The screens with the program's own planner, drawn on 200 columns and 60 rows.
struct Desk {
    app: App,
    office: Office,
    terminal: ratatui::Terminal<TestBackend>,
}

impl Desk {
    fn open(folder: &Path) -> Self {
        let store = Store::open(folder).unwrap();
        let office = Office::open(store, Box::new(Planner::new(Effort::FRAME)), None).unwrap();
        let shared = Shared {
            theme: Theme { depth: Depth::True, ground: Ground::Dark, ascii: false },
            roster: None,
            clients: BTreeMap::new(),
            trainer: office.trainer().clone(),
            catalogue: office.catalogue(),
            folder: "(the data folder)".to_owned(),
            demo: false,
            notice: None,
            marked: BTreeMap::new(),
        };
        let (app, first) = App::new(shared);
        let terminal = ratatui::Terminal::new(TestBackend::new(200, 60)).unwrap();
        let mut desk = Self { app, office, terminal };
        desk.perform(first);
        desk
    }

    fn perform(&mut self, mut effects: Vec<Effect>) {
        while !effects.is_empty() {
            let effect = effects.remove(0);
            if let Some(answer) = self.office.perform(effect) {
                effects.extend(self.app.update(answer, now()));
            }
        }
    }

    /// From a key to the drawn frame, what follows from the key included.
    fn key(&mut self, code: KeyCode) -> Duration {
        let start = Instant::now();
        let key = KeyEvent::new(code, KeyModifiers::NONE);
        let effects = self.app.update(Msg::Key(key), now());
        self.perform(effects);
        self.terminal.draw(|frame| self.app.view(frame, now())).unwrap();
        start.elapsed()
    }

    /// A side question that is asked while no key waits; a key that comes now waits for its answer.
    fn idle(&mut self) -> Option<Duration> {
        (self.app.next_wake(now()) == Some(Duration::ZERO)).then(|| {
            let start = Instant::now();
            let effects = self.app.update(Msg::Woke, now());
            self.perform(effects);
            start.elapsed()
        })
    }
}

fn median(times: &mut [Duration]) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

fn distribution(what: &str, mut times: Vec<Duration>) {
    times.sort_unstable();
    let at = |part: usize| times[(times.len() - 1) * part / 1000].as_secs_f64() * 1e3;
    println!(
        "{what}: {} times, median {:.2} ms, 90 % {:.2}, 99 % {:.2}, longest {:.2}",
        times.len(),
        at(500),
        at(900),
        at(990),
        at(1000)
    );
}
