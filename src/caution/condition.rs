//! What is known about a client that limits the work.

use chrono::NaiveDate;

use crate::body::{Joint, Muscle, Side};
use crate::names::{named, word_id};

use super::card::CardSentence;
use super::limit::{Limit, Precaution};

word_id! {
    /// Names a condition.
    ConditionId, "condition"
}

named! {
    /// Whether somebody has to agree before hands-on work.
    pub enum Clearance("clearance") {
        /// Nobody.
        No = "no",
        /// Ask a question more; go ahead gently if the answer reassures.
        Ask = "ask",
        /// A clinician, before hands-on work on that region.
        Yes = "yes",
        /// Stop; no session; medical help now.
        Urgent = "urgent",
    }
}

impl Clearance {
    /// What it asks of the trainer, in plain words.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Self::No => "no clearance needed",
            Self::Ask => "ask a question more first",
            Self::Yes => "a clinician's go-ahead first",
            Self::Urgent => "no session: medical help now",
        }
    }
}

named! {
    /// How well the source of a statement is known.
    pub enum Verified("verified") {
        /// The fact was in a text that was read.
        Seen = "seen",
        /// The first point was read, the rest recalled.
        Partly = "seen/memory",
        /// Recalled; to be checked.
        Memory = "memory",
        /// A rule of the trade without a source.
        Practice = "practice",
    }
}

named! {
    /// The part of the body, or of the rules, that a condition is listed under.
    pub enum Chapter("chapter") {
        /// Tissue, bone and joint in general.
        Tissue = "tissue",
        /// Hip, knee and groin.
        HipAndKnee = "hip-and-knee",
        /// Shoulder.
        Shoulder = "shoulder",
        /// Back.
        Back = "back",
        /// Neck.
        Neck = "neck",
        /// The whole body.
        WholeBody = "whole-body",
        /// Elbow, wrist and hand.
        Arm = "arm",
        /// Lower leg and foot.
        Foot = "foot",
        /// Heart, vessels and lungs.
        HeartAndLungs = "heart-and-lungs",
        /// Pregnancy, birth, belly and breast.
        Pregnancy = "pregnancy",
        /// Rules that hold for everybody, or by age.
        Everyone = "everyone",
    }
}

named! {
    /// What a record has to say beside the condition's name.
    pub enum Site("site") {
        /// Nothing.
        Nowhere = "nowhere",
        /// A muscle.
        Muscle = "muscle",
        /// A joint.
        Joint = "joint",
        /// A muscle or a joint.
        Either = "muscle-or-joint",
    }
}

/// Ages at which a condition is in force without being recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AgeBand {
    /// The first year of age.
    pub from: u32,
    /// The last year of age.
    pub to: u32,
}

/// Something about a client that brings cautions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Condition {
    /// Its name in files and arguments.
    pub id: ConditionId,
    /// What it is called in front of a trainer.
    pub name: String,
    /// Where it is listed.
    pub chapter: Chapter,
    /// Whether it belongs to one side of the body.
    pub side_bound: bool,
    /// What a record has to name beside it.
    pub site: Site,
    /// Whether it holds for everybody, recorded or not.
    pub everyone: bool,
    /// The ages at which it holds without being recorded.
    pub ages: Option<AgeBand>,
    /// What it limits.
    pub limits: Vec<Limit>,
    /// What a card says of it, in words that a hand understands.
    pub card: Vec<CardSentence>,
    /// What to keep off, in plain words.
    pub avoid: String,
    /// What is still fine.
    pub fine: String,
    /// What to say or ask.
    pub say: String,
    /// Whether somebody has to agree first.
    pub clearance: Clearance,
    /// Signs that need medical attention before anything else; empty if none.
    pub red_flag: String,
    /// Keys of its sources, as docs/evidence.md lists them.
    pub source: String,
    /// How well what is said in words is known; each limit says it of itself.
    pub verified: Verified,
}

impl Condition {
    /// Whether it stops the session.
    pub fn stops(&self) -> bool {
        self.limits.iter().any(|limit| limit.precaution == Precaution::Stop)
    }
}

