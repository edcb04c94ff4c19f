//! The letter to a clinician as a page to print, in Markdown and as plain text.

use std::fmt::Write;

use crate::words::date::{self, days};

use super::letter::{FormDone, Letter, SideDone, Stops};
use super::paper::{self, Markup, escaped, foreign, time};
use super::paper_size::{POINT, SHEET, Space, many, paragraph};
use super::twin::{Twin, TwinTable};
use super::words;

const TITLE: &str = "Stretching record";
/// What the page is not.
const LIMITS: &str = "From the notes of a personal trainer. No examination, no diagnosis.";
const ANSWERS: &str = "Answer: the client’s own, 1 to 5, during the hold; a 4 is aimed at, so answers do not show range. \
                       Held: mean seconds under stretch.";
const ANGLES: &str = "All passive, by the trainer. Error: two measurements of the same thing differ by themselves by up to \
                      this. After the dot the answer at that hold, 1 to 5; p: then stopped for pain; \
                      –: not asked.";
const STYLE: &str = include_str!("letter_page.css");
/// Most days of the stops of one stretch on the sheet.
const NEWEST: usize = 16;
/// Letters of the columns of angles.
const LETTERS: [&str; 3] = ["A", "B", "C"];

/// What of the letter has room on the sheet: forms, days, stops, conditions, remarks.
#[derive(Debug, Clone, Copy)]
struct LetterShown {
    forms: usize,
    days: usize,
    stops: usize,
    conditions: usize,
    remarks: usize,
}

/// What does not stand on the sheet.
fn rest(count: usize, what: &str) -> String {
    format!("{count} more {what} in the data of this client.")
}

impl Letter {
    /// The page.
    pub fn write(&self, markup: Markup) -> String {
        match markup {
            Markup::Html => self.html(),
            Markup::Markdown | Markup::Plain => self.twin(markup),
        }
    }

    fn html(&self) -> String {
        let shown = self.shown();
        let mut out = paper::opened(&format!("{TITLE}, {}", self.client), STYLE);
        let _ = write!(
            out,
            "<header class=\"top\"><h1>{TITLE}</h1>{}</header>\n<main>\n<p class=\"to\"><span>For <i></i></span>\
             <span>About <strong>{}</strong>{}</span></p>\n<p class=\"sum\">{}</p>\n",
            self.from.html(&time(self.on)),
            foreign(&self.client),
            self.born,
            self.summary
        );
        self.done(&mut out, shown.forms);
        self.angles(&mut out, shown.days);
        if let Some(conditions) = &self.conditions {
            out.push_str("<section aria-labelledby=\"c\"><h2 id=\"c\">On the card</h2>\n");
            let named: Vec<String> = conditions[..shown.conditions].iter().map(|it| foreign(it)).collect();
            let named = if conditions.is_empty() { "No condition.".to_owned() } else { named.join("; ") };
            let _ = writeln!(out, "<p class=\"t\">{named}</p>");
            note(&mut out, conditions.len() - shown.conditions, "conditions");
            out.push_str("</section>\n");
        }
        self.end(&mut out, shown.stops);
        if let Some(remarks) = &self.remarks {
            out.push_str("<section aria-labelledby=\"r\"><h2 id=\"r\">Remarks</h2><ul>\n");
            for (on, remark) in &remarks[..shown.remarks] {
                let _ = writeln!(out, "<li class=\"t\">{}: {}</li>", time(*on), foreign(remark));
            }
            out.push_str("</ul>\n");
            if remarks.is_empty() {
                out.push_str("<p class=\"t\">None.</p>\n");
            }
            note(&mut out, remarks.len() - shown.remarks, "remarks");
            out.push_str("</section>\n");
        }
        paper::closed(&mut out, LIMITS);
        out
    }

