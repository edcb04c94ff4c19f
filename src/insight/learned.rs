//! All that a client's sessions tell on a day: worked out once a client, asked by screens, hand-outs, commands, plans.
//!
//! Everything follows from the file and the day alone. Nothing known, nothing said: a client of whom nothing stands
//! out has no line, no point and the plan of a client without sessions.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::body::{Muscle, Side, Unit};
use crate::catalogue::{Catalogue, StretchId};
use crate::client::{Aim, Client, Session, Sex, Trained};

use super::angles::{AngleCourses, AngleSeries};
use super::change::{self, AngleChange, Spell};
use super::claims::{Claim, ClaimGrounds};
use super::compare::compared;
use super::length_test::LengthTest;
use super::neglect::{Neglect, NeglectCourses};
use super::norms::{self, NormBand, NormPerson, NormVerdict};
use super::noted::{self, Note, NotedVerdict};
use super::pain::{PainCourses, PainNote, PainStage, WayBack};
use super::record::{self, Sitting};
use super::side_course::SideCourses;
use super::sides::SideVerdict;
use super::turns::WhoseTurn;

/// Pairs of angles that tell something: fewer are a reason to measure.
const PAIRS_TO_TELL: u32 = 3;
/// The most muscles whose sides get unequal doses in one plan (practice).
const UNEQUAL: usize = 2;
/// The most wishes to measure in one session (practice).
const WISHES: usize = 2;
/// Sessions before which a claim was said already for it to move to the details (practice).
pub(super) const SAID_FOR: usize = 5;

/// Why a muscle on a side gets more than others, each with what it rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnitFinding {
    /// It is the tighter side.
    Tighter(SideVerdict),
    /// It is noted as tight.
    Noted(NotedVerdict),
    /// It is low for age and sex.
    LowForAge {
        /// The mean of what was measured, in tenths of a degree.
        value: i32,
        /// The key of the norm's source.
        source: &'static str,
    },
    /// It was trained and not stretched.
    Neglected(Neglect),
}

/// What the sessions and the notes of a client tell on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    on: NaiveDate,
    sides: Vec<SideVerdict>,
    angles: Vec<AngleSeries>,
    changes: Vec<AngleChange>,
    norms: Vec<NormVerdict>,
    neglect: Vec<Neglect>,
    ways_back: Vec<WayBack>,
    noted: Vec<NotedVerdict>,
    wants_range: bool,
    turns: WhoseTurn,
    claims: Vec<Claim>,
    details: Vec<Claim>,
}

/// What is carried from session to session, so that ten years are gone through once.
struct Course<'a> {
    sides: SideCourses,
    angles: AngleCourses,
    neglect: NeglectCourses,
    pain: PainCourses<'a>,
    turns: WhoseTurn,
}

impl<'a> Course<'a> {
    fn new() -> Self {
        Self {
            sides: SideCourses::new(),
            angles: AngleCourses::default(),
            neglect: NeglectCourses::new(),
            pain: PainCourses::default(),
            turns: WhoseTurn::new(),
        }
    }

    fn take(
        &mut self,
        sitting: &Sitting<'a>,
        pain_notes: &[PainNote<'_>],
        sex: Option<Sex>,
        today: NaiveDate,
    ) {
        let compared = compared(sitting, sex);
        self.sides.take(sitting.on, &compared);
        self.angles.take(sitting, sex);
        self.neglect.take(sitting);
        self.pain.take(sitting, pain_notes);
        // What is done today already does not change whose turn it is today.
        if sitting.on < today {
            self.turns.take(sitting, &compared);
        }
    }
}

impl Learned {
    /// What is known of a client on a day.
    pub fn of(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Self {
        Self::with(client, None, catalogue, today)
    }

    /// What is known once a session is over that the client's file does not hold yet, or holds as it was.
    pub fn after(client: &Client, session: &Session, catalogue: &Catalogue, today: NaiveDate) -> Self {
        Self::with(client, Some(session), catalogue, today)
    }

    fn with(client: &Client, now: Option<&Session>, catalogue: &Catalogue, today: NaiveDate) -> Self {
        let sittings = record::read(client, now, catalogue, today);
        let pain_notes: Vec<PainNote<'_>> = client.profile.pain.iter().filter_map(PainNote::of).collect();
        let judge = |course: &Course<'_>, count: usize, on: NaiveDate| {
            let learned = Self::judge(client, catalogue, course, (&sittings[..count], &pain_notes), on);
            let all = Claim::all(learned.grounds(&sittings[..count]));
            (learned, all)
        };
        let (mut course, mut told) = (Course::new(), Vec::new());
        for (count, sitting) in sittings.iter().enumerate() {
            // What was told before each of the last sessions need not be told again.
            if count > 0 && count + SAID_FOR == sittings.len() {
                told = judge(&course, count, sittings[count - 1].on).1;
            }
            course.take(sitting, &pain_notes, client.profile.sex, today);
        }
        let (mut learned, all) = judge(&course, sittings.len(), today);
        (learned.claims, learned.details) = Claim::sorted(all, &told);
        learned.turns = course.turns;
        learned
    }

