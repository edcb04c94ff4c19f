//! What is said of a client: at most five claims, each with its number and its day, and nothing where nothing is
//! known. A claim is data; the words for it stand in one place, and every surface takes them from there.

use chrono::NaiveDate;

use crate::body::{Muscle, Side};
use crate::catalogue::StretchId;
use crate::client::{ConsentLimit, Ended};

use super::change::{AfterGap, AngleChange, AngleCourse};
use super::neglect::Neglect;
use super::norms::{NormBand, NormVerdict};
use super::noted::NotedVerdict;
use super::pain::WayBack;
use super::record::Sitting;
use super::sides::{OverDifference, SideBasis, SideStanding, SideVerdict};

/// The most that is said without being asked.
pub const MOST: usize = 5;
/// Days for which the end of a difference is news.
const NEWS: i64 = 90;

/// One thing that the sessions tell.
#[derive(Debug, Clone, PartialEq)]
pub enum Claim {
    /// Consent was taken back in the last session.
    ConsentTakenBack(NaiveDate),
    /// The last session went on without hands.
    WithoutHands(NaiveDate),
    /// A stretch was stopped for pain and is on its way back.
    Pain(WayBack),
    /// One side is tighter.
    Tighter {
        /// What is known of the first of the muscles.
        sides: SideVerdict,
        /// Other muscles of which the same reports tell the same.
        also: Vec<Muscle>,
    },
    /// The sides are equal again.
    EqualAgain {
        /// The muscle.
        muscle: Muscle,
        /// Other muscles of which the same reports tell the same.
        also: Vec<Muscle>,
        /// What ended.
        over: OverDifference,
    },
    /// An angle moved.
    Moved(AngleChange),
    /// A gap changed an angle.
    AfterGap(AngleChange, AfterGap),
    /// A muscle was trained and hardly stretched.
    Neglected {
        /// The side that was stretched less.
        neglect: Neglect,
        /// Whether that goes for both sides.
        is_both: bool,
        /// Other muscles that are neglected, the longest row first.
        also: Vec<Muscle>,
    },
    /// A note is put up for review.
    Review(NotedVerdict),
    /// A test is low for age and sex.
    LowForAge {
        /// The lowest.
        norm: NormVerdict,
        /// How many were compared, and how many of them are low.
        compared: u32,
        /// See `compared`.
        low: u32,
    },
    /// No change that measuring could show.
    Flat(AngleChange),
    /// A stretch was answered 5 the last time.
    Five(StretchId, Option<Side>, NaiveDate),
    /// A stretch was easy twice in a row: answered 2 or less.
    EasyTwice(StretchId, Option<Side>, NaiveDate),
    /// A stretch was skipped twice in a row.
    SkippedTwice(StretchId, Option<Side>, NaiveDate),
    /// One side leans, and what would settle it.
    Leans(SideVerdict),
}

/// What claims are made of.
#[derive(Debug, Clone, Copy)]
pub(super) struct ClaimGrounds<'a> {
    pub(super) on: NaiveDate,
    pub(super) sides: &'a [SideVerdict],
    pub(super) changes: &'a [AngleChange],
    pub(super) norms: &'a [NormVerdict],
    pub(super) neglected: &'a [Neglect],
    pub(super) ways_back: &'a [WayBack],
    pub(super) noted: &'a [NotedVerdict],
    pub(super) sittings: &'a [Sitting<'a>],
}

/// The last two reports of a stretch on a side.
struct LastTwo<'a> {
    stretch: &'a StretchId,
    side: Option<Side>,
    on: NaiveDate,
    /// The last, and the one before it.
    levels: [Option<u8>; 2],
    skipped: [bool; 2],
    count: u8,
}

impl Claim {
    /// Everything that can be said on a day.
    pub(super) fn all(grounds: ClaimGrounds<'_>) -> Vec<Self> {
        let mut all = Vec::new();
        all.extend(grounds.sittings.last().and_then(of_consent));
        let mut ways: Vec<&WayBack> = grounds.ways_back.iter().collect();
        ways.sort_by_key(|way| std::cmp::Reverse(way.on));
        all.extend(ways.into_iter().cloned().map(Self::Pain));
        of_sides(grounds, &mut all);
        for change in grounds.changes {
            match change.course {
                Some(AngleCourse::Moved { .. }) => all.push(Self::Moved(change.clone())),
                Some(AngleCourse::Flat { .. }) => all.push(Self::Flat(change.clone())),
                None => {}
            }
            all.extend(change.gap.map(|gap| Self::AfterGap(change.clone(), gap)));
        }
        of_neglect(grounds.neglected, &mut all);
        let reviews = grounds.noted.iter().filter(|noted| noted.review.is_some());
        all.extend(reviews.cloned().map(Self::Review));
        all.extend(of_norms(grounds.norms));
        of_levels(grounds, &mut all);
        all.sort_by_key(Self::rank);
        all
    }

