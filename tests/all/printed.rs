//! Pages printed by a real browser: one sheet of A4 and of US Letter, with the usual font and with the widest usual one.
//!
//! Where no Chromium is installed this is skipped, and says so; `CHROMIUM` names one elsewhere. `PRINT_ALL=1` prints
//! every page of every client of the invented studio, which takes some minutes.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::cli::Studio;
use crate::handouts::{all_pages, file_with, page, studio_of};

/// The fonts of the pages, and one that is wider than all of them (from memory: none that is usual is wider).
const FONTS: &str = "\"Helvetica Neue\",Helvetica";
const WIDE: &str = "\"DejaVu Sans\",Verdana,\"Helvetica Neue\",Helvetica";

/// The browser, if there is one.
fn browser() -> Option<PathBuf> {
    let named = std::env::var_os("CHROMIUM").map(PathBuf::from);
    let usual =
        ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].map(PathBuf::from);
    let found = named.into_iter().chain(usual).find(|path| path.is_file());
    if found.is_none() {
        // On the terminal itself, where the harness keeps what a test prints.
        std::io::stderr().write_all(b"no Chromium here: the pages were not printed\n").expect("written");
    }
    found
}

/// How many sheets a page takes.
fn sheets(browser: &Path, html: &str, size: &str, font: &str) -> usize {
    let folder = tempfile::tempdir().expect("a folder");
    let (from, to) = (folder.path().join("page.html"), folder.path().join("page.pdf"));
    let html = html.replacen("@page{margin:0}", &format!("@page{{margin:0;size:{size}}}"), 1);
    std::fs::write(&from, html.replacen(FONTS, font, 1)).expect("a file");
    let status = Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"])
        .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
        .arg(format!("--print-to-pdf={}", to.display()))
        .arg(format!("file://{}", from.display()))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("the browser starts");
    assert!(status.success(), "the browser prints");
    let pdf = String::from_utf8_lossy(&std::fs::read(&to).expect("a print")).into_owned();
    // Each sheet is an object of its own (ISO 32000-1, 7.7.3.3).
    pdf.matches("/Type /Page\n").count()
}

fn one_sheet(browser: &Path, what: &str, html: &str) {
    for (size, font) in [("A4", FONTS), ("letter", FONTS), ("letter", WIDE)] {
        assert_eq!(sheets(browser, html, size, font), 1, "{what}, {size}, {font}");
    }
}

/// Ten years of three sessions a week, with many forms, long remarks and many stops.
fn ten_years() -> String {
    const FORMS: [(&str, &str); 8] = [
        ("straight-leg-raise", "hand-on-heel"),
        ("calf-heel-press", "forearm-on-sole"),
        ("side-lying-hip-flexor", "thigh-drawn-back"),
        ("bent-knee-calf", "sole-press"),
        ("prone-knee-bend", "hand-on-shin"),
        ("leg-out-to-side", "other-knee-bent"),
        ("both-knees-to-chest", "hug"),
        ("own-stretch-that-is-gone", "somehow"),
    ];
    let mut file = String::from(
        "version = 2\nname = \"Wilhelmina Oldenburg-Achterberg\"\nborn = 1950-01-01\nsex = \"female\"\n",
    );
    let first: chrono::NaiveDate = "2016-12-01".parse().expect("a day");
    for number in 0..700_u32 {
        let on = first + chrono::Days::new(u64::from(number) * 52 / 10);
        let _ = write!(
            file,
            "\n[[session]]\nat = {on}T18:40:00+01:00\nminutes = 15\nconsent = \"hands-on\"\ntrained = {{ hamstrings = 3, \
             gluteus-maximus = 2, abdominals = 1, biceps = {} }}\nnote = \"{}\"\n",
            number % 3 + 1,
            "A long remark about the day. ".repeat(4)
        );
        for step in 0..16_u32 {
            let (stretch, form) = FORMS[usize::try_from((step / 2 + number) % 8).expect("small")];
            let side = if step % 2 == 0 { "left" } else { "right" };
            let ended = if (step + number) % 23 == 0 { ", ended = \"pain\"" } else { "" };
            let angle = if number % 5 == 0 {
                format!(", angle_deg = {}", 40 + (step * 7 + number) % 60)
            } else {
                String::new()
            };
            let _ = writeln!(
                file,
                "report.{:02} = {{ stretch = \"{stretch}\", form = \"{form}\", side = \"{side}\", method = \"static\", \
                 held_s = 25, level = {}{angle}{ended}, note = \"A word on it.\" }}",
                step + 1,
                (step + number) % 5 + 1
            );
        }
        let _ = writeln!(file, "closed = {on}T18:55:00+01:00");
    }
    file
}

#[test]
fn pages_take_one_sheet_each() {
    let Some(browser) = browser() else { return };
    let demo = Studio::at(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo"));
    for kind in ["record", "year", "letter", "home"] {
        one_sheet(&browser, kind, &page(&demo, &[kind, "t-feldmann"]));
    }
    let remark = "Many words that were written down after the session, more than fit in a line. ".repeat(6);
    let studio = studio_of(&file_with("יעל ברק־לוי <b> with quite a long name behind it", &remark));
    for html in all_pages(&studio, "html") {
        one_sheet(&browser, "a client of 16 with remarks", &html);
    }
}

#[test]
fn ten_years_take_one_sheet_each() {
    let Some(browser) = browser() else { return };
    let studio = studio_of(&ten_years());
    for words in [
        &["year", "one"][..],
        &["letter", "one"],
        &["letter", "one", "--with", "remarks,conditions"],
        &["record", "one", "--with", "remarks"],
    ] {
        let html = page(&studio, words);
        for (size, font) in [("letter", FONTS), ("letter", WIDE)] {
            assert_eq!(sheets(&browser, &html, size, font), 1, "{words:?}, {size}, {font}");
        }
    }
}

#[test]
fn every_page_of_the_invented_studio_takes_one_sheet() {
    if std::env::var_os("PRINT_ALL").is_none() {
        return;
    }
    let Some(browser) = browser() else { return };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    let demo = Studio::at(&folder);
    for entry in std::fs::read_dir(folder.join("clients")).expect("the studio") {
        let path = entry.expect("a file").path();
        let id = path.file_stem().and_then(|stem| stem.to_str()).expect("a name");
        for words in [
            &["record", id][..],
            &["record", id, "--with", "remarks"],
            &["year", id],
            &["letter", id],
            &["letter", id, "--with", "conditions,remarks"],
            &["home", id],
            &["home", id, "--count", "5"],
        ] {
            let said = demo.run(&[&["page"], words].concat());
            if let Some(html) = said.strip_prefix("status: 0\n--- stdout\n") {
                one_sheet(&browser, &words.join(" "), html);
            }
        }
    }
}
