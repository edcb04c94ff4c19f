//! `matside export`: all data about one client, for a spreadsheet, another program, or the client.

use std::path::PathBuf;

use chrono::NaiveDate;
use clap::ValueEnum;

use crate::failure::Failure;
use crate::handout::export::{Disclosed, reports_csv};
use crate::handout::export_json::Export;
use crate::store::client_text;

use super::console::Console;
use super::page::write_out;
use super::values;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Write the reports as a table for a spreadsheet, or everything as JSON
    #[arg(long = "as", value_name = "HOW", value_enum, default_value_t = DataFormat::Json)]
    format: DataFormat,

    /// Tell this too, several with commas between
    #[arg(long, value_name = "WHAT", value_enum, value_delimiter = ',')]
    with: Vec<Private>,

    /// Tell everything there is about the client, the whole file among it, as the client may ask for
    #[arg(long, conflicts_with_all = ["with", "since"])]
    everything: bool,

    /// Leave out the sessions before this day
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    since: Option<NaiveDate>,

    /// Put semicolons between the cells of the table, for spreadsheets that expect them
    #[arg(long)]
    semicolon: bool,

    /// Write it into this folder, or as this file; a file that is there stays, and the new one gets a number
    #[arg(long, value_name = "PATH")]
    to: Option<PathBuf>,
}

/// How data is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum DataFormat {
    Csv,
    Json,
}

/// What is left out unless it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Private {
    Name,
    Born,
    Conditions,
    Remarks,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let is_table = arguments.format == DataFormat::Csv;
    refuse_idle(arguments, is_table)?;
    let store = console.store()?;
    let client = store.load(&store.find(&arguments.client)?)?;
    let catalogue = store.catalogue()?;
    let with = |what| arguments.with.contains(&what);
    let told = if arguments.everything {
        Disclosed::ALL
    } else {
        Disclosed {
            name: with(Private::Name),
            born: with(Private::Born),
            conditions: with(Private::Conditions),
            remarks: with(Private::Remarks),
        }
    };
    let file = arguments.everything.then(|| client_text(&client));
    let today = console.now.date_naive();
    let since = arguments.since;
    let export = Export { client: &client, catalogue: &catalogue, today, since, told, file: file.as_deref() };
    let whose = if told.name { client.profile.id.as_str() } else { "client" };
    let failed = |error: &dyn std::fmt::Display| Failure::new(format_args!("cannot write the data: {error}"));
    let (name, text) = if is_table {
        let separator = if arguments.semicolon { b';' } else { b',' };
        let bytes = reports_csv(&client, &export.sessions(), &catalogue, told, separator);
        let text =
            String::from_utf8(bytes.map_err(|error| failed(&error))?).map_err(|error| failed(&error))?;
        (format!("{whose}-reports-{today}.csv"), text)
    } else {
        (format!("{whose}-history-{today}.json"), export.json().map_err(|error| failed(&error))?)
    };
    write_out(arguments.to.as_deref(), &name, &text, &store, console)
}

/// Refuses what would do nothing: the table has no card, and JSON no semicolons.
fn refuse_idle(arguments: &Arguments, is_table: bool) -> Result<(), Failure> {
    if arguments.semicolon && !is_table {
        return Err(Failure::usage("--semicolon is for the table: add --as csv"));
    }
    if !is_table {
        return Ok(());
    }
    if arguments.everything {
        return Err(Failure::usage("the table has no card: leave out --as csv, or --everything")
            .hint("with all its columns: --as csv --with name,remarks"));
    }
    let idle = arguments.with.iter().any(|what| matches!(what, Private::Born | Private::Conditions));
    if idle {
        return Err(Failure::usage("the table has no card: birth and conditions are in --as json alone"));
    }
    Ok(())
}
