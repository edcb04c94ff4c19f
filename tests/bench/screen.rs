//! How quickly the screens answer: from a key to the drawn frame, with a new plan and without; from the start to the
//! first frame; and how often the program wakes up while nothing happens.
//!
//! ```text
//! cargo bench --bench screen
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot be set up has no figures")]

#[path = "../all/tall.rs"]
mod tall;
#[path = "../all/pty/terminal.rs"]
mod terminal;

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, VecDeque};
use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use chrono::DateTime;
use matside::planner::{Budget, PlanRequest, Planner};
use matside::session::Moment;
use matside::store::Store;
use matside::tui::app::App;
use matside::tui::effect::{Effect, Purpose};
use matside::tui::event::{Event, Now};
use matside::tui::keys::{Mode, RemoteKeys};
use matside::tui::services::Services;
use matside::tui::shared::Shared;
use matside::tui::theme::{Background, ColourDepth, Theme};
use matside::tui::widgets::pictures::Pictures;
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{self, KeyCode, KeyEvent, KeyModifiers};
use terminal::{Terminal, cells, command};

/// Clients at the start.
const CLIENTS: usize = 1_000;
/// Starts of each program.
const STARTS: usize = 31;
/// How often each key is pressed: what takes long every time is work, what takes long once is the machine or a first
/// use.
const ROUNDS: usize = 5;
/// Keys that are named.
const NAMED: usize = 3;
/// Years in the longest file.
const YEARS: i32 = 10;
/// Minutes of a long plan, of the longest, and of a short one.
const LONG: u8 = 20;
const MOST: u8 = 60;
const SHORT: u8 = 3;
/// Tells this program to be the empty one.
const EMPTY: &str = "--empty-program";
const NOW: &str = "2026-11-25T18:45:00+00:00";

fn main() {
    if std::env::args().any(|argument| argument == EMPTY) {
        return empty_program();
    }
    let wanted = std::env::args().skip(1).find(|argument| !argument.starts_with('-'));
    let is_wanted = |part: &str| wanted.as_ref().is_none_or(|wanted| wanted == part);
    if is_wanted("starts") {
        starts();
    }
    if is_wanted("wakes") {
        wakes();
    }
    if is_wanted("keys") {
        keys();
    }
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
        let [frame, list] = start(program(folder.path()), ["help", "Today"]);
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
    idle("plan", "feldm\rham\r", "planned");
    idle("consent", "\r", "May I ");
    idle("live, counting down", "a\r", "1 of ");
    idle("live, standing still", " ", "up at ");
    idle("review", "f", "what came out");
    terminal.keys("\x03");
    assert!(terminal.end().success());
}

/// From a key to the drawn frame, each key of a long sitting with every client.
fn keys() {
    let mut log = Log::default();
    for _ in 0..ROUNDS {
        log.next = 0;
        for name in names() {
            let folder = tempfile::tempdir().unwrap();
            studio(folder.path());
            add_years(&folder.path().join("clients/t-feldmann.toml"));
            sitting(&mut Desk::open(folder.path(), &name, &mut log));
        }
    }
    for kind in Kind::ALL {
        let of_kind = || log.pressed.iter().filter(|pressed| pressed.kind == kind);
        let took = of_kind().flat_map(|pressed| pressed.took.iter().copied());
        distribution(kind.words(), took.collect());
        distribution("    the same, the shortest of all rounds", of_kind().map(Pressed::work).collect());
        if let Some(longest) = of_kind().max_by_key(|pressed| pressed.took.iter().max()) {
            println!("    longest once: {}", longest.words());
        }
        let mut hardest: Vec<&Pressed> = of_kind().collect();
        hardest.sort_by_key(|pressed| Reverse(pressed.work()));
        for pressed in hardest.into_iter().take(NAMED) {
            println!("    longest every time: {}", pressed.words());
        }
    }
}

fn names() -> Vec<String> {
    let clients = Store::open(demo()).unwrap().roster().unwrap().entries;
    clients.into_iter().map(|entry| entry.name).collect()
}

/// Keys in every place that a client leads to.
fn sitting(desk: &mut Desk<'_>) {
    let name = desk.name.clone();
    desk.type_in(&name).press(KeyCode::F(3));
    for _tab in 0..6 {
        desk.presses("Down Down PageDown Right");
    }
    desk.presses("/").type_in("hip since 2025").presses("Enter Right Right Right Right Right Right Enter");
    desk.control('p');
    // A cut off session.
    if desk.mode() == Mode::CutOff {
        desk.press(KeyCode::Enter);
    }
    for group in ["ham", "chest", "lower body", "upper tra", "calf", "full body"] {
        desk.go(Mode::Trained).mark(group).presses("+ + + - - - - - -").idle();
        let before = desk.changes;
        desk.go(Mode::Steps).presses("> > k x z <").undo(before);
    }
    desk.go(Mode::Trained).mark("neck").mark("fore").presses("3 2 1");
    for minutes in [LONG, MOST, 8, SHORT] {
        desk.go(Mode::Trained);
        // Where a caution stops the session, there are no minutes.
        for _ in 0..MOST {
            match desk.minutes.cmp(&minutes) {
                Ordering::Less => desk.presses("+"),
                Ordering::Equal => break,
                Ordering::Greater => desk.presses("-"),
            };
        }
        steps(desk);
    }
    desk.go(Mode::Trained);
    desk.presses("+ + + + + + Enter N Enter t m t m a Enter").idle();
    // The block, if it came to that: the rest is planned again.
    if desk.mode() == Mode::Live {
        desk.presses("- - - - - - Right Right + + + + p + l t l m - - l b + + Space f")
            .presses("> < 3 Enter");
    }
}

