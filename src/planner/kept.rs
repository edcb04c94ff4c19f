//! A block that is done again: as last time, or one that is kept by its name.

use crate::body::Seconds;
use crate::catalogue::{Catalogue, Dose, FormId, StretchId};
use crate::client::{Ended, KeptStep, Session};

use super::plan::Plan;
use super::request::{PlanError, PlanRequest, Wishes};

/// What a plan has, to be kept by a name.
pub fn of_plan(plan: &Plan) -> Vec<KeptStep> {
    let step = |step: &super::Step| KeptStep {
        stretch: step.stretch.clone(),
        form: step.form.clone(),
        side: step.side,
        method: step.dose.method(),
        cycles: match step.dose {
            Dose::Hold(_) => 0,
            Dose::ContractRelax(dose) => dose.cycles,
        },
        held: step.dose.held(),
    };
    plan.steps.iter().map(step).collect()
}

/// What was done in a session.
pub fn of_session(session: &Session) -> Vec<KeptStep> {
    let done = session.reports.values().filter(|report| report.ended == Ended::Done);
    let step = done.map(|report| KeptStep {
        stretch: report.stretch.clone(),
        form: report.form.clone(),
        side: report.side,
        method: report.method,
        cycles: report.cycles,
        held: report.held,
    });
    step.collect()
}

/// The names of its stretches, each once, in the order of work.
pub fn names(steps: &[KeptStep], catalogue: &Catalogue) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for step in steps {
        let found = catalogue.stretch(&step.stretch);
        let name = found.map_or(step.stretch.as_str(), |stretch| &stretch.name);
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

/// A block once more, as far as it may be done today and there is time for it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Again {
    /// What a plan is to be asked with.
    pub wishes: Wishes,
    /// Stretches of it that are left out today, and why.
    pub left: Vec<(StretchId, String)>,
}

/// Works out what a block comes to today: its stretches are insisted on, in their forms and for their seconds; where a
/// form may not be done today another one is taken. What a caution, equipment or consent rules out, and what no longer
/// fits into the minutes, is left out, from the end.
pub fn again(request: &PlanRequest, steps: &[KeptStep]) -> Again {
    let Wishes { no_ease, no_massage, .. } = request.wishes;
    let mut again = Again { wishes: Wishes { no_ease, no_massage, ..Wishes::default() }, left: Vec::new() };
    for (stretch, form, held) in each_once(steps) {
        let mut free = again.wishes.clone();
        free.pinned.push(stretch.clone());
        let mut as_it_was = free.clone();
        as_it_was.forms.insert(stretch.clone(), form.clone());
        as_it_was.doses.insert(stretch.clone(), held);
        let tried = |wishes: Wishes| {
            let asked = PlanRequest { wishes, ..request.clone() };
            fits(&asked).map(|()| asked.wishes)
        };
        match tried(as_it_was).or_else(|_| tried(free)) {
            Ok(wishes) => again.wishes = wishes,
            Err(why) => again.left.push((stretch.clone(), why)),
        }
    }
    again
}

/// Each stretch of a block with its form and its longest side.
fn each_once(steps: &[KeptStep]) -> Vec<(&StretchId, &FormId, Seconds)> {
    let mut all: Vec<(&StretchId, &FormId, Seconds)> = Vec::new();
    for step in steps {
        match all.iter_mut().find(|known| *known.0 == step.stretch) {
            Some(known) => known.2 = known.2.max(step.held),
            None => all.push((&step.stretch, &step.form, step.held)),
        }
    }
    all
}

/// Whether there is a plan with these wishes, or why not.
fn fits(request: &PlanRequest) -> Result<(), String> {
    match super::menu(request) {
        Ok(menu) => {
            let ticks = menu.problem.quickest().map(|(ticks, _)| ticks);
            let has_room = ticks.is_some_and(|ticks| ticks <= menu.problem.horizon);
            has_room.then_some(()).ok_or_else(|| "no room in these minutes".to_owned())
        }
        Err(PlanError::PinnedRuledOut { detail, .. }) => Err(detail),
        Err(error) => Err(error.to_string()),
    }
}
