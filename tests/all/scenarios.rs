//! What a good trainer would do and would not do, day by day; see tests/data/scenarios/README.md.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use chrono::NaiveDate;
use matside::body::{Effort, Minutes, Muscle, Side, Unit, muscles_named};
use matside::catalogue::{Catalogue, Equipment, Method, Position, StretchId};
use matside::caution::{Restrictions, parse_recorded};
use matside::client::{Aim, Client, Consent, Profile, Trained, Trainer};
use matside::planner::{Plan, PlanError, PlanRequest, Step, Wishes, plan};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Scenario {
    trained: BTreeMap<String, i64>,
    minutes: i64,
    #[serde(default)]
    conditions: Vec<String>,
    #[serde(default)]
    tight: Vec<String>,
    #[serde(default)]
    aims: Vec<Aim>,
    #[serde(default)]
    consent: Option<Consent>,
    #[serde(default)]
    born: Option<toml::value::Datetime>,
    #[serde(default)]
    pinned: Vec<StretchId>,
    #[serde(default)]
    equipment: Option<Vec<Equipment>>,
    #[serde(default)]
    stretches: Option<[usize; 2]>,
    /// Muscles that the same stretches reach on both sides.
    #[serde(default)]
    alike: Vec<Muscle>,
    #[serde(default)]
    must: Vec<Rule>,
    #[serde(default)]
    must_not: Vec<Rule>,
    #[serde(default, rename = "source")]
    _source: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Rule {
    stretch: Option<StretchId>,
    muscle: Option<Muscle>,
    position: Option<Position>,
    method: Option<Method>,
    side: Option<Side>,
}

impl Rule {
    fn fits(&self, step: &Step) -> bool {
        self.stretch.as_ref().is_none_or(|stretch| *stretch == step.stretch)
            && self.muscle.is_none_or(|muscle| step.muscles.contains(&muscle))
            && self.position.is_none_or(|position| position == step.position)
            && self.method.is_none_or(|method| method == step.dose.method())
            && self.side.is_none_or(|side| step.side.is_none_or(|worked| worked == side))
    }
}

fn planned(scenario: &Scenario) -> Result<Plan, PlanError> {
    let today: NaiveDate = "2026-11-25".parse().expect("a date");
    let mut profile = Profile::new("guest".parse().expect("an id"), "Guest");
    profile.conditions =
        scenario.conditions.iter().map(|word| parse_recorded(word).expect("a condition")).collect();
    profile.aims.clone_from(&scenario.aims);
    profile.born = scenario.born.map(|born| born.to_string().parse().expect("a date"));
    for word in &scenario.tight {
        let (muscle, side) = word.split_once(':').expect("muscle:side");
        let unit = Unit { muscle: muscle.parse().expect("a muscle"), side: side.parse().expect("a side") };
        profile.note_tight(unit, today, "");
    }
    let mut trained = Trained::new();
    for (word, effort) in &scenario.trained {
        for muscle in muscles_named(word).expect("a muscle") {
            trained.insert(muscle, Effort::new(*effort).expect("an effort"));
        }
    }
    let restrictions = Restrictions::of(&profile.conditions, profile.age(today), today);
    let mut at_hand = Trainer::default();
    if let Some(equipment) = &scenario.equipment {
        at_hand.equipment.clone_from(equipment);
    }
    plan(&PlanRequest {
        client: &Client::new(profile, Vec::new()),
        catalogue: Catalogue::built_in(),
        restrictions: &restrictions,
        trainer: &at_hand,
        today,
        trained: &trained,
        minutes: Minutes::new(scenario.minutes).expect("minutes"),
        consent: scenario.consent.unwrap_or(Consent::HandsOn),
        wishes: &Wishes { pinned: scenario.pinned.clone(), ..Wishes::default() },
        progress: None,
    })
}

#[test]
fn a_good_trainer_would_nod_at_every_scenario() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/scenarios");
    let mut complaints = Vec::new();
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("readable").path();
        if path.extension().is_none_or(|extension| extension != "toml") {
            continue;
        }
        seen += 1;
        let text = std::fs::read_to_string(&path).expect("readable");
        let scenario: Scenario =
            toml::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let name = path.file_stem().expect("a name").display().to_string();
        let plan = match planned(&scenario) {
            Ok(plan) => plan,
            Err(error) => {
                complaints.push(format!("{name}: {error}"));
                continue;
            }
        };
        let mut complain = |what: String| complaints.push(format!("{name}: {what}"));
        for rule in scenario.must.iter().filter(|rule| !plan.steps.iter().any(|step| rule.fits(step))) {
            complain(format!("must do {rule:?}"));
        }
        for rule in &scenario.must_not {
            for step in plan.steps.iter().filter(|step| rule.fits(step)) {
                complain(format!("must not do {} / {} ({rule:?})", step.stretch, step.form));
            }
        }
        for muscle in &scenario.alike {
            let reaches = |side: Side| {
                let here = plan.steps.iter().filter(|step| step.side.is_none_or(|worked| worked == side));
                let here = here.filter(|step| step.muscles.contains(muscle));
                here.map(|step| &step.stretch).collect::<BTreeSet<_>>()
            };
            if reaches(Side::Left) != reaches(Side::Right) {
                complain(format!("left and right are not alike for {muscle:?}"));
            }
        }
        let mut stretches: Vec<&StretchId> = plan.steps.iter().map(|step| &step.stretch).collect();
        stretches.sort();
        stretches.dedup();
        if let Some([least, most]) = scenario.stretches
            && !(least..=most).contains(&stretches.len())
        {
            complain(format!("{} stretches, not {least} to {most}", stretches.len()));
        }
        // Rules for all: proven, on the minute, no confetti of tiny holds.
        if !plan.is_proven() || plan.total > plan.minutes.seconds() {
            complain(format!("proven {}, ends at {}", plan.is_proven(), plan.total));
        }
        for step in plan.steps.iter().filter(|step| step.dose.held().get() < 10) {
            complain(format!("{} is held {} s only", step.stretch, step.dose.held().get()));
        }
    }
    assert!(seen >= 25, "{seen} scenarios");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
