//! What does it tell? Each stretch over time, left against right; the sessions; the weeks.

use std::collections::BTreeMap;

use chrono::{NaiveDate, Weekday};
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Muscle, Seconds, Side};
use crate::catalogue::StretchId;
use crate::client::{Client, ClientId, Ended, Report};
use crate::tui::app::{Context, Shared};
use crate::tui::effect::Effect;
use crate::tui::keys::{Action, Place};
use crate::tui::msg::Now;
use crate::tui::paint::{self, Paint};
use crate::tui::screens::day::ago;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;
use crate::tui::widgets::field::{Field, FieldView};
use crate::tui::widgets::plot::{Plot, Point};
use crate::tui::widgets::ribbon::Ribbon;

use super::{Input, Next, Screen, client, plan};

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Look {
    Levels,
    Holds,
    Sessions,
    Weeks,
}

impl Look {
    const ALL: [Self; 4] = [Self::Levels, Self::Holds, Self::Sessions, Self::Weeks];

    const fn name(self) -> &'static str {
        match self {
            Self::Levels => "levels",
            Self::Holds => "seconds",
            Self::Sessions => "sessions",
            Self::Weeks => "weeks",
        }
    }

    fn next(self, forward: bool) -> Self {
        let at = Self::ALL.iter().position(|look| *look == self).unwrap_or(0);
        let by = if forward { 1 } else { Self::ALL.len() - 1 };
        Self::ALL[(at + by) % Self::ALL.len()]
    }
}

/// The history of one client.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    look: Look,
    filter: Field,
    chosen: usize,
}

/// All that was done of one stretch, with the day.
type Done<'a> = Vec<(NaiveDate, &'a Report)>;

impl State {
    /// The history of a client.
    pub fn new(id: ClientId) -> Self {
        Self { id, look: Look::Levels, filter: Field::default(), chosen: 0 }
    }

    /// The keys that hold here.
    pub const fn place(&self) -> Place {
        Place::History
    }

