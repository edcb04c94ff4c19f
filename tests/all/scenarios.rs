//! What a trainer would do and would not do, situation by situation.
//!
//! Every file `tests/data/scenarios/*.toml` holds situations, each with its client, day, minutes and consent, and what
//! is expected of the plan. Nothing in a file is known to the planner. A file looks so:
//!
//! ```toml
//! [[scenario]]
//! name = "Runner, tight on the left"          # shown with what is missed
//! trained = { hamstrings = 3, running = 2 }   # a muscle or a group, and how hard: 1 to 3
//! minutes = 10
//! # All that follows up to `expect` may be left out.
//! consent = "hands-on"                        # or "self-stretch"
//! age = 34                                    # in years
//! conditions = ["knee-injury:left"]           # as `matside plan --condition` takes them
//! tight = ["hamstrings:left"]                 # noted on the card
//! aims = ["range"]                            # calm, range, desk
//! likes = ["figure-four"]                     # and `dislikes`
//! equipment = ["chair", "strap", "wall"]      # without the key: these three
//! massage = true                              # rules, trainer and client allow the massage finish
//! pinned = ["calf-heel-press"]                # and `skipped`
//!
//! [[scenario.expect]]
//! level = "must"                              # "must" may never be missed; "should" is counted
//! ground = "common practice, no source"       # or the paper or handbook
//! does = { muscle = "hamstrings", side = "left", position = "supine" }
//! ```
//!
//! An expectation has exactly one of the keys below. `STEP` is a table of what has to be true of one and the same step:
//! `muscle` (that the step serves), `stretch`, `form`, `position`, `side`, `method` ("static", "contract-relax"),
//! `helper` ("assisted", "self"); an empty table fits every step.
//!
//! | key | holds if |
//! | --- | --- |
//! | `does = STEP` | a step fits |
//! | `does_not = STEP` | no step fits |
//! | `first = STEP`, `last = STEP` | the first, the last step fits |
//! | `before = [STEP, STEP]` | the first step that fits the one comes before the first that fits the other |
//! | `seconds = { muscle = M, side = S, at_least = N, at_most = N }` | so many seconds are held on it, all steps that serve it together; without `side`, on either side |
//! | `alike = M` | the same stretches serve M on both sides, for the same seconds |
//! | `longer = { muscle = M, side = S }` | the same stretches serve M on both sides, and S is held longer or by contract-relax |
//! | `holds = { at_least = N, at_most = N, of = STEP }` | each still hold (of steps that fit) is so long |
//! | `stretches = [N, N]` | so many stretches, at least and at most (a stretch on both sides is one) |
//! | `positions = N` | at most so many positions |
//! | `compared = N` | at least so many stretches are done on the left and on the right, by the same form and dose |
//! | `hands_on = P` | at least so many hundredths of the held seconds are hands on |
//! | `used = [P, P]` | so many hundredths of the minutes are planned, at least and at most |
//! | `contract_relax = P` | at most so many hundredths of the held seconds are contract-relax |
//! | `aim = N` | no step aims higher than N |
//! | `plan = false` | there is no plan |

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use matside::body::{Muscle, Side};
use matside::catalogue::{Catalogue, Equipment, FormId, Helper, Method, Position, StretchId};
use matside::client::{Aim, Consent, Meters, Touch};
use matside::planner::{Dose, Plan, Step};
use serde::Deserialize;

