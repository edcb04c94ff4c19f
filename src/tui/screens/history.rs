//! What does it tell? Each stretch over time, left against right; the sessions; the weeks; the quarters.

pub mod advised;
mod compare;
mod lines;
mod quarter_plots;
mod quarters;
pub mod sessions;
pub mod weeks;
pub mod when;

use std::collections::BTreeMap;

use chrono::NaiveDate;
use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::Muscle;
use crate::catalogue::StretchId;
use crate::client::{Client, ClientId, Ended, Report, Session};
use crate::insight::habit::{GuidanceShare, guidance_share};
use crate::insight::quarters::Quarters;
use crate::insight::{self, HeldAgainst, amount};
use crate::tui::canvas::{self, Canvas};
use crate::tui::effect::Effect;
use crate::tui::event::{Now, Reply, ScreenEvent};
use crate::tui::go::{CardOf, Go, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::shared::{Context, Shared};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::field::{Field, FieldView};
use crate::tui::widgets::plot::{Plot, Point};
use crate::tui::words::{ago, side_words};

use compare::{compared, last_days, value};
use when::When;

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tab {
    NextTime,
    Levels,
    Holds,
    Angles,
    Sessions,
    Weeks,
    Quarters,
}

impl Tab {
    const ALL: [Self; 7] = [
        Self::NextTime,
        Self::Levels,
        Self::Holds,
        Self::Angles,
        Self::Sessions,
        Self::Weeks,
        Self::Quarters,
    ];

    const fn name(self) -> &'static str {
        match self {
            Self::NextTime => "next time",
            Self::Quarters => "quarters",
            Self::Levels => "levels",
            Self::Holds => "seconds",
            Self::Angles => "angles",
            Self::Sessions => "sessions",
            Self::Weeks => "weeks",
        }
    }

    fn next(self, forward: bool) -> Self {
        let at = Self::ALL.iter().position(|tab| *tab == self).unwrap_or(0);
        let by = if forward { 1 } else { Self::ALL.len() - 1 };
        Self::ALL[(at + by) % Self::ALL.len()]
    }
}

/// The history of one client.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    tab: Tab,
    filter: Field,
    /// Whether something is looked for: letters are typed.
    finding: bool,
    chosen: usize,
    /// The step that is looked at of the session that is open, or the row of the table that is.
    open: Option<usize>,
}

/// All that was done of one stretch, with the day.
type Done<'a> = Vec<(NaiveDate, &'a Report)>;

impl State {
    /// The history of a client.
    pub fn new(id: ClientId) -> Self {
        Self { id, tab: Tab::NextTime, filter: Field::default(), finding: false, chosen: 0, open: None }
    }

    /// The keys that hold here.
    pub const fn mode(&self) -> Mode {
        match self.tab {
            _ if self.finding => Mode::HistoryFind,
            Tab::Sessions if self.open.is_some() => Mode::HistorySession,
            Tab::Quarters if self.open.is_some() => Mode::HistoryTable,
            _ => Mode::History,
        }
    }

