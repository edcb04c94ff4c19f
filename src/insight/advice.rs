//! What changed since last time, and what to do next time, in plain words. No promises, no diagnosis.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::body::{Seconds, Side, Unit};
use crate::catalogue::{Catalogue, StretchId};
use crate::client::{Client, ConsentLimit, Ended};

use super::amount::{Guidance, Standing, last_day, weekly};
use super::measuring::MeasurementError;
use super::pain::says_how_it_went;
use super::record::{Observation, series};
use super::sides::sides;

/// A line for next time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// The stretch it is about, if it is about one.
    pub stretch: Option<StretchId>,
    /// The line.
    pub text: String,
}

/// How a stretch differed from the time before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The stretch.
    pub stretch: StretchId,
    /// The side; none if both were done at once.
    pub side: Option<Side>,
    /// The line.
    pub text: String,
}

/// What changed from the time before to the last session, stretch by stretch; only what was done both times in the
/// same form and method is compared.
pub fn changes(client: &Client, catalogue: &Catalogue) -> Vec<Change> {
    let Some(last_session) = client.sessions.len().checked_sub(1) else { return Vec::new() };
    let mut found = Vec::new();
    for (stretch, series) in series(client) {
        for (side, points) in series {
            let Some(now) = points.last().filter(|point| point.session == last_session) else { continue };
            let alike = |point: &&Observation| {
                point.session < last_session && point.form == now.form && point.method == now.method
            };
            let Some(before) = points.iter().rev().find(alike) else { continue };
            let Some((named, form)) = catalogue.form(stretch, now.form) else { continue };
            let words = difference(before, now, MeasurementError::of_form(form));
            if !words.is_empty() {
                let text = format!("{}{}: {}", named.name, on(side), words.join(", "));
                found.push(Change { stretch: stretch.clone(), side, text });
            }
        }
    }
    found
}

fn difference(before: &Observation, now: &Observation, error: MeasurementError) -> Vec<String> {
    let mut words = Vec::new();
    if let (Some(old), Some(new)) = (before.level, now.level)
        && old != new
    {
        words.push(format!("level {old} to {new}"));
    }
    if before.held != now.held {
        words.push(format!("held {} to {} s", before.held.get(), now.held.get()));
    }
    if let (Some(old), Some(new)) = (before.angle, now.angle)
        && old != new
    {
        let (old, new) = (old.get(), new.get());
        words.push(if error.is_exceeded_by(new - old) {
            format!("{old} to {new} degrees")
        } else {
            format!("{old} to {new} degrees, no change that the measurement could show")
        });
    }
    words
}

/// What to mind next time, weightiest first.
pub fn advice(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Vec<Advice> {
    let mut lines: Vec<(u8, Advice)> = Vec::new();
    let last_session = client.sessions.last();
    let narrowed = |what| last_session.is_some_and(|session| session.is_narrowed(what));
    let withdrawn =
        last_session.is_some_and(|last| last.reports.values().any(|report| report.ended == Ended::Withdrawn));
    let text = if narrowed(ConsentLimit::SelfStretch) && !narrowed(ConsentLimit::Stopped) {
        Some("Went on without hands last time: ask before touching whether that has changed.")
    } else if withdrawn || narrowed(ConsentLimit::Stopped) {
        Some("Consent was taken back last time: ask again before touching.")
    } else {
        None
    };
    lines.extend(text.map(|text| (0, Advice { stretch: None, text: text.to_owned() })));
    for (stretch, series) in series(client) {
        let Some(name) = catalogue.stretch(stretch).map(|stretch| stretch.name.clone()) else { continue };
        for (side, points) in series {
            if let Some((weight, text)) = of_points(&points, &format!("{name}{}", on(side))) {
                lines.push((weight, Advice { stretch: Some(stretch.clone()), text }));
            }
        }
    }
    for (index, difference) in sides(client, catalogue).into_iter().enumerate() {
        // What a plan makes of it is said once.
        let promise = " A plan gives that side more weight and, where that pays, the longer hold.";
        let promise = if index == 0 { promise } else { "" };
        let text = format!("{}: {} felt tighter.{promise}", difference.name, difference.tighter);
        lines.push((2, Advice { stretch: Some(difference.stretch), text }));
    }
    lines.extend(of_week(client, catalogue, today).map(|advice| (4, advice)));
    lines.sort_by_key(|(weight, _)| *weight);
    lines.into_iter().map(|(_, advice)| advice).collect()
}

/// What the latest reports of one stretch and side ask for.
fn of_points(points: &[Observation], name: &str) -> Option<(u8, String)> {
    let last = points.last()?;
    let before = points.len().checked_sub(2).map(|index| &points[index]);
    let tried = points.iter().rev().find(|point| says_how_it_went(point.ended, point.held));
    let twice = |is: fn(&Observation) -> bool| is(last) && before.is_some_and(is);
    // Pain is not over because the stretch was left out since.
    if let Some(tried) = tried.filter(|tried| tried.ended == Ended::Pain) {
        let text = format!(
            "{name}: stopped for pain on {}. Ask first; leave it out or take the gentlest form, and if pain stays, \
             advise seeing a doctor or physiotherapist.",
            tried.date
        );
        return Some((0, text));
    }
    if last.level.is_some_and(|level| level.get() == 5) {
        return Some((1, format!("{name}: 5 last time. Go less far, to about 4 at most.")));
    }
    if twice(|point| point.ended == Ended::Skipped) {
        return Some((3, format!("{name}: skipped twice in a row. Ask whether to leave it out.")));
    }
    if twice(|point| point.level.is_some_and(|level| level.get() <= 2)) {
        return Some((
            3,
            format!(
                "{name}: easy twice in a row. Hold longer or take the further form, if nothing speaks against it."
            ),
        ));
    }
    None
}

/// Muscles that were stretched in the last four weeks and had little in the last one.
fn of_week(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Option<Advice> {
    let guidance = Guidance::default();
    let last_day = last_day(client, today);
    let this_week = weekly(client, catalogue, last_day);
    let earlier = (1..4).filter_map(|weeks| last_day.checked_sub_days(chrono::Days::new(7 * weeks)));
    let known: BTreeSet<Unit> = earlier.flat_map(|day| weekly(client, catalogue, day).into_keys()).collect();
    let week = |unit: Unit| this_week.get(&unit).copied().unwrap_or_default();
    let little = known.into_iter().filter(|unit| week(*unit).standing(guidance) == Standing::Little);
    let mut short: Vec<(Seconds, Unit)> = little.map(|unit| (week(unit).held, unit)).collect();
    short.sort_unstable();
    let mut seen = BTreeSet::new();
    short.retain(|(_, unit)| seen.insert(unit.muscle));
    short.truncate(3);
    let name = |(held, unit): &(Seconds, Unit)| {
        // The side is said where the other one had more.
        let alike = week(Unit { side: unit.side.other(), ..*unit }).held == *held;
        format!("{}{} {held}", unit.muscle.plain_name(), on((!alike).then_some(unit.side)))
    };
    let names: Vec<String> = short.iter().map(name).collect();
    let (least, days) = (guidance.least(), guidance.days);
    (!names.is_empty()).then(|| Advice {
        stretch: None,
        text: format!(
            "Last seven days: {}. General guidance is at least {least} a week on {days} days or more (Garber et al. \
             2011).",
            names.join(", ")
        ),
    })
}

fn on(side: Option<Side>) -> String {
    side.map(|side| format!(", {side}")).unwrap_or_default()
}
