//! What a client's sessions tell, as text: the sessions, each stretch over time, and what to do next time.

use std::fmt;

use chrono::NaiveDate;

use crate::body::{Muscle, Seconds, Side};
use crate::catalogue::{Catalogue, StretchId};
use crate::client::{Client, ConsentLimit, Session};
use crate::insight::habit::OwnDose;
use crate::insight::norms::NormVerdict;
use crate::insight::{self, Guidance, Learned, Observation, Series};
use crate::text::{self, Safe};

use super::chart::{Measure, chart};
use super::{plot, words};
use crate::words::{ClaimWords, dose as dose_lines, guidance};

/// What stands beside the answers in a line of levels.
const BESIDE_ANSWERS: usize = 38;

/// Signs of the levels 1 to 5, by height.
const HEIGHTS: [char; 5] = ['▁', '▃', '▄', '▆', '█'];

/// What of a client's history is shown.
#[derive(Debug, Clone, Default)]
pub struct HistoryFilter {
    /// This stretch alone, with its plots.
    pub stretch: Option<StretchId>,
    /// Stretches that reach one of these muscles; empty: all.
    pub muscles: Vec<Muscle>,
    /// Nothing before this day.
    pub since: Option<NaiveDate>,
}

impl HistoryFilter {
    /// Whether it is about a stretch.
    pub fn takes(&self, stretch: &StretchId, catalogue: &Catalogue) -> bool {
        let reaches = |muscle: &Muscle| {
            let forms = catalogue.stretch(stretch).map(|stretch| stretch.forms.as_slice());
            let mut targets = forms.unwrap_or_default().iter().flat_map(|form| &form.targets);
            targets.any(|target| target.muscle == *muscle)
        };
        self.stretch.as_ref().is_none_or(|wanted| wanted == stretch)
            && (self.muscles.is_empty() || self.muscles.iter().any(reaches))
    }

    /// Whether a session is late enough, and has a report that it is about where it is about a stretch or muscle.
    pub fn takes_session(&self, session: &Session, catalogue: &Catalogue) -> bool {
        let is_open = self.stretch.is_none() && self.muscles.is_empty();
        let is_late = self.since.is_none_or(|since| session.at.date_naive() >= since);
        is_late && (is_open || session.reports.values().any(|report| self.takes(&report.stretch, catalogue)))
    }

    /// Whether it is about a muscle.
    pub fn takes_muscle(&self, muscle: Muscle, catalogue: &Catalogue) -> bool {
        let is_target = |stretch: &StretchId| {
            let forms = catalogue.stretch(stretch).map(|stretch| stretch.forms.as_slice());
            let mut targets = forms.unwrap_or_default().iter().flat_map(|form| &form.targets);
            targets.any(|target| target.muscle == muscle)
        };
        (self.muscles.is_empty() || self.muscles.contains(&muscle))
            && self.stretch.as_ref().is_none_or(is_target)
    }
}

/// Everything that a history's text says.
#[derive(Debug, Clone, Copy)]
pub struct HistoryText<'a> {
    /// Whose history.
    pub client: &'a Client,
    /// Where the names are from.
    pub catalogue: &'a Catalogue,
    /// The day.
    pub today: NaiveDate,
    /// What is shown.
    pub filter: &'a HistoryFilter,
    /// The most sessions that are listed, youngest last.
    pub sessions: usize,
    /// Draw with ASCII only.
    pub ascii: bool,
    /// How wide the text may be.
    pub columns: usize,
}

impl fmt::Display for HistoryText<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sessions = self.shown_sessions();
        let number = text::count(sessions.len(), "session");
        write!(f, "{}, {number}", Safe::from_foreign(&self.client.profile.name))?;
        match (sessions.first(), sessions.last()) {
            (Some(first), Some(last)) => {
                writeln!(f, " from {} to {}", first.at.date_naive(), last.at.date_naive())?;
            }
            _ => return writeln!(f, "\nthe first one stands here once it is run or logged"),
        }
        if self.filter.stretch.is_none() {
            self.list(f, &sessions)?;
        }
        self.stretches(f)?;
        let learned = Learned::of(self.client, self.catalogue, self.today);
        if self.filter.stretch.is_none() {
            self.norms(f, &learned)?;
        }
        if self.filter.stretch.is_none() && self.filter.muscles.is_empty() {
            self.week(f, &learned)?;
            self.claims(f, &learned)?;
        }
        Ok(())
    }
}