    /// The stretches that were done and match what was typed, the latest first.
    fn stretches<'a>(&self, client: &'a Client, shared: &Shared) -> Vec<(&'a StretchId, Done<'a>)> {
        let mut done: BTreeMap<&StretchId, Done<'a>> = BTreeMap::new();
        for session in &client.sessions {
            for report in session.reports.values().filter(|report| report.ended == Ended::Done) {
                done.entry(&report.stretch).or_default().push((session.at.date_naive(), report));
            }
        }
        let mut done: Vec<_> = done
            .into_iter()
            .filter(|(stretch, reports)| {
                let muscles: Vec<&str> = reports
                    .last()
                    .and_then(|(_, report)| shared.catalogue.form(&report.stretch, &report.form))
                    .map(|(_, form)| form.targets.iter().map(|target| target.muscle.plain_name()).collect())
                    .unwrap_or_default();
                let words = format!("{} {stretch} {}", name(shared, stretch), muscles.join(" "));
                text::matches(&words, self.filter.text())
            })
            .collect();
        done.sort_by_key(|(stretch, reports)| {
            (std::cmp::Reverse(reports.last().map(|(on, _)| *on)), *stretch)
        });
        done
    }

    /// Takes in what happened.
    pub fn update(&mut self, input: &Input<'_>, context: &mut Context<'_>) -> Next {
        let action = match input {
            Input::Opened => {
                context.ask(Effect::Load(self.id.clone()));
                return Next::Stay;
            }
            Input::Action(action) => *action,
            _ => return Next::Stay,
        };
        let count = match (context.shared.clients.get(&self.id), self.look) {
            (None, _) => 0,
            (Some(client), Look::Sessions) => client.sessions.len(),
            (Some(client), Look::Weeks) => weekly(client, context.shared, context.today()).len(),
            (Some(client), _) => self.stretches(client, context.shared).len(),
        };
        match action {
            Action::Type(letter) => self.filter.push(letter),
            Action::Erase => self.filter.erase(),
            Action::EraseWord => self.filter.erase_word(),
            Action::Up => self.chosen = paint::moved(self.chosen, count, -1),
            Action::Down => self.chosen = paint::moved(self.chosen, count, 1),
            Action::PageUp => self.chosen = paint::moved(self.chosen, count, -10),
            Action::PageDown => self.chosen = paint::moved(self.chosen, count, 10),
            Action::NextPart | Action::Right => self.look = self.look.next(true),
            Action::PreviousPart | Action::Left => self.look = self.look.next(false),
            Action::OpenPlan | Action::Choose => {
                return Next::Replace(Box::new(Screen::Plan(Box::new(plan::State::new(self.id.clone())))));
            }
            Action::OpenClient => {
                return Next::Open(Box::new(Screen::Client(Box::new(client::State::edit(self.id.clone())))));
            }
            Action::Back if !self.filter.is_empty() => self.filter.clear(),
            Action::Back => return Next::Back,
            _ => {}
        }
        if matches!(
            action,
            Action::Type(_)
                | Action::Erase
                | Action::EraseWord
                | Action::NextPart
                | Action::PreviousPart
                | Action::Left
                | Action::Right
        ) {
            self.chosen = 0;
        }
        Next::Stay
    }

    /// Draws the history.
    pub fn draw(&self, area: Rect, paint: &mut Paint<'_>, shared: &Shared, now: Now) {
        let today = now.wall.date_naive();
        let Some(client) = shared.clients.get(&self.id) else {
            paint.row(area, 0, Tone::Dim, "reading the file");
            return;
        };
        paint.heading(area, 0, &client.profile.name, &text::count(client.sessions.len(), "session"));
        let width: usize = Look::ALL.iter().map(|look| look.name().len() + 2).sum();
        let mut x = area.width.saturating_sub(cells(width));
        for look in Look::ALL {
            let tone = if look == self.look { Tone::Focus } else { Tone::Dim };
            let words =
                if look == self.look { format!("[{}]", look.name()) } else { format!(" {} ", look.name()) };
            x = paint.at(area, x, 0, tone, &words);
        }
        let field = FieldView {
            field: &self.filter,
            hint: "type a stretch or a muscle",
            active: true,
            theme: paint.theme,
        };
        (&field).render(paint::top(paint::below(area, 1), 1), paint.buf);
        let rest = paint::below(area, 3);
        if client.sessions.is_empty() {
            paint.row(rest, 0, Tone::Text, "No session yet. Enter plans the first one.");
            return;
        }
        match self.look {
            Look::Levels | Look::Holds => self.draw_stretches(rest, client, paint, shared, today),
            Look::Sessions => self.draw_sessions(rest, client, paint, shared, today),
            Look::Weeks => self.draw_weeks(rest, client, paint, shared, today),
        }
    }

    fn draw_stretches(
        &self,
        area: Rect,
        client: &Client,
        paint: &mut Paint<'_>,
        shared: &Shared,
        today: NaiveDate,
    ) {
        let stretches = self.stretches(client, shared);
        if stretches.is_empty() {
            paint.row(area, 0, Tone::Dim, "no stretch of that name was done");
            return;
        }
        let (list, beside) = paint::split(area, (area.width / 3).clamp(26, 44), 3);
        let first = paint::first_shown(self.chosen, stretches.len(), list.height);
        for (index, (stretch, done)) in
            stretches.iter().enumerate().skip(first).take(usize::from(list.height))
        {
            let y = cells(index - first);
            if index == self.chosen {
                paint.chosen(list, y);
            }
            let columns = usize::from(list.width).saturating_sub(6);
            paint.at(
                list,
                2,
                y,
                Tone::Text,
                &text::fit(&name(shared, stretch), columns, paint.glyphs().ellipsis),
            );
            paint.right(list, y, Tone::Dim, &done.len().to_string());
        }
        let Some((stretch, done)) = stretches.get(self.chosen) else { return };
        let newest = done.last().map(|(on, _)| ago(*on, today)).unwrap_or_default();
        paint.heading(beside, 0, &name(shared, stretch), &format!("last {newest}"));
        let glyphs = paint.glyphs();
        let key = [
            (Tone::Left, glyphs.points[0]),
            (Tone::Dim, " left   "),
            (Tone::Right, glyphs.points[1]),
            (Tone::Dim, " right   "),
            (Tone::Focus, glyphs.points[2]),
            (Tone::Dim, " both or equal"),
        ];
        paint.spans(beside, 0, 1, &key);
        let points = points(done, self.look);
        let plot_area = Rect { height: beside.height.saturating_sub(6).min(16), ..paint::below(beside, 3) };
        let (low, high, lines) = scale(&points, self.look);
        let plot = Plot { points: &points, low, high, lines: &lines, theme: paint.theme };
        (&plot).render(plot_area, paint.buf);
        let below = paint::below(beside, 3 + plot_area.height + 1);
        paint.wrapped(below, 0, Tone::Text, &compared(done));
    }

    fn draw_sessions(
        &self,
        area: Rect,
        client: &Client,
        paint: &mut Paint<'_>,
        shared: &Shared,
        today: NaiveDate,
    ) {
        let sessions = &client.sessions;
        let detail = if area.height >= 14 { 7 } else { 0 };
        let list = paint::top(area, area.height.saturating_sub(detail));
        let ribbons =
            sessions.iter().map(|session| Ribbon::of_session(session, &shared.catalogue, paint.theme));
        let longest = ribbons.map(|ribbon| ribbon.length).max().unwrap_or(1);
        // The newest stands at the bottom; the choice counts from it.
        let chosen = sessions.len() - 1 - self.chosen.min(sessions.len() - 1);
        let first = paint::first_shown(chosen, sessions.len(), list.height);
        for (index, session) in sessions.iter().enumerate().skip(first).take(usize::from(list.height)) {
            let y = cells(index - first);
            if index == chosen {
                paint.chosen(list, y);
            }
            let x = paint.at(list, 2, y, Tone::Dim, &session.at.format("%d %b %Y").to_string());
            let band =
                Rect { x: list.x + x + 2, width: list.width.saturating_sub(x + 2), y: list.y + y, height: 1 };
            // One scale for all, so that a long block looks longer than a short one.
            let ribbon =
                Ribbon { length: longest, ..Ribbon::of_session(session, &shared.catalogue, paint.theme) };
            (&ribbon).render(band, paint.buf);
        }
        let Some(session) = sessions.get(chosen).filter(|_| detail > 0) else { return };
        let below = paint::below(area, list.height + 1);
        let trained: Vec<String> =
            session.trained.keys().map(|muscle| muscle.plain_name().to_owned()).collect();
        let words = format!("{} min, {}; {}", session.minutes.get(), session.consent, text::list(&trained));
        paint.heading(below, 0, &ago(session.at.date_naive(), today), &words);
        (&Ribbon::of_session(session, &shared.catalogue, paint.theme))
            .render(paint::top(paint::below(below, 1), 4), paint.buf);
        paint.row(below, 5, Tone::Text, &session.note);
    }

    fn draw_weeks(
        &self,
        area: Rect,
        client: &Client,
        paint: &mut Paint<'_>,
        shared: &Shared,
        today: NaiveDate,
    ) {
        let weeks = weekly(client, shared, today);
        paint.row(
            area,
            0,
            Tone::Dim,
            "seconds under stretch for each muscle and side, this week and the three before",
        );
        let list = paint::below(area, 2);
        let first = paint::first_shown(self.chosen, weeks.len(), list.height);
        let most = weeks.iter().flat_map(|(_, weeks)| weeks.iter()).copied().max().unwrap_or(1).max(1);
        for (index, (muscle, seconds)) in weeks.iter().enumerate().skip(first).take(usize::from(list.height))
        {
            let y = cells(index - first);
            if index == self.chosen {
                paint.chosen(list, y);
            }
            let x = paint.at(
                list,
                2,
                y,
                Tone::Text,
                &text::pad(muscle.plain_name(), 26, paint.glyphs().ellipsis),
            );
            let mut x = x + 1;
            for week in seconds.iter().rev() {
                x = paint.at(list, x, y, Tone::Text, &format!("{:>6}", Seconds::new(*week).to_string()));
            }
            let room = u32::from(list.width.saturating_sub(x + 3));
            let columns = usize::try_from(seconds[0] * room / most).unwrap_or(0);
            paint.at(list, x + 2, y, Tone::Good, &paint.glyphs().levels[3].repeat(columns));
        }
    }

    /// The history as lines.
    pub fn lines(&self, shared: &Shared, now: Now) -> Vec<String> {
        let today = now.wall.date_naive();
        let Some(client) = shared.clients.get(&self.id) else { return vec!["Reading the file".to_owned()] };
        let mut lines = vec![format!(
            "{}, {}, {}",
            client.profile.name,
            text::count(client.sessions.len(), "session"),
            self.look.name()
        )];
        match self.look {
            Look::Levels | Look::Holds => {
                for (index, (stretch, done)) in self.stretches(client, shared).iter().enumerate() {
                    let mark = if index == self.chosen { "chosen: " } else { "" };
                    lines.push(format!(
                        "{mark}{}, {} reports, {}",
                        name(shared, stretch),
                        done.len(),
                        compared(done)
                    ));
                }
            }
            Look::Sessions => lines.extend(client.sessions.iter().rev().map(|session| {
                format!(
                    "{}: {} min, {}",
                    session.at.format("%Y-%m-%d"),
                    session.minutes.get(),
                    text::count(session.reports.len(), "report")
                )
            })),
            Look::Weeks => lines.extend(weekly(client, shared, today).iter().map(|(muscle, weeks)| {
                format!("{}: this week {} seconds, last week {}", muscle.plain_name(), weeks[0], weeks[1])
            })),
        }
        lines
    }
}

