//! What does it tell? The year of a client first; then each stretch, the weeks, the sessions, all years by quarter.
//!
//! All that is drawn is worked out as the history opens and when something else is looked for; a frame only draws.

mod axis;
mod course;
mod data;
mod draw;
mod full;
mod lines;
mod quarter_plots;
mod quarters;
mod rows;
mod sessions;
mod stretch;
mod view;
mod weeks;
mod when;
mod year;

use std::sync::Arc;

use chrono::NaiveDate;

use crate::client::{ClientId, Session};
use crate::tui::effect::Effect;
use crate::tui::event::ScreenEvent;
use crate::tui::go::{CardOf, Go, Visit};
use crate::tui::keys::{Action, Mode};
use crate::tui::list_choice::ListChoice;
use crate::tui::shared::{Context, Shared};
use crate::tui::widgets::field::Field;
use crate::words::date;

use data::HistoryData;
use rows::HistoryRows;
use view::HistoryView;

/// The history of one client.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    id: ClientId,
    view: HistoryView,
    filter: Field,
    /// Whether something is looked for: letters are typed.
    finding: bool,
    /// The chosen row of each view.
    chosen: [usize; HistoryView::ALL.len()],
    /// The step that is looked at of the session that is open, or the row of the table that is.
    open: Option<usize>,
    /// The first thing of all of it in full, while that is looked at.
    in_full: Option<usize>,
    /// What is known, once the client is read.
    data: Option<Arc<HistoryData>>,
    /// What of it matches what was typed.
    rows: HistoryRows,
}

impl State {
    /// The history of a client.
    pub fn new(id: ClientId) -> Self {
        Self {
            id,
            view: HistoryView::Year,
            filter: Field::default(),
            finding: false,
            chosen: Default::default(),
            open: None,
            in_full: None,
            data: None,
            rows: HistoryRows::default(),
        }
    }

    /// The keys that hold here.
    pub const fn mode(&self) -> Mode {
        match self.view {
            _ if self.finding => Mode::HistoryFind,
            _ if self.in_full.is_some() => Mode::HistoryFull,
            HistoryView::Sessions if self.open.is_some() => Mode::HistorySession,
            HistoryView::Quarters if self.open.is_some() => Mode::HistoryTable,
            HistoryView::Year => Mode::History,
            _ => Mode::HistoryView,
        }
    }

    /// The chosen row of a view.
    const fn chosen(&self, view: HistoryView) -> usize {
        self.chosen[view as usize]
    }

    const fn chosen_mut(&mut self) -> &mut usize {
        &mut self.chosen[self.view as usize]
    }

