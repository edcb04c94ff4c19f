//! A block that was cut off: what it has done, what it still owes, and a plan for the rest with that in front.

use std::collections::BTreeSet;

use crate::body::{Minutes, Muscle, Seconds, Side, Unit};
use crate::catalogue::{Catalogue, Form, Helper, Position, StretchId, Target};
use crate::caution::Restrictions;
use crate::client::{Consent, Ended, Report, Session};
use crate::planner::{Plan, Progress, Step, Why, WorkDone, step_load, way};

/// The muscles of a form, each on the side that is worked.
pub(super) fn units(targets: &[Target], side: Option<Side>) -> impl Iterator<Item = Unit> {
    let sides = Side::ALL.iter().filter(move |worked| side.is_none_or(|side| side == **worked));
    sides.flat_map(move |&side| targets.iter().map(move |target| Unit { muscle: target.muscle, side }))
}

/// What is left to be done of a session that was cut off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Interrupted {
    /// The other sides of what was done on one side, laid out from the moment of going on.
    owed: Vec<Step>,
    /// Seconds that they take.
    taken: Seconds,
    /// How many more there are that do not fit.
    unfit: usize,
    /// What the rest is to be planned with.
    progress: Progress,
}

impl Interrupted {
    /// What a session has done and owes, if it has `left` until the client stands up.
    ///
    /// Other sides that do not fit any more are not owed, nor are those that a caution, the consent, the trainer or
    /// pain rules out now. `older` makes the ways longer, as in a plan.
    pub fn of(
        session: &Session,
        (consent, skipped): (Consent, &[StretchId]),
        left: Seconds,
        older: bool,
        catalogue: &Catalogue,
        restrictions: &Restrictions,
    ) -> Self {
        let reports = || session.reports.values();
        let form_of = |report: &Report| catalogue.form(&report.stretch, &report.form).map(|(_, form)| form);
        let mut done: Vec<WorkDone> = Vec::new();
        let mut sore: BTreeSet<Unit> = BTreeSet::new();
        let mut at: Option<(Position, Option<Side>)> = None;
        for report in reports() {
            let Some(form) = form_of(report) else { continue };
            done.push(report.into());
            if report.ended == Ended::Pain {
                sore.extend(units(&form.targets, report.side));
            }
            at = Some((form.position, report.side));
        }
        // What needs no other position comes first.
        let mut owing: Vec<(&Report, &Form)> = reports()
            .filter(|report| is_owing(report, session) && !skipped.contains(&report.stretch))
            .filter_map(|report| Some((report, form_of(report)?)))
            .collect();
        owing.sort_by_key(|(_, form)| at.is_some_and(|at| at.0 != form.position));
        let mut owed: Vec<Step> = Vec::new();
        let (mut taken, mut unfit) = (Seconds::ZERO, 0);
        for (report, form) in owing {
            let Some(side) = report.side.map(Side::other) else { continue };
            let barred = units(&form.targets, Some(side)).any(|unit| sore.contains(&unit))
                || (consent != Consent::HandsOn && form.helper == Helper::Assisted);
            let gap = way(at, (form.position, Some(side)), older);
            let Some(step) = other_side(report, form, side, session, catalogue, restrictions) else {
                continue;
            };
            let start = taken + gap;
            let end = start + step.setup + step.dose.length();
            if barred || end > left {
                unfit += usize::from(!barred);
                continue;
            }
            done.push(WorkDone::of_step(&step, step.dose.held()));
            owed.push(Step { start, end, ..step });
            (taken, at) = (end, Some((form.position, Some(side))));
        }
        let hurt: BTreeSet<Muscle> = sore.into_iter().map(|unit| unit.muscle).collect();
        let hurts = |form: &Form| form.targets.iter().any(|target| hurt.contains(&target.muscle));
        let mut finished: Vec<_> = reports()
            .filter(|report| !matches!(report.ended, Ended::Withdrawn | Ended::CutOff))
            .map(|report| report.stretch.clone())
            .collect();
        let barred = catalogue.stretches().iter().filter(|stretch| stretch.forms.iter().any(hurts));
        finished.extend(barred.map(|stretch| stretch.id.clone()));
        finished.sort();
        finished.dedup();
        done.retain(|done| done.held > Seconds::ZERO);
        let progress =
            Progress { done, position: at.map(|at| at.0), left: left.saturating_sub(taken), finished };
        Self { owed, taken, unfit, progress }
    }

