//! What README and DEVELOPERS.md say is true: their commands run, their links lead somewhere, their screens are real.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use crate::cli::Studio;

/// Held by whoever reads and rewrites a part of the README.
static README: Mutex<()> = Mutex::new(());

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str) -> String {
    fs::read_to_string(root().join(name)).expect("a text file of the repository can be read")
}

/// The commands of the program that stand in `sh` blocks.
fn commands(text: &str) -> Vec<String> {
    let blocks = text.split("```sh\n").skip(1).filter_map(|rest| rest.split("```").next());
    blocks.flat_map(str::lines).filter_map(|line| line.strip_prefix("matside ")).map(str::to_owned).collect()
}

/// Runs a command of the README as it stands there, from the top of the repository.
fn run(command: &str) -> String {
    let words: Vec<&str> = command.split_whitespace().collect();
    if command.contains("--data demo") {
        let words: Vec<&str> = words.into_iter().filter(|word| !matches!(*word, "--data" | "demo")).collect();
        Studio::at(&root().join("demo")).run(&words)
    } else {
        Studio::empty().run(&words)
    }
}

#[test]
fn the_commands_of_the_readme_work() {
    let readme = read("README.md");
    assert!(readme.contains("cargo run --release -- demo") && readme.contains("\ncargo test\n"));
    let commands = commands(&readme);
    assert!(commands.len() >= 7, "{commands:?}");
    for command in commands {
        let said = run(&command);
        // `check` warns about a folder that others may read, which a checkout is; it still ends well.
        assert!(said.starts_with("status: 0"), "matside {command}\n{said}");
    }
}

#[test]
fn links_in_the_documents_lead_somewhere() {
    let mut documents = vec![PathBuf::from("README.md"), PathBuf::from("DEVELOPERS.md")];
    for entry in fs::read_dir(root().join("docs")).expect("docs can be listed") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "md") {
            documents.push(path.strip_prefix(root()).expect("below the root").to_path_buf());
        }
    }
    for document in documents {
        let text = read(&document.to_string_lossy());
        for target in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            if target.starts_with("http") || target.starts_with('#') {
                continue;
            }
            let file = target.split('#').next().unwrap_or(target);
            let beside = root().join(&document).parent().expect("a file lies in a folder").join(file);
            assert!(beside.exists(), "{}: {target} leads nowhere", document.display());
        }
    }
}

/// What stands in the README between two marks is what the program makes of it.
fn is_current(of: &str, block: &str) {
    let (begin, end) = (format!("<!-- {of}:begin -->\n"), format!("<!-- {of}:end -->"));
    let _one_at_a_time = README.lock().unwrap_or_else(PoisonError::into_inner);
    let readme = read("README.md");
    let (before, rest) = readme.split_once(&begin).expect("the mark stands");
    let (shown, after) = rest.split_once(&end).expect("the mark stands");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        let text = format!("{before}{begin}{block}{end}{after}");
        fs::write(root().join("README.md"), text).expect("the README can be written");
    } else {
        assert_eq!(shown, block, "README.md is old: UPDATE_DOCS=1 cargo test docs");
    }
}

#[test]
fn the_readme_lists_every_command_as_help_does() {
    let help = Studio::empty().run(&["--help"]);
    let commands = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next());
    let mut table = vec!["| command | what it does |".to_owned(), "| --- | --- |".to_owned()];
    for line in commands.expect("help lists the commands").lines() {
        let (command, about) = line.trim().split_once(' ').expect("each says what it does");
        if command != "help" {
            table.push(format!("| `{command}` | {} |", about.trim()));
        }
    }
    is_current("commands", &(table.join("\n") + "\n"));
}

#[test]
fn the_plan_in_the_readme_is_what_the_program_says() {
    let readme = read("README.md");
    let command = commands(&readme).into_iter().find(|command| command.starts_with("plan feldmann"));
    let said = run(&command.expect("the README plans for a client"));
    let lines: Vec<&str> = said.lines().skip(2).take(24).collect();
    let block = format!("```text\n{}\n...\n```\n", lines.join("\n"));
    is_current("plan", &block);
}

/// The cells of a table in DEVELOPERS.md, without its two first rows.
fn rows(text: &str, of: &str) -> Vec<(String, String)> {
    let (begin, end) = (format!("<!-- {of}:begin -->"), format!("<!-- {of}:end -->"));
    let table = text.split(&begin).nth(1).and_then(|rest| rest.split(&end).next()).expect("the marks stand");
    let cells = |line: &str| {
        let (left, right) = line.trim_matches(['|', ' ']).split_once(" | ").expect("two cells");
        (left.to_owned(), right.to_owned())
    };
    table.trim().lines().skip(2).map(cells).collect()
}

#[test]
fn the_index_of_words_leads_to_where_they_are_made() {
    let index = rows(&read("DEVELOPERS.md"), "index");
    assert!(index.len() >= 10, "{index:?}");
    for (words, file) in index {
        let (words, file) = (words.trim_matches('"'), file.trim_matches('`'));
        assert!(read(file).contains(words), "DEVELOPERS.md: {file} does not say \"{words}\"");
    }
}

#[test]
fn the_code_map_names_every_room_from_the_ground_up() {
    let room = |(place, _): (String, String)| {
        let path = place.trim_matches('`').trim_start_matches("src/").trim_end_matches('/');
        path.trim_end_matches(".rs").to_owned()
    };
    let named: Vec<String> = rows(&read("DEVELOPERS.md"), "rooms").into_iter().map(room).collect();
    let rooms: Vec<&str> = crate::tidy::ROOMS.iter().map(|(room, _)| *room).collect();
    assert_eq!(named, rooms);
}

#[test]
fn every_path_in_the_map_is_there() {
    let text = read("DEVELOPERS.md");
    let paths = text.split('`').skip(1).step_by(2).filter(|word| {
        ["src/", "tests/", "docs/"].iter().any(|start| word.starts_with(start)) && !word.contains([' ', '*'])
    });
    for path in paths {
        assert!(root().join(path).exists(), "DEVELOPERS.md: {path} is not there");
    }
}
