//! `matside page`: pages that leave the program, to be printed or sent.

use std::sync::Arc;

use clap::{Subcommand, ValueEnum};

use crate::client::{Client, Trained, trained_from};
use crate::failure::Failure;
use crate::handout::home_card::{self, HomeCard};
use crate::handout::home_page;
use crate::planner::Today;

use super::console::Console;

/// Sessions whose training a card for home is for, where nothing is said.
const SESSIONS: usize = 3;

/// Write a page for a client to take along
#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(subcommand)]
    page: Leaflet,
}

#[derive(Debug, Subcommand)]
enum Leaflet {
    /// Write a card with stretches to do alone at home, each drawn, on one sheet
    Home(Home),
}

#[derive(Debug, clap::Args)]
struct Home {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say what the stretches are for, such as hamstrings:3 or upper-body; without it, what was trained last
    #[arg(long, value_name = "MUSCLES", value_parser = trained_from)]
    trained: Option<Trained>,

    /// Say how many stretches; without it four, from 65 years of age three
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=i64::from(home_card::MOST)))]
    count: Option<u8>,

    /// Say on how many days a week
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=7))]
    days: u8,

    /// Write it as a page to print, as Markdown or as plain text
    #[arg(long = "as", value_name = "HOW", value_enum, default_value_t = Markup::Html)]
    markup: Markup,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Markup {
    Html,
    Md,
    Text,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    let Leaflet::Home(asked) = &arguments.page;
    let store = console.store()?;
    let client = store.load(&store.find(&asked.client)?)?;
    let on = console.now.date_naive();
    if let Some((checked, point)) = client.profile.open_points(on).next() {
        let what = format_args!("no card while the health check of {checked} is open: {}", point.what);
        return Err(Failure::new(what).hint("let somebody clear it, and note by whom with `matside screen`"));
    }
    let purpose = asked.trained.clone().unwrap_or_else(|| trained_last(&client));
    if purpose.is_empty() {
        return Err(Failure::new("nothing says what the stretches are to be for")
            .hint("say it with --trained, such as --trained lower-body"));
    }
    let trainer = store.trainer()?;
    let (name, age) = (client.profile.name.clone(), client.profile.oldest_age(on));
    let today = Arc::new(Today::of(Arc::new(client), Arc::new(store.catalogue()?), on));
    console.tell(&store.take_notices())?;
    let count = asked.count.unwrap_or_else(|| home_card::usual_count(age));
    let card = HomeCard {
        client: name,
        studio: trainer.studio,
        trainer: trainer.name,
        on,
        days: asked.days,
        cautions: today.restrictions.in_force().iter().map(|caution| caution.card.join(" ")).collect(),
        stretches: home_card::choose(&today, &purpose, count)?,
    };
    let page = match asked.markup {
        Markup::Html => home_page::html(&card),
        Markup::Md => home_page::markdown(&card),
        Markup::Text => home_page::plain(&card),
    };
    console.out.write_all(page.as_bytes())?;
    Ok(())
}

/// What the last sessions trained, each muscle as hard as it was trained most.
fn trained_last(client: &Client) -> Trained {
    let mut trained = Trained::new();
    for session in client.sessions.iter().rev().take(SESSIONS) {
        for (muscle, effort) in &session.trained {
            let kept = trained.entry(*muscle).or_insert(*effort);
            *kept = (*kept).max(*effort);
        }
    }
    trained
}
