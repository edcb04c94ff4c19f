//! The muscles that nothing in the catalogue may reach today.

use std::collections::BTreeSet;

use crate::body::{Side, Unit};
use crate::catalogue::{Catalogue, Form};

use super::restrictions::Restrictions;

/// The units that some form of the catalogue reaches and that none may.
pub fn off_limits(restrictions: &Restrictions, catalogue: &Catalogue) -> BTreeSet<Unit> {
    let (mut reachable, mut barred) = (BTreeSet::new(), BTreeSet::new());
    for stretch in catalogue.stretches() {
        for form in &stretch.forms {
            for &side in form.workings() {
                let units = units(form, side);
                if restrictions.allows(stretch, form, side) {
                    reachable.extend(units);
                } else {
                    barred.extend(units);
                }
            }
        }
    }
    barred.difference(&reachable).copied().collect()
}

/// What a form reaches when it is done on a side, or on both at once.
fn units(form: &Form, side: Option<Side>) -> impl Iterator<Item = Unit> {
    form.targets.iter().flat_map(move |target| {
        let sides = Side::ALL.iter().filter(move |&&other| side.is_none_or(|side| side == other));
        sides.map(|&side| Unit { muscle: target.muscle, side })
    })
}
