//! What a shell offers while a command is typed, asked as each shell asks; and the manual pages.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::cli::Studio;

fn program() -> &'static Path {
    Path::new(env!("CARGO_BIN_EXE_matside"))
}

fn studio() -> Studio {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    studio.run(&["new", "Noa Lindt"]);
    studio
}

/// What is offered for the last of the words, as one shell asks.
fn asked(studio: &Studio, shell: &str, words: &[&str]) -> String {
    let output = Command::new(program())
        .env_clear()
        .env("HOME", studio.data())
        .env("MATSIDE_DATA", studio.data())
        .env("MATSIDE_COMPLETE", shell)
        .env("_CLAP_IFS", "\n")
        .env("_CLAP_COMPLETE_INDEX", words.len().to_string())
        .env("_CLAP_COMPLETE_COMP_TYPE", "9")
        .env("_CLAP_COMPLETE_SPACE", "false")
        .args(["--", "matside"])
        .args(words)
        .stdin(Stdio::null())
        .output()
        .expect("the program runs");
    assert!(output.status.success(), "{shell} {words:?}: {output:?}");
    // zsh wants a colon that belongs to a value marked.
    String::from_utf8(output.stdout).expect("words").replace("\\:", ":")
}

#[test]
fn every_shell_is_offered_clients_muscles_conditions_and_values() {
    let studio = studio();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let offered = |words: &[&str], wanted: &[&str]| {
            let said = asked(&studio, shell, words);
            for word in wanted {
                assert!(said.contains(word), "{shell} {words:?}: {word} is not in {said}");
            }
        };
        offered(&["pl"], &["plan"]);
        offered(&["plan", ""], &["mira-okonjo", "noa-lindt"]);
        offered(&["edit", "mira"], &["mira-okonjo"]);
        offered(&["edit", "mira-okonjo", "--condition", "shoulder"], &["shoulder-impingement"]);
        offered(&["edit", "mira-okonjo", "--still"], &["--still-tight"]);
        offered(&["edit", "mira-okonjo", "--tight", "hamst"], &["hamstrings:left", "hamstrings:right"]);
        offered(&["edit", "mira-okonjo", "--at-home", "strap,cha"], &["strap,chair"]);
        offered(&["plan", "mira", "--trained", "hamstrings:3,glut"], &["gluteus-maximus"]);
        offered(&["plan", "mira", "--consent", ""], &["hands-on", "self-stretch", "declined"]);
        offered(&["new", "Ida", "--aim", ""], &["calm", "range", "desk"]);
        offered(&["history", "mira", "--stretch", "straight"], &["straight-leg-raise"]);
        offered(&["catalogue", "--position", "sup"], &["supine"]);
    }
}

#[test]
fn asking_makes_nothing_and_a_locked_folder_asks_for_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let nowhere = Studio::at(&folder.path().join("data"));
    assert_eq!(asked(&nowhere, "bash", &["edit", "mi"]).trim(), "");
    assert!(!nowhere.data().exists());
    let studio = studio();
    let key = folder.path().join("key");
    fs::write(&key, "a cat on the roof\n").expect("written");
    studio.run(&["encrypt", "--yes", "--passphrase-file", key.to_str().expect("a path")]);
    assert!(asked(&studio, "bash", &["edit", "mi"]).contains("mira-okonjo"));
}

/// The shell itself, where the machine has it; the others are asked as their scripts ask, above.
#[cfg(unix)]
fn in_shell(shell: &str, arguments: &[&str], studio: &Studio) -> Option<String> {
    let path = format!("{}:/usr/bin:/bin", program().parent()?.display());
    let output = Command::new(shell)
        .args(arguments)
        .env_clear()
        .env("HOME", studio.data())
        .env("TERM", "dumb")
        .env("MATSIDE_DATA", studio.data())
        .env("PATH", path)
        .stdin(Stdio::null())
        .output()
        .ok()?;
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    Some(format!("{out}{err}"))
}

#[test]
#[cfg(unix)]
fn a_real_bash_completes_a_client() {
    let script = "source <(matside completions bash); COMP_WORDS=(matside edit mir); COMP_CWORD=2; COMP_TYPE=9; \
                  _clap_complete_matside matside mir edit; printf '%s\\n' \"${COMPREPLY[@]}\"";
    let Some(said) = in_shell("bash", &["--norc", "-c", script], &studio()) else { return };
    assert!(said.contains("mira-okonjo"), "{said}");
}

#[test]
#[cfg(unix)]
fn a_real_fish_completes_a_client() {
    let script = "matside completions fish | source; complete -C 'matside edit mir'";
    let Some(said) = in_shell("fish", &["--no-config", "-c", script], &studio()) else { return };
    assert!(said.contains("mira-okonjo"), "{said}");
}

#[test]
#[cfg(unix)]
fn a_real_zsh_completes_a_client() {
    // The completion system runs in the line editor alone: a second shell on a pseudo-terminal of zsh's own.
    let script = "zmodload zsh/zpty; zpty z 'zsh -f -i'; \
                  zpty -w z 'PS1=; autoload -U compinit; compinit -u -D; source <(matside completions zsh); echo rea\"\"dy'; \
                  zpty -r -m z line '*ready*'; zpty -w -n z $'matside edit mir\\t'; for try in {1..100}; do \
                  zpty -r -t z part && all+=$part; [[ $all == *okonjo* ]] && break; sleep 0.2; done; print -r -- $all";
    let Some(said) = in_shell("zsh", &["-f", "-c", script], &studio()) else { return };
    assert!(said.contains("mira-okonjo"), "{said}");
}

#[test]
fn manual_pages_are_made_of_what_help_says() {
    let studio = Studio::empty();
    let page = studio.run(&["man"]);
    assert!(page.starts_with("status: 0") && page.contains(".TH matside 1"), "{page}");
    assert!(page.contains("matside\\-plan(1)") && page.contains("Exit codes"), "{page}");
    let edit = studio.run(&["man", "edit"]);
    assert!(edit.contains("\\-\\-still\\-tight") && edit.contains("shoulder\\-impingement"), "{edit}");
    let said = studio.run(&["man", "edt"]);
    assert!(said.starts_with("status: 2") && said.contains("did you mean `edit`"), "{said}");
}

#[test]
fn the_demo_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a folder");
    // One that a kill left behind, one that somebody works in, and a folder of somebody else's.
    let [left, used, other] =
        ["matside-left", "matside-used", "matside-other"].map(|name| folder.path().join(name));
    for studio in [&left, &used] {
        fs::create_dir_all(studio.join("locks")).expect("a folder");
        fs::write(studio.join("locks/in-use.lock"), "").expect("a file");
    }
    fs::create_dir(&other).expect("a folder");
    let held = fs::File::open(used.join("locks/in-use.lock")).expect("a file");
    held.lock().expect("a lock");
    let output = Command::new(program())
        .env_clear()
        .env("HOME", folder.path())
        // The place for what need not be kept, by the name that each system has for it.
        .envs(["TMPDIR", "TMP", "TEMP"].map(|name| (name, folder.path())))
        .args(["--linear", "demo"])
        .stdin(Stdio::null())
        .output()
        .expect("the program runs");
    assert!(
        output.status.success() && String::from_utf8_lossy(&output.stdout).contains("Who is next"),
        "{output:?}"
    );
    let mut left: Vec<_> = fs::read_dir(folder.path())
        .expect("listed")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with("matside-"))
        .collect();
    left.sort_unstable();
    assert_eq!(left, ["matside-other", "matside-used"]);
}
