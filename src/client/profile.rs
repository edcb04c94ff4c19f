//! A client: who it is, what is known, what was agreed.

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::body::{Kilograms, Unit};
use crate::catalogue::{Equipment, StretchId};
use crate::caution::RecordedCondition;
use crate::caution::screening::{self, ScreeningRecord, Weight};
use crate::names::{named, word_id};

use super::birth::Birth;
use super::change::{Disagreement, Revision, TakenBack};
use super::rows::{
    Cleared, Guardian, Habit, NotedTight, OpenPoint, PainFollowUp, Screening, StandingConsent, Touch,
};
use super::session::{Consent, Session, whole_second};
use super::usual::UsualTime;

word_id! {
    /// Names a client and the client's file.
    ClientId, "client id"
}

/// What a walk-in is called: a word that no client's file is called by.
const WALK_IN: &str = "walk-in-without-a-card";

impl ClientId {
    /// A walk-in of whom no card is kept.
    pub fn of_walk_in() -> Self {
        Self::new(WALK_IN).expect("letters and inner hyphens are a word")
    }

    /// Whether that is a walk-in of whom no card is kept.
    pub fn is_of_walk_in(&self) -> bool {
        self.as_str() == WALK_IN
    }
}

named! {
    /// Sex, where the client gave it: published joint norms differ by it.
    pub enum Sex("sex") {
        /// Female.
        Female = "female",
        /// Male.
        Male = "male",
    }
}

named! {
    /// What a client wants from the closing block.
    pub enum Aim("aim") {
        /// A calm finish.
        Calm = "calm",
        /// More range of motion.
        Range = "range",
        /// Relief after sitting all day: neck and chest.
        Desk = "desk",
    }
}

/// Everything in a client's file but the sessions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profile {
    /// The client's id, which is the file's name too.
    pub id: ClientId,
    /// The client's name as it is shown.
    pub name: String,
    /// When the client was born, as far as it was told.
    pub born: Option<Birth>,
    /// Sex, if given.
    pub sex: Option<Sex>,
    /// What the client weighs, if given.
    pub mass: Option<Kilograms>,
    /// How to reach the client, in words.
    pub contact: String,
    /// The day from which the client comes no more; the file stays.
    pub archived: Option<NaiveDate>,
    /// What limits the work, what has ended among it.
    pub conditions: Vec<RecordedCondition>,
    /// What the client wants.
    pub aims: Vec<Aim>,
    /// Units that the client feels or the trainer found tight, what was taken off among them.
    pub tight: Vec<NotedTight>,
    /// Stretches the client likes.
    pub likes: Vec<StretchId>,
    /// Stretches the client does not like.
    pub dislikes: Vec<StretchId>,
    /// What the trainer said about plans for this client.
    pub habits: Vec<Habit>,
    /// What the client has at home.
    pub at_home: Vec<Equipment>,
    /// When the client usually comes.
    pub usual_times: Vec<UsualTime>,
    /// Every health check.
    pub screenings: Vec<Screening>,
    /// Every guardian's consent, for minors.
    pub guardians: Vec<Guardian>,
    /// What the client agreed to or refused beyond one session.
    pub agreements: Vec<StandingConsent>,
    /// What was asked and cleared after pain.
    pub pain: Vec<PainFollowUp>,
    /// A remark.
    pub note: String,
}

impl Profile {
    /// A profile that knows nothing but a name.
    pub fn new(id: ClientId, name: impl Into<String>) -> Self {
        Self {
            id,
            name: name.into(),
            born: None,
            sex: None,
            mass: None,
            contact: String::new(),
            archived: None,
            conditions: Vec::new(),
            aims: Vec::new(),
            tight: Vec::new(),
            likes: Vec::new(),
            dislikes: Vec::new(),
            habits: Vec::new(),
            at_home: Vec::new(),
            usual_times: Vec::new(),
            screenings: Vec::new(),
            guardians: Vec::new(),
            agreements: Vec::new(),
            pain: Vec::new(),
            note: String::new(),
        }
    }

    /// The youngest age in whole years that is possible on a day: what protects the young goes by it.
    pub fn age(&self, on: NaiveDate) -> Option<u32> {
        self.born.and_then(|born| born.youngest(on))
    }

    /// The oldest age in whole years that is possible on a day: what protects the old goes by it.
    pub fn oldest_age(&self, on: NaiveDate) -> Option<u32> {
        self.born.and_then(|born| born.oldest(on))
    }

    /// The last health check that was not taken back; of one day the one that was written last.
    pub fn last_screening(&self) -> Option<&Screening> {
        self.screenings
            .iter()
            .filter(|screening| screening.off.is_none())
            .max_by_key(|screening| screening.on)
    }

    /// The day of the last health check in which every question was asked.
    fn screened_on(&self) -> Option<NaiveDate> {
        let counts = |screening: &&Screening| screening.off.is_none() && screening.is_whole();
        self.screenings.iter().filter(counts).map(|screening| screening.on).max()
    }

