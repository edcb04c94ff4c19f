//! The card and the health checks of a client, as far as they are told, in the document of an export.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use crate::body::{Muscle, Side};
use crate::catalogue::{Equipment, StretchId};
use crate::caution::RecordedCondition;
use crate::client::{Aim, Profile, Screening, Sex, Touch};

use super::export::Disclosed;

#[derive(Debug, Serialize)]
pub(super) struct ProfileJson<'a> {
    sex: Option<Sex>,
    mass_kg: Option<u16>,
    aims: &'a [Aim],
    likes: &'a [StretchId],
    dislikes: &'a [StretchId],
    at_home: &'a [Equipment],
    tight: Vec<TightJson>,
    agreements: Vec<AgreementJson<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contact: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct TightJson {
    muscle: Muscle,
    side: Side,
    on: Option<NaiveDate>,
    off: Option<NaiveDate>,
}

#[derive(Debug, Serialize)]
struct AgreementJson<'a> {
    to: Touch,
    given: bool,
    on: Option<NaiveDate>,
    off: Option<NaiveDate>,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'a str>,
}

#[derive(Debug, Serialize)]
pub(super) struct HealthJson<'a> {
    conditions: Vec<ConditionJson<'a>>,
    screenings: Vec<ScreeningJson<'a>>,
    guardians: Vec<GuardianJson<'a>>,
}

#[derive(Debug, Serialize)]
struct ConditionJson<'a> {
    id: String,
    side: Option<Side>,
    muscle: Option<Muscle>,
    joint: Option<String>,
    since: Option<NaiveDate>,
    due: Option<NaiveDate>,
    week: Option<u8>,
    cleared_by: Option<&'a str>,
    cleared_on: Option<NaiveDate>,
    until: Option<NaiveDate>,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct ScreeningJson<'a> {
    on: NaiveDate,
    answers: BTreeMap<&'a str, String>,
    open: Vec<OpenJson<'a>>,
    taken_back: Option<NaiveDate>,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct OpenJson<'a> {
    what: &'a str,
    cleared_by: Option<&'a str>,
    cleared_on: Option<NaiveDate>,
}

#[derive(Debug, Serialize)]
struct GuardianJson<'a> {
    name: &'a str,
    on: NaiveDate,
    off: Option<NaiveDate>,
}

/// Somebody's words, if they are told and there are any.
pub(super) fn remark(words: &str, told: Disclosed) -> Option<&str> {
    (told.remarks && !words.is_empty()).then_some(words)
}

impl<'a> ProfileJson<'a> {
    pub(super) fn new(profile: &'a Profile, told: Disclosed) -> Self {
        let tight = profile.tight.iter().map(|row| TightJson {
            muscle: row.unit.muscle,
            side: row.unit.side,
            on: row.on,
            off: row.off,
        });
        let agreements = profile.agreements.iter().map(|row| AgreementJson {
            to: row.to,
            given: row.given,
            on: row.on,
            off: row.off,
            remark: remark(&row.note, told),
        });
        Self {
            sex: profile.sex,
            mass_kg: profile.mass.map(crate::body::Kilograms::get),
            aims: &profile.aims,
            likes: &profile.likes,
            dislikes: &profile.dislikes,
            at_home: &profile.at_home,
            tight: tight.collect(),
            agreements: agreements.collect(),
            contact: (told.name && !profile.contact.is_empty()).then_some(profile.contact.as_str()),
            remark: remark(&profile.note, told),
        }
    }
}

impl<'a> HealthJson<'a> {
    pub(super) fn new(profile: &'a Profile, told: Disclosed) -> Self {
        let guardian = |row: &'a crate::client::Guardian| GuardianJson {
            name: if told.name { &row.name } else { "guardian" },
            on: row.on,
            off: row.off,
        };
        Self {
            conditions: profile.conditions.iter().map(|row| ConditionJson::new(row, told)).collect(),
            screenings: profile.screenings.iter().map(|row| ScreeningJson::new(row, told)).collect(),
            guardians: profile.guardians.iter().map(guardian).collect(),
        }
    }
}

impl<'a> ConditionJson<'a> {
    fn new(row: &'a RecordedCondition, told: Disclosed) -> Self {
        Self {
            id: row.id.to_string(),
            side: row.side,
            muscle: row.muscle,
            joint: row.joint.map(|joint| joint.to_string()),
            since: row.since,
            due: row.due,
            week: row.week,
            cleared_by: row.cleared_by.as_deref(),
            cleared_on: row.cleared_on,
            until: row.until,
            remark: remark(&row.note, told),
        }
    }
}

impl<'a> ScreeningJson<'a> {
    fn new(row: &'a Screening, told: Disclosed) -> Self {
        Self {
            on: row.on,
            answers: row.answers.iter().map(|(asked, answer)| (asked.as_str(), answer.to_string())).collect(),
            open: row
                .open
                .iter()
                .map(|point| OpenJson {
                    what: &point.what,
                    cleared_by: point.cleared.as_ref().map(|cleared| cleared.by.as_str()),
                    cleared_on: point.cleared.as_ref().map(|cleared| cleared.on),
                })
                .collect(),
            taken_back: row.off,
            remark: remark(&row.note, told),
        }
    }
}
