//! Everything that limits the work with one client today, and which forms it rules out.

use chrono::NaiveDate;

use crate::body::{Level, Side};
use crate::catalogue::{Form, Method, Stretch};
use crate::names::UnknownName;

use super::card::Blanks;
use super::condition::{Clearance, Condition, ConditionId, RecordedCondition};
use super::conditions::Conditions;
use super::limit::{Basis, Grounds, Limit, Pattern, Precaution, When};
use super::matching::{FormOnSide, Scope};
use super::pain_step::PainStep;
use super::permitted::{Allowance, Permitted, Refusal, RefusalCause};
use super::words;

/// A condition that is in force today, as the screen shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InForce {
    /// Which condition.
    pub id: ConditionId,
    /// Name, side and place, such as "new hip (posterior), left".
    pub title: String,
    /// What it limits today, in full.
    pub limited: String,
    /// The same in sentences of a card: what to keep and what never, then aim and holds, then what waits for a word.
    pub card: Vec<String>,
    /// How many of them say what to keep and what never.
    pub own: usize,
    /// The same to the client who stretches alone: without what hands and pushes would do.
    pub home: Vec<String>,
    /// What is still fine.
    pub fine: String,
    /// What to say or ask.
    pub say: String,
    /// Whether somebody has to agree first.
    pub clearance: Clearance,
    /// Whether somebody has.
    pub cleared: bool,
    /// Signs that need medical attention before anything else; empty if none.
    pub red_flag: String,
}

/// One limit of one condition, with what the record says about it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct ActiveLimit {
    condition: ConditionId,
    title: String,
    scope: Scope,
    limit: Limit,
}

/// Everything that limits the work with one client on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restrictions {
    active: Vec<ActiveLimit>,
    in_force: Vec<InForce>,
    stop: Option<String>,
    pain: Vec<PainStep>,
}

impl Restrictions {
    /// What holds for everybody, when nothing is known of a client.
    pub fn none() -> Self {
        let mut none = Self { active: Vec::new(), in_force: Vec::new(), stop: None, pain: Vec::new() };
        for condition in Conditions::built_in().all().iter().filter(|condition| condition.everyone) {
            none.add_limits(condition, &RecordedCondition::new(condition.id.clone()), &|_| true);
        }
        none
    }

    /// What limits the work today with a client of this age, from the conditions on record.
    ///
    /// A condition that is not in the list stops everything until the record is mended: what nobody understands must
    /// not be taken for harmless.
    pub fn of(recorded: &[RecordedCondition], age: Option<u32>, today: NaiveDate) -> Self {
        let conditions = Conditions::built_in();
        let in_force = || recorded.iter().filter(|record| record.is_in_force(today));
        let mut all = Self::none();
        let by_age = conditions.all().iter().filter(|condition| {
            let band = condition.ages.zip(age);
            band.is_some_and(|(band, age)| (band.from..=band.to).contains(&age))
                && in_force().all(|record| record.id != condition.id)
        });
        for condition in by_age {
            all.add(condition, &RecordedCondition::new(condition.id.clone()), age, today);
        }
        let (known, unknown): (Vec<_>, Vec<_>) =
            in_force().partition(|record| conditions.get(&record.id).is_some());
        for record in known {
            if let Some(condition) = conditions.get(&record.id).filter(|condition| !condition.everyone) {
                all.add(condition, record, age, today);
            }
        }
        // What needs a doctor is said rather than what needs a pen.
        for record in unknown {
            all.add_unknown(record, conditions);
        }
        all
    }

    /// Stops for a condition that nobody knows.
    fn add_unknown(&mut self, record: &RecordedCondition, conditions: &Conditions) {
        let known = conditions.all().iter().map(|condition| condition.id.as_str());
        let unknown = UnknownName::new("condition", record.id.as_str(), known);
        let title = format!("unknown condition `{}`", record.id);
        let say = format!("{unknown}: mend the card first");
        let limit = Limit {
            on: Pattern::default(),
            precaution: Precaution::Stop,
            when: When::default(),
            grounds: Grounds { basis: Basis::Judgement, sources: Vec::new(), is_disputed: false },
        };
        let limited = limit.text();
        let scope = Scope { side: None, muscle: None, joint: None };
        self.active.push(ActiveLimit { condition: record.id.clone(), title: title.clone(), scope, limit });
        self.stop.get_or_insert_with(|| say.clone());
        self.in_force.push(InForce {
            id: record.id.clone(),
            card: vec![format!("No session: {say}.")],
            own: 1,
            home: vec![format!("No session: {say}.")],
            title,
            limited,
            fine: String::new(),
            say,
            clearance: Clearance::Yes,
            // A word of whoever cleared it does not tell what was cleared.
            cleared: false,
            red_flag: String::new(),
        });
    }

