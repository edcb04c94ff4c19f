//! The pages of a client with what is usual on them, as files to be written: home card, last session, year, letter.

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
        cautions: today.restrictions.in_force().iter().map(|caution| caution.card.clone()).collect(),
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

/// A page as a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leaflet {
    /// What it is, in a word or two.
    pub kind: &'static str,
    /// The name of the file.
    pub name: String,
    /// The page.
    pub text: String,
}

/// Every page that there is something to write on, to print, and why there is no card for home if there is none.
pub fn leaflets(
    client: Client,
    catalogue: &Arc<Catalogue>,
    trainer: &Trainer,
    on: NaiveDate,
) -> (Vec<Leaflet>, Option<NoHomeCard>) {
    let (from, id) = (Letterhead::of(trainer), client.profile.id.to_string());
    let file = |kind, what: &str, of: NaiveDate, text| Leaflet {
        kind,
        name: format!("{id}-{what}-{of}.html"),
        text,
    };
    let mut all = Vec::new();
    if let Some(session) = client.sessions.iter().max_by_key(|session| session.at) {
        let page = RecordPage::of(&client, session, catalogue, from.clone(), false);
        all.push(file("last session", "session", session.at.date_naive(), page.write(Markup::Html)));
    }
    let year = YearPage::of(&client, catalogue, on, from.clone());
    all.extend(year.map(|page| file("year", "year", on, page.write(Markup::Html))));
    let letter = Letter::of(&client, catalogue, (None, on), from, LetterExtras::default());
    all.extend(letter.map(|page| file("letter", "letter", on, page.write(Markup::Html))));
    match home(client, Arc::clone(catalogue), trainer, on, HomeWish::default()) {
        Ok(card) => {
            all.push(file("home card", "home", on, home_page::write(&card, Markup::Html)));
            (all, None)
        }
        Err(why) => (all, Some(why)),
    }
}
