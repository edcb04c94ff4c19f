//! The question before the first touch said in lines: the cautions first, in as many words as there is time for.

use crate::caution::SaidFirst;
use crate::client::Consent;
use crate::planner::Plan;
use crate::tui::page::Page;
use crate::tui::shared::Shared;
use crate::tui::spoken;
use crate::tui::text;

use super::State;
use super::consent::consent_question;
use super::lines::step_words;

/// The most words where no caution is in force, as usual and in brief: our judgement, by three words a second.
const WORDS: (usize, usize) = (40, 25);
/// The words that each caution may take beside them.
const OF_EACH: usize = 14;
/// The words that tell that there is more: `Three more: more.`, or `More.`
const REST: (usize, usize) = (3, 1);

impl State {
    /// The question of consent as lines: no clock runs and no hand is on the client, so each caution is said here, once.
    pub(super) fn consent_lines(
        &self,
        name: &str,
        (plan, marked): (&Plan, Option<Consent>),
        shared: &Shared,
    ) -> Page {
        let title = if shared.brief { "Consent.".to_owned() } else { format!("Consent, {name}.") };
        let refused = self.refuses_hands();
        let question = consent_question(plan, refused, shared).replace('"', "");
        let answers = if shared.brief || refused { "" } else { " Agrees, by themselves, or declines?" };
        let ask = format!("Ask: {question}{answers}");
        let most = if shared.brief { WORDS.1 } else { WORDS.0 };
        let spare = most.saturating_sub(words(&title) + words(&ask));
        let (said, rest) = self.said_before(spare, shared.brief);
        let mut page = Page::new("the question of consent", title);
        page.questions.extend(said);
        page.ask(ask);
        page.questions.extend(marked.map(|marked| match marked {
            Consent::HandsOn => "Hands-on. Enter notes it and starts.".to_owned(),
            Consent::SelfStretch => "By themselves. Enter notes it and starts.".to_owned(),
            Consent::Declined => "Declines. Enter notes it.".to_owned(),
        }));
        page.questions.extend(self.narrowed.iter().map(|what| format!("Noted: {what}")));
        page.beyond(rest);
        self.caution_lines(&mut page);
        page.aside("first");
        page.extend(plan.steps.first().map(|step| format!("First: {}", step_words(step))));
        page
    }

    /// What is said before the question with so many words to spare, and what is left of it. What every caution forbids
    /// first is said whatever it takes.
    fn said_before(&self, spare: usize, is_brief: bool) -> (Vec<String>, Vec<String>) {
        let Some(restrictions) = &self.restrictions else { return (Vec::new(), Vec::new()) };
        let before_touch = self.today.as_ref().map_or(&[][..], |today| &today.before_touch);
        let SaidFirst { always: mut said, more } = SaidFirst::of(restrictions, before_touch);
        let most = spare + OF_EACH * restrictions.in_force().len();
        let count = |lines: &[String]| lines.iter().map(|line| words(line)).sum::<usize>();
        let mut taken = count(&said);
        if taken + count(&more) <= most {
            said.extend(more);
            return (said, Vec::new());
        }
        taken += if is_brief { REST.1 } else { REST.0 };
        let mut rest = Vec::new();
        for line in more {
            if taken + words(&line) <= most {
                taken += words(&line);
                said.push(line);
            } else {
                rest.push(line);
            }
        }
        let number = spoken::number(u32::try_from(rest.len()).unwrap_or(u32::MAX));
        said.push(if is_brief {
            "More.".to_owned()
        } else {
            text::capitalised(&format!("{number} more: more."))
        });
        (said, rest)
    }
}

/// Words between blanks.
fn words(line: &str) -> usize {
    line.split_whitespace().count()
}
