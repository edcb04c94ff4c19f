//! The program as it is typed: exact output and exit code, for good input and bad.

use std::fs;
use std::io::Write;
use std::path::{MAIN_SEPARATOR, Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

/// A fixed evening, an empty environment and a data folder of its own.
pub(crate) struct Studio {
    data: PathBuf,
    /// Removes the folder in the end; none where the folder is somebody else's.
    _folder: Option<TempDir>,
}

impl Studio {
    pub(crate) fn empty() -> Self {
        let folder = TempDir::new().expect("a temporary folder can be made");
        Self { data: folder.path().to_path_buf(), _folder: Some(folder) }
    }

    pub(crate) fn at(folder: &Path) -> Self {
        Self { data: folder.to_path_buf(), _folder: None }
    }

    pub(crate) fn data(&self) -> &Path {
        &self.data
    }

    /// Runs the program and returns status, standard output and standard error as one text.
    pub(crate) fn run(&self, arguments: &[&str]) -> String {
        self.run_with(arguments, "")
    }

    fn run_with(&self, arguments: &[&str], input: &str) -> String {
        let mut child = Command::new(env!("CARGO_BIN_EXE_matside"))
            .env_clear()
            .env("HOME", self.data())
            .args(["--now", "2026-11-25T18:40:00+01:00", "--data"])
            .arg(self.data())
            .args(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        // A program that does not read its input closes it; that is its right.
        let _ = child.stdin.take().expect("standard input is a pipe").write_all(input.as_bytes());
        let output = child.wait_with_output().expect("the program ends");
        let mut text = format!("status: {}\n", output.status.code().unwrap_or(-1));
        for (name, bytes) in [("stdout", &output.stdout), ("stderr", &output.stderr)] {
            if !bytes.is_empty() {
                let shown = String::from_utf8(bytes.clone()).expect("the program writes UTF-8");
                text.extend(["--- ", name, "\n", &shown]);
            }
        }
        with_plain_paths(&text.replace(&*self.data().to_string_lossy(), "[data]"))
    }
}

/// The same with the paths in the data folder as they are written everywhere but on Windows.
fn with_plain_paths(text: &str) -> String {
    let mut parts = text.split("[data]");
    let mut plain = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let end = part.find(|letter: char| letter.is_whitespace()).unwrap_or(part.len());
        plain.extend(["[data]", &part[..end].replace(MAIN_SEPARATOR, "/"), &part[end..]]);
    }
    plain
}

/// Compares what the program says with the kept text of that name.
macro_rules! says {
    ($name:literal, $output:expr) => {
        insta::assert_snapshot!($name, $output)
    };
}

#[test]
fn help_lists_the_commands() {
    says!("help", Studio::empty().run(&["--help"]));
}

#[test]
fn an_unknown_command_is_refused_with_the_usage() {
    says!("unknown_command", Studio::empty().run(&["plna"]));
}

#[test]
fn an_escape_sequence_in_an_argument_is_shown_harmlessly() {
    let said = Studio::empty().run(&["\u{1b}[31mred"]);
    assert!(said.starts_with("status: 2"), "{said}");
    assert!(!said.contains('\u{1b}'), "{said}");
}

#[test]
fn completions_are_asked_of_the_program_itself() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let said = Studio::empty().run(&["completions", shell]);
        assert!(said.starts_with("status: 0") && said.contains("MATSIDE_COMPLETE"), "{said}");
    }
}

