//! Merging keeps what only a person understands: unknown keys and comments, in whichever order copies meet.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;

use matside::store::{SamePerson, merge_files};
use proptest::prelude::*;

/// A report or condition, and the number under an unknown key in it, if there is that key.
#[derive(Debug, Clone)]
struct Entry(Option<u8>);

/// What one laptop may hold of one session.
#[derive(Debug, Clone)]
struct Day {
    weather: Option<u8>,
    comment: Option<u8>,
    report: Option<Entry>,
}

#[derive(Debug, Clone)]
struct Laptop {
    shoe_size: Option<u8>,
    pets: Option<u8>,
    comments: Vec<u8>,
    knee: Option<Entry>,
    days: BTreeMap<u8, Day>,
    windows: bool,
}

fn laptop() -> impl Strategy<Value = Laptop> {
    let maybe = || prop::option::of(0_u8..3);
    let entry = || prop::option::of(prop::option::of(0_u8..3).prop_map(Entry));
    let day =
        (maybe(), maybe(), entry()).prop_map(|(weather, comment, report)| Day { weather, comment, report });
    let days = prop::collection::btree_map(10_u8..13, day, 0..3);
    (maybe(), maybe(), prop::collection::vec(0_u8..3, 0..3), entry(), days, any::<bool>()).prop_map(
        |(shoe_size, pets, comments, knee, days, windows)| Laptop {
            shoe_size,
            pets,
            comments,
            knee,
            days,
            windows,
        },
    )
}

fn text_of(laptop: &Laptop) -> String {
    let mut text = String::from("version = 2\nname = \"Rosa\"\n");
    let mut line = |line: String| writeln!(text, "{line}").expect("writing to a string cannot fail");
    if let Some(size) = laptop.shoe_size {
        line(format!("shoe_size = {size} # size {size}"));
    }
    for comment in &laptop.comments {
        line(format!("# remark {comment}"));
    }
    if let Some(Entry(told)) = &laptop.knee {
        line("\n[[condition]]\nid = \"knee-pain\"".to_owned());
        if let Some(told) = told {
            line(format!("told = \"by {told}\""));
        }
    }
    if let Some(pets) = laptop.pets {
        line(format!("\n[pets]\ncount = {pets}\nnames = [ 'Ada', # first\n 'Otto' ]"));
    }
    for (day, Day { weather, comment, report }) in &laptop.days {
        line(format!(
            "\n[[session]]\nat = 2026-11-{day}T18:45:00+01:00\nminutes = 10\nconsent = \"hands-on\""
        ));
        if let Some(weather) = weather {
            line(format!("weather = {{ rain = {weather} }}"));
        }
        if let Some(Entry(mood)) = report {
            let mood = mood.map_or_else(String::new, |mood| format!(", mood = {mood}"));
            line(format!(
                "report.01 = {{ stretch = \"calf\", form = \"wall\", method = \"static\", held_s = 30{mood} }}"
            ));
        }
        if let Some(comment) = comment {
            line(format!("# day {day}, {comment}"));
        }
    }
    if laptop.windows { text.replace('\n', "\r\n") } else { text }
}

/// What a file says, apart from the order of what has none.
#[derive(Debug, PartialEq)]
struct Meaning {
    keys: String,
    comments: BTreeSet<String>,
}

fn meaning(text: &str) -> Meaning {
    let comments =
        text.lines().filter_map(|line| line.find('#').map(|at| line[at..].trim_end().to_owned())).collect();
    // The parser sorts the keys of a table.
    Meaning { keys: format!("{:?}", text.parse::<toml::Table>().expect("is TOML")), comments }
}

fn merged(ours: &str, theirs: &str) -> String {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let [a, b] = ["a.toml", "b.toml"].map(|name| folder.path().join(name));
    fs::write(&a, ours).expect("writes");
    fs::write(&b, theirs).expect("writes");
    merge_files(&a, &b, SamePerson::Said).unwrap_or_else(|error| panic!("{error}\n{ours}\n----\n{theirs}"));
    fs::read_to_string(&a).expect("is text")
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(60)) })]

    #[test]
    fn unknown_keys_and_comments_merge_in_any_order_and_any_number_of_times(
        one in laptop(), two in laptop(), three in laptop(),
    ) {
        let [a, b, c] = [one, two, three].map(|laptop| text_of(&laptop));
        let ab = merged(&a, &b);
        prop_assert_eq!(&merged(&a, &a), &a);
        prop_assert_eq!(&merged(&ab, &b), &ab);
        prop_assert_eq!(&merged(&ab, &a), &ab);
        prop_assert_eq!(meaning(&ab), meaning(&merged(&b, &a)));
        prop_assert_eq!(meaning(&merged(&ab, &c)), meaning(&merged(&a, &merged(&b, &c))));
        // Nothing is dropped: every comment and every unknown key of either copy is there.
        let there = meaning(&ab);
        for copy in [&a, &b] {
            prop_assert!(meaning(copy).comments.is_subset(&there.comments), "{}", ab);
            for word in ["shoe_size", "pets", "told", "weather", "mood"] {
                prop_assert!(!copy.contains(word) || ab.contains(word), "{} in {}", word, ab);
            }
        }
    }
}

#[test]
fn an_unknown_key_about_which_copies_disagree_is_shown_and_both_values_are_kept() {
    let head = "version = 2\nname = \"Rosa\"\n";
    let text = merged(
        &format!("{head}shoe_size = 38\n"),
        &format!("{head}shoe_size = 39 # new\n\"my pet\" = 'Ada'\n"),
    );
    assert!(text.contains("shoe_size = 39 # new\n"), "{text}");
    assert!(text.contains("\"my pet\" = \"Ada\"\n"), "{text}");
    assert!(text.contains("clash = { shoe_size = [38, 39] }\n"), "{text}");
}
