//! A line that is typed on a terminal, letter by letter: what is said meanwhile does not go into the middle of it.

use std::io::{self, BufRead, Write};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use crate::tui::clock::Stopwatch;

use super::heard::Heard;

/// What is said waits so long for another letter.
const PATIENCE: Duration = Duration::from_secs(2);

/// Ctrl-U takes the whole line back.
const TAKE_BACK: u8 = 0x15;

/// The longest line that is taken, in letters.
const MOST: usize = 1000;

/// The letters of a line that is not ended yet.
#[derive(Debug)]
struct StandingLine {
    line: String,
    last: Stopwatch,
}

/// The same, for whoever reads the letters and for whoever speaks.
#[derive(Debug, Clone)]
pub(super) struct HalfTyped(Arc<Mutex<StandingLine>>);

impl Default for HalfTyped {
    fn default() -> Self {
        Self(Arc::new(Mutex::new(StandingLine { line: String::new(), last: Stopwatch::start() })))
    }
}

impl HalfTyped {
    fn lock(&self) -> MutexGuard<'_, StandingLine> {
        // Letters are never half written.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How long what is to be said waits for another letter: not at all where none stands.
    pub(super) fn patience(&self) -> Duration {
        let half = self.lock();
        if half.line.is_empty() { Duration::ZERO } else { PATIENCE.saturating_sub(half.last.passed()) }
    }

    /// Writes lines on lines of their own, and the letters that stand once more after them; none is typed meanwhile.
    pub(super) fn write_around(&self, said: &str, out: &mut impl Write) -> io::Result<()> {
        let half = self.lock();
        let line = if half.line.is_empty() { "" } else { "\n" };
        out.write_all(format!("{line}{said}{}", half.line).as_bytes())?;
        out.flush()
    }
}

/// Reads letters to the end, and shows them as they are typed.
pub(super) fn read_letters(
    input: impl BufRead,
    mut echo: impl Write,
    half: &HalfTyped,
    sender: &Sender<Heard>,
) {
    let mut typed = Typed::default();
    let mut bytes = input.bytes();
    loop {
        let byte = match bytes.next() {
            Some(Ok(byte)) => byte,
            // An end that is typed into a line takes the line back; where the terminal is gone, the next end follows.
            None if !half.lock().line.is_empty() => TAKE_BACK,
            Some(Err(_)) | None => break,
        };
        let mut half = half.lock();
        let (shown, heard) = typed.take(byte, &mut half.line);
        half.last = Stopwatch::start();
        // A terminal that is gone is found out when something is said.
        let _ = echo.write_all(shown.as_bytes()).and_then(|()| echo.flush());
        drop(half);
        let is_over = heard == Some(Heard::End);
        if heard.is_some_and(|heard| sender.send(heard).is_err()) || is_over {
            return;
        }
    }
    // Nobody listens any more once the program ends.
    let _ = sender.send(Heard::End);
}

/// What the bytes of a key are, so far.
#[derive(Debug, Default)]
struct Typed {
    /// Of a letter that is not whole.
    letter: Vec<u8>,
    /// Of a key that begins with escape.
    escape: Option<u8>,
    is_unreadable: bool,
}

impl Typed {
    /// What a byte shows, and what comes of it.
    fn take(&mut self, byte: u8, line: &mut String) -> (String, Option<Heard>) {
        if let Some(first) = self.escape {
            return (String::new(), self.escaped(first, byte));
        }
        match byte {
            b'\r' | b'\n' => {
                let line = std::mem::take(line);
                let heard = if std::mem::take(&mut self.is_unreadable) {
                    Heard::Refused("That line was not readable text. Nothing done; type it again.")
                } else {
                    Heard::Line(line)
                };
                self.letter.clear();
                ("\n".to_owned(), Some(heard))
            }
            0x1b => {
                self.escape = Some(0);
                (String::new(), None)
            }
            // Ctrl-D, where nothing stands.
            4 => (String::new(), line.is_empty().then_some(Heard::End)),
            8 | 0x7f => (erased(line, 1), None),
            TAKE_BACK => (erased(line, line.chars().count()), None),
            // Ctrl-W takes a word back.
            0x17 => {
                let kept = line.trim_end().rfind(' ').map_or(0, |at| at + 1);
                (erased(line, line[kept..].chars().count()), None)
            }
            0..0x20 => (String::new(), None),
            _ => (self.lettered(byte, line), None),
        }
    }