#[test]
fn a_reader_that_goes_away_ends_the_program_quietly() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_matside"))
        .env_clear()
        .args(["completions", "zsh"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("the program ends");
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn the_catalogue_is_listed_by_muscle_and_position() {
    let studio = Studio::empty();
    let said = studio.run(&["catalogue", "--muscle", "soleus"]);
    assert!(said.contains("sole-press                 on the belly assisted soleus"), "{said}");
    let said = studio.run(&["catalogue", "--muscle", "calves", "--position", "supine"]);
    assert!(said.contains("calf-heel-press") && !said.contains("standing"), "{said}");
    says!("catalogue_none", studio.run(&["catalogue", "--muscle", "soleus", "--position", "seated"]));
}

#[test]
fn unknown_muscles_positions_and_stretches_name_the_nearest() {
    let studio = Studio::empty();
    says!("unknown_muscle", studio.run(&["catalogue", "--muscle", "hamstrngs"]));
    says!("unknown_position", studio.run(&["catalogue", "--position", "supin"]));
    says!("unknown_stretch", studio.run(&["catalogue", "show", "straight-leg-rase"]));
}

#[test]
fn one_stretch_is_shown_in_full() {
    let said = Studio::empty().run(&["catalogue", "show", "straight-leg-raise"]);
    for word in ["Straight-leg raise", "hamstrings 100 %", "hip flexion", "your spine"] {
        assert!(said.contains(word), "{said}");
    }
}

#[test]
fn a_client_is_added_logged_and_listed() {
    let studio = Studio::empty();
    says!("no_clients", studio.run(&["clients"]));
    let new = ["new", "Mira Okonjo", "--born", "1984-05-31", "--condition", "shoulder-impingement:left"];
    says!("new", studio.run(&new));
    let sheet = "at = 2026-11-24 18:40:00\nminutes = 10\ntrained = \"legs:3\"\nnote = \"calm\"\nreports = [\n  \
                 \"straight-leg-raise/hand-on-heel both 3x 4\",\n  \"butterfly-on-back 30s 3; likes it\",\n]\n";
    says!("log_sheet", studio.run_with(&["log", "mira"], sheet));
    let flags = ["log", "okonjo", "--report", "straight-leg-raise left 30s 5 pain", "--minutes", "5"];
    says!("log_flags", studio.run(&flags));
    says!("clients", studio.run(&["clients"]));
    let file = fs::read_to_string(studio.data().join("clients/mira-okonjo.toml")).expect("the client's file");
    says!("client_file", file);
}

#[test]
fn what_cannot_be_logged_is_refused_and_leaves_the_file_alone() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let file = studio.data().join("clients/mira-okonjo.toml");
    let before = fs::read(&file).expect("the client's file");
    let mut said = String::new();
    for (arguments, sheet) in [
        (&["log", "mira", "--report", "straight-leg-raise left 30s 6"][..], ""),
        (&["log", "mira", "--minutes", "ten"], "reports = []"),
        (&["log", "mira", "--at", "2027-01-01T10:00", "--report", "butterfly-on-back 30s 3"], ""),
        (&["log", "nobody", "--report", "butterfly-on-back 30s 3"], ""),
        (&["log", "mira"], ""),
        (&["log", "mira"], "reports = [\n  \"butterfly-on-back 30s 3\",\n  \"butterfly-on-bck 30s 3\",\n]"),
        (&["log", "mira"], "minutes = 0\nreports = [\"butterfly-on-back 30s 3\"]"),
        (&["log", "mira"], "reprts = []"),
        (&["log", "mira"], "minutes = \n"),
    ] {
        said.extend(["$ matside ", &arguments.join(" "), "\n"]);
        said += &studio.run_with(arguments, sheet);
    }
    says!("log_refused", said);
    assert_eq!(fs::read(&file).expect("the client's file"), before);
}

#[test]
fn a_file_that_cannot_be_read_is_named_and_left_alone() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let file = studio.data().join("clients/mira-okonjo.toml");
    fs::write(&file, "version = 1\nname = \"Mira\"\nborn = 1984-02-30\naims = [\"strenght\"]\n")
        .expect("written");
    let before = fs::read(&file).expect("the client's file");
    says!("broken_file", studio.run(&["log", "mira-okonjo", "--report", "butterfly-on-back 30s 3"]));
    says!("clients_with_a_broken_file", studio.run(&["clients"]));
    fs::write(&file, "version = 99\n").expect("written");
    says!("newer_file", studio.run(&["log", "mira-okonjo", "--report", "butterfly-on-back 30s 3"]));
    assert_eq!(fs::read(&file).expect("the client's file"), b"version = 99\n");
    assert!(!before.is_empty());
}

#[test]
fn new_refuses_what_is_no_name_and_names_the_nearest_condition() {
    let studio = Studio::empty();
    says!("new_no_name", studio.run(&["new", "  "]));
    says!("new_unknown_condition", studio.run(&["new", "A", "--condition", "hip-replacment-posterior:left"]));
    says!("new_wrong_date", studio.run(&["new", "A", "--born", "31.5.1984"]));
    assert!(studio.run(&["new", &"x".repeat(10_000)]).starts_with("status: 2"));
    let hostile = studio.run(&["new", "Mira \u{202e}\u{1b}[2J"]);
    assert!(hostile.starts_with("status: 0") && !hostile.contains(['\u{1b}', '\u{202e}']), "{hostile}");
    assert!(!studio.run(&["clients"]).contains(['\u{1b}', '\u{202e}']));
}

