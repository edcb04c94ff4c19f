//! What plans make of what the sessions tell, by the real planner.

use std::collections::BTreeSet;
use std::sync::{Arc, LazyLock};

use matside::catalogue::{Form, Sides};
use matside::client::{Trained, Trainer};
use matside::insight::AngleAsked;
use matside::insight::pain::{PainStage, WayBack};
use matside::planner::{
    Budget, Menu, Plan, PlanError, PlanRequest, Planner, Progress, Step, Today, WhyLeftOut, Wishes, words,
};

use super::*;

static BUILT_IN: LazyLock<Arc<Catalogue>> = LazyLock::new(|| Arc::new(Catalogue::built_in().clone()));

const GENTLEST: (&str, &str) = ("straight-leg-raise", "strap-round-foot");
/// The most passes of the search: far more than these small days take.
const PASSES: u32 = 20;

/// A day of legs.
pub(super) fn legs() -> Trained {
    [HAMSTRINGS, Muscle::GluteusMaximus, Muscle::Gastrocnemius]
        .map(|muscle| (muscle, Effort::new(2).expect("an effort")))
        .into()
}

pub(super) fn request(client: &Client, on: NaiveDate, minutes: i64) -> PlanRequest {
    PlanRequest {
        today: Arc::new(Today::of(Arc::new(client.clone()), Arc::clone(&BUILT_IN), on)),
        trainer: Arc::new(Trainer::default()),
        trained: legs(),
        minutes: Minutes::new(minutes).expect("minutes"),
        consent: Consent::HandsOn,
        wishes: Wishes::default(),
        progress: None,
    }
}

pub(super) fn plan(request: &PlanRequest) -> Plan {
    Planner::new(Budget::passes(PASSES)).plan(request).expect("a plan")
}

/// The session that a plan becomes, with what each step is answered.
pub(super) fn done(plan: &Plan, on: NaiveDate, report: impl FnMut(&Step) -> Report) -> Session {
    let reports = plan.steps.iter().map(report);
    Session { trained: legs(), reports: (1..).zip(reports).collect(), ..session_on(on, []) }
}

pub(super) fn reported(step: &Step) -> Report {
    let mut report = Report::new(step.stretch.clone(), step.form.clone(), step.side, step.dose.held());
    report.method = step.dose.method();
    report
}

fn raise() -> StretchId {
    StretchId::new(RAISE.0).expect("an id")
}

fn form_of(step: &Step) -> &'static Form {
    Catalogue::built_in().form(&step.stretch, &step.form).expect("in the catalogue").1
}

fn raised(plan: &Plan, side: Side) -> Option<&Step> {
    plan.steps.iter().find(|step| step.stretch == raise() && step.side.is_none_or(|worked| worked == side))
}

/// Seconds under stretch on a side, of the forms that are meant for the hamstrings.
fn held(plan: &Plan, side: Side) -> u32 {
    let theirs = |step: &&Step| step.side == Some(side) && form_of(step).targets[0].muscle == HAMSTRINGS;
    plan.steps.iter().filter(theirs).map(|step| step.dose.held().get()).sum()
}

/// A client whose raise hurt on the right, at a stage of the way back, and the day of the plan.
fn on_the_way(stage: PainStage) -> Client {
    let hurt = |ago| session(ago, [said(Side::Right).held(12).ended(Ended::Pain), said(Side::Left).level(4)]);
    let tried = |ago, form| session(ago, [said(Side::Right).with(form).level(3)]);
    let mut sessions = match stage {
        PainStage::Rest => vec![hurt(1)],
        PainStage::Closed => [30, 20, 4]
            .map(|ago| session(ago, [said(Side::Right).with(GENTLEST).held(9).ended(Ended::Pain)]))
            .into(),
        _ => vec![hurt(30)],
    };
    if matches!(stage, PainStage::Gentle | PainStage::Form) {
        sessions.extend([tried(25, GENTLEST), tried(22, GENTLEST)]);
    }
    if stage == PainStage::Form {
        sessions.extend([tried(18, GENTLEST), tried(15, GENTLEST)]);
    }
    let client = client(sessions);
    let way = learned(&client).way_back(&raise(), Side::Right).cloned();
    assert_eq!(way.map(|way| way.stage), Some(stage));
    client
}

