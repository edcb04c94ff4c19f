//! What the search is asked, in whole numbers only, so that every machine gives the same answer.
//!
//! Time and coverage are counted in ticks, value in steps of any size: plans of the catalogue use ticks of 5 s and
//! grains of 0.04 points (`tariff`), problems of others what divides all that occurs in them.

/// What no path reaches: less than half of it lies below every sum of values and multipliers, twice it and the least
/// of those sums above the end of `i32`.
pub(super) const UNREACHABLE: i32 = -800_000_000;

/// The most that all benefits and costs may add up to.
pub const LARGEST: i64 = 100_000_000;

/// The most that the multipliers along any path, or of any unit, may add up to. With [`LARGEST`] it is less than half
/// of [`UNREACHABLE`], so that no table can overflow, whatever the problem.
pub(super) const MULTIPLIERS_AT_MOST: i64 = 280_000_000;

/// Multipliers are whole numbers too and need room below a value step: the search counts in so many parts of it that
/// all values add up to about this, in one part where they do already.
const FINE: i64 = 4_000_000;

/// One way of doing a stretch: a form, a method and a dose.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Choice {
    /// Index of the position it is done in.
    pub position: usize,
    /// Ticks it takes, set-up and both sides included.
    pub time: usize,
    /// Whether it needs the client's second side, so that the turn of its position must be paid.
    pub second_side: bool,
    /// Ticks of coverage by index of the unit; no unit twice.
    pub gains: Vec<(usize, usize)>,
    /// What it costs; negative for a favourite.
    pub cost: i32,
}

/// A stretch and the ways of doing it, of which a plan takes at most one.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Candidate {
    /// Whether a plan must take one of its choices.
    pub pinned: bool,
    /// The ways of doing it.
    pub choices: Vec<Choice>,
}

/// The planning problem.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Problem {
    /// Ticks from the end of the opening to 'client stands up'.
    pub horizon: usize,
    /// Ticks from the start into each position; none if it cannot come first.
    pub start: Vec<Option<usize>>,
    /// Ticks from one position into a later one; none if they may not follow each other.
    pub change: Vec<Vec<Option<usize>>>,
    /// Ticks to turn to the second side, once a position.
    pub turn: Vec<usize>,
    /// Benefit by ticks of coverage, for each unit: starts at 0, never falls, flat after its end.
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

    /// The sum of all benefits and of the dearest choice of each candidate.
    pub fn total(&self) -> i64 {
        let benefits = self.wants.iter().filter_map(|table| table.last()).map(|&most| i64::from(most));
        let dearest = |candidate: &Candidate| {
            candidate.choices.iter().map(|choice| i64::from(choice.cost).abs()).max().unwrap_or(0)
        };
        benefits.sum::<i64>() + self.candidates.iter().map(dearest).sum::<i64>()
    }

    /// In how many parts the search counts a value.
    pub(super) fn fineness(&self) -> i32 {
        let parts = FINE / self.total().max(1);
        i32::try_from(parts.max(1)).unwrap_or(1)
    }

    /// The same problem with every value so many times as large.
    pub(super) fn scaled(mut self, by: i32) -> Self {
        self.wants.iter_mut().flatten().for_each(|benefit| *benefit *= by);
        self.candidates
            .iter_mut()
            .flat_map(|candidate| &mut candidate.choices)
            .for_each(|choice| choice.cost *= by);
        self
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
}

fn greatest_common_divisor(a: i32, b: i32) -> i32 {
    let (mut a, mut b) = (a.abs(), b.abs());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}
