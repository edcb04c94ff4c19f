//! The program on a real pseudo-terminal: plan, run and report; resize; signals; the terminal given back.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use matside::body::Level;
use matside::client::{ClientId, Profile};
use matside::store::Store;
use portable_pty::{Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system};

/// How long the program may be silent before the test gives up; nothing waits that long when all is well.
const PATIENCE: Duration = Duration::from_secs(20);
/// How often it may write without what is waited for: it writes once a second by itself while a block runs.
const TALK: usize = 200;

struct Terminal {
    master: Box<dyn MasterPty + Send>,
    child: Box<dyn Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    output: Receiver<Vec<u8>>,
    screen: vt100::Parser,
    flags: String,
}

fn cells(number: u16) -> NonZeroU16 {
    NonZeroU16::new(number).unwrap()
}

impl Terminal {
    fn start(data: &Path, (columns, rows): (u16, u16)) -> Self {
        let size = PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let flags = format!("{:?}", pair.master.get_termios().unwrap().local_flags);
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_matside"));
        command.env_clear();
        for (name, value) in [("TERM", "xterm-256color"), ("LANG", "C.UTF-8"), ("TZ", "UTC")] {
            command.env(name, value);
        }
        command.args(["--data".as_ref(), data.as_os_str()]);
        command.args(["--now", "2026-11-25T18:45:00+00:00"]);
        let child = pair.slave.spawn_command(command).unwrap();
        let mut reader = pair.master.try_clone_reader().unwrap();
        let (sender, output) = channel();
        thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = reader.read(&mut bytes) {
                if sender.send(bytes[..count].to_vec()).is_err() {
                    return;
                }
            }
        });
        let keys = pair.master.take_writer().unwrap();
        let screen = vt100::Parser::new(cells(rows), cells(columns), 0);
        Self { master: pair.master, child, keys, output, screen, flags }
    }

    /// Waits until the screen is as wanted.
    fn until(&mut self, wanted: &str, is_so: impl Fn(&vt100::Screen) -> bool) {
        for _ in 0..TALK {
            if is_so(self.screen.screen()) {
                return;
            }
            match self.output.recv_timeout(PATIENCE) {
                Ok(bytes) => self.screen.process(&bytes),
                Err(error) => panic!("not so: {wanted} ({error})\n{}", self.screen.screen().contents()),
            }
        }
        panic!("not so: {wanted}\n{}", self.screen.screen().contents());
    }

    fn see(&mut self, words: &str) -> &mut Self {
        self.until(words, |screen| screen.contents().contains(words));
        self
    }

    fn keys(&mut self, keys: &str) -> &mut Self {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
        self
    }

    fn signal(&self, name: &str) {
        let id = self.child.process_id().unwrap().to_string();
        assert!(std::process::Command::new("kill").args([name, &id]).status().unwrap().success());
    }

    /// Waits for the program's end and looks whether the terminal is as it was.
    fn end(mut self) -> ExitStatus {
        self.until("the terminal given back", |screen| !screen.alternate_screen() && !screen.hide_cursor());
        let status = self.child.wait().unwrap();
        let flags = format!("{:?}", self.master.get_termios().unwrap().local_flags);
        assert_eq!(flags, self.flags, "raw mode was left on");
        status
    }
}

fn studio(name: &str) -> (tempfile::TempDir, ClientId) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let id = store.new_id(name).unwrap();
    store.create(&Profile::new(id.clone(), name)).unwrap();
    (folder, id)
}

/// Plans for two muscles, gets consent and begins the first hold.
fn begin(terminal: &mut Terminal) {
    terminal.see("Who is next?").keys("\r").see("10 min, up at 18:55");
    terminal.keys("ham\r").see("Trained today").see("proven").keys("\r").see("1 of 13");
    terminal.keys("a").see("May I stretch you now");
    terminal.keys("y").see("SETTLE").keys("\r");
}

#[test]
fn a_block_is_planned_run_and_reported_and_stands_in_the_file() {
    let (folder, id) = studio("Ilse Brandt");
    let mut terminal = Terminal::start(folder.path(), (80, 24));
    begin(&mut terminal);
    // From phase to phase by hand until the first hold runs, then its end.
    terminal.keys("\r\r").see("HOLD").keys("4").see("[4]").keys("s").see("step 2 of");
    let session = &Store::open(folder.path()).unwrap().load(&id).unwrap().sessions[0];
    assert_eq!(session.reports[&1].level.map(Level::get), Some(4), "on the disk while the block runs");
    terminal.keys("f").see("What came out?").keys("\r").see("closed;").keys("\x03");
    assert!(terminal.end().success());
    let session = &Store::open(folder.path()).unwrap().load(&id).unwrap().sessions[0];
    assert!(session.closed.is_some() && !session.reports.is_empty());
}

#[test]
fn another_size_is_drawn_at_once_and_too_small_a_one_says_so() {
    let (folder, _) = studio("Ilse Brandt");
    let mut terminal = Terminal::start(folder.path(), (80, 24));
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
fn a_signal_ends_the_program_with_every_report_kept_and_the_terminal_given_back() {
    for signal in ["-TERM", "-HUP"] {
        let (folder, id) = studio("Ilse Brandt");
        let mut terminal = Terminal::start(folder.path(), (80, 24));
        begin(&mut terminal);
        terminal.keys("s").see("step 2 of");
        terminal.signal(signal);
        assert!(!terminal.end().success());
        let session = &Store::open(folder.path()).unwrap().load(&id).unwrap().sessions[0];
        assert_eq!((session.reports.len(), session.closed), (1, None), "{signal}");
    }
}

#[test]
fn a_window_that_is_closed_ends_the_program() {
    let (folder, id) = studio("Ilse Brandt");
    let mut terminal = Terminal::start(folder.path(), (80, 24));
    begin(&mut terminal);
    terminal.keys("s").see("step 2 of");
    let Terminal { master, mut child, keys, output, .. } = terminal;
    let process = child.process_id().unwrap();
    drop((master, keys, output));
    // The reading thread holds the last handle until the program ends; the hang-up is what a window sends first.
    let hang_up = std::process::Command::new("kill").args(["-HUP", &process.to_string()]).status().unwrap();
    assert!(hang_up.success());
    assert!(!child.wait().unwrap().success());
    let session = &Store::open(folder.path()).unwrap().load(&id).unwrap().sessions[0];
    assert_eq!((session.reports.len(), session.closed), (1, None));
}