    /// The stretches that were done and match what was typed, the latest first.
    fn stretches<'a>(
        &self,
        client: &'a Client,
        shared: &Shared,
        today: NaiveDate,
    ) -> Vec<(&'a StretchId, Done<'a>)> {
        let when = self.when(shared, today);
        let mut done: BTreeMap<&StretchId, Done<'a>> = BTreeMap::new();
        for session in client.sessions.iter().filter(|session| when.covers(session.at.date_naive())) {
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
                text::matches(&words, &when.words)
            })
            .collect();
        done.sort_by_key(|(stretch, reports)| {
            (std::cmp::Reverse(reports.last().map(|(on, _)| *on)), *stretch)
        });
        done
    }

    /// The days and words that were typed.
    fn when(&self, shared: &Shared, today: NaiveDate) -> When {
        // A month is a month unless a stretch or a muscle is called so.
        let is_name = |word: &str| {
            let mut muscles = Muscle::ALL.iter();
            muscles.any(|muscle| text::matches(muscle.plain_name(), word))
                || shared.catalogue.stretches().iter().any(|stretch| text::matches(&stretch.name, word))
        };
        When::read(self.filter.text(), today, is_name)
    }

    /// The sessions of those days in which a stretch or muscle of that name occurs, oldest first.
    fn sessions<'a>(&self, client: &'a Client, shared: &Shared, today: NaiveDate) -> Vec<&'a Session> {
        let when = self.when(shared, today);
        let names = |session: &Session| {
            let trained = session.trained.keys().map(|muscle| muscle.plain_name().to_owned());
            let done = session.reports.values().map(|report| name(shared, &report.stretch));
            trained.chain(done).collect::<Vec<_>>().join(" ")
        };
        let of_days = client.sessions.iter().filter(|session| when.covers(session.at.date_naive()));
        of_days
            .filter(|session| when.words.is_empty() || text::matches(&names(session), &when.words))
            .collect()
    }

    fn weeks(&self, client: &Client, shared: &Shared, today: NaiveDate) -> Vec<weeks::Row> {
        let when = self.when(shared, today);
        weeks::weeks(client, shared, when.last_day(insight::last_day(client, today)), &when.words)
    }

    /// Which week stands first: the last one, or the one that ends with the days that were typed.
    fn week_title(&self, client: &Client, shared: &Shared, today: NaiveDate) -> String {
        let latest = insight::last_day(client, today);
        let last = self.when(shared, today).last_day(latest);
        if last < latest {
            format!("week to {}", last.format("%-d %b %Y"))
        } else {
            "last seven days".to_owned()
        }
    }

    /// What the client has of published guidance.
    fn share(&self, client: &Client, shared: &Shared, today: NaiveDate) -> Option<GuidanceShare> {
        let last_day = self.when(shared, today).last_day(insight::last_day(client, today));
        guidance_share(client, &shared.catalogue, last_day)
    }

    fn advised(&self, client: &Client, shared: &Shared, today: NaiveDate) -> Vec<advised::Line> {
        advised::advised(client, shared, today, &self.when(shared, today).words)
    }

    /// Keys while one session is open; whether the key was one for it.
    fn act_open(&mut self, action: Action, (count, steps): (usize, usize)) -> bool {
        let Some(row) = self.open.as_mut() else { return false };
        if ListChoice(row).act(action, steps) {
            return true;
        }
        match action {
            Action::Back => self.open = None,
            Action::Left | Action::Right if self.tab == Tab::Quarters => {
                let to = if action == Action::Left { Action::Up } else { Action::Down };
                ListChoice(&mut self.chosen).act(to, count);
                self.open = Some(0);
            }
            Action::Left | Action::Right => {
                let to = if action == Action::Left { Action::Down } else { Action::Up };
                ListChoice(&mut self.chosen).act(to, count);
                self.open = Some(0);
            }
            Action::OpenPlan | Action::OpenCard | Action::Find => return false,
            _ => {}
        }
        true
    }

    /// How many rows there are to choose from.
    fn count(&self, client: &Client, shared: &Shared, today: NaiveDate) -> usize {
        match self.tab {
            Tab::NextTime => self.advised(client, shared, today).len(),
            Tab::Sessions => self.sessions(client, shared, today).len(),
            Tab::Quarters => quarters::talks(&Quarters::of(client, &shared.catalogue, today)).len(),
            Tab::Weeks => self.weeks(client, shared, today).len(),
            _ => self.stretches(client, shared, today).len(),
        }
    }

    /// How many rows what is open, or would be, has: steps of a session or rows of a table.
    fn open_rows(&self, client: &Client, shared: &Shared, today: NaiveDate) -> usize {
        if self.tab == Tab::Quarters {
            return quarters::rows(client, self.chosen, (shared, today)).len();
        }
        let sessions = self.sessions(client, shared, today);
        sessions.iter().rev().nth(self.chosen).map_or(0, |session| session.reports.len())
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let action = match event {
            ScreenEvent::Opened => {
                context.ask(Effect::Load(self.id.clone()));
                return Go::Stay;
            }
            ScreenEvent::Reply(Reply::Pages(Ok(words))) => {
                context.shared.say(Tone::Good, words.clone());
                return Go::Stay;
            }
            ScreenEvent::Action(action) => *action,
            _ => return Go::Stay,
        };
        // Where letters are typed nothing is counted.
        let is_typed = matches!(action, Action::Type(_) | Action::Erase);
        let client = context.shared.clients.get(&self.id).filter(|_| !is_typed);
        let today = context.today();
        let count = client.map_or(0, |client| self.count(client, context.shared, today));
        let steps = client.map_or(0, |client| self.open_rows(client, context.shared, today));
        if self.act_open(action, (count, steps)) {
            return Go::Stay;
        }
        match action {
            Action::Type(_) | Action::Erase | Action::EraseWord | Action::EraseLine => {
                self.filter.edit(action);
                self.chosen = 0;
            }
            Action::Left | Action::Right if self.finding => self.filter.edit(action),
            action if ListChoice(&mut self.chosen).act(action, count) => {}
            Action::Left | Action::Right => {
                self.tab = self.tab.next(action == Action::Right);
                self.chosen = 0;
            }
            Action::Find => self.finding = true,
            Action::Choose if self.finding => self.finding = false,
            Action::Choose if matches!(self.tab, Tab::Sessions | Tab::Quarters) => {
                self.open = (count > 0).then_some(0);
            }
            Action::Choose => self.open_chosen(context.shared, today),
            Action::OpenPlan => {
                return Go::Replace(Visit::Plan { who: self.id.clone(), take_up: None });
            }
            Action::OpenCard => return Go::Open(Visit::Card(CardOf::Known(self.id.clone()))),
            Action::WritePages => context.ask(Effect::WritePages(self.id.clone(), None)),
            Action::Back if self.finding || !self.filter.is_empty() => {
                self.filter.clear();
                self.finding = false;
            }
            Action::Back => return Go::Back,
            _ => {}
        }
        Go::Stay
    }

    /// The sessions in which the marked stretch or muscle was.
    fn open_chosen(&mut self, shared: &Shared, today: NaiveDate) {
        let Some(client) = shared.clients.get(&self.id) else { return };
        let found = match self.tab {
            Tab::Levels | Tab::Holds | Tab::Angles => {
                let stretches = self.stretches(client, shared, today);
                stretches.get(self.chosen).map(|(stretch, _)| name(shared, stretch))
            }
            _ => None,
        };
        if let Some(found) = found {
            self.filter = Field::holding(&found);
        }
        (self.tab, self.chosen) = (Tab::Sessions, 0);
    }

    /// Draws the history.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let today = now.wall.date_naive();
        let Some(client) = shared.clients.get(&self.id) else {
            canvas.row(area, 0, Tone::Dim, "reading the file");
            return;
        };
        self.draw_title(area, client, canvas);
        let field = FieldView {
            field: &self.filter,
            hint: "/ finds a stretch, a muscle or days: neck, october, since 2026-03",
            active: self.finding,
            theme: canvas.theme,
        };
        (&field).render(canvas::top(canvas::below(area, 1), 1), canvas.buf);
        let rest = canvas::below(area, 3);
        if client.sessions.is_empty() {
            canvas.row(rest, 0, Tone::Text, "No session yet. Enter plans the first one.");
            return;
        }
        match self.tab {
            Tab::NextTime => {
                let lines = self.advised(client, shared, today);
                // The weeks beside what is advised, or below it, where there is room.
                let (left, right) = if rest.width >= 180 {
                    canvas::split(rest, 96, 4)
                } else {
                    let used = advised::rows(rest, &lines) + 2;
                    let used = if rest.height >= used + 8 { used } else { rest.height };
                    (canvas::top(rest, used), canvas::below(rest, used))
                };
                advised::draw(left, &lines, self.chosen, canvas);
                let weeks = self.weeks(client, shared, today);
                let title = self.week_title(client, shared, today);
                weeks::draw(right, (&title, &weeks, self.share(client, shared, today)), None, canvas);
                // What is left shows the last sessions.
                let used = advised::rows(left, &lines).max(cells(weeks.len()) + 4) + 1;
                let room = if right.x > left.x {
                    canvas::below(rest, used)
                } else {
                    canvas::below(right, cells(weeks.len()) + 5)
                };
                if room.height >= 6 {
                    canvas.row(room, 0, Tone::Strong, "The last sessions");
                    let sessions = self.sessions(client, shared, today);
                    sessions::draw_bands(canvas::below(room, 1), &sessions, None, canvas, shared);
                }
            }
            Tab::Levels | Tab::Holds | Tab::Angles => {
                self.draw_stretches(rest, client, canvas, shared, today);
            }
            Tab::Quarters => quarters::draw(rest, client, (self.chosen, self.open), canvas, (shared, today)),
            Tab::Sessions => self.draw_sessions(rest, client, canvas, shared, today),
            Tab::Weeks => self.draw_weeks(rest, client, canvas, shared, today),
        }
    }

    fn draw_sessions(
        &self,
        area: Rect,
        client: &Client,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
        today: NaiveDate,
    ) {
        let sessions = self.sessions(client, shared, today);
        let chosen = sessions.iter().rev().nth(self.chosen);
        if let (Some(row), Some(session)) = (self.open, chosen) {
            sessions::draw_one(area, session, row, canvas, shared);
        } else {
            sessions::draw_list(area, &sessions, self.chosen, canvas, (shared, today));
        }
    }

    fn draw_weeks(
        &self,
        area: Rect,
        client: &Client,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
        today: NaiveDate,
    ) {
        let weeks = self.weeks(client, shared, today);
        let title = self.week_title(client, shared, today);
        let share = self.share(client, shared, today);
        let used = weeks::draw(area, (&title, &weeks, share), Some(self.chosen), canvas);
        let room = canvas::below(area, used + 1);
        let Some((muscle, _)) = weeks.get(self.chosen).filter(|_| room.height >= weeks::COURSE.0) else {
            return;
        };
        let last_day = self.when(shared, today).last_day(insight::last_day(client, today));
        let first = client.sessions.first().map_or(last_day, |session| session.at.date_naive());
        let count = usize::try_from((last_day - first).num_days() / 7 + 1).unwrap_or(1).min(weeks::YEAR);
        let course = amount::course(client, &shared.catalogue, *muscle, last_day, count);
        weeks::draw_course(room, (*muscle, &course), canvas);
    }

    /// The name, and which of the looks is shown; where there is no room for all, the shown one alone.
    fn draw_title(&self, area: Rect, client: &Client, canvas: &mut Canvas<'_>) {
        let sessions = text::count(client.sessions.len(), "session");
        let mark = |tab: Tab| {
            if tab == self.tab { format!("[{}]", tab.name()) } else { format!(" {} ", tab.name()) }
        };
        if area.width < 96 {
            let at = Tab::ALL.iter().position(|tab| *tab == self.tab).unwrap_or(0) + 1;
            let words = format!("{} {at} of {}", mark(self.tab), Tab::ALL.len());
            canvas.title(area, &client.profile.name, &sessions, (Tone::Focus, &words));
            return;
        }
        canvas.heading(area, 0, &client.profile.name, &sessions);
        let width: usize = Tab::ALL.iter().map(|tab| tab.name().len() + 2).sum();
        let mut x = area.width.saturating_sub(cells(width));
        for tab in Tab::ALL {
            let tone = if tab == self.tab { Tone::Focus } else { Tone::Dim };
            x = canvas.at(area, x, 0, tone, &mark(tab));
        }
    }

    fn draw_stretches(
        &self,
        area: Rect,
        client: &Client,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
        today: NaiveDate,
    ) {
        let stretches = self.stretches(client, shared, today);
        if stretches.is_empty() {
            canvas.row(area, 0, Tone::Dim, "no stretch of that name in those days");
            return;
        }
        // A narrow terminal has the list above the words, and no plot.
        let (list, beside) = if area.width < 70 {
            let above = area.height.saturating_sub(3);
            (canvas::top(area, above), canvas::below(area, above))
        } else {
            canvas::split(area, (area.width / 3).clamp(26, 44), 3)
        };
        let first = canvas::first_shown(self.chosen, stretches.len(), list.height);
        for (index, (stretch, done)) in
            stretches.iter().enumerate().skip(first).take(usize::from(list.height))
        {
            let y = cells(index - first);
            canvas.choice(list, y, index, index == self.chosen);
            let columns = usize::from(list.width).saturating_sub(6);
            canvas.at(
                list,
                2,
                y,
                Tone::Text,
                &text::fit(&name(shared, stretch), columns, canvas.glyphs().ellipsis),
            );
            canvas.right(list, y, Tone::Dim, &done.len().to_string());
        }
        let Some((stretch, done)) = stretches.get(self.chosen) else { return };
        if area.width < 70 {
            let y = canvas.wrapped(beside, 0, Tone::Text, &compared(done, self.tab));
            let days = last_days(done, self.tab, canvas.glyphs());
            for (row, day) in days.iter().enumerate() {
                canvas.row(beside, y + cells(row), Tone::Dim, day);
            }
            if days.is_empty() {
                canvas.row(beside, y, Tone::Dim, "no angle was measured; d in the review");
            }
            return;
        }
        let newest = done.last().map(|(on, _)| ago(*on, today)).unwrap_or_default();
        canvas.heading(beside, 0, &name(shared, stretch), &format!("last {newest}"));
        canvas.sides_key(beside, 1);
        let points = points(done, self.tab);
        let rows =
            if beside.height >= 32 { beside.height / 2 } else { beside.height.saturating_sub(6).min(16) };
        // Levels lie a whole number of rows apart.
        let rows = if self.tab == Tab::Levels { rows.saturating_sub(2) / 4 * 4 + 2 } else { rows };
        let plot_area = Rect { height: rows, ..canvas::below(beside, 3) };
        let norm = if self.tab == Tab::Angles { norm_of(done, client, shared, today) } else { None };
        let (low, high, lines) = scale(&points, self.tab, norm.as_ref());
        let plot = Plot { points: &points, low, high, lines: &lines, theme: canvas.theme };
        (&plot).render(plot_area, canvas.buf);
        let below = canvas::below(beside, 3 + plot_area.height + 1);
        if points.is_empty() {
            canvas.row(beside, 3, Tone::Dim, "no angle was measured; d in the review notes one");
        }
        let mut y = canvas.wrapped(below, 0, Tone::Text, &compared(done, self.tab));
        if let Some(norm) = norm {
            let words =
                format!("norm {:.0} degrees: the mean of a sample ({}), no aim", norm.mean, norm.norm.source);
            y = canvas.wrapped(below, y, Tone::Dim, &words);
        }
        draw_reports(canvas::below(below, y + 1), done, canvas);
    }
}

