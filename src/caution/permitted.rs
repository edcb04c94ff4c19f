//! What may be done: a form on a side by a method, within what the cautions leave of it. Only this room makes one.

use chrono::NaiveDate;

use crate::body::{Level, Seconds};
use crate::catalogue::{ContractRelax, Dose, Form, Method};

use super::condition::ConditionId;

/// The caps on a form that no caution rules out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowance {
    /// The level to aim at, 4 or lower.
    pub aim: Level,
    /// The longest single hold.
    pub longest_hold: Option<Seconds>,
    /// The longest push in contract-relax.
    pub longest_push: Option<Seconds>,
    /// The most cycles of contract-relax.
    pub most_cycles: Option<u8>,
}

impl Allowance {
    /// No cap at all.
    pub(super) const FREE: Self =
        Self { aim: Level::AIM, longest_hold: None, longest_push: None, most_cycles: None };

    /// Whether a still hold of this length is within it.
    pub fn admits_hold(&self, hold: Seconds) -> bool {
        self.longest_hold.is_none_or(|longest| hold <= longest)
    }

    /// Whether this dose of contract-relax is within it.
    pub fn admits(&self, dose: &ContractRelax) -> bool {
        self.admits_hold(dose.stretch)
            && self.longest_push.is_none_or(|longest| dose.push <= longest)
            && self.most_cycles.is_none_or(|most| dose.cycles <= most)
    }

    /// Holds no longer.
    pub(super) fn cap_hold(&mut self, longest: Seconds) {
        lower(&mut self.longest_hold, longest);
    }

    /// Pushes no longer and no more often.
    pub(super) fn cap_push(&mut self, longest: Seconds, cycles: u8) {
        lower(&mut self.longest_push, longest);
        lower(&mut self.most_cycles, cycles);
    }
}

fn lower<T: PartialOrd>(cap: &mut Option<T>, to: T) {
    if cap.as_ref().is_none_or(|cap| to < *cap) {
        *cap = Some(to);
    }
}

/// A form on a side by a method that the cautions allow, with what they leave of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Permitted<'f> {
    form: &'f Form,
    method: Method,
    allowance: Allowance,
}

impl<'f> Permitted<'f> {
    pub(super) const fn new(form: &'f Form, method: Method, allowance: Allowance) -> Self {
        Self { form, method, allowance }
    }

    /// The level to aim at.
    pub const fn aim(&self) -> Level {
        self.allowance.aim
    }

    /// The caps.
    pub const fn allowance(&self) -> Allowance {
        self.allowance
    }

    /// Whether a dose is one of the form's method and within the caps.
    pub fn admits(&self, dose: Dose) -> bool {
        dose.method() == self.method
            && match dose {
                Dose::Hold(hold) => self.allowance.admits_hold(hold),
                Dose::ContractRelax(cycles) => self.allowance.admits(&cycles),
            }
    }

    /// The doses of the form that are within the caps, as the catalogue lists them.
    pub fn doses(&self) -> impl Iterator<Item = Dose> {
        let holds = self.form.holds.iter().map(|&hold| Dose::Hold(hold));
        let cycles = self.form.contract_relax.iter().map(|&cycles| Dose::ContractRelax(cycles));
        holds.chain(cycles).filter(|&dose| self.admits(dose))
    }
}

/// What rules a form out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RefusalCause {
    /// A condition.
    Condition(ConditionId),
    /// It was stopped for pain on that day and has not found its way back.
    Pain(NaiveDate),
}

/// Why a form is not done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What rules it out.
    pub cause: RefusalCause,
    /// In words, such as "shoulder impingement, left: no abduction with external rotation".
    pub text: String,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&self.text)
    }
}
