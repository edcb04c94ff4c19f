//! A client's sessions as JSON, for a table or a chart elsewhere.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use crate::body::Side;
use crate::catalogue::{Catalogue, FormId, Method, StretchId};
use crate::client::{Client, Consent, ConsentLimit, Ended, Report, Session, Trained};

use super::HistoryFilter;
use super::insight_json::InsightJson;

/// Version of the shape, which `docs/history.schema.json` describes.
const VERSION: u32 = 2;

#[derive(Debug, Serialize)]
struct HistoryJson<'a> {
    version: u32,
    client: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<&'a str>,
    sessions: Vec<SessionJson<'a>>,
    insight: InsightJson,
}

#[derive(Debug, Serialize)]
struct SessionJson<'a> {
    at: String,
    minutes: u8,
    trained: &'a Trained,
    consent: Consent,
    narrowed: BTreeMap<ConsentLimit, String>,
    closed: Option<String>,
    note: &'a str,
    reports: Vec<ReportJson<'a>>,
}

#[derive(Debug, Serialize)]
struct ReportJson<'a> {
    number: u32,
    stretch: &'a StretchId,
    form: &'a FormId,
    side: Option<Side>,
    method: Method,
    cycles: u8,
    held_s: u32,
    level: Option<u8>,
    angle_deg: Option<i16>,
    ended: Ended,
    note: &'a str,
}

/// Writes the sessions that a filter leaves, and what all of them tell as of `today`, as far as the filter is about it;
/// without `names`, neither name nor id nor any remark leaves the program.
///
/// A filter by stretch or muscle leaves only reports that are about it, and sessions that have one.
///
/// # Errors
/// Fails where the sessions cannot be written as JSON.
pub fn history_json(
    client: &Client,
    catalogue: &Catalogue,
    today: NaiveDate,
    filter: &HistoryFilter,
    names: bool,
) -> Result<String, serde_json::Error> {
    let is_about = |report: &&Report| filter.takes(&report.stretch, catalogue);
    let shown = |session: &&Session| filter.takes_session(session, catalogue);
    let mut insight = InsightJson::of(client, catalogue, today);
    insight.keep(filter, catalogue);
    let said = |note: &'_ str| -> bool { names && !note.is_empty() };
    let document = HistoryJson {
        version: VERSION,
        client: if names { client.profile.id.as_str() } else { "client" },
        name: names.then_some(client.profile.name.as_str()),
        sessions: client
            .sessions
            .iter()
            .filter(shown)
            .map(|session| SessionJson {
                at: session.at.to_rfc3339(),
                minutes: session.minutes.get(),
                trained: &session.trained,
                consent: session.consent,
                narrowed: session
                    .limits()
                    .filter_map(|what| Some((what, session.narrowed_at(what)?.to_rfc3339())))
                    .collect(),
                closed: session.closed.map(|closed| closed.to_rfc3339()),
                note: if said(&session.note) { &session.note } else { "" },
                reports: session
                    .reports
                    .iter()
                    .filter(|(_, report)| is_about(report))
                    .map(|(number, report)| ReportJson {
                        number: *number,
                        stretch: &report.stretch,
                        form: &report.form,
                        side: report.side,
                        method: report.method,
                        cycles: report.cycles,
                        held_s: report.held.get(),
                        level: report.level.map(crate::body::Level::get),
                        angle_deg: report.angle().map(crate::body::Degrees::get),
                        ended: report.ended,
                        note: if said(&report.note) { &report.note } else { "" },
                    })
                    .collect(),
            })
            .collect(),
        insight,
    };
    let mut text = serde_json::to_string_pretty(&document)?;
    text.push('\n');
    Ok(text)
}
