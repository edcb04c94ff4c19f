//! How the running block is drawn.

use crate::body::{Level, Seconds, Side};
use crate::client::Consent;
use crate::failure::Failure;
use crate::figure;
use crate::planner::Step;
use crate::session::{Pause, Snapshot, Stage};
use crate::strain::words::step_cue;
use crate::tui::canvas::{self, Canvas, Rect};
use crate::tui::event::Now;
use crate::tui::shared::Shared;
use crate::tui::text::{self, capitalised, cells, uncapitalised};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::ribbon::Ribbon;
use crate::tui::words::{all_about, card_sentence, dose_sentence, labels, side_words};

use super::count::{
    answer_spans, asked_spans, draw_answers, draw_band, draw_low_side, draw_seconds, draw_spans, draw_words,
    width_of,
};
use super::layout::{Places, Room};
use super::words::{self, LESS, PAIN, STOP, ease_off, lateness_words, phase_word, said_now};
use super::{LiveSheet, State};

/// A key with what it does.
type KeyWords = (&'static str, &'static str);

/// Columns of the words before what is said.
const LABELS: u16 = 7;

impl State {
    /// Draws the block at this moment, over the whole screen but for the row of keys.
    pub fn draw(&self, area: Rect, canvas: &mut Canvas<'_>, shared: &Shared, now: Now) {
        let phase = self.live.snapshot(now.moment);
        let places = Places::of(area);
        self.draw_edges(area, &places, &phase, canvas);
        self.draw_title(&places, &phase, canvas, now);
        self.draw_words(&places, &phase, canvas);
        self.draw_cautions(&places, canvas);
        if let (Some(first), Some(step), LiveSheet::Nothing) = (self.in_full, phase.step, self.sheet) {
            return self.draw_in_full(area, &places, (first, step), &phase, canvas, shared);
        }
        let standing = phase.paused.map(|pause| self.standing_words(pause, &phase, now));
        let has_question = self.sheet != LiveSheet::Nothing || self.live.stopped_for_pain().is_some();
        draw_band(
            &places,
            &phase,
            standing.as_deref().map(|words| if has_question { "" } else { words }),
            canvas,
        );
        if has_question {
            self.draw_choices(places.choices(), &phase, canvas, shared);
        } else {
            self.draw_number(&places, &phase, canvas);
            if let (Some(area), Some(step)) = (places.picture, phase.step)
                && let Some((_, form)) = shared.catalogue.form(&step.stretch, &step.form)
            {
                canvas.picture(area, form, step.side);
            }
            draw_trainer(&places, &phase, canvas);
            draw_cues(&places, &phase, canvas, shared);
            draw_last(&places, &phase, self.saved_word(), canvas);
        }
        if !self.draw_low_caution(&places, &phase, canvas) {
            let ribbon = Ribbon::of_block(&self.live, now.moment, &shared.catalogue, canvas.theme);
            ribbon.draw(places.ribbon, canvas.buf);
        }
        if let Some((tone, words)) = &shared.notice {
            let lines = text::wrap(&text::clean(words), usize::from(places.notice.width)).len();
            // It grows upwards, over the cues.
            let rows = cells(lines).clamp(1, if places.room == Room::Low { 2 } else { 3 });
            let y = places.notice.bottom().saturating_sub(rows);
            let area = Rect { y, height: rows, ..places.notice };
            canvas.clear(area);
            canvas.wrapped_most(area, 0, rows, *tone, words);
        }
    }

