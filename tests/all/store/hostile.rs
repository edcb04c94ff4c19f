//! Files and names that nobody should have made.

use std::fmt::Write as _;
use std::fs;

use matside::client::Profile;
use matside::document::rendered;
use matside::store::{Store, StoreError};
use proptest::prelude::*;

use super::sample::{Studio, at, id, profile, report, session, who};

/// Files in `tests/data/clients`; one more file is one more case.
fn samples(folder: &str) -> Vec<(String, Vec<u8>)> {
    let path = format!("{}/tests/data/clients/{folder}", env!("CARGO_MANIFEST_DIR"));
    let mut found: Vec<(String, Vec<u8>)> = fs::read_dir(path)
        .expect("a folder of the repository")
        .map(|entry| {
            let path = entry.expect("can be listed").path();
            let name = path.file_name().expect("has a name").to_string_lossy().into_owned();
            (name, fs::read(path).expect("can be read"))
        })
        .collect();
    found.sort();
    assert!(!found.is_empty());
    found
}

#[test]
fn every_valid_sample_loads_and_survives_a_session() {
    for (name, bytes) in samples("valid") {
        let text = String::from_utf8(bytes).expect("is text");
        let studio = Studio::with(&text);
        let client = studio.store.load(&id("rosa")).unwrap_or_else(|error| panic!("{name}: {error}"));
        let mut next = session("2030-01-01T10:00:00+00:00");
        next.trained.clear();
        let mut journal =
            studio.store.begin(&id("rosa"), &next).unwrap_or_else(|error| panic!("{name}: {error}"));
        journal
            .report(&report(matside::body::Side::Left, 4))
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        let text = text.replacen("version = 1", "version = 2", 1);
        assert!(studio.text("rosa").starts_with(&text), "{name}");
        assert_eq!(
            studio.store.load(&id("rosa")).expect("loads").sessions[..client.sessions.len()],
            client.sessions
        );
    }
}

#[test]
fn every_invalid_sample_is_refused_with_place_and_remedy_and_left_as_it_is() {
    let mut said = String::new();
    for (name, bytes) in samples("invalid") {
        let studio = Studio::new();
        studio.store.create(&profile("Rosa")).expect("creates");
        fs::write(studio.file("rosa"), &bytes).expect("writes");
        let refused = studio.store.load(&id("rosa")).expect_err(&name);
        let all: Vec<String> = refused.flaws().iter().map(ToString::to_string).collect();
        let all = if all.is_empty() { vec![refused.to_string()] } else { all };
        let text = all.join("\n    ").replace(&studio.file("rosa").display().to_string(), "FILE");
        writeln!(said, "{name}\n    {text}").expect("writing to a string cannot fail");
        assert!(studio.store.save_profile(&profile("Other"), &who()).is_err(), "{name}");
        assert!(studio.store.begin(&id("rosa"), &session("2026-11-20T18:45:00+01:00")).is_err(), "{name}");
        assert_eq!(fs::read(studio.file("rosa")).expect("is there"), bytes, "{name}");
        // The list looks at the ends of a file only, so it may still show the client.
        let roster = studio.store.roster().expect("lists");
        assert_eq!(roster.problems.len() + roster.entries.len(), 1, "{name}");
        assert!(!studio.store.check(who().at).expect("checks").is_empty(), "{name}");
        // The rendering is for terminals: nothing raw may reach them.
        assert!(!rendered(refused.flaws()).contains(['\u{1b}', '\u{202e}', '\0']), "{name}");
    }
    insta::assert_snapshot!(said);
}

#[test]
fn names_that_lead_elsewhere_or_nowhere_are_refused() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    for word in ["../x", "a/b", "", "..", "CON", "rosa.toml", "\u{202e}", "nobody"] {
        let refused = studio.store.find(word);
        assert!(matches!(refused, Err(StoreError::Unknown { .. })), "{word}: {refused:?}");
    }
    let device = Profile::new(id("con"), "Connie");
    assert!(matches!(studio.store.create(&device), Err(StoreError::Unfit { .. })));
    assert_eq!(studio.store.new_id("Con").expect("some id").as_str(), "con-2");
    assert_eq!(studio.store.new_id("Zoë  Łągiewska").expect("some id").as_str(), "zoe-lagiewska");
    assert_eq!(studio.store.new_id("葵").expect("some id").as_str(), "client");
    assert_eq!(studio.store.new_id("rosa").expect("some id").as_str(), "rosa-2");
    assert_eq!(studio.store.new_id(&"x".repeat(10_000)).expect("some id").as_str().len(), 56);
    assert!(matches!(studio.store.create(&profile("Rosa")), Err(StoreError::Exists { .. })));
}

#[test]
fn a_name_finds_a_client_or_says_who_is_meant() {
    let studio = Studio::new();
    for (word, name) in [("rosa", "Rosa Achterberg"), ("r-lund", "Rósa Lund"), ("otto", "Otto Øster")] {
        studio.store.create(&Profile::new(id(word), name)).expect("creates");
    }
    let found =
        |word: &str| studio.store.find(word).map(|id| id.to_string()).map_err(|error| error.to_string());
    assert_eq!(found("rosa"), Ok("rosa".to_owned()));
    assert_eq!(found("oster"), Ok("otto".to_owned()));
    assert_eq!(found("rosa lund"), Ok("r-lund".to_owned()));
    assert_eq!(
        found("ros"),
        Err("`ros` could be rosa (Rosa Achterberg), r-lund (Rósa Lund); write more of the name".to_owned())
    );
    assert_eq!(found("oto"), Err("no client `oto`; did you mean otto (Otto Øster)?".to_owned()));
}

