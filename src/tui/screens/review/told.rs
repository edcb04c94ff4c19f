//! What a session tells once it is over: what stands out, and what to do the next time.

use std::collections::BTreeMap;

use crate::body::{Level, Side};
use crate::catalogue::StretchId;
use crate::client::{ConsentLimit, Ended, Report};
use crate::insight::{Claim, Learned};
use crate::tui::shared::Shared;
use crate::tui::words::stretch_name;
use crate::words::ClaimWords;
use crate::words::date;

use super::{State, angles};

/// The most that is said of what the sessions tell.
const SAID: usize = 2;

/// What a session tells.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct ReviewTold {
    /// What stands out.
    pub(super) stands_out: Vec<String>,
    /// What to do the next time, if it is anything else than today.
    pub(super) next_time: Option<String>,
    /// What the same stretch and side was answered the time before; none if that was never done.
    before: BTreeMap<(StretchId, Option<Side>), Option<Level>>,
}

impl State {
    /// Works out what it tells.
    pub(super) fn judge(&mut self, shared: &Shared) {
        let mut stands_out = Vec::new();
        let reports = || self.session.reports.values();
        for report in reports().filter(|report| report.ended == Ended::Done) {
            let form = shared.catalogue.form(&report.stretch, &report.form).map(|(_, form)| form);
            let alone = report.side.filter(|side| {
                let other = Some(side.other());
                form.is_some_and(|form| form.workings().contains(&other))
                    && !reports().any(|twin| twin.stretch == report.stretch && twin.side == other)
            });
            let name = stretch_name(&report.stretch, &shared.catalogue);
            stands_out.extend(alone.map(|side| format!("{name}: on the {side} only")));
        }
        let today = self.session.at.date_naive();
        let learned = Learned::after(&self.client, &self.session, &shared.catalogue, today);
        let words = ClaimWords { catalogue: &shared.catalogue, today };
        stands_out.extend(angles::unmeasured(&self.session, &learned, shared));
        let (next, tells): (Vec<&Claim>, Vec<&Claim>) =
            learned.claims().iter().partition(|claim| claim.is_for_next_time());
        stands_out.extend(tells.into_iter().map(|claim| words.sentence(claim)).take(SAID));
        let next_time = next.first().map(|claim| words.sentence(claim));
        self.told = ReviewTold { stands_out, next_time, before: self.before() };
    }

    /// The last answers before this session.
    fn before(&self) -> BTreeMap<(StretchId, Option<Side>), Option<Level>> {
        let earlier = self.client.sessions.iter().filter(|session| session.at < self.session.at);
        let done =
            earlier.flat_map(|session| session.reports.values()).filter(|report| report.ended == Ended::Done);
        let here = |report: &&Report| {
            let mut today = self.session.reports.values();
            today.any(|now| now.stretch == report.stretch && now.side == report.side)
        };
        // Later ones take the place of earlier ones.
        done.filter(here).map(|report| ((report.stretch.clone(), report.side), report.level)).collect()
    }

    /// What the same stretch and side was answered the time before, in words.
    pub(super) fn last_time(&self, report: &Report) -> String {
        match self.told.before.get(&(report.stretch.clone(), report.side)) {
            None => "first time".to_owned(),
            Some(None) => "not asked".to_owned(),
            Some(Some(level)) => level.to_string(),
        }
    }

    /// When consent was taken back, if it was, and what can be done about a slip of the finger.
    pub(super) fn taken_back(&self) -> Option<String> {
        let at = self.session.narrowed_at(ConsentLimit::Stopped)?;
        Some(format!("consent taken back at {}, noted; Space asks again", date::time_of_day(at)))
    }

    /// How long it took, of the minutes that were planned.
    pub(super) fn took(&self) -> String {
        let planned = self.session.minutes.get();
        let took = self.over.map(|over| over.signed_duration_since(self.session.at).num_seconds());
        // A block that was taken up hours later did not take hours.
        let took = took.and_then(|took| u32::try_from(took).ok()).filter(|took| *took < 3 * 60 * 60);
        took.map_or_else(
            || format!("{planned} minutes planned"),
            |took| format!("{} of {planned} minutes", crate::body::Seconds::new(took)),
        )
    }
}
