//! The door through which every client's file is read: quickly where it looks as this program writes it, else by the
//! parser.

use chrono::{DateTime, FixedOffset};

use crate::client::{Client, ClientId, Disagreement};

use super::error::{Flaw, StoreError};
use super::{fast_path, format, locate};
use crate::document::Source;

/// Reads a client's file. Gives what was not understood beside the client.
pub(crate) fn client(id: &ClientId, source: &Source) -> Result<(Client, Vec<Flaw>), StoreError> {
    fast_path::client(id, source).map_or_else(|| format::client(id, source), Ok)
}

/// The same without what was not understood, as a function of the text.
pub(crate) fn as_client(id: &ClientId) -> impl Fn(&Source) -> Result<Client, StoreError> {
    |source| client(id, source).map(|(client, _)| client)
}

/// Whether a client's file can be read, without keeping what it says.
pub(crate) fn is_sound(id: &ClientId, source: &Source) -> Result<(), StoreError> {
    let parts = locate::parts(source);
    let head = parts.and_then(|parts| format::head(id, source, parts.head));
    if head.is_some() { Ok(()) } else { client(id, source).map(drop) }
}

/// Every value about which copies disagree, with the beginning of the session that it is about.
pub(crate) fn disagreements(client: &Client) -> Vec<(Option<DateTime<FixedOffset>>, Disagreement)> {
    let of_profile = client.disagreements.iter().map(|about| (None, about.clone()));
    let of_sessions = client
        .sessions
        .iter()
        .flat_map(|session| session.disagreements.iter().map(|about| (Some(session.at), about.clone())));
    of_profile.chain(of_sessions).collect()
}
