//! What a line that is typed stands for.

use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use crate::caution::screening::Answer;
use crate::tui::keys::{self, Action, Detour, Key, Letters, Mode};
use crate::tui::remote::Button;

/// The parts of help, each with what it says.
const HELP: [(&str, &[&str]); 6] = [
    (
        "typing",
        &[
            "One word a line. An empty line is Enter.",
            "A name or letters look something up where that is asked for.",
            "A quote before a word types it where it would be a key.",
            "More goes on where something was cut. Read says the screen again. Quit leaves.",
            "Brief says fewer words, normal the usual ones.",
        ],
    ),
    (
        "keys",
        &[
            "Keys lists those of this place. Names of keys are words too:",
            "tab, shift-tab, esc, space, up, down, left, right, page-up, page-down, home, end, backspace, f1, ctrl-s.",
        ],
    ),
    (
        "block",
        &[
            "In a block: a number from 1 to 5 is the answer.",
            "Next, before, pause, go, longer, shorter, less, finish, undo.",
            "4 minutes, when so many are left. Time tells how it stands.",
        ],
    ),
    (
        "stopping",
        &[
            "Pain stops this stretch and notes it; undo takes that back.",
            "Stop is hands off: the clock stands and nothing is noted; go on, finish, or consent taken back.",
        ],
    ),
    (
        "asking",
        &[
            "Of the stretch: why, say, hands, feet, watch, spine, form.",
            "Cautions: as the card says them; cautions full: with degrees.",
            "Steps: those to come; why 3: why the third. Out: what was left out.",
            "Again: what was said last.",
        ],
    ),
    (
        "remote",
        &[
            "The buttons of a remote are words too: on, back-button, third, fourth.",
            "Third eases out and notes nothing; once more is pain.",
        ],
    ),
];

/// The names of the parts of help.
pub fn help_parts() -> String {
    HELP.map(|(name, _)| name).join(", ")
}

/// A part of help.
fn help_part(word: &str) -> Option<Vec<String>> {
    let name = word.strip_prefix("help ")?.trim();
    let (_, lines) = HELP.iter().find(|(part, _)| *part == name)?;
    Some(lines.iter().map(|line| (*line).to_owned()).collect())
}

/// What a line stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Meant {
    /// Keys, one after the other.
    Keys(Vec<KeyEvent>),
    /// A line of free text.
    Typed(String),
    /// Everything that stands there, once more.
    Read,
    /// What no single key means.
    Action(Action),
    /// The time that is left.
    Time,
    /// The keys of this place.
    Keyboard,
    /// What was said last, once more.
    Again,
    /// What stands behind a label.
    About(&'static str),
    /// The steps, or the one of that number.
    Steps(Option<usize>),
    /// The row of that number in the list that was said last.
    Row(usize),
    /// Another answer for the step of that number.
    Mend(usize, u8),
    /// A part of help.
    Help(Vec<String>),
    /// From now on lines have few words, or the usual ones.
    Brief(bool),
    /// Nothing: that is said, and nothing of it is pressed.
    Nothing(String),
}

