//! Left against right in one pass from the first session on: what begins and ends, and when.

use std::collections::VecDeque;

use chrono::NaiveDate;

use crate::body::{Muscle, Side};

use super::answers::AnswerTally;
use super::compare::{AnglePair, Compared, Comparison};
use super::evidence::{reaches, still_needed};
use super::measuring::{Scatter, StandardError};
use super::side_pairs::{MOST_PAIRS, PairMean, angles_over};
use super::sides::{Needed, OverDifference, SideBasis, SideStanding, SideVerdict};

/// Days without a comparison or a pair of angles after which a verdict is stale; practice, no source.
const STALE: i64 = 90;
/// Of so many clients without a difference at most one is ever told of one, whichever the muscle: the evidence has to
/// reach this much for each muscle that is compared (Bonferroni at 5 %).
const ONE_IN: u32 = 20;
/// The fewest muscles that are allowed for: more will be compared than were so far.
const FEWEST_MUSCLES: u32 = 8;
/// The part of the answers for a side that must come from sessions in which it was worked second: a first side that
/// is still cold may answer a little higher (by simulation).
const SECOND_PART: u32 = 4;
/// Comparisons over which a claim from answers ends, and the lead at which it does (by simulation).
const LAST_ANSWERS: usize = 12;
const LEAD_AT_END: i32 = 1;
/// Comparisons that 'answered alike' looks at, how many there must be, and the part of them that the lead may be (by
/// simulation: so in 70 to 88 % of equal clients, in 1 to 11 % of those with a clear difference).
const ALIKE_WINDOW: usize = 20;
const ALIKE_FROM: usize = 12;
const ALIKE_PART: usize = 6;
/// Evidence from which one side leans: no claim, only a reason to measure.
const LEANS_AT: u32 = 8;

/// Every muscle that was ever compared or measured on both sides, up to a session.
pub(super) struct SideCourses {
    muscles: Vec<Option<SideCourse>>,
    compared_ever: u32,
    scatter: Scatter,
}

impl SideCourses {
    pub(super) fn new() -> Self {
        let muscles = Muscle::ALL.iter().map(|_| None).collect();
        Self { muscles, compared_ever: 0, scatter: Scatter::UNKNOWN }
    }

    /// Takes in what was compared in the next session.
    pub(super) fn take(&mut self, on: NaiveDate, found: &Compared) {
        for comparison in &found.answers {
            let course = self.muscles[comparison.muscle as usize].get_or_insert_with(|| SideCourse::new(on));
            self.compared_ever += u32::from(!course.was_compared);
            course.answered(*comparison);
        }
        for pair in &found.angles {
            self.muscles[pair.muscle as usize].get_or_insert_with(|| SideCourse::new(on)).measured(pair);
        }
        if !found.angles.is_empty() {
            self.scatter = Scatter::of(self.muscles.iter().flatten().map(SideCourse::scattered));
        }
        let seen =
            JudgedWith { on, wanted: ONE_IN * self.compared_ever.max(FEWEST_MUSCLES), scatter: self.scatter };
        for course in self.muscles.iter_mut().flatten().filter(|course| course.is_new.contains(&true)) {
            course.judge(seen);
        }
    }

    /// The verdicts after the sessions so far.
    pub(super) fn verdicts(&self, today: NaiveDate) -> Vec<SideVerdict> {
        let verdicts = Muscle::ALL.iter().zip(&self.muscles);
        verdicts.filter_map(|(&muscle, course)| Some(course.as_ref()?.verdict(muscle, today))).collect()
    }
}

/// What a muscle was judged with when it was judged last.
#[derive(Debug, Clone, Copy)]
struct JudgedWith {
    on: NaiveDate,
    /// The evidence that answers have to reach.
    wanted: u32,
    scatter: Scatter,
}

/// What is remembered of one muscle from session to session.
#[derive(Debug)]
struct SideCourse {
    /// Since the last end from answers.
    comparisons: AnswerTally,
    /// Since the last end from angles, the last few.
    pairs: VecDeque<AnglePair>,
    /// The last few, whatever ended.
    recent: VecDeque<AnglePair>,
    was_compared: bool,
    /// Whether the session at hand brought a comparison, a pair.
    is_new: [bool; 2],
    answers: Option<Side>,
    angles: Option<Side>,
    standing: SideStanding,
    over: Vec<OverDifference>,
    last: NaiveDate,
    seen: Option<JudgedWith>,
}

fn push<T>(queue: &mut VecDeque<T>, item: T, most: usize) {
    if queue.len() == most {
        queue.pop_front();
    }
    queue.push_back(item);
}

impl SideCourse {
    fn new(on: NaiveDate) -> Self {
        Self {
            comparisons: AnswerTally::default(),
            pairs: VecDeque::new(),
            recent: VecDeque::new(),
            was_compared: false,
            is_new: [false; 2],
            answers: None,
            angles: None,
            standing: SideStanding::TooFew,
            over: Vec::new(),
            last: on,
            seen: None,
        }
    }

    fn answered(&mut self, comparison: Comparison) {
        self.comparisons.push(comparison);
        self.was_compared = true;
        self.is_new[0] = true;
        self.last = comparison.on;
    }

    fn measured(&mut self, pair: &AnglePair) {
        push(&mut self.pairs, *pair, MOST_PAIRS);
        push(&mut self.recent, *pair, MOST_PAIRS);
        self.is_new[1] = true;
        self.last = pair.on;
    }

