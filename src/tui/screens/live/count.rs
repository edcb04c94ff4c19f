//! What is read from the mat: the phase, the side, the stretch under way as a band, and the one number that matters now.

use crate::body::{Level, Seconds};
use crate::planner::Dose;
use crate::session::{Snapshot, Stage};
use crate::tui::canvas::{Canvas, Rect};
use crate::tui::text::{self, cells};
use crate::tui::theme::{Theme, Tone};
use crate::tui::widgets::letters::TallWord;
use crate::tui::words::side_words;

use super::layout::{Places, Room};
use super::words::moving_words;

/// Seconds before the end of a phase that are counted by bars.
const LAST: u32 = 3;

/// Draws the phase at the left and the side at the right, in letters that can be read from the mat.
pub(super) fn draw_words(
    places: &Places,
    (phase, tone): (&str, Tone),
    worked: Option<(&str, Tone)>,
    canvas: &mut Canvas<'_>,
) {
    let area = places.words;
    let (size, gap) = places.letters();
    let word = |word, tone, gap| TallWord {
        word,
        size,
        gap,
        style: canvas.theme.style(tone),
        ascii: canvas.theme.ascii,
    };
    let (mut left, mut right) = (word(phase, tone, gap), worked.map(|(side, tone)| word(side, tone, gap)));
    let wide = |right: &Option<TallWord<'_>>| right.map_or(0, |right| right.width() + 2);
    // In three rows the side stands below, beside the number.
    let is_low = places.room == Room::Low;
    if !is_low && left.width() + wide(&right) > area.width {
        (left.gap, right) = (1, right.map(|right| TallWord { gap: 1, ..right }));
    }
    left.draw((area.x, area.y), canvas.buf);
    if let Some(right) = right {
        let x = area.right().saturating_sub(right.width());
        let y = if is_low { places.number.y + 1 } else { area.y };
        right.draw((x, y), canvas.buf);
    }
}

/// The side in one short row, where answers stand in the place of its letters.
pub(super) fn draw_low_side(places: &Places, side: (&str, &str, Tone), canvas: &mut Canvas<'_>) {
    let (mark, words, tone) = side;
    let row = Rect { y: places.number.y + 1, height: 1, ..places.number };
    canvas.right(row, 0, tone, &format!("{mark} {words}"));
}

/// Draws the stretch under way over its row: what is left of it, in the shape of its phase.
pub(super) fn draw_band(
    places: &Places,
    phase: &Snapshot<'_>,
    standing: Option<&str>,
    canvas: &mut Canvas<'_>,
) {
    let glyphs = canvas.glyphs();
    let (label, shape) = match (standing, phase.stage) {
        (Some(words), _) => (words.to_owned(), Some((glyphs.waiting, Tone::Faint))),
        (None, Stage::Change { from, to }) => {
            let words = format!("{}, {} s", moving_words(from, to), phase.left.get());
            (words, Some((glyphs.moving, Tone::Dim)))
        }
        (None, Stage::Opening | Stage::SetUp) => {
            (format!("{} s", phase.left.get()), Some((glyphs.waiting, Tone::Faint)))
        }
        (None, Stage::Waiting) => ("waiting for you".to_owned(), Some((glyphs.waiting, Tone::Faint))),
        (None, Stage::Push { cycle, of } | Stage::Relax { cycle, of }) => (format!("{cycle} of {of}"), None),
        (None, _) => (String::new(), None),
    };
    let taken = if label.is_empty() || (places.room == Room::Low && shape.is_none()) {
        0
    } else {
        canvas.at(places.band, 0, 0, Tone::Text, &label) + 1
    };
    let band = Rect {
        x: places.band.x + taken.min(places.band.width),
        width: places.band.width.saturating_sub(taken),
        ..places.band
    };
    match shape {
        Some((symbol, tone)) => {
            let gap = if symbol == glyphs.moving { "  " } else { "" };
            let room = usize::from(band.width);
            let words: String = format!("{symbol}{gap}").repeat(room).chars().take(room).collect();
            canvas.at(band, 0, 0, tone, &words);
        }
        None => draw_parts(band, phase, canvas),
    }
}

/// Each push and each hold of the stretch to scale, what is over sunk to a line.
fn draw_parts(area: Rect, phase: &Snapshot<'_>, canvas: &mut Canvas<'_>) {
    let glyphs = canvas.glyphs();
    let (parts, here) = parts(phase);
    let total: u32 = parts.iter().map(|(length, _)| length).sum::<u32>().max(1);
    let column = |seconds: u32| {
        let column = u64::from(seconds) * u64::from(area.width) / u64::from(total);
        u16::try_from(column).unwrap_or(area.width)
    };
    let gone = parts[..here].iter().map(|(length, _)| length).sum::<u32>()
        + phase.length.saturating_sub(phase.left).get();
    let style = canvas.theme.style(phase.step.map_or(Tone::Both, |step| Theme::side(step.side)));
    let mut start = 0;
    for (index, (length, is_push)) in parts.iter().enumerate() {
        let (from, to) = (column(start), column(start + length));
        start += length;
        // A blank column between two phases.
        let to = if index + 1 < parts.len() && to > from + 1 { to - 1 } else { to };
        for x in from..to.min(area.width) {
            let symbol = match (x < column(gone), is_push) {
                (true, _) => glyphs.sunk[1],
                (false, true) => glyphs.push,
                (false, false) => glyphs.full,
            };
            canvas.buf[(area.x + x, area.y)].set_symbol(symbol).set_style(style);
        }
    }
}

