//! How the health check is drawn, and said in lines.

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::caution::screening::{Answer, FollowUp, Weight, questions};
use crate::tui::canvas::{self, Canvas};
use crate::tui::event::Now;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::field::FieldView;
use crate::tui::widgets::letters::{LetterSize, TallWord};

use super::State;

/// Columns of the answers before the questions.
const ANSWERS: u16 = 4;

impl State {
    /// Draws the questions, what a yes leads to, or why there is no session.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, _: &Shared, now: Now) {
        canvas.heading(area, 0, self.name(), self.reason(now));
        let gap = u16::from(area.height >= 18);
        let rest = canvas::below(area, 1 + gap);
        let stops = self.answers.stops();
        if !stops.is_empty() {
            draw_stop(rest, &stops, canvas);
        } else if self.answers.left() == 0 {
            self.draw_found(rest, canvas);
        } else {
            self.draw_questions(rest, canvas);
        }
    }

    /// What has to be asked further, and who settled it.
    fn draw_found(&self, area: Rect, canvas: &mut Canvas<'_>) {
        let mark = canvas.glyphs().caution;
        canvas.wrapped_most(area, 0, 1, Tone::Strong, "Ask further; what is found goes on the card (c).");
        let roomy = area.height >= 12;
        let list = canvas::below(area, 1 + u16::from(roomy));
        let foot = u16::from(self.settling.is_some());
        let list = canvas::top(list, list.height.saturating_sub(foot));
        let column = Rect { x: list.x + 2, width: list.width.saturating_sub(2), ..list };
        let found = self.answers.found();
        let mut y = 0;
        // The chosen one is never out of sight.
        let first =
            if roomy { self.chosen.saturating_sub(usize::from(list.height) / 6) } else { self.chosen };
        for (row, index) in found.iter().enumerate().skip(first) {
            if y >= list.height {
                break;
            }
            canvas.choice(list, y, row, row == self.chosen);
            canvas.at(list, 1, y, Tone::Caution, mark);
            y = canvas.wrapped_most(
                column,
                y,
                if roomy { 3 } else { 1 },
                Tone::Text,
                &questions()[*index].ask,
            );
            y = match self.answers.settled_by(*index) {
                Some(by) => canvas.wrapped_most(column, y, 1, Tone::Good, &format!("settled by {by}")),
                None => canvas.wrapped(column, y, Tone::Strong, &self.answers.ask_on(*index)),
            };
            y += u16::from(roomy);
        }
        if let Some(field) = &self.settling {
            let hint = "who settled it, such as Dr Moreau; Enter";
            let view = FieldView { field, hint, active: true, theme: canvas.theme };
            (&view).render(canvas::below(area, area.height.saturating_sub(1)), canvas.buf);
        }
    }

    fn draw_questions(&self, area: Rect, canvas: &mut Canvas<'_>) {
        let weight = questions()[self.at].yes;
        let aloud = if area.width >= 72 { "Before hands-on work, read aloud: " } else { "" };
        let number = format!("{aloud}{} of {}", self.at + 1, questions().len());
        let (tone, leads) = match weight {
            Weight::Stop => (Tone::Caution, "a yes stops the session"),
            Weight::Ask => (Tone::Dim, "a yes: ask more, then note it on the card"),
        };
        canvas.spans(area, 0, 0, &[(Tone::Dim, &number), (Tone::Dim, "; "), (tone, leads)]);
        let roomy = area.height >= 30;
        if roomy {
            let words = format!("after a yes, or if unsure: {}", questions()[self.at].say);
            canvas.row(area, 1, tone, &words);
        }
        let list = canvas::below(area, if roomy { 3 } else { 2 });
        let column = Rect { x: list.x + ANSWERS, width: list.width.saturating_sub(ANSWERS), ..list };
        let heights: Vec<usize> = questions()
            .iter()
            .map(|question| text::wrap(&question.ask, usize::from(column.width)).len())
            .collect();
        let room = usize::from(list.height);
        let in_full = heights.iter().sum::<usize>() <= room;
        // With an empty row between the questions where there is room: they are read aloud from across the mat.
        let gap = usize::from(heights.iter().sum::<usize>() + heights.len() <= room);
        let height = |index: usize| gap + if in_full || index == self.at { heights[index] } else { 1 };
        let mut first = self.at;
        let mut used = height(self.at);
        let after: usize = (self.at + 1..heights.len()).map(height).sum();
        let above = room.saturating_sub(used).saturating_sub(after.min(room.saturating_sub(used) / 2));
        let mut taken = 0;
        while first > 0 && taken + height(first - 1) <= above {
            first -= 1;
            taken += height(first);
        }
        used = 0;
        for (index, question) in questions().iter().enumerate().skip(first) {
            if used >= room {
                break;
            }
            let y = cells(used);
            let (tone, words) = answer_words(self.answers.get(index));
            let asked = index == self.at;
            canvas.choice(list, y, index, asked);
            canvas.row(list, y, tone, words);
            let tone = if asked { Tone::Strong } else { Tone::Text };
            if in_full || asked {
                canvas.wrapped(column, y, tone, &question.ask);
            } else {
                canvas.row(column, y, Tone::Dim, &question.ask);
            }
            used += height(index);
        }
    }

    /// The screen as lines: the question that is asked, or what came out.
    pub fn lines(&self, _: &Shared, now: Now) -> Page {
        let mut lines = Page::new("the questions", "Health check.");
        let stops = self.answers.stops();
        if !stops.is_empty() {
            lines.ask("STOP. No session.");
            lines.about("stop");
            lines.extend(stops.iter().map(|found| found.say.clone()));
            lines.aside("why");
            lines.extend(stops.iter().map(|found| format!("Why: yes to: {}", found.ask)));
        } else if self.answers.left() == 0 {
            if let Some(field) = &self.settling {
                lines.ask("Who settled it? Then Enter.");
                lines.extend((!field.is_empty()).then(|| format!("Typed: {}", field.text())));
            }
            let found = self.answers.found();
            let rows = found.iter().map(|index| {
                let settled = self.answers.settled_by(*index).map(|by| format!("settled by {by}"));
                let next = settled.unwrap_or_else(|| self.answers.ask_on(*index));
                format!("{}: {next}", text::capitalised(&questions()[*index].id.replace('-', " ")))
            });
            lines.list("found", rows.collect(), Some(self.chosen), ListSpeech::News);
            lines.aside("why");
            lines
                .extend(found.iter().map(|index| format!("Why: yes or unsure: {}", questions()[*index].ask)));
        } else {
            let question = &questions()[self.at];
            let number = format!("Question {} of {}", self.at + 1, questions().len());
            let (stops, then) = match question.yes {
                Weight::Stop => (", a yes stops", "A yes stops the session."),
                Weight::Ask => ("", "After a yes ask more, then note it on the card."),
            };
            lines.ask(format!("{number}{stops}: {}", question.ask));
            lines.aside("why");
            lines.push(format!("Why: {}, {}. Read aloud. {then}", self.name(), self.reason(now)));
            lines.about(number);
            if let Some(answer) = self.answers.get(self.at) {
                lines.push(format!("Answered: {answer}"));
            }
        }
        lines
    }
}
const fn answer_words(answer: Option<Answer>) -> (Tone, &'static str) {
    match answer {
        None => (Tone::Dim, ""),
        Some(Answer::No) => (Tone::Good, "no"),
        Some(Answer::Yes) => (Tone::Caution, "YES"),
        Some(Answer::Unsure) => (Tone::Caution, "?"),
    }
}

/// In large letters that there is no session, and whom to turn to.
fn draw_stop(area: Rect, stops: &[FollowUp], canvas: &mut Canvas<'_>) {
    let size = match area.height {
        24.. if area.width >= 120 => LetterSize::Double,
        12.. => LetterSize::Tall,
        _ => LetterSize::Low,
    };
    let style = canvas.theme.style(Tone::HandsOff);
    let word = TallWord {
        word: "STOP",
        size,
        gap: if size == LetterSize::Low { 1 } else { 2 },
        style,
        ascii: canvas.theme.ascii,
    };
    word.draw((area.x, area.y), canvas.buf);
    let letters = word.height();
    let mut y = letters + u16::from(area.height >= 12);
    for found in stops {
        if y >= area.height {
            break;
        }
        y = canvas.wrapped(area, y, Tone::Strong, &found.say);
        y = canvas.wrapped(area, y, Tone::Dim, &found.ask) + u16::from(area.height >= 12);
    }
}
