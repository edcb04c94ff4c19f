//! The examples in `docs/data-format.md` are files that load, and say everything there is to say.

use std::path::Path;

use matside::catalogue::Catalogue;
use matside::document::Source;
use matside::store::Severity;

use super::sample::{Studio, id, who};

const DOCUMENT: &str = include_str!("../../../docs/data-format.md");

/// The TOML examples of the document.
pub(crate) fn examples() -> Vec<&'static str> {
    DOCUMENT.split("```toml\n").skip(1).filter_map(|rest| rest.split("```").next()).collect()
}

#[test]
fn the_examples_of_the_document_load_without_a_word() {
    let [client, trainer, own, clash] = examples()[..] else { panic!("four examples") };
    let studio = Studio::with(client);
    std::fs::write(studio.store.root().join("trainer.toml"), trainer).expect("writes");
    std::fs::create_dir_all(studio.store.root().join("stretches")).expect("makes a folder");
    std::fs::write(studio.store.root().join("stretches/mine.toml"), own).expect("writes");
    let (stretches, flaws) = Catalogue::parse(&Source::made(Path::new("mine.toml"), own.to_owned()));
    assert_eq!((stretches.len(), flaws), (1, Vec::new()));
    let unknown: Vec<String> = studio
        .store
        .check(who().at)
        .expect("checks")
        .into_iter()
        .filter(|finding| finding.severity == Severity::Error || finding.line.is_some())
        .map(|finding| finding.text)
        .collect();
    assert_eq!(unknown, [""; 0]);
    let loaded = studio.store.load(&id("rosa")).expect("loads");
    assert_eq!(loaded.profile.conditions.len(), 2);
    assert_eq!(loaded.sessions[0].reports.len(), 3);
    assert_eq!(studio.store.trainer().expect("loads").studio, "Studio Halde");
    let studio = Studio::with(clash);
    assert_eq!(studio.store.disagreements(&id("rosa")).expect("reads")[0].1.values.len(), 2);
}

#[test]
fn a_client_written_by_the_program_looks_like_the_example() {
    let [client, ..] = examples()[..] else { panic!("four examples") };
    let loaded = Studio::with(client).store.load(&id("rosa")).expect("loads");
    let studio = Studio::new();
    studio.store.create_client(&loaded).expect("creates");
    let written = studio.text("rosa");
    for line in client.lines().map(|line| line.split(" #").next().unwrap_or_default().trim_end()) {
        assert!(written.lines().any(|other| other == line), "{line}\n{written}");
    }
}
