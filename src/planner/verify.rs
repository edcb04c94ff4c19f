//! An independent check of a selection: shares no code with the search and walks the model term by term.

use super::problem::{Problem, Selection};

/// Why a selection is no plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoPlan {
    /// It does not name a choice or none for each candidate.
    #[error("the selection does not match the candidates")]
    Shape,
    /// A pinned stretch is missing.
    #[error("pinned candidate {0} is missing")]
    Pinned(usize),
    /// Two positions may not follow each other.
    #[error("position {0} may not be reached")]
    Order(usize),
    /// It takes too long.
    #[error("it takes {taken} of {horizon} ticks")]
    Late {
        /// Ticks it takes.
        taken: usize,
        /// Ticks there are.
        horizon: usize,
    },
}

/// What a selection is worth.
///
/// # Errors
/// Says why the selection is no plan.
pub fn verify(problem: &Problem, selection: &Selection) -> Result<i64, NoPlan> {
    if selection.len() != problem.candidates.len() {
        return Err(NoPlan::Shape);
    }
    let mut chosen = Vec::new();
    for (index, (candidate, choice)) in problem.candidates.iter().zip(selection).enumerate() {
        match choice {
            Some(choice) => chosen.push(candidate.choices.get(*choice).ok_or(NoPlan::Shape)?),
            None if candidate.pinned => return Err(NoPlan::Pinned(index)),
            None => {}
        }
    }
    let mut taken: usize = chosen.iter().map(|choice| choice.time).sum();
    let mut positions: Vec<usize> = chosen.iter().map(|choice| choice.position).collect();
    positions.sort_unstable();
    positions.dedup();
    let mut before: Option<usize> = None;
    for &position in &positions {
        let change = match before {
            None => problem.start[position],
            Some(before) => problem.change[before][position],
        };
        taken += change.ok_or(NoPlan::Order(position))?;
        if chosen.iter().any(|choice| choice.position == position && choice.second_side) {
            taken += problem.turn[position];
        }
        before = Some(position);
    }
    if taken > problem.horizon {
        return Err(NoPlan::Late { taken, horizon: problem.horizon });
    }
    let mut value = -chosen.iter().map(|choice| i64::from(choice.cost)).sum::<i64>();
    for (unit, table) in problem.wants.iter().enumerate() {
        let gains = chosen.iter().flat_map(|choice| &choice.gains).filter(|gain| gain.0 == unit);
        let cover: usize = gains.map(|gain| gain.1).sum();
        value += i64::from(*table.get(cover).or(table.last()).unwrap_or(&0));
    }
    Ok(value)
}