/// What a line stands for in a mode, while a block runs or not.
pub fn meant(line: &str, mode: Mode, runs: bool) -> Meant {
    let line = line.trim_end_matches(['\n', '\r']);
    if let Some(quoted) = line.strip_prefix('"') {
        return typed(quoted.strip_suffix('"').unwrap_or(quoted), mode);
    }
    let word = if line == " " { "space".to_owned() } else { line.trim().to_lowercase() };
    // Where a name or free text is asked for, a word is text; where a few letters look something up, it is a word.
    let is_typed = matches!(mode.letters(), Letters::Text)
        || matches!(mode, Mode::Day | Mode::CardCondition | Mode::HistoryFind | Mode::On(Detour::Commands));
    let is_looked_up = mode.letters() == Letters::Words;
    match word.as_str() {
        "read" => Meant::Read,
        "keys" if !is_typed || mode == Mode::Day => Meant::Keyboard,
        "again" if !is_typed || mode == Mode::Day => Meant::Again,
        "problems" if mode == Mode::Day => Meant::About("Problem"),
        "steps" | "rest" if !is_typed => Meant::Steps(None),
        // What was left out is looked at from the steps.
        "out" if mode == Mode::Trained => Meant::Keys(
            [KeyCode::Tab, KeyCode::Char('o')].map(|code| KeyEvent::new(code, KeyModifiers::NONE)).to_vec(),
        ),
        // A block is finished from where its clock stands.
        "finish" if mode == Mode::Live => Meant::Keys(
            [KeyCode::Char(' '), KeyCode::Char('f')]
                .map(|code| KeyEvent::new(code, KeyModifiers::NONE))
                .to_vec(),
        ),
        "more" if is_looked_up && (!is_typed || mode == Mode::Day) => {
            Meant::Nothing("Nothing more.".to_owned())
        }
        "brief" | "normal" if !is_typed || mode == Mode::Day => Meant::Brief(word == "brief"),
        "time" if runs && !is_looked_up && !is_typed => Meant::Time,
        word => named(word)
            .map(|key| Meant::Keys(vec![key]))
            .or_else(|| help_part(word).filter(|_| mode.letters() != Letters::Text).map(Meant::Help))
            .or_else(|| minutes(word, mode).map(Meant::Action))
            .or_else(|| numbered(word, mode))
            .or_else(|| label(word, is_looked_up).filter(|_| !is_typed).map(Meant::About))
            .or_else(|| {
                action(word, mode)
                    .filter(|_| !is_typed && (!is_looked_up || word == "out"))
                    .map(Meant::Action)
            })
            .unwrap_or_else(|| typed(line, mode)),
    }
}

/// `4 minutes`, where a block is under way or planned.
fn minutes(word: &str, mode: Mode) -> Option<Action> {
    let (number, unit) = word.split_once(' ')?;
    let is_block = matches!(mode, Mode::Live | Mode::Paused | Mode::Trained | Mode::Steps);
    let is_unit = matches!(unit, "minutes" | "minute" | "min");
    number.parse().ok().filter(|_| is_block && is_unit).map(Action::MinutesLeft)
}

/// A number of a row, alone or in `why 3` and `2 is 4`.
fn numbered(word: &str, mode: Mode) -> Option<Meant> {
    let row = |word: &str| word.parse().ok().filter(|row| (1..1000).contains(row));
    if mode.letters() == Letters::Text {
        return None;
    }
    if let Some(step) = word.strip_prefix("why ").or_else(|| word.strip_prefix("step ")) {
        return row(step.trim()).map(|step| Meant::Steps(Some(step)));
    }
    if mode == Mode::Review {
        let Some((step, level)) = word.split_once(" is ") else {
            // An answer belongs to a step that is named.
            return row(word).map(|_| Meant::Nothing("Of which step? Say it as 2 is 4.".to_owned()));
        };
        let level = level.trim().parse().ok().filter(|level| (1..=5).contains(level))?;
        return row(step.trim()).map(|step| Meant::Mend(step, level));
    }
    let is_answer = |letter: char| {
        matches!(
            keys::resolve(mode, KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE)),
            Some(Action::Digit(_))
        )
    };
    row(word).filter(|_| !mode.is_block() && !word.starts_with(is_answer)).map(Meant::Row)
}

/// What is told of a stretch when it is asked for; where muscles are looked up, hands and feet are none of these words.
fn label(word: &str, is_looked_up: bool) -> Option<&'static str> {
    Some(match word {
        "cautions" => "Mind",
        "cautions full" => "In full",
        "why" => "Why",
        _ if is_looked_up => return None,
        "say" => "Say",
        "hands" => "Hands",
        "feet" => "Feet",
        "watch" => "Watch",
        "spine" => "Spine",
        "form" => "Form",
        "trained" => "Trained",
        _ => return None,
    })
}

