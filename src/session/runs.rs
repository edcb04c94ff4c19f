//! All steps of a block in order, what has come of each, and the numbers of their reports.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Index;
use std::slice::Iter;
use std::time::Duration;

use crate::body::{Degrees, Level, Muscle, Seconds, Unit};
use crate::catalogue::{Catalogue, FormId, Helper, StretchId, Target};
use crate::client::{Ended, Report};
use crate::planner::{Plan, Step};

use super::countdown::Moment;
use super::interrupted::units;
use super::message::Outcome;
use super::step_run::StepRun;

/// The steps, those that are over included. They are read by number, and written by what happens to them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Runs {
    steps: Vec<StepRun>,
    /// How many there ever were.
    ids: u32,
    massage: Seconds,
    /// The step that was stretched last, by the number of its own.
    last: Option<u32>,
    /// What was done before the block was cut off.
    earlier: BTreeMap<u32, Report>,
    forms: BTreeMap<(StretchId, FormId), (Vec<Target>, Helper)>,
}

impl Index<usize> for Runs {
    type Output = StepRun;

    fn index(&self, index: usize) -> &StepRun {
        &self.steps[index]
    }
}

impl Runs {
    pub(super) fn of_plan(plan: &Plan) -> Self {
        let mut runs = Self {
            steps: Vec::new(),
            ids: 0,
            massage: plan.massage,
            last: None,
            earlier: BTreeMap::new(),
            forms: BTreeMap::new(),
        };
        runs.append(StepRun::of_plan(plan, plan.opening));
        runs
    }

    /// Numbers new reports after these.
    pub(super) fn follow(&mut self, earlier: BTreeMap<u32, Report>) {
        self.earlier = earlier;
    }

    /// Learns what counts of a hold for each muscle, and which forms need no hands.
    pub(super) fn learn(&mut self, catalogue: &Catalogue) {
        for stretch in catalogue.stretches() {
            for form in &stretch.forms {
                let key = (stretch.id.clone(), form.id.clone());
                self.forms.insert(key, (form.targets.clone(), form.helper));
            }
        }
    }

