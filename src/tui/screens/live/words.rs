//! What the running block says, on the screen and in lines.

use std::collections::BTreeSet;

use crate::body::{Region, Seconds};
use crate::catalogue::{Cues, Position};
use crate::client::{Consent, ConsentLimit, Ended, Session};
use crate::planner::Step;
use crate::session::{Live, Moment, Pause, Snapshot, Stage, Undone};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::theme::Tone;
use crate::tui::words::{named, side_words};

/// Seconds that are as good as on time.
const ON_TIME: i32 = 5;

/// What can be answered where the client wants less.
pub(super) const LESS: [(&str, &str); 5] = [
    ("b", "no hands, by themselves"),
    ("t", "a towel between"),
    ("m", "no massage"),
    ("d", "consent taken back, + Enter"),
    ("Space", "all as before, go on"),
];

/// What can be done after the client said stop.
pub(super) const STOP: [(&str, &str); 4] = [
    ("Space", "all is well, go on"),
    ("f", "finish, note no more"),
    ("b", "no hands, by themselves"),
    ("d", "consent taken back, + Enter"),
];

/// What can be done after pain.
pub(super) const PAIN: [(&str, &str); 3] =
    [("→", "go on without it"), ("f", "finish here"), ("z", "it was a slip: take the note back")];

/// The phase in a word that can be read from the mat.
pub(super) const fn phase_word(phase: &Snapshot<'_>) -> (&'static str, Tone) {
    match (phase.paused, phase.stage) {
        (Some(Pause::Pain), _) => ("PAIN", Tone::HandsOff),
        (Some(Pause::Stop), _) => ("STOP", Tone::HandsOff),
        (Some(_), _) => ("PAUSED", Tone::Strong),
        (None, Stage::Opening | Stage::SetUp | Stage::Waiting) => ("READY", Tone::Strong),
        (None, Stage::Change { .. }) => ("MOVE", Tone::Strong),
        (None, Stage::Hold) => ("HOLD", Tone::Strong),
        (None, Stage::Push { .. }) => ("PUSH", Tone::Strong),
        (None, Stage::Relax { .. }) => ("RELAX", Tone::Strong),
        (None, Stage::Massage) => ("MASSAGE", Tone::Strong),
        (None, Stage::Finished) => ("UP", Tone::Strong),
    }
}

/// How the client gets there.
pub(super) fn moving_words(from: Option<Position>, to: Position) -> &'static str {
    if from == Some(to) {
        return "to the other side";
    }
    match to {
        Position::Supine => "lie on the back",
        Position::SideLying => "lie on the side",
        Position::Prone => "lie on the front",
        Position::Kneeling => "kneel",
        Position::Seated if matches!(from, Some(Position::Standing)) => "sit down",
        Position::Seated => "sit up",
        Position::Standing => "stand up",
    }
}

/// What is said to the client in a phase: the push belongs to its phase alone.
pub(super) fn said_now(cues: &Cues, stage: Stage) -> &str {
    match stage {
        Stage::Push { .. } if !cues.push.is_empty() => &cues.push,
        Stage::Push { .. } => "Press gently against my hand, and keep breathing.",
        Stage::Relax { .. } => "And let go. I take it a little further.",
        _ => &cues.say,
    }
}

pub(super) fn pause_words(pause: Pause, is_brief: bool) -> String {
    match pause {
        Pause::Asked | Pause::Stop if is_brief => "Paused.".to_owned(),
        Pause::Asked | Pause::Stop => "Paused. Go goes on.".to_owned(),
        Pause::Pain => "Stopped for pain. Go, finish, or slip?".to_owned(),
        Pause::Consent => "Consent is narrower now. Go, or finish?".to_owned(),
        Pause::Unseen(gap) => format!("Nothing was seen for {gap}. Go goes on."),
    }
}

/// What stays where nothing more can be planned.
pub(super) fn kept(live: &Live, now: Moment) -> String {
    let snapshot = live.snapshot(now);
    let sided = |step: &Step| {
        let side = step.side.map(|side| format!("{side} ")).unwrap_or_default();
        format!("{side}{}", step.name)
    };
    let names: Vec<String> = live.to_come().map(sided).collect();
    let here = if snapshot.step.is_some() { "this stretch" } else { "nothing under way" };
    let then = match names.len() {
        0 => String::new(),
        1 | 2 => format!(", then {}", text::list(&names)),
        many => format!(", then {many} more"),
    };
    let left = Seconds::new(snapshot.until_due.max(0).unsigned_abs());
    format!("{left} left: {here}{then}, then finished; nothing else fits")
}

