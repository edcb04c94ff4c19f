//! What `--linear` says: a script of lines and waits in, and what is heard after each of them.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::io::{self, Write};
use std::rc::Rc;
use std::time::Duration;

use matside::planner::Budget;
use matside::session::Moment;
use matside::tui::app::App;
use matside::tui::effect::Effect;
use matside::tui::event::{Event, Now};
use matside::tui::host::{self, Host};
use matside::tui::lines::{Heard, Voice};
use matside::tui::services::Services;

use proptest::prelude::*;
use proptest::test_runner::Config;

use super::studio::Studio;

/// What was heard, in pieces: at the start, then after each line.
#[derive(Debug, Clone)]
struct Sound(Rc<RefCell<Vec<String>>>);

impl Write for Sound {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let text = std::str::from_utf8(bytes).expect("what is said is text");
        self.0.borrow_mut().last_mut().expect("a piece").push_str(text);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Lines to be given; `~20` lets twenty seconds pass.
struct Script {
    services: Services,
    start: Now,
    passed: Duration,
    /// What is left of a wait.
    waiting: Option<Duration>,
    lines: VecDeque<String>,
    sound: Sound,
    voice: Voice<Sound>,
}

impl Host for Script {
    fn now(&self) -> Now {
        let wall = self.start.wall + chrono::TimeDelta::from_std(self.passed).expect("a short time");
        Now { moment: Moment::new(self.passed), wall }
    }

    fn show(&mut self, app: &App) -> io::Result<()> {
        self.voice.say(app, self.now())
    }

    fn wait(&mut self, at_most: Option<Duration>) -> io::Result<Event> {
        if at_most == Some(Duration::ZERO) {
            return Ok(Event::Woke);
        }
        if let Some(left) = self.waiting.take_if(|left| !left.is_zero()) {
            let step = at_most.unwrap_or(left).min(left);
            self.passed += step;
            self.waiting = Some(left.saturating_sub(step));
            return Ok(Event::Woke);
        }
        let Some(line) = self.lines.pop_front() else { return Ok(self.voice.hear(Heard::End)) };
        self.sound.0.borrow_mut().push(String::new());
        if let Some(seconds) = line.strip_prefix('~') {
            self.waiting = Some(Duration::from_secs(seconds.parse().expect("seconds")));
            return self.wait(at_most);
        }
        Ok(self.voice.hear(Heard::Line(line)))
    }

