//! The question about plans from now on that a review asks, and what was answered already.

use crate::planner::corrections::HabitQuestion;
use crate::planner::words;
use crate::tui::shared::Shared;
use crate::tui::text;

/// What is asked, and what was answered already.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Asked {
    pub(super) questions: Vec<HabitQuestion>,
    pub(super) answered: Vec<HabitQuestion>,
}

impl Asked {
    /// What is asked now.
    pub(super) fn open(&self) -> Option<&HabitQuestion> {
        self.questions.first()
    }

    /// The question in words, with its keys.
    pub(super) fn words(&self, shared: &Shared) -> Option<String> {
        let question = self.open()?;
        let found = shared.catalogue.stretch(&question.stretch);
        let name = found.map_or(question.stretch.as_str(), |stretch| stretch.name.as_str());
        Some(format!("{} y, n", words::habit_question(question, &text::clean(name))))
    }
}
