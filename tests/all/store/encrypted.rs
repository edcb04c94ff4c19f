//! A data folder that only its passphrase opens.

use std::fs;
use std::path::Path;

use matside::body::Side;
use matside::client::Profile;
use matside::store::{SamePerson, Severity, Store, StoreError, merge_files, place_of};

use super::sample::{PASSPHRASE, Studio, at, id, open, profile, report, session, who};

const BY_HAND: &str = include_str!("../../data/clients/valid/by-hand.toml");
/// What is in [`BY_HAND`] or written below and must not be seen.
const SECRETS: &[&str] = &["Achterberg", "knee", "session", "held_s", "hands-on", "straight", "name"];

/// Every file of a folder, by name, with its bytes.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .map(|path| {
            (path.file_name().expect("a name").to_string_lossy().into_owned(), fs::read(path).expect("reads"))
        })
        .collect();
    found.sort();
    found
}

fn assert_nothing_shows(studio: &Studio) {
    for (name, bytes) in files(&studio.store.root().join("clients")) {
        let text = String::from_utf8(bytes).expect("is ASCII");
        assert!(text.starts_with("matside-encrypted 2 "), "{name}: {text}");
        for secret in SECRETS {
            assert!(!text.contains(secret), "{secret} can be seen in {name}");
        }
    }
}

#[test]
fn a_folder_is_encrypted_used_and_decrypted_and_every_file_is_as_it_was() {
    let studio = Studio::with(BY_HAND);
    let folder = studio.store.root().join("clients");
    fs::write(folder.join("rosa (1).toml"), BY_HAND).expect("writes");
    fs::write(folder.join("rosa.torn-1.toml"), "report.01 = { stretch = \"straight").expect("writes");
    let before = files(&folder);
    let client = studio.store.load(&id("rosa")).expect("loads");
    let (store, done) = studio.store.encrypt(PASSPHRASE).expect("encrypts");
    assert_eq!((done.clients, done.problems.len(), done.untouched), (vec![id("rosa")], 0, Vec::new()));
    assert_nothing_shows(&studio);
    assert_eq!(store.load(&id("rosa")).expect("loads"), client);
    assert_eq!(
        store
            .check(who().at)
            .expect("checks")
            .iter()
            .filter(|found| found.severity == Severity::Error)
            .count(),
        0
    );
    // Saving a report appends one line, as ever, and a changed profile keeps the words of the file.
    let mut journal = store.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).expect("begins");
    let sealed = studio.text("rosa");
    journal.report(&report(Side::Left, 4)).expect("saves");
    let longer = studio.text("rosa");
    let added = longer.strip_prefix(&sealed).expect("is appended to");
    assert_eq!((added.lines().count(), added.ends_with("\n\n")), (2, true));
    journal.close(at("2031-01-01T10:09:00+00:00"), "straight on").expect("closes");
    drop(journal);
    let mut renamed = store.load(&id("rosa")).expect("loads").profile;
    renamed.contact = "by letter".to_owned();
    store.save_profile(&renamed, &who()).expect("saves");
    renamed.contact.clear();
    store.save_profile(&renamed, &who()).expect("saves");
    store.create(&Profile::new(id("otto"), "Otto Achterberg")).expect("creates");
    assert_nothing_shows(&studio);
    assert_eq!(store.roster().expect("lists").entries.len(), 2);
    let again = open(store.root());
    assert_eq!(again.load(&id("rosa")).expect("loads").sessions.len(), client.sessions.len() + 1);
    store.forget(&id("otto")).expect("forgets");
    // And back.
    let done = again.decrypt().expect("decrypts");
    assert!(done.problems.is_empty(), "{:?}", done.problems);
    let after = files(&folder);
    assert_eq!(after[0], before[0]);
    assert_eq!(after[2], before[2]);
    let plain = studio.text("rosa");
    let is_there = |line: &str| plain.lines().any(|other| other == line);
    assert!(
        BY_HAND.replace("version = 1", "version = 2").lines().all(is_there) && after.len() == before.len()
    );
    assert!(!Store::open(store.root()).expect("opens").is_locked());
    assert!(store.root().join("passphrase.old-1.toml").is_file(), "the key is never thrown away");
}

