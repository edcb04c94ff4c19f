//! How often a client was here in a time, for the pages that look back.

use chrono::NaiveDate;

use crate::client::{Client, Consent, Session};
use crate::text;
use crate::words::date::day;

/// The sessions of a time, oldest first.
pub(super) fn between(client: &Client, since: Option<NaiveDate>, until: NaiveDate) -> Vec<&Session> {
    let shown = |session: &&Session| {
        let on = session.at.date_naive();
        on <= until && since.is_none_or(|since| on >= since)
    };
    let mut sessions: Vec<&Session> = client.sessions.iter().filter(shown).collect();
    sessions.sort_by_key(|session| session.at);
    sessions
}

/// `94 sessions from 28 November 2025 to 17 November 2026`; nothing without a session.
pub(super) fn span(sessions: &[&Session]) -> String {
    let (Some(first), Some(last)) = (sessions.first(), sessions.last()) else { return String::new() };
    let (first, last) = (first.at.date_naive(), last.at.date_naive());
    let count = text::count(sessions.len(), "session");
    if first == last {
        format!("{count} on {}", day(first))
    } else {
        format!("{count} from {} to {}", day(first), day(last))
    }
}

/// `90 hands-on, 4 declined`.
pub(super) fn consents(sessions: &[&Session]) -> String {
    let kinds = [
        (Consent::HandsOn, "hands-on"),
        (Consent::SelfStretch, "without hands"),
        (Consent::Declined, "declined"),
    ];
    let named = kinds.iter().filter_map(|(consent, words)| {
        let count = sessions.iter().filter(|session| session.consent == *consent).count();
        (count > 0).then(|| format!("{count} {words}"))
    });
    named.collect::<Vec<_>>().join(", ")
}
