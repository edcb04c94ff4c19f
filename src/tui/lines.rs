//! Every screen as plain lines, for screen readers and for terminals that cannot place a cursor.
//!
//! A line that is typed is the name of a key, or letters where letters are typed ([`words`]); what is said of a screen
//! is what has changed since it was said last ([`announcer`]).

pub mod announcer;
mod cut;
mod ear;
mod half_typed;
mod heard;
pub mod words;

use std::io::{self, BufRead, IsTerminal as _, Read, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

use crate::platform::{self, LetterByLetter};

use super::app::App;
use super::clock::Clock;
use super::effect::Effect;
use super::event::{Event, Now, Reply};
use super::host::Host;
use super::page::ClockView;
use super::services::Services;
use super::speaker::{Speaker, SpeechCommand};
use super::text;
use announcer::{Announcer, Trigger};
use cut::Occasion;
use half_typed::{HalfTyped, read_letters};
pub use heard::Heard;

/// The longest line that is taken, in bytes.
const MOST: u64 = 1000;

/// What goes on with what was cut off.
const MORE: &str = "more";

/// What is a bell in brief.
const HOLD: &str = "Hold.";

/// A host that reads lines and writes lines.
#[derive(Debug)]
pub struct LineHost<W> {
    services: Services,
    incoming: Receiver<Heard>,
    clock: Clock,
    voice: Voice<W>,
    speaker: Option<Speaker>,
    /// The terminal, where it gives letter by letter.
    _letters: Option<LetterByLetter>,
    /// What ended the program, if it was neither a key nor an error.
    over: Option<Heard>,
}

impl<W: Write> LineHost<W> {
    /// Starts the threads that read standard input and signals; everything is said into `out`. On a terminal what is
    /// typed is shown on standard output, which nobody else may hold meanwhile.
    ///
    /// # Errors
    /// Signals cannot be caught.
    pub fn start(
        services: Services,
        clock: Clock,
        speech: Option<SpeechCommand>,
        out: W,
    ) -> io::Result<Self> {
        let (sender, incoming) = channel();
        let (told, noticed) = (sender.clone(), sender.clone());
        let speaker = speech.map(|command| {
            Speaker::start(command, move |words| {
                // Nobody listens any more once the program ends.
                let _ = noticed.send(Heard::Noticed(words));
            })
        });
        // A program that is stopped and continued has missed nothing: lines wait for it.
        platform::listen_to_the_end(move || told.send(Heard::Told).is_ok())?;
        let voice = Voice::new(out);
        let is_terminal = io::stdin().is_terminal() && io::stdout().is_terminal();
        let letters = match LetterByLetter::take() {
            Ok(letters) if is_terminal => {
                let half = voice.half.clone();
                thread::spawn(move || read_letters(io::stdin().lock(), io::stdout(), &half, &sender));
                Some(letters)
            }
            _ => {
                thread::spawn(move || read_lines(io::stdin().lock(), &sender));
                None
            }
        };
        Ok(Self { services, incoming, clock, voice, speaker, _letters: letters, over: None })
    }

    /// What ended the program: the end of the input, or a signal; none if it was left.
    pub const fn over(&self) -> Option<&Heard> {
        self.over.as_ref()
    }

    /// Where everything is said.
    pub fn out(&mut self) -> &mut W {
        &mut self.voice.out
    }
}

/// Reads lines to the end, whatever is in them.
pub fn read_lines(mut input: impl BufRead, sender: &Sender<Heard>) {
    let mut bytes = Vec::new();
    loop {
        bytes.clear();
        let heard = match read_line(&mut input, &mut bytes) {
            Ok(1..) => line_of(&bytes).map_or_else(Heard::Refused, Heard::Line),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Ok(0) | Err(_) => Heard::End,
        };
        let is_over = heard == Heard::End;
        // Nobody listens any more once the program ends.
        if sender.send(heard).is_err() || is_over {
            return;
        }
    }
}

/// Reads a line, but of one that is too long only so much that this is seen.
fn read_line(input: &mut impl BufRead, bytes: &mut Vec<u8>) -> io::Result<usize> {
    let count = input.by_ref().take(MOST + 2).read_until(b'\n', bytes)?;
    if count as u64 == MOST + 2 && !bytes.ends_with(b"\n") {
        input.skip_until(b'\n')?;
    }
    Ok(count)
}

/// The text of a line, or why there is none.
fn line_of(bytes: &[u8]) -> Result<String, &'static str> {
    if bytes.len() as u64 > MOST + 1 {
        return Err("That line was too long. Nothing done; type it again.");
    }
    let Ok(line) = std::str::from_utf8(bytes) else {
        return Err("That line was not readable text. Nothing done; type it again.");
    };
    let line = line.trim_end_matches(['\n', '\r']).trim_start_matches('\u{feff}');
    if line.contains('\x1b') {
        return Err("That was an arrow key. Type a word; keys lists them.");
    }
    if line.contains(|letter: char| letter.is_control() && letter != '\t') {
        return Err("That line held a control character. Nothing done; type it again.");
    }
    Ok(line.to_owned())
}

