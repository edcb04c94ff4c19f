//! Blocks that were cut off, the youngest and older ones: each is gone on with, closed or dropped.

use chrono::{DateTime, FixedOffset, TimeDelta};

use crate::client::{Client, Session};
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::keys::Action;
use crate::tui::list_choice::ListChoice;
use crate::tui::text::{self, cells};
use crate::tui::theme::Tone;

/// Which of the blocks is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct CutOff {
    pub(super) chosen: usize,
    /// Whether Enter drops it; one key alone drops nothing.
    pub(super) dropping: bool,
}

/// What a key means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CutOffDeed {
    /// Go on with the session of that moment.
    GoOn(DateTime<FixedOffset>),
    /// Look at what came out of it, and close it.
    Finish(DateTime<FixedOffset>),
    /// It counts for nothing.
    Drop(DateTime<FixedOffset>),
    /// Plan something else; it is asked again another time.
    Wait,
    /// Away from here.
    Leave,
    /// Nothing but another choice.
    Stay,
}

impl CutOff {
    /// Asks on about what is left, if something is.
    pub(super) fn go_on(self, client: &Client) -> Option<Self> {
        let left = client.cut_off().count();
        Some(Self { chosen: self.chosen.min(left.checked_sub(1)?), dropping: false })
    }

    pub(super) fn chosen(self, client: &Client) -> Option<&Session> {
        client.cut_off().nth(self.chosen)
    }

    /// What a key means here.
    pub(super) fn act(&mut self, action: Action, client: &Client) -> CutOffDeed {
        let Some(at) = self.chosen(client).map(|session| session.at) else { return CutOffDeed::Leave };
        let was_dropping = std::mem::take(&mut self.dropping);
        if ListChoice(&mut self.chosen).act(action, client.cut_off().count()) {
            return CutOffDeed::Stay;
        }
        match action {
            Action::Choose if was_dropping => {
                // The question stands until the file says that it is gone.
                self.dropping = true;
                CutOffDeed::Drop(at)
            }
            Action::Choose => CutOffDeed::GoOn(at),
            Action::Finish => CutOffDeed::Finish(at),
            Action::TakeOff => {
                self.dropping = true;
                CutOffDeed::Stay
            }
            Action::NextPart if may_wait(client) => CutOffDeed::Wait,
            Action::Back if !was_dropping => CutOffDeed::Leave,
            _ => CutOffDeed::Stay,
        }
    }

    /// The keys, with what they do.
    pub(super) fn keys(self, client: &Client) -> Vec<(&'static str, &'static str)> {
        if self.dropping {
            return vec![
                ("Enter", "drop it: it stays in the file and counts for nothing"),
                ("Esc", "keep it"),
            ];
        }
        let mut keys = vec![
            ("Enter", "take it up and plan the rest"),
            ("f", "look at what came out and close it"),
            ("x", "drop it, as something that did not happen"),
        ];
        if may_wait(client) {
            keys.push(("Tab", "plan another block; this one is offered again"));
        }
        keys.push(("Esc", "leave it as it is"));
        keys
    }

    /// How many blocks were cut off, and which is chosen.
    pub(super) fn words(self, client: &Client) -> String {
        let Some(session) = self.chosen(client) else { return String::new() };
        let steps = text::count(session.reports.len(), "step");
        let when = session.at.format("%-d %B, %H:%M");
        match client.cut_off().count() {
            1 => format!("The block of {when} was cut off after {steps}. Nothing of it is lost."),
            several => {
                format!(
                    "{several} blocks were cut off; the one of {when} was cut off after {steps}. Nothing is lost."
                )
            }
        }
    }

    /// The blocks that were cut off, where there are several.
    pub(super) fn rows(client: &Client) -> Vec<String> {
        let row = |session: &Session| {
            let steps = text::count(session.reports.len(), "step");
            format!("{}, {steps}", session.at.format("%-d %B %Y, %H:%M"))
        };
        let rows: Vec<String> = client.cut_off().map(row).collect();
        if rows.len() > 1 { rows } else { Vec::new() }
    }

    /// Draws them, with what can be done about the chosen one.
    pub(super) fn draw(self, client: &Client, area: Rect, canvas: &mut Canvas<'_>) {
        let mut y = canvas.wrapped(area, 0, Tone::Strong, &self.words(client)) + 1;
        let (rows, keys) = (Self::rows(client), self.keys(client));
        let room = area.height.saturating_sub(y + cells(keys.len()) + 1).max(1);
        let first = canvas::first_shown(self.chosen, rows.len(), room);
        for (index, words) in rows.iter().enumerate().skip(first).take(usize::from(room)) {
            canvas.choice(area, y, index, index == self.chosen);
            canvas.at(area, 2, y, Tone::Text, words);
            y += 1;
        }
        y += u16::from(!rows.is_empty());
        for (index, (key, words)) in keys.into_iter().enumerate() {
            let line = y + cells(index);
            canvas.spans(area, 2, line, &[(Tone::Focus, &text::pad(key, 6, "")), (Tone::Text, words)]);
        }
    }
}

/// Whether a later session is closed in the file, so that a new one may begin while an older one waits.
fn may_wait(client: &Client) -> bool {
    client.sessions.last().is_some_and(|last| last.closed.is_some())
}

/// When a block ended that nobody goes on with, unless that is now: when it was to end, if that is long ago or another
/// one has begun since.
pub(super) fn end_of(
    session: &Session,
    client: &Client,
    now: DateTime<FixedOffset>,
) -> Option<DateTime<FixedOffset>> {
    let planned = session.at + TimeDelta::minutes(session.minutes.get().into());
    let next = client.sessions.iter().map(|other| other.at).filter(|at| *at > session.at).min();
    let is_over = next.is_some() || now - planned > TimeDelta::hours(3);
    is_over.then(|| next.map_or(planned, |next| planned.min(next)).min(now))
}
