//! From the text of a file to checked conditions, with every flaw.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::body::{Degrees, Joint, Level, Motion, Muscle, Seconds};
use crate::catalogue::{Helper, Method, Position};

use super::condition::{
    AgeBand, Chapter, Clearance, Condition, ConditionId, Limit, MotionOver, Pattern, Precaution, Site,
    Verified, When,
};
use super::conditions::ConditionFlaw;

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
    avoid: String,
    fine: String,
    say: String,
    #[serde(default)]
    red_flag: String,
    source: String,
    verified: Verified,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawLimit {
    // What work.
    #[serde(default)]
    over: BTreeMap<Motion, Degrees>,
    #[serde(default)]
    positions: Vec<Position>,
    #[serde(default)]
    floor: bool,
    lain_on: Option<bool>,
    method: Option<Method>,
    helper: Option<Helper>,
    #[serde(default)]
    muscles: Vec<Muscle>,
    #[serde(default)]
    joints: Vec<Joint>,
    #[serde(default)]
    recorded: bool,
    // What about it; nothing means that it is not done.
    level: Option<Level>,
    longest_hold_s: Option<u32>,
    longest_push_s: Option<u32>,
    most_cycles: Option<u8>,
    no_massage: Option<bool>,
    barrier: Option<bool>,
    no_hands: Option<String>,
    stop: Option<bool>,
    // When.
    #[serde(default)]
    until_cleared: bool,
    from_week: Option<u8>,
    first_days: Option<u32>,
    from_age: Option<u32>,
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
        if limits.iter().any(|limit| limit.on.recorded) != (site != Site::Nowhere) {
            flaws.push("`site` and a limit on what is `recorded` go together".to_owned());
        }
        if limits.iter().any(|limit| limit.on.lain_on) && !self.side_bound {
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
        let condition = Condition {
            id: self.id,
            name: self.name,
            chapter,
            side_bound: self.side_bound,
            site,
            everyone: self.everyone,
            ages: self.ages.map(|[from, to]| AgeBand { from, to }),
            limits,
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

impl RawLimit {
    fn check(self) -> Result<Limit, String> {
        let motions: Vec<MotionOver> =
            self.over.into_iter().map(|(motion, over)| MotionOver { motion, over }).collect();
        if motions.iter().any(|part| part.over.get() < 0 && part.motion != Motion::KneeExtension) {
            return Err("an angle that is free is at least 0; only `knee_extension` may be less, for a knee near straight"
                .to_owned());
        }
        let push = match (self.longest_push_s, self.most_cycles) {
            (Some(longest), Some(cycles)) => {
                Some(Precaution::Push { longest: Seconds::new(longest), cycles })
            }
            (None, None) => None,
            _ => return Err("`longest_push_s` and `most_cycles` go together".to_owned()),
        };
        let precautions: Vec<Precaution> = [
            self.level.map(Precaution::Level),
            self.longest_hold_s.map(|seconds| Precaution::Hold(Seconds::new(seconds))),
            push,
            self.no_massage.map(|_| Precaution::Massage),
            self.barrier.map(|_| Precaution::Barrier),
            self.no_hands.map(Precaution::Hands),
            self.stop.map(|_| Precaution::Stop),
        ]
        .into_iter()
        .flatten()
        .collect();
        let precaution = match <[Precaution; 1]>::try_from(precautions) {
            Ok([precaution]) => precaution,
            Err(none) if none.is_empty() => Precaution::Contraindicated,
            Err(_) => return Err("one limit does one thing; write two".to_owned()),
        };
        let on = Pattern {
            motions,
            positions: self.positions,
            floor: self.floor,
            lain_on: self.lain_on == Some(true),
            method: self.method,
            helper: self.helper,
            muscles: self.muscles,
            joints: self.joints,
            recorded: self.recorded,
        };
        match precaution {
            Precaution::Contraindicated if on.is_everything() => {
                return Err("a limit without motion, position, method, helper, muscle or joint: \
                            write `stop = true` if no work is meant"
                    .to_owned());
            }
            Precaution::Massage | Precaution::Barrier | Precaution::Hands(_) | Precaution::Stop
                if !on.is_everything() =>
            {
                return Err(
                    "this holds for the whole session; it takes no motion, position or muscle".to_owned()
                );
            }
            _ => {}
        }
        let when = When {
            until_cleared: self.until_cleared,
            from_week: self.from_week,
            first_days: self.first_days,
            from_age: self.from_age,
        };
        Ok(Limit { on, precaution, when })
    }
}
