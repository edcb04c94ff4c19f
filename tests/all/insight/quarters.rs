//! The year and ten years, by calendar quarter.

use matside::insight::quarters::{NoteEvent, PastEvent, Quarter, Quarters};
use matside::insight::sides::SideBasis;
use matside::words;

use super::*;

fn of(client: &Client) -> Quarters {
    Quarters::of(client, Catalogue::built_in(), today())
}

fn quarter(year: i32, number: u32) -> Quarter {
    Quarter { year, number }
}

/// Sessions that measured both sides, so many days before 20 November 2026.
fn measured_ago(values: &[(u64, i64, i64)]) -> Client {
    client(values.iter().map(|&(ago, left, right)| session(ago, measured(left, right))))
}

#[test]
fn a_quarter_has_its_median_its_lowest_and_highest_and_how_many() {
    // 20, 10 and 1 November; 12 August; the same quarter of the year before.
    let client = measured_ago(&[(380, 60, 62), (100, 70, 70), (19, 66, 75), (10, 64, 72), (0, 71, 74)]);
    let quarters = of(&client);
    let all: Vec<Quarter> = quarters.all.clone();
    assert_eq!((all.first(), all.last(), all.len()), (Some(&quarter(2025, 4)), Some(&quarter(2026, 4)), 5));
    let degrees = &quarters.degrees[0];
    let left = degrees.sides[0][&quarter(2026, 4)];
    assert_eq!((left.median, left.range, left.count), (660, [640, 710], 3));
    let right = degrees.sides[1][&quarter(2026, 4)];
    assert_eq!((right.median, right.range, right.count), (740, [720, 750], 3));
    let apart = degrees.apart[&quarter(2026, 4)];
    assert_eq!((apart.median, apart.range), (-80, [-90, -30]));
    assert_eq!(degrees.sides[0][&quarter(2026, 3)].count, 1, "a lone dot");
    assert!(!degrees.sides[0].contains_key(&quarter(2026, 1)), "nothing was measured");
    // One measurement of a woman or of somebody unknown: 1.96 x 4.2 degrees (Lopez-Minarro et al. 2009).
    assert_eq!(degrees.error, 82);
    // Two gaps of more than six weeks.
    assert_eq!(quarters.gaps.len(), 2);
}

#[test]
fn years_are_held_against_each_other_by_the_same_quarter() {
    // Three of each: 3.7 x 4.2 / sqrt 2 x sqrt(1/3 + 1/3) = 8.97 degrees, as of a change.
    let of_years = |later: i64| {
        let before = [375, 372, 370].map(|ago| (ago, 60, 60));
        let now = [10, 7, 5].map(|ago| (ago, later, later));
        let quarters = of(&measured_ago(&[&before[..], &[(180, 90, 90)], &now[..]].concat()));
        let years = quarters.degrees[0].years.clone();
        assert_eq!(years.len(), 1, "never against another season");
        (years[0].quarter, years[0].change)
    };
    let (at, change) = of_years(69);
    assert_eq!((at, change.from, change.to, change.beyond), (quarter(2026, 4), 600, 690, 90));
    assert!(change.is_change);
    assert!(!of_years(68).1.is_change);
}

#[test]
fn answers_work_and_seconds_are_counted_by_quarter() {
    let client = client([
        session(100, both(4, 3)),
        session(9, both(4, 3)),
        session(6, turned(3, 4)),
        session(2, both(4, 4)),
    ]);
    let quarters = of(&client);
    assert_eq!(quarters.answers[0].muscle, HAMSTRINGS);
    assert_eq!(quarters.answers[0].answers[&quarter(2026, 3)], [1, 0, 0]);
    assert_eq!(quarters.answers[0].answers[&quarter(2026, 4)], [1, 1, 1]);
    let work = quarters.work.iter().find(|work| work.muscle == HAMSTRINGS).expect("trained and stretched");
    assert_eq!(work.sessions[&quarter(2026, 4)], [3, 3]);
    // 13 and 14 November fall into one week, 18 November into the next.
    let seconds = work.seconds[0][&quarter(2026, 4)];
    assert_eq!((seconds.range, seconds.count), ([30, 60], 2));
    let lines = words::answers_by_quarter(&quarters);
    assert_eq!(
        lines,
        [
            "Hamstrings: left higher 2, right higher 1, alike 1; left to right by quarter: 2026 Q4 1:1, 2026 Q3 1:0"
        ]
    );
    let lines = words::work_by_quarter(&quarters);
    assert!(lines.iter().any(|line| line.starts_with("Hamstrings: trained 4, stretched 4;")), "{lines:?}");
    let lines = words::seconds_by_quarter(&quarters);
    assert!(
        lines
            .iter()
            .any(|line| line.starts_with("Hamstrings: 2026 Q4 left 45 s (30 to 60), right 45 s (30 to 60)")),
        "{lines:?}"
    );
}

#[test]
fn what_happened_stands_in_a_table_the_newest_first() {
    let mut client = client([
        session(200, [said(Side::Right).held(9).ended(Ended::Pain)]),
        session(100, measured(60, 78)),
        session(97, measured(60, 78)),
        session(93, measured(60, 78)),
        session(90, measured(60, 78)),
    ]);
    client.profile.note_tight(unit(HAMSTRINGS, Side::Left), days_ago(50), "");
    let quarters = of(&client);
    let kinds: Vec<&PastEvent> = quarters.events.iter().map(|(_, event)| event).collect();
    assert!(
        matches!(
            kinds[..],
            [
                PastEvent::Pain(_),
                PastEvent::Gap { .. },
                PastEvent::Side { tighter: Side::Left, basis: SideBasis::Angles, ended: false, .. },
                PastEvent::Note(_, NoteEvent::Noted)
            ]
        ),
        "{kinds:?}"
    );
    let words = ClaimWords { catalogue: Catalogue::built_in(), today: today() };
    assert_eq!(
        words.past_events(&quarters),
        [
            "1 Oct: Hamstrings, left: noted as tight",
            "19 Aug: Hamstrings: left measured tighter from here on",
            "12 Aug: back after 14 weeks",
            "4 May: Straight-leg raise, right: stopped for pain",
        ]
    );
    let lines = words.degrees_by_quarter(&quarters.degrees[0]);
    assert_eq!(
        lines.last().map(String::as_str),
        Some("2026 Q3: left 60 (60 to 60, 4 times); right 78 (78 to 78, 4 times); left less right -18")
    );
}

#[test]
fn ten_years_have_forty_quarters_and_more() {
    let client = world::World { sessions: 1000, ..world::World::YEAR }.client(3);
    let last = client.sessions.last().map(|session| session.at.date_naive()).expect("sessions");
    let quarters = Quarters::of(&client, Catalogue::built_in(), last);
    assert!(quarters.all.len() >= 40, "{}", quarters.all.len());
    assert!(quarters.all.windows(2).all(|pair| pair[0].next() == pair[1]));
    let measured = &quarters.degrees.iter().find(|degrees| degrees.series.muscle == HAMSTRINGS);
    let measured = measured.expect("the raise was measured");
    // The last quarter may be too young for a measurement.
    let had = quarters.all.iter().filter(|at| measured.sides[0].contains_key(at)).count();
    assert!(had + 1 >= quarters.all.len(), "{had}");
    assert!(measured.years.len() + 5 >= quarters.all.len());
}
