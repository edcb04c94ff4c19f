//! What the sessions tell, in sentences: each claim once, so that every surface says the same words.
//!
//! Words: tighter, answered higher, measured. Never what a side should be, never a promise, and of chance only what
//! it is.

use chrono::{Datelike as _, NaiveDate};

use crate::body::{Muscle, Side};
use crate::catalogue::{Catalogue, StretchId};
use crate::client::Client;
use crate::insight::change::{AfterGap, AngleChange, AngleCourse, Rate};
use crate::insight::neglect::Neglect;
use crate::insight::noted::{NotedVerdict, ReviewReason};
use crate::insight::pain::{PAINLESS, PainStage, WayBack};
use crate::insight::sides::{OverDifference, SideBasis, SideStanding, SideVerdict};
use crate::insight::{Claim, Learned, SinceLast};
use crate::text::{self, Safe};

/// Turns claims of one client into sentences.
#[derive(Debug, Clone, Copy)]
pub struct ClaimWords<'a> {
    /// Where the names of stretches are from.
    pub catalogue: &'a Catalogue,
    /// The day, so that a date of this year needs no year.
    pub today: NaiveDate,
}

/// What is said of a client on a day: at most five sentences, the same on every surface.
pub fn told(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Vec<String> {
    let words = ClaimWords { catalogue, today };
    Learned::of(client, catalogue, today).claims().iter().map(|claim| words.sentence(claim)).collect()
}

impl ClaimWords<'_> {
    /// The claim as one or two sentences.
    pub fn sentence(self, claim: &Claim) -> String {
        match claim {
            Claim::ConsentTakenBack(on) => {
                format!("Consent was taken back on {}: ask again before touching.", self.day(*on))
            }
            Claim::WithoutHands(on) => {
                format!(
                    "Went on without hands on {}: ask before touching whether that has changed.",
                    self.day(*on)
                )
            }
            Claim::Pain(way) => self.pain(way),
            Claim::Tighter { sides, also } => self.tighter(sides, also),
            Claim::EqualAgain { muscle, also, over } => self.equal_again(*muscle, also, over),
            Claim::Moved(change) | Claim::Flat(change) => self.change(change),
            Claim::AfterGap(change, gap) => self.after_gap(change, gap),
            Claim::Neglected { neglect, is_both, also } => {
                format!("{}{}", self.neglected(neglect, *is_both), so_too(also))
            }
            Claim::Review(noted) => self.review(noted),
            Claim::LowForAge { norm, compared, low } => self.low_for_age(norm, *compared, *low),
            Claim::Five(stretch, side, _) => {
                format!("{}: 5 last time. Go less far, to about 4 at most.", self.stretch(stretch, *side))
            }
            Claim::EasyTwice(stretch, side, _) => format!(
                "{}: easy twice in a row. Hold longer or take the further form, if nothing speaks against it.",
                self.stretch(stretch, *side)
            ),
            Claim::SkippedTwice(stretch, side, _) => {
                format!(
                    "{}: skipped twice in a row. Ask whether to leave it out.",
                    self.stretch(stretch, *side)
                )
            }
            Claim::Leans(sides) => leans(sides),
        }
    }

    /// How sure a claim is, in one sentence; nothing where nothing was judged.
    pub const fn how_sure(claim: &Claim) -> Option<&'static str> {
        match claim {
            Claim::Tighter { .. } | Claim::EqualAgain { .. } => Some(
                "If both sides were alike, fewer than 1 client in 20 would be told such a thing in a year.",
            ),
            Claim::Moved(_) => {
                Some("Without any change, about 1 client in 25 would be told such a thing in a year.")
            }
            Claim::AfterGap(..) => {
                Some("Without any change, about 1 client in 100 would be told such a thing.")
            }
            Claim::Flat(_) => Some("A change of 8 degrees or more would have shown in 19 of 20 clients."),
            Claim::LowForAge { .. } => {
                Some("Of those who are above that line, fewer than 1 in 100 are told such a thing.")
            }
            Claim::Leans(_) => Some("So much could still be chance."),
            Claim::ConsentTakenBack(_)
            | Claim::WithoutHands(_)
            | Claim::Pain(_)
            | Claim::Neglected { .. }
            | Claim::Review(_)
            | Claim::Five(..)
            | Claim::EasyTwice(..)
            | Claim::SkippedTwice(..) => None,
        }
    }

    /// What differs from the time before: shown, and no claim.
    pub fn since_last(self, since: &SinceLast) -> String {
        let mut words = Vec::new();
        words.extend(since.level.map(|[before, now]| format!("level {before} to {now}")));
        words.extend(since.held.map(|[before, now]| format!("held {} to {} s", before.get(), now.get())));
        words.extend(since.angle.map(|[before, now]| format!("{} to {} degrees", before.get(), now.get())));
        format!("{}: {}", self.stretch(&since.stretch, since.side), words.join(", "))
    }

    pub(super) fn stretch(self, stretch: &StretchId, side: Option<Side>) -> String {
        let name = self.catalogue.stretch(stretch).map_or(stretch.as_str(), |stretch| &stretch.name);
        format!("{}{}", Safe::from_foreign(name), on(side))
    }

    /// A day: "12 Nov", or "12 Nov 2025" where the year is another one.
    pub(super) fn day(self, on: NaiveDate) -> String {
        let format = if self.is_near(on) { "%-d %b" } else { "%-d %b %Y" };
        on.format(format).to_string()
    }

    /// A month: "June", or "June 2025" where the year is another one.
    fn month(self, on: NaiveDate) -> String {
        let format = if self.is_near(on) { "%B" } else { "%B %Y" };
        on.format(format).to_string()
    }

    /// Whether a day of that name can be no other.
    fn is_near(self, on: NaiveDate) -> bool {
        on.year() == self.today.year() || (0..300).contains(&(self.today - on).num_days())
    }

    fn pain(self, way: &WayBack) -> String {
        let what = self.stretch(&way.stretch, Some(way.side));
        let on = self.day(way.on);
        let try_of = format!("(try {} of {PAINLESS})", (way.painless + 1).min(PAINLESS));
        let gentle = if way.is_only_form { "two thirds of the way" } else { "the gentlest form" };
        let rest = match way.stage {
            PainStage::Rest => "Leave it for three days, then ask.".to_owned(),
            PainStage::Try => format!("Ask first; then {gentle}, half the hold, to 3 {try_of}."),
            PainStage::Gentle => format!("Ask first; then {gentle}, the usual hold, to 3 {try_of}."),
            PainStage::Form => format!("Ask first; then the form that hurt, half the hold, to 3 {try_of}."),
            PainStage::Closed => {
                "Not until somebody has cleared it; advise seeing a doctor or physiotherapist.".to_owned()
            }
        };
        let times = if way.pains > 1 { format!(" {} times, last", way.pains) } else { String::new() };
        format!("{what}: stopped for pain{times} on {on}. {rest}")
    }

    fn tighter(self, sides: &SideVerdict, also: &[Muscle]) -> String {
        let what = muscles(sides.muscle, also);
        let SideStanding::Differs { tighter, basis, since } = sides.standing else { return what };
        if sides.is_stale {
            return format!(
                "{what}: {tighter} was {} until {}, when both sides were compared last. Compare them again.",
                if basis == SideBasis::Angles { "tighter" } else { "answered higher" },
                self.month(sides.last)
            );
        }
        match (basis, sides.angles, sides.answers) {
            (SideBasis::Angles, Some(angles), _) => {
                let [mine, other] = towards(tighter, angles.means);
                format!(
                    "{what}: {tighter} tighter, {} against {} degrees ({} since {}; over {} is more than measuring).",
                    whole(mine),
                    whole(other),
                    measurements(angles.pairs),
                    self.month(angles.since),
                    whole(angles.beyond)
                )
            }
            (_, _, Some(answers)) => {
                let [mine, other] = if tighter == Side::Left {
                    answers.higher
                } else {
                    [answers.higher[1], answers.higher[0]]
                };
                format!(
                    "{what}: {tighter} answered higher {}, {} {}, of {} since {}. Measure both sides to see by how \
                     much.",
                    times(mine),
                    tighter.other(),
                    times(other),
                    text::count(answers.compared as usize, "session"),
                    self.month(answers.since)
                )
            }
            _ => format!("{what}: {tighter} tighter since {}.", self.day(since)),
        }
    }

    fn equal_again(self, muscle: Muscle, also: &[Muscle], over: &OverDifference) -> String {
        let [left, right] = over.last;
        let number = match over.basis {
            SideBasis::Angles => format!("{} and {} degrees", whole(left), whole(right)),
            SideBasis::Answers => {
                format!("left answered higher {}, right {} of 12", times_of(left), times_of(right))
            }
        };
        format!("{}: equal again since {} ({number}).", muscles(muscle, also), self.day(over.until))
    }

    fn change(self, change: &AngleChange) -> String {
        let what = self.stretch(&change.stretch, change.side);
        match change.course {
            Some(AngleCourse::Moved { from, to, since, beyond, rate, .. }) => format!(
                "{what}: {} to {} degrees since {}{}; measuring alone gives up to {}.",
                whole(from),
                whole(to),
                self.day(since),
                rate.map(rate_words).unwrap_or_default(),
                whole(beyond)
            ),
            Some(AngleCourse::Flat { at, since, measured }) => format!(
                "{what}: no change that measuring could show since {} ({} degrees, {}).",
                self.month(since),
                whole(at),
                measurements(measured)
            ),
            None => what,
        }
    }

    fn after_gap(self, change: &AngleChange, gap: &AfterGap) -> String {
        let weeks = usize::try_from((gap.back - gap.last).num_days() / 7).unwrap_or(0);
        format!(
            "{}: {} to {} degrees after {} away.",
            self.stretch(&change.stretch, change.side),
            whole(gap.from),
            whole(gap.to),
            text::count(weeks, "week")
        )
    }

    fn neglected(self, neglect: &Neglect, is_both: bool) -> String {
        let what = format!(
            "{}{}",
            capital(neglect.unit.muscle.plain_name()),
            on((!is_both).then_some(neglect.unit.side))
        );
        if neglect.trained >= 4 && neglect.run < neglect.trained {
            let last = neglect.last.map(|last| format!(" ({})", self.day(last))).unwrap_or_default();
            return format!(
                "{what}: trained {} in six weeks, stretched {}{last}.",
                times(neglect.trained),
                times(neglect.stretched)
            );
        }
        let last = neglect.last.map_or_else(
            || "never stretched".to_owned(),
            |last| format!("last stretched on {}", self.day(last)),
        );
        format!("{what}: trained {} in a row without being stretched; {last}.", times(neglect.run))
    }

    fn review(self, noted: &NotedVerdict) -> String {
        let what = format!("{}, {}", noted.unit.muscle.plain_name(), noted.unit.side);
        let why = match (noted.review, noted.angles, noted.answers) {
            (Some(ReviewReason::AboutTheSame | ReviewReason::OtherSide), Some(angles), _) => format!(
                " The last {} say {} left and {} right.",
                measurements(angles.pairs),
                whole(angles.means[0]),
                whole(angles.means[1])
            ),
            (Some(ReviewReason::OtherSide), None, Some(answers)) => format!(
                " Since then left answered higher {} and right {}.",
                times(answers.higher[0]),
                times(answers.higher[1])
            ),
            (Some(ReviewReason::AboveTheMiddle), ..) => {
                " It was measured above the middle for age.".to_owned()
            }
            _ => String::new(),
        };
        let when =
            noted.said.map_or_else(|| ", no day kept".to_owned(), |on| format!(" on {}", self.day(on)));
        format!("Noted tight{when}: {what}.{why} Keep?")
    }
}

