//! How much is said at once: what would go over is cut at a sentence, and `more` goes on there.

use crate::tui::mode::Mode;
use crate::tui::{spoken, text};

/// Why something is said, as far as its length depends on that.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Occasion {
    /// It is new in that mode.
    News(Mode),
    /// It was asked for in that mode.
    Asked(Mode),
}

/// The most words of what is said at once, as usual and in brief: our judgement, by three words a second.
const fn most(occasion: Occasion) -> (usize, usize) {
    match occasion {
        Occasion::News(Mode::Trained | Mode::Steps | Mode::CutOff | Mode::CutOffDrop) => (50, 20),
        Occasion::News(Mode::Day | Mode::DayList) => (60, 20),
        Occasion::News(_) | Occasion::Asked(_) => (60, 40),
    }
}

/// What protects the client is said whole, wherever it stands.
fn is_safety(line: &str, occasion: Occasion) -> bool {
    let is_pain =
        matches!(occasion, Occasion::News(Mode::Trained | Mode::Steps)) && line.contains("stopped for pain");
    is_pain || line.starts_with("Caution: ") || line.starts_with("Health check")
}

/// Whether what is said there by itself is never cut: consent, the health check, pain and stop.
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
pub(super) fn cut(lines: Vec<String>, occasion: Occasion, is_brief: bool) -> (Vec<String>, Vec<String>) {
    let (usual, brief) = most(occasion);
    let most = if is_brief { brief } else { usual };
    let all: usize = lines.iter().map(|line| count(line)).sum();
    if matches!(occasion, Occasion::News(mode) if is_whole(mode)) || all <= most {
        return (lines, Vec::new());
    }
    let protected: usize =
        lines.iter().filter(|line| is_safety(line, occasion)).map(|line| count(line)).sum();
    // The last line, that there is more, is part of it.
    let most = most.saturating_sub(3 + protected);
    let (mut said, mut rest): (Vec<String>, Vec<String>) = Default::default();
    let mut words = 0;
    for line in lines
        .into_iter()
        .flat_map(|line| if is_safety(&line, occasion) { vec![line] } else { sentences(&line) })
    {
        let is_next = rest.is_empty() && (said.is_empty() || words + count(&line) <= most);
        if is_safety(&line, occasion) {
            said.push(line);
        } else if is_next {
            words += count(&line);
            said.push(line);
        } else {
            rest.push(line);
        }
    }
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
    use crate::tui::mode::Detour;

    const REVIEW: Occasion = Occasion::News(Mode::Review);

    fn lines(count: usize) -> Vec<String> {
        (0..count).map(|number| format!("Line {number} has five words.")).collect()
    }

    #[test]
    fn what_goes_over_is_cut_at_a_sentence_and_more_goes_on_there() {
        let (said, rest) = cut(lines(20), REVIEW, false);
        assert_eq!((said.len(), rest.len()), (12, 9));
        assert_eq!(said[11], "Nine more: more.");
        assert_eq!(rest[0], "Line 11 has five words.");
        assert_eq!(cut(lines(12), REVIEW, false).1.len(), 0);
        assert_eq!(cut(lines(12), REVIEW, true).0.len(), 8);
    }

    #[test]
    fn one_endless_line_is_cut_where_its_sentences_end_and_what_protects_is_never_cut() {
        let one = vec!["It goes on and on. ".repeat(30)];
        let (said, rest) = cut(one.clone(), Occasion::Asked(Mode::On(Detour::Help)), false);
        assert!(said.iter().map(|line| count(line)).sum::<usize>() <= 60 && !rest.is_empty(), "{said:?}");
        assert_eq!(cut(one.clone(), Occasion::News(Mode::Consent), true).0, one);
    }

    #[test]
    fn what_protects_the_client_is_said_behind_a_cut_too() {
        let mut all = lines(9);
        all.push("Caution: new hip, left.".to_owned());
        let (said, rest) = cut(all, Occasion::News(Mode::Trained), true);
        assert_eq!(said.len(), 4);
        assert!(said[2].starts_with("Caution: ") && said[3] == "Seven more: more.", "{said:?}");
        assert_eq!(rest.len(), 7);
    }
}
