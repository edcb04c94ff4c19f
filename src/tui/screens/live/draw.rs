//! How the running block is drawn, and said in lines.

use std::collections::BTreeSet;

use ratatui::layout::Rect;
use ratatui::widgets::Widget;

use crate::body::{Level, Seconds, Side, Unit};
use crate::catalogue::Cues;
use crate::client::{Narrowed, Trained};
use crate::planner::Step;
use crate::session::{Pause, Phase, Stage};
use crate::tui::app::Shared;
use crate::tui::msg::Now;
use crate::tui::paint::{self, Paint};
use crate::tui::screens::plan::draw::{dose_sentence, dose_words, side_words};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::digits::Digits;
use crate::tui::widgets::field::FieldView;
use crate::tui::widgets::figure::Figure;
use crate::tui::widgets::ribbon::Ribbon;

use super::{Asking, State};

/// Seconds that are as good as on time.
const ON_TIME: i32 = 5;

/// What can be answered where the client agrees to less.
const NARROWER: [(&str, &str); 5] = [
    ("s", "self-stretch"),
    ("m", "no massage"),
    ("b", "mat between"),
    ("w", "nothing: stop"),
    ("Space", "all as before"),
];

/// The stage in a word or two, as it is said.
fn stage_words(stage: Stage) -> String {
    match stage {
        Stage::Opening => "SETTLE".to_owned(),
        Stage::Change { to, .. } => format!("MOVE {}", to.plain_name()),
        Stage::SetUp => "SET UP".to_owned(),
        Stage::Hold => "HOLD".to_owned(),
        Stage::Push { cycle, of } => format!("PUSH  {cycle} of {of}"),
        Stage::Further { cycle, of } => format!("RELAX, further  {cycle} of {of}"),
        Stage::Massage => "MASSAGE".to_owned(),
        Stage::Waiting => "WAITING".to_owned(),
        Stage::Finished => "DONE".to_owned(),
    }
}

const fn stage_tone(stage: Stage) -> Tone {
    match stage {
        Stage::Push { .. } => Tone::Trained,
        Stage::Further { .. } => Tone::Good,
        Stage::Hold | Stage::Massage => Tone::Strong,
        _ => Tone::Dim,
    }
}

fn pause_words(pause: Pause) -> String {
    match pause {
        Pause::Asked => "standing still; Space goes on".to_owned(),
        Pause::Pain => "stopped for pain; Space goes on with the next stretch, f finishes".to_owned(),
        Pause::Consent => "consent is narrower now; Space goes on, f finishes".to_owned(),
        Pause::Unseen(gap) => format!("nothing was seen for {gap}; Space goes on"),
    }
}

/// Late or early, in words.
fn lateness_words(lateness: i32) -> (Tone, String) {
    let clock = Seconds::new(lateness.unsigned_abs());
    match lateness {
        ..0 if lateness < -ON_TIME => (Tone::Good, format!("{clock} early")),
        late if late > ON_TIME => (Tone::Caution, format!("{clock} late")),
        _ => (Tone::Good, "on time".to_owned()),
    }
}

