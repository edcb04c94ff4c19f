//! Every number of a plan's worth and of its ways, each with its ground. `docs/planner.md` has them as one table.
//!
//! All of it is a planning preference, not physiology: it says what is worth fitting into the minutes, not what
//! stretching does to a body. Points are counted in whole grains of 0.04, so that the values of two plans are the same
//! or lie well apart.

use std::ops::RangeInclusive;

use super::habits::FormStanding;
use crate::body::{Effort, Muscle, Region, Seconds, Side};
use crate::catalogue::{Form, Helper, Method, Position, Target, Usual};

/// Hundredths of a point in a grain.
pub const HUNDREDTHS: i32 = 4;

/// Seconds of a tick: all times and all seconds under stretch are multiples of it.
pub const TICK: u32 = 5;

/// Seconds for asking consent and settling. Our judgement.
pub(super) const OPENING: u32 = 15;
/// Seconds of the massage finish. Common practice, no source.
pub(super) const MASSAGE: u32 = 60;
/// Shortest block that a massage finish is taken off, in minutes. Our judgement.
pub(super) const MASSAGE_FROM: u8 = 8;

/// Years from which holds are longer and ways slower.
pub const OLDER_FROM: u32 = 65;

/// Weight of a side whose muscle was trained a little, properly, hard: what is stretched first when time is short
/// (common practice, no source) counts twice.
pub(super) const fn trained(muscle: Muscle, effort: Effort) -> i32 {
    let weight = match effort.get() {
        1 => 1,
        2 => 2,
        _ => 3,
    };
    if muscle.comes_first() { 2 * weight } else { weight }
}

/// What a trained muscle gets more for the sessions in a row that trained it without stretching it: 1, 3 and 6 for one,
/// two and three. Our judgement: so it comes back within three trainings in 5 minutes for eight muscles, too.
pub(super) fn neglected(muscle: Muscle, points: u32) -> i32 {
    let weight = i32::try_from(points * (points + 1) / 2).unwrap_or(i32::MAX);
    if muscle.comes_first() { weight.saturating_mul(2) } else { weight }
}

/// What a day at the desk adds to what it leaves stiff; the second muscle of a place that another one stands for
/// already (deep chest, levator) gets less, so that chest and neck do not count twice. Our judgement.
pub(super) const fn desk(muscle: Muscle) -> i32 {
    if muscle.comes_first() { 3 } else { 1 }
}

/// What tightness adds to a side, and what a tight side weighs at least. Our judgement.
pub(super) const TIGHT: i32 = 2;
pub(super) const TIGHT_AT_LEAST: i32 = 5;
/// What the other side of a tight one weighs at least: so that the two can be compared. Our judgement.
pub(super) const TO_COMPARE: i32 = 3;
/// A muscle that wants nothing, where minutes are left. Our judgement.
pub(super) const EASE: i32 = 1;

/// No form reaches the vasti without rectus femoris: where both are wanted, the front of the thigh counts once.
pub(super) const COUNTED_WITH: (Muscle, Muscle) = (Muscle::Vasti, Muscle::RectusFemoris);

/// Seconds of the block that each wanted muscle fills before there is time for ease. Our judgement.
pub(super) const FILLS: u32 = 85;

/// What does good beside the trained muscles of a half of the body. Common practice, no source.
const EASE_BELOW: [Muscle; 8] = [
    Muscle::Hamstrings,
    Muscle::GluteusMaximus,
    Muscle::Piriformis,
    Muscle::Iliopsoas,
    Muscle::RectusFemoris,
    Muscle::Adductors,
    Muscle::Gastrocnemius,
    Muscle::ErectorSpinae,
];
const EASE_ABOVE: [Muscle; 7] = [
    Muscle::PectoralisMajor,
    Muscle::LatissimusDorsi,
    Muscle::UpperTrapezius,
    Muscle::LevatorScapulae,
    Muscle::AnteriorDeltoid,
    Muscle::PosteriorDeltoid,
    Muscle::Triceps,
];

/// What does good beside a muscle of the same half of the body.
pub(super) const fn ease_beside(muscle: Muscle) -> &'static [Muscle] {
    match (muscle, muscle.region()) {
        (Muscle::ErectorSpinae | Muscle::QuadratusLumborum, _)
        | (_, Region::Trunk | Region::Hip | Region::Thigh | Region::Leg) => &EASE_BELOW,
        _ => &EASE_ABOVE,
    }
}

/// What seconds on one unit are worth: so many grains for each tick until so many seconds, nothing after the last.
///
/// Slopes fall, so that the benefit is concave. The straight first part makes 30 s the best use of a set-up: 20 s under
/// pressure, 45 and 60 s when there is time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Curve(&'static [(u32, i32)]);

