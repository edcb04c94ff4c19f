//! The running block said in lines.

use crate::body::Seconds;
use crate::planner::Step;
use crate::session::{Snapshot, Stage};
use crate::tui::event::Now;
use crate::tui::page::{ClockView, Page};
use crate::tui::shared::Shared;
use crate::tui::text;
use crate::tui::words::{all_about, dose_sentence, named, side_words};

use super::words::{LESS, STOP, ease_off, lateness_words, pause_words};
use super::{LiveSheet, State};

/// The stage as it is spoken.
fn stage_words(stage: Stage) -> String {
    match stage {
        Stage::Opening => "Settle".to_owned(),
        Stage::Change { to, .. } => format!("Move, {}", to.plain_name()),
        Stage::SetUp => "Set up".to_owned(),
        Stage::Hold => "Hold".to_owned(),
        Stage::Push { cycle, of } => format!("Push {cycle} of {of}"),
        Stage::Relax { cycle, of } => format!("Relax and go further, {cycle} of {of}"),
        Stage::Massage => "Massage".to_owned(),
        Stage::Waiting => "Waiting".to_owned(),
        Stage::Finished => "Done".to_owned(),
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
        let words = stage_words(phase.stage);
        ClockView {
            id: format!("{} {words}", phase.number),
            phase: words,
            left: phase.left.get(),
            stands: phase.paused.is_some(),
            rest: format!("{}, client {due}", rest_words(&phase)),
        }
    }

    /// The block as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Page {
        let phase = self.live.snapshot(now.moment);
        let mut page = Page::new("the block", format!("The block of {}", self.client.profile.name));
        if let Some(pain) = self.pain_words(&phase, shared) {
            page.questions
                .extend([pain.what, pain.ask, pain.then].into_iter().filter(|words| !words.is_empty()));
        } else {
            page.questions.extend(phase.paused.map(pause_words));
        }
        self.question_lines(&mut page);
        page.about("level");
        if let Some(rated) = phase.rated {
            let of = if phase.rates_last { format!(" for {}", named(rated)) } else { String::new() };
            page.extend(phase.level.map(|level| format!("Level {level}{of}")));
        }
        page.extend(ease_off(&phase));
        page.extend(self.outbox.failed().map(|why| format!("Not saved yet: {}", why.in_a_line())));
        page.about(format!("step {}", phase.number));
        if let Some(step) = phase.step {
            self.step_lines(&phase, step, shared, &mut page);
        }
        page.extend(phase.next.map(|step| {
            let (position, side) = (step.position.plain_name(), side_words(step.side));
            format!("Next: {position}, {side}, {}, {}", step.name, dose_sentence(step.dose))
        }));
        page.about(format!("time at {} of {}, plan {}", phase.number, phase.count, self.job));
        page.quiet(rest_words(&phase));
        if let Some(step) = phase.step.filter(|_| self.in_full.is_some()) {
            page.about("all about it");
            let all = all_about(step, &self.restrictions, shared);
            let more = all.into_iter().filter(|(what, _)| matches!(*what, "Mistakes" | "In force"));
            page.extend(more.map(|(what, words)| format!("{what}: {words}")));
        }
        page.about("cautions");
        page.extend(
            self.restrictions
                .in_force()
                .iter()
                .map(|caution| format!("{}: {}", caution.title, caution.limited)),
        );
        page
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

    fn step_lines(&self, phase: &Snapshot<'_>, step: &Step, shared: &Shared, page: &mut Page) {
        let form =
            shared.catalogue.form(&step.stretch, &step.form).map_or("", |(_, form)| form.name.as_str());
        let form = if form.is_empty() || form == step.name { String::new() } else { format!(", {form}") };
        page.push(format!(
            "Step {} of {}, {}, {}{form}, {}, aim {}",
            phase.number,
            phase.count,
            side_words(step.side),
            step.name,
            dose_sentence(step.dose),
            step.aim
        ));
        let titles: Vec<String> =
            self.restrictions.in_force().iter().map(|caution| caution.title.clone()).collect();
        page.extend((!titles.is_empty()).then(|| format!("Caution: {}", text::list(&titles))));
        page.extend(self.narrowed_words().map(|words| format!("Agreed to: {words}")));
        let all = all_about(step, &self.restrictions, shared);
        let short = ["Watch", "Say", "Hands", "Feet", "Spine"];
        let wanted = all.into_iter().filter(|(what, _)| short.contains(what));
        page.extend(wanted.map(|(what, words)| format!("{what}: {words}")));
    }
}
