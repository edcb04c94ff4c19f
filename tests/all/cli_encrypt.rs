//! `matside encrypt` and `decrypt` as they are typed.

use std::fs;

use crate::cli::Studio;

/// What is said of a folder with one client, with the passphrase in a file.
fn said(studio: &Studio, passphrase: &str, arguments: &[&str]) -> String {
    let file = studio.data().join("words");
    fs::write(&file, format!("{passphrase}\nsecond line\n")).expect("writes");
    let name = file.to_string_lossy().into_owned();
    studio.run(&[arguments, &["--passphrase-file", &name]].concat())
}

#[test]
fn a_folder_is_encrypted_only_where_it_is_understood_what_that_means() {
    let studio = Studio::empty();
    studio.run(&["new", "Rosa Achterberg"]);
    let before = fs::read(studio.data().join("clients/rosa-achterberg.toml")).expect("is there");
    let refused = said(&studio, "a cat on the roof", &["encrypt"]);
    assert!(
        refused.starts_with("status: 2") && refused.contains("a lost passphrase is lost data"),
        "{refused}"
    );
    let refused = studio.run(&["encrypt", "--yes"]);
    assert!(refused.contains("no terminal to ask for its passphrase"), "{refused}");
    let refused = said(&studio, "short", &["encrypt", "--yes"]);
    assert!(refused.contains("fewer than 8 characters"), "{refused}");
    assert_eq!(fs::read(studio.data().join("clients/rosa-achterberg.toml")).expect("is there"), before);
    assert!(!studio.data().join("passphrase.toml").exists());
}

#[test]
fn every_command_wants_the_passphrase_of_an_encrypted_folder() {
    let studio = Studio::empty();
    studio.run(&["new", "Rosa Achterberg"]);
    fs::write(studio.data().join("clients/intake form.txt"), "by hand").expect("writes");
    insta::assert_snapshot!("encrypt", said(&studio, "a cat on the roof", &["encrypt", "--yes"]));
    insta::assert_snapshot!("encrypted_no_passphrase", studio.run(&["history", "rosa"]));
    insta::assert_snapshot!("encrypted_wrong_passphrase", said(&studio, "a cat on the rook", &["clients"]));
    let log = ["log", "rosa", "--report", "straight-leg-raise both 30s 4"];
    assert!(studio.run(&log).starts_with("status: 1"));
    assert!(said(&studio, "a cat on the roof", &log).starts_with("status: 0"));
    let listed = said(&studio, "a cat on the roof", &["clients"]);
    assert!(listed.contains("Rosa Achterberg"), "{listed}");
    for entry in fs::read_dir(studio.data().join("clients")).expect("a folder") {
        let text = fs::read_to_string(entry.expect("an entry").path()).expect("is text");
        assert!(!text.contains("Rosa") && !text.contains("straight"), "{text}");
    }
    insta::assert_snapshot!("decrypt", said(&studio, "a cat on the roof", &["decrypt"]));
    let history = studio.run(&["history", "rosa"]);
    assert!(history.starts_with("status: 0") && history.contains("Rosa Achterberg"), "{history}");
    assert!(studio.run(&["decrypt"]).contains("is not encrypted"));
}