const STAGES: [PainStage; 5] =
    [PainStage::Rest, PainStage::Try, PainStage::Gentle, PainStage::Form, PainStage::Closed];

/// Whether the table of the way back allows a step, of a stretch with several forms.
fn is_allowed(step: &Step, way: &WayBack) -> bool {
    let stretch = Catalogue::built_in().stretch(&step.stretch).expect("in the catalogue");
    let is_gentlest = stretch.forms[0].id == step.form;
    let is_here = step.side.is_none_or(|side| side == way.side);
    let careful = |longest: u32| {
        step.dose.method() == Method::Static && step.dose.held().get() <= longest && step.aim.get() <= 3
    };
    if !is_here {
        return true;
    }
    if step.stretch == way.stretch {
        return match way.stage {
            PainStage::Rest | PainStage::Closed => false,
            PainStage::Try => is_gentlest && careful(15),
            PainStage::Gentle => is_gentlest && careful(30),
            PainStage::Form => step.form == way.form && careful(15),
        };
    }
    let mut targets = form_of(step).targets.iter();
    way.stage != PainStage::Rest
        || !targets.any(|target| target.share >= 50 && way.muscles.contains(&target.muscle))
        || (is_gentlest && careful(20))
}

#[test]
fn no_plan_has_what_a_pain_forbids_under_any_minutes() {
    for stage in STAGES {
        let client = on_the_way(stage);
        let way = learned(&client).way_back(&raise(), Side::Right).expect("a way back").clone();
        for minutes in [2, 4, 6, 8, 10, 15, 20] {
            let plan = plan(&request(&client, today(), minutes));
            for step in &plan.steps {
                assert!(is_allowed(step, &way), "{stage:?}, {minutes} minutes: {step:?}");
            }
        }
    }
}

/// The ways of the left side alone that a menu offers, in words.
fn left_alone(menu: &Menu<'_>) -> BTreeSet<String> {
    let all = menu.stretches.iter().zip(&menu.ways).flat_map(|(stretch, ways)| {
        let alone =
            |way: &&matside::planner::ways::Way| way.sides.iter().all(|done| done.side == Some(Side::Left));
        ways.iter().filter(alone).map(|way| format!("{} {} {:?}", stretch.id, way.form, way.sides))
    });
    all.collect()
}

#[test]
fn the_side_that_did_not_hurt_keeps_every_choice() {
    // A note on either side tells the sides apart without asking for more on one of them than on the other.
    let apart = |mut client: Client| {
        client.profile.note_tight(unit(HAMSTRINGS, Side::Left), today(), "");
        client
    };
    let without = apart(client([]));
    let ask = |client: &Client| {
        let request = request(client, today(), 10);
        left_alone(&matside::planner::menu(&request).expect("a menu"))
    };
    let before: BTreeSet<String> = ask(&without).into_iter().filter(|way| way.starts_with(RAISE.0)).collect();
    assert!(!before.is_empty());
    for stage in STAGES {
        let after = ask(&apart(on_the_way(stage)));
        assert!(before.is_subset(&after), "{stage:?}: {:?}", before.difference(&after));
    }
}

