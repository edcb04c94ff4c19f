//! Who answered higher, stretch by stretch and session by session: to be looked at, and no claim.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::catalogue::{Catalogue, StretchId};
use crate::client::Client;

use super::compare::twins;
use super::record;

/// What the two sides of a stretch answered in one session, worked alike on both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AnswerLead {
    /// The day of the session.
    pub on: NaiveDate,
    /// Left less right: above 0 left was answered higher.
    pub lead: i32,
}

/// The leads of every stretch of which both sides were ever answered, oldest first.
///
/// Of several forms in one session the first that was worked on both sides speaks.
pub fn answer_leads<'a>(
    client: &'a Client,
    catalogue: &'a Catalogue,
    today: NaiveDate,
) -> BTreeMap<&'a StretchId, Vec<AnswerLead>> {
    let mut all: BTreeMap<&StretchId, Vec<AnswerLead>> = BTreeMap::new();
    for sitting in record::read(client, None, catalogue, today) {
        let mut seen: Vec<&StretchId> = Vec::new();
        for [(_, left), (_, right)] in twins(&sitting.reports) {
            let (Some(mine), Some(other)) = (left.report.level, right.report.level) else { continue };
            let stretch = &left.report.stretch;
            if seen.contains(&stretch) {
                continue;
            }
            seen.push(stretch);
            let lead = i32::from(mine.get()) - i32::from(other.get());
            all.entry(stretch).or_default().push(AnswerLead { on: sitting.on, lead });
        }
    }
    all
}
