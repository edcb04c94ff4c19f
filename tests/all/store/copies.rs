//! Two copies of a file become one: the words of both stay.

use std::fs;

use matside::client::{Disagreement, Profile};
use matside::store::{Pick, SamePerson, StoreError, merge_files};

use super::sample::{Studio, id, who};

#[test]
fn merging_two_files_keeps_the_words_of_both_and_both_names() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let head = "version = 2\nname = \"Rosa\" # ours\n";
    let block = |day: u8, extra: &str| {
        format!(
            "\n# day {day}\n[[session]]\nat = 2026-11-{day}T18:45:00+01:00\nminutes = 10\nconsent = \"hands-on\"\n{extra}"
        )
    };
    let row = |number: u8, rest: &str| {
        format!("report.{number:02} = {{ stretch = \"calf\", form = \"wall\", held_s = 30{rest} }}\n")
    };
    let ours = format!(
        "{head}{}{}",
        block(10, &row(1, ", side = \"left\", mood = 1")),
        block(20, "closed = 2026-11-20T18:54:40+01:00\n")
    );
    let theirs = format!(
        "version = 2\nname = \"Rosalind\"\nshoe_size = 38\n{}{}",
        block(10, &(row(1, ", side = \"left\", level = 4") + &row(2, ", side = \"right\""))),
        block(15, &(row(1, ", colour = \"red\"") + "# by phone\n")),
    );
    let (a, b) = (folder.path().join("a.toml"), folder.path().join("b.toml"));
    fs::write(&a, &ours).expect("writes");
    fs::write(&b, theirs).expect("writes");
    let merged = merge_files(&a, &b, SamePerson::Said).expect("merges");
    assert_eq!((merged.added_sessions, merged.added_reports), (1, 2));
    let text = fs::read_to_string(&a).expect("is text");
    insta::assert_snapshot!(text);
    assert_eq!(merge_files(&a, &b, SamePerson::Said).expect("merges").added_reports, 0);
    assert_eq!(fs::read_to_string(&a).expect("is text"), text, "a second time changes nothing");
}

#[test]
fn what_only_a_person_understands_is_united_within_tables_that_stand_once() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let (a, b) = (folder.path().join("a.toml"), folder.path().join("b.toml"));
    let head = "version = 2\nname = \"Rosa\"\n";
    let ours = "[screening] # ours\non = 2026-01-05\nclear = true\nby = \"Ada\"\n";
    let theirs = "screening = { on = 2026-02-07, clear = true, by = \"Bo\", form = 3 }\n\
        guardian = { name = \"Ottilie\", on = 2026-01-05, phone = \"555\" }\n";
    fs::write(&a, format!("{head}{ours}")).expect("writes");
    fs::write(&b, format!("{head}{theirs}")).expect("writes");
    merge_files(&a, &b, SamePerson::Said).expect("merges");
    let text = fs::read_to_string(&a).expect("is text");
    for kept in ["# ours", "on = 2026-02-07", "by = \"Bo\"", "form = 3", "phone = \"555\""] {
        assert!(text.contains(kept), "{kept}: {text}");
    }
    assert!(text.contains("by = \"Ada\""), "{text}");
    merge_files(&b, &a, SamePerson::Said).expect("merges");
    let other = fs::read_to_string(&b).expect("is text");
    assert!(other.contains("by = \"Bo\"") && other.contains("by = \"Ada\""), "{other}");
}

#[test]
fn line_ends_within_a_text_of_several_lines_are_part_of_it_and_stay() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let (a, b) = (folder.path().join("a.toml"), folder.path().join("b.toml"));
    let block = |day: u8, text: &str| {
        format!("\n[[session]]\nat = 2026-11-{day}T18:45:00Z\nminutes = 10\nconsent = \"declined\"\n{text}\n")
    };
    let head = "version = 2\nname = \"Rosa\"\n";
    let ours = format!("{head}{}", block(10, "mood = '''mild\r\nand\ncalm'''"));
    let theirs = format!("{head}{}", block(12, "mood = \"\"\"fine\r\ntoday\"\"\""));
    fs::write(&a, &ours).expect("writes");
    fs::write(&b, theirs.replace("\r\n", "\n").replace('\n', "\r\n")).expect("writes");
    for (into, other) in [(&a, &b), (&b, &a)] {
        merge_files(into, other, SamePerson::Said).expect("merges");
        let text = fs::read_to_string(into).expect("is text");
        for kept in ["'''mild\r\nand\ncalm'''", "\"\"\"fine\r\ntoday\"\"\""] {
            assert!(text.contains(kept), "{kept:?} is lost in {text:?}");
        }
        merge_files(into, other, SamePerson::Said).expect("merges");
        assert_eq!(fs::read_to_string(into).expect("is text"), text, "a second time changes nothing");
    }
    // So do they where a profile is changed in a file with other line ends.
    let by_hand = "version = 2\r\nname = \"Rosa\"\r\nmood = '''mild\r\nand\ncalm'''\r\n";
    let studio = Studio::with(by_hand);
    let mut profile = studio.store.load(&id("rosa")).expect("loads").profile;
    profile.name = "Rosalind".to_owned();
    studio.store.save_profile(&profile, &who()).expect("saves");
    let text = studio.text("rosa");
    assert!(text.starts_with(&by_hand.replace("Rosa", "Rosalind")), "{text:?}");
}

