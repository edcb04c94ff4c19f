//! The running block said in lines.

use crate::body::{Level, Seconds};
use crate::planner::Step;
use crate::session::{Snapshot, Stage};
use crate::tui::event::Now;
use crate::tui::page::{ClockView, Page};
use crate::tui::shared::Shared;
use crate::tui::words::{all_about, full_caution, named, side_words};
use crate::tui::{spoken, text};

use super::words::{LESS, STOP, ease_off, lateness_words, moving_words, pause_words};
use super::{LiveSheet, State};

/// The stage as it is told.
const fn stage_words(stage: Stage) -> &'static str {
    match stage {
        Stage::Opening | Stage::SetUp => "Ready",
        Stage::Change { .. } => "Move",
        Stage::Hold => "Hold",
        Stage::Push { .. } => "Push",
        Stage::Relax { .. } => "Further",
        Stage::Massage => "Massage",
        Stage::Waiting => "Waiting for you",
        Stage::Finished => "Up",
    }
}

/// What is said as a stage begins: of what is made ready its step was said before.
fn beginning(phase: &Snapshot<'_>) -> String {
    match phase.stage {
        Stage::Hold => "Hold.".to_owned(),
        Stage::Push { cycle, of } if cycle == of && of > 1 => "Push, last.".to_owned(),
        Stage::Push { .. } => "Push.".to_owned(),
        Stage::Relax { .. } => "Further.".to_owned(),
        Stage::Massage => format!("Massage, {}.", spoken::length(phase.left)),
        Stage::Waiting => "Nothing planned is left. Finish, or say how many minutes.".to_owned(),
        Stage::Opening | Stage::Change { .. } | Stage::SetUp | Stage::Finished => String::new(),
    }
}

/// What is left of the block, and how well it fits.
fn rest_words(phase: &Snapshot<'_>) -> String {
    format!("{} left, {}", phase.remaining, lateness_words(phase.lateness))
}

impl State {
    /// The countdown.
    pub fn clock(&self, now: Now) -> ClockView {
        let phase = self.live.snapshot(now.moment);
        let due = Seconds::new(phase.until_due.unsigned_abs());
        let due = if phase.until_due >= 0 { format!("up in {due}") } else { format!("due up {due} ago") };
        ClockView {
            id: format!("{} {:?}", phase.number, phase.stage),
            phase: stage_words(phase.stage).to_owned(),
            left: phase.left.get(),
            length: phase.length.get(),
            begins: beginning(&phase),
            is_counted: phase.stage.is_work() || phase.stage == Stage::Massage,
            stands: phase.paused.is_some(),
            rest: format!("{}, client {due}", rest_words(&phase)),
        }
    }