    fn done(&self, out: &mut String, shown: usize) {
        out.push_str("<section aria-labelledby=\"w\"><h2 id=\"w\">What was done</h2>\n");
        if self.forms.is_empty() {
            out.push_str("<p class=\"t\">No stretch.</p></section>\n");
            return;
        }
        out.push_str(
            "<table class=\"did\"><thead><tr><th scope=\"col\">stretch, form</th><th scope=\"col\">side</th>\
             <th scope=\"col\" class=\"n\">times</th><th scope=\"col\" class=\"n\">held</th>\
             <th scope=\"col\" class=\"n\"><span class=\"vh\">answer </span>1</th><th scope=\"col\" class=\"n\">2</th>\
             <th scope=\"col\" class=\"n\">3</th><th scope=\"col\" class=\"n\">4</th>\
             <th scope=\"col\" class=\"n\">5</th><th scope=\"col\" class=\"n\">not asked</th>\
             <th scope=\"col\" class=\"n\">stopped for pain</th></tr></thead>\n",
        );
        for form in &self.forms[..shown] {
            out.push_str("<tbody>");
            for (index, (side, done)) in form.sides.iter().enumerate() {
                out.push_str("<tr>");
                if index == 0 {
                    let _ = write!(
                        out,
                        "<th scope=\"rowgroup\" rowspan=\"{}\"><b>{}</b><br>{}</th>",
                        form.sides.len(),
                        escaped(&form.name),
                        escaped(&form.form)
                    );
                }
                let _ = write!(out, "<td>{}</td>", words::side(*side));
                for cell in done.cells() {
                    let _ = write!(out, "<td class=\"n\">{cell}</td>");
                }
                out.push_str("</tr>");
            }
            out.push_str("</tbody>\n");
        }
        let _ = write!(out, "</table>\n<p class=\"note\">{ANSWERS}</p>\n");
        note(out, self.forms.len() - shown, "forms, done less often,");
        out.push_str("</section>\n");
    }

    fn angles(&self, out: &mut String, shown: usize) {
        if self.tests.is_empty() {
            return;
        }
        out.push_str("<section aria-labelledby=\"d\"><h2 id=\"d\">Angles, degrees</h2>\n");
        for (letter, test) in LETTERS.iter().zip(&self.tests) {
            let _ = writeln!(
                out,
                "<p class=\"t\"><b>{letter}</b> {}: {}</p>",
                escaped(&test.name),
                escaped(&test.about)
            );
        }
        let _ = write!(out, "<p class=\"note\">{ANGLES} {}</p>\n<div class=\"two\">", escaped(&self.taken));
        let days = &self.days[self.days.len() - shown..];
        let (first, second) = days.split_at(shown.div_ceil(2));
        self.angle_table(out, first);
        if !second.is_empty() {
            self.angle_table(out, second);
        }
        out.push_str("</div>\n");
        note(out, self.earlier + self.days.len() - shown, "days, all earlier,");
        out.push_str("</section>\n");
    }

    fn angle_table(&self, out: &mut String, days: &[(chrono::NaiveDate, Vec<String>)]) {
        out.push_str("<table class=\"an\"><thead><tr><td></td>");
        for (letter, test) in LETTERS.iter().zip(&self.tests) {
            let _ = write!(
                out,
                "<th scope=\"colgroup\" class=\"g\" colspan=\"{}\">{letter}</th>",
                test.sides.len()
            );
        }
        out.push_str("</tr><tr><td></td>");
        for side in self.tests.iter().flat_map(|test| &test.sides) {
            let _ = write!(out, "<th scope=\"col\" class=\"n\">{}</th>", words::side(*side));
        }
        out.push_str("</tr></thead><tbody>\n");
        for (on, cells) in days {
            let _ = write!(out, "<tr><th scope=\"row\">{}</th>", date::short_day(*on));
            for cell in cells {
                let _ = write!(out, "<td>{cell}</td>");
            }
            out.push_str("</tr>\n");
        }
        out.push_str("</tbody></table>\n");
    }

