//! Laws of the cautions, over all conditions, the whole catalogue, and forms made up at random.

use chrono::{Days, NaiveDate};
use matside::body::{BodyPart, Degrees, Joint, Motion, Muscle, Seconds, Side};
use matside::catalogue::loads::{OnSide, Stride, Whose};
use matside::catalogue::{
    Catalogue, Contact, Cues, Form, FormId, Helper, Loads, Method, MotionAngle, Position, Sides, Stretch,
    StretchId, Target,
};
use matside::caution::{Allowance, Condition, Conditions, Precaution, RecordedCondition, Restrictions};
use proptest::prelude::*;
use proptest::sample::select;

/// What may be done with one form, once per side and method.
type Outcome = Vec<Option<Allowance>>;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 20).expect("a day of the calendar")
}

fn assess(recorded: &[RecordedCondition], age: Option<u32>) -> Restrictions {
    Restrictions::of(recorded, age, today())
}

fn outcome_on(restrictions: &Restrictions, form: &Form, sides: &[Option<Side>]) -> Outcome {
    let stretch = Stretch {
        id: StretchId::new("whatever").expect("a word"),
        name: "Whatever".to_owned(),
        forms: vec![form.clone()],
    };
    let workings = sides.iter().flat_map(|&side| Method::ALL.iter().map(move |&method| (side, method)));
    let may = |side, method| restrictions.permit(&stretch, form, side, method).ok();
    workings.map(|(side, method)| may(side, method).map(|way| way.allowance())).collect()
}

fn outcome(restrictions: &Restrictions, form: &Form) -> Outcome {
    outcome_on(restrictions, form, form.workings())
}

/// Whether a cap is at least as strict as another.
fn caps<T: PartialOrd>(strict: Option<T>, loose: Option<T>) -> bool {
    match (strict, loose) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(strict), Some(loose)) => strict <= loose,
    }
}

/// Whether nothing is allowed that `loose` does not allow too, nor for longer or harder.
fn never_looser(strict: &Outcome, loose: &Outcome) -> bool {
    strict.iter().zip(loose).all(|pair| match pair {
        (None, _) => true,
        (Some(_), None) => false,
        (Some(strict), Some(loose)) => {
            strict.aim <= loose.aim
                && caps(strict.longest_hold, loose.longest_hold)
                && caps(strict.longest_push, loose.longest_push)
                && caps(strict.most_cycles, loose.most_cycles)
        }
    })
}

fn side() -> impl Strategy<Value = Option<Side>> {
    select(vec![None, Some(Side::Left), Some(Side::Right)])
}

/// A condition of this kind with anything that a record can say about it.
fn record_of(kind: impl Fn(&Condition) -> bool) -> impl Strategy<Value = RecordedCondition> {
    let conditions: Vec<_> =
        Conditions::built_in().all().iter().filter(|condition| kind(condition)).collect();
    (
        select(conditions),
        side(),
        proptest::option::of(select(Muscle::ALL.to_vec())),
        proptest::option::of(select(Joint::ALL.to_vec())),
        proptest::option::of(0_u64..120),
        proptest::option::of(1_u8..=42),
        any::<bool>(),
    )
        .prop_map(|(condition, side, muscle, joint, days_ago, week, cleared)| RecordedCondition {
            side: side.filter(|_| condition.side_bound),
            muscle,
            joint,
            since: days_ago.and_then(|days| today().checked_sub_days(Days::new(days))),
            week,
            cleared_by: cleared.then(|| "somebody".to_owned()),
            ..RecordedCondition::new(condition.id.clone())
        })
}

/// Whether every limit of a condition is about the joints or muscles of its side.
fn is_local(condition: &Condition) -> bool {
    condition.side_bound
        && condition.limits.iter().all(|limit| match limit.precaution {
            Precaution::Hands(_) | Precaution::Massage => true,
            _ => {
                let on = &limit.on;
                on.there.is_some()
                    || !on.loads.is_empty()
                    || !(on.motions.is_empty() && on.joints.is_empty() && on.muscles.is_empty())
            }
        })
}

/// A condition that leaves something to do.
fn record() -> impl Strategy<Value = RecordedCondition> {
    record_of(|condition| !condition.stops())
}

fn records() -> impl Strategy<Value = Vec<RecordedCondition>> {
    proptest::collection::vec(record(), 0..4)
}

fn age() -> impl Strategy<Value = Option<u32>> {
    proptest::option::of(5_u32..95)
}

fn angles() -> impl Strategy<Value = Vec<MotionAngle>> {
    let angle = (select(Motion::ALL.to_vec()), -20_i64..150).prop_map(|(motion, degrees)| MotionAngle {
        motion,
        degrees: Degrees::new(degrees).expect("in bounds"),
    });
    proptest::collection::vec(angle, 0..4)
}

