//! Left against right in one pass from the first session on: what begins and ends, and when.

use std::collections::VecDeque;

use chrono::NaiveDate;

use crate::body::{Muscle, Side};

use super::compare::{AnglePair, Compared, Comparison};
use super::evidence::{MOST, reaches, still_needed};
use super::measuring::{Scatter, StandardError};
use super::side_pairs::{MOST_PAIRS, OLDEST, PairMean, angles_over};
use super::sides::{AngleMeans, AnswerCount, Needed, OverDifference, SideBasis, SideStanding, SideVerdict};

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

/// The verdicts of every muscle that was ever compared or measured on both sides.
pub(super) fn judge<'c>(
    sessions: impl Iterator<Item = (NaiveDate, &'c Compared)>,
    today: NaiveDate,
) -> Vec<SideVerdict> {
    let mut courses: Vec<Option<SideCourse>> = Muscle::ALL.iter().map(|_| None).collect();
    let mut compared_ever = 0;
    for (on, found) in sessions {
        for comparison in &found.answers {
            let course = courses[comparison.muscle as usize].get_or_insert_with(|| SideCourse::new(on));
            compared_ever += u32::from(!course.was_compared);
            course.answered(*comparison);
        }
        for pair in &found.angles {
            courses[pair.muscle as usize].get_or_insert_with(|| SideCourse::new(on)).measured(pair);
        }
        if found.answers.is_empty() && found.angles.is_empty() {
            continue;
        }
        let scatter = Scatter::of(courses.iter().flatten().map(SideCourse::scattered));
        let wanted = ONE_IN * compared_ever.max(FEWEST_MUSCLES);
        for course in courses.iter_mut().flatten().filter(|course| course.is_new.contains(&true)) {
            course.judge(on, wanted, scatter);
        }
    }
    let verdicts = Muscle::ALL.iter().zip(courses);
    verdicts.filter_map(|(&muscle, course)| Some(course?.verdict(muscle, today))).collect()
}

/// What is remembered of one muscle from session to session.
#[derive(Debug)]
struct SideCourse {
    /// Since the last end from answers, at most as many as evidence takes.
    comparisons: VecDeque<Comparison>,
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
    leans: Option<Side>,
    counted: Option<AnswerCount>,
    means: Option<AngleMeans>,
    needed: Needed,
    over: Vec<OverDifference>,
    last: NaiveDate,
}

fn push<T>(queue: &mut VecDeque<T>, item: T, most: usize) {
    if queue.len() == most {
        queue.pop_front();
    }
    queue.push_back(item);
}

impl SideCourse {
    const fn new(on: NaiveDate) -> Self {
        Self {
            comparisons: VecDeque::new(),
            pairs: VecDeque::new(),
            recent: VecDeque::new(),
            was_compared: false,
            is_new: [false; 2],
            answers: None,
            angles: None,
            standing: SideStanding::TooFew,
            leans: None,
            counted: None,
            means: None,
            needed: Needed { answers: None, worked_second: false, pairs: None },
            over: Vec::new(),
            last: on,
        }
    }