    pub(super) fn iter(&self) -> Iter<'_, StepRun> {
        self.steps.iter()
    }

    pub(super) const fn len(&self) -> usize {
        self.steps.len()
    }

    pub(super) const fn massage(&self) -> Seconds {
        self.massage
    }

    /// The step that was stretched last.
    pub(super) fn last(&self) -> Option<usize> {
        self.at(self.last?)
    }

    pub(super) const fn earlier(&self) -> &BTreeMap<u32, Report> {
        &self.earlier
    }

    /// The first step from `from` on that is still to come.
    pub(super) fn next_from(&self, from: usize) -> Option<usize> {
        (from..self.steps.len()).find(|&index| self.steps[index].is_to_come())
    }

    /// The next step after `at` that is still to come.
    pub(super) fn next_after(&self, at: usize) -> Option<usize> {
        self.next_from(at + 1)
    }

    /// Time that the steps after `at` which are to come take, and the massage.
    pub(super) fn length_after(&self, at: usize) -> Seconds {
        let to_come = self.steps[at + 1..].iter().filter(|run| run.is_to_come());
        to_come.map(StepRun::length).sum::<Seconds>() + self.massage
    }

    /// Every report so far by its number.
    pub(super) fn reports(&self) -> BTreeMap<u32, Report> {
        let new = self.steps.iter().filter_map(|run| run.reported.clone());
        self.earlier.clone().into_iter().chain(new).collect()
    }

    pub(super) fn begin(&mut self, at: usize, now: Moment) {
        self.steps[at].begun = Some(now);
    }

    /// Counts time under stretch.
    pub(super) fn hold(&mut self, at: usize, span: Duration) {
        self.steps[at].held += span;
    }

    /// Counts a cycle of contract-relax.
    pub(super) fn finish_cycle(&mut self, at: usize) {
        self.steps[at].cycles = self.steps[at].cycles.saturating_add(1);
    }

    /// Takes the client's answer, or takes it back; an amended report if there was one.
    ///
    /// What was left after a while and is answered is reported at once: an answer must not be lost.
    pub(super) fn rate(&mut self, at: usize, level: Option<Level>) -> Option<Outcome> {
        self.steps[at].level = level;
        match self.steps[at].over.filter(|_| self.steps[at].is_answered_and_left()) {
            Some(over) => self.close(at, Ended::Skipped, over),
            None => self.tell(at),
        }
    }

    /// Takes a measured angle, or takes it back; an amended report if there was one.
    pub(super) fn measure(&mut self, at: usize, angle: Option<Degrees>) -> Option<Outcome> {
        self.steps[at].angle = angle;
        self.tell(at)
    }

    /// Ends a step and reports it, or amends its report if it has one.
    pub(super) fn close(&mut self, at: usize, ended: Ended, now: Moment) -> Option<Outcome> {
        let run = &mut self.steps[at];
        run.over = Some(now);
        // Breaking off what was done once already does not undo it.
        if !(run.reopened && matches!(ended, Ended::Skipped | Ended::CutOff)) {
            run.ended = Some(ended);
        }
        run.reopened = false;
        run.left = false;
        if !run.held.is_zero() {
            self.last = Some(run.id);
        }
        self.tell(at)
    }

    /// Leaves a step out for now; a report if it has an answer.
    pub(super) fn leave(&mut self, at: usize, now: Moment) -> Option<Outcome> {
        let run = &mut self.steps[at];
        run.left = true;
        run.over = Some(now);
        if run.is_answered_and_left() { self.close(at, Ended::Skipped, now) } else { None }
    }

    /// A step that was left is to be done after all, from where it stood; what was written of it is amended.
    pub(super) fn take_up(&mut self, id: u32, ended: Option<Ended>, reopened: bool) -> Option<Outcome> {
        let at = self.at(id)?;
        let run = &mut self.steps[at];
        run.left = false;
        (run.ended, run.reopened) = (ended, reopened);
        self.amend(at, Ended::CutOff)
    }

    /// Notes every step that was left out.
    pub(super) fn note_left(&mut self) -> Vec<Outcome> {
        let last = self.last;
        let mut outcomes = Vec::new();
        for at in 0..self.steps.len() {
            if let Some(over) = self.steps[at].over.filter(|_| self.steps[at].left) {
                outcomes.extend(self.close(at, Ended::Skipped, over));
            }
        }
        self.last = last;
        outcomes
    }

    /// Reports a step that has ended, or amends its report if it says something else now.
    fn tell(&mut self, at: usize) -> Option<Outcome> {
        let ended = self.steps[at].outcome()?;
        self.write(at, ended)
    }

    fn write(&mut self, at: usize, ended: Ended) -> Option<Outcome> {
        let report = self.steps[at].report(ended);
        let old = self.steps[at].reported.as_ref();
        if old.is_some_and(|(_, old)| *old == report) {
            return None;
        }
        let old = old.map(|(number, _)| *number);
        let number = old.unwrap_or_else(|| self.last_number() + 1);
        self.steps[at].reported = Some((number, report.clone()));
        Some(match old {
            Some(_) => Outcome::Amend(number, report),
            None => Outcome::Report(number, report),
        })
    }

    /// Everything as it was, but for what was written since and what the client answered.
    pub(super) fn restore(&mut self, steps: Vec<StepRun>) {
        let written = std::mem::replace(&mut self.steps, steps);
        for run in &mut self.steps {
            let Some(now) = written.iter().find(|now| now.id == run.id) else { continue };
            run.reported.clone_from(&now.reported);
            (run.level, run.angle) = (now.level, now.angle);
        }
    }

    /// Amends what was written of a step that goes on after all, as far as it has come.
    pub(super) fn amend(&mut self, at: usize, so_far: Ended) -> Option<Outcome> {
        self.steps[at].reported.as_ref()?;
        self.write(at, self.steps[at].outcome().unwrap_or(so_far))
    }

    /// A step that was stopped for pain was stopped for something else.
    pub(super) fn without_pain(&mut self, at: usize, ended: Ended) -> Option<Outcome> {
        self.steps[at].ended = Some(ended);
        self.tell(at)
    }

    fn last_number(&self) -> u32 {
        let new = self.steps.iter().filter_map(|run| run.reported.as_ref()).map(|(number, _)| *number).max();
        new.max(self.earlier.keys().next_back().copied()).unwrap_or(0)
    }

    /// A word why a step is not done, for the report to come.
    pub(super) fn note(&mut self, at: usize, why: &str) {
        why.clone_into(&mut self.steps[at].note);
    }

    /// Takes that word back; an amended report if it was in one.
    pub(super) fn unnote(&mut self, at: usize) -> Option<Outcome> {
        self.steps[at].note.clear();
        self.tell(at)
    }

    /// The step that a level is for if none is being worked.
    pub(super) fn ask_about(&mut self, at: usize) {
        self.last = Some(self.steps[at].id);
    }

    /// Leaves the way that was not gone to the next step, if there is one.
    pub(super) fn owe_after(&mut self, at: usize, owed: Seconds) -> Option<(u32, Seconds)> {
        let next = self.next_after(at)?;
        self.steps[next].owed += owed;
        Some((self.steps[next].id, owed))
    }

    /// Takes back what was left of a way.
    pub(super) fn owe_less(&mut self, id: u32, owed: Seconds) {
        if let Some(at) = self.at(id) {
            self.steps[at].owed = self.steps[at].owed.saturating_sub(owed);
        }
    }

    /// A step is to be done again, so far away.
    pub(super) fn reopen(&mut self, at: usize, way: Seconds) {
        let run = &mut self.steps[at];
        run.gap = way;
        run.owed = Seconds::ZERO;
        run.reopened = run.ended.is_some();
    }

    /// Settles which steps stay when the rest is planned again.
    pub(super) fn commit(&mut self, mut stays: impl FnMut(usize, &StepRun) -> bool) {
        for (index, run) in self.steps.iter_mut().enumerate() {
            run.committed = stays(index, run);
        }
    }

    /// How long the way to a step is, with what is owed of the ways before it.
    pub(super) fn set_way(&mut self, at: usize, way: Seconds) {
        let run = &mut self.steps[at];
        run.owed = way.saturating_sub(run.gap);
    }

    pub(super) const fn set_massage(&mut self, massage: Seconds) {
        self.massage = massage;
    }

    /// Drops what is to come but for what is wanted; what was begun once stays, is over, and is reported as it is.
    pub(super) fn keep_only(&mut self, wanted: impl Fn(usize, &StepRun) -> bool) -> Vec<Outcome> {
        let is_dropped = |(at, run): &(usize, &StepRun)| run.is_to_come() && !wanted(*at, run);
        let dropped: BTreeSet<u32> =
            self.steps.iter().enumerate().filter(is_dropped).map(|(_, run)| run.id).collect();
        let mut outcomes = Vec::new();
        for at in 0..self.steps.len() {
            let run = &mut self.steps[at];
            if dropped.contains(&run.id) && (run.reported.is_some() || !run.held.is_zero()) {
                run.ended.get_or_insert(Ended::Skipped);
                run.reopened = false;
                run.over = run.over.max(run.begun);
                outcomes.extend(self.tell(at));
            }
        }
        self.steps.retain(|run| run.ended.is_some() || !dropped.contains(&run.id));
        outcomes
    }

    pub(super) fn append(&mut self, rest: Vec<StepRun>) {
        for mut run in rest {
            self.ids += 1;
            run.id = self.ids;
            self.steps.push(run);
        }
    }

    /// Where the step with that number of its own is now, from 0.
    pub(super) fn at(&self, id: u32) -> Option<usize> {
        self.steps.iter().position(|run| run.id == id)
    }

    /// What counts of a hold for each muscle of a step, in hundredths.
    pub(super) fn shares(&self, step: &Step) -> Vec<Target> {
        self.targets(&step.stretch, &step.form)
            .unwrap_or_else(|| step.muscles.iter().map(|&muscle| Target { muscle, share: 100 }).collect())
    }

    /// What counts of a hold for each muscle of a form that is known.
    pub(super) fn targets(&self, stretch: &StretchId, form: &FormId) -> Option<Vec<Target>> {
        self.forms.get(&(stretch.clone(), form.clone())).map(|(targets, _)| targets.clone())
    }

    /// Stretches any form of which reaches one of these muscles, as far as the catalogue is known.
    pub(super) fn reaching(&self, muscles: &BTreeSet<Muscle>) -> BTreeSet<StretchId> {
        let reaches = |targets: &[Target]| targets.iter().any(|target| muscles.contains(&target.muscle));
        self.forms.iter().filter(|(_, form)| reaches(&form.0)).map(|((id, _), _)| id.clone()).collect()
    }

    /// Whether the trainer's hands are on the client in a step.
    pub(super) fn is_hands_on(&self, step: &Step) -> bool {
        let form = self.forms.get(&(step.stretch.clone(), step.form.clone()));
        form.is_none_or(|(_, helper)| *helper == Helper::Assisted)
    }

    /// The muscles that a step reaches, each on its side.
    pub(super) fn units(&self, step: &Step) -> BTreeSet<Unit> {
        units(&self.shares(step), step.side).collect()
    }

    /// The muscles in which a stretch was stopped for pain, before the block was cut off included.
    pub(super) fn sore(&self) -> BTreeSet<Unit> {
        let now = self.steps.iter().filter(|run| run.ended == Some(Ended::Pain));
        let mut sore: BTreeSet<Unit> = now.flat_map(|run| self.units(&run.step)).collect();
        for report in self.earlier.values().filter(|report| report.ended == Ended::Pain) {
            let targets = self.targets(&report.stretch, &report.form).unwrap_or_default();
            sore.extend(units(&targets, report.side));
        }
        sore
    }

    /// Whether the stretch of a step was stopped for pain on either side, or reaches a muscle that hurt.
    pub(super) fn is_barred(&self, at: usize) -> bool {
        let step = &self.steps[at].step;
        let stopped = |run: &StepRun| run.ended == Some(Ended::Pain) && run.step.stretch == step.stretch;
        self.steps.iter().any(stopped) || !self.units(step).is_disjoint(&self.sore())
    }

    /// Whether whatever is over has told its report, each once, and no more is held than so much time.
    pub(super) fn is_sound(&self, passed: Duration) -> bool {
        let numbers: Vec<u32> =
            self.steps.iter().filter_map(|run| run.reported.as_ref()).map(|(number, _)| *number).collect();
        let once: BTreeSet<u32> = numbers.iter().copied().collect();
        self.steps.iter().map(|run| run.held).sum::<Duration>() <= passed
            && self.steps.iter().all(|run| run.ended.is_none() || run.reported.is_some())
            && once.len() == numbers.len()
            && once.iter().all(|number| !self.earlier.contains_key(number))
    }
}