use crate::asked::{Asked, day};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    scenario: Vec<Scenario>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Scenario {
    name: String,
    trained: BTreeMap<String, i64>,
    minutes: i64,
    consent: Option<Consent>,
    age: Option<i32>,
    #[serde(default)]
    conditions: Vec<String>,
    #[serde(default)]
    tight: Vec<String>,
    #[serde(default)]
    aims: Vec<Aim>,
    #[serde(default)]
    likes: Vec<StretchId>,
    #[serde(default)]
    dislikes: Vec<StretchId>,
    equipment: Option<Vec<Equipment>>,
    #[serde(default)]
    massage: bool,
    #[serde(default)]
    pinned: Vec<StretchId>,
    #[serde(default)]
    skipped: Vec<StretchId>,
    expect: Vec<Expectation>,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Standing {
    Must,
    Should,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expectation {
    level: Standing,
    ground: String,
    does: Option<Like>,
    does_not: Option<Like>,
    first: Option<Like>,
    last: Option<Like>,
    before: Option<[Like; 2]>,
    seconds: Option<OfMuscle>,
    alike: Option<Muscle>,
    longer: Option<OfMuscle>,
    holds: Option<Holds>,
    stretches: Option<[usize; 2]>,
    positions: Option<usize>,
    compared: Option<usize>,
    hands_on: Option<u32>,
    used: Option<[u32; 2]>,
    contract_relax: Option<u32>,
    aim: Option<u8>,
    plan: Option<bool>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Like {
    stretch: Option<StretchId>,
    form: Option<FormId>,
    muscle: Option<Muscle>,
    position: Option<Position>,
    method: Option<Method>,
    side: Option<Side>,
    helper: Option<Helper>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct OfMuscle {
    muscle: Muscle,
    side: Option<Side>,
    at_least: Option<u32>,
    at_most: Option<u32>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Holds {
    at_least: Option<u32>,
    at_most: Option<u32>,
    #[serde(default)]
    of: Like,
}

impl Like {
    fn fits(&self, step: &Step) -> bool {
        self.stretch.as_ref().is_none_or(|stretch| *stretch == step.stretch)
            && self.form.as_ref().is_none_or(|form| *form == step.form)
            && self.muscle.is_none_or(|muscle| step.muscles.contains(&muscle))
            && self.position.is_none_or(|position| position == step.position)
            && self.method.is_none_or(|method| method == step.dose.method())
            && self.side.is_none_or(|side| step.side.is_none_or(|worked| worked == side))
            && self.helper.is_none_or(|helper| helper == helper_of(step))
    }
}

fn helper_of(step: &Step) -> Helper {
    Catalogue::built_in().form(&step.stretch, &step.form).expect("a form of the catalogue").1.helper
}

/// Seconds and stretches that serve a muscle on a side.
fn on(plan: &Plan, muscle: Muscle, side: Side) -> (u32, BTreeSet<&StretchId>) {
    let here = plan
        .steps
        .iter()
        .filter(|step| step.muscles.contains(&muscle) && step.side.is_none_or(|worked| worked == side));
    let held = here.clone().map(|step| step.dose.held().get()).sum();
    (held, here.map(|step| &step.stretch).collect())
}

/// Hundredths of the held seconds that steps of a kind make up.
fn share(plan: &Plan, kind: impl Fn(&Step) -> bool) -> u32 {
    let held = |step: &Step| step.dose.held().get();
    let all: u32 = plan.steps.iter().map(held).sum();
    plan.steps.iter().filter(|step| kind(step)).map(held).sum::<u32>() * 100 / all.max(1)
}

fn within(found: u32, at_least: Option<u32>, at_most: Option<u32>) -> bool {
    at_least.is_none_or(|least| found >= least) && at_most.is_none_or(|most| found <= most)
}

impl Expectation {
    /// Whether a plan meets it, key by key; exactly one is given.
    fn is_met(&self, plan: Option<&Plan>) -> bool {
        if let Some(wanted) = self.plan {
            return plan.is_some() == wanted;
        }
        let Some(plan) = plan else { return false };
        let steps = &plan.steps;
        let at = |like: &Like| steps.iter().position(|step| like.fits(step));
        let met = [
            self.does.as_ref().map(|like| at(like).is_some()),
            self.does_not.as_ref().map(|like| at(like).is_none()),
            self.first.as_ref().map(|like| steps.first().is_some_and(|step| like.fits(step))),
            self.last.as_ref().map(|like| steps.last().is_some_and(|step| like.fits(step))),
            self.before
                .as_ref()
                .map(|[one, two]| at(one).is_some_and(|one| at(two).is_none_or(|two| one < two))),
            self.seconds.as_ref().map(|of| has_seconds(plan, of)),
            self.alike.map(|muscle| on(plan, muscle, Side::Left) == on(plan, muscle, Side::Right)),
            self.longer.as_ref().map(|of| is_longer(plan, of)),
            self.holds.as_ref().map(|holds| {
                let still =
                    steps.iter().filter(|step| matches!(step.dose, Dose::Hold(_)) && holds.of.fits(step));
                still.into_iter().all(|step| within(step.dose.held().get(), holds.at_least, holds.at_most))
            }),
            self.stretches.map(|[least, most]| {
                let stretches: BTreeSet<_> = steps.iter().map(|step| &step.stretch).collect();
                (least..=most).contains(&stretches.len())
            }),
            self.positions
                .map(|most| steps.iter().map(|step| step.position).collect::<BTreeSet<_>>().len() <= most),
            self.compared.map(|least| compared(plan) >= least),
            self.hands_on.map(|least| share(plan, |step| helper_of(step) == Helper::Assisted) >= least),
            self.used.map(|[least, most]| {
                let used = plan.total.get() * 100 / plan.minutes.seconds().get();
                (least..=most).contains(&used)
            }),
            self.contract_relax
                .map(|most| share(plan, |step| step.dose.method() == Method::ContractRelax) <= most),
            self.aim.map(|most| steps.iter().all(|step| step.aim.get() <= most)),
        ];
        let mut met = met.into_iter().flatten();
        met.next().expect("an expectation has one key")
    }

    fn keys(&self) -> usize {
        [
            self.does.is_some(),
            self.does_not.is_some(),
            self.first.is_some(),
            self.last.is_some(),
            self.before.is_some(),
            self.seconds.is_some(),
            self.alike.is_some(),
            self.longer.is_some(),
            self.holds.is_some(),
            self.stretches.is_some(),
            self.positions.is_some(),
            self.compared.is_some(),
            self.hands_on.is_some(),
            self.used.is_some(),
            self.contract_relax.is_some(),
            self.aim.is_some(),
            self.plan.is_some(),
        ]
        .into_iter()
        .filter(|given| *given)
        .count()
    }
}

fn has_seconds(plan: &Plan, of: &OfMuscle) -> bool {
    let sides = Side::ALL.iter().filter(|&&side| of.side.is_none_or(|only| only == side));
    sides.into_iter().all(|&side| within(on(plan, of.muscle, side).0, of.at_least, of.at_most))
}

fn is_longer(plan: &Plan, of: &OfMuscle) -> bool {
    let side = of.side.expect("`longer` names a side");
    let ((held, stretches), (other, others)) = (on(plan, of.muscle, side), on(plan, of.muscle, side.other()));
    let pushes = Like {
        muscle: Some(of.muscle),
        side: Some(side),
        method: Some(Method::ContractRelax),
        ..Like::default()
    };
    stretches == others && (held > other || plan.steps.iter().any(|step| pushes.fits(step)))
}

/// How many stretches are done on both sides in turn, alike.
fn compared(plan: &Plan) -> usize {
    let on = |side: Side| {
        let here = plan.steps.iter().filter(move |step| step.side == Some(side));
        here.map(|step| (&step.stretch, &step.form, step.dose.held())).collect::<BTreeSet<_>>()
    };
    on(Side::Left).intersection(&on(Side::Right)).count()
}

impl Scenario {
    fn asked(&self) -> Asked {
        let trained: Vec<(&str, i64)> =
            self.trained.iter().map(|(word, effort)| (word.as_str(), *effort)).collect();
        let mut asked =
            Asked::new(&trained, self.minutes).with_consent(self.consent.unwrap_or(Consent::HandsOn));
        asked = self.conditions.iter().fold(asked, |asked, word| asked.with_condition(word));
        asked = self.tight.iter().fold(asked, |asked, word| asked.with_tight(word));
        asked = self.aims.iter().fold(asked, |asked, &aim| asked.with_aim(aim));
        if let Some(age) = self.age {
            asked = asked.with_age(age);
        }
        if let Some(equipment) = &self.equipment {
            asked = asked.with_equipment(equipment);
        }
        asked.client.profile.likes.clone_from(&self.likes);
        asked.client.profile.dislikes.clone_from(&self.dislikes);
        asked.client.profile.agree(Touch::Massage, self.massage, day(), "");
        asked.trainer.may_massage = self.massage;
        asked.wishes.pinned.clone_from(&self.pinned);
        asked.wishes.skipped.clone_from(&self.skipped);
        asked
    }
}

/// What a file comes to: expectations met and counted, those that must hold apart.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Figures {
    pub(crate) met: usize,
    pub(crate) all: usize,
    pub(crate) musts_missed: usize,
    scenarios: usize,
    /// Seconds under stretch where hands are agreed, and of these with hands on.
    pub(crate) held: u32,
    pub(crate) hands_on: u32,
    /// What all of it asks of the trainer.
    pub(crate) meters: Meters,
}

impl Figures {
    fn add(&mut self, plan: &Plan, agreed: bool) {
        for step in &plan.steps {
            let held = step.dose.held();
            if let Some(load) = &step.load {
                self.meters = self.meters + load.meters(held, step.setup);
                self.hands_on += held.get();
            }
            self.held += if agreed { held.get() } else { 0 };
        }
    }
}

impl std::ops::AddAssign for Figures {
    fn add_assign(&mut self, other: Self) {
        self.met += other.met;
        self.all += other.all;
        self.musts_missed += other.musts_missed;
        self.scenarios += other.scenarios;
        self.held += other.held;
        self.hands_on += other.hands_on;
        self.meters = self.meters + other.meters;
    }
}

/// All situations as they come out after what the trainer did before on the day.
pub(crate) fn after(worked: Meters) -> Figures {
    let mut all = Figures::default();
    for path in files() {
        all += judge(&path, worked, &mut Vec::new(), &mut BTreeSet::new());
    }
    all
}

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/scenarios");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).expect("the folder is there").flatten().map(|entry| entry.path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    files.sort();
    files
}

fn judge(path: &Path, worked: Meters, missed: &mut Vec<String>, musts: &mut BTreeSet<String>) -> Figures {
    let text = std::fs::read_to_string(path).expect("readable");
    let file: File = toml::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let name = path.file_stem().expect("a name").display();
    let mut figures = Figures::default();
    for scenario in &file.scenario {
        figures.scenarios += 1;
        let asked = Asked { worked, ..scenario.asked() };
        let plan = asked.try_plan();
        if let Ok(plan) = &plan {
            figures.add(plan, asked.consent == Consent::HandsOn);
            // Rules for all: proven, and on the minute.
            assert!(plan.is_proven() && plan.total <= plan.minutes.seconds(), "{name}: {}", scenario.name);
        }
        for expectation in &scenario.expect {
            assert_eq!(expectation.keys(), 1, "{name}, {}: one key a time", scenario.name);
            assert!(!expectation.ground.trim().is_empty(), "{name}, {}: no ground", scenario.name);
            figures.all += 1;
            if expectation.is_met(plan.as_ref().ok()) {
                figures.met += 1;
                continue;
            }
            if expectation.level == Standing::Must {
                figures.musts_missed += 1;
                musts.insert(format!("{name}: {}", scenario.name));
            }
            let told = format!("{expectation:?}");
            let told: Vec<&str> = told.split(", ").filter(|part| !part.ends_with(": None")).collect();
            let found = match &plan {
                Ok(plan) => plan.steps.iter().map(said).collect::<Vec<_>>().join("; "),
                Err(error) => error.to_string(),
            };
            missed.push(format!("{name}, {}: {}\n    {found}", scenario.name, told.join(", ")));
        }
    }
    figures
}

fn said(step: &Step) -> String {
    let side = step.side.map_or("both", Side::id);
    format!("{}/{} {side} {} s", step.stretch, step.form, step.dose.held().get())
}

#[test]
fn a_trainer_would_nod_at_every_situation() {
    let (mut missed, mut musts) = (Vec::new(), BTreeSet::new());
    let mut all = Figures::default();
    let mut figures = Vec::new();
    for path in &files() {
        let here = judge(path, Meters::default(), &mut missed, &mut musts);
        figures.push(format!(
            "{}: {} situations, {} of {} expectations met, {} missed that must hold",
            path.file_stem().expect("a name").display(),
            here.scenarios,
            here.met,
            here.all,
            here.musts_missed
        ));
        all += here;
    }
    let told = format!("{}\n{}", figures.join("\n"), missed.join("\n"));
    assert!(std::env::var_os("MATSIDE_SCENARIOS").is_none(), "{told}");
    assert!(all.scenarios >= 30, "{} situations", all.scenarios);
    // What must hold and does not is named in a list that says all of it and nothing else.
    let listed = include_str!("../data/scenarios/missed.txt").lines().filter(|line| !line.starts_with('#'));
    assert_eq!(musts, listed.map(str::to_owned).collect(), "{told}");
    assert!(all.met * 100 >= all.all * 95, "{told}");
}