#[test]
fn one_condition_is_shown_in_full() {
    let said = Studio::empty().run(&["cautions", "hip-replacement-posterior"]);
    assert!(said.contains("keep off") && said.contains("clearance"), "{said}");
    assert!(said.contains("no hip flexion past 90 degrees") && said.contains(":SIDE:cleared=WHO"), "{said}");
    assert!(Studio::empty().run(&["cautions"]).contains("pregnancy"));
    let about = Studio::empty().run(&["cautions", "Knee"]);
    assert!(["knee-replacement", "kneecap-pain"].iter().all(|id| about.contains(id)), "{about}");
    assert!(!about.contains("pregnancy"), "{about}");
    says!("unknown_condition", Studio::empty().run(&["cautions", "pregnacy"]));
}

#[test]
fn a_file_of_own_stretches_is_checked_and_every_flaw_has_its_line() {
    let studio = Studio::empty();
    let file = studio.data().join("mine.toml");
    let good = "[[stretch]]\nid = \"towel-calf\"\nname = \"Calf with a towel\"\n[[stretch.form]]\nid = \"long-sit\"\n\
                position = \"seated\"\nsides = \"each\"\nhelper = \"self\"\nmotions = { ankle_dorsiflexion = 15, \
                knee_extension = 0 }\ntargets = { gastrocnemius = 100 }\nsetup_s = 5\nequipment = [\"strap\"]\n\
                holds_s = [20, 30]\nsay = \"Draw the toes towards you.\"\nwatch = \"The \
                knee stays long.\"\nmistakes = \"A round back.\"\n";
    let path = file.to_string_lossy().into_owned();
    fs::write(&file, good).expect("written");
    says!("check_own_good", studio.run(&["check", &path]));
    let bad = good.replace("seated", "floating").replace("gastrocnemius", "gastrocnemus");
    fs::write(&file, bad).expect("written");
    says!("check_own_bad", studio.run(&["check", &path]));
    let folded = good
        .replace("knee_extension = 0", "knee_flexion = 105, hip_flexion = 80, hip_external_rotation = 35")
        .replace("gastrocnemius", "soleus");
    fs::write(&file, folded).expect("written");
    let said = studio.run(&["check", &path]);
    assert!(said.starts_with("status: 0") && said.contains("no body holds form"), "{said}");
    let said = studio.run(&["check", &format!("{path}.missing")]);
    let named = said.starts_with("status: 1") && said.contains("cannot read") && said.contains(".missing: ");
    assert!(named && said.contains("; check the path\n1 error"), "{said}");
}

#[test]
fn a_data_folder_is_checked_and_a_broken_client_is_named() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let well = studio.run(&["check"]);
    assert!(well.starts_with("status: 0"), "{well}");
    fs::write(studio.data().join("clients/mira-okonjo.toml"), "version = 1\nname = 7\n").expect("written");
    let said = studio.run(&["check"]);
    assert!(said.starts_with("status: 1") && said.contains("mira-okonjo.toml:2:"), "{said}");
}

#[test]
fn forgetting_wants_to_be_meant_and_says_what_went() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    let file = studio.data().join("clients/mira-okonjo.toml");
    says!("forget_not_in_full", studio.run(&["forget", "mira", "--yes"]));
    says!("forget_not_meant", studio.run(&["forget", "mira-okonjo"]));
    assert!(file.exists());
    // The same twice does not remove somebody else whose name begins alike.
    studio.run(&["new", "Mira Okonjo-Bell"]);
    says!("forget", studio.run(&["forget", "mira-okonjo", "--yes"]));
    assert!(!file.exists());
    says!("forget_again", studio.run(&["forget", "mira-okonjo", "--yes"]));
    assert!(studio.data().join("clients/mira-okonjo-bell.toml").exists());
}

#[test]
fn two_folders_that_went_apart_are_united() {
    let (one, other) = (Studio::empty(), Studio::empty());
    for studio in [&one, &other] {
        studio.run(&["new", "Mira Okonjo"]);
    }
    let report = ["--report", "butterfly-on-back 30s 3"];
    one.run(&[&["log", "mira", "--at", "2026-11-20 10:00"][..], &report].concat());
    other.run(&[&["log", "mira", "--at", "2026-11-22 10:00"][..], &report].concat());
    other.run(&["new", "Paul Adeyemi"]);
    let folder = |studio: &Studio| studio.data().to_string_lossy().into_owned();
    says!("merge", one.run(&["merge", &folder(&one), &folder(&other)]));
    let again = one.run(&["merge", &folder(&one), &folder(&other)]);
    assert!(again.contains("no sessions and no reports added"), "{again}");
    let history = one.run(&["history", "mira"]);
    assert!(history.contains("2026-11-20") && history.contains("2026-11-22"), "{history}");
    let file = other.data().join("clients/mira-okonjo.toml").to_string_lossy().into_owned();
    says!(
        "merge_file_and_folder",
        one.run(&["merge", &folder(&one), &file]).replace(&folder(&other), "[other]")
    );
}