/// Keys on the steps of a plan and on what was left out.
fn steps(desk: &mut Desk<'_>) {
    desk.idle().go(Mode::Steps);
    let before = desk.changes;
    // Ever longer holds of ever more steps, until they do not fit.
    for _step in 0..6 {
        desk.presses("> > > < k k v x Down");
    }
    desk.undo(before).presses("o").idle();
    for _ in 0..12 {
        desk.presses("Down Down Enter o");
    }
    desk.presses("Esc").undo(before).idle();
}

/// What was done from a key to its frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Planned,
    Drawn,
    Saved,
    WhatIf,
}

impl Kind {
    const ALL: [Self; 4] = [Self::Planned, Self::Drawn, Self::Saved, Self::WhatIf];

    const fn words(self) -> &'static str {
        match self {
            Self::Planned => "key to frame with a new plan",
            Self::Drawn => "key to frame without",
            Self::Saved => "key to frame with something saved",
            Self::WhatIf => "a side question, between keys",
        }
    }
}

/// A key of the script.
#[derive(Debug)]
struct Pressed {
    kind: Kind,
    what: String,
    /// In every round.
    took: Vec<Duration>,
}

impl Pressed {
    fn words(&self) -> String {
        let mut took = self.took.clone();
        took.sort_unstable();
        let took: Vec<String> = took.iter().map(|took| format!("{:.2}", took.as_secs_f64() * 1e3)).collect();
        format!("{} ({} ms)", self.what, took.join(", "))
    }

    /// What it takes every time.
    fn work(&self) -> Duration {
        self.took.iter().copied().min().unwrap_or_default()
    }
}

/// The keys of the script, in their order.
#[derive(Debug, Default)]
struct Log {
    pressed: Vec<Pressed>,
    next: usize,
}

impl Log {
    fn note(&mut self, kind: Kind, what: String, took: Duration) {
        if let Some(pressed) = self.pressed.get_mut(self.next) {
            assert_eq!((pressed.kind, &pressed.what), (kind, &what), "the rounds are not alike");
            pressed.took.push(took);
        } else {
            self.pressed.push(Pressed { kind, what, took: vec![took] });
        }
        self.next += 1;
    }
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

/// Puts years of the same sessions before those of a client of the demo, which are of the last one.
fn add_years(file: &Path) {
    let text = fs::read_to_string(file).unwrap();
    let (head, sessions) = text.split_at(text.find("[[session]]").unwrap());
    let earlier = |years: i32| {
        [2025, 2026].iter().fold(sessions.to_owned(), |text, year| {
            text.replace(&format!("= {year}-"), &format!("= {}-", year - years))
        })
    };
    let sessions: String = (0..YEARS).rev().map(earlier).collect();
    fs::write(file, format!("{head}{sessions}")).unwrap();
}

fn now() -> Now {
    Now { moment: Moment::new(Duration::ZERO), wall: DateTime::parse_from_rfc3339(NOW).unwrap() }
}

/// The screens with the program's own planners, drawn on 200 columns and 60 rows.
struct Desk<'l> {
    app: App,
    services: Services,
    /// Answers side questions, in the program on a thread of its own.
    beside: Services,
    what_ifs: Vec<Effect>,
    terminal: ratatui::Terminal<TestBackend>,
    name: String,
    /// Of the last plan that was asked for.
    minutes: u8,
    /// That can be taken back.
    changes: usize,
    log: &'l mut Log,
}

impl<'l> Desk<'l> {
    fn open(folder: &Path, name: &str, log: &'l mut Log) -> Self {
        let services = || {
            let store = Store::open(folder).unwrap();
            Services::open(store, Box::new(Planner::new(Budget::FRAME)), None).unwrap()
        };
        let (services, beside) = (services(), services());
        let shared = Shared {
            theme: Theme { depth: ColourDepth::True, background: Background::Dark, ascii: false },
            roster: None,
            clients: BTreeMap::new(),
            trainer: services.trainer().clone(),
            catalogue: services.catalogue(),
            folder: "(the data folder)".to_owned(),
            demo: false,
            brief: false,
            remote: RemoteKeys::default(),
            farewell: None,
            speaks: false,
            notice: None,
            marked: BTreeMap::new(),
            pictures: Pictures::default(),
        };
        let (app, first) = App::new(shared);
        let terminal = ratatui::Terminal::new(TestBackend::new(200, 60)).unwrap();
        let (what_ifs, name) = (Vec::new(), name.to_owned());
        let mut desk = Self { app, services, beside, what_ifs, terminal, name, minutes: 0, changes: 0, log };
        desk.perform(first);
        desk
    }

