//! What stands under the pictures of a year: how angles, sides, grey bars and brackets are read.

use super::year::{YearPage, YearTest};
use super::year_chart::{degrees, height_of};

impl YearPage {
    /// What angles, sides and pictures stand for; only of what is there.
    pub(super) fn key(&self) -> String {
        let any = |is: &dyn Fn(&YearTest) -> bool| self.tests.iter().any(is);
        let said = |is: bool, words: &str| if is { words.to_owned() } else { String::new() };
        let is_by_side = any(&YearTest::is_by_side);
        let beyond: Vec<String> = self.tests.iter().map(|test| degrees(test.beyond / 10 * 10)).collect();
        let first = if self.first.is_empty() { String::new() } else { format!("; {}", self.first) };
        let parts = [
            said(is_by_side, "Left: filled, solid line; right: hollow, dashed."),
            said(any(&YearTest::is_at_once), "Both at once: a diamond, dotted."),
            format!(
                "Median of a quarter, with lowest and highest. Grey is the measuring error: where two grey bars do not \
                 overlap, the difference is more than measuring twice would give ({} degrees).",
                beyond.join(", ")
            ),
            said(is_by_side, "L − R: left less right; up to 3 either way is usual."),
            format!("All are {} degrees high.", height_of(&self.tests)),
            self.norms(),
            said(
                any(&|test| test.is_by_side() && !test.higher.is_empty()),
                &format!("Higher: answers that differed, left : right{first}."),
            ),
            said(
                self.more_tests > 0,
                &format!("{} more, measured less often, in the data.", self.more_tests),
            ),
        ];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// Whose norms are drawn.
    fn norms(&self) -> String {
        let mut sources: Vec<&str> =
            self.tests.iter().filter_map(|test| Some(test.norm.as_ref()?.1.as_str())).collect();
        sources.dedup();
        if sources.is_empty() {
            return String::new();
        }
        format!(
            "The bracket at the edge holds 8 of 10 healthy people ({}); it is no aim.",
            sources.join(", ")
        )
    }
}
