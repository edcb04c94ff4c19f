//! What if? Side questions about a plan, asked one at a time while no key waits: what other minutes would give, and
//! what putting in a stretch that was left out would cost.

use std::collections::BTreeMap;

use crate::body::Minutes;
use crate::catalogue::StretchId;
use crate::planner::{Omission, Plan, WhyLeftOut, words};

/// One side question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhatIfQuestion {
    /// The same in so many minutes.
    In(Minutes),
    /// The same with this stretch put in.
    With(StretchId),
}

/// What putting a stretch in would do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cost {
    /// So many hundredths of the plan's value, and these stretches would go.
    Percent(i64, Vec<String>),
    /// There is no plan with it.
    DoesNotFit,
}

impl Cost {
    /// The cost in words, after the reason.
    pub fn words(&self) -> String {
        match self {
            Self::Percent(percent, gone) if gone.is_empty() => {
                format!("putting it in costs {percent} %, others shorter")
            }
            Self::Percent(percent, gone) => {
                format!("putting it in costs {percent} %, out: {}", gone.join(", "))
            }
            Self::DoesNotFit => "does not fit into the time".to_owned(),
        }
    }
}

/// Minutes around the chosen ones that are shown, in the order in which they are asked.
const AROUND: [i64; 9] = [1, 2, -1, 3, -2, 4, -3, 5, -4];

/// The answers so far.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WhatIf {
    /// What the best plan is worth, by its minutes; holds for one choice of all else.
    values: BTreeMap<Minutes, i64>,
    /// What one more minute buys, in words.
    another: Option<String>,
    costs: BTreeMap<StretchId, Cost>,
    asked: Option<WhatIfQuestion>,
}

impl WhatIf {
    /// Forgets what another plan makes untrue; the values hold on if only the minutes changed.
    pub fn forget(&mut self, values_too: bool) {
        (self.another, self.asked) = (None, None);
        self.costs.clear();
        if values_too {
            self.values.clear();
        }
    }

    /// Takes in the plan that the questions are about; a better one than before makes the answers untrue.
    pub fn about(&mut self, plan: &Plan) {
        if self.values.insert(plan.minutes, plan.value).is_some_and(|known| known != plan.value) {
            self.forget(false);
        }
    }

    /// The next question, unless one is open; first what it costs to put in each of those that are looked at.
    pub fn next(&self, plan: &Plan, looked_at: &[&Omission]) -> Option<WhatIfQuestion> {
        if self.asked.is_some() {
            return None;
        }
        let around = AROUND.iter().filter_map(|by| Minutes::new(i64::from(plan.minutes) + by).ok());
        let first = Minutes::new(i64::from(plan.minutes) + 1).ok();
        let minutes = around
            .filter(|minutes| {
                !self.values.contains_key(minutes) || (self.another.is_none() && Some(*minutes) == first)
            })
            .map(WhatIfQuestion::In);
        let cost = looked_at
            .iter()
            .filter(|left| matches!(left.reason, WhyLeftOut::Time(_)))
            .map(|left| left.stretch.clone())
            .find(|stretch| !self.costs.contains_key(stretch))
            .map(WhatIfQuestion::With);
        cost.or_else(|| minutes.into_iter().next())
    }

    /// Notes that a question was asked.
    pub fn asks(&mut self, question: WhatIfQuestion) {
        self.asked = Some(question);
    }

    /// Takes in an answer: a plan, or none.
    pub fn answer(&mut self, now: &Plan, other: Option<&Plan>) {
        match self.asked.take() {
            Some(WhatIfQuestion::In(minutes)) => {
                self.values.insert(minutes, other.map_or(0, |plan| plan.value));
                if minutes.get() == now.minutes.get() + 1 {
                    self.another = Some(words::added(&now.added_by(other.unwrap_or(now))));
                }
            }
            Some(WhatIfQuestion::With(stretch)) => {
                let cost = other.map_or(Cost::DoesNotFit, |other| {
                    let gone = now
                        .steps
                        .iter()
                        .filter(|step| other.steps.iter().all(|kept| kept.stretch != step.stretch));
                    let mut names: Vec<String> = gone.map(|step| step.name.clone()).collect();
                    names.dedup();
                    names.sort();
                    names.dedup();
                    Cost::Percent(percent(now.value.saturating_sub(other.value), now.value), names)
                });
                self.costs.insert(stretch, cost);
            }
            None => {}
        }
    }

    /// What one more minute buys, in words, once it is known.
    pub fn another(&self) -> Option<&str> {
        self.another.as_deref()
    }

    /// What putting a stretch in would do, once it is known.
    pub fn cost(&self, stretch: &StretchId) -> Option<&Cost> {
        self.costs.get(stretch)
    }