    /// Every stop, and the lines for the pen.
    fn end(&self, out: &mut String, shown: usize) {
        out.push_str(
            "<div class=\"end\"><section aria-labelledby=\"p\"><h2 id=\"p\">Stopped for pain</h2><ul>\n",
        );
        for stops in &self.stops[..shown] {
            let _ = writeln!(out, "<li>{}</li>", escaped(&stops.short()));
        }
        out.push_str("</ul>\n");
        if self.stops.is_empty() {
            out.push_str("<p class=\"t\">No stretch was stopped for pain in this time.</p>\n");
        }
        note(out, self.stops.len() - shown, "stretches that were stopped");
        out.push_str(
            "</section>\n<div class=\"sign\"><p>Handed out at the client’s wish: client, date</p>\
             <p>Trainer, date</p></div></div>\n",
        );
    }

    /// What has room, in the order in which it is given up last: angles, stops and conditions before the forms.
    fn shown(&self) -> LetterShown {
        let mut space = Space::sheet();
        let lines = many(self.from.height() + 1) * 10.0 * 1.25 * POINT;
        space.reserve(lines.max(20.0 * 1.1 * POINT) + 2.6);
        // The name is bold; the line for the pen stands before it.
        let about = format!("About {}{}", self.client, self.born);
        space.reserve(2.8 + paragraph(&about, 12.5, SHEET.0 - 88.0, 1.15).max(5.0));
        space.reserve(paragraph(&self.summary, 9.5, SHEET.0, 1.25) + 1.6);
        // Heads of the parts, the head of the table, what stands under it, the foot.
        let heading = 11.0 * 1.2 * POINT + 2.6;
        space.reserve(2.0 * heading + 4.0 + paragraph(ANSWERS, 8.5, SHEET.0, 1.25) + 1.6 + 8.5);
        // The lines for the pen stand beside the stops.
        space.reserve(32.0 - heading);
        let mut days = 0;
        if !self.tests.is_empty() {
            let about: f64 = self
                .tests
                .iter()
                .map(|test| paragraph(&format!("A {}: {}", test.name, test.about), 9.0, SHEET.0, 1.25))
                .sum();
            let taken = paragraph(&format!("{ANGLES} {}", self.taken), 8.5, SHEET.0, 1.25) + 1.6;
            space.reserve(heading + about + taken + 8.2);
            if self.earlier > 0 {
                space.reserve(4.6);
            }
            let pairs = vec![9.0 * 1.2 * POINT + 0.5; self.days.len().div_ceil(2)];
            days = (2 * space.rows(&pairs, 5.0)).min(self.days.len());
        }
        let mut conditions = 0;
        if let Some(all) = &self.conditions {
            space.reserve(heading + 4.0);
            let heights: Vec<f64> = all.iter().map(|it| paragraph(it, 9.0, SHEET.0 * 0.75, 1.25)).collect();
            conditions = space.rows(&heights, 5.0);
        }
        let height = |stops: &Stops| paragraph(&stops.short(), 9.5, 114.0 - 4.0, 1.25);
        let heights: Vec<f64> = self.stops.iter().map(height).collect();
        // As many as the lines for the pen are high have room in any case.
        space.reserve(-(32.0 - heading));
        let mut tried = space;
        tried.reserve(24.0);
        let stops = tried.rows(&heights, 5.0).max(self.stops.len().min(2));
        space.reserve(heights[..stops].iter().sum::<f64>().max(32.0 - heading) + 1.0);
        let mut remarks = 0;
        if let Some(all) = &self.remarks {
            space.reserve(heading + 4.5);
            let mut tried = space;
            tried.reserve(24.0);
            let heights: Vec<f64> =
                all.iter().map(|(_, remark)| paragraph(remark, 9.0, SHEET.0 - 32.0, 1.25)).collect();
            remarks = tried.rows(&heights, 5.0);
            space.reserve(heights[..remarks].iter().sum::<f64>() + 5.0);
        }
        let heights: Vec<f64> = self.forms.iter().map(FormDone::height).collect();
        let forms = space.rows(&heights, 5.0);
        LetterShown { forms, days, stops, conditions, remarks }
    }

