//! From the text of a file to checked conditions, with every flaw.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::body::{BodyPart, Degrees, Joint, Level, Motion, Muscle, Seconds};
use crate::catalogue::{BodyLoad, Contact, Helper, Method, Position};

use super::card::CardSentence;
use super::condition::{AgeBand, Chapter, Clearance, Condition, ConditionId, Site, Verified};
use super::flaw::ConditionFlaw;
use super::limit::{Limit, MotionOver, Pattern, Precaution, There, When};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFile {
    #[serde(default)]
    condition: Vec<RawCondition>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawCondition {
    id: ConditionId,
    name: String,
    #[serde(default)]
    side_bound: bool,
    site: Option<Site>,
    #[serde(default)]
    everyone: bool,
    ages: Option<[u32; 2]>,
    clearance: Clearance,
    #[serde(default)]
    limits: Vec<RawLimit>,
    #[serde(default)]
    card: Vec<RawSentence>,
    avoid: String,
    fine: String,
    say: String,
    #[serde(default)]
    red_flag: String,
    source: String,
    verified: Verified,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum RawSentence {
    Always(String),
    When(RawSentenceWhen),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSentenceWhen {
    text: String,
    until_cleared: Option<bool>,
    once_cleared: Option<bool>,
    from_week: Option<u8>,
    before_week: Option<u8>,
    first_days: Option<u32>,
    after_days: Option<u32>,
    from_age: Option<u32>,
    before_age: Option<u32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawLimit {
    // What work.
    #[serde(default)]
    over: BTreeMap<Motion, Degrees>,
    #[serde(default)]
    positions: Vec<Position>,
    floor: Option<bool>,
    further: Option<bool>,
    method: Option<Method>,
    helper: Option<Helper>,
    #[serde(default)]
    muscles: Vec<Muscle>,
    #[serde(default)]
    joints: Vec<Joint>,
    recorded: Option<bool>,
    there: Option<There>,
    beyond: Option<bool>,
    // What loads.
    #[serde(default)]
    weight_on: Vec<BodyPart>,
    stands: Option<bool>,
    one_leg: Option<bool>,
    stride: Option<bool>,
    lain_on: Option<bool>,
    head_low: Option<bool>,
    #[serde(default)]
    pressed: Vec<BodyPart>,
    #[serde(default)]
    traction: Vec<Joint>,
    #[serde(default)]
    touched: Vec<BodyPart>,
    #[serde(default)]
    held: Vec<BodyPart>,
    #[serde(default)]
    gripped: Vec<BodyPart>,
    // What about it; nothing means that it is not done.
    level: Option<Level>,
    longest_hold_s: Option<u32>,
    longest_push_s: Option<u32>,
    most_cycles: Option<u8>,
    most_stretches: Option<u8>,
    no_massage: Option<bool>,
    barrier: Option<bool>,
    no_hands: Option<String>,
    stop: Option<bool>,
    // When.
    until_cleared: Option<bool>,
    from_week: Option<u8>,
    first_days: Option<u32>,
    from_age: Option<u32>,
    // How it is known.
    basis: String,
}

/// Reads one file: the conditions that hold water, and every flaw.
pub(super) fn read(file: &str, chapter: Chapter, text: &str) -> (Vec<Condition>, Vec<ConditionFlaw>) {
    let flaw = |place: &str, message: String| ConditionFlaw {
        file: file.to_owned(),
        place: place.to_owned(),
        message,
    };
    let raw: RawFile = match toml::from_str(text) {
        Ok(raw) => raw,
        Err(error) => {
            let line = error.span().map_or(0, |span| 1 + text[..span.start].matches('\n').count());
            return (Vec::new(), vec![flaw(&format!("line {line}"), error.message().to_owned())]);
        }
    };
    let mut conditions = Vec::new();
    let mut flaws = Vec::new();
    for raw in raw.condition {
        let id = raw.id.to_string();
        let (condition, messages) = raw.check(chapter);
        flaws.extend(messages.into_iter().map(|message| flaw(&id, message)));
        conditions.push(condition);
    }
    (conditions, flaws)
}

impl RawCondition {
    fn check(self, chapter: Chapter) -> (Condition, Vec<String>) {
        let mut flaws = Vec::new();
        let texts = [("name", &self.name), ("avoid", &self.avoid), ("fine", &self.fine), ("say", &self.say)];
        for (field, text) in texts.into_iter().chain([("source", &self.source)]) {
            if text.trim().is_empty() {
                flaws.push(format!("`{field}` says nothing"));
            }
        }
        let limits: Vec<Limit> = self
            .limits
            .into_iter()
            .enumerate()
            .filter_map(|(index, raw)| {
                raw.check().map_err(|message| flaws.push(format!("limit {}: {message}", index + 1))).ok()
            })
            .collect();
        let site = self.site.unwrap_or(Site::Nowhere);
        if limits.iter().any(|limit| limit.on.there.is_some()) != (site != Site::Nowhere) {
            flaws.push("`site` and a limit on what is `recorded` go together".to_owned());
        }
        if limits.iter().any(|limit| limit.on.loads.contains(&BodyLoad::LainOn)) && !self.side_bound {
            flaws.push("`lain_on` needs a condition that is `side_bound`".to_owned());
        }
        let stops = limits.iter().any(|limit| limit.precaution == Precaution::Stop);
        if self.clearance == Clearance::Urgent && !stops {
            flaws.push("an urgent condition stops the session".to_owned());
        }
        if stops && self.red_flag.is_empty() {
            flaws.push("a condition that stops the session says what the red flag is".to_owned());
        }
        let waits = limits.iter().any(|limit| limit.when.until_cleared);
        if waits && !matches!(self.clearance, Clearance::Yes | Clearance::Ask) {
            flaws.push("nothing waits for a clearance that is not asked for".to_owned());
        }
        if self.clearance == Clearance::Yes && !waits {
            flaws.push("a clearance that is needed leaves something waiting for it".to_owned());
        }
        if self.ages.is_some_and(|[from, to]| from > to) {
            flaws.push("`ages` is [first year, last year]".to_owned());
        }
        if self.card.is_empty() {
            flaws.push("`card` says nothing".to_owned());
        }
        let condition = Condition {
            id: self.id,
            name: self.name,
            chapter,
            side_bound: self.side_bound,
            site,
            everyone: self.everyone,
            ages: self.ages.map(|[from, to]| AgeBand { from, to }),
            limits,
            card: self.card.into_iter().map(RawSentence::sentence).collect(),
            avoid: self.avoid,
            fine: self.fine,
            say: self.say,
            clearance: self.clearance,
            red_flag: self.red_flag,
            source: self.source,
            verified: self.verified,
        };
        (condition, flaws)
    }
}

impl RawSentence {
    fn sentence(self) -> CardSentence {
        match self {
            Self::Always(text) => CardSentence { text, when: When::default() },
            Self::When(raw) => CardSentence {
                text: raw.text,
                when: When {
                    until_cleared: raw.until_cleared == Some(true),
                    once_cleared: raw.once_cleared == Some(true),
                    from_week: raw.from_week,
                    before_week: raw.before_week,
                    first_days: raw.first_days,
                    after_days: raw.after_days,
                    from_age: raw.from_age,
                    before_age: raw.before_age,
                },
            },
        }
    }
}

impl RawLimit {
    fn loads(&self) -> Vec<BodyLoad> {
        let weight = self.weight_on.iter().map(|&part| BodyLoad::Weight(part));
        let pressed = self.pressed.iter().map(|&part| BodyLoad::Pressed(part));
        let traction = self.traction.iter().map(|&joint| BodyLoad::Traction(joint));
        let hands = [
            (Contact::Touches, &self.touched),
            (Contact::Presses, &self.held),
            (Contact::Grips, &self.gripped),
        ];
        let hands = hands
            .into_iter()
            .flat_map(|(contact, parts)| parts.iter().map(move |&part| BodyLoad::Contact(contact, part)));
        let flags = [
            (self.stands, BodyLoad::Stands),
            (self.one_leg, BodyLoad::OneLeg),
            (self.stride, BodyLoad::Stride),
            (self.lain_on, BodyLoad::LainOn),
            (self.head_low, BodyLoad::HeadLow),
        ];
        let flags = flags.into_iter().filter(|(is, _)| *is == Some(true)).map(|(_, load)| load);
        weight.chain(flags).chain(pressed).chain(traction).chain(hands).collect()
    }

    /// What is done about the work; without a word of it, it is not done.
    fn precaution(&self) -> Result<Precaution, String> {
        let push = match (self.longest_push_s, self.most_cycles) {
            (Some(longest), Some(cycles)) => {
                Some(Precaution::Push { longest: Seconds::new(longest), cycles })
            }
            (None, None) => None,
            _ => return Err("`longest_push_s` and `most_cycles` go together".to_owned()),
        };
        let told: Vec<Precaution> = [
            self.level.map(Precaution::Level),
            self.longest_hold_s.map(|seconds| Precaution::Hold(Seconds::new(seconds))),
            push,
            self.most_stretches.map(Precaution::Stretches),
            self.no_massage.map(|_| Precaution::Massage),
            self.barrier.map(|_| Precaution::Barrier),
            self.no_hands.clone().map(Precaution::Hands),
            self.stop.map(|_| Precaution::Stop),
        ]
        .into_iter()
        .flatten()
        .collect();
        match <[Precaution; 1]>::try_from(told) {
            Ok([precaution]) => Ok(precaution),
            Err(none) if none.is_empty() => Ok(Precaution::Contraindicated),
            Err(_) => Err("one limit does one thing; write two".to_owned()),
        }
    }

    fn check(self) -> Result<Limit, String> {
        let loads = self.loads();
        let precaution = self.precaution()?;
        let grounds = self
            .basis
            .parse()
            .map_err(|unknown| format!("{unknown}; write it like `basis = \"seen KISNER, disputed\"`"))?;
        let motions: Vec<MotionOver> =
            self.over.into_iter().map(|(motion, over)| MotionOver { motion, over }).collect();
        if motions.iter().any(|part| part.over.get() < 0 && !part.motion.may_be_short_of_straight()) {
            return Err(
                "an angle that is free is at least 0; only `knee_extension` and `elbow_extension` may be \
                        less, for a joint near straight"
                    .to_owned(),
            );
        }
        let there = match (self.recorded, self.there) {
            (Some(true), None) => Some(There::Reached),
            (_, None) => None,
            (None, there) => there,
            (Some(_), Some(_)) => {
                return Err("`recorded` is `there = \"reached\"`: write one of them".to_owned());
            }
        };
        let on = Pattern {
            motions,
            positions: self.positions,
            floor: self.floor == Some(true),
            further: self.further == Some(true),
            loads,
            method: self.method,
            helper: self.helper,
            muscles: self.muscles,
            joints: self.joints,
            there,
            beyond: self.beyond == Some(true),
        };
        match precaution {
            Precaution::Contraindicated if on.is_everything() => {
                return Err("a limit without motion, position, load, method, helper, muscle or joint: \
                            write `stop = true` if no work is meant"
                    .to_owned());
            }
            Precaution::Massage
            | Precaution::Barrier
            | Precaution::Hands(_)
            | Precaution::Stretches(_)
            | Precaution::Stop
                if !on.is_everything() =>
            {
                return Err(
                    "this holds for the whole session; it takes no motion, position or muscle".to_owned()
                );
            }
            _ => {}
        }
        let when = When {
            until_cleared: self.until_cleared == Some(true),
            from_week: self.from_week,
            first_days: self.first_days,
            from_age: self.from_age,
            ..When::default()
        };
        Ok(Limit { on, precaution, when, grounds })
    }
}
