//! Whether two files are of the same person, as far as they say it.

use crate::client::{Birth, Client, ClientId};

use super::error::StoreError;
use super::{format, locate, read};
use crate::document::Source;
use crate::text::folded;

/// Refuses two copies that are of different people, as far as they say it.
///
/// They are the same if the name is, or one was called by the other's name before, and nothing is known about the birth
/// that speaks against it; or if the name differs and the day of birth is the same.
pub(crate) fn is_the_same(id: &ClientId, ours: &Source, theirs: &Source) -> Result<(), StoreError> {
    let (our, their) = (head(id, ours)?, head(id, theirs)?);
    let (our_name, their_name) = (&our.profile.name, &their.profile.name);
    let is_one_name = folded(our_name) == folded(their_name) || was_changed(&our, &their, "name");
    let births = our.profile.born.zip(their.profile.born);
    let contradict =
        births.is_some_and(|(one, other)| !can_be_one(one, other)) && !was_changed(&our, &their, "born");
    let is_one_day = births.is_some_and(|(one, other)| one.day().is_some() && one.day() == other.day());
    if (is_one_name && !contradict) || (!is_one_name && is_one_day) {
        return Ok(());
    }
    let said = |client: &Client| {
        let born = client.profile.born.map_or("birth unknown".to_owned(), |born| format!("born {born}"));
        format!("{}, {born}", client.profile.name)
    };
    Err(StoreError::OtherPerson { path: theirs.path().to_owned(), ours: said(&our), theirs: said(&their) })
}

/// What is before the sessions of a file.
fn head(id: &ClientId, source: &Source) -> Result<Client, StoreError> {
    let alone = locate::parts(source).and_then(|parts| format::head(id, source, parts.head));
    alone.map_or_else(|| read::client(id, source), Ok).map(|(client, _)| client)
}

/// Whether one copy says what the other said before.
fn was_changed(ours: &Client, theirs: &Client, of: &str) -> bool {
    let changes = || ours.changes.iter().chain(&theirs.changes).filter(|change| change.of == of);
    let said = |client: &Client| match of {
        "name" => super::value_text::quoted(&client.profile.name),
        _ => client.profile.born.map(|born| born.to_string()).unwrap_or_default(),
    };
    let (our, their) = (said(ours), said(theirs));
    let holds = |value: &Option<String>, wanted: &str| {
        value.as_ref().is_some_and(|value| value == wanted || value.trim_matches('"') == wanted)
    };
    changes().any(|change| holds(&change.from, &our) || holds(&change.to, &our))
        && changes().any(|change| holds(&change.from, &their) || holds(&change.to, &their))
}

/// Whether two births can be one, of which one copy knows more.
fn can_be_one(one: Birth, other: Birth) -> bool {
    one.earliest() <= other.latest() && other.earliest() <= one.latest()
}