/// Any loads, and now and then none told.
fn loads() -> impl Strategy<Value = Loads> {
    let whose = || select(Whose::ALL.to_vec());
    let part = || (select(BodyPart::ALL.to_vec()), whose()).prop_map(|(what, of)| OnSide { what, of });
    let joint = (select(Joint::ALL.to_vec()), whose()).prop_map(|(what, of)| OnSide { what, of });
    let hands = proptest::collection::vec((select(Contact::ALL.to_vec()), part()), 0..3);
    let some = proptest::option::weighted(0.2, select(Stride::ALL.to_vec()));
    (
        (proptest::bool::weighted(0.9), proptest::bool::weighted(0.2), some),
        proptest::option::weighted(0.2, whose()),
        proptest::collection::vec(part(), 0..2),
        proptest::collection::vec(joint, 0..2),
        (hands, proptest::collection::vec(select(BodyPart::ALL.to_vec()), 0..2)),
    )
        .prop_map(|((told, head_low, stride), one_leg, weight_on, traction, (hands, pressed))| {
            if told {
                Loads { told, weight_on, one_leg, stride, head_low, pressed, traction, hands }
            } else {
                Loads::default()
            }
        })
}

/// A form that nobody would do, made of any motions.
fn made_up() -> impl Strategy<Value = Form> {
    let targets = proptest::collection::vec(select(Muscle::ALL.to_vec()), 1..3);
    let who = (select(Position::ALL.to_vec()), select(Sides::ALL.to_vec()), select(Helper::ALL.to_vec()));
    (who, angles(), angles(), targets, loads()).prop_map(
        |((position, sides, helper), motions, other_side, targets, loads)| Form {
            id: FormId::new("made-up").expect("a word"),
            name: "Made up".to_owned(),
            position,
            sides,
            helper,
            motions,
            other_side: if sides == Sides::Both { Vec::new() } else { other_side },
            loads,
            targets: targets.into_iter().map(|muscle| Target { muscle, share: 100 }).collect(),
            setup: Seconds::new(5),
            equipment: Vec::new(),
            holds: vec![Seconds::new(30)],
            contract_relax: Vec::new(),
            trainer: None,
            gentle: false,
            usual: None,
            cues: Cues::default(),
            drawing: matside::catalogue::Drawing::default(),
        },
    )
}

fn built_in() -> impl Strategy<Value = Form> {
    let forms: Vec<Form> = Catalogue::built_in()
        .stretches()
        .iter()
        .flat_map(|stretch: &Stretch| stretch.forms.clone())
        .collect();
    select(forms)
}

fn form() -> impl Strategy<Value = Form> {
    prop_oneof![built_in(), made_up()]
}

