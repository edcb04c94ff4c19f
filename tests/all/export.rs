//! Data that leaves whole: each export against the client's file, which is read here as plain TOML values by nothing of
//! the program's own; the schema; what stays at home; words that would be formulas.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::Value;
use toml::Table;

use crate::cli::Studio;
use crate::handouts::clients;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn demo() -> Studio {
    Studio::at(&root().join("demo"))
}

/// What a command writes to standard output.
fn out(studio: &Studio, words: &[&str]) -> String {
    let said = studio.run(words);
    let out = said.strip_prefix("status: 0\n--- stdout\n").unwrap_or_else(|| panic!("{words:?}: {said}"));
    out.split("--- stderr\n").next().unwrap_or(out).to_owned()
}

fn json(studio: &Studio, words: &[&str]) -> Value {
    serde_json::from_str(&out(studio, words)).expect("JSON")
}

/// Sums over a client's reports: how many, seconds, answers, degrees, and how often each end.
#[derive(Debug, Default, PartialEq, Eq)]
struct Sums {
    sessions: usize,
    reports: i64,
    held: i64,
    answers: i64,
    answered: i64,
    degrees: i64,
    ends: BTreeMap<String, i64>,
    sides: BTreeMap<String, i64>,
}

impl Sums {
    fn add(&mut self, held: i64, answer: Option<i64>, degrees: Option<i64>, ended: &str, side: &str) {
        self.reports += 1;
        self.held += held;
        self.answers += answer.unwrap_or(0);
        self.answered += i64::from(answer.is_some());
        self.degrees += degrees.unwrap_or(0);
        *self.ends.entry(ended.to_owned()).or_default() += 1;
        *self.sides.entry(side.to_owned()).or_default() += 1;
    }
}

/// The angle that counts of a report's: before the stretch, else the only one.
fn angle(report: &Table) -> Option<i64> {
    let plain = report.get("angle_deg").and_then(toml::Value::as_integer);
    let listed = report.get("angles").and_then(toml::Value::as_array);
    let of = |angle: &toml::Value| angle.get("deg").and_then(toml::Value::as_integer);
    let is_before = |angle: &&toml::Value| angle.get("taken").and_then(toml::Value::as_str) != Some("after");
    plain.or_else(|| listed.and_then(|all| all.iter().rfind(is_before).or_else(|| all.last()).and_then(of)))
}

fn sums_of_file(file: &Table) -> Sums {
    let mut sums = Sums::default();
    let sessions = file.get("session").and_then(toml::Value::as_array);
    for session in sessions.into_iter().flatten().filter(|session| session.get("taken_back").is_none()) {
        sums.sessions += 1;
        let Some(reports) = session.get("report").and_then(toml::Value::as_table) else { continue };
        for report in reports.values().filter_map(toml::Value::as_table) {
            if report.contains_key("taken_back") {
                continue;
            }
            let number = |key: &str| report.get(key).and_then(toml::Value::as_integer);
            let word =
                |key: &str, usual| report.get(key).and_then(toml::Value::as_str).unwrap_or(usual).to_owned();
            let held = number("held_s").unwrap_or(0);
            sums.add(held, number("level"), angle(report), &word("ended", "done"), &word("side", "both"));
        }
    }
    sums
}

fn sums_of_json(document: &Value) -> Sums {
    let mut sums = Sums::default();
    for session in document["sessions"].as_array().expect("sessions") {
        sums.sessions += 1;
        for report in session["reports"].as_array().expect("reports") {
            let word = |key: &str| report[key].as_str().expect("a word").to_owned();
            let held = report["held_s"].as_i64().expect("seconds");
            let (answer, degrees) = (report["answer"].as_i64(), report["angle_deg"].as_i64());
            sums.add(held, answer, degrees, &word("ended"), &word("side"));
        }
    }
    sums
}

/// A table as rows of cells by their heads.
fn rows(text: &str, separator: u8) -> Vec<BTreeMap<String, String>> {
    let text = text.strip_prefix('\u{feff}').expect("a byte order mark");
    assert!(text.ends_with("\r\n") && !text.contains("\n\n"), "lines end in CR LF");
    let mut reader = csv::ReaderBuilder::new().delimiter(separator).from_reader(text.as_bytes());
    let heads = reader.headers().expect("heads").clone();
    reader
        .records()
        .map(|row| {
            heads.iter().map(str::to_owned).zip(row.expect("a row").iter().map(str::to_owned)).collect()
        })
        .collect()
}

fn sums_of_table(rows: &[BTreeMap<String, String>]) -> Sums {
    let mut sums = Sums::default();
    let mut begun = std::collections::BTreeSet::new();
    for row in rows {
        begun.insert(row["session_at"].clone());
        if row["report"].is_empty() {
            continue;
        }
        let number = |key: &str| row[key].parse().ok();
        sums.add(
            number("held_s").expect("seconds"),
            number("answer"),
            number("angle_deg"),
            &row["ended"],
            &row["side"],
        );
    }
    sums.sessions = begun.len();
    sums
}

