//! Training days with clients of all kinds, as planning problems made from the built-in catalogue, by seed.

use matside::body::{Effort, Minutes, Muscle, Seconds, Side, Unit, muscles_named};
use matside::catalogue::Catalogue;
use matside::caution::{Restrictions, parse_recorded};
use matside::client::{Aim, Client, Consent, Profile, Trained, Trainer};
use matside::handout::instance::Instance;
use matside::planner::{PlanRequest, Progress, Wishes, plan, solve};

use crate::random_instances::Random;

const GROUPS: [&str; 12] = [
    "full-body",
    "lower-body",
    "upper-body",
    "push",
    "pull",
    "legs",
    "glutes",
    "running",
    "desk",
    "back",
    "core",
    "hips",
];
const CONDITIONS: [&str; 6] = [
    "hip-replacement-posterior:left",
    "kneecap-pain:right",
    "shoulder-impingement:left",
    "hypermobility",
    "high-blood-pressure",
    "osteoporosis",
];

/// Problems of 3 to 20 minutes, with and without unequal sides: at least 200.
pub(crate) fn instances() -> Vec<(String, Instance)> {
    let mut problems = Vec::new();
    for_each(|name, ask, _| {
        problems.extend(solve(ask).ok().map(|solved| (format!("day-{name}"), Instance::from(&solved.menu))));
    });
    problems
}

/// What is left of the same days in the middle of a block: some steps done, the client in a position, and some
/// minutes more or fewer than planned.
pub(crate) fn rests() -> Vec<(String, Instance)> {
    let mut problems = Vec::new();
    for_each(|name, ask, random| {
        let Ok(plan) = plan(ask) else { return };
        let steps = u32::try_from(plan.steps.len()).expect("few");
        let (done, late) = (random.below(steps + 1), random.below(121));
        let mut progress = Progress::default();
        for step in plan.steps.iter().take(done as usize) {
            let sides = Side::ALL.iter().filter(|&&side| step.side.is_none_or(|worked| worked == side));
            for (&muscle, &side) in
                step.muscles.iter().flat_map(|muscle| sides.clone().map(move |side| (muscle, side)))
            {
                *progress.done.entry(Unit { muscle, side }).or_default() += step.dose.held();
            }
            progress.position = Some(step.position);
            let spent = step.end.get() + late;
            progress.left = Seconds::new((ask.minutes.seconds().get() + 60).saturating_sub(spent));
        }
        if progress.position.is_none() {
            progress.left = ask.minutes.seconds();
        }
        let rest = PlanRequest { progress: Some(&progress), ..*ask };
        problems
            .extend(solve(&rest).ok().map(|solved| (format!("rest-{name}"), Instance::from(&solved.menu))));
    });
    problems
}

fn for_each(mut take: impl FnMut(&str, &PlanRequest<'_>, &mut Random)) {
    let day = "2026-11-25".parse().expect("a date");
    for number in 0..260_u64 {
        let mut random = Random(number * 77 + 5);
        let minutes = [3, 5, 7, 10, 15, 20][usize::try_from(number % 6).expect("small")];
        let mut profile = Profile::new("guest".parse().expect("an id"), "Guest");
        if random.chance(30) {
            profile.conditions.extend(parse_recorded(random.pick(&CONDITIONS)).ok());
        }
        if random.chance(50) {
            for _ in 0..=random.below(3) {
                let muscle = random.pick(Muscle::ALL);
                let unit = Unit { muscle, side: random.pick(Side::ALL) };
                profile.note_tight(unit, day, "");
            }
        }
        if random.chance(20) {
            profile.aims.push(Aim::Range);
        }
        let mut trained = Trained::new();
        for _ in 0..=random.below(3) {
            let effort = Effort::new(i64::from(1 + random.below(3))).expect("1 to 3");
            for muscle in muscles_named(random.pick(&GROUPS)).expect("a group") {
                trained.insert(muscle, effort);
            }
        }
        let restrictions = Restrictions::of(&profile.conditions, None, day);
        let client = Client::new(profile, Vec::new());
        let ask = PlanRequest {
            client: &client,
            catalogue: Catalogue::built_in(),
            restrictions: &restrictions,
            trainer: &Trainer::default(),
            today: day,
            trained: &trained,
            minutes: Minutes::new(minutes).expect("in range"),
            consent: Consent::HandsOn,
            wishes: &Wishes::default(),
            progress: None,
        };
        take(&format!("{minutes}-{number}"), &ask, &mut random);
    }
}
