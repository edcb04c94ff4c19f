//! The planning problem as it is written beside a plan, in seconds and points, so that anybody can solve it again.
//!
//! The shape is described in docs/planner.md; the symbols are those of the model there.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::body::Side;
use crate::catalogue::Position;
use crate::planner::Menu;
use crate::planner::menu::Want;
use crate::planner::problem::{Candidate, Choice, LARGEST, Problem, Selection};
use crate::planner::tariff::{self, HUNDREDTHS, TICK};

/// The problem in seconds and points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Instance {
    /// Seconds from 'start' to 'client stands up'.
    pub budget_s: u32,
    /// Seconds of it that are reserved for asking consent and settling.
    pub opening_s: u32,
    /// The benefit of seconds on one unit of weight 1, where it states none of its own: points of a concave line from
    /// (0, 0), flat after its last point.
    pub curve: CurvePoints,
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
    /// What a point of its curve counts.
    pub weight: f64,
    /// Seconds it already had.
    pub done_s: u32,
    /// The benefit of seconds on it, where it is another than that of the instance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub curve: Option<CurvePoints>,
}

/// Points of a concave line, as seconds and points of benefit.
pub type CurvePoints = Vec<(f64, f64)>;

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
    #[error("a curve must start at 0, have whole seconds, never fall and be concave")]
    Curve,
}

const MICRO: f64 = 1e6;

/// Points as whole micro-points.
fn micro(points: f64, what: &'static str) -> Result<i64, BadInstance> {
    let scaled = (points * MICRO).round();
    #[expect(clippy::cast_possible_truncation, reason = "bounded by the guard")]
    if scaled.abs() <= 1e9 { Ok(scaled as i64) } else { Err(BadInstance::Number(what)) }
}

/// Grains as points.
fn points(grains: i32) -> f64 {
    f64::from(grains * HUNDREDTHS) / 100.0
}

/// Ticks of a menu as seconds.
fn seconds(ticks: usize) -> u32 {
    u32::try_from(ticks).unwrap_or(u32::MAX).saturating_mul(TICK)
}

/// A curve of the tariff in seconds and points.
fn curve(curve: tariff::Curve) -> CurvePoints {
    curve.corners().map(|(at, grains)| (f64::from(at), points(grains))).collect()
}

fn unit(want: &Want, usual: &CurvePoints) -> UnitWant {
    UnitWant {
        muscle: want.muscle.id().to_owned(),
        side: want.side.map_or("both", Side::id).to_owned(),
        weight: f64::from(want.weight),
        done_s: want.done.get(),
        curve: Some(curve(want.curve)).filter(|own| own != usual),
    }
}

