//! Links, rights, and a file system that lets no file grow.

use std::fs;
use std::process::Command;

use matside::store::StoreError;

use crate::store::killed::{FOLDER, check};
use crate::store::sample::{Studio, id, profile, session, who};

#[test]
fn links_out_of_the_folder_are_refused_and_files_are_the_owners_alone() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    let mode = |path: &std::path::Path| fs::metadata(path).expect("is there").permissions().mode() & 0o777;
    assert_eq!(mode(&studio.file("rosa")), 0o600);
    assert_eq!(mode(studio.store.root()), 0o700);
    assert_eq!(mode(&studio.store.root().join("clients")), 0o700);
    let outside = tempfile::tempdir().expect("a scratch folder");
    let secret = outside.path().join("secret.toml");
    fs::write(&secret, "version = 2\nname = \"Secret\"\n").expect("writes");
    symlink(&secret, studio.file("link")).expect("links");
    assert!(matches!(studio.store.load(&id("link")), Err(StoreError::NotAFile { .. })));
    assert!(studio.store.begin(&id("link"), &session("2026-11-20T18:45:00+01:00")).is_err());
    assert_eq!(studio.store.roster().expect("lists").problems.len(), 1);
    // A link within the folder is followed, and stays a link when the file is replaced.
    symlink(studio.file("rosa"), studio.file("alias")).expect("links");
    let mut alias = studio.store.load(&id("alias")).expect("loads").profile;
    alias.contact = "by letter".to_owned();
    studio.store.save_profile(&alias, &who()).expect("saves");
    assert!(fs::symlink_metadata(studio.file("alias")).expect("is there").is_symlink());
    assert!(studio.store.load(&id("rosa")).expect("loads").profile.contact.contains("letter"));
}

#[test]
fn where_no_file_may_grow_the_refusal_is_said_and_nothing_is_lost() {
    let tries = [1, 2, 3, 5].map(|blocks| (blocks, Studio::new as fn() -> Studio));
    for (blocks, studio_of) in
        tries.into_iter().chain([(2, Studio::encrypted as fn() -> Studio), (5, Studio::encrypted)])
    {
        let studio = studio_of();
        studio.store.create(&profile("Rosa")).expect("creates");
        let program = std::env::current_exe().expect("this program has a path");
        // The shell sets the largest size of a file, in blocks of 512 or 1024 bytes.
        let script = format!(
            "trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" store::killed::writer --exact --nocapture"
        );
        let output = Command::new("sh")
            .args(["-c", &script])
            .arg(program)
            .env(FOLDER, studio.store.root())
            .output()
            .expect("a shell runs");
        let text = String::from_utf8(output.stdout).expect("is text");
        let notes = |word: &str| -> Vec<String> {
            text.lines().filter_map(|line| line.split_once(word)).map(|(_, note)| note.to_owned()).collect()
        };
        let failure = notes("failed ");
        assert_eq!(failure.len(), 1, "{text}");
        assert!(failure[0].contains("rosa") && failure[0].contains("the file may not grow"), "{failure:?}");
        check(&studio, &notes("saved "), &notes("answered "));
        let left =
            std::fs::read_dir(studio.file("rosa").parent().expect("has one")).expect("a folder").count();
        assert_eq!(left, 1, "a half-written file was left behind");
    }
}
