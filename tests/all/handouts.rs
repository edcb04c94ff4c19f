//! Pages that leave the program: their numbers against the client's file, read here as plain TOML values by nothing of the
//! program's own; foreign words that stay words; what every page keeps to so that it can be printed and read.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use toml::{Table, Value};

use crate::cli::Studio;

/// The pages that look back.
const BACK: [&str; 3] = ["record", "year", "letter"];

fn demo() -> Studio {
    Studio::at(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo"))
}

/// The clients of the invented studio, each with its file.
pub(crate) fn clients() -> Vec<(String, Table)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/clients");
    let mut all: Vec<(String, Table)> = fs::read_dir(folder)
        .expect("the studio")
        .map(|entry| {
            let path = entry.expect("a file").path();
            let id = path.file_stem().and_then(|stem| stem.to_str()).expect("a name").to_owned();
            (id, fs::read_to_string(&path).expect("text").parse().expect("TOML"))
        })
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all
}

/// A studio with one client, whose file that is.
pub(crate) fn studio_of(file: &str) -> Studio {
    let studio = Studio::empty();
    fs::create_dir(studio.data().join("clients")).expect("a folder");
    fs::write(studio.data().join("clients/one.toml"), file).expect("a file");
    studio
}

/// A page, without what goes to standard error.
pub(crate) fn page(studio: &Studio, words: &[&str]) -> String {
    let said = studio.run(&[&["page"], words].concat());
    let out = said.strip_prefix("status: 0\n--- stdout\n").unwrap_or_else(|| panic!("{words:?}: {said}"));
    out.split("--- stderr\n").next().unwrap_or(out).to_owned()
}

fn sessions(file: &Table) -> Vec<&Table> {
    let all = file.get("session").and_then(Value::as_array);
    all.into_iter().flatten().filter_map(Value::as_table).collect()
}

fn reports(session: &Table) -> Vec<&Table> {
    let all = session.get("report").and_then(Value::as_table);
    all.into_iter().flat_map(Table::values).filter_map(Value::as_table).collect()
}

fn number(table: &Table, key: &str) -> Option<i64> {
    table.get(key).and_then(Value::as_integer)
}

fn is(report: &Table, ended: &str) -> bool {
    report.get("ended").and_then(Value::as_str).unwrap_or("done") == ended
}

/// The rows of the tables below a heading, without their heads.
fn rows(markdown: &str, heading: &str) -> Vec<Vec<String>> {
    let part = markdown
        .split(&format!("\n## {heading}\n"))
        .nth(1)
        .unwrap_or_else(|| panic!("{heading}: {markdown}"));
    let part = part.split("\n## ").next().unwrap_or(part);
    let cells = |line: &str| line.trim_matches('|').split(" | ").map(|cell| cell.trim().to_owned()).collect();
    let mut rows = Vec::new();
    let mut is_head = true;
    for line in part.lines() {
        if !line.starts_with('|') {
            is_head = true;
        } else if line.starts_with("| ---") {
            is_head = false;
        } else if !is_head {
            rows.push(cells(line));
        }
    }
    rows
}

fn count(cell: &str) -> i64 {
    if cell == "–" { 0 } else { cell.parse().unwrap_or_else(|_| panic!("`{cell}` is no number")) }
}