    /// Adds a health check. One that was answered clear throughout, the points that earlier ones left open among it,
    /// clears those in the client's name that do not stop a session by themselves. Those that do, and what was said in
    /// words, stay open until somebody else is named who cleared them.
    pub fn add_screening(&mut self, screening: Screening) {
        if screening.open.is_empty() {
            let stops = |what: &str| {
                screening::questions()
                    .iter()
                    .find(|asked| asked.id == what)
                    .is_none_or(|asked| asked.yes == Weight::Stop)
            };
            let open = self.screenings.iter_mut().flat_map(|earlier| &mut earlier.open);
            for point in open.filter(|point| point.cleared.is_none() && !stops(&point.what)) {
                let by = "the client, asked again".to_owned();
                point.cleared = Some(Cleared { by, on: screening.on, note: String::new() });
            }
        }
        self.screenings.push(screening);
    }

    /// Notes who cleared everything that health checks left open, and when.
    pub fn clear_open_points(&mut self, by: &str, on: NaiveDate) {
        for point in self.screenings.iter_mut().flat_map(|screening| &mut screening.open) {
            let cleared = || Cleared { by: by.to_owned(), on, note: String::new() };
            point.cleared.get_or_insert_with(cleared);
        }
    }

    /// What any health check left open and nobody has cleared, with the day of the check. A later check without it
    /// clears nothing: somebody named has to.
    pub fn open_points(&self, today: NaiveDate) -> impl Iterator<Item = (NaiveDate, &OpenPoint)> {
        self.screenings
            .iter()
            .filter(|screening| screening.off.is_none())
            .flat_map(move |screening| screening.still_open(today).map(|open| (screening.on, open)))
    }

    /// The guardian whose consent holds on a day; the newest.
    pub fn guardian(&self, today: NaiveDate) -> Option<&Guardian> {
        self.guardians.iter().filter(|guardian| guardian.holds(today)).max_by_key(|guardian| guardian.on)
    }

    /// What the client agreed to or refused last of a kind, as far as it still holds; the refusal, if both were
    /// written down on one day.
    pub fn agreement(&self, to: Touch) -> Option<&StandingConsent> {
        let holds = |agreement: &&StandingConsent| agreement.to == to && agreement.off.is_none();
        self.agreements.iter().filter(holds).max_by_key(|agreement| (agreement.on, !agreement.given))
    }

    /// Whether the client wants the massage finish.
    pub fn wants_massage(&self) -> bool {
        self.agreement(Touch::Massage).is_some_and(|agreement| agreement.given)
    }

    /// Whether the client refuses hands-on work altogether.
    pub fn refuses_hands(&self) -> bool {
        self.agreement(Touch::HandsOn).is_some_and(|agreement| !agreement.given)
    }

    /// What a block is begun with before the client is asked.
    pub fn usual_consent(&self) -> Consent {
        if self.refuses_hands() { Consent::SelfStretch } else { Consent::HandsOn }
    }

    /// Writes down an answer, which ends what was answered before; nothing if it is the same.
    pub fn agree(&mut self, to: Touch, given: bool, on: NaiveDate, by: &str) {
        if self.agreement(to).map_or(!given && to == Touch::Massage, |last| last.given == given) {
            return;
        }
        for before in &mut self.agreements {
            if before.to == to {
                before.off.get_or_insert(on);
            }
        }
        self.agreements
            .push(StandingConsent { by: by.to_owned(), ..StandingConsent::new(to, given, Some(on)) });
    }

    /// The units that are noted as tight now.
    pub fn tight_units(&self) -> impl Iterator<Item = Unit> {
        self.tight.iter().filter(|noted| noted.off.is_none()).map(|noted| noted.unit)
    }

    /// Whether a unit is noted as tight now.
    pub fn is_tight(&self, unit: Unit) -> bool {
        self.tight_units().any(|tight| tight == unit)
    }

    /// Notes a unit as tight; nothing if it is already.
    pub fn note_tight(&mut self, unit: Unit, on: NaiveDate, by: &str) {
        if !self.is_tight(unit) {
            self.tight.push(NotedTight { by: by.to_owned(), ..NotedTight::new(unit, Some(on)) });
        }
    }

    /// Takes a unit off what is noted as tight.
    pub fn take_off_tight(&mut self, unit: Unit, on: NaiveDate) {
        for noted in self.tight.iter_mut().filter(|noted| noted.unit == unit) {
            noted.off.get_or_insert(on);
        }
    }

    /// What hands-on work on a day waits for: age, guardian, health check.
    pub fn screening_record(&self, today: NaiveDate) -> ScreeningRecord {
        let in_force = self.conditions.iter().filter(|condition| condition.is_in_force(today));
        ScreeningRecord {
            age: self.age(today),
            guardian: self.guardian(today).map(|guardian| guardian.on),
            screened: self.screened_on(),
            open: self.open_points(today).next().is_some(),
            newest: in_force.filter_map(|condition| condition.since).max(),
        }
    }
}

