//! The pages of a client as they are usually asked for, as files to be written: home card, last session, year, letter.

use std::fmt;
use std::sync::Arc;

use chrono::NaiveDate;

use crate::catalogue::Catalogue;
use crate::client::{Client, Trained, Trainer};
use crate::planner::{PlanError, Today};

use super::home_card::{self, HomeCard};
use super::home_page;
use super::letter::{Letter, LetterExtras};
use super::paper::{Letterhead, Markup};
use super::record_page::RecordPage;
use super::year::YearPage;

/// Sessions whose training a card for home is for, where nothing is said.
const SESSIONS: usize = 3;
/// Days a week, where nothing is said.
const DAYS: u8 = 3;

/// What a card for home is to be.
#[derive(Debug, Clone, PartialEq)]
pub struct HomeWish {
    /// What it is for; none for what was trained last.
    pub trained: Option<Trained>,
    /// How many stretches; none for what is usual at that age.
    pub count: Option<u8>,
    /// Days a week.
    pub days: u8,
    /// Whether the client is named on it.
    pub is_named: bool,
}

impl Default for HomeWish {
    fn default() -> Self {
        Self { trained: None, count: None, days: DAYS, is_named: true }
    }
}

/// Why there is no card for home.
#[derive(Debug, Clone, PartialEq)]
pub enum NoHomeCard {
    /// A health check of that day left this open.
    Open(NaiveDate, String),
    /// Nothing says what it is to be for.
    NoPurpose,
    /// A condition stops the client, or nothing may be done alone.
    NoStretch(PlanError),
}

impl fmt::Display for NoHomeCard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Open(checked, what) => {
                write!(f, "no card while the health check of {checked} is open: {what}")
            }
            Self::NoPurpose => f.write_str("nothing says what the stretches are to be for"),
            Self::NoStretch(why) => why.fmt(f),
        }
    }
}

/// The card for home of a client.
///
/// # Errors
/// If a health check is open, nothing was trained, or nothing may be done alone.
pub fn home(
    client: Client,
    catalogue: Arc<Catalogue>,
    trainer: &Trainer,
    on: NaiveDate,
    wish: HomeWish,
) -> Result<HomeCard, NoHomeCard> {
    if let Some((checked, point)) = client.profile.open_points(on).next() {
        return Err(NoHomeCard::Open(checked, point.what.clone()));
    }
    let purpose = wish.trained.unwrap_or_else(|| trained_last(&client));
    if purpose.is_empty() {
        return Err(NoHomeCard::NoPurpose);
    }
    let (name, age) = (client.profile.name.clone(), client.profile.oldest_age(on));
    let today = Arc::new(Today::of(Arc::new(client), catalogue, on));
    let count = wish.count.unwrap_or_else(|| home_card::usual_count(age));
    Ok(HomeCard {
        client: if wish.is_named { name } else { String::new() },
        studio: trainer.studio.clone(),
        trainer: trainer.name.clone(),
        on,
        days: wish.days,
        cautions: today.restrictions.in_force().iter().map(|caution| caution.home.clone()).collect(),
        stretches: home_card::choose(&today, &purpose, count).map_err(NoHomeCard::NoStretch)?,
    })
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

/// A page of a client.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeafletKind {
    /// Stretches to do alone at home.
    Home,
    /// The last session.
    Record,
    /// The year for the quarterly talk.
    Year,
    /// What was recorded, for a clinician.
    Letter,
}

impl LeafletKind {
    /// Every page there is.
    pub const ALL: [Self; 4] = [Self::Home, Self::Record, Self::Year, Self::Letter];

    /// What it is, in a word or two.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Home => "home card",
            Self::Record => "last session",
            Self::Year => "year",
            Self::Letter => "letter",
        }
    }
}

/// Which pages are asked for, and what of that which they leave out otherwise is put in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LeafletWish {
    /// The pages.
    pub kinds: Vec<LeafletKind>,
    /// Conditions go into the letter, remarks into the letter and the record of a session.
    pub extras: LetterExtras,
}

/// A page as a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leaflet {
    /// What it is.
    pub kind: LeafletKind,
    /// The name of the file.
    pub name: String,
    /// The page.
    pub text: String,
}

/// The pages that are asked for, to print, and in a line each why there is none of the others.
pub fn leaflets(
    client: &Client,
    catalogue: &Arc<Catalogue>,
    trainer: &Trainer,
    on: NaiveDate,
    wish: &LeafletWish,
) -> (Vec<Leaflet>, Vec<String>) {
    let (mut all, mut missing) = (Vec::new(), Vec::new());
    for kind in &wish.kinds {
        match leaflet(*kind, client, catalogue, (trainer, on), wish.extras) {
            Ok(page) => all.push(page),
            Err(why) => missing.push(format!("no {}: {why}", kind.words())),
        }
    }
    (all, missing)
}

fn leaflet(
    kind: LeafletKind,
    client: &Client,
    catalogue: &Arc<Catalogue>,
    (trainer, on): (&Trainer, NaiveDate),
    extras: LetterExtras,
) -> Result<Leaflet, String> {
    let from = Letterhead::of(trainer);
    let nothing = || "no session in that time".to_owned();
    let (what, of, text) = match kind {
        LeafletKind::Home => {
            let card = home(client.clone(), Arc::clone(catalogue), trainer, on, HomeWish::default());
            let card = card.map_err(|why| why.to_string())?;
            ("home", on, home_page::write(&card, Markup::Html))
        }
        LeafletKind::Record => {
            let last = client.sessions.iter().max_by_key(|session| session.at).ok_or_else(nothing)?;
            let page = RecordPage::of(client, last, catalogue, from, extras.remarks);
            ("session", last.at.date_naive(), page.write(Markup::Html))
        }
        LeafletKind::Year => {
            let page = YearPage::of(client, catalogue, on, from).ok_or_else(nothing)?;
            ("year", on, page.write(Markup::Html))
        }
        LeafletKind::Letter => {
            let page = Letter::of(client, catalogue, (None, on), from, extras).ok_or_else(nothing)?;
            ("letter", on, page.write(Markup::Html))
        }
    };
    Ok(Leaflet { kind, name: format!("{}-{what}-{of}.html", client.profile.id), text })
}