#[test]
fn a_stretch_that_hurt_comes_back_by_the_steps_and_the_other_side_keeps_it() {
    let usual = plan(&request(&client([]), today(), 8));
    assert!(raised(&usual, Side::Left).is_some() && raised(&usual, Side::Right).is_some());
    let mut client =
        client([session(60, [said(Side::Right).held(12).ended(Ended::Pain), said(Side::Left).level(4)])]);
    let mut stages = Vec::new();
    let mut on = days_ago(58);
    for number in 0..12 {
        let known = learned_on(&client, on);
        let way = known.way_back(&raise(), Side::Right);
        stages.push(way.map(|way| (way.stage, way.painless)));
        let plan = plan(&request(&client, on, 8));
        assert!(raised(&plan, Side::Left).is_some(), "session {number}: the left side keeps its stretch");
        let right = raised(&plan, Side::Right);
        match way {
            None => {
                let step = right.expect("as before");
                assert_eq!((step.form.as_str(), step.aim), (RAISE.1, Level::AIM), "session {number}");
                break;
            }
            Some(way) if way.stage == PainStage::Rest => assert_eq!(right, None, "it rests"),
            Some(way) => {
                let step = right.unwrap_or_else(|| panic!("session {number}, {:?}: it is tried", way.stage));
                assert!(is_allowed(step, way), "session {number}: {step:?}");
                let told = words::why(&step.why);
                let says =
                    format!("stopped for pain on 2026-09-21: ask first, try {} of 2", way.painless + 1);
                assert!(told.starts_with(&says), "{told}");
            }
        }
        client.sessions.push(done(&plan, on, |step| Report {
            level: Some(Level::new(3).expect("a level")),
            ..reported(step)
        }));
        on = on + Days::new(3);
    }
    let some = |stage| move |painless| Some((stage, painless));
    let two = |stage| [0, 1].map(some(stage));
    let expected: Vec<_> = [Some((PainStage::Rest, 0))]
        .into_iter()
        .chain([PainStage::Try, PainStage::Gentle, PainStage::Form].into_iter().flat_map(two))
        .chain([None])
        .collect();
    assert_eq!(stages, expected);
}

#[test]
fn one_try_a_session_and_the_longest_waiting_first() {
    let other = ("knee-to-chest", "one-knee");
    let other = Catalogue::built_in()
        .stretch(&StretchId::new(other.0).expect("an id"))
        .map_or_else(|| world::one_muscle_forms(2)[1], |stretch| (other.0, stretch.forms[0].id.as_str()));
    let client = client([
        session(9, [said(Side::Left).with(other).ended(Ended::Pain)]),
        session(6, [said(Side::Right).ended(Ended::Pain)]),
    ]);
    let waiting = learned(&client);
    assert_eq!(waiting.tries().len(), 2);
    for minutes in [5, 10, 20] {
        let mut request = request(&client, today(), minutes);
        let plan_now = plan(&request);
        let tried = |plan: &Plan, way: &WayBack| {
            plan.steps
                .iter()
                .any(|step| step.stretch == way.stretch && step.side.is_none_or(|side| side == way.side))
        };
        let count = waiting.tries().iter().filter(|way| tried(&plan_now, way)).count();
        assert!(count <= 1, "{minutes} minutes: {count}");
        // Neither does the rest of a block in which one was tried take another.
        let finished = vec![waiting.tries()[0].stretch.clone()];
        request.progress = Some(Progress { left: Seconds::new(300), finished, ..Progress::default() });
        let rest = plan(&request);
        assert!(!tried(&rest, waiting.tries()[1]), "{minutes} minutes");
    }
}

#[test]
fn what_is_insisted_on_is_a_careful_try_and_what_is_closed_stays_closed() {
    let mut resting = request(&on_the_way(PainStage::Rest), today(), 8);
    let left_out = plan(&resting).left_out.into_iter().find(|left| left.stretch == raise());
    let is_told = |left: matside::planner::Omission| {
        left.reason == WhyLeftOut::Pain && left.detail.starts_with("stopped for pain on 2026-11-19")
    };
    assert!(left_out.is_none_or(is_told));
    resting.wishes.pinned = vec![raise()];
    let plan_now = plan(&resting);
    if let Some(step) = raised(&plan_now, Side::Right) {
        assert!(step.form.as_str() == GENTLEST.1 && step.aim.get() <= 3 && step.dose.held().get() <= 15);
    }
    let mut closed = request(
        &client([30, 20, 4].map(|ago| session(ago, [said(None).with(GENTLEST).held(9).ended(Ended::Pain)]))),
        today(),
        8,
    );
    closed.wishes.pinned = vec![raise()];
    match Planner::new(Budget::passes(PASSES)).plan(&closed) {
        Err(PlanError::PinnedRuledOut { stretch, detail }) => {
            assert_eq!(stretch, raise());
            assert_eq!(detail, "stopped for pain on 2026-11-16: closed until somebody named has cleared it");
        }
        other => panic!("{other:?}"),
    }
}

