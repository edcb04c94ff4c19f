//! Pictures of the real screens for the documents, made from what the screens draw.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use ratatui::buffer::{Buffer, Cell};
use ratatui::crossterm::event::KeyCode;
use ratatui::style::{Color, Modifier};
use unicode_width::UnicodeWidthStr as _;

use crate::screens::studio::Studio;

/// Size of the pictures in cells.
const SIZE: (u16, u16) = (100, 30);

/// Size of a cell in pixels, for a monospaced font at 14; taller ones leave seams between block letters.
const CELL: (f64, f64) = (8.4, 16.3);

/// The screens' own ground and letters, where a cell names no colour.
const GROUND: &str = "#14171b";
const LETTERS: &str = "#d6d3ca";

fn colour(colour: Color, other: &str) -> String {
    match colour {
        Color::Rgb(red, green, blue) => format!("#{red:02x}{green:02x}{blue:02x}"),
        _ => other.to_owned(),
    }
}

/// Letters, ground, and whether bold: what tells one run of cells from the next.
fn looks(cell: &Cell) -> (String, String, bool) {
    let (mut letters, mut ground) = (colour(cell.fg, LETTERS), colour(cell.bg, GROUND));
    if cell.modifier.contains(Modifier::REVERSED) {
        std::mem::swap(&mut letters, &mut ground);
    }
    (letters, ground, cell.modifier.contains(Modifier::BOLD))
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Draws the cells as an SVG: a rectangle and a text for each run of cells that look alike.
fn svg(buffer: &Buffer, title: &str) -> String {
    let (columns, rows) = (buffer.area.width, buffer.area.height);
    let (width, height) = (f64::from(columns) * CELL.0, f64::from(rows) * CELL.1);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
         viewBox=\"0 0 {width:.1} {height:.1}\">\n<title>{}</title>\n\
         <rect width=\"100%\" height=\"100%\" fill=\"{GROUND}\"/>\n\
         <g font-family=\"DejaVu Sans Mono, Menlo, Consolas, monospace\" font-size=\"14\" xml:space=\"preserve\">\n",
        escaped(title)
    );
    for y in 0..rows {
        let mut x = 0;
        while x < columns {
            let (from, alike) = (x, looks(&buffer[(x, y)]));
            let mut text = String::new();
            while x < columns && looks(&buffer[(x, y)]) == alike {
                let symbol = buffer[(x, y)].symbol();
                let wide = u16::try_from(symbol.width().max(1)).expect("a symbol is a few columns wide");
                if wide > 1 && from < x {
                    break;
                }
                text.push_str(symbol);
                x += wide;
                // A wide symbol stands alone, so that the others keep their columns.
                if wide > 1 {
                    break;
                }
            }
            run(&mut out, &text, &alike, (from, y), x - from);
        }
    }
    out.push_str("</g>\n</svg>\n");
    out
}

fn run(out: &mut String, text: &str, looks: &(String, String, bool), at: (u16, u16), columns: u16) {
    let (letters, ground, bold) = looks;
    let (x, y) = (f64::from(at.0) * CELL.0, f64::from(at.1) * CELL.1);
    let width = f64::from(columns) * CELL.0;
    if ground != GROUND {
        writeln!(
            out,
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{:.1}\" fill=\"{ground}\"/>",
            CELL.1
        )
        .expect("writing to a string cannot fail");
    }
    if !text.trim().is_empty() {
        let weight = if *bold { " font-weight=\"bold\"" } else { "" };
        let base = y + 13.0;
        writeln!(
            out,
            "<text x=\"{x:.1}\" y=\"{base:.1}\" textLength=\"{width:.1}\" fill=\"{letters}\"{weight}>{}</text>",
            escaped(text)
        )
        .expect("writing to a string cannot fail");
    }
}

/// Compares a picture with the one that is kept, or makes it anew.
fn shows(studio: &Studio, name: &str, title: &str) {
    let picture = svg(&studio.buffer(SIZE.0, SIZE.1), title);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/screens").join(format!("{name}.svg"));
    if std::env::var_os("UPDATE_DOCS").is_some() {
        fs::create_dir_all(path.parent().expect("a file lies in a folder")).expect("a folder can be made");
        fs::write(&path, picture).expect("a picture can be written");
    } else {
        let kept = fs::read_to_string(&path).unwrap_or_default();
        assert!(kept == picture, "docs/screens/{name}.svg is old: UPDATE_DOCS=1 cargo test pictures");
    }
}

#[test]
fn the_pictures_are_those_of_the_screens() {
    let mut studio = Studio::demo_in_colour();
    shows(&studio, "day", "The day: who is next?");
    studio.press("feldm").enter();
    studio.press("running").enter();
    shows(&studio, "plan", "The plan: what do we do in these minutes?");
    studio.enter().agree().wait(45);
    shows(&studio, "live", "Live: what now, and how long?");
    studio.press("4").wait(200).press("4").wait(45).press("5").wait(20).finish();
    shows(&studio, "review", "Review: what came out?");
    studio.enter();
    studio.press("feldm").key(KeyCode::F(3));
    shows(&studio, "history", "History: what does it tell?");
    studio.key(KeyCode::Esc).press("lindq").key(KeyCode::F(2));
    shows(&studio, "client", "The card: who is this?");
}

#[test]
fn a_picture_keeps_every_column_and_letter() {
    let mut buffer = Buffer::empty(ratatui::layout::Rect::new(0, 0, 8, 1));
    buffer.set_string(0, 0, "a<林b&", ratatui::style::Style::new().fg(Color::Rgb(1, 2, 3)));
    let picture = svg(&buffer, "a & b");
    assert!(picture.contains("<title>a &amp; b</title>"));
    assert!(
        picture.contains("x=\"0.0\" y=\"13.0\" textLength=\"16.8\" fill=\"#010203\">a&lt;</text>"),
        "{picture}"
    );
    assert!(
        picture.contains("x=\"16.8\" y=\"13.0\" textLength=\"16.8\" fill=\"#010203\">林</text>"),
        "{picture}"
    );
    assert!(
        picture.contains("x=\"33.6\" y=\"13.0\" textLength=\"16.8\" fill=\"#010203\">b&amp;</text>"),
        "{picture}"
    );
}
