//! Amounts in words: published guidance, which is context and said once.

use crate::insight::Guidance;
use crate::insight::habit::GuidanceShare;
use crate::text;

/// What handbooks advise, and what the client has of it.
pub fn guidance(share: Option<GuidanceShare>) -> String {
    let guidance = Guidance::default();
    let own = share.map_or_else(String::new, |share| {
        let sessions = text::count(share.sessions as usize, "session");
        format!(
            "; what was stretched of late had about {} % of the least, in {sessions} in eight weeks",
            share.percent
        )
    });
    format!(
        "guidance: {} a week on {} days at least (Garber et al. 2011), {} as the aim (Thomas et al. 2018){own}",
        guidance.least(),
        guidance.days,
        guidance.week
    )
}
