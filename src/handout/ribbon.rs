//! The minutes of a closing block as one line of characters, to scale.

use crate::body::{Seconds, Side};
use crate::planner::Plan;

/// Draws the plan on `width` columns: `<` left, `>` right, `=` both sides, `~` massage, `.` between them.
///
/// The second line names each position under the column at which it begins; a name that has no room is left out.
pub fn ribbon(plan: &Plan, width: usize) -> [String; 2] {
    let column = |at: Seconds| {
        let budget = usize::try_from(plan.budget.get()).unwrap_or(1).max(1);
        (usize::try_from(at.get()).unwrap_or(0) * width / budget).min(width)
    };
    let mut cells = vec![' '; width];
    cells[..column(plan.total)].fill('.');
    let mut names = String::new();
    let mut position = None;
    for step in &plan.steps {
        let sign = match step.side {
            Some(Side::Left) => '<',
            Some(Side::Right) => '>',
            None => '=',
        };
        let from = column(step.start + step.setup);
        cells[from.min(column(step.end))..column(step.end)].fill(sign);
        let begins = column(step.start);
        let here = Some(step.position);
        if position != here && (names.is_empty() || names.len() < begins) {
            names.push_str(&" ".repeat(begins.saturating_sub(names.len())));
            names.push_str(step.position.plain_name());
        }
        position = here;
    }
    let massage = plan.total.saturating_sub(plan.massage);
    if plan.massage > Seconds::ZERO {
        cells[column(massage)..column(plan.total)].fill('~');
    }
    [cells.into_iter().collect::<String>().trim_end().to_owned(), names]
}