#[test]
fn what_is_not_a_plain_file_is_refused() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    fs::remove_file(studio.file("rosa")).expect("removes");
    fs::create_dir(studio.file("rosa")).expect("creates");
    assert!(matches!(studio.store.load(&id("rosa")), Err(StoreError::NotAFile { what: "a folder", .. })));
    let file = studio.store.root().join("file");
    fs::write(&file, "").expect("writes");
    assert!(Store::open(&file).is_err());
    assert!(Store::open(file.join("below")).and_then(|store| store.create(&profile("Rosa"))).is_err());
}

#[test]
fn a_huge_file_is_refused_before_it_is_read() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    // A file of 1 GB that takes no room.
    fs::OpenOptions::new()
        .write(true)
        .open(studio.file("rosa"))
        .expect("opens")
        .set_len(1 << 30)
        .expect("grows");
    assert!(matches!(studio.store.load(&id("rosa")), Err(StoreError::TooBig { .. })));
}

#[test]
fn deep_nesting_and_long_lines_end_in_an_error_soon() {
    let deep = format!("version = 2\nname = {}\n", "[".repeat(1_000_000));
    let tables = format!("version = 2\nname = \"x\"\na{} = 1\n", ".a".repeat(100_000));
    let long = format!("version = 2\nname = \"{}\n", "x".repeat(3_000_000));
    for text in [deep, tables, long] {
        let studio = Studio::with(&text);
        let refused = studio.store.load(&id("rosa")).expect_err("is refused");
        assert!(refused.to_string().len() < 2_000);
        assert!(rendered(refused.flaws()).len() < 4_000);
    }
}

#[test]
fn a_half_written_end_is_set_aside_in_a_file_that_is_named() {
    let good = "version = 2\nname = \"Rosa\"\n\n[[session]]\nat = 2026-11-20T18:45:00+01:00\nminutes = 10\nconsent = \"hands-on\"\n";
    let torn = "report.01 = { stretch = \"straight-leg-ra";
    let studio = Studio::with(&format!("{good}{torn}"));
    assert_eq!(studio.store.load(&id("rosa")).expect("loads").sessions.len(), 1);
    assert!(studio.store.take_notices()[0].contains("half written"));
    let (_, mut journal) = studio
        .store
        .resume(&id("rosa"), at("2026-11-20T18:45:00+01:00"))
        .expect("reads")
        .expect("was cut off");
    let notices = studio.store.take_notices();
    let aside = studio.store.root().join("clients").join("rosa.torn-1.toml");
    assert!(notices[0].contains(&aside.display().to_string()), "{notices:?}");
    assert_eq!(fs::read_to_string(aside).expect("is there"), torn);
    assert_eq!(studio.text("rosa"), good);
    assert_eq!(journal.report(&report(matside::body::Side::Left, 4)).expect("saves"), 1);
}

const VALID: &str = include_str!("../../data/clients/valid/by-hand.toml");

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(100)) })]

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let studio = Studio::new();
        fs::create_dir_all(studio.store.root().join("clients")).expect("creates");
        fs::write(studio.file("rosa"), &bytes).expect("writes");
        let loaded = studio.store.load(&id("rosa"));
        let listed = studio.store.roster().expect("lists");
        prop_assert_eq!(loaded.is_ok(), listed.problems.is_empty());
    }

    #[test]
    fn a_damaged_file_is_read_or_refused_but_never_written_over(
        at in 0..VALID.len(),
        gone in 0_usize..40,
        put in prop_oneof![
            Just(String::new()), "[\\[\\]{}=\"',.#\n\r\0 a-z0-9-]{0,6}", "\\PC{0,3}", Just("[[session]]\n".to_owned()),
        ],
    ) {
        let mut bytes = VALID.as_bytes().to_vec();
        let end = (at + gone).min(bytes.len());
        bytes.splice(at..end, put.bytes());
        let studio = Studio::new();
        fs::create_dir_all(studio.store.root().join("clients")).expect("creates");
        fs::write(studio.file("rosa"), &bytes).expect("writes");
        match studio.store.load(&id("rosa")) {
            Ok(client) => {
                let roster = studio.store.roster().expect("lists");
                prop_assert_eq!(roster.entries[0].last, client.sessions.last().map(|session| session.at));
                let unfinished = client.is_cut_off_of_late();
                prop_assert_eq!(roster.entries[0].unfinished, unfinished);
                if studio.store.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).is_ok() {
                    let after = studio.store.load(&id("rosa")).expect("loads");
                    prop_assert_eq!(&after.sessions[..client.sessions.len()], &client.sessions[..]);
                    prop_assert_eq!(after.profile, client.profile);
                }
            }
            Err(error) => {
                prop_assert!(!error.to_string().is_empty() && error.flaws().is_empty() == rendered(error.flaws()).is_empty());
                prop_assert!(studio.store.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).is_err());
                prop_assert_eq!(fs::read(studio.file("rosa")).expect("is there"), bytes);
            }
        }
    }
}