/// What a trainer calls a stretch.
fn name(shared: &Shared, stretch: &StretchId) -> String {
    shared.catalogue.stretch(stretch).map_or_else(|| stretch.to_string(), |stretch| stretch.name.clone())
}

/// The reports as points of a plot.
fn points(done: &Done<'_>, look: Look) -> Vec<Point> {
    done.iter()
        .filter_map(|(on, report)| {
            let value = match look {
                Look::Levels => u32::from(report.level?.get()),
                _ => report.held.get(),
            };
            Some(Point { on: *on, side: report.side, value })
        })
        .collect()
}

/// The range of a plot, and its lines.
fn scale(points: &[Point], look: Look) -> (u32, u32, Vec<(u32, String)>) {
    if look == Look::Levels {
        return (1, 5, (1..=5).map(|level| (level, level.to_string())).collect());
    }
    let most = points.iter().map(|point| point.value).max().unwrap_or(0).next_multiple_of(30).max(30);
    (0, most, (0..=most).step_by(30).map(|seconds| (seconds, format!("{seconds} s"))).collect())
}

/// Left against right over the last few times, in words.
fn compared(done: &Done<'_>) -> String {
    /// How many answers a side's mean is taken from.
    const LAST: usize = 5;
    let mean = |side: Side| {
        let levels: Vec<u32> = done
            .iter()
            .rev()
            .filter(|(_, report)| report.side == Some(side))
            .filter_map(|(_, report)| report.level.map(|level| u32::from(level.get())))
            .take(LAST)
            .collect();
        // Tenths of a level, rounded.
        let count = u32::try_from(levels.len()).unwrap_or(0);
        (count > 0).then(|| (levels.iter().sum::<u32>() * 20 / count).div_ceil(2))
    };
    let tenths = |tenths: u32| format!("{}.{}", tenths / 10, tenths % 10);
    match (mean(Side::Left), mean(Side::Right)) {
        (Some(left), Some(right)) => {
            let verdict = match left.abs_diff(right) {
                0..=4 => "much the same on both sides",
                _ if left > right => "the left side is tighter",
                _ => "the right side is tighter",
            };
            format!("Last five answers: left {}, right {}: {verdict}.", tenths(left), tenths(right))
        }
        _ => "Not enough answers to hold left against right.".to_owned(),
    }
}

