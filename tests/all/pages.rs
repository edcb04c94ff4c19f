//! Pages that are made from data: what is in docs/ is what the program would write.

use std::collections::BTreeSet;
use std::path::Path;

use matside::catalogue::Catalogue;
use matside::caution::Conditions;
use matside::caution::signs::signs;
use matside::handout::catalogue_page::catalogue_page;
use matside::handout::cautions_page::cautions_page;

/// Holds a page against its file; with `UPDATE_DOCS` set, writes the file instead.
#[track_caller]
fn hold(name: &str, made: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs").join(name);
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, made).expect("docs/ can be written");
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == made,
        "docs/{name} is not what the data says; write it anew with UPDATE_DOCS=1 cargo test pages"
    );
}

#[test]
fn pages_of_the_catalogue_are_current() {
    hold("catalogue.md", &catalogue_page(Catalogue::built_in()));
}

#[test]
fn pages_of_cautions_are_current() {
    hold("cautions.md", &cautions_page());
}

#[test]
fn pages_name_every_source_that_a_caution_names() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/evidence.md");
    let evidence = std::fs::read_to_string(path).expect("docs/evidence.md is there");
    let listed: BTreeSet<&str> = evidence
        .lines()
        .filter_map(|line| line.strip_prefix("- **"))
        .filter_map(|line| line.split_once("**"))
        .flat_map(|(keys, _)| keys.split(", "))
        .collect();
    let named = Conditions::built_in().all().iter().map(|condition| &condition.source);
    for source in named.chain(signs().iter().map(|sign| &sign.source)) {
        if ["from memory", "common practice, no source", "our judgement"].contains(&source.as_str()) {
            continue;
        }
        for key in source.split(", ") {
            assert!(listed.contains(key), "docs/evidence.md does not list {key}");
        }
    }
}
