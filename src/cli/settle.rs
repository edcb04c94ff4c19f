//! `matside settle`: what merged copies disagreed about, and which of it counts.

use crate::client::{Client, Report};
use crate::failure::Failure;
use crate::store::{Pick, Unsettled};
use crate::text::Safe;

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Settle this one: its number in the list, or its name
    what: Option<String>,

    /// Let this value count: its letter in the list, or the value itself; `both` keeps two reports as two. Without it,
    /// what the file shows now counts
    #[arg(requires = "what")]
    value: Option<String>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let id = store.find(&arguments.client)?;
    let open = store.disagreements(&id)?;
    let Some(what) = &arguments.what else {
        list(&open, &store.load(&id)?, console)?;
        return console.tell(&store.take_notices());
    };
    let one = found(&open, what)?;
    let pick = match arguments.value.as_deref() {
        None => Pick::Shown,
        Some("both") => Pick::Both,
        Some(value) => Pick::Value(value_of(one, value)?),
    };
    store.settle(&id, one, &pick, &console.attribution(&store))?;
    let name = Safe::from_foreign(&one.1.of);
    match pick {
        Pick::Shown => writeln!(console.out, "settled: {name} stays as the file shows it")?,
        Pick::Both => writeln!(console.out, "settled: both are kept, as two reports")?,
        Pick::Value(value) => writeln!(console.out, "settled: {name} is {}", Safe::from_foreign(&value))?,
    }
    console.tell(&store.take_notices())
}

fn list(open: &[Unsettled], client: &Client, console: &mut Console) -> Result<(), Failure> {
    if open.is_empty() {
        writeln!(console.out, "nothing to settle")?;
        return Ok(());
    }
    for (number, one) in (1..).zip(open) {
        writeln!(console.out, "{number:>2}  {}", about(one, client))?;
        for (letter, value) in ('a'..='z').zip(&one.1.values) {
            writeln!(console.out, "      {letter}  {}", Safe::from_foreign(value))?;
        }
    }
    let id = &client.profile.id;
    writeln!(
        console.out,
        "pick with `matside settle {id} NUMBER LETTER`; without a letter, what is shown now counts"
    )?;
    Ok(())
}

/// What the copies disagree about, in words.
fn about((at, open): &Unsettled, client: &Client) -> String {
    let of = Safe::from_foreign(&open.of);
    let Some(at) = at else { return of.into() };
    let session = client.session(*at);
    let number = open.of.strip_prefix("report.").and_then(|rest| rest.split('.').next()?.parse().ok());
    let report: Option<&Report> =
        session.zip(number).and_then(|(session, number)| session.reports.get(&number));
    let report = report.map(|report| format!(" ({})", report.stretch)).unwrap_or_default();
    format!("session of {}: {of}{report}", at.naive_local())
}

/// The one that is meant, by its number or its name.
fn found<'o>(open: &'o [Unsettled], what: &str) -> Result<&'o Unsettled, Failure> {
    let by_number = what.parse::<usize>().ok().and_then(|number| open.get(number.checked_sub(1)?));
    let mut named = open.iter().filter(|(_, open)| open.of == what);
    match (by_number, named.next(), named.next()) {
        (Some(one), _, _) | (None, Some(one), None) => Ok(one),
        (None, Some(_), Some(_)) => {
            Err(Failure::usage(format_args!("several sessions disagree about {what}"))
                .hint("give its number in the list: `matside settle CLIENT` shows it"))
        }
        (None, None, _) => Err(Failure::usage(format_args!("nothing is open about `{what}`"))
            .hint("`matside settle CLIENT` lists what is")),
    }
}

/// A value by its letter, or as it is written, with or without quotes.
fn value_of((_, open): &Unsettled, typed: &str) -> Result<String, Failure> {
    let quoted = format!("\"{typed}\"");
    let same = open.values.iter().find(|value| *value == typed || **value == quoted);
    let by_letter = || ('a'..='z').zip(&open.values).find(|(letter, _)| typed == letter.to_string());
    same.or_else(|| by_letter().map(|(_, value)| value)).cloned().ok_or_else(|| {
        Failure::usage(format_args!("no copy says `{typed}` for {}", open.of))
            .hint(format_args!("the values are {}", open.values.join(", ")))
    })
}