/// Seconds a week for each muscle (the better supplied side), this week first, as far as anything was done.
fn weekly(client: &Client, shared: &Shared, today: NaiveDate) -> Vec<(Muscle, [u32; 4])> {
    let monday = today.week(Weekday::Mon).first_day();
    let mut sides: BTreeMap<(Muscle, Side), [u32; 4]> = BTreeMap::new();
    for session in &client.sessions {
        let days =
            monday.signed_duration_since(session.at.date_naive().week(Weekday::Mon).first_day()).num_days();
        let Some(week) = usize::try_from(days / 7).ok().filter(|week| *week < 4 && days >= 0) else {
            continue;
        };
        for report in session.reports.values() {
            let Some((_, form)) = shared.catalogue.form(&report.stretch, &report.form) else { continue };
            for target in &form.targets {
                for side in Side::ALL.iter().filter(|side| report.side.is_none_or(|worked| worked == **side))
                {
                    let held = report.held.get().saturating_mul(target.share.into()) / 100;
                    let weeks = sides.entry((target.muscle, *side)).or_default();
                    weeks[week] = weeks[week].saturating_add(held);
                }
            }
        }
    }
    let mut muscles: BTreeMap<Muscle, [u32; 4]> = BTreeMap::new();
    for ((muscle, _), weeks) in sides {
        let best = muscles.entry(muscle).or_default();
        for (best, week) in best.iter_mut().zip(weeks) {
            *best = week.max(*best);
        }
    }
    let mut muscles: Vec<_> = muscles.into_iter().collect();
    muscles.sort_by_key(|(muscle, weeks)| (std::cmp::Reverse(*weeks), *muscle));
    muscles
}
