//! Reports on their way to the client's file, in order, and kept until the disk has them.

use std::collections::{BTreeMap, VecDeque};

use crate::client::Report;

use super::effect::Effect;
use super::event::Reply;

/// Reports that wait, and what is known to be on the disk.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outbox {
    // Invariant: the first one is on its way while `busy`.
    queue: VecDeque<(u32, Report)>,
    busy: bool,
    /// The file's number of each report that is on the disk, by its number in the block.
    written: BTreeMap<u32, u32>,
    failed: Option<String>,
}

impl Outbox {
    /// Knows the reports that the file has already.
    pub fn holding(numbers: impl IntoIterator<Item = u32>) -> Self {
        Self { written: numbers.into_iter().map(|number| (number, number)).collect(), ..Self::default() }
    }

    /// Takes a report, or the mended text of an earlier one.
    pub fn take(&mut self, number: u32, report: Report, effects: &mut Vec<Effect>) {
        let first_unsent = usize::from(self.busy);
        match self.queue.iter_mut().skip(first_unsent).find(|(other, _)| *other == number) {
            Some((_, waiting)) => *waiting = report,
            None => self.queue.push_back((number, report)),
        }
        self.send(effects);
    }

    /// Tries again what could not be written.
    pub fn retry(&mut self, effects: &mut Vec<Effect>) {
        if self.failed.is_some() {
            self.send(effects);
        }
    }

    fn send(&mut self, effects: &mut Vec<Effect>) {
        if self.busy {
            return;
        }
        if let Some((number, report)) = self.queue.front() {
            self.busy = true;
            effects.push(match self.written.get(number) {
                Some(number) => Effect::Amend(*number, Box::new(report.clone())),
                None => Effect::Report(Box::new(report.clone())),
            });
        }
    }

    /// Hears what became of the one on its way.
    pub fn take_reply(&mut self, reply: &Reply, effects: &mut Vec<Effect>) {
        let outcome = match reply {
            Reply::Reported(outcome) => outcome.clone().map(Some),
            Reply::Amended(outcome) => outcome.clone().map(|()| None),
            _ => return,
        };
        if !std::mem::take(&mut self.busy) {
            return;
        }
        match outcome {
            Ok(number) => {
                self.failed = None;
                if let (Some((own, _)), Some(number)) = (self.queue.pop_front(), number) {
                    self.written.insert(own, number);
                }
                self.send(effects);
            }
            Err(why) => self.failed = Some(why),
        }
    }

    /// How many reports are on the disk.
    pub fn saved(&self) -> usize {
        self.written.len()
    }

    /// Why something is not on the disk, if that is so.
    pub fn failed(&self) -> Option<&str> {
        self.failed.as_deref()
    }

    /// Whether everything is on the disk.
    pub fn is_idle(&self) -> bool {
        self.queue.is_empty()
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
        outbox.take(1, report(30), &mut effects);
        outbox.take_reply(&Reply::Reported(Err("disk full".to_owned())), &mut effects);
        assert_eq!((outbox.failed(), outbox.saved()), (Some("disk full"), 0));
        outbox.take(2, report(20), &mut effects);
        outbox.take_reply(&Reply::Reported(Ok(1)), &mut effects);
        outbox.take_reply(&Reply::Reported(Ok(2)), &mut effects);
        let held: Vec<u32> = effects
            .iter()
            .map(|effect| match effect {
                Effect::Report(report) => report.held.get(),
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(held, [30, 30, 20]);
        assert!(outbox.is_idle() && outbox.saved() == 2 && outbox.failed().is_none());
    }

    #[test]
    fn a_mended_report_goes_to_the_number_in_the_file() {
        let (mut outbox, mut effects) = (Outbox::holding([7]), Vec::new());
        outbox.take(7, report(25), &mut effects);
        assert!(matches!(&effects[..], [Effect::Amend(7, _)]));
    }
}
