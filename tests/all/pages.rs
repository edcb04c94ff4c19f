//! Pages that are made from data: what is in docs/ is what the program would write.

use std::collections::BTreeSet;
use std::path::Path;

use matside::catalogue::Catalogue;
use matside::caution::Conditions;
use matside::caution::signs::signs;
use matside::handout::catalogue_page::catalogue_page;
use matside::handout::cautions_page::cautions_page;
use matside::handout::picture;

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

/// A picture for every form and none besides, together small enough to be carried along.
#[test]
fn pages_have_a_picture_of_every_form() {
    const MOST_BYTES: usize = 2_000_000;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/figures");
    let mut made = BTreeSet::new();
    let mut bytes = 0;
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::create_dir_all(&folder).expect("docs/ can be written");
    }
    for stretch in Catalogue::built_in().stretches() {
        for form in &stretch.forms {
            let (name, text) = (picture::file_name(&stretch.id, &form.id), picture::picture(form));
            hold(&format!("figures/{name}"), &text);
            bytes += text.len();
            assert!(made.insert(name.clone()), "{name} is the picture of two forms");
        }
    }
    assert!(bytes < MOST_BYTES, "{bytes} bytes together");
    for entry in std::fs::read_dir(&folder).expect("docs/figures can be listed") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a file").to_string_lossy().into_owned();
        if !made.contains(&name) && std::env::var_os("UPDATE_DOCS").is_some() {
            std::fs::remove_file(&path).expect("docs/figures can be written");
        }
        assert!(made.contains(&name) || !path.exists(), "docs/figures/{name} is the picture of no form");
    }
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
    for condition in Conditions::built_in().all() {
        for key in condition.limits.iter().flat_map(|limit| &limit.grounds.sources) {
            assert!(listed.contains(key.as_str()), "{}: docs/evidence.md does not list {key}", condition.id);
        }
    }
}
