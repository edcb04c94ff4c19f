//! Several laptops work with copies of one client and merge them at will: nothing is lost, nothing is doubled, and what
//! protects the client counts.

use std::collections::BTreeSet;
use std::fs;

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};
use matside::body::{Level, Seconds, Side};
use matside::caution::RecordedCondition;
use matside::client::{
    Attribution, Client, Consent, ConsentLimit, Disagreement, Ended, Profile, Report, Screening, Session,
    TakenBack, Touch,
};
use matside::store::{Pick, SamePerson, client_from_bytes, merge_files};
use proptest::prelude::*;

use super::sample::{Studio, at, id, report, session};
use super::toml_1_0::is_first_version;

/// What a trainer does on one laptop.
#[derive(Debug, Clone)]
enum Deed {
    /// A session, with what each report is.
    Begin(u8, Vec<u8>),
    /// One more report of a session.
    Report(u8, u8),
    /// A report gets another answer.
    Answer(u8, u8, u8),
    /// A report is mended: it hurt.
    Pain(u8, u8),
    /// A remark on a session.
    Remark(u8, u8),
    Close(u8),
    Reopen(u8),
    Narrow(u8),
    Lift(u8),
    TakeBack(u8),
    Rename(u8),
    Note(u8),
    /// A condition is noted, or is over.
    Condition(u8, bool),
    /// A stretch is liked, or no longer.
    Like(u8, bool),
    Screen(u8, bool),
    Massage(bool),
    Tight(bool),
    /// The first thing about which copies disagree is settled by what is shown.
    Settle,
}

fn deed() -> impl Strategy<Value = Deed> {
    let day = || 0_u8..3;
    prop_oneof![
        3 => (day(), prop::collection::vec(0_u8..4, 0..3)).prop_map(|(day, steps)| Deed::Begin(day, steps)),
        3 => (day(), 0_u8..4).prop_map(|(day, step)| Deed::Report(day, step)),
        4 => (day(), 0_u8..3, 1_u8..=5).prop_map(|(day, number, level)| Deed::Answer(day, number, level)),
        2 => (day(), 0_u8..3).prop_map(|(day, number)| Deed::Pain(day, number)),
        1 => (day(), 0_u8..3).prop_map(|(day, which)| Deed::Remark(day, which)),
        1 => day().prop_map(Deed::Close),
        1 => day().prop_map(Deed::Reopen),
        1 => day().prop_map(Deed::Narrow),
        1 => day().prop_map(Deed::Lift),
        1 => day().prop_map(Deed::TakeBack),
        2 => (0_u8..3).prop_map(Deed::Rename),
        2 => (0_u8..3).prop_map(Deed::Note),
        2 => (0_u8..2, any::<bool>()).prop_map(|(which, over)| Deed::Condition(which, over)),
        2 => (0_u8..3, any::<bool>()).prop_map(|(which, likes)| Deed::Like(which, likes)),
        1 => (0_u8..3, any::<bool>()).prop_map(|(day, clear)| Deed::Screen(day, clear)),
        1 => any::<bool>().prop_map(Deed::Massage),
        1 => any::<bool>().prop_map(Deed::Tight),
        1 => Just(Deed::Settle),
    ]
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    prop::collection::vec(deed(), 0..7)
}

fn moment_of(day: u8) -> DateTime<FixedOffset> {
    at("2026-11-01T18:00:00+01:00") + TimeDelta::days(i64::from(day))
}

fn day_of(day: u8) -> NaiveDate {
    moment_of(day).date_naive()
}

fn step(which: u8) -> Report {
    let side = if which.is_multiple_of(2) { Side::Left } else { Side::Right };
    Report { held: Seconds::new(20 + u32::from(which)), level: None, ..report(side, 9) }
}

/// A laptop with its clock, which goes on with everything that is done.
struct Laptop {
    studio: Studio,
    clock: i64,
}

impl Laptop {
    fn with(text: &str, clock: i64) -> Self {
        Self { studio: Studio::with(text), clock }
    }

    fn text(&self) -> String {
        self.studio.text("rosa")
    }

    fn client(&self) -> Client {
        self.studio.store.load(&id("rosa")).expect("loads")
    }

    fn who(&mut self) -> Attribution {
        self.clock += 60;
        let at = at("2026-11-20T10:00:00+01:00") + TimeDelta::seconds(self.clock);
        Attribution { at, by: "Ada".to_owned() }
    }

    fn save(&mut self, change: impl FnOnce(&mut Profile)) {
        let mut profile = self.client().profile;
        change(&mut profile);
        let who = self.who();
        self.studio.store.save_profile(&profile, &who).expect("saves");
    }