impl State {
    /// The cues of a step.
    fn cues<'a>(shared: &'a Shared, step: &Step) -> Option<(&'a str, &'a Cues)> {
        shared.catalogue.form(&step.stretch, &step.form).map(|(_, form)| (form.name.as_str(), &form.cues))
    }

    /// Draws the block at this moment.
    pub fn draw(&self, area: Rect, paint: &mut Paint<'_>, shared: &Shared, now: Now) {
        let phase = self.live.phase(now.moment);
        self.draw_title(area, &phase, paint, now);
        if area.height < 14 || area.width < 56 {
            return self.draw_low(area, &phase, paint, shared, now);
        }
        let ribbon_rows = match area.height {
            30.. => 5,
            18.. => 4,
            _ => 2,
        };
        let gap = u16::from(area.height >= 30);
        let foot = ribbon_rows + 1 + gap;
        let middle =
            Rect { height: area.height.saturating_sub(foot + 2 + gap), ..paint::below(area, 2 + gap) };
        let digits = if area.width >= 100 { area.width * 9 / 20 } else { area.width * 11 / 25 };
        let (left, right) = paint::split(middle, digits, 3);
        draw_count(paint::top(left, left.height.saturating_sub(1)), &phase, paint);
        draw_levels(paint::below(left, left.height.saturating_sub(1)), &phase, paint);
        self.draw_cues(right, &phase, paint, shared);
        let below = paint::below(area, area.height.saturating_sub(foot));
        draw_next(below, &phase, paint);
        let ribbon = Ribbon::of_block(&self.live, now.moment, paint.theme);
        (&ribbon).render(paint::below(below, 1 + gap), paint.buf);
    }

    /// The same where there is little room: the answers and what comes next have rows of their own, a question has
    /// the count's place.
    fn draw_low(&self, area: Rect, phase: &Phase<'_>, paint: &mut Paint<'_>, shared: &Shared, now: Now) {
        /// Columns of two digits and a gap.
        const COUNT: u16 = 17;
        let ribbon_rows = if area.height >= 16 { 2 } else { 1 };
        let foot = paint::below(area, area.height.saturating_sub(2 + ribbon_rows));
        let middle = paint::below(Rect { height: area.height.saturating_sub(2 + ribbon_rows), ..area }, 2);
        if self.asking == Asking::Nothing {
            let (left, right) = paint::split(middle, COUNT, 2);
            draw_count(left, phase, paint);
            let still = Phase { paused: None, ..*phase };
            if let Some(pause) = phase.paused {
                let row = Rect { y: area.y + 1, height: 1, ..area };
                paint.clear(row);
                paint.row(row, 0, Tone::Focus, &pause_words(pause));
            }
            self.draw_cues(right, &still, paint, shared);
        } else {
            self.draw_question(middle, 0, paint);
        }
        draw_levels(foot, phase, paint);
        draw_next(paint::below(foot, 1), phase, paint);
        let ribbon = Ribbon::of_block(&self.live, now.moment, paint.theme);
        (&ribbon).render(paint::below(foot, 2), paint.buf);
    }

    fn draw_title(&self, area: Rect, phase: &Phase<'_>, paint: &mut Paint<'_>, now: Now) {
        let glyphs = paint.glyphs();
        let beside = format!("step {} of {}", phase.number.max(1), phase.count);
        if phase.paused.is_some() {
            // Nothing wakes the screen while the block stands still: a time of day stays true.
            let up = now.wall + chrono::TimeDelta::seconds(phase.until_due.into());
            let still = if area.width < 56 { "still" } else { "standing still" };
            let words = format!("{still}   up at {}", up.format("%H:%M"));
            paint.title(area, &self.client.profile.name, &beside, (Tone::Focus, &words));
        } else {
            let (tone, words) = lateness_words(phase.lateness);
            let until = Seconds::new(phase.until_due.unsigned_abs());
            let due = if phase.until_due >= 0 { format!("up in {until}") } else { format!("{until} over") };
            paint.title(area, &self.client.profile.name, &beside, (tone, &format!("{words}   {due}")));
            if tone == Tone::Caution {
                // Late is seen before it is read.
                let columns = cells(text::width(&words) + 3 + text::width(&due));
                let x = area.width.saturating_sub(columns);
                let badge = Rect { x: area.x + x, width: cells(text::width(&words)), height: 1, ..area };
                paint.buf.set_style(badge.intersection(paint.buf.area), paint.theme.fill(Tone::Caution));
            }
        }
        if let Some(why) = self.writer.failed() {
            paint.row(area, 1, Tone::Caution, &format!("{} not saved yet: {why}", glyphs.caution));
        } else if self.session.narrowed.contains_key(&Narrowed::MatBetween) {
            let words = format!("{} a mat or towel stays between hand and client", glyphs.caution);
            paint.row(area, 1, Tone::Caution, &words);
        } else if let [caution] = self.restrictions.in_force() {
            let words = if caution.limited.is_empty() { &caution.say } else { &caution.limited };
            let line = format!("{} {}: {words}", glyphs.caution, caution.title);
            paint.row(area, 1, Tone::Caution, &line);
        } else if !self.restrictions.in_force().is_empty() {
            let titles: Vec<String> =
                self.restrictions.in_force().iter().map(|caution| caution.title.clone()).collect();
            paint.row(area, 1, Tone::Caution, &format!("{} {}", glyphs.caution, text::list(&titles)));
        }
    }

    fn draw_cues(&self, area: Rect, phase: &Phase<'_>, paint: &mut Paint<'_>, shared: &Shared) {
        let step = phase.step;
        let head = stage_words(phase.stage);
        paint.row(area, 0, stage_tone(phase.stage), &head);
        if changes_soon(phase) {
            // The flash before a change: the whole row turns, with the bell, and turns back each second.
            let row = Rect { height: 1, ..area }.intersection(paint.buf.area);
            paint.buf.set_style(row, paint.theme.fill(Tone::Caution));
        }
        let mut y = 1;
        if let Some(step) = step {
            y = draw_side(area, y, step.side, paint);
            let name = Self::cues(shared, step).map_or(step.name.as_str(), |(form, _)| form);
            let x = paint.at(area, 0, y, Tone::Strong, &step.name);
            if !name.is_empty() && name != step.name {
                if area.height >= 18 {
                    paint.row(area, y + 1, Tone::Dim, name);
                    y += 1;
                } else {
                    paint.at(area, x + 2, y, Tone::Dim, name);
                }
            }
            y += if area.height >= 18 { 2 } else { 1 };
        }
        if let Some(pause) = phase.paused {
            y = paint.wrapped(area, y, Tone::Focus, &pause_words(pause));
        }
        if let Some(words) = ease_off(phase) {
            y = paint.wrapped_most(area, y, 2, Tone::Caution, &words);
        }
        y = self.draw_question(area, y, paint);
        let Some((_, cues)) = step.and_then(|step| Self::cues(shared, step)) else { return };
        let said = step.map_or_else(String::new, |step| cues.said(step.dose.method()));
        // In a low terminal each cue has its share, so that the trainer's own spine is not what is cut off.
        let roomy = area.height >= 18;
        for (what, words, most) in [
            ("say", &said, 3),
            ("hands", &cues.hands, 3),
            ("feet", &cues.feet, 1),
            ("spine", &cues.spine, 2),
            ("watch", &cues.watch, 2),
        ] {
            if words.is_empty() || y >= area.height {
                continue;
            }
            let tone = if what == "say" { Tone::Strong } else { Tone::Text };
            paint.at(area, 0, y, Tone::Dim, what);
            let column = Rect { x: area.x + 6, width: area.width.saturating_sub(6), ..area };
            y = paint.wrapped_most(column, y, if roomy { 6 } else { most }, tone, words);
        }
        if let Some(step) = step {
            self.draw_where(paint::below(area, y + 1), step, phase, paint);
        }
    }

    /// Where the step is felt, and what comes after the next one, where there is room for it.
    fn draw_where(&self, area: Rect, step: &Step, phase: &Phase<'_>, paint: &mut Paint<'_>) {
        let (columns, rows) = Figure::SIZES[if area.height > Figure::SIZES[1].1 { 1 } else { 2 }];
        if area.height < rows || area.width < columns {
            return;
        }
        let sides = Side::ALL.iter().filter(|side| step.side.is_none_or(|worked| worked == **side));
        let reached: BTreeSet<Unit> =
            sides.flat_map(|&side| step.muscles.iter().map(move |&muscle| Unit { muscle, side })).collect();
        let (trained, avoided) = (Trained::new(), BTreeSet::new());
        let figure = Figure {
            trained: &trained,
            reached: &reached,
            avoided: &avoided,
            plain: true,
            theme: paint.theme,
        };
        let (left, right) = paint::split(area, columns, 4);
        (&figure).render(paint::top(left, rows), paint.buf);
        if right.width < 30 {
            return;
        }
        paint.row(right, 0, Tone::Dim, "then");
        let to_come = self.live.steps().skip(phase.number).filter(|(_, report)| report.is_none());
        for ((step, _), y) in to_come.zip(1..right.height.min(rows)) {
            let side = format!("{} {:<5}", paint.glyphs().side(step.side), side_words(step.side));
            let x = paint.at(right, 0, y, Theme::side(step.side), &side);
            let x = paint.at(right, x + 2, y, Tone::Text, &step.name);
            paint.at(right, x + 2, y, Tone::Dim, &dose_words(step.dose));
        }
    }

    fn draw_question(&self, area: Rect, y: u16, paint: &mut Paint<'_>) -> u16 {
        match &self.asking {
            Asking::Nothing => y,
            Asking::Narrow => {
                let y = paint.wrapped(area, y, Tone::Strong, "What is still fine?");
                for (index, (key, words)) in NARROWER.iter().enumerate() {
                    let x = cells(index % 2) * (area.width / 2).min(24);
                    let row = y + cells(index / 2);
                    paint.spans(area, x, row, &[(Tone::Focus, key), (Tone::Text, " "), (Tone::Text, words)]);
                }
                y + 4
            }
            Asking::Leave => {
                let words = "Esc once more leaves; the block is kept and offered again. Space goes on.";
                paint.wrapped(area, y, Tone::Strong, words) + 1
            }
            Asking::Minutes(field) => {
                let view =
                    FieldView { field, hint: "minutes left, then Enter", active: true, theme: paint.theme };
                (&view).render(paint::top(paint::below(area, y), 1), paint.buf);
                y + 2
            }
        }
    }

    /// The block as lines. The countdown is said in steps, so that a screen reader is not kept talking.
    pub fn lines(&self, shared: &Shared, now: Now) -> Vec<String> {
        let phase = self.live.phase(now.moment);
        let mut lines =
            vec![format!("{}, step {} of {}", self.client.profile.name, phase.number, phase.count)];
        let left = phase.left.get();
        let said = match left {
            0..=5 => left,
            6..=10 => 10,
            _ => left.div_ceil(10) * 10,
        };
        if let Some(step) = phase.step {
            lines.push(format!("{}: {}, {}", stage_words(phase.stage), step.name, side_words(step.side)));
            lines.push(format!("{}, {said} seconds or less to go", stage_words(phase.stage)));
            if let Some((_, cues)) = Self::cues(shared, step) {
                lines.push(format!("Say: {}", cues.said(step.dose.method())));
                lines.push(format!("Hands: {}", cues.hands));
                lines.push(format!("Feet: {}", cues.feet));
                lines.push(format!("Spine: {}", cues.spine));
            }
        } else {
            lines.push(stage_words(phase.stage));
        }
        lines.extend(phase.paused.map(pause_words));
        lines.extend(phase.level.map(|level| format!("Level {level}")));
        lines.extend(ease_off(&phase));
        lines.extend(phase.next.map(|step| {
            format!("Next: {}, {}, {}", step.position.plain_name(), step.name, side_words(step.side))
        }));
        if self.session.narrowed.contains_key(&Narrowed::MatBetween) {
            lines.push("A mat or towel stays between hand and client".to_owned());
        }
        if self.asking == Asking::Narrow {
            let answers: Vec<String> = NARROWER.iter().map(|(key, words)| format!("{key} {words}")).collect();
            lines.push(format!("What is still fine? {}", answers.join(", ")));
        }
        if phase.paused.is_none() {
            lines.push(lateness_words(phase.lateness).1);
        }
        lines.extend(self.writer.failed().map(|why| format!("Not saved yet: {why}")));
        lines
    }
}

