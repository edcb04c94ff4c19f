//! A year of the invented studio, worked out from its cast and a seed.

use chrono::{DateTime, Datelike, Days, FixedOffset, NaiveDate, NaiveTime, TimeDelta, Weekday};

use crate::body::{Degrees, Level, Minutes, Seconds, Side};
use crate::catalogue::{Catalogue, Form, Method, Position, Sides};
use crate::client::{
    Angle, Birth, Client, ClientId, Consent, Ended, Guardian, NotedTight, Profile, Report, Screening,
    Session, StandingConsent, Touch, Trained, Trainer, UsualTime,
};

use super::cast::{Cast, Person, RegularStretch, cast};
use super::random::Random;

/// Seconds for asking and settling, and for a change from one stretch to the next.
const OPENING_S: u32 = 15;
const CHANGE_S: u32 = 5;

/// The invented studio on the morning after its last day.
#[derive(Debug, Clone, PartialEq)]
pub struct Studio {
    /// The trainer.
    pub trainer: Trainer,
    /// The clients, as the cast lists them.
    pub clients: Vec<Client>,
    /// What each client is going to train today, and the minutes that will be left.
    pub today: Vec<(ClientId, Trained, Minutes)>,
}

/// Works out the year that ends with `end`; the same for the same day and offset, everywhere.
pub fn studio(end: NaiveDate, offset: FixedOffset) -> Studio {
    let cast = cast();
    let catalogue = Catalogue::built_in();
    Studio {
        trainer: Trainer {
            name: cast.trainer.clone(),
            studio: cast.studio.clone(),
            minutes: cast.minutes,
            may_massage: cast.may_massage,
            ..Trainer::default()
        },
        clients: cast.person.iter().map(|person| client(person, &cast, end, offset, catalogue)).collect(),
        today: cast.person.iter().map(today).collect(),
    }
}

fn today(person: &Person) -> (ClientId, Trained, Minutes) {
    let trained = person.training.last().cloned().unwrap_or_default();
    (person.id.clone(), trained, person.minutes.first().copied().unwrap_or(Minutes::MIN))
}

fn client(
    person: &Person,
    cast: &Cast,
    end: NaiveDate,
    offset: FixedOffset,
    catalogue: &Catalogue,
) -> Client {
    let mut random = Random::of(cast.seed, person.id.as_str());
    let days_ago = |days: u64| end.checked_sub_days(Days::new(days)).unwrap_or(end);
    // A birthday somewhere in the year, so that the age on the last day is the one of the cast.
    let born =
        days_ago(u64::from(person.age) * 365 + u64::from(person.age / 4) + 1 + u64::from(random.below(360)));
    let first = days_ago(u64::from(person.weeks) * 7);
    let wants_massage = person.massage.then(|| StandingConsent::new(Touch::Massage, true, Some(first)));
    let profile = Profile {
        born: Some(Birth::on(born)),
        sex: Some(person.sex),
        conditions: person.condition.iter().map(|known| known.recorded(end)).collect(),
        aims: person.aims.clone(),
        tight: person.tight.iter().map(|&unit| NotedTight::new(unit, Some(first))).collect(),
        likes: person.likes.clone(),
        dislikes: person.dislikes.clone(),
        screenings: person
            .screened_days_ago
            .map(|days| Screening::clear(days_ago(days)))
            .into_iter()
            .collect(),
        guardians: person.guardian.clone().map(|name| Guardian::new(name, first)).into_iter().collect(),
        agreements: wants_massage.into_iter().collect(),
        usual_times: if person.timed { usual_times(person) } else { Vec::new() },
        note: person.note.clone(),
        ..Profile::new(person.id.clone(), person.name.clone())
    };
    let mut year = Year { person, catalogue, first, end, random };
    let mut sessions = Vec::new();
    for (number, (day, hour)) in appointments(person, first, end).into_iter().enumerate() {
        let is_missed = year.random.chance(person.missed);
        if !is_missed && day <= days_ago(person.away_days) {
            sessions.extend(year.session(number, day, hour, offset));
        }
    }
    Client::new(profile, sessions)
}

/// When this person usually comes, as a card says it.
fn usual_times(person: &Person) -> Vec<UsualTime> {
    let usual = |&(day, hour): &(u32, u32)| {
        let day = u8::try_from(day).ok().and_then(|day| Weekday::try_from(day).ok())?;
        Some(UsualTime { day, time: NaiveTime::from_hms_opt(hour, 0, 0) })
    };
    person.on.iter().filter_map(usual).collect()
}

/// The days after `first`, up to `end`, that are days of this person's week, each with its hour.
fn appointments(person: &Person, first: NaiveDate, end: NaiveDate) -> Vec<(NaiveDate, u32)> {
    let mut found = Vec::new();
    for day in first.iter_days().skip(1).take_while(|day| *day <= end) {
        let weekday = day.weekday().num_days_from_monday();
        found.extend(person.on.iter().filter(|(on, _)| *on == weekday).map(|(_, hour)| (day, *hour)));
    }
    found
}

