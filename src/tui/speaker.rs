//! A program that speaks: started once a line, with the line as its last argument, and never waited for.
//!
//! One thread starts it and looks when it ends. There is no queue: what cannot be said now is not said, but for a change of
//! side, which waits for the end of a line and is dropped where there is no room left; a hold, its end, pain and stop cut
//! off what still speaks; and a program that is missing, fails or never ends is left alone for the block.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

use crate::platform;
use crate::session::Urgency;

use super::clock::Stopwatch;
use super::spoken::cues::{Utterance, estimate};

/// The word for whatever speaks on this system.
const FOUND: &str = "auto";

/// How often is looked whether a line is over.
const LOOK: Duration = Duration::from_millis(20);

/// A line that is not over by now will never be.
const ENDLESS: Duration = Duration::from_secs(6);

/// A voice that is done this many times sooner than estimated has said nothing: there is no sound card, or none is free.
const AT_ONCE: u32 = 4;

/// What was to be said longer ago is not said.
const STALE: Duration = Duration::from_secs(1);

/// How long the end of the program waits for a line to be cut off.
const FAREWELL: Duration = Duration::from_millis(300);

/// From this pace on the last three seconds are not counted.
const TOO_SLOW_TO_COUNT: f64 = 1.1;

/// From this pace on only what is most urgent is said, as shortly as can be.
const VERY_SLOW: f64 = 1.5;

/// Lines that the pace is taken from.
const REMEMBERED: usize = 5;

/// A program that speaks, with all of its arguments but the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpeechCommand {
    words: Vec<String>,
    /// Whether the line goes in by a variable of the environment and not as the last argument.
    is_by_variable: bool,
}

impl SpeechCommand {
    /// The command of these words, parted by blanks but within quotes; `auto` is what the system has.
    pub fn named(command: &str) -> Self {
        let words = parted(command);
        if words.is_empty() || words == [FOUND] {
            return Self::usual();
        }
        Self { words, is_by_variable: false }
    }

    /// The first of the system's usual programs that is there; the first of all where none is.
    fn usual() -> Self {
        let all = platform::SPEECH;
        let found = all.iter().find(|(words, _)| platform::is_program(words[0])).or(all.first());
        found.map_or(Self { words: Vec::new(), is_by_variable: false }, |(words, is_by_variable)| Self {
            words: words.iter().map(|word| (*word).to_owned()).collect(),
            is_by_variable: *is_by_variable,
        })
    }

    /// Whether it is a program of which we know that it ends when its sound does, and reports success where there is no
    /// sound card. Others may hand the line on and end at once.
    fn ends_with_its_sound(&self) -> bool {
        let name = Path::new(self.program()).file_stem().and_then(|name| name.to_str());
        let is_into_a_file = |word: &String| word.starts_with("-w") || word == "--stdout";
        matches!(name, Some("espeak-ng" | "espeak")) && !self.words.iter().any(is_into_a_file)
    }

    fn program(&self) -> &str {
        self.words.first().map_or("", String::as_str)
    }

    /// Starts to say a line.
    fn start(&self, line: &str) -> std::io::Result<Child> {
        let mut command = Command::new(self.program());
        command.args(self.words.iter().skip(1));
        if self.is_by_variable {
            command.env(platform::SPEECH_LINE, line);
        } else {
            command.arg(line);
        }
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        platform::set_apart(&mut command);
        command.spawn()
    }
}

/// Words parted by blanks; quotes of either kind hold blanks together, and nothing else means anything.
fn parted(command: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let (mut quote, mut is_open) = (None, false);
    for letter in command.chars() {
        match quote {
            Some(end) if letter == end => quote = None,
            None if letter == '"' || letter == '\'' => {
                quote = Some(letter);
                if !is_open {
                    words.push(String::new());
                }
                is_open = true;
            }
            None if letter.is_whitespace() => is_open = false,
            _ => {
                if !is_open {
                    words.push(String::new());
                }
                is_open = true;
                if let Some(word) = words.last_mut() {
                    word.push(letter);
                }
            }
        }
    }
    words
}

/// A line as a program can take it: no control character, and nothing that looks like an option.
fn cleaned(line: &str) -> String {
    let line: String = line.chars().filter(|letter| !letter.is_control()).collect();
    line.trim_start_matches(['-', ' ']).to_owned()
}

