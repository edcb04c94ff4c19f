//! What may be done again of a stretch that was stopped for pain, and how far the muscles around it are spared.
//!
//! Where a client stands on that way is judged elsewhere; here it is held, so that one gate decides what may be done.

use chrono::NaiveDate;

use crate::body::{Level, Muscle, Seconds, Side};
use crate::catalogue::{Form, FormId, Method, Stretch, StretchId};

use super::permitted::{Allowance, Refusal, RefusalCause};

/// Seconds of a still hold for a muscle that rests after a pain: our judgement.
const RESTING_HOLD: Seconds = Seconds::new(20);

/// The level to aim at on the way back: our judgement.
const AIM: Level = Level::LIGHT;

/// What may be done of the stretch that hurt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NextTry {
    /// None of it yet.
    Rest,
    /// None of it until somebody named has cleared it.
    Closed,
    /// None of it today, as another stretch is tried first.
    Later,
    /// Its gentlest form.
    Gentlest,
    /// This form: the one that hurt, or the only one there is.
    Form(FormId),
}

/// One stop for pain that has not found its way back to usual.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PainStep {
    /// The stretch that was stopped.
    pub stretch: StretchId,
    /// The side on which it hurt; a form of both sides at once counts for it.
    pub side: Side,
    /// The day of the stop.
    pub on: NaiveDate,
    /// What may be done of it.
    pub again: NextTry,
    /// The longest still hold, where less than usual is held.
    pub longest_hold: Option<Seconds>,
    /// Muscles of that side for which nothing beyond the gentlest form of any stretch is done.
    pub resting: Vec<Muscle>,
}

impl PainStep {
    /// Holds a form against this step.
    pub(super) fn hold(
        &self,
        stretch: &Stretch,
        form: &Form,
        side: Option<Side>,
        method: Method,
        allowance: &mut Allowance,
    ) -> Result<(), Refusal> {
        if side.is_some_and(|side| side != self.side) {
            return Ok(());
        }
        let refusal = |what: &str| Refusal {
            cause: RefusalCause::Pain(self.on),
            text: format!("stopped for pain on {}: {what}", self.on),
        };
        let is_gentlest = stretch.forms.first().is_some_and(|first| first.id == form.id);
        if stretch.id == self.stretch {
            match &self.again {
                NextTry::Rest => return Err(refusal("it rests")),
                NextTry::Closed => return Err(refusal("closed until somebody named has cleared it")),
                NextTry::Later => return Err(refusal("another stretch is tried first")),
                NextTry::Gentlest if !is_gentlest => return Err(refusal("its gentlest form first")),
                NextTry::Form(only) if *only != form.id => return Err(refusal("another form of it first")),
                NextTry::Gentlest | NextTry::Form(_) => {}
            }
            if method == Method::ContractRelax {
                return Err(refusal("no push yet"));
            }
            allowance.aim = allowance.aim.min(AIM);
            if let Some(longest) = self.longest_hold {
                allowance.cap_hold(longest);
            }
        }
        let rests = |muscle| self.resting.contains(&muscle);
        if form.targets.iter().any(|target| rests(target.muscle)) {
            if !is_gentlest {
                return Err(refusal("the muscle rests: gentlest forms only"));
            }
            if method == Method::ContractRelax {
                return Err(refusal("the muscle rests: no push yet"));
            }
            allowance.aim = allowance.aim.min(AIM);
            allowance.cap_hold(RESTING_HOLD);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::restrictions::Restrictions;
    use super::super::sample::{moving, only};
    use super::*;
    use crate::body::Motion;
    use crate::catalogue::{ContractRelax, Dose, Position};

    const LEFT: Option<Side> = Some(Side::Left);

    /// A stretch of the hamstrings with a gentle form and a further one.
    fn stretch() -> Stretch {
        let gentle = moving(Position::Supine, &[(Motion::HipFlexion, 60)], &[Muscle::Hamstrings]);
        let further = Form { id: FormId::new("further").unwrap(), ..gentle.clone() };
        Stretch { forms: vec![gentle.clone(), further], ..only(&gentle) }
    }

    fn step(again: NextTry) -> Restrictions {
        let pain = PainStep {
            stretch: stretch().id,
            side: Side::Left,
            on: NaiveDate::from_ymd_opt(2026, 11, 20).unwrap(),
            again,
            longest_hold: Some(Seconds::new(15)),
            resting: Vec::new(),
        };
        Restrictions::none().with_pain(vec![pain])
    }

    fn doses(limits: &Restrictions, index: usize, side: Option<Side>, method: Method) -> Vec<Dose> {
        let whole = stretch();
        limits
            .permit(&whole, &whole.forms[index], side, method)
            .map_or(Vec::new(), |way| way.doses().collect())
    }

    #[test]
    fn a_stretch_that_hurt_comes_back_form_by_form_and_leaves_the_other_side_alone() {
        let rests = step(NextTry::Rest);
        assert_eq!(doses(&rests, 0, LEFT, Method::Static), []);
        assert_eq!(
            doses(&rests, 0, Some(Side::Right), Method::Static).len(),
            3,
            "the right side did not hurt"
        );
        assert_eq!(doses(&rests, 0, None, Method::Static), [], "both at once is the left side, too");
        let gentlest = step(NextTry::Gentlest);
        assert_eq!(doses(&gentlest, 0, LEFT, Method::Static), [Dose::Hold(Seconds::new(15))]);
        assert_eq!(doses(&gentlest, 0, LEFT, Method::ContractRelax), []);
        assert_eq!(doses(&gentlest, 1, LEFT, Method::Static), []);
        let hurting = step(NextTry::Form(FormId::new("further").unwrap()));
        assert_eq!(doses(&hurting, 0, LEFT, Method::Static), []);
        assert_eq!(doses(&hurting, 1, LEFT, Method::Static), [Dose::Hold(Seconds::new(15))]);
        let whole = stretch();
        let said = step(NextTry::Closed).permit(&whole, &whole.forms[0], LEFT, Method::Static).unwrap_err();
        assert_eq!(said.text, "stopped for pain on 2026-11-20: closed until somebody named has cleared it");
    }

    #[test]
    fn a_resting_muscle_gets_the_gentlest_form_of_other_stretches_only() {
        let pain = PainStep {
            stretch: StretchId::new("another").unwrap(),
            side: Side::Left,
            on: NaiveDate::from_ymd_opt(2026, 11, 20).unwrap(),
            again: NextTry::Rest,
            longest_hold: None,
            resting: vec![Muscle::Hamstrings],
        };
        let limits = Restrictions::none().with_pain(vec![pain]);
        assert_eq!(
            doses(&limits, 0, LEFT, Method::Static),
            [Dose::Hold(Seconds::new(15))],
            "30 s are too long"
        );
        assert_eq!(doses(&limits, 1, LEFT, Method::Static), []);
        let push = ContractRelax { cycles: 3, push: Seconds::new(3), stretch: Seconds::new(7) };
        let free = Dose::ContractRelax(push);
        assert_eq!(doses(&limits, 0, LEFT, Method::ContractRelax), []);
        assert_eq!(doses(&limits, 0, Some(Side::Right), Method::ContractRelax), [free]);
    }
}