    /// The step whose side is a matter now: none where hands are off.
    fn worked<'s>(&self, phase: &Snapshot<'s>) -> Option<&'s Step> {
        let is_off = matches!(self.sheet, LiveSheet::Stop(_));
        phase.step.filter(|_| !is_off)
    }

    /// The side once more as a band down its edge: left is the client's left.
    fn draw_edges(&self, area: Rect, places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
        let Some(side) = self.worked(phase).map(|step| step.side) else { return };
        let style = canvas.theme.style(Theme::side(side));
        let at = |x| Rect { x, width: places.edge, ..area };
        let left = at(area.x);
        let right = at(area.right().saturating_sub(places.edge));
        let bands: &[Rect] = match side {
            Some(Side::Left) => &[left],
            Some(Side::Right) => &[right],
            None => &[left, right],
        };
        let whole = canvas.buf.area;
        for place in bands.iter().flat_map(|band| band.intersection(whole).positions()) {
            canvas.buf[place].set_symbol(canvas.theme.glyphs().edge).set_style(style);
        }
    }

    fn draw_title(&self, places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>, now: Now) {
        let row = places.title;
        let is_low = places.room == Room::Low;
        let until = Seconds::new(phase.until_due.unsigned_abs());
        let due = match (phase.paused.is_some(), phase.until_due >= 0) {
            // Nothing wakes the screen while the block stands still: a time of day stays true.
            (true, _) => {
                let up = now.wall + chrono::TimeDelta::seconds(phase.until_due.into());
                format!("up at {}", up.format("%H:%M"))
            }
            (false, true) if is_low => format!("up {until}"),
            (false, true) => format!("up in {until}"),
            (false, false) => format!("{until} over"),
        };
        let late = lateness_words(phase.lateness);
        let right = if is_low || phase.paused.is_some() { due } else { format!("{late}   {due}") };
        canvas.right(row, 0, Tone::Text, &right);
        let room = Rect { width: row.width.saturating_sub(cells(text::width(&right)) + 1), ..row };
        let name = phase.step.map_or("", |step| step.name.as_str());
        let (number, count) = (phase.number.max(1), phase.count);
        if is_low {
            let x = canvas.at(room, 0, 0, Tone::Text, &format!("{number}/{count}"));
            canvas.at(room, x + 1, 0, Tone::Text, name);
            return;
        }
        let x = canvas.at(room, 0, 0, Tone::Strong, &self.client.profile.name);
        let x = canvas.at(room, x + 2, 0, Tone::Dim, &format!("{number} of {count}"));
        if places.room == Room::Plain {
            canvas.at(room, x + 2, 0, Tone::Dim, name);
        }
    }

    fn draw_words(&self, places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
        let word = match self.sheet {
            LiveSheet::Stop(_) => ("STOP", Tone::HandsOff),
            LiveSheet::Less(_) => ("LESS", Tone::Strong),
            LiveSheet::Nothing if phase.paused == Some(Pause::Asked) && self.remote.has_eased_out() => {
                ("EASE", Tone::Strong)
            }
            LiveSheet::Nothing => phase_word(phase),
        };
        let worked = self.worked(phase).filter(|_| {
            let is_asked = is_asked(phase) && places.room == Room::Low;
            matches!(phase.paused, None | Some(Pause::Pain)) && !is_asked
        });
        let side = worked.map(|step| match step.side {
            Some(Side::Left) => ("LEFT", Tone::Left),
            Some(Side::Right) => ("RIGHT", Tone::Right),
            None => ("BOTH", Tone::Both),
        });
        draw_words(places, word, side, canvas);
    }

    /// The caution, what is not saved, and what the consent leaves out.
    fn draw_cautions(&self, places: &Places, canvas: &mut Canvas<'_>) {
        let mark = canvas.glyphs().caution;
        let in_force = self.restrictions.in_force();
        if let (Some(row), [first, rest @ ..]) = (places.caution, in_force) {
            let more = if rest.is_empty() { String::new() } else { format!("{} more  i", rest.len()) };
            canvas.right(row, 0, Tone::Dim, &more);
            let room = Rect { width: row.width.saturating_sub(cells(text::width(&more)) + 1), ..row };
            let sentence = card_sentence(first);
            canvas.spans(room, 0, 0, &[(Tone::Caution, mark), (Tone::Text, " "), (Tone::Text, &sentence)]);
        }
        let status = match self.outbox.failed().map(Failure::in_a_line) {
            Some(why) => Some((Tone::Caution, format!("{mark} not saved yet: {why}"))),
            None => words::narrowed(&self.live, &self.session).map(|words| (Tone::Text, words)),
        };
        if let Some((tone, words)) = status {
            let row = places.status.unwrap_or(places.asked);
            canvas.clear(row);
            canvas.row(row, 0, tone, &words);
        }
    }

    /// The caution in the row of the whole block while hands are placed, where it has no row of its own; whether it is
    /// there.
    fn draw_low_caution(&self, places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) -> bool {
        let in_force = self.restrictions.in_force();
        let (None, true, [first, rest @ ..]) = (places.caution, is_placed(phase), in_force) else {
            return false;
        };
        let more = if rest.is_empty() { String::new() } else { format!("+{} ", rest.len()) };
        let sentence = format!(" {more}{}", card_sentence(first));
        canvas.spans(
            places.ribbon,
            0,
            0,
            &[(Tone::Caution, canvas.glyphs().caution), (Tone::Text, &sentence)],
        );
        true
    }

    /// The seconds of work, or one to five in their place once a hold has ended.
    fn draw_number(&self, places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
        if phase.stage.is_work() || phase.stage == Stage::Massage {
            let bars = phase.paused.is_none();
            return draw_seconds(places, phase.left, Tone::Strong, bars, canvas);
        }
        if !is_asked(phase) {
            let dose = phase.step.filter(|_| places.room > Room::Low);
            let words = dose.map(|step| format!("{}, aim {}", dose_sentence(step.dose), step.aim));
            return canvas.row(places.asked, 0, Tone::Text, &words.unwrap_or_default());
        }
        let aim = phase.rated.map_or(Level::AIM, |step| step.aim);
        draw_answers(places, self.remote.counted().or(phase.level), aim, canvas);
        let is_low = places.room == Room::Low;
        if is_low && let Some(step) = phase.step {
            let mark = canvas.glyphs().side(step.side);
            draw_low_side(places, (mark, side_words(step.side), Theme::side(step.side)), canvas);
        }
        let spans = asked_spans(phase, self.saved_words(), is_low, places.asked.width);
        draw_spans(places.asked, &spans, canvas);
    }

    /// What there is to choose from where the block stands for pain, for stop, or since the client wants less.
    fn draw_choices(&self, area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>, shared: &Shared) {
        let is_low = area.height < 8;
        let (lines, choices): (Vec<(Tone, String)>, &[KeyWords]) = match self.sheet {
            LiveSheet::Nothing => match words::pain(&self.live, phase, shared) {
                // Where there is little room the row of keys says the rest.
                Some(pain) if is_low => (vec![(Tone::Text, pain.ask), (Tone::Strong, pain.what)], &[]),
                Some(pain) => {
                    (vec![(Tone::Strong, pain.what), (Tone::Text, pain.ask), (Tone::Text, pain.then)], &PAIN)
                }
                None => return,
            },
            LiveSheet::Less(false) if is_low => (Vec::new(), &LESS),
            LiveSheet::Less(false) => (vec![(Tone::Strong, "What is still fine?".to_owned())], &LESS),
            LiveSheet::Stop(false) => {
                (vec![(Tone::Strong, "Hands off. The clock stands.".to_owned())], &STOP)
            }
            LiveSheet::Less(true) | LiveSheet::Stop(true) => {
                let words = "Consent taken back? Enter notes it, with the time. Space: all is well.";
                (vec![(Tone::Strong, words.to_owned())], &[])
            }
        };
        let mut y = 0;
        for (tone, words) in lines.iter().filter(|(_, words)| !words.is_empty()) {
            y = canvas.wrapped_most(area, y, 3, *tone, words);
        }
        y += u16::from(area.height > y + cells(choices.len()));
        let keys = choices.iter().map(|(key, _)| text::width(key)).max().map_or(0, |wide| cells(wide) + 1);
        for ((key, words), row) in choices.iter().zip(y..) {
            canvas.at(area, 0, row, Tone::Focus, key);
            canvas.at(area, keys, row, Tone::Text, words);
        }
    }

    /// Everything about the step, below the phase, while the block runs on.
    fn draw_in_full(
        &self,
        whole: Rect,
        places: &Places,
        (first, step): (u16, &Step),
        phase: &Snapshot<'_>,
        canvas: &mut Canvas<'_>,
        shared: &Shared,
    ) {
        let area = Rect { height: whole.bottom().saturating_sub(places.band.y), ..places.band };
        let all = all_about(step, &self.restrictions, shared);
        let hidden = canvas.labelled(canvas::below(area, 1), first, &labels(all));
        let keys = if hidden > 0 { "arrows show more, i closes" } else { "i closes" };
        canvas.at(area, 0, 0, Tone::Strong, &format!("{} s left", phase.left.get()));
        canvas.right(area, 0, Tone::Dim, keys);
    }
}

