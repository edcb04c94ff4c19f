//! Left against right, and the last values, in words.

use crate::body::Side;
use crate::client::Report;
use crate::tui::theme::Glyphs;

use super::{Done, Tab};

/// How many values of a side a mean is taken from.
const LAST: usize = 5;

/// What is looked at of a report: the level, the seconds or the degrees.
pub(super) fn value(report: &Report, tab: Tab) -> Option<i32> {
    match tab {
        Tab::Levels => report.level.map(|level| i32::from(level.get())),
        Tab::Angles => report.angle().map(|angle| i32::from(angle.get())),
        _ => i32::try_from(report.held.get()).ok(),
    }
}

/// The mean of a side's last values in tenths, rounded.
fn mean(done: &Done<'_>, tab: Tab, side: Side) -> Option<i32> {
    let of_side = done.iter().rev().filter(|(_, report)| report.side == Some(side));
    let values: Vec<i32> = of_side.filter_map(|(_, report)| value(report, tab)).take(LAST).collect();
    let count = i32::try_from(values.len()).unwrap_or(0);
    (count > 0).then(|| (values.iter().sum::<i32>() * 20 + count).div_euclid(2 * count))
}

/// Left against right over the last few times, in words.
pub(super) fn compared(done: &Done<'_>, tab: Tab) -> String {
    let tenths = |tenths: i32| {
        let below = if tenths < 0 { "-" } else { "" };
        format!("{below}{}.{}", tenths.abs() / 10, tenths.abs() % 10)
    };
    match (mean(done, tab, Side::Left), mean(done, tab, Side::Right), tab) {
        (Some(left), Some(right), Tab::Angles) => {
            format!("Last five: left {}, right {} degrees.", tenths(left), tenths(right))
        }
        (Some(left), Some(right), Tab::Levels) => {
            format!("Last five answers: left {}, right {}.", tenths(left), tenths(right))
        }
        (Some(left), Some(right), _) => {
            format!("Last five: left {}, right {} s.", tenths(left), tenths(right))
        }
        (_, _, Tab::Levels) => "Not enough answers to hold left against right.".to_owned(),
        _ => String::new(),
    }
}

/// The last days with their values, a line each, the newest first: what a plot shows, where there is none.
pub(super) fn last_days(done: &Done<'_>, tab: Tab, glyphs: &Glyphs) -> Vec<String> {
    let mut lines: Vec<(chrono::NaiveDate, String)> = Vec::new();
    for (on, report) in done.iter().rev() {
        let Some(value) = value(report, tab) else { continue };
        let words = format!("  {} {value}", glyphs.side(report.side));
        match lines.last_mut() {
            Some((day, line)) if day == on => line.push_str(&words),
            _ => lines.push((*on, words)),
        }
    }
    lines.into_iter().map(|(on, words)| format!("{:>6}{words}", on.format("%-d %b").to_string())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Degrees, Level, Seconds};
    use crate::catalogue::{FormId, StretchId};
    use crate::client::Angle;
    use crate::tui::theme::{Background, ColourDepth, Theme};

    fn report(side: Side, level: i64, held: u32, angle: Option<i64>) -> Report {
        Report {
            level: Level::new(level).ok(),
            angles: angle.and_then(|angle| Degrees::new(angle).ok()).map(Angle::new).into_iter().collect(),
            ..Report::new(
                StretchId::new("one").expect("an id"),
                FormId::new("form").expect("an id"),
                Some(side),
                Seconds::new(held),
            )
        }
    }

    #[test]
    fn each_look_speaks_of_its_own_values() {
        let day = |day| chrono::NaiveDate::from_ymd_opt(2026, 3, day).expect("a day");
        let reports = [
            report(Side::Left, 3, 20, None),
            report(Side::Right, 4, 30, Some(70)),
            report(Side::Left, 3, 30, Some(80)),
        ];
        let done = vec![(day(1), &reports[0]), (day(2), &reports[1]), (day(2), &reports[2])];
        let tight = "Last five answers: left 3.0, right 4.0.";
        assert_eq!(compared(&done, Tab::Levels), tight);
        assert_eq!(compared(&done, Tab::Holds), "Last five: left 25.0, right 30.0 s.");
        assert_eq!(compared(&done, Tab::Angles), "Last five: left 80.0, right 70.0 degrees.");
        let glyphs = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true }.glyphs();
        assert_eq!(last_days(&done, Tab::Angles, glyphs), [" 2 Mar  < 80  > 70"]);
        assert_eq!(last_days(&done, Tab::Holds, glyphs), [" 2 Mar  < 30  > 30", " 1 Mar  < 20"]);
    }
    #[test]
    fn an_angle_short_of_straight_is_shown_with_its_sign() {
        let day = |day| chrono::NaiveDate::from_ymd_opt(2026, 3, day).expect("a day");
        let reports = [report(Side::Left, 3, 20, Some(-12)), report(Side::Right, 4, 30, Some(5))];
        let done = vec![(day(1), &reports[0]), (day(1), &reports[1])];
        assert_eq!(compared(&done, Tab::Angles), "Last five: left -12.0, right 5.0 degrees.");
        let glyphs = Theme { depth: ColourDepth::None, background: Background::Dark, ascii: true }.glyphs();
        assert_eq!(last_days(&done, Tab::Angles, glyphs), [" 1 Mar  > 5  < -12"]);
    }
}
