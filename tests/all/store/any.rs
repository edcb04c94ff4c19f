//! Any client that can be written down: every field of the format, by chance.

use chrono::{DateTime, FixedOffset, NaiveDate};
use matside::body::{Degrees, Effort, Joint, Kilograms, Level, Minutes, Muscle, Seconds, Side, Unit};
use matside::catalogue::{Equipment, Method};
use matside::caution::RecordedCondition;
use matside::caution::screening::Answer;
use matside::client::{
    Aim, Angle, Birth, Cleared, Client, Consent, ConsentLimit, Correction, CorrectionKind, Ended, Guardian,
    Habit, HabitKind, Instrument, Narrowing, NotedTight, OpenPoint, PainFollowUp, Planned, Profile, Report,
    Screening, Session, Sex, StandingConsent, Taken, TakenBack, TestPosition, Touch, Trained, UsualTime,
};
use proptest::prelude::*;

use super::sample::id;

pub(crate) fn remark() -> impl Strategy<Value = String> {
    prop_oneof![3 => Just(String::new()), 2 => "\\PC{0,12}", 1 => ".{0,8}", 1 => "[\"'\\\\\n\r\t\u{202e}\u{7f}=]{0,6}"]
}

pub(crate) fn day() -> impl Strategy<Value = NaiveDate> {
    (1900..=9999, 1..=366_u32)
        .prop_filter_map("a day of the year", |(year, day)| NaiveDate::from_yo_opt(year, day))
}

pub(crate) fn moment() -> impl Strategy<Value = DateTime<FixedOffset>> {
    (1_600_000_000_i64..1_900_000_000, -720..=720).prop_filter_map("an offset", |(seconds, minutes)| {
        let utc = DateTime::from_timestamp(seconds, 0)?;
        Some(utc.with_timezone(&FixedOffset::east_opt(minutes * 60)?))
    })
}

pub(crate) fn one_of<T: Copy + std::fmt::Debug + 'static>(all: &'static [T]) -> impl Strategy<Value = T> {
    prop::sample::select(all)
}

fn id_word<W: std::str::FromStr<Err: std::fmt::Debug> + std::fmt::Debug>() -> impl Strategy<Value = W> + use<W>
{
    "[a-z][a-z0-9]{0,8}".prop_map(|word| word.parse().expect("a plain word"))
}

fn angle() -> impl Strategy<Value = Angle> {
    let maybe = prop::option::of::<BoxedStrategy<TestPosition>>;
    (
        -60_i64..=200,
        prop::option::of(one_of(Taken::ALL)),
        maybe(id_word().boxed()),
        prop::option::of(id_word::<Instrument>()),
    )
        .prop_map(|(degrees, taken, position, with)| Angle {
            degrees: Degrees::new(degrees).expect("in range"),
            taken,
            position,
            with,
        })
}

fn planned() -> impl Strategy<Value = Planned> {
    (any::<u32>(), any::<u8>(), prop::option::of(1_i64..=5)).prop_map(|(held, cycles, aim)| Planned {
        held: Seconds::new(held),
        cycles,
        aim: aim.and_then(|aim| Level::new(aim).ok()),
    })
}

pub(crate) fn report() -> impl Strategy<Value = Report> {
    let angles =
        prop_oneof![4 => prop::collection::vec(angle(), 0..=1), 1 => prop::collection::vec(angle(), 2..4)];
    let done =
        (prop::option::of(1_i64..=5), angles, one_of(Ended::ALL), prop::option::of("[a-z-]{1,9}"), remark());
    let deed = (prop::option::of(one_of(Side::ALL)), one_of(Method::ALL), any::<u8>(), any::<u32>());
    (id_word(), id_word(), deed, prop::option::of(planned()), done).prop_map(
        |(stretch, form, (side, method, cycles, held), planned, (level, angles, ended, sign, note))| Report {
            method,
            cycles,
            planned,
            level: level.and_then(|level| Level::new(level).ok()),
            angles,
            ended,
            sign,
            note,
            ..Report::new(stretch, form, side, Seconds::new(held))
        },
    )
}

fn taken_back() -> impl Strategy<Value = TakenBack> {
    (moment(), remark(), remark()).prop_map(|(at, by, note)| TakenBack { at, by, note })
}

fn narrowing() -> impl Strategy<Value = Narrowing> {
    (one_of(ConsentLimit::ALL), moment(), prop::option::of(moment()))
        .prop_map(|(what, at, lifted)| Narrowing { what, at, lifted })
}

