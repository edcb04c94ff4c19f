//! Everything about a client as one document: card, health checks, sessions, forms, findings.
//!
//! The shape is `docs/export.schema.json`; findings have the shape that they have in a history.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Serialize;

use crate::body::{Motion, Muscle};
use crate::catalogue::{Catalogue, FormId, Helper, Method, Position, StretchId};
use crate::client::{
    Angle, Client, Consent, ConsentLimit, Ended, Instrument, Report, Session, Taken, TestPosition, Trained,
};
use crate::insight::MeasurementError;

use super::export::Disclosed;
use super::export_card::{HealthJson, ProfileJson, remark};
use super::insight_json::InsightJson;
use super::words;

/// Version of the shape.
const VERSION: u32 = 1;

#[derive(Debug, Serialize)]
struct ExportJson<'a> {
    format: &'static str,
    version: u32,
    exported_on: NaiveDate,
    since: Option<NaiveDate>,
    left_out: Vec<&'static str>,
    client: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    born: Option<String>,
    profile: ProfileJson<'a>,
    #[serde(skip_serializing_if = "Option::is_none")]
    health: Option<HealthJson<'a>>,
    forms: Vec<FormJson<'a>>,
    sessions: Vec<SessionOutJson<'a>>,
    insight: InsightJson,
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct FormJson<'a> {
    stretch: &'a StretchId,
    form: &'a FormId,
    stretch_name: &'a str,
    form_name: &'a str,
    position: Position,
    by: Helper,
    targets_percent: BTreeMap<Muscle, u8>,
    angles_deg: BTreeMap<Motion, i16>,
    beyond_deg: i16,
    beyond_source: &'static str,
}

#[derive(Debug, Serialize)]
struct SessionOutJson<'a> {
    at: String,
    closed: Option<String>,
    minutes: u8,
    consent: Consent,
    narrowed: BTreeMap<ConsentLimit, String>,
    trained: &'a Trained,
    #[serde(skip_serializing_if = "Option::is_none")]
    by: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'a str>,
    reports: Vec<ReportOutJson<'a>>,
}

#[derive(Debug, Serialize)]
struct ReportOutJson<'a> {
    number: u32,
    stretch: &'a StretchId,
    form: &'a FormId,
    side: &'static str,
    method: Method,
    cycles: Option<u8>,
    held_s: u32,
    answer: Option<u8>,
    angle_deg: Option<i16>,
    angles: Vec<AngleJson<'a>>,
    planned: Option<PlannedJson>,
    ended: Ended,
    sign: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    remark: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct AngleJson<'a> {
    deg: i16,
    taken: Option<Taken>,
    position: Option<&'a TestPosition>,
    with: Option<&'a Instrument>,
}

#[derive(Debug, Serialize)]
struct PlannedJson {
    held_s: u32,
    cycles: Option<u8>,
    answer: Option<u8>,
}

/// What is exported.
#[derive(Debug, Clone, Copy)]
pub struct Export<'a> {
    /// Whose.
    pub client: &'a Client,
    /// The stretches.
    pub catalogue: &'a Catalogue,
    /// The day; what the sessions tell is told as of it.
    pub today: NaiveDate,
    /// Nothing before this day.
    pub since: Option<NaiveDate>,
    /// What is told beside what was done.
    pub told: Disclosed,
    /// The client's whole file as text, where everything is asked for.
    pub file: Option<&'a str>,
}

impl Export<'_> {
    /// The sessions that are exported.
    pub fn sessions(&self) -> Vec<&Session> {
        let shown = |session: &&Session| self.since.is_none_or(|since| session.at.date_naive() >= since);
        self.client.sessions.iter().filter(shown).collect()
    }

    /// The document.
    ///
    /// # Errors
    /// Fails where it cannot be written as JSON.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let (client, told, sessions) = (self.client, self.told, self.sessions());
        let document = ExportJson {
            format: "matside-export",
            version: VERSION,
            exported_on: self.today,
            since: self.since,
            left_out: told.left_out().collect(),
            client: told.id(client),
            name: told.name.then_some(client.profile.name.as_str()),
            born: client.profile.born.filter(|_| told.born).map(|born| born.to_string()),
            profile: ProfileJson::new(&client.profile, told),
            health: told.conditions.then(|| HealthJson::new(&client.profile, told)),
            forms: self.forms(&sessions),
            sessions: sessions.iter().map(|session| SessionOutJson::new(session, told)).collect(),
            insight: InsightJson::of(client, self.catalogue, self.today),
            file: self.file,
        };
        let mut text = serde_json::to_string_pretty(&document)?;
        text.push('\n');
        Ok(text)
    }

    /// Every form that was used.
    fn forms(&self, sessions: &[&Session]) -> Vec<FormJson<'_>> {
        let reports = sessions.iter().flat_map(|session| session.reports.values());
        let used: BTreeSet<(&StretchId, &FormId)> =
            reports.map(|report| (&report.stretch, &report.form)).collect();
        let known = used.into_iter().filter_map(|(stretch, form)| self.catalogue.form(stretch, form));
        known
            .map(|(stretch, form)| {
                let error = MeasurementError::of_form(form);
                FormJson {
                    stretch: &stretch.id,
                    form: &form.id,
                    stretch_name: &stretch.name,
                    form_name: &form.name,
                    position: form.position,
                    by: form.helper,
                    targets_percent: form.targets.iter().map(|it| (it.muscle, it.share)).collect(),
                    angles_deg: form.motions.iter().map(|it| (it.motion, it.degrees.get())).collect(),
                    beyond_deg: error.beyond,
                    beyond_source: error.source,
                }
            })
            .collect()
    }
}

impl<'a> SessionOutJson<'a> {
    fn new(session: &'a Session, told: Disclosed) -> Self {
        let narrowed =
            session.limits().filter_map(|what| Some((what, session.narrowed_at(what)?.to_rfc3339())));
        let reports = session.reports.iter();
        Self {
            at: session.at.to_rfc3339(),
            closed: session.closed.map(|closed| closed.to_rfc3339()),
            minutes: session.minutes.get(),
            consent: session.consent,
            narrowed: narrowed.collect(),
            trained: &session.trained,
            by: (told.name && !session.by.is_empty()).then_some(session.by.as_str()),
            remark: remark(&session.note, told),
            reports: reports.map(|(number, report)| ReportOutJson::new(*number, report, told)).collect(),
        }
    }
}

impl<'a> ReportOutJson<'a> {
    fn new(number: u32, report: &'a Report, told: Disclosed) -> Self {
        let angle = |angle: &'a Angle| AngleJson {
            deg: angle.degrees.get(),
            taken: angle.taken,
            position: angle.position.as_ref(),
            with: angle.with.as_ref(),
        };
        let cycles = |cycles: u8| (cycles > 0).then_some(cycles);
        Self {
            number,
            stretch: &report.stretch,
            form: &report.form,
            side: words::side(report.side),
            method: report.method,
            cycles: cycles(report.cycles),
            held_s: report.held.get(),
            answer: report.level.map(crate::body::Level::get),
            angle_deg: report.angle().map(crate::body::Degrees::get),
            angles: report.angles.iter().map(angle).collect(),
            planned: report.planned.map(|planned| PlannedJson {
                held_s: planned.held.get(),
                cycles: cycles(planned.cycles),
                answer: planned.aim.map(crate::body::Level::get),
            }),
            ended: report.ended,
            sign: report.sign.as_deref(),
            remark: remark(&report.note, told),
        }
    }
}
