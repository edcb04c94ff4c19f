//! The same problem made smaller: choices that no better plan needs, and stretches that stand for one another.

use super::problem::{Candidate, Choice, Problem};

impl Problem {
    /// The same problem without choices that can be no part of a plan that is better than every plan without them.
    ///
    /// Within one stretch and position a choice goes if another takes no longer, costs no more, needs the second
    /// side no more and covers every unit as much; and a choice goes that gains nothing and costs something, unless
    /// the stretch is pinned. Returns for each candidate that is left its old index and its choices' old indices.
    pub fn reduced(&self) -> (Self, Vec<(usize, Vec<usize>)>) {
        let mut reduced = Self { candidates: Vec::new(), ..self.clone() };
        let mut origin = Vec::new();
        for (index, candidate) in self.candidates.iter().enumerate() {
            let useful = |choice: &Choice| {
                let gains = choice.gains.iter().any(|&(unit, ticks)| self.benefit(unit, ticks) > 0);
                let room =
                    self.start.iter().flatten().min().map_or(0, |&least| self.horizon.saturating_sub(least));
                choice.time <= room && (candidate.pinned || gains || choice.cost < 0)
            };
            let kept: Vec<usize> = (0..candidate.choices.len())
                .filter(|&this| {
                    let choice = &candidate.choices[this];
                    useful(choice)
                        && !candidate.choices.iter().enumerate().any(|(other, rival)| {
                            other != this
                                && self.dominates(rival, choice)
                                && (other < this || !self.dominates(choice, rival))
                        })
                })
                .collect();
            if !kept.is_empty() || candidate.pinned {
                reduced.candidates.push(Candidate {
                    pinned: candidate.pinned,
                    choices: kept.iter().map(|&choice| candidate.choices[choice].clone()).collect(),
                });
                origin.push((index, kept));
            }
        }
        (reduced, origin)
    }

    /// By candidate and choice: other candidates without which some best plan does not take the choice.
    ///
    /// Where another stretch has a choice that is as good in every way, a plan that takes this one and not the other
    /// stretch can take that choice instead. Each such exchange lowers time, cost or the sum of indices, so
    /// exchanging comes to an end at a plan that is worth no less. A pinned stretch cannot be exchanged.
    pub(super) fn implied(&self) -> Vec<Vec<Vec<usize>>> {
        let implied = |index: usize, choice: &Choice| {
            let replaces = |&other: &usize| {
                other != index
                    && self.candidates[other].choices.iter().any(|rival| {
                        self.dominates(rival, choice) && (other < index || !self.dominates(choice, rival))
                    })
            };
            (0..self.candidates.len()).filter(replaces).collect()
        };
        let candidates = self.candidates.iter().enumerate();
        candidates
            .map(|(index, candidate)| {
                let choices = candidate.choices.iter();
                choices
                    .map(|choice| if candidate.pinned { Vec::new() } else { implied(index, choice) })
                    .collect()
            })
            .collect()
    }

    fn dominates(&self, rival: &Choice, choice: &Choice) -> bool {
        rival.position == choice.position
            && rival.time <= choice.time
            && rival.cost <= choice.cost
            && (!rival.second_side || choice.second_side)
            && choice.gains.iter().all(|&(unit, ticks)| {
                let most = self.wants[unit].len() - 1;
                let covered = rival.gains.iter().find(|gain| gain.0 == unit).map_or(0, |gain| gain.1);
                covered.min(most) >= ticks.min(most)
            })
    }
}
