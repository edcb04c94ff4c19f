//! The real host: the terminal, the clock, signals.

use std::io::{self, BufWriter, Stdout, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, Local, TimeDelta};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::cursor::Show;
use ratatui::crossterm::event::{
    self, DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, Event as TerminalEvent,
    MouseButton, MouseEvent, MouseEventKind,
};
use ratatui::crossterm::style::Print;
use ratatui::crossterm::terminal::{
    self, EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use ratatui::crossterm::{execute, queue};
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM};
use signal_hook::iterator::Signals;

use crate::catalogue::Catalogue;
use crate::client::Trainer;
use crate::failure::on_fault;
use crate::planner::{Budget, Planner};
use crate::session::Moment;

use super::effect::{Effect, Purpose, Question};
use super::event::{ClientList, Event, Now, Reply};
use super::runtime::{Host, World};
use super::services::{self, PlanMaker, Services};

/// What the threads send.
#[derive(Debug)]
enum Incoming {
    Event(TerminalEvent),
    /// From now on events are read.
    Reading,
    Signal(i32),
    /// A plan that was worked out beside.
    Solved(Box<Reply>),
    /// The clients, for the question of that number.
    Listed(u64, Result<ClientList, String>),
    Gone,
}

/// The terminal as it is drawn on.
pub type Screen = Terminal<CrosstermBackend<BufWriter<Stdout>>>;

/// Room for a whole frame of a large terminal, so that it goes out in one piece.
const FRAME_BYTES: usize = 64 * 1024;

/// Asks for presses and the wheel with their cells, but not for each movement, which would wake the program: the modes
/// 1000 and 1006 of xterm's control sequences.
const CLICKS: &str = "\x1b[?1000h\x1b[?1006h";

/// Takes the terminal over: every key at once, a screen of its own, what is pasted in one piece. A fault of the program
/// gives it back.
///
/// # Errors
/// The terminal does not do that.
pub fn take_over(mouse: bool) -> io::Result<Screen> {
    on_fault(|| {
        // Nothing more can be done if the terminal is gone too.
        let _ = give_back();
    });
    enable_raw_mode()?;
    let mut screen =
        Terminal::new(CrosstermBackend::new(BufWriter::with_capacity(FRAME_BYTES, io::stdout())))?;
    // All of it goes out with the first frame.
    queue!(screen.backend_mut(), EnterAlternateScreen, EnableBracketedPaste)?;
    if mouse {
        queue!(screen.backend_mut(), Print(CLICKS))?;
    }
    Ok(screen)
}

/// Gives the terminal back as it was.
///
/// # Errors
/// The terminal is gone.
pub fn give_back() -> io::Result<()> {
    // One after the other, so that each is tried whatever becomes of the other.
    let cooked = disable_raw_mode();
    execute!(io::stdout(), DisableMouseCapture, DisableBracketedPaste, LeaveAlternateScreen, Show)?;
    cooked
}

/// A side question.
#[derive(Debug)]
struct WhatIfJob {
    job: u64,
    question: Box<Question>,
    catalogue: Arc<Catalogue>,
    trainer: Trainer,
}

/// The clocks: one that never goes back, and the one on the wall.
#[derive(Debug)]
pub struct Clock {
    started: Instant,
    wall_started: DateTime<FixedOffset>,
    /// Added to the wall's time, where the program is to believe in another day.
    shift: TimeDelta,
}

impl Clock {
    /// Starts now; `pretend` is the time that is taken for now.
    pub fn start(pretend: Option<DateTime<FixedOffset>>) -> Self {
        let wall = Local::now().fixed_offset();
        let shift = pretend.map_or(TimeDelta::zero(), |pretend| pretend.signed_duration_since(wall));
        Self { started: Instant::now(), wall_started: wall, shift }
    }

