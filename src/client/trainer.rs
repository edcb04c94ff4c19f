//! The trainer at this machine.

use chrono::NaiveDate;

use crate::body::{Minutes, Seconds, Side};
use crate::catalogue::{Equipment, FormId, Method, StretchId};
use crate::names::named;

use super::rows::Habit;
use super::session::Instrument;

named! {
    /// Where a trainer can be sore.
    pub enum SoreRegion("sore region") {
        /// Knee.
        Knee = "knee",
        /// Back.
        Back = "back",
        /// Shoulder.
        Shoulder = "shoulder",
        /// Wrist.
        Wrist = "wrist",
        /// Neck.
        Neck = "neck",
    }
}

/// What is sore on the trainer: for that day, or until it is taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sore {
    /// Where.
    pub region: SoreRegion,
    /// The day it was said.
    pub on: NaiveDate,
    /// Whether it stays the next morning.
    pub kept: bool,
    /// The day from which it is over.
    pub off: Option<NaiveDate>,
}

impl Sore {
    /// Whether it counts on a day.
    pub fn counts(&self, today: NaiveDate) -> bool {
        let over = self.off.is_some_and(|off| off <= today);
        !over && (self.on == today || (self.kept && self.on < today))
    }
}

/// One step of a block that is kept by name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptStep {
    /// The stretch.
    pub stretch: StretchId,
    /// The form.
    pub form: FormId,
    /// The side; none for both, one after the other or at once.
    pub side: Option<Side>,
    /// How it is worked.
    pub method: Method,
    /// Cycles of push and stretch; 0 for a static hold.
    pub cycles: u8,
    /// Seconds under stretch, a side.
    pub held: Seconds,
}

/// A block that is kept by name, such as the usual for runners.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptBlock {
    /// What it is called.
    pub name: String,
    /// Its steps, in their order.
    pub steps: Vec<KeptStep>,
    /// The day it was kept.
    pub on: NaiveDate,
    /// The day it was taken off.
    pub off: Option<NaiveDate>,
    /// Who kept it.
    pub by: String,
}

/// What the program knows about its trainer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trainer {
    /// The trainer's name; may be empty.
    pub name: String,
    /// The studio's name; may be empty.
    pub studio: String,
    /// How to reach the studio, in a line; may be empty.
    pub contact: String,
    /// What is at hand beside a mat.
    pub equipment: Vec<Equipment>,
    /// Minutes that are usually left.
    pub minutes: Minutes,
    /// Whether local rules let this trainer massage; off until stated.
    pub may_massage: bool,
    /// What angles are usually measured with.
    pub instrument: Option<Instrument>,
    /// Whether the spoken lines are to be short.
    pub brief: bool,
    /// The keys that the trainer's remote sends, by their names and parted by commas; empty for the usual ones.
    pub remote: String,
    /// What the trainer said about plans for everybody.
    pub habits: Vec<Habit>,
    /// Blocks kept by name.
    pub blocks: Vec<KeptBlock>,
    /// What is or was sore on the trainer.
    pub sore: Vec<Sore>,
}

impl Trainer {
    /// Says all that is sore from a day on, for that day or until it is taken off; what is not named is over.
    pub fn say_sore(&mut self, places: &[SoreRegion], on: NaiveDate, kept: bool) {
        for sore in self.sore.iter_mut().filter(|sore| sore.counts(on)) {
            if !places.contains(&sore.region) || sore.kept != kept {
                sore.off = Some(on);
            }
        }
        for &region in places {
            if !self.sore_on(on).any(|sore| sore == region) {
                self.sore.push(Sore { region, on, kept, off: None });
            }
        }
    }

    /// Says that one region is sore on a day, or is not any more.
    pub fn turn_sore(&mut self, region: SoreRegion, on: NaiveDate, is_sore: bool) {
        let was_sore = self.sore_on(on).any(|sore| sore == region);
        if is_sore && !was_sore {
            self.sore.push(Sore { region, on, kept: false, off: None });
        } else if !is_sore {
            for sore in self.sore.iter_mut().filter(|sore| sore.region == region && sore.counts(on)) {
                sore.off = Some(on);
            }
        }
    }

    /// Whether a region is sore on a day and stays so until it is taken off.
    pub fn is_kept_sore(&self, region: SoreRegion, on: NaiveDate) -> bool {
        self.sore.iter().any(|sore| sore.region == region && sore.kept && sore.counts(on))
    }

    /// Where the trainer is sore on a day, each region once.
    pub fn sore_on(&self, today: NaiveDate) -> impl Iterator<Item = SoreRegion> {
        let counts = move |region| self.sore.iter().any(|sore| sore.region == region && sore.counts(today));
        SoreRegion::ALL.iter().copied().filter(move |&region| counts(region))
    }
}

impl Default for Trainer {
    fn default() -> Self {
        Self {
            name: String::new(),
            studio: String::new(),
            contact: String::new(),
            equipment: vec![Equipment::Chair, Equipment::Strap, Equipment::Wall],
            minutes: Minutes::new(10).expect("ten is within the bounds"),
            may_massage: false,
            instrument: None,
            brief: false,
            remote: String::new(),
            habits: Vec::new(),
            blocks: Vec::new(),
            sore: Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_sore_is_gone_the_next_morning_unless_it_is_kept() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let knee = Sore { region: SoreRegion::Knee, on: day("2026-11-20"), kept: false, off: None };
        let back = Sore { region: SoreRegion::Back, kept: true, ..knee };
        let trainer = Trainer { sore: vec![knee, back], ..Trainer::default() };
        let on = |text: &str| trainer.sore_on(day(text)).collect::<Vec<_>>();
        assert_eq!(on("2026-11-20"), [SoreRegion::Knee, SoreRegion::Back]);
        assert_eq!(on("2026-11-21"), [SoreRegion::Back]);
        assert!(on("2026-11-19").is_empty());
        let mut turned = trainer.clone();
        turned.turn_sore(SoreRegion::Back, day("2026-11-22"), false);
        turned.turn_sore(SoreRegion::Wrist, day("2026-11-22"), true);
        turned.turn_sore(SoreRegion::Wrist, day("2026-11-22"), true);
        assert_eq!(turned.sore_on(day("2026-11-22")).collect::<Vec<_>>(), [SoreRegion::Wrist]);
        assert!(turned.sore_on(day("2026-11-23")).next().is_none() && turned.sore.len() == 3);
        assert!(turned.is_kept_sore(SoreRegion::Back, day("2026-11-21")), "it was sore until then");
        let over = Sore { off: Some(day("2026-11-22")), ..back };
        assert!(over.counts(day("2026-11-21")) && !over.counts(day("2026-11-22")));
    }
}
