//! Everything in one file and back again, by command: nothing is overwritten, and what other programs say of the archive.

use std::fs;
use std::path::Path;

use crate::cli::Studio;

fn says(said: &str, words: &[&str]) {
    for word in words {
        assert!(said.contains(word), "{word:?} is not in {said}");
    }
}

fn studio(folder: &Path) -> Studio {
    let studio = Studio::at(&folder.join("data"));
    studio.run(&["new", "Mira Okonjo"]);
    studio.run(&["new", "Noa Lindt"]);
    studio.run(&["trainer", "--name", "Ada"]);
    studio
}

fn text(path: &Path) -> String {
    path.to_str().expect("a plain path").to_owned()
}

#[test]
fn a_client_who_was_forgotten_comes_back_from_a_backup_and_nothing_is_overwritten() {
    let folder = tempfile::tempdir().expect("a folder");
    let studio = studio(folder.path());
    let file = text(&folder.path().join("b.tar"));
    says(&studio.run(&["backup", &file]), &["status: 0", "written and read back: 2 clients, 3 files"]);
    let whole = fs::read(&file).expect("the backup");
    says(&studio.run(&["backup", &file]), &["status: 1", "nothing is overwritten"]);
    assert_eq!(fs::read(&file).expect("the backup"), whole);
    says(&studio.run(&["backup", "--check", &file]), &["status: 0", "is whole: 2 clients"]);
    let inside = text(&folder.path().join("data/b.tar"));
    says(&studio.run(&["backup", &inside]), &["status: 1", "lie in the data folder"]);
    studio.run(&["forget", "noa-lindt", "--yes"]);
    assert!(!studio.run(&["clients"]).contains("Noa"));
    says(&studio.run(&["restore", &file]), &["status: 1", "nothing is overwritten", "--replace"]);
    assert!(!studio.run(&["clients"]).contains("Noa"));
    says(&studio.run(&["restore", &file, "--replace"]), &["status: 0", "2 clients", "[data].before-1"]);
    says(&studio.run(&["clients"]), &["Noa Lindt", "Mira Okonjo"]);
    says(&studio.run(&["trainer"]), &["Ada"]);
    // Into a folder that is not there yet.
    let elsewhere = Studio::at(&folder.path().join("new/laptop"));
    says(&elsewhere.run(&["restore", &file]), &["status: 0"]);
    says(&elsewhere.run(&["clients"]), &["Noa Lindt"]);
    says(&elsewhere.run(&["check"]), &["status: 0"]);
}

#[test]
fn a_backup_that_is_not_whole_makes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let studio = studio(folder.path());
    let file = folder.path().join("b.tar");
    studio.run(&["backup", &text(&file)]);
    let whole = fs::read(&file).expect("the backup");
    let elsewhere = Studio::at(&folder.path().join("elsewhere"));
    let mut flipped = whole.clone();
    let at = whole.windows(11).position(|bytes| bytes == b"Mira Okonjo").expect("her name");
    flipped[at] ^= 1;
    for bad in [&whole[..whole.len() / 2], &flipped, b"not an archive", b""] {
        fs::write(&file, bad).expect("written");
        says(
            &elsewhere.run(&["restore", &text(&file)]),
            &["status: 1", "is no whole backup", "nothing was changed"],
        );
        says(&studio.run(&["restore", &text(&file), "--replace"]), &["status: 1", "is no whole backup"]);
        says(&studio.run(&["backup", "--check", &text(&file)]), &["status: 1"]);
        assert!(!elsewhere.data().exists());
    }
    says(&studio.run(&["clients"]), &["Mira Okonjo", "Noa Lindt"]);
}

#[test]
fn what_is_encrypted_stays_encrypted_in_a_backup_and_needs_no_passphrase_to_be_carried() {
    let folder = tempfile::tempdir().expect("a folder");
    let studio = studio(folder.path());
    let (key, file) = (text(&folder.path().join("key")), text(&folder.path().join("b.tar")));
    fs::write(&key, "a cat on the roof\n").expect("written");
    studio.run(&["encrypt", "--yes", "--passphrase-file", &key]);
    says(&studio.run(&["backup", &file]), &["status: 0", "2 clients, 4 files, encrypted"]);
    let bytes = fs::read(&file).expect("the backup");
    assert!(!bytes.windows(6).any(|bytes| bytes == b"Okonjo"), "no name can be read in it");
    let elsewhere = Studio::at(&folder.path().join("elsewhere"));
    says(&elsewhere.run(&["restore", &file]), &["status: 0", "encrypted"]);
    says(&elsewhere.run(&["clients"]), &["status: 1", "passphrase"]);
    says(&elsewhere.run(&["clients", "--passphrase-file", &key]), &["Mira Okonjo"]);
}

/// GNU or BSD `tar` opens it and `sha256sum` agrees, where the machine has them.
#[test]
#[cfg(unix)]
fn other_programs_open_a_backup_and_agree_with_its_checksums() {
    use std::process::Command;
    let folder = tempfile::tempdir().expect("a folder");
    let studio = studio(folder.path());
    let file = text(&folder.path().join("b.tar"));
    studio.run(&["backup", &file]);
    let tar = Command::new("tar").args(["-xf", &file, "-C"]).arg(folder.path()).output();
    let Ok(tar) = tar else { return };
    assert!(tar.status.success(), "{tar:?}");
    let unpacked = folder.path().join("matside");
    assert_eq!(
        fs::read(unpacked.join("clients/mira-okonjo.toml")).expect("unpacked"),
        fs::read(studio.data().join("clients/mira-okonjo.toml")).expect("the client's file")
    );
    let sums = Command::new("sha256sum").args(["--check", "SHA256SUMS"]).current_dir(&unpacked).output();
    if let Ok(sums) = sums {
        assert!(sums.status.success(), "{sums:?}");
    }
}
