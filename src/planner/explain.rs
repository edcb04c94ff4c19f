//! What it would cost to force a stretch in, and what each further minute buys.

use crate::body::Minutes;

use super::plan::{Plan, WhyLeftOut};
use super::request::PlanRequest;
use super::search::{Budget, solve};
use super::tariff;

/// Passes for one of many side questions; a value that is not proven by then is not told.
const SIDE: Budget = Budget::passes(400);

/// Fills in what forcing in each stretch that was left out for time would cost the plan, in grains.
pub fn explain_omissions(request: &PlanRequest, plan: &mut Plan) {
    let Ok(menu) = super::menu(request) else { return };
    for omission in plan.left_out.iter_mut().filter(|omission| matches!(omission.reason, WhyLeftOut::Time(_)))
    {
        let Some(index) = menu.stretches.iter().position(|stretch| stretch.id == omission.stretch) else {
            continue;
        };
        let mut forced = menu.problem.clone();
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

/// Grains as points with two decimals.
fn points(grains: i64) -> String {
    let cents = grains * i64::from(tariff::HUNDREDTHS);
    format!("{}.{:02}", cents / 100, cents % 100)
}

/// The best plan at each whole number of minutes from 1 to 20; none where the minutes are too few.
pub fn frontier(request: &PlanRequest) -> Vec<(Minutes, Option<Plan>)> {
    (1..=20)
        .filter_map(|minutes| Minutes::new(minutes).ok())
        .map(|minutes| {
            (minutes, super::plan(&PlanRequest { minutes, progress: None, ..request.clone() }).ok())
        })
        .collect()
}
