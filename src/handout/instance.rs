//! The planning problem as it is written beside a plan, in seconds and points, so that anybody can solve it again.
//!
//! The shape is described in docs/planner.md; the symbols are those of the model there.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::body::Side;
use crate::catalogue::Position;
use crate::planner::Menu;
use crate::planner::problem::{Candidate, Choice, LARGEST, Problem, Selection};
use crate::planner::tariff::{HUNDREDTHS, TICK};

/// The problem in seconds and points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Instance {
    /// Seconds from 'start' to 'client stands up'.
    pub budget_s: u32,
    /// Seconds of it that are reserved for asking consent and settling.
    pub opening_s: u32,
    /// The benefit of seconds on one unit: points of a concave line from (0, 0), flat after its last point.
    pub curve: Vec<(f64, f64)>,
    /// What wants stretching.
    pub units: Vec<UnitWant>,
    /// Positions in the order in which they may follow each other.
    pub positions: Vec<String>,
    /// Seconds from one position (or `start`) into another; a missing pair may not follow each other.
    pub change_s: BTreeMap<String, BTreeMap<String, u32>>,
    /// Seconds to turn to the second side, by position; none where missing.
    pub turn_s: BTreeMap<String, u32>,
    /// The candidates.
    pub stretches: Vec<StretchChoices>,
}

/// A muscle on a side and how much it wants stretching.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnitWant {
    /// The muscle.
    pub muscle: String,
    /// `left`, `right`, or `both` where the two sides want the same and cannot be told apart.
    pub side: String,
    /// Points for a whole dose.
    pub weight: f64,
    /// Seconds it already had.
    pub done_s: u32,
}

/// A candidate stretch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StretchChoices {
    /// Its id in the catalogue.
    pub id: String,
    /// Whether the plan must have it.
    pub pinned: bool,
    /// Ways of doing it.
    pub choices: Vec<ChoiceRow>,
}

/// A form, a method and a dose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChoiceRow {
    /// Unique in the instance.
    pub id: usize,
    /// The form.
    pub form: String,
    /// The method.
    pub method: String,
    /// The position.
    pub position: String,
    /// Seconds it takes, set-up and both sides included.
    pub time_s: u32,
    /// Whether it needs the client's second side, so that the position's turn is paid.
    pub two_sided: bool,
    /// Seconds of coverage by index of the unit.
    pub gain: Vec<(usize, u32)>,
    /// What it costs, in points; negative for a favourite.
    pub cost: f64,
}

/// An instance that cannot be a planning problem.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BadInstance {
    /// A number is out of bounds.
    #[error("{0} is out of bounds")]
    Number(&'static str),
    /// A name refers to nothing.
    #[error("there is no {what} `{name}`")]
    Missing {
        /// What kind of thing.
        what: &'static str,
        /// The name.
        name: String,
    },
    /// A detour is shorter than the direct change, or the only way; the search takes direct changes for shortest.
    #[error("from `{from}` to `{to}` is shorter by way of `{by}` than directly")]
    Detour {
        /// Where it begins.
        from: String,
        /// Where it ends.
        to: String,
        /// What it passes.
        by: String,
    },
    /// The curve is no benefit.
    #[error("the curve must start at 0, never fall, be concave and end at 1")]
    Curve,
}

const MICRO: f64 = 1e6;

/// Points as whole micro-points.
fn micro(points: f64, what: &'static str) -> Result<i32, BadInstance> {
    let scaled = (points * MICRO).round();
    #[expect(clippy::cast_possible_truncation, reason = "bounded by the guard")]
    if scaled.abs() <= 1e8 { Ok(scaled as i32) } else { Err(BadInstance::Number(what)) }
}

/// Grains as points.
fn points(grains: i32) -> f64 {
    f64::from(grains * HUNDREDTHS) / 100.0
}

/// Ticks of a menu as seconds.
fn seconds(ticks: usize) -> u32 {
    u32::try_from(ticks).unwrap_or(u32::MAX).saturating_mul(TICK)
}