    fn add(&mut self, condition: &Condition, record: &RecordedCondition, age: Option<u32>, today: NaiveDate) {
        let scope = scope_of(condition, record);
        let title = words::title(&condition.name, condition.side_bound, scope.side, scope);
        let before = self.active.len();
        self.add_limits(condition, record, &|when| is_in_force(when, record, age, today));
        let limited: Vec<String> =
            self.active[before..].iter().map(|active| active.limit.text_in(scope)).collect();
        if condition.stops() && self.stop.is_none() {
            self.stop = Some(condition.say.clone());
        }
        let (card, own, home) = self.card(condition, record, before, age, today);
        self.in_force.push(InForce {
            id: condition.id.clone(),
            title,
            limited: limited.join("; "),
            card,
            own,
            home,
            fine: condition.fine.clone(),
            say: condition.say.clone(),
            clearance: condition.clearance,
            cleared: record.cleared_by.is_some(),
            red_flag: condition.red_flag.clone(),
        });
    }

    /// The sentences of a card, of the limits from `first` on; how many are the card's own; those to the client at home.
    fn card(
        &self,
        condition: &Condition,
        record: &RecordedCondition,
        first: usize,
        age: Option<u32>,
        today: NaiveDate,
    ) -> (Vec<String>, usize, Vec<String>) {
        let scope = scope_of(condition, record);
        let blanks = Blanks {
            side: scope.side,
            muscle: scope.muscle,
            joint: scope.joint,
            week: record.gestational_week(today).filter(|week| *week >= 0),
        };
        let said = condition.card.iter().filter(|sentence| is_in_force(sentence.when, record, age, today));
        let mut card: Vec<String> = said.map(|sentence| sentence.filled(blanks)).collect();
        let limits: Vec<&Limit> = self.active[first..].iter().map(|active| &active.limit).collect();
        let (own, mut home) = (card.len(), card.clone());
        home.extend(words::home_doses_sentence(&limits, scope));
        let is_waiting = limits.iter().any(|limit| limit.when.until_cleared);
        home.extend(is_waiting.then(|| "More only once a doctor or physiotherapist says so.".to_owned()));
        card.extend(words::doses_sentence(&limits, scope));
        card.extend(words::waiting_sentence(&limits, scope));
        (card, own, home)
    }

    fn add_limits(
        &mut self,
        condition: &Condition,
        record: &RecordedCondition,
        holds: &dyn Fn(When) -> bool,
    ) {
        let scope = scope_of(condition, record);
        let title = words::title(&condition.name, condition.side_bound, scope.side, scope);
        self.active.extend(condition.limits.iter().filter(|limit| holds(limit.when)).map(|limit| {
            ActiveLimit { condition: condition.id.clone(), title: title.clone(), scope, limit: limit.clone() }
        }));
    }

    /// Why there is no session today: what to say and whom to turn to.
    pub fn stop(&self) -> Option<&str> {
        self.stop.as_deref()
    }

    /// These restrictions, and what pains leave of the stretches that were stopped for them.
    #[must_use]
    pub fn with_pain(self, pain: Vec<PainStep>) -> Self {
        Self { pain, ..self }
    }

