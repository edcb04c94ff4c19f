//! The review said in lines.

use std::collections::BTreeSet;

use crate::body::Seconds;
use crate::client::{Ended, Report};
use crate::failure::Failure;
use crate::tui::event::Now;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::widgets::body_view::BodyView;
use crate::tui::widgets::reached::reached_in;
use crate::tui::widgets::report_row::{answer_words, ended_words};
use crate::tui::words::{side_words, stretch_name};

use super::{Line, State};

impl State {
    /// The session as lines.
    pub fn lines(&self, shared: &Shared, _: Now) -> Page {
        let mut page = Page::new("the review", format!("{}, what came out", self.client.profile.name));
        self.typed_lines(&mut page, shared);
        page.questions.extend(self.asked.words(shared));
        page.about("saved");
        page.extend(self.taken_back());
        if let Some(why) = self.outbox.failed().map(Failure::in_a_line) {
            page.push(format!("Not saved yet: {why}. ctrl-s saves the session in another folder."));
        }
        let rows = self.session.reports.values().map(|report| row(report, shared)).collect();
        page.list("steps", rows, Some(self.chosen), ListSpeech::News);
        page.about("all");
        let held: Seconds = self.session.reports.values().map(|report| report.held).sum();
        page.push(format!("{held} held; {}; {}", self.planned_words(), self.own_words(shared)));
        let (reached, avoided) = (reached_in(&self.session, &shared.catalogue), BTreeSet::new());
        let trained = &self.session.trained;
        let view = BodyView { trained, reached: &reached, avoided: &avoided, plain: false };
        page.extend(view.words());
        page.extend(self.told.stands_out.iter().cloned());
        let next = self.told.next_time.as_deref().unwrap_or("as today");
        page.push(format!("Next time: {next}"));
        page.quiet(self.saved_words());
        page
    }

    fn planned_words(&self) -> String {
        format!("{} min were planned", self.session.minutes.get())
    }

    /// What is typed, and the remark once it is.
    fn typed_lines(&self, page: &mut Page, shared: &Shared) {
        if self.typing != Some(Line::Note) {
            page.about("remark");
            page.extend((!self.note.is_empty()).then(|| format!("Remark: {}", self.note.text())));
        }
        let measured = format!(
            "Of the chosen step, {}. Then Enter.",
            super::angles::question(self.chosen().map(|(_, report)| report), shared)
        );
        let (question, field) = match self.typing {
            Some(Line::Note) => ("Remark: type it, then Enter", &self.note),
            Some(Line::Angle) => (measured.as_str(), &self.angle),
            Some(Line::Elsewhere) => {
                ("Which folder is this session to be saved in? Then Enter.", &self.elsewhere)
            }
            None => return,
        };
        page.ask(question);
        page.about(question);
        page.extend((!field.is_empty()).then(|| format!("Typed: {}", field.text())));
    }
}

/// A step with what came out; the seconds where they are not those that were planned, the end where it was not held out.
fn row(report: &Report, shared: &Shared) -> String {
    let level = answer_words(report);
    let angle = report
        .angle()
        .map(|angle| format!(", {} degrees", super::angles::said(report, angle, shared)))
        .unwrap_or_default();
    let name = stretch_name(&report.stretch, &shared.catalogue);
    let is_as_planned = report.planned.is_some_and(|planned| planned.held == report.held);
    let held = if is_as_planned {
        String::new()
    } else {
        format!(", {}", text::count(report.held.get() as usize, "second"))
    };
    let ended =
        if report.ended == Ended::Done { String::new() } else { format!(", {}", ended_words(report.ended)) };
    format!("{name}, {}{held}, {level}{angle}{ended}", side_words(report.side))
}
