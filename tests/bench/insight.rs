//! How long it takes to judge what a client's sessions tell: a year and ten years, twice a week, eight muscles worked on
//! both sides, angles in every fourth session.
//!
//! ```text
//! cargo bench --bench insight
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::time::Instant;

use chrono::{Days, NaiveDate};
use matside::body::{Degrees, Level, Minutes, Seconds, Side};
use matside::catalogue::{Catalogue, Sides};
use matside::client::{Angle, Client, Consent, Profile, Report, Session};
use matside::insight::Learned;
use matside::insight::quarters::Quarters;

/// Sessions of a year.
const YEAR: u64 = 96;
/// What ten years may take, in milliseconds.
const MOST: f64 = 5.0;
const RUNS: usize = 51;

fn main() {
    for years in [1, 10] {
        let client = client(years * YEAR);
        let today = client.sessions.last().map(|session| session.at.date_naive()).expect("sessions");
        let judged = median(|| drop(Learned::of(&client, Catalogue::built_in(), today)));
        let plotted = median(|| drop(Quarters::of(&client, Catalogue::built_in(), today)));
        let reports: usize = client.sessions.iter().map(|session| session.reports.len()).sum();
        println!(
            "{years:>2} years, {} sessions, {reports} reports: judged in {judged:.2} ms, by quarter in {plotted:.2} ms",
            client.sessions.len()
        );
        if years == 10 {
            println!("target {MOST} ms: {}", if judged < MOST { "met" } else { "MISSED" });
        }
    }
}

/// The median of many runs, in milliseconds.
fn median(work: impl Fn()) -> f64 {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[RUNS / 2]
}

/// A client with so many sessions; what is answered and measured follows the number of the session and nothing else.
fn client(sessions: u64) -> Client {
    let stretches = Catalogue::built_in().stretches().iter();
    let forms: Vec<_> = stretches
        .filter_map(|stretch| Some((stretch, stretch.forms.iter().find(|form| form.sides == Sides::Each)?)))
        .take(8)
        .collect();
    let first = NaiveDate::from_ymd_opt(2016, 1, 4).expect("a day");
    let session = |number: u64| {
        let on = first + Days::new(number * 15 / 4);
        let at = format!("{on}T18:45:00+00:00").parse().expect("a time");
        let minutes = Minutes::new(10).expect("in bounds");
        let sides =
            if number.is_multiple_of(2) { [Side::Left, Side::Right] } else { [Side::Right, Side::Left] };
        let mut session = Session::new(at, minutes, Consent::HandsOn);
        for (place, (stretch, form)) in (0..).zip(&forms) {
            for side in sides {
                let mut report =
                    Report::new(stretch.id.clone(), form.id.clone(), Some(side), Seconds::new(30));
                let shaken = (number * 31 + place * 17 + side as u64 * 7) % 11;
                report.level = Level::new(if shaken < 2 {
                    3
                } else if shaken > 8 {
                    5
                } else {
                    4
                })
                .ok();
                if number.is_multiple_of(4) {
                    let degrees =
                        Degrees::new(60 + i64::try_from(shaken).expect("small")).expect("in bounds");
                    report.angles = vec![Angle::new(degrees)];
                }
                let key = u32::try_from(session.reports.len()).expect("a few") + 1;
                session.reports.insert(key, report);
            }
        }
        session
    };
    let profile = Profile::new("ten-years".parse().expect("an id"), "Ten Years");
    Client::new(profile, (0..sessions).map(session).collect())
}
