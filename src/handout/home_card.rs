//! The card for home: a few stretches that a client does alone, drawn, on one sheet of paper.

use std::ops::RangeInclusive;
use std::sync::Arc;

use chrono::{Datelike, Month, NaiveDate};

use crate::body::{Minutes, Seconds, Side};
use crate::catalogue::{Catalogue, Equipment, Form, Position};
use crate::client::{Consent, Trained, Trainer};
use crate::figure::joints::MovingPart;
use crate::planner::{self, Plan, PlanError, PlanRequest, Today, Wishes};

/// Most stretches of a card.
pub const MOST: u8 = 5;
/// What ends a stretch at once.
pub const STOP: &str = "It hurts, tingles, goes numb, or you feel dizzy: stop.";
/// How hard it may be.
pub const LIGHT: &str = "A light pull is enough: 3 of 5. Keep breathing, no bouncing.";
/// What the card is not.
pub const LIMITS: &str = "This card does not replace a doctor or physiotherapist.";

/// From this age on a card has three stretches, as they are larger then.
const OLDER: u32 = 65;
/// Minutes that a plan for home is looked for in.
const MINUTES: RangeInclusive<i64> = 3..=15;
/// From so many seconds on a hold is done in two rounds.
const TWO_ROUNDS: u32 = 50;
/// What a name may end in, which the card says itself.
const POSITIONS: [&str; 6] =
    [", on the back", ", on the side", ", on the belly", ", seated", ", standing", ", kneeling"];

/// One stretch of the card.
#[derive(Debug, Clone, PartialEq)]
pub struct HomeStretch {
    /// What it is called.
    pub name: String,
    /// The form.
    pub form: Form,
    /// Seconds on each side, or on both at once.
    pub held: Vec<(Option<Side>, Seconds)>,
}

/// A card for home.
#[derive(Debug, Clone, PartialEq)]
pub struct HomeCard {
    /// Whom it is for.
    pub client: String,
    /// Who it is from; may be empty.
    pub studio: String,
    /// Whom to tell when it hurts; may be empty.
    pub trainer: String,
    /// The day.
    pub on: NaiveDate,
    /// Days a week.
    pub days: u8,
    /// What the client must mind: the sentences of each caution, the weightiest of them first.
    pub cautions: Vec<Vec<String>>,
    /// The stretches, in the order of positions.
    pub stretches: Vec<HomeStretch>,
}

/// How many stretches suit a client where nothing is said.
pub fn usual_count(age: Option<u32>) -> u8 {
    if age.is_some_and(|age| age >= OLDER) { 3 } else { 4 }
}

/// What a client may do at home after such training: the plan of stretches done alone that has the most minutes and no
/// more than `count` of them, with what is at hand there. Cautions, pain and notes count as in every plan.
///
/// # Errors
/// A condition stops the client, or nothing may be done alone.
pub fn choose(today: &Arc<Today>, trained: &Trained, count: u8) -> Result<Vec<HomeStretch>, PlanError> {
    let mut equipment = today.client.profile.at_home.clone();
    equipment.extend([Equipment::Chair, Equipment::Wall]);
    equipment.retain(|piece| *piece != Equipment::Table);
    let nobody = Arc::new(Trainer { equipment, ..Trainer::default() });
    let mut chosen: Option<Vec<HomeStretch>> = None;
    let mut why = PlanError::NothingToDo("nothing that is allowed is done alone".to_owned());
    for minutes in MINUTES.filter_map(|minutes| Minutes::new(minutes).ok()) {
        let request = PlanRequest {
            today: Arc::clone(today),
            trainer: Arc::clone(&nobody),
            trained: trained.clone(),
            minutes,
            consent: Consent::SelfStretch,
            wishes: Wishes { no_massage: true, ..Wishes::default() },
            progress: None,
        };
        let mut found = match planner::plan(&request) {
            Ok(plan) => gathered(&plan, &today.catalogue),
            Err(PlanError::TooShort(_)) => continue,
            Err(error) => {
                why = error;
                break;
            }
        };
        let is_more = found.len() > usize::from(count);
        if !is_more || chosen.is_none() {
            found.truncate(usize::from(count));
            chosen = Some(found);
        }
        if is_more {
            break;
        }
    }
    chosen.filter(|stretches| !stretches.is_empty()).ok_or(why)
}

