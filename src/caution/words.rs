//! Limits in plain words, made from the data so that text and rule cannot part.

use crate::body::{Joint, Motion, Muscle, Side};
use crate::catalogue::{Helper, Method};

use super::condition::{Condition, Limit, MotionOver, Pattern, Precaution, Site};
use super::matching::Scope;

impl Limit {
    /// The limit in words, such as "no hip flexion past 90 degrees"; nothing is said about whose side it is.
    pub fn text(&self) -> String {
        self.text_with(&place_text(&self.on, &["the place on record".to_owned()]))
    }

    /// The limit in words, naming the muscle or joint of a record.
    pub(super) fn text_in(&self, scope: Scope) -> String {
        let named =
            [scope.muscle.map(muscle_name), scope.joint.map(|joint| format!("the {}", joint_name(joint)))];
        let mut named: Vec<String> = named.into_iter().flatten().collect();
        if named.is_empty() {
            named.push("the place (not recorded: counts everywhere)".to_owned());
        }
        self.text_with(&place_text(&self.on, &named))
    }

    fn text_with(&self, place: &str) -> String {
        let mut text = match &self.precaution {
            Precaution::Contraindicated => out_text(&self.on, place),
            Precaution::Level(level) => join(format!("aim at {level} at most"), place, " for "),
            Precaution::Hold(longest) => join(format!("hold at most {} s", longest.get()), place, " for "),
            Precaution::Push { longest, cycles } => {
                join(format!("light pushes of at most {} s, {cycles} times", longest.get()), place, " for ")
            }
            Precaution::Massage => "no massage".to_owned(),
            Precaution::Barrier => "a towel or mat between hand and client".to_owned(),
            Precaution::Hands(place) => format!("no pressure or grip on {place}"),
            Precaution::Stop => "no session today".to_owned(),
        };
        let when = self.when;
        let times = [
            when.from_week.map(|week| format!(" from week {week}")),
            when.first_days.map(|days| format!(" in the first {days} days")),
            when.from_age.map(|age| format!(" from the age of {age}")),
            when.until_cleared.then(|| " until cleared".to_owned()),
        ];
        text.extend(times.into_iter().flatten());
        text
    }
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

fn join(text: String, place: &str, by: &str) -> String {
    if place.is_empty() { text } else { text + by + place }
}

fn out_text(on: &Pattern, place: &str) -> String {
    if on.lain_on {
        let what = if on.recorded { ", where a shoulder or hip is meant" } else { "" };
        return format!("no work lying on that side{what}");
    }
    let mut text = String::from("no ");
    match (on.helper, on.method) {
        (Some(Helper::Assisted), None) => text += "hands-on work",
        (Some(Helper::Client), None) => text += "stretching alone",
        (helper, Some(Method::ContractRelax)) => {
            text += if helper == Some(Helper::Client) { "contract-relax alone" } else { "contract-relax" };
        }
        (_, Some(Method::Static)) => text += "still hold",
        (None, None) if on.motions.is_empty() && !place.is_empty() => text += "stretch",
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
    if !on.positions.is_empty() {
        let positions: Vec<&str> = on.positions.iter().map(|position| position.plain_name()).collect();
        text += if plain && on.motions.is_empty() { "work " } else { " " };
        text += &listed(&positions, "or");
    }
    if on.floor {
        text += if text == "no " { "work on the floor" } else { " on the floor" };
    }
    text
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
                0 => name,
                over if over < 0 => {
                    format!("{} within {} degrees of straight", joint_name(part.motion.joint()), -over)
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
    let joints = on.joints.iter().map(|joint| format!("the {}", joint_name(*joint)));
    let muscles = on.muscles.iter().map(|muscle| muscle_name(*muscle));
    let recorded = recorded.iter().filter(|_| on.recorded).cloned();
    let places: Vec<String> = joints.chain(muscles).chain(recorded).collect();
    listed(&places.iter().map(String::as_str).collect::<Vec<_>>(), "and")
}

fn muscle_name(muscle: Muscle) -> String {
    format!("the {}", muscle.plain_name())
}

/// A joint in words, as a list says it.
pub(super) const fn joint_name(joint: Joint) -> &'static str {
    match joint {
        Joint::Scapula => "shoulder blade",
        Joint::Trunk => "back",
        _ => joint.id(),
    }
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
        .or_else(|| scope.joint.map(|joint| joint_name(joint).to_owned()));
    let more: Vec<String> = [whose, place].into_iter().flatten().collect();
    if more.is_empty() { name.to_owned() } else { format!("{name}, {}", more.join(" ")) }
}