/// A client of whom the left hamstrings were measured tighter, by so many degrees.
fn differing(by: i64) -> Client {
    client((0..4).map(|index| session(20 - index * 4, measured(74 - by, 74))))
}

#[test]
fn a_side_that_differs_gets_the_longer_dose_and_equal_ones_are_not_offered() {
    let client = differing(20);
    assert_eq!(learned(&client).side(HAMSTRINGS).and_then(SideVerdict::tighter), Some(Side::Left));
    let mut value = i64::MIN;
    for minutes in 2..=15 {
        let request = request(&client, today(), minutes);
        let menu = matside::planner::menu(&request).expect("a menu");
        for (stretch, ways) in menu.stretches.iter().zip(&menu.ways) {
            for way in ways {
                let form = &stretch.forms[way.form];
                if form.targets[0].muscle != HAMSTRINGS || way.sides.len() != 2 {
                    continue;
                }
                let dose = |side| {
                    let done = way.sides.iter().find(|done| done.side == Some(side)).expect("both sides");
                    done.dose.held()
                };
                assert!(dose(Side::Left) > dose(Side::Right), "{}: {:?}", stretch.id, way.sides);
                assert!(dose(Side::Right) >= Seconds::new(15) && dose(Side::Left) <= Seconds::new(120));
            }
        }
        let plan = plan(&request);
        let (left, right) = (held(&plan, Side::Left), held(&plan, Side::Right));
        assert!(left > right || left == 0, "{minutes} minutes: {left} and {right}: {plan:?}");
        assert!(left > 0 || minutes < 4, "{minutes} minutes");
        assert!(plan.value >= value, "{minutes} minutes: more time is never worth less");
        value = plan.value;
    }
    // Gone, or too little to tell: alike again.
    for by in [0, 3] {
        let plan = plan(&request(&differing(by), today(), 8));
        assert_eq!(held(&plan, Side::Left), held(&plan, Side::Right), "{by} degrees");
    }
}

#[test]
fn what_was_not_compared_for_a_while_is_worked_one_side_after_the_other() {
    // Both sides at once, again and again: nothing is compared.
    let form = |muscle: Muscle, sides: Sides| {
        Catalogue::built_in().stretches().iter().find_map(|stretch| {
            let form = stretch.forms.iter().find(|form| {
                form.sides == sides && form.targets[0].muscle == muscle && form.equipment.is_empty()
            })?;
            Some((stretch.id.as_str(), form.id.as_str()))
        })
    };
    let (muscle, both) = Muscle::ALL
        .iter()
        .find_map(|&muscle| {
            Some((muscle, form(muscle, Sides::Both).filter(|_| form(muscle, Sides::Each).is_some())?))
        })
        .expect("a muscle with forms of both kinds");
    let client = client((0..5).map(|index| session(20 - index * 4, [said(None).with(both).level(4)])));
    assert!(learned(&client).wants_one_sided(muscle));
    let mut request = request(&client, today(), 10);
    request.trained = [(muscle, Effort::new(3).expect("an effort"))].into();
    let is_meant = |form: &Form| {
        let most = form.targets.iter().map(|target| target.share).max();
        form.targets.iter().any(|target| target.muscle == muscle && Some(target.share) == most)
    };
    let menu = matside::planner::menu(&request).expect("a menu");
    for (stretch, ways) in menu.stretches.iter().zip(&menu.ways) {
        let mut forms = ways.iter().map(|way| &stretch.forms[way.form]);
        assert!(forms.all(|form| form.sides == Sides::Each || !is_meant(form)), "{}", stretch.id);
    }
    let plan = plan(&request);
    let held = |side| -> u32 {
        let theirs = plan.steps.iter().filter(|step| step.side == Some(side) && is_meant(form_of(step)));
        theirs.map(|step| step.dose.held().get()).sum()
    };
    assert!(held(Side::Left) > 0 && held(Side::Left) == held(Side::Right), "{muscle:?}");
}

