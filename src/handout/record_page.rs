//! The record of one session, for the client or the trainer's folder: what was agreed, done and answered.

use std::fmt::Write;

use crate::body::Effort;
use crate::catalogue::{Catalogue, Method};
use crate::client::{Client, Consent, ConsentLimit, Ended, Report, Session, Taken};

use crate::words::date;

use super::paper::{self, Letterhead, Markup, clock, escaped, foreign, mark};
use super::paper_size::{POINT, SHEET, Space, many, paragraph};
use super::record_step::{self, RecordStep};
use super::twin::{Twin, TwinTable};
use super::words;

/// What the page is not.
const LIMITS: &str = "A record of what was done and answered, no diagnosis.";
const DECLINED: &str = "No stretching today, as the client wished.";
const STYLE: &str = include_str!("record_page.css");

/// Widths of the columns but the last in millimetres: number, side, stretch, held, answer, last time.
const COLUMNS: [f64; 6] = [8.0, 18.0, 56.0, 13.0, 20.0, 20.0];
/// Points of the letters and padding of a row that are tried, in millimetres.
const ROWS: [(f64, f64); 6] = [(11.0, 1.15), (11.0, 0.7), (10.5, 0.5), (10.0, 0.35), (9.5, 0.25), (9.0, 0.1)];
/// The record of one session.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordPage {
    client: String,
    from: Letterhead,
    when: String,
    facts: Vec<(&'static str, String)>,
    steps: Vec<RecordStep>,
    is_declined: bool,
}

impl RecordPage {
    /// What a session's record says; remarks only where the client wants them on paper.
    pub fn of(
        client: &Client,
        session: &Session,
        catalogue: &Catalogue,
        from: Letterhead,
        remarks: bool,
    ) -> Self {
        let step = |(index, report): (usize, &Report)| RecordStep {
            number: index + 1,
            side: report.side,
            name: catalogue
                .stretch(&report.stretch)
                .map_or_else(|| report.stretch.to_string(), |stretch| stretch.name.clone()),
            held: report.held.get(),
            level: report.level.map(crate::body::Level::get),
            ended: report.ended,
            last: last_time(client, session, report),
            more: more(report),
            remark: if remarks { report.note.clone() } else { String::new() },
        };
        let mut facts = vec![("Agreed", agreed(session)), ("Trained", trained(session))];
        let is_declined = session.consent == Consent::Declined;
        if !is_declined || session.closed.is_some() {
            facts.push(("Time", spent(session)));
        }
        if remarks && !session.note.is_empty() {
            facts.push(("Remark", session.note.clone()));
        }
        Self {
            client: client.profile.name.clone(),
            from,
            when: date::moment(session.at),
            facts,
            steps: session.reports.values().enumerate().map(step).collect(),
            is_declined,
        }
    }

    /// The page.
    pub fn write(&self, markup: Markup) -> String {
        match markup {
            Markup::Html => self.html(),
            Markup::Markdown | Markup::Plain => self.twin(markup),
        }
    }

    fn html(&self) -> String {
        let mut out = paper::opened(&format!("{}, {}", self.client, self.when), STYLE);
        let _ = write!(
            out,
            "<header class=\"top\"><div><h1>{}</h1><p class=\"when\">{}</p></div>{}</header>\n<main>\n<dl>",
            foreign(&self.client),
            self.when,
            self.from.html("")
        );
        for (what, said) in &self.facts {
            let said = if *what == "Remark" { foreign(said) } else { escaped(said) };
            let _ = write!(out, "<dt>{what}</dt><dd>{said}</dd>");
        }
        out.push_str("</dl>\n");
        if self.is_declined {
            let _ = writeln!(out, "<p class=\"when\" style=\"margin-top:4mm\">{DECLINED}</p>");
        }
        if !self.steps.is_empty() {
            out.push_str("<section aria-labelledby=\"w\"><h2 id=\"w\">What was done</h2>\n");
            record_step::draw(&mut out, &self.steps);
            self.table(&mut out);
            out.push_str("</section>\n");
        }
        out.push_str(
            "<section aria-labelledby=\"t\"><h2 id=\"t\">For next time</h2><div class=\"pen\"></div>\
             <div class=\"pen\"></div></section>\n",
        );
        paper::closed(&mut out, LIMITS);
        out
    }

