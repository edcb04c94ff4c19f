//! A condition as it is typed: `hip-replacement-posterior:left`, `pregnancy:week=24`, `muscle-strain:left:hamstrings`.

use chrono::NaiveDate;

use crate::body::{Joint, Side, muscle_named};

use super::condition::{RecordedCondition, Site};
use super::conditions::{Conditions, NotOneCondition};

/// Why a typed condition could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ConditionError {
    /// There is no such condition.
    #[error("{0}; `matside cautions` lists them all")]
    Unknown(#[from] NotOneCondition),
    /// A part after the name means nothing.
    #[error(
        "`{part}` says nothing about `{condition}`: use left, right, a muscle, a joint, since=YYYY-MM-DD, \
         due=YYYY-MM-DD, week=1 to 42 or cleared=who"
    )]
    Part {
        /// The condition.
        condition: String,
        /// The part that was not understood.
        part: String,
    },
    /// A side was given for something that has none.
    #[error("`{condition}` belongs to no side: leave out `:{side}`")]
    NoSide {
        /// The condition.
        condition: String,
        /// The side that was given.
        side: Side,
    },
    /// The condition has to say which muscle or joint is meant.
    #[error("`{condition}` needs to know where: add {wanted}, such as `{example}`")]
    Where {
        /// The condition.
        condition: String,
        /// What is missing.
        wanted: &'static str,
        /// How it could look.
        example: String,
    },
}

/// Reads a condition of the built-in list with what is known about it, parts divided by `:`.
///
/// # Errors
/// Says which part is not understood or missing.
pub fn parse_recorded(word: &str) -> Result<RecordedCondition, ConditionError> {
    let recorded = parse_meant(word)?;
    let Some(condition) = Conditions::built_in().get(&recorded.id) else { return Ok(recorded) };
    let name = condition.id.to_string();
    let missing = match condition.site {
        Site::Muscle if recorded.muscle.is_none() => Some(("a muscle", "hamstrings")),
        Site::Joint if recorded.joint.is_none() => Some(("a joint", "knee")),
        Site::Either if recorded.muscle.is_none() && recorded.joint.is_none() => {
            Some(("a muscle or joint", "knee"))
        }
        _ => None,
    };
    match missing {
        Some((wanted, place)) => {
            let example = format!("{name}:left:{place}");
            Err(ConditionError::Where { condition: name, wanted, example })
        }
        None => Ok(recorded),
    }
}

/// Reads which condition is meant among those on record: the place may be left out.
///
/// # Errors
/// Says which part is not understood.
pub fn parse_meant(word: &str) -> Result<RecordedCondition, ConditionError> {
    let mut parts = word.split(':').map(str::trim);
    let condition = Conditions::built_in().named(parts.next().unwrap_or_default())?;
    let name = condition.id.to_string();
    let mut recorded = RecordedCondition::new(condition.id.clone());
    for part in parts.filter(|part| !part.is_empty()) {
        read_part(&mut recorded, part)
            .ok_or_else(|| ConditionError::Part { condition: name.clone(), part: part.to_owned() })?;
    }
    if let Some(side) = recorded.side.filter(|_| !condition.side_bound) {
        return Err(ConditionError::NoSide { condition: name, side });
    }
    Ok(recorded)
}

/// A condition on record, in a few words.
pub fn recorded_words(recorded: &RecordedCondition, today: NaiveDate) -> String {
    let name =
        Conditions::built_in().get(&recorded.id).map_or(recorded.id.as_str(), |condition| &condition.name);
    let bound = Conditions::built_in().get(&recorded.id).is_some_and(|condition| condition.side_bound);
    let side =
        recorded.side.map_or(if bound { ", both sides" } else { "" }.to_owned(), |side| format!(", {side}"));
    let place = recorded.muscle.map(|muscle| format!(", {}", muscle.plain_name())).unwrap_or_default();
    let joint = recorded.joint.map(|joint| format!(", {joint}")).unwrap_or_default();
    let week = recorded.gestational_week(today).map(|week| format!(", week {week}")).unwrap_or_default();
    let since = recorded.since.map(|since| format!(", since {since}")).unwrap_or_default();
    let cleared = recorded.cleared_by.as_ref().map(|who| format!(", cleared by {who}")).unwrap_or_default();
    let over = recorded.until.filter(|until| *until <= today);
    let over = over.map(|until| format!(", over since {until}")).unwrap_or_default();
    format!("{name}{side}{place}{joint}{week}{since}{cleared}{over}")
}

fn read_part(recorded: &mut RecordedCondition, part: &str) -> Option<()> {
    if let Some((key, value)) = part.split_once('=') {
        let value = value.trim();
        match key.trim() {
            "since" => recorded.since = Some(value.parse::<NaiveDate>().ok()?),
            "due" => recorded.due = Some(value.parse::<NaiveDate>().ok()?),
            "week" => recorded.week = Some(value.parse::<u8>().ok().filter(|week| (1..=42).contains(week))?),
            "cleared" if !value.is_empty() => recorded.cleared_by = Some(value.to_owned()),
            _ => return None,
        }
        return Some(());
    }
    let word = part.to_lowercase().replace([' ', '_'], "-");
    if word == "both" {
        recorded.side = None;
    } else if let Ok(side) = word.parse::<Side>() {
        recorded.side = Some(side);
    } else if let Ok(joint) = word.parse::<Joint>() {
        recorded.joint = Some(joint);
    } else if let Some(muscle) = muscle_named(part) {
        recorded.muscle = Some(muscle);
    } else {
        recorded.joint = Some(Joint::named(part)?);
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Muscle;

    fn refusal(word: &str) -> String {
        parse_recorded(word).expect_err(word).to_string()
    }

    #[test]
    fn a_condition_is_read_with_side_place_and_dates() {
        let hip = parse_recorded("hip-replacement-posterior:left:since=2026-03-02:cleared=surgeon").unwrap();
        assert_eq!(hip.side, Some(Side::Left));
        assert_eq!(hip.since, NaiveDate::from_ymd_opt(2026, 3, 2));
        assert_eq!(hip.cleared_by.as_deref(), Some("surgeon"));
        let strain = parse_recorded("muscle-strain:right:hamstrings").unwrap();
        assert_eq!((strain.side, strain.muscle), (Some(Side::Right), Some(Muscle::Hamstrings)));
        assert_eq!(parse_recorded("pregnancy:week=24").unwrap().week, Some(24));
        assert_eq!(parse_recorded("joint-inflammation:left:knee").unwrap().joint, Some(Joint::Knee));
    }

    #[test]
    fn what_is_not_understood_or_missing_is_named() {
        assert_eq!(
            refusal("hip-replacement-posteror:left"),
            "unknown condition `hip-replacement-posteror`; did you mean `hip-replacement-posterior`?: find out what \
             it means for the work before you touch; `matside cautions` lists them all"
        );
        assert!(refusal("pregnancy:week=50").starts_with("`week=50` says nothing about `pregnancy`"));
        assert!(refusal("pregnancy:left").starts_with("`pregnancy` belongs to no side"));
        assert!(
            refusal("muscle-strain:left").ends_with("add a muscle, such as `muscle-strain:left:hamstrings`")
        );
    }
}