    /// The block as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let phase = self.live.snapshot(now.moment);
        let mut page = Page::new("the block", format!("The block of {}", self.client.profile.name));
        let is_hurt = self.live.stopped_for_pain().is_some();
        match phase.paused {
            Some(_) if is_hurt => page.questions.extend(self.spoken_pain(&phase, shared)),
            paused => page.questions.extend(paused.map(pause_words)),
        }
        self.question_lines(&mut page);
        if phase.is_asked && phase.level.is_none() && phase.paused.is_none() {
            page.ask("Up. One to five?");
        }
        page.about("level");
        page.extend(self.level_words(&phase, shared.brief));
        page.extend(ease_off(&phase));
        page.extend(self.outbox.failed().map(|why| format!("Not saved: {}", why.in_a_line())));
        page.about("consent");
        page.extend(self.narrowed_words());
        page.about(format!("step {}", phase.number));
        // After pain the next step is said when it is gone on with.
        if let Some(step) = phase.step.filter(|_| !is_hurt) {
            self.step_lines(&phase, step, shared.brief, &mut page);
        }
        page.aside("pain");
        page.extend(self.pain_words(&phase, shared).map(|pain| pain.what));
        page.aside("time");
        page.push(format!("Step {} of {}", phase.number, phase.count));
        page.push(rest_words(&phase));
        page.extend(phase.next.map(|step| {
            let (position, side) = (step.position.plain_name(), side_words(step.side));
            format!("Next: {position}, {side}, {}, {}", step.name, spoken::dose(step.dose))
        }));
        page.aside("the stretch");
        if let Some(step) = phase.step {
            let all = all_about(step, &self.restrictions, shared);
            page.extend(all.into_iter().map(|(what, words)| format!("{what}: {words}")));
        }
        page.aside("cautions");
        let in_force = self.restrictions.in_force().iter();
        page.extend(in_force.map(|caution| format!("Caution: {}", full_caution(caution))));
        page
    }

    /// What was stopped for pain, and what there is to do.
    fn spoken_pain(&self, phase: &Snapshot<'_>, shared: &Shared) -> Vec<String> {
        let Some(hurt) = self.live.stopped_for_pain() else { return Vec::new() };
        let of_it = |(step, _): &(&Step, _)| step.stretch == hurt.step.stretch && step.side == hurt.step.side;
        let report = self.live.steps().find(of_it).and_then(|(_, report)| report);
        let held = report.map_or(Seconds::ZERO, |report| report.held);
        let saved = self.saved_words();
        let mut lines = vec![
            format!("Ease out. Pain {saved}: {}, at {}.", named(hurt.step), spoken::length(held)),
            "Ask where, and what kind.".to_owned(),
        ];
        let left_out = u32::try_from(hurt.left_out.len()).unwrap_or(u32::MAX);
        if left_out > 0 {
            lines.push(text::capitalised(&format!("{} left out for it.", spoken::number(left_out))));
        }
        lines.extend(self.pain_words(phase, shared).map(|pain| pain.then).filter(|then| !then.is_empty()));
        lines.push("Go on, finish, or slip?".to_owned());
        lines
    }

    /// The answer, and whether it is on the disk.
    fn level_words(&self, phase: &Snapshot<'_>, is_brief: bool) -> Option<String> {
        let (level, rated) = (phase.level?, phase.rated?);
        if is_brief && (!phase.rates_last || self.outbox.is_idle()) {
            return Some(format!("{level}."));
        }
        let saved = self.saved_word();
        Some(match (phase.rates_last, self.outbox.is_idle()) {
            (false, _) => format!("{level}, {saved} when this hold ends."),
            (true, true) => format!("{level} {saved} for {}.", named(rated)),
            (true, false) => format!("{level} for {}, not saved yet.", named(rated)),
        })
    }

    fn question_lines(&self, page: &mut Page) {
        let (what, answers, marked) = match self.sheet {
            LiveSheet::Nothing => return,
            LiveSheet::Less(marked) => ("What is still fine?", &LESS[..], marked),
            LiveSheet::Stop(marked) => ("Hands off. The clock stands. Nothing is noted.", &STOP[..], marked),
        };
        if marked {
            page.ask("Consent taken back. Enter notes it with the time.");
        } else {
            let answers: Vec<String> = answers.iter().map(|(key, words)| format!("{key} {words}")).collect();
            page.ask(format!("{what} {}", answers.join(", ")));
        }
    }

    /// The next position, the side, the stretch and its dose; nothing that can wait until it is asked for.
    fn step_lines(&self, phase: &Snapshot<'_>, step: &Step, is_brief: bool, page: &mut Page) {
        // A line of its own, since it is over before the stretch begins.
        page.extend(
            match phase.stage {
                Stage::Change { from, to } if from != Some(to) => Some(moving_words(from, to)),
                Stage::Opening | Stage::SetUp if phase.number == 1 => Some(step.position.plain_name()),
                _ => None,
            }
            .map(|words| format!("{}.", text::capitalised(words))),
        );
        let before = phase.number.checked_sub(2).and_then(|index| self.live.steps().nth(index));
        let before = before.map(|(step, _)| step).filter(|before| before.stretch == step.stretch);
        let (side, dose) = (side_words(step.side), spoken::dose(step.dose));
        let last = if phase.next.is_none() { "Last. " } else { "" };
        let what = match before.filter(|before| before.form == step.form && before.side != step.side) {
            Some(before) if before.dose == step.dose => format!("Same, {side}."),
            Some(_) => format!("Same, {side}. {}.", text::capitalised(&dose)),
            None if is_brief => format!("{}. {}.", text::capitalised(side), step.name),
            None => format!("{}. {}, {dose}.", text::capitalised(side), step.name),
        };
        let aim = if step.aim == Level::AIM { String::new() } else { format!(" Aim {}.", step.aim) };
        page.push(format!("{last}{what}{aim}"));
    }
}
