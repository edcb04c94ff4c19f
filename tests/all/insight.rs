//! What a client's sessions tell.

mod amounts;
mod changes;
mod circle;
mod laws;
mod norms;
mod notes;
mod pain;
mod planned;
mod quarters;
mod said;
mod sides;
mod simulated;
mod world;

use chrono::{DateTime, Days, FixedOffset, NaiveDate};

use matside::body::{Degrees, Effort, Level, Minutes, Muscle, Seconds, Side, Unit};
use matside::catalogue::{Catalogue, FormId, Method, StretchId};
use matside::client::{Angle, Client, ClientId, Consent, Ended, Profile, Report, Session};
use matside::insight::Learned;
use matside::insight::sides::SideVerdict;
use matside::words::ClaimWords;

/// The assisted straight-leg raise, which is the published test and speaks for the hamstrings alone.
const RAISE: (&str, &str) = ("straight-leg-raise", "hand-on-heel");

const HAMSTRINGS: Muscle = Muscle::Hamstrings;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 20).expect("a day")
}

fn days_ago(days: u64) -> NaiveDate {
    today().checked_sub_days(Days::new(days)).expect("a day")
}

fn unit(muscle: Muscle, side: Side) -> Unit {
    Unit { muscle, side }
}

/// A report of half a minute, to be changed with the methods below.
#[derive(Debug, Clone)]
struct Said(Report);

fn said(side: impl Into<Option<Side>>) -> Said {
    let (stretch, form) = RAISE;
    let (stretch, form) = (StretchId::new(stretch).expect("an id"), FormId::new(form).expect("an id"));
    Said(Report::new(stretch, form, side.into(), Seconds::new(30)))
}

impl Said {
    fn level(mut self, level: i64) -> Self {
        self.0.level = Some(Level::new(level).expect("a level"));
        self
    }

    fn angle(mut self, degrees: i64) -> Self {
        self.0.angles = vec![Angle::new(Degrees::new(degrees).expect("an angle"))];
        self
    }

    fn held(mut self, seconds: u32) -> Self {
        self.0.held = Seconds::new(seconds);
        self
    }

    fn ended(mut self, ended: Ended) -> Self {
        self.0.ended = ended;
        self
    }

    fn with(mut self, (stretch, form): (&str, &str)) -> Self {
        self.0.stretch = StretchId::new(stretch).expect("an id");
        self.0.form = FormId::new(form).expect("an id");
        self
    }

    fn pushed(mut self) -> Self {
        self.0.method = Method::ContractRelax;
        self.0.cycles = 3;
        self
    }
}

fn moment(on: NaiveDate) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(&format!("{on}T18:45:00+00:00")).expect("a time")
}

fn session_on(on: NaiveDate, said: impl IntoIterator<Item = Said>) -> Session {
    Session {
        trained: [(HAMSTRINGS, Effort::new(2).expect("an effort"))].into(),
        reports: (1..).zip(said.into_iter().map(|said| said.0)).collect(),
        ..Session::new(moment(on), Minutes::new(10).expect("in bounds"), Consent::HandsOn)
    }
}

fn session(ago: u64, said: impl IntoIterator<Item = Said>) -> Session {
    session_on(days_ago(ago), said)
}

fn client(sessions: impl IntoIterator<Item = Session>) -> Client {
    let profile = Profile::new(ClientId::new("r-achterberg").expect("an id"), "R. Achterberg");
    Client::new(profile, sessions.into_iter().collect())
}

/// Both sides answered, the left one first.
fn both(left: i64, right: i64) -> [Said; 2] {
    [said(Side::Left).level(left), said(Side::Right).level(right)]
}

/// The same, the right one first.
fn turned(left: i64, right: i64) -> [Said; 2] {
    let [left, right] = both(left, right);
    [right, left]
}

/// Both sides measured at the same answer.
fn measured(left: i64, right: i64) -> [Said; 2] {
    [said(Side::Left).level(4).angle(left), said(Side::Right).level(4).angle(right)]
}

fn learned_on(client: &Client, on: NaiveDate) -> Learned {
    Learned::of(client, Catalogue::built_in(), on)
}

fn learned(client: &Client) -> Learned {
    learned_on(client, today())
}

/// The verdict on the hamstrings.
fn hamstrings(client: &Client) -> SideVerdict {
    learned(client).side(HAMSTRINGS).expect("they were compared").clone()
}

/// What is said without being asked.
fn sentences(client: &Client) -> Vec<String> {
    let words = ClaimWords { catalogue: Catalogue::built_in(), today: today() };
    learned(client).claims().iter().map(|claim| words.sentence(claim)).collect()
}

/// What stands in the details.
fn details(client: &Client) -> Vec<String> {
    let words = ClaimWords { catalogue: Catalogue::built_in(), today: today() };
    learned(client).details().iter().map(|claim| words.sentence(claim)).collect()
}