/// What an answer above the aim asks for.
fn ease_off(phase: &Phase<'_>) -> Option<String> {
    let (level, aim) = (phase.level?, phase.step?.aim);
    (level > aim).then(|| format!("{level}: ease off to {aim}. A trembling limb means the same."))
}

/// Whether the work ends within three seconds, every other one of them.
fn changes_soon(phase: &Phase<'_>) -> bool {
    phase.stage.is_work() && phase.paused.is_none() && matches!(phase.left.get(), 1 | 3)
}

/// The side in letters that can be read from the mat.
fn draw_side(area: Rect, y: u16, side: Option<Side>, paint: &mut Paint<'_>) -> u16 {
    let glyphs = paint.glyphs();
    let mark = glyphs.side(side);
    let (words, tone) = match side {
        Some(Side::Left) => ("LEFT", Tone::Left),
        Some(Side::Right) => ("RIGHT", Tone::Right),
        None => ("BOTH", Tone::Both),
    };
    if area.height >= 18 && area.width >= 44 {
        let letters = Rect { width: Digits::size(words, 1).0, height: 5, y: area.y + y + 1, ..area };
        let letters_of = Digits { text: words, style: paint.theme.style(tone), ascii: paint.theme.ascii };
        (&letters_of).render(letters, paint.buf);
        return y + 7;
    }
    let banner = match side {
        Some(Side::Left) => format!(" {mark}{mark} {words} "),
        Some(Side::Right) => format!(" {words} {mark}{mark} "),
        None => format!(" {mark} {words} {mark} "),
    };
    let style = paint.theme.fill(tone);
    let inside = area.intersection(paint.buf.area);
    if y < inside.height {
        paint.buf.set_stringn(inside.x, inside.y + y, &banner, usize::from(inside.width), style);
    }
    y + 1
}

