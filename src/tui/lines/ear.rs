//! A line as it is heard: no colon between digits, no unit in letters, no sign that a voice would spell out.

use chrono::NaiveDate;

use crate::body::Seconds;
use crate::tui::spoken;
use crate::words::date;

/// Words before a time of day; any other `m:ss` is a length.
const BEFORE_A_TIME: [&str; 11] =
    ["at", "by", "until", "till", "from", "since", "after", "before", "to", "as", "clock"];

/// What stands at the end of a word without being part of it.
const ENDS: [char; 8] = ['.', ',', ';', ':', '?', '!', ')', ']'];

/// A line in words that any voice reads as they are meant.
pub(super) fn heard(line: &str) -> String {
    let words: Vec<&str> = line.split_whitespace().collect();
    let mut said: Vec<String> = Vec::new();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        let before = at.checked_sub(1).map_or("", |before| words[before]);
        let (opening, core, ending) = parts(word);
        let (_, next, next_ending) = parts(words.get(at + 1).copied().unwrap_or_default());
        let number = core.parse().ok().filter(|_| ending.is_empty());
        let joined = number.and_then(|number| with_unit(number, next));
        // A bracket is heard as the pause that it is.
        if opening.contains('(')
            && let Some(last) = said.last_mut().filter(|last| !last.ends_with(ENDS))
        {
            last.push(',');
        }
        at += if joined.is_some() { 2 } else { 1 };
        let pause = if joined.is_some() { next_ending } else { ending };
        let word = joined.unwrap_or_else(|| spelled(core, before));
        let pause: String = pause.chars().filter(|letter| !matches!(letter, ')' | ']' | '"')).collect();
        if !word.is_empty() {
            said.push(format!("{word}{pause}"));
        }
    }
    said.join(" ")
}

/// What opens a word, the word, and what ends it.
fn parts(word: &str) -> (&str, &str, &str) {
    let core = word.trim_start_matches(['(', '[', '"']);
    let opening = &word[..word.len() - core.len()];
    let bare = core.trim_end_matches(|letter| ENDS.contains(&letter) || letter == '"');
    (opening, bare, &core[bare.len()..])
}

/// A number with its unit in words.
fn with_unit(number: u32, unit: &str) -> Option<String> {
    let seconds = match unit {
        "s" => number,
        "min" => number.checked_mul(60)?,
        "x" => return Some(format!("{} times", spoken::number(number))),
        _ => return None,
    };
    Some(spoken::length(Seconds::new(seconds)))
}

/// A word with its signs as words; what is left of them is left out.
fn spelled(word: &str, before: &str) -> String {
    if let Some((first, last)) = word.split_once(':')
        && let (Ok(first), Ok(last), 2) = (first.parse::<u32>(), last.parse::<u32>(), last.len())
    {
        let is_time = BEFORE_A_TIME.contains(&before.to_lowercase().as_str());
        let seconds = first.saturating_mul(60).saturating_add(last);
        return if is_time { clock(first, last) } else { spoken::length(Seconds::new(seconds)) };
    }
    if let Ok(day) = word.parse::<NaiveDate>() {
        return date::day(day);
    }
    // Of a way to a file the name alone is heard.
    let is_path = word.starts_with('/') || word.matches(['/', '\\']).count() > 1;
    let word = word.rsplit(['/', '\\']).next().filter(|_| is_path).unwrap_or(word);
    let mut said = String::new();
    let letters: Vec<char> = word.chars().collect();
    for (index, letter) in letters.iter().enumerate() {
        let is_digit =
            |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
        let (after, behind) = (is_digit(index.checked_sub(1)), is_digit(Some(index + 1)));
        match letter {
            '%' => said.push_str(" percent"),
            '°' => said.push_str(" degrees"),
            '&' => said.push_str("and"),
            '+' if after => said.push_str(" and "),
            '+' => said.push_str("plus "),
            '-' | '–' if after && behind => said.push_str(" to "),
            '-' | '−' if behind && index == 0 => said.push_str("minus "),
            '×' => said.push_str(" times "),
            '/' if after && behind => said.push_str(" of "),
            '/' => said.push_str(" or "),
            ':' if after && behind => said.push(' '),
            // Brackets, quotes and the like; arrows, lines and blocks.
            '<'
            | '>'
            | '='
            | '"'
            | '`'
            | '['
            | ']'
            | '('
            | ')'
            | '{'
            | '}'
            | '|'
            | '*'
            | '_'
            | '~'
            | '^'
            | '…'
            | '\u{2190}'..='\u{21ff}'
            | '\u{2500}'..='\u{25ff}' => {}
            letter => said.push(*letter),
        }
    }
    said.trim().to_owned()
}

/// A time of day: two numbers.
fn clock(hours: u32, minutes: u32) -> String {
    match minutes {
        0 => format!("{hours} o'clock"),
        1..10 => format!("{hours} oh {minutes}"),
        _ => format!("{hours} {minutes}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_and_lengths_are_told_apart_and_have_no_colon() {
        for (line, said) in [
            ("Plan, 10 min, up at 18:55", "Plan, ten minutes, up at 18 55"),
            ("up at 18:05.", "up at 18 oh 5."),
            ("9:50 left, client up in 9:59", "nine minutes fifty left, client up in nine minutes fifty-nine"),
            ("stopped at hold 0:20", "stopped at hold twenty seconds"),
            ("light pushes of 5 s, 2 times", "light pushes of five seconds, 2 times"),
            ("this hold 5 s shorter", "this hold five seconds shorter"),
        ] {
            assert_eq!(heard(line), said);
        }
    }

    #[test]
    fn signs_become_words_or_pauses() {
        for (line, said) in [
            ("new hip (posterior), left", "new hip, posterior, left"),
            ("1-5 answer", "1 to 5 answer"),
            ("2 x 5+15", "two times 5 and 15"),
            ("stopped for pain on 2026-11-16; ask", "stopped for pain on 16 November 2026; ask"),
            ("say \"now\" → go [4] 50%", "say now go 4 50 percent"),
            ("Straight-leg raise, left: 4.", "Straight-leg raise, left: 4."),
            ("see /home/ana/clients/t-lund.toml:3:8: it", "see t-lund.toml:3 8: it"),
            ("left/right", "left or right"),
        ] {
            assert_eq!(heard(line), said);
        }
    }

    #[test]
    fn nothing_that_is_heard_has_a_colon_between_digits_or_a_sign() {
        for line in ["a 1:02, (3:04) 5:06; 7 s. 8 min! 9 x", "\"10:11\" [12:13] 2026-11-25T18:45:00"] {
            let said = heard(line);
            assert!(!said.contains(|letter: char| "()[]\"+%".contains(letter)), "{said}");
            let letters: Vec<char> = said.chars().collect();
            let is_time = |three: &[char]| three[1] == ':' && three[2].is_ascii_digit();
            assert!(!letters.windows(3).any(is_time), "{said}");
        }
    }
}