impl From<&Menu<'_>> for Instance {
    fn from(menu: &Menu<'_>) -> Self {
        let problem = &menu.problem;
        let named = |ways: &[Option<usize>]| -> BTreeMap<String, u32> {
            let ways = Position::ALL.iter().zip(ways);
            ways.filter_map(|(to, ticks)| Some((to.id().to_owned(), seconds((*ticks)?)))).collect()
        };
        let changes = Position::ALL.iter().zip(&problem.change).map(|(from, ways)| (from.id(), named(ways)));
        let changes = [("start", named(&problem.start))].into_iter().chain(changes);
        let curve = menu.curve;
        let top = curve.benefit(curve.flat_from());
        let mut ids = 0..;
        let mut stretches = Vec::new();
        for ((stretch, ways), candidate) in menu.stretches.iter().zip(&menu.ways).zip(&problem.candidates) {
            let rows = ways.iter().zip(&candidate.choices).map(|(way, choice)| ChoiceRow {
                id: ids.next().unwrap_or_default(),
                form: stretch.forms[way.form].id.to_string(),
                method: way.method.id().to_owned(),
                position: Position::ALL[choice.position].id().to_owned(),
                time_s: seconds(choice.time),
                two_sided: choice.second_side,
                gain: choice.gains.iter().map(|&(unit, ticks)| (unit, seconds(ticks))).collect(),
                cost: points(choice.cost),
            });
            let choices = rows.collect();
            stretches.push(StretchChoices { id: stretch.id.to_string(), pinned: candidate.pinned, choices });
        }
        Self {
            budget_s: menu.budget.get(),
            opening_s: menu.opening.get(),
            curve: curve
                .corners()
                .map(|(at, grains)| (f64::from(at), f64::from(grains) / f64::from(top)))
                .collect(),
            units: menu
                .wants
                .iter()
                .map(|want| UnitWant {
                    muscle: want.muscle.id().to_owned(),
                    side: want.side.map_or("both", Side::id).to_owned(),
                    weight: points(want.weight * top),
                    done_s: want.done.get(),
                })
                .collect(),
            positions: Position::ALL.iter().map(|position| position.id().to_owned()).collect(),
            change_s: changes
                .filter(|(_, row)| !row.is_empty())
                .map(|(from, row)| (from.to_owned(), row))
                .collect(),
            turn_s: Position::ALL
                .iter()
                .zip(&problem.turn)
                .map(|(position, &ticks)| (position.id().to_owned(), seconds(ticks)))
                .collect(),
            stretches,
        }
    }
}

impl Instance {
    /// Seconds for work: the budget less the opening.
    pub fn working_s(&self) -> u32 {
        self.budget_s.saturating_sub(self.opening_s)
    }

    /// The benefit of so many seconds on a unit, between 0 and 1.
    pub fn benefit(&self, seconds: u32) -> f64 {
        let x = f64::from(seconds);
        let mut last = (0.0, 0.0);
        for &(at, value) in &self.curve {
            if x <= at {
                return if at > last.0 {
                    last.1 + (value - last.1) * (x - last.0) / (at - last.0)
                } else {
                    value
                };
            }
            last = (at, value);
        }
        last.1
    }

    /// The greatest number of seconds that divides every time of the instance.
    pub fn tick_s(&self) -> u32 {
        let rows = self.stretches.iter().flat_map(|stretch| &stretch.choices).map(|row| row.time_s);
        let between = self.change_s.values().flat_map(BTreeMap::values).chain(self.turn_s.values()).copied();
        rows.chain(between).fold(0, gcd).max(1)
    }