/// 30 s did as much as 60 s (Bandy, Irion and Briggler 1997), most creep comes in the first 15 to 20 s of 30 (Ryan et
/// al. 2012); 120 s are 4 x 30 s, the upper end of 2 to 4 times 10 to 30 s (Garber et al. 2011).
pub const USUAL: Curve = Curve(&[(30, 3), (120, 1)]);
/// A tight side: twice the hold of the other; no more gain beyond 4 min in one session (Ingram et al. 2025, second
/// hand). Our judgement.
pub(super) const TIGHT_SIDE: Curve = Curve(&[(60, 3), (240, 1)]);
/// A first muscle of a client who wants range: the 90 s are our judgement, the 4 min as above.
pub(super) const RANGE: Curve = Curve(&[(90, 3), (240, 1)]);
/// From 65 years on: 30 to 60 s (Garber et al. 2011), and longer holds went on paying (Feland et al. 2001).
pub(super) const OLDER: Curve = Curve(&[(45, 3), (120, 1)]);
/// Minutes that are left. Our judgement.
pub(super) const FOR_EASE: Curve = Curve(&[(30, 3)]);

impl Curve {
    /// Grains for so many seconds, whole ticks counted, for a unit of weight 1.
    pub fn benefit(self, seconds: u32) -> i32 {
        let mut from = 0;
        let mut grains = 0;
        for &(until, each) in self.0 {
            let ticks = seconds.min(until).saturating_sub(from) / TICK;
            grains += i32::try_from(ticks).unwrap_or(0) * each;
            from = until;
        }
        grains
    }

    /// From how many seconds on nothing more is gained.
    pub fn flat_from(self) -> u32 {
        self.0.last().map_or(0, |corner| corner.0)
    }

    /// Where its slope changes: seconds and grains, from (0, 0) on.
    pub fn corners(self) -> impl Iterator<Item = (u32, i32)> {
        [0].into_iter().chain(self.0.iter().map(|corner| corner.0)).map(move |at| (at, self.benefit(at)))
    }

    /// The benefit of each further tick for a unit of so much weight that has had so many seconds already.
    pub(super) fn table(self, weight: i32, done: u32) -> Vec<i32> {
        let already = self.benefit(done);
        let ticks = self.flat_from().saturating_sub(done).div_ceil(TICK);
        (0..=ticks).map(|tick| weight * (self.benefit(done + tick * TICK) - already)).collect()
    }
}

/// How a hold was or is to be worked, as far as its seconds count by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct CountedHold {
    /// The side; none where both are done at once.
    pub(super) side: Option<Side>,
    /// Still, or contract-relax.
    pub(super) method: Method,
    /// Seconds under stretch.
    pub(super) held: Seconds,
    /// Whether hands are what is wanted of this form, so that it counts for less where it is done alone.
    pub(super) hands_on: bool,
}

/// Seconds that a hold counts for one of the muscles of its form, to the nearest tick; the same wherever seconds are
/// counted towards a plan.
///
/// - The muscle that the form is meant for, of the largest share m, counts with its share. What is reached besides with
///   a share s counts with s (2 s / m - 1), and with nothing from half on down: a muscle taken half-way is hardly under
///   load, and load goes with the gain (Takeuchi et al. 2021, r = 0.56); the straight line is our judgement.
/// - Both sides at once count half: they share the hands, the stiffer one sets the limit and nothing can be compared.
///   Our judgement.
/// - A form that is done alone counts half where hands are agreed: a service, not physiology, since partner, strap and
///   static stretching did alike (Maddigan, Peach and Behm 2012); our judgement.
/// - Contract-relax counts half as much again on a side that wants range or is tight, after the larger estimate for it
///   in Konrad et al. 2024 and Caplan et al. 2009; other trials found no difference. From 65 years on it counts as a
///   still hold (Feland, Myrer and Merrill 2001: what it did more was seen in those under 65; from memory).
pub(super) fn counted(form: &Form, target: Target, worked: CountedHold, wants_range: bool) -> u32 {
    let most = most_share(form);
    let share = u32::from(target.share);
    let mut counts = worked.held.get() * share * (2 * share).saturating_sub(most);
    let mut of = 100 * most;
    if worked.side.is_none() {
        of *= 2;
    }
    if worked.hands_on && form.helper == Helper::Client {
        of *= 2;
    }
    if worked.method == Method::ContractRelax && wants_range {
        counts *= 3;
        of *= 2;
    }
    // Rounding down would take a third off what counts half.
    (2 * counts + TICK * of) / (2 * TICK * of) * TICK
}

/// Whether holding a form counts anything for one of its muscles.
pub(super) fn counts_for(form: &Form, target: Target) -> bool {
    2 * u32::from(target.share) > most_share(form)
}

/// The muscles that a form is meant for: those of its largest share.
pub(super) fn meant_for(form: &Form) -> impl Iterator<Item = Muscle> {
    let most = most_share(form);
    form.targets.iter().filter(move |target| u32::from(target.share) == most).map(|target| target.muscle)
}

/// The muscles that a form serves: those that it is meant for, and those that get three quarters as much.
pub(super) fn serves(form: &Form) -> impl Iterator<Item = Muscle> {
    let most = most_share(form);
    form.targets
        .iter()
        .filter(move |target| 4 * u32::from(target.share) >= 3 * most)
        .map(|target| target.muscle)
}

fn most_share(form: &Form) -> u32 {
    form.targets.iter().map(|target| u32::from(target.share)).max().unwrap_or(0).max(1)
}

