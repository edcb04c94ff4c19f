//! What holds for any client: reading gives back what was written, and copies merge in any order.

use std::collections::BTreeMap;
use std::fs;

use chrono::{DateTime, FixedOffset, TimeDelta};
use matside::body::{Level, Seconds, Side};
use matside::client::{Client, Disagreement, Profile, Report, Screening, Session};
use matside::store::{merge_files, unite};
use proptest::prelude::*;

use super::any::{client, profile, session};
use super::sample::{Studio, id};

/// What two laptops may have done to a client since they last agreed.
#[derive(Debug, Clone)]
enum Change {
    Session(u8, Vec<u8>),
    Report(u8, u8),
    Answer(u8, u8),
    Close(u8),
    Rename(u8),
    Remark(u8),
    Like(u8),
    Screen(u8),
}

fn changes() -> impl Strategy<Value = Vec<Change>> {
    let change = prop_oneof![
        (0_u8..4, prop::collection::vec(0_u8..3, 0..3)).prop_map(|(day, steps)| Change::Session(day, steps)),
        (0_u8..4, 0_u8..3).prop_map(|(day, step)| Change::Report(day, step)),
        (0_u8..4, 0_u8..4).prop_map(|(day, which)| Change::Answer(day, which)),
        (0_u8..4).prop_map(Change::Close),
        (0_u8..3).prop_map(Change::Rename),
        (0_u8..3).prop_map(Change::Remark),
        (0_u8..3).prop_map(Change::Like),
        (0_u8..4).prop_map(Change::Screen),
    ];
    prop::collection::vec(change, 0..6)
}

fn start() -> Client {
    Client::new(Profile::new(id("rosa"), "Rosa"), Vec::new())
}

fn day_of(day: u8) -> DateTime<FixedOffset> {
    super::sample::at("2026-11-01T18:00:00+01:00") + TimeDelta::days(i64::from(day))
}

fn step(step: u8) -> Report {
    let side = if step.is_multiple_of(2) { Side::Left } else { Side::Right };
    Report { held: Seconds::new(u32::from(step) * 10), level: None, ..super::sample::report(side, 9) }
}

/// Does to a client what happened on one laptop.
fn changed(mut client: Client, changes: &[Change]) -> Client {
    let add = |session: &mut Session, report: Report| {
        let next = session.reports.last_key_value().map_or(1, |(last, _)| last + 1);
        session.reports.insert(next, report);
    };
    for change in changes {
        let found = match change {
            Change::Session(day, _)
            | Change::Report(day, _)
            | Change::Answer(day, _)
            | Change::Close(day) => client.sessions.iter_mut().find(|session| session.at == day_of(*day)),
            _ => None,
        };
        match (change, found) {
            (Change::Session(day, steps), None) => {
                let mut session = super::sample::session("2026-11-01T18:00:00+01:00");
                session.at = day_of(*day);
                for which in steps {
                    add(&mut session, step(*which));
                }
                client.sessions.push(session);
                client.sessions.sort_by_key(|session| session.at);
            }
            (Change::Report(_, which), Some(session)) => add(session, step(*which)),
            (Change::Answer(_, which), Some(session)) => {
                let open = session
                    .reports
                    .values_mut()
                    .filter(|report| report.level.is_none())
                    .nth(usize::from(*which));
                if let Some(report) = open {
                    report.level = Level::new(4).ok();
                }
            }
            (Change::Close(_), Some(session)) => session.closed = Some(session.at + TimeDelta::minutes(10)),
            (Change::Rename(which), _) => client.profile.name = format!("Rosa {which}"),
            (Change::Remark(which), _) => client.profile.note = format!("remark {which}"),
            (Change::Like(which), _) => {
                let word: matside::catalogue::StretchId = format!("s{which}").parse().expect("a plain word");
                if !client.profile.likes.contains(&word) {
                    client.profile.likes.push(word);
                }
            }
            (Change::Screen(which), _) => {
                let on = day_of(*which / 2).date_naive();
                let note = format!("{}", which % 2);
                let screening = Screening { note, ..Screening::clear(on) };
                if !client.profile.screenings.contains(&screening) {
                    client.profile.screenings.push(screening);
                }
            }
            _ => {}
        }
    }
    client
}

/// One copy: what it says and what is not settled.
type Copied = (Client, Vec<Disagreement>);

fn both(a: &Copied, b: &Copied) -> Copied {
    let known: Vec<Disagreement> = a.1.iter().chain(&b.1).cloned().collect();
    let merged = unite(&a.0, &b.0, &known);
    (merged.client, merged.clashes)
}

/// The profile, the sessions apart from their reports, and what is not settled.
type Meaning = (Profile, Vec<(Session, Vec<String>)>, Vec<Disagreement>);

