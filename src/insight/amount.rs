//! Seconds under stretch per muscle in a week, against published guidance.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};

use crate::body::{Muscle, Seconds, Side, Unit};
use crate::catalogue::Catalogue;
use crate::client::Client;

/// What the sources advise for a week; settings, since they differ and the larger figures were seen second-hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Guidance {
    /// Per exercise and day: 60 s (Garber et al., Med Sci Sports Exerc 2011;43:1334-1359).
    pub day: Seconds,
    /// On at least so many days a week: 2 to 3 (Garber et al. 2011); the lower one.
    pub days: u32,
    /// Aim of a week: 5 minutes per muscle group (Thomas et al., Int J Sports Med 2018;39:243-254).
    pub week: Seconds,
    /// More than this in a week brought no more: 10 minutes (Ingram et al. 2025, a review of 189 studies).
    pub plateau: Seconds,
}

impl Default for Guidance {
    fn default() -> Self {
        Self { day: Seconds::new(60), days: 2, week: Seconds::new(300), plateau: Seconds::new(600) }
    }
}

impl Guidance {
    /// The least of a week: a day's dose on each of the days.
    pub fn least(self) -> Seconds {
        self.day * self.days
    }
}

/// Where a week stands against guidance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Below the least.
    Little,
    /// The least is reached.
    Some,
    /// The aim of a week is reached.
    Enough,
    /// More brings no more.
    Plateau,
}

impl Standing {
    /// A few words for the screen; none below the least, since the guidance stands there once, as context.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Little => "",
            Self::Some => "within the guidance",
            Self::Enough => "at the weekly aim",
            Self::Plateau => "more brings no more",
        }
    }
}

/// What one muscle on one side had in a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Week {
    /// Seconds under stretch, each report counted by the share of its form; pushes and pauses not.
    pub held: Seconds,
    /// On how many days.
    pub days: u32,
}

impl Week {
    /// Where it stands.
    pub fn standing(self, guidance: Guidance) -> Standing {
        if self.held >= guidance.plateau {
            Standing::Plateau
        } else if self.held >= guidance.week {
            Standing::Enough
        } else if self.held >= guidance.least() && self.days >= guidance.days {
            Standing::Some
        } else {
            Standing::Little
        }
    }
}

/// The last day of the week that is looked at: today once something was held today, else yesterday. A client who comes
/// every Wednesday has last Wednesday's block in the week, also before today's begins.
pub fn last_day(client: &Client, today: NaiveDate) -> NaiveDate {
    let of_today = client.sessions.iter().filter(|session| session.at.date_naive() == today);
    let held =
        of_today.flat_map(|session| session.reports.values()).any(|report| report.held > Seconds::ZERO);
    if held { today } else { today.pred_opt().unwrap_or(today) }
}

/// What each muscle had in the seven days that end with `last_day`.
///
/// Stretches that the catalogue no longer knows are not counted: what they reach is not known.
pub fn weekly(client: &Client, catalogue: &Catalogue, last_day: NaiveDate) -> BTreeMap<Unit, Week> {
    let first_day = last_day.checked_sub_days(Days::new(6)).unwrap_or(NaiveDate::MIN);
    let mut weeks: BTreeMap<Unit, (u32, BTreeSet<NaiveDate>)> = BTreeMap::new();
    for (date, unit, held) in reached(client, catalogue, first_day, last_day) {
        let (hundredths, days) = weeks.entry(unit).or_default();
        *hundredths = hundredths.saturating_add(held);
        days.insert(date);
    }
    let week = |(hundredths, days): (u32, BTreeSet<NaiveDate>)| Week {
        held: Seconds::new(hundredths / 100),
        days: u32::try_from(days.len()).unwrap_or(7),
    };
    weeks.into_iter().map(|(unit, sum)| (unit, week(sum))).collect()
}

