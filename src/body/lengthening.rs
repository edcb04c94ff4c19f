//! Which joint motions take each muscle to its length: one row of `lengthening.csv` for each group of parts.
//!
//! The rows follow from the actions (a muscle is lengthened by the opposite of what it does) and from studies
//! that compared positions. A source of `opposition` means that no study was found and the actions decided.

use std::sync::LazyLock;

use super::action::MuscleHead;
use super::evidence::{Evidence, rows};
use super::motion::Motion;
use super::muscle::Muscle;

/// A motion that is wanted, from some angle on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    /// The motion.
    pub motion: Motion,
    /// The angle in degrees from which it does anything; nothing where any angle does.
    pub from: Option<i16>,
    /// The angle in degrees that it must not pass; such a motion may also be left out.
    pub up_to: Option<i16>,
}

/// What lengthens a group of muscle parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lengthening {
    /// A name for messages, such as `calf_straight_knee`.
    pub group: &'static str,
    /// The trainer's name of the muscle.
    pub muscle: Muscle,
    /// The heads that it holds for.
    pub heads: Vec<MuscleHead>,
    /// Without these the muscle is not taken to its length.
    pub must: Vec<Wanted>,
    /// These add length.
    pub helps: Vec<Motion>,
    /// Set so that a neighbour that crosses two joints does not stop the movement first, or as a handle.
    pub slack: Vec<Motion>,
    /// Evidence says that it matters little, or evidence conflicts.
    pub free: Vec<Motion>,
    /// Key of the source.
    pub source: &'static str,
    /// Whether the source was read.
    pub evidence: Evidence,
}

/// All rows in the order of the file.
pub fn lengthenings() -> &'static [Lengthening] {
    static ROWS: LazyLock<Vec<Lengthening>> = LazyLock::new(|| read(TEXT).0);
    &ROWS
}

const TEXT: &str = include_str!("lengthening.csv");

/// Reads the rows; those that cannot be read come back with their line.
fn read(text: &'static str) -> (Vec<Lengthening>, Vec<String>) {
    let mut read = Vec::new();
    let mut bad = Vec::new();
    for (line, fields) in rows(text) {
        match read_row(&fields) {
            Some(row) => read.push(row),
            None => bad.push(format!("line {line}: {}", fields.join(","))),
        }
    }
    (read, bad)
}

fn read_row(fields: &[&'static str]) -> Option<Lengthening> {
    let &[group, muscle, heads, must, helps, slack, free, source, verified] = fields else { return None };
    Some(Lengthening {
        group,
        muscle: muscle.parse().ok()?,
        heads: heads
            .split('+')
            .map(|name| {
                name.split_once('/').map_or(MuscleHead::new(name, ""), |(m, p)| MuscleHead::new(m, p))
            })
            .collect(),
        must: must.split('+').map(read_wanted).collect::<Option<_>>()?,
        helps: read_motions(helps)?,
        slack: read_motions(slack)?,
        free: read_motions(free)?,
        source,
        evidence: verified.parse().ok()?,
    })
}

fn read_wanted(text: &str) -> Option<Wanted> {
    if let Some((motion, from)) = text.split_once(">=") {
        return Some(Wanted { motion: motion.parse().ok()?, from: Some(from.parse().ok()?), up_to: None });
    }
    if let Some((motion, up_to)) = text.split_once("<=") {
        return Some(Wanted { motion: motion.parse().ok()?, from: None, up_to: Some(up_to.parse().ok()?) });
    }
    Some(Wanted { motion: text.parse().ok()?, from: None, up_to: None })
}

fn read_motions(text: &str) -> Option<Vec<Motion>> {
    text.split('+').filter(|word| !word.is_empty()).map(|word| word.parse().ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::action::actions;

    #[test]
    fn every_row_is_read_and_every_muscle_has_one() {
        let (read, bad) = read(TEXT);
        assert_eq!(bad, [""; 0]);
        for &muscle in Muscle::ALL {
            assert!(read.iter().any(|row| row.muscle == muscle), "{muscle}");
        }
    }

    #[test]
    fn the_heads_belong_to_their_muscle_and_have_actions() {
        for row in lengthenings() {
            for head in &row.heads {
                assert!(row.muscle.heads().iter().any(|own| own.is_moved_by(*head)), "{}: {head}", row.group);
                assert!(
                    actions().iter().any(|action| head.is_moved_by(action.head)),
                    "{}: {head}",
                    row.group
                );
            }
        }
    }
}
