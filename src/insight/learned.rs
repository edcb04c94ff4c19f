//! How tight each muscle seems, for the demand of a plan.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::{Muscle, Side, Unit};
use crate::catalogue::Catalogue;
use crate::client::{Client, Session};

use super::norms::shortness;
use super::record::series;
use super::sides::sides;

/// Answers older than this say nothing about today; our judgement.
const DAYS: i64 = 120;

/// How tight a muscle on one side seems.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tightness {
    /// 0 nothing known, 1 a little, 2 clearly, 3 the first thing to see to.
    pub points: u8,
    /// What it rests on, in words.
    pub why: String,
    /// Whether a measured angle shows it to be short of a published norm, in words.
    pub short: Option<String>,
}

impl Tightness {
    fn add(&mut self, points: u8, why: &str) {
        self.points = (self.points + points).min(3);
        if !self.why.is_empty() {
            self.why.push_str("; ");
        }
        self.why.push_str(why);
    }
}

/// The muscles that seem tight: noted so in the profile, tighter than the other side, short of a published norm, or
/// answered 5.
///
/// The points are our judgement; nothing is said about muscles of which nothing is known.
pub fn tightness(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> BTreeMap<Unit, Tightness> {
    let mut all: BTreeMap<Unit, Tightness> = BTreeMap::new();
    for unit in client.profile.tight_units() {
        all.entry(unit).or_default().add(2, "noted as tight");
    }
    let is_recent = |session: &&Session| {
        let age = (today - session.at.date_naive()).num_days();
        (0..=DAYS).contains(&age)
    };
    // Ten years of sessions are not copied for each plan.
    let sessions = client.sessions.iter().filter(is_recent).cloned().collect();
    let recent = Client::new(client.profile.clone(), sessions);
    // Several stretches may tell the same of one muscle: the strongest counts, not the sum.
    let mut strongest: BTreeMap<Unit, (u8, String)> = BTreeMap::new();
    let mut offer = |unit: Unit, points: u8, why: String| {
        let best = strongest.entry(unit).or_default();
        if points > best.0 {
            *best = (points, why);
        }
    };
    for difference in sides(&recent, catalogue) {
        for unit in difference.units {
            offer(unit, difference.points, format!("{}: {}", difference.name, difference.why));
        }
    }
    let short = shortness(&recent, catalogue, today);
    for (unit, short) in &short {
        offer(*unit, 2, format!("{short} on {}", short.date));
    }
    for (stretch, series) in series(&recent) {
        for (side, points) in series {
            let Some(last) = points.iter().rev().find(|point| point.level.is_some()) else { continue };
            let Some((named, form)) = catalogue.form(stretch, last.form) else { continue };
            if last.level.is_none_or(|level| level.get() < 5) {
                continue;
            }
            let sides = side.map_or_else(|| Side::ALL.to_vec(), |side| vec![side]);
            let main = form.targets.iter().filter(|target| target.share >= 50);
            let muscles: Vec<Muscle> = main.map(|target| target.muscle).collect();
            for (muscle, &side) in
                muscles.iter().flat_map(|&muscle| sides.iter().map(move |side| (muscle, side)))
            {
                offer(Unit { muscle, side }, 1, format!("{}: answered 5 on {}", named.name, last.date));
            }
        }
    }
    for (unit, (points, why)) in strongest {
        all.entry(unit).or_default().add(points, &why);
    }
    for (unit, short) in short {
        all.entry(unit).or_default().short = Some(short.to_string());
    }
    all
}
