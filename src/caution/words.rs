//! Limits in plain words, made from the data so that text and rule cannot part.

use crate::body::{BodyPart, Joint, Motion, Muscle, Side};
use crate::catalogue::{BodyLoad, Contact, Helper, Method};

use super::card::capital;
use super::condition::{Condition, Site};
use super::limit::{Limit, MotionOver, Pattern, Precaution, There};
use super::matching::Scope;

impl Limit {
    /// The limit in words, such as "no hip flexion past 90 degrees"; nothing is said about whose side it is.
    pub fn text(&self) -> String {
        self.text_with(&place_text(&self.on, &["the place on record".to_owned()]))
    }

    /// The limit in words, naming the muscle or joint of a record.
    pub(super) fn text_in(&self, scope: Scope) -> String {
        self.text_with(&place_text(&self.on, &recorded_names(scope)))
    }

    fn text_with(&self, place: &str) -> String {
        let loads = loads_text(&self.on.loads);
        let capped = &match (place.is_empty(), loads.is_empty()) {
            (_, true) => place.to_owned(),
            (true, false) => loads,
            (false, false) => format!("{place} with {loads}"),
        };
        let mut text = match &self.precaution {
            Precaution::Contraindicated => out_text(&self.on, place),
            Precaution::Level(level) => join(format!("aim at {level} at most"), capped, " for "),
            Precaution::Hold(longest) => join(format!("hold at most {} s", longest.get()), capped, " for "),
            Precaution::Push { longest, cycles } => {
                join(format!("light pushes of at most {} s, {cycles} times", longest.get()), capped, " for ")
            }
            Precaution::Massage => "no massage".to_owned(),
            Precaution::Barrier => "a towel or mat between hand and client".to_owned(),
            Precaution::Hands(place) => format!("no pressure or grip on {place}"),
            Precaution::Stretches(most) => format!("at most {most} stretches in a session"),
            Precaution::Stop => "no session today".to_owned(),
        };
        let when = self.when;
        let times = [
            when.from_week.map(|week| format!(" from week {week}")),
            when.first_days.map(|days| format!(" in the first {days} days")),
            when.from_age.map(|age| format!(" from the age of {age}")),
            when.until_cleared.then(|| " until cleared".to_owned()),
            when.once_cleared.then(|| " once cleared".to_owned()),
            when.before_week.map(|week| format!(" before week {week}")),
            when.after_days.map(|days| format!(" after {days} days")),
            when.before_age.map(|age| format!(" up to the age of {}", age.saturating_sub(1))),
        ];
        text.extend(times.into_iter().flatten());
        text
    }
}

/// Aims, holds and pushes of a condition as one sentence of a card, such as "Aim 3, holds to 30 s; hip: no
/// contract-relax."; nothing where none is lowered.
pub(super) fn doses_sentence(limits: &[&Limit], scope: Scope) -> Option<String> {
    said_of_doses(limits, scope, &|limit| {
        Some(match &limit.precaution {
            Precaution::Level(level) => format!("aim {level}"),
            Precaution::Hold(longest) => format!("holds to {} s", longest.get()),
            Precaution::Push { longest, cycles } => {
                format!("light pushes of {} s, {cycles} times", longest.get())
            }
            Precaution::Stretches(most) => format!("{most} stretches at most"),
            Precaution::Contraindicated if limit.on.method == Some(Method::ContractRelax) => {
                "no contract-relax".to_owned()
            }
            _ => return None,
        })
    })
}

/// The same to a client who stretches alone, where nobody pushes and the aim is 3 for everyone: "Hip: a very light pull,
/// no longer than 20 s."
pub(super) fn home_doses_sentence(limits: &[&Limit], scope: Scope) -> Option<String> {
    said_of_doses(limits, scope, &|limit| match &limit.precaution {
        Precaution::Level(level) if level.get() < 3 => Some("a very light pull".to_owned()),
        Precaution::Hold(longest) => Some(format!("no longer than {} s", longest.get())),
        _ => None,
    })
}

/// Doses as one sentence, place by place, each in such words.
fn said_of_doses(
    limits: &[&Limit],
    scope: Scope,
    words: &dyn Fn(&Limit) -> Option<String>,
) -> Option<String> {
    let mut places: Vec<(String, Vec<String>)> = Vec::new();
    for limit in limits.iter().filter(|limit| !limit.when.until_cleared) {
        let on = &limit.on;
        let narrowed = !on.motions.is_empty()
            || !on.positions.is_empty()
            || !on.loads.is_empty()
            || on.floor
            || on.further
            || on.helper.is_some()
            || !matches!(on.there, None | Some(There::Reached));
        if narrowed {
            continue;
        }
        let Some(dose) = words(limit) else { continue };
        let place = place_text(on, &recorded_names(scope)).replace("the ", "");
        match places.iter_mut().find(|(named, _)| *named == place) {
            Some((_, doses)) if !doses.contains(&dose) => doses.push(dose),
            Some(_) => {}
            None => places.push((place, vec![dose])),
        }
    }
    places.sort_by_key(|(place, _)| !place.is_empty());
    let said: Vec<String> = places
        .into_iter()
        .map(
            |(place, doses)| {
                if place.is_empty() { doses.join(", ") } else { format!("{place}: {}", doses.join(", ")) }
            },
        )
        .collect();
    (!said.is_empty()).then(|| format!("{}.", capital(&said.join("; "))))
}

