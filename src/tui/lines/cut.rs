//! How much is said at once: what would go over is cut at a sentence, and `more` goes on there.

use crate::tui::mode::Mode;
use crate::tui::{spoken, text};

/// The most words of what is said at once, as usual and in brief: our judgement, by three words a second.
const MOST: (usize, usize) = (60, 40);

/// Whether what is said there is never cut: consent, the health check, pain and stop.
const fn is_whole(mode: Mode) -> bool {
    matches!(
        mode,
        Mode::Consent
            | Mode::Health
            | Mode::HealthFound
            | Mode::HealthSettled
            | Mode::HealthStop
            | Mode::Pain
            | Mode::Stop
            | Mode::Less
    )
}

/// Parts lines into what is said now and what `more` goes on with.
pub(super) fn cut(lines: Vec<String>, mode: Mode, is_brief: bool) -> (Vec<String>, Vec<String>) {
    let most = if is_brief { MOST.1 } else { MOST.0 };
    let all: usize = lines.iter().map(|line| count(line)).sum();
    if is_whole(mode) || all <= most {
        return (lines, Vec::new());
    }
    // The last line, that there is more, is part of it.
    let most = most - 3;
    let mut said: Vec<String> = Vec::new();
    let mut words = 0;
    let mut left = lines.into_iter().flat_map(|line| sentences(&line)).peekable();
    while let Some(line) = left.next_if(|line| said.is_empty() || words + count(line) <= most) {
        words += count(&line);
        said.push(line);
    }
    let rest: Vec<String> = left.collect();
    if !rest.is_empty() {
        let number = spoken::number(u32::try_from(rest.len()).unwrap_or(u32::MAX));
        said.push(text::capitalised(&format!("{number} more: more.")));
    }
    (said, rest)
}

/// Words between blanks.
fn count(line: &str) -> usize {
    line.split_whitespace().count()
}

/// A long line by its sentences, a short one as it is.
fn sentences(line: &str) -> Vec<String> {
    /// Words that are heard to the end.
    const LONG: usize = 20;
    if count(line) <= LONG {
        return vec![line.to_owned()];
    }
    let ends = line.split_inclusive(". ").flat_map(|part| part.split_inclusive("; "));
    // A sentence that goes on and on is cut at a comma.
    let pieces = ends.flat_map(|part| part.split_inclusive(if count(part) > LONG { ", " } else { "; " }));
    let mut parts: Vec<String> = Vec::new();
    for part in pieces {
        match parts.last_mut().filter(|last| count(last) + count(part) <= LONG) {
            Some(last) => last.push_str(part),
            None => parts.push(part.to_owned()),
        }
    }
    parts.iter().map(|part| part.trim_end().to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(count: usize) -> Vec<String> {
        (0..count).map(|number| format!("Line {number} has five words.")).collect()
    }

    #[test]
    fn what_goes_over_is_cut_at_a_sentence_and_more_goes_on_there() {
        let (said, rest) = cut(lines(20), Mode::Review, false);
        assert_eq!((said.len(), rest.len()), (12, 9));
        assert_eq!(said[11], "Nine more: more.");
        assert_eq!(rest[0], "Line 11 has five words.");
        assert_eq!(cut(lines(12), Mode::Review, false).1.len(), 0);
        assert_eq!(cut(lines(12), Mode::Review, true).0.len(), 8);
    }

    #[test]
    fn one_endless_line_is_cut_where_its_sentences_end_and_what_protects_is_never_cut() {
        let one = vec!["It goes on and on. ".repeat(30)];
        let (said, rest) = cut(one.clone(), Mode::Help, false);
        assert!(said.iter().map(|line| count(line)).sum::<usize>() <= 60 && !rest.is_empty(), "{said:?}");
        assert_eq!(cut(one.clone(), Mode::Consent, true).0, one);
    }
}
