//! What README and DEVELOPERS.md say is true: their commands run, their links lead somewhere, their screens are real.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use matside::body::Muscle;

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

/// The papers in which a command may stand.
fn papers() -> Vec<PathBuf> {
    let mut papers = vec![PathBuf::from("README.md"), PathBuf::from("DEVELOPERS.md")];
    for entry in fs::read_dir(root().join("docs")).expect("docs can be listed") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "md") {
            papers.push(path.strip_prefix(root()).expect("below the root").to_path_buf());
        }
    }
    papers
}

/// Beginnings of lines that build or test the program: a test of the program does not run them.
#[cfg(unix)]
const NOT_RUN: &[&str] = &["cargo ", ".ci/run", "tests/", "ls target/"];

/// Runs the lines of a paper one after the other in a shell, in a folder that holds the demo, on a fixed evening.
#[cfg(unix)]
fn run_all(lines: &[&str]) {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().expect("a folder");
    let (bin, here) = (folder.path().join("bin"), folder.path().join("here"));
    for made in [&bin, &here.join("demo/clients")] {
        fs::create_dir_all(made).expect("a folder is made");
    }
    for name in ["trainer.toml", "work.toml"] {
        fs::copy(root().join("demo").join(name), here.join("demo").join(name)).expect("copied");
    }
    for entry in fs::read_dir(root().join("demo/clients")).expect("listed") {
        let path = entry.expect("an entry").path();
        fs::copy(&path, here.join("demo/clients").join(path.file_name().expect("a name"))).expect("copied");
    }
    let program = bin.join("matside");
    let script = format!(
        "#!/bin/sh\nexec '{}' --now 2026-11-25T18:40:00+01:00 \"$@\"\n",
        env!("CARGO_BIN_EXE_matside")
    );
    fs::write(&program, script).expect("written");
    fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).expect("made a program");
    for line in lines {
        let output = std::process::Command::new("sh")
            .args(["-c", line])
            .env_clear()
            .env("HOME", folder.path())
            .env("PATH", format!("{}:/usr/bin:/bin", bin.display()))
            .current_dir(&here)
            .stdin(std::process::Stdio::null())
            .output()
            .expect("a shell runs");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{line}\n{said}");
    }
}

#[test]
#[cfg(unix)]
fn every_line_of_every_command_block_runs() {
    let mut count = 0;
    for paper in papers() {
        let text = read(&paper.to_string_lossy());
        let blocks = text.split("```").skip(1).step_by(2).filter_map(|block| block.strip_prefix("sh\n"));
        let lines: Vec<&str> = blocks.flat_map(str::lines).filter(|line| !line.is_empty()).collect();
        let (ours, others): (Vec<&str>, Vec<&str>) =
            lines.into_iter().partition(|line| line.starts_with("matside "));
        for line in others {
            let is_set = |word: &&str| {
                word.split('=').next().is_some_and(|name| word.contains('=') && name == name.to_uppercase())
            };
            let words: Vec<&str> = line.split(' ').skip_while(is_set).collect();
            let is_known = NOT_RUN.iter().any(|start| words.join(" ").starts_with(start));
            assert!(is_known, "{}: `{line}` is neither run nor known", paper.display());
        }
        count += ours.len();
        run_all(&ours);
    }
    assert!(count >= 20, "{count}");
    let readme = read("README.md");
    assert!(readme.contains("\ncargo run --release -- demo\n") && readme.contains("\ncargo test\n"));
}

/// Commands that a sentence names are there, whether or not they stand in a block.
#[test]
fn every_command_that_the_papers_name_is_there() {
    let help = Studio::empty().run(&["--help"]);
    let known: Vec<&str> =
        help.lines().filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next()).collect();
    for paper in papers().into_iter().filter(|paper| !paper.ends_with("changelog.md")) {
        let text = read(&paper.to_string_lossy());
        for named in text.split("`matside ").skip(1) {
            let word = named.split(|letter: char| !letter.is_ascii_lowercase()).next().unwrap_or_default();
            assert!(word.is_empty() || known.contains(&word), "{}: `matside {word}`", paper.display());
        }
    }
}

#[test]
fn the_readme_lists_the_muscles() {
    let rows = Muscle::ALL.iter().map(|muscle| format!("| `{}` | {} |", muscle.id(), muscle.plain_name()));
    let rows: Vec<String> = rows.collect();
    let head = "| muscle | in plain words |\n| --- | --- |";
    let folded = "<details><summary>The muscles</summary>";
    is_current("muscles", &format!("{folded}\n\n{head}\n{}\n\n</details>\n", rows.join("\n")));
}

#[test]
fn links_in_the_documents_lead_somewhere() {
    for document in papers() {
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
