//! Training days with clients of all kinds, as planning problems made from the built-in catalogue, by seed.

use matside::body::{Effort, Minutes, Muscle, Side, Unit, muscles_named};
use matside::catalogue::Catalogue;
use matside::caution::{Restrictions, parse_recorded};
use matside::client::{Aim, Client, Consent, Profile, Trained, Trainer};
use matside::planner::instance::Instance;
use matside::planner::{Ask, Wishes, work_out};

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
    let day = "2026-11-25".parse().expect("a date");
    let mut problems = Vec::new();
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
                profile.tight.push(Unit { muscle, side: random.pick(Side::ALL) });
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
        let restrictions = Restrictions::assess(&profile.conditions, None, day).expect("known conditions");
        let client = Client { profile, sessions: Vec::new() };
        let ask = Ask {
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
        if let Ok(worked) = work_out(&ask) {
            problems.push((format!("day-{minutes}-{number}"), worked.instance));
        }
    }
    problems
}
