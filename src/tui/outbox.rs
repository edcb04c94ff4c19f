//! What goes into the open session on its way to the client's file: in order, and kept until the disk has it.

use std::collections::{BTreeMap, VecDeque};

use chrono::{DateTime, FixedOffset};

use crate::client::{ConsentLimit, Report};
use crate::failure::Failure;

use super::effect::{Effect, JournalEntry};
use super::event::Reply;

/// Something that is not on the disk yet.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Waiting {
    /// A report by its number in the block, or another text of it.
    Report(u32, Report),
    Narrow(ConsentLimit, DateTime<FixedOffset>),
    Close(DateTime<FixedOffset>, String),
}

/// Entries that wait, and what is known to be on the disk.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outbox {
    // Invariant: the first one is on its way while `busy`.
    queue: VecDeque<Waiting>,
    busy: bool,
    /// The file's number of each report that is on the disk, by its number in the block.
    written: BTreeMap<u32, u32>,
    failed: Option<Failure>,
    closed: bool,
}

impl Outbox {
    /// Knows the reports that the file has already.
    pub fn holding(numbers: impl IntoIterator<Item = u32>) -> Self {
        Self { written: numbers.into_iter().map(|number| (number, number)).collect(), ..Self::default() }
    }

    /// Takes a report, or another text of an earlier one.
    pub fn report(&mut self, number: u32, report: Report, effects: &mut Vec<Effect>) {
        let first_unsent = usize::from(self.busy);
        let waiting = self.queue.iter_mut().skip(first_unsent).find_map(|waiting| match waiting {
            Waiting::Report(other, waiting) if *other == number => Some(waiting),
            _ => None,
        });
        match waiting {
            Some(waiting) => *waiting = report,
            None => self.queue.push_back(Waiting::Report(number, report)),
        }
        self.send(effects);
    }

    /// Takes what the client takes out of the consent.
    pub fn narrow(&mut self, what: ConsentLimit, at: DateTime<FixedOffset>, effects: &mut Vec<Effect>) {
        self.queue.push_back(Waiting::Narrow(what, at));
        self.send(effects);
    }

    /// Takes the end of the session; nothing may follow it.
    pub fn close(&mut self, at: DateTime<FixedOffset>, note: String, effects: &mut Vec<Effect>) {
        self.queue.push_back(Waiting::Close(at, note));
        self.send(effects);
    }

    /// Tries again what could not be written.
    pub fn retry(&mut self, effects: &mut Vec<Effect>) {
        if self.failed.is_some() {
            self.send(effects);
        }
    }

    /// Gives up closing the session, which could not be written.
    pub fn keep_open(&mut self) {
        if !self.busy {
            self.queue.retain(|waiting| !matches!(waiting, Waiting::Close(..)));
        }
    }

    fn send(&mut self, effects: &mut Vec<Effect>) {
        if self.busy {
            return;
        }
        if let Some(waiting) = self.queue.front() {
            self.busy = true;
            effects.push(Effect::Write(match waiting {
                Waiting::Report(number, report) => match self.written.get(number) {
                    Some(number) => JournalEntry::Amend(*number, Box::new(report.clone())),
                    None => JournalEntry::Report(Box::new(report.clone())),
                },
                Waiting::Narrow(what, at) => JournalEntry::Narrow(*what, *at),
                Waiting::Close(at, note) => JournalEntry::Close { at: *at, note: note.clone() },
            }));
        }
    }

    /// Hears what became of the one on its way.
    pub fn take_reply(&mut self, reply: &Reply, effects: &mut Vec<Effect>) {
        let Reply::Written(outcome) = reply else { return };
        if !std::mem::take(&mut self.busy) {
            return;
        }
        match outcome {
            Ok(number) => {
                self.failed = None;
                match (self.queue.pop_front(), number) {
                    (Some(Waiting::Report(own, _)), Some(number)) => {
                        self.written.insert(own, *number);
                    }
                    (Some(Waiting::Close(..)), _) => self.closed = true,
                    _ => {}
                }
                self.send(effects);
            }
            Err(why) => self.failed = Some(why.clone()),
        }
    }