/// The benefit of so many seconds, by a curve.
pub fn benefit(curve: &[(f64, f64)], seconds: u32) -> f64 {
    let x = f64::from(seconds);
    let mut last = (0.0, 0.0);
    for &(at, value) in curve {
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

impl From<&Menu<'_>> for Instance {
    fn from(menu: &Menu<'_>) -> Self {
        let problem = &menu.problem;
        let named = |ways: &[Option<usize>]| -> BTreeMap<String, u32> {
            let ways = Position::ALL.iter().zip(ways);
            ways.filter_map(|(to, ticks)| Some((to.id().to_owned(), seconds((*ticks)?)))).collect()
        };
        let changes = Position::ALL.iter().zip(&problem.change).map(|(from, ways)| (from.id(), named(ways)));
        let changes = [("start", named(&problem.start))].into_iter().chain(changes);
        let usual = curve(tariff::USUAL);
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
            units: menu.wants.iter().map(|want| unit(want, &usual)).collect(),
            curve: usual,
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

    /// The curve of a unit.
    pub fn curve_of<'a>(&'a self, unit: &'a UnitWant) -> &'a CurvePoints {
        unit.curve.as_ref().unwrap_or(&self.curve)
    }

    fn curves(&self) -> impl Iterator<Item = &CurvePoints> {
        self.units.iter().filter_map(|unit| unit.curve.as_ref()).chain([&self.curve])
    }

    /// The greatest number of seconds that divides every time of the instance.
    pub fn tick_s(&self) -> u32 {
        let rows = self.stretches.iter().flat_map(|stretch| &stretch.choices).map(|row| row.time_s);
        let between = self.change_s.values().flat_map(BTreeMap::values).chain(self.turn_s.values()).copied();
        rows.chain(between).fold(0, |a, b| gcd(a.into(), b.into()).try_into().unwrap_or(1)).max(1)
    }

    /// The same problem in whole numbers, and how many micro-points its smallest step of value is.
    ///
    /// # Errors
    /// Says which number is out of bounds or which name refers to nothing.
    pub fn problem(&self) -> Result<(Problem, i64), BadInstance> {
        self.check_curves()?;
        self.check_changes()?;
        let tick = self.tick_s();
        let cover = self.cover_s();
        let tables = self.tables(cover)?;
        let rows = || self.stretches.iter().flat_map(|stretch| &stretch.choices);
        let costs = rows().map(|row| micro(row.cost, "a cost")).collect::<Result<Vec<_>, _>>()?;
        let step = tables.iter().flatten().chain(&costs).fold(0, |a, &b| gcd(a, b.unsigned_abs())).max(1);
        let step = i64::try_from(step).map_err(|_wide| BadInstance::Number("a value"))?;
        let whole = |value: &i64| i32::try_from(value / step).map_err(|_wide| BadInstance::Number("a value"));
        let mut costs = costs.iter();
        let mut candidates = Vec::with_capacity(self.stretches.len());
        for stretch in &self.stretches {
            let mut choices = Vec::with_capacity(stretch.choices.len());
            for row in &stretch.choices {
                let cost = costs.next().map_or(Ok(0), whole)?;
                choices.push(self.choice(row, (tick, cover), cost)?);
            }
            candidates.push(Candidate { pinned: stretch.pinned, choices });
        }
        let ticks = |seconds: u32| (seconds / tick) as usize;
        let ways = |from: &str| -> Vec<Option<usize>> {
            let ways = self.change_s.get(from);
            self.positions.iter().map(|to| ways.and_then(|ways| ways.get(to)).map(|&s| ticks(s))).collect()
        };
        let turn = |position: &String| ticks(self.turn_s.get(position).copied().unwrap_or(0));
        let problem = Problem {
            horizon: ticks(self.working_s()),
            start: ways("start"),
            change: self.positions.iter().map(|position| ways(position)).collect(),
            turn: self.positions.iter().map(turn).collect(),
            wants: tables
                .iter()
                .map(|table| table.iter().map(whole).collect())
                .collect::<Result<Vec<_>, _>>()?,
            candidates,
        };
        if problem.total() > LARGEST {
            return Err(BadInstance::Number("the sum of all weights"));
        }
        Ok((problem, step))
    }

    /// The greatest number of seconds that divides all that is held, was held or bends a curve.
    fn cover_s(&self) -> u32 {
        let rows = self.stretches.iter().flat_map(|stretch| &stretch.choices);
        let held = rows.flat_map(|row| row.gain.iter().map(|gain| gain.1));
        let done = self.units.iter().map(|unit| unit.done_s);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole seconds within a curve"
        )]
        let corners = self.curves().flatten().map(|point| point.0 as u32);
        held.chain(done).chain(corners).fold(0, |a, b| gcd(a.into(), b.into()).try_into().unwrap_or(1)).max(1)
    }

    /// The benefit of each further tick of cover, for each unit, in micro-points.
    fn tables(&self, cover: u32) -> Result<Vec<Vec<i64>>, BadInstance> {
        let mut tables = Vec::with_capacity(self.units.len());
        for unit in &self.units {
            if !(0.0..=1e3).contains(&unit.weight) {
                return Err(BadInstance::Number("a unit's weight"));
            }
            let curve = self.curve_of(unit);
            let flat_from = curve.last().map_or(0.0, |point| point.0);
            let already = benefit(curve, unit.done_s);
            let mut table = Vec::new();
            let mut seconds = 0;
            loop {
                let gained = benefit(curve, unit.done_s + seconds) - already;
                table.push(micro(unit.weight * gained, "a benefit")?);
                if f64::from(unit.done_s + seconds) >= flat_from {
                    break;
                }
                seconds += cover;
            }
            tables.push(table);
        }
        Ok(tables)
    }

    fn choice(&self, row: &ChoiceRow, (tick, cover): (u32, u32), cost: i32) -> Result<Choice, BadInstance> {
        let position = self.positions.iter().position(|position| *position == row.position);
        let mut gains = Vec::with_capacity(row.gain.len());
        for &(unit, seconds) in &row.gain {
            if unit >= self.units.len() {
                return Err(BadInstance::Missing { what: "unit", name: unit.to_string() });
            }
            gains.push((unit, (seconds / cover) as usize));
        }
        Ok(Choice {
            position: position
                .ok_or_else(|| BadInstance::Missing { what: "position", name: row.position.clone() })?,
            time: (row.time_s / tick) as usize,
            second_side: row.two_sided,
            gains,
            cost,
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

    fn check_curves(&self) -> Result<(), BadInstance> {
        for curve in self.curves() {
            let mut last = (0.0, 0.0);
            let mut slope = f64::INFINITY;
            for &(x, y) in curve.iter().filter(|point| **point != (0.0, 0.0)) {
                let next = (y - last.1) / (x - last.0);
                if x <= last.0 || y < last.1 || next > slope + 1e-9 || x.fract() != 0.0 || x > 1e5 {
                    return Err(BadInstance::Curve);
                }
                (last, slope) = ((x, y), next);
            }
        }
        Ok(())
    }
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