    fn table(&self, out: &mut String) {
        let (points, padding, shown) = self.rows();
        let _ = write!(
            out,
            "<table class=\"st\" style=\"font-size:{points}pt;line-height:1.2\"><thead><tr><th scope=\"col\" \
             class=\"n\"><span class=\"vh\">number</span></th><th scope=\"col\">side</th><th scope=\"col\">stretch</th>\
             <th scope=\"col\" class=\"n\">held</th><th scope=\"col\" class=\"n\">answer</th><th scope=\"col\" \
             class=\"n\">last time</th><th scope=\"col\"><span class=\"vh\">and</span></th></tr></thead><tbody>"
        );
        let cell = format!("style=\"padding-top:{padding}mm;padding-bottom:{padding}mm\"");
        for step in &self.steps[..shown] {
            let _ = write!(
                out,
                "<tr><td class=\"n\" {cell}>{}</td><td class=\"s\" {cell}>{}{}</td><th scope=\"row\" {cell}>{}</th>\
                 <td class=\"n\" {cell}>{}</td><td class=\"n\" {cell}>{}</td><td class=\"n q\" {cell}>{}</td>\
                 <td class=\"m\" style=\"padding:{padding}mm 0 {padding}mm 2mm\">{}</td></tr>",
                step.number,
                mark(step.side),
                words::side(step.side),
                escaped(&step.name),
                clock(step.held),
                step.level.map_or_else(|| step.answer(), |level| format!("<b>{level}</b>")),
                step.last,
                step.more_in_html()
            );
        }
        out.push_str("</tbody></table>\n");
        if shown < self.steps.len() {
            let _ = writeln!(out, "<p class=\"note\">{}</p>", self.rest(shown));
        }
    }

    fn rest(&self, shown: usize) -> String {
        format!("And {} more, which are in the data of this client.", self.steps.len() - shown)
    }

    /// Points of the letters, padding, and how many rows fit.
    fn rows(&self) -> (f64, f64, usize) {
        let mut space = Space::sheet();
        let head = many(self.from.height()) * 10.0 * 1.25 * POINT;
        let name = paragraph(&self.client, 23.0, self.from.beside(), 1.1);
        space.reserve((name + 13.0 * 1.25 * POINT).max(head) + 2.6);
        let facts: f64 = self.facts.iter().map(|(_, said)| paragraph(said, 11.0, 160.0, 1.28) + 0.8).sum();
        // Ribbon, its caption, heads of the parts and of the table, lines for the pen, foot.
        space.reserve(facts + 2.4 + 9.2 + 21.0 + 14.0 + 5.0 + 9.2 + 16.0 + 8.0);
        if self.is_declined {
            space.reserve(10.0);
        }
        let mut found = (ROWS[5].0, ROWS[5].1, 0);
        for (points, padding) in ROWS {
            let heights: Vec<f64> = self.steps.iter().map(|step| step.height(points, padding)).collect();
            let mut tried = space;
            let fits = tried.rows(&heights, 5.0);
            found = (points, padding, fits);
            if fits == self.steps.len() {
                break;
            }
        }
        found
    }

    fn twin(&self, markup: Markup) -> String {
        let mut twin = Twin::new(markup, &format!("{}, {}", self.client, self.when));
        twin.say(&self.from.in_a_line());
        twin.list(self.facts.iter().map(|(what, said)| format!("{what}: {said}")));
        if self.is_declined {
            twin.say(DECLINED);
        }
        let mut table = TwinTable::new([">", "side", "stretch", ">held", ">answer", ">last time", "and"]);
        for step in &self.steps {
            table.row(vec![
                step.number.to_string(),
                words::side(step.side).to_owned(),
                step.name.clone(),
                clock(step.held),
                step.answer(),
                step.last.clone(),
                step.all_more(),
            ]);
        }
        if !self.steps.is_empty() {
            twin.heading("What was done");
        }
        twin.table(&table);
        twin.say(LIMITS);
        twin.finish()
    }
}

impl RecordStep {
    fn answer(&self) -> String {
        self.level.map_or_else(|| "not asked".to_owned(), |level| level.to_string())
    }

    /// What there is to say beside the numbers, with the remark.
    fn all_more(&self) -> String {
        let gap = if self.more.is_empty() || self.remark.is_empty() { "" } else { "; " };
        format!("{}{gap}{}", self.more, self.remark)
    }

    fn more_in_html(&self) -> String {
        match (self.more.as_str(), self.remark.as_str()) {
            (more, "") => more.to_owned(),
            ("", remark) => foreign(remark),
            (more, remark) => format!("{more}; {}", foreign(remark)),
        }
    }

