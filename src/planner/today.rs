//! A client on one day: all that plans, screens and hand-outs need to know before anything is chosen, worked out once.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::NaiveDate;

use crate::body::Unit;
use crate::catalogue::Catalogue;
use crate::caution::{BeforeTouch, Restrictions, before_touch, off_limits};
use crate::client::{Client, Meters};
use crate::insight::Learned;

/// What holds for a client on a day. Made when the file is read, and anew when client, catalogue or date change.
#[derive(Debug, Clone, PartialEq)]
pub struct Today {
    /// Who it is.
    pub client: Arc<Client>,
    /// What may be chosen from.
    pub catalogue: Arc<Catalogue>,
    /// The day.
    pub on: NaiveDate,
    /// Age in years, if it is known.
    pub age: Option<u32>,
    /// What limits the work.
    pub restrictions: Arc<Restrictions>,
    /// Muscles that nothing in the catalogue may reach.
    pub off_limits: BTreeSet<Unit>,
    /// What is asked or minded before the first touch.
    pub before_touch: Vec<BeforeTouch>,
    /// What the sessions tell.
    pub learned: Arc<Learned>,
    /// The trainer's minutes of the day before this block: the same for the whole of it, also when it is planned anew.
    pub worked: Meters,
}

impl Today {
    /// A client by what the file says.
    pub fn of(client: Arc<Client>, catalogue: Arc<Catalogue>, on: NaiveDate) -> Self {
        let age = client.profile.age(on);
        let restrictions = Arc::new(Restrictions::of(&client.profile.conditions, age, on));
        Self::with(client, catalogue, on, age, restrictions)
    }

    /// A client of whom more is known than the file says: an age, or what limits the work today.
    pub fn with(
        client: Arc<Client>,
        catalogue: Arc<Catalogue>,
        on: NaiveDate,
        age: Option<u32>,
        restrictions: Arc<Restrictions>,
    ) -> Self {
        let learned = Arc::new(Learned::of(&client, &catalogue, on));
        let off_limits = off_limits(&restrictions, &catalogue);
        let mut before_touch = before_touch(&client.profile.screening_record(on), &restrictions, on);
        if client.profile.refuses_hands() {
            before_touch.insert(0, BeforeTouch::Refused);
        }
        let worked = Meters::default();
        Self { client, catalogue, on, age, restrictions, off_limits, before_touch, learned, worked }
    }

    /// The same after what the trainer has done today.
    #[must_use]
    pub fn after(self, worked: Meters) -> Self {
        Self { worked, ..self }
    }
}
