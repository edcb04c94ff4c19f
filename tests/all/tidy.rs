//! The table 'who may import whom', and other rules of the house that a machine can check.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// For each room, the rooms of ours that it may use. `names` and `text` may be used by all.
const MAY_IMPORT: &[(&str, &[&str])] = &[
    ("names", &[]),
    ("text", &[]),
    ("failure", &[]),
    ("body", &[]),
    ("catalogue", &["body"]),
    ("caution", &["body", "catalogue"]),
    ("client", &["body", "catalogue", "caution"]),
    ("insight", &["body", "catalogue", "caution", "client"]),
    ("strain", &["body", "catalogue", "caution", "client"]),
    ("planner", &["body", "catalogue", "caution", "client", "insight", "strain"]),
    ("session", &["body", "catalogue", "caution", "client", "insight", "strain", "planner"]),
    ("store", &["body", "catalogue", "caution", "client"]),
    (
        "handout",
        &[
            "body",
            "catalogue",
            "caution",
            "client",
            "insight",
            "strain",
            "planner",
            "session",
            "store",
            "failure",
        ],
    ),
    (
        "cli",
        &[
            "body",
            "catalogue",
            "caution",
            "client",
            "insight",
            "strain",
            "planner",
            "session",
            "store",
            "handout",
            "failure",
        ],
    ),
    (
        "tui",
        &[
            "body",
            "catalogue",
            "caution",
            "client",
            "insight",
            "strain",
            "planner",
            "session",
            "store",
            "handout",
            "failure",
        ],
    ),
];

/// Rooms that do no input or output, read no clock, print nothing and know no terminal.
const INNER: &[&str] =
    &["names", "text", "body", "catalogue", "caution", "client", "insight", "strain", "planner", "session"];

/// Words that inner rooms do not use.
const NOT_INSIDE: &[&str] = &[
    "std::fs",
    "std::io",
    "std::env",
    "std::process",
    "std::net",
    "std::thread",
    "Instant",
    "SystemTime",
    "Utc::now",
    "Local",
    "ratatui",
    "crossterm",
    "clap",
    "println!",
    "print!",
];

/// Words with the only places, as beginnings of paths, where they may stand.
const ONLY_IN: &[(&str, &[&str])] = &[
    ("std::fs", &["src/store"]),
    ("File::", &["src/store"]),
    ("OpenOptions", &["src/store"]),
    ("Instant::now", &["src/main.rs", "src/tui/terminal.rs"]),
    ("SystemTime::now", &["src/main.rs", "src/tui/terminal.rs"]),
    ("Utc::now", &["src/main.rs", "src/tui/terminal.rs"]),
    ("Local::now", &["src/main.rs", "src/tui/terminal.rs"]),
    ("std::env::args", &["src/main.rs"]),
];

/// What may stand at the top.
const TOP: &[&str] = &[
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "tests",
    "demo",
    "docs",
    "target",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below `folder` with that ending, sorted, relative to the root.
fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![root().join(folder)];
    while let Some(folder) = open.pop() {
        let Ok(entries) = fs::read_dir(&folder) else { continue };
        for entry in entries {
            let path = entry.expect("a folder of the repository can be listed").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|found| found == ending) {
                found.push(path.strip_prefix(root()).expect("below the root").to_path_buf());
            }
        }
    }
    found.sort();
    found
}

fn text_of(path: &Path) -> String {
    fs::read_to_string(root().join(path)).expect("a text file of the repository can be read")
}

/// The code of a source file: without comments and without the tests at its end.
fn code_of(path: &Path) -> String {
    let text = text_of(path);
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let lines = text.lines().map(|line| line.split_once("//").map_or(line, |(code, _)| code));
    lines.collect::<Vec<_>>().join("\n")
}

/// The room that a source file belongs to: the first part of its path below `src`.
fn room_of(path: &Path) -> String {
    let first = path.iter().nth(1).expect("a file below src").to_string_lossy();
    first.trim_end_matches(".rs").to_owned()
}

/// Names that follow `crate::` in the code, those in braces too.
fn imports(code: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (at, prefix) in code.match_indices("crate::") {
        let rest = &code[at + prefix.len()..];
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 0;
            let mut word = String::new();
            for character in group.chars() {
                match character {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => {
                        found.insert(first_name(&word));
                        word.clear();
                        continue;
                    }
                    _ => {}
                }
                word.push(character);
            }
            found.insert(first_name(&word));
        } else {
            found.insert(first_name(rest));
        }
    }
    found.remove("");
    found
}