    /// The session that is open, with the step that is looked at.
    fn open_session<'a>(&self, data: &'a HistoryData) -> Option<(usize, &'a Session)> {
        let row = self.open.filter(|_| self.view == HistoryView::Sessions)?;
        let place = self.rows.session(self.chosen(HistoryView::Sessions))?;
        Some((row, data.session(place)?))
    }

    /// The sessions that match, the newest first.
    fn listed<'a>(&self, data: &'a HistoryData) -> Vec<&'a Session> {
        self.rows.sessions.iter().rev().filter_map(|place| data.session(*place)).collect()
    }

    /// Which week stands first: the last one, or the one that ends with the days that were typed.
    fn week_title(&self) -> String {
        if self.rows.is_latest && self.rows.week_end == self.rows.last_day {
            "these seven days".to_owned()
        } else {
            format!("week to {}", date::short_day(self.rows.week_end))
        }
    }

    /// Reads what is known of the client, unless that was done and nothing of it has changed.
    fn read(&mut self, shared: &Shared, today: NaiveDate) {
        let Some(client) = shared.clients.get(&self.id) else { return };
        let is_known = self.data.as_ref().is_some_and(|data| {
            data.today == today && (Arc::ptr_eq(&data.client, client) || data.client == *client)
        });
        if !is_known {
            self.data = Some(Arc::new(HistoryData::of(Arc::clone(client), &shared.catalogue, today)));
            self.look(shared);
        }
    }

    /// Works out what matches what was typed.
    fn look(&mut self, shared: &Shared) {
        if let Some(data) = &self.data {
            self.rows = HistoryRows::of(data, self.filter.text(), &shared.catalogue);
        }
    }

    /// Looks for something else, from the first row on.
    fn look_for(&mut self, filter: Field, shared: &Shared) {
        self.filter = filter;
        self.chosen = Default::default();
        self.look(shared);
    }

    /// Takes in what happened.
    pub fn update(&mut self, event: &ScreenEvent<'_>, context: &mut Context<'_>) -> Go {
        let today = context.today();
        let go = match event {
            ScreenEvent::Opened => {
                context.ask(Effect::Load(self.id.clone()));
                self.read(context.shared, today);
                Go::Stay
            }
            ScreenEvent::Reply(_) | ScreenEvent::Shown => {
                self.read(context.shared, today);
                Go::Stay
            }
            ScreenEvent::Action(action) => {
                self.read(context.shared, today);
                self.act(*action, context)
            }
            _ => return Go::Stay,
        };
        if let Some(data) = self.data.clone() {
            let marked = (self.chosen(HistoryView::Stretch), self.chosen(HistoryView::Weeks));
            self.rows.settle(&data, &context.shared.catalogue, marked);
        }
        go
    }

    fn act(&mut self, action: Action, context: &mut Context<'_>) -> Go {
        if self.act_open(action, context.shared) {
            return Go::Stay;
        }
        match action {
            Action::Type(_) | Action::Erase | Action::EraseWord | Action::EraseLine => {
                let mut filter = self.filter.clone();
                filter.edit(action);
                self.look_for(filter, context.shared);
            }
            Action::Left | Action::Right if self.finding => self.filter.edit(action),
            action if self.chooses(action, context.shared) => {}
            Action::Left | Action::Right => self.turn(action == Action::Right),
            Action::Find => self.finding = true,
            Action::InFull => self.in_full = Some(0),
            Action::Choose if self.finding => self.finding = false,
            Action::Choose => self.open_chosen(context.shared),
            Action::OpenPlan => {
                return Go::Replace(Visit::Plan { who: self.id.clone(), take_up: None });
            }
            Action::OpenCard => return Go::Open(Visit::Card(CardOf::Known(self.id.clone()))),
            Action::WritePages => return Go::Open(Visit::Pages(self.id.clone())),
            Action::Back if self.finding || !self.filter.is_empty() => {
                self.look_for(Field::default(), context.shared);
                self.finding = false;
            }
            Action::Back if self.view != HistoryView::Year => self.view = HistoryView::Year,
            Action::Back => return Go::Back,
            _ => {}
        }
        Go::Stay
    }

    /// Whether a key chose a row.
    fn chooses(&mut self, action: Action, shared: &Shared) -> bool {
        let count = self.data.as_ref().map_or(0, |data| self.rows.count(self.view, data, &shared.catalogue));
        ListChoice(self.chosen_mut()).act(action, count)
    }

    /// Keys while all of it, a session or a table is open; whether the key was one for it.
    fn act_open(&mut self, action: Action, shared: &Shared) -> bool {
        let is_for_all =
            matches!(action, Action::OpenPlan | Action::OpenCard | Action::WritePages | Action::Find);
        if is_for_all {
            return false;
        }
        if let (Some(first), Some(data)) = (self.in_full.as_mut(), &self.data) {
            ListChoice(first).act(action, full::count(&full::parts(data, &self.rows)));
            self.in_full.take_if(|_| matches!(action, Action::Back | Action::InFull));
            return true;
        }
        let Some(mut row) = self.open else { return false };
        let Some(data) = self.data.clone() else { return false };
        if ListChoice(&mut row).act(action, self.open_rows(&data, shared)) {
            self.open = Some(row);
            return true;
        }
        let is_older = self.view == HistoryView::Sessions;
        match action {
            Action::Back => self.open = None,
            Action::Left | Action::Right => {
                let forward = (action == Action::Right) != is_older;
                self.chooses(if forward { Action::Down } else { Action::Up }, shared);
                self.open = Some(0);
            }
            _ => {}
        }
        true
    }

    /// How many rows what is open has: steps of a session or rows of a table.
    fn open_rows(&self, data: &HistoryData, shared: &Shared) -> usize {
        if self.view == HistoryView::Quarters {
            let quarters = data.quarters(&shared.catalogue);
            let chosen = self.chosen(HistoryView::Quarters);
            return quarters::rows(quarters, chosen, (shared, data.today)).len();
        }
        self.open_session(data).map_or(0, |(_, session)| session.reports.len())
    }

    /// To another view; a stretch that is marked in the year is the one that is looked at.
    fn turn(&mut self, forward: bool) {
        let marked = self.chosen(HistoryView::Year);
        if self.view == HistoryView::Year && marked < self.rows.stretches.len() {
            self.chosen[HistoryView::Stretch as usize] = marked;
        }
        self.view = self.view.next(forward);
    }

    /// Opens the marked stretch or session, a table, or the sessions in which the marked stretch or muscle was.
    fn open_chosen(&mut self, shared: &Shared) {
        let Some(data) = self.data.clone() else { return };
        let chosen = *self.chosen_mut();
        let stretches = self.rows.stretches.len();
        match self.view {
            HistoryView::Year if chosen < stretches => {
                self.chosen[HistoryView::Stretch as usize] = chosen;
                self.view = HistoryView::Stretch;
            }
            HistoryView::Year => {
                let last = self.rows.last_sessions().len();
                if let Some(row) = (last + stretches).checked_sub(chosen + 1).filter(|_| last > 0) {
                    self.chosen[HistoryView::Sessions as usize] = row;
                    (self.view, self.open) = (HistoryView::Sessions, Some(0));
                }
            }
            HistoryView::Stretch => {
                let name = self.rows.stretches.get(chosen).map(|row| data.courses[row.course].name.clone());
                self.open_sessions_of(name, shared);
            }
            HistoryView::Weeks => {
                let name = self.rows.weeks.get(chosen).map(|(muscle, _)| muscle.plain_name().to_owned());
                self.open_sessions_of(name, shared);
            }
            HistoryView::Sessions | HistoryView::Quarters => {
                let count = self.rows.count(self.view, &data, &shared.catalogue);
                self.open = (count > 0).then_some(0);
            }
        }
    }

    fn open_sessions_of(&mut self, name: Option<String>, shared: &Shared) {
        if let Some(name) = name {
            self.look_for(Field::holding(&name), shared);
            self.view = HistoryView::Sessions;
        }
    }
}