    fn twin(&self, markup: Markup) -> String {
        let mut twin = Twin::new(markup, TITLE);
        let from = self.from.in_a_line();
        let gap = if from.is_empty() { "" } else { ", " };
        twin.say(&format!("{from}{gap}{}", date::day(self.on)));
        twin.say(&format!("About {}{}", self.client, self.born));
        twin.say(&self.summary);
        twin.heading("What was done");
        let mut table = TwinTable::new([
            "stretch, form",
            "side",
            ">times",
            ">held",
            ">1",
            ">2",
            ">3",
            ">4",
            ">5",
            ">not asked",
            ">pain",
        ]);
        for form in &self.forms {
            for (side, done) in &form.sides {
                let mut row = vec![format!("{}: {}", form.name, form.form), words::side(*side).to_owned()];
                row.extend(done.cells());
                table.row(row);
            }
        }
        twin.table(&table);
        twin.say(if self.forms.is_empty() { "No stretch." } else { ANSWERS });
        if !self.tests.is_empty() {
            self.twin_angles(&mut twin);
        }
        if let Some(conditions) = &self.conditions {
            twin.heading("On the card");
            twin.list(conditions.iter().cloned());
            twin.say(if conditions.is_empty() { "No condition." } else { "" });
        }
        twin.heading("Stopped for pain");
        twin.list(self.stops.iter().map(Stops::words));
        twin.say(if self.stops.is_empty() { "No stretch was stopped for pain in this time." } else { "" });
        if let Some(remarks) = &self.remarks {
            twin.heading("Remarks");
            twin.list(remarks.iter().map(|(on, remark)| format!("{}: {remark}", date::day(*on))));
            twin.say(if remarks.is_empty() { "None." } else { "" });
        }
        twin.say(LIMITS);
        twin.finish()
    }

    fn twin_angles(&self, twin: &mut Twin) {
        twin.heading("Angles, degrees");
        let tests = LETTERS.iter().zip(&self.tests);
        twin.list(tests.map(|(letter, test)| format!("{letter}: {}: {}", test.name, test.about)));
        twin.say(&format!("{ANGLES} {}", self.taken));
        let mut heads = vec!["day".to_owned()];
        for (letter, test) in LETTERS.iter().zip(&self.tests) {
            heads.extend(test.sides.iter().map(|side| format!(">{letter} {}", words::side(*side))));
        }
        let mut table = TwinTable::new(heads.iter().map(String::as_str));
        for (on, cells) in &self.days {
            table.row(std::iter::once(on.to_string()).chain(cells.iter().cloned()).collect());
        }
        twin.table(&table);
        if self.earlier > 0 {
            twin.say(&rest(self.earlier, "days, all earlier,"));
        }
    }
}

/// A line under a part of which not all has room.
fn note(out: &mut String, left: usize, what: &str) {
    if left > 0 {
        let _ = writeln!(out, "<p class=\"note\">{}</p>", rest(left, what));
    }
}

impl FormDone {
    fn height(&self) -> f64 {
        let words = paragraph(&self.name, 10.5, 74.0, 1.09) + paragraph(&self.form, 9.5, 74.0, 1.2);
        words.max(many(self.sides.len()) * 9.5 * 1.2 * POINT) + 0.3
    }
}

impl SideDone {
    /// Times, held, answers, not asked, stopped; a dash for none.
    fn cells(&self) -> Vec<String> {
        let count = |count: u32| if count == 0 { "–".to_owned() } else { count.to_string() };
        let mut cells = vec![self.times.to_string(), self.mean().to_string()];
        cells.extend(self.answers.map(count));
        cells.extend([self.not_asked, self.pain].map(count));
        cells
    }
}

impl Stops {
    fn words(&self) -> String {
        format!("{}, {}: {}", self.name, words::side(self.side), days(&self.days))
    }

    /// The newest days, and how many there are before them.
    fn short(&self) -> String {
        let earlier = self.days.len().saturating_sub(NEWEST);
        if earlier == 0 {
            return self.words();
        }
        let newest = days(&self.days[earlier..]);
        format!("{}, {}: {newest}; {earlier} times before", self.name, words::side(self.side))
    }
}