    /// What may be done of a form on a side (`None` for both at once) by a method.
    ///
    /// # Errors
    /// Gives the first condition, or else the pain, that rules it out.
    pub fn permit<'f>(
        &self,
        stretch: &'f Stretch,
        form: &'f Form,
        side: Option<Side>,
        method: Method,
    ) -> Result<Permitted<'f>, Refusal> {
        let work = FormOnSide::new(stretch, form, side, method);
        let mut allowance = Allowance::FREE;
        for active in self.active.iter().filter(|active| work.fits(&active.limit.on, active.scope)) {
            match active.limit.precaution {
                Precaution::Contraindicated | Precaution::Stop => {
                    return Err(active.refusal(form));
                }
                Precaution::Level(level) => allowance.aim = allowance.aim.min(level),
                Precaution::Hold(longest) => allowance.cap_hold(longest),
                Precaution::Push { longest, cycles } => allowance.cap_push(longest, cycles),
                Precaution::Massage
                | Precaution::Barrier
                | Precaution::Hands(_)
                | Precaution::Stretches(_) => {}
            }
        }
        for step in &self.pain {
            step.hold(stretch, form, side, method, &mut allowance)?;
        }
        Ok(Permitted::new(form, method, allowance))
    }

    /// Whether a form may be done on a side by any method, in any of its doses.
    pub fn allows(&self, stretch: &Stretch, form: &Form, side: Option<Side>) -> bool {
        let ways = Method::ALL.iter().filter_map(|&method| self.permit(stretch, form, side, method).ok());
        ways.into_iter().any(|way| way.doses().next().is_some())
    }

    /// The level to aim at where no limit on a single form lowers it further.
    pub fn level_aim(&self) -> Level {
        let levels = self.active.iter().filter(|active| active.limit.on.is_everything());
        levels
            .filter_map(|active| {
                if let Precaution::Level(level) = active.limit.precaution { Some(level) } else { None }
            })
            .fold(Level::AIM, Level::min)
    }

    /// The most stretches in one session, where a caution says so.
    pub fn most_stretches(&self) -> Option<u8> {
        let most = self.active.iter().filter_map(|active| match active.limit.precaution {
            Precaution::Stretches(most) => Some(most),
            _ => None,
        });
        most.min()
    }

    /// Whether no caution speaks against the massage finish; the trainer's right to give one is asked elsewhere.
    pub fn massage_allowed(&self) -> bool {
        self.active
            .iter()
            .all(|active| !matches!(active.limit.precaution, Precaution::Massage | Precaution::Stop))
    }

    /// Whether a towel or mat stays between hand and client.
    pub fn barrier(&self) -> bool {
        self.active.iter().any(|active| active.limit.precaution == Precaution::Barrier)
    }

    /// Where no hand presses or grips.
    pub fn hands_off(&self) -> impl Iterator<Item = &str> {
        self.active.iter().filter_map(|active| match &active.limit.precaution {
            Precaution::Hands(place) => Some(place.as_str()),
            _ => None,
        })
    }

    /// The conditions in force, one line each for the screen; what holds for everybody is not among them.
    pub fn in_force(&self) -> &[InForce] {
        &self.in_force
    }
}

impl ActiveLimit {
    fn refusal(&self, form: &Form) -> Refusal {
        let untold = !form.loads.told && !self.limit.on.loads.is_empty();
        let hint = if untold { "; the stretch does not tell what it loads" } else { "" };
        Refusal {
            cause: RefusalCause::Condition(self.condition.clone()),
            text: format!("{}: {}{hint}", self.title, self.limit.text_in(self.scope)),
        }
    }
}

fn scope_of(condition: &Condition, record: &RecordedCondition) -> Scope {
    Scope { side: record.side.filter(|_| condition.side_bound), muscle: record.muscle, joint: record.joint }
}

/// Whether a limit holds today. What the record does not tell counts against the work.
fn is_in_force(when: When, record: &RecordedCondition, age: Option<u32>, today: NaiveDate) -> bool {
    let week = record.gestational_week(today).filter(|week| *week >= 0);
    let days = record.since.map(|since| (today - since).num_days());
    !(when.until_cleared && record.cleared_by.is_some())
        && when.from_week.is_none_or(|from| week.is_none_or(|week| week >= i64::from(from)))
        && when.first_days.is_none_or(|first| days.is_none_or(|days| days < i64::from(first)))
        && when.from_age.is_none_or(|from| age.is_none_or(|age| age >= from))
        // What begins or ends the other way round is said of cards only, and waits until the record tells.
        && (!when.once_cleared || record.cleared_by.is_some())
        && when.before_week.is_none_or(|end| week.is_some_and(|week| week < i64::from(end)))
        && when.after_days.is_none_or(|first| days.is_some_and(|days| days >= i64::from(first)))
        && when.before_age.is_none_or(|end| age.is_some_and(|age| age < end))
}

#[cfg(test)]
mod tests {
    use super::super::recorded::parse_recorded;
    use super::super::sample::{alone, form, moving, only};
    use super::*;
    use crate::body::{Motion, Muscle, Seconds};
    use crate::catalogue::{Position, Sides};

