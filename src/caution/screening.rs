//! What is asked before hands-on work, what the answers mean, and who has to have agreed.
//!
//! The program does not diagnose. It repeats what the client says, and says whom to turn to.

use std::sync::LazyLock;

use chrono::{Months, NaiveDate};
use serde::Deserialize;

use crate::names::named;

use super::condition::ConditionId;

/// Months after which a screening is stale: our judgement.
pub const STALE_AFTER: Months = Months::new(6);

/// The age from which a client agrees alone; local law may say otherwise.
pub const OF_AGE: u32 = 18;

/// The one line that is asked before every session.
pub const TODAY: &str = "Anything new: sore, numb, swollen, a new medicine, pregnant, ill?";

/// The question before the first touch of every session.
pub const CONSENT: &str = "May I stretch you with my hands today? Say stop at any moment and I let go.";

named! {
    /// What a client answers to a question of the screen.
    pub enum Answer("answer") {
        /// No.
        No = "no",
        /// Yes.
        Yes = "yes",
        /// Does not know.
        Unsure = "unsure",
    }
}

named! {
    /// What a yes leads to.
    pub enum Weight("weight") {
        /// More questions, and a condition on record.
        Ask = "ask",
        /// No session.
        Stop = "stop",
    }
}

/// One question of the screen.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Its name.
    pub id: String,
    /// What is asked.
    pub ask: String,
    /// What a yes leads to.
    pub yes: Weight,
    /// What to say, and whom to turn to, after a yes.
    pub say: String,
    /// The conditions to look at after a yes.
    pub conditions: Vec<ConditionId>,
}

/// A line that came out of the screen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FollowUp {
    /// What was asked.
    pub ask: String,
    /// What to say or to ask next.
    pub say: String,
    /// The conditions to look at.
    pub conditions: Vec<ConditionId>,
}

/// What comes out of a screen or of a look at what is on file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// Hands-on work may begin once the client has agreed.
    Clear,
    /// Something has to be asked or recorded first.
    AskFurther(Vec<FollowUp>),
    /// No session; what to say and whom to turn to, the gravest first.
    Stop(Vec<FollowUp>),
}

impl Verdict {
    /// Whether nothing stands against hands-on work.
    pub fn is_clear(&self) -> bool {
        *self == Self::Clear
    }

    /// What was found, if anything.
    pub fn follow_ups(&self) -> &[FollowUp] {
        match self {
            Self::Clear => &[],
            Self::AskFurther(follow_ups) | Self::Stop(follow_ups) => follow_ups,
        }
    }

    /// The stricter of two, with the questions of both where they are equally strict.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Stop(mut all), Self::Stop(more)) => {
                all.extend(more);
                Self::Stop(all)
            }
            (stop @ Self::Stop(_), _) | (_, stop @ Self::Stop(_)) => stop,
            (Self::AskFurther(mut all), Self::AskFurther(more)) => {
                all.extend(more);
                Self::AskFurther(all)
            }
            (ask @ Self::AskFurther(_), Self::Clear) | (Self::Clear, ask) => ask,
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawQuestions {
    question: Vec<Question>,
}

/// The screen before hands-on work, those questions first that can stop the session.
pub fn questions() -> &'static [Question] {
    static QUESTIONS: LazyLock<Vec<Question>> = LazyLock::new(|| {
        let raw: RawQuestions = toml::from_str(include_str!("questions.toml"))
            .expect("the test `every_question_leads_somewhere` reads it");
        raw.question
    });
    &QUESTIONS
}

/// What the answers mean. What was not answered has to be asked; who is unsure is asked again in other words.
pub fn judge(answer_to: impl Fn(&Question) -> Option<Answer>) -> Verdict {
    let verdict = |question: &Question| {
        let follow_up = |say: String| {
            vec![FollowUp { ask: question.ask.clone(), say, conditions: question.conditions.clone() }]
        };
        match (answer_to(question), question.yes) {
            (Some(Answer::No), _) => Verdict::Clear,
            (Some(Answer::Yes), Weight::Stop) => Verdict::Stop(follow_up(question.say.clone())),
            (Some(Answer::Yes), Weight::Ask) => Verdict::AskFurther(follow_up(question.say.clone())),
            (Some(Answer::Unsure), Weight::Stop) => Verdict::AskFurther(follow_up(
                "Ask again in other words. If it stays unsure, take it as a yes: no session.".to_owned(),
            )),
            (Some(Answer::Unsure), Weight::Ask) => Verdict::AskFurther(follow_up(
                "Ask again in other words. If it stays unsure, no hands-on work on that region.".to_owned(),
            )),
            (None, _) => Verdict::AskFurther(follow_up("Not asked yet.".to_owned())),
        }
    };
    questions().iter().map(verdict).fold(Verdict::Clear, Verdict::and)
}