    /// What the rest behind the owed sides is to be planned with.
    pub const fn progress(&self) -> &Progress {
        &self.progress
    }

    /// How many other sides are to be done, and how many more do not fit.
    pub fn owes(&self) -> (usize, usize) {
        (self.owed.len(), self.unfit)
    }

    /// The owed sides with the plan of the rest behind them; without one, the owed sides alone.
    pub fn before(&self, rest: Option<Plan>, minutes: Minutes) -> Plan {
        let mut plan = rest.unwrap_or_else(|| Plan {
            minutes,
            budget: self.progress.left,
            opening: Seconds::ZERO,
            steps: Vec::new(),
            massage: Seconds::ZERO,
            total: Seconds::ZERO,
            value: 0,
            bound: 0,
            left_out: Vec::new(),
        });
        for step in &mut plan.steps {
            step.start += self.taken;
            step.end += self.taken;
        }
        plan.steps.splice(0..0, self.owed.iter().cloned());
        plan.budget += self.taken;
        plan.total += self.taken;
        // What was done before is not left out now.
        plan.left_out.retain(|left| !self.progress.finished.contains(&left.stretch));
        plan
    }
}

/// Whether a stretch was done on a side, or broken off after so long that the other side wants as much; the 5 s are our
/// judgement.
pub(super) fn was_tried(ended: Ended, held: Seconds) -> bool {
    const TRIED: Seconds = Seconds::new(5);
    match ended {
        Ended::Done => held > Seconds::ZERO,
        Ended::Skipped => held >= TRIED,
        _ => false,
    }
}

/// Whether a stretch was done on one side and nothing was said of the other one.
fn is_owing(report: &Report, session: &Session) -> bool {
    // What the program was left in the middle of is begun anew.
    let over = || session.reports.values().filter(|other| other.ended != Ended::CutOff);
    let of_it = || over().filter(|other| other.stretch == report.stretch);
    was_tried(report.ended, report.held)
        && report.side.is_some_and(|side| of_it().all(|other| other.side == Some(side)))
        && of_it().all(|other| was_tried(other.ended, other.held))
        && of_it().next_back() == Some(report)
}

/// The same stretch on the other side, for as long as the first one, as far as the cautions let it.
fn other_side(
    report: &Report,
    form: &Form,
    side: Side,
    session: &Session,
    catalogue: &Catalogue,
    restrictions: &Restrictions,
) -> Option<Step> {
    if !form.workings().contains(&Some(side)) {
        return None;
    }
    let stretch = catalogue.stretch(&report.stretch)?;
    let way = restrictions.permit(stretch, form, Some(side), report.method).ok()?;
    let dose = way.doses().min_by_key(|dose| dose.held().get().abs_diff(report.held.get()))?;
    let reached = form.targets.iter().map(|target| target.muscle);
    let trained: Vec<Muscle> =
        reached.clone().filter(|muscle| session.trained.contains_key(muscle)).collect();
    Some(Step {
        start: Seconds::ZERO,
        end: Seconds::ZERO,
        stretch: report.stretch.clone(),
        name: stretch.name.clone(),
        form: report.form.clone(),
        side: Some(side),
        load: step_load(form, dose, None),
        position: form.position,
        setup: form.setup,
        dose,
        aim: way.aim(),
        motions: form.motions.clone(),
        other_side: form.other_side.clone(),
        muscles: if trained.is_empty() { reached.collect() } else { trained },
        why: vec![Why::Owed(side.other())],
    })
}
