//! The answers of a health check: which were given, which stopped, and what is written down of them.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::caution::screening::{Answer, FollowUp, Question, Verdict, Weight, judge, questions};
use crate::client::{Cleared, Client, OpenPoint, Screening};

/// One check while it is asked.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Answers {
    given: Vec<Option<Answer>>,
    /// Whose answer stopped before, today or in the file: each of them wants an answer of its own.
    doubted: Vec<bool>,
    /// Whose answer stopped in the file and was cleared by nobody: a no does not clear it.
    on_file: Vec<bool>,
    /// Who settled what was said yes to, or unsure about.
    settled: BTreeMap<usize, String>,
}

impl Answers {
    /// Nothing asked yet.
    pub(super) fn none() -> Self {
        let count = questions().len();
        Self {
            given: vec![None; count],
            doubted: vec![false; count],
            on_file: vec![false; count],
            settled: BTreeMap::new(),
        }
    }

    pub(super) fn count(&self) -> usize {
        self.given.len()
    }

    pub(super) fn get(&self, index: usize) -> Option<Answer> {
        self.given.get(index).copied().flatten()
    }

    pub(super) fn give(&mut self, index: usize, answer: Answer) {
        self.given[index] = Some(answer);
        self.settled.remove(&index);
        self.doubted[index] |= questions()[index].yes == Weight::Stop && answer == Answer::Yes;
    }

    pub(super) fn take_back(&mut self, index: usize) {
        self.given[index] = None;
        self.settled.remove(&index);
    }

    /// A no to all that is left, but for what stopped before.
    pub(super) fn all_no(&mut self) {
        for (given, doubted) in self.given.iter_mut().zip(&self.doubted) {
            if !doubted {
                given.get_or_insert(Answer::No);
            }
        }
    }

    /// How many are still to be asked.
    pub(super) fn left(&self) -> usize {
        self.given.iter().filter(|answer| answer.is_none()).count()
    }

    /// The next one that is still to be asked, from `at` on and then from the first.
    pub(super) fn next_open(&self, at: usize) -> Option<usize> {
        let open = |index: &usize| self.given[*index].is_none();
        (at..self.count()).find(open).or_else(|| (0..at).find(open))
    }

    /// The answer that is taken back first: the last one before `at`, or where all are given the last one that was no
    /// plain no.
    pub(super) fn last_given(&self, at: usize) -> Option<usize> {
        if self.left() > 0 {
            let before = (0..at).rev().chain((at..self.count()).rev());
            return before.into_iter().find(|index| self.given[*index].is_some());
        }
        let odd = self.given.iter().rposition(|answer| answer.is_some_and(|answer| answer != Answer::No));
        odd.or_else(|| self.given.iter().rposition(Option::is_some))
    }

    /// Notes which answers stopped the last time.
    pub(super) fn recall(&mut self, client: &Client) {
        for (index, question) in questions().iter().enumerate() {
            let open = client.profile.screenings.iter().flat_map(|screening| &screening.open);
            let mut open = open.filter(|open| open.cleared.is_none());
            self.on_file[index] |= question.yes == Weight::Stop && open.any(|open| is_about(question, open));
            self.doubted[index] |= self.on_file[index];
        }
    }

    pub(super) fn verdict(&self) -> Verdict {
        judge(|question| {
            questions().iter().position(|other| other.id == question.id).and_then(|at| self.get(at))
        })
    }

    /// What stops the session, the gravest first.
    pub(super) fn stops(&self) -> Vec<FollowUp> {
        match self.verdict() {
            Verdict::Stop(follow_ups) => follow_ups,
            _ => Vec::new(),
        }
    }

    /// Whether an answer that stopped was taken back, or stands in the file, and was not given anew.
    pub(super) fn is_doubted(&self) -> bool {
        self.doubted.iter().zip(&self.given).any(|(doubted, answer)| *doubted && answer.is_none())
    }

