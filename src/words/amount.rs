//! Amounts in words: a client's weeks against the client's own, and published guidance, which is context and said once.

use crate::insight::Guidance;
use crate::insight::habit::{GuidanceShare, OwnDose};
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

/// A line for each amount that is far from the client's usual, then one for each muscle with an uneven share of sides.
pub fn dose(dose: &OwnDose) -> Vec<String> {
    let own = dose.own.iter().map(|amount| {
        let (unit, usual) = (amount.unit, amount.usual);
        let usual = if usual.get() == 0 { "none".to_owned() } else { usual.to_string() };
        format!(
            "{}, {}: {} a week of late, {usual} was usual",
            unit.muscle.plain_name(),
            unit.side,
            amount.now
        )
    });
    let sides = dose.sides.iter().map(|share| {
        let [left, right] = share.seconds;
        format!("{}: {left} left and {right} right in four weeks", share.muscle.plain_name())
    });
    own.chain(sides).collect()
}
