//! What this program writes is TOML 1.0, by a parser that knows nothing later; what is later in a file that a person
//! wrote is read, and named with its line.

use std::fs;
use std::path::Path;

use matside::client::{Attribution, Trainer};
use matside::store::client_text;
use proptest::prelude::*;

use super::any::{client, profile, session};
use super::format::examples;
use super::sample::{Studio, at, id, who};

/// Asserts that a text is TOML 1.0.
pub(crate) fn is_first_version(text: &str) {
    if let Err(error) = toml_1_0::from_str::<toml_1_0::Table>(text) {
        panic!("not TOML 1.0: {error}\n{text}");
    }
}

/// Every file below a folder that is TOML by its name.
fn files_below(folder: &Path) -> usize {
    let mut found = 0;
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found += files_below(&path);
        } else if path.extension().is_some_and(|ending| ending == "toml") {
            is_first_version(&fs::read_to_string(&path).expect("is text"));
            found += 1;
        }
    }
    found
}

#[test]
fn the_judge_refuses_what_the_later_version_added() {
    let refused = |text: &str| toml_1_0::from_str::<toml_1_0::Table>(text).is_err();
    for text in [
        "a = { b = 1,\n c = 2 }",
        "a = { b = 1, }",
        "a = \"\\e\"",
        "a = \"\\x41\"",
        "a = 18:45",
        "a = 2026-11-20T18:45Z",
    ] {
        assert!(refused(text) && text.parse::<toml::Table>().is_ok(), "{text}");
    }
}

#[test]
fn the_demo_and_the_examples_of_the_document_are_of_the_first_version() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    assert!(files_below(&root.join("demo")) > 5);
    examples().into_iter().for_each(is_first_version);
}

#[test]
fn what_is_of_the_later_version_is_read_and_named_with_its_line() {
    let text = "version = 2\nname = \"Rosa\"\naims = [\"range\"]\n\n[[session]]\nat = 2026-11-20T18:45:00+01:00\nminutes = 10\n\
        consent = \"hands-on\"\nreport.01 = { stretch = \"straight-leg-raise\",\n  form = \"hand-on-heel\", held_s = 30 }\n\
        closed = 2026-11-20T18:55:00+01:00\n";
    let studio = Studio::with(text);
    assert_eq!(studio.store.load(&id("rosa")).expect("loads").sessions[0].reports.len(), 1);
    fs::write(studio.store.root().join("trainer.toml"), "version = 1\nname = \"A\\x64a\"\n").expect("writes");
    assert_eq!(studio.store.trainer().expect("loads").name, "Ada");
    let said: Vec<String> =
        studio.store.check(who().at).expect("checks").iter().map(ToString::to_string).collect();
    let said = said.join("\n");
    for words in [
        "rosa.toml:9:",
        "a table in braces on several lines is of TOML 1.1",
        "on one line",
        "trainer.toml:2:",
        "\\u001b",
    ] {
        assert!(said.contains(words), "{words:?} is not in\n{said}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(48)) })]

    #[test]
    fn whatever_is_written_of_a_client_is_of_the_first_version(
        client in client(), wanted in profile(), more in session(), remark in super::any::remark(),
    ) {
        is_first_version(&client_text(&client));
        let studio = Studio::new();
        studio.store.create_client(&client).expect("creates");
        let id = &client.profile.id;
        let who = Attribution { at: at("2026-11-25T10:00:00+01:00"), by: remark.clone() };
        // What does not fit is refused; what is written is looked at.
        let _ = studio.store.save_profile(&wanted, &who);
        if let Ok(mut journal) = studio.store.begin(id, &more) {
            for report in more.reports.values() {
                let number = journal.report(report).expect("saves");
                let _ = journal.amend(number, &matside::client::Report { note: remark.clone(), ..report.clone() }, &who);
            }
            let _ = journal.close(more.at + chrono::TimeDelta::minutes(10), &remark);
        }
        for session in &client.sessions {
            let _ = studio.store.edit_session(id, session.at, &who, |session| session.note.clone_from(&remark));
        }
        let trainer = Trainer { name: remark.clone(), studio: remark, habits: wanted.habits, ..Trainer::default() };
        let _ = studio.store.save_trainer(&trainer);
        prop_assert!(files_below(studio.store.root()) >= 1);
    }
}