/// By how many seconds, as they count, the tighter side is held longer: enough to show, and not out of all proportion.
/// Our judgement.
pub(super) const LONGER_BY: RangeInclusive<u32> = 10..=30;

/// What a side of a step costs: another change of hands. Seven or eight stretches in 10 to 15 minutes are common
/// practice, no source.
pub(super) const STEP: i32 = 18;
/// The same with a very mobile client, who gets few, longer and gentler steps. Our judgement.
pub(super) const STEP_VERY_MOBILE: i32 = 36;
/// A form that is done alone though hands are agreed, for each side and by the weight of the muscle that it is meant
/// for: the first tick's worth of it. So it is there for what hands may not do, and not for a further round. Our
/// judgement.
pub(super) const UNASKED_SELF: i32 = 3;
/// Contract-relax, for each side, twice for both at once, where the form is not meant for the hamstrings: it takes
/// words and work, so it goes where it is asked for most. Our judgement.
pub(super) const CONTRACT_RELAX: i32 = 18;
/// One side alone while the other wants it too: only where the other may not have it, or as a second round for the
/// tight one; twice as much where the client does it alone though hands are agreed. It may not be waived for a caution,
/// or taking the caution away could lower the plan's worth. Our judgement.
pub(super) const LONE_SIDE: i32 = 60;
pub(super) const LONE_TIGHT_SIDE: i32 = 48;
/// Both sides alike, or at once, where one is tighter: it is to be held longer, by the same stretch. Our judgement.
pub(super) const ALIKE_THOUGH_TIGHT: i32 = 48;
/// What a careful try after pain saves, instead of all that its side would cost: without it a stretch that hurt would
/// stay out for good. Our judgement.
pub(super) const TRY_AFTER_PAIN: i32 = -60;
/// What the side that did not hurt saves by keeping its stretch alone: what the other one loses to pain takes nothing
/// from it. Our judgement.
pub(super) const OTHER_SIDE_OF_PAIN: i32 = -48;
/// The usual hold, of which the way back after pain takes half at first. Common practice, no source.
pub(super) const USUAL_HOLD: Seconds = Seconds::new(30);
/// A stretch that the client likes or dislikes, for each side. Our judgement, not tried out.
pub(super) const LIKED: i32 = -24;
pub(super) const DISLIKED: i32 = 72;

/// What a form that trainers usually choose saves, for each side (common practice, no source). The trainer's own word
/// takes the place of the catalogue's mark and weighs twice as much: a yes to 'plan it so from now on' that changes no
/// plan would be a broken word. Our judgement.
pub(super) const fn standing(standing: FormStanding) -> i32 {
    match standing {
        FormStanding::Catalogue(None) => 0,
        FormStanding::Catalogue(Some(Usual::Often)) => -12,
        FormStanding::Catalogue(Some(Usual::Always)) => -24,
        FormStanding::YourUsual => -48,
        FormStanding::Seldom => 48,
    }
}

/// The shortest still hold that is offered where a longer one is allowed: 20 s (common practice, no source), for the
/// neck 15, from 65 years on 30 (Garber et al. 2011: 30 to 60 s).
pub(super) fn shortest_hold(form: &Form, older: bool) -> Seconds {
    let neck = meant_for(form).any(|muscle| muscle.region() == Region::Neck);
    Seconds::new(match (neck, older) {
        (true, _) => 15,
        (false, false) => 20,
        (false, true) => 30,
    })
}

/// Share from which on a form is meant for a muscle.
pub const MEANT_FROM: u8 = 75;

/// Seconds from standing at the start into a position; five more from 65 years on. Our judgement, like all ways.
const INTO: [u32; 6] = [10, 10, 10, 5, 5, 0];
/// Seconds from a position into each later one, in which the client settles again; five more from 65 years on.
const CHANGES: [&[u32]; 6] = [&[10, 15, 15, 15, 20], &[10, 15, 15, 20], &[10, 15, 15], &[10, 10], &[10], &[]];
/// Seconds to turn to the second side.
const TURNS: [u32; 6] = [5, 10, 5, 5, 0, 0];
/// Seconds that each way takes longer from 65 years on.
const SLOWER: u32 = 5;

/// Seconds into a position from another one, or from the start.
pub(super) fn change(from: Option<Position>, to: Position, older: bool) -> u32 {
    let slower = if older { SLOWER } else { 0 };
    match from {
        None => INTO[to as usize] + if to == Position::Standing { 0 } else { slower },
        Some(from) if from == to => 0,
        Some(from) => {
            let (early, late) = (from.min(to), from.max(to));
            CHANGES[early as usize][late as usize - early as usize - 1] + slower
        }
    }
}

/// Seconds to turn to the second side in a position.
pub(super) const fn turn(position: Position) -> u32 {
    TURNS[position as usize]
}

/// Seconds in whole ticks, rounded down.
pub(super) const fn whole_ticks(seconds: u32) -> usize {
    (seconds / TICK) as usize
}

/// Seconds of so many ticks.
pub(super) fn seconds(ticks: usize) -> Seconds {
    Seconds::new(u32::try_from(ticks).unwrap_or(u32::MAX).saturating_mul(TICK))
}