    fn judge(
        client: &Client,
        catalogue: &Catalogue,
        course: &Course<'_>,
        (sittings, pain_notes): (&[Sitting<'_>], &[PainNote<'_>]),
        today: NaiveDate,
    ) -> Self {
        let sides = course.sides.verdicts(today);
        let angles = course.angles.series();
        let tighter =
            |muscle| sides.iter().find(|sides| sides.muscle == muscle).and_then(SideVerdict::tighter);
        let person = NormPerson::of(client, today);
        let test = |series: &AngleSeries| LengthTest::of(catalogue.form(&series.stretch, &series.form)?.1);
        let norms = norms::judge(&angles, test, tighter, person, today);
        let days = sittings.iter().map(|sitting| sitting.on);
        let spell = Spell::last(days.clone());
        let changes = spell.map_or_else(Vec::new, |spell| {
            let of = |series: &AngleSeries| {
                let sides: &[Option<Side>] = match tighter(series.muscle) {
                    Some(_) => &[Some(Side::Left), Some(Side::Right)],
                    None => &[None],
                };
                sides.iter().map(|&side| change::judge(series, side, spell, today)).collect::<Vec<_>>()
            };
            angles.iter().flat_map(of).collect()
        });
        let of_tight = client
            .profile
            .tight
            .iter()
            .filter(|row| row.off.is_none_or(|off| off > today))
            .map(|row| Note { unit: row.unit, said: row.said_last() });
        let noted = noted::judge(of_tight, days.clone().next(), &sides, &norms, today);
        Self {
            on: today,
            neglect: course.neglect.neglected(today),
            ways_back: course.pain.ways_back(pain_notes, today),
            wants_range: client.profile.aims.contains(&Aim::Range),
            sides,
            angles,
            changes,
            norms,
            noted,
            turns: WhoseTurn::new(),
            claims: Vec::new(),
            details: Vec::new(),
        }
    }