#[test]
fn the_data_of_every_client_are_those_of_the_file() {
    let studio = demo();
    let mut with_angles = 0;
    for (id, file) in clients() {
        let wanted = sums_of_file(&file);
        assert_eq!(sums_of_json(&json(&studio, &["export", &id])), wanted, "{id}");
        let table = rows(&out(&studio, &["export", &id, "--as", "csv"]), b',');
        assert_eq!(sums_of_table(&table), wanted, "{id}");
        with_angles += usize::from(wanted.degrees > 0);
    }
    assert!(with_angles >= 2, "some are measured");
    let semicolons = rows(&out(&studio, &["export", "feldmann", "--as", "csv", "--semicolon"]), b';');
    assert!(semicolons.len() > 900 && semicolons[0].contains_key("held_s"));
}

#[test]
fn the_documents_are_what_the_schema_says() {
    let schema: Value = serde_json::from_str(
        &fs::read_to_string(root().join("docs/export.schema.json")).expect("the schema"),
    )
    .expect("JSON");
    // JSON Schema 2020-12: the schema against that of all schemas, and each document against the schema.
    assert!(jsonschema::meta::is_valid(&schema), "the schema itself");
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let studio = demo();
    for (id, _) in clients() {
        for more in [&[][..], &["--everything"], &["--with", "conditions"], &["--since", "2026-06-01"]] {
            let document = json(&studio, &[&["export", &id], more].concat());
            let flaws: Vec<String> = validator
                .iter_errors(&document)
                .map(|flaw| format!("{}: {flaw}", flaw.instance_path))
                .collect();
            assert!(flaws.is_empty(), "{id} {more:?}: {flaws:#?}");
            let mut odd = document.clone();
            odd["profile"]["odd"] = Value::Bool(true);
            assert!(!validator.is_valid(&odd), "an unknown key is a flaw");
            let mut without = document;
            without.as_object_mut().expect("an object").remove("insight");
            assert!(!validator.is_valid(&without), "a missing key is a flaw");
        }
    }
    let history: Value = serde_json::from_str(
        &fs::read_to_string(root().join("docs/history.schema.json")).expect("the schema"),
    )
    .expect("JSON");
    assert_eq!(schema["$defs"]["insight"], history["$defs"]["insight"], "findings have one shape");
}

#[test]
fn what_is_private_stays_at_home_unless_it_is_asked_for() {
    let studio = demo();
    for (id, file) in clients() {
        let text = out(&studio, &["export", &id]);
        let table = out(&studio, &["export", &id, "--as", "csv"]);
        let name = file["name"].as_str().expect("a name");
        let mut private = vec![name.to_owned(), id.clone()];
        private.extend(file.get("born").and_then(toml::Value::as_datetime).map(ToString::to_string));
        private.extend(file.get("note").and_then(toml::Value::as_str).map(str::to_owned));
        for condition in file.get("condition").and_then(toml::Value::as_array).into_iter().flatten() {
            private.extend(condition.get("id").and_then(toml::Value::as_str).map(str::to_owned));
        }
        for word in private {
            assert!(
                !text.contains(&format!("\"{word}\"")) && !table.contains(&format!("\"{word}\"")),
                "{id}: {word}"
            );
        }
        let all = json(&studio, &["export", &id, "--everything"]);
        assert_eq!(all["name"].as_str(), Some(name));
        assert_eq!(all["left_out"].as_array().map(Vec::len), Some(0));
        let whole: Table = all["file"].as_str().expect("the file").parse().expect("TOML");
        assert_eq!(sums_of_file(&whole), sums_of_file(&file), "{id}");
        let count =
            |table: &Table| table.get("condition").and_then(toml::Value::as_array).map_or(0, Vec::len);
        assert_eq!(all["health"]["conditions"].as_array().map(Vec::len), Some(count(&file)));
        assert_eq!(count(&whole), count(&file));
    }
}

/// A client whose words want to be formulas, tags and commands.
const HOSTILE: &str = r#"version = 2
name = "=HYPERLINK(\"http://x\")<script>"
note = "@SUM(A1)"

[[session]]
at = 2026-11-02T18:40:00+01:00
minutes = 10
consent = "declined"
note = "-2+3\n=cmd()"

[[session]]
at = 2026-11-03T18:40:00+01:00
minutes = 10
consent = "hands-on"
trained = { hamstrings = 3 }
note = "+49 30; \"quoted\", and a comma"
report.01 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "left", method = "static", held_s = 30, level = 4, angle_deg = 61, note = " \t=1+1" }
report.02 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "right", method = "static", held_s = 25, level = 5, note = "\u001B[31m\u202Ered<b>" }
closed = 2026-11-03T18:50:00+01:00
"#;

