//! A program on a real pseudo-terminal, with an emulator that reads its screen.

#![expect(clippy::unwrap_used, reason = "a failed step of a script is a failed test")]

use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use portable_pty::{Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system};

/// How long the program may be silent before the test gives up; nothing waits that long when all is well.
const PATIENCE: Duration = Duration::from_secs(20);
/// How often it may write without what is waited for: it writes once a second by itself while a block runs.
const TALK: usize = 200;

pub(crate) struct Terminal {
    pub(crate) master: Box<dyn MasterPty + Send>,
    pub(crate) child: Box<dyn Child + Send + Sync>,
    pub(crate) keys: Box<dyn Write + Send>,
    pub(crate) output: Receiver<Vec<u8>>,
    pub(crate) screen: vt100::Parser,
    pub(crate) flags: String,
}

pub(crate) fn cells(number: u16) -> NonZeroU16 {
    NonZeroU16::new(number).unwrap()
}

/// A command in surroundings that do not depend on who runs the test.
pub(crate) fn command(program: impl AsRef<std::ffi::OsStr>) -> CommandBuilder {
    let mut command = CommandBuilder::new(program);
    command.env_clear();
    for (name, value) in [("TERM", "xterm-256color"), ("LANG", "C.UTF-8"), ("TZ", "UTC")] {
        command.env(name, value);
    }
    command
}

/// What the terminal does with keys, where the system tells that.
#[cfg(unix)]
pub(crate) fn flags(terminal: &dyn MasterPty) -> String {
    format!("{:?}", terminal.get_termios().unwrap().local_flags)
}

#[cfg(not(unix))]
pub(crate) fn flags(_terminal: &dyn MasterPty) -> String {
    String::new()
}

impl Terminal {
    pub(crate) fn start(command: CommandBuilder, (columns, rows): (u16, u16)) -> Self {
        let size = PtySize { rows, cols: columns, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let flags = flags(pair.master.as_ref());
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
    pub(crate) fn until(&mut self, wanted: &str, is_so: impl Fn(&vt100::Screen) -> bool) {
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

    pub(crate) fn see(&mut self, words: &str) -> &mut Self {
        self.until(words, |screen| {
            let shown = screen.contents();
            shown.contains(words) || crate::tall::words(&shown).contains(words)
        });
        self
    }

    pub(crate) fn keys(&mut self, keys: &str) -> &mut Self {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
        self
    }

    #[cfg_attr(
        not(unix),
        allow(dead_code, clippy::allow_attributes, reason = "only tests of signals and the benchmark ask")
    )]
    pub(crate) fn process(&self) -> u32 {
        self.child.process_id().unwrap()
    }

    /// Waits for the program's end and looks whether the terminal is as it was.
    pub(crate) fn end(mut self) -> ExitStatus {
        self.until("the terminal given back", |screen| !screen.alternate_screen() && !screen.hide_cursor());
        let status = self.child.wait().unwrap();
        let flags = flags(self.master.as_ref());
        assert_eq!(flags, self.flags, "raw mode was left on");
        status
    }
}
