//! No option that is taken does nothing: of every command, from its own definition, each option alone and each two of them
//! change what comes of it (what is said, or what the folders hold), or are refused.
//!
//! Where and when a command works (`--data`, `--passphrase-file`, `--now`) is said for all of them, and never refused.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use chrono::{DateTime, FixedOffset, MappedLocalTime, Offset as _, Utc};
use clap::{Arg, ArgAction, Command, CommandFactory as _};
use matside::cli::{self, Arguments, Console};

/// A client with something to change, or to leave out, for every option.
const CLIENT: &str = r#"version = 2
name = "Ada Brandt"
born = 1980-05-01
sex = "female"
aims = ["calm"]
likes = ["straight-leg-raise"]
dislikes = ["calf-heel-press"]
note = "A remark."

[[tight]]
unit = "hamstrings:left"
on = 2026-01-05

[[condition]]
id = "kneecap-pain"
side = "left"

[[session]]
at = 2026-10-06T18:40:00+02:00
minutes = 10
trained = { hamstrings = 3 }
consent = "hands-on"
note = "Slept badly."
report.01 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "left", method = "static", held_s = 30, level = 4, angle_deg = 60, note = "Warm." }
report.02 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "right", method = "static", held_s = 30, level = 5, ended = "pain" }
closed = 2026-10-06T18:50:00+02:00

[[session]]
at = 2026-11-24T18:40:00+01:00
minutes = 10
trained = { hamstrings = 3, gastrocnemius = 2 }
consent = "hands-on"
report.01 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "left", method = "static", held_s = 30, level = 4, angle_deg = 62 }
report.02 = { stretch = "calf-heel-press", form = "forearm-on-sole", side = "left", method = "static", held_s = 30, level = 4, note = "Firm." }
closed = 2026-11-24T18:50:00+01:00
"#;

const TRAINER: &str =
    "version = 1\nname = \"Ines Varga\"\nstudio = \"Amselgrund\"\nequipment = [\"chair\"]\nminutes = 10\n";

/// Options with what they take.
type Values = &'static [(&'static str, &'static str)];

/// A command, what it needs in any case, and what its options take where that is not what they take elsewhere. `frontier`
/// asks with the options of `plan`, which are tried there.
const PLACES: &[(&[&str], &[&str], Values)] = &[
    (&["today"], &[], &[]),
    (&["plan"], &["ada", "--trained", "hamstrings:3"], &[]),
    (&["page", "home"], &["ada"], &[]),
    (&["page", "record"], &["ada"], &[]),
    (&["page", "year"], &["ada"], &[]),
    (&["page", "letter"], &["ada"], &[]),
    (&["export"], &["ada"], &[("as", "csv")]),
    (&["log"], &["ada", "--report", "straight-leg-raise left 30s 4"], &[("at", "2026-11-20T18:40")]),
    (&["history"], &["ada"], &[("since", "2026-10-07")]),
    (&["day"], &[], &[]),
    (&["new"], &["Bea Dorn"], &[("condition", "kneecap-pain:left")]),
    (
        &["edit"],
        &["ada"],
        &[
            ("name", "Ada Cremer"),
            ("aim", "range"),
            ("tight", "soleus:left"),
            ("like", "calf-heel-press"),
            ("dislike", "straight-leg-raise"),
            ("on", "2026-11-20"),
        ],
    ),
    (&["screen"], &["ada"], &[]),
    (&["trainer"], &[], &[("name", "Jo Weiss"), ("minutes", "12")]),
    (&["catalogue"], &[], &[]),
    (&["catalogue", "show"], &["straight-leg-raise"], &[]),
    (&["check"], &[], &[]),
    (&["mend"], &["ada"], &[("report", "1"), ("as", "left 25s 3")]),
    (&["pain"], &["ada", "straight-leg-raise", "--sore"], &[]),
];

