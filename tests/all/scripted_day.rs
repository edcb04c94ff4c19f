//! A day of a studio without screens: everything by command, one after the other, as a script would go through it, told
//! by exit codes and by what stands in the files; and a request for all data about a client, answered in one command.

use std::fs;

use serde_json::Value;

use crate::cli::Studio;

/// Runs a command that has to end so; what it says on standard output.
fn ends(studio: &Studio, code: u8, words: &[&str]) -> String {
    let said = studio.run(words);
    let rest = said.strip_prefix(&format!("status: {code}\n")).unwrap_or_else(|| panic!("{words:?}: {said}"));
    let out = rest.strip_prefix("--- stdout\n").unwrap_or_default();
    out.split("--- stderr\n").next().unwrap_or(out).to_owned()
}

fn done(studio: &Studio, words: &[&str]) -> String {
    ends(studio, 0, words)
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

/// Logs a session of Ada's.
fn log(more: &[&'static str]) -> Vec<&'static str> {
    const SHEET: [&str; 8] = [
        "log",
        "ada",
        "--at",
        "18:20",
        "--trained",
        "hamstrings:3,calves:2",
        "--report",
        "straight-leg-raise both 30s 4 61deg",
    ];
    [&SHEET, more].concat()
}

/// A studio with two clients, of whom one is here today and one has to be asked first.
fn studio() -> Studio {
    let studio = Studio::empty();
    done(&studio, &["trainer", "--name", "Ines Varga", "--studio", "Amselgrund", "--minutes", "10"]);
    done(&studio, &["trainer", "--equipment", "chair,strap"]);
    done(&studio, &["new", "Ada Brandt", "--born", "1984-05-31", "--aim", "range", "--screened"]);
    done(&studio, &["new", "Jörg Weiß", "--born", "1990", "--condition", "kneecap-pain:left"]);
    done(&studio, &["edit", "ada-brandt", "--usual", "wed 18:30", "--tight", "hamstrings:right"]);
    studio
}

#[test]
fn a_day_goes_by_without_a_screen() {
    let studio = studio();
    // Who comes? Both are listed, for machines as for people.
    assert!(done(&studio, &["today"]).contains("Ada Brandt"));
    let today = json(&done(&studio, &["today", "--json"]));
    assert_eq!(today["day"], "2026-11-25");
    assert_eq!(today["clients"][0]["id"], "ada-brandt");
    // The health check comes first; what it leaves open stops hands, and says so with a code of its own.
    done(&studio, &["screen", "jorg", "--open", "--note", "chest pain on the stairs"]);
    let stopped = ends(&studio, 3, &["plan", "jorg", "--trained", "hamstrings:3", "--json"]);
    assert!(json(&stopped).is_object(), "{stopped}");
    done(&studio, &["screen", "jorg", "--clear", "--cleared-by", "his doctor, by phone"]);
    assert!(done(&studio, &["screen", "jorg"]).contains("cleared by his doctor, by phone"));
    // The block: planned, done, typed up, put right.
    let plan = json(&done(&studio, &["plan", "ada", "--trained", "hamstrings:3,calves:2", "--json"]));
    assert!(plan.is_object());
    let before = fs::read(studio.data().join("clients/ada-brandt.toml")).expect("the file");
    assert!(done(&studio, &log(&["--dry-run"])).contains("nothing was saved"));
    assert_eq!(fs::read(studio.data().join("clients/ada-brandt.toml")).expect("the file"), before);
    done(&studio, &log(&[]));
    ends(&studio, 2, &["log", "ada", "--report", "straight-leg-rase left 30s 4"]);
    let mended = done(&studio, &["mend", "ada", "--report", "2", "--as", "25s 5"]);
    assert!(mended.contains("25s 5"), "{mended}");
    assert!(done(&studio, &["history", "ada"]).contains("1 session"));
    assert!(done(&studio, &["today"]).lines().all(|line| !line.contains("usually comes today")));
    // What goes along: pages into a folder, each once and never over another.
    let folder = studio.data().join("pages");
    fs::create_dir(&folder).expect("a folder");
    let to = folder.to_str().expect("a path");
    for page in ["home", "record", "year", "letter", "record"] {
        done(&studio, &["page", page, "ada", "--to", to]);
    }
    assert_eq!(fs::read_dir(&folder).expect("the folder").count(), 5);
    ends(&studio, 1, &["page", "year", "jorg"]);
    // In the evening: everything in one file, which is read back; and what was forgotten is there again.
    let backup = studio.data().with_extension("tar");
    let tar = backup.to_str().expect("a path");
    done(&studio, &["backup", tar]);
    done(&studio, &["backup", "--check", tar]);
    ends(&studio, 2, &["forget", "ada-brandt"]);
    done(&studio, &["forget", "ada-brandt", "--yes"]);
    assert!(!done(&studio, &["clients"]).contains("Ada Brandt"));
    done(&studio, &["restore", tar, "--replace"]);
    assert_eq!(
        json(&done(&studio, &["history", "ada", "--json"]))["sessions"].as_array().map(Vec::len),
        Some(1)
    );
    assert!(done(&studio, &["check"]).contains("no error") || !done(&studio, &["check"]).contains("error:"));
    fs::remove_file(&backup).expect("removed");
}

#[test]
fn a_request_for_all_data_is_answered_in_one_command() {
    let studio = studio();
    done(&studio, &["screen", "jorg", "--clear", "--note", "A word."]);
    done(
        &studio,
        &["log", "jorg", "--report", "straight-leg-raise left 30s 4; felt fine", "--note", "Tired."],
    );
    let all = json(&done(&studio, &["export", "jorg", "--everything"]));
    let file = fs::read_to_string(studio.data().join("clients/jorg-weiss.toml")).expect("the file");
    let table = |text: &str| text.parse::<toml::Table>().expect("TOML");
    assert_eq!(
        table(all["file"].as_str().expect("the file")),
        table(&file),
        "the file itself is in it, whole"
    );
    let text = all.to_string();
    for told in ["Jörg Weiß", "1990", "kneecap-pain", "felt fine", "Tired.", "A word."] {
        assert!(text.contains(told), "{told}: {text}");
    }
    assert_eq!(all["left_out"].as_array().map(Vec::len), Some(0));
}