/// What was done of a stretch, a row each, the newest first, as far as there is room.
fn draw_reports(area: Rect, done: &Done<'_>, canvas: &mut Canvas<'_>) {
    if area.height < 3 {
        return;
    }
    let glyphs = canvas.glyphs();
    for ((on, report), y) in done.iter().rev().zip(0..area.height) {
        let tone = Theme::side(report.side);
        let side = format!("{} {:<5}", glyphs.side(report.side), side_words(report.side));
        let (bar, level) = report.level.map_or((" ", "-".to_owned()), |level| {
            (glyphs.levels[usize::from(level.get()) - 1], level.to_string())
        });
        let cycles =
            if report.cycles > 0 { format!("   {} x contract-relax", report.cycles) } else { String::new() };
        let angle = report.angle().map(|angle| format!("   {} degrees", angle.get())).unwrap_or_default();
        let x = canvas.at(area, 0, y, Tone::Dim, &format!("{:>11}", on.format("%-d %b %Y")));
        let x = canvas.at(area, x + 2, y, tone, &side);
        let x = canvas.at(area, x + 2, y, Tone::Text, &format!("{:>5}", report.held.to_string()));
        // In ASCII the bars are numbers, too.
        let bar = if canvas.theme.ascii { "" } else { bar };
        let level = [(Tone::Dim, "   level "), (Tone::Strong, &level), (Tone::Text, " "), (tone, bar)];
        let x = canvas.spans(area, x, y, &level);
        canvas.at(area, x, y, Tone::Dim, &format!("{cycles}{angle}"));
    }
}