#[test]
fn without_the_passphrase_nothing_is_read_and_nothing_is_written() {
    let studio = Studio::encrypted();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    let sealed = files(&studio.store.root().join("clients"));
    let wrong = Store::open(studio.store.root()).expect("opens").unlock("a cat on the rook");
    assert!(matches!(wrong, Err(StoreError::Passphrase { .. })), "{wrong:?}");
    let locked = Store::open(studio.store.root()).expect("opens");
    let refused = locked.load(&id("rosa")).expect_err("is locked").to_string();
    assert!(
        refused.ends_with("rosa.toml belongs to an encrypted data folder; give the passphrase"),
        "{refused}"
    );
    assert!(locked.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).is_err());
    assert!(locked.save_profile(&profile("Other"), &who()).is_err());
    assert!(locked.create(&Profile::new(id("otto"), "Otto")).is_err());
    assert!(locked.decrypt().is_err());
    assert_eq!(locked.roster().expect("lists").problems.len(), 1);
    assert_eq!(files(&studio.store.root().join("clients")), sealed);
    // Not even into a file that is plain by some accident.
    fs::write(studio.file("plain"), "version = 2\nname = \"Ada\"\n").expect("writes");
    assert!(locked.begin(&id("plain"), &session("2031-01-01T10:00:00+00:00")).is_err());
    assert_eq!(studio.text("plain"), "version = 2\nname = \"Ada\"\n");
    assert!(Studio::new().store.encrypt("short").is_err());
}

#[test]
fn a_file_that_is_still_plain_is_read_named_and_sealed_before_it_is_written() {
    let studio = Studio::encrypted();
    studio.store.create(&profile("Rosa")).expect("creates");
    // A half-written end of a plain file goes aside sealed.
    fs::write(studio.file("plain"), format!("{BY_HAND}report.77 = {{ straight")).expect("writes");
    let client = studio.store.load(&id("plain")).expect("loads");
    let found = studio.store.check(who().at).expect("checks");
    assert!(found.iter().any(|found| found.text.contains("is not encrypted as the folder is")), "{found:?}");
    let mut journal =
        studio.store.begin(&id("plain"), &session("2031-01-01T10:00:00+00:00")).expect("begins");
    journal.report(&report(Side::Left, 4)).expect("saves");
    assert_nothing_shows(&studio);
    let aside = studio.store.root().join("clients").join("plain.torn-1.toml");
    assert!(studio.store.take_notices().iter().any(|notice| notice.contains(&aside.display().to_string())));
    assert_eq!(studio.other().load(&id("plain")).expect("loads").sessions.len(), client.sessions.len() + 1);
}

#[test]
fn a_program_that_was_open_before_writes_nothing_in_the_old_form() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    let before = studio.other();
    let (store, _) = before.encrypt(PASSPHRASE).expect("encrypts");
    let otto = Profile::new(id("otto"), "Otto");
    for refused in [studio.store.create(&otto), studio.store.save_profile(&profile("Other"), &who())] {
        let refused = refused.expect_err("is refused").to_string();
        assert!(refused.contains("start matside again and give the passphrase"), "{refused}");
    }
    store.decrypt().expect("decrypts");
    let refused = store.create(&otto).expect_err("is refused").to_string();
    assert!(refused.contains("start matside again"), "{refused}");
    studio.store.create(&otto).expect("creates");
}

#[test]
fn a_client_that_somebody_writes_is_left_for_the_next_time() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    studio.store.create(&Profile::new(id("otto"), "Otto")).expect("creates");
    let mut journal = studio.store.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).expect("begins");
    let (_, done) = studio.other().encrypt(PASSPHRASE).expect("encrypts");
    assert_eq!(done.clients, [id("otto")]);
    assert!(matches!(done.problems[..], [StoreError::Locked { .. }]), "{:?}", done.problems);
    journal.report(&report(Side::Left, 4)).expect("saves, for it holds the file");
    drop(journal);
    let (store, done) = studio.other().encrypt(PASSPHRASE).expect("goes on");
    assert_eq!(done.problems.len(), 0);
    assert_nothing_shows(&studio);
    assert_eq!(store.load(&id("rosa")).expect("loads").sessions[0].reports.len(), 1);
}

