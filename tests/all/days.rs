//! Training days with clients of all kinds, as planning problems made from the built-in catalogue, by seed.

use matside::body::{Muscle, Seconds, Side, Unit};
use matside::caution::parse_recorded;
use matside::client::Aim;
use matside::handout::Instance;
use matside::planner::{Progress, WorkDone, solve};

use crate::asked::{Asked, day};
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

/// Days of 3 to 20 minutes, with and without conditions, unequal sides and range, by name.
pub(crate) fn days() -> impl Iterator<Item = (String, Asked)> {
    (0..260_u64).map(day_with)
}

fn day_with(number: u64) -> (String, Asked) {
    let mut random = Random(number * 77 + 5);
    let minutes = [3, 5, 7, 10, 15, 20][usize::try_from(number % 6).expect("small")];
    let mut asked = Asked::new(&[], minutes);
    let profile = &mut asked.client.profile;
    if random.chance(30) {
        profile.conditions.extend(parse_recorded(random.pick(&CONDITIONS)).ok());
    }
    if random.chance(50) {
        for _ in 0..=random.below(3) {
            let muscle = random.pick(Muscle::ALL);
            profile.note_tight(Unit { muscle, side: random.pick(Side::ALL) }, day(), "");
        }
    }
    if random.chance(20) {
        profile.aims.push(Aim::Range);
    }
    let groups: Vec<(&str, i64)> = (0..=random.below(3))
        .map(|_| {
            let effort = i64::from(1 + random.below(3));
            (random.pick(&GROUPS), effort)
        })
        .collect();
    asked.trained = Asked::new(&groups, minutes).trained;
    (format!("{minutes}-{number}"), asked)
}

/// Days with everything in them: 24 muscles, 20 to 33 minutes as a long last set of a block would be planned.
pub(crate) fn full_days() -> impl Iterator<Item = (String, Asked)> {
    (0..28_u64).map(|number| {
        let mut random = Random(number * 131 + 7);
        let mut asked = Asked::new(&[], 20);
        let mut muscles = Muscle::ALL.to_vec();
        while muscles.len() > 24 {
            muscles.remove(random.below(u32::try_from(muscles.len()).expect("few")) as usize);
        }
        for muscle in muscles {
            let effort = i64::from(1 + random.below(3));
            asked.trained.extend(Asked::new(&[(muscle.id(), effort)], 20).trained);
        }
        for _ in 0..random.below(4) {
            let muscle = random.pick(Muscle::ALL);
            asked.client.profile.note_tight(Unit { muscle, side: random.pick(Side::ALL) }, day(), "");
        }
        // Twenty minutes are the most that a block lasts; a rest may be told to take longer.
        let minutes = 20 + u32::try_from(number / 2).expect("small");
        asked.progress = Some(Progress { left: Seconds::new(minutes * 60), ..Progress::default() });
        (format!("{minutes}-{number}"), asked)
    })
}

/// Problems of 3 to 20 minutes, with and without unequal sides: at least 200.
pub(crate) fn instances() -> Vec<(String, Instance)> {
    problems("day", days())
}

/// The problems of some days, named by their kind.
pub(crate) fn problems(kind: &str, days: impl Iterator<Item = (String, Asked)>) -> Vec<(String, Instance)> {
    let instance =
        |asked: &Asked| asked.ask(|request| solve(request).ok().map(|solved| Instance::from(&solved.menu)));
    days.filter_map(|(name, asked)| Some((format!("{kind}-{name}"), instance(&asked)?))).collect()
}

/// What is left of the same days in the middle of a block: some steps done, the client in a position, and some
/// minutes more or fewer than planned.
pub(crate) fn rests() -> Vec<(String, Instance)> {
    problems("rest", days().filter_map(|(name, asked)| Some((name.clone(), rest_of(&asked, &name)?))))
}

/// A day in the middle of its block.
pub(crate) fn rest_of(asked: &Asked, name: &str) -> Option<Asked> {
    let mut random = Random(name.bytes().fold(11, |sum, byte| sum * 31 + u64::from(byte)));
    let plan = asked.try_plan().ok()?;
    let steps = u32::try_from(plan.steps.len()).expect("few");
    let (done, late) = (random.below(steps + 1), random.below(121));
    let mut progress = Progress { left: asked.minutes.seconds(), ..Progress::default() };
    for step in plan.steps.iter().take(done as usize) {
        progress.done.push(WorkDone::of_step(step, step.dose.held()));
        progress.finished.push(step.stretch.clone());
        progress.position = Some(step.position);
        let spent = step.end.get() + late;
        progress.left = Seconds::new((asked.minutes.seconds().get() + 60).saturating_sub(spent));
    }
    Some(Asked { progress: Some(progress), ..asked.clone() })
}
