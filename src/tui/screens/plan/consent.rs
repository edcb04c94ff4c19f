//! The question before the first touch: nothing is marked at first, and Enter alone notes nothing.

use crate::catalogue::Helper;
use crate::caution::BeforeTouch;
use crate::client::{Client, Consent, ConsentLimit};
use crate::planner::{Plan, Step};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::shared::Shared;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::words::side_words;

use super::State;

/// What Enter does where no answer is marked: the longest of what is said of it.
const CHOOSE: &str = "Choose, then Enter notes it and starts. Nothing is noted before that.";

/// What the client is asked before the first touch; where no step needs hands, only for a touch that corrects, and not
/// even that of somebody who refuses hands.
pub(super) fn consent_question(plan: &Plan, refused: bool, shared: &Shared) -> &'static str {
    if refused {
        return "\"You stretch, I show you how and keep my hands off. Shall we? You can stop at any time.\"";
    }
    let alone = |step: &Step| {
        let found = shared.catalogue.form(&step.stretch, &step.form);
        found.is_some_and(|(_, form)| form.helper == Helper::Client)
    };
    if plan.steps.iter().all(alone) {
        "\"You stretch, I show you how. May I correct you by hand? You can stop me at any time.\""
    } else {
        "\"May I stretch you now, hands-on? You can stop me at any time.\""
    }
}

impl State {
    /// What is planned with before the client is asked, and at once when the card refuses hands.
    pub(super) fn begin_consent(&mut self, is_new: bool, client: &Client) {
        if is_new || client.profile.refuses_hands() {
            self.consent = client.profile.usual_consent();
        }
    }

    /// Whether the client refuses hands-on work in general.
    pub(super) fn refuses_hands(&self) -> bool {
        self.client.as_ref().is_some_and(|client| client.profile.refuses_hands())
    }

    /// What to ask or mind before the first touch, from the cautions in force.
    pub(super) fn before_touch(&self) -> Vec<String> {
        let asked = self.today.iter().flat_map(|today| &today.before_touch);
        asked.filter(|item| item.is_on_the_card()).map(BeforeTouch::line).collect()
    }

    /// Rows that the question and all below it leave free under so many others.
    pub(super) fn rows_left_by_consent(&self, area: Rect, above: u16) -> u16 {
        area.height.saturating_sub(above).saturating_sub(self.consent_rows(area.width))
    }

    /// Rows that the question and all below it take with what parts them.
    fn consent_rows(&self, width: u16) -> u16 {
        /// The question in two rows, three answers, two limits, the first step, and four rows that part them.
        const QUESTION: usize = 12;
        let width = usize::from(width.saturating_sub(2));
        let rows = |words: &str| text::wrap(words, width).len();
        let asked: usize = self.before_touch().iter().map(|line| rows(line)).sum();
        cells(QUESTION + rows(CHOOSE) + asked)
    }

    /// The question before the first touch, its answers with the one that is marked, and what goes with them.
    pub(super) fn draw_consent(
        &self,
        area: Rect,
        (plan, marked): (&Plan, Option<Consent>),
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let refused = self.refuses_hands();
        let y = canvas.wrapped(area, 0, Tone::Strong, consent_question(plan, refused, shared));
        let low = area.height < self.consent_rows(area.width);
        let yes = |limit: ConsentLimit| if self.narrowed.contains(&limit) { "yes" } else { "no" };
        let massage = if self.narrowed.contains(&ConsentLimit::NoMassage) { "no" } else { "as on the card" };
        let agrees = if refused { "hands-on work is refused on the card" } else { "agrees: hands-on" };
        let answers = [
            ("a", agrees.to_owned(), Some(Consent::HandsOn)),
            ("b", "by themselves: you coach, no hands".to_owned(), Some(Consent::SelfStretch)),
            ("d", "declines: no stretching today".to_owned(), Some(Consent::Declined)),
            ("t", format!("a towel between: {}", yes(ConsentLimit::MatBetween)), None),
            ("m", format!("massage at the end: {massage}"), None),
        ];
        let list = canvas::below(area, y + u16::from(!low));
        let mut row = 0;
        for (key, words, consent) in &answers {
            row += u16::from(consent.is_none() && !low && *key == "t");
            let is_marked = consent.is_some() && *consent == marked;
            if is_marked {
                canvas.chosen(list, row);
            }
            let tone = if is_marked { Tone::Strong } else { Tone::Text };
            canvas.spans(list, 2, row, &[(Tone::Focus, key), (Tone::Text, "   "), (tone, words)]);
            row += 1;
        }
        let mut y = row + u16::from(!low);
        let what = match marked {
            None => CHOOSE,
            Some(Consent::Declined) => "Enter notes that the client declines.",
            Some(_) => "Enter notes it and starts.",
        };
        y = canvas.wrapped(list, y, Tone::Strong, what) + u16::from(!low);
        for line in self.before_touch() {
            y = canvas.wrapped(list, y, Tone::Caution, &format!("{} {line}", canvas.glyphs().caution));
        }
        if let Some(step) = plan.steps.first() {
            let words =
                format!("first: {}, {}, {}", step.position.plain_name(), step.name, side_words(step.side));
            canvas.row(list, y, Tone::Dim, &words);
        }
    }
}