#[test]
fn a_flipped_bit_costs_one_session_and_the_file_as_it_was_is_kept() {
    let studio = Studio::encrypted();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    for day in 1..4 {
        let begun = format!("2031-01-0{day}T10:00:00+00:00");
        let mut journal = studio.store.begin(&id("rosa"), &session(&begun)).expect("begins");
        journal.report(&report(Side::Left, 4)).expect("saves");
        journal.close(at(&begun), "").expect("closes");
    }
    let client = studio.store.load(&id("rosa")).expect("loads");
    // The second session's header.
    let sound = fs::read(studio.file("rosa")).expect("reads");
    let text = String::from_utf8(sound.clone()).expect("is ASCII");
    let (at_line, line) =
        (1..).zip(text.lines()).filter(|(_, line)| !line.is_empty()).nth(7).expect("is there");
    let at_byte = line.as_ptr() as usize - text.as_ptr() as usize + 40;
    let mut changed = sound;
    changed[at_byte] ^= 1;
    fs::write(studio.file("rosa"), &changed).expect("writes");
    let other = studio.other();
    let rest = other.load(&id("rosa")).expect("loads");
    assert_eq!(rest.profile, client.profile);
    assert_eq!(rest.sessions, [client.sessions[0].clone(), client.sessions[2].clone()]);
    let says = format!("rosa.toml:{at_line}: damaged; a session, or a part of one, is missing");
    assert!(other.take_notices().iter().any(|notice| notice.contains(&says)));
    let found = other.check(who().at).expect("checks");
    assert!(
        found.iter().any(|found| found.severity == Severity::Error && found.line == Some(at_line)),
        "{found:?}"
    );
    assert_eq!(other.roster().expect("lists").problems.len(), 0);
    assert_eq!(fs::read(studio.file("rosa")).expect("reads"), changed, "who only reads changes nothing");
    // Whoever writes keeps the file as it was, and goes on.
    let mut journal = studio.store.begin(&id("rosa"), &session("2031-01-09T10:00:00+00:00")).expect("begins");
    journal.report(&report(Side::Left, 4)).expect("saves");
    drop(journal);
    let aside = studio.file("rosa").with_file_name("rosa.torn-1.toml");
    assert_eq!(fs::read(&aside).expect("is kept"), changed);
    assert!(studio.store.take_notices().iter().any(|notice| notice.contains("rosa.torn-1.toml")));
    assert_eq!(studio.other().load(&id("rosa")).expect("loads").sessions.len(), 3);
    let errors = |store: &Store| {
        let found = store.check(who().at).expect("checks");
        found.into_iter().filter(|found| found.severity == Severity::Error).count()
    };
    assert_eq!(errors(&studio.other()), 0);
    // A sound copy brings the lost session back.
    let copy = studio.file("rosa").with_file_name("rosa (1).toml");
    fs::write(&copy, text).expect("writes");
    studio.store.merge_copy(&id("rosa"), &copy, SamePerson::AsFarAsSeen).expect("merges");
    assert_eq!(studio.other().load(&id("rosa")).expect("loads").sessions.len(), 4);
    // What was kept stays as it was, whatever is done with the folder.
    let (store, done) = studio.other().encrypt(PASSPHRASE).expect("goes on");
    assert!(done.problems.is_empty() && store.decrypt().expect("decrypts").problems.is_empty());
    assert_eq!(fs::read(&aside).expect("is kept"), changed);
}

#[test]
fn files_that_changed_their_names_are_refused_and_named() {
    let studio = Studio::encrypted();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    studio.store.create(&Profile::new(id("otto"), "Otto Achterberg")).expect("creates");
    let (rosa, otto) = (studio.file("rosa"), studio.file("otto"));
    let [of_rosa, of_otto] = [&rosa, &otto].map(|path| fs::read(path).expect("reads"));
    fs::write(&rosa, &of_otto).expect("writes");
    fs::write(&otto, &of_rosa).expect("writes");
    let other = studio.other();
    let refused = other.load(&id("rosa")).expect_err("is another's").to_string();
    assert!(refused.contains("was sealed as the file of `otto`"), "{refused}");
    assert!(other.begin(&id("otto"), &session("2031-01-01T10:00:00+00:00")).is_err());
    assert_eq!(other.roster().expect("lists").problems.len(), 2);
    let found = other.check(who().at).expect("checks");
    assert_eq!(found.iter().filter(|found| found.severity == Severity::Error).count(), 2, "{found:?}");
    assert_eq!([&rosa, &otto].map(|path| fs::read(path).expect("reads")), [of_otto, of_rosa]);
}