/// The steps of a plan, each form once with its sides.
fn gathered(plan: &Plan, catalogue: &Catalogue) -> Vec<HomeStretch> {
    let mut all: Vec<HomeStretch> = Vec::new();
    for step in &plan.steps {
        let Some((stretch, form)) = catalogue.form(&step.stretch, &step.form) else { continue };
        let name = without_position(&stretch.name);
        let held = (step.side, step.dose.held());
        match all.iter_mut().find(|one| one.name == name && one.form == *form) {
            Some(one) => one.held.push(held),
            None => all.push(HomeStretch { name: name.to_owned(), form: form.clone(), held: vec![held] }),
        }
    }
    for one in &mut all {
        one.held.sort_by_key(|(side, _)| *side);
    }
    all
}

fn without_position(name: &str) -> &str {
    POSITIONS.iter().find_map(|position| name.strip_suffix(position)).unwrap_or(name)
}

impl HomeStretch {
    /// How the client lies, kneels, sits or stands, in words of a card.
    pub fn position(&self) -> &'static str {
        match self.form.position {
            Position::Supine => "on the back",
            Position::SideLying => "on the side",
            Position::Prone => "face down",
            Position::Kneeling => "kneeling",
            Position::Seated if self.form.equipment.contains(&Equipment::Chair) => "on a chair",
            Position::Seated => "sitting",
            Position::Standing => "standing",
        }
    }

    /// What is done, in the words of the form; at home a towel does for a strap.
    pub fn say(&self) -> String {
        self.form.cues.say.replace("Strap round", "Strap or towel round")
    }

    /// How often and how long with the side: one entry where the sides are alike, else one for each.
    pub fn doses(&self) -> Vec<(String, &'static str)> {
        let words = |held: Seconds| match held.get() {
            held if held >= TWO_ROUNDS => format!("2 x {} s", held / 2),
            held => format!("{held} s"),
        };
        match self.held.as_slice() {
            [(None, held), ..] => vec![(words(*held), "both sides at once")],
            [(_, left), (_, right)] if left == right => vec![(words(*left), self.each())],
            sides => {
                let side = |side: Option<Side>| if side == Some(Side::Left) { "left" } else { "right" };
                sides.iter().map(|(of, held)| (words(*held), side(*of))).collect()
            }
        }
    }

    fn each(&self) -> &'static str {
        match MovingPart::of(&self.form) {
            MovingPart::Leg => "each leg",
            MovingPart::Arm => "each arm",
            _ => "each side",
        }
    }

    fn seconds(&self) -> u32 {
        self.held.iter().map(|(_, held)| held.get() + self.form.setup.get()).sum()
    }
}

impl HomeCard {
    /// The day in words.
    pub fn day(&self) -> String {
        let month = u8::try_from(self.on.month()).ok().and_then(|month| Month::try_from(month).ok());
        format!("{} {} {}", self.on.day(), month.map_or("", |month| month.name()), self.on.year())
    }

    /// How often, when and how long.
    pub fn how(&self) -> String {
        let minutes = self.stretches.iter().map(HomeStretch::seconds).sum::<u32>().div_ceil(60).max(1);
        let minutes = if minutes == 1 { "1 minute".to_owned() } else { format!("{minutes} minutes") };
        let days = match self.days {
            7 => "Every day".to_owned(),
            1 => "1 day a week".to_owned(),
            days => format!("{days} days a week"),
        };
        format!("{days}, when you are warm. About {minutes}.")
    }

    /// What has to be at hand.
    pub fn needs(&self) -> String {
        let needs = |piece: Equipment| self.stretches.iter().any(|one| one.form.equipment.contains(&piece));
        let kneels = self.stretches.iter().any(|one| one.form.position == Position::Kneeling);
        let all = [
            (needs(Equipment::Strap), "a long towel or strap"),
            (needs(Equipment::Chair), "a steady chair that cannot slide"),
            (needs(Equipment::Bolster), "a firm rolled blanket"),
            (kneels, "something soft under the knee"),
            (needs(Equipment::Wall), "a wall"),
        ];
        let named: Vec<&str> =
            all.iter().filter(|(is_needed, _)| *is_needed).map(|(_, words)| *words).collect();
        let named = if named.is_empty() { "nothing".to_owned() } else { named.join(", ") };
        format!("You need: {named}.")
    }

    /// The sentences of all cautions, or only the first of each; what two cautions say alike is said once.
    pub fn minded(&self, is_whole: bool) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        for sentences in &self.cautions {
            let count = if is_whole { sentences.len() } else { 1 };
            let new = sentences.iter().take(count).filter(|one| !all.iter().any(|said| said.contains(*one)));
            let new: Vec<&str> = new.map(String::as_str).collect();
            if !new.is_empty() {
                all.push(new.join(" "));
            }
        }
        all
    }

    /// Whom to tell when it hurts.
    pub fn told(&self) -> &str {
        if self.trainer.is_empty() { "your trainer" } else { &self.trainer }
    }
}
