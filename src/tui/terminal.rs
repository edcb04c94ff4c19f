//! The terminal that the screens are drawn on: taken over, lent to others, given back; its keys, clicks and signals.

mod taken;
mod typed;

use std::io::{self, BufWriter, Stdout, Write};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::crossterm::event::{self, Event as TerminalEvent, MouseButton, MouseEvent, MouseEventKind};
use ratatui::crossterm::terminal::{self, disable_raw_mode};
use ratatui::layout::{Position, Rect};

use crate::failure::set_panic_hook;
use crate::platform::{self, Signal};

use super::app::App;
use super::clock::Clock;
use super::effect::Effect;
use super::event::{Event, Now, Reply, Size, Wheel};
use super::host::Host;
use super::services::Services;
use super::speaker::{Speaker, SpeechCommand};
use super::workers::{Done, Workers};

/// What the threads send.
#[derive(Debug)]
enum Incoming {
    Event(TerminalEvent),
    /// From now on events are read.
    Reading,
    Signal(Signal),
    Done(Done),
    /// What is to be said to the trainer.
    Told(String),
    Gone,
}

/// The terminal as it is drawn on.
pub type Screen = Terminal<CrosstermBackend<BufWriter<Stdout>>>;

/// Room for a whole frame of a large terminal, so that it goes out in one piece.
const FRAME_BYTES: usize = 64 * 1024;

/// Takes the terminal over: every key at once, a screen of its own, what is pasted in one piece. A fault of the program
/// gives it back.
///
/// # Errors
/// The terminal does not do that.
pub fn take_over(mouse: bool) -> io::Result<Screen> {
    set_panic_hook(|| {
        // Nothing more can be done if the terminal is gone too.
        let _ = give_back();
    });
    let backend = CrosstermBackend::new(BufWriter::with_capacity(FRAME_BYTES, io::stdout()));
    let mut screen = Terminal::new(backend)?;
    // What was taken before it failed is not kept.
    taken::take(screen.backend_mut(), mouse).inspect_err(|_| drop(give_back()))?;
    Ok(screen)
}

/// Gives the terminal back as it was.
///
/// # Errors
/// The terminal is gone.
pub fn give_back() -> io::Result<()> {
    taken::give_back()
}

/// How many columns the terminal has, if it says.
pub fn columns() -> Option<usize> {
    terminal::size().ok().map(|(columns, _)| usize::from(columns)).filter(|columns| *columns > 0)
}

/// What the terminal is asked for beside keys and cells.
#[derive(Debug, Clone)]
pub struct Extras {
    /// Clicks and the wheel.
    pub mouse: bool,
    /// To ring at each change.
    pub bell: bool,
    /// What speaks.
    pub speech: Option<SpeechCommand>,
}

/// The terminal that the program was started on, with all that the screens need beside it.
#[derive(Debug)]
pub struct TerminalHost {
    screen: Screen,
    workers: Workers,
    incoming: Receiver<Incoming>,
    clock: Clock,
    extras: Extras,
    speaker: Option<Speaker>,
    /// Whether something else wrote on the screen.
    is_soiled: bool,
    /// Whether the terminal, or a signal, ended the program.
    is_gone: bool,
}

impl TerminalHost {
    /// Starts the threads that read keys and signals.
    ///
    /// # Errors
    /// Signals cannot be caught.
    pub fn start(screen: Screen, services: Services, clock: Clock, extras: Extras) -> io::Result<Self> {
        let (sender, incoming) = channel();
        let signals = sender.clone();
        platform::listen(move |signal| signals.send(Incoming::Signal(signal)).is_ok())?;
        let events = sender.clone();
        thread::spawn(move || read_events(&events));
        let told = sender.clone();
        let speaker = extras.speech.clone().map(|command| {
            Speaker::start(command, move |words| {
                // Nobody listens any more once the program ends.
                let _ = told.send(Incoming::Told(words));
            })
        });
        let hand = Arc::new(move |done| {
            // Nobody listens any more once the program ends.
            let _ = sender.send(Incoming::Done(done));
        });
        let workers = Workers::start(services, hand);
        Ok(Self { screen, workers, incoming, clock, extras, speaker, is_soiled: false, is_gone: false })
    }

    /// Whether the terminal, or a signal, ended the program: then nobody may be there to read anything.
    pub const fn is_gone(&self) -> bool {
        self.is_gone
    }

