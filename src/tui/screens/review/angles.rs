//! The angles of a review: asked for in the words of the test's position and with the way they count.

use crate::body::{Degrees, Muscle};
use crate::client::{Report, Session};
use crate::insight::{AngleAsked, Learned};
use crate::tui::shared::Shared;

/// What is measured of a step.
pub(super) fn asked(report: &Report, shared: &Shared) -> Option<AngleAsked> {
    AngleAsked::of(shared.catalogue.form(&report.stretch, &report.form)?.1)
}

/// What is typed where an angle is, in the words of the test's position.
pub(super) fn question(report: Option<&Report>, shared: &Shared) -> String {
    report.and_then(|report| asked(report, shared)).map_or_else(
        || "nothing of this stretch is measured in degrees".to_owned(),
        |asked| format!("degrees {}: {}", asked.written(), asked.what()),
    )
}

/// What was wished to be measured on both sides and was on neither, at most two.
pub(super) fn unmeasured(session: &Session, learned: &Learned, shared: &Shared) -> Vec<String> {
    let reports: Vec<&Report> = session.reports.values().collect();
    let wished = |muscle: Muscle| {
        reports.iter().find_map(|report| {
            let (stretch, form) = shared.catalogue.form(&report.stretch, &report.form)?;
            let other = report.side?.other();
            let is_twin = |twin: &&&Report| {
                (&twin.stretch, &twin.form, twin.side) == (&report.stretch, &report.form, Some(other))
            };
            let twin = reports.iter().find(is_twin)?;
            let is_open = report.angle().is_none() && twin.angle().is_none();
            let is_it = form.targets.first()?.muscle == muscle && is_open;
            let asked = AngleAsked::of(form).filter(|_| is_it)?;
            Some(format!("{}: measured on both sides? g notes it ({})", stretch.name, asked.what()))
        })
    };
    learned.wishes(|muscle| wished(muscle).is_some()).into_iter().filter_map(wished).collect()
}

/// The degrees that were typed; none takes them out again.
pub(super) fn read(typed: &str, asked: Option<AngleAsked>) -> Result<Option<Degrees>, String> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    let asked = asked.ok_or_else(|| "nothing of this stretch is measured in degrees".to_owned())?;
    asked.read(typed).map(Some)
}

/// A measured angle as it is written of that stretch.
pub(super) fn said(report: &Report, angle: Degrees, shared: &Shared) -> String {
    asked(report, shared).map_or_else(|| angle.get().to_string(), |asked| asked.said(angle))
}

/// The measured angle of a report in words, or nothing.
pub(super) fn words(report: &Report, shared: &Shared) -> String {
    report.angle().map(|angle| format!("{} degrees", said(report, angle, shared))).unwrap_or_default()
}
