//! The trainer's own day: what its sessions add up to, beside the usual day.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::Seconds;
use crate::catalogue::{Catalogue, Form, Method};
use crate::client::{Client, Meters, Profile, Report, Session, WorkedBlock, whole_second};

use super::kilograms::ClientMass;
use super::step_load::{SideWork, StepLoad};

/// Blocks from which on a day says what is usual; our judgement, like the numbers of days.
const BLOCKS_OF_A_DAY: u32 = 3;
/// So many days, the latest ones, say what is usual, and so many there must be.
const USUAL_DAYS: usize = 10;
const FEWEST_DAYS: usize = 5;

/// What the work with clients came to on one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WorkDay {
    /// Blocks that were worked.
    pub blocks: u32,
    /// The minutes.
    pub meters: Meters,
}

/// The minutes of one side of a form, held so long.
pub fn step_meters(form: &Form, worked: SideWork, held: Seconds, mass: ClientMass) -> Meters {
    // What was left out asked for nothing.
    if held == Seconds::ZERO {
        return Meters::default();
    }
    StepLoad::of(form, worked, mass).map(|load| load.meters(held, form.setup)).unwrap_or_default()
}

fn worked(report: &Report, form: &Form) -> SideWork {
    let dose = form.contract_relax.iter().find(|dose| dose.cycles == report.cycles).copied();
    match dose.filter(|_| report.method == Method::ContractRelax) {
        Some(dose) => SideWork::Pushes(dose),
        None => SideWork::Still(report.held),
    }
}

/// What a session asked, as it is kept; what the catalogue does not know is left out.
pub fn worked_block(session: &Session, profile: &Profile, catalogue: &Catalogue) -> WorkedBlock {
    let mass = ClientMass::of(profile.mass);
    let known = session.reports.values().filter_map(|report| {
        let (_, form) = catalogue.form(&report.stretch, &report.form)?;
        Some(step_meters(form, worked(report, form), report.held, mass))
    });
    WorkedBlock { at: whole_second(session.at), meters: known.sum() }
}

/// What the session of a moment asked, as a client's file has it; nothing if it was taken back or is not there.
pub fn kept_block(client: &Client, at: DateTime<FixedOffset>, catalogue: &Catalogue) -> WorkedBlock {
    let kept = client.sessions.iter().find(|session| whole_second(session.at) == whole_second(at));
    let nothing = WorkedBlock { at: whole_second(at), meters: Meters::default() };
    kept.map_or(nothing, |session| worked_block(session, &client.profile, catalogue))
}

/// The minutes of one day before a moment of it.
pub fn minutes_before(blocks: &[WorkedBlock], moment: DateTime<FixedOffset>) -> Meters {
    let earlier =
        blocks.iter().filter(|block| block.at < moment && block.at.date_naive() == moment.date_naive());
    earlier.map(|block| block.meters).sum()
}

/// Every day on which clients were worked on.
pub fn work_days(blocks: &[WorkedBlock]) -> BTreeMap<NaiveDate, WorkDay> {
    let mut days: BTreeMap<NaiveDate, WorkDay> = BTreeMap::new();
    // A block that asked for nothing was taken back, or done without the trainer.
    for block in blocks.iter().filter(|block| block.meters != Meters::default()) {
        let day = days.entry(block.at.date_naive()).or_default();
        day.blocks += 1;
        day.meters = day.meters + block.meters;
    }
    days
}

/// The usual day before a date: the middle of each meter over the last ten days with three blocks or more; none
/// before there are five.
pub fn usual_day(days: &BTreeMap<NaiveDate, WorkDay>, before: NaiveDate) -> Option<Meters> {
    let full = days.range(..before).rev().map(|(_, day)| day).filter(|day| day.blocks >= BLOCKS_OF_A_DAY);
    let latest: Vec<Meters> = full.take(USUAL_DAYS).map(|day| day.meters).collect();
    if latest.len() < FEWEST_DAYS {
        return None;
    }
    let middle = |of: fn(&Meters) -> Seconds| {
        let mut all: Vec<Seconds> = latest.iter().map(of).collect();
        all.sort_unstable();
        let (low, high) = (all[(all.len() - 1) / 2], all[all.len() / 2]);
        Seconds::new((low + high).get() / 2)
    };
    Some(Meters {
        hands_on: middle(|day| day.hands_on),
        bent: middle(|day| day.bent),
        stooped: middle(|day| day.stooped),
        kneeling: middle(|day| day.kneeling),
        heavy: middle(|day| day.heavy),
        highest: latest.iter().map(|day| day.highest).max().unwrap_or(0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, day).expect("a day of November")
    }

    fn day(blocks: u32, minutes: u32) -> WorkDay {
        let meters = Meters { kneeling: Seconds::new(60 * minutes), ..Meters::default() };
        WorkDay { blocks, meters }
    }

    #[test]
    fn the_usual_day_is_the_middle_of_the_last_ten_full_ones() {
        let kneeling = |days: &BTreeMap<NaiveDate, WorkDay>| {
            usual_day(days, date(28)).map(|usual| usual.kneeling.get() / 60)
        };
        let four = (1..=4).map(|number| (date(number), day(3, number))).collect();
        assert_eq!(kneeling(&four), None, "four days say nothing yet");
        let five = (1..=5).map(|number| (date(number), day(3, number))).collect();
        assert_eq!(kneeling(&five), Some(3));
        let mut twenty: BTreeMap<_, _> = (1..=20).map(|number| (date(number), day(8, number))).collect();
        assert_eq!(kneeling(&twenty), Some(15), "11 to 20: between 15 and 16");
        // A day of two blocks says nothing of a working day, and today is not its own measure.
        twenty.insert(date(27), day(2, 500));
        twenty.insert(date(28), day(9, 500));
        assert_eq!(kneeling(&twenty), Some(15));
    }
}
