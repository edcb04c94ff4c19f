//! `matside page`: pages that leave the program, to be printed or sent.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::NaiveDate;
use clap::{Subcommand, ValueEnum};

use crate::client::{Client, Session, Trained, trained_from};
use crate::failure::Failure;
use crate::handout::home_card;
use crate::handout::home_page;
use crate::handout::leaflets::{self, HomeWish, NoHomeCard};
use crate::handout::letter::{Letter, LetterExtras};
use crate::handout::paper::{Letterhead, Markup};
use crate::handout::record_page::RecordPage;
use crate::handout::year::YearPage;
use crate::store::Store;
use crate::text::Safe;

use super::console::Console;
use super::values;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    #[command(subcommand)]
    page: PageKind,
}

#[derive(Debug, Subcommand)]
enum PageKind {
    /// Write a card with stretches to do alone at home, each drawn, on one sheet
    Home(Home),
    /// Write what was agreed, done and answered in one session
    Record(Record),
    /// Write the year for the quarterly talk: what stands out, degrees, what was trained and stretched
    Year(YearTo),
    /// Write what was recorded for a doctor or physiotherapist, interpreting nothing
    Letter(LetterTo),
}

/// How a page is written, and where.
#[derive(Debug, clap::Args)]
struct Writing {
    /// Write it as a page to print, as Markdown or as plain text
    #[arg(long = "as", value_name = "HOW", value_enum, default_value_t = How::Html)]
    markup: How,

    /// Write it into this folder, or as this file; a file that is there stays, and the new one gets a number
    #[arg(long, value_name = "PATH")]
    to: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum How {
    Html,
    Md,
    Text,
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

    /// Leave the client's name out
    #[arg(long, value_name = "WHAT", value_enum)]
    without: Option<Hidden>,

    #[command(flatten)]
    writing: Writing,
}

/// What a card for home can do without.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Hidden {
    Name,
}

#[derive(Debug, clap::Args)]
struct Record {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say which session by its day, the last of that day; without it, the last of all
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    on: Option<NaiveDate>,

    /// Put in what is left out otherwise: the remarks
    #[arg(long, value_name = "WHAT", value_enum)]
    with: Option<Remarks>,

    #[command(flatten)]
    writing: Writing,
}

#[derive(Debug, clap::Args)]
struct YearTo {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say the last day of the year; without it today
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    until: Option<NaiveDate>,

    #[command(flatten)]
    writing: Writing,
}

#[derive(Debug, clap::Args)]
struct LetterTo {
    /// The client: an id, or a part of the name that fits nobody else
    client: String,

    /// Say the first day; without it the first session
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    since: Option<NaiveDate>,

    /// Say the last day; without it today
    #[arg(long, value_name = "DATE", value_parser = values::date)]
    until: Option<NaiveDate>,

    /// Put in what is left out otherwise, several with commas between
    #[arg(long, value_name = "WHAT", value_enum, value_delimiter = ',')]
    with: Vec<Extra>,

    #[command(flatten)]
    writing: Writing,
}

/// What a letter leaves out unless it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Extra {
    Conditions,
    Remarks,
}

/// What a record leaves out unless it is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Remarks {
    Remarks,
}

pub(super) fn run(arguments: &Arguments, console: &mut Console) -> Result<(), Failure> {
    match &arguments.page {
        PageKind::Home(asked) => home(asked, console),
        PageKind::Record(asked) => record(asked, console),
        PageKind::Year(asked) => year(asked, console),
        PageKind::Letter(asked) => letter(asked, console),
    }
}

impl Writing {
    const fn markup(&self) -> Markup {
        match self.markup {
            How::Html => Markup::Html,
            How::Md => Markup::Markdown,
            How::Text => Markup::Plain,
        }
    }

    /// Writes a page where it was asked for; `named` is whose it is, what and of when.
    fn write(
        &self,
        page: &str,
        named: [&str; 3],
        store: &Store,
        console: &mut Console,
    ) -> Result<(), Failure> {
        let name = format!("{}.{}", named.join("-"), self.markup().ending());
        write_out(self.to.as_deref(), &name, page, store, console)
    }
}