    /// The time.
    pub fn now(&self) -> Now {
        /// A wall clock that is ahead by more than this was not just set right: the machine slept.
        const SLEPT: Duration = Duration::from_secs(2);
        let ticked = self.started.elapsed();
        let wall = Local::now().fixed_offset();
        let by_wall = wall.signed_duration_since(self.wall_started).to_std().unwrap_or(ticked);
        let passed = if by_wall > ticked + SLEPT { by_wall } else { ticked };
        let wall = wall.checked_add_signed(self.shift).unwrap_or(wall);
        Now { moment: Moment::new(passed), wall }
    }
}

/// The terminal that the program was started on.
#[derive(Debug)]
pub struct TerminalHost {
    services: Services,
    sender: Sender<Incoming>,
    incoming: Receiver<Incoming>,
    /// Tells the proof that is under way that nobody waits for it any more.
    called_off: Arc<AtomicBool>,
    /// Side questions on their way to the thread that answers them.
    what_ifs: Sender<WhatIfJob>,
    /// How often the clients were asked for; only the latest answer counts.
    lists: u64,
    clock: Clock,
    bell: bool,
    /// The signal or loss that ends the program, if one did.
    pub gone: bool,
}

impl TerminalHost {
    /// Starts the threads that read keys and signals.
    ///
    /// # Errors
    /// Signals cannot be caught.
    pub fn start(services: Services, clock: Clock, bell: bool) -> io::Result<Self> {
        let (sender, incoming) = channel();
        read_signals(sender.clone())?;
        let events = sender.clone();
        thread::spawn(move || read_events(&events));
        let (what_ifs, questions) = channel();
        let called_off = Arc::default();
        let host =
            Self { services, sender, incoming, called_off, what_ifs, lists: 0, clock, bell, gone: false };
        host.answer_what_ifs(questions);
        Ok(host)
    }

    /// Answers side questions beside, so that a key never waits for one.
    fn answer_what_ifs(&self, questions: Receiver<WhatIfJob>) {
        let sender = self.sender.clone();
        thread::spawn(move || {
            let mut planner = Planner::new(Budget::FRAME);
            for WhatIfJob { job, question, catalogue, trainer } in questions {
                let plan = PlanMaker::plan(&mut planner, &question, &catalogue, &trainer).map(Box::new);
                let reply = Reply::Solved { job, purpose: Purpose::WhatIf, plan };
                // Nobody listens any more once the program ends.
                let _ = sender.send(Incoming::Solved(Box::new(reply)));
            }
        });
    }

    /// Reads the clients beside, so that a name can be typed meanwhile.
    fn list(&mut self) {
        self.lists += 1;
        let (number, read, sender) = (self.lists, self.services.reader(), self.sender.clone());
        thread::spawn(move || {
            // Nobody listens any more once the program ends.
            let _ = sender.send(Incoming::Listed(number, read()));
        });
    }

    /// Goes on looking for a better plan, or the proof that there is none, while keys are taken.
    fn prove(&mut self, job: u64, question: Box<Question>) {
        let called_off = Arc::new(AtomicBool::new(false));
        self.called_off = Arc::clone(&called_off);
        let (catalogue, trainer, sender) =
            (self.services.catalogue(), self.services.trainer().clone(), self.sender.clone());
        thread::spawn(move || {
            let is_called_off = || called_off.load(Ordering::Relaxed);
            let plan = services::prove(&question, &catalogue, &trainer, &is_called_off).map(Box::new);
            if !is_called_off() {
                let reply = Reply::Solved { job, purpose: Purpose::Main, plan };
                // Nobody listens any more once the program ends.
                let _ = sender.send(Incoming::Solved(Box::new(reply)));
            }
        });
    }
}

/// Says at its end, whatever ends it, that no key comes any more.
struct LastWord<'a>(&'a Sender<Incoming>);

impl Drop for LastWord<'_> {
    fn drop(&mut self) {
        // Nobody listens any more once the program ends.
        let _ = self.0.send(Incoming::Gone);
    }
}

/// Sends every event; ends when the terminal or the listener is gone.
fn read_events(sender: &Sender<Incoming>) {
    let _last = LastWord(sender);
    // Only from here on is another size told; one that came before has to be looked for.
    if event::poll(Duration::ZERO).is_err() || sender.send(Incoming::Reading).is_err() {
        return;
    }
    while let Ok(event) = event::read() {
        if sender.send(Incoming::Event(event)).is_err() {
            return;
        }
    }
}

