//! The running block said in lines.

use crate::body::{Level, Seconds};
use crate::catalogue::Position;
use crate::planner::Step;
use crate::planner::words::why;
use crate::session::{Snapshot, Stage};
use crate::tui::event::Now;
use crate::tui::page::{ClockView, Page};
use crate::tui::shared::Shared;
use crate::tui::words::{all_about, caution_lines, named, side_words, spoken_step};
use crate::tui::{spoken, text};

use super::words::{self, LESS, STOP, ease_off, lateness_words, moving_words, pause_words};
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

/// How the client gets into the first position.
fn first_words(to: Position) -> &'static str {
    if to == Position::Seated { "sit down" } else { moving_words(None, to) }
}

/// A position in the one word that there is time for.
const fn brief_position(position: Position) -> &'static str {
    match position {
        Position::Supine => "supine",
        Position::SideLying => "side",
        Position::Prone => "prone",
        Position::Kneeling => "kneel",
        Position::Seated => "sit",
        Position::Standing => "stand",
    }
}

/// A name of many words up to where it says how and where.
fn brief_name(name: &str) -> String {
    /// Words that are heard in a moment.
    const MOST: usize = 4;
    const HOW: [&str; 8] = ["at", "on", "in", "by", "to", "over", "across", "with"];
    let is_long = |words: &str| words.split(' ').count() > MOST;
    let short = if is_long(name) { name.split(", ").next().unwrap_or(name) } else { name };
    let words: Vec<&str> = short.split(' ').collect();
    let end = if is_long(short) {
        words.iter().skip(2).position(|word| HOW.contains(word)).map(|at| at + 2)
    } else {
        None
    };
    words[..end.unwrap_or(words.len()).min(MOST)].join(" ")
}

/// A step by its short name and side.
fn brief_named(step: &Step) -> String {
    format!("{}, {}", brief_name(&step.name), side_words(step.side))
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
        let whose = format!("The block of {}", self.client.profile.name);
        let mut page = Page::new("the block", if shared.brief { "Saved.".to_owned() } else { whose });
        let is_hurt = self.live.stopped_for_pain().is_some();
        match phase.paused {
            Some(_) if is_hurt => page.questions.extend(self.spoken_pain(&phase, shared)),
            paused => page.questions.extend(paused.map(|paused| pause_words(paused, shared.brief))),
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
        page.extend(words::narrowed(&self.live, &self.session));
        page.about(format!("step {}", phase.number));
        // After pain the next step is said when it is gone on with.
        if let Some(step) = phase.step.filter(|_| !is_hurt) {
            self.step_lines(&phase, step, shared.brief, &mut page);
        }
        page.aside("pain");
        page.extend(words::pain(&self.live, &phase, shared).map(|pain| pain.what));
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
        page.extend(phase.step.map(|step| format!("Why: {}", why(&step.why))));
        page.aside("cautions");
        page.extend(caution_lines(&self.restrictions));
        let here = phase.step.into_iter().chain(self.live.to_come());
        page.aside_list("steps", here.map(spoken_step).collect());
        page
    }

    /// What was stopped for pain, and what there is to do.
    fn spoken_pain(&self, phase: &Snapshot<'_>, shared: &Shared) -> Vec<String> {
        /// The most words of it: our judgement, by three words a second.
        const MOST: usize = 35;
        let Some(hurt) = self.live.stopped_for_pain() else { return Vec::new() };
        let of_it = |(step, _): &(&Step, _)| step.stretch == hurt.step.stretch && step.side == hurt.step.side;
        let report = self.live.steps().find(of_it).and_then(|(_, report)| report);
        let held = report.map_or(Seconds::ZERO, |report| report.held);
        let saved = self.saved_words();
        let when = if held == Seconds::ZERO {
            "before its hold".to_owned()
        } else {
            format!("at {}", spoken::length(held))
        };
        let what = format!("Ease out. Pain {saved}: {}, {when}.", named(hurt.step));
        let (ask, then) = ("Ask where, and what kind.".to_owned(), "Go on, finish, or slip?".to_owned());
        let left_out = u32::try_from(hurt.left_out.len()).unwrap_or(u32::MAX);
        let left_out = text::capitalised(&format!("{} left out for it.", spoken::number(left_out)));
        let next =
            words::pain(&self.live, phase, shared).map(|pain| pain.then).filter(|then| !then.is_empty());
        // What gives way where there are too many words: what is left out, then what is next.
        let count = |line: &String| line.split(' ').count();
        let mut said = [&what, &ask, &then].map(count).iter().sum::<usize>();
        let mut fits = |line: &String| {
            let is_short = said + count(line) <= MOST;
            said += if is_short { count(line) } else { 0 };
            is_short
        };
        let next = next.filter(&mut fits);
        let left_out = Some(left_out).filter(|_| !hurt.left_out.is_empty()).filter(&mut fits);
        [Some(what), Some(ask), left_out, next, Some(then)].into_iter().flatten().collect()
    }

    /// The answer, and whether it is on the disk.
    fn level_words(&self, phase: &Snapshot<'_>, is_brief: bool) -> Option<String> {
        let (level, rated) = (phase.level?, phase.rated?);
        let (is_saved, saved) = (self.outbox.is_idle(), self.saved_word());
        Some(match (phase.rates_last, is_saved) {
            (false, _) | (true, true) if is_brief => format!("{level}."),
            (false, _) => format!("{level}, {saved} when this hold ends."),
            // Another hold has begun: what it was for is said too.
            (true, true) if phase.stage.is_work() => format!("{level} {saved} for {}.", brief_named(rated)),
            (true, true) => format!("{level} {saved}."),
            (true, false) => format!("{level}, not saved yet."),
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
                Stage::Change { from, to } if phase.number > 1 && from != Some(to) && is_brief => {
                    Some(brief_position(to))
                }
                Stage::Change { from, to } if phase.number > 1 && from != Some(to) => {
                    Some(moving_words(from, to))
                }
                // In the same words until the first hold: they are said once.
                stage if phase.number == 1 && !stage.is_work() && is_brief => {
                    Some(brief_position(step.position))
                }
                stage if phase.number == 1 && !stage.is_work() => Some(first_words(step.position)),
                _ => None,
            }
            .map(|words| format!("{}.", text::capitalised(words))),
        );
        let before = phase.number.checked_sub(2).and_then(|index| self.live.steps().nth(index));
        let before = before.map(|(step, _)| step).filter(|before| before.stretch == step.stretch);
        let (side, dose) = (side_words(step.side), spoken::dose(step.dose));
        let last = if phase.next.is_none() && !is_brief { "Last. " } else { "" };
        let what = match before.filter(|before| before.form == step.form && before.side != step.side) {
            Some(before) if before.dose == step.dose || is_brief => format!("Same, {side}."),
            Some(_) => format!("Same, {side}. {}.", text::capitalised(&dose)),
            None if is_brief => format!("{}. {}.", text::capitalised(side), brief_name(&step.name)),
            None => format!("{}. {}, {dose}.", text::capitalised(side), step.name),
        };
        let aim = if step.aim == Level::AIM { String::new() } else { format!(" Aim {}.", step.aim) };
        page.push(format!("{last}{what}{aim}"));
    }
}