/// The phases of the stretch with their seconds, and whether each is a push; and which of them is under way.
fn parts(phase: &Snapshot<'_>) -> (Vec<(u32, bool)>, usize) {
    let is_push = matches!(phase.stage, Stage::Push { .. });
    let alone = (vec![(phase.length.get(), is_push)], 0);
    let (Stage::Push { cycle, .. } | Stage::Relax { cycle, .. }) = phase.stage else { return alone };
    let Some(Dose::ContractRelax(dose)) = phase.step.map(|step| step.dose) else { return alone };
    let cycles = usize::from(dose.cycles);
    let mut parts: Vec<(u32, bool)> =
        (0..cycles).flat_map(|_| [(dose.push.get(), true), (dose.stretch.get(), false)]).collect();
    let here = 2 * usize::from(cycle.saturating_sub(1)) + usize::from(!is_push);
    match parts.get_mut(here) {
        // It may have been made longer.
        Some(part) => part.0 = phase.length.get(),
        None => return alone,
    }
    (parts, here)
}

/// Draws the seconds that are left in a fixed field of two, the last three with bars beside them.
pub(super) fn draw_seconds(places: &Places, left: Seconds, tone: Tone, bars: bool, canvas: &mut Canvas<'_>) {
    let digits = left.to_digits();
    let cut = places.number_cut(digits.len());
    let area = places.number;
    let (style, ascii) = (canvas.theme.style(tone), canvas.theme.ascii);
    // One digit stands in the units' place.
    let first = 2_usize.saturating_sub(digits.len());
    for (index, digit) in digits.iter().enumerate() {
        let x = area.x + cells(first + index) * cut.pitch();
        cut.draw(*digit, (x, area.y), style, ascii, canvas.buf);
    }
    if !bars || left.get() > LAST {
        return;
    }
    let behind = area.x + 2 * cut.pitch();
    for bar in 0..u16::try_from(left.get()).unwrap_or(0) {
        let x = behind + bar * (cut.stroke + cut.gap.min(2));
        let bar = Rect { x, width: cut.stroke, y: area.y, height: cut.rows }.intersection(area);
        for place in bar.intersection(canvas.buf.area).positions() {
            canvas.buf[place].set_symbol(canvas.theme.glyphs().full).set_style(style);
        }
    }
}

/// The digits of a number of seconds.
trait ToDigits {
    fn to_digits(self) -> Vec<u8>;
}

impl ToDigits for Seconds {
    fn to_digits(self) -> Vec<u8> {
        self.get().to_string().bytes().map(|digit| digit - b'0').collect()
    }
}

/// Draws the five answers in the place of the number: the aim has a mark below it, what was given stays and the others
/// step back.
pub(super) fn draw_answers(places: &Places, given: Option<Level>, aim: Level, canvas: &mut Canvas<'_>) {
    let cut = places.answer_cut();
    let area = places.answers;
    for level in 1..=5_u8 {
        let x = area.x + u16::from(level - 1) * cut.pitch();
        let is_given = given.is_none_or(|given| given.get() == level);
        let style = canvas.theme.style(if is_given { Tone::Strong } else { Tone::Faint });
        cut.draw(level, (x, area.y), style, canvas.theme.ascii, canvas.buf);
        if level == aim.get() {
            let mark = canvas.glyphs().aim.repeat(usize::from(cut.columns));
            canvas.at(canvas.buf.area, x, area.y + cut.rows, Tone::Strong, &mark);
        }
    }
}

/// The five answers in a row of text, the aim in brackets; behind a hold what was given instead.
pub(super) fn answer_spans(phase: &Snapshot<'_>, saved: &str) -> Vec<(Tone, String)> {
    let aim = phase.step.map_or(Level::AIM, |step| step.aim);
    if let Some(level) = phase.level {
        return vec![
            (Tone::Dim, "1 to 5?  ".to_owned()),
            (Tone::Strong, level.to_string()),
            (Tone::Dim, format!("  {saved} when this hold ends")),
        ];
    }
    let mut spans = vec![(Tone::Text, "1 to 5? ".to_owned())];
    spans.extend((1..=5_u8).map(|level| {
        let is_aim = level == aim.get();
        let words = if is_aim { format!("[{level}]") } else { format!(" {level} ") };
        (if is_aim { Tone::Strong } else { Tone::Dim }, words)
    }));
    spans
}

/// What the answers are asked about, or what came of it.
pub(super) fn asked_spans(
    phase: &Snapshot<'_>,
    saved: &str,
    is_low: bool,
    columns: u16,
) -> Vec<(Tone, String)> {
    let Some(rated) = phase.rated else { return Vec::new() };
    let name = format!("{}, {}", rated.name, side_words(rated.side));
    match phase.level {
        None if is_low => vec![(Tone::Text, format!("1 to 5?  aim {}", rated.aim))],
        None => vec![(Tone::Text, "1 to 5?   ".to_owned()), (Tone::Strong, name)],
        Some(level) => {
            let answer = format!("{level}, {saved}");
            let words = if is_low { answer } else { format!("{name}: {answer}") };
            let undo = "  z takes it back";
            let has_room = text::width(&words) + undo.len() <= usize::from(columns);
            let undo = if has_room { undo } else { "" };
            vec![(Tone::Strong, words), (Tone::Text, undo.to_owned())]
        }
    }
}

/// Draws spans of text, cut at the end of their area.
pub(super) fn draw_spans(area: Rect, spans: &[(Tone, String)], canvas: &mut Canvas<'_>) -> u16 {
    let mut x = 0;
    for (tone, words) in spans {
        x = canvas.at(area, x, 0, *tone, words);
    }
    x
}

/// Columns that spans take.
pub(super) fn width_of(spans: &[(Tone, String)]) -> u16 {
    cells(spans.iter().map(|(_, words)| text::width(words)).sum())
}
