//! The page for the quarterly talk: to print, in Markdown and as plain text.

use std::fmt::Write;

use crate::body::Side;
use crate::insight::ClaimMark;
use crate::words::date;

use super::paper::{self, Markup, clock, escaped, foreign, mark};
use super::paper_size::{POINT, SHEET, Space, many, paragraph};
use super::twin::{Twin, TwinTable};
use super::year::{YearPage, YearTest};
use super::year_chart::{HEIGHT, height_of};

const STYLE: &str = include_str!("year_page.css");
/// What the page is not.
const LIMITS: &str = "Angles by the trainer, in the position of the stretch. Answers, 1 to 5, are kept near 4 and say nothing \
                      about range. These are notes from training, no diagnosis.";
const NO_ANGLE: &str = "Nothing was measured in this time.";
const NO_PAIN: &str = "No stretch was stopped for pain in this time.";
const WORK: &str = "7/10: stretched in 7 sessions, trained in 10; bold: never stretched.";
const HELD: &str = "Sessions, minutes held a week";
const PAIN: &str = "All: of how many times done; the last stop; how often done since, without pain.";

/// Millimetres of a chart at least, as the style says, too: where rows of the tables need the room, the page itself makes
/// the charts smaller, no more than this.
const CHARTS: [f64; 2] = [HEIGHT, 34.0];
/// Width of the names of muscles and of stretches.
const MUSCLES: f64 = 27.0;
const STRETCHES: f64 = 34.0;

/// What of the page has room on the sheet.
#[derive(Debug, Clone, Copy)]
struct YearShown {
    work: usize,
    pains: usize,
    /// Whether the time held stands under what was trained, not under the pains.
    is_held_left: bool,
}

impl YearPage {
    /// The page.
    pub fn write(&self, markup: Markup) -> String {
        match markup {
            Markup::Html => self.html(),
            Markup::Markdown | Markup::Plain => self.twin(markup),
        }
    }

    fn limits(&self) -> String {
        let gap = if self.sure.is_empty() { "" } else { " " };
        format!("{LIMITS}{gap}{}", self.sure)
    }

    fn html(&self) -> String {
        let shown = self.shown();
        let mut out = paper::opened(&format!("{}, {}", self.client, self.time), STYLE);
        let _ = write!(
            out,
            "<header class=\"top\"><h1>{}<span class=\"sub\">, {}</span></h1>{}</header>\n<main>\n\
             <p class=\"sum\">{}</p>\n<section aria-labelledby=\"f\"><h2 id=\"f\">What stands out</h2>\n",
            foreign(&self.client),
            self.time,
            self.from.html(""),
            self.summary
        );
        if self.findings.is_empty() {
            let _ = writeln!(out, "<p class=\"few\">{}</p>", self.few);
        } else {
            out.push_str("<ul class=\"find\">\n");
            for finding in &self.findings {
                let mark = match finding.mark {
                    ClaimMark::Side(side) => mark(side),
                    ClaimMark::Dot => "<span class=\"dot\" aria-hidden=\"true\">·</span>".to_owned(),
                };
                let _ = writeln!(out, "<li>{mark}{}</li>", escaped(&finding.sentence));
            }
            out.push_str("</ul>\n");
        }
        out.push_str(
            "</section>\n<section class=\"deg\" aria-labelledby=\"d\"><h2 id=\"d\">Degrees by quarter</h2>\n",
        );
        if self.tests.is_empty() {
            let _ = writeln!(out, "<p class=\"few\">{NO_ANGLE}</p>");
        } else {
            out.push_str("<div class=\"figs\">\n");
            let high = height_of(&self.tests);
            for test in &self.tests {
                self.figure(&mut out, test, high);
            }
            let _ = write!(out, "</div>\n<p class=\"note\">{}</p>\n", self.key());
        }
        out.push_str("</section>\n<div class=\"two\">");
        out.push_str("<div>");
        self.work_table(&mut out, shown.work);
        if shown.is_held_left {
            self.held_table(&mut out);
        }
        out.push_str("</div><div>");
        self.pain_table(&mut out, shown.pains);
        if !shown.is_held_left {
            self.held_table(&mut out);
        }
        out.push_str("</div></div>\n");
        paper::closed(&mut out, &self.limits());
        out
    }