/// Speaks beside the screens.
#[derive(Debug)]
pub struct Speaker {
    lines: Option<Sender<(Stopwatch, Utterance)>>,
    is_silent: Arc<AtomicBool>,
    is_over: Receiver<()>,
}

impl Speaker {
    /// Starts the thread that speaks; what goes wrong is told once a block, in one line.
    pub fn start(command: SpeechCommand, tell: impl Fn(String) + Send + 'static) -> Self {
        let (lines, incoming) = channel();
        let (over, is_over) = channel();
        let is_silent = Arc::new(AtomicBool::new(false));
        let mouth = Mouth {
            command,
            tell: Box::new(tell),
            is_silent: Arc::clone(&is_silent),
            speaking: None,
            waiting: None,
            pace: Pace::default(),
            is_counting: false,
        };
        thread::spawn(move || {
            mouth.speak(&incoming);
            // Nobody waits for it any more where the program is gone.
            let _ = over.send(());
        });
        Self { lines: Some(lines), is_silent, is_over }
    }

    /// Says it now or not at all; how often a bell rings in its place.
    pub fn say(&self, utterance: Utterance) -> u8 {
        if utterance.is_first {
            self.is_silent.store(false, Ordering::Relaxed);
        }
        if self.is_silent.load(Ordering::Relaxed) {
            return utterance.bells;
        }
        if let Some(lines) = &self.lines {
            // The thread ends with this.
            let _ = lines.send((Stopwatch::start(), utterance));
        }
        0
    }
}

impl Drop for Speaker {
    fn drop(&mut self) {
        self.lines = None;
        let _ = self.is_over.recv_timeout(FAREWELL);
    }
}

/// A line that is being said.
#[derive(Debug)]
struct Speaking {
    child: Child,
    begun: Stopwatch,
    estimated: Duration,
    urgency: Urgency,
}

struct Mouth {
    command: SpeechCommand,
    tell: Box<dyn Fn(String) + Send>,
    is_silent: Arc<AtomicBool>,
    speaking: Option<Speaking>,
    /// A change of side, which waits for the end of what speaks.
    waiting: Option<(Stopwatch, Utterance)>,
    pace: Pace,
    /// Whether the last three seconds are counted this time.
    is_counting: bool,
}

