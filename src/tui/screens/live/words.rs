//! What the running block says, on the screen and in lines.

use std::collections::BTreeSet;

use crate::body::{Level, Region, Seconds};
use crate::client::{Consent, ConsentLimit};
use crate::planner::Step;
use crate::session::{Live, Moment, Pause, Snapshot, Stage, Undone};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::theme::{Glyphs, Tone};
use crate::tui::words::{named, side_words};

use super::State;

/// Seconds that are as good as on time.
const ON_TIME: i32 = 5;

/// What can be answered where the client wants less.
pub(super) const LESS: [(&str, &str); 5] = [
    ("b", "by themselves"),
    ("t", "towel between"),
    ("m", "no massage"),
    ("d", "taken back"),
    ("Space", "all as before"),
];

/// What can be done after the client said stop.
pub(super) const STOP: [(&str, &str); 4] = [
    ("Space", "all is well, go on"),
    ("f", "finish, note no more"),
    ("b", "no more hands"),
    ("d", "consent taken back"),
];

/// The stage in a word or two, as it is said.
pub(super) fn stage_words(stage: Stage) -> String {
    match stage {
        Stage::Opening => "SETTLE".to_owned(),
        Stage::Change { to, .. } => format!("MOVE {}", to.plain_name()),
        Stage::SetUp => "SET UP".to_owned(),
        Stage::Hold => "HOLD".to_owned(),
        Stage::Push { cycle, of } => format!("PUSH  {cycle} of {of}"),
        Stage::Relax { cycle, of } => format!("RELAX, further  {cycle} of {of}"),
        Stage::Massage => "MASSAGE".to_owned(),
        Stage::Waiting => "WAITING".to_owned(),
        Stage::Finished => "DONE".to_owned(),
    }
}

pub(super) fn pause_words(pause: Pause) -> String {
    match pause {
        Pause::Asked => "standing still; Space goes on".to_owned(),
        Pause::Pain => "stopped for pain; Space goes on with the next stretch, f finishes".to_owned(),
        Pause::Stop => "hands off, nothing is noted; Space goes on, f finishes".to_owned(),
        Pause::Consent => "consent is narrower now; Space goes on, f finishes".to_owned(),
        Pause::Unseen(gap) => format!("nothing was seen for {gap}; Space goes on"),
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

/// Late or early, in words, with a tone and a sign of its own.
pub(super) fn lateness_words(lateness: i32, glyphs: &Glyphs) -> (Tone, &'static str, String) {
    let clock = Seconds::new(lateness.unsigned_abs());
    match lateness {
        ..0 if lateness < -ON_TIME => (Tone::Text, "-", format!("{clock} early")),
        late if late > ON_TIME => (Tone::Caution, glyphs.caution, format!("{clock} late")),
        _ => (Tone::Good, glyphs.done, "on time".to_owned()),
    }
}

/// What an answer above the aim asks for, and what else means the same.
pub(super) fn ease_off(phase: &Snapshot<'_>) -> Option<(String, &'static str)> {
    let (level, aim) = (phase.level.filter(|_| !phase.rates_last)?, phase.step?.aim);
    (level > aim).then(|| (format!("{level}: ease off to {aim}."), "A trembling limb means the same."))
}

impl State {
    /// What the client took out of the consent, all of it.
    pub(super) fn narrowed_words(&self) -> Option<String> {
        let is_narrowed = |what| self.session.is_narrowed(what);
        let alone = self.live.consent() == Consent::SelfStretch || is_narrowed(ConsentLimit::SelfStretch);
        let words = [
            (alone, "no hands: self-stretch only"),
            (is_narrowed(ConsentLimit::NoMassage), "no massage"),
            (is_narrowed(ConsentLimit::MatBetween), "a mat or towel stays between hand and client"),
        ];
        let words: Vec<&str> = words.iter().filter(|(holds, _)| *holds).map(|(_, words)| *words).collect();
        (!words.is_empty()).then(|| words.join("; "))
    }

    /// What was stopped for pain and what goes with it, and how it goes on, while the block stands still for it.
    pub(super) fn pain_words(&self, phase: &Snapshot<'_>, shared: &Shared) -> Option<(String, String)> {
        let hurt = self.live.stopped_for_pain()?;
        let (own, others): (Vec<&Step>, Vec<&Step>) =
            hurt.left_out.iter().partition(|step| step.stretch == hurt.step.stretch);
        let mut left_out: Vec<String> =
            own.iter().map(|step| format!("its {} side", side_words(step.side))).collect();
        let same = |step: &&Step| format!("{} (same muscles)", named(step));
        left_out.extend(others.iter().map(same));
        let mut words = format!("PAIN: {}, is stopped", named(hurt.step));
        if !left_out.is_empty() {
            words.push_str("; left out: ");
            words.push_str(&text::list(&left_out));
        }
        let then = match phase.step {
            Some(next) => match common_region(hurt.step, next, shared) {
                Some(region) => {
                    format!("the next one is at the {region}, too: ask first; s leaves it out, Space goes on")
                }
                None => format!("Space goes on with {}; f finishes", named(next)),
            },
            None => "Space goes on, f finishes".to_owned(),
        };
        Some((words, then))
    }
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

/// A level that was typed, where it counts for the step before.
pub(super) fn counted_for(level: Level, step: &Step) -> String {
    format!("{level} for {}", named(step))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::{Background, ColourDepth, Theme};

    #[test]
    fn early_on_time_and_late_differ_by_their_signs() {
        let theme = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true };
        let signs = [-60, 0, 60].map(|late| lateness_words(late, theme.glyphs()).1);
        assert_eq!(signs, ["-", "*", "!"]);
        assert!([-5, 5].iter().all(|late| lateness_words(*late, theme.glyphs()).2 == "on time"));
    }
}