fn first_name(text: &str) -> String {
    text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// Whether `word` stands in the code as a word of its own, groups such as `std::{fs, io}` included.
fn mentions(code: &str, word: &str) -> bool {
    let alone = |at: usize| {
        let before = code[..at].chars().next_back();
        let after = code[at + word.len()..].chars().next();
        let part = |c: char| c.is_alphanumeric() || c == '_';
        let open_start = word.starts_with(|c: char| !part(c));
        let open_end = word.ends_with(|c: char| !part(c));
        (open_start || !before.is_some_and(part)) && (open_end || !after.is_some_and(part))
    };
    if code.match_indices(word).any(|(at, _)| alone(at)) {
        return true;
    }
    let Some(module) = word.strip_prefix("std::") else { return false };
    code.match_indices("std::{").any(|(at, _)| {
        let group = code[at..].split(';').next().unwrap_or_default();
        group.split([',', '{', '}']).any(|part| first_name(part) == module)
    })
}

#[test]
fn rooms_import_what_the_table_allows() {
    let mut wrong = Vec::new();
    for path in files("src", "rs") {
        let room = room_of(&path);
        if room == "main" || room == "lib" {
            continue;
        }
        let Some((_, allowed)) = MAY_IMPORT.iter().find(|(name, _)| *name == room) else {
            wrong.push(format!("{}: the room `{room}` is not in the table", path.display()));
            continue;
        };
        for import in imports(&code_of(&path)) {
            let known = MAY_IMPORT.iter().any(|(name, _)| *name == import);
            let free = import == room || import == "names" || import == "text";
            if known && !free && !allowed.contains(&import.as_str()) {
                wrong.push(format!("{}: `{room}` must not use `{import}`", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn words_stand_only_where_they_may() {
    let mut wrong = Vec::new();
    for path in files("src", "rs") {
        let (code, room) = (code_of(&path), room_of(&path));
        if INNER.contains(&room.as_str()) {
            for word in NOT_INSIDE.iter().filter(|word| mentions(&code, word)) {
                wrong.push(format!("{}: `{room}` must not use `{word}`", path.display()));
            }
        }
        for (word, places) in ONLY_IN.iter().filter(|(word, _)| mentions(&code, word)) {
            if !places.iter().any(|place| path.to_string_lossy().starts_with(place)) {
                wrong.push(format!("{}: `{word}` belongs in {}", path.display(), places.join(" or ")));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_reader_of_the_table_sees_every_way_to_import() {
    let code = "use crate::body::{Side, Unit};\nuse crate::{cli, store::{self, Store}};\nuse std::{fmt, fs};";
    assert_eq!(imports(code).into_iter().collect::<Vec<_>>(), ["body", "cli", "store"]);
    assert!(mentions(code, "std::fs"));
    assert!(!mentions(code, "std::io"));
    assert!(mentions("let x = println!();", "println!"));
    assert!(!mentions("eprintln!()", "println!"));
    assert!(!mentions("use std::time::InstantLike;", "Instant"));
}

#[test]
fn every_test_file_is_wired_in_and_in_order() {
    let main = text_of(Path::new("tests/all/main.rs"));
    let wired: Vec<&str> =
        main.lines().filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';')).collect();
    assert!(wired.is_sorted(), "the `mod` lines of tests/all/main.rs are not sorted: {wired:?}");
    for path in files("tests/all", "rs") {
        if path.components().count() == 3 && !path.ends_with("main.rs") {
            let name = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
            assert!(wired.contains(&name.as_str()), "tests/all/main.rs lacks `mod {name};`");
        }
    }
}

#[test]
fn the_top_level_holds_what_it_may_and_there_is_no_mod_rs() {
    for entry in fs::read_dir(root()).expect("the repository can be listed") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        assert!(name.starts_with('.') || TOP.contains(&name.as_str()), "`{name}` must not stand at the top");
    }
    for path in files("src", "rs") {
        assert!(!path.ends_with("mod.rs"), "{}: use `foo.rs` beside `foo/`", path.display());
    }
}

#[test]
fn sources_stay_short_enough_to_read_at_a_sitting() {
    for path in files("src", "rs").into_iter().chain(files("tests", "rs")) {
        let lines = text_of(&path).lines().count();
        assert!(lines <= 600, "{} has {lines} lines: is there a second idea in it?", path.display());
    }
}

#[test]
fn no_name_in_the_demo_begins_with_k() {
    for path in files("demo", "toml").into_iter().chain(files("src/cli/demo", "toml")) {
        let name = path.file_name().expect("a file has a name").to_string_lossy().to_lowercase();
        assert!(!name.starts_with('k'), "{}", path.display());
        for (number, line) in text_of(&path).lines().enumerate() {
            for (at, _) in line.match_indices('"') {
                let next = line[at + 1..].chars().next().unwrap_or(' ');
                assert!(!matches!(next, 'k' | 'K'), "{}:{}: {line}", path.display(), number + 1);
            }
            if line.trim_start().starts_with("name") {
                let words = line.split(|c: char| !c.is_alphanumeric());
                assert!(
                    !words.map(str::to_lowercase).any(|word| word.starts_with('k')),
                    "{}:{}: {line}",
                    path.display(),
                    number + 1
                );
            }
        }
    }
}
