//! What was noted as tight: a note has a date, gives a point, is put up for review and never struck out silently.

use chrono::NaiveDate;

use crate::body::{Side, Unit};

use super::norms::{NormBand, NormVerdict};
use super::sides::{AngleMeans, AnswerCount, SideStanding, SideVerdict};

/// Days after which a note is put up for review, and after which it gives no point any more unless it was kept
/// (practice).
const REVIEW_AFTER: i64 = 180;
const COUNTS_FOR: i64 = 270;

/// A note, as it is on file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Note {
    pub(super) unit: Unit,
    /// The day on which somebody last said so; none if that was not kept.
    pub(super) said: Option<NaiveDate>,
}

/// Why a note is put up for review.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReviewReason {
    /// The other side is the tighter one.
    OtherSide,
    /// The sides are about the same.
    AboutTheSame,
    /// The muscle is above the middle of its norm.
    AboveTheMiddle,
    /// It was said long ago.
    LongAgo,
}

/// A muscle that is noted as tight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotedVerdict {
    /// Which.
    pub unit: Unit,
    /// The day on which somebody last said so; none if that was not kept: then the note is as old as the client's first
    /// session.
    pub said: Option<NaiveDate>,
    /// Whether it still counts.
    pub counts: bool,
    /// Whether to keep it should be asked, and why.
    pub review: Option<ReviewReason>,
    /// What was measured and answered since, for the question.
    pub angles: Option<AngleMeans>,
    /// See `angles`.
    pub answers: Option<AnswerCount>,
}

/// Looks at every note on a day. `first` is the day of the client's first session.
pub(super) fn judge(
    notes: impl Iterator<Item = Note>,
    first: Option<NaiveDate>,
    sides: &[SideVerdict],
    norms: &[NormVerdict],
    today: NaiveDate,
) -> Vec<NotedVerdict> {
    let verdict = |note: Note| {
        let said = note.said.or(first).unwrap_or(today);
        let days = (today - said).num_days();
        let sides = sides.iter().find(|sides| sides.muscle == note.unit.muscle);
        let norm = norms.iter().find(|norm| norm.muscle == note.unit.muscle);
        // What was known already when it was said, or kept, is no reason to ask again.
        let since = sides.filter(|sides| sides.last > said);
        let review = since
            .filter(|sides| !sides.is_stale)
            .and_then(|sides| against(sides, note.unit.side))
            .or_else(|| {
                let above =
                    norm.filter(|norm| norm.on > said && norm.band >= Some(NormBand::AboveThreeQuarters));
                above.map(|_| ReviewReason::AboveTheMiddle)
            })
            .or_else(|| (days >= REVIEW_AFTER).then_some(ReviewReason::LongAgo));
        NotedVerdict {
            unit: note.unit,
            said: note.said,
            counts: days < COUNTS_FOR,
            review,
            angles: since.and_then(|sides| sides.angles),
            answers: since.and_then(|sides| sides.answers),
        }
    };
    notes.map(verdict).collect()
}

/// What speaks against a side's being the tight one.
fn against(sides: &SideVerdict, noted: Side) -> Option<ReviewReason> {
    match sides.standing {
        SideStanding::Differs { tighter, .. } => (tighter != noted).then_some(ReviewReason::OtherSide),
        SideStanding::AboutTheSame => Some(ReviewReason::AboutTheSame),
        SideStanding::AnsweredAlike | SideStanding::TooFew => None,
    }
}