impl<W: Write> Host for LineHost<W> {
    fn now(&self) -> Now {
        self.clock.now()
    }

    fn show(&mut self, app: &App) -> io::Result<()> {
        self.voice.say(app, self.clock.now())
    }

    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Event> {
        let at_most = at_most.into_iter().chain(self.voice.waits()).min();
        let heard = match at_most {
            Some(at_most) => self.incoming.recv_timeout(at_most),
            None => self.incoming.recv().map_err(RecvTimeoutError::from),
        };
        Ok(match heard {
            Ok(over @ (Heard::End | Heard::Told)) => {
                self.over = Some(over);
                Event::Closing
            }
            Ok(heard) => self.voice.hear(heard),
            Err(RecvTimeoutError::Disconnected) => Event::Closing,
            Err(RecvTimeoutError::Timeout) => Event::Woke,
        })
    }

    fn perform(&mut self, effect: Effect) -> Vec<Event> {
        match effect {
            Effect::Tell(lines) => {
                self.voice.tell(lines);
                Vec::new()
            }
            Effect::TellAgain => {
                self.voice.repeat();
                Vec::new()
            }
            Effect::Speak(utterance) => {
                if let Some(speaker) = &self.speaker {
                    let bells = speaker.say(utterance);
                    self.voice.ring(bells);
                }
                Vec::new()
            }
            effect => self.services.perform(effect, self.clock.now().wall),
        }
    }
}

/// What was said last, to be said once more.
#[derive(Debug, Default)]
struct SaidLast {
    /// The lines, uncut.
    lines: Vec<String>,
    /// How the countdown stood.
    clock: Option<ClockView>,
    /// Why they were said; none before anything was.
    occasion: Option<Occasion>,
    /// What there was beside them.
    beyond: Vec<String>,
}

/// Says what is new, or what was asked for, as whole lines.
#[derive(Debug)]
pub struct Voice<W> {
    out: W,
    announcer: Announcer,
    trigger: Trigger,
    /// To be said next, in place of what is new.
    told: Option<Vec<String>>,
    /// What was cut off of what was said last.
    rest: Vec<String>,
    /// What was said last.
    last: SaidLast,
    /// Whether that is to be said once more.
    is_again: bool,
    half: HalfTyped,
    /// What is to be said once the line that is typed is ended, or left alone for a moment.
    waiting: Option<String>,
}

impl<W: Write> Voice<W> {
    /// A voice that has said nothing yet.
    pub fn new(out: W) -> Self {
        Self {
            out,
            announcer: Announcer::default(),
            trigger: Trigger::Key,
            told: None,
            rest: Vec::new(),
            last: SaidLast::default(),
            is_again: false,
            half: HalfTyped::default(),
            waiting: None,
        }
    }

    /// What a line, or the end of them, is as an event.
    pub fn hear(&mut self, heard: Heard) -> Event {
        if !matches!(heard, Heard::Noticed(_)) {
            self.trigger = Trigger::Key;
        }
        match heard {
            Heard::Line(line) if !self.rest.is_empty() && line.trim().eq_ignore_ascii_case(MORE) => {
                self.told = Some(std::mem::take(&mut self.rest));
                Event::Woke
            }
            Heard::Line(line) => Event::Words(line),
            Heard::Noticed(words) => Event::Reply(Reply::Noticed(words)),
            Heard::Refused(why) => {
                self.tell(vec![why.to_owned()]);
                Event::Woke
            }
            Heard::End | Heard::Told => Event::Closing,
        }
    }

    /// Takes lines that were asked for.
    pub fn tell(&mut self, lines: Vec<String>) {
        self.told.get_or_insert_default().extend(lines);
    }

    /// Has what was said last said once more.
    pub const fn repeat(&mut self) {
        self.is_again = true;
    }

