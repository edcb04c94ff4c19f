//! `matside demo`: an invented studio to try everything on.

mod cast;
mod random;
mod studio;

use std::sync::Arc;

use chrono::{Days, FixedOffset, NaiveDate};

use crate::catalogue::Catalogue;
use crate::client::Consent;
use crate::failure::Failure;
use crate::planner::{Today, Wishes};
use crate::store::{Store, StoreError};

use super::ask::{self, Prepared};
use super::{Context, plan};

pub use studio::{Studio, studio};

/// Open an invented studio in a scratch folder; without a terminal, print its plans of the day
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {}

pub(super) fn run(context: &mut Context) -> Result<(), Failure> {
    let today = context.now.date_naive();
    let studio = studio(yesterday(today), *context.now.offset());
    writeln!(context.out, "{}, the plans of {today}. Everybody here is made up.", studio.trainer.studio)?;
    for (number, (id, trained, minutes)) in studio.today.iter().enumerate() {
        let Some(client) = studio.clients.iter().find(|client| client.profile.id == *id) else { continue };
        let catalogue = Arc::new(Catalogue::built_in().clone());
        let prepared = Prepared {
            today: Arc::new(Today::of(Arc::new(client.clone()), catalogue, today)),
            first: ask::before_touching(client, None, Consent::HandsOn, today)?,
            trainer: studio.trainer.clone(),
            trained: trained.clone(),
            minutes: *minutes,
            consent: Consent::HandsOn,
            wishes: Wishes::default(),
        };
        writeln!(context.out, "\n{:=<78}\n{}", format!("== {} ", number + 1), plan::text(&prepared)?)?;
    }
    Ok(())
}

fn yesterday(today: NaiveDate) -> NaiveDate {
    today.checked_sub_days(Days::new(1)).unwrap_or(today)
}

/// Writes the studio into an empty data folder.
///
/// # Errors
/// If something is there already or cannot be written.
pub fn fill(store: &Store, studio: &Studio) -> Result<(), StoreError> {
    store.save_trainer(&studio.trainer)?;
    studio.clients.iter().try_for_each(|client| store.create_client(client))
}

/// Makes the studio, up to the day before `today`, in a new scratch folder.
///
/// # Errors
/// If the folder cannot be made or filled.
pub fn in_scratch(today: NaiveDate, offset: FixedOffset) -> Result<Store, StoreError> {
    let store = Store::scratch()?;
    fill(&store, &studio(yesterday(today), offset))?;
    Ok(store)
}
