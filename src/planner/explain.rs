//! What it would cost to force a stretch in, and what each further minute buys.

use crate::body::Minutes;

use super::plan::{Plan, WhyLeftOut};
use super::request::PlanRequest;
use super::search::{Budget, solve};

/// Passes for one of many side questions; a value that is not proven by then is not told.
const SIDE: Budget = Budget::passes(400);

/// Fills in what forcing in each stretch that was left out for time would cost the plan, in micro-points.
pub fn explain_omissions(ask: &PlanRequest<'_>, plan: &mut Plan) {
    let Ok(prepared) = super::prepared(ask) else { return };
    let Ok(problem) = prepared.instance.problem() else { return };
    for omission in plan.left_out.iter_mut().filter(|omission| matches!(omission.reason, WhyLeftOut::Time(_)))
    {
        let Some(index) = prepared.stretches.iter().position(|stretch| stretch.id == omission.stretch) else {
            continue;
        };
        let mut forced = problem.clone();
        forced.candidates[index].pinned = true;
        match solve(&forced, SIDE) {
            Some(answer) if answer.bound <= answer.value => {
                let cost = plan.value - answer.value;
                omission.reason = WhyLeftOut::Time(Some(cost));
                omission.detail = format!("the time is better spent; forcing it in costs {}", points(cost));
            }
            Some(_) => {}
            None => "it does not fit into the time".clone_into(&mut omission.detail),
        }
    }
}

/// Micro-points as points with two decimals.
fn points(micro: i64) -> String {
    let cents = (micro + 5_000) / 10_000;
    format!("{}.{:02}", cents / 100, cents % 100)
}

/// The best value at each whole number of minutes from 1 to 20, in micro-points.
pub fn frontier(ask: &PlanRequest<'_>) -> Vec<(Minutes, i64)> {
    (1..=20)
        .filter_map(|minutes| Minutes::new(minutes).ok())
        .map(|minutes| {
            let ask = PlanRequest { minutes, progress: None, ..*ask };
            (minutes, super::plan(&ask).map_or(0, |plan| plan.value))
        })
        .collect()
}