fn correction() -> impl Strategy<Value = Correction> {
    (
        one_of(CorrectionKind::ALL),
        id_word(),
        prop::option::of(id_word()),
        prop::option::of((id_word(), id_word())),
    )
        .prop_map(|(kind, stretch, form, instead_of)| Correction { kind, stretch, form, instead_of })
}

fn change() -> impl Strategy<Value = matside::client::Revision> {
    let value = || prop::option::of(prop_oneof![Just("3"), Just("\"Rosa\""), Just("2026-11-20")]);
    (moment(), "[a-z]{1,5}", value(), value(), remark()).prop_map(|(at, of, from, to, by)| {
        matside::client::Revision { at, of, from: from.map(str::to_owned), to: to.map(str::to_owned), by }
    })
}

pub(crate) fn past() -> impl Strategy<Value = Vec<matside::client::Revision>> {
    prop::collection::btree_set(change(), 0..3).prop_map(|changes| changes.into_iter().collect())
}

pub(crate) fn session() -> impl Strategy<Value = Session> {
    let trained =
        prop::collection::btree_map(one_of(Muscle::ALL), 1_i64..=3, 0..4).prop_map(|map| -> Trained {
            map.into_iter().map(|(muscle, effort)| (muscle, Effort::new(effort).expect("in range"))).collect()
        });
    let reports =
        prop::collection::btree_map(0_u32..200, (report(), prop::option::weighted(0.1, taken_back())), 0..5);
    let ends = (prop::option::of(moment()), remark(), past());
    let narrowed = prop::collection::vec(narrowing(), 0..3);
    let corrections = prop::collection::vec(correction(), 0..2);
    (moment(), 1_i64..=60, (remark(), trained), one_of(Consent::ALL), (narrowed, corrections, reports), ends)
        .prop_map(
            |(
                at,
                minutes,
                (by, trained),
                consent,
                (mut narrowed, corrections, rows),
                (closed, note, changes),
            )| {
                narrowed.sort_by_key(|narrowing| (narrowing.at, narrowing.what, narrowing.lifted));
                let mut session = Session {
                    by,
                    trained,
                    narrowed,
                    corrections,
                    closed,
                    note,
                    changes,
                    ..Session::new(at, Minutes::new(minutes).expect("in range"), consent)
                };
                for (number, (report, gone)) in rows {
                    match gone {
                        None => drop(session.reports.insert(number, report)),
                        Some(gone) => drop(session.taken_back.insert(number, (report, gone))),
                    }
                }
                session
            },
        )
}

fn recorded() -> impl Strategy<Value = RecordedCondition> {
    let maybe = || prop::option::of(day());
    let place = (
        prop::option::of(one_of(Side::ALL)),
        prop::option::of(one_of(Muscle::ALL)),
        prop::option::of(one_of(Joint::ALL)),
    );
    let known = (maybe(), maybe(), prop::option::of(any::<u8>()), prop::option::of("\\PC{0,9}"), remark());
    let ends = (maybe(), maybe(), remark());
    ("[a-z]{1,6}(-[a-z]{1,6})?", place, known, ends).prop_map(
        |(word, (side, muscle, joint), (since, due, week, cleared_by, note), (cleared_on, until, by))| {
            RecordedCondition {
                id: word.parse().expect("a plain word"),
                side,
                muscle,
                joint,
                since,
                due,
                // A week means nothing without its day.
                week: since.and(week),
                cleared_by,
                cleared_on,
                until,
                by,
                note,
            }
        },
    )
}

fn birth() -> impl Strategy<Value = Birth> {
    prop_oneof![
        day().prop_map(Birth::on),
        (1900_i32..2030).prop_filter_map("a year", Birth::in_year),
        (1900_i32..2030, 1_u32..=12).prop_filter_map("a month", |(year, month)| Birth::in_month(year, month)),
    ]
}

fn screening() -> impl Strategy<Value = Screening> {
    let cleared = ("\\PC{0,9}", day(), remark()).prop_map(|(by, on, note)| Cleared { by, on, note });
    let open =
        ("\\PC{1,9}", prop::option::of(cleared)).prop_map(|(what, cleared)| OpenPoint { what, cleared });
    let answers = prop::collection::btree_map("[a-z-]{1,8}", one_of(Answer::ALL), 0..3);
    (day(), answers, prop::collection::vec(open, 0..3), remark(), remark(), prop::option::of(day()))
        .prop_map(|(on, answers, open, by, note, off)| Screening { on, answers, open, by, note, off })
}

/// The rows that say since when and until when.
type Rows =
    (Vec<Screening>, Vec<Guardian>, Vec<StandingConsent>, Vec<NotedTight>, Vec<Habit>, Vec<PainFollowUp>);