impl Mouth {
    /// Says what comes in until nothing comes any more.
    fn speak(mut self, incoming: &Receiver<(Stopwatch, Utterance)>) {
        loop {
            let next = match self.speaking {
                Some(_) => incoming.recv_timeout(LOOK),
                None => incoming.recv().map_err(RecvTimeoutError::from),
            };
            self.look();
            if let Some((asked, utterance)) = self.waiting.take_if(|_| self.speaking.is_none()) {
                self.say(asked, utterance);
            }
            match next {
                Ok((asked, utterance)) => self.say(asked, utterance),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
        }
        self.cut_off();
    }

    /// Looks whether the line is over.
    fn look(&mut self) {
        let Some(speaking) = &mut self.speaking else { return };
        let took = speaking.begun.passed();
        match speaking.child.try_wait() {
            Ok(Some(status)) => {
                let estimated = speaking.estimated;
                self.speaking = None;
                match status.success() {
                    true if self.command.ends_with_its_sound() && took * AT_ONCE < estimated => {
                        self.fail("made no sound");
                    }
                    true => self.pace.note(took, estimated),
                    false => self.fail("failed"),
                }
            }
            Ok(None) if took < ENDLESS => {}
            Ok(None) => {
                self.cut_off();
                self.fail("did not end");
            }
            Err(_) => {
                self.cut_off();
                self.fail("failed");
            }
        }
    }

    fn say(&mut self, asked: Stopwatch, utterance: Utterance) {
        let waited = asked.passed();
        let is_change = utterance.urgency == Urgency::Change;
        if (waited > STALE && !is_change) || self.is_silent.load(Ordering::Relaxed) {
            return;
        }
        match utterance.counts {
            Some(3) => self.is_counting = self.pace.is() < TOO_SLOW_TO_COUNT && self.speaking.is_none(),
            Some(_) if self.is_counting => {}
            Some(_) => return,
            None => {}
        }
        if utterance.counts == Some(3) && !self.is_counting {
            return;
        }
        if let Some(speaking) = &self.speaking {
            let is_urgent = utterance.urgency >= Urgency::Work;
            if is_change && speaking.urgency != Urgency::Alarm {
                self.waiting = Some((asked, utterance));
                return;
            }
            if !is_urgent || (speaking.urgency == Urgency::Alarm && utterance.urgency != Urgency::Alarm) {
                return;
            }
        }
        let Some(line) = self.chosen(&utterance, waited).map(|line| cleaned(line)) else { return };
        if utterance.urgency >= Urgency::Work {
            // What waited for its moment has missed it.
            self.waiting = None;
        }
        self.cut_off();
        let begun = Stopwatch::start();
        match self.command.start(&line) {
            Ok(child) => {
                let (estimated, urgency) = (estimate(&line), utterance.urgency);
                self.speaking = Some(Speaking { child, begun, estimated, urgency });
            }
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => self.fail("was not found"),
            Err(_) => self.fail("could not be started"),
        }
    }

    /// What of it can be said in the time that there is, at this pace.
    fn chosen<'a>(&self, utterance: &'a Utterance, waited: Duration) -> Option<&'a String> {
        let (pace, choices) = (self.pace.is(), &utterance.choices);
        let is_urgent = utterance.urgency >= Urgency::Change;
        if pace >= VERY_SLOW {
            return choices.last().filter(|_| is_urgent);
        }
        let Some(room) = utterance.room else { return choices.first() };
        let fits = |line: &&String| estimate(line).mul_f64(pace) + waited <= room;
        // What has waited for another line and has no room left is dropped.
        let is_due = is_urgent && waited < LOOK * 2;
        choices.iter().find(fits).or_else(|| choices.last().filter(|_| is_due))
    }

    fn cut_off(&mut self) {
        let Some(mut speaking) = self.speaking.take() else { return };
        self.pace.note_at_least(speaking.begun.passed(), speaking.estimated);
        platform::end(&mut speaking.child);
    }

    /// Leaves the program alone until another block begins.
    fn fail(&mut self, why: &str) {
        self.is_silent.store(true, Ordering::Relaxed);
        (self.tell)(format!("No speech: {} {why}. Bells instead.", self.command.program()));
    }
}

/// How long lines take against their estimate.
#[derive(Debug, Default)]
struct Pace {
    latest: Vec<f64>,
}

impl Pace {
    /// The median of the latest lines; as estimated where none was said yet. Nobody speaks faster for having time.
    fn is(&self) -> f64 {
        let mut sorted = self.latest.clone();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or(1.0).max(1.0)
    }

    fn note(&mut self, took: Duration, estimated: Duration) {
        self.latest.push(took.as_secs_f64() / estimated.as_secs_f64());
        if self.latest.len() > REMEMBERED {
            self.latest.remove(0);
        }
    }

    /// A line that was cut off would have taken longer still.
    fn note_at_least(&mut self, took: Duration, estimated: Duration) {
        if took > estimated.mul_f64(self.is()) {
            self.note(took, estimated);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_parted_by_blanks_but_within_quotes() {
        assert_eq!(parted("espeak-ng  -s 175"), ["espeak-ng", "-s", "175"]);
        assert_eq!(
            parted(r#""C:\My Voice\say.exe" -v 'two words' "" "#),
            [r"C:\My Voice\say.exe", "-v", "two words", ""]
        );
    }

    #[test]
    fn nothing_that_is_said_looks_like_an_option_or_holds_a_control_character() {
        assert_eq!(cleaned("--write=x\u{7}. \u{1b}[2J"), "write=x. [2J");
        assert_eq!(cleaned(" - -Left."), "Left.");
    }

    #[test]
    fn the_pace_is_the_median_of_the_last_five_lines_and_never_faster_than_estimated() {
        let mut pace = Pace::default();
        let second = Duration::from_secs(1);
        pace.note(second / 2, second);
        assert!((pace.is() - 1.0).abs() < 1e-9);
        for _ in 0..3 {
            pace.note(second * 2, second);
        }
        assert!((pace.is() - 2.0).abs() < 1e-9);
    }
}
