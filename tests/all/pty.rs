//! The program on a real pseudo-terminal: plan, run and report; resize; signals; a fault; the terminal given back.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

pub(crate) mod terminal;

use std::path::Path;

use matside::body::Level;
use matside::client::{ClientId, Profile, Session};
use matside::planner::{Budget, Plan, PlanRequest, Planner};
use matside::store::Store;
use matside::tui::services::PlanMaker;
use matside::tui::{self, Failure, Options};
use portable_pty::PtySize;

use terminal::{Terminal, cells, command};

/// When the program is made to believe that it starts.
pub(crate) const NOW: &str = "2026-11-25T18:45:00+00:00";

pub(crate) fn start(data: &Path, size: (u16, u16)) -> Terminal {
    let mut command = command(env!("CARGO_BIN_EXE_matside"));
    command.args(["--data".as_ref(), data.as_os_str()]);
    command.args(["--now", NOW]);
    Terminal::start(command, size)
}

pub(crate) fn studio(name: &str) -> (tempfile::TempDir, ClientId) {
    let folder = tempfile::tempdir().unwrap();
    let id = studio_in(folder.path(), name);
    (folder, id)
}

pub(crate) fn studio_in(folder: &Path, name: &str) -> ClientId {
    let store = Store::open(folder).unwrap();
    let id = store.new_id(name).unwrap();
    store.create(&Profile::new(id.clone(), name)).unwrap();
    id
}

pub(crate) fn session(folder: &Path, id: &ClientId) -> Session {
    Store::open(folder).unwrap().load(id).unwrap().sessions.remove(0)
}

/// Plans for two muscles, gets consent and begins the first hold.
pub(crate) fn begin(terminal: &mut Terminal) {
    terminal.see("Who is next?").keys("\r").see("10 min, up at 18:55");
    terminal.keys("ham\r").see("Trained today").see("planned").keys("\r").see("1 of 16");
    terminal.keys("N\r").see("May I ");
    terminal.keys("a\r").see("READY").keys("\r");
}

/// Into the first hold, with an answer.
pub(crate) fn hold(terminal: &mut Terminal) {
    begin(terminal);
    terminal.keys("\r\r").see("HOLD").keys("4").see("saved when");
}

#[test]
fn a_block_is_planned_run_and_reported_and_stands_in_the_file() {
    let (folder, id) = studio("Ilse Brandt");
    let mut terminal = start(folder.path(), (80, 24));
    // From phase to phase by hand until the first hold runs, then its end.
    hold(&mut terminal);
    terminal.keys("\x1b[C").see("2 of ");
    let report = &session(folder.path(), &id).reports[&1];
    assert_eq!(report.level.map(Level::get), Some(4), "on the disk while the block runs");
    terminal.keys(" f").see("what came out").keys("\r").see("closed and saved").keys("\x03");
    assert!(terminal.end().success());
    let session = session(folder.path(), &id);
    assert!(session.closed.is_some() && !session.reports.is_empty());
}

#[test]
fn a_passphrase_is_typed_unseen_and_ctrl_c_at_it_gives_the_terminal_back() {
    let folder = tempfile::tempdir().unwrap();
    let key = include_str!("../data/passphrase.toml");
    std::fs::write(folder.path().join("passphrase.toml"), key).unwrap();
    let store = Store::open(folder.path()).unwrap().unlock("a cat on the roof").unwrap();
    store.create(&Profile::new(ClientId::new("ilse").unwrap(), "Ilse Brandt")).unwrap();
    let mut terminal = start(folder.path(), (80, 24));
    terminal.see("Passphrase of").keys("\x03");
    assert!(!terminal.end().success());
    let mut terminal = start(folder.path(), (80, 24));
    terminal.see("Passphrase of").keys("a cat on the roof\r").see("Ilse Brandt");
    assert!(!terminal.screen.screen().contents().contains("cat"));
    terminal.keys("\x03");
    assert!(terminal.end().success());
}