    /// What the minutes around the chosen ones are worth against these, in words, as far as it is known.
    pub fn around_words(&self, plan: &Plan) -> Option<String> {
        let known = self.around(plan.minutes).into_iter().filter(|(minutes, _)| *minutes != plan.minutes);
        let told = known.filter_map(|(minutes, value)| {
            let hundredths =
                100 + percent(value? - plan.value, plan.value) - percent(plan.value - value?, plan.value);
            Some(format!("{} min {hundredths} %", minutes.get()))
        });
        let told: Vec<String> = told.collect();
        (!told.is_empty()).then(|| format!("against these minutes: {}", told.join(", ")))
    }

    /// The values of the minutes around the chosen ones, as far as they are known.
    fn around(&self, minutes: Minutes) -> Vec<(Minutes, Option<i64>)> {
        let mut by = AROUND.to_vec();
        by.push(0);
        by.sort_unstable();
        by.into_iter()
            .filter_map(|by| Minutes::new(i64::from(minutes) + by).ok())
            .map(|minutes| (minutes, self.values.get(&minutes).copied()))
            .collect()
    }
}

/// A part as hundredths of a whole, rounded; none of nothing.
fn percent(part: i64, whole: i64) -> i64 {
    if whole <= 0 { 0 } else { (part.max(0).saturating_mul(200) / whole + 1) / 2 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::Seconds;

    fn plan(minutes: i64, value: i64, left_out: &[&str]) -> Plan {
        let minutes = Minutes::new(minutes).expect("minutes");
        let left = |id: &&str| Omission {
            stretch: StretchId::new(*id).expect("an id"),
            name: (*id).to_owned(),
            reason: WhyLeftOut::Time(None),
            detail: String::new(),
        };
        Plan {
            minutes,
            budget: minutes.seconds(),
            opening: Seconds::ZERO,
            steps: Vec::new(),
            massage: Seconds::ZERO,
            total: Seconds::ZERO,
            value,
            bound: value,
            left_out: left_out.iter().map(left).collect(),
        }
    }

    #[test]
    fn every_question_is_asked_once_and_the_next_minute_first() {
        let now = plan(10, 100, &["one", "two"]);
        let mut what_if = WhatIf::default();
        what_if.about(&now);
        let mut asked = Vec::new();
        while let Some(question) = what_if.next(&now, &[]) {
            asked.push(question.clone());
            what_if.asks(question.clone());
            assert_eq!(what_if.next(&now, &[]), None, "one at a time");
            let WhatIfQuestion::In(minutes) = question else { panic!("{question:?}") };
            what_if.answer(&now, Some(&plan(i64::from(minutes), 10 * i64::from(minutes), &[])));
        }
        assert_eq!(asked.len(), AROUND.len());
        assert_eq!(asked.first(), Minutes::new(11).ok().map(WhatIfQuestion::In).as_ref());
        let worth = what_if.around_words(&now).expect("values");
        assert!(worth.contains("9 min 90 %, 11 min 110 %"), "{worth}");
        // Another minute keeps what is known and asks the one at the new edge and what it buys.
        what_if.forget(false);
        let later = plan(11, 110, &[]);
        assert_eq!(what_if.next(&later, &[]), Minutes::new(12).ok().map(WhatIfQuestion::In));
    }

    #[test]
    fn a_better_plan_of_the_same_minutes_makes_costs_untrue() {
        let mut what_if = WhatIf::default();
        let now = plan(20, 200, &["one"]);
        what_if.about(&now);
        what_if.asks(what_if.next(&now, &[&now.left_out[0]]).expect("a question"));
        what_if.answer(&now, Some(&plan(20, 150, &[])));
        let one = StretchId::new("one").expect("an id");
        what_if.about(&now);
        assert!(what_if.cost(&one).is_some(), "the same plan again");
        what_if.about(&plan(20, 210, &["one"]));
        assert_eq!(what_if.cost(&one), None);
    }

    #[test]
    fn costs_are_asked_in_the_order_in_which_they_are_looked_at() {
        let now = plan(20, 200, &["one", "two"]);
        let mut what_if = WhatIf::default();
        for (stretch, value) in [("two", 150), ("one", 199)] {
            let question = what_if.next(&now, &[&now.left_out[1], &now.left_out[0]]).expect("a question");
            assert_eq!(question, WhatIfQuestion::With(StretchId::new(stretch).expect("an id")));
            what_if.asks(question);
            what_if.answer(&now, Some(&plan(20, value, &[])));
        }
        let cost = |id| what_if.cost(&StretchId::new(id).expect("an id"));
        assert_eq!(cost("two"), Some(&Cost::Percent(25, Vec::new())));
        assert_eq!(cost("one"), Some(&Cost::Percent(1, Vec::new())));
    }
}