/// A copy without what may differ: the order of lists and the numbers of reports.
fn meaning(copy: &Copied) -> Meaning {
    let mut profile = copy.0.profile.clone();
    profile.likes.sort();
    profile.screenings.sort_by_key(|screening| (screening.on, screening.note.clone()));
    let sessions = copy.0.sessions.iter().map(|session| {
        let mut reports: Vec<String> = session.reports.values().map(|report| format!("{report:?}")).collect();
        reports.sort();
        (Session { reports: BTreeMap::new(), ..session.clone() }, reports)
    });
    (profile, sessions.collect(), copy.1.clone())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(40)) })]

    #[test]
    fn what_is_written_reads_back(client in client(), wanted in profile(), more in session()) {
        let studio = Studio::new();
        studio.store.create_client(&client).expect("creates");
        prop_assert_eq!(studio.store.load(&id("rosa")).expect("loads"), client.clone());
        studio.store.save_profile(&wanted).expect("saves");
        let mut expected = Client { profile: wanted, ..client };
        prop_assert_eq!(studio.store.load(&id("rosa")).expect("loads"), expected.clone());
        if expected.sessions.iter().all(|session| session.at != more.at) {
            studio.store.begin(&id("rosa"), &more).expect("begins");
            expected.sessions.push(more);
            expected.sessions.sort_by_key(|session| session.at);
            prop_assert_eq!(studio.store.load(&id("rosa")).expect("loads"), expected.clone());
        }
        let roster = studio.store.roster().expect("lists");
        prop_assert_eq!(roster.entries[0].last, expected.sessions.last().map(|session| session.at));
        prop_assert_eq!(studio.store.check().expect("checks"), []);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(300)) })]

    #[test]
    fn copies_merge_in_any_order_and_any_number_of_times(
        common in changes(), one in changes(), two in changes(), three in changes(),
    ) {
        let common = changed(start(), &common);
        let [a, b, c] = [one, two, three].map(|changes| (changed(common.clone(), &changes), Vec::new()));
        prop_assert_eq!(meaning(&both(&a, &a)), meaning(&a));
        prop_assert_eq!(meaning(&both(&a, &b)), meaning(&both(&b, &a)));
        prop_assert_eq!(meaning(&both(&both(&a, &b), &b)), meaning(&both(&a, &b)));
        prop_assert_eq!(meaning(&both(&both(&a, &b), &c)), meaning(&both(&a, &both(&b, &c))));
        // Nothing is dropped: every session and report of either is there.
        let united = both(&a, &b).0;
        for session in a.0.sessions.iter().chain(&b.0.sessions) {
            let there = united.sessions.iter().find(|there| there.at == session.at).expect("is there");
            for report in session.reports.values() {
                let same = |other: &Report| Report { level: None, ..other.clone() } == Report { level: None, ..report.clone() };
                prop_assert!(there.reports.values().any(same));
            }
            prop_assert!(there.reports.len() >= session.reports.len());
        }
    }
}

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
    let merged = merge_files(&a, &b).expect("merges");
    assert_eq!((merged.added_sessions, merged.added_reports), (1, 2));
    let text = fs::read_to_string(&a).expect("is text");
    insta::assert_snapshot!(text);
    assert_eq!(merge_files(&a, &b).expect("merges").added_reports, 0);
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
    merge_files(&a, &b).expect("merges");
    let text = fs::read_to_string(&a).expect("is text");
    for kept in ["# ours", "on = 2026-02-07", "by = \"Bo\"", "form = 3", "phone = \"555\""] {
        assert!(text.contains(kept), "{kept}: {text}");
    }
    assert!(text.contains("by = \"Ada\""), "{text}");
    merge_files(&b, &a).expect("merges");
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
        merge_files(into, other).expect("merges");
        let text = fs::read_to_string(into).expect("is text");
        for kept in ["'''mild\r\nand\ncalm'''", "\"\"\"fine\r\ntoday\"\"\""] {
            assert!(text.contains(kept), "{kept:?} is lost in {text:?}");
        }
        merge_files(into, other).expect("merges");
        assert_eq!(fs::read_to_string(into).expect("is text"), text, "a second time changes nothing");
    }
    // So do they where a profile is changed in a file with other line ends.
    let by_hand = "version = 2\r\nname = \"Rosa\"\r\nmood = '''mild\r\nand\ncalm'''\r\n";
    let studio = Studio::with(by_hand);
    let mut profile = studio.store.load(&id("rosa")).expect("loads").profile;
    profile.name = "Rosalind".to_owned();
    studio.store.save_profile(&profile).expect("saves");
    assert_eq!(studio.text("rosa"), by_hand.replace("Rosa", "Rosalind"));
}

#[test]
fn a_clash_stays_until_the_trainer_settles_it() {
    let studio = Studio::with("version = 2\nname = \"Rosa\"\n");
    let copy = studio.file("rosa").with_file_name("rosa (1).toml");
    fs::write(&copy, "version = 2\nname = \"Rosalind\"\n").expect("writes");
    assert_eq!(studio.store.copies().expect("lists"), [(id("rosa"), copy.clone())]);
    let merged = studio.store.merge_copy(&id("rosa"), &copy).expect("merges");
    let values = vec!["\"Rosa\"".to_owned(), "\"Rosalind\"".to_owned()];
    let clash = Disagreement { of: "name".to_owned(), values };
    assert_eq!(merged.clashes, std::slice::from_ref(&clash));
    assert_eq!(studio.store.clashes(&id("rosa")).expect("reads"), [clash]);
    let mut profile = studio.store.load(&id("rosa")).expect("loads").profile;
    profile.name = "Rosa".to_owned();
    studio.store.save_profile(&profile).expect("saves");
    assert_eq!(studio.store.clashes(&id("rosa")).expect("reads").len(), 1);
    studio.store.settle(&id("rosa"), "name").expect("settles");
    assert_eq!(studio.text("rosa"), "version = 2\nname = \"Rosa\"\n");
    let removed = studio.store.forget(&id("rosa")).expect("forgets");
    assert_eq!(removed, [studio.file("rosa"), copy]);
    for folder in ["clients", "locks"] {
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
    let result = one.store.merge_folder(&two.store).expect("merges");
    assert_eq!(result.copied, [id("otto")]);
    assert_eq!(result.merged[0].1.added_sessions, 1);
    assert!(result.problems.is_empty());
    assert_eq!(one.text("rosa"), two.text("rosa"));
}
