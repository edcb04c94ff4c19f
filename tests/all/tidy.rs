//! The table 'who uses whom', and other rules of the house that a machine can check.

mod arrows;
mod lists;
mod sources;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use lists::nothing_but_what_is_listed;
use sources::{Source, files, root, text_of};

/// The rooms from the ground up, and the rooms that each of them uses, which stand above it.
pub(crate) const ROOMS: &[(&str, &[&str])] = &[
    ("text", &[]),
    ("names", &[]),
    ("failure", &["text"]),
    ("document", &["text", "names"]),
    ("body", &["names"]),
    ("catalogue", &["names", "document", "body"]),
    ("caution", &["names", "body", "catalogue"]),
    ("client", &["names", "body", "catalogue", "caution"]),
    ("figure", &["body", "catalogue"]),
    ("insight", &["body", "catalogue", "caution", "client"]),
    ("strain", &["names", "body", "catalogue", "client"]),
    ("planner", &["body", "catalogue", "caution", "client", "insight", "strain"]),
    ("session", &["body", "catalogue", "caution", "client", "planner"]),
    ("words", &["text", "body", "catalogue", "client", "insight"]),
    ("platform", &[]),
    ("store", &["text", "names", "document", "body", "catalogue", "caution", "client", "platform"]),
    (
        "handout",
        &[
            "text",
            "body",
            "catalogue",
            "caution",
            "client",
            "figure",
            "insight",
            "strain",
            "planner",
            "words",
        ],
    ),
    ("demo", &["body", "catalogue", "caution", "client", "strain", "store"]),
    (
        "cli",
        &[
            "text",
            "names",
            "failure",
            "document",
            "body",
            "catalogue",
            "caution",
            "client",
            "figure",
            "strain",
            "planner",
            "store",
            "handout",
            "insight",
            "words",
            "platform",
            "demo",
            "words",
        ],
    ),
    (
        "tui",
        &[
            "text",
            "failure",
            "body",
            "catalogue",
            "caution",
            "client",
            "figure",
            "insight",
            "strain",
            "planner",
            "session",
            "words",
            "platform",
            "store",
            "handout",
            "figure",
        ],
    ),
];

/// Rooms that do no input or output, read no clock, print nothing and know no terminal.
const INNER: &[&str] = &[
    "names",
    "text",
    "body",
    "catalogue",
    "caution",
    "client",
    "figure",
    "insight",
    "strain",
    "planner",
    "session",
    "words",
];

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
    ("std::fs", &["src/platform", "src/store"]),
    ("File::", &["src/platform", "src/store"]),
    ("OpenOptions", &["src/platform", "src/store"]),
    ("Instant::now", &["src/main.rs", "src/tui/clock.rs"]),
    ("SystemTime::now", &["src/main.rs", "src/tui/clock.rs"]),
    ("Utc::now", &["src/main.rs", "src/tui/clock.rs"]),
    ("Local::now", &["src/main.rs", "src/tui/clock.rs"]),
    ("std::env::args", &["src/main.rs"]),
];