    fn perform(&mut self, effect: Effect) -> Vec<Event> {
        if let Effect::Tell(lines) = effect {
            self.voice.tell(lines);
            return Vec::new();
        }
        let now = self.now().wall;
        self.services.perform(effect, now)
    }
}

/// Gives a script to the studio; returns what is heard at the start, then after each line or wait.
fn listen(studio: Studio, script: &[&str]) -> Vec<String> {
    let heard = hear(studio, script);
    let leaves = |line: &&str| matches!(*line, "quit" | "ctrl-c" | "ctrl-q");
    assert!(heard.len() == script.len() + 1 || script.iter().any(leaves), "a piece each");
    heard
}

/// The same for scripts that may leave the program in the middle.
fn hear(studio: Studio, script: &[&str]) -> Vec<String> {
    let start = studio.now();
    let sound = Sound(Rc::new(RefCell::new(vec![String::new()])));
    let Studio { mut app, services, .. } = studio;
    let lines = script.iter().map(|line| (*line).to_owned()).collect();
    let (passed, voice) = (Duration::ZERO, Voice::new(sound.clone()));
    let mut ears = Script { services, start, passed, waiting: None, lines, sound: sound.clone(), voice };
    host::run(&mut app, vec![Effect::List], &mut ears).expect("nothing fails to be said");
    sound.0.take()
}

/// These words are heard in a piece, one after the other.
fn assert_heard(piece: &str, words: &[&str]) {
    let mut rest = piece;
    for word in words {
        let Some((_, behind)) = rest.split_once(word) else {
            panic!("`{word}` is not heard there:\n{piece}")
        };
        rest = behind;
    }
}

/// From the day into the block of a client who trained the hamstrings.
const INTO_THE_BLOCK: [&str; 6] = ["", "ham", "", "", "a", ""];

fn block(script: &[&str]) -> Vec<String> {
    let all = [&INTO_THE_BLOCK[..], script].concat();
    listen(Studio::with(&["Ilse Brandt"]), &all).split_off(INTO_THE_BLOCK.len())
}

#[test]
fn how_keys_are_given_is_said_first_and_in_help() {
    let heard = listen(Studio::with(&["Ilse Brandt"]), &["?", "brandt", "ESCAPE"]);
    assert_heard(&heard[0], &["Keys are words", "an empty line is Enter", "Who is next?"]);
    assert_heard(&heard[1], &["Keys of this screen", "Keys are words", "plan for this client"]);
    assert_eq!(heard[2], "not a key: brandt\n");
    assert_heard(&heard[3], &["Back to the day", "Who is next?", "1 of 1: Ilse Brandt"]);
}

#[test]
fn of_a_typed_word_only_the_end_is_said() {
    let heard = listen(Studio::with(&["Ilse Brandt", "Nora Quint"]), &["", "ham", "", "esc", "nora"]);
    assert_eq!(heard[2], "Typed: ham\n1 of 1: hamstrings\n");
    assert_heard(&heard[3], &["Trained: hamstrings properly\n1. at "]);
    assert_heard(&heard[4], &["Back to the day\n", "Who is next?"]);
    assert!(!heard[4].contains("Nora"), "{}", heard[4]);
    assert_eq!(heard[5], "Typed: nora\n1 of 1: Nora Quint, new, 0 conditions, everybody else\n");
}

#[test]
fn a_phase_is_said_once_with_its_seconds_and_then_at_ten() {
    let heard = block(&["~15", "~10", "~20"]);
    assert_heard(
        &heard[0],
        &["The block of Ilse Brandt", "Keys: ", "Settle, 15 seconds", "Step 1 of ", "aim 4", "left, on time"],
    );
    assert_eq!(heard[1], "10 seconds\nSet up, 10 seconds\n");
    assert_eq!(heard[2], "Hold, 20 seconds\n");
    assert_heard(
        &heard[3],
        &["10 seconds\n", "Set up, 10 seconds\n", "Step 2 of ", "Watch: ", "Say: ", "Hands: "],
    );
    assert!(!heard[3].contains("9 seconds") && !heard[3].contains("5 seconds"), "{}", heard[3]);
}

#[test]
fn the_time_is_told_at_any_moment_and_a_resume_says_phase_and_seconds() {
    let heard = block(&["~30", "TIME", "space", "time", "~60", "space", "?", "time"]);
    assert_heard(&heard[2], &["Hold, 15 seconds; ", " left, on time, client up in 9:30"]);
    assert_heard(&heard[3], &["standing still; Space goes on\n", "Keys: Space go on, "]);
    assert_heard(&heard[4], &["Hold, 15 seconds, standing still; "]);
    assert_eq!(heard[5], "");
    assert_heard(&heard[6], &["Keys: 1-5 answer, ", "Hold, 15 seconds\n"]);
    assert_heard(&heard[8], &["Hold, 15 seconds; ", "1:00 late"]);
}

#[test]
fn letters_in_a_row_press_nothing_in_the_block_and_its_questions() {
    let heard = block(&["~30", "tight hip", "s", "tight hip", "space", "12", "l", "stop", "space", "4"]);
    for piece in [2, 4] {
        assert_eq!(heard[piece], "not a key: tight hip\n");
    }
    assert_heard(&heard[3], &["Hands off. The clock stands. Nothing is noted.", "Keys: "]);
    assert_eq!(heard[6], "not a key: 12\n");
    assert_heard(&heard[7], &["What is still fine?"]);
    assert_eq!(heard[8], "not a key: stop\n");
    assert_eq!(heard[10], "Level 4\n");
}

#[test]
fn an_event_comes_before_what_follows_from_it() {
    let heard = block(&["~30", "p", "space", "3 minutes"]);
    assert_heard(
        &heard[2],
        &["Straight-leg raise, left: stopped at 0:0", "Ease out slowly.", "Step ", "Say: "],
    );
    assert!(heard[2].starts_with("Straight-leg raise, left: stopped"), "{}", heard[2]);
    assert!(heard[4].starts_with("Note: "), "{}", heard[4]);
    assert_heard(&heard[4], &["Note: ", "Step ", " left, "]);
}

#[test]
fn a_remark_is_asked_for_and_said_back() {
    let heard = block(&["~60", "space", "f", "r", "tight hip left", "", "down", "read"]);
    assert_heard(
        &heard[3],
        &[
            "What came out?",
            "1 of 2: Straight-leg raise, left, 20 seconds, no level, done",
            "under stretch; 10 min were planned",
            "trained and reached: hamstrings",
        ],
    );
    assert_heard(&heard[4], &["Remark: type it", "Keys: "]);
    assert_eq!(heard[5], "Typed: tight hip left\n");
    assert_heard(&heard[6], &["Keys: ", "Remark: tight hip left"]);
    assert!(
        heard[7].starts_with("2 of 2: Straight-leg raise, right") && heard[7].lines().count() == 1,
        "{}",
        heard[7]
    );
    assert_heard(
        &heard[8],
        &[
            "What came out?",
            "Remark: tight hip left",
            "1. Straight-leg raise",
            "chosen: 2. Straight-leg raise",
        ],
    );
}

#[test]
fn what_was_left_out_is_summed_up_and_then_heard_row_by_row() {
    let script = ["old", "", "ctrl-r", "tab", "o", "down", "esc"];
    let heard = listen(Studio::demo_planned_with(Budget::passes(1)), &script);
    assert_heard(
        &heard[3],
        &["Trained: ", "1. at ", "trained, not reached: ", "left out: ", "hands on ", "One more minute: "],
    );
    assert_heard(&heard[5], &["Left out", "for a caution", "not needed", "1 of "]);
    assert!(heard[5].lines().count() <= 6, "{}", heard[5]);
    assert!(heard[6].starts_with("2 of ") && heard[6].lines().count() <= 2, "{}", heard[6]);
    assert_heard(&heard[7], &["Back to the plan\n", "Plan for Margarethe Oldenburg"]);
    assert!(!heard[7].contains("Caution: ") && !heard[7].contains("1. at "), "{}", heard[7]);
}

#[test]
fn conditions_are_counted_and_the_chosen_one_says_what_it_limits() {
    let script = ["ctrl-n", "Ana Lund", "", "shoulder", "down", "zzzz"];
    let heard = listen(Studio::with(&["Ilse Brandt"]), &script);
    assert_heard(&heard[2], &[": name: Ana Lund"]);
    assert_heard(&heard[4], &["add a condition: shoulder", "1 of ", "Avoid: "]);
    assert_eq!(heard[4].matches("Avoid: ").count(), 1, "{}", heard[4]);
    assert_heard(&heard[5], &["2 of ", "Avoid: "]);
    assert_eq!(heard[5].lines().count(), 1, "{}", heard[5]);
}

#[test]
fn a_history_says_the_last_values_with_day_and_side() {
    let script = ["f3", "right", "down", "right", "right", "right", "down", "calf"];
    let heard = listen(Studio::demo(), &script);
    assert_heard(
        &heard[2],
        &["levels", "1 of ", "Last five answers", "18 November: ", "left level ", "right level "],
    );
    assert_heard(&heard[4], &["seconds", "18 November: ", "left 0:", "right 0:"]);
    assert_heard(
        &heard[6],
        &["sessions", "1 of 31: 18 November 2026: 10 min", "After chest", ", left, ", "level "],
    );
    assert_heard(&heard[7], &["2 of 31: 11 November 2026", "After "]);
    assert_heard(&heard[8], &["Typed: calf", "1 of "]);
}

#[test]
fn a_phase_is_said_over_help_too_and_new_minutes_say_what_is_left() {
    let heard = block(&["?", "~20", "esc", "4 minutes"]);
    assert_heard(&heard[1], &["Keys of this screen", "Settle, 15 seconds"]);
    assert_eq!(heard[2], "10 seconds\nSet up, 10 seconds\n");
    assert_heard(&heard[3], &["Back to the block", "Set up, 5 seconds"]);
    assert_heard(&heard[4], &["Note: ", " left, "]);
}

#[test]
fn minutes_are_taken_off_several_at_once() {
    let heard = listen(Studio::with(&["Ilse Brandt"]), &["", "ham", "", "---", "tab", "++"]);
    assert_heard(&heard[4], &["Plan for Ilse Brandt, 7 min, up at 18:52"]);
    assert_heard(&heard[6], &["Plan for Ilse Brandt, 9 min, up at 18:54"]);
}

#[test]
fn what_comes_again_as_another_screen_is_said_in_full() {
    let heard = block(&["~30", "s", "d", "", "space", "", "esc", "", "a", ""]);
    assert_heard(&heard[5], &["Plan for Ilse Brandt", "1. at "]);
    let before_touch = "no hand presses or grips";
    assert_heard(&heard[6], &["Consent of Ilse Brandt", "You can stop me at any time", before_touch]);
    assert_heard(&heard[7], &["Back to the plan\n"]);
    assert_heard(
        &heard[8],
        &["Back to the question of consent\n", "You can stop me at any time", before_touch],
    );
    assert_heard(&heard[10], &["The block of Ilse Brandt", "Keys: ", "Step ", "Watch: ", " left, on time"]);
}

/// Lines that mean something somewhere.
const LINES: [&str; 40] = [
    "",
    "",
    "",
    "ham",
    "full body",
    "y",
    "n",
    "a",
    "p",
    "s",
    "l",
    "4 minutes",
    "3",
    "12",
    "f",
    "d",
    "time",
    "read",
    "?",
    ":",
    "esc",
    "tab",
    "shift-tab",
    "up",
    "down",
    "left",
    "f2",
    "f3",
    "o",
    "ctrl-e",
    "ctrl-s",
    "ctrl-z",
    "space",
    "b",
    "ctrl-r",
    "---",
    "+",
    "~5",
    "~60",
    "backspace",
];

proptest! {
    #![proptest_config(Config { cases: 60, failure_persistence: None, ..Config::default() })]

    #[test]
    fn any_lines_are_answered_and_none_that_is_refused_presses_anything(
        lines in prop::collection::vec(prop_oneof![9 => prop::sample::select(&LINES[..]), 1 => Just("zz zz")], 60),
    ) {
        let script: Vec<&str> = INTO_THE_BLOCK.iter().copied().chain(lines).collect();
        let heard = hear(Studio::with(&["Ilse Brandt", "Nora Quint"]), &script);
        // The last one may be that the program is left, by a command of the list too.
        for (line, piece) in script.iter().zip(&heard[1..heard.len() - usize::from(heard.len() <= script.len())]) {
            let waits = line.starts_with('~');
            prop_assert!(waits || !piece.is_empty(), "`{line}` is not answered");
            prop_assert!(!piece.contains("not a key") || piece.lines().count() == 1, "{piece}");
        }
    }
}