/// What a word does where a key does the same; pain and stop are understood with two letters changed over, too.
fn action(word: &str, mode: Mode) -> Option<Action> {
    let meant = match word {
        "next" => Action::NextStep,
        "before" if mode == Mode::Health => Action::Erase,
        "before" => Action::StepBefore,
        "pause" if mode == Mode::Live => Action::Pause,
        "go" if mode.is_block() && mode != Mode::Live => Action::Pause,
        "pain" | "pian" => Action::Pain,
        "stop" | "stpo" => Action::Stop,
        "less" => Action::Less,
        "longer" => Action::Longer,
        "shorter" => Action::Shorter,
        "finish" => Action::Finish,
        "slip" | "undo" => Action::Undo,
        "back" => Action::Back,
        "agrees" => Action::Agree,
        "by themselves" => Action::ByThemselves,
        "declines" => Action::Decline,
        "yes" => Action::Answer(Answer::Yes),
        "no" => Action::Answer(Answer::No),
        "unsure" => Action::Answer(Answer::Unsure),
        "no to the rest" => Action::AllNo,
        "towel" => Action::Towel,
        "out" => Action::LeftOut,
        "more" => Action::InFull,
        "on" => Action::Remote(Button::On),
        "back-button" => Action::Remote(Button::Back),
        "third" => Action::Remote(Button::Third),
        "fourth" => Action::Remote(Button::Fourth),
        _ => return None,
    };
    Some(meant).filter(|action| keys::means(mode, *action))
}

/// The key of a name: each name that help shows, whatever the case, and some that are easier to type.
fn named(word: &str) -> Option<KeyEvent> {
    let plain = |code| Some(KeyEvent::new(code, KeyModifiers::NONE));
    let control = |letter| Some(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL));
    match word {
        "" | "enter" | "return" => return plain(KeyCode::Enter),
        "esc" | "escape" => return plain(KeyCode::Esc),
        "erase" => return plain(KeyCode::Backspace),
        "page-up" => return plain(KeyCode::PageUp),
        "page-down" => return plain(KeyCode::PageDown),
        "help" => return plain(KeyCode::F(1)),
        "quit" => return control('c'),
        "walk-in" => return plain(KeyCode::F(4)),
        "question mark" => return plain(KeyCode::Char('?')),
        "colon" => return plain(KeyCode::Char(':')),
        "plus" => return plain(KeyCode::Char('+')),
        "minus" => return plain(KeyCode::Char('-')),
        _ => {}
    }
    let shown = keys::names().find(|key| key.name().to_lowercase() == word && word.len() > 1);
    match shown {
        Some(Key::Code(code)) => return plain(code),
        Some(Key::Char(letter)) => return plain(KeyCode::Char(letter)),
        Some(Key::Ctrl(letter)) => return control(letter),
        Some(Key::Digits(..)) | None => {}
    }
    if let Some(number) = word.strip_prefix('f').and_then(|number| number.parse().ok()) {
        return plain(KeyCode::F(number));
    }
    let mut letters = word.strip_prefix("ctrl-")?.chars();
    match (letters.next(), letters.next()) {
        (Some(letter), None) => control(letter),
        _ => None,
    }
}

