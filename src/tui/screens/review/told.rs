//! What a session tells once it is over: what stands out, and what to do the next time.

use std::collections::BTreeMap;

use crate::body::{Level, Side};
use crate::catalogue::StretchId;
use crate::client::{Client, Ended, Report, Session};
use crate::insight::{Claim, Learned};
use crate::tui::shared::Shared;
use crate::tui::words::stretch_name;
use crate::words::ClaimWords;

use super::angles;

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

impl ReviewTold {
    /// What a session of a client tells.
    pub(super) fn of(client: &Client, session: &Session, shared: &Shared) -> Self {
        let mut stands_out = Vec::new();
        let reports = || session.reports.values();
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
        let today = session.at.date_naive();
        let learned = Learned::after(client, session, &shared.catalogue, today);
        let words = ClaimWords { catalogue: &shared.catalogue, today };
        stands_out.extend(angles::unmeasured(session, &learned, shared));
        let (next, tells): (Vec<&Claim>, Vec<&Claim>) =
            learned.claims().iter().partition(|claim| claim.is_for_next_time());
        stands_out.extend(tells.into_iter().map(|claim| words.sentence(claim)).take(SAID));
        let next_time = next.first().map(|claim| words.sentence(claim));
        Self { stands_out, next_time, before: before(client, session) }
    }

    /// What the same stretch and side was answered the time before, in words.
    pub(super) fn last_time(&self, report: &Report) -> String {
        match self.before.get(&(report.stretch.clone(), report.side)) {
            None => "first time".to_owned(),
            Some(None) => "not asked".to_owned(),
            Some(Some(level)) => level.to_string(),
        }
    }
}

/// The last answers before a session, of what was done in it.
fn before(client: &Client, session: &Session) -> BTreeMap<(StretchId, Option<Side>), Option<Level>> {
    let earlier = client.sessions.iter().filter(|earlier| earlier.at < session.at);
    let done =
        earlier.flat_map(|session| session.reports.values()).filter(|report| report.ended == Ended::Done);
    let here = |report: &&Report| {
        let mut today = session.reports.values();
        today.any(|now| now.stretch == report.stretch && now.side == report.side)
    };
    // Later ones take the place of earlier ones.
    done.filter(here).map(|report| ((report.stretch.clone(), report.side), report.level)).collect()
}