    /// The same problem in whole numbers.
    ///
    /// # Errors
    /// Says which number is out of bounds or which name refers to nothing.
    pub fn problem(&self) -> Result<Problem, BadInstance> {
        self.check_curve()?;
        self.check_changes()?;
        let index = |name: &str| {
            self.positions
                .iter()
                .position(|position| position == name)
                .ok_or_else(|| BadInstance::Missing { what: "position", name: name.to_owned() })
        };
        let rows = || self.stretches.iter().flat_map(|stretch| &stretch.choices);
        let tick = self.tick_s();
        let done = self.units.iter().map(|unit| unit.done_s);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole seconds within the curve"
        )]
        let corners = self.curve.iter().map(|point| point.0 as u32);
        let cover = rows()
            .flat_map(|row| row.gain.iter().map(|g| g.1))
            .chain(done)
            .chain(corners)
            .fold(0, gcd)
            .max(1);
        let ticks = |seconds: u32| (seconds / tick) as usize;

        let flat_from = self.curve.last().map_or(0.0, |point| point.0);
        let mut wants = Vec::with_capacity(self.units.len());
        for unit in &self.units {
            if !(0.0..=1e3).contains(&unit.weight) {
                return Err(BadInstance::Number("a unit's weight"));
            }
            let already = self.benefit(unit.done_s);
            let mut table = Vec::new();
            let mut seconds = 0;
            loop {
                table
                    .push(micro(unit.weight * (self.benefit(unit.done_s + seconds) - already), "a benefit")?);
                if f64::from(unit.done_s + seconds) >= flat_from {
                    break;
                }
                seconds += cover;
            }
            wants.push(table);
        }
        let mut candidates = Vec::with_capacity(self.stretches.len());
        for stretch in &self.stretches {
            let mut choices = Vec::with_capacity(stretch.choices.len());
            for row in &stretch.choices {
                let mut gains = Vec::with_capacity(row.gain.len());
                for &(unit, seconds) in &row.gain {
                    if unit >= wants.len() {
                        return Err(BadInstance::Missing { what: "unit", name: unit.to_string() });
                    }
                    gains.push((unit, (seconds / cover) as usize));
                }
                choices.push(Choice {
                    position: index(&row.position)?,
                    time: ticks(row.time_s),
                    second_side: row.two_sided,
                    gains,
                    cost: micro(row.cost, "a cost")?,
                });
            }
            candidates.push(Candidate { pinned: stretch.pinned, choices });
        }
        let largest: i64 =
            wants.iter().filter_map(|table| table.last()).map(|&most| i64::from(most)).sum::<i64>()
                + candidates
                    .iter()
                    .filter_map(|c| c.choices.iter().map(|choice| i64::from(choice.cost).abs()).max())
                    .sum::<i64>();
        if largest > LARGEST {
            return Err(BadInstance::Number("the sum of all weights"));
        }
        let row = |from: &str| -> Vec<Option<usize>> {
            let row = self.change_s.get(from);
            self.positions
                .iter()
                .map(|to| row.and_then(|row| row.get(to)).map(|&seconds| ticks(seconds)))
                .collect()
        };
        Ok(Problem {
            horizon: (self.working_s() / tick) as usize,
            start: row("start"),
            change: self.positions.iter().map(|position| row(position)).collect(),
            turn: self
                .positions
                .iter()
                .map(|position| ticks(self.turn_s.get(position).copied().unwrap_or(0)))
                .collect(),
            wants,
            candidates,
        })
    }

    /// The ids of the chosen rows.
    pub fn chosen(&self, selection: &Selection) -> Vec<usize> {
        let rows = self.stretches.iter().zip(selection);
        rows.filter_map(|(stretch, chosen)| Some(stretch.choices[(*chosen)?].id)).collect()
    }

    fn check_changes(&self) -> Result<(), BadInstance> {
        let change = |from: &str, to: &str| self.change_s.get(from).and_then(|row| row.get(to));
        for (at, by) in self.positions.iter().enumerate() {
            let earlier = self.positions[..at].iter().map(String::as_str).chain(["start"]);
            for from in earlier {
                for to in &self.positions[at + 1..] {
                    let (Some(first), Some(second)) = (change(from, by), change(by, to)) else { continue };
                    if change(from, to).is_none_or(|direct| *direct > first + second) {
                        let (from, to, by) = (from.to_owned(), to.clone(), by.clone());
                        return Err(BadInstance::Detour { from, to, by });
                    }
                }
            }
        }
        Ok(())
    }

    fn check_curve(&self) -> Result<(), BadInstance> {
        let mut last = (0.0, 0.0);
        let mut slope = f64::INFINITY;
        for &(x, y) in self.curve.iter().filter(|point| **point != (0.0, 0.0)) {
            let next = (y - last.1) / (x - last.0);
            if x <= last.0 || y < last.1 || next > slope + 1e-9 || x.fract() != 0.0 {
                return Err(BadInstance::Curve);
            }
            (last, slope) = ((x, y), next);
        }
        if (last.1 - 1.0).abs() > 1e-9 { Err(BadInstance::Curve) } else { Ok(()) }
    }
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}
