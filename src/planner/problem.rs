//! What the search is asked, in whole numbers only, so that every machine gives the same answer.
//!
//! Time and coverage are counted in ticks (the greatest common divisor of what occurs), value in micro-points.

/// What no path reaches: far below any value, far above the end of `i32`.
pub(super) const UNREACHABLE: i32 = -1_000_000_000;

/// The most that all benefits and costs may add up to, in micro-points: sums then stay clear of [`UNREACHABLE`].
pub(super) const LARGEST: i64 = 200_000_000;

/// One way of doing a stretch: a form, a method and a dose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Index of the position it is done in.
    pub position: usize,
    /// Ticks it takes, set-up and both sides included.
    pub time: usize,
    /// Whether it needs the client's second side, so that the turn of its position must be paid.
    pub second_side: bool,
    /// Ticks of coverage by index of the unit; no unit twice.
    pub gains: Vec<(usize, usize)>,
    /// What it costs, in micro-points; negative for a favourite.
    pub cost: i32,
}

/// A stretch and the ways of doing it, of which a plan takes at most one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// Whether a plan must take one of its choices.
    pub pinned: bool,
    /// The ways of doing it.
    pub choices: Vec<Choice>,
}

/// The planning problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Ticks from the end of the opening to 'client stands up'.
    pub horizon: usize,
    /// Ticks from the start into each position; none if it cannot come first.
    pub start: Vec<Option<usize>>,
    /// Ticks from one position into a later one; none if they may not follow each other.
    pub change: Vec<Vec<Option<usize>>>,
    /// Ticks to turn to the second side, once a position.
    pub turn: Vec<usize>,
    /// Benefit in micro-points by ticks of coverage, for each unit: starts at 0, never falls, flat after its end.
    pub wants: Vec<Vec<i32>>,
    /// The stretches.
    pub candidates: Vec<Candidate>,
}

/// A choice for each candidate, by index; none where it is left out.
pub type Selection = Vec<Option<usize>>;

/// Ticks and index of a stretch's quickest choice in a position: on the first side or both at once, and on the second.
type Quickest = [Option<(usize, usize)>; 2];

impl Problem {
    /// Number of positions.
    pub fn positions(&self) -> usize {
        self.start.len()
    }

    /// Benefit of `cover` ticks on a unit.
    pub fn benefit(&self, unit: usize, cover: usize) -> i32 {
        let table = &self.wants[unit];
        table[cover.min(table.len() - 1)]
    }

    /// Ticks spent between stretches when the flagged positions are used, those in `turned` on both sides.
    ///
    /// None if two of them may not follow each other.
    pub fn between(&self, used: impl Fn(usize) -> bool, turned: impl Fn(usize) -> bool) -> Option<usize> {
        let mut ticks = 0;
        let mut last: Option<usize> = None;
        for position in (0..self.positions()).filter(|&position| used(position)) {
            ticks += match last {
                None => self.start[position]?,
                Some(last) => self.change[last][position]?,
            };
            if turned(position) {
                ticks += self.turn[position];
            }
            last = Some(position);
        }
        Some(ticks)
    }

    /// The greatest number that divides every benefit and cost, so that two plans of different value differ by at
    /// least so much.
    pub fn value_step(&self) -> i32 {
        let benefits = self.wants.iter().flatten().copied();
        let costs =
            self.candidates.iter().flat_map(|candidate| candidate.choices.iter().map(|choice| choice.cost));
        benefits.chain(costs).fold(0, greatest_common_divisor).max(1)
    }

    /// The quickest way to do the pinned candidates and nothing else, with its ticks; none if their positions never
    /// meet.
    pub fn quickest(&self) -> Option<(usize, Selection)> {
        let masks = 1_usize << self.positions();
        let pinned: Vec<&Candidate> = self.candidates.iter().filter(|candidate| candidate.pinned).collect();
        // By position.
        let by_place: Vec<Vec<Quickest>> = pinned
            .iter()
            .map(|candidate| {
                let mut quickest = vec![[None; 2]; self.positions()];
                for (index, choice) in candidate.choices.iter().enumerate() {
                    let known = &mut quickest[choice.position][usize::from(choice.second_side)];
                    if known.is_none_or(|(time, _)| choice.time < time) {
                        *known = Some((choice.time, index));
                    }
                }
                quickest
            })
            .collect();
        let mut best: Option<(usize, Vec<usize>)> = None;
        // A turn costs little and positions are few: every set of positions, with and without their turns.
        for used in 0..masks {
            for turned in (0..masks).filter(|turned| turned & !used == 0) {
                let is_in = |mask: usize, position: usize| mask >> position & 1 == 1;
                let Some(between) = self.between(|p| is_in(used, p), |p| is_in(turned, p)) else { continue };
                let quickest = |places: &Vec<Quickest>| {
                    let places = places.iter().enumerate().filter(|(position, _)| is_in(used, *position));
                    let open = places
                        .flat_map(|(position, [one, two])| [*one, two.filter(|_| is_in(turned, position))]);
                    open.flatten().min()
                };
                let Some(chosen) = by_place.iter().map(quickest).collect::<Option<Vec<_>>>() else {
                    continue;
                };
                let ticks = between + chosen.iter().map(|(time, _)| time).sum::<usize>();
                if best.as_ref().is_none_or(|(least, _)| ticks < *least) {
                    best = Some((ticks, chosen.into_iter().map(|(_, choice)| choice).collect()));
                }
            }
        }
        let (ticks, chosen) = best?;
        let mut chosen = chosen.into_iter();
        let candidates = self.candidates.iter();
        Some((
            ticks,
            candidates.map(|candidate| if candidate.pinned { chosen.next() } else { None }).collect(),
        ))
    }

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

fn greatest_common_divisor(a: i32, b: i32) -> i32 {
    let (mut a, mut b) = (a.abs(), b.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