/// One to five, with the answer and the aim.
fn draw_levels(area: Rect, phase: &Phase<'_>, paint: &mut Paint<'_>) {
    let (level, aim) = (phase.level, phase.step.map_or(Level::AIM, |step| step.aim));
    let wide = 9 + 15 + 7;
    let area = Rect { x: area.x + area.width.saturating_sub(wide) / 2, width: wide.min(area.width), ..area };
    let y = 0;
    let mut x = paint.at(area, 0, y, Tone::Dim, "1 to 5?  ");
    for number in 1..=5_u8 {
        let given = level.is_some_and(|level| level.get() == number);
        let tone = if given { Tone::Good } else { Tone::Dim };
        let words = if given { format!("[{number}]") } else { format!(" {number} ") };
        x = paint.at(area, x, y, tone, &words);
    }
    paint.at(area, x + 1, y, Tone::Dim, &format!("aim {aim}"));
}

fn draw_count(area: Rect, phase: &Phase<'_>, paint: &mut Paint<'_>) {
    let left = phase.left.get();
    let words = if left > 99 { phase.left.to_string() } else { left.to_string() };
    let words = if phase.left.get() < 10 && phase.length.get() >= 10 { format!(" {words}") } else { words };
    // The last three seconds change their looks with every second; nothing else blinks.
    let tone = if changes_soon(phase) { Tone::Caution } else { stage_tone(phase.stage) };
    let tone = if phase.paused.is_some() { Tone::Dim } else { tone };
    let digits = Digits { text: &words, style: paint.theme.style(tone), ascii: paint.theme.ascii };
    (&digits).render(area, paint.buf);
}

fn draw_next(area: Rect, phase: &Phase<'_>, paint: &mut Paint<'_>) {
    let glyphs = paint.glyphs();
    let Some(step) = phase.next else {
        paint.row(area, 0, Tone::Dim, "next  the client stands up");
        return;
    };
    let moves = phase.step.is_some_and(|now| now.position != step.position);
    let position =
        if moves { format!("{} {}, ", glyphs.arrow, step.position.plain_name()) } else { String::new() };
    let side = format!("{} {}", glyphs.side(step.side), side_words(step.side));
    paint.spans(
        area,
        0,
        0,
        &[
            (Tone::Dim, "next  "),
            (Tone::Text, &position),
            (Theme::side(step.side), &side),
            (Tone::Text, "  "),
            (Tone::Text, &step.name),
            (Tone::Dim, ", "),
            (Tone::Dim, &dose_sentence(step.dose)),
        ],
    );
}
