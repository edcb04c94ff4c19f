//! `check` finds what the program would stumble over, and one bad file harms only itself.

use std::fs;

use matside::store::Severity;

use super::sample::{Studio, id, profile, session, who};

const ODD: &str = "version = 2\nname = \" \"\nborn = 2031\nlikes = [\"flying-carpet\"]\n\n\
    [[condition]]\nid = \"tired-of-mondays\"\n\n[[condition]]\nid = \"pregnancy\"\nweek = 99\nsince = 2026-11-02\n\n\
    [[session]]\nat = 2026-11-03T18:00:00+01:00\nminutes = 10\nconsent = \"hands-on\"\n\
    report.01 = { stretch = \"levitation\", form = \"low\", held_s = 30 }\n\
    report.02 = { stretch = \"straight-leg-raise\", form = \"upside-down\", held_s = 30 }\n\n\
    [[session]]\nat = 2026-11-04T18:00:00+01:00\nminutes = 10\nconsent = \"hands-on\"\n\
    closed = 2026-11-04T17:00:00+01:00\n\n\
    [[session]]\nat = 2036-11-04T18:00:00+01:00\nminutes = 10\nconsent = \"hands-on\"\n";

fn said(studio: &Studio) -> String {
    let found = studio.store.check(who().at).expect("checks");
    // Who may look into the scratch folder is another matter.
    let found = found.iter().filter(|found| !found.text.contains("others can look into it"));
    found.map(|found| found.to_string() + "\n").collect()
}

#[test]
fn what_can_be_read_and_cannot_be_right_is_named_with_its_line() {
    let said = said(&Studio::with(ODD));
    for word in [
        "the name is empty",
        "rosa.toml: born 2031 lies after today",
        "rosa.toml:4:10: there is no stretch `flying-carpet`",
        "rosa.toml:7:6: there is no condition `tired-of-mondays`: nothing hands-on is planned",
        "rosa.toml:10:6: no pregnancy has a week 99",
        "rosa.toml:18:25: there is no stretch `levitation`",
        "the stretch `straight-leg-raise` has no form `upside-down`",
        "the session of 2036-11-04 18:00:00 +01:00 lies after now",
        "the session of 2026-11-04 18:00:00 +01:00 ended 2026-11-04 17:00:00 +01:00, before it began",
        "2026-11-03T18:00:00 was cut off and another one followed; `matside mend rosa --at 2026-11-03T18:00:00 --close TIME`",
    ] {
        assert!(said.contains(word), "{word:?} is not in\n{said}");
    }
}

#[test]
fn nothing_is_said_of_a_client_of_whom_all_is_well() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa")).expect("creates");
    let mut journal = studio.store.begin(&id("rosa"), &session("2026-11-03T18:00:00+01:00")).expect("begins");
    journal.close(session("2026-11-03T18:10:00+01:00").at, "").expect("closes");
    drop(journal);
    assert_eq!(said(&studio), "");
}

#[test]
fn sessions_within_one_value_and_out_of_order_are_named() {
    let inline = "version = 2\nname = \"Rosa\"\nsession = [{ at = 2026-11-03T18:00:00+01:00, minutes = 10, consent = \"hands-on\" }]\n";
    let said_of = |text: &str| said(&Studio::with(text));
    assert!(said_of(inline).contains("rosa.toml:3:1: sessions stand in one value"), "{}", said_of(inline));
    let block = |day: u32| {
        format!(
            "\n[[session]]\nat = 2026-11-{day:02}T18:00:00+01:00\nminutes = 10\nconsent = \"declined\"\nclosed = 2026-11-{day:02}T18:01:00+01:00\n"
        )
    };
    let of = |days: &[u32]| {
        let blocks: String = days.iter().map(|day| block(*day)).collect();
        said_of(&format!("version = 2\nname = \"Rosa\"\n{blocks}"))
    };
    assert_eq!(of(&[1, 2, 3]), "");
    assert!(of(&[1, 3, 2]).contains("this session is older than the one before"));
    assert!(of(&[1, 2, 2]).contains("two sessions began at"));
    let behind = format!("version = 2\nname = \"Rosa\"\n{}\n[[condition]]\nid = \"knee-pain\"\n", block(1));
    assert!(said_of(&behind).contains("stands after this session"), "{}", said_of(&behind));
}

#[test]
fn copies_and_left_over_files_are_named_for_what_they_are() {
    let studio = Studio::with("version = 2\nname = \"Rosa\"\n");
    let beside = |name: &str| studio.file("rosa").with_file_name(name);
    fs::copy(studio.file("rosa"), beside("rosa (1).toml")).expect("copies");
    fs::write(beside("rosa (2).toml"), "version = 2\nname = \"Rosa\"\nnote = \"x\"\n").expect("writes");
    fs::write(beside(".rosa.x7YzQ1.tmp"), "version").expect("writes");
    fs::write(studio.store.root().join(".trainer.x7YzQ1.tmp"), "version").expect("writes");
    let said = said(&studio);
    assert!(
        said.contains("rosa (1).toml: says the same as")
            && said.contains("rosa (2).toml: looks like a copy of")
    );
    assert_eq!(said.matches("was being written when the program ended").count(), 2, "{said}");
}

#[test]
fn one_bad_file_harms_only_itself() {
    let studio = Studio::with("version = 2\nname = \"Rosa\"\n");
    let root = studio.store.root();
    let trainer = "version = 1\nname = \"Ada\"\nminutes = \"ten\"\n";
    fs::write(root.join("trainer.toml"), trainer).expect("writes");
    fs::create_dir_all(root.join("stretches")).expect("makes");
    let [.., own, _] = super::format::examples()[..] else { panic!("four examples") };
    fs::write(root.join("stretches/a-bad.toml"), own.replace("= 15", "= ")).expect("writes");
    fs::write(root.join("stretches/b-good.toml"), own).expect("writes");
    fs::write(studio.file("otto"), "version = 2\nname = ").expect("writes");
    let catalogue = studio.store.catalogue().expect("reads");
    assert!(catalogue.stretch(&"my-calf".parse().expect("a word")).is_some());
    assert_eq!(studio.store.trainer().expect("reads").minutes.get(), 10);
    let notices = studio.store.take_notices().join("\n");
    assert!(notices.contains("a-bad.toml:") && notices.contains("left out until it is mended"), "{notices}");
    assert!(
        notices.contains("trainer.toml:3:") && notices.contains("the usual settings are used"),
        "{notices}"
    );
    studio.store.load(&id("rosa")).expect("loads");
    studio.store.begin(&id("rosa"), &session("2026-11-03T18:00:00+01:00")).expect("begins");
    // What could not be read is not written over.
    assert!(studio.store.save_trainer(&studio.store.trainer().expect("reads")).is_err());
    assert_eq!(fs::read_to_string(root.join("trainer.toml")).expect("is there"), trainer);
    let found = studio.store.check(who().at).expect("checks");
    let errors: Vec<_> = found.iter().filter(|found| found.severity == Severity::Error).collect();
    for name in ["a-bad.toml", "trainer.toml", "otto.toml"] {
        assert!(errors.iter().any(|found| found.text.contains(name) && found.line.is_some()), "{errors:?}");
    }
}