/// Words with the only places where they are to stand; where they still stand elsewhere is listed.
const TO_STAND_ONLY_IN: &[(&str, &[&str])] = &[
    ("toml", &["src/document", "src/demo"]),
    ("toml_edit", &["src/store/patch"]),
    ("std::env", &["src/platform", "src/main.rs"]),
    ("etcetera", &["src/platform"]),
    ("signal_hook", &["src/platform"]),
    ("cfg(unix)", &["src/platform"]),
    ("cfg(not(unix))", &["src/platform"]),
    ("cfg(windows)", &["src/platform"]),
    ("cfg!(windows)", &["src/platform"]),
    ("cfg!(unix)", &["src/platform", "src/store/faults"]),
    ("target_os", &["src/platform"]),
    ("format a date", &["src/words/date.rs"]),
    ("permit", &["src/caution", "src/planner/menu.rs", "src/session/interrupted.rs"]),
    (
        "ratatui",
        &[
            "src/tui/canvas.rs",
            "src/tui/draw",
            "src/tui/layout",
            "src/tui/theme",
            "src/tui/widgets",
            "src/tui/terminal",
            "src/tui/keys",
            "src/tui/event.rs",
            "src/tui/host.rs",
            "src/cli/password_prompt.rs",
        ],
    ),
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

#[test]
fn rooms_use_what_the_table_says_and_the_table_says_what_they_use() {
    let mut used: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for source in Source::all() {
        used.entry(source.room()).or_default().extend(arrows::rooms_used(source));
    }
    let order: Vec<&str> = ROOMS.iter().map(|(room, _)| *room).collect();
    let mut wrong = Vec::new();
    for room in used.keys().filter(|room| !order.contains(room)) {
        wrong.push(format!("the room `{room}` is not in the table"));
    }
    for (place, (room, listed)) in ROOMS.iter().enumerate() {
        let Some(used) = used.get(room) else {
            wrong.push(format!("there is no room `{room}`: take it off the table"));
            continue;
        };
        for other in used.iter().filter(|other| other != room && order.contains(&other.as_str())) {
            if !listed.contains(&other.as_str()) {
                wrong.push(format!("`{room}` uses `{other}`, and the table does not say so"));
            }
        }
        for other in *listed {
            if !used.contains(*other) {
                wrong.push(format!("`{room}` does not use `{other}`: take it off the table"));
            }
            if !order[..place].contains(other) {
                wrong.push(format!("`{other}` does not stand above `{room}` in the table"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_file_uses_another_that_uses_it() {
    let arrows = arrows::arrows(Source::all());
    let circles = arrows::circles(&arrows);
    let found = circles.iter().flat_map(|circle| {
        circle.iter().map(|file| {
            let others: Vec<&str> = arrows[file].intersection(circle).map(String::as_str).collect();
            (file.clone(), format!("uses {}, which lead back", others.join(", ")))
        })
    });
    nothing_but_what_is_listed("circles", &found.collect(), "files that use each other in a circle");
}

#[test]
fn a_type_has_its_name_for_itself() {
    /// What every screen and every command has, and a row of a list.
    const COMMON: [&str; 3] = ["State", "Arguments", "Row"];
    let mut places: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for source in Source::all() {
        for name in &source.types {
            places.entry(name.clone()).or_default().insert(source.name());
        }
    }
    places.retain(|name, places| places.len() > 1 && !COMMON.contains(&name.as_str()));
    let found = places.into_iter().map(|(name, places)| (name, Vec::from_iter(places).join(", ")));
    nothing_but_what_is_listed("names_twice", &found.collect(), "types that share a name");
}

#[test]
fn words_stand_only_where_they_may() {
    let mut wrong = Vec::new();
    for source in Source::all() {
        let name = source.name();
        if INNER.contains(&source.room()) {
            for word in NOT_INSIDE.iter().filter(|word| source.says(word)) {
                wrong.push(format!("{name}: `{}` must not use `{word}`", source.room()));
            }
        }
        for (word, places) in ONLY_IN.iter().filter(|(word, _)| source.says(word)) {
            if !places.iter().any(|place| name.starts_with(place)) {
                wrong.push(format!("{name}: `{word}` belongs in {}", places.join(" or ")));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn words_stand_in_one_place() {
    let mut found = BTreeMap::new();
    for source in Source::all() {
        let name = source.name();
        let stands = |word: &str| match word {
            "format a date" => source.code.contains(". format ( \"%"),
            word if word.starts_with("cfg") => source.code.contains(&format!(
                "# [ {} ]",
                word.replace('(', " ( ").replace(')', " ) ").trim().replace("  ", " ")
            )),
            word => source.says(word),
        };
        for (word, places) in TO_STAND_ONLY_IN.iter().filter(|(word, _)| stands(word)) {
            if !places.iter().any(|place| name.starts_with(place)) {
                found.insert(format!("{name}: {word}"), format!("belongs in {}", places.join(" or ")));
            }
        }
        if source.room() == "planner" && source.says("f64") {
            found.insert(format!("{name}: f64"), "the planner reckons in whole numbers".to_owned());
        }
        if source.derives.iter().any(|derive| derive == "Client: Clone") {
            found.insert(
                format!("{name}: Client: Clone"),
                "ten years are not copied to be looked at".to_owned(),
            );
        }
    }
    nothing_but_what_is_listed("one_place", &found, "words that stand where they do not belong");
}

#[test]
fn reasons_are_data_and_become_words_elsewhere() {
    let mut found = BTreeMap::new();
    for source in Source::all().iter().filter(|source| ["insight", "planner"].contains(&source.room())) {
        for field in &source.fields {
            if [".why: String", ".detail: String", ".text: String"].iter().any(|end| field.ends_with(end)) {
                found.insert(field.clone(), source.name());
            }
        }
    }
    nothing_but_what_is_listed("reasons", &found, "reasons that are words already, where they are found");
}

#[test]
fn screens_know_no_other_screen() {
    let screen = |file: &str| {
        let below = file.strip_prefix("src/tui/screens/")?;
        Some(below.split('/').next().unwrap_or(below).trim_end_matches(".rs").to_owned())
    };
    let mut found = BTreeMap::new();
    for (file, used) in arrows::arrows(Source::all()) {
        let Some(own) = screen(&file) else { continue };
        let others = used.iter().filter_map(|used| screen(used)).filter(|other| *other != own);
        found.extend(others.map(|other| (format!("{file}: {other}"), "is another screen".to_owned())));
    }
    nothing_but_what_is_listed("screens", &found, "screens that reach into another");
}

#[test]
fn files_and_functions_are_short() {
    const LINES: usize = 400;
    const OF_A_FUNCTION: usize = 60;
    let mut found = BTreeMap::new();
    for source in Source::all() {
        let lines = text_of(&source.path).lines().count();
        if lines > LINES {
            found.insert(source.name(), format!("has {lines} lines, more than {LINES}"));
        }
        for function in source.functions.iter().filter(|function| function.lines > OF_A_FUNCTION) {
            let name = format!("{}: {}", source.name(), function.name);
            found.insert(name, format!("has {} lines, more than {OF_A_FUNCTION}", function.lines));
        }
    }
    nothing_but_what_is_listed("long", &found, "too long to be read at a sitting");
}

#[test]
fn the_reader_of_sources_sees_every_way_to_name_a_thing() {
    let code = r#"
        //! `std::net` in a comment is none.
        use crate::body::{Side, Unit};
        use crate::{cli, store::{self, Store as Files}};
        use std::{fmt, fs};
        pub use self::inner::Shown;
        struct One { why: String, when: Option<String> }
        word_id! { /// A thing.
            ThingId, "thing" }
        fn two() -> One { let text = "std::io // not a comment"; println!("{}", std::env::args().len()); }
        impl Iterator for One { type Item = u8; }
        #[cfg(test)]
        mod tests { use std::process; struct Hidden; }
    "#;
    let source = Source::read(Path::new("src/room/file.rs"), code);
    assert_eq!(source.module, ["room", "file"]);
    let rooms: Vec<String> = arrows::rooms_used(&source).into_iter().collect();
    assert_eq!(rooms, ["body", "cli", "store"]);
    for said in ["std::fs", "std::env", "std::env::args", "println!", "Side", "Store"] {
        assert!(source.says(said), "{said}");
    }
    for not_said in ["std::io", "std::process", "std::net", "print!", "Hidden", "ide"] {
        assert!(!source.says(not_said), "{not_said}");
    }
    assert_eq!(source.types, ["One", "ThingId"]);
    assert_eq!(source.fields, ["One.why: String", "One.when: Option"]);
    let alias = |route: &sources::Route| (route.alias.clone().unwrap_or_default(), route.public);
    assert!(source.uses.iter().map(alias).any(|found| found == ("Files".to_owned(), false)));
    assert!(source.uses.iter().map(alias).any(|found| found == ("Shown".to_owned(), true)));
}

#[test]
fn the_reader_of_arrows_follows_what_is_passed_on() {
    let files = [
        ("src/room.rs", "pub mod one; mod two; pub use two::Two; pub struct Own;"),
        ("src/room/one.rs", "use super::Two; fn one() { crate::other::call(); }"),
        ("src/room/two.rs", "use super::one; pub struct Two; fn two() { one::one(); }"),
        ("src/other.rs", "use crate::room::{self, one::one}; pub fn call() { room::Two; }"),
        ("src/other/below.rs", "use super::super::room::Own; mod inner { use super::super::call; }"),
    ];
    let sources: Vec<Source> = files.iter().map(|(path, text)| Source::read(Path::new(path), text)).collect();
    let arrows = arrows::arrows(&sources);
    let uses = |file: &str| arrows[file].iter().map(String::as_str).collect::<Vec<_>>();
    assert_eq!(uses("src/room.rs"), [""; 0], "what is only passed on is not used");
    assert_eq!(uses("src/room/one.rs"), ["src/other.rs", "src/room/two.rs"]);
    assert_eq!(uses("src/room/two.rs"), ["src/room/one.rs"]);
    assert_eq!(uses("src/other.rs"), ["src/room/one.rs", "src/room/two.rs"]);
    assert_eq!(uses("src/other/below.rs"), ["src/other.rs", "src/room.rs"]);
    let circle: Vec<String> = arrows::circles(&arrows).into_iter().flatten().collect();
    assert_eq!(circle, ["src/other.rs", "src/room/one.rs", "src/room/two.rs"]);
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