/// What options of a name take.
const VALUES: Values = &[
    ("age", "70"),
    ("aim", "calm"),
    ("as", "md"),
    ("at", "2026-10-06T18:40"),
    ("at-home", "strap"),
    ("block", "usual"),
    ("born", "1990-01-01"),
    ("clear", "kneecap-pain"),
    ("cleared-by", "her doctor"),
    ("close", "19:00"),
    ("condition", "asthma"),
    ("consent", "self-stretch"),
    ("contact", "by phone"),
    ("count", "2"),
    ("days", "5"),
    ("dislike", "calf-heel-press"),
    ("drop-aim", "calm"),
    ("drop-like", "straight-leg-raise"),
    ("end", "kneecap-pain"),
    ("equipment", "strap"),
    ("forget-block", "usual"),
    ("forget-habit", "straight-leg-raise"),
    ("form", "straight-leg-raise/hand-on-heel"),
    ("guardian", "Eva Brandt"),
    ("hands-on", "yes"),
    ("keep-as", "usual"),
    ("like", "straight-leg-raise"),
    ("mass", "72"),
    ("massage", "yes"),
    ("may-massage", "yes"),
    ("minutes", "5"),
    ("mistaken", "kneecap-pain"),
    ("muscle", "hamstrings"),
    ("not-tight", "hamstrings:left"),
    ("note", "A word."),
    ("on", "2026-10-06"),
    ("pin", "side-lying-hip-flexor"),
    ("position", "supine"),
    ("report", "calf-heel-press right 30s 4"),
    ("sex", "male"),
    ("side", "right"),
    ("since", "2026-11-01"),
    ("skip", "straight-leg-raise"),
    ("sore", "knee"),
    ("still-tight", "hamstrings:left"),
    ("stretch", "straight-leg-raise"),
    ("studio", "Another"),
    ("tight", "hamstrings:left"),
    ("trained", "soleus:2"),
    ("until", "2026-11-01"),
    ("usual", "wed 10:00"),
    ("with", "remarks"),
    ("without", "name"),
];

/// Answers to what is asked only where it matters, which of two sides is meant, and what may be so already: said for nothing
/// they harm nobody, and a script may always give them.
const ANSWERS: [&str; 4] = ["--another", "--overlap", "--side", "--unarchive"];

/// What came of it: how it ended, what was said, what the folders hold.
type Outcome = (u8, String, BTreeMap<String, String>);

fn held(folder: &Path, into: &mut BTreeMap<String, String>) {
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            held(&path, into);
        } else if path.extension().is_some_and(|ending| ending != "lock") {
            let text = String::from_utf8_lossy(&fs::read(&path).expect("a file")).into_owned();
            into.insert(path.file_name().expect("a name").to_string_lossy().into_owned(), text);
        }
    }
}

/// Runs the program's own commands on a fresh studio; `TO` stands for a folder to write into.
fn run(words: &[String]) -> Outcome {
    let folder = tempfile::tempdir().expect("a folder");
    let (data, to) = (folder.path().join("data"), folder.path().join("to"));
    fs::create_dir_all(data.join("clients")).expect("a folder");
    fs::create_dir(&to).expect("a folder");
    // Enough sessions for a list that is cut.
    let declined = |day: u32| {
        let at = format!("2026-10-{:02}T18:40:00+02:00", day + 10);
        format!(
            "\n[[session]]\nat = {at}\nminutes = 10\ntrained = {{ }}\nconsent = \"declined\"\nclosed = {at}\n"
        )
    };
    let (first, last) = CLIENT.rsplit_once("\n[[session]]").expect("two sessions");
    let between: String = (0..12).map(declined).collect();
    fs::write(data.join("clients/ada.toml"), format!("{first}{between}\n[[session]]{last}")).expect("a file");
    fs::write(data.join("trainer.toml"), TRAINER).expect("a file");
    // Something to mend on every system: a write that was cut off.
    let cut_off = "version = 2\nname = \"Cleo Moss\"\n\n[[session]]\nat = 2026-";
    fs::write(data.join("clients/cleo.toml"), cut_off).expect("a file");
    let now: DateTime<FixedOffset> = "2026-11-25T18:40:00+01:00".parse().expect("a moment");
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut console = Console {
        out: &mut out,
        err: &mut err,
        input: &mut std::io::empty(),
        now,
        zone: |_| MappedLocalTime::Single(Utc.fix()),
        terminal: false,
        data: None,
        passphrase_file: None,
        ascii: false,
        columns: 78,
        folds: false,
    };
    let all = ["matside".to_owned(), "--data".to_owned(), data.display().to_string()];
    let words = words.iter().map(|word| word.replace("TO", &to.display().to_string()));
    let ended = cli::run(all.into_iter().chain(words).map(Into::into), &mut console);
    let (status, why) = match ended {
        Ok(_) => (0, String::new()),
        Err(why) => (why.status as u8, why.to_string()),
    };
    let said = [out, err].map(|bytes| String::from_utf8(bytes).expect("text")).concat() + &why;
    let mut holds = BTreeMap::new();
    held(folder.path(), &mut holds);
    (status, said.replace(&folder.path().display().to_string(), "[folder]"), holds)
}

fn owned(words: &[&str]) -> Vec<String> {
    words.iter().map(|word| (*word).to_owned()).collect()
}

/// An option as it is typed.
fn typed(option: &Arg, of_place: Values) -> Vec<String> {
    let name = option.get_long().expect("every option has a long name");
    let flag = format!("--{name}");
    if !matches!(option.get_action(), ArgAction::Set | ArgAction::Append) {
        return vec![flag];
    }
    let value = of_place.iter().chain(VALUES).chain(&[("to", "TO")]).find(|(other, _)| *other == name);
    let (_, value) = value.unwrap_or_else(|| panic!("--{name} has no value to try it with"));
    vec![flag, (*value).to_owned()]
}

