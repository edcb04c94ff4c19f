//! What the sessions ask of left and right: which side is to be held longer, and what is to be worked one side after
//! the other.

use std::collections::{BTreeMap, BTreeSet};

use crate::body::{Muscle, Side, Unit};
use crate::catalogue::{Form, Sides};
use crate::insight::Learned;

use super::demand::Demand;
use super::tariff;

/// What is asked of the sides of muscles today.
#[derive(Debug)]
pub(super) struct Apart {
    /// The side that is to get the longer dose: equal ones are not offered where both are worked.
    longer: BTreeMap<Muscle, Side>,
    /// What gets no form of both sides at once, as one for either side fits.
    one_sided: BTreeSet<Muscle>,
}

impl Apart {
    /// `on_either_side` are the forms that may be done on the one side and on the other.
    pub(super) fn new<'a>(
        learned: &Learned,
        demand: &Demand,
        on_either_side: impl Iterator<Item = &'a Form>,
    ) -> Self {
        let longer = learned.longer_sides(|muscle| is_wanted(demand, muscle));
        let asks = |muscle: &Muscle| longer.contains_key(muscle) || learned.wants_one_sided(*muscle);
        let one_sided = on_either_side.flat_map(tariff::meant_for).filter(asks).collect();
        Self { longer, one_sided }
    }

    /// The side of a form that is to be held longer than the other.
    pub(super) fn longer_side(&self, form: &Form) -> Option<Side> {
        tariff::meant_for(form).find_map(|muscle| self.longer.get(&muscle).copied())
    }

    /// Whether a form of both sides at once gives way to one for either side.
    pub(super) fn gives_way(&self, form: &Form) -> bool {
        form.sides == Sides::Both && tariff::meant_for(form).any(|muscle| self.one_sided.contains(&muscle))
    }
}

/// Whether a day wants a muscle, not only for minutes that are left.
fn is_wanted(demand: &Demand, muscle: Muscle) -> bool {
    let wants = |&side: &Side| demand.get(&Unit { muscle, side }).is_some_and(|demanded| !demanded.is_ease());
    Side::ALL.iter().any(wants)
}