fn leans(sides: &SideVerdict) -> String {
    let what = muscles(sides.muscle, &[]);
    let (Some(side), Some(answers)) = (sides.leans, sides.answers) else { return what };
    let [left, right] = answers.higher;
    let (mine, other) = if side == Side::Left { (left, right) } else { (right, left) };
    let second = if sides.needed.worked_second { ", worked second," } else { "" };
    let more = sides.needed.answers.map(|more| format!("{more} more that way{second} would settle it, or "));
    let measure = sides.needed.pairs.map_or_else(
        || "measure both sides".to_owned(),
        |pairs| format!("measure both sides {} more", times(pairs)),
    );
    format!("{what}: leans {side}, {mine} to {other}; {}{measure}.", more.unwrap_or_default())
}

/// Other muscles of which the same is true.
fn so_too(also: &[Muscle]) -> String {
    let named: Vec<&str> = also.iter().take(3).map(|muscle| muscle.plain_name()).collect();
    match also.len() {
        0 => String::new(),
        1..=3 => format!(" So too: {}.", text::list(&named)),
        count => format!(" So too: {} and {} more.", named.join(", "), count - named.len()),
    }
}

fn on(side: Option<Side>) -> String {
    side.map(|side| format!(", {side}")).unwrap_or_default()
}

/// The tighter side first.
const fn towards(tighter: Side, [left, right]: [i32; 2]) -> [i32; 2] {
    match tighter {
        Side::Left => [left, right],
        Side::Right => [right, left],
    }
}

/// Tenths of a degree as whole degrees.
pub(super) const fn whole(tenths: i32) -> i32 {
    (tenths + 5).div_euclid(10)
}

fn measurements(count: u32) -> String {
    text::count(count as usize, "measurement")
}

fn times(count: u32) -> String {
    match count {
        0 => "never".to_owned(),
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    }
}

fn times_of(count: i32) -> String {
    times(count.unsigned_abs())
}

fn rate_words(rate: Rate) -> String {
    let tenths = (rate.month.abs() + 5) / 10;
    let per_month =
        if tenths >= 10 || tenths == 0 { ((tenths + 5) / 10).to_string() } else { format!("0.{tenths}") };
    format!(", about {per_month} a month")
}

fn muscles(first: Muscle, also: &[Muscle]) -> String {
    let names: Vec<&str> =
        std::iter::once(first).chain(also.iter().copied()).map(Muscle::plain_name).collect();
    capital(&names.join(" and "))
}

pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