    /// What is said now, and what stands in the details: what was told for a while already, and what is too little.
    pub(super) fn sorted(all: Vec<Self>, told: &[Self]) -> (Vec<Self>, Vec<Self>) {
        let (mut said, mut details) = (Vec::new(), Vec::new());
        for claim in all {
            let is_old = !claim.stays() && told.iter().any(|other| other.is_about_the_same(&claim));
            if said.len() < MOST && !claim.is_detail() && !is_old {
                said.push(claim);
            } else {
                details.push(claim);
            }
        }
        (said, details)
    }

    /// The order in which claims are said.
    fn rank(&self) -> u8 {
        match self {
            Self::ConsentTakenBack(_) | Self::WithoutHands(_) => 0,
            Self::Pain(_) => 1,
            Self::Tighter { sides, .. } => match sides.standing {
                SideStanding::Differs { basis: SideBasis::Angles, .. } => 2,
                _ => 3,
            },
            Self::EqualAgain { .. } => 4,
            Self::Moved(_) => 5,
            Self::AfterGap(..) => 6,
            Self::Neglected { .. } => 7,
            Self::Review(_) => 8,
            Self::LowForAge { .. } => 9,
            Self::Flat(_) => 10,
            Self::Five(..) => 11,
            Self::EasyTwice(..) => 12,
            Self::SkippedTwice(..) => 13,
            Self::Leans(_) => 14,
        }
    }

    /// What is said however often it was: it is about the next touch.
    const fn stays(&self) -> bool {
        matches!(self, Self::ConsentTakenBack(_) | Self::WithoutHands(_) | Self::Pain(_))
    }

    /// What is said only where somebody asks for more.
    fn is_detail(&self) -> bool {
        match self {
            Self::Tighter { sides, .. } => sides.is_stale,
            Self::Leans(_) => true,
            _ => false,
        }
    }

    /// Whether two claims of different days are one and the same finding, whatever its numbers have become.
    fn is_about_the_same(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Tighter { sides: a, .. }, Self::Tighter { sides: b, .. }) => {
                a.muscle == b.muscle && a.began() == b.began() && a.is_stale == b.is_stale
            }
            (Self::EqualAgain { muscle: a, over: x, .. }, Self::EqualAgain { muscle: b, over: y, .. }) => {
                a == b && x.until == y.until
            }
            (Self::Moved(a), Self::Moved(b)) => a.is_of(b) && a.is_up() == b.is_up(),
            (Self::Flat(a), Self::Flat(b)) => a.is_of(b),
            (Self::AfterGap(a, x), Self::AfterGap(b, y)) => a.is_of(b) && x.back == y.back,
            (Self::Neglected { neglect: a, .. }, Self::Neglected { neglect: b, .. }) => {
                a.unit == b.unit && a.since == b.since
            }
            (Self::Review(a), Self::Review(b)) => {
                a.unit == b.unit && a.said == b.said && a.review == b.review
            }
            (Self::LowForAge { norm: a, .. }, Self::LowForAge { norm: b, .. }) => a.muscle == b.muscle,
            (a, b) => a == b,
        }
    }

    /// The muscles that it is about, if it is about muscles.
    pub fn muscles(&self) -> Vec<Muscle> {
        match self {
            Self::Pain(way) => way.muscles.clone(),
            Self::Tighter { sides, also } => {
                std::iter::once(sides.muscle).chain(also.iter().copied()).collect()
            }
            Self::EqualAgain { muscle, also, .. } => {
                std::iter::once(*muscle).chain(also.iter().copied()).collect()
            }
            Self::Moved(change) | Self::AfterGap(change, _) | Self::Flat(change) => vec![change.muscle],
            Self::Neglected { neglect, also, .. } => {
                std::iter::once(neglect.unit.muscle).chain(also.iter().copied()).collect()
            }
            Self::Review(noted) => vec![noted.unit.muscle],
            Self::LowForAge { norm, .. } => vec![norm.muscle],
            Self::Leans(sides) => vec![sides.muscle],
            Self::ConsentTakenBack(_)
            | Self::WithoutHands(_)
            | Self::Five(..)
            | Self::EasyTwice(..)
            | Self::SkippedTwice(..) => Vec::new(),
        }
    }
}

/// What the last session says of consent.
fn of_consent(last: &Sitting<'_>) -> Option<Claim> {
    let narrowed = |what| last.session.is_narrowed(what);
    let withdrawn = last.session.reports.values().any(|report| report.ended == Ended::Withdrawn);
    if narrowed(ConsentLimit::SelfStretch) && !narrowed(ConsentLimit::Stopped) {
        Some(Claim::WithoutHands(last.on))
    } else {
        (withdrawn || narrowed(ConsentLimit::Stopped)).then_some(Claim::ConsentTakenBack(last.on))
    }
}

