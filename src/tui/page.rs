//! A screen in words: what is asked, what stands there, and which row is chosen, in parts that are said for themselves.

use crate::body::Seconds;

use super::{spoken, text};

/// The most rows to choose from that are read out when they come up; more are summed up.
const LONG: usize = 10;

/// What a part is about that `more` goes on with.
const BEYOND: &str = "beyond";

/// A screen, or a view of it, in words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Page {
    /// What one goes back to, such as `the plan`; what has the same name shows the same again.
    pub view: &'static str,
    /// The first line.
    pub title: String,
    /// What has just happened.
    pub note: Option<String>,
    /// What is asked, or has to be known before anything else.
    pub questions: Vec<String>,
    /// The keys that hold.
    pub keys: String,
    /// The countdown, where one runs.
    pub clock: Option<ClockView>,
    /// The content.
    pub parts: Vec<Part>,
}

/// A part of a page: new as a whole where it is about something else than before.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Part {
    /// What it is about.
    pub about: String,
    /// Its lines.
    pub lines: Vec<Line>,
    /// The list that follows them.
    pub list: Option<List>,
    /// Whether it is said only when it is asked for.
    pub is_aside: bool,
}

/// A line of a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The words.
    pub words: String,
    /// Whether it is said with the whole part only, and not when it alone changes.
    pub is_quiet: bool,
}

/// Rows of which one may be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct List {
    /// What the rows are, many of them.
    pub what: String,
    /// The rows.
    pub rows: Vec<String>,
    /// Which is chosen.
    pub chosen: Option<usize>,
    /// What is said of the rows that are not chosen.
    pub others: ListSpeech,
}

/// What is said of the rows of a list that are not chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ListSpeech {
    /// All of them at first, then those that are new.
    News,
    /// All of them at first, unless there are many.
    Once,
    /// How many there are, if there are many; nothing else until everything is asked for.
    Nothing,
    /// Nothing at all until then.
    Chosen,
}

/// A countdown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClockView {
    /// Which phase it counts, each with a name of its own.
    pub id: String,
    /// The phase in words.
    pub phase: String,
    /// Whole seconds that are left of it.
    pub left: u32,
    /// Whole seconds of it, extensions included.
    pub length: u32,
    /// What is said as it begins; empty if that was said before.
    pub begins: String,
    /// Whether seconds that are left are said in between.
    pub is_counted: bool,
    /// Whether it stands still.
    pub stands: bool,
    /// What is left of all, and how well it fits.
    pub rest: String,
}

impl Page {
    /// A page with nothing but its first line.
    pub fn new(view: &'static str, title: impl Into<String>) -> Self {
        Self { view, title: title.into(), ..Self::default() }
    }

    /// Asks something, or says what has to be known first.
    pub fn ask(&mut self, words: impl Into<String>) {
        self.questions.push(words.into());
    }

    /// Begins a part.
    pub fn about(&mut self, what: impl Into<String>) {
        self.parts.push(Part { about: what.into(), ..Part::default() });
    }

    /// Begins a part that is said only when it is asked for.
    pub fn aside(&mut self, what: impl Into<String>) {
        self.parts.push(Part { about: what.into(), is_aside: true, ..Part::default() });
    }

    /// What there is beside what is said, for who asks for more.
    pub fn beyond(&mut self, lines: Vec<String>) {
        self.aside(BEYOND);
        self.extend(lines);
    }

    /// The same as it is told.
    pub fn told_beyond(&self) -> Vec<String> {
        let parts = self.parts.iter().filter(|part| part.about == BEYOND);
        parts.flat_map(|part| &part.lines).map(|line| text::clean(&line.words)).collect()
    }

    /// What a label stands before, in all parts.
    pub fn labelled(&self, label: &str) -> Vec<String> {
        let lines = self.parts.iter().flat_map(|part| &part.lines);
        let found = lines.filter_map(|line| line.words.strip_prefix(label)?.strip_prefix(": "));
        found.map(text::clean).collect()
    }

    fn part(&mut self) -> &mut Part {
        if self.parts.is_empty() {
            self.parts.push(Part::default());
        }
        self.parts.last_mut().expect("a part has just been begun")
    }

    /// Adds a line.
    pub fn push(&mut self, words: impl Into<String>) {
        self.part().lines.push(Line { words: words.into(), is_quiet: false });
    }

    /// Adds a line that is not said again when it alone changes.
    pub fn quiet(&mut self, words: impl Into<String>) {
        self.part().lines.push(Line { words: words.into(), is_quiet: true });
    }