    fn edit(&mut self, day: u8, change: impl FnOnce(&mut Session)) {
        if self.client().session(moment_of(day)).is_some() {
            let who = self.who();
            self.studio.store.edit_session(&id("rosa"), moment_of(day), &who, change).expect("is edited");
        }
    }

    fn amend(&mut self, day: u8, number: u8, change: impl FnOnce(&mut Report)) {
        let open = format!("report.{:02}", number + 1);
        self.edit(day, |session| {
            // What is not settled as a whole is not changed in part.
            let is_open = session.disagreements.iter().any(|disagreement| disagreement.of == open);
            if let Some(report) = session.reports.get_mut(&(u32::from(number) + 1)).filter(|_| !is_open) {
                change(report);
            }
        });
    }

    fn begin(&mut self, day: u8, steps: &[u8]) {
        let client = self.client();
        let is_gone = client.taken_back.iter().any(|(session, _)| session.at == moment_of(day));
        if client.session(moment_of(day)).is_none() && !is_gone {
            let mut new = session("2026-11-01T18:00:00+01:00");
            new.at = moment_of(day);
            new.reports = (1..).zip(steps.iter().map(|&which| step(which))).collect();
            self.studio.store.begin(&id("rosa"), &new).expect("begins");
        }
    }

    fn settle(&mut self) {
        let open = self.studio.store.disagreements(&id("rosa")).expect("reads");
        if let Some(first) = open.first() {
            let who = self.who();
            self.studio.store.settle(&id("rosa"), first, &Pick::Shown, &who).expect("settles");
        }
    }

    fn does(&mut self, deed: &Deed) {
        match deed {
            Deed::Begin(day, steps) => self.begin(*day, steps),
            Deed::Report(day, which) => self.edit(*day, |session| {
                let number =
                    session.reports.keys().chain(session.taken_back.keys()).max().map_or(1, |last| last + 1);
                session.reports.insert(number, step(*which));
            }),
            Deed::Answer(day, number, level) => {
                self.amend(*day, *number, |report| report.level = Level::new(i64::from(*level)).ok());
            }
            Deed::Pain(day, number) => self.amend(*day, *number, |report| report.ended = Ended::Pain),
            Deed::Remark(day, which) => self.edit(*day, |session| session.note = format!("remark {which}")),
            Deed::Close(day) => {
                let end = moment_of(*day) + TimeDelta::minutes(10);
                self.edit(*day, |session| session.closed = Some(end));
            }
            Deed::Reopen(day) => self.edit(*day, |session| session.closed = None),
            Deed::Narrow(day) => {
                self.edit(*day, |session| session.narrow(ConsentLimit::MatBetween, moment_of(*day)));
            }
            Deed::Lift(day) => self.edit(*day, |session| {
                session.lift(ConsentLimit::MatBetween, moment_of(*day) + TimeDelta::seconds(30));
            }),
            Deed::TakeBack(day) => {
                if self.client().session(moment_of(*day)).is_some() {
                    let Attribution { at, by } = self.who();
                    let taken_back = TakenBack { at, by, note: "a slip".to_owned() };
                    let store = &self.studio.store;
                    store.take_back(&id("rosa"), moment_of(*day), Some(&taken_back)).expect("takes back");
                }
            }
            Deed::Rename(which) => self.save(|profile| profile.name = format!("Rosa {which}")),
            Deed::Note(which) => self.save(|profile| profile.note = format!("note {which}")),
            Deed::Condition(which, over) => self.save(|profile| {
                let word = ["knee-pain", "disc-pain"][usize::from(*which)];
                let found = profile.conditions.iter_mut().find(|condition| condition.id.as_str() == word);
                match found {
                    Some(condition) => condition.until = over.then(|| day_of(2)),
                    None => profile.conditions.push(RecordedCondition::new(word.parse().expect("a word"))),
                }
            }),
            Deed::Like(which, likes) => self.save(|profile| {
                let word: matside::catalogue::StretchId = format!("s{which}").parse().expect("a plain word");
                profile.likes.retain(|other| *other != word);
                if *likes {
                    profile.likes.push(word);
                }
            }),
            Deed::Screen(day, clear) => self.save(|profile| {
                let screening = if *clear {
                    Screening::clear(day_of(*day))
                } else {
                    Screening::left_open(day_of(*day), "chest pain at rest")
                };
                if !profile.screenings.contains(&screening) {
                    profile.screenings.push(screening);
                }
            }),
            Deed::Massage(given) => self.save(|profile| profile.agree(Touch::Massage, *given, day_of(0), "")),
            Deed::Tight(tight) => self.save(|profile| {
                let unit = matside::body::Unit { muscle: matside::body::Muscle::Soleus, side: Side::Left };
                if *tight {
                    profile.note_tight(unit, day_of(0), "");
                } else {
                    profile.take_off_tight(unit, day_of(1));
                }
            }),
            Deed::Settle => self.settle(),
        }
    }