    /// Takes the terminal over again, whatever was done to it meanwhile.
    fn take_back(&mut self) -> io::Result<()> {
        // What is thought to be set is not set again otherwise.
        disable_raw_mode()?;
        self.is_soiled = true;
        taken::take(self.screen.backend_mut(), self.extras.mouse)
    }

    /// Lends the terminal to whoever asked for it, until the program is continued.
    fn lend(&mut self) -> io::Result<()> {
        give_back()?;
        platform::stand_still()?;
        self.take_back()
    }

    fn take(&mut self, incoming: Incoming) -> io::Result<Event> {
        Ok(match incoming {
            Incoming::Event(TerminalEvent::Key(key)) => Event::Key(typed::meant(key)),
            Incoming::Event(TerminalEvent::Mouse(event)) => mouse(event),
            Incoming::Event(TerminalEvent::Paste(text)) => Event::Paste(text),
            Incoming::Event(_) | Incoming::Reading => Event::Woke,
            Incoming::Told(words) => Event::Reply(Reply::Noticed(words)),
            Incoming::Done(done) => self.workers.take(done).unwrap_or(Event::Woke),
            Incoming::Signal(Signal::Suspend) => {
                self.lend()?;
                Event::Woke
            }
            Incoming::Signal(Signal::Continue) => {
                self.take_back()?;
                Event::Woke
            }
            Incoming::Signal(Signal::End) => {
                self.is_gone = true;
                Event::Closing
            }
            Incoming::Gone => return Err(self.lost()),
        })
    }

    fn lost(&mut self) -> io::Error {
        self.is_gone = true;
        io::ErrorKind::UnexpectedEof.into()
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
    while let Ok(events) = typed::read() {
        for event in events {
            if sender.send(Incoming::Event(event)).is_err() {
                return;
            }
        }
    }
}

/// A click with the left button, or a turn of the wheel; anything else is as good as nothing.
fn mouse(event: MouseEvent) -> Event {
    match (event.kind, terminal::size()) {
        (MouseEventKind::Down(MouseButton::Left), Ok(size)) => {
            Event::Click { at: (event.column, event.row), size }
        }
        (MouseEventKind::ScrollDown, _) => Event::Wheel(Wheel::Down),
        (MouseEventKind::ScrollUp, _) => Event::Wheel(Wheel::Up),
        _ => Event::Woke,
    }
}

impl Host for TerminalHost {
    fn now(&self) -> Now {
        self.clock.now()
    }

    fn size(&self) -> Option<Size> {
        self.screen.size().ok().map(|size| (size.width, size.height))
    }

    fn show(&mut self, app: &App) -> io::Result<()> {
        if std::mem::take(&mut self.is_soiled) {
            // Clearing would ask the terminal where its cursor is, and the answer goes to the thread that reads keys.
            let size = self.screen.size()?;
            self.screen.resize(Rect::from((Position::ORIGIN, size)))?;
        }
        let now = self.clock.now();
        self.screen.draw(|frame| app.view(frame, now)).map(|_| ())
    }

    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Event> {
        let incoming = match at_most {
            Some(at_most) => self.incoming.recv_timeout(at_most),
            None => self.incoming.recv().map_err(RecvTimeoutError::from),
        };
        match incoming {
            Ok(incoming) => self.take(incoming),
            Err(RecvTimeoutError::Timeout) => Ok(Event::Woke),
            Err(RecvTimeoutError::Disconnected) => Err(self.lost()),
        }
    }

    fn perform(&mut self, effect: Effect) -> Vec<Event> {
        let bells = match (effect, &self.speaker) {
            (Effect::Speak(utterance), Some(speaker)) => speaker.say(utterance),
            // Where something speaks, it says how often a bell rings.
            (Effect::Speak(_), None) | (Effect::Bell, Some(_)) => 0,
            (Effect::Bell, None) => 1,
            (effect, _) => return self.workers.perform(effect, self.clock.now().wall),
        };
        if self.extras.bell {
            ring(bells);
        }
        Vec::new()
    }
}

/// Rings so often, beside the screens where that takes time: bells at once are heard as one.
fn ring(bells: u8) {
    const APART: Duration = Duration::from_millis(200);
    let bell = || {
        let mut out = io::stdout().lock();
        // A terminal that cannot ring is no reason to stop.
        let _ = out.write_all(b"\x07").and_then(|()| out.flush());
    };
    if bells > 0 {
        bell();
    }
    if bells > 1 {
        thread::spawn(move || {
            for _ in 1..bells {
                thread::sleep(APART);
                bell();
            }
        });
    }
}