#[test]
fn another_size_is_drawn_at_once_and_too_small_a_one_says_so() {
    let (folder, _) = studio("Ilse Brandt");
    let mut terminal = start(folder.path(), (80, 24));
    terminal.see("Who is next?");
    for (columns, rows, words) in [(20, 5, "needs 40x12"), (120, 40, "Ilse Brandt")] {
        terminal.screen.screen_mut().set_size(cells(rows), cells(columns));
        terminal.master.resize(PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 }).unwrap();
        terminal.see(words);
    }
    terminal.keys("\x03");
    assert!(terminal.end().success());
}

#[test]
fn lines_are_typed_and_heard_on_a_terminal() {
    let (folder, _) = studio("Ilse Brandt");
    let mut command = command(env!("CARGO_BIN_EXE_matside"));
    command.args(["--linear".as_ref(), "--data".as_ref(), folder.path().as_os_str()]);
    command.args(["--now", NOW]);
    let mut terminal = Terminal::start(command, (120, 50));
    terminal.see("1 of 1: Ilse Brandt").keys("\r").see("ten minutes, up at 18 55");
    terminal.keys("ham\r").see("1 of 1: hamstrings").keys("\r").see("First: ");
    terminal.keys("\r").see("Question 1 of 16").keys("tight hip\r").see("Nothing here is called tight hip");
    terminal.keys("quit\r");
    assert!(terminal.end().success());
}

#[test]
fn what_is_pasted_presses_no_key() {
    let (folder, _) = studio("Ilse Brandt");
    let mut terminal = start(folder.path(), (80, 24));
    terminal.see("Ilse Brandt").keys("\x1b[200~Nora\rQuint\x1b[201~").see("`Nora Quint`");
    terminal.keys("\x03");
    assert!(terminal.end().success());
}

/// Plans as the program does, until a block is under way: then it has a fault, and words about the client on its lips.
#[derive(Debug)]
struct Faulty(Planner);

impl PlanMaker for Faulty {
    fn plan(&mut self, request: &PlanRequest) -> Result<Plan, Failure> {
        assert!(request.progress.is_none(), "no rest for {}", request.today.client.profile.name);
        PlanMaker::plan(&mut self.0, request)
    }
}

/// Where the program with a fault finds its data.
const FAULTY: &str = "FAULTY_DATA";

/// The program with a fault, as the test below runs it on a terminal.
fn run_with_a_fault(data: &std::ffi::OsStr) {
    let options = Options { pretend: Some(NOW.parse().unwrap()), ..Options::default() };
    tui::run_with(Store::open(data).unwrap(), Box::new(Faulty(Planner::new(Budget::FRAME))), &options)
        .unwrap();
}

#[test]
fn a_fault_gives_the_terminal_back_names_no_client_and_loses_no_report() {
    if let Some(data) = std::env::var_os(FAULTY) {
        return run_with_a_fault(&data);
    }
    let (folder, id) = studio("Ilse Brandt");
    let mut command = command(std::env::current_exe().unwrap());
    let this = "pty::a_fault_gives_the_terminal_back_names_no_client_and_loses_no_report";
    command.args(["--exact", this, "--nocapture"]);
    command.env(FAULTY, folder.path());
    let mut terminal = Terminal::start(command, (80, 24));
    begin(&mut terminal);
    terminal.keys("\r\r").see("HOLD").keys("4").see("saved when").keys("\x1b[C").see("2 of ");
    terminal.keys("-").see("has a fault at tests/all/pty.rs").see("is in the client's file");
    let words = terminal.screen.screen().contents();
    assert!(!words.contains("Ilse") && !words.contains("no rest for"), "{words}");
    assert!(!terminal.end().success());
    let kept = session(folder.path(), &id);
    assert_eq!((kept.reports.len(), kept.closed), (1, None));
    assert_eq!(kept.reports[&1].level.map(Level::get), Some(4));
    // The next start offers the block again.
    let mut terminal = start(folder.path(), (80, 24));
    terminal.see("cut off, to be taken up or closed").keys("\x03");
    assert!(terminal.end().success());
}