/// What was taken back.
pub(super) const fn undone(what: Undone) -> &'static str {
    match what {
        Undone::Level => "the answer is taken back",
        Undone::Angle => "the angle is taken back",
        Undone::Pain => "the note of pain is taken back",
        Undone::Next => "back at the step that was left",
        Undone::Length => "the hold is as long as before",
        Undone::Minutes => "the minutes are as before",
    }
}

/// Late or early, in words.
pub(super) fn lateness_words(lateness: i32) -> String {
    let clock = Seconds::new(lateness.unsigned_abs());
    match lateness {
        ..0 if lateness < -ON_TIME => format!("{clock} early"),
        late if late > ON_TIME => format!("{clock} late"),
        _ => "on time".to_owned(),
    }
}

/// What an answer above the aim asks for while the hold runs.
pub(super) fn ease_off(phase: &Snapshot<'_>) -> Option<String> {
    let (level, aim) = (phase.level.filter(|_| !phase.rates_last)?, phase.step?.aim);
    (level > aim).then(|| format!("{level}: ease off to {aim}; trembling means the same"))
}

/// A stop for pain in words.
pub(super) struct PainWords {
    /// What was stopped, and what is left out for it.
    pub(super) what: String,
    /// What is done now.
    pub(super) ask: String,
    /// What comes next, and what to ask before it.
    pub(super) then: String,
}

/// What the client took out of the consent, all of it.
pub(super) fn narrowed(live: &Live, session: &Session) -> Option<String> {
    let is_narrowed = |what| session.is_narrowed(what);
    let alone = live.consent() == Consent::SelfStretch || is_narrowed(ConsentLimit::SelfStretch);
    let words = [
        (alone, "no hands, by themselves"),
        (is_narrowed(ConsentLimit::NoMassage), "no massage"),
        (is_narrowed(ConsentLimit::MatBetween), "a towel stays between"),
    ];
    let words: Vec<&str> = words.iter().filter(|(holds, _)| *holds).map(|(_, words)| *words).collect();
    (!words.is_empty()).then(|| words.join("; "))
}

/// What was stopped for pain and what goes with it, and how it goes on, while the block stands still for it.
pub(super) fn pain(live: &Live, phase: &Snapshot<'_>, shared: &Shared) -> Option<PainWords> {
    let hurt = live.stopped_for_pain()?;
    let (own, others): (Vec<&Step>, Vec<&Step>) =
        hurt.left_out.iter().partition(|step| step.stretch == hurt.step.stretch);
    let mut left_out: Vec<String> =
        own.iter().map(|step| format!("its {} side", side_words(step.side))).collect();
    let same = |step: &&Step| format!("{} (same muscles)", named(step));
    left_out.extend(others.iter().map(same));
    let of_it = |(step, _): &(&Step, _)| step.stretch == hurt.step.stretch && step.side == hurt.step.side;
    let report = live.steps().find(of_it).and_then(|(_, report)| report);
    let held =
        report.filter(|report| report.ended == Ended::Pain).map_or(Seconds::ZERO, |report| report.held);
    let mut what = format!("{}: stopped at {held}, noted as pain.", named(hurt.step));
    if !left_out.is_empty() {
        what = format!("{what} Left out: {}.", text::list(&left_out));
    }
    let then = match phase.step {
        Some(next) => match common_region(hurt.step, next, shared) {
            Some(region) => {
                format!("Next is {}, at the {region}, too: ask first.", named(next))
            }
            None => format!("Next is {}.", named(next)),
        },
        None => String::new(),
    };
    let ask = "Ease out slowly. Ask where it hurts, and what kind of hurt.".to_owned();
    Some(PainWords { what, ask, then })
}

/// The region that two steps have in common, if they meet on a side; neck, back and trunk have no sides.
fn common_region(one: &Step, other: &Step, shared: &Shared) -> Option<Region> {
    let meet = one.side.is_none() || other.side.is_none() || one.side == other.side;
    let regions = |step: &Step| -> BTreeSet<Region> {
        let form = shared.catalogue.form(&step.stretch, &step.form);
        form.map_or_else(
            || step.muscles.iter().map(|muscle| muscle.region()).collect(),
            |(_, form)| form.targets.iter().map(|target| target.muscle.region()).collect(),
        )
    };
    let midline = |region: &Region| matches!(region, Region::Neck | Region::Back | Region::Trunk);
    let common = &regions(one) & &regions(other);
    common.into_iter().find(|region| meet || midline(region))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_few_seconds_are_as_good_as_on_time() {
        assert_eq!(
            [-60, -5, 0, 5, 60].map(lateness_words),
            ["1:00 early", "on time", "on time", "on time", "1:00 late"]
        );
    }
}