#[test]
fn a_letter_counts_what_the_file_holds() {
    let studio = demo();
    for (id, file) in clients() {
        let letter = page(&studio, &["letter", &id, "--as", "md"]);
        let all: Vec<&Table> = sessions(&file).into_iter().flat_map(reports).collect();
        let done: Vec<&&Table> = all.iter().filter(|report| !is(report, "skipped")).collect();
        let mut wanted = [0_i64; 8];
        for report in &done {
            wanted[0] += 1;
            match number(report, "level") {
                Some(level) => wanted[usize::try_from(level).expect("1 to 5")] += 1,
                None => wanted[6] += 1,
            }
            wanted[7] += i64::from(is(report, "pain"));
        }
        let mut found = [0_i64; 8];
        let mut held = 0;
        for row in rows(&letter, "What was done") {
            let numbers: Vec<i64> = row[2..].iter().map(|cell| count(cell)).collect();
            held += numbers[0] * numbers[1];
            for (sum, place) in found.iter_mut().zip([0, 2, 3, 4, 5, 6, 7, 8]) {
                *sum += numbers[place];
            }
        }
        assert_eq!(found, wanted, "{id}: times, answers 1 to 5, not asked, pain");
        let seconds: i64 = done.iter().filter_map(|report| number(report, "held_s")).sum();
        // Means are whole seconds: the sum is off by half a second a time at most.
        assert!((held - seconds).abs() <= wanted[0] / 2 + 1, "{id}: {held} and {seconds}");
        assert!(letter.contains(&format!("{} session", sessions(&file).len())), "{id}");
    }
}

#[test]
fn a_letter_has_the_angles_of_the_newest_days() {
    let file = clients().into_iter().find(|(id, _)| id == "t-feldmann").expect("the client").1;
    let letter = page(&demo(), &["letter", "t-feldmann", "--as", "md"]);
    let table = rows(&letter, "Angles, degrees");
    let measured: Vec<(String, i64)> = sessions(&file)
        .into_iter()
        .filter_map(|session| {
            let on = session["at"].as_datetime()?.date?.to_string();
            let degrees: Vec<i64> =
                reports(session).into_iter().filter_map(|report| number(report, "angle_deg")).collect();
            (!degrees.is_empty()).then(|| (on, degrees.iter().sum()))
        })
        .collect();
    let newest = &measured[measured.len().saturating_sub(24)..];
    let found: Vec<(String, i64)> = table
        .iter()
        .map(|row| {
            let degrees = row[1..].iter().filter(|cell| !cell.is_empty());
            (row[0].clone(), degrees.map(|cell| count(cell.split(" · ").next().unwrap_or(cell))).sum())
        })
        .collect();
    assert_eq!(found, newest);
    assert!(measured.len() >= 20, "enough to tell");
}

#[test]
fn a_record_has_every_step_and_second_of_the_session() {
    let studio = demo();
    for (id, file) in clients() {
        let all = sessions(&file);
        for session in all.iter().rev().take(3) {
            let on = session["at"].as_datetime().and_then(|at| at.date).expect("a day").to_string();
            let record = page(&studio, &["record", &id, "--on", &on, "--as", "md"]);
            let reports = reports(session);
            if reports.is_empty() {
                assert!(!record.contains("## What was done"), "{id} {on}: {record}");
                continue;
            }
            let table = rows(&record, "What was done");
            let seconds = |clock: &str| {
                let (minutes, seconds) = clock.split_once(':').expect("a clock");
                60 * count(minutes) + count(seconds)
            };
            let found: Vec<(String, i64, Option<i64>)> =
                table.iter().map(|row| (row[1].clone(), seconds(&row[3]), row[4].parse().ok())).collect();
            let wanted: Vec<(String, i64, Option<i64>)> = reports
                .iter()
                .map(|report| {
                    let side = report.get("side").and_then(Value::as_str).unwrap_or("both").to_owned();
                    (side, number(report, "held_s").unwrap_or(0), number(report, "level"))
                })
                .collect();
            assert_eq!(found, wanted, "{id} {on}");
            let all: i64 = wanted.iter().map(|(_, held, _)| held).sum();
            assert!(record.contains(&format!("held {}:{:02}", all / 60, all % 60)), "{id} {on}: {record}");
            let degrees: Vec<i64> = reports.iter().filter_map(|report| number(report, "angle_deg")).collect();
            assert!(degrees.iter().all(|degrees| record.contains(&format!("{degrees} degrees"))), "{record}");
        }
    }
}