#[test]
fn a_clash_stays_until_the_trainer_settles_it() {
    let studio = Studio::with("version = 2\nname = \"Rosa\"\n");
    let copy = studio.file("rosa").with_file_name("rosa (1).toml");
    fs::write(&copy, "version = 2\nname = \"Rosalind\"\n").expect("writes");
    assert_eq!(studio.store.copies().expect("lists"), [(id("rosa"), copy.clone())]);
    let merged = studio.store.merge_copy(&id("rosa"), &copy, SamePerson::Said).expect("merges");
    let values = vec!["\"Rosa\"".to_owned(), "\"Rosalind\"".to_owned()];
    let clash = Disagreement { of: "name".to_owned(), values };
    let open = (None, clash);
    assert_eq!(merged.disagreements, std::slice::from_ref(&open));
    assert_eq!(studio.store.disagreements(&id("rosa")).expect("reads"), std::slice::from_ref(&open));
    studio.store.settle(&id("rosa"), &open, &Pick::Value("\"Rosa\"".to_owned()), &who()).expect("settles");
    assert!(studio.store.disagreements(&id("rosa")).expect("reads").is_empty());
    let settled = studio.text("rosa");
    assert!(settled.starts_with("version = 2\nname = \"Rosa\"\nchange.01 = "), "{settled}");
    // The older copy comes again.
    let merged = studio.store.merge_copy(&id("rosa"), &copy, SamePerson::Said).expect("merges");
    assert!(merged.disagreements.is_empty());
    assert_eq!(studio.text("rosa"), settled, "what was settled stays settled");
    let earlier = studio.store.root().join("earlier/rosa.1.toml");
    assert_eq!(fs::read_to_string(&earlier).expect("is kept"), "version = 2\nname = \"Rosa\"\n");
    let removed = studio.store.forget(&id("rosa")).expect("forgets");
    assert_eq!(removed, [studio.file("rosa"), copy, earlier]);
    for folder in ["clients", "locks", "earlier"] {
        let left = fs::read_dir(studio.store.root().join(folder)).expect("a folder").count();
        assert_eq!(left, 0, "{folder}");
    }
}

#[test]
fn a_folder_merges_into_another() {
    let (one, two) = (Studio::new(), Studio::new());
    one.store.create(&Profile::new(id("rosa"), "Rosa")).expect("creates");
    two.store.create(&Profile::new(id("rosa"), "Rosa")).expect("creates");
    two.store.create(&Profile::new(id("otto"), "Otto")).expect("creates");
    two.store.begin(&id("rosa"), &super::sample::session("2026-11-20T18:45:00+01:00")).expect("begins");
    let result = one.store.merge_folder(&two.store, SamePerson::Said).expect("merges");
    assert_eq!(result.copied, [id("otto")]);
    assert_eq!(result.merged[0].1.added_sessions, 1);
    assert!(result.problems.is_empty());
    assert_eq!(one.text("rosa"), two.text("rosa"));
}

/// Two files of a scratch folder, merged.
fn merged(ours: &str, theirs: &str, same: SamePerson) -> Result<String, StoreError> {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let (a, b) = (folder.path().join("a.toml"), folder.path().join("b.toml"));
    fs::write(&a, ours).expect("writes");
    fs::write(&b, theirs).expect("writes");
    let done = merge_files(&a, &b, same);
    let text = fs::read_to_string(&a).expect("is text");
    let kept = folder.path().join("a.earlier-1.toml");
    match done {
        Ok(_) => {
            assert_eq!(kept.exists(), text != ours);
            assert!(!kept.exists() || fs::read_to_string(&kept).expect("is text") == ours);
            Ok(text)
        }
        Err(error) => {
            assert!(text == ours && !kept.exists(), "nothing is written");
            Err(error)
        }
    }
}

#[test]
fn files_of_different_people_are_not_merged_unless_somebody_says_so() {
    let file = |name: &str, rest: &str| format!("version = 2\nname = \"{name}\"\n{rest}");
    let refused = |ours: &str, theirs: &str| {
        for (one, other) in [(ours, theirs), (theirs, ours)] {
            let error = merged(one, other, SamePerson::AsFarAsSeen).expect_err(other);
            assert!(matches!(error, StoreError::OtherPerson { .. }), "{error}");
            merged(one, other, SamePerson::Said).expect("somebody said so");
        }
    };
    let accepted = |ours: &str, theirs: &str| {
        for (one, other) in [(ours, theirs), (theirs, ours)] {
            merged(one, other, SamePerson::AsFarAsSeen).expect("is one person");
        }
    };
    let (rosa, otto) = (file("Rosa Lund", "born = 1984-05-02\n"), file("Otto Lund", "born = 1984-07-01\n"));
    refused(&rosa, &otto);
    refused(&file("Rosa Lund", ""), &file("Otto Lund", ""));
    refused(&rosa, &file("Rosa Lund", "born = 2014\n"));
    accepted(&rosa, &file("ROSA LUND", ""));
    accepted(&rosa, &file("Rosa Lund", "born = 1984\n"));
    accepted(&rosa, &file("Rosa Berg", "born = 1984-05-02\n"));
    let change = "change.01 = { at = 2026-01-05T10:00:00Z, of = \"name\", from = \"Rosa Lund\", to = \"Rosa Berg\" }\n";
    accepted(&file("Rosa Lund", ""), &file("Rosa Berg", change));
    let change = "change.01 = { at = 2026-01-05T10:00:00Z, of = \"born\", from = 1984, to = 1985-05-02 }\n";
    accepted(
        &file("Rosa Lund", "born = 1984\n"),
        &file("Rosa Lund", &format!("born = 1985-05-02\n{change}")),
    );
}