#[test]
fn what_was_being_written_in_the_clear_does_not_outlive_encrypting() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    let clients = studio.store.root().join("clients");
    let earlier = studio.store.root().join("earlier");
    fs::create_dir_all(&earlier).expect("a folder");
    let left =
        [clients.join(".rosa.x7YzQ1.tmp"), clients.join(".gone.x7YzQ1.tmp"), earlier.join(".rosa.1.a8.tmp")];
    for path in &left {
        fs::write(path, "name = \"Achterberg\"\n").expect("writes");
    }
    let (_, done) = studio.store.encrypt(PASSPHRASE).expect("encrypts");
    assert_eq!((done.problems.len(), done.untouched), (0, Vec::new()));
    assert!(left.iter().all(|path| !path.exists()));
    assert_nothing_shows(&studio);
}

#[test]
fn a_half_written_line_is_set_aside_in_a_file_that_is_named() {
    let studio = Studio::encrypted();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    let mut journal = studio.store.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).expect("begins");
    journal.report(&report(Side::Left, 4)).expect("saves");
    let sound = studio.text("rosa");
    journal.report(&report(Side::Right, 4)).expect("saves");
    drop(journal);
    let whole = studio.text("rosa");
    for end in [sound.len() + 1, sound.len() + 30, whole.len() - 2] {
        let mut torn = whole.as_bytes()[..end].to_vec();
        torn.extend([0; 3]);
        fs::write(studio.file("rosa"), &torn).expect("writes");
        let _ = studio.other().load(&id("rosa")).expect("loads");
        let (session, journal) = studio
            .store
            .resume(&id("rosa"), at("2031-01-01T10:00:00+00:00"))
            .expect("reads")
            .expect("was cut off");
        assert_eq!(session.reports.len(), 1);
        let notices = studio.store.take_notices();
        let name = notices[0].rsplit(' ').next().expect("a name");
        assert_eq!(fs::read(name).expect("is there"), &torn[sound.len()..]);
        assert_eq!(studio.text("rosa"), sound);
        drop(journal);
    }
}

#[test]
fn copies_merge_within_an_encrypted_folder_and_folders_into_it() {
    let studio = Studio::encrypted();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    let copy = studio.file("rosa").with_file_name("rosa (1).toml");
    fs::copy(studio.file("rosa"), &copy).expect("copies");
    studio.store.begin(&id("rosa"), &session("2031-01-01T10:00:00+00:00")).expect("begins");
    let (folder, found) = place_of(&studio.file("rosa")).expect("is a client's own");
    assert_eq!((folder.as_path(), &found), (studio.store.root(), &id("rosa")));
    assert_eq!(place_of(&copy), None);
    assert!(matches!(
        merge_files(&studio.file("rosa"), &copy, SamePerson::Said),
        Err(StoreError::Sealed { .. })
    ));
    assert_eq!(
        studio.store.merge_copy(&id("rosa"), &copy, SamePerson::Said).expect("merges").added_sessions,
        0
    );
    let other = Studio::new();
    other.store.create(&profile("Rosa Achterberg")).expect("creates");
    other.store.create(&Profile::new(id("otto"), "Otto Achterberg")).expect("creates");
    other.store.begin(&id("rosa"), &session("2031-01-05T10:00:00+00:00")).expect("begins");
    let result = studio.store.merge_folder(&other.store, SamePerson::Said).expect("merges");
    assert_eq!((result.merged[0].1.added_sessions, result.copied), (1, vec![id("otto")]));
    assert_nothing_shows(&studio);
    // The other way round everything is plain.
    other.store.merge_folder(&studio.store, SamePerson::Said).expect("merges");
    assert_eq!(other.store.load(&id("rosa")).expect("loads").sessions.len(), 2);
    assert!(other.text("rosa").starts_with("version = 2\n"));
}
