//! `matside demo`: an invented studio to try everything on.

use std::sync::Arc;

use crate::catalogue::Catalogue;
use crate::client::Consent;
use crate::demo::{studio, yesterday};
use crate::failure::Failure;
use crate::planner::{Today, Wishes};

use super::console::Console;
use super::plan;
use super::request::{self, PlanInputs};

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {}

pub(super) fn run(_arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let today = console.now.date_naive();
    let studio = studio(yesterday(today), *console.now.offset());
    writeln!(console.out, "{}, the plans of {today}. Everybody here is made up.", studio.trainer.studio)?;
    for (number, (id, trained, minutes)) in studio.today.iter().enumerate() {
        let Some(client) = studio.clients.iter().find(|client| client.profile.id == *id) else { continue };
        let catalogue = Arc::new(Catalogue::built_in().clone());
        let prepared = PlanInputs {
            today: Arc::new(Today::of(Arc::new(client.clone()), catalogue, today)),
            first: request::before_touching(client, None, Consent::HandsOn, today)?,
            trainer: studio.trainer.clone(),
            trained: trained.clone(),
            minutes: *minutes,
            consent: Consent::HandsOn,
            wishes: Wishes::default(),
        };
        writeln!(
            console.out,
            "\n{:=<1$}\n{2}",
            format!("== {} ", number + 1),
            console.columns,
            plan::text(&prepared, false, console.columns)?
        )?;
    }
    Ok(())
}