    /// The last differences of its angles and how they were measured.
    fn scattered(&self) -> impl Iterator<Item = (i32, StandardError)> {
        self.recent.iter().map(|pair| (pair.difference(), pair.error))
    }

    /// Judges after a session that brought something new.
    fn judge(&mut self, seen: JudgedWith) {
        self.seen = Some(seen);
        let on = seen.on;
        self.comparisons.age(on);
        let [is_answered, is_measured] = std::mem::take(&mut self.is_new);
        let mut measured = PairMean::of(&self.pairs, on, seen.scatter);
        let was = self.standing;
        let mut end = None;
        if is_measured {
            match self.angles {
                None => self.angles = measured.tighter(),
                Some(side) => {
                    if let Some(last) = angles_over(&self.pairs, side) {
                        end = Some((SideBasis::Angles, last));
                        self.angles = None;
                        self.pairs.clear();
                    }
                }
            }
        }
        match self.answers {
            None if is_answered => self.answers = self.answers_differ(seen.wanted),
            None => {}
            Some(side) => {
                let by_answers = self.answers_over(side).filter(|_| is_answered);
                let over = by_answers.map(|last| (SideBasis::Answers, last)).or_else(|| {
                    let is_over = is_measured && measured.is_same() && measured.was_answered_alike();
                    is_over.then(|| (SideBasis::Angles, measured.last()))
                });
                if over.is_some() {
                    end = over;
                    self.answers = None;
                    self.comparisons.clear();
                }
            }
        }
        if self.pairs.is_empty() {
            measured = PairMean::of(&self.pairs, on, seen.scatter);
        }
        self.standing = self.stand(on, &measured);
        if let SideStanding::Differs { tighter, since, basis: began_by } = was
            && !matches!(self.standing, SideStanding::Differs { tighter: still, .. } if still == tighter)
            && let Some((basis, last)) = end
        {
            self.over.push(OverDifference { tighter, since, until: on, began_by, basis, last });
        }
    }

    /// Where the sides stand: angles before answers, a difference before none.
    fn stand(&self, on: NaiveDate, measured: &PairMean) -> SideStanding {
        let angles = self.angles.map(|side| (side, SideBasis::Angles));
        let answers = self.answers.map(|side| (side, SideBasis::Answers));
        if let Some((tighter, basis)) = angles.or(answers) {
            let since = match self.standing {
                SideStanding::Differs { tighter: before, since, .. } if before == tighter => since,
                _ => on,
            };
            return SideStanding::Differs { tighter, basis, since };
        }
        if measured.is_same() {
            SideStanding::AboutTheSame
        } else if self.was_answered_alike() {
            SideStanding::AnsweredAlike
        } else {
            SideStanding::TooFew
        }
    }

    /// The side that the answers name, once they do.
    fn answers_differ(&self, wanted: u32) -> Option<Side> {
        let (side, leading, differed) = self.comparisons.count()?.leading()?;
        let often_enough = self.comparisons.second(side) * SECOND_PART >= leading;
        (often_enough && reaches(leading, differed, wanted)).then_some(side)
    }

    /// How often left and right were answered higher in the last comparisons, if the lead of that side is over.
    fn answers_over(&self, side: Side) -> Option<[i32; 2]> {
        let last = self.comparisons.last(LAST_ANSWERS).filter(|_| self.comparisons.len() >= LAST_ANSWERS)?;
        let lead = last[side as usize] - last[side.other() as usize];
        (lead <= LEAD_AT_END).then_some(last)
    }

    /// Whether the answers of the last comparisons were alike.
    fn was_answered_alike(&self) -> bool {
        let compared = self.comparisons.len().min(ALIKE_WINDOW);
        let lead =
            self.comparisons.last(ALIKE_WINDOW).map_or(0, |[left, right]| left.abs_diff(right) as usize);
        compared >= ALIKE_FROM && lead * ALIKE_PART <= compared
    }

    fn lean(&self) -> Option<Side> {
        let (side, leading, differed) = self.comparisons.count()?.leading()?;
        let settled = matches!(self.standing, SideStanding::Differs { .. });
        (!settled && reaches(leading, differed, LEANS_AT)).then_some(side)
    }

    fn need(&self, wanted: u32, measured: &PairMean) -> Needed {
        if self.standing != SideStanding::TooFew {
            return Needed::default();
        }
        let leading = self.comparisons.count().and_then(|count| count.leading());
        let (side, leading, differed) = leading.unwrap_or((Side::Left, 0, 0));
        let by_evidence = still_needed(leading, differed, wanted);
        // Those still to come may all be worked second.
        let second = if leading > 0 { self.comparisons.second(side) } else { 0 };
        let by_order = leading.saturating_sub(SECOND_PART * second).div_ceil(SECOND_PART - 1);
        Needed {
            answers: by_evidence.map(|more| more.max(by_order)),
            worked_second: by_evidence.is_some_and(|more| by_order > more),
            pairs: measured.still_needed(),
        }
    }

    fn verdict(&self, muscle: Muscle, today: NaiveDate) -> SideVerdict {
        let measured = self.seen.map(|seen| (seen.wanted, PairMean::of(&self.pairs, seen.on, seen.scatter)));
        SideVerdict {
            muscle,
            standing: self.standing,
            leans: self.lean(),
            answers: self.comparisons.count(),
            angles: measured.as_ref().and_then(|(_, measured)| measured.means()),
            needed: measured.map_or_else(Needed::default, |(wanted, measured)| self.need(wanted, &measured)),
            over: self.over.clone(),
            last: self.last,
            is_stale: (today - self.last).num_days() >= STALE,
        }
    }
}