/// Whether a stretch is over and the next one has not begun: then its answer is what matters, until the next hold.
fn is_asked(phase: &Snapshot<'_>) -> bool {
    let is_answered = phase.rates_last && phase.level.is_some();
    (phase.is_asked || is_answered) && !phase.stage.is_work() && phase.stage != Stage::Massage
}

/// Whether hands and feet are placed: then how the trainer stands is a matter, and no more when the hold begins.
const fn is_placed(phase: &Snapshot<'_>) -> bool {
    matches!(phase.stage, Stage::Change { .. } | Stage::SetUp)
}

/// The trainer's own stance beside the picture of the client, once a step, where no number wants the place.
fn draw_trainer(places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
    let Some(area) = places.trainer.filter(|_| is_placed(phase) && !is_asked(phase)) else { return };
    let load = phase.step.and_then(|step| step.load.as_ref());
    let figure = load.and_then(|load| figure::stance(&load.posture, load.stance));
    if let Some(form) = figure.filter(|_| !canvas.theme.ascii) {
        canvas.picture(area, &form, None);
        canvas.at(area, 0, 0, Tone::Dim, "you");
    }
}

/// One to five in small while a hold runs, and what comes next.
fn draw_last(places: &Places, phase: &Snapshot<'_>, saved: &str, canvas: &mut Canvas<'_>) {
    let Some(row) = places.last else { return };
    let spans = match ease_off(phase) {
        Some(words) => vec![(Tone::Strong, words)],
        None if phase.stage.is_work() => answer_spans(phase, saved),
        None => Vec::new(),
    };
    let taken = width_of(&spans) + 2;
    draw_spans(row, &spans, canvas);
    let room = Rect { x: row.x + taken.min(row.width), width: row.width.saturating_sub(taken), ..row };
    let Some(next) = phase.next else {
        let words = if phase.step.is_some() { "next: up, then what came out" } else { "" };
        return canvas.right(room, 0, Tone::Dim, words);
    };
    let (mark, side) = (canvas.glyphs().side(next.side), side_words(next.side));
    let name = text::fit(&next.name, usize::from(room.width).saturating_sub(16), canvas.glyphs().ellipsis);
    let words = format!("next {mark} {side}  {name}");
    canvas.right(room, 0, Tone::Dim, &words);
}

