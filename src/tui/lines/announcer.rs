//! What is said of a page, once the one before it is known.

use std::mem::{self, Discriminant};

use crate::body::Seconds;
use crate::tui::app::App;
use crate::tui::event::Now;
use crate::tui::page::{ClockView, Line, List, Page, Part};
use crate::tui::screens::Screen;
use crate::tui::spoken;
use crate::tui::text;

/// Seconds at which a countdown is said between its beginning and its end, the least length for each, and its words.
const MARKS: [(u32, u32, &str); 2] = [(30, 60, "Thirty."), (10, 20, "Ten.")];
/// Seconds that a mark is apart from what was said before it.
const APART: u32 = 5;

/// Why something is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trigger {
    /// The trainer pressed a key.
    Key,
    /// Time passed.
    Time,
}

/// A page that was said, of which screen it was, and how many screens there were with it.
#[derive(Debug)]
struct Said {
    depth: usize,
    screen: Discriminant<Screen>,
    page: Page,
}

/// Remembers what was said, so that only news is said.
#[derive(Debug, Default)]
pub struct Announcer {
    said: Vec<Said>,
    /// Which of them was said last.
    last: Option<usize>,
    /// The seconds that were said last of the countdown.
    seconds: u32,
    /// What there is beside what was said last.
    beyond: Vec<String>,
}

impl Announcer {
    /// What there is beside what was said last, for who asks for more.
    pub fn beyond(&self) -> &[String] {
        &self.beyond
    }

    /// What there is to say now: first what happened and what is asked, then what has changed; keys and asides are told
    /// when they are asked for.
    pub fn speak(&mut self, app: &App, now: Now, why: Trigger) -> Vec<String> {
        let (page, depth, screen) = (app.page(now), app.depth(), mem::discriminant(app.top()));
        let note_before = self.last.and_then(|at| self.said[at].page.note.clone());
        let is_it = |said: &Said| said.depth == depth && said.screen == screen && said.page.view == page.view;
        let stays = self.last.is_some_and(|at| is_it(&self.said[at]));
        // Screens that were closed, or gave their place to another one, are new when they come again.
        self.said.retain(|said| said.depth < depth || (said.depth == depth && said.screen == screen));
        let known = self.said.iter().position(is_it);
        let before = known.map(|at| &self.said[at].page);
        let mut words = Vec::new();
        let note = page.note_words().filter(|_| why == Trigger::Key || note_before != page.note);
        words.extend(note);
        if before.is_some() && !stays {
            words.push(format!("Back to {}", page.view));
        }
        let titled =
            before.is_none_or(|before| !stays || (why == Trigger::Key && before.title != page.title));
        words.extend(titled.then(|| page.title.clone()));
        let asked =
            |question: &&String| !stays || before.is_none_or(|before| !before.questions.contains(question));
        words.extend(page.questions.iter().filter(asked).cloned());
        let clock_before = before.filter(|_| stays).and_then(|before| before.clock.as_ref());
        let is_brief = app.shared.brief;
        let ticked =
            page.clock.as_ref().and_then(|clock| tick(&mut self.seconds, clock, clock_before, is_brief));
        if let Some(said) = ticked {
            words.push(said);
        }
        for part in page.parts.iter().filter(|part| !part.is_aside) {
            let part_before =
                before.and_then(|before| before.parts.iter().find(|other| other.about == part.about));
            words.extend(news(part, part_before, !stays));
        }
        if words.is_empty() && why == Trigger::Key {
            words.push(unmoved(&page, before));
        }
        self.beyond = page.told_beyond();
        if let Some(at) = known {
            self.said[at].page = page;
            self.last = Some(at);
        } else {
            self.said.push(Said { depth, screen, page });
            self.last = Some(self.said.len() - 1);
        }
        words.iter().map(|line| text::clean(line)).collect()
    }
}

/// The countdown, where it is worth a word: at the beginning of a phase, at a mark, after standing still.
fn tick(seconds: &mut u32, clock: &ClockView, before: Option<&ClockView>, is_brief: bool) -> Option<String> {
    let left = || spoken::length(Seconds::new(clock.left));
    let Some(before) = before.filter(|before| before.id == clock.id && before.left >= clock.left) else {
        *seconds = clock.left;
        // What can no longer be said in time gives way to how it stands now.
        if clock.is_counted && clock.left + 1 < clock.length {
            return Some(clock.state());
        }
        return Some(clock.begins.clone()).filter(|words| !words.is_empty());
    };
    if before.stands && !clock.stands {
        *seconds = clock.left;
        return Some(if is_brief { "Go.".to_owned() } else { format!("Go, {}.", left()) });
    }
    let passed = |(mark, from, words)| {
        let is_due = before.left > mark && clock.left <= mark && clock.length >= from;
        is_due.then_some(words)
    };
    let words = MARKS.into_iter().find_map(passed).filter(|_| clock.is_counted)?;
    if clock.left == 0 || *seconds < clock.left + APART {
        return None;
    }
    *seconds = clock.left;
    Some(words.to_owned())
}

/// Whether a line is one of those that say seconds at a mark.
pub fn is_mark(line: &str) -> bool {
    MARKS.iter().any(|(.., words)| *words == line)
}

/// What is said where nothing is new: where one is, so that no key is answered by silence.
fn unmoved(page: &Page, before: Option<&Page>) -> String {
    if before.is_some_and(|before| before.parts.len() != page.parts.len()) {
        return page.title.clone();
    }
    let chosen = page.parts.iter().find_map(|part| part.list.as_ref()?.chosen_words());
    chosen.unwrap_or_else(|| "nothing changed".to_owned())
}

/// What is new of a part; the chosen row is said again where one comes back to it.
fn news(part: &Part, before: Option<&Part>, comes_back: bool) -> Vec<String> {
    let Some(before) = before else {
        let is_said = |line: &&Line| comes_back || !line.is_quiet;
        let lines = part.lines.iter().filter(is_said).map(|line| line.words.clone());
        return lines.chain(part.list.iter().flat_map(List::opening)).collect();
    };
    let is_new = |words: &String| before.lines.iter().all(|line| line.words != *words);
    let lines = part.lines.iter().filter(|line| !line.is_quiet).map(|line| line.words.clone()).filter(is_new);
    let mut said: Vec<String> = lines.collect();
    if let Some(list) = &part.list {
        let changes = before.list.as_ref().map_or_else(|| list.opening(), |other| list.changes(other));
        if comes_back && changes.is_empty() {
            said.extend(list.chosen_words());
        }
        said.extend(changes);
    }
    said
}