/// Sessions, counted from the youngest, of which the list of clients tells whether they were cut off.
pub const OF_LATE: usize = 8;

/// A client: the profile, every session, and what was written over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Client {
    /// Who it is.
    pub profile: Profile,
    /// Closing blocks, oldest first.
    pub sessions: Vec<Session>,
    /// Sessions that were taken back, oldest first: they stay in the file and count for nothing.
    pub taken_back: Vec<(Session, TakenBack)>,
    /// What was changed in the profile, oldest first.
    pub changes: Vec<Revision>,
    /// What copies disagree about in the profile.
    pub disagreements: Vec<Disagreement>,
}

impl Client {
    /// A client with sessions, oldest first, of whom nothing was ever changed.
    pub const fn new(profile: Profile, sessions: Vec<Session>) -> Self {
        Self { profile, sessions, taken_back: Vec::new(), changes: Vec::new(), disagreements: Vec::new() }
    }

    /// The session that began at a moment, as it is known in every copy.
    pub fn session(&self, at: DateTime<FixedOffset>) -> Option<&Session> {
        let at = whole_second(at);
        self.sessions.iter().find(|session| session.at == at)
    }

    /// Sessions that were cut off and never closed, the youngest first.
    pub fn cut_off(&self) -> impl Iterator<Item = &Session> {
        self.sessions.iter().rev().filter(|session| session.is_cut_off())
    }

    /// Whether one of the youngest sessions was cut off: as far back as the list of clients looks.
    pub fn is_cut_off_of_late(&self) -> bool {
        self.sessions.iter().rev().take(OF_LATE).any(Session::is_cut_off)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::{Muscle, Side};

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    fn profile() -> Profile {
        Profile::new(ClientId::new("a").expect("an id"), "A")
    }

    #[test]
    fn a_later_clear_check_does_not_clear_what_an_earlier_one_left_open() {
        let today = day("2026-11-20");
        let mut profile = profile();
        profile.screenings.push(Screening::left_open(day("2026-11-02"), "chest pain at rest"));
        profile.screenings.push(Screening::clear(day("2026-11-10")));
        let on_file = profile.screening_record(today);
        assert_eq!((on_file.screened, on_file.open), (Some(day("2026-11-10")), true));
        let cleared = Cleared { by: "Dr Amari".to_owned(), on: day("2026-11-12"), note: String::new() };
        profile.screenings[0].open[0].cleared = Some(cleared);
        assert!(!profile.screening_record(today).open);
        assert!(profile.screening_record(day("2026-11-11")).open, "not before that day");
        profile.screenings.push(Screening::left_open(today, "a slip"));
        profile.screenings[2].off = Some(today);
        assert!(!profile.screening_record(today).open, "what was taken back says nothing");
    }

    #[test]
    fn a_guardians_consent_ends_where_it_says_so() {
        let mut profile = profile();
        profile.guardians.push(Guardian::new("Ottilie", day("2026-01-05")));
        profile.guardians[0].off = Some(day("2026-03-01"));
        assert!(profile.guardian(day("2026-02-28")).is_some());
        assert!(profile.guardian(day("2026-03-01")).is_none());
        assert!(profile.guardian(day("2026-01-04")).is_none());
    }

    #[test]
    fn the_newest_answer_about_touch_is_in_force_and_the_earlier_stays_on_record() {
        let mut profile = profile();
        assert!(!profile.wants_massage() && !profile.refuses_hands());
        profile.agree(Touch::Massage, false, day("2026-01-05"), "");
        assert!(profile.agreements.is_empty(), "nobody wanted it before either");
        profile.agree(Touch::Massage, true, day("2026-01-05"), "Ada");
        assert!(profile.wants_massage());
        profile.agree(Touch::Massage, false, day("2026-02-05"), "Ada");
        assert!(!profile.wants_massage());
        assert_eq!(profile.agreements.len(), 2);
        assert_eq!(profile.agreements[0].off, Some(day("2026-02-05")));
        let refused = StandingConsent::new(Touch::HandsOn, false, None);
        profile.agreements.push(refused);
        assert!(profile.refuses_hands());
    }

    #[test]
    fn a_unit_taken_off_stays_on_record_and_can_be_noted_again() {
        let unit = Unit { muscle: Muscle::Hamstrings, side: Side::Left };
        let mut profile = profile();
        profile.note_tight(unit, day("2026-01-05"), "");
        profile.note_tight(unit, day("2026-01-06"), "");
        profile.take_off_tight(unit, day("2026-02-05"));
        assert!(!profile.is_tight(unit));
        profile.note_tight(unit, day("2026-03-05"), "");
        assert!(profile.is_tight(unit));
        let days: Vec<_> = profile.tight.iter().map(|noted| (noted.on, noted.off)).collect();
        assert_eq!(
            days,
            [(Some(day("2026-01-05")), Some(day("2026-02-05"))), (Some(day("2026-03-05")), None)]
        );
    }
}