#[test]
fn no_word_becomes_a_formula_or_breaks_a_row() {
    let studio = Studio::empty();
    fs::create_dir(studio.data().join("clients")).expect("a folder");
    fs::write(studio.data().join("clients/hostile.toml"), HOSTILE).expect("a file");
    let text = out(&studio, &["export", "hostile", "--as", "csv", "--with", "name,remarks"]);
    let table = rows(&text, b',');
    assert_eq!(table.len(), 3, "a row a report, and one for the session that was declined");
    for (head, cell) in table.iter().flatten() {
        assert!(
            !cell.trim_start().starts_with(['=', '+', '-', '@']) || cell.parse::<i64>().is_ok(),
            "{head}: {cell}"
        );
        assert!(!cell.contains(['\n', '\r', '\t', '\u{1b}', '\u{202e}']), "{head}: {cell:?}");
    }
    let remarks: Vec<&str> = table.iter().map(|row| row["session_remark"].as_str()).collect();
    assert_eq!(remarks[0], "'-2+3 =cmd()");
    assert_eq!(remarks[1], "'+49 30; \"quoted\", and a comma");
    assert_eq!(table[1]["report_remark"], "'  =1+1");
    assert_eq!((table[0]["consent"].as_str(), table[0]["report"].as_str()), ("declined", ""));
    // JSON keeps the words as they are.
    let all = json(&studio, &["export", "hostile", "--everything"]);
    assert_eq!(all["name"], "=HYPERLINK(\"http://x\")<script>");
    assert_eq!(all["profile"]["remark"], "@SUM(A1)");
}

#[test]
fn a_file_is_written_beside_what_is_there() {
    let studio = demo();
    let folder = tempfile::tempdir().expect("a folder");
    let to = folder.path().to_str().expect("a path");
    for _ in 0..2 {
        let said = studio.run(&["export", "feldmann", "--as", "csv", "--to", to]);
        assert!(said.contains("written: ") && said.contains("client-reports-2026-11-25"), "{said}");
    }
    let mut names: Vec<String> = fs::read_dir(folder.path())
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort_unstable();
    assert_eq!(names, ["client-reports-2026-11-25-2.csv", "client-reports-2026-11-25.csv"]);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = fs::metadata(folder.path().join(&names[1])).expect("a file").permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "nobody else may read it");
    }
}

#[test]
fn what_would_do_nothing_is_refused() {
    for words in [
        &["--as", "csv", "--everything"][..],
        &["--as", "csv", "--with", "born"],
        &["--semicolon"],
        &["--everything", "--with", "name"],
        &["--everything", "--since", "2026-01-01"],
    ] {
        let said = demo().run(&[&["export", "feldmann"], words].concat());
        assert!(said.starts_with("status: 2"), "{words:?}: {said}");
    }
}

#[test]
fn every_column_is_described() {
    let page = fs::read_to_string(root().join("docs/export.md")).expect("the page");
    for column in matside::handout::export::COLUMNS {
        assert!(page.contains(&format!("`{column}`")), "docs/export.md does not say what `{column}` is");
    }
}

#[test]
fn a_history_as_json_keeps_to_its_filters() {
    let studio = demo();
    let all = json(&studio, &["history", "feldmann", "--json"]);
    let since = json(&studio, &["history", "feldmann", "--json", "--since", "2026-06-01"]);
    let one = json(&studio, &["history", "feldmann", "--json", "--stretch", "straight-leg-raise"]);
    let muscle = json(&studio, &["history", "feldmann", "--json", "--muscle", "soleus"]);
    let reports = |document: &Value| -> Vec<String> {
        let sessions = document["sessions"].as_array().expect("sessions").iter();
        let reports = sessions.flat_map(|session| session["reports"].as_array().expect("reports").clone());
        reports.map(|report| report["stretch"].as_str().expect("a stretch").to_owned()).collect()
    };
    let file = &clients().into_iter().find(|(id, _)| id == "t-feldmann").expect("the client").1;
    let wanted: usize = file["session"]
        .as_array()
        .expect("sessions")
        .iter()
        .filter_map(|session| session.get("report")?.as_table())
        .flat_map(|reports| reports.values())
        .filter(|report| report["stretch"].as_str() == Some("straight-leg-raise"))
        .count();
    assert!(wanted > 100);
    assert_eq!(reports(&one).len(), wanted);
    assert!(reports(&one).iter().all(|stretch| stretch == "straight-leg-raise"));
    assert!(
        reports(&muscle).iter().all(|stretch| stretch != "straight-leg-raise")
            && !reports(&muscle).is_empty()
    );
    assert!(reports(&since).len() < reports(&all).len() && !reports(&since).is_empty());
    let of = |document: &Value, list: &str, key: &str| -> Vec<String> {
        let all = document["insight"][list].as_array().expect("a list").iter();
        all.map(|one| one[key].as_str().expect("a word").to_owned()).collect()
    };
    assert!(of(&all, "sides", "muscle").len() > of(&one, "sides", "muscle").len());
    assert_eq!(of(&one, "sides", "muscle"), ["hamstrings"]);
    assert!(of(&one, "changes", "stretch").iter().all(|stretch| stretch == "straight-leg-raise"));
    assert!(!of(&all, "said", "sentence").is_empty() && all["insight"] == since["insight"]);
    assert!(studio.run(&["history", "feldmann", "--json", "--all"]).starts_with("status: 2"));
}
