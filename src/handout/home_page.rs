//! The card for home as a page to print, and the same in Markdown and as plain text.
//!
//! The page is one file: no script, nothing that is fetched, and no address on the paper. All of it lies in 186 x 255 mm,
//! which fits A4 and US Letter alike: letters and pictures are as large as the words of the card allow.

use std::fmt::Write;

use crate::figure::svg_shapes;
use crate::text::{self, Safe};

use super::home_card::{HomeCard, HomeStretch, LIGHT, LIMITS, STOP};
use super::home_sheet::SheetSizes;
use super::picture;

/// Columns of the plain text, without its indent.
const WIDTH: usize = 75;
/// Most cautions that a sheet has room for.
const CAUTIONS: usize = 2;
const STYLE: &str = include_str!("home_page.css");

/// The page in HTML.
pub fn html(card: &HomeCard) -> String {
    let cautions = &card.cautions[..card.cautions.len().min(CAUTIONS)];
    let sizes = SheetSizes::of(card, cautions);
    let mut out = head(card, &sizes);
    for (index, stretch) in card.stretches.iter().enumerate() {
        row(&mut out, index + 1, stretch, &sizes);
    }
    out.push_str("</ol>\n");
    for caution in cautions {
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
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"robots\" content=\"noindex\">\n<title>To do at home, {}, {day}</title>\n\
         <style>\n{STYLE}{}</style>\n</head>\n<body>\n\
         <header class=\"top\"><h1>To do at home</h1><p class=\"of\">for <strong>{}</strong><br>{from}\
         <time datetime=\"{}\">{day}</time></p></header>\n<main>\n<p class=\"how\">{}</p>\n\
         <p class=\"need\">{}</p>\n<ol>\n",
        escaped(&card.client),
        sizes.style(),
        foreign(&card.client),
        card.on,
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
pub fn markdown(card: &HomeCard) -> String {
    let mut out = format!("# To do at home, for {}\n\n{}\n\n", marked(&card.client), marked(&origin(card)));
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
    for caution in card.cautions.iter().take(CAUTIONS) {
        let _ = write!(out, "{}\n\n", marked(caution));
    }
    let told = marked(card.told());
    let _ = write!(out, "## {STOP}\n\nLeave that one out until you have told {told}. {LIGHT}\n\n{LIMITS}\n");
    out
}

/// The same as text, for a mail or a screen reader.
pub fn plain(card: &HomeCard) -> String {
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
    say("", &format!("TO DO AT HOME, for {}", card.client));
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
    for caution in card.cautions.iter().take(CAUTIONS) {
        say("", caution);
    }
    say("", STOP);
    say("", &format!("Leave that one out until you have told {}.", card.told()));
    say("", LIGHT);
    say("", "");
    say("", LIMITS);
    out
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

/// Foreign words inside a page.
fn escaped(words: &str) -> String {
    let mut out = String::new();
    for letter in Safe::from_foreign(words).chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            letter => out.push(letter),
        }
    }
    out
}

/// A name inside a page: not to be translated, in whatever direction it is written.
fn foreign(words: &str) -> String {
    format!("<bdi translate=\"no\" lang=\"\">{}</bdi>", escaped(words))
}

/// Foreign words inside Markdown.
fn marked(words: &str) -> String {
    let mut out = String::new();
    for letter in Safe::from_foreign(words).chars() {
        match letter {
            '<' => out.push_str("&lt;"),
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '>' | '#' | '|' | '~' => {
                out.extend(['\\', letter]);
            }
            letter => out.push(letter),
        }
    }
    out
}
