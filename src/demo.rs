//! The invented studio, for trying everything on: a year of its clients, worked out from a cast and a seed.

mod cast;
mod random;
mod studio;

use std::sync::{Mutex, PoisonError};

use chrono::{Days, FixedOffset, NaiveDate};

use crate::catalogue::Catalogue;
use crate::store::{Scratch, Store, StoreError};
use crate::strain;

pub use studio::{Studio, studio};

/// The day before, on which the studio's year ends.
pub fn yesterday(today: NaiveDate) -> NaiveDate {
    today.checked_sub_days(Days::new(1)).unwrap_or(today)
}

/// Writes the studio into an empty data folder.
///
/// # Errors
/// If something is there already or cannot be written.
pub fn fill(store: &Store, studio: &Studio) -> Result<(), StoreError> {
    store.save_trainer(&studio.trainer)?;
    studio.clients.iter().try_for_each(|client| store.create_client(client))?;
    let catalogue = Catalogue::built_in();
    let blocks = studio.clients.iter().flat_map(|client| {
        client.sessions.iter().map(|session| strain::worked_block(session, &client.profile, catalogue))
    });
    store.note_work(&blocks.collect::<Vec<_>>())
}

/// Studios that were made in scratch folders while the program runs.
static SCRATCH: Mutex<Vec<Scratch>> = Mutex::new(Vec::new());

/// Removes every studio that was made in a scratch folder.
pub fn clean_up() {
    for scratch in SCRATCH.lock().unwrap_or_else(PoisonError::into_inner).drain(..) {
        // What cannot be removed is the system's to clear.
        let _ = scratch.discard();
    }
}

/// Makes the studio, up to the day before `today`, in a new scratch folder, which [`clean_up`] removes; after a kill the next one
/// does.
///
/// # Errors
/// If the folder cannot be made or filled.
pub fn in_scratch(today: NaiveDate, offset: FixedOffset) -> Result<Store, StoreError> {
    Scratch::discard_left_behind();
    let scratch = Scratch::make()?;
    let store = scratch.store().clone();
    SCRATCH.lock().unwrap_or_else(PoisonError::into_inner).push(scratch);
    fill(&store, &studio(yesterday(today), offset))?;
    Ok(store)
}