/// Writes what leaves the program: to standard output, or as a file whose place is said.
pub(super) fn write_out(
    to: Option<&Path>,
    name: &str,
    text: &str,
    store: &Store,
    console: &mut Console,
) -> Result<(), Failure> {
    if let Some(to) = to {
        let path = Store::hand_out(to, name, text.as_bytes())?;
        writeln!(console.out, "written: {}", Safe::from_foreign(path.display().to_string()))?;
        if store.is_encrypted() {
            writeln!(console.err, "note: this file is not locked: whoever has it can read it")?;
        }
    } else {
        console.out.write_all(text.as_bytes())?;
    }
    console.tell(&store.take_notices())
}

fn home(asked: &Home, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let client = store.load(&store.find(&asked.client)?)?;
    let on = console.now.date_naive();
    let is_named = asked.without != Some(Hidden::Name);
    let id = if is_named { client.profile.id.to_string() } else { "client".to_owned() };
    let wish = HomeWish { trained: asked.trained.clone(), count: asked.count, days: asked.days, is_named };
    let card = leaflets::home(client, Arc::new(store.catalogue()?), &store.trainer()?, on, wish)?;
    let page = home_page::write(&card, asked.writing.markup());
    asked.writing.write(&page, [&id, "home", &on.to_string()], &store, console)
}

impl From<NoHomeCard> for Failure {
    fn from(why: NoHomeCard) -> Self {
        match why {
            NoHomeCard::Open(..) => {
                Self::new(why).hint("let somebody clear it, and note by whom with `matside screen`")
            }
            NoHomeCard::NoPurpose => {
                Self::new(why).hint("say it with --trained, such as --trained lower-body")
            }
            NoHomeCard::NoStretch(error) => error.into(),
        }
    }
}

fn record(asked: &Record, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let client = store.load(&store.find(&asked.client)?)?;
    let session = session_of(&client, asked.on)?;
    let from = Letterhead::of(&store.trainer()?);
    let remarks = asked.with == Some(Remarks::Remarks);
    let page = RecordPage::of(&client, session, &store.catalogue()?, from, remarks);
    let (page, on) = (page.write(asked.writing.markup()), session.at.date_naive().to_string());
    asked.writing.write(&page, [client.profile.id.as_str(), "session", &on], &store, console)
}

fn year(asked: &YearTo, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let client = store.load(&store.find(&asked.client)?)?;
    let until = asked.until.unwrap_or_else(|| console.now.date_naive());
    let page = YearPage::of(&client, &store.catalogue()?, until, Letterhead::of(&store.trainer()?));
    let page = page.ok_or_else(|| nothing(&client, until))?.write(asked.writing.markup());
    asked.writing.write(&page, [client.profile.id.as_str(), "year", &until.to_string()], &store, console)
}

fn letter(asked: &LetterTo, console: &mut Console) -> Result<(), Failure> {
    let store = console.store()?;
    let client = store.load(&store.find(&asked.client)?)?;
    let until = asked.until.unwrap_or_else(|| console.now.date_naive());
    let extras = LetterExtras {
        conditions: asked.with.contains(&Extra::Conditions),
        remarks: asked.with.contains(&Extra::Remarks),
    };
    let from = Letterhead::of(&store.trainer()?);
    let page = Letter::of(&client, &store.catalogue()?, (asked.since, until), from, extras);
    let page = page.ok_or_else(|| nothing(&client, until))?.write(asked.writing.markup());
    asked.writing.write(&page, [client.profile.id.as_str(), "letter", &until.to_string()], &store, console)
}

/// Why there is no page of a time.
fn nothing(client: &Client, until: NaiveDate) -> Failure {
    if client.sessions.is_empty() {
        return Failure::new("no session yet: nothing to write");
    }
    Failure::new(format_args!("no session in the time to {until}: nothing to write"))
        .hint("`matside history CLIENT --all` lists their days")
}

/// The last session of a day, or of all.
fn session_of(client: &Client, on: Option<NaiveDate>) -> Result<&Session, Failure> {
    let of_day = |session: &&Session| on.is_none_or(|on| session.at.date_naive() == on);
    let found = client.sessions.iter().filter(of_day).max_by_key(|session| session.at);
    found.ok_or_else(|| match on {
        _ if client.sessions.is_empty() => Failure::new("no session yet: nothing to write"),
        Some(on) => Failure::new(format_args!("no session on {on}"))
            .hint("`matside history CLIENT --all` lists their days"),
        None => Failure::new("no session yet: nothing to write"),
    })
}