    /// The heads of the quarters, each over two lines.
    fn heads(&self, out: &mut String) {
        for quarter in &self.quarters {
            let _ = write!(out, "<th scope=\"col\">{}</th>", quarter.replace('–', "–<br>"));
        }
    }

    fn figure(&self, out: &mut String, test: &YearTest, high: i32) {
        let _ = write!(
            out,
            "<figure><figcaption><strong>{}</strong> <span class=\"q\">{}</span></figcaption>",
            escaped(&test.name),
            escaped(&test.form)
        );
        test.svg(out, &self.quarters, high);
        let _ = write!(
            out,
            "<table class=\"u\"><caption class=\"vh\">{} by quarter</caption><thead><tr><td></td>",
            escaped(&test.name)
        );
        self.heads(out);
        out.push_str("</tr></thead><tbody>");
        for (name, cells) in test.rows() {
            let side = match name {
                "left" => mark(Some(Side::Left)),
                "right" => mark(Some(Side::Right)),
                "both" => mark(None),
                _ => String::new(),
            };
            let _ = write!(out, "<tr><th scope=\"row\">{side}{name}</th>");
            for cell in cells {
                let _ = write!(out, "<td>{cell}</td>");
            }
            out.push_str("</tr>");
        }
        out.push_str("</tbody></table></figure>\n");
    }

    fn work_table(&self, out: &mut String, shown: usize) {
        out.push_str(
            "<section aria-labelledby=\"t\"><h2 id=\"t\">Stretched / trained, in sessions</h2>\n<table class=\"ts\">\
             <thead><tr><td></td>",
        );
        self.heads(out);
        out.push_str("<th scope=\"col\">all</th><td></td></tr></thead><tbody>\n");
        let most = self.work.iter().map(|row| row.trained.max(row.stretched)).max().unwrap_or(1).max(1);
        for row in &self.work[..shown] {
            let never = if row.is_never() { " class=\"never\"" } else { "" };
            let _ = write!(out, "<tr{never}><th scope=\"row\">{}</th>", row.muscles);
            for [stretched, trained] in &row.quarters {
                let _ = write!(out, "<td>{stretched}<span class=\"q\">/{trained}</span></td>");
            }
            let part = |count: u32| 19.6 * f64::from(count.min(most)) / f64::from(most);
            let _ = writeln!(
                out,
                "<td class=\"tot\">{}<span class=\"q\">/{}</span></td><td class=\"bar\"><svg aria-hidden=\"true\" \
                 viewBox=\"0 0 20.4 3\" preserveAspectRatio=\"none\"><rect x=\".2\" y=\".4\" width=\"{:.1}\" \
                 height=\"2.2\" fill=\"#fff\" stroke=\"#111\" stroke-width=\".3\"/><rect x=\".2\" y=\".4\" \
                 width=\"{:.1}\" height=\"2.2\" fill=\"#111\"/></svg></td></tr>",
                row.stretched,
                row.trained,
                part(row.trained),
                part(row.stretched)
            );
        }
        out.push_str("</tbody></table>\n");
        if shown < self.work.len() {
            let left = self.work.len() - shown;
            let _ = writeln!(out, "<p class=\"note\">{left} more rows, trained less often, in the data.</p>");
        }
        let _ = writeln!(out, "<p class=\"note\">{WORK}</p></section>");
    }

    fn held_table(&self, out: &mut String) {
        let _ = write!(
            out,
            "<section aria-labelledby=\"h\"><h2 id=\"h\">{HELD}</h2><table class=\"pn\"><thead><tr><td></td>"
        );
        self.heads(out);
        out.push_str("<th scope=\"col\">all</th></tr></thead><tbody>\n");
        for (name, cells) in self.held_rows() {
            let _ = write!(out, "<tr><th scope=\"row\">{name}</th>");
            for cell in cells {
                let _ = write!(out, "<td>{cell}</td>");
            }
            out.push_str("</tr>\n");
        }
        out.push_str("</tbody></table></section>\n");
    }