/// What a trainer calls a stretch.
fn name(shared: &Shared, stretch: &StretchId) -> String {
    shared.catalogue.stretch(stretch).map_or_else(|| stretch.to_string(), |stretch| stretch.name.clone())
}

/// The reports as points of a plot.
fn points(done: &Done<'_>, tab: Tab) -> Vec<Point> {
    done.iter()
        .filter_map(|(on, report)| Some(Point { on: *on, side: report.side, value: value(report, tab)? }))
        .collect()
}

/// What the angles are held against: that of the form that was measured last.
fn norm_of(done: &Done<'_>, client: &Client, shared: &Shared, today: NaiveDate) -> Option<HeldAgainst> {
    let (_, last) = done.iter().rev().find(|(_, report)| report.angle().is_some())?;
    let (_, form) = shared.catalogue.form(&last.stretch, &last.form)?;
    insight::held_against(form, client, today)
}

/// The range of a plot, and its lines.
fn scale(points: &[Point], tab: Tab, norm: Option<&HeldAgainst>) -> (i32, i32, Vec<(i32, String)>) {
    if tab == Tab::Angles {
        #[expect(clippy::cast_possible_truncation, reason = "a norm is a few hundred degrees at most")]
        let mean = norm.map(|norm| norm.mean.round().clamp(-360.0, 360.0) as i32);
        let values = || points.iter().map(|point| point.value).chain(mean);
        let low = values().min().unwrap_or(0).div_euclid(10) * 10;
        let high = values().max().unwrap_or(0).div_euclid(10) * 10 + 10;
        let far = |value: &i32| mean.is_none_or(|mean| (mean - *value).abs() > (high - low) / 12);
        let mut lines: Vec<(i32, String)> =
            [low, high].into_iter().filter(far).map(|value| (value, value.to_string())).collect();
        lines.extend(mean.map(|mean| (mean, format!("norm {mean}"))));
        return (low, high, lines);
    }
    if tab == Tab::Levels {
        return (1, 5, (1..=5).map(|level| (level, level.to_string())).collect());
    }
    let most = points.iter().map(|point| point.value).max().unwrap_or(0).clamp(30, 36_000);
    let most = (most + 29) / 30 * 30;
    let each = if most > 60 { 30 } else { 10 };
    (0, most, (0..=most).step_by(each).map(|seconds| (seconds, format!("{seconds} s"))).collect())
}