/// What differs and what is equal again, muscles of which the same reports tell the same in one claim.
fn of_sides(grounds: ClaimGrounds<'_>, all: &mut Vec<Claim>) {
    let mut differing: Vec<&SideVerdict> =
        grounds.sides.iter().filter(|sides| sides.began().is_some()).collect();
    differing.sort_by_key(|sides| std::cmp::Reverse(sides.size()));
    while let Some(sides) = (!differing.is_empty()).then(|| differing.remove(0)) {
        let alike = |other: &&SideVerdict| {
            (other.standing, other.angles, other.answers) == (sides.standing, sides.angles, sides.answers)
        };
        let also = differing.iter().filter(|other| alike(other)).map(|other| other.muscle).collect();
        differing.retain(|other| !alike(other));
        all.push(Claim::Tighter { sides: sides.clone(), also });
    }
    let mut ended: Vec<(Muscle, OverDifference)> = grounds
        .sides
        .iter()
        .filter(|sides| sides.began().is_none() && !sides.is_stale)
        .filter_map(|sides| Some((sides.muscle, *sides.over.last()?)))
        .filter(|(_, over)| (grounds.on - over.until).num_days() <= NEWS)
        .collect();
    while let Some((muscle, over)) = (!ended.is_empty()).then(|| ended.remove(0)) {
        let also = ended.iter().filter(|(_, other)| *other == over).map(|(muscle, _)| *muscle).collect();
        ended.retain(|(_, other)| *other != over);
        all.push(Claim::EqualAgain { muscle, also, over });
    }
    let leaning = grounds.sides.iter().filter(|sides| sides.leans.is_some() && !sides.is_stale);
    all.extend(leaning.cloned().map(Claim::Leans));
}

/// Neglected muscles in one claim, the one with the longest row first.
fn of_neglect(neglected: &[Neglect], all: &mut Vec<Claim>) {
    let mut claims: Vec<(Neglect, bool)> = Vec::new();
    for neglect in neglected.iter().filter(|neglect| neglect.since.is_some()) {
        match claims.iter_mut().find(|(other, _)| other.unit.muscle == neglect.unit.muscle) {
            Some((other, is_both)) => {
                *is_both = true;
                if neglect.run > other.run {
                    *other = *neglect;
                }
            }
            None => claims.push((*neglect, false)),
        }
    }
    claims.sort_by_key(|(neglect, _)| std::cmp::Reverse((neglect.run, neglect.trained)));
    if let [(neglect, is_both), others @ ..] = &claims[..] {
        let also = others.iter().map(|(other, _)| other.unit.muscle).collect();
        all.push(Claim::Neglected { neglect: *neglect, is_both: *is_both, also });
    }
}

/// The lowest of the tests that are low, and how many there are.
fn of_norms(norms: &[NormVerdict]) -> Option<Claim> {
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let low = || norms.iter().filter(|norm| norm.band == Some(NormBand::Low));
    let lowest = low().min_by_key(|norm| norm.deviation())?;
    let compared = norms.iter().filter(|norm| norm.band.is_some()).count();
    Some(Claim::LowForAge { norm: lowest.clone(), compared: count(compared), low: count(low().count()) })
}

/// The only things that levels say: 5 the last time, easy twice, skipped twice.
fn of_levels(grounds: ClaimGrounds<'_>, all: &mut Vec<Claim>) {
    let mut last: Vec<LastTwo<'_>> = Vec::new();
    // A stretch that was not done for long is not gone back to: enough sessions hold the last two of what is done.
    let recent = &grounds.sittings[grounds.sittings.len().saturating_sub(12)..];
    for sitting in recent.iter().rev() {
        for worked in &sitting.reports {
            let (stretch, side) = (&worked.stretch.id, worked.report.side);
            let level = worked.report.level.map(crate::body::Level::get);
            let skipped = worked.report.ended == Ended::Skipped;
            match last.iter_mut().find(|two| two.stretch == stretch && two.side == side) {
                None => last.push(LastTwo {
                    stretch,
                    side,
                    on: sitting.on,
                    levels: [level, None],
                    skipped: [skipped, false],
                    count: 1,
                }),
                Some(two) if two.count == 1 && two.on != sitting.on => {
                    (two.levels[1], two.skipped[1], two.count) = (level, skipped, 2);
                }
                Some(_) => {}
            }
        }
    }
    for two in last {
        let (stretch, side, on) = (two.stretch.clone(), two.side, two.on);
        if grounds
            .ways_back
            .iter()
            .any(|way| way.stretch == stretch && side.is_none_or(|side| side == way.side))
        {
            continue;
        }
        if two.levels[0] == Some(5) {
            all.push(Claim::Five(stretch, side, on));
        } else if two.skipped == [true, true] {
            all.push(Claim::SkippedTwice(stretch, side, on));
        } else if two.levels.iter().all(|level| level.is_some_and(|level| level <= 2)) {
            all.push(Claim::EasyTwice(stretch, side, on));
        }
    }
}