    /// Sessions, and what was held in a week.
    fn held_rows(&self) -> Vec<(&'static str, Vec<String>)> {
        let all: u32 = self.sessions.iter().sum();
        let sessions = self.sessions.iter().chain([&all]).map(ToString::to_string).collect();
        let held = |place: usize| {
            let cell =
                |spread: &Option<[u32; 3]>| spread.map_or_else(|| "–".to_owned(), |of| clock(of[place]));
            self.held.iter().chain([&self.held_all]).map(cell).collect()
        };
        vec![("sessions", sessions), ("median", held(1)), ("lowest", held(0)), ("highest", held(2))]
    }

    fn pain_table(&self, out: &mut String, shown: usize) {
        out.push_str("<section aria-labelledby=\"p\"><h2 id=\"p\">Stopped for pain</h2>\n");
        if self.pains.is_empty() {
            let _ = write!(out, "<p class=\"few\">{NO_PAIN}</p></section>");
            return;
        }
        out.push_str("<table class=\"pn\"><thead><tr><td></td>");
        self.heads(out);
        out.push_str(
            "<th scope=\"col\">all</th><th scope=\"col\" class=\"w\">last</th><th scope=\"col\">times<br>since</th></tr>\
             </thead><tbody>\n",
        );
        for pain in &self.pains[..shown] {
            let _ = write!(out, "<tr><th scope=\"row\">{}{}</th>", mark(pain.side), escaped(&pain.named()));
            for stops in &pain.quarters {
                let cell = if *stops == 0 {
                    "<span class=\"q\">–</span>".to_owned()
                } else {
                    format!("<b>{stops}</b>")
                };
                let _ = write!(out, "<td>{cell}</td>");
            }
            let _ = writeln!(
                out,
                "<td>{}<span class=\"q\">/{}</span></td><td class=\"w\">{}</td><td>{}</td></tr>",
                pain.stops(),
                pain.times,
                date::day_of_year(pain.last),
                pain.since
            );
        }
        out.push_str("</tbody></table>\n");
        if shown < self.pains.len() {
            let left = self.pains.len() - shown;
            let _ = writeln!(out, "<p class=\"note\">{left} more, stopped less often, in the data.</p>");
        }
        let _ = write!(out, "<p class=\"note\">{PAIN}</p></section>");
    }

    /// What has room: the findings always, then the charts, then as many rows as fit.
    fn shown(&self) -> YearShown {
        let heading = 12.0 * 1.2 * POINT + 2.5;
        // The name is bold and larger than what follows it.
        let title = format!("{} {}", self.client, self.time);
        let title = paragraph(&title, 18.0, self.from.beside(), 1.1);
        let mut space = Space::sheet();
        space.reserve(title.max(many(self.from.height()) * 10.0 * 1.25 * POINT) + 2.6);
        space.reserve(paragraph(&self.summary, 10.5, SHEET.0, 1.28) + 1.6);
        let finding = |sentence: &str| paragraph(sentence, 11.0, SHEET.0 - 6.0, 1.22) + 0.6;
        let few = if self.findings.is_empty() { finding(&self.few) + 1.0 } else { 0.0 };
        space.reserve(heading + few + self.findings.iter().map(|it| finding(&it.sentence)).sum::<f64>());
        space.reserve(paragraph(&self.limits(), 8.5, SHEET.0, 1.25) + 3.9);
        space.reserve(heading);
        if self.tests.is_empty() {
            space.reserve(6.0);
        } else {
            let caption =
                |test: &YearTest| paragraph(&format!("{} {}", test.name, test.form), 11.0, 58.0, 1.15);
            space.reserve(self.tests.iter().map(caption).fold(0.0, f64::max));
            let rows = self.tests.iter().map(|test| test.rows().len()).max().unwrap_or(0);
            space.reserve(2.0 * 8.0 * 1.18 * POINT + many(rows) * 8.5 * 1.18 * POINT + 0.8);
            space.reserve(paragraph(&self.key(), 8.5, SHEET.0, 1.22) + 0.8);
        }
        // Heads of both tables, sessions and what was held, what stands under them.
        space.reserve(heading + 2.0 * 8.0 * 1.1 * POINT + 0.5);
        let row = 9.0 * 1.2 * POINT + 0.6;
        let mut right = space;
        space.reserve(paragraph(WORK, 8.5, 94.0, 1.22) + 0.8);
        right.reserve(paragraph(PAIN, 8.5, 88.0, 1.22) + 0.8);
        let held = heading + 6.7 + 4.0 * row;
        let height = |words: &str, column: f64, font: f64| paragraph(words, font, column, 1.2) + 0.6;
        // Bold letters are wider, and the mark of a side goes before a stretch.
        let work: Vec<f64> = self.work.iter().map(|row| height(&row.muscles, MUSCLES - 1.0, 9.0)).collect();
        let pains: Vec<f64> =
            self.pains.iter().map(|pain| height(&pain.named(), STRETCHES - 4.0, 9.0)).collect();
        let charts = if self.tests.is_empty() { &[0.0][..] } else { &CHARTS[..] };
        let mut best = YearShown { work: 0, pains: 0, is_held_left: false };
        for (chart, is_held_left) in charts.iter().flat_map(|chart| [(*chart, false), (*chart, true)]) {
            let (mut left, mut right) = (space, right);
            left.reserve(chart + if is_held_left { held } else { 0.0 });
            right.reserve(chart + if is_held_left { 0.0 } else { held });
            let shown =
                YearShown { work: left.rows(&work, 4.5), pains: right.rows(&pains, 4.5), is_held_left };
            if shown.work + shown.pains > best.work + best.pains {
                best = shown;
            }
        }
        best
    }

