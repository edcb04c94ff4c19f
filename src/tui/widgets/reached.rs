//! What a session reached, on the body and in words beside it.

use std::collections::BTreeSet;

use ratatui::layout::Rect;

use crate::body::{Seconds, Side, Unit};
use crate::catalogue::Catalogue;
use crate::client::Session;
use crate::tui::canvas::{self, Canvas};
use crate::tui::shared::Shared;
use crate::tui::theme::Tone;

use super::body_view::BodyView;

/// What a session reached, on a figure of this size and in words beside it.
pub fn draw_reached(
    room: Rect,
    title: &str,
    session: &Session,
    (columns, rows): (u16, u16),
    canvas: &mut Canvas<'_>,
    shared: &Shared,
) {
    canvas.row(room, 0, Tone::Strong, title);
    let (reached, avoided) = (reached_in(session, &shared.catalogue), BTreeSet::new());
    let view = BodyView { trained: &session.trained, reached: &reached, avoided: &avoided, plain: false };
    let (left, right) = canvas.beside_body(canvas::below(room, 1), columns);
    canvas.body(canvas::top(left, rows), &view);
    let mut y = 1;
    for line in view.words() {
        y = canvas.wrapped(right, y, Tone::Dim, &line) + 1;
    }
}

/// What the steps of a session reached.
pub fn reached_in(session: &Session, catalogue: &Catalogue) -> BTreeSet<Unit> {
    let mut reached = BTreeSet::new();
    for report in session.reports.values().filter(|report| report.held > Seconds::ZERO) {
        let Some((_, form)) = catalogue.form(&report.stretch, &report.form) else { continue };
        for target in &form.targets {
            let sides = Side::ALL.iter().filter(|side| report.side.is_none_or(|worked| worked == **side));
            reached.extend(sides.map(|side| Unit { muscle: target.muscle, side: *side }));
        }
    }
    reached
}