#[test]
fn what_was_noted_about_one_report_never_becomes_a_second_one() {
    let block = |rest: &str| {
        format!(
            "version = 2\nname = \"Rosa\"\n\n[[session]]\nat = 2026-11-20T18:45:00+01:00\nminutes = 10\n\
             consent = \"hands-on\"\nreport.01 = {{ stretch = \"calf\", form = \"wall\", side = \"left\", held_s = {rest} }}\n"
        )
    };
    let open = |ours: &str, theirs: &str| -> (String, Vec<String>) {
        let text = merged(&block(ours), &block(theirs), SamePerson::AsFarAsSeen).expect("merges");
        assert_eq!(text, merged(&block(theirs), &block(ours), SamePerson::AsFarAsSeen).expect("merges"));
        assert_eq!(text.matches("report.").count() - text.matches("\"report.").count(), 1, "{text}");
        let client = matside::store::client_from_bytes(text.as_bytes()).expect("reads");
        let open =
            client.sessions[0].disagreements.iter().map(|open| format!("{} {:?}", open.of, open.values));
        let row = text.lines().find(|line| line.starts_with("report.01")).unwrap_or_default();
        (row.to_owned(), open.collect())
    };
    // An answer, an angle and a remark that only one copy has complete the report.
    let (row, none) = open("30, level = 4", "30, angle_deg = 71, note = \"calm\"");
    assert!(row.contains("level = 4, angle_deg = 71, note = \"calm\"") && none.is_empty(), "{row}");
    // What differs is shown, and the value that protects the client counts until the trainer picks.
    let (row, said) = open("30, level = 4", "30, level = 5");
    assert!(row.contains("level = 5"), "{row}");
    assert_eq!(said, ["report.01.level [\"4\", \"5\"]"]);
    let (row, said) = open("30, level = 4", "12, ended = \"pain\", note = \"pulls\"");
    assert!(row.contains("ended = \"pain\"") && row.contains("level = 4"), "{row}");
    assert_eq!(said, ["report.01.held_s [\"12\", \"30\"]"]);
    // Another hold under the same number: one of them is shown, both are kept whole.
    let other = block("20, level = 3").replace("left", "right");
    let text = merged(&block("30, level = 4"), &other, SamePerson::AsFarAsSeen).expect("merges");
    assert_eq!(text, merged(&other, &block("30, level = 4"), SamePerson::AsFarAsSeen).expect("merges"));
    let client = matside::store::client_from_bytes(text.as_bytes()).expect("reads");
    assert_eq!(client.sessions[0].reports.len(), 1);
    assert_eq!(client.sessions[0].disagreements[0].of, "report.01");
    assert!(text.contains("side = \"left\"") && text.contains("side = \"right\""), "{text}");
}

#[test]
fn a_moment_that_a_tool_wrote_with_or_without_parts_of_a_second_is_the_same_session() {
    let block = |at: &str| {
        format!(
            "version = 1\nname = \"Rosa\"\n\n[[session]]\nat = {at}\nminutes = 10\nconsent = \"hands-on\"\n"
        )
    };
    let moments =
        ["2026-11-20T18:45:00.123456789+01:00", "2026-11-20T18:45:00.123456+01:00", "2026-11-20T17:45:00Z"];
    for (one, other) in [(0, 1), (1, 2), (0, 2)] {
        let text =
            merged(&block(moments[one]), &block(moments[other]), SamePerson::AsFarAsSeen).expect("merges");
        let client = matside::store::client_from_bytes(text.as_bytes()).expect("reads");
        assert_eq!(client.sessions.len(), 1, "{text}");
        assert!(client.sessions[0].disagreements.is_empty(), "{text}");
    }
    let twins = format!(
        "{}\n[[session]]\nat = {}\nminutes = 5\nconsent = \"declined\"\n",
        block(moments[0]),
        moments[2]
    );
    let refused = merged(&twins, &block(moments[1]), SamePerson::AsFarAsSeen).expect_err("two of one moment");
    assert!(
        refused.to_string().contains(":9:1: this session began in the same second as the one in line 4"),
        "{refused}"
    );
}