    /// Whether something was answered that must not be gone because the check or the program was left.
    pub(super) fn has_more_than_no(&self) -> bool {
        self.is_doubted() || self.given.iter().flatten().any(|answer| *answer != Answer::No)
    }

    /// What was said yes to, or unsure about, today or in the file, by the question's number.
    pub(super) fn found(&self) -> Vec<usize> {
        let is_found = |index: &usize| {
            self.get(*index).is_some_and(|answer| answer != Answer::No || self.on_file[*index])
        };
        (0..self.count()).filter(is_found).collect()
    }

    /// What to ask on about something that was found.
    pub(super) fn ask_on(&self, index: usize) -> String {
        if self.get(index) == Some(Answer::No) {
            return "Said yes to before. Who cleared it, and is it gone? x writes down who.".to_owned();
        }
        let found = self.found();
        let found = found.iter().filter(|other| self.get(**other) != Some(Answer::No));
        let follow_up = found.zip(self.verdict().follow_ups().to_vec()).find(|(other, _)| **other == index);
        follow_up.map_or_else(|| questions()[index].say.clone(), |(_, follow_up)| follow_up.say)
    }

    pub(super) fn settle(&mut self, index: usize, by: &str) {
        self.settled.insert(index, by.to_owned());
    }

    pub(super) fn settled_by(&self, index: usize) -> Option<&str> {
        self.settled.get(&index).map(String::as_str)
    }

    /// Whether something that could stop a session is open: said yes to or unsure about, and settled by nobody.
    pub(super) fn must_not_begin(&self) -> bool {
        let is_open = |index: &usize| !self.settled.contains_key(index);
        self.is_doubted()
            || self
                .found()
                .iter()
                .filter(|index| is_open(index))
                .any(|index| questions()[*index].yes == Weight::Stop)
    }

    /// How many are open: said yes to or unsure about, and settled by nobody.
    pub(super) fn open(&self) -> usize {
        self.found().iter().filter(|index| !self.settled.contains_key(index)).count()
    }

    /// The check as it goes into the file. What stopped and was not answered anew stands as it was.
    pub(super) fn screening(&self, on: NaiveDate, asked_by: &str) -> Screening {
        let answers = self.given.iter().zip(&self.doubted);
        let answers = answers.map(|(answer, doubted)| answer.or(doubted.then_some(Answer::Yes)));
        let told: Vec<(usize, Answer)> =
            answers.enumerate().filter_map(|(index, answer)| Some((index, answer?))).collect();
        let is_open = |(index, answer): &&(usize, Answer)| *answer != Answer::No || self.on_file[*index];
        let open = told.iter().filter(is_open).map(|(index, _)| OpenPoint {
            what: questions()[*index].id.clone(),
            cleared: self.settled.get(index).map(|by| Cleared { by: by.clone(), on, note: String::new() }),
        });
        Screening {
            open: open.collect(),
            answers: told.iter().map(|(index, answer)| (questions()[*index].id.clone(), *answer)).collect(),
            by: asked_by.to_owned(),
            ..Screening::clear(on)
        }
    }
}

/// Clears what earlier checks left open about the questions that this one says were settled.
pub(super) fn clear_earlier(screenings: &mut [Screening], now: &Screening) {
    for settled in now.open.iter().filter(|open| open.cleared.is_some()) {
        let Some(question) = questions().iter().find(|question| question.id == settled.what) else {
            continue;
        };
        let open = screenings.iter_mut().flat_map(|screening| &mut screening.open);
        for earlier in open.filter(|open| open.cleared.is_none() && is_about(question, open)) {
            earlier.cleared.clone_from(&settled.cleared);
        }
    }
}

/// Whether something that was left open is about a question, in older files by its words.
fn is_about(question: &Question, open: &OpenPoint) -> bool {
    open.what == question.id || open.what.contains(&words_of(question))
}

/// A question in the words that older files have for it.
fn words_of(question: &Question) -> String {
    question.id.replace('-', " ")
}
