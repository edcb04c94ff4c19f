//! The table of an export opened by a real spreadsheet program, as its window for text files proposes it, and written
//! again: every word and number comes through as it was, and nothing of it is taken for a formula.
//!
//! Where no `LibreOffice` is installed this is skipped, and says so; `LIBREOFFICE` names one elsewhere.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::handouts::{file_with, studio_of};

/// Remarks that would be formulas, or fall apart, if a program took them so.
const REMARKS: [&str; 5] = [
    "=HYPERLINK(\"http://x\";\"y\")",
    "+49 170; ruf mich an, \"bitte\"",
    "-2 besser — größer, 林 美咲",
    "@home",
    "1,5 kg; 2.5 kg",
];

fn program() -> Option<PathBuf> {
    let named = std::env::var_os("LIBREOFFICE").map(PathBuf::from);
    let usual = ["/usr/bin/soffice", "/usr/bin/libreoffice"].map(PathBuf::from);
    let found = named.into_iter().chain(usual).find(|path| path.is_file());
    if found.is_none() {
        // On the terminal itself, where the harness keeps what a test prints.
        std::io::stderr().write_all(b"no LibreOffice here: the table was not opened\n").expect("written");
    }
    found
}

/// Opens a table and writes it again. The numbers are the filter's: the separator, quotes, UTF-8 (76), the first row, cells as
/// they are; words that begin with `=` are formulas where `evaluates`.
fn opened_and_written(program: &Path, table: &str, separator: char, evaluates: bool) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let (from, out) = (folder.path().join("table.csv"), folder.path().join("out"));
    fs::write(&from, table).expect("a file");
    let (code, filter) = (u32::from(separator), "Text - txt - csv (StarCalc)");
    let status = Command::new(program)
        .arg(format!("-env:UserInstallation=file://{}", folder.path().join("profile").display()))
        .args(["--headless", "--norestore"])
        .arg(format!(
            "--infilter={filter}:{code},34,76,1,,0,false,true,false,false,false,0,true,false,{evaluates}"
        ))
        .arg("--convert-to")
        .arg(format!("csv:{filter}:{code},34,76,1,,0,true,true,false"))
        .arg("--outdir")
        .args([&out, &from])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("it starts");
    assert!(status.success(), "it opens the table");
    fs::read_to_string(out.join("table.csv")).expect("a table")
}

/// The cells of a table; where it quotes words and not numbers, that is seen by [`numbers`].
fn cells(table: &str, separator: char) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .delimiter(u8::try_from(separator).expect("ASCII"))
        .from_reader(table.trim_start_matches('\u{feff}').as_bytes());
    reader.records().map(|row| row.expect("a row").iter().map(str::to_owned).collect()).collect()
}

/// How many cells stand without quotes, as numbers do.
fn numbers(table: &str, separator: char) -> usize {
    let bare = |cell: &&str| !cell.is_empty() && cell.chars().all(|letter| letter.is_ascii_digit());
    table.lines().map(|line| line.split(separator).filter(bare).count()).sum()
}

#[test]
fn a_spreadsheet_opens_the_table_and_finds_what_was_written() {
    let Some(program) = program() else { return };
    for remark in REMARKS {
        let studio = studio_of(&file_with("Jörg Weiß", remark));
        for (separator, more) in [(',', &[][..]), (';', &["--semicolon"])] {
            let words = [&["export", "one", "--as", "csv", "--with", "name,remarks"], more].concat();
            let said = studio.run(&words);
            let table = said.strip_prefix("status: 0\n--- stdout\n").expect("a table");
            for evaluates in [false, true] {
                let written = opened_and_written(&program, table, separator, evaluates);
                assert_eq!(
                    cells(&written, separator),
                    cells(table, separator),
                    "{remark} {separator} {evaluates}"
                );
                assert_eq!(numbers(&written, separator), numbers(table, separator), "{remark} {separator}");
            }
        }
    }
}