/// A click with the left button, or a turn of the wheel; anything else is as good as nothing.
fn mouse(event: MouseEvent) -> Event {
    match (event.kind, terminal::size()) {
        (MouseEventKind::Down(MouseButton::Left), Ok(size)) => {
            Event::Click { at: (event.column, event.row), size }
        }
        (MouseEventKind::ScrollDown, _) => Event::Wheel(true),
        (MouseEventKind::ScrollUp, _) => Event::Wheel(false),
        _ => Event::Woke,
    }
}

/// Sends every signal that ends or wakes the program.
pub(super) fn signals() -> io::Result<Signals> {
    Signals::new([SIGHUP, SIGINT, SIGTERM, SIGCONT])
}

fn read_signals(sender: Sender<Incoming>) -> io::Result<()> {
    let mut signals = signals()?;
    thread::spawn(move || {
        for signal in signals.forever() {
            if sender.send(Incoming::Signal(signal)).is_err() {
                return;
            }
        }
    });
    Ok(())
}

impl World for TerminalHost {
    fn now(&self) -> Now {
        self.clock.now()
    }

    fn perform(&mut self, effect: Effect) -> Option<Event> {
        let effect = match effect {
            Effect::Bell if self.bell => {
                let mut out = io::stdout().lock();
                // A terminal that cannot ring is no reason to stop.
                let _ = out.write_all(b"\x07").and_then(|()| out.flush());
                return None;
            }
            Effect::Roster => {
                self.list();
                return None;
            }
            Effect::Solve { job, purpose: Purpose::WhatIf, question } => {
                let (catalogue, trainer) = (self.services.catalogue(), self.services.trainer().clone());
                // A question that nobody answers is as good as one that is not answered yet.
                let _ = self.what_ifs.send(WhatIfJob { job, question, catalogue, trainer });
                return None;
            }
            effect => effect,
        };
        let question = match &effect {
            Effect::Solve { job, purpose: Purpose::Main, question } => Some((*job, question.clone())),
            _ => None,
        };
        let answer = self.services.perform(effect);
        if let Some((job, question)) = question {
            self.called_off.store(true, Ordering::Relaxed);
            if matches!(&answer, Some(Event::Reply(Reply::Solved { plan: Ok(plan), .. })) if !plan.is_proven())
            {
                self.prove(job, question);
            }
        }
        answer
    }

    fn news(&mut self) -> Option<Event> {
        self.services.news()
    }
}

impl Host for TerminalHost {
    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Event> {
        let incoming = match at_most {
            Some(at_most) => self.incoming.recv_timeout(at_most),
            None => self.incoming.recv().map_err(RecvTimeoutError::from),
        };
        match incoming {
            Ok(Incoming::Event(TerminalEvent::Key(key))) => Ok(Event::Key(key)),
            Ok(Incoming::Event(TerminalEvent::Mouse(event))) => Ok(mouse(event)),
            Ok(Incoming::Event(TerminalEvent::Paste(text))) => Ok(Event::Paste(text)),
            Ok(Incoming::Listed(number, read)) if number == self.lists => {
                Ok(Event::Reply(self.services.listed(read)))
            }
            Ok(Incoming::Event(_) | Incoming::Reading | Incoming::Listed(..))
            | Err(RecvTimeoutError::Timeout) => Ok(Event::Woke),
            Ok(Incoming::Solved(reply)) => Ok(Event::Reply(*reply)),
            Ok(Incoming::Signal(SIGCONT)) => {
                enable_raw_mode()?;
                Ok(Event::Redraw)
            }
            Ok(Incoming::Signal(_)) => {
                self.gone = true;
                Ok(Event::Leave)
            }
            Ok(Incoming::Gone) | Err(RecvTimeoutError::Disconnected) => {
                self.gone = true;
                Err(io::Error::from(io::ErrorKind::UnexpectedEof))
            }
        }
    }
}