    fn grounds<'a>(&'a self, sittings: &'a [Sitting<'a>]) -> ClaimGrounds<'a> {
        ClaimGrounds {
            on: self.on,
            sides: &self.sides,
            changes: &self.changes,
            norms: &self.norms,
            neglected: &self.neglect,
            ways_back: &self.ways_back,
            noted: &self.noted,
            sittings,
        }
    }

    /// The day that all of it is about.
    pub const fn on(&self) -> NaiveDate {
        self.on
    }

    /// Left against right of every muscle that was ever compared or measured on both sides.
    pub fn sides(&self) -> &[SideVerdict] {
        &self.sides
    }

    /// Left against right of one muscle.
    pub fn side(&self, muscle: Muscle) -> Option<&SideVerdict> {
        self.sides.iter().find(|sides| sides.muscle == muscle)
    }

    /// What became of the measured angles.
    pub fn changes(&self) -> &[AngleChange] {
        &self.changes
    }

    /// The tests of the last months against their norms, one a muscle.
    pub fn norms(&self) -> &[NormVerdict] {
        &self.norms
    }

    /// What was trained and not stretched in the last sessions.
    pub fn neglected(&self) -> &[Neglect] {
        &self.neglect
    }

    /// Stretches that are on the way back after pain, by stretch and side.
    pub fn ways_back(&self) -> impl Iterator<Item = &WayBack> {
        self.ways_back.iter()
    }

    /// The way back of one stretch on one side, if it is on one.
    pub fn way_back(&self, stretch: &StretchId, side: Side) -> Option<&WayBack> {
        self.ways_back.iter().find(|way| way.stretch == *stretch && way.side == side)
    }

    /// What is noted as tight.
    pub fn noted(&self) -> &[NotedVerdict] {
        &self.noted
    }

    /// At most five claims, weightiest first: those that are new enough to be said.
    pub fn claims(&self) -> &[Claim] {
        &self.claims
    }

    /// Everything else that can be said, and what was said often enough.
    pub fn details(&self) -> &[Claim] {
        &self.details
    }

    /// What a plan adds for a unit that is tight: a point if it is the tighter side, and one if it is noted.
    pub fn points(&self, unit: Unit) -> u32 {
        let tighter = self.side(unit.muscle).and_then(SideVerdict::tighter) == Some(unit.side);
        let noted = self.noted.iter().any(|noted| noted.unit == unit && noted.counts);
        u32::from(tighter) + u32::from(noted)
    }

    /// What a plan adds for a unit that was trained and not stretched: 0 to 3.
    pub fn neglect(&self, unit: Unit) -> u32 {
        self.neglect.iter().find(|neglect| neglect.unit == unit).map_or(0, Neglect::points)
    }

    /// What a plan adds for a unit that is low for age, where the client wants range.
    pub fn range_points(&self, unit: Unit) -> u32 {
        let low = |norm: &NormVerdict| norm.muscle == unit.muscle && norm.band == Some(NormBand::Low);
        u32::from(self.wants_range && self.norms.iter().any(low))
    }

    /// Why a unit gets more, weightiest first.
    pub fn found(&self, unit: Unit) -> Vec<UnitFinding> {
        let mut found = Vec::new();
        if let Some(sides) = self.side(unit.muscle).filter(|sides| sides.tighter() == Some(unit.side)) {
            found.push(UnitFinding::Tighter(sides.clone()));
        }
        let noted = self.noted.iter().find(|noted| noted.unit == unit && noted.counts);
        found.extend(noted.cloned().map(UnitFinding::Noted));
        if self.range_points(unit) > 0 {
            let low = self.norms.iter().find(|norm| norm.muscle == unit.muscle);
            found.extend(
                low.and_then(|low| {
                    Some(UnitFinding::LowForAge { value: low.value, source: low.norm?.source })
                }),
            );
        }
        let neglect = self.neglect.iter().find(|neglect| neglect.unit == unit);
        found.extend(neglect.copied().map(UnitFinding::Neglected));
        found
    }

    /// The muscles, at most two of those that may be worked today, of which one side is to get the longer dose; equal
    /// doses are not offered there. The largest difference goes first.
    pub fn longer_sides(&self, may_be_worked: impl Fn(Muscle) -> bool) -> BTreeMap<Muscle, Side> {
        let mut differing: Vec<(&SideVerdict, Side)> =
            self.sides.iter().filter_map(|sides| Some((sides, sides.tighter()?))).collect();
        differing.retain(|(sides, _)| may_be_worked(sides.muscle));
        differing.sort_by_key(|(sides, _)| std::cmp::Reverse(sides.size()));
        differing.into_iter().take(UNEQUAL).map(|(sides, side)| (sides.muscle, side)).collect()
    }

    /// The side that goes first today. Before any turn was taken it is the one that is noted as tight more often.
    pub fn first_side(&self, trained: &Trained) -> Side {
        let noted = |side| self.noted.iter().filter(|noted| noted.unit.side == side && noted.counts).count();
        let begins = if noted(Side::Right) > noted(Side::Left) { Side::Right } else { Side::Left };
        self.turns.first_side(trained, begins)
    }

    /// Whether a muscle gets no form for both sides at once today, if one for either side fits: its sides have not been
    /// compared for a while.
    pub fn wants_one_sided(&self, muscle: Muscle) -> bool {
        self.turns.wants_one_sided(muscle, self.on)
    }

    /// The muscles of a plan, at most two, of which both sides are to be measured: before the stretch and at the same
    /// answer. `has_test` says whether a plan's form of the muscle is one whose angle can be measured.
    pub fn wishes(&self, has_test: impl Fn(Muscle) -> bool) -> Vec<Muscle> {
        let wishes = self.sides.iter().filter(|sides| {
            let few = sides.angles.is_none_or(|angles| angles.pairs < PAIRS_TO_TELL);
            sides.leans.is_some() && !sides.is_stale && few && has_test(sides.muscle)
        });
        let mut wishes: Vec<&SideVerdict> = wishes.collect();
        wishes.sort_by_key(|sides| sides.needed.answers.unwrap_or(u32::MAX));
        wishes.into_iter().take(WISHES).map(|sides| sides.muscle).collect()
    }

    /// The stretches and sides of which a careful try is due, the longest waiting first; a plan takes one at most.
    pub fn tries(&self) -> Vec<&WayBack> {
        let on_the_way = |way: &&WayBack| !matches!(way.stage, PainStage::Rest | PainStage::Closed);
        let mut tries: Vec<&WayBack> = self.ways_back().filter(on_the_way).collect();
        tries.sort_by_key(|way| way.on);
        tries
    }
}