    fn all(text: &str, clock: i64, deeds: &[Deed]) -> String {
        let mut laptop = Self::with(text, clock);
        for deed in deeds {
            laptop.does(deed);
        }
        laptop.text()
    }
}

fn merged(ours: &str, theirs: &str) -> String {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let [a, b] = ["a.toml", "b.toml"].map(|name| folder.path().join(name));
    fs::write(&a, ours).expect("writes");
    fs::write(&b, theirs).expect("writes");
    merge_files(&a, &b, SamePerson::Said).unwrap_or_else(|error| panic!("{error}\n{ours}\n----\n{theirs}"));
    let text = fs::read_to_string(&a).expect("is text");
    is_first_version(&text);
    text
}

fn read(text: &str) -> Client {
    client_from_bytes(text.as_bytes()).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// Every session with its reports, whether they count or not.
fn reports(client: &Client) -> BTreeSet<(DateTime<FixedOffset>, u32)> {
    let gone = client.taken_back.iter().map(|(session, _)| session);
    let sessions = client.sessions.iter().chain(gone);
    sessions
        .flat_map(|session| {
            let numbers = session.reports.keys().chain(session.taken_back.keys());
            numbers.map(|number| (session.at, *number)).collect::<Vec<_>>()
        })
        .collect()
}

fn ats(client: &Client) -> BTreeSet<DateTime<FixedOffset>> {
    client
        .sessions
        .iter()
        .chain(client.taken_back.iter().map(|(session, _)| session))
        .map(|one| one.at)
        .collect()
}

/// The seconds of every hold of a copy are shown, open, or kept as written over.
fn holds_are_kept(text: &str, of: &str) {
    let united = read(text);
    for session in &read(of).sessions {
        let Some(there) = united.session(session.at) else { continue };
        for (number, report) in &session.reports {
            let Some(other) = there.reports.get(number) else { continue };
            let held = report.held.get().to_string();
            let about = format!("report.{number:02}");
            let mut open = there.disagreements.iter().filter(|open| open.of.starts_with(&about));
            let is_open = open.any(|open| open.values.iter().any(|value| value.contains(&held)));
            let mut changes = there.changes.iter().filter(|change| change.of.starts_with(&about));
            let is_past = changes.any(|change| change.from.as_ref().is_some_and(|from| from.contains(&held)));
            assert!(
                other.held == report.held || is_open || is_past,
                "{held} s are lost: {of}\n---->\n{text}"
            );
        }
    }
}

/// What a merge may not lose, of what one copy says.
fn is_kept(text: &str, of: &str) {
    let (united, copy) = (read(text), read(of));
    let said = || format!("{of}\n---->\n{text}");
    assert!(ats(&copy).is_subset(&ats(&united)), "a session is lost: {}", said());
    assert!(reports(&copy).is_subset(&reports(&united)), "a report is lost: {}", said());
    for change in &copy.changes {
        assert!(united.changes.contains(change), "what was written over is lost: {}", said());
    }
    // Every value that the copy showed is shown, or open, or is kept as written over.
    for word in [&copy.profile.name, &copy.profile.note] {
        assert!(word.is_empty() || text.contains(&format!("\"{word}\"")), "`{word}` is lost: {}", said());
    }
    for session in &copy.sessions {
        let Some(there) = united.session(session.at) else { continue };
        for (number, report) in &session.reports {
            let Some(other) = there.reports.get(number) else { continue };
            let about = format!("report.{number:02}");
            let is_open = there.disagreements.iter().any(|open| open.of == about);
            let level = report.level.map(|level| level.get().to_string());
            let of = format!("report.{number:02}.level");
            let known = |level: &String| {
                let open =
                    there.disagreements.iter().any(|open| open.of == of && open.values.contains(level));
                let changed =
                    there.changes.iter().any(|change| change.of == of && change.from.as_ref() == Some(level));
                open || changed || other.level.map(|level| level.get().to_string()).as_ref() == Some(level)
            };
            assert!(is_open || level.as_ref().is_none_or(known), "an answer is lost: {}", said());
        }
        // What protects the client is not weakened by the other copy's silence.
        if session.consent != Consent::HandsOn {
            assert_ne!(there.consent, Consent::HandsOn, "{}", said());
        }
    }
    let today = day_of(9);
    let is_over = |of: &str| united.changes.iter().any(|change| change.of == of || change.of.starts_with(of));
    for condition in copy.profile.conditions.iter().filter(|condition| condition.until.is_none()) {
        let of = format!("condition.{}", condition.id);
        let there = united.profile.conditions.iter().find(|other| other.is_about_the_same(condition));
        assert!(there.is_some() || is_over(&of), "a condition is lost: {}", said());
    }
    for (on, open) in copy.profile.open_points(today) {
        let there = united.profile.screenings.iter().any(|screening| {
            screening.on == on && screening.open.iter().any(|point| point.what == open.what)
        });
        assert!(there, "something open is lost: {}", said());
    }
}

#[test]
fn copies_that_say_less_keep_the_order_of_rows_whichever_are_merged_first() {
    let conditions = |ids: &[&str]| {
        let rows = ids.iter().map(|id| format!("\n[[condition]]\nid = \"{id}\"\n"));
        format!("version = 2\nname = \"Rosa\"\n{}", rows.collect::<String>())
    };
    let [both, knee, disc] =
        [&["knee-pain", "disc-pain"][..], &["knee-pain"], &["disc-pain"]].map(conditions);
    assert_eq!(merged(&merged(&both, &knee), &disc), both);
    assert_eq!(merged(&both, &merged(&knee, &disc)), both);
    assert_eq!(merged(&merged(&disc, &knee), &both), both);
}

#[test]
fn a_text_that_a_person_wrote_stays_whichever_copies_are_merged_first() {
    let own = "version = 2\nname   =   \"Rosa\"\nborn=1984\nmass_kg=  68\n";
    let [born, mass] =
        ["born = 1984\n", "mass_kg = 68\n"].map(|line| format!("version = 2\nname = \"Rosa\"\n{line}"));
    assert_eq!(merged(&merged(own, &born), &mass), own);
    assert_eq!(merged(own, &merged(&born, &mass)), own);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(60)) })]

    #[test]
    fn copies_merge_in_both_directions_to_the_same_bytes_and_any_number_of_times(
        common in deeds(), one in deeds(), two in deeds(),
    ) {
        let start = Laptop::all("version = 2\nname = \"Rosa\"\n", 0, &common);
        let (a, b) = (Laptop::all(&start, 10_000, &one), Laptop::all(&start, 10_030, &two));
        let ab = merged(&a, &b);
        prop_assert_eq!(&merged(&b, &a), &ab);
        prop_assert_eq!(&merged(&a, &a), &a);
        for copy in [&a, &b, &start] {
            prop_assert_eq!(&merged(&ab, copy), &ab);
            prop_assert_eq!(&merged(copy, &ab), &ab);
        }
        is_kept(&ab, &a);
        is_kept(&ab, &b);
    }

    #[test]
    fn a_copy_that_is_only_older_changes_nothing(common in deeds(), since in deeds()) {
        let start = Laptop::all("version = 2\nname = \"Rosa\"\n", 0, &common);
        let now = Laptop::all(&start, 10_000, &since);
        prop_assert_eq!(&merged(&now, &start), &now);
        prop_assert_eq!(&merged(&start, &now), &now);
    }

    #[test]
    fn what_was_settled_stays_settled(common in deeds(), one in deeds(), two in deeds()) {
        let start = Laptop::all("version = 2\nname = \"Rosa\"\n", 0, &common);
        let (a, b) = (Laptop::all(&start, 10_000, &one), Laptop::all(&start, 10_030, &two));
        let mut laptop = Laptop::with(&merged(&a, &b), 20_000);
        while !laptop.studio.store.disagreements(&id("rosa")).expect("reads").is_empty() {
            laptop.settle();
        }
        let settled = laptop.text();
        for copy in [&a, &b, &start, &merged(&a, &b)] {
            let again = merged(&settled, copy);
            let client = read(&again);
            prop_assert!(client.disagreements.is_empty(), "{}", again);
            prop_assert!(client.sessions.iter().all(|session| session.disagreements.is_empty()), "{}", again);
            prop_assert_eq!(&again, &settled);
        }
    }

    #[test]
    fn three_copies_merge_in_any_order(common in deeds(), one in deeds(), two in deeds(), three in deeds()) {
        let start = Laptop::all("version = 2\nname = \"Rosa\"\n", 0, &common);
        let a = Laptop::all(&start, 10_000, &one);
        let b = Laptop::all(&start, 10_020, &two);
        let c = Laptop::all(&start, 10_040, &three);
        let all = merged(&merged(&a, &b), &c);
        for other in [merged(&a, &merged(&b, &c)), merged(&merged(&c, &a), &b)] {
            // Unlike holds under one number may be listed with other variants; none of them is lost.
            let is_whole = |open: &Disagreement| open.of.split('.').count() == 2 && open.of.starts_with("report.");
            let mut sessions = read(&all).sessions.into_iter();
            if sessions.any(|session| session.disagreements.iter().any(is_whole)) {
                for (copy, text) in [&a, &b, &c].into_iter().flat_map(|copy| [(copy, &all), (copy, &other)]) {
                    is_kept(text, copy);
                    holds_are_kept(text, copy);
                }
            } else {
                prop_assert_eq!(&other, &all);
            }
        }
    }
}
