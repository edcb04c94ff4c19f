//! A client's weeks against the client's own: what is less or more than usual, what one side had more of, and the share
//! of published guidance, which is context and never counted.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};

use crate::body::{Muscle, Seconds, Side, Unit};
use crate::catalogue::Catalogue;
use crate::client::Client;

use super::amount::{Guidance, reached};
use super::learned::Learned;
use super::sides::SideVerdict;

/// Weeks that had a session: those that are now, and those before them that are usual (practice).
const NOW: u8 = 4;
const USUAL: u8 = 8;
/// How far apart now and usual are at least, for it to be said (practice).
const APART: u32 = 60;
/// Days over which the sides are compared, and from which ratio it is said (practice).
const SIDE_DAYS: u64 = 28;
const RATIO: (u32, u32) = (3, 2);
/// Weeks that tell how often a client comes.
const WEEKS: u64 = 8;

/// Seconds a week of one unit, now against usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OwnAmount {
    /// Which.
    pub unit: Unit,
    /// The median of eight weeks that had a session.
    pub usual: Seconds,
    /// The mean of the last four that had one.
    pub now: Seconds,
}

/// Seconds of left and right over four weeks, where one side had half as much again as the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SideShare {
    /// The muscle.
    pub muscle: Muscle,
    /// Left and right.
    pub seconds: [Seconds; 2],
}

/// What a client has of the least that handbooks advise, in percent, and how often the client comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GuidanceShare {
    /// The mean over what was stretched in the last four weeks.
    pub percent: u32,
    /// Sessions in the last eight weeks.
    pub sessions: u32,
}

/// A client's seconds against the client's own and against published guidance, on a day.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OwnDose {
    /// What is half of usual or less, or double and more; what is furthest from usual first.
    pub own: Vec<OwnAmount>,
    /// Muscles of which one side had half as much again as the other, although nothing asked for it.
    pub sides: Vec<SideShare>,
    /// What there was of published guidance; none if nothing was stretched of late.
    pub guidance: Option<GuidanceShare>,
}

impl OwnDose {
    /// What the weeks tell that end with `last_day`. A side that is known or noted as tighter is asked to have more.
    pub fn of(client: &Client, catalogue: &Catalogue, learned: &Learned, last_day: NaiveDate) -> Self {
        let is_asked = |share: &SideShare| {
            let more = if share.seconds[0] > share.seconds[1] { Side::Left } else { Side::Right };
            let tighter = learned.side(share.muscle).and_then(SideVerdict::tighter) == Some(more);
            tighter
                || learned
                    .noted()
                    .iter()
                    .any(|noted| noted.unit.muscle == share.muscle && noted.unit.side == more)
        };
        let mut own = own_amounts(client, catalogue, last_day);
        own.sort_by_key(|amount| std::cmp::Reverse(amount.now.get().abs_diff(amount.usual.get())));
        let mut sides = side_shares(client, catalogue, last_day);
        sides.retain(|share| !is_asked(share));
        Self { own, sides, guidance: guidance_share(client, catalogue, last_day) }
    }

    /// Leaves only what is about some muscles.
    pub fn keep(&mut self, wanted: impl Fn(Muscle) -> bool) {
        self.own.retain(|amount| wanted(amount.unit.muscle));
        self.sides.retain(|share| wanted(share.muscle));
    }
}

