//! The card for home as a page to print, and the same in Markdown and as plain text.
//!
//! The page is one file: no script, nothing that is fetched, and no address on the paper. All of it lies in 186 x 255 mm,
//! which fits A4 and US Letter alike: letters and pictures are as large as the words of the card allow.

use std::fmt::Write;

use crate::figure::svg_shapes;
use crate::text::{self, Safe};

use super::home_card::{HomeCard, HomeStretch, LIGHT, LIMITS, STOP};
use super::home_sheet::{Fitted, SheetSizes, fitted};
use super::paper::{self, Markup, escaped, foreign};
use super::picture;
use super::twin::marked;

/// Columns of the plain text, without its indent.
const WIDTH: usize = 75;
const STYLE: &str = include_str!("home_page.css");

/// The page. Every caution stands on it; if they take too much of the sheet, there are fewer stretches, and as many in
/// each way of writing.
pub fn write(card: &HomeCard, markup: Markup) -> String {
    let mut card = card.clone();
    card.stretches.truncate(fitted(&card).stretches);
    match markup {
        Markup::Html => html(&card),
        Markup::Markdown => markdown(&card),
        Markup::Plain => plain(&card),
    }
}

/// The page in HTML.
fn html(card: &HomeCard) -> String {
    let Fitted { sizes, cautions, .. } = fitted(card);
    let mut out = head(card, &sizes);
    for (index, stretch) in card.stretches.iter().enumerate() {
        row(&mut out, index + 1, stretch, &sizes);
    }
    out.push_str("</ol>\n");
    for caution in &cautions {
        let _ = writeln!(out, "<p class=\"mind\">{}</p>", escaped(caution));
    }
    let boxes = format!("<li>{}</li>", "<i></i>".repeat(usize::from(card.days))).repeat(4);
    let _ = write!(
        out,
        "<section class=\"stop\" aria-labelledby=\"st\"><h2 id=\"st\">{STOP}</h2>\
         <p>Leave that one out until you have told {}.<br>{LIGHT}</p></section>\n\
         <div class=\"tick\"><span>A box each day you did it:</span>\
         <ol aria-label=\"4 weeks with {} boxes each\">{boxes}</ol></div>\n</main>\n\
         <footer>Pictures show the left side. Dark: where it pulls. {LIMITS}</footer>\n</body>\n</html>\n",
        foreign(card.told()),
        card.days
    );
    out
}

fn head(card: &HomeCard, sizes: &SheetSizes) -> String {
    let day = card.day();
    let from =
        if card.studio.is_empty() { String::new() } else { format!("from {}, ", foreign(&card.studio)) };
    let whose = if card.client.is_empty() {
        String::new()
    } else {
        format!("for <strong>{}</strong><br>", foreign(&card.client))
    };
    let title = format!("{}, {day}", named(card));
    let opened = paper::opened(&title, &format!("{STYLE}{}", sizes.style()));
    format!(
        "{opened}<header class=\"top\"><h1>To do at home</h1><p class=\"of\">{whose}{from}{}</p>\
         </header>\n<main>\n<p class=\"how\">{}</p>\n<p class=\"need\">{}</p>\n<ol>\n",
        paper::time(card.on),
        card.how(),
        card.needs()
    )
}

fn row(out: &mut String, number: usize, stretch: &HomeStretch, sizes: &SheetSizes) {
    let shapes = svg_shapes(&stretch.form, picture::worked(&stretch.form));
    // As large as the box allows, in tenths of a millimetre.
    let (across, down) = (i64::from(sizes.picture.0), i64::from(sizes.picture.1));
    let width = across.min(down * shapes.width / shapes.height.max(1));
    let height = width * shapes.height / shapes.width.max(1);
    let dose = |(dose, side): (String, &str)| {
        let dose = dose.replace(" x ", " × ");
        format!("<span class=\"pair\"><b>{dose}</b> {side}</span> ")
    };
    let doses: String = stretch.doses().into_iter().map(dose).collect();
    let _ = write!(
        out,
        "<li class=\"ex\"><div class=\"pic\"><svg class=\"fig\" role=\"img\" aria-label=\"{}\" \
         viewBox=\"0 0 {} {}\" style=\"width:{}.{}mm;height:{}.{}mm\">{}</svg></div>\n\
         <div><h2><span class=\"no\">{number}</span> {}<span class=\"pos\">, {}</span></h2>\
         <p class=\"say\">{}</p><p class=\"dose\">{}</p></div></li>\n",
        escaped(&picture::alt(&stretch.form)),
        shapes.width,
        shapes.height,
        width / 10,
        width % 10,
        height / 10,
        height % 10,
        shapes.paths,
        escaped(&stretch.name),
        stretch.position(),
        escaped(&stretch.say()),
        doses.trim_end()
    );
}

/// The same in Markdown.
fn markdown(card: &HomeCard) -> String {
    let mut out = format!("# {}\n\n{}\n\n", marked(&named(card)), marked(&origin(card)));
    let _ = write!(out, "**{}**\n\n{}\n\n", card.how(), card.needs());
    for (index, stretch) in card.stretches.iter().enumerate() {
        let _ = write!(
            out,
            "{}. **{}**, {}: {}\n\n   {}\n\n",
            index + 1,
            marked(&stretch.name),
            stretch.position(),
            dose_words(stretch),
            marked(&stretch.say())
        );
    }
    for caution in card.minded(true) {
        let _ = write!(out, "{}\n\n", marked(&caution));
    }
    let told = marked(card.told());
    let _ = write!(out, "## {STOP}\n\nLeave that one out until you have told {told}. {LIGHT}\n\n{LIMITS}\n");
    out
}

/// The same as text, for a mail or a screen reader.
fn plain(card: &HomeCard) -> String {
    let mut out = String::new();
    let mut say = |first: &str, words: &str| {
        let lines = text::wrap(&Safe::from_foreign(words), WIDTH);
        for (index, line) in lines.iter().enumerate() {
            let indent = if index == 0 || first.is_empty() { first } else { "   " };
            let _ = writeln!(out, "{indent}{line}");
        }
        if words.is_empty() && lines.is_empty() {
            out.push('\n');
        }
    };
    say("", &named(card).replacen("To do at home", "TO DO AT HOME", 1));
    say("", &origin(card));
    say("", "");
    say("", &card.how());
    say("", &card.needs());
    for (index, stretch) in card.stretches.iter().enumerate() {
        say("", "");
        let words = format!("{}, {}: {}", stretch.name, stretch.position(), dose_words(stretch));
        say(&format!("{}  ", index + 1), &words);
        say("   ", &stretch.say());
    }
    say("", "");
    for caution in card.minded(true) {
        say("", &caution);
    }
    say("", STOP);
    say("", &format!("Leave that one out until you have told {}.", card.told()));
    say("", LIGHT);
    say("", "");
    say("", LIMITS);
    out
}

/// What the page is called.
fn named(card: &HomeCard) -> String {
    let whose = if card.client.is_empty() { String::new() } else { format!(", for {}", card.client) };
    format!("To do at home{whose}")
}

/// Where the card is from, and of when.
fn origin(card: &HomeCard) -> String {
    if card.studio.is_empty() { card.day() } else { format!("{}, {}", card.studio, card.day()) }
}

fn dose_words(stretch: &HomeStretch) -> String {
    let words = |(dose, side): (String, &str)| match side {
        "left" | "right" => format!("{side} {dose}"),
        side => format!("{dose} {side}"),
    };
    stretch.doses().into_iter().map(words).collect::<Vec<_>>().join(", ")
}