impl HistoryText<'_> {
    fn shown_sessions(&self) -> Vec<&Session> {
        let since = self.filter.since;
        let shown = |session: &&Session| since.is_none_or(|since| session.at.date_naive() >= since);
        self.client.sessions.iter().filter(shown).collect()
    }

    fn list(&self, f: &mut fmt::Formatter<'_>, sessions: &[&Session]) -> fmt::Result {
        let from = sessions.len().saturating_sub(self.sessions);
        writeln!(f, "\n  date        min   held  reports  level  trained")?;
        if from > 0 {
            writeln!(f, "  ... {from} before these")?;
        }
        for session in &sessions[from..] {
            let held: Seconds = session.reports.values().map(|report| report.held).sum();
            let levels = session.reports.values().filter_map(|report| report.level);
            let start = format!(
                "  {}  {:>3}  {held:>5}  {:>7}  {:>5}  ",
                session.at.date_naive(),
                session.minutes.get(),
                session.reports.len(),
                mean(levels.map(|level| level.get().into())),
            );
            let remark = match session.consent {
                crate::client::Consent::HandsOn => words::trained(&session.trained),
                other => format!("{other}; {}", words::trained(&session.trained)),
            };
            let narrowed: Vec<&str> = session.limits().map(ConsentLimit::id).collect();
            let remark =
                if narrowed.is_empty() { remark } else { format!("{remark}; {}", narrowed.join(", ")) };
            let open = if session.closed.is_none() { "cut off; " } else { "" };
            let rest = text::cut(&format!("{open}{remark}"), self.columns - text::columns(&start), "…");
            writeln!(f, "{start}{rest}")?;
        }
        Ok(())
    }

    fn stretches(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let head = text::pad("  stretch and side, answers 1 to 5 over time", self.answers() + 10, "…");
        writeln!(f, "\n{head} level   held  degrees")?;
        for (stretch, series) in insight::series(self.client) {
            if !self.filter.takes(stretch, self.catalogue) {
                continue;
            }
            let name = self.catalogue.stretch(stretch).map_or(stretch.as_str(), |stretch| &stretch.name);
            writeln!(f, "\n  {}", Safe::from_foreign(name))?;
            for (side, points) in &series {
                self.row(f, *side, points)?;
            }
            if self.filter.stretch.is_some() {
                self.plots(f, &series)?;
            }
        }
        Ok(())
    }

    fn row(&self, f: &mut fmt::Formatter<'_>, side: Option<Side>, points: &[Observation]) -> fmt::Result {
        let shown: Vec<&Observation> =
            points.iter().filter(|point| self.filter.since.is_none_or(|since| point.date >= since)).collect();
        let room = self.answers();
        let youngest = &shown[shown.len().saturating_sub(room)..];
        let answers: String = youngest.iter().map(|point| self.sign(point)).collect();
        // The last five are what the trainer meets next time.
        let last = &shown[shown.len().saturating_sub(5)..];
        let level = mean(last.iter().filter_map(|point| point.level).map(|level| level.get().into()));
        let held = last.last().map_or(Seconds::ZERO, |point| point.held);
        let angle = shown.iter().rev().find_map(|point| point.angle);
        let angle = angle.map_or_else(String::new, |angle| angle.get().to_string());
        let answers = text::pad(&answers, room, "…");
        let line =
            format!("    {:<5}  {answers} {level:>5}  {:>3} s  {angle:>7}", words::side(side), held.get());
        writeln!(f, "{}", line.trim_end())
    }

    /// Answers that a line of levels shows at most, youngest last.
    const fn answers(&self) -> usize {
        let room = self.columns.saturating_sub(BESIDE_ANSWERS);
        if room < 10 { 10 } else { room }
    }

    fn sign(&self, point: &Observation) -> char {
        match point.level.map(crate::body::Level::get) {
            None => '.',
            Some(level) if self.ascii => char::from(b'0' + level),
            Some(level) => HEIGHTS[usize::from(level - 1)],
        }
    }

    fn plots(&self, f: &mut fmt::Formatter<'_>, series: &Series) -> fmt::Result {
        for measure in [Measure::Level, Measure::Held, Measure::Angle] {
            if let Some(chart) = chart(series, measure, self.filter.since) {
                writeln!(f)?;
                for line in plot::plot(&chart, self.columns - 2) {
                    writeln!(f, "  {line}")?;
                }
            }
        }
        Ok(())
    }

    fn norms(&self, f: &mut fmt::Formatter<'_>, learned: &Learned) -> fmt::Result {
        let shown = |norm: &&NormVerdict| {
            (self.filter.muscles.is_empty() || self.filter.muscles.contains(&norm.muscle))
                && self.filter.since.is_none_or(|since| norm.on >= since)
        };
        let words = ClaimWords { catalogue: self.catalogue, today: self.today };
        let mut norms = learned.norms().iter().filter(shown).peekable();
        if norms.peek().is_some() {
            writeln!(f, "\nMeasured in the last four months, against a published sample")?;
        }
        for norm in norms {
            for (number, line) in
                text::wrap(&Safe::from_foreign(words.norm(norm)), self.columns - 4).iter().enumerate()
            {
                writeln!(f, "{}{line}", if number == 0 { "  " } else { "    " })?;
            }
        }
        Ok(())
    }

    fn week(&self, f: &mut fmt::Formatter<'_>, learned: &Learned) -> fmt::Result {
        let last_day = insight::last_day(self.client, self.today);
        let weekly = insight::weekly(self.client, self.catalogue, last_day);
        if weekly.is_empty() {
            return Ok(());
        }
        writeln!(f, "\nSeconds under stretch in the last seven days")?;
        for (unit, week) in weekly {
            let what = format!("{}, {}", unit.muscle.plain_name(), unit.side);
            let days = text::count(usize::try_from(week.days).unwrap_or(0), "day");
            let standing = week.standing(Guidance::default()).words();
            writeln!(f, "  {what:<34} {:>4} s on {days:<7} {standing}", week.held.get())?;
        }
        let mut dose = OwnDose::of(self.client, self.catalogue, learned, last_day);
        dose.keep(|muscle| self.filter.takes_muscle(muscle, self.catalogue));
        let lines = std::iter::once(guidance(dose.guidance)).chain(dose_lines(&dose));
        for line in lines.flat_map(|line| text::wrap(&line, self.columns - 2)) {
            writeln!(f, "  {line}")?;
        }
        Ok(())
    }

    fn claims(&self, f: &mut fmt::Formatter<'_>, learned: &Learned) -> fmt::Result {
        let words = ClaimWords { catalogue: self.catalogue, today: self.today };
        for (heading, claims) in [("Next time", learned.claims()), ("More", learned.details())] {
            if !claims.is_empty() {
                writeln!(f, "\n{heading}")?;
            }
            for claim in claims {
                for (number, line) in text::wrap(&Safe::from_foreign(words.sentence(claim)), self.columns - 4)
                    .iter()
                    .enumerate()
                {
                    writeln!(f, "{}{line}", if number == 0 { "  " } else { "    " })?;
                }
            }
        }
        Ok(())
    }
}

/// The mean with one place after the point, rounded half up; a dash where there is none.
fn mean(numbers: impl Iterator<Item = u32>) -> String {
    let (sum, count) = numbers.fold((0, 0), |(sum, count), number| (sum + number, count + 1));
    if count == 0 {
        return "-".to_owned();
    }
    let tenths = (sum * 20 + count) / (2 * count);
    format!("{}.{}", tenths / 10, tenths % 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_is_rounded_half_up_and_a_dash_where_there_is_none() {
        assert_eq!(mean([].into_iter()), "-");
        assert_eq!(mean([4].into_iter()), "4.0");
        assert_eq!(mean([3, 4, 4].into_iter()), "3.7");
        assert_eq!(mean([3, 3, 3, 4].into_iter()), "3.3");
    }
}
