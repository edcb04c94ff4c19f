//! What the sessions tell, as JSON: verdicts, changes, norms, work, pain, notes and what is said, each with its numbers.
//! The shape is `insight` in `docs/history.schema.json`. Degrees have one decimal; what is not known is null.

mod dose;
mod said;

use chrono::NaiveDate;
use serde::Serialize;

use crate::body::{Muscle, Side};
use crate::catalogue::{Catalogue, FormId, StretchId};
use crate::client::Client;
use crate::insight::change::{AngleChange, AngleCourse};
use crate::insight::habit::OwnDose;
use crate::insight::neglect::Neglect;
use crate::insight::norms::{NormBand, NormVerdict};
use crate::insight::noted::{NotedVerdict, ReviewReason};
use crate::insight::pain::{PainStage, WayBack};
use crate::insight::sides::{SideBasis, SideStanding, SideVerdict};
use crate::insight::{self, Claim, Learned};
use crate::words::ClaimWords;

use super::HistoryFilter;
use dose::DoseJson;
use said::SaidJson;

/// All that is known on a day.
#[derive(Debug, Serialize)]
pub(super) struct InsightJson {
    on: NaiveDate,
    said: Vec<SaidJson>,
    details: Vec<SaidJson>,
    sides: Vec<SideJson>,
    changes: Vec<ChangeJson>,
    norms: Vec<NormJson>,
    neglect: Vec<NeglectJson>,
    pain: Vec<PainJson>,
    noted: Vec<NotedJson>,
    dose: DoseJson,
}

#[derive(Debug, Serialize)]
struct SideJson {
    muscle: Muscle,
    state: &'static str,
    tighter: Option<Side>,
    by: Option<&'static str>,
    since: Option<NaiveDate>,
    last_compared: NaiveDate,
    stale: bool,
    leans: Option<Side>,
    answers: Option<AnswersJson>,
    angles: Option<AnglesJson>,
    needed: NeededJson,
    over: Vec<OverJson>,
}

#[derive(Debug, Serialize)]
struct AnswersJson {
    left_higher: u32,
    right_higher: u32,
    compared: u32,
    since: NaiveDate,
}

#[derive(Debug, Serialize)]
struct AnglesJson {
    left_deg: f64,
    right_deg: f64,
    pairs: u32,
    since: NaiveDate,
    beyond_deg: f64,
}

#[derive(Debug, Serialize)]
struct NeededJson {
    answers: Option<u32>,
    worked_second: bool,
    pairs: Option<u32>,
}

#[derive(Debug, Serialize)]
struct OverJson {
    tighter: Side,
    since: NaiveDate,
    until: NaiveDate,
    by: &'static str,
    ended_by: &'static str,
}

#[derive(Debug, Serialize)]
struct ChangeJson {
    stretch: StretchId,
    form: FormId,
    position: Option<String>,
    muscle: Muscle,
    side: Option<Side>,
    kind: &'static str,
    from_deg: Option<f64>,
    to_deg: f64,
    since: NaiveDate,
    until: Option<NaiveDate>,
    measurements: Option<u32>,
    beyond_deg: Option<f64>,
    per_month_deg: Option<f64>,
    per_month_limits_deg: Option<[f64; 2]>,
}

#[derive(Debug, Serialize)]
struct NormJson {
    muscle: Muscle,
    side: Option<Side>,
    stretch: StretchId,
    form: FormId,
    test: &'static str,
    value_deg: f64,
    values: u32,
    on: NaiveDate,
    band: Option<&'static str>,
    norm_mean_deg: Option<f64>,
    norm_sd_deg: Option<f64>,
    norm_source: Option<&'static str>,
    norm_read: bool,
}

#[derive(Debug, Serialize)]
struct NeglectJson {
    muscle: Muscle,
    side: Side,
    in_a_row: u32,
    points: u32,
    trained: u32,
    stretched: u32,
    last_stretched: Option<NaiveDate>,
    neglected_since: Option<NaiveDate>,
}

#[derive(Debug, Serialize)]
struct PainJson {
    stretch: StretchId,
    side: Side,
    form: FormId,
    on: NaiveDate,
    step: &'static str,
    painless: u32,
    pains_in_six_weeks: u32,
}

