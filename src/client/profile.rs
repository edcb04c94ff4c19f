//! A client: who it is, what is known, what was agreed.

use chrono::NaiveDate;

use crate::body::Unit;
use crate::catalogue::StretchId;
use crate::caution::RecordedCondition;
use crate::caution::screening::ScreeningRecord;
use crate::names::{named, word_id};

use super::session::Session;

word_id! {
    /// Names a client and the client's file.
    ClientId, "client id"
}

named! {
    /// Sex, where the client gave it: published joint norms differ by it.
    pub enum Sex("sex") {
        /// Female.
        Female = "female",
        /// Male.
        Male = "male",
    }
}

named! {
    /// What a client wants from the closing block.
    pub enum Aim("aim") {
        /// A calm finish.
        Calm = "calm",
        /// More range of motion.
        Range = "range",
        /// Relief after sitting all day: neck and chest.
        Desk = "desk",
    }
}

/// A screening before hands-on work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screening {
    /// The day it was done.
    pub on: NaiveDate,
    /// Whether every answer was clear.
    pub clear: bool,
    /// The answers that were not, in the client's words.
    pub note: String,
}

/// Who agreed for a minor, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guardian {
    /// The guardian's name.
    pub name: String,
    /// The day of the written consent.
    pub on: NaiveDate,
}

/// Everything in a client's file but the sessions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profile {
    /// The client's id, which is the file's name too.
    pub id: ClientId,
    /// The client's name as it is shown.
    pub name: String,
    /// Day of birth, if known.
    pub born: Option<NaiveDate>,
    /// Sex, if given.
    pub sex: Option<Sex>,
    /// What limits the work.
    pub conditions: Vec<RecordedCondition>,
    /// What the client wants.
    pub aims: Vec<Aim>,
    /// Units that the client feels or the trainer found tight.
    pub tight: Vec<Unit>,
    /// Stretches the client likes.
    pub likes: Vec<StretchId>,
    /// Stretches the client does not like.
    pub dislikes: Vec<StretchId>,
    /// The last screening.
    pub screening: Option<Screening>,
    /// A guardian's consent, for minors.
    pub guardian: Option<Guardian>,
    /// Whether the client wants the massage finish.
    pub massage: bool,
    /// A remark.
    pub note: String,
}

impl Profile {
    /// A profile that knows nothing but a name.
    pub fn new(id: ClientId, name: impl Into<String>) -> Self {
        Self {
            id,
            name: name.into(),
            born: None,
            sex: None,
            conditions: Vec::new(),
            aims: Vec::new(),
            tight: Vec::new(),
            likes: Vec::new(),
            dislikes: Vec::new(),
            screening: None,
            guardian: None,
            massage: false,
            note: String::new(),
        }
    }

    /// Age in whole years on a day, if the day of birth is known and not after it.
    pub fn age(&self, on: NaiveDate) -> Option<u32> {
        self.born.and_then(|born| on.years_since(born))
    }

    /// What hands-on work on a day waits for: age, guardian, screening.
    pub fn screening_record(&self, today: NaiveDate) -> ScreeningRecord {
        ScreeningRecord {
            age: self.age(today),
            guardian: self.guardian.as_ref().map(|guardian| guardian.on),
            screened: self.screening.as_ref().map(|screening| screening.on),
            clear: self.screening.as_ref().is_some_and(|screening| screening.clear),
            newest: self.conditions.iter().filter_map(|condition| condition.since).max(),
        }
    }
}

/// A client: the profile and every session, oldest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Client {
    /// Who it is.
    pub profile: Profile,
    /// Closing blocks, oldest first.
    pub sessions: Vec<Session>,
}