fn mirrored(recorded: &[RecordedCondition]) -> Vec<RecordedCondition> {
    recorded
        .iter()
        .map(|record| RecordedCondition { side: record.side.map(Side::other), ..record.clone() })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn two_together_are_never_looser_than_either_and_removing_one_never_tightens(
        first in records(), second in records(), age in age(), form in form(),
    ) {
        let together = outcome(&assess(&[first.clone(), second.clone()].concat(), age), &form);
        for alone in [first, second] {
            let alone = outcome(&assess(&alone, age), &form);
            prop_assert!(never_looser(&together, &alone), "{together:?} against {alone:?}");
        }
    }

    #[test]
    fn the_order_of_records_does_not_matter(recorded in records(), age in age(), form in form()) {
        let mut turned = recorded.clone();
        turned.reverse();
        prop_assert_eq!(outcome(&assess(&recorded, age), &form), outcome(&assess(&turned, age), &form));
    }

    #[test]
    fn left_and_right_are_mirrors(recorded in records(), age in age(), form in form()) {
        let straight = assess(&recorded, age);
        let mirror = assess(&mirrored(&recorded), age);
        let sides = form.workings();
        let swapped: Vec<Option<Side>> = sides.iter().map(|side| side.map(Side::other)).collect();
        prop_assert_eq!(outcome_on(&straight, &form, sides), outcome_on(&mirror, &form, &swapped));
    }

    #[test]
    fn an_unknown_side_counts_as_both(record in record(), age in age(), form in form()) {
        let with = |side| RecordedCondition { side, ..record.clone() };
        let unknown = outcome(&assess(&[with(None)], age), &form);
        let both = outcome(&assess(&[with(Some(Side::Left)), with(Some(Side::Right))], age), &form);
        prop_assert_eq!(unknown, both);
    }

    #[test]
    fn a_condition_of_one_side_leaves_the_other_side_alone(
        record in record_of(is_local), joint in select(Joint::ALL.to_vec()), mut form in made_up(),
    ) {
        // The midline belongs to both sides, and what a form does with the other side counts there: its position too,
        // where it stands, kneels or lies on it.
        form.motions.retain(|angle| !angle.motion.is_midline());
        let position = if form.position == Position::Seated { Position::Seated } else { Position::Supine };
        let mut loads = Loads { told: true, stride: None, head_low: false, pressed: Vec::new(), ..form.loads };
        loads.weight_on.retain(|on| on.of == Whose::Worked && !on.what.is_midline());
        loads.traction.retain(|on| on.of == Whose::Worked && !matches!(on.what, Joint::Neck | Joint::Trunk));
        loads.hands.retain(|(_, on)| on.of == Whose::Worked && !on.what.is_midline());
        let form = Form { sides: Sides::Each, other_side: Vec::new(), position, loads, ..form };
        let record = RecordedCondition { side: Some(Side::Left), joint: record.joint.or(Some(joint)), ..record };
        prop_assume!(!matches!(record.joint, Some(Joint::Neck | Joint::Trunk)));
        let (left, free) = (assess(&[record], Some(40)), assess(&[], Some(40)));
        let right = &[Some(Side::Right)];
        prop_assert_eq!(outcome_on(&left, &form, right), outcome_on(&free, &form, right));
    }

    #[test]
    fn further_is_never_allowed_where_less_was_refused(
        recorded in records(), age in age(), form in form(), pick in 0_usize..8, more in 1_i64..60,
    ) {
        // A knee that bends takes the pull off a straight leg: there less straight is allowed where straight is not.
        let Some(index) = form.motions.len().checked_sub(1).map(|last| pick.min(last)) else { return Ok(()) };
        let angle = form.motions[index];
        prop_assume!(angle.degrees.get() > 0 && angle.motion != Motion::KneeFlexion);
        let further = (i64::from(angle.degrees.get()) + more).min(i64::from(Degrees::MAX.get()));
        let mut deeper = form.clone();
        deeper.motions[index].degrees = Degrees::new(further).expect("in bounds");
        let restrictions = assess(&recorded, age);
        prop_assert!(never_looser(&outcome(&restrictions, &deeper), &outcome(&restrictions, &form)));
    }

    #[test]
    fn both_sides_at_once_are_never_looser_than_one(recorded in records(), age in age(), form in form()) {
        let restrictions = assess(&recorded, age);
        let both = outcome_on(&restrictions, &form, &[None]);
        for side in [Side::Left, Side::Right] {
            let one = outcome_on(&restrictions, &Form { other_side: Vec::new(), ..form.clone() }, &[Some(side)]);
            prop_assert!(never_looser(&both, &one), "{side}");
        }
    }

    #[test]
    fn a_clearance_never_tightens(record in record(), age in age(), form in form()) {
        let open = RecordedCondition { cleared_by: None, ..record.clone() };
        let cleared = RecordedCondition { cleared_by: Some("surgeon".to_owned()), ..record };
        let (open, cleared) = (assess(&[open], age), assess(&[cleared], age));
        prop_assert!(never_looser(&outcome(&open, &form), &outcome(&cleared, &form)));
        prop_assert!(open.massage_allowed() <= cleared.massage_allowed());
    }

    #[test]
    fn what_is_not_known_is_taken_as_the_stricter(record in record(), age in age(), form in form()) {
        let unknown = RecordedCondition { side: None, muscle: None, joint: None, since: None, week: None, cleared_by: None, ..record.clone() };
        let (unknown, known) = (assess(&[unknown], age), assess(&[record], age));
        prop_assert!(never_looser(&outcome(&unknown, &form), &outcome(&known, &form)));
    }

    #[test]
    fn what_stops_the_session_cannot_be_outvoted(urgent in record_of(Condition::stops), others in records(), form in form()) {
        let restrictions = assess(&[others, vec![urgent]].concat(), None);
        prop_assert!(restrictions.stop().is_some() && !restrictions.massage_allowed());
        prop_assert!(outcome(&restrictions, &form).iter().all(Option::is_none));
    }
}

#[test]
fn every_condition_limits_something_or_says_what_to_watch() {
    for condition in Conditions::built_in().all() {
        let recorded = RecordedCondition::new(condition.id.clone());
        let restrictions = assess(&[recorded], None);
        if condition.everyone {
            continue;
        }
        let [line] = restrictions.in_force() else { panic!("{} is one line", condition.id) };
        assert_eq!(line.limited.is_empty(), condition.limits.is_empty(), "{}", condition.id);
        assert!(!line.say.is_empty() && line.title.starts_with(&condition.name), "{}", condition.id);
    }
}

#[test]
fn every_condition_that_rules_forms_out_rules_one_of_the_catalogue_out() {
    let free = assess(&[], None);
    let forms: Vec<&Form> =
        Catalogue::built_in().stretches().iter().flat_map(|stretch| &stretch.forms).collect();
    for condition in Conditions::built_in().all().iter().filter(|c| !c.everyone && !c.limits.is_empty()) {
        let restrictions = assess(&[RecordedCondition::new(condition.id.clone())], None);
        let says_only =
            restrictions.hands_off().next().is_some() && condition.id.as_str() == "varicose-veins";
        let changed = forms.iter().any(|form| outcome(&restrictions, form) != outcome(&free, form));
        assert!(changed || says_only, "{} changes nothing", condition.id);
    }
}
