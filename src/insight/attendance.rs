//! Who is due for a session.

use chrono::NaiveDate;

use crate::client::Client;

/// How many gaps between sessions tell a client's habit; our judgement.
const GAPS: usize = 6;

/// When a client was here last and usually comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Attendance {
    /// Days past the usual gap; negative while it still runs, and `None` if there is no habit yet.
    pub overdue: Option<i64>,
    /// Days since the last session; none before the first.
    pub since_last: Option<i64>,
    /// The median of the last gaps in days; none with fewer than three sessions.
    pub usual_gap: Option<i64>,
}

/// When the client was here last, against habit.
pub fn attendance(client: &Client, today: NaiveDate) -> Attendance {
    let mut dates: Vec<NaiveDate> = client.sessions.iter().map(|session| session.at.date_naive()).collect();
    dates.retain(|date| *date <= today);
    dates.sort_unstable();
    dates.dedup();
    let since_last = dates.last().map(|last| (today - *last).num_days());
    let mut gaps: Vec<i64> = dates.windows(2).map(|pair| (pair[1] - pair[0]).num_days()).collect();
    gaps.drain(..gaps.len().saturating_sub(GAPS));
    gaps.sort_unstable();
    let usual_gap = (gaps.len() >= 2).then(|| gaps[gaps.len() / 2]);
    let overdue = usual_gap.zip(since_last).map(|(usual, since)| since - usual);
    Attendance { overdue, since_last, usual_gap }
}

impl Attendance {
    /// A few words for the list of clients.
    pub fn words(&self) -> String {
        let days = |number: i64| if number == 1 { "1 day".to_owned() } else { format!("{number} days") };
        match (self.since_last, self.overdue) {
            (None, _) => "no session yet".to_owned(),
            (Some(0), _) => "today".to_owned(),
            (Some(since), Some(over)) if over > 0 => format!("{} ago, {} over", days(since), days(over)),
            (Some(_), Some(0)) => "due today".to_owned(),
            (Some(since), _) => format!("{} ago", days(since)),
        }
    }
}
