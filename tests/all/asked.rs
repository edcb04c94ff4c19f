//! What a plan is asked for, in the words of a test, with everything owned.

use std::sync::{Arc, LazyLock};

use chrono::NaiveDate;
use matside::body::{Effort, Minutes, Unit, muscles_named};
use matside::catalogue::{Catalogue, Equipment};
use matside::caution::{Restrictions, parse_recorded};
use matside::client::{Aim, Birth, Client, Consent, Meters, Profile, Trained, Trainer};
use matside::planner::{Plan, PlanError, PlanRequest, Progress, Today, Wishes, plan};

/// The day of all tests that plan.
pub(crate) fn day() -> NaiveDate {
    "2026-11-25".parse().expect("a date")
}

/// A request with everything that it borrows.
#[derive(Debug, Clone)]
pub(crate) struct Asked {
    pub(crate) client: Client,
    pub(crate) trainer: Trainer,
    pub(crate) trained: Trained,
    pub(crate) minutes: Minutes,
    pub(crate) consent: Consent,
    pub(crate) wishes: Wishes,
    pub(crate) progress: Option<Progress>,
    /// What the trainer did today before this client.
    pub(crate) worked: Meters,
}

impl Asked {
    /// A guest of whom nothing is known, after a day on which this was trained.
    pub(crate) fn new(trained: &[(&str, i64)], minutes: i64) -> Self {
        let mut all = Trained::new();
        for (word, effort) in trained {
            for muscle in muscles_named(word).expect("a muscle or a group") {
                all.insert(muscle, Effort::new(*effort).expect("1 to 3"));
            }
        }
        Self {
            client: Client::new(Profile::new("guest".parse().expect("an id"), "Guest"), Vec::new()),
            trainer: Trainer::default(),
            trained: all,
            minutes: Minutes::new(minutes).expect("minutes"),
            consent: Consent::HandsOn,
            wishes: Wishes::default(),
            progress: None,
            worked: Meters::default(),
        }
    }

    pub(crate) fn with_condition(mut self, word: &str) -> Self {
        self.client.profile.conditions.push(parse_recorded(word).expect("a condition"));
        self
    }

    /// Notes a side as tight, such as `hamstrings:left`.
    pub(crate) fn with_tight(mut self, word: &str) -> Self {
        self.client.profile.note_tight(unit(word), day(), "");
        self
    }

    pub(crate) fn with_aim(mut self, aim: Aim) -> Self {
        self.client.profile.aims.push(aim);
        self
    }

    pub(crate) fn with_age(mut self, years: i32) -> Self {
        self.client.profile.born = chrono::NaiveDate::from_ymd_opt(2026 - years, 3, 1).map(Birth::on);
        self
    }

    pub(crate) fn with_consent(mut self, consent: Consent) -> Self {
        self.consent = consent;
        self
    }

    pub(crate) fn with_equipment(mut self, equipment: &[Equipment]) -> Self {
        self.trainer.equipment = equipment.to_vec();
        self
    }

    pub(crate) fn with_minutes(mut self, minutes: i64) -> Self {
        self.minutes = Minutes::new(minutes).expect("minutes");
        self
    }

    /// What limits the work.
    pub(crate) fn restrictions(&self) -> Restrictions {
        let profile = &self.client.profile;
        Restrictions::of(&profile.conditions, profile.age(day()), day())
    }

    /// Takes the request to something that is asked with it.
    pub(crate) fn ask<T>(&self, take: impl FnOnce(&PlanRequest) -> T) -> T {
        static BUILT_IN: LazyLock<Arc<Catalogue>> = LazyLock::new(|| Arc::new(Catalogue::built_in().clone()));
        let today = Today::of(Arc::new(self.client.clone()), Arc::clone(&BUILT_IN), day()).after(self.worked);
        take(&PlanRequest {
            today: Arc::new(today),
            trainer: Arc::new(self.trainer.clone()),
            trained: self.trained.clone(),
            minutes: self.minutes,
            consent: self.consent,
            wishes: self.wishes.clone(),
            progress: self.progress.clone(),
        })
    }

    pub(crate) fn try_plan(&self) -> Result<Plan, PlanError> {
        self.ask(plan)
    }

    pub(crate) fn plan(&self) -> Plan {
        self.try_plan().expect("a plan")
    }
}

/// A muscle on a side, such as `hamstrings:left`.
pub(crate) fn unit(word: &str) -> Unit {
    let (muscle, side) = word.split_once(':').expect("muscle:side");
    Unit { muscle: muscle.parse().expect("a muscle"), side: side.parse().expect("a side") }
}
