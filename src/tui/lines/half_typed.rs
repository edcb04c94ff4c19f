//! A line that is typed on a terminal, letter by letter: what is said meanwhile does not go into the middle of it.

use std::io::{BufRead, Write};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use crate::tui::clock::Stopwatch;

use super::heard::Heard;

/// What is said waits so long for another letter.
const PATIENCE: Duration = Duration::from_secs(2);

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

    /// The letters as they stand.
    pub(super) fn letters(&self) -> String {
        self.lock().line.clone()
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
    for byte in input.bytes() {
        let Ok(byte) = byte else { break };
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
            // Ctrl-U and Ctrl-W.
            0x15 => (erased(line, line.chars().count()), None),
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

    fn typed(bytes: &[u8]) -> (String, Vec<Heard>, String) {
        let (sender, heard) = channel();
        let (half, mut echo) = (HalfTyped::default(), Vec::new());
        read_letters(bytes, &mut echo, &half, &sender);
        drop(sender);
        (String::from_utf8(echo).expect("text"), heard.iter().collect(), half.letters())
    }

    #[test]
    fn letters_are_shown_as_they_are_typed_and_taken_back_as_usual() {
        let line = |text: &str| Heard::Line(text.to_owned());
        let (echo, heard, _) = typed("hamm\u{7f}\rcalf left\u{17}x\rabc\u{15}Zoë\n".as_bytes());
        assert_eq!(heard, [line("ham"), line("calf x"), line("Zoë"), Heard::End]);
        assert!(echo.starts_with("hamm\u{8} \u{8}\n"), "{echo:?}");
    }

    #[test]
    fn keys_that_are_no_letters_are_refused_or_nothing_and_the_end_is_where_nothing_stands() {
        let (_, heard, _) = typed(b"a\x1b[A\x01b\rz\xff\r\x04c\r");
        assert!(matches!(heard[0], Heard::Refused(why) if why.contains("arrow key")), "{heard:?}");
        assert_eq!(heard[1], Heard::Line("ab".to_owned()));
        assert!(matches!(heard[2], Heard::Refused(why) if why.contains("not readable")), "{heard:?}");
        assert_eq!(heard[3..], [Heard::End]);
    }

    #[test]
    fn what_stands_waits_for_its_end_only_so_long() {
        let (_, _, letters) = typed(b"pau");
        assert_eq!(letters, "pau");
        let half = HalfTyped::default();
        assert_eq!(half.patience(), Duration::ZERO);
        half.lock().line.push('p');
        assert!(half.patience() > Duration::from_secs(1));
    }
}