/// The name where there is room for it, what is said, and where hands and feet go.
fn draw_cues(places: &Places, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>, shared: &Shared) {
    let Some(step) = phase.step else { return };
    let Some((_, form)) = shared.catalogue.form(&step.stretch, &step.form) else { return };
    let area = places.cues;
    let said = said_now(&form.cues, phase.stage);
    if places.room == Room::Low {
        if let Some(words) = ease_off(phase) {
            canvas.wrapped_most(area, 0, area.height, Tone::Strong, &words);
            return;
        }
        let most = area.height.div_ceil(2).max(1);
        let y = canvas.wrapped_most(area, 0, most, Tone::Strong, said);
        if y < area.height {
            canvas.wrapped_most(area, y, area.height - y, Tone::Text, &form.cues.hands);
        }
        return;
    }
    let column = Rect { x: area.x + LABELS, width: area.width.saturating_sub(LABELS), ..area };
    let mut y = 0;
    if places.room > Room::Plain {
        let name = if form.name.is_empty() || form.name == step.name {
            step.name.clone()
        } else {
            format!("{}, {}", step.name, uncapitalised(&form.name))
        };
        canvas.row(area, y, Tone::Strong, &name);
        y = 1;
    }
    let alone = "None: the client does this one alone.".to_owned();
    let hands = if form.cues.hands.is_empty() { &alone } else { &form.cues.hands };
    let quoted = format!("\"{}\"", capitalised(said));
    let feet = if area.height >= 5 { form.cues.feet.as_str() } else { "" };
    let you = step.load.as_ref().filter(|_| is_placed(phase)).map(step_cue).unwrap_or_default();
    for (what, words, tone) in [
        ("say", quoted.as_str(), Tone::Strong),
        ("hands", hands, Tone::Text),
        ("you", &you, Tone::Text),
        ("feet", feet, Tone::Text),
    ] {
        if words.is_empty() || y >= area.height {
            continue;
        }
        canvas.at(area, 0, y, Tone::Dim, what);
        let most = (area.height - y).min(2);
        let end = canvas.wrapped_most(column, y, most, tone, words);
        // On a plain screen each has its two rows, so that nothing jumps.
        y = if places.room == Room::Plain && what == "say" { y + 2 } else { end };
    }
}

impl State {
    /// Since when it stands still, and for what.
    fn standing_words(&self, pause: Pause, phase: &Snapshot<'_>, now: Now) -> String {
        match pause {
            Pause::Consent if self.live.consent() == Consent::SelfStretch => {
                "no hands now; Space goes on".to_owned()
            }
            Pause::Consent => "consent is narrower now; Space goes on".to_owned(),
            Pause::Unseen(gap) => format!("nothing was seen for {gap}; Space goes on"),
            // Nothing wakes the screen while the block stands still: a time of day stays true.
            Pause::Asked | Pause::Pain | Pause::Stop => {
                let since = now.wall - chrono::TimeDelta::seconds(phase.standing.get().into());
                format!("standing since {}", since.format("%H:%M"))
            }
        }
    }
}