/// A condition as it stands in a client's file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordedCondition {
    /// Which condition.
    pub id: ConditionId,
    /// The side, where it is bound to one; a side-bound condition without a side counts for both.
    pub side: Option<Side>,
    /// The muscle concerned, for conditions of any muscle such as a strain.
    pub muscle: Option<Muscle>,
    /// The joint concerned, for conditions of any joint such as an inflammation.
    pub joint: Option<Joint>,
    /// Since when: day of the surgery, of the injury, of the first sign.
    pub since: Option<NaiveDate>,
    /// Day on which a pregnancy is due.
    pub due: Option<NaiveDate>,
    /// Completed weeks of pregnancy on the day `since`, or today without one; `due` goes first.
    pub week: Option<u8>,
    /// Who cleared it for hands-on work, such as "surgeon, 2026-05-02"; lifts what needed clearance only.
    pub cleared_by: Option<String>,
    /// The day on which it was cleared, if that is known.
    pub cleared_on: Option<NaiveDate>,
    /// The day from which it is over; it stays on record.
    pub until: Option<NaiveDate>,
    /// Who wrote it down; empty if nobody said.
    pub by: String,
    /// The client's own words.
    pub note: String,
}

impl RecordedCondition {
    /// The bare condition, without side or dates.
    pub fn new(id: ConditionId) -> Self {
        Self {
            id,
            side: None,
            muscle: None,
            joint: None,
            since: None,
            due: None,
            week: None,
            cleared_by: None,
            cleared_on: None,
            until: None,
            by: String::new(),
            note: String::new(),
        }
    }

    /// Whether it is not over on a day.
    pub fn is_in_force(&self, today: NaiveDate) -> bool {
        self.until.is_none_or(|until| today < until)
    }

    /// Whether another record is of the same condition in the same place, whatever else it says.
    pub fn is_about_the_same(&self, other: &Self) -> bool {
        (&self.id, self.side, self.muscle, self.joint) == (&other.id, other.side, other.muscle, other.joint)
    }

    /// Ties a week of pregnancy that was told without a day to the day on which it was told, so that it can be
    /// kept: a week on its own would stand still.
    #[must_use]
    pub fn told_on(mut self, day: NaiveDate) -> Self {
        if self.week.is_some() && self.due.is_none() {
            self.since.get_or_insert(day);
        }
        self
    }

    /// Completed weeks of pregnancy on a day, if due day or week are known.
    ///
    /// A pregnancy is counted as 280 days from the first day of the last period to the due day (Naegele's rule,
    /// as in ACOG Committee Opinion 700, Methods for Estimating the Due Date; from memory).
    pub fn gestational_week(&self, today: NaiveDate) -> Option<i64> {
        if let Some(due) = self.due {
            return Some((280 - (due - today).num_days()).div_euclid(7));
        }
        let week = i64::from(self.week?);
        Some(week + self.since.map_or(0, |noted| (today - noted).num_days().div_euclid(7)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_joints_of_one_condition_are_two_records() {
        let at = |joint| RecordedCondition {
            side: Some(Side::Left),
            joint: Some(joint),
            ..RecordedCondition::new(ConditionId::new("recent-fracture").unwrap())
        };
        assert!(!at(Joint::Knee).is_about_the_same(&at(Joint::Ankle)));
        let noted = RecordedCondition { note: "cast is off".to_owned(), ..at(Joint::Knee) };
        assert!(at(Joint::Knee).is_about_the_same(&noted));
    }

    #[test]
    fn a_week_goes_on_counting_from_the_day_on_which_it_was_told() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let told = RecordedCondition {
            week: Some(14),
            ..RecordedCondition::new(ConditionId::new("pregnancy").unwrap())
        };
        assert_eq!(told.gestational_week(day("2026-12-24")), Some(14));
        let kept = told.told_on(day("2026-11-20"));
        assert_eq!(kept.since, Some(day("2026-11-20")));
        assert_eq!(kept.gestational_week(day("2026-12-03")), Some(15));
        assert_eq!(kept.gestational_week(day("2026-12-04")), Some(16));
        assert_eq!(kept.clone().told_on(day("2027-01-01")), kept, "the first day stays");
    }
}