/// A client whose left hamstrings lean: so many sessions in which left was answered higher.
fn leaning(sessions: u64) -> Client {
    client((0..sessions).map(|index| {
        let ago = 4 * (sessions - index);
        session(ago, if index % 2 == 0 { both(4, 3) } else { turned(4, 3) })
    }))
}

#[test]
fn what_leans_is_wished_to_be_measured_on_both_sides_in_the_words_of_the_test() {
    let wishes = |client: &Client| {
        let plan = plan(&request(client, today(), 10));
        let wished = |step: &&Step| words::why(&step.why).contains("measure both sides first");
        plan.steps.iter().filter(wished).map(|step| (step.side, words::why(&step.why))).collect::<Vec<_>>()
    };
    let asked = wishes(&leaning(7));
    let sides: BTreeSet<_> = asked.iter().map(|(side, _)| *side).collect();
    assert_eq!(sides, BTreeSet::from([Some(Side::Left), Some(Side::Right)]), "{asked:?}");
    assert!(asked.iter().all(|(_, words)| words.contains("at the same answer (")), "{asked:?}");
    assert!(wishes(&client([])).is_empty(), "nothing known, nothing wished");
    // Once three pairs were measured there is nothing more to wish.
    let mut client = leaning(7);
    client.sessions.extend((1..=3).map(|ago| session(4 - ago, measured(70, 70))));
    assert!(wishes(&client).is_empty());
}

#[test]
fn an_angle_cannot_be_entered_the_wrong_way_round() {
    let asked = |stretch: &str, form: &str| {
        let ids = (StretchId::new(stretch).expect("an id"), FormId::new(form).expect("an id"));
        AngleAsked::of(Catalogue::built_in().form(&ids.0, &ids.1).expect("in the catalogue").1)
            .expect("it is measured")
    };
    let degrees = |angle: i64| Degrees::new(angle).expect("an angle");
    let raise = asked(RAISE.0, RAISE.1);
    assert_eq!(raise.what(), "knee straight, other leg flat: the raised leg against the floor");
    assert_eq!(raise.read(" 71 "), Ok(degrees(71)));
    assert!(raise.read("-71").is_err() && raise.read("71 below").is_err() && raise.read("seventy").is_err());
    let calf = asked("calf-heel-press", "forearm-on-sole");
    assert_eq!(calf.read("5 past"), Ok(degrees(5)));
    assert_eq!(calf.read("5 s"), Ok(degrees(-5)));
    assert_eq!(calf.read("0"), Ok(degrees(0)));
    for bare in ["5", "-5", "5 below", "-5 past"] {
        let why = calf.read(bare).expect_err(bare);
        assert!(why.contains("10 past or 10 short; a right angle is 0"), "{why}");
    }
    // What is read is said again, of every form that is measured.
    for stretch in Catalogue::built_in().stretches() {
        for asked in stretch.forms.iter().filter_map(AngleAsked::of) {
            for angle in [0, 12] {
                let said = asked.said(degrees(angle));
                assert_eq!(asked.read(&said), Ok(degrees(angle)), "{}: {said}", stretch.id);
            }
            if asked.ways().is_some() {
                assert_eq!(asked.read(&asked.said(degrees(-12))), Ok(degrees(-12)), "{}", stretch.id);
            }
        }
    }
}

#[test]
fn nothing_known_is_the_plan_of_a_client_without_sessions() {
    // Sessions that tell nothing: answered alike, trained and stretched, a left turn and a right one.
    let known = client([session(6, both(4, 4)), session(2, turned(4, 4))]);
    let (mut with, mut without) = (request(&known, today(), 10), request(&client([]), today(), 10));
    with.trained = [(HAMSTRINGS, Effort::new(2).expect("an effort"))].into();
    without.trained = with.trained.clone();
    assert_eq!(plan(&with), plan(&without));
}