    fn answered(&mut self, comparison: Comparison) {
        push(&mut self.comparisons, comparison, MOST as usize);
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
    fn judge(&mut self, on: NaiveDate, wanted: u32, scatter: Scatter) {
        let [is_answered, is_measured] = std::mem::take(&mut self.is_new);
        let measured = PairMean::of(&self.pairs, on, scatter);
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
            None if is_answered => self.answers = self.answers_differ(on, wanted),
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
        let measured = PairMean::of(&self.pairs, on, scatter);
        self.standing = self.stand(on, &measured);
        if let SideStanding::Differs { tighter, since, basis: began_by } = was
            && !matches!(self.standing, SideStanding::Differs { tighter: still, .. } if still == tighter)
            && let Some((basis, last)) = end
        {
            self.over.push(OverDifference { tighter, since, until: on, began_by, basis, last });
        }
        self.counted = self.count(on);
        self.means = measured.means();
        self.leans = self.lean();
        self.needed = self.need(on, wanted, &measured);
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

    /// The comparisons that still say something on a day.
    fn young(&self, on: NaiveDate) -> impl Iterator<Item = &Comparison> {
        self.comparisons.iter().filter(move |comparison| (on - comparison.on).num_days() <= OLDEST)
    }

    fn count(&self, on: NaiveDate) -> Option<AnswerCount> {
        let since = self.young(on).next()?.on;
        let mut count = AnswerCount { higher: [0; 2], compared: 0, since };
        for comparison in self.young(on) {
            count.compared += 1;
            if let Some(side) = comparison.higher {
                count.higher[side as usize] += 1;
            }
        }
        Some(count)
    }

    /// The side that the answers name, once they do.
    fn answers_differ(&self, on: NaiveDate, wanted: u32) -> Option<Side> {
        let (side, leading, differed) = self.count(on)?.leading()?;
        let enough = reaches(leading, differed, wanted) && self.second(on, side) * SECOND_PART >= leading;
        enough.then_some(side)
    }

    /// In how many of the sessions in which a side was answered higher it was worked second.
    fn second(&self, on: NaiveDate, side: Side) -> u32 {
        let second = |comparison: &&Comparison| comparison.higher == Some(side) && comparison.second == side;
        u32::try_from(self.young(on).filter(second).count()).unwrap_or(u32::MAX)
    }

    /// How often left and right were answered higher in the last comparisons, if the lead of that side is over.
    fn answers_over(&self, side: Side) -> Option<[i32; 2]> {
        let last = self.last_answers(LAST_ANSWERS).filter(|_| self.comparisons.len() >= LAST_ANSWERS)?;
        let lead = last[side as usize] - last[side.other() as usize];
        (lead <= LEAD_AT_END).then_some(last)
    }

    fn last_answers(&self, most: usize) -> Option<[i32; 2]> {
        let mut higher = [0; 2];
        for side in self.comparisons.iter().rev().take(most).filter_map(|comparison| comparison.higher) {
            higher[side as usize] += 1;
        }
        (!self.comparisons.is_empty()).then_some(higher)
    }

    /// Whether the answers of the last comparisons were alike.
    fn was_answered_alike(&self) -> bool {
        let compared = self.comparisons.len().min(ALIKE_WINDOW);
        let lead = self.last_answers(ALIKE_WINDOW).map_or(0, |[left, right]| left.abs_diff(right) as usize);
        compared >= ALIKE_FROM && lead * ALIKE_PART <= compared
    }

    fn lean(&self) -> Option<Side> {
        let (side, leading, differed) = self.counted?.leading()?;
        let settled = matches!(self.standing, SideStanding::Differs { .. });
        (!settled && reaches(leading, differed, LEANS_AT)).then_some(side)
    }

    fn need(&self, on: NaiveDate, wanted: u32, measured: &PairMean) -> Needed {
        if self.standing != SideStanding::TooFew {
            return Needed::default();
        }
        let (side, leading, differed) =
            self.counted.and_then(|count| count.leading()).unwrap_or((Side::Left, 0, 0));
        let by_evidence = still_needed(leading, differed, wanted);
        // Those still to come may all be worked second.
        let by_order = leading.saturating_sub(SECOND_PART * self.second(on, side)).div_ceil(SECOND_PART - 1);
        Needed {
            answers: by_evidence.map(|more| more.max(by_order)),
            worked_second: by_evidence.is_some_and(|more| by_order > more),
            pairs: measured.still_needed(),
        }
    }

    fn verdict(self, muscle: Muscle, today: NaiveDate) -> SideVerdict {
        SideVerdict {
            muscle,
            standing: self.standing,
            leans: self.leans,
            answers: self.counted,
            angles: self.means,
            needed: self.needed,
            over: self.over,
            last: self.last,
            is_stale: (today - self.last).num_days() >= STALE,
        }
    }
}
