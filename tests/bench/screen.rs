//! How quickly the screens answer: from a key to the drawn frame, with a new plan and without.
//!
//! ```text
//! cargo bench --bench screen
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![expect(clippy::unwrap_used, reason = "a benchmark that cannot be set up has no figures")]

use std::collections::BTreeMap;
use std::fs;
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
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

fn main() {
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
    let wall = DateTime::parse_from_rfc3339("2026-11-25T18:45:00+00:00").unwrap();
    Now { moment: Moment::new(Duration::ZERO), wall }
}

/// The screens with the program's own planner, drawn on 200 columns and 60 rows.
struct Desk {
    app: App,
    office: Office,
    terminal: Terminal<TestBackend>,
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
            folder: office.folder(),
            demo: false,
            notice: None,
        };
        let (app, first) = App::new(shared);
        let mut desk = Self { app, office, terminal: Terminal::new(TestBackend::new(200, 60)).unwrap() };
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