    /// What was said last, with the seconds of now in place of those that have passed.
    fn once_more(&self, app: &App, now: Now) -> Vec<String> {
        let lines = &self.last.lines;
        let (Some(before), Some(clock)) = (&self.last.clock, app.clock(now)) else { return lines.clone() };
        let is_mark = |line: &str| {
            line.starts_with("Go, ") || line == "Go." || announcer::is_mark(line) || line == before.state()
        };
        let said = lines.iter().map(|line| match line {
            line if *line == before.told() => clock.told(),
            line if is_mark(line) => clock.state(),
            line => line.clone(),
        });
        said.collect()
    }

    /// Rings so often, before anything else is said.
    pub fn ring(&mut self, bells: u8) {
        let bells = "\x07".repeat(bells.into());
        // An output that is gone is found out when something is said.
        let _ = self.out.write_all(bells.as_bytes()).and_then(|()| self.out.flush());
    }

    /// Says what was asked for, or else what is new.
    ///
    /// # Errors
    /// The output cannot be written.
    pub fn say(&mut self, app: &App, now: Now) -> io::Result<()> {
        // Of a line with several letters only the end is said.
        let trigger = std::mem::replace(&mut self.trigger, Trigger::Time);
        let is_again = std::mem::take(&mut self.is_again);
        let mode = app.top().mode();
        let (lines, occasion): (Vec<String>, Occasion) = match self.told.take() {
            _ if is_again => (self.once_more(app, now), self.last.occasion.unwrap_or(Occasion::Asked(mode))),
            Some(told) => (told.iter().map(|line| text::clean(line)).collect(), Occasion::Asked(mode)),
            None => (self.announcer.speak(app, now, trigger), Occasion::News(mode)),
        };
        if lines.is_empty() {
            return self.say_what_waited();
        }
        if !is_again {
            let is_news = matches!(occasion, Occasion::News(_));
            let beyond = if is_news { self.announcer.beyond().to_vec() } else { Vec::new() };
            let (lines, clock) = (lines.clone(), app.clock(now));
            self.last = SaidLast { lines, clock, occasion: Some(occasion), beyond };
        }
        let is_brief = app.shared.brief;
        let (bells, lines): (Vec<String>, Vec<String>) =
            lines.into_iter().partition(|line| is_brief && line == HOLD);
        self.ring(u8::from(!bells.is_empty()));
        let lines = lines.iter().map(|line| ear::heard(line)).collect();
        let (lines, rest) = cut::cut(lines, occasion, is_brief);
        self.rest = if rest.is_empty() { self.last.beyond.clone() } else { rest };
        // Whole lines, in one piece.
        let said: String = lines.iter().flat_map(|line| [line.as_str(), "\n"]).collect();
        if trigger == Trigger::Time && !self.half.patience().is_zero() {
            // Of several that waited only the latest is the state of now.
            self.ring(u8::from(self.waiting.is_none()));
            self.waiting = Some(said);
            return Ok(());
        }
        let waited = self.waiting.take().filter(|_| trigger == Trigger::Key).unwrap_or_default();
        self.write(&(waited + &said))
    }

    /// How long what is to be said still waits for the line that is typed.
    fn waits(&self) -> Option<Duration> {
        self.waiting.is_some().then(|| self.half.patience())
    }

    fn say_what_waited(&mut self) -> io::Result<()> {
        match self.waiting.take_if(|_| self.half.patience().is_zero()) {
            Some(said) => self.write(&said),
            None => Ok(()),
        }
    }

    fn write(&mut self, said: &str) -> io::Result<()> {
        self.half.write_around(said, &mut self.out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(bytes: &[u8]) -> Vec<Heard> {
        let (sender, heard) = channel();
        read_lines(bytes, &sender);
        drop(sender);
        heard.iter().collect()
    }

    #[test]
    fn a_line_that_is_no_text_is_refused_alone_and_the_next_one_is_taken() {
        let all = heard(b"\xff\xfe\nham\r\n\xef\xbb\xbfcalf\nno newline");
        let [Heard::Refused(why), rest @ ..] = &all[..] else { panic!("{all:?}") };
        assert!(why.starts_with("That line was not readable text."));
        let line = |text: &str| Heard::Line(text.to_owned());
        assert_eq!(rest, [line("ham"), line("calf"), line("no newline"), Heard::End]);
    }

    #[test]
    fn keys_that_are_no_words_and_lines_that_never_end_are_refused() {
        let long = [b"z".repeat(5000), b"\nt\n".to_vec()].concat();
        for (bytes, why) in
            [(&b"\x1b[A\n"[..], "arrow key"), (b"a\0b\n", "control character"), (&long, "too long")]
        {
            let all = heard(bytes);
            assert!(matches!(&all[0], Heard::Refused(words) if words.contains(why)), "{all:?}");
        }
    }
}