#[derive(Debug, Serialize)]
struct NotedJson {
    muscle: Muscle,
    side: Side,
    said: Option<NaiveDate>,
    counts: bool,
    review: Option<&'static str>,
}

impl InsightJson {
    pub(super) fn of(client: &Client, catalogue: &Catalogue, today: NaiveDate) -> Self {
        let learned = &Learned::of(client, catalogue, today);
        let words = ClaimWords { catalogue, today: learned.on() };
        let said = |claims: &[Claim]| claims.iter().map(|claim| SaidJson::new(claim, words)).collect();
        Self {
            on: learned.on(),
            said: said(learned.claims()),
            details: said(learned.details()),
            sides: learned.sides().iter().map(SideJson::new).collect(),
            changes: learned.changes().iter().flat_map(ChangeJson::of).collect(),
            norms: learned.norms().iter().map(NormJson::new).collect(),
            neglect: learned.neglected().iter().map(NeglectJson::new).collect(),
            pain: learned.ways_back().map(PainJson::new).collect(),
            noted: learned.noted().iter().map(NotedJson::new).collect(),
            dose: DoseJson::new(OwnDose::of(client, catalogue, learned, insight::last_day(client, today))),
        }
    }
}

impl InsightJson {
    /// Leaves only what a filter by stretch or muscle is about; a day leaves all, since findings rest on every session.
    pub(super) fn keep(&mut self, filter: &HistoryFilter, catalogue: &Catalogue) {
        if filter.stretch.is_none() && filter.muscles.is_empty() {
            return;
        }
        let muscle = |muscle: Muscle| filter.takes_muscle(muscle, catalogue);
        let stretch = |stretch: &StretchId| filter.takes(stretch, catalogue);
        for said in [&mut self.said, &mut self.details] {
            said.retain(|said| match &said.stretch {
                Some(of) => stretch(of),
                None => said.muscles.iter().any(|&of| muscle(of)),
            });
        }
        self.sides.retain(|side| muscle(side.muscle));
        self.changes.retain(|change| stretch(&change.stretch));
        self.norms.retain(|norm| stretch(&norm.stretch));
        self.neglect.retain(|neglect| muscle(neglect.muscle));
        self.pain.retain(|pain| stretch(&pain.stretch));
        self.noted.retain(|noted| muscle(noted.muscle));
        self.dose.keep(muscle);
    }
}

/// Tenths of a degree as degrees.
fn degrees(tenths: i32) -> f64 {
    f64::from(tenths) / 10.0
}

const fn basis(basis: SideBasis) -> &'static str {
    if matches!(basis, SideBasis::Angles) { "angles" } else { "answers" }
}

impl SideJson {
    fn new(sides: &SideVerdict) -> Self {
        let (state, tighter, by, since) = match sides.standing {
            SideStanding::Differs { tighter, basis: by, since } => {
                ("differs", Some(tighter), Some(basis(by)), Some(since))
            }
            SideStanding::AboutTheSame => ("about-the-same", None, None, None),
            SideStanding::AnsweredAlike => ("answered-alike", None, None, None),
            SideStanding::TooFew => ("too-few", None, None, None),
        };
        Self {
            muscle: sides.muscle,
            state,
            tighter,
            by,
            since,
            last_compared: sides.last,
            stale: sides.is_stale,
            leans: sides.leans,
            answers: sides.answers.map(|answers| AnswersJson {
                left_higher: answers.higher[0],
                right_higher: answers.higher[1],
                compared: answers.compared,
                since: answers.since,
            }),
            angles: sides.angles.map(|angles| AnglesJson {
                left_deg: degrees(angles.means[0]),
                right_deg: degrees(angles.means[1]),
                pairs: angles.pairs,
                since: angles.since,
                beyond_deg: degrees(angles.beyond),
            }),
            needed: NeededJson {
                answers: sides.needed.answers,
                worked_second: sides.needed.worked_second,
                pairs: sides.needed.pairs,
            },
            over: sides
                .over
                .iter()
                .map(|over| OverJson {
                    tighter: over.tighter,
                    since: over.since,
                    until: over.until,
                    by: basis(over.began_by),
                    ended_by: basis(over.basis),
                })
                .collect(),
        }
    }
}