    /// The rest of a key that begins with escape.
    fn escaped(&mut self, first: u8, byte: u8) -> Option<Heard> {
        if first == 0 && matches!(byte, b'[' | b'O') {
            self.escape = Some(byte);
            return None;
        }
        if first != 0 && !(0x40..0x7f).contains(&byte) {
            return None;
        }
        self.escape = None;
        Some(Heard::Refused("That was an arrow key. Type a word; keys lists them."))
    }

    fn lettered(&mut self, byte: u8, line: &mut String) -> String {
        self.letter.push(byte);
        match std::str::from_utf8(&self.letter) {
            Ok(letter) => {
                let letter = letter.to_owned();
                self.letter.clear();
                if line.chars().count() < MOST {
                    line.push_str(&letter);
                    return letter;
                }
            }
            Err(error) if error.error_len().is_none() => {}
            Err(_) => {
                self.letter.clear();
                self.is_unreadable = true;
            }
        }
        String::new()
    }
}

/// Takes so many letters off the end; what shows that.
fn erased(line: &mut String, count: usize) -> String {
    let mut columns = 0;
    for letter in (0..count).map_while(|_| line.pop()) {
        columns += crate::tui::text::width(&letter.to_string());
    }
    "\u{8} \u{8}".repeat(columns)
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;

    use super::*;

    fn typed(bytes: &[u8]) -> (String, Vec<Heard>) {
        let (sender, heard) = channel();
        let (half, mut echo) = (HalfTyped::default(), Vec::new());
        read_letters(bytes, &mut echo, &half, &sender);
        drop(sender);
        (String::from_utf8(echo).expect("text"), heard.iter().collect())
    }

    #[test]
    fn letters_are_shown_as_they_are_typed_and_taken_back_as_usual() {
        let line = |text: &str| Heard::Line(text.to_owned());
        let (echo, heard) = typed("hamm\u{7f}\rcalf left\u{17}x\rabc\u{15}Zoë\n".as_bytes());
        assert_eq!(heard, [line("ham"), line("calf x"), line("Zoë"), Heard::End]);
        assert!(echo.starts_with("hamm\u{8} \u{8}\n"), "{echo:?}");
    }

    #[test]
    fn keys_that_are_no_letters_are_refused_or_nothing_and_the_end_is_where_nothing_stands() {
        let (_, heard) = typed(b"a\x1b[A\x01b\rz\xff\r\x04c\r");
        assert!(matches!(heard[0], Heard::Refused(why) if why.contains("arrow key")), "{heard:?}");
        assert_eq!(heard[1], Heard::Line("ab".to_owned()));
        assert!(matches!(heard[2], Heard::Refused(why) if why.contains("not readable")), "{heard:?}");
        assert_eq!(heard[3..], [Heard::End]);
    }

    #[test]
    fn an_end_in_a_line_takes_the_line_back_and_the_next_one_is_the_end() {
        let (echo, heard) = typed(b"pau");
        assert_eq!((echo.as_str(), heard), ("pau\u{8} \u{8}\u{8} \u{8}\u{8} \u{8}", vec![Heard::End]));
    }

    #[test]
    fn what_is_said_stands_on_lines_of_its_own_and_the_letters_come_again() {
        let (half, mut out) = (HalfTyped::default(), Vec::new());
        half.write_around("Up.\n", &mut out).expect("written");
        half.lock().line.push_str("pau");
        half.write_around("Hold.\n", &mut out).expect("written");
        assert_eq!(String::from_utf8(out).expect("text"), "Up.\n\nHold.\npau");
    }

    #[test]
    fn what_stands_waits_for_its_end_only_so_long() {
        let half = HalfTyped::default();
        assert_eq!(half.patience(), Duration::ZERO);
        half.lock().line.push('p');
        assert!(half.patience() > Duration::from_secs(1));
    }
}