/// What waits for a clinician's word, as one sentence of a card; nothing where nothing does.
pub(super) fn waiting_sentence(limits: &[&Limit], scope: Scope) -> Option<String> {
    let waiting: Vec<String> = limits
        .iter()
        .filter(|limit| limit.when.until_cleared)
        .map(|limit| limit.text_in(scope).replace(" until cleared", ""))
        .collect();
    (!waiting.is_empty()).then(|| format!("Until a clinician has cleared it: {}.", waiting.join("; ")))
}

fn recorded_names(scope: Scope) -> Vec<String> {
    let named =
        [scope.muscle.map(muscle_name), scope.joint.map(|joint| format!("the {}", joint.plain_name()))];
    let mut named: Vec<String> = named.into_iter().flatten().collect();
    if named.is_empty() {
        named.push("the place (not recorded: counts everywhere)".to_owned());
    }
    named
}

impl Condition {
    /// How a record of it is typed, such as `recent-fracture:SIDE:JOINT:cleared=WHO`.
    pub fn typed(&self) -> String {
        let any = |what: fn(&Limit) -> bool| self.limits.iter().any(what);
        let place = match self.site {
            Site::Nowhere => "",
            Site::Muscle => ":MUSCLE",
            Site::Joint => ":JOINT",
            Site::Either => ":MUSCLE-OR-JOINT",
        };
        let parts = [
            (self.side_bound, ":SIDE"),
            (true, place),
            (any(|limit| limit.when.from_week.is_some()), ":due=YYYY-MM-DD"),
            (any(|limit| limit.when.first_days.is_some()), ":since=YYYY-MM-DD"),
            (any(|limit| limit.when.until_cleared), ":cleared=WHO"),
        ];
        let told: String = parts.iter().filter(|(is, _)| *is).map(|(_, part)| *part).collect();
        format!("{}{told}", self.id)
    }
}

