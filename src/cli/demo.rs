//! An invented studio to try everything on.

mod cast;
mod random;
mod studio;

use crate::store::{Store, StoreError};

pub use studio::{Studio, studio};

/// Writes the studio into an empty data folder.
///
/// # Errors
/// If something is there already or cannot be written.
pub fn fill(store: &Store, studio: &Studio) -> Result<(), StoreError> {
    store.save_trainer(&studio.trainer)?;
    studio.clients.iter().try_for_each(|client| store.create_client(client))
}