    /// Adds lines.
    pub fn extend<W: Into<String>>(&mut self, lines: impl IntoIterator<Item = W>) {
        for line in lines {
            self.push(line);
        }
    }

    /// Adds a list, as a part of its own.
    pub fn list(&mut self, what: &str, rows: Vec<String>, chosen: Option<usize>, others: ListSpeech) {
        self.about(what);
        self.part().list = Some(List { what: what.to_owned(), rows, chosen, others });
    }

    /// The same, said only when it is asked for.
    pub fn aside_list(&mut self, what: &str, rows: Vec<String>) {
        self.aside(what);
        self.part().list =
            Some(List { what: what.to_owned(), rows, chosen: None, others: ListSpeech::Nothing });
    }

    /// The rows of the list of these things.
    pub fn rows(&self, what: &str) -> Option<Vec<String>> {
        let mut lists = self.parts.iter().filter_map(|part| part.list.as_ref());
        lists.find(|list| list.what == what).map(|list| list.rows.clone())
    }

    /// Everything that stands there, harmless for a terminal.
    pub fn all(&self) -> Vec<String> {
        let mut lines = vec![self.title.clone()];
        lines.extend(self.note_words());
        lines.extend(self.questions.iter().cloned());
        lines.extend(self.clock.as_ref().map(ClockView::words));
        for part in &self.parts {
            lines.extend(part.lines.iter().map(|line| line.words.clone()));
            lines.extend(part.list.iter().flat_map(List::all));
        }
        lines.iter().map(|line| text::clean(line)).collect()
    }

    /// What has just happened, as it is said.
    pub fn note_words(&self) -> Option<String> {
        let note = self.note.as_ref()?;
        let end = if note.ends_with(['.', '?', '!']) { "" } else { "." };
        let note = format!("{note}{end}");
        // A name of a file keeps its letters.
        let is_word = note
            .split([' ', ',', '.', ';', ':'])
            .next()
            .is_some_and(|word| word.chars().all(char::is_alphabetic));
        Some(if is_word { text::capitalised(&note) } else { note })
    }
}

impl List {
    /// The chosen row, with its place.
    pub fn chosen_words(&self) -> Option<String> {
        let index = self.chosen?;
        let row = self.rows.get(index)?;
        Some(format!("{} of {}: {row}", index + 1, self.rows.len()))
    }

    /// Every row with its number, the chosen one marked.
    pub fn all(&self) -> Vec<String> {
        let mark = |index| if self.chosen == Some(index) { "chosen: " } else { "" };
        self.rows
            .iter()
            .enumerate()
            .map(|(index, row)| format!("{}{}. {row}", mark(index), index + 1))
            .collect()
    }

    /// What is said of a row: the chosen one has its place.
    fn row(&self, index: usize) -> String {
        let chosen = self.chosen_words().filter(|_| self.chosen == Some(index));
        chosen.unwrap_or_else(|| format!("{}. {}", index + 1, self.rows[index]))
    }

    /// What is said when the list comes up.
    pub fn opening(&self) -> Vec<String> {
        let is_long = self.rows.len() > LONG;
        if self.others == ListSpeech::News || (self.others == ListSpeech::Once && !is_long) {
            return (0..self.rows.len()).map(|index| self.row(index)).collect();
        }
        let count = (is_long && self.others != ListSpeech::Chosen)
            .then(|| format!("{} {}", self.rows.len(), self.what));
        count.into_iter().chain(self.chosen_words()).collect()
    }

    /// What is said when it was there already.
    pub fn changes(&self, before: &Self) -> Vec<String> {
        let mut said: Vec<String> = self
            .chosen_words()
            .filter(|now| before.chosen_words() != Some(now.clone()))
            .into_iter()
            .collect();
        if self.others == ListSpeech::News {
            let is_new =
                |index: &usize| self.chosen != Some(*index) && !before.rows.contains(&self.rows[*index]);
            said.extend((0..self.rows.len()).filter(is_new).map(|index| self.row(index)));
        }
        said
    }
}

impl ClockView {
    /// All about the time, for who asks.
    pub fn told(&self) -> String {
        format!("{}; {}", self.words(), self.rest)
    }

    /// The phase with its seconds, as it is said by itself.
    pub fn state(&self) -> String {
        format!("{}, {}.", self.phase, spoken::length(Seconds::new(self.left)))
    }

    /// The phase with its seconds.
    pub fn words(&self) -> String {
        if self.left == 0 {
            return self.phase.clone();
        }
        let still = if self.stands { ", standing still" } else { "" };
        format!("{}, {}{still}", self.phase, text::count(usize::try_from(self.left).unwrap_or(0), "second"))
    }
}