    const LEFT: Option<Side> = Some(Side::Left);
    const RIGHT: Option<Side> = Some(Side::Right);

    fn today() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 20).unwrap()
    }

    fn with(words: &[&str]) -> Restrictions {
        let recorded: Vec<RecordedCondition> =
            words.iter().map(|word| parse_recorded(word).unwrap()).collect();
        Restrictions::of(&recorded, Some(40), today())
    }

    fn said(restrictions: &Restrictions, form: &Form, side: Option<Side>) -> String {
        restrictions
            .permit(&only(form), form, side, Method::Static)
            .map_or_else(|refusal| refusal.text, |_| "allowed".to_owned())
    }

    #[test]
    fn a_side_bound_condition_touches_its_own_side_alone() {
        let hip = with(&["hip-replacement-posterior:left:cleared=surgeon"]);
        let knee_to_chest = moving(Position::Supine, &[(Motion::HipFlexion, 110)], &[Muscle::GluteusMaximus]);
        assert_eq!(
            said(&hip, &knee_to_chest, LEFT),
            "new hip (posterior), left: no hip flexion past 90 degrees"
        );
        assert_eq!(said(&hip, &knee_to_chest, RIGHT), "allowed");
        let other = Form {
            other_side: knee_to_chest.motions.clone(),
            motions: Vec::new(),
            targets: Vec::new(),
            ..knee_to_chest.clone()
        };
        assert_eq!(said(&hip, &other, LEFT), "allowed", "the right hip bends");
        assert_ne!(said(&hip, &other, RIGHT), "allowed", "the left hip bends while the right is worked on");
        let both = Form { sides: Sides::Both, ..knee_to_chest };
        assert_ne!(said(&hip, &both, None), "allowed", "any side counts");
    }

    #[test]
    fn a_combination_forbids_its_motions_at_the_same_time_only() {
        use Motion::{HipAdduction as Add, HipFlexion as Flex, HipInternalRotation as Turn};
        let hip = with(&["hip-replacement-pose-only:left"]);
        let pose = |angles: &[(Motion, i64)]| moving(Position::Supine, angles, &[Muscle::GluteusMaximus]);
        assert_eq!(said(&hip, &pose(&[(Flex, 100), (Add, 10)]), LEFT), "allowed");
        assert_eq!(said(&hip, &pose(&[(Flex, 80), (Add, 10), (Turn, 10)]), LEFT), "allowed");
        assert_eq!(
            said(&hip, &pose(&[(Flex, 100), (Add, 10), (Turn, 10)]), LEFT),
            "new hip (surgeon has lifted the single rules), left: \
             no hip flexion past 90 degrees with adduction with internal rotation"
        );
    }

    #[test]
    fn bends_of_the_midline_count_by_where_they_go() {
        let neck = with(&["neck-arm-pain:left:cleared=doctor"]);
        let bend = |motion| alone(moving(Position::Seated, &[(motion, 20)], &[Muscle::UpperTrapezius]));
        let away = bend(Motion::NeckLateralFlexionOpposite);
        assert_ne!(said(&neck, &away, LEFT), "allowed", "bends to the right, away from the sore left");
        assert_eq!(said(&neck, &away, RIGHT), "allowed", "bends to the left");
        let towards = bend(Motion::NeckLateralFlexionSame);
        assert_eq!(said(&neck, &towards, LEFT), "allowed");
        assert_ne!(said(&neck, &towards, RIGHT), "allowed");
    }

    #[test]
    fn a_clearance_lifts_what_waited_for_it_and_no_more() {
        let sitting = moving(Position::Supine, &[(Motion::HipFlexion, 70)], &[Muscle::Hamstrings]);
        let deep = moving(Position::Supine, &[(Motion::HipFlexion, 120)], &[Muscle::GluteusMaximus]);
        let waiting = with(&["hip-replacement-posterior:left"]);
        let cleared = with(&["hip-replacement-posterior:left:cleared=surgeon"]);
        assert!(said(&waiting, &sitting, LEFT).ends_with("no hands-on work of the hip until cleared"));
        assert_eq!(said(&waiting, &alone(sitting.clone()), LEFT), "allowed");
        assert_eq!(said(&cleared, &sitting, LEFT), "allowed");
        assert_ne!(said(&cleared, &deep, LEFT), "allowed");
        assert!(!waiting.in_force()[0].cleared && cleared.in_force()[0].cleared);
    }

    #[test]
    fn lying_flat_ends_with_week_sixteen_and_an_unknown_week_counts_as_late() {
        let flat = form(Position::Supine);
        assert_eq!(said(&with(&["pregnancy:week=15"]), &flat, LEFT), "allowed");
        assert_eq!(
            said(&with(&["pregnancy:week=16"]), &flat, LEFT),
            "pregnant: no work on the back from week 16"
        );
        assert_ne!(said(&with(&["pregnancy"]), &flat, LEFT), "allowed");
        // 280 days from the first day of the last period to the due day (ACOG Committee Opinion 700; from memory).
        assert_eq!(said(&with(&["pregnancy:due=2027-05-08"]), &flat, LEFT), "allowed", "16 weeks less a day");
        assert_ne!(said(&with(&["pregnancy:due=2027-05-07"]), &flat, LEFT), "allowed", "168 days to go");
    }

    #[test]
    fn a_strain_spares_the_muscle_on_its_side_at_first_and_is_gentle_later() {
        let hamstrings = moving(Position::Supine, &[(Motion::HipFlexion, 80)], &[Muscle::Hamstrings]);
        let fresh = with(&["muscle-strain:left:hamstrings:since=2026-11-15"]);
        assert_eq!(
            said(&fresh, &hamstrings, LEFT),
            "muscle strain, left hamstrings: no stretch of the hamstrings in the first 7 days"
        );
        assert_eq!(said(&fresh, &hamstrings, RIGHT), "allowed");
        assert_ne!(
            said(&with(&["muscle-strain:left:hamstrings"]), &hamstrings, LEFT),
            "allowed",
            "unknown day"
        );
        let old = with(&["muscle-strain:left:hamstrings:since=2026-10-01"]);
        let allowance =
            old.permit(&only(&hamstrings), &hamstrings, LEFT, Method::Static).unwrap().allowance();
        assert_eq!((allowance.aim.get(), allowance.longest_hold), (2, Some(Seconds::new(20))));
        assert!(!allowance.admits_hold(Seconds::new(30)));
        assert!(old.permit(&only(&hamstrings), &hamstrings, LEFT, Method::ContractRelax).is_err());
    }

    #[test]
    fn a_strained_muscle_is_spared_where_it_is_lengthened_by_the_way() {
        use Motion::{
            AnkleDorsiflexion as Toes, HipFlexion as Hip, KneeExtension as Straight, KneeFlexion as Bent,
        };
        let strain = with(&["muscle-strain:left:hamstrings:since=2026-11-19"]);
        // The long hamstrings want a bent hip and a straight knee (Reese and Bandy, straight-leg raise).
        let calf =
            moving(Position::Seated, &[(Toes, 15), (Straight, 0), (Hip, 85)], &[Muscle::Gastrocnemius]);
        assert_eq!(
            said(&strain, &calf, LEFT),
            "muscle strain, left hamstrings: no stretch of the hamstrings in the first 7 days"
        );
        assert_eq!(said(&strain, &calf, RIGHT), "allowed", "the left leg does nothing");
        let lying = moving(Position::Supine, &[(Toes, 15), (Straight, 0)], &[Muscle::Gastrocnemius]);
        assert_eq!(said(&strain, &lying, LEFT), "allowed", "the hip is straight");
        let seated = moving(Position::Seated, &[(Toes, 20), (Bent, 90), (Hip, 90)], &[Muscle::Soleus]);
        assert_eq!(said(&strain, &seated, LEFT), "allowed", "the knee is bent");
        // The other leg counts as well, and so does the flank that a side bend opens.
        let other =
            Form { motions: seated.motions.clone(), other_side: calf.motions.clone(), ..seated.clone() };
        assert_ne!(
            said(&strain, &other, RIGHT),
            "allowed",
            "the left leg is long while the right is worked on"
        );
        let flank = with(&["muscle-strain:left:quadratus-lumborum:since=2026-11-19"]);
        let bend =
            |motion| moving(Position::Seated, &[(motion, 20), (Bent, 90), (Hip, 90)], &[Muscle::Obliques]);
        assert_ne!(said(&flank, &bend(Motion::TrunkLateralFlexionOpposite), LEFT), "allowed");
        assert_eq!(said(&flank, &bend(Motion::TrunkLateralFlexionOpposite), RIGHT), "allowed");
        assert_ne!(said(&flank, &bend(Motion::TrunkLateralFlexionSame), RIGHT), "allowed");
        // Sitting is no stretch of the buttock.
        let buttock = with(&["muscle-strain:left:gluteus-maximus:since=2026-11-19"]);
        assert_eq!(said(&buttock, &seated, LEFT), "allowed");
    }

    #[test]
    fn who_cannot_get_up_from_the_floor_stays_on_a_chair() {
        use crate::catalogue::Equipment;
        let floorless = with(&["cannot-use-floor"]);
        let seated = form(Position::Seated);
        assert_eq!(
            said(&floorless, &seated, LEFT),
            "cannot easily get up from the floor: no work on the floor"
        );
        let on = |piece, position| Form { equipment: vec![piece], ..form(position) };
        assert_eq!(said(&floorless, &on(Equipment::Chair, Position::Seated), LEFT), "allowed");
        assert_eq!(said(&floorless, &on(Equipment::Table, Position::Supine), LEFT), "allowed");
        assert_ne!(
            said(&floorless, &on(Equipment::Chair, Position::Supine), LEFT),
            "allowed",
            "under the calves"
        );
        assert_eq!(said(&floorless, &form(Position::Standing), LEFT), "allowed");
    }

    #[test]
    fn an_urgent_condition_stops_everything_and_says_whom_to_turn_to() {
        let stopped = with(&["clot-signs:cleared=nobody", "soreness:left:soleus"]);
        assert!(stopped.stop().is_some_and(|say| say.contains("a doctor today")));
        assert!(
            stopped
                .permit(&only(&form(Position::Seated)), &form(Position::Seated), LEFT, Method::Static)
                .is_err()
        );
        assert!(!stopped.massage_allowed());
        assert_eq!(Restrictions::none().stop(), None);
    }

    #[test]
    fn age_alone_brings_its_rules() {
        let assess = |age| Restrictions::of(&[], age, today());
        let seated = form(Position::Seated);
        assert!(assess(Some(15)).permit(&only(&seated), &seated, LEFT, Method::ContractRelax).is_err());
        assert_eq!(assess(Some(15)).level_aim().get(), 3);
        assert_eq!(assess(Some(74)).in_force()[0].title, "65 or older");
        assert_eq!(assess(Some(30)), assess(None));
        assert_eq!(assess(None).level_aim(), Level::AIM);
    }

    #[test]
    fn the_neck_is_gentle_for_everybody() {
        use Motion::{NeckExtension as Back, NeckRotationSame as Turn};
        let both = alone(moving(Position::Seated, &[(Back, 15), (Turn, 15)], &[Muscle::Scalenes]));
        assert!(Restrictions::none().permit(&only(&both), &both, LEFT, Method::Static).is_err());
        let turn = alone(moving(Position::Seated, &[(Turn, 45)], &[Muscle::Scalenes]));
        let allowance =
            Restrictions::none().permit(&only(&turn), &turn, LEFT, Method::Static).unwrap().allowance();
        assert_eq!((allowance.aim.get(), allowance.longest_hold), (3, Some(Seconds::new(30))));
    }

    #[test]
    fn a_condition_that_is_not_in_the_list_stops_everything_and_is_named() {
        let odd = RecordedCondition {
            cleared_by: Some("surgeon".to_owned()),
            ..RecordedCondition::new(ConditionId::new("hip-replacment-posterior").unwrap())
        };
        let stopped = Restrictions::of(std::slice::from_ref(&odd), None, today());
        let say = "unknown condition `hip-replacment-posterior`; did you mean `hip-replacement-posterior`?: mend \
                   the card first";
        assert_eq!(stopped.stop(), Some(say));
        assert_eq!(stopped.in_force()[0].title, "unknown condition `hip-replacment-posterior`");
        assert_eq!(stopped.in_force()[0].limited, "no session today");
        assert!(!stopped.massage_allowed());
        for method in Method::ALL {
            for form in [form(Position::Seated), alone(form(Position::Seated))] {
                assert!(stopped.permit(&only(&form), &form, LEFT, *method).is_err());
            }
        }
        let clot = RecordedCondition::new(ConditionId::new("clot-signs").unwrap());
        let said = Restrictions::of(&[odd, clot], None, today());
        assert!(said.stop().is_some_and(|say| say.contains("a doctor today")), "{said:?}");
    }
}