/// Seconds under stretch of one muscle, left and right, in each of the `count` weeks that end with `last_day`, oldest
/// first.
pub fn course(
    client: &Client,
    catalogue: &Catalogue,
    muscle: Muscle,
    last_day: NaiveDate,
    count: usize,
) -> Vec<(NaiveDate, [Seconds; 2])> {
    let mut hundredths = vec![[0_u32; 2]; count];
    let days = u64::try_from(count).unwrap_or(u64::MAX).saturating_mul(7);
    let first_day = last_day.checked_sub_days(Days::new(days)).unwrap_or(NaiveDate::MIN);
    for (date, unit, held) in reached(client, catalogue, first_day, last_day) {
        let ago = usize::try_from((last_day - date).num_days() / 7).unwrap_or(usize::MAX);
        if let Some(week) = hundredths.get_mut(ago).filter(|_| unit.muscle == muscle) {
            let sum = &mut week[usize::from(unit.side == Side::Right)];
            *sum = sum.saturating_add(held);
        }
    }
    let ends = (0..).step_by(7).map_while(|ago| last_day.checked_sub_days(Days::new(ago)));
    let mut weeks: Vec<_> =
        ends.zip(hundredths).map(|(end, week)| (end, week.map(|sum| Seconds::new(sum / 100)))).collect();
    weeks.reverse();
    weeks
}

/// What each report of some days gave to each unit: the day, the unit, and hundredths of a second under stretch.
pub(super) fn reached<'a>(
    client: &'a Client,
    catalogue: &'a Catalogue,
    first_day: NaiveDate,
    last_day: NaiveDate,
) -> impl Iterator<Item = (NaiveDate, Unit, u32)> + use<'a> {
    let of_days = client.sessions.iter().map(|session| (session.at.date_naive(), session));
    of_days
        .filter(move |(date, _)| (first_day..=last_day).contains(date))
        .flat_map(|(date, session)| session.reports.values().map(move |report| (date, report)))
        .filter_map(|(date, report)| {
            let (_, form) = catalogue.form(&report.stretch, &report.form)?;
            (report.held > Seconds::ZERO).then_some((date, report, form))
        })
        .flat_map(|(date, report, form)| {
            let sides = report.side.map_or(Side::ALL.to_vec(), |side| vec![side]);
            form.targets.iter().flat_map(move |target| {
                let held = report.held.get().saturating_mul(target.share.into());
                let units = sides.clone().into_iter().map(|side| Unit { muscle: target.muscle, side });
                units.map(move |unit| (date, unit, held))
            })
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn guidance_is_as_published() {
        let guidance = Guidance::default();
        // Garber et al. 2011: 60 s an exercise (2 x 30 = 4 x 15) on 2 to 3 days: 120 to 180 s a week.
        assert_eq!(Seconds::new(30) * 2, guidance.day);
        assert_eq!(Seconds::new(15) * 4, guidance.day);
        assert_eq!((guidance.least().get(), (guidance.day * 3).get()), (120, 180));
        // Both lie below Thomas et al. 2018 (5 minutes) and Ingram et al. 2025 (10 minutes).
        assert!(guidance.day * 3 < guidance.week && guidance.week < guidance.plateau);
        // Ingram et al. 2025: sessions of 4 minutes fill a week of 10 minutes 2.5 times.
        assert_eq!(guidance.plateau.get() * 2, 4 * 60 * 5);
    }

    #[test]
    fn a_week_stands_somewhere() {
        let standing = |held, days| Week { held: Seconds::new(held), days }.standing(Guidance::default());
        assert_eq!(standing(119, 3), Standing::Little);
        assert_eq!(standing(180, 1), Standing::Little, "all on one day");
        assert_eq!(standing(120, 2), Standing::Some);
        assert_eq!(
            standing(300, 1),
            Standing::Enough,
            "Thomas 2018 found the length of a session not decisive"
        );
        assert_eq!(standing(600, 5), Standing::Plateau);
    }
}