/// Why a screen is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScreeningDue {
    /// There was none.
    Never,
    /// The last one left something open.
    Open,
    /// A condition has come since.
    NewCondition,
    /// It is older than [`STALE_AFTER`], or from a day that has not come.
    Stale,
}

impl ScreeningDue {
    /// The reason in words.
    pub const fn reason(self) -> &'static str {
        match self {
            Self::Never => "not screened yet: sixteen questions before the first touch",
            Self::Open => "the last screen left something open: ask again",
            Self::NewCondition => "something new since the last screen: ask again",
            Self::Stale => "the last screen is more than six months old: ask again",
        }
    }
}

/// What is on file about a client that hands-on work waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ScreeningRecord {
    /// The client's age in years, if known.
    pub age: Option<u32>,
    /// The day of the guardian's written consent.
    pub guardian: Option<NaiveDate>,
    /// The day of the last screening in which every question was asked.
    pub screened: Option<NaiveDate>,
    /// Whether one left something open that nobody has cleared.
    pub open: bool,
    /// The newest day that any condition on record names.
    pub newest: Option<NaiveDate>,
}

impl ScreeningRecord {
    /// Why a screen is due today, if it is.
    pub fn screen_due(&self, today: NaiveDate) -> Option<ScreeningDue> {
        let Some(screened) = self.screened else {
            return Some(if self.open { ScreeningDue::Open } else { ScreeningDue::Never });
        };
        let stale = screened.checked_add_months(STALE_AFTER).is_none_or(|end| end <= today);
        if screened > today || stale {
            Some(ScreeningDue::Stale)
        } else if self.newest.is_some_and(|newest| newest > screened && newest <= today) {
            Some(ScreeningDue::NewCondition)
        } else if self.open {
            Some(ScreeningDue::Open)
        } else {
            None
        }
    }

    /// Whether the client is a minor without a guardian's consent from today or before.
    pub fn guardian_missing(&self, today: NaiveDate) -> bool {
        self.age.is_some_and(|age| age < OF_AGE) && self.guardian.is_none_or(|signed| signed > today)
    }

    /// Whether hands-on work may begin today, as far as the file can tell.
    pub fn verdict(&self, today: NaiveDate) -> Verdict {
        let follow_up = |ask: &str, say: &str| {
            vec![FollowUp { ask: ask.to_owned(), say: say.to_owned(), conditions: Vec::new() }]
        };
        let guardian = if self.guardian_missing(today) {
            Verdict::Stop(follow_up(
                "Under 18, and no guardian's consent on file.",
                "No hands-on work. A parent or guardian agrees in writing first, and an adult stays in sight; \
                 the young client has to agree too.",
            ))
        } else {
            Verdict::Clear
        };
        let open = if self.open {
            Verdict::Stop(follow_up(
                "A health check left something open.",
                "No hands-on work until somebody named has cleared it, on a day that is written down.",
            ))
        } else {
            Verdict::Clear
        };
        let screen = self.screen_due(today).map_or(Verdict::Clear, |due| {
            Verdict::AskFurther(follow_up("Screen before hands-on work.", due.reason()))
        });
        guardian.and(open).and(screen)
    }
}

#[cfg(test)]
mod tests {
    use super::super::conditions::Conditions;
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    fn all_no(question: &Question) -> Option<Answer> {
        (question.id != "none").then_some(Answer::No)
    }

    #[test]
    fn every_question_leads_somewhere() {
        assert_eq!(questions().len(), 16, "`ScreeningDue::reason` tells the number");
        let mut stops_over = false;
        for question in questions() {
            assert!(question.ask.ends_with('?') && !question.say.is_empty(), "{}", question.id);
            assert!(!question.conditions.is_empty(), "{}", question.id);
            for id in &question.conditions {
                let condition =
                    Conditions::built_in().get(id).unwrap_or_else(|| panic!("{}: {id}", question.id));
                if question.yes == Weight::Stop {
                    assert!(condition.stops(), "{}: {id} does not stop", question.id);
                }
            }
            stops_over |= question.yes == Weight::Ask;
            assert!(!(stops_over && question.yes == Weight::Stop), "{}: what stops comes first", question.id);
        }
    }

