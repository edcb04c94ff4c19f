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

/// What gives the next line.
type Next = Box<dyn FnMut(&[String]) -> Option<String>>;

/// Lines to be given; `~20` lets twenty seconds pass.
struct Script {
    services: Services,
    start: Now,
    passed: Duration,
    /// What is left of a wait.
    waiting: Option<Duration>,
    /// The next line, by what was heard so far; none at the end.
    next: Next,
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
        let line = (self.next)(&self.sound.0.borrow());
        let Some(line) = line else { return Ok(self.voice.hear(Heard::End)) };
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
        if matches!(effect, Effect::TellAgain) {
            self.voice.repeat();
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
pub(super) fn hear(studio: Studio, script: &[&str]) -> Vec<String> {
    let mut lines: VecDeque<String> = script.iter().map(|line| (*line).to_owned()).collect();
    converse(studio, move |_| lines.pop_front())
}

/// The same with lines that depend on what was heard.
pub(super) fn converse(
    studio: Studio,
    next: impl FnMut(&[String]) -> Option<String> + 'static,
) -> Vec<String> {
    let start = studio.now();
    let sound = Sound(Rc::new(RefCell::new(vec![String::new()])));
    let Studio { mut app, services, .. } = studio;
    let (passed, voice, next) = (Duration::ZERO, Voice::new(sound.clone()), Box::new(next));
    let mut ears = Script { services, start, passed, waiting: None, next, sound: sound.clone(), voice };
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
fn how_keys_are_given_is_said_in_help_and_the_keys_when_they_are_asked_for() {
    let script = ["?", "brandt", "ESCAPE", "", "ham", "", "tab", "keys"];
    let heard = listen(Studio::with(&["Ilse Brandt"]), &script);
    assert!(heard[0].starts_with("Who is next?") && !heard[0].contains("Keys"), "{}", heard[0]);
    assert_heard(&heard[1], &["Keys of this place", "Say keys, or help and a part"]);
    assert_eq!(heard[2], "Nothing here is called brandt. keys lists what is.\n");
    assert_heard(&heard[3], &["Back to the day", "Who is next?", "1 of 1: Ilse Brandt"]);
    assert_heard(&heard[8], &["Keys: ", "Enter start"]);
}

#[test]
fn of_a_typed_word_only_the_end_is_said() {
    let heard = listen(Studio::with(&["Ilse Brandt", "Nora Quint"]), &["", "ham", "", "esc", "nora"]);
    assert_eq!(heard[2], "1 of 1: hamstrings\n");
    assert_heard(&heard[3], &["Trained: hamstrings properly.\n", " steps, ", "First: "]);
    assert_heard(&heard[4], &["Back to the day\n", "Who is next?"]);
    assert!(!heard[4].contains("Nora"), "{}", heard[4]);
    assert_eq!(heard[5], "1 of 1: Nora Quint\n");
}

#[test]
fn a_step_is_said_before_its_hold_and_the_hold_by_a_word() {
    let heard = block(&["~15", "~10", "~20"]);
    let first = "Lie on the back.\nLeft. Straight-leg raise, twenty seconds.\n";
    assert_eq!(heard[0], format!("The block of Ilse Brandt\n{first}"));
    assert_eq!(heard[1], "");
    assert_eq!(heard[2], "Hold.\n");
    let change = heard[3].strip_prefix("Ten.\nUp. One to five?\n");
    assert!(change.is_some_and(|change| change.lines().count() <= 2), "{}", heard[3]);
}

#[test]
fn what_is_not_said_by_itself_is_told_when_it_is_asked_for() {
    let heard = block(&["~30", "hands", "say", "cautions", "read", "more", "more"]);
    assert!(heard[2].len() > 20 && heard[3].len() > 10, "{heard:?}");
    assert_eq!(heard[4], "No caution.\n");
    assert_heard(&heard[5], &["Step 1 of ", "Next: ", " more: more.\n"]);
    assert_heard(&[heard[6].as_str(), &heard[7]].concat(), &["Say: ", "Hands: "]);
    assert!(count(&heard[5]) <= 60 && count(&heard[6]) <= 60, "{heard:?}");
}

#[test]
fn the_time_is_told_at_any_moment_and_going_on_says_the_seconds() {
    let heard = block(&["~30", "TIME", "pause", "time", "~60", "go", "?", "time"]);
    assert_heard(&heard[2], &["Hold, 15 seconds; ", " left, on time, client up in nine and a half minutes"]);
    assert_eq!(heard[3], "Paused. Go goes on.\n");
    assert_heard(&heard[4], &["Hold, 15 seconds, standing still; "]);
    assert_eq!(heard[5], "");
    assert_eq!(heard[6], "Go, fifteen seconds.\n");
    assert_heard(&heard[8], &["Hold, 15 seconds; ", "one minute late"]);
}

#[test]
fn letters_in_a_row_press_nothing_in_the_block_and_words_do_what_their_keys_do() {
    let script = ["~30", "tight hip", "stop", "tight hip", "go", "12", "less", "longer", "space", "4"];
    let heard = block(&script);
    for (piece, line) in [(2, "tight hip"), (4, "tight hip"), (6, "12"), (8, "longer")] {
        assert_eq!(heard[piece], format!("Nothing here is called {line}. keys lists what is.\n"));
    }
    assert_heard(&heard[3], &["Hands off. The clock stands. Nothing is noted."]);
    assert_heard(&heard[7], &["What is still fine?"]);
    assert_eq!(heard[10], "4, saved when this hold ends.\n");
}

#[test]
fn an_event_comes_before_what_follows_from_it() {
    let heard = block(&["~30", "p", "space", "3 minutes"]);
    assert_heard(
        &heard[2],
        &[
            "Ease out. Pain saved: Straight-leg raise, left, at five seconds.",
            "Ask where, and what kind.",
            "Next is ",
            "Go on, finish, or slip?",
        ],
    );
    assert!(heard[2].starts_with("Ease out.") && count(&heard[2]) <= 35, "{}", heard[2]);
    assert!(heard[4].contains("planned again, up at 18 4") || heard[4].contains(" left: "), "{}", heard[4]);
}

#[test]
fn a_block_is_finished_by_a_word_while_its_clock_runs() {
    let heard = block(&["~60", "4", "finish"]);
    assert_heard(&heard[3], &["what came out", "1 of 2: Straight-leg raise, left, answer 4\n"]);
}

#[test]
fn a_remark_is_asked_for_and_said_back() {
    let heard = block(&["~60", "space", "f", "r", "tight hip left", "", "down", "read"]);
    assert_heard(
        &heard[3],
        &[
            "what came out",
            "1 of 2: Straight-leg raise, left, not asked\n",
            "held; ten minutes were planned",
            "trained and reached: hamstrings",
        ],
    );
    assert_heard(&heard[4], &["Remark: type it"]);
    assert_eq!(heard[5], "Typed: tight hip left\n");
    assert_heard(&heard[6], &["Remark: tight hip left"]);
    assert!(
        heard[7].starts_with("2 of 2: Straight-leg raise, right") && heard[7].lines().count() == 1,
        "{}",
        heard[7]
    );
    assert_heard(
        &heard[8],
        &[
            "what came out",
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
    assert_heard(&heard[3], &["Trained: ", "First: "]);
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
    assert_heard(&heard[4], &["add a condition: shoulder", "1 of ", "Both shoulders: "]);
    assert_eq!(heard[4].matches("Both shoulders: ").count(), 1, "{}", heard[4]);
    assert_heard(&heard[5], &["2 of ", "Both shoulders: "]);
    assert_eq!(heard[5].lines().count(), 1, "{}", heard[5]);
}

#[test]
fn a_new_card_is_filled_in_line_by_line_and_a_line_takes_the_place_of_one_that_was_wrong() {
    let script =
        ["Nora Vale", "", "down", "impingement left", "", "", "lower", "", "2 May 1991", "", "ctrl-p"];
    let heard = listen(Studio::empty(), &script);
    assert_heard(
        &heard[2],
        &["New client. Enter: the next line. Ctrl-P: save and plan.", "1 of 9: name: Nora Vale"],
    );
    assert_heard(&heard[3], &["2 of 9: add a condition? ", "new knee left"]);
    assert_heard(&heard[4], &["sore shoulder, impingement: Both shoulders: below shoulder height"]);
    assert_heard(
        &heard[5],
        &["Sore shoulder, impingement, left.", "3 of 10: add a condition? or Enter: none"],
    );
    assert_heard(&heard[6], &["4 of 10: born? 31 May 1984, or the year"]);
    assert_heard(&heard[8], &["lower is no day of birth: such as 31 May 1984, or the year."]);
    assert_eq!(heard[9], "4 of 10: born: 2 May 1991\n");
    assert_heard(
        &heard[11],
        &["Plan for Nora Vale", "Health check first.", "Caution: sore shoulder, impingement, left."],
    );
    for piece in &heard {
        assert_speakable(piece);
        assert!(count(piece) <= 40, "{piece}");
    }
}

#[test]
fn a_history_says_the_last_values_with_day_and_side() {
    let script = ["f3", "right", "down", "right", "right", "down", "calf"];
    let heard = listen(Studio::demo(), &script);
    assert_heard(&heard[1], &["Year", "1 of "]);
    assert_heard(&heard[2], &["Stretch", "1 of ", "18 November 2026: left ", "right answer ", " seconds"]);
    assert_heard(&heard[3], &["2 of "]);
    assert_heard(&heard[5], &["Sessions", "1 of 31: 18 November 2026: ten minutes", "After pecs", "answer "]);
    assert_heard(&heard[6], &["2 of 31: 11 November 2026", "After "]);
    assert_heard(&heard[7], &["1 of "]);
}

#[test]
fn a_hold_is_said_over_help_too_and_new_minutes_say_what_is_left() {
    let heard = block(&["?", "~25", "esc", "4 minutes"]);
    assert_heard(&heard[1], &["Keys of this place"]);
    assert_eq!(heard[2], "Hold.\n");
    assert_heard(&heard[3], &["Back to the block"]);
    assert!(heard[4].contains("planned again, up at 18 ") || heard[4].contains(" left: "), "{}", heard[4]);
}

#[test]
fn minutes_are_taken_off_several_at_once() {
    let heard = listen(Studio::with(&["Ilse Brandt"]), &["", "ham", "", "---", "tab", "++"]);
    assert_heard(&heard[4], &["Plan for Ilse Brandt, seven minutes, up at 18 52"]);
    assert_heard(&heard[6], &["Plan for Ilse Brandt, nine minutes, up at 18 54"]);
}

#[test]
fn what_comes_again_as_another_screen_is_said_in_full() {
    let heard = block(&["~30", "s", "d", "", "space", "", "esc", "", "a", ""]);
    assert_heard(&heard[5], &["Plan for Ilse Brandt", " steps, "]);
    let before_touch = "Nobody presses or grips";
    assert_heard(&heard[6], &["Consent, Ilse Brandt", before_touch, "You can stop me at any time"]);
    assert_heard(&heard[7], &["Back to the plan\n"]);
    assert_heard(
        &heard[8],
        &["Back to the question of consent\n", before_touch, "You can stop me at any time"],
    );
    assert_heard(&heard[10], &["The block of Ilse Brandt", "Lie on the back.", "Straight-leg raise"]);
}

/// Words between blanks.
pub(super) fn count(piece: &str) -> usize {
    piece.split_whitespace().count()
}

/// Nothing that is said has a sign that a voice would spell, a colon between digits, or a unit in letters.
pub(super) fn assert_speakable(piece: &str) {
    const SIGNS: &str = "()[]{}<>=+%\"`|_~^*…→←↑↓▲▼█▚░▒▓";
    assert!(!piece.contains(|letter: char| SIGNS.contains(letter)), "{piece}");
    let letters: Vec<char> = piece.chars().collect();
    let is_clock = |three: &[char]| three[0].is_ascii_digit() && three[1] == ':' && three[2].is_ascii_digit();
    assert!(!letters.windows(3).any(is_clock), "{piece}");
    let words: Vec<&str> = piece.split([' ', '\n', ',', '.']).collect();
    let is_unit = |pair: &[&str]| pair[0].parse::<u32>().is_ok() && matches!(pair[1], "s" | "min" | "x");
    assert!(!words.windows(2).any(is_unit), "{piece}");
}

#[test]
fn review_history_card_help_and_what_is_read_keep_to_their_words_and_more_goes_on() {
    let script = [
        "feldm",
        "",
        "help",
        "more",
        "more",
        "help stopping",
        "help remote",
        "esc",
        "read",
        "more",
        "keys",
        "f3",
        "read",
        "more",
        "right",
        "down",
        "esc",
        "f2",
        "read",
        "more",
        "down",
        "help",
        "esc",
        "esc",
        "ctrl-r",
        "",
        "a",
        "",
        "~40",
        "pain",
        "next",
        "read",
        "space",
        "f",
        "read",
        "more",
        "down",
    ];
    for (is_brief, most) in [(false, 60), (true, 40)] {
        let all = if is_brief {
            [&["tab", "brief"][..], &["shift-tab"], &script].concat()
        } else {
            script.to_vec()
        };
        let heard = hear(Studio::demo_planned_with(Budget::passes(1)), &all);
        for (line, piece) in all.iter().zip(&heard[1..]) {
            assert_speakable(piece);
            let is_pain = *line == "pain";
            let is_consent = piece.contains("Ask: ");
            let most = if is_pain { 35 } else { most };
            assert!(is_consent || count(piece) <= most, "{line}: {} words\n{piece}", count(piece));
            assert!(!line.is_empty() || !piece.is_empty(), "{line}");
        }
        assert!(heard.iter().filter(|piece| piece.contains(" more: more.")).count() > 2, "{heard:?}");
    }
}

#[test]
fn in_brief_a_hold_is_a_bell_an_answer_its_digit_and_a_step_its_side_and_name() {
    let heard = block(&["brief", "~30", "~20", "4", "normal", "~40"]);
    assert_eq!(heard[1], "Brief.\n");
    assert!(heard[2].ends_with('\u{7}') && !heard[2].contains("Hold"), "{}", heard[2]);
    assert_heard(&heard[3], &["Ten.", "Up. One to five?"]);
    assert_eq!(heard[4], "4.\n");
    assert!(heard[3].lines().all(|line| count(line) <= 10), "{}", heard[3]);
    assert_heard(&heard[6], &["Hold."]);
}

#[test]
fn a_client_whose_file_has_a_fault_is_never_nobody_and_gets_no_second_card() {
    for typed in ["feld", "Tobias Feldmann", "t-feldmann"] {
        let studio = Studio::demo();
        let whole = std::fs::read_to_string(studio.file("t-feldmann")).expect("the file");
        studio.write("clients/t-feldmann.toml", &whole.replacen("born = ", "born = 1988-13-02 # ", 1));
        let heard = listen(studio, &[typed, "", ""]);
        for piece in &heard[1..3] {
            assert_heard(piece, &["t-feldmann has a fault: line ", "No new card is made."]);
            assert!(!piece.contains("Nobody") && count(piece) <= 60, "{piece}");
        }
        assert!(!heard.concat().contains("New client"), "{heard:?}");
    }
}

proptest! {
    #![proptest_config(Config { cases: 40, failure_persistence: None, ..Config::default() })]

    #[test]
    fn every_change_of_step_says_position_and_side_first_and_is_over_before_the_hold(
        trained in prop::collection::vec(
            prop::sample::select(&["ham", "glu", "calf", "chest", "lat", "neck", "quad", "add", "full body", "push", "lower"][..]), 1..5),
        minutes in 0_usize..6,
    ) {
        let shorter = "-".repeat(minutes);
        let mut script = vec![""];
        script.extend(trained.iter().flat_map(|muscle| [*muscle, ""]));
        if minutes > 0 {
            script.push(&shorter);
        }
        script.extend(["tab", "", "a", ""]);
        let begun = script.len();
        let waits = vec!["~1"; 640];
        script.extend(&waits);
        let heard = hear(Studio::with(&["Ilse Brandt"]), &script);
        let seconds: Vec<&String> =
            heard[begun..].iter().take_while(|piece| !piece.contains("what came out")).collect();
        // The words that are not out yet, by three a second.
        let (mut waiting, mut steps) = (0, 0);
        for (second, piece) in seconds.iter().enumerate() {
            let words: usize = piece.lines().filter(|line| *line != "Hold.").map(count).sum();
            if piece.contains("Hold.\n") {
                // What has less than its own second is said with it.
                prop_assert!(waiting <= 3, "{second}: {waiting} words are not out: {:?}", &seconds[second.saturating_sub(8)..=second]);
                waiting = 0;
            }
            waiting = (waiting + words).saturating_sub(3);
            prop_assert!(second == 0 || count(piece) <= 25, "{piece}");
            let lines: Vec<&str> = piece.lines().collect();
            let sides = ["Left.", "Right.", "Both.", "Same, ", "Last. "];
            for (index, line) in lines.iter().enumerate().filter(|(_, line)| sides.iter().any(|side| line.starts_with(side))) {
                steps += 1;
                let before = lines[..index].iter().filter(|line| !line.starts_with("The block") && !line.starts_with("Ten.") && !line.starts_with("Up."));
                // Nothing but a position stands before the side.
                prop_assert!(before.clone().count() <= 1 && before.clone().all(|line| count(line) <= 4), "{piece}");
                prop_assert!(lines[index + 1..].is_empty(), "{piece}");
                let _ = line;
            }
        }
        prop_assert!(steps > 0 || heard.iter().all(|piece| !piece.contains("Hold.")));
    }
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
            prop_assert!(!piece.contains("Nothing here is called") || piece.lines().count() == 1, "{piece}");
        }
    }
}
