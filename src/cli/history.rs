//! `matside history`: what a client's sessions tell.

use chrono::NaiveDate;

use crate::failure::Failure;
use crate::handout::{HistoryFilter, HistoryText, history_json};

use super::choices;
use super::console::Console;
use super::lookup;
use super::values::{self, Muscles};

#[derive(Debug, clap::Args)]
#[command(after_long_help = choices::listed(&[choices::MUSCLES]))]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Show one stretch alone, with plots of level, seconds and degrees
    #[arg(long, value_name = "STRETCH")]
    stretch: Option<String>,

    /// Show only what reaches this muscle or group
    #[arg(long, value_name = "MUSCLE", value_parser = values::muscles, conflicts_with = "stretch")]
    muscle: Option<Muscles>,

    /// Show nothing before this day
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    since: Option<NaiveDate>,

    /// List every session, not the last ten; the JSON has them all
    #[arg(long, conflicts_with_all = ["json", "stretch"])]
    all: bool,

    /// Write the sessions as JSON
    #[arg(long)]
    json: bool,

    /// Leave name, id and remarks out of the JSON
    #[arg(long, requires = "json", conflicts_with = "all")]
    without_names: bool,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let client = store.load(&store.find(&arguments.client)?)?;
    let catalogue = store.catalogue()?;
    let stretch = arguments.stretch.as_deref().map(|word| lookup::stretch(word, &catalogue)).transpose()?;
    let filter = HistoryFilter {
        stretch,
        muscles: arguments.muscle.as_ref().map(|Muscles(muscles)| muscles.clone()).unwrap_or_default(),
        since: arguments.since,
    };
    if arguments.json {
        let names = !arguments.without_names;
        let text = history_json(&client, &catalogue, console.now.date_naive(), &filter, names)
            .map_err(|error| Failure::new(format_args!("cannot write the sessions as JSON: {error}")))?;
        console.out.write_all(text.as_bytes())?;
        return console.tell(&store.take_notices());
    }
    let text = HistoryText {
        client: &client,
        catalogue: &catalogue,
        today: console.now.date_naive(),
        filter: &filter,
        sessions: if arguments.all { usize::MAX } else { 10 },
        ascii: console.ascii,
        columns: console.columns,
    };
    write!(console.out, "{text}")?;
    console.tell(&store.take_notices())
}
