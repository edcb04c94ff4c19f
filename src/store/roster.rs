//! Who is there: one line a client, for the first screen.

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, ClientId};

use super::error::StoreError;

/// One client in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RosterEntry {
    /// The client's id.
    pub id: ClientId,
    /// The client's name as it is shown.
    pub name: String,
    /// When the youngest session began.
    pub last: Option<DateTime<FixedOffset>>,
    /// How many sessions there are.
    pub sessions: usize,
    /// Whether the youngest session was cut off.
    pub unfinished: bool,
    /// How many conditions are recorded.
    pub conditions: usize,
}

impl RosterEntry {
    pub(crate) fn of(client: &Client) -> Self {
        let last = client.sessions.last();
        Self {
            id: client.profile.id.clone(),
            name: client.profile.name.clone(),
            last: last.map(|session| session.at),
            sessions: client.sessions.len(),
            unfinished: last.is_some_and(|session| session.closed.is_none()),
            conditions: client.profile.conditions.len(),
        }
    }
}

/// Every client that can be read, by name, and what is wrong with the others.
#[derive(Debug, Default)]
pub struct Roster {
    /// The clients, sorted by name.
    pub entries: Vec<RosterEntry>,
    /// Files that cannot be read; they are left as they are.
    pub problems: Vec<StoreError>,
}