    /// How many reports are on the disk.
    pub fn saved(&self) -> usize {
        self.written.len()
    }

    /// How many reports are not on the disk as they stand now.
    pub fn unsaved(&self) -> usize {
        self.queue.iter().filter(|waiting| matches!(waiting, Waiting::Report(..))).count()
    }

    /// Why something is not on the disk, if that is so.
    pub fn failed(&self) -> Option<&Failure> {
        self.failed.as_ref()
    }

    /// Whether everything is on the disk.
    pub fn is_idle(&self) -> bool {
        self.queue.is_empty()
    }

    /// Whether the session's end is on the disk.
    pub fn is_closed(&self) -> bool {
        self.closed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Level, Seconds, Side};
    use crate::catalogue::{FormId, StretchId};

    fn report(held: u32) -> Report {
        Report {
            level: Level::new(4).ok(),
            ..Report::new(
                StretchId::new("calf-press").expect("a word"),
                FormId::new("knee-straight").expect("a word"),
                Some(Side::Left),
                Seconds::new(held),
            )
        }
    }

    #[test]
    fn a_report_that_failed_is_kept_and_written_before_the_next() {
        let (mut outbox, mut effects) = (Outbox::default(), Vec::new());
        outbox.report(1, report(30), &mut effects);
        outbox.take_reply(&Reply::Written(Err(Failure::new("disk full"))), &mut effects);
        assert_eq!((outbox.failed(), outbox.saved()), (Some(&Failure::new("disk full")), 0));
        outbox.report(2, report(20), &mut effects);
        outbox.take_reply(&Reply::Written(Ok(Some(1))), &mut effects);
        outbox.take_reply(&Reply::Written(Ok(Some(2))), &mut effects);
        let held: Vec<u32> = effects
            .iter()
            .map(|effect| match effect {
                Effect::Write(JournalEntry::Report(report)) => report.held.get(),
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(held, [30, 30, 20]);
        assert!(outbox.is_idle() && outbox.saved() == 2 && outbox.failed().is_none());
    }

    #[test]
    fn a_mended_report_goes_to_the_number_in_the_file() {
        let (mut outbox, mut effects) = (Outbox::holding([7]), Vec::new());
        outbox.report(7, report(25), &mut effects);
        assert!(matches!(&effects[..], [Effect::Write(JournalEntry::Amend(7, _))]));
    }

    #[test]
    fn the_end_follows_every_report_and_what_was_taken_out_of_the_consent() {
        let at = DateTime::parse_from_rfc3339("2026-11-27T18:40:00+00:00").expect("a time");
        let (mut outbox, mut effects) = (Outbox::default(), Vec::new());
        outbox.report(1, report(30), &mut effects);
        outbox.narrow(ConsentLimit::NoMassage, at, &mut effects);
        outbox.report(1, report(35), &mut effects);
        outbox.close(at, String::new(), &mut effects);
        assert_eq!(effects.len(), 1, "one at a time");
        assert!(!outbox.is_idle());
        for number in [Some(1), None, None, None] {
            outbox.take_reply(&Reply::Written(Ok(number)), &mut effects);
        }
        let order: Vec<&str> = effects
            .iter()
            .map(|effect| match effect {
                Effect::Write(JournalEntry::Report(_)) => "report",
                Effect::Write(JournalEntry::Narrow(..)) => "narrow",
                Effect::Write(JournalEntry::Amend(1, report)) if report.held.get() == 35 => "amend",
                Effect::Write(JournalEntry::Close { .. }) => "close",
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(order, ["report", "narrow", "amend", "close"]);
        assert!(outbox.is_closed() && outbox.is_idle());
    }
}
