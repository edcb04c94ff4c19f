//! Who is in the invented studio: the shape of `cast.toml`.

use chrono::{Days, NaiveDate};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer};

use crate::body::{Level, Minutes, Muscle, Side, Unit};
use crate::catalogue::{FormId, StretchId};
use crate::caution::{ConditionId, RecordedCondition};
use crate::client::{Aim, ClientId, Sex, Trained, trained_from};

const CAST: &str = include_str!("cast.toml");

/// The studio and its clients.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Cast {
    pub(super) studio: String,
    pub(super) trainer: String,
    pub(super) minutes: Minutes,
    pub(super) may_massage: bool,
    pub(super) seed: u64,
    pub(super) person: Vec<Person>,
}

/// One client and how the year went.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Person {
    pub(super) id: ClientId,
    pub(super) name: String,
    /// Whole years on the last day.
    pub(super) age: u32,
    pub(super) sex: Sex,
    #[serde(default)]
    pub(super) aims: Vec<Aim>,
    /// Such as `hamstrings:right`.
    #[serde(default, deserialize_with = "units")]
    pub(super) tight: Vec<Unit>,
    #[serde(default)]
    pub(super) likes: Vec<StretchId>,
    #[serde(default)]
    pub(super) dislikes: Vec<StretchId>,
    #[serde(default)]
    pub(super) massage: bool,
    #[serde(default)]
    pub(super) note: String,
    #[serde(default)]
    pub(super) condition: Vec<Known>,
    /// Days since the last screening.
    pub(super) screened_days_ago: Option<u64>,
    /// Name of the guardian who agreed in writing.
    pub(super) guardian: Option<String>,
    /// Weeks since the first session.
    pub(super) weeks: u32,
    /// Days of the week with a session, 0 Monday to 6 Sunday, and the hour at which it ends.
    pub(super) on: Vec<(u32, u32)>,
    /// Whether the card says when that usually begins: the day and the whole hour.
    #[serde(default)]
    pub(super) timed: bool,
    /// Days before the last one on which no appointment was kept.
    #[serde(default)]
    pub(super) away_days: u64,
    /// Minutes that were left, drawn at random.
    pub(super) minutes: Vec<Minutes>,
    /// Appointments in a hundred that were missed.
    pub(super) missed: u32,
    /// Training days in turn, such as `legs:3,core:1`; the last stands for today.
    #[serde(deserialize_with = "training")]
    pub(super) training: Vec<Trained>,
    /// The stretches that this client gets, in the order of work.
    pub(super) work: Vec<RegularStretch>,
}

/// A condition with dates relative to the last day.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Known {
    id: ConditionId,
    side: Option<Side>,
    muscle: Option<Muscle>,
    since_days_ago: Option<u64>,
    due_in_days: Option<u64>,
    cleared_by: Option<String>,
    #[serde(default)]
    note: String,
}

impl Known {
    pub(super) fn recorded(&self, end: NaiveDate) -> RecordedCondition {
        RecordedCondition {
            side: self.side,
            muscle: self.muscle,
            since: self.since_days_ago.and_then(|days| end.checked_sub_days(Days::new(days))),
            due: self.due_in_days.and_then(|days| end.checked_add_days(Days::new(days))),
            cleared_by: self.cleared_by.clone(),
            note: self.note.clone(),
            ..RecordedCondition::new(self.id.clone())
        }
    }
}

/// One stretch of a client, and how its answers changed over the weeks.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RegularStretch {
    pub(super) stretch: StretchId,
    pub(super) form: FormId,
    /// Muscles that it is for; it is done when one of them was trained. Empty: always.
    #[serde(default, rename = "for")]
    pub(super) serves: Vec<Muscle>,
    /// Lengths of the hold, drawn at random; each must be one of the form's.
    #[serde(default)]
    pub(super) hold_s: Vec<u32>,
    /// Contract-relax instead of a still hold: the number of cycles of one of the form's doses.
    #[serde(default)]
    pub(super) cycles: u8,
    /// Tenths of a level at the beginning and at the end, in the mean of both sides.
    pub(super) level: (i32, i32),
    /// The tighter side, and by how many tenths of a level at the beginning and at the end.
    pub(super) tighter: Option<(Side, i32, i32)>,
    /// Degrees at the beginning and at the end, where the angle is measured now and then.
    pub(super) angle: Option<(i32, i32)>,
    /// The most that may be answered, where a caution lowers the aim.
    pub(super) at_most: Option<Level>,
}

fn units<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Unit>, D::Error> {
    let words = Vec::<String>::deserialize(deserializer)?;
    words.iter().map(|word| word.parse().map_err(D::Error::custom)).collect()
}

fn training<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Trained>, D::Error> {
    let days = Vec::<String>::deserialize(deserializer)?;
    days.iter().map(|day| trained_from(day).map_err(D::Error::custom)).collect()
}

/// Reads the cast that is built in.
pub(super) fn cast() -> Cast {
    toml::from_str(CAST).expect("the test `the_cast_is_whole` reads it")
}