/// What is half of usual or less, or double and more, by unit.
fn own_amounts(client: &Client, catalogue: &Catalogue, last_day: NaiveDate) -> Vec<OwnAmount> {
    let (recent, earlier) = (usize::from(NOW), usize::from(USUAL));
    let ago = |day: NaiveDate| (last_day - day).num_days().div_euclid(7);
    let days = client.sessions.iter().map(|session| session.at.date_naive()).filter(|day| *day <= last_day);
    // The last weeks that had a session, the latest first.
    let weeks: BTreeSet<i64> = days.map(ago).collect();
    let weeks: Vec<i64> = weeks.into_iter().take(recent + earlier).collect();
    let Some(first_day) = weeks
        .get(recent + earlier - 1)
        .and_then(|weeks| last_day.checked_sub_days(Days::new(u64::try_from(7 * weeks + 6).ok()?)))
    else {
        return Vec::new();
    };
    let mut held: BTreeMap<Unit, Vec<u32>> = BTreeMap::new();
    for (day, unit, hundredths) in reached(client, catalogue, first_day, last_day) {
        let Some(place) = weeks.iter().position(|week| *week == ago(day)) else { continue };
        let week = &mut held.entry(unit).or_insert_with(|| vec![0; recent + earlier])[place];
        *week = week.saturating_add(hundredths);
    }
    let amount = |(unit, weeks): (Unit, Vec<u32>)| {
        let now = weeks[..recent].iter().map(|week| week / 100).sum::<u32>() / u32::from(NOW);
        let mut before: Vec<u32> = weeks[recent..].iter().map(|week| week / 100).collect();
        before.sort_unstable();
        let usual = u32::midpoint(before[earlier / 2 - 1], before[earlier / 2]);
        let is_far = (2 * now <= usual || now >= 2 * usual) && now.abs_diff(usual) >= APART;
        is_far.then(|| OwnAmount { unit, usual: Seconds::new(usual), now: Seconds::new(now) })
    };
    held.into_iter().filter_map(amount).collect()
}

/// Muscles of which one side had half as much again as the other in the last four weeks.
fn side_shares(client: &Client, catalogue: &Catalogue, last_day: NaiveDate) -> Vec<SideShare> {
    let first_day = last_day.checked_sub_days(Days::new(SIDE_DAYS - 1)).unwrap_or(NaiveDate::MIN);
    let mut held: BTreeMap<Muscle, [u32; 2]> = BTreeMap::new();
    for (_, unit, hundredths) in reached(client, catalogue, first_day, last_day) {
        let sum = &mut held.entry(unit.muscle).or_default()[unit.side as usize];
        *sum = sum.saturating_add(hundredths);
    }
    let share = |(muscle, sides): (Muscle, [u32; 2])| {
        let [less, more] = [sides[0].min(sides[1]), sides[0].max(sides[1])].map(u64::from);
        let is_apart = more * u64::from(RATIO.1) >= less * u64::from(RATIO.0);
        is_apart.then(|| SideShare { muscle, seconds: sides.map(|sum| Seconds::new(sum / 100)) })
    };
    held.into_iter().filter_map(share).collect()
}

/// What a client has of the least that handbooks advise; nothing if nothing was stretched of late.
pub fn guidance_share(client: &Client, catalogue: &Catalogue, last_day: NaiveDate) -> Option<GuidanceShare> {
    let since = |days: u64| last_day.checked_sub_days(Days::new(days - 1)).unwrap_or(NaiveDate::MIN);
    let mut held: BTreeMap<Unit, u32> = BTreeMap::new();
    for (_, unit, hundredths) in reached(client, catalogue, since(SIDE_DAYS), last_day) {
        let sum = held.entry(unit).or_default();
        *sum = sum.saturating_add(hundredths);
    }
    let units = u64::try_from(held.len()).ok().filter(|units| *units > 0)?;
    let all: u64 = held.values().copied().map(u64::from).sum();
    // Hundredths of a second over four weeks, against whole seconds of one.
    let least = u64::from(Guidance::default().least().get()) * 100 * (SIDE_DAYS / 7) * units;
    let sessions = client.sessions.iter().map(|session| session.at.date_naive());
    let came = sessions.filter(|day| (since(7 * WEEKS)..=last_day).contains(day)).count();
    Some(GuidanceShare {
        percent: u32::try_from(100 * all / least).unwrap_or(u32::MAX),
        sessions: u32::try_from(came).unwrap_or(u32::MAX),
    })
}