    #[test]
    fn every_condition_is_reached_by_a_question_or_by_the_age() {
        for condition in Conditions::built_in().all() {
            let reached = questions().iter().any(|question| question.conditions.contains(&condition.id));
            assert!(reached || condition.everyone || condition.ages.is_some(), "{}", condition.id);
        }
    }

    #[test]
    fn what_a_check_left_open_stops_hands_on_work_however_old_it_is() {
        let screened = Some(day(2024, 1, 9));
        let open = ScreeningRecord { screened, open: true, ..ScreeningRecord::default() };
        assert!(matches!(open.verdict(day(2026, 11, 20)), Verdict::Stop(_)));
        let broken_off = ScreeningRecord { screened: None, ..open };
        assert!(matches!(broken_off.verdict(day(2026, 11, 20)), Verdict::Stop(_)));
        assert_eq!(broken_off.screen_due(day(2026, 11, 20)), Some(ScreeningDue::Open));
        let cleared = ScreeningRecord { open: false, ..open };
        assert!(matches!(cleared.verdict(day(2026, 11, 20)), Verdict::AskFurther(_)), "stale");
    }

    #[test]
    fn a_yes_that_stops_says_whom_to_turn_to() {
        for question in questions().iter().filter(|question| question.yes == Weight::Stop) {
            let helpers = ["emergency", "Emergency", "doctor", "hospital", "maternity"];
            assert!(helpers.iter().any(|helper| question.say.contains(helper)), "{}", question.id);
            let verdict = judge(|asked| Some(if asked == question { Answer::Yes } else { Answer::No }));
            let Verdict::Stop(follow_ups) = verdict else { panic!("{} must stop", question.id) };
            assert_eq!(follow_ups.len(), 1);
            assert_eq!(follow_ups[0].say, question.say);
        }
    }

    #[test]
    fn only_a_no_to_everything_is_clear() {
        assert_eq!(judge(all_no), Verdict::Clear);
        for question in questions() {
            for answer in [None, Some(Answer::Yes), Some(Answer::Unsure)] {
                let verdict = judge(|asked| if asked == question { answer } else { Some(Answer::No) });
                assert!(!verdict.is_clear(), "{} {answer:?}", question.id);
            }
        }
    }

    #[test]
    fn a_screen_is_due_when_new_open_stale_or_overtaken() {
        let today = day(2026, 11, 20);
        let clear = |screened| ScreeningRecord { screened: Some(screened), ..ScreeningRecord::default() };
        assert_eq!(ScreeningRecord::default().screen_due(today), Some(ScreeningDue::Never));
        assert_eq!(clear(day(2026, 5, 21)).screen_due(today), None);
        assert_eq!(clear(day(2026, 5, 20)).screen_due(today), Some(ScreeningDue::Stale));
        assert_eq!(
            clear(day(2026, 11, 21)).screen_due(today),
            Some(ScreeningDue::Stale),
            "a day that has not come"
        );
        let open = ScreeningRecord { open: true, ..clear(day(2026, 11, 1)) };
        assert_eq!(open.screen_due(today), Some(ScreeningDue::Open));
        let overtaken = ScreeningRecord { newest: Some(day(2026, 11, 10)), ..clear(day(2026, 11, 1)) };
        assert_eq!(overtaken.screen_due(today), Some(ScreeningDue::NewCondition));
    }

    #[test]
    fn a_minor_waits_for_a_guardian() {
        let today = day(2026, 11, 20);
        let file = ScreeningRecord { screened: Some(today), age: Some(17), ..ScreeningRecord::default() };
        assert!(matches!(file.verdict(today), Verdict::Stop(_)));
        let agreed = ScreeningRecord { guardian: Some(today), ..file };
        assert_eq!(agreed.verdict(today), Verdict::Clear);
        assert!(matches!(
            ScreeningRecord { guardian: Some(day(2026, 11, 21)), ..file }.verdict(today),
            Verdict::Stop(_)
        ));
        assert_eq!(ScreeningRecord { age: Some(18), ..file }.verdict(today), Verdict::Clear);
    }
}
