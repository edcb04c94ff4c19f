//! Which units no form may reach, of what is in force.

use std::collections::BTreeSet;

use crate::body::{Side, Unit};
use crate::catalogue::{Catalogue, Form, Method};
use crate::caution::Restrictions;

/// Whether a form may be done on a side in any way.
pub fn is_allowed(form: &Form, side: Option<Side>, restrictions: &Restrictions) -> bool {
    Method::ALL.iter().any(|method| restrictions.permit(form, side, *method).is_ok())
}

/// Units that no form may reach.
pub fn avoided(restrictions: &Restrictions, catalogue: &Catalogue) -> BTreeSet<Unit> {
    let (mut reachable, mut barred) = (BTreeSet::new(), BTreeSet::new());
    for form in catalogue.stretches().iter().flat_map(|stretch| &stretch.forms) {
        for side in form.workings() {
            let units = form.targets.iter().flat_map(|target| {
                Side::ALL
                    .iter()
                    .filter(|other| side.is_none_or(|side| side == **other))
                    .map(|side| Unit { muscle: target.muscle, side: *side })
            });
            if is_allowed(form, *side, restrictions) { reachable.extend(units) } else { barred.extend(units) }
        }
    }
    barred.difference(&reachable).copied().collect()
}