#[test]
fn without_a_terminal_the_screens_say_what_to_do_instead() {
    says!("no_terminal", Studio::empty().run(&[]));
}

#[test]
fn a_history_tells_both_sides_over_time() {
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo"]);
    says!("history_empty", studio.run(&["history", "mira"]));
    for (day, left, right) in
        [("03", "30s 3 70deg", "30s 5 60deg"), ("10", "30s 3", "20s 4"), ("17", "30s 4", "30s 5")]
    {
        let at = format!("2026-11-{day} 18:00");
        let [left, right] = [("left", left), ("right", right)]
            .map(|(side, said)| format!("straight-leg-raise/other-knee-bent {side} {said}"));
        studio.run(&[
            "log",
            "mira",
            "--at",
            &at,
            "--trained",
            "legs:2",
            "--report",
            &left,
            "--report",
            &right,
        ]);
    }
    let whole = studio.run(&["history", "mira"]);
    assert!(whole.contains("\nNext time\n  Straight-leg raise, right: 5 last time."), "{whole}");
    says!("history", whole.split("\nSeconds under stretch").next().unwrap_or_default());
    let one = studio.run(&["history", "mira", "--ascii", "--stretch", "straight-leg-raise"]);
    says!("history_plots", one.split("  level (").nth(1).unwrap_or_default());
    let since = studio.run(&["history", "mira", "--since", "2026-11-10"]);
    assert!(since.contains("2 sessions") && !since.contains("2026-11-03"), "{since}");
    let other = studio.run(&["history", "mira", "--muscle", "neck"]);
    assert!(!other.contains("Straight-leg raise"), "{other}");
    let json = studio.run(&["history", "mira", "--json", "--without-names"]);
    assert!(json.contains("\"angle_deg\": 70") && !json.to_lowercase().contains("mira"), "{json}");
}

#[test]
fn what_was_measured_short_of_its_norm_is_told() {
    // Lopez-Minarro et al. 2009 and Youdas et al. 2005: see `insight::norms`; women of 45: tenth percentile 64.1 degrees.
    let studio = Studio::empty();
    studio.run(&["new", "Mira Okonjo", "--sex", "female", "--born", "1981-02-03"]);
    let report = "straight-leg-raise/hand-on-heel left 30s 4 50deg";
    studio.run(&["log", "mira", "--at", "2026-11-20 10:00", "--trained", "legs:2", "--report", report]);
    let text = studio.run(&["history", "mira"]);
    let told = text.split("\nMeasured in the last four months").nth(1).expect("a part of its own");
    assert!(told.contains("Straight-leg raise, left: 50 degrees on 20 Nov; women low"), "{text}");
    assert!(told.contains("(Youdas 2005, from memory)"), "{text}");
    let neck = studio.run(&["history", "mira", "--muscle", "neck"]);
    assert!(!neck.contains("Measured in the last"), "{neck}");
    let said = studio.run(&["history", "mira", "--json"]);
    let document = said.strip_prefix("status: 0\n--- stdout\n").unwrap_or_else(|| panic!("{said}"));
    let json: serde_json::Value = serde_json::from_str(document).expect("the history is JSON");
    let insight = &json["insight"];
    let norm = &insight["norms"][0];
    assert_eq!((&norm["muscle"], &norm["side"]), (&"hamstrings".into(), &"left".into()), "{norm}");
    assert_eq!((&norm["value_deg"], &norm["norm_source"]), (&50.0.into(), &"youdas2005".into()), "{norm}");
    assert_eq!((&norm["band"], &norm["norm_read"]), (&"low".into(), &false.into()), "{norm}");
    // Every surface says the same sentence.
    let sentence = insight["said"][0]["sentence"].as_str().expect("a sentence");
    let folded = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(sentence.contains("low for women") && folded.contains(sentence), "{sentence}\n{text}");
}
