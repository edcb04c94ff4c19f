//! `matside today`: who is expected, what was cut off, and what is due with them.

use chrono::{DateTime, Datelike as _, FixedOffset, NaiveDate, Timelike as _};
use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::caution::screening::ScreeningDue;
use crate::client::{Client, Due, Expected};
use crate::failure::Failure;
use crate::insight::{Claim, Learned};
use crate::store::{RosterEntry, Store};
use crate::text::{self, Safe};
use crate::words::ClaimWords;

use super::console::Console;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Show the clients who are not expected as well
    #[arg(long)]
    all: bool,

    /// Write it as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct TodayJson {
    version: u32,
    day: NaiveDate,
    clients: Vec<DueClient>,
    /// Files that cannot be read.
    unread: Vec<String>,
}

/// A client on the list of the day.
#[derive(Debug, Serialize)]
struct DueClient {
    id: String,
    name: String,
    why: Due,
    /// The time of day, as far as it is known: `18:30`.
    at: Option<String>,
    last: Option<DateTime<FixedOffset>>,
    /// When the blocks began that were cut off, the youngest first.
    cut_off: Vec<DateTime<FixedOffset>>,
    /// Why the questions before hands-on work are due.
    screening_due: Option<&'static str>,
    /// What is noted as tight and to be looked at again.
    reviews: Vec<String>,
    #[serde(skip)]
    expected: Expected,
}

impl DueClient {
    fn of(entry: &RosterEntry, client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Self {
        let cut_off: Vec<_> = client.cut_off().map(|session| session.at).collect();
        let expected = Expected::of(entry.last, !cut_off.is_empty(), &entry.times, today);
        let words = ClaimWords { catalogue, today };
        let learned = Learned::of(client, catalogue, today);
        let reviews = learned.noted().iter().filter(|noted| noted.review.is_some());
        let due = client.profile.screening_record(today).screen_due(today);
        Self {
            id: entry.id.to_string(),
            name: entry.name.clone(),
            why: expected.due,
            at: expected.time.map(|time| format!("{:02}:{:02}", time.hour(), time.minute())),
            last: entry.last,
            cut_off,
            screening_due: due.map(ScreeningDue::reason),
            reviews: reviews.map(|noted| words.sentence(&Claim::Review(noted.clone()))).collect(),
            expected,
        }
    }

    /// Why the client is on the list, in words.
    fn why_words(&self) -> String {
        let last =
            self.last.map_or("no session yet".to_owned(), |last| format!("last {}", last.date_naive()));
        match self.why {
            Due::CutOff => {
                let began = |at: &DateTime<FixedOffset>| {
                    format!("{} {:02}:{:02}", at.date_naive(), at.hour(), at.minute())
                };
                let blocks: Vec<String> = self.cut_off.iter().map(began).collect();
                format!(
                    "cut off: {}; the screens go on with it, `matside mend {}` closes it",
                    text::list(&blocks),
                    self.id
                )
            }
            Due::UsualTime => format!("usually comes today, {last}"),
            Due::SameWeekday => format!("was here on this day of the week, {last}"),
            Due::Overdue => format!("did not come when usual, {last}"),
            Due::NotExpected => format!("not expected, {last}"),
            Due::Done => "was here today".to_owned(),
        }
    }
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let today = console.now.date_naive();
    let (clients, unread) = listed(&store, arguments.all, today)?;
    if arguments.json {
        let document = TodayJson { version: 1, day: today, clients, unread: unread.clone() };
        let text = serde_json::to_string_pretty(&document).map_err(Failure::new)?;
        writeln!(console.out, "{text}")?;
    } else {
        write(&clients, today, console)?;
    }
    console.tell(&store.take_notices())?;
    if unread.is_empty() {
        return Ok(());
    }
    Err(Failure::new(unread.join("\n")).hint("the other clients are listed; `matside check` tells more"))
}

/// The clients of the day in their order, and what is wrong with those that cannot be read.
fn listed(store: &Store, all: bool, today: NaiveDate) -> Result<(Vec<DueClient>, Vec<String>), Failure> {
    let roster = store.roster()?;
    let catalogue = store.catalogue()?;
    let mut unread: Vec<String> = roster.problems.iter().map(ToString::to_string).collect();
    let mut clients = Vec::new();
    for entry in roster.entries.iter().filter(|entry| !entry.is_archived(today)) {
        match store.load(&entry.id) {
            Ok(client) => clients.push(DueClient::of(entry, &client, &catalogue, today)),
            Err(error) => unread.push(error.to_string()),
        }
    }
    clients.retain(|client| all || client.expected.is_due());
    // Of one group and time they stay in the order of their names.
    clients.sort_by_key(|client| client.expected);
    Ok((clients, unread))
}

fn write(clients: &[DueClient], today: NaiveDate, console: &mut Console) -> Result<(), Failure> {
    writeln!(console.out, "{}", format_args!("{} {today}", today.weekday()))?;
    if clients.is_empty() {
        writeln!(
            console.out,
            "nobody is expected; `matside edit CLIENT --usual \"tue 18:30\"` says when somebody comes"
        )?;
    }
    for client in clients {
        let at = client.at.as_deref().unwrap_or("");
        let name = Safe::from_foreign(&client.name);
        writeln!(console.out, "{at:>5}  {name} ({}): {}", client.id, client.why_words())?;
        for due in client.screening_due.iter().copied().chain(client.reviews.iter().map(String::as_str)) {
            for line in text::wrap(due, 71) {
                writeln!(console.out, "       {line}")?;
            }
        }
    }
    Ok(())
}
