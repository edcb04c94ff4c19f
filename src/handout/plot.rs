//! A chart as lines of characters.

use super::chart::{Chart, Measure};
use crate::body::Side;

/// Rows of a chart of seconds or degrees.
const ROWS: i32 = 8;

/// Draws a chart on at most `width` columns: `<` left, `>` right, `=` both at once, `x` where left and right meet.
pub fn plot(chart: &Chart, width: usize) -> Vec<String> {
    let (low, high) = chart.range;
    let rows = if chart.measure == Measure::Level { high - low + 1 } else { ROWS };
    let columns = i32::try_from(width.saturating_sub(7)).unwrap_or(1).max(1);
    let days = i32::try_from((chart.days.1 - chart.days.0).num_days()).unwrap_or(i32::MAX - 1).max(1);
    let mut cells =
        vec![vec![' '; usize::try_from(columns).unwrap_or(1)]; usize::try_from(rows).unwrap_or(1)];
    for line in &chart.lines {
        for &(day, value) in &line.dots {
            let column = i64::from(day) * i64::from(columns - 1) / i64::from(days);
            let row = (high - value) * (rows - 1) / (high - low).max(1);
            let cell = usize::try_from(row)
                .ok()
                .and_then(|row| cells.get_mut(row))
                .and_then(|row| row.get_mut(usize::try_from(column).ok()?));
            if let Some(cell) = cell {
                *cell = joined(*cell, line.side);
            }
        }
    }
    let mut lines = vec![format!("{} (< left, > right, x both alike)", chart.measure.words())];
    for (row, cells) in (0..).zip(cells) {
        let value = high - row * (high - low) / (rows - 1).max(1);
        let cells: String = cells.into_iter().collect();
        lines.push(format!("{value:>5} |{}", cells.trim_end()));
    }
    let (first, last) = (chart.days.0.to_string(), chart.days.1.to_string());
    let gap = width.saturating_sub(7 + first.len() + last.len());
    lines.push(format!("       {first}{:gap$}{last}", ""));
    lines
}

fn joined(there: char, side: Option<Side>) -> char {
    match (there, side) {
        ('<', Some(Side::Right)) | ('>', Some(Side::Left)) | ('x', _) => 'x',
        (_, Some(Side::Left)) => '<',
        (_, Some(Side::Right)) => '>',
        (_, None) => '=',
    }
}

#[cfg(test)]
mod tests {
    use super::super::chart::Trace;
    use super::*;
    use chrono::NaiveDate;

    fn chart(measure: Measure, range: (i32, i32)) -> Chart {
        let day = |day| NaiveDate::from_ymd_opt(2026, 11, day).unwrap();
        Chart {
            measure,
            lines: vec![
                Trace { side: Some(Side::Left), dots: vec![(0, range.0), (10, range.0)] },
                Trace { side: Some(Side::Right), dots: vec![(0, range.1), (10, range.0)] },
            ],
            days: (day(1), day(11)),
            range,
        }
    }

    #[test]
    fn dots_stand_at_their_day_and_value_and_meet_in_a_cross() {
        let lines = plot(&chart(Measure::Level, (1, 5)), 30);
        assert_eq!(lines[1], "    5 |>");
        assert_eq!(lines[5], "    1 |<                     x");
        assert_eq!(lines[6], "       2026-11-01   2026-11-11");
    }

    #[test]
    fn no_size_or_range_is_a_reason_to_stumble() {
        for width in [0, 1, 7, 8, 200] {
            for range in [(0, 0), (-60, 200), (1, 5)] {
                for measure in [Measure::Level, Measure::Held, Measure::Angle] {
                    assert!(plot(&chart(measure, range), width).len() >= 3);
                }
            }
        }
    }
}