fn whole() -> Command {
    let mut all = Arguments::command();
    all.build();
    all
}

/// The options of a command that are its own.
fn options(command: &Command) -> Vec<&Arg> {
    let is_help = |option: &Arg| {
        matches!(option.get_action(), ArgAction::Help | ArgAction::HelpShort | ArgAction::HelpLong)
    };
    command
        .get_arguments()
        .filter(|option| option.get_long().is_some() && !option.is_global_set() && !is_help(option))
        .collect()
}

/// A command with options behind what it needs; what is given twice is given once, unless it may be repeated.
fn line(base: &[String], more: &[&[String]]) -> Vec<String> {
    let mut words = base.to_vec();
    for option in more {
        let there = words.iter().position(|word| *word == option[0] && option[0] != "--report");
        if let Some(at) = there {
            words.drain(at..at + option.len());
        }
        words.extend_from_slice(option);
    }
    words
}

#[test]
fn every_option_does_something_or_is_refused() {
    let all = whole();
    let mut idle = Vec::new();
    for (path, needs, values) in PLACES {
        let place = path.join(" ");
        let command = path.iter().fold(&all, |at, word| at.find_subcommand(word).expect("a command"));
        let base = owned(&[*path, *needs].concat());
        let plain = run(&base);
        // That something is wrong in the folder is what `check` finds.
        if plain.0 != 0 && place != "check" {
            idle.push(format!("{place} is refused itself: {}", plain.1));
            continue;
        }
        let alone = options(command).into_iter().map(|option| {
            let typed = typed(option, values);
            let outcome = run(&line(&base, &[&typed]));
            (typed, outcome)
        });
        let alone: Vec<(Vec<String>, Outcome)> = alone.collect();
        for (index, (one, of_one)) in alone.iter().enumerate() {
            // What the command has already is not tried a second time, unless it may be repeated.
            let is_given = |option: &Vec<String>| {
                ANSWERS.contains(&option[0].as_str()) || option[0] != "--report" && base.contains(&option[0])
            };
            if is_given(one) {
                continue;
            }
            if *of_one == plain {
                idle.push(format!("{place} {}: does nothing", one.join(" ")));
            }
            for (other, of_other) in alone[index + 1..].iter().filter(|(other, _)| !is_given(other)) {
                let both = run(&line(&base, &[one, other]));
                if both.0 != 0 {
                    continue;
                }
                let doing_nothing = [(both == *of_one, other), (both == *of_other, one)];
                idle.extend(doing_nothing.into_iter().filter(|(is, _)| *is).map(|(_, which)| {
                    format!("{place} {} {}: {} does nothing", one.join(" "), other.join(" "), which[0])
                }));
            }
        }
    }
    assert!(idle.is_empty(), "{}", idle.join("\n"));
}

#[test]
fn every_command_with_options_is_tried() {
    /// Those whose options are tried elsewhere, or whose only option says that it is meant.
    const ELSEWHERE: [&str; 6] = ["frontier", "merge", "forget", "backup", "restore", "encrypt"];
    fn all(command: &Command, path: &str, found: &mut Vec<String>) {
        for below in command.get_subcommands().filter(|below| below.get_name() != "help") {
            let path = format!("{path} {}", below.get_name());
            found.extend((!options(below).is_empty()).then(|| path.trim().to_owned()));
            all(below, &path, found);
        }
    }
    let mut found = Vec::new();
    all(&whole(), "", &mut found);
    let is_tried = |words: &str| PLACES.iter().any(|(path, ..)| path.join(" ") == words);
    found.retain(|words| !is_tried(words) && !ELSEWHERE.contains(&words.as_str()));
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn what_is_about_the_screens_is_refused_where_there_are_none() {
    const EVERYWHERE: [&str; 3] = ["data", "passphrase-file", "now"];
    let all = whole();
    let looks = all.get_arguments().filter(|option| option.is_global_set());
    let looks: Vec<&str> =
        looks.filter_map(Arg::get_long).filter(|name| !EVERYWHERE.contains(name)).collect();
    assert!(looks.len() >= 10, "{looks:?}");
    for (path, needs, _) in PLACES {
        let is_drawn = matches!(path, ["history"] | ["catalogue", "show"]);
        for look in looks.iter().filter(|look| !(is_drawn && **look == "ascii")) {
            let flag = match *look {
                "speak" => "--speak=true".to_owned(),
                "remote" => "--remote=page-up,page-down".to_owned(),
                look => format!("--{look}"),
            };
            let words = line(&owned(&[*path, *needs].concat()), &[&[flag]]);
            let (status, said, _) = run(&words);
            assert!(status == 2 && said.contains(look), "{words:?}: {status} {said}");
        }
    }
}