#[test]
fn a_year_counts_what_the_file_holds() {
    let studio = demo();
    for (id, file) in clients() {
        let year = page(&studio, &["year", &id, "--until", "2026-11-25", "--as", "md"]);
        // The 365 days that end with the day.
        let within: Vec<&Table> = sessions(&file)
            .into_iter()
            .filter(|session| {
                let on = session["at"].as_datetime().and_then(|at| at.date).expect("a day").to_string();
                ("2025-11-26".."2026-11-26").contains(&on.as_str())
            })
            .collect();
        let table = rows(&year, "Stretched / trained, in sessions");
        let held = rows(&year, "Sessions, minutes held a week");
        let sessions: Vec<i64> = held[0][1..].iter().map(|cell| count(cell)).collect();
        let (all, quarters) = sessions.split_last().expect("a sum");
        assert_eq!(*all, quarters.iter().sum::<i64>());
        assert_eq!(usize::try_from(*all), Ok(within.len()), "{id}");
        let trained: i64 = table
            .iter()
            .filter(|row| row.last().is_some_and(|cell| cell.contains('/')))
            .map(|row| {
                let muscles = i64::try_from(row[0].split(", ").count()).expect("few");
                muscles * count(row.last().and_then(|cell| cell.split('/').nth(1)).expect("a count"))
            })
            .sum();
        let wanted: usize =
            within.iter().filter_map(|session| session.get("trained")?.as_table()).map(Table::len).sum();
        assert_eq!(usize::try_from(trained), Ok(wanted), "{id}: {year}");
        let pains =
            within.iter().flat_map(|session| reports(session)).filter(|report| is(report, "pain")).count();
        let found: i64 = rows(&year, "Stopped for pain")
            .iter()
            .map(|row| count(row[row.len() - 3].split('/').next().expect("a count")))
            .sum();
        assert_eq!(usize::try_from(found), Ok(pains), "{id}: {year}");
    }
}

#[test]
fn findings_are_those_of_the_history_in_the_same_words() {
    let studio = demo();
    let said = studio.run(&["history", "t-feldmann", "--json"]);
    let history: serde_json::Value =
        serde_json::from_str(said.strip_prefix("status: 0\n--- stdout\n").expect("JSON")).expect("JSON");
    let sentences: Vec<&str> = ["said", "details"]
        .iter()
        .flat_map(|list| history["insight"][*list].as_array().expect("a list"))
        .map(|said| said["sentence"].as_str().expect("a sentence"))
        .collect();
    let year = page(&studio, &["year", "t-feldmann", "--as", "md"]);
    let part = year
        .split("## What stands out\n")
        .nth(1)
        .and_then(|rest| rest.split("\n## ").next())
        .expect("findings");
    let found: Vec<&str> = part.lines().filter_map(|line| line.strip_prefix("- ")).collect();
    assert!(!found.is_empty() && found.len() <= 5, "{part}");
    for sentence in found {
        assert!(sentences.contains(&sentence), "{sentence}: {sentences:#?}");
    }
    for page in [page(&studio, &["letter", "t-feldmann"]), page(&studio, &["record", "t-feldmann"])] {
        for word in ["tighter", "equal again", "imbalance", "at risk", "should"] {
            assert!(!page.contains(word), "{word}");
        }
    }
}

/// A client's file with such a name, remark and studio's words.
pub(crate) fn file_with(name: &str, remark: &str) -> String {
    let escape = |words: &str| {
        let mut out = String::from("\"");
        for letter in words.chars() {
            match letter {
                '"' | '\\' => out.extend(['\\', letter]),
                letter if letter.is_control() || ('\u{2000}'..'\u{2100}').contains(&letter) => {
                    write!(out, "\\u{:04X}", u32::from(letter)).expect("a text takes all");
                }
                letter => out.push(letter),
            }
        }
        out + "\""
    };
    let (name, remark) = (escape(name), escape(remark));
    format!(
        r#"version = 2
name = {name}
born = 2010-03-01
note = {remark}

[[session]]
at = 2026-11-02T18:40:00+01:00
minutes = 10
trained = {{ hamstrings = 3 }}
consent = "hands-on"
note = {remark}
report.01 = {{ stretch = "straight-leg-raise", form = "hand-on-heel", side = "left", method = "static", held_s = 30, level = 4, angle_deg = 61, note = {remark} }}
report.02 = {{ stretch = "straight-leg-raise", form = "hand-on-heel", side = "right", method = "static", held_s = 25, level = 5, ended = "pain" }}
closed = 2026-11-02T18:50:00+01:00
"#
    )
}