/// One person's year in the making.
struct Year<'a> {
    person: &'a Person,
    catalogue: &'a Catalogue,
    first: NaiveDate,
    end: NaiveDate,
    random: Random,
}

impl Year<'_> {
    fn session(&mut self, number: usize, day: NaiveDate, hour: u32, offset: FixedOffset) -> Option<Session> {
        let person = self.person;
        let trained = person.training.get(number % person.training.len().max(1))?.clone();
        let minutes = *self.pick(&person.minutes)?;
        let before_the_hour = u32::from(minutes.get()).min(59);
        let at = day.and_hms_opt(hour, 60 - before_the_hour, 0)?.and_local_timezone(offset).single()?;
        let mut session = Session { trained, ..Session::new(at, minutes, Consent::HandsOn) };
        let mut clock = OPENING_S;
        if self.random.chance(2) {
            session.consent = Consent::Declined;
        } else {
            let measured = number.is_multiple_of(4);
            let mut done = Vec::new();
            for work in &person.work {
                self.work(work, day, measured, &session, &mut clock, &mut done);
            }
            // One position through, and in it one side before the other (common practice, no source); who goes first
            // takes turns, as in a plan.
            let first = if number.is_multiple_of(2) { Side::Right } else { Side::Left };
            done.sort_by_key(|(position, report)| (*position, report.side.map(|side| side != first)));
            session.reports = (1..).zip(done.into_iter().map(|(_, report)| report)).collect();
        }
        session.closed = Some(later(at, clock + self.random.below(20)));
        Some(session)
    }

    /// Adds the reports of one stretch, if it is for today's muscles and still fits.
    fn work(
        &mut self,
        work: &RegularStretch,
        day: NaiveDate,
        measured: bool,
        session: &Session,
        clock: &mut u32,
        done: &mut Vec<(Position, Report)>,
    ) {
        let wanted = work.serves.is_empty() || work.serves.iter().any(|x| session.trained.contains_key(x));
        let Some((_, form)) = self.catalogue.form(&work.stretch, &work.form).filter(|_| wanted) else {
            return;
        };
        let sides: &[Option<Side>] = match form.sides {
            Sides::Each => &[Some(Side::Left), Some(Side::Right)],
            Sides::Both => &[None],
        };
        let (held, length) = self.dose(work, form);
        let needs = u32::try_from(sides.len()).unwrap_or(2) * (form.setup.get() + length + CHANGE_S);
        if *clock + needs > session.minutes.seconds().get() {
            return;
        }
        *clock += needs;
        if self.random.chance(2) {
            return;
        }
        for &side in sides {
            done.push((form.position, self.report(work, side, held, day, measured)));
        }
    }

    /// Seconds under stretch, and seconds that it takes.
    fn dose(&mut self, work: &RegularStretch, form: &Form) -> (u32, u32) {
        if let Some(dose) = form.contract_relax.iter().find(|dose| dose.cycles == work.cycles) {
            let cycles = u32::from(dose.cycles);
            return (dose.stretch.get() * cycles, (dose.stretch.get() + dose.push.get()) * cycles);
        }
        let held = self.pick(&work.hold_s).copied().unwrap_or(20);
        (held, held)
    }

    fn report(
        &mut self,
        work: &RegularStretch,
        side: Option<Side>,
        held: u32,
        day: NaiveDate,
        measured: bool,
    ) -> Report {
        let gap = match (side, work.tighter) {
            (Some(side), Some((tighter, before, after))) => {
                let half = self.between(before, after, day) / 2;
                if side == tighter { half } else { -half }
            }
            _ => 0,
        };
        let tenths = self.between(work.level.0, work.level.1, day) + gap + self.random.about_zero(6);
        let level = Level::new(i64::from((tenths + 5).div_euclid(10).clamp(1, 5))).unwrap_or(Level::AIM);
        let level = work.at_most.map_or(level, |most| level.min(most));
        let angle = work.angle.filter(|_| measured).and_then(|(before, after)| {
            // A side that answers one level higher goes about six degrees less far.
            let degrees = self.between(before, after, day) - gap * 6 / 10 + self.random.about_zero(2);
            Degrees::new(i64::from(degrees)).ok()
        });
        let stopped = level == Level::MAX && self.random.chance(15);
        let held = Seconds::new(if stopped { held / 3 } else { held });
        Report {
            method: if work.cycles > 0 { Method::ContractRelax } else { Method::Static },
            cycles: work.cycles,
            level: if self.random.chance(5) { None } else { Some(level) },
            angles: angle.map(Angle::new).into_iter().collect(),
            ended: if stopped { Ended::Pain } else { Ended::Done },
            ..Report::new(work.stretch.clone(), work.form.clone(), side, held)
        }
    }

    fn pick<'v, T>(&mut self, values: &'v [T]) -> Option<&'v T> {
        values.get(usize::try_from(self.random.below(u32::try_from(values.len()).ok()?)).ok()?)
    }

    /// The value on `day` on the way from the first day's to the last day's.
    fn between(&self, before: i32, after: i32, day: NaiveDate) -> i32 {
        let days = |from: NaiveDate, to: NaiveDate| i32::try_from((to - from).num_days()).unwrap_or(0);
        let whole = days(self.first, self.end).max(1);
        before + (after - before) * days(self.first, day).clamp(0, whole) / whole
    }
}

