//! Contact sheets: all stretches at a glance, to be looked at by somebody who does not see their names.
//!
//! `MATSIDE_SHEETS=FOLDER cargo test contact_sheets` writes SVG files there, on paper and as a terminal shows them, each
//! in its own order without meaning; the keys to them are files of their own. With `MATSIDE_SHEETS_OF=WORD` only forms
//! with that word in their name are drawn.

use std::fmt::Write;
use std::path::Path;

use matside::body::Side;
use matside::catalogue::Form;
use matside::figure::joints::{MovingPart, main_motion};
use matside::figure::{Blocks, Cells, Ink, draw, svg};

use super::forms;

/// Forms on a sheet, and how many of them in a row: few enough to be looked at one by one.
const ON_A_SHEET: usize = 16;
const IN_A_ROW: usize = 4;
/// Width and height of one picture, and of a cell of it.
const PICTURE: (usize, usize) = (216, 150);
const CELL: usize = 6;

/// A number for a name that has nothing to do with its place in the alphabet (FNV-1a).
fn scattered(kind: &str, name: &str) -> u64 {
    kind.bytes()
        .chain(name.bytes())
        .fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

#[test]
fn contact_sheets() {
    let Some(folder) = std::env::var_os("MATSIDE_SHEETS") else { return };
    let folder = Path::new(&folder);
    let of = std::env::var("MATSIDE_SHEETS_OF").unwrap_or_default();
    sheets(folder, &of, ("vector", "#fff"), |form, side| {
        let picture = svg(form, Some(side), "");
        let content = picture.find("viewBox").map_or("", |at| &picture[at..]);
        format!("<svg width=\"{}\" height=\"{}\" {content}", PICTURE.0, PICTURE.1)
    });
    sheets(folder, &of, ("cells", "#14171b"), |form, side| {
        blocks(&draw(form, Some(side), (36, 12), Blocks::Quadrants))
    });
}

/// Writes all sheets of a kind on its ground, with the key to them.
fn sheets(folder: &Path, of: &str, (kind, ground): (&str, &str), drawn: impl Fn(&Form, Side) -> String) {
    let mut chosen: Vec<(String, &Form)> = forms().filter(|(name, _)| name.contains(of)).collect();
    chosen.sort_by_key(|(name, _)| scattered(kind, name));
    let mut key = String::new();
    for (sheet, forms) in chosen.chunks(ON_A_SHEET).enumerate() {
        let mut content = String::new();
        for (place, (name, form)) in forms.iter().enumerate() {
            let (x, y) = ((place % IN_A_ROW) * PICTURE.0, (place / IN_A_ROW) * PICTURE.1);
            let number = sheet * ON_A_SHEET + place + 1;
            let side = if scattered(kind, name).is_multiple_of(3) { Side::Right } else { Side::Left };
            let _ = writeln!(key, "{number} {name} {side} {}", said(form));
            let picture = drawn(form, side);
            let _ = writeln!(
                content,
                "<g transform=\"translate({x},{y})\">{picture}<text y=\"12\" font-size=\"11\" fill=\"#888\">{number}</text></g>"
            );
        }
        let rows = forms.len().div_ceil(IN_A_ROW);
        let (width, height) = (IN_A_ROW * PICTURE.0, rows * PICTURE.1);
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\">\
             <rect width=\"100%\" height=\"100%\" fill=\"{ground}\"/>{content}</svg>"
        );
        let path = folder.join(format!("{kind}-{:02}.svg", sheet + 1));
        std::fs::write(path, text).expect("the folder can be written");
    }
    std::fs::write(folder.join(format!("key-{kind}.txt")), key).expect("the folder can be written");
}

/// What a picture should be named as: position, moving limb, main motion, muscle.
fn said(form: &Form) -> String {
    let motion = main_motion(form).map_or_else(|| "-".to_owned(), |angle| angle.motion.to_string());
    let muscle = form.targets.first().map_or_else(|| "-".to_owned(), |target| target.muscle.to_string());
    format!("| {} | {:?} | {motion} | {muscle}", form.position, MovingPart::of(form))
}

const fn colour(ink: Option<Ink>) -> &'static str {
    match ink {
        None => "#14171b",
        Some(Ink::Mat) => "#272b33",
        Some(Ink::Thing) => "#3c424c",
        Some(Ink::Far) => "#565d66",
        Some(Ink::Trunk) => "#929599",
        Some(Ink::Near) => "#c4c3bd",
        Some(Ink::Hair) => "#6d7076",
        Some(Ink::Muscle | Ink::Arrow) => "#f0a864",
    }
}

/// Cells as a terminal with square pixels draws them.
fn blocks(cells: &Cells<Ink>) -> String {
    const QUADRANTS: &str = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█";
    let mut out = String::new();
    for (y, row) in cells.rows().enumerate() {
        for (x, cell) in row.iter().enumerate() {
            let (left, top) = (x * CELL, y * CELL * 2);
            let mut rect = |x: usize, y: usize, w: usize, h: usize, ink| {
                let _ = write!(
                    out,
                    "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"{}\"/>",
                    colour(ink)
                );
            };
            if cell.behind.is_some() {
                rect(left, top, CELL, CELL * 2, cell.behind);
            }
            if let Some(mask) = QUADRANTS.chars().position(|glyph| glyph == cell.glyph) {
                for (bit, (dx, dy)) in [(0, 0), (1, 0), (0, 1), (1, 1)].into_iter().enumerate() {
                    if mask >> bit & 1 == 1 {
                        rect(left + dx * CELL / 2, top + dy * CELL, CELL / 2, CELL, cell.ink);
                    }
                }
            } else {
                let _ = write!(
                    out,
                    "<text x=\"{left}\" y=\"{}\" font-size=\"11\" font-family=\"monospace\" fill=\"{}\">{}</text>",
                    top + CELL * 2 - 2,
                    colour(cell.ink),
                    cell.glyph
                );
            }
        }
    }
    out
}