    fn height(&self, points: f64, padding: f64) -> f64 {
        let last = SHEET.0 - COLUMNS.iter().sum::<f64>() - 2.0;
        let name = paragraph(&self.name, points, COLUMNS[2], 1.2);
        let more = paragraph(&self.all_more(), points * 0.86, last, 1.2 / 0.86);
        name.max(more) + 2.0 * padding + 0.25
    }
}

/// What the client agreed to, and what was taken back.
fn agreed(session: &Session) -> String {
    let narrowed: Vec<String> = session
        .limits()
        .filter_map(|what| Some((what, session.narrowed_at(what)?)))
        .map(|(what, at)| {
            let words = match what {
                ConsentLimit::NoMassage => "no massage",
                ConsentLimit::MatBetween => "mat between",
                ConsentLimit::SelfStretch => "without hands",
                ConsentLimit::Stopped => "nothing more",
            };
            format!("{words} from {}", date::time_of_day(at))
        })
        .collect();
    match session.consent {
        Consent::HandsOn if narrowed.is_empty() => "hands-on; nothing taken back".to_owned(),
        Consent::HandsOn => format!("hands-on; {}", narrowed.join(", ")),
        Consent::SelfStretch if narrowed.is_empty() => "without hands: the client stretches alone".to_owned(),
        Consent::SelfStretch => format!("without hands: the client stretches alone; {}", narrowed.join(", ")),
        Consent::Declined => "declined".to_owned(),
    }
}

/// What was trained, by how hard.
fn trained(session: &Session) -> String {
    let at = |effort: u8, words: &str| {
        let is_it = |of: &Effort| of.get() == effort;
        let named = session.trained.iter().filter(|(_, of)| is_it(of)).map(|(muscle, _)| muscle.plain_name());
        let named: Vec<&str> = named.collect();
        (!named.is_empty()).then(|| format!("{words}: {}", named.join(", ")))
    };
    let all: Vec<String> = [(3, "hard"), (2, "medium"), (1, "a little")]
        .iter()
        .filter_map(|(of, words)| at(*of, words))
        .collect();
    if all.is_empty() { "nothing said".to_owned() } else { all.join("; ") }
}

fn spent(session: &Session) -> String {
    let held: u32 = session.reports.values().map(|report| report.held.get()).sum();
    let whole =
        match session.closed.and_then(|closed| u32::try_from((closed - session.at).num_seconds()).ok()) {
            Some(seconds) => format!("{} of {} minutes", clock(seconds), session.minutes.get()),
            None => format!("cut off, of {} minutes", session.minutes.get()),
        };
    format!("{whole}; held {}", clock(held))
}

/// What the same form on the same side came to the time before.
fn last_time(client: &Client, session: &Session, report: &Report) -> String {
    let is_same = |earlier: &&Report| {
        (&earlier.stretch, &earlier.form, earlier.side) == (&report.stretch, &report.form, report.side)
    };
    let earlier = client.sessions.iter().filter(|earlier| earlier.at < session.at);
    let found = earlier
        .filter_map(|earlier| Some((earlier.at, earlier.reports.values().rfind(is_same)?)))
        .max_by_key(|(at, _)| *at);
    match found {
        None => "first time".to_owned(),
        Some((_, earlier)) => match (earlier.ended, earlier.level) {
            (Ended::Pain, _) => "pain".to_owned(),
            (Ended::Skipped, _) => "skipped".to_owned(),
            (_, Some(level)) => level.get().to_string(),
            (_, None) => "not asked".to_owned(),
        },
    }
}

/// Method, degrees, and how it ended.
fn more(report: &Report) -> String {
    let mut more = Vec::new();
    if report.method == Method::ContractRelax {
        more.push(format!("contract-relax, {} x", report.cycles));
    }
    for angle in &report.angles {
        let taken = match angle.taken {
            Some(Taken::Before) => " before",
            Some(Taken::After) => " after",
            None => "",
        };
        more.push(format!("{} degrees{taken}", angle.degrees.get()));
    }
    more.extend(ended(report.ended).map(str::to_owned));
    more.join("; ")
}

/// How a step ended that was not done to its end.
pub(super) const fn ended(ended: Ended) -> Option<&'static str> {
    match ended {
        Ended::Done => None,
        Ended::Skipped => Some("skipped"),
        Ended::Pain => Some("stopped for pain"),
        Ended::Withdrawn => Some("consent taken back"),
        Ended::CutOff => Some("cut off"),
    }
}