/// Every page of the only client.
pub(crate) fn all_pages(studio: &Studio, markup: &str) -> Vec<String> {
    let back = BACK.iter().map(|kind| vec![*kind, "one", "--as", markup]);
    let remarks =
        ["record", "letter"].iter().map(|kind| vec![*kind, "one", "--as", markup, "--with", "remarks"]);
    let home = std::iter::once(vec!["home", "one", "--as", markup]);
    back.chain(remarks).chain(home).map(|words| page(studio, &words)).collect()
}

#[test]
fn no_name_or_remark_brings_a_tag_or_an_escape_along() {
    const HOSTILE: &str =
        "<script>alert(1)</script> \"O'Neill\" & x\u{202e}\u{7}\u{1b}[31m</title><img src=x>";
    let (plain, hostile) = (studio_of(&file_with("Plain", "Plain")), studio_of(&file_with(HOSTILE, HOSTILE)));
    let trainer = |words: &str| format!("version = 1\nname = '''{words}'''\nstudio = '''A & <b>B</b>'''\n");
    fs::write(plain.data().join("trainer.toml"), trainer("Plain").replace("<b>B</b>", "B")).expect("a file");
    fs::write(hostile.data().join("trainer.toml"), trainer("<i>I</i>")).expect("a file");
    for (plain, hostile) in all_pages(&plain, "html").iter().zip(all_pages(&hostile, "html")) {
        assert_eq!(hostile.matches('<').count(), plain.matches('<').count(), "{hostile}");
        let title =
            hostile.split("<title>").nth(1).and_then(|rest| rest.split("</title>").next()).expect("a title");
        assert!(!title.contains('<') && title.contains("&lt;script&gt;"), "{title}");
        assert!(hostile.contains("<bdi translate=\"no\" lang=\"\">&lt;script&gt;alert(1)"), "{hostile}");
    }
    for markup in ["html", "md", "text"] {
        for page in all_pages(&hostile, markup) {
            assert!(!page.contains(['\u{202e}', '\u{7}', '\u{1b}']), "{page:?}");
            assert!(markup == "text" || !page.contains("<script") && !page.contains("<img"), "{page}");
            assert!(markup != "text" || page.lines().all(|line| line.chars().count() <= 78), "{page}");
        }
    }
}

#[test]
fn angles_of_both_sides_at_once_and_norms_stand_in_the_charts_of_a_year() {
    let mut file = "version = 2\nname = \"One\"\nborn = 1990-01-01\nsex = \"female\"\n".to_owned();
    for (month, angle) in [(2, 100), (5, 104), (8, 108), (11, 112)] {
        let _ = write!(
            file,
            "\n[[session]]\nat = 2026-{month:02}-02T18:40:00+01:00\nminutes = 10\ntrained = {{ erector-spinae = 3 }}\n\
             consent = \"hands-on\"\nreport.01 = {{ stretch = \"both-knees-to-chest\", form = \"hug\", method = \"static\", \
             held_s = 30, level = 4, angle_deg = {angle} }}\n\
             report.02 = {{ stretch = \"side-lying-outer-hip\", form = \"thigh-lowered-behind\", side = \"left\", method = \
             \"static\", held_s = 30, level = 4, angle_deg = 20 }}\nclosed = 2026-{month:02}-02T18:50:00+01:00\n"
        );
    }
    let studio = studio_of(&file);
    let page = |markup| page(&studio, &["year", "one", "--as", markup]);
    let (html, markdown) = (page("html"), page("md"));
    assert!(html.contains("both at once Feb–Mar 100, Apr–Jun 104, Jul–Sep 108, Oct–Nov 112"), "{html}");
    assert!(html.contains("Both at once: a diamond"), "{html}");
    // Ferber, Kendall and McElroy 2010: the Ober angle, read in print.
    assert!(html.contains("holds 8 of 10 healthy people (Ferber 2010)"), "{html}");
    let rows = rows(&markdown, "Degrees by quarter");
    let both = rows.iter().find(|row| row[0] == "both").unwrap_or_else(|| panic!("{markdown}"));
    assert_eq!(both[1..], ["100", "104", "108", "112"].map(str::to_owned), "{markdown}");
    let left: Vec<_> = rows.iter().filter(|row| row[0] == "left").collect();
    assert_eq!(left.len(), 1, "the one form that was measured by side: {markdown}");
}

