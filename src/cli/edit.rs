//! `matside edit`: what is on a client's card, and any change to it.

mod card;
mod changes;
mod said;

use chrono::NaiveDate;
use clap::ArgGroup;

use crate::client::{ClientId, Profile};
use crate::failure::Failure;
use crate::store::Store;
use crate::text::Safe;

use super::choices;
use super::console::Console;
use super::values;

use changes::{HealthChanges, PersonChanges, WishChanges, WrittenDown};

const KEPT: &str = "What is written over stays in the file, with who did it and when. An empty word takes off what has \
    one value: --born ''.";

/// What is written with a day.
const DATED: [&str; 9] =
    ["guardian", "archive", "ended", "cleared", "hands_on", "massage", "tight", "still_tight", "not_tight"];

#[derive(Debug, clap::Args)]
#[command(after_help = KEPT)]
#[command(group(ArgGroup::new("dated").args(DATED).multiple(true)))]
#[command(after_long_help = choices::below(KEPT, &[choices::CONDITIONS, choices::MUSCLES, choices::EQUIPMENT]))]
pub(super) struct Arguments {
    /// The client: the whole id, as `matside clients` lists it
    client: String,

    #[command(flatten)]
    person: Box<PersonChanges>,

    #[command(flatten)]
    health: Box<HealthChanges>,

    #[command(flatten)]
    wishes: Box<WishChanges>,

    /// Write the day of what is noted, taken off, ended or cleared; without it, today
    #[arg(long, value_name = "DATE", value_parser = values::date, requires = "dated")]
    on: Option<NaiveDate>,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let id = exact(&store, &arguments.client)?;
    let client = store.load(&id)?;
    let (who, today) = (console.attribution(&store), console.now.date_naive());
    let on = arguments.on.unwrap_or(today);
    if on > today && !arguments.health.only_ends() {
        return Err(Failure::usage(format_args!("--on {on} lies after today"))
            .hint("only what ends, with --end, may lie ahead; nothing was changed"));
    }
    let mut profile = client.profile.clone();
    arguments.apply(&mut profile, &store, &WrittenDown { on, by: &who.by }, today)?;
    if !arguments.asks_for_a_change() {
        card::write(&client, &store.catalogue()?, today, console)?;
    } else if profile == client.profile {
        writeln!(
            console.out,
            "nothing to change: the card of {} says so already",
            Safe::from_foreign(&profile.name)
        )?;
    } else {
        store.save_profile(&profile, &who)?;
        for line in said::changes(&client.profile, &profile, today) {
            writeln!(console.out, "{}", Safe::from_foreign(line))?;
        }
    }
    console.tell(&store.take_notices())
}

/// The client of exactly that id: a part of a name could be somebody else's tomorrow.
fn exact(store: &Store, word: &str) -> Result<ClientId, Failure> {
    if let Ok(id) = ClientId::new(word.trim())
        && store.has(&id)
    {
        return Ok(id);
    }
    let refused = Failure::usage(format_args!("no client has the id `{word}`: a change needs the whole id"));
    Err(match store.find(word) {
        Ok(near) => refused.hint(format_args!("there is {near}; nothing was changed")),
        Err(_) => refused.hint("`matside clients` lists them; nothing was changed"),
    })
}

impl Arguments {
    fn asks_for_a_change(&self) -> bool {
        self.person != Box::default() || self.health != Box::default() || self.wishes != Box::default()
    }

    fn apply(
        &self,
        profile: &mut Profile,
        store: &Store,
        writing: &WrittenDown<'_>,
        today: NaiveDate,
    ) -> Result<(), Failure> {
        self.person.apply(profile, store, writing, today)?;
        self.health.apply(profile, writing, today)?;
        self.wishes.apply(profile, store, writing)
    }
}