impl ChangeJson {
    fn new(change: &AngleChange, kind: &'static str, to: i32, since: NaiveDate) -> Self {
        Self {
            stretch: change.stretch.clone(),
            form: change.form.clone(),
            position: change.position.as_ref().map(ToString::to_string),
            muscle: change.muscle,
            side: change.side,
            kind,
            from_deg: None,
            to_deg: degrees(to),
            since,
            until: None,
            measurements: None,
            beyond_deg: None,
            per_month_deg: None,
            per_month_limits_deg: None,
        }
    }

    fn of(change: &AngleChange) -> Vec<Self> {
        let course = change.course.map(|course| match course {
            AngleCourse::Moved { from, to, since, measured, beyond, rate } => Self {
                from_deg: Some(degrees(from)),
                measurements: Some(measured),
                beyond_deg: Some(degrees(beyond)),
                per_month_deg: rate.map(|rate| hundredths(rate.month)),
                per_month_limits_deg: rate.map(|rate| rate.limits.map(hundredths)),
                ..Self::new(change, "moved", to, since)
            },
            AngleCourse::Flat { at, since, measured } => {
                Self { measurements: Some(measured), ..Self::new(change, "flat", at, since) }
            }
        });
        let gap = change.gap.map(|gap| Self {
            from_deg: Some(degrees(gap.from)),
            until: Some(gap.back),
            beyond_deg: Some(degrees(gap.beyond)),
            ..Self::new(change, "after-gap", gap.to, gap.last)
        });
        course.into_iter().chain(gap).collect()
    }
}

/// Hundredths of a degree as degrees.
#[expect(clippy::cast_precision_loss, reason = "a few thousand")]
fn hundredths(hundredths: i64) -> f64 {
    hundredths as f64 / 100.0
}

impl NormJson {
    fn new(norm: &NormVerdict) -> Self {
        let band = norm.band.map(|band| match band {
            NormBand::Low => "low",
            NormBand::BelowTenth => "below-10",
            NormBand::BelowQuarter => "10-25",
            NormBand::Middle => "25-75",
            NormBand::AboveThreeQuarters => "75-90",
            NormBand::AboveNinetieth => "above-90",
        });
        Self {
            muscle: norm.muscle,
            side: norm.side,
            stretch: norm.stretch.clone(),
            form: norm.form.clone(),
            test: norm.test,
            value_deg: degrees(norm.value),
            values: norm.values,
            on: norm.on,
            band,
            norm_mean_deg: norm.norm.map(|norm| norm.mean),
            norm_sd_deg: norm.norm.and_then(|norm| norm.sd),
            norm_source: norm.norm.map(|norm| norm.source),
            norm_read: norm.is_read(),
        }
    }
}

impl NeglectJson {
    fn new(neglect: &Neglect) -> Self {
        Self {
            muscle: neglect.unit.muscle,
            side: neglect.unit.side,
            in_a_row: neglect.run,
            points: neglect.points(),
            trained: neglect.trained,
            stretched: neglect.stretched,
            last_stretched: neglect.last,
            neglected_since: neglect.since,
        }
    }
}

impl PainJson {
    fn new(way: &WayBack) -> Self {
        let step = match way.stage {
            PainStage::Rest => "rest",
            PainStage::Try => "try",
            PainStage::Gentle => "gentle",
            PainStage::Form => "form",
            PainStage::Closed => "closed",
        };
        Self {
            stretch: way.stretch.clone(),
            side: way.side,
            form: way.form.clone(),
            on: way.on,
            step,
            painless: way.painless,
            pains_in_six_weeks: way.pains,
        }
    }
}

impl NotedJson {
    fn new(noted: &NotedVerdict) -> Self {
        let review = noted.review.map(|review| match review {
            ReviewReason::OtherSide => "other-side",
            ReviewReason::AboutTheSame => "about-the-same",
            ReviewReason::AboveTheMiddle => "above-the-middle",
            ReviewReason::LongAgo => "long-ago",
        });
        Self {
            muscle: noted.unit.muscle,
            side: noted.unit.side,
            said: noted.said,
            counts: noted.counts,
            review,
        }
    }
}