/// What a page loads, or could do.
const FETCHES: [&str; 11] =
    ["<script", "<link", "<img", "<iframe", "src=", "href=", "http://", "https://", "@import", " on", "<!--"];

#[test]
fn every_page_fetches_nothing_and_can_be_found_a_way_through() {
    let studio = studio_of(&file_with("Plain", "Plain"));
    let demo = demo();
    let mut pages = all_pages(&studio, "html");
    pages.extend(BACK.iter().map(|kind| page(&demo, &[*kind, "t-feldmann"])));
    for page in &pages {
        for word in FETCHES.iter().filter(|word| **word != " on") {
            assert!(!page.contains(word), "{word}");
        }
        assert!(page.matches("url(").count() == page.matches("url(#").count());
        assert!(page.contains("default-src 'none'") && page.contains("<html lang=\"en\">"));
        assert_eq!((page.matches("<h1").count(), page.matches("<h3").count()), (1, 0), "headings");
        assert!(page.contains("<h2"), "parts have their headings");
        for svg in page.split("<svg").skip(1) {
            let head = svg.split('>').next().unwrap_or(svg);
            let is_told = head.contains("role=\"img\"") && head.contains("aria-label=\"");
            assert!(is_told != head.contains("aria-hidden=\"true\""), "{head}");
        }
        for cell in page.split("<th").skip(1).filter(|rest| !rest.starts_with("ead")) {
            assert!(cell.split('>').next().is_some_and(|head| head.contains("scope=")), "{cell:.80}");
        }
        for size in page.split("font-size:").skip(1).filter_map(|rest| rest.split_once("pt").map(|it| it.0)) {
            if let Ok(size) = size.parse::<f64>() {
                assert!(size >= 8.0, "{size} pt are too small to be read");
            }
        }
    }
}

