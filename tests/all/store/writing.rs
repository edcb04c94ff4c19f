//! What is written stands in the file, and everything else stays as a person wrote it.

use chrono::NaiveDate;
use matside::body::Side;
use matside::caution::{RecordedCondition, parse_recorded};
use matside::client::{Aim, Profile};
use matside::store::StoreError;

use super::sample::{Studio, at, id, profile, report, session, who};

#[test]
fn a_session_written_report_by_report_reads_like_a_sheet_and_reads_back() {
    let studio = Studio::new();
    studio.store.create(&profile("Rosa Achterberg")).expect("creates");
    let mut journal = studio.store.begin(&id("rosa"), &session("2026-11-20T18:45:00+01:00")).expect("begins");
    assert_eq!(journal.report(&report(Side::Left, 4)).expect("saves"), 1);
    assert_eq!(journal.report(&report(Side::Right, 3)).expect("saves"), 2);
    journal.close(at("2026-11-20T18:54:40+01:00"), "calm").expect("closes");
    assert_eq!(
        studio.text("rosa"),
        r#"version = 2
name = "Rosa Achterberg"

[[session]]
at = 2026-11-20T18:45:00+01:00
minutes = 10
trained = { hamstrings = 3 }
consent = "hands-on"
report.01 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "left", method = "static", held_s = 30, level = 4 }
report.02 = { stretch = "straight-leg-raise", form = "hand-on-heel", side = "right", method = "static", held_s = 30, level = 3 }
note = "calm"
closed = 2026-11-20T18:54:40+01:00
"#
    );
    let client = studio.other().load(&id("rosa")).expect("loads");
    assert_eq!(client.sessions.len(), 1);
    assert_eq!(client.sessions[0].reports[&2], report(Side::Right, 3));
    assert_eq!(client.sessions[0].note, "calm");
}

const BY_HAND: &str = "# from the intake form\r
version = 1\r
name = 'Rosa Achterberg' # as on her card\r
likes = [ # she said so\r
  \"calf-wall\", # always\r
]\r
shoe_size = 0x26\r
\r
# the big one\r
[[condition]]\r
id = \"knee-pain\" # see letter\r
side = \"left\"\r
letter = \"2026-03-01.pdf\"\r
\r
# sessions from here\r
[[session]]\r
at = 2026-11-20T18:45:00Z # late\r
minutes = 10\r
consent = \"hands-on\"\r
report.01 = { stretch = \"calf\", form = \"wall\", side = \"left\", held_s = 30, mood = \"fine\" } # ok\r
closed = 2026-11-20T18:54:40Z\r
# end\r
";

#[test]
fn a_profile_change_touches_nothing_else_in_a_file_written_by_hand() {
    for mark in ["", "\u{feff}"] {
        let studio = Studio::with(&format!("{mark}{BY_HAND}"));
        let mut profile = studio.store.load(&id("rosa")).expect("loads").profile;
        profile.name = "Rosa Achterberg-Lund".to_owned();
        profile.aims = vec![Aim::Calm];
        profile.conditions[0].cleared_by = Some("surgeon, 2026-05-02".to_owned());
        profile.likes.push("child-pose".parse().expect("a plain word"));
        studio.store.save_profile(&profile, &who()).expect("saves");
        let change = "change.01 = { at = 2026-11-25T10:00:00+01:00, of = \"name\", from = \"Rosa Achterberg\", \
            to = \"Rosa Achterberg-Lund\" }\r\n";
        let expected = BY_HAND
            .replace("version = 1", "version = 2")
            .replace("'Rosa Achterberg' #", "\"Rosa Achterberg-Lund\" #")
            .replace("  \"calf-wall\", # always\r\n]", "  \"calf-wall\", \"child-pose\", # always\r\n]")
            .replace("shoe_size = 0x26\r\n", &format!("shoe_size = 0x26\r\naims = [\"calm\"]\r\n{change}"))
            .replace(
                "letter = \"2026-03-01.pdf\"\r\n",
                "letter = \"2026-03-01.pdf\"\r\ncleared_by = \"surgeon, 2026-05-02\"\r\n",
            );
        assert_eq!(studio.text("rosa"), format!("{mark}{expected}"));
        assert_eq!(studio.other().load(&id("rosa")).expect("loads").profile, profile);
    }
}

#[test]
fn an_amended_report_keeps_what_is_not_understood() {
    let studio = Studio::with(BY_HAND);
    let client = studio.store.load(&id("rosa")).expect("loads");
    let mut report = client.sessions[0].reports[&1].clone();
    report.level = matside::body::Level::new(4).ok();
    studio.store.amend(&id("rosa"), client.sessions[0].at, 1, &report, &who()).expect("amends");
    let expected = BY_HAND
        .replace("version = 1", "version = 2")
        .replace("mood = \"fine\" }", "mood = \"fine\", level = 4 }");
    assert_eq!(studio.text("rosa"), expected);
    let missing = studio.store.amend(&id("rosa"), client.sessions[0].at, 7, &report, &who());
    assert!(matches!(missing, Err(StoreError::Missing { .. })));
}

#[test]
fn an_appended_session_leaves_a_file_written_by_hand_as_it_was() {
    let studio = Studio::with(BY_HAND);
    let mut journal = studio.store.begin(&id("rosa"), &session("2026-11-27T18:45:00+01:00")).expect("begins");
    journal.report(&report(Side::Left, 4)).expect("saves");
    let text = studio.text("rosa");
    assert!(text.starts_with(&BY_HAND.replace("version = 1", "version = 2")), "{text}");
    assert!(!text.replace("\r\n", "").contains('\n'), "{text}");
    drop(journal);
    let (resumed, mut journal) = studio
        .store
        .resume(&id("rosa"), at("2026-11-27T18:45:00+01:00"))
        .expect("reads")
        .expect("was cut off");
    assert_eq!(resumed.reports.len(), 1);
    assert_eq!(journal.report(&report(Side::Right, 4)).expect("saves"), 2);
}

#[test]
fn whatever_a_record_of_a_condition_tells_is_kept() {
    let day = NaiveDate::from_ymd_opt(2026, 11, 20).expect("a day of the calendar");
    let read = |word: &str| parse_recorded(word).expect(word).told_on(day);
    let conditions: Vec<RecordedCondition> = [
        "joint-inflammation:left:knee",
        "muscle-strain:right:hamstrings:since=2026-11-12",
        "pregnancy:week=12",
        "hip-replacement-posterior:left:since=2026-03-02:cleared=surgeon, 2026-05-02",
    ]
    .map(read)
    .to_vec();
    let studio = Studio::new();
    let rosa = Profile { conditions: conditions.clone(), ..profile("Rosa Achterberg") };
    studio.store.create(&rosa).expect("creates");
    assert_eq!(studio.other().load(&id("rosa")).expect("loads").profile.conditions, conditions);
}

#[test]
fn a_week_without_its_day_is_taken_as_unknown() {
    // A week alone stands still: early for ever would be the dangerous side.
    let studio = Studio::with("version = 1\nname = \"Rosa\"\n[[condition]]\nid = \"pregnancy\"\nweek = 8\n");
    let client = studio.other().load(&id("rosa")).expect("loads");
    assert_eq!(client.profile.conditions[0].week, None);
}