    fn twin(&self, markup: Markup) -> String {
        let mut twin = Twin::new(markup, &format!("{}, {}", self.client, self.time));
        twin.say(&self.from.in_a_line());
        twin.say(&self.summary);
        twin.heading("What stands out");
        twin.list(self.findings.iter().map(|finding| finding.sentence.clone()));
        twin.say(&self.few);
        twin.heading("Degrees by quarter");
        for test in &self.tests {
            twin.say(&format!("{}, {}", test.name, test.form));
            let mut table = self.by_quarter(&[]);
            for (name, cells) in test.rows().into_iter().chain(test.ranges()) {
                table.row(std::iter::once(name.to_owned()).chain(cells).collect());
            }
            twin.table(&table);
        }
        twin.say(&if self.tests.is_empty() { NO_ANGLE.to_owned() } else { self.key() });
        twin.heading("Stretched / trained, in sessions");
        let mut table = self.by_quarter(&[">all"]);
        for row in &self.work {
            let cells = row.quarters.iter().copied().chain([[row.stretched, row.trained]]);
            let cells = cells.map(|[stretched, trained]| format!("{stretched}/{trained}"));
            table.row(std::iter::once(row.muscles.clone()).chain(cells).collect());
        }
        twin.table(&table);
        twin.say(WORK);
        twin.heading(HELD);
        let mut table = self.by_quarter(&[">all"]);
        for (name, cells) in self.held_rows() {
            table.row(std::iter::once(name.to_owned()).chain(cells).collect());
        }
        twin.table(&table);
        twin.heading("Stopped for pain");
        let mut table = self.by_quarter(&[">all", "last", ">since"]);
        for pain in &self.pains {
            let mut row = vec![pain.named()];
            row.extend(pain.quarters.iter().map(ToString::to_string));
            row.push(format!("{}/{}", pain.stops(), pain.times));
            row.push(date::day(pain.last));
            row.push(pain.since.to_string());
            table.row(row);
        }
        twin.table(&table);
        twin.say(if self.pains.is_empty() { NO_PAIN } else { PAIN });
        twin.say(&self.limits());
        twin.finish()
    }

    /// A table with a column a quarter and some behind them.
    fn by_quarter(&self, more: &[&str]) -> TwinTable {
        let quarters: Vec<String> = self.quarters.iter().map(|quarter| format!(">{quarter}")).collect();
        TwinTable::new(
            std::iter::once("").chain(quarters.iter().map(String::as_str)).chain(more.iter().copied()),
        )
    }
}
