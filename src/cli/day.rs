//! `matside day`: what the day's blocks asked of the trainer's own body.

use chrono::NaiveDate;
use serde::Serialize;

use crate::client::{Meters, SoreRegion};
use crate::failure::Failure;
use crate::strain::{self, words};

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Write it as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct DayJson {
    version: u32,
    day: NaiveDate,
    blocks: u32,
    today: MetersJson,
    usual: Option<MetersJson>,
    sore: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct MetersJson {
    hands_on_s: u32,
    kneeling_s: u32,
    bent_s: u32,
    stooped_s: u32,
    heavy_s: u32,
    highest_reba: u8,
}

impl From<&Meters> for MetersJson {
    fn from(meters: &Meters) -> Self {
        Self {
            hands_on_s: meters.hands_on.get(),
            kneeling_s: meters.kneeling.get(),
            bent_s: meters.bent.get(),
            stooped_s: meters.stooped.get(),
            heavy_s: meters.heavy.get(),
            highest_reba: meters.highest,
        }
    }
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let today = console.now.date_naive();
    let days = strain::work_days(&store.work()?);
    let usual = strain::usual_day(&days, today);
    let day = days.get(&today).copied().unwrap_or_default();
    let places: Vec<&str> = store.trainer()?.sore_on(today).map(SoreRegion::id).collect();
    console.tell(&store.take_notices())?;
    if arguments.json {
        let document = DayJson {
            version: 1,
            day: today,
            blocks: day.blocks,
            today: (&day.meters).into(),
            usual: usual.as_ref().map(Into::into),
            sore: places,
        };
        let text = serde_json::to_string_pretty(&document).map_err(Failure::new)?;
        writeln!(console.out, "{text}")?;
        return Ok(());
    }
    writeln!(console.out, "Today: {}.", words::day_sentence(&day.meters, usual.as_ref()))?;
    if let Some(hint) = words::day_hint(&day.meters, usual.as_ref()) {
        writeln!(console.out, "{hint}")?;
    }
    if !places.is_empty() {
        writeln!(console.out, "Sore today: {}.", places.join(", "))?;
    }
    Ok(())
}