/// What a form may load, in words after 'no': "weight on the hand", "a grip on the thigh or lower leg".
fn loads_text(loads: &[BodyLoad]) -> String {
    let parts = |of: &dyn Fn(BodyLoad) -> Option<BodyPart>| {
        let named: Vec<&str> = loads.iter().filter_map(|&load| of(load)).map(BodyPart::plain_name).collect();
        (!named.is_empty()).then(|| listed(&named, "or"))
    };
    let hands = |wanted: Contact| {
        parts(&move |load| match load {
            BodyLoad::Contact(contact, part) if contact == wanted => Some(part),
            _ => None,
        })
    };
    let pulled: Vec<&str> = loads
        .iter()
        .filter_map(|load| if let BodyLoad::Traction(joint) = load { Some(joint.plain_name()) } else { None })
        .collect();
    let has = |load: BodyLoad| loads.contains(&load);
    let said = [
        parts(&|load| if let BodyLoad::Weight(part) = load { Some(part) } else { None })
            .map(|named| format!("weight on the {named}")),
        has(BodyLoad::Stands).then(|| "standing on that leg".to_owned()),
        has(BodyLoad::OneLeg).then(|| "standing on that leg alone".to_owned()),
        has(BodyLoad::Stride).then(|| "one leg forward and one back".to_owned()),
        has(BodyLoad::LainOn).then(|| "work lying on that side".to_owned()),
        has(BodyLoad::HeadLow).then(|| "head low".to_owned()),
        parts(&|load| if let BodyLoad::Pressed(part) = load { Some(part) } else { None })
            .map(|named| format!("lying on or pressing the {named}")),
        (!pulled.is_empty()).then(|| format!("pull across the {}", listed(&pulled, "or"))),
        hands(Contact::Grips).map(|named| format!("grip on the {named}")),
        hands(Contact::Presses).map(|named| format!("firm hand on the {named}")),
        hands(Contact::Touches).map(|named| format!("hand on the {named}")),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    listed(&said.iter().map(String::as_str).collect::<Vec<_>>(), "or")
}

fn join(text: String, place: &str, by: &str) -> String {
    if place.is_empty() { text } else { text + by + place }
}

fn out_text(on: &Pattern, place: &str) -> String {
    if let Some(text) = there_text(on, place) {
        return text;
    }
    let mut text = String::from("no ");
    match (on.helper, on.method) {
        (Some(Helper::Assisted), None) => text += "hands-on work",
        (Some(Helper::Client), None) => text += "stretching alone",
        (helper, Some(Method::ContractRelax)) => {
            text += if helper == Some(Helper::Client) { "contract-relax alone" } else { "contract-relax" };
        }
        (_, Some(Method::Static)) => text += "still hold",
        (None, None) if on.motions.is_empty() && on.loads.is_empty() && !place.is_empty() => {
            text += "stretch";
        }
        (None, None) => {}
    }
    let plain = text == "no ";
    if !place.is_empty() {
        text += " of ";
        text += place;
    }
    if !on.motions.is_empty() {
        if !plain {
            text += " with ";
        }
        text += &motions_text(&on.motions);
    }
    if !on.loads.is_empty() {
        if !plain || !on.motions.is_empty() {
            text += " with ";
        }
        text += &loads_text(&on.loads);
    }
    if !on.positions.is_empty() {
        let positions: Vec<&str> = on.positions.iter().map(|position| position.plain_name()).collect();
        text += if text == "no " { "work " } else { " " };
        text += &listed(&positions, "or");
    }
    if on.further {
        text +=
            if text == "no " { "form but the gentlest of a stretch" } else { " but in the gentlest form" };
    }
    if on.floor {
        text += if text == "no " { "work on the floor" } else { " on the floor" };
    }
    text
}

/// What is not done at the place on record, other than to reach it.
fn there_text(on: &Pattern, place: &str) -> Option<String> {
    let beyond = if on.beyond { " or below it" } else { "" };
    let what = match on.there? {
        There::Reached => return None,
        There::Loaded => "no weight, pull or firm hand on",
        There::StoodOn => "no standing on",
        There::Pulled => "no pull across",
        There::Held => "no firm hand or grip on",
        There::Touched => "no hand on",
        There::LainOn => {
            return Some("no work lying on that side, where a shoulder or hip is meant".to_owned());
        }
    };
    let who = if on.helper == Some(Helper::Assisted) { " of the trainer's" } else { "" };
    Some(format!("{what} {place}{beyond}{who}"))
}

fn motions_text(motions: &[MotionOver]) -> String {
    let one_joint = motions.windows(2).all(|pair| pair[0].motion.joint() == pair[1].motion.joint());
    let parts: Vec<String> = motions
        .iter()
        .enumerate()
        .map(|(index, part)| {
            let name = motion_name(part.motion);
            let name = if index > 0 && one_joint { without_joint(&name, part.motion.joint()) } else { name };
            match part.over.get() {
                0 if matches!(part.motion, Motion::KneeExtension | Motion::ElbowExtension) => {
                    format!("{} past straight", part.motion.joint().plain_name())
                }
                0 => name,
                over if over < 0 => {
                    format!("{} within {} degrees of straight", part.motion.joint().plain_name(), -over)
                }
                over => format!("{name} past {over} degrees"),
            }
        })
        .collect();
    parts.join(" with ")
}

fn without_joint(name: &str, joint: Joint) -> String {
    name.strip_prefix(joint.id()).map_or(name, str::trim_start).to_owned()
}

/// A motion in words; bends and turns relative to the condition's side.
fn motion_name(motion: Motion) -> String {
    let words = motion.id().replace('_', " ");
    if let Some(stem) = words.strip_suffix(" same") {
        format!("{stem} to that side")
    } else if let Some(stem) = words.strip_suffix(" opposite") {
        format!("{stem} to the other side")
    } else {
        words
    }
}

/// The joints and muscles of a pattern in words; `recorded` is what the record names.
fn place_text(on: &Pattern, recorded: &[String]) -> String {
    let joints = on.joints.iter().map(|joint| format!("the {}", joint.plain_name()));
    let muscles = on.muscles.iter().map(|muscle| muscle_name(*muscle));
    let recorded = recorded.iter().filter(|_| on.there.is_some()).cloned();
    let places: Vec<String> = joints.chain(muscles).chain(recorded).collect();
    listed(&places.iter().map(String::as_str).collect::<Vec<_>>(), "and")
}

fn muscle_name(muscle: Muscle) -> String {
    format!("the {}", muscle.plain_name())
}

fn listed(words: &[&str], last: &str) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [init @ .., end] => format!("{} {last} {end}", init.join(", ")),
    }
}

/// The title of a condition on the screen: name, then side and place.
pub(super) fn title(name: &str, side_bound: bool, side: Option<Side>, scope: Scope) -> String {
    let whose = match side {
        _ if !side_bound => None,
        Some(side) => Some(side.id().to_owned()),
        None => Some("both sides".to_owned()),
    };
    let place = scope
        .muscle
        .map(|muscle| muscle.plain_name().to_owned())
        .or_else(|| scope.joint.map(|joint| joint.plain_name().to_owned()));
    let more: Vec<String> = [whose, place].into_iter().flatten().collect();
    if more.is_empty() { name.to_owned() } else { format!("{name}, {}", more.join(" ")) }
}