/// Relative luminance of a colour of six or three digits (Web Content Accessibility Guidelines 2.2).
fn luminance(colour: &str) -> f64 {
    let digits: Vec<u32> = colour.chars().map(|digit| digit.to_digit(16).expect("a digit")).collect();
    let parts: Vec<f64> = match digits.as_slice() {
        [r, g, b] => [r, g, b].iter().map(|part| f64::from(**part * 17)).collect(),
        all => all.chunks(2).map(|pair| f64::from(pair[0] * 16 + pair[1])).collect(),
    };
    let linear = |part: f64| {
        let part = part / 255.0;
        if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * linear(parts[0]) + 0.7152 * linear(parts[1]) + 0.0722 * linear(parts[2])
}

#[test]
fn every_colour_of_words_stands_out_from_white() {
    let demo = demo();
    let mut seen = std::collections::BTreeSet::new();
    for kind in ["record", "year", "letter", "home"] {
        let page = page(&demo, &[kind, "t-feldmann"]);
        for rest in page.split(['{', ';', '"', ' ']).filter_map(|rest| rest.strip_prefix("color:#")) {
            let digits: String = rest.chars().take_while(char::is_ascii_hexdigit).collect();
            let contrast = 1.05 / (luminance(&digits) + 0.05);
            // Level AAA of the Guidelines is 7 to 1 for small words, AA 4.5 to 1; marks of a side stand beside a word.
            assert!(contrast >= 6.4, "#{digits} has {contrast:.1} to 1");
            seen.insert(digits);
        }
    }
    assert!(seen.len() >= 5, "{seen:?}");
}

#[test]
fn a_client_without_a_session_gets_no_page_and_one_who_declined_all_gets_sentences() {
    let studio = studio_of("version = 2\nname = \"Nobody Yet\"\n");
    for kind in BACK {
        let said = studio.run(&["page", kind, "one"]);
        assert!(said.starts_with("status: 1") && said.contains("no session yet: nothing to write"), "{said}");
    }
    let declined = |day: u32| {
        format!("\n[[session]]\nat = 2026-11-{day:02}T18:40:00+01:00\nminutes = 10\nconsent = \"declined\"\n")
    };
    let studio = studio_of(&format!("version = 2\nname = \"Never\"\n{}{}", declined(2), declined(9)));
    let year = page(&studio, &["year", "one", "--as", "text"]);
    for sentence in
        ["2 declined", "Nothing was measured in this time.", "No stretch was stopped for pain in this time."]
    {
        assert!(year.contains(sentence), "{sentence}: {year}");
    }
    assert!(page(&studio, &["record", "one"]).contains("No stretching today, as the client wished."));
    assert!(page(&studio, &["letter", "one", "--as", "text"]).contains("No stretch."));
    let html = page(&studio, &["year", "one"]);
    assert!(!html.contains("<figure") && !html.contains("NaN") && !html.contains("inf"), "{html}");
}

#[test]
fn swapped_sides_are_swapped_on_the_record_and_nothing_else_changes() {
    let swap = |text: &str| text.replace("left", "\u{1}").replace("right", "left").replace('\u{1}', "right");
    let file = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/clients/t-feldmann.toml"));
    let file = file.expect("the client");
    let (as_it_is, swapped) = (studio_of(&file), studio_of(&swap(&file)));
    // No name of these stretches has a side in it.
    let words = ["record", "one", "--as", "md"];
    assert_eq!(swap(&page(&as_it_is, &words)), page(&swapped, &words));
}

#[test]
fn a_card_for_home_has_every_caution_that_is_in_force() {
    let conditions =
        ["hip-replacement-posterior", "osteoporosis", "high-blood-pressure", "shoulder-impingement"];
    let row = |id: &&str| format!("\n[[condition]]\nid = \"{id}\"\nside = \"left\"\n");
    let rows = conditions.iter().map(row).collect::<Vec<_>>().concat();
    let rows = rows.replace("id = \"osteoporosis\"\nside = \"left\"\n", "id = \"osteoporosis\"\n");
    let rows =
        rows.replace("id = \"high-blood-pressure\"\nside = \"left\"\n", "id = \"high-blood-pressure\"\n");
    let studio = studio_of(&format!("version = 2\nname = \"Many\"\nborn = 1950-01-01\n{rows}"));
    let said = studio.run(&["plan", "one", "--trained", "hamstrings:3", "--json"]);
    assert!(said.starts_with("status: "), "{said}");
    let on = "2026-11-25".parse().expect("a day");
    let store = matside::store::Store::open(studio.data()).expect("the studio");
    let client = store.load(&store.find("one").expect("the client")).expect("the client");
    let today = matside::planner::Today::of(
        std::sync::Arc::new(client),
        std::sync::Arc::new(store.catalogue().expect("stretches")),
        on,
    );
    let cautions: Vec<String> =
        today.restrictions.in_force().iter().filter_map(|caution| caution.card.first().cloned()).collect();
    assert!(cautions.len() >= 3, "{cautions:?}");
    for markup in ["html", "md", "text"] {
        let page = page(&studio, &["home", "one", "--trained", "upper-body", "--as", markup]);
        let joined = page.split_whitespace().collect::<Vec<_>>().join(" ").replace("&#39;", "'");
        for caution in &cautions {
            assert!(joined.contains(caution.as_str()), "{markup}: {caution}\n{page}");
        }
    }
}