    fn mode(&self) -> Mode {
        self.app.top().mode()
    }

    /// Carries out what follows from a key but for side questions; says what that was.
    fn perform(&mut self, effects: Vec<Effect>) -> (Kind, String) {
        let (mut kind, mut what) = (Kind::Drawn, String::new());
        let mut effects = VecDeque::from(effects);
        while let Some(effect) = effects.pop_front() {
            match &effect {
                Effect::Plan(_, Purpose::WhatIf, _) => {
                    self.what_ifs.push(effect);
                    continue;
                }
                Effect::Plan(_, _, question) => {
                    self.minutes = question.minutes.get();
                    (kind, what) = (if kind == Kind::Saved { kind } else { Kind::Planned }, asked(question));
                }
                Effect::Open(..) | Effect::Write(_) | Effect::Save(_) | Effect::Create { .. } => {
                    kind = Kind::Saved;
                }
                _ => {}
            }
            for event in self.services.perform(effect, now().wall) {
                effects.extend(self.app.update(event, now()));
            }
        }
        (kind, what)
    }

    fn press(&mut self, code: KeyCode) -> &mut Self {
        self.key(KeyEvent::new(code, KeyModifiers::NONE))
    }

    fn control(&mut self, letter: char) -> &mut Self {
        self.key(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL))
    }

    /// From a key to the drawn frame, what follows from the key included.
    fn key(&mut self, key: KeyEvent) -> &mut Self {
        let (place, code) = (self.mode(), key.code);
        let start = Instant::now();
        let effects = self.app.update(Event::Key(key), now());
        let (kind, what) = self.perform(effects);
        let size = self.terminal.size().unwrap();
        self.app.prepare((size.width, size.height), now());
        self.terminal.draw(|frame| self.app.view(frame, now())).unwrap();
        let took = start.elapsed();
        self.changes += usize::from(kind == Kind::Planned && code != KeyCode::Char('z'));
        self.log.note(kind, format!("{}, {place:?}, {code}{what}", self.name), took);
        self
    }

    /// Takes changes back until so many are left.
    fn undo(&mut self, left: usize) -> &mut Self {
        for _ in left..self.changes {
            self.presses("z");
        }
        self.changes = left;
        self
    }

    /// Keys by their names.
    fn presses(&mut self, keys: &str) -> &mut Self {
        for key in keys.split(' ') {
            self.press(match key {
                "Down" => KeyCode::Down,
                "Right" => KeyCode::Right,
                "Space" => KeyCode::Char(' '),
                "PageDown" => KeyCode::PageDown,
                "Tab" => KeyCode::Tab,
                "Enter" => KeyCode::Enter,
                "Esc" => KeyCode::Esc,
                letter => KeyCode::Char(letter.chars().next().unwrap()),
            });
        }
        self
    }

    fn type_in(&mut self, words: &str) -> &mut Self {
        for letter in words.chars() {
            self.press(KeyCode::Char(letter));
        }
        self
    }

    /// To a part of the plan, if it is not shown already.
    fn go(&mut self, mode: Mode) -> &mut Self {
        if self.mode() != mode {
            self.press(KeyCode::Tab);
        }
        self
    }

    fn mark(&mut self, muscles: &str) -> &mut Self {
        self.type_in(muscles).press(KeyCode::Enter)
    }

    /// Side questions that are asked while no key waits.
    fn idle(&mut self) -> &mut Self {
        while self.app.next_wake(now()) == Some(Duration::ZERO) {
            let effects = self.app.update(Event::Woke, now());
            self.perform(effects);
            for what_if in std::mem::take(&mut self.what_ifs) {
                let Effect::Plan(_, _, question) = &what_if else { continue };
                let what = format!("{}{}", self.name, asked(question));
                let start = Instant::now();
                let answer = self.beside.perform(what_if, now().wall);
                self.log.note(Kind::WhatIf, what, start.elapsed());
                for event in answer {
                    let effects = self.app.update(event, now());
                    self.perform(effects);
                }
            }
        }
        self
    }
}

/// A question for a plan in short.
fn asked(request: &PlanRequest) -> String {
    let PlanRequest { minutes, trained, wishes, progress, .. } = request;
    let rest = if progress.is_some() { ", the rest" } else { "" };
    let (minutes, trained, kept) = (minutes.get(), trained.len(), wishes.pinned.len());
    format!(" ({minutes} min, {trained} muscles, {kept} kept{rest})")
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