fn rows() -> impl Strategy<Value = Rows> {
    let maybe = || prop::option::of(day());
    let guardian = ("\\PC{0,9}", day(), maybe(), remark()).prop_map(|(name, on, off, by)| Guardian {
        name,
        on,
        off,
        by,
    });
    let agreement = (one_of(Touch::ALL), any::<bool>(), maybe(), maybe(), remark(), remark())
        .prop_map(|(to, given, on, off, by, note)| StandingConsent { to, given, on, off, by, note });
    let unit = (one_of(Muscle::ALL), one_of(Side::ALL)).prop_map(|(muscle, side)| Unit { muscle, side });
    let tight = (unit, maybe(), prop::collection::vec(day(), 0..3), maybe(), remark())
        .prop_map(|(unit, on, kept, off, by)| NotedTight { unit, on, kept, off, by });
    let form = || prop::option::of(id_word());
    let habit =
        (one_of(HabitKind::ALL), id_word(), form(), any::<bool>(), day(), maybe(), remark()).prop_map(
            |(kind, stretch, form, agreed, on, off, by)| Habit { kind, stretch, form, agreed, on, off, by },
        );
    let asked = (prop::option::of(any::<bool>()), prop::option::of("\\PC{0,9}"));
    let pain = (id_word(), prop::option::of(one_of(Side::ALL)), day(), asked, (remark(), remark()), maybe())
        .prop_map(|(stretch, side, on, (still_sore, cleared_by), (by, note), off)| PainFollowUp {
            stretch,
            side,
            on,
            still_sore,
            cleared_by,
            by,
            note,
            off,
        });
    (
        prop::collection::vec(screening(), 0..3),
        prop::collection::vec(guardian, 0..2),
        prop::collection::vec(agreement, 0..3),
        prop::collection::vec(tight, 0..3),
        prop::collection::vec(habit, 0..2),
        prop::collection::vec(pain, 0..2),
    )
}

fn usual_time() -> impl Strategy<Value = UsualTime> {
    const DAYS: &[chrono::Weekday] = &[chrono::Weekday::Mon, chrono::Weekday::Thu, chrono::Weekday::Sun];
    let time =
        (0_u32..24, 0_u32..60).prop_filter_map("a time", |(h, m)| chrono::NaiveTime::from_hms_opt(h, m, 0));
    (one_of(DAYS), prop::option::of(time)).prop_map(|(day, time)| UsualTime { day, time })
}

pub(crate) fn profile() -> impl Strategy<Value = Profile> {
    let who = ("\\PC{0,14}", prop::option::of(birth()), prop::option::of(one_of(Sex::ALL)), remark());
    let words = || prop::collection::btree_set("[a-z]{1,5}", 0..4);
    let lists = (
        prop::collection::vec(recorded(), 0..4),
        prop::sample::subsequence(Aim::ALL, 0..=Aim::ALL.len()),
        words(),
        words(),
        prop::sample::subsequence(Equipment::ALL, 0..=Equipment::ALL.len()),
        prop::collection::vec(usual_time(), 0..3),
    );
    let more = (prop::option::of(20_i64..=400), remark(), prop::option::of(day()));
    (who, lists, rows(), more).prop_map(
        |((name, born, sex, note), (conditions, aims, likes, dislikes, at_home, usual_times), rows, more)| {
            let words = |words: std::collections::BTreeSet<String>| {
                words.iter().map(|word| word.parse().expect("a plain word")).collect()
            };
            let (screenings, guardians, agreements, tight, habits, pain) = rows;
            let (mass, contact, archived) = more;
            Profile {
                born,
                sex,
                mass: mass.and_then(|mass| Kilograms::new(mass).ok()),
                contact,
                archived,
                conditions,
                aims: aims.clone(),
                tight,
                likes: words(likes),
                dislikes: words(dislikes),
                habits,
                at_home: at_home.clone(),
                usual_times,
                screenings,
                guardians,
                agreements,
                pain,
                note,
                ..Profile::new(id("rosa"), name)
            }
        },
    )
}

pub(crate) fn client() -> impl Strategy<Value = Client> {
    let sessions = prop::collection::vec((session(), prop::option::weighted(0.1, taken_back())), 0..4);
    (profile(), sessions, past()).prop_map(|(profile, mut sessions, changes)| {
        sessions.sort_by_key(|(session, _)| session.at);
        sessions.dedup_by_key(|(session, _)| session.at);
        let mut client = Client { changes, ..Client::new(profile, Vec::new()) };
        for (session, gone) in sessions {
            match gone {
                None => client.sessions.push(session),
                Some(gone) => client.taken_back.push((session, gone)),
            }
        }
        client
    })
}