/// Letters as they are typed, or the one key that a letter is; all of them or none.
fn typed(line: &str, mode: Mode) -> Meant {
    let press = |letter: char| KeyEvent::new(KeyCode::Char(letter), KeyModifiers::NONE);
    let means = |letter: char| keys::resolve(mode, press(letter));
    let all = || Meant::Keys(line.chars().map(press).collect());
    let is_one = line.chars().count() == 1;
    let is_typed =
        |letter: char| letter == ' ' || matches!(means(letter), Some(Action::Type(_) | Action::Digit(_)));
    if mode.letters() == Letters::Keys || !(is_one || line.chars().all(is_typed)) {
        // Nothing is typed there.
    } else if mode.letters() == Letters::Words && line.contains(char::is_alphabetic) {
        // A line that looks something up stands for itself, and not behind the one before it.
        let afresh = KeyEvent::new(KeyCode::Char('u'), KeyModifiers::CONTROL);
        return Meant::Keys(std::iter::once(afresh).chain(line.chars().map(press)).collect());
    } else if mode.letters() == Letters::Text {
        return Meant::Typed(line.to_owned());
    } else {
        return all();
    }
    let counts = [Action::More, Action::Fewer, Action::Longer, Action::Shorter];
    let repeated = line.chars().next().filter(|first| line.chars().all(|letter| letter == *first));
    if repeated.and_then(means).is_some_and(|action| counts.contains(&action)) {
        // Minutes or seconds, several at once.
        return all();
    }
    if is_one {
        // Letters that are dictated begin with a capital.
        let letters = line.chars().chain(line.chars().flat_map(char::to_lowercase));
        let mut known = letters.filter(|letter| !matches!(means(*letter), None | Some(Action::Type(_))));
        if let Some(letter) = known.next() {
            return Meant::Keys(vec![press(letter)]);
        }
    } else if means('/') == Some(Action::Find)
        && line.chars().all(|letter| letter.is_alphanumeric() || letter == ' ')
    {
        // A name is looked for wherever there is something to find.
        return Meant::Keys(std::iter::once('/').chain(line.chars()).map(press).collect());
    }
    if matches!(line.trim().to_lowercase().as_str(), "on" | "back-button" | "third" | "fourth") {
        return Meant::Nothing("Remote is off.".to_owned());
    }
    let shown: String = line.chars().filter(|letter| !letter.is_control()).take(20).collect();
    let shown = shown.split_whitespace().take(5).collect::<Vec<_>>().join(" ");
    Meant::Nothing(format!("Nothing here is called {shown}. keys lists what is."))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nothing(shown: &str) -> Meant {
        Meant::Nothing(format!("Nothing here is called {shown}. keys lists what is."))
    }

    fn keys(line: &str, mode: Mode) -> Vec<KeyEvent> {
        match meant(line, mode, false) {
            Meant::Keys(keys) => keys,
            other => panic!("{line}: {other:?}"),
        }
    }

    #[test]
    fn every_name_that_help_shows_is_a_key_whatever_the_case() {
        for key in keys::names().filter(|key| !matches!(key, Key::Digits(..)) && key.name().len() > 1) {
            let name = key.name();
            for name in [name.clone(), name.to_lowercase(), name.to_uppercase()] {
                let [event] = keys(&name, Mode::ReviewText)[..] else { panic!("{name} is one key") };
                assert!(key.is(event), "{name}: {event:?}");
            }
        }
    }

    #[test]
    fn an_empty_line_is_enter_and_a_quote_types_what_is_a_key_otherwise() {
        assert_eq!(keys("", Mode::Live), keys("enter", Mode::Live));
        assert_eq!(keys("ham", Mode::Trained).len(), 4);
        assert_eq!(meant("\"left\"", Mode::ReviewText, false), Meant::Typed("left".to_owned()));
        assert_eq!(keys("left", Mode::ReviewText), [KeyEvent::new(KeyCode::Left, KeyModifiers::NONE)]);
        assert_eq!(meant("Read", Mode::ReviewText, false), Meant::Read);
    }

    #[test]
    fn several_letters_are_nothing_where_a_letter_is_a_key() {
        for mode in [
            Mode::Live,
            Mode::Paused,
            Mode::Stop,
            Mode::Less,
            Mode::Consent,
            Mode::On(Detour::Help),
            Mode::Steps,
        ] {
            let refused = nothing("tight hip");
            assert_eq!(meant("tight hip", mode, true), refused, "{mode:?}");
        }
        assert_eq!(meant("x", Mode::Live, true), nothing("x"));
        assert_eq!(meant("44", Mode::Live, true), nothing("44"));
        assert_eq!(keys("P", Mode::Live), keys("p", Mode::Live));
        for (line, mode) in
            [("---", Mode::Trained), ("---", Mode::Steps), ("<<<", Mode::Review), ("+++", Mode::Live)]
        {
            assert_eq!(keys(line, mode).len(), 3, "{mode:?}");
        }
        // A sign in the middle of a name is no key.
        assert_eq!(meant("+ ham", Mode::Trained, false), nothing("+ ham"));
    }

    #[test]
    fn a_name_is_looked_for_in_a_list_too() {
        assert_eq!(keys("nora", Mode::DayList).len(), 5);
        assert_eq!(keys("c", Mode::DayList).len(), 1);
    }

    #[test]
    fn the_time_is_told_while_a_block_runs_and_minutes_are_words() {
        assert_eq!(meant("time", Mode::Live, true), Meant::Time);
        assert_eq!(meant("Time", Mode::On(Detour::Help), true), Meant::Time);
        assert_eq!(keys("time", Mode::Day).len(), 5);
        assert_eq!(meant("4 minutes", Mode::Live, true), Meant::Action(Action::MinutesLeft(4)));
        assert_eq!(meant("4 minutes", Mode::Steps, false), Meant::Action(Action::MinutesLeft(4)));
        assert_ne!(meant("4 minutes", Mode::LeftOut, false), Meant::Action(Action::MinutesLeft(4)));
    }
}