fn later(at: DateTime<FixedOffset>, seconds: u32) -> DateTime<FixedOffset> {
    at + TimeDelta::seconds(i64::from(seconds))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    fn end() -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, 24).unwrap()
    }

    fn offset() -> FixedOffset {
        FixedOffset::east_opt(3600).unwrap()
    }

    #[test]
    fn the_cast_is_whole() {
        let cast = cast();
        assert!(cast.person.len() >= 9);
        for person in &cast.person {
            assert!(!person.training.is_empty() && !person.minutes.is_empty(), "{}", person.id);
            for work in &person.work {
                let what = format!("{}: {}/{}", person.id, work.stretch, work.form);
                let (_, form) = Catalogue::built_in().form(&work.stretch, &work.form).expect(&what);
                assert!(work.hold_s.iter().all(|hold| form.holds.contains(&Seconds::new(*hold))), "{what}");
                let dosed = form.contract_relax.iter().any(|dose| dose.cycles == work.cycles);
                assert!(dosed || (work.cycles == 0 && !work.hold_s.is_empty()), "{what}");
                let reached = form.targets.iter().any(|target| work.serves.contains(&target.muscle));
                let trained = |muscle| person.training.iter().any(|day| day.contains_key(muscle));
                assert!(
                    work.serves.is_empty() || work.serves.iter().any(trained),
                    "{what} is never for anything"
                );
                assert!(reached || person.training.len() > 1 || work.serves.is_empty(), "{what}");
            }
        }
    }

    #[test]
    fn the_same_day_gives_the_same_year_and_another_day_the_same_people() {
        let year = studio(end(), offset());
        assert_eq!(year, studio(end(), offset()));
        let later = studio(end() + TimeDelta::days(700), offset());
        for (one, other) in year.clients.iter().zip(&later.clients) {
            assert_eq!(one.profile.id, other.profile.id);
            assert!(other.sessions.iter().all(|session| session.at > one.sessions[0].at));
        }
    }

    #[test]
    fn every_session_fits_its_minutes_and_lies_within_the_year() {
        for client in studio(end(), offset()).clients {
            assert!(client.sessions.len() >= 4, "{}", client.profile.id);
            assert!(client.sessions.is_sorted_by(|a, b| a.at < b.at), "{}", client.profile.id);
            for session in &client.sessions {
                let taken = session.closed.expect("the demo has no cut-off session") - session.at;
                assert!(taken.num_seconds() <= i64::from(session.minutes.seconds().get()) + 20);
                assert!(session.at.date_naive() <= end());
                assert_eq!(
                    session.reports.is_empty(),
                    session.consent == Consent::Declined,
                    "{}",
                    session.at
                );
            }
        }
    }

    #[test]
    fn a_client_changes_position_and_side_as_little_as_can_be() {
        for client in studio(end(), offset()).clients {
            for session in &client.sessions {
                let at = |report: &Report| {
                    let (_, form) = Catalogue::built_in().form(&report.stretch, &report.form).unwrap();
                    (form.position, report.side)
                };
                let mut runs: Vec<_> = session.reports.values().map(at).collect();
                runs.dedup();
                let (length, distinct) = (runs.len(), runs.iter().collect::<BTreeSet<_>>().len());
                assert_eq!(length, distinct, "{} {}", client.profile.id, session.at);
            }
        }
    }

    #[test]
    fn ages_on_the_last_day_are_those_of_the_cast() {
        for (client, person) in studio(end(), offset()).clients.iter().zip(cast().person) {
            assert_eq!(client.profile.age(end()), Some(person.age), "{}", person.id);
        }
    }

    #[test]
    fn the_runners_tighter_side_comes_closer_over_the_year() {
        let year = studio(end(), offset());
        let runner = year.clients.iter().find(|client| client.profile.id.as_str() == "t-feldmann").unwrap();
        let gap = |sessions: &[Session]| {
            let mut sums = [(0_i32, 0_i32); 2];
            for report in sessions.iter().flat_map(|session| session.reports.values()) {
                if report.stretch.as_str() == "straight-leg-raise"
                    && let (Some(side), Some(level)) = (report.side, report.level)
                {
                    let sum = &mut sums[usize::from(side == Side::Right)];
                    *sum = (sum.0 + i32::from(level.get()), sum.1 + 1);
                }
            }
            sums[1].0 * 100 / sums[1].1 - sums[0].0 * 100 / sums[0].1
        };
        let third = runner.sessions.len() / 3;
        let (before, after) = (gap(&runner.sessions[..third]), gap(&runner.sessions[2 * third..]));
        assert!(before > after + 50 && before > 80, "{before} {after}");
    }
}
