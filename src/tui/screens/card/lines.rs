//! The card said in lines.

use crate::caution::card::Blanks;
use crate::caution::{Clearance, Condition, Conditions, RecordedCondition, recorded_words};
use crate::client::Aim;
use crate::tui::event::Now;
use crate::tui::page::{ListSpeech, Page};
use crate::tui::shared::Shared;
use crate::tui::text;

use super::kind::Kind;
use super::{Row, State};

pub(super) const fn aim_words(aim: Aim) -> &'static str {
    match aim {
        Aim::Calm => "a calm finish (a note: plans are as ever)",
        Aim::Range => "more range of motion",
        Aim::Desk => "relief from the desk: neck, chest",
    }
}

/// The question for the side of a condition.
pub(super) fn ask_side(recorded: &RecordedCondition) -> String {
    let name =
        Conditions::built_in().get(&recorded.id).map_or(recorded.id.as_str(), |condition| &condition.name);
    format!("which side? Left, Right; Enter for both: {name}")
}

/// Who has to agree first.
const fn clearance_words(clearance: Clearance) -> &'static str {
    match clearance {
        Clearance::No => "",
        Clearance::Ask => " Ask first.",
        Clearance::Yes => " Needs clearance by a clinician.",
        Clearance::Urgent => " Stop: medical help first.",
    }
}

/// What a condition limits, in a line.
pub(super) fn limits_of(condition: &Condition) -> String {
    format!("Avoid: {}.{}", condition.avoid, clearance_words(condition.clearance))
}

/// The same as it is heard: what its card says first.
fn said_of(condition: &Condition) -> String {
    let first = condition.card.first().map(|sentence| sentence.filled(Blanks::default()));
    format!("{}{}", first.unwrap_or_default(), clearance_words(condition.clearance))
}

impl State {
    /// The card as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let title = self.kind.heading().map_or(self.title(), |(title, _)| title);
        let mut page = Page::new("the card", title);
        if self.id.is_none() && self.kind == Kind::Client {
            page.title = format!("{title}. Enter: the next line. Ctrl-P: save and plan.");
        }
        if self.namesakes.is_asked() {
            let rows = self.namesakes.rows(now.wall.date_naive());
            page.ask(self.namesakes.question());
            page.list("clients of that name", rows, Some(self.namesakes.chosen()), ListSpeech::News);
            return page;
        }
        if let (Row::Name, Some(word)) = (self.row(), self.stray()) {
            page.ask(format!("{word} is a condition: down writes it there; an empty line keeps the name."));
        }
        if let Row::Recorded(index) = self.row()
            && self.asks_side
        {
            page.questions.extend(self.card.conditions.get(index).map(ask_side));
        }
        if self.id.is_none() {
            page.about("conditions on the card");
            let recorded = self.card.conditions.iter();
            page.extend(recorded.map(|recorded| {
                format!("{}.", text::capitalised(&recorded_words(recorded, now.wall.date_naive())))
            }));
        }
        // Of an empty card there is nothing to hear but the line that is filled in.
        let others = if self.id.is_some() { ListSpeech::News } else { ListSpeech::Nothing };
        page.list("lines", self.said_rows(shared, now), Some(self.at), others);
        if self.row() == Row::AddCondition {
            let matches: Vec<String> = self
                .matches(now.wall.date_naive())
                .iter()
                .map(|offer| offer.condition)
                .map(|condition| format!("{}: {}", condition.name, text::clean(&said_of(condition))))
                .collect();
            if matches.is_empty() {
                page.about(format!("conditions, none for {}", self.search.text()));
                page.extend((!self.search.is_empty()).then(|| self.not_found()));
            }
            page.list("conditions", matches, Some(self.match_chosen), ListSpeech::Nothing);
        }
        page.about("walk-in");
        page.extend(self.kind.says());
        page.about("told");
        page.extend(self.told(shared, now));
        // Of a new client nothing was agreed to yet; the plan asks.
        if self.id.is_some() {
            page.about("consent");
        } else {
            page.aside("consent");
        }
        page.push(self.consent_words());
        page
    }

    /// The lines of the card, that of the one which is filled in with what may stand there.
    fn said_rows(&self, shared: &Shared, now: Now) -> Vec<String> {
        let said = |(index, row): (usize, Row)| {
            let words = self.row_words(row, shared, now);
            let empty = words.strip_suffix(": ").filter(|_| index == self.at && !shared.brief);
            let hint = match row {
                Row::AddCondition if !self.card.conditions.is_empty() => Some("or Enter: none"),
                row => row.hint(),
            };
            empty.zip(hint).map_or(words.clone(), |(label, hint)| format!("{label}? {hint}"))
        };
        self.rows().into_iter().enumerate().map(said).collect()
    }

    fn row_words(&self, row: Row, shared: &Shared, now: Now) -> String {
        let yes = |is_so: bool| if is_so { "yes" } else { "no" };
        match row {
            Row::Name => format!("name: {}", self.card.name.text()),
            Row::Born => format!("born: {}", self.card.born.text()),
            Row::Mass => format!("kilograms: {}", self.card.mass.text()),
            Row::Guardian => format!("guardian: {}", self.card.guardian.text()),
            Row::Recorded(index) => {
                let found = self.card.conditions.get(index);
                found.map(|recorded| recorded_words(recorded, now.wall.date_naive())).unwrap_or_default()
            }
            Row::AddCondition => format!("add a condition: {}", self.search.text()),
            Row::Aim(aim) => format!("{}: {}", aim_words(aim), yes(self.card.aims.contains(&aim))),
            Row::NoHands => format!("refuses hands-on work: {}", yes(self.card.no_hands)),
            Row::Massage => format!("massage finish: {}", yes(self.card.massage)),
            Row::Habit(index) => format!("plans: {}", self.habit_words(index, shared)),
            Row::Screening => format!("health check: {}", self.screened(now).1),
            Row::Words(line) => format!("{}: {}", line.label(), self.card.words[&line].text()),
            Row::Archived => format!("comes no more: {}", yes(self.card.archived.is_some())),
            Row::Remove => format!("remove for good: {}", self.removing.text()),
            Row::Note => format!("remark: {}", self.card.note.text()),
        }
    }
}
